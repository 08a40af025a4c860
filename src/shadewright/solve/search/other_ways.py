"""What a search does beside its models: neighbourhoods, whole drops, sets of options, laying."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from shadewright.solve.packing.templates import Template
from shadewright.solve.packing.worths import WidthWorth, Worth
from shadewright.solve.problem.kinds import Problem
from shadewright.solve.problem.supply import Supply
from shadewright.solve.run import Clock
from shadewright.solve.search.bounds import Knowledge, lengths_at_least
from shadewright.solve.search.candidate import Candidate
from shadewright.solve.search.columns import FoundDrops
from shadewright.solve.search.drop_bounds import drop_bound
from shadewright.solve.search.fixing import number_of_options, still_as_good
from shadewright.solve.search.found import Wish
from shadewright.solve.search.goals import Goal, goal_order
from shadewright.solve.search.incumbent import Incumbent
from shadewright.solve.search.neighbourhoods import improve
from shadewright.solve.search.option_sets import cheapest_first
from shadewright.solve.search.relaying import relayings
from shadewright.solve.search.stage import Stage
from shadewright.solve.search.starts import best_start, have_room, lies_on


class OtherWays:
    """Ways to a better candidate, or a better bound of money, that are no model of all there is.

    Args:
        problem: its narrowest options.
        lines: of the supply.
        native: the best candidate of this problem's own options.

    Attributes:
        live: what may still be in a plan as good as the best.
        worths: of rectangles, roll by roll.
    """

    def __init__(  # noqa: PLR0917
        self,
        problem: Problem,
        supply: Supply,
        lines: Sequence[Supply],
        wish: Wish,
        incumbent: Incumbent,
        known: Knowledge,
        native: Candidate | None,
    ) -> None:
        self._all = problem
        self._supply = supply
        self._lines = lines
        self._wish = wish
        self._incumbent = incumbent
        self._known = known
        self._pool = FoundDrops()
        self._improved = 0
        self.native = native
        self.live = problem
        self.worths: Mapping[str, list[Worth]] = {}

    def begin(self, worths: Mapping[str, list[Worth]]) -> None:
        """Begin with what rectangles are worth by their width, if not more is known already."""
        self.worths = self.worths or worths

    @property
    def by_width(self) -> dict[str, list[Worth]]:
        """What rectangles are worth by their width."""
        return {
            name: [worth for worth in these if isinstance(worth, WidthWorth)]
            for name, these in self.worths.items()
        }

    def fix(self) -> None:
        """Leave out options that no plan takes which is as good as the best."""
        self.live = still_as_good(
            self.live, self._supply, self.worths, self._incumbent, self._known
        )

    @property
    def _first(self) -> Goal:
        return self._incumbent.first

    @property
    def _proved(self) -> bool:
        """Whether the first goal is proved."""
        least = self._known.bound(self._first, self._wish.limits)
        return self._incumbent.scored[self._first] <= least

    def bound_by_drops(self, stage: Stage, clock: Clock) -> None:
        """Learn what whole drops tell; the stage is bounded by it."""
        best = self._incumbent.best
        if best is None or self._wish.forgone.something:
            return
        found = drop_bound(self.live, best, self.worths, clock)
        if found is None:
            return
        own = found.worths
        self.worths = {n: [*these, own[n]] for n, these in self.worths.items() if n in own}
        stage.bound_by(self.worths)
        first = goal_order(self._all)[0]
        reached = self._incumbent.scored[first]
        least = lengths_at_least(self.live, self._supply, self.worths)
        fewer = number_of_options(self.live) < number_of_options(self._all)
        self._known.learn(least, {first: reached} if fewer else None)
        if not self._supply.on_hand:
            self._known.add(first, {}, min(found.least, reached))

    def by_option_sets(self, stage: Stage, clock: Clock, seed: int) -> None:
        """Look at sets of options one after the other, where they are few enough for that."""
        best, limits = self._incumbent.best, self._wish.limits
        one = len(self._lines) == 1 and have_room(self._all, self._supply)
        few = 0 < self._undecided <= clock.effort.option_sets
        other = self._wish.forgone.something or self._supply.on_hand
        if best is None or other or not one or not few or self._proved:
            return
        for tried in cheapest_first(
            self.live, self._lines[0], stage, best, self.worths, limits, clock, seed
        ):
            if tried.found is not None:
                self._incumbent.keep(tried.found, {})
            self.worths = tried.worths
            stage.bound_by(tried.worths)
            reached = self._incumbent.scored[self._first]
            self._known.add(self._first, limits, min(tried.bound, reached))
            if self._proved:
                return

    @property
    def _undecided(self) -> int:
        """Openings that may take one of several options."""
        return sum(len(kind.options) > 1 for kind in self.live.kinds)

    def by_neighbourhoods(
        self, stage: Stage, clock: Clock, seed: int, tell: Callable[[], None]
    ) -> None:
        """Improve a plan by neighbourhoods, for a share of the work left.

        Args:
            stage: whose templates cut well.
            tell: called now and then.
        """
        best = self._incumbent.best
        start = best if self._incumbent.takes_options(best) else self.native
        room = have_room(self._all, self._supply)
        if start is None or self._wish.forgone.something or not room:
            return
        supply = next((line for line in self._lines if lies_on(line, start)), None)
        if supply is None or self._settled(start):
            return
        part = clock.part(self._share(stage, clock))
        if not self._improved:
            start = self._begun(supply, start, stage.templates, part)
        if not self._settled(start):
            seed += self._improved
            limits = self._wish.limits
            improve(self.live, supply, part, seed, start, limits, self._settled, tell, self._pool)
        self._improved += 1

    def relay(
        self,
        clock: Clock,
        seed: int,
        idle: int,
        tell: Callable[[], None],
        is_enough: Callable[[], bool],
    ) -> None:
        """Lay everything once more and again, where that is not too much.

        Args:
            idle: plans laid since one got better, after which that ends.
            tell: called when one did.
            is_enough: asked then.
        """
        few = sum(kind.copies for kind in self._all.kinds) <= clock.effort.laid_copies
        leaving = self._wish.forgone.leaving is not None
        if self._incumbent.best is not None and few and not leaving:
            for _ in relayings(self._all, self._lines, self._incumbent, clock, seed, idle):
                tell()
                if is_enough():
                    return

    def _begun(
        self,
        supply: Supply,
        start: Candidate,
        templates: Callable[[], Mapping[str, list[Template]]],
        clock: Clock,
    ) -> Candidate:
        """Where neighbourhoods begin."""
        some = clock.part(clock.effort.starts)
        return best_start(self.live, supply, start, templates, some, self._incumbent.is_better)

    def _settled(self, candidate: Candidate) -> bool:
        """Take a candidate; whether the best reaches the bounds of money and of what is used."""
        self._incumbent.keep(candidate, {})
        if not self._proved:
            return False
        reached = self._incumbent.scored
        held = {**self._wish.limits, **{goal: reached[goal] for goal in (self._first, "shades")}}
        return reached["used"] <= self._known.bound("used", held)

    def _share(self, stage: Stage, clock: Clock) -> float:
        """Of the work left, what neighbourhoods may take."""
        effort, undecided = clock.effort, self._undecided
        if self._improved:
            return effort.by_neighbourhoods_again
        if not undecided:
            return effort.by_neighbourhoods_alone
        if stage.size <= effort.at_once:
            return effort.by_beams
        few = 0 < undecided <= effort.option_sets
        return effort.by_neighbourhoods_few if few else effort.by_neighbourhoods
