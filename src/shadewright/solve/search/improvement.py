"""The search: a first plan at once, then one goal after the other, each with its bound.

1. First plans by simple rules, so that there mostly is one.
2. A look at the least length used by any plan at all, whatever it costs: a bound of it is
   `used_bound`, and mostly settles what must be bought.
3. What is asked for and cannot be had, and what is left out or given up, where a job lets it.
4. Money (or length bought), number of shades, length used, on the narrowest options only: no other
   option can do better on these (`narrowest_options`).
5. Number of cut widths, and gaps, on all options; the largest remnant of what is on hand.

Each goal is held at what it reached while the next is minimised, and a bound is only used while the
goals before it are held no looser than when it was found. Where a roll's templates can all
be listed (or its rectangles are few) the model is exact and its own bound is the goal's. Elsewhere
good templates are priced, and the bound comes from a second, bounding model.

Where rows of a print start matters when pieces begin at known heights of it. Each start worth
trying (`Supply.lines`) makes a model of its own; a goal is minimised over all of them, and its
bound is the least of theirs.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field, replace

from shadewright import stopping
from shadewright.measure import Ticks
from shadewright.solve.packing.worths import Worth, price
from shadewright.solve.problem.kinds import Option, Problem, narrowest_options
from shadewright.solve.problem.supply import Supply
from shadewright.solve.run import Clock, InfeasibleError, run
from shadewright.solve.search.candidate import Candidate, Forgone, Taken, score
from shadewright.solve.search.filling import fillings, in_turn
from shadewright.solve.search.first import first_candidate
from shadewright.solve.search.formulate import (
    able_to_cut,
    formulate,
    options_of,
    row_by_row,
    size_of,
    turning,
    turning_for_some,
)
from shadewright.solve.search.goals import (
    Goal,
    GoalName,
    bought_value,
    goal_order,
    in_proof,
    money_scale,
)
from shadewright.solve.search.hint import add_hint
from shadewright.solve.search.model import Formulation, Model, bounding_grid, build

# Goals for which a wider option may be the better one.
_ON_ALL_OPTIONS: frozenset[Goal] = frozenset({"widths", "gaps"})
# Goals that come before those of a proof.
_ABOVE_ALL: tuple[Goal, ...] = ("short", "left")


@dataclass(frozen=True)
class Extent:
    """How far something is reached, and what no plan gets below."""

    value: int
    bound: int


@dataclass(frozen=True)
class Reached(Extent):
    """What a goal of a proof reached; money in units of the problem's money."""

    goal: GoalName


@dataclass(frozen=True)
class Found:
    """The best candidate, and how good it is known to be.

    Attributes:
        goals: those of a proof.
        short: cloth that would have to be bought and cannot.
        left: what openings left out, and all that is given up, cost.
        money_scale: money values are in this many parts of a unit of money.
        used_bound: least length used by any plan.
        stopped: whether the user stopped the search.
    """

    candidate: Candidate
    goals: tuple[Reached, ...]
    short: Extent
    left: Extent
    money_scale: int
    used_bound: int
    seconds: float
    stopped: bool

    @property
    def proved(self) -> bool:
        return all(reached.value == reached.bound for reached in self.goals)


Report = Callable[[GoalName, float, float], None]


@dataclass(frozen=True)
class Wish:
    """What a search is asked beyond the goals of its problem.

    Attributes:
        limits: that goals must keep within.
        forgone: what a plan may do without.
        remnant_first: whether one large remnant comes before using little.
        enough: whether a plan that asks for cloth which cannot be had may be left as it is.
    """

    limits: Mapping[Goal, int] = field(default_factory=dict)
    forgone: Forgone = field(default_factory=Forgone)
    remnant_first: bool = False
    enough: bool = False


def search(  # noqa: PLR0917
    problem: Problem,
    supply: Supply,
    clock: Clock,
    seed: int = 0,
    report: Report | None = None,
    wish: Wish | None = None,
) -> Found | None:
    """Find the best candidate within a time; None if there is none, or none was found.

    Args:
        clock: what is left of it; even where nothing is, there mostly is a first candidate.
        seed: the same problem, seconds and seed give the same candidate.
        report: called now and then with a goal, its value so far and its bound.

    Raises:
        KeyboardInterrupt: the user stopped it before there was a candidate.
    """
    wish = wish or Wish()
    with stopping.ends_soon():
        start = None
        strict = _of_equal_widths(problem)
        if strict is not None:
            part = clock.part(clock.effort.strict)
            start = _improved(_Search(strict, supply, part, seed, report, wish), part).best
        found = _Search(problem, supply, clock, seed, report, wish, start)
        _improved(found, clock)
    return found.found()


