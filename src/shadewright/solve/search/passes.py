"""One search for the best candidate of a problem: passes over its goals, from first plans on.

Each goal is held at what it reached while the next is minimised, and a bound is only used while the
goals before it are held no looser than when it was found. Where a roll's templates can all
be listed (or its rectangles are few) the model is exact and its own bound is the goal's. Elsewhere
good templates are priced, and the bound comes from a second, bounding model.

Where rows of a print start matters when pieces begin at known heights of it. Each start worth
trying (`Supply.lines`) makes a model of its own; a goal is minimised over all of them, and its
bound is the least of theirs.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence

from shadewright import stopping
from shadewright.cloth.plan import GoalName
from shadewright.solve.packing.worths import Pricing, Worth
from shadewright.solve.problem.dominance import narrowest_options
from shadewright.solve.problem.kinds import Problem
from shadewright.solve.problem.supply import Supply
from shadewright.solve.run import Clock
from shadewright.solve.search.beams import for_beams
from shadewright.solve.search.bounds import Knowledge, lengths_at_least, pricings_of, worths_by
from shadewright.solve.search.candidate import Candidate
from shadewright.solve.search.fixing import number_of_options, still_as_good
from shadewright.solve.search.found import Extent, Wish
from shadewright.solve.search.goals import ABOVE_ALL, Goal, goal_order, in_proof
from shadewright.solve.search.incumbent import Incumbent
from shadewright.solve.search.other_ways import OtherWays
from shadewright.solve.search.settling import settled
from shadewright.solve.search.stage import Stage
from shadewright.solve.search.starts import first_plans, have_room, shared_out

# Goals for which a wider option may be the better one.
_ON_ALL_OPTIONS: frozenset[Goal] = frozenset({"widths", "gaps"})

Report = Callable[[GoalName, float, float], None]


class Passes:
    """The best candidate so far, and what is known of better ones."""

    def __init__(  # noqa: PLR0917
        self,
        problem: Problem,
        supply: Supply,
        clock: Clock,
        seed: int,
        report: Report | None,
        wish: Wish,
        start: Candidate | None = None,
        own: Candidate | None = None,
        *,
        for_a_plan: bool = False,
    ) -> None:
        """Make first plans.

        Args:
            start: a candidate to start from.
            own: one of this problem's own options.
            for_a_plan: whether only the plan is asked for, and nobody minds its bounds.
        """
        self._problem = problem
        self._narrow = problem.having(narrowest_options(problem.kinds))
        self._supply = supply
        self._lines, self._every_line = supply.lines(self._narrow, clock.effort)
        self._clock = clock
        self._seed = seed
        self._report = report
        self._wish = wish
        self._for_a_plan = for_a_plan
        self._order = wish.order(problem, supply)
        leaving = wish.forgone.leaving is not None
        self.known = Knowledge(problem, supply, self._order, leaving=leaving)
        # What the area alone says is known even of a search that there is no time for.
        self.known.learn(lengths_at_least(self._narrow, supply, {}))
        self.incumbent = Incumbent(problem, self._narrow, supply, wish)
        for candidate in (start, own):
            if candidate is not None:
                self.incumbent.keep(candidate, {})
        self._pricings: list[Pricing] = []
        # The best of its own lay, if another's is better.
        native = own
        fewest = "shades" in wish.limits
        for candidate in first_plans(self._narrow, self._lines, wish, clock, seed, fewest=fewest):
            self.incumbent.keep(candidate, {})
            if native is None or self.incumbent.is_better(candidate, native):
                native = candidate
        self._ways = OtherWays(
            self._narrow, supply, self._lines, wish, self.incumbent, self.known, native
        )

    @property
    def best(self) -> Candidate | None:
        """The best candidate so far."""
        return self.incumbent.best

    def share_out(self, drawn: Candidate) -> None:
        """Take a candidate from bolts without an end, shared out over what there is."""
        for line in self._lines:
            for shared in shared_out(self._problem, line, drawn):
                self.incumbent.keep(shared, {})

    def improve(self) -> None:
        """Pass over the goals until all are proved or the time is over."""
        self._improve()
        self._settle()

    def lay_again(self, clock: Clock) -> None:
        """Lay the best once more and again, for what is left when all else is done."""
        self._clock = clock
        self._relay(clock.effort.relaid_at_last, clock.effort.relaid_idle)
        self._settle()

    def _relay_first(self) -> None:
        """On limited cloth and rolls of many phases, before models or their second look; not where
        cloth is short, which needs other first plans."""
        effort = self._clock.effort
        phased = any(len(roll.nodes) > effort.few_phases for roll in self._problem.rolls)
        some = self._is_limited or phased or self._own_rows
        if some and self.best is not None and not self.incumbent.scored["short"]:
            share = effort.relaid if self._is_limited else effort.relaid_in_phases
            self._relay(share, effort.relaid_idle_first)

    @property
    def _own_rows(self) -> bool:
        """Whether openings may have rows of their own, which models know nothing of."""
        return any(roll.own_rows for roll in self._problem.rolls)

    @property
    def _is_limited(self) -> bool:
        """Whether cloth has an end, so that models know little of it."""
        return bool(self._supply.on_hand or self._supply.several)

    def _relay(self, share: float, idle: int) -> None:
        """Lay the best once more and again, where something is not proved.

        Args:
            share: of the work left that it may take.
            idle: plans laid since one got better, after which it ends.
        """

        def is_enough() -> bool:
            reached = reached_by([self], self._order)
            return all(reached[goal].value == reached[goal].bound for goal in self.proof)

        if self.best is not None and not self._over and not is_enough():
            part = self._clock.part(share)
            self._ways.relay(part, self._seed, idle, self._tell_first, is_enough)

    def _settle(self) -> None:
        """The last goals, as far as that needs no model."""
        if self.best is None:
            return
        scored, held = self.incumbent.scored, dict(self._wish.limits)
        for goal in self._order:
            if goal in _ON_ALL_OPTIONS and scored[goal] > self.known.bound(goal, held):
                effort = self._clock.effort
                part = self._clock.part(effort.settling, effort.settling_least)
                self.incumbent.keep(settled(self._problem, self._supply, self.best, part), {})
                return
            held[goal] = scored[goal]

    def _improve(self) -> None:
        if self._over and self._wish.forgone.leaving is not None:
            return
        ways, clock = self._ways, self._clock
        # Found once, also where the search goes on later.
        self._pricings = self._pricings or pricings_of(self._narrow, clock)
        worths = worths_by(self._pricings)
        least_used = lengths_at_least(self._narrow, self._supply, worths)
        self.known.learn(least_used)
        if self._over:
            return
        ways.begin(worths)
        stage = self._stage(self._narrow, worths)
        large = stage.size > clock.effort.at_once
        soon = not large and (stage.is_exact or not (self._is_limited or self._own_rows))
        if not soon:
            self._relay_first()
        if large:
            ways.fix()
            ways.by_neighbourhoods(stage, clock, self._seed, self._tell_first)
        if self._over:
            return
        if self.best is not None and self._order[0] in goal_order(self._problem):
            share = clock.effort.glance
            bound = self._minimise(stage, "used", self._wish.limits, share)
            self.known.learn_used(bound, least_used)
        stage = self._of_live(stage)
        if large and not self._for_a_plan:
            ways.bound_by_drops(stage, clock.part(clock.effort.bounding))
        for number, share in enumerate(clock.effort.shares):
            stage = self._of_live(stage)
            stages, whole = self._stages(stage), number > 0 or not large
            if self._pass(stages, share, look=number, whole=whole) or self._over:
                return
            if not number and not self.first_proved:
                self._between(stage, large=large)
            if not number and soon:
                self._relay_first()

    def _between(self, stage: Stage, *, large: bool) -> None:
        """What comes after a first pass that leaves money open."""
        ways, clock, effort = self._ways, self._clock, self._clock.effort
        if large:
            if not self._for_a_plan:
                ways.by_option_sets(stage, clock.part(effort.by_option_sets), self._seed)
        else:
            if not self._for_a_plan:
                ways.bound_by_drops(stage, clock.part(effort.bounding_first_pass))
                stage = self._of_live(stage)
            # What one way to search has not settled, others may.
            if have_room(self._problem, self._supply) and not self._supply.on_hand:
                self._pass(self._stages(stage), effort.second_look, look=1, whole=False)
        if not self.first_proved and (large or for_beams(self._narrow)):
            ways.by_neighbourhoods(stage, clock, self._seed, self._tell_first)

    def _stages(self, stage: Stage) -> dict[Goal, Stage]:
        """What each goal is minimised on; a stage of all options is made when it is wanted."""
        return {goal: stage for goal in self._order if goal not in _ON_ALL_OPTIONS}

    def _of_live(self, stage: Stage) -> Stage:
        """The stage of options that may still be in a plan as good as the best: a new one where
        they are fewer."""
        self._ways.fix()
        live = self._ways.live
        fewer = number_of_options(live) < number_of_options(stage.problem)
        return self._stage(live, self._ways.worths) if fewer else stage

    def _tell_first(self) -> None:
        """Tell how far the first goal has come."""
        first, limits = self._order[0], self._wish.limits
        self._tell(first, self.incumbent.scored[first], limits)(None, 0.0)

    @property
    def least_of_first(self) -> int:
        """What the first goal comes to at least, as far as it is known."""
        return self.known.bound(self._order[0], self._wish.limits)

    @property
    def first_proved(self) -> bool:
        """Whether the first goal is proved, so that cloth can hardly be saved any more."""
        return self.best is not None and (
            self.incumbent.scored[self._order[0]] <= self.least_of_first
        )

    def go_on(self, best: Candidate, clock: Clock) -> None:
        """Begin again with the best of all searches, another seed, and what is known."""
        self.incumbent.best = best
        if self.incumbent.takes_options(best):
            self._ways.native = best
        self._clock = clock
        self._seed += 1

    @property
    def _over(self) -> bool:
        """Whether the time is over; without a plan one more look is taken."""
        return self._clock.over and self.best is not None

    def _pass(
        self,
        stages: dict[Goal, Stage],
        share: float,
        *,
        look: int,
        whole: bool,
    ) -> bool:
        """Minimise one goal after the other; whether there is nothing more to find.

        Args:
            look: see `Stage.minimise`.
            whole: whether one goes on behind money that is not proved.
        """
        held = dict(self._wish.limits)
        for goal in self._order:
            if goal == "widths":
                self._settle()
            value = None if self.best is None else self.incumbent.scored[goal]
            if value is None or value > self.known.bound(goal, held):
                if self._over:
                    return True
                if goal not in stages:
                    stages |= dict.fromkeys(_ON_ALL_OPTIONS, self._on_all_options())
                # What cannot be had, or is given up, comes before all else.
                part = max(share, self._clock.effort.share_above) if goal in ABOVE_ALL else share
                bound = self._minimise(stages[goal], goal, held, part, look=look)
                self.known.add(goal, held, bound)
            if self.best is None:
                return self._clock.over
            held[goal] = self.incumbent.scored[goal]
            if goal == "short" and held[goal] and self._wish.enough:
                return True
            money = goal == goal_order(self._problem)[0]
            if money and not whole and held[goal] > self.known.bound(goal, held):
                return False
        reached = reached_by([self], self._order)
        return all(each.value == each.bound for each in reached.values())

    def _on_all_options(self) -> Stage:
        """A stage of all options, narrowest or not, that may be in a plan as good as the best."""
        # What whole drops tell is of the narrowest alone.
        worths = self._ways.by_width
        live = still_as_good(self._problem, self._supply, worths, self.incumbent, self.known)
        return self._stage(live, worths)

    def _stage(self, problem: Problem, worths: Mapping[str, list[Worth]]) -> Stage:
        return Stage(
            problem,
            self._lines,
            self._clock,
            self._seed,
            lambda: worths,
            self._wish.forgone,
            self._pricings[-1],
        )

    def _minimise(
        self,
        stage: Stage,
        goal: Goal,
        held: Mapping[Goal, int],
        share: float,
        *,
        look: int = 0,
    ) -> int:
        """Look for something better on every line; gives the bound of the goal given those held.

        Args:
            look: see `Stage.minimise`.
        """
        bounds = []
        lines = list(stage.lines)
        for number, line in enumerate(lines):
            if self._clock.over and self.best is not None:
                bounds.append(0)
                break
            value = None if self.best is None else self.incumbent.scored[goal]
            part = share / (len(lines) - number) if len(lines) > 1 else share
            own = self.incumbent.for_options(stage.problem)
            if own is None and self.incumbent.takes_options(self.best):
                own = self.best
            tell = self._tell(goal, value, held)
            found = stage.minimise(line, goal, (own, value), held, part, tell, look=look)
            if found is None:
                # Nothing on this line keeps to the goals before.
                continue
            candidates, bound = found
            bounds.append(bound)
            for candidate in candidates:
                self.incumbent.keep(candidate, held)
            if self.best is not None:
                stopping.keep()
        every = self._every_line and self.known.is_of_all_bolts(goal, held)
        return min(bounds, default=0) if every else 0

    def _tell(
        self, goal: Goal, value: int | None, held: Mapping[Goal, int]
    ) -> Callable[[float | None, float], None]:
        least = self.known.bound(goal, held)

        def tell(objective: float | None, lower: float) -> None:
            name, known = in_proof(goal), [n for n in (value, objective) if n is not None]
            if self._report and name is not None and known:
                self._report(name, min(known), max(lower, least))

        return tell

    @property
    def proof(self) -> tuple[Goal, ...]:
        """The goals of a proof, and those above them.

        The remnant is none of these, and what is held for it bounds nothing there.
        """
        above = (goal for goal in self._order if goal in ABOVE_ALL)
        return (*above, *goal_order(self._problem))

    @property
    def limits(self) -> Mapping[Goal, int]:
        """What goals must keep within."""
        return self._wish.limits

    @property
    def scale(self) -> int:
        """Whole units to one of money."""
        return self._problem.scale

    @property
    def used_bound(self) -> int:
        """Least length used by any plan, as far as it is known; 0 where openings are left out."""
        made = self._wish.forgone.leaving is None or not self.incumbent.scored["left"]
        return self.known.used if made else 0


def reached_by(searches: Sequence[Passes], goals: Iterable[Goal]) -> dict[Goal, Extent]:
    """What the best candidate of all, that of the last search, reaches for each goal, and its bound
    given the goals before it."""
    last = searches[-1]
    held, scored, live = dict(last.limits), last.incumbent.scored, list(searches)
    reached = {}
    for goal in goals:
        value = scored[goal]
        bounds = [search.known.bound(goal, held) for search in live]
        reached[goal] = Extent(value, min(*bounds, value))
        # What cannot reach as much has nothing to say of the goals that follow.
        live = [s for s, bound in zip(live, bounds, strict=True) if bound <= value] or [last]
        held[goal] = value
    return reached