def _of_equal_widths(problem: Problem) -> Problem | None:
    """The problem whose openings have equal widths, where others are allowed; None if they are
    not, or if equal widths are not possible everywhere."""
    kinds = tuple(
        replace(kind, options=tuple(o for o in kind.options if len(set(o.widths)) <= 1), floors=())
        for kind in problem.kinds
    )
    fewer = sum(len(kind.options) for kind in kinds) < sum(len(k.options) for k in problem.kinds)
    if not fewer or not all(kind.options for kind in kinds):
        return None
    return replace(problem, kinds=tuple(replace(kind, complete=True) for kind in kinds))


def _improved(search: _Search, clock: Clock) -> _Search:
    """The search when its time is over, or when it is asked to stop."""
    if search.best is not None:
        stopping.keep()
    try:
        search.improve()
    except KeyboardInterrupt:
        clock.stop()
    return search


class _Search:
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
    ) -> None:
        self._problem = problem
        self._narrow = replace(problem, kinds=narrowest_options(problem.kinds))
        self._supply = supply
        self._lines, self._every_line = supply.lines(self._narrow, clock.effort)
        self._clock = clock
        self._seed = seed
        self._report = report
        self._wish = wish
        self._limits: dict[Goal, int] = dict(wish.limits)
        self._order = _order(problem, supply, wish)
        self._bounds = {goal: _Bounds() for goal in self._order}
        self._used_bound = 0
        self.best: Candidate | None = None
        if start is not None:
            self._keep(start, {})
        for candidate in self._first():
            self._keep(candidate, {})

    def _score(self, candidate: Candidate) -> dict[Goal, int]:
        return score(self._problem, self._supply, candidate, self._wish.forgone)

    def _first(self) -> Iterator[Candidate]:
        """First candidates, by simple rules."""
        wish, supply = self._wish, self._lines[0]
        if wish.forgone.leaving is not None:
            yield Candidate(tuple(((Taken(None), k.copies),) for k in self._narrow.kinds), ())
        bolts = all(these[-1].bought for these in supply.stretches.values())
        if (
            bolts
            and not wish.forgone.leaving
            and not (any(supply.kept.values()) and supply.lots != "none")
        ):
            first = first_candidate(self._narrow, supply, fewest="shades" in self._limits)
            yield first
            if supply.on_hand:
                turned = in_turn(self._narrow, supply, first)
                if turned is not None:
                    yield turned
        if supply.on_hand or wish.forgone.leaving is not None:
            for line in self._lines[:4]:
                yield from fillings(self._narrow, line, wish.forgone, self._clock)

    def _keep(self, candidate: Candidate, held: Mapping[Goal, int]) -> None:
        """Take a candidate if it keeps what is held and is better than the best so far."""
        scored = self._score(candidate)
        if any(scored[goal] > most for goal, most in {**self._limits, **held}.items()):
            return
        if self._known(candidate):
            return
        if self.best is not None:
            before = self._score(self.best)
            if [scored[g] for g in self._order] >= [before[g] for g in self._order]:
                return
        self.best = candidate

    def _known(self, candidate: Candidate) -> bool:
        """Whether it gives up all of a set that is known already."""
        gone = {name for row in candidate.chosen for taken, _ in row for name in taken.gives_up}
        out = [sum(n for t, n in row if t.option is None) for row in candidate.chosen]
        return any(
            names <= gone and all(a >= b for a, b in zip(out, left, strict=True))
            for names, left in self._wish.forgone.known
        )

    def improve(self) -> None:
        """Pass over the goals until all are proved or the time is over."""
        if self._over and self._wish.forgone.leaving is not None:
            return
        worths = _worths(self._narrow, self._clock)
        least_used = _least_used(self._narrow, self._supply, worths)
        if self._wish.forgone.leaving is None:
            self._learn(least_used)
        if self._over:
            return
        by_narrow = self._stage(self._narrow, worths)
        if self.best is not None and self._order[0] in goal_order(self._problem):
            bound = self._minimise(by_narrow, "used", self._limits, self._clock.effort.glance)
            self._used_bound = max(self._used_bound, bound)
            if len(least_used) == 1 and not self._supply.on_hand:
                self._learn(dict.fromkeys(least_used, self._used_bound))
        stages = {goal: by_narrow for goal in self._order if goal not in _ON_ALL_OPTIONS}
        for share in self._clock.effort.shares:
            if self._pass(stages, worths, share) or self._over:
                return

    @property
    def _over(self) -> bool:
        """Whether the time is over; without a plan one more look is taken."""
        return self._clock.over and self.best is not None

    def _learn(self, least_used: Mapping[str, int]) -> None:
        """Bounds that follow from the least length used of each roll."""
        self._used_bound = max(self._used_bound, sum(least_used.values()))
        for goal in self._order:
            self._bounds[goal].add({}, _least(self._problem, self._supply, goal, least_used))

    def _pass(
        self, stages: dict[Goal, _Stage], worths: Mapping[str, list[Worth]], share: float
    ) -> bool:
        """Minimise one goal after the other; whether there is nothing more to find."""
        held = dict(self._limits)
        for goal in self._order:
            value = None if self.best is None else self._score(self.best)[goal]
            if value is None or value > self._bounds[goal].given(held):
                if self._over:
                    return True
                if goal not in stages:
                    stages |= dict.fromkeys(_ON_ALL_OPTIONS, self._stage(self._problem, worths))
                # What cannot be had, or is given up, comes before all else.
                part = max(share, self._clock.effort.share_above) if goal in _ABOVE_ALL else share
                self._bounds[goal].add(held, self._minimise(stages[goal], goal, held, part))
            if self.best is None:
                return self._clock.over
            held[goal] = self._score(self.best)[goal]
            if goal == "short" and held[goal] and self._wish.enough:
                return True
        reached = self._reached(self._order)
        return all(each.value == each.bound for each in reached.values())

    def _stage(self, problem: Problem, worths: Mapping[str, list[Worth]]) -> _Stage:
        return _Stage(
            problem,
            self._lines,
            self._clock,
            self._seed,
            worths,
            self._wish.forgone,
        )

    def _minimise(self, stage: _Stage, goal: Goal, held: Mapping[Goal, int], share: float) -> int:
        """Look for something better on every line; gives the bound of the goal given those held."""
        bounds = []
        lines = list(stage.lines)
        for number, line in enumerate(lines):
            if self._clock.over and self.best is not None:
                bounds.append(0)
                break
            value = None if self.best is None else self._score(self.best)[goal]
            part = share / (len(lines) - number) if len(lines) > 1 else share
            found = stage.minimise(
                line, goal, (self.best, value), held, part, self._tell(goal, value, held)
            )
            if found is None:
                # Nothing on this line keeps to the goals before.
                continue
            candidate, bound = found
            bounds.append(bound)
            if candidate is not None:
                stopping.keep()
                reached = self._score(candidate)
                fits = all(reached[g] <= most for g, most in held.items())
                if fits and (value is None or reached[goal] <= value):
                    self.best = candidate
        return min(bounds, default=0) if self._every_line else 0

    def _tell(
        self, goal: Goal, value: int | None, held: Mapping[Goal, int]
    ) -> Callable[[float | None, float], None]:
        least = self._bounds[goal].given(held)

        def tell(objective: float | None, lower: float) -> None:
            name, known = in_proof(goal), [n for n in (value, objective) if n is not None]
            if self._report and name is not None and known:
                self._report(name, min(known), max(lower, least))

        return tell

    def _reached(self, goals: tuple[Goal, ...]) -> dict[Goal, Extent]:
        """What each goal reached, and its bound given the goals before it."""
        assert self.best is not None
        held = dict(self._limits)
        scored = self._score(self.best)
        reached = {}
        for goal in goals:
            value = scored[goal]
            reached[goal] = Extent(value, min(self._bounds[goal].given(held), value))
            held[goal] = value
        return reached

    def found(self) -> Found | None:
        """Where the search stands."""
        if self.best is None:
            return None
        # The remnant is no goal of a proof, and what is held for it bounds nothing there.
        proof = goal_order(self._problem)
        reached = self._reached((*(g for g in self._order if g in _ABOVE_ALL), *proof))
        return Found(
            candidate=self.best,
            goals=tuple(Reached(reached[g].value, reached[g].bound, g) for g in proof),
            short=reached.get("short", Extent(0, 0)),
            left=reached.get("left", Extent(0, 0)),
            money_scale=money_scale(self._problem),
            used_bound=min(self._used_bound, self._score(self.best)["used"]),
            seconds=self._clock.elapsed,
            stopped=self._clock.stopped,
        )


def _order(problem: Problem, supply: Supply, wish: Wish) -> tuple[Goal, ...]:
    """The goals of a search, most important first."""
    goals: list[Goal] = []
    if supply.unbought:
        goals.append("short")
    if wish.forgone.something:
        goals.append("left")
    goals += goal_order(problem)
    if supply.on_hand:
        goals.insert(goals.index("used") if wish.remnant_first else len(goals), "remnant")
    return tuple(goals)


class _Bounds:
    """Bounds of one goal, each with the values of earlier goals that it was found under."""

    def __init__(self) -> None:
        self._found: list[tuple[dict[Goal, int], int]] = [({}, 0)]

    def add(self, held: Mapping[Goal, int], bound: int) -> None:
        self._found.append((dict(held), bound))

    def given(self, held: Mapping[Goal, int]) -> int:
        """The best bound while earlier goals are held at these values.

        A bound found under looser values holds under tighter ones, but not the other way about:
        when an earlier goal gets better, one between may get worse.
        """
        return max(
            bound
            for under, bound in self._found
            if all(goal in held and held[goal] <= most for goal, most in under.items())
        )


def _least(problem: Problem, supply: Supply, goal: Goal, least_used: Mapping[str, int]) -> int:
    """A bound of a goal that needs no search.

    Args:
        least_used: of each roll, in any plan.
    """
    by_option: dict[Goal, Callable[[Option], int]] = {
        "shades": lambda option: option.shades,
        "gaps": lambda option: option.gaps,
    }
    if goal in by_option:
        of = by_option[goal]
        return sum(kind.copies * min(map(of, kind.bounding)) for kind in problem.kinds)
    if goal == "used":
        return sum(least_used.values())
    if goal == "widths":
        return 1
    if goal in ("left", "remnant"):
        return 0
    bolts: dict[str, Ticks | None] = {}
    for name, least in least_used.items():
        on_hand = sum(s.end - s.start for s in supply.stretches[name] if s.end is not None)
        beyond = least - on_hand
        bolts[name] = beyond if beyond > 0 else None if on_hand else least
    if goal == "short":
        return sum(bolts[name] or 0 for name in supply.unbought)
    fewest = _least(problem, supply, "shades", least_used)
    return bought_value(problem, "money" if goal == "money" else "bought", bolts, fewest)


def _least_used(
    problem: Problem, supply: Supply, worths: Mapping[str, list[Worth]]
) -> dict[str, int]:
    """Lengths that no plan goes below: what the cheapest options are worth, roll by roll.

    Each stretch that is used may leave a tail unused; that of the bolt has a lead.
    """
    bounded = problem.bounding()
    least: dict[str, int] = {}
    for roll in bounded.rolls:
        rects = bounded.rects(roll)
        grid = bounding_grid(roll, rects)
        units = max(
            -(
                -sum(
                    kind.copies * min(worth.of_option(grid, option) for option in kind.options)
                    for kind in bounded.kinds
                )
                // worth.kappa
            )
            for worth in worths[roll.name]
        )
        stretches = supply.stretches[roll.name]
        tails = len(stretches) * max(map(grid.tail, rects))
        lead = roll.lead if roll.name in supply.whole else min(s.start for s in stretches)
        least[roll.name] = lead + max(grid.unit * units - tails, 0)
    return least


class _Stage:
    """Models of one set of options, solved for one goal after another."""

    def __init__(  # noqa: PLR0917
        self,
        problem: Problem,
        lines: list[Supply],
        clock: Clock,
        seed: int,
        worths: Mapping[str, list[Worth]],
        forgone: Forgone,
    ) -> None:
        self.lines = lines
        self._problem = problem
        self._clock = clock
        self._seed = seed
        self._forgone = forgone
        self._cutting, self._apt = formulate(problem, clock)
        self._phased = any(len(roll.nodes) > 1 for roll in problem.rolls)
        # Options that bounds and candidates have taken so far, kind by kind.
        self._liked: list[dict[Option, None]] = [{} for _ in problem.kinds]
        # What bounds, and what shows which options are worth cutting row by row.
        self._bounding: Formulation | None = None
        self._guiding: tuple[Problem, Formulation] | None = None
        # What flaws over part of the width take is modelled a little too large; without them
        # nothing is lost that a plan could have.
        self._spotted = lines[0].spotted
        if self._phased:
            turns = turning(problem, lines[0], self._cutting, clock)
            self._guiding = None if turns is None else (problem, turns)
            self._bounding = turns if self._apt else None
        elif self._apt and self._spotted:
            self._bounding = self._cutting
        if self._bounding is None and (self._phased or not self._apt):
            self._bounding = Formulation(worths=worths, bounding=True)

    def minimise(  # noqa: PLR0917
        self,
        line: Supply,
        goal: Goal,
        best: tuple[Candidate | None, int | None],
        held: Mapping[Goal, int],
        share: float,
        tell: Callable[[float | None, float], None],
    ) -> tuple[Candidate | None, int] | None:
        """A candidate that is no worse than the best, if one was found, and a bound of the goal
        given those held; None where nothing keeps to these.

        Args:
            best: the best candidate and its value.
            share: of the work left that this may take.
        """
        candidate, value = best
        try:
            bound = self._bound(line, goal, held, share)
        except InfeasibleError:
            return None
        if value is not None and (value <= bound or self._clock.over):
            return None, bound
        problem, cutting, exact = self._problem, self._cutting, self._apt and not self._spotted
        if self._phased:
            self._like(options_of(problem, candidate))
            self._guide(line, goal, candidate, held, share)
            rows = row_by_row(problem, line, cutting, candidate, self._liked, self._clock)
            if rows is None:
                return None, bound
            problem, cutting, complete = rows
            exact = exact and complete
        elif candidate is not None:
            self._cutting = cutting = able_to_cut(cutting, candidate)
        size = size_of(problem, line, cutting)
        small = candidate is None and size <= self._clock.effort.small_model
        if not small and not self._clock.can_build(size):
            return None, bound
        model = self._model(problem, line, cutting, goal, held)
        if candidate is not None:
            add_hint(model, candidate)

        def told(objective: float | None, lower: float) -> None:
            tell(objective, max(lower, bound) if exact else bound)

        try:
            outcome = run(model.cp, self._clock, share, self._seed, told)
        except InfeasibleError:
            return None if exact else (None, bound)
        if outcome.bound is not None and exact:
            bound = max(bound, outcome.bound)
        return None if outcome.value is None else model.candidate(outcome.value), bound

    def _model(
        self,
        problem: Problem,
        line: Supply,
        cutting: Formulation,
        goal: Goal,
        held: Mapping[Goal, int],
    ) -> Model:
        model = build(problem, line, cutting, self._forgone)
        for earlier, most in held.items():
            model.hold(earlier, most)
        model.cp.minimize(model.goals[goal])
        return model

    def _bound(self, line: Supply, goal: Goal, held: Mapping[Goal, int], share: float) -> int:
        """A bound by the bounding model, if there is one."""
        if self._bounding is None or self._clock.over:
            return 0
        line = line.clean
        if not self._clock.can_build(size_of(self._problem, line, self._bounding)):
            return 0
        model = self._model(self._problem, line, self._bounding, goal, held)
        outcome = run(model.cp, self._clock, share / 2, self._seed)
        if outcome.value is not None and not self._bounding.bounding:
            self._like_chosen(model, outcome.value)
        return outcome.bound or 0

    def _guide(
        self,
        line: Supply,
        goal: Goal,
        best: Candidate | None,
        held: Mapping[Goal, int],
        share: float,
    ) -> None:
        """Let the guiding model say what it likes, where that is not the bounding one."""
        if self._bounding is None or not self._bounding.bounding or self._clock.over:
            return
        if self._guiding is None:
            self._guiding = turning_for_some(self._problem, line, best, self._clock)
        if self._guiding is None:
            return
        problem, cutting = self._guiding
        if not self._clock.can_build(size_of(problem, line, cutting)):
            return
        model = self._model(problem, line.clean, cutting, goal, held)
        try:
            outcome = run(model.cp, self._clock, share / 3, self._seed)
        except InfeasibleError:
            return
        if outcome.value is not None:
            self._like_chosen(model, outcome.value)

    def _like_chosen(self, model: Model, value: list[int]) -> None:
        chosen = model.chosen(value)
        self._like([[t.option for t, _ in row if t.option is not None] for row in chosen])

    def _like(self, options: list[list[Option]]) -> None:
        for liked, taken in zip(self._liked, options, strict=True):
            liked.update(dict.fromkeys(taken))


def _worths(problem: Problem, clock: Clock) -> dict[str, list[Worth]]:
    """What every plan satisfies: worths by the prices of all bounding options."""
    bounded = problem.bounding()
    grids = {roll.name: bounding_grid(roll, bounded.rects(roll)) for roll in bounded.rolls}
    return {name: [worth] for name, worth in price(bounded.kinds, grids, clock).worths.items()}
