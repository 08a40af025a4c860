"""The search: a first plan at once, then one goal after the other, each with its bound.

1. A first plan from a simple rule, so that there is always one.
2. A look at the least length used by any plan at all, whatever it costs: a bound of it is
   `used_bound`, and mostly settles what must be bought.
3. Money (or length bought), number of shades, length used, on the narrowest options only: no other
   option can do better on these (`narrowest_options`).
4. Number of cut widths, and gaps, on all options.

Each goal is held at what it reached while the next is minimised, and a bound is only used while the
goals before it are held no looser than when it was found. Where a roll's templates can all
be listed (or its rectangles are few) the model is exact and its own bound is the goal's. Elsewhere
good templates are priced, and the bound comes from a second, bounding model.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace

from shadewright import stopping
from shadewright.solve.first import first_candidate
from shadewright.solve.formulate import (
    able_to_cut,
    formulate,
    row_by_row,
    size_of,
    turning,
    turning_for_some,
)
from shadewright.solve.hint import add_hint
from shadewright.solve.model import (
    Candidate,
    Chosen,
    Formulation,
    GoalName,
    Model,
    bought_value,
    bounding_grid,
    build,
    goal_order,
    money_scale,
    score,
)
from shadewright.solve.pricing import Worth, price
from shadewright.solve.problem import Option, Problem, narrowest_options
from shadewright.solve.run import Clock, run

# Shares of the work left that one goal may take, in passes over all goals: easy ones are settled in
# the first, and what is left goes to the hard ones.
_SHARES = (0.1, 0.3, 0.9)
# The same for a look at the least length of all: buying steps are coarse, so money is mostly
# settled long before the last tick is.
_GLANCE = 0.03
# Goals for which a wider option may be the better one.
_ON_ALL_OPTIONS: frozenset[GoalName] = frozenset({"widths", "gaps"})


@dataclass(frozen=True)
class Reached:
    """What a goal reached and its bound; money in units of the problem's money."""

    goal: GoalName
    value: int
    bound: int


@dataclass(frozen=True)
class Found:
    """The best candidate, and how good it is known to be.

    Attributes:
        money_scale: money values are in this many parts of a unit of money.
        used_bound: least length used by any plan.
        stopped: whether the user stopped the search.
    """

    candidate: Candidate
    goals: tuple[Reached, ...]
    money_scale: int
    used_bound: int
    seconds: float
    stopped: bool

    @property
    def proved(self) -> bool:
        return all(reached.value == reached.bound for reached in self.goals)


Report = Callable[[GoalName, float, float], None]


def search(
    problem: Problem,
    clock: Clock,
    seed: int = 0,
    report: Report | None = None,
    most_shades: int | None = None,
) -> Found:
    """Find the best candidate within a time.

    Args:
        clock: what is left of it; even where nothing is, there is a first candidate.
        seed: the same problem, seconds and seed give the same candidate.
        report: called now and then with a goal, its value so far and its bound.
        most_shades: that a candidate may have, at least as many as the problem's fewest; no limit
            if None.

    Raises:
        KeyboardInterrupt: the user stopped it before there was a candidate.
    """
    with stopping.ends_soon():
        found = _Search(problem, clock, seed, report, most_shades)
        stopping.keep()
        try:
            found.improve()
        except KeyboardInterrupt:
            clock.stop()
    return found.found()


class _Search:
    """The best candidate so far, and what is known of better ones."""

    def __init__(
        self,
        problem: Problem,
        clock: Clock,
        seed: int,
        report: Report | None,
        most_shades: int | None,
    ) -> None:
        self._problem = problem
        self._narrow = replace(problem, kinds=narrowest_options(problem.kinds))
        self._clock = clock
        self._seed = seed
        self._report = report
        self._limits: dict[GoalName, int] = {} if most_shades is None else {"shades": most_shades}
        self._order = goal_order(problem)
        self._best = first_candidate(self._narrow, fewest=most_shades is not None)
        self._bounds = {goal: _Bounds() for goal in self._order}
        self._used_bound = 0

    def improve(self) -> None:
        """Pass over the goals until all are proved or the time is over."""
        problem, clock, seed = self._problem, self._clock, self._seed
        worths = _worths(self._narrow, clock)
        least_used = _least_used(self._narrow, worths)
        self._used_bound = sum(least_used.values())
        for goal in self._order:
            self._bounds[goal].add({}, _least(problem, goal, least_used))
        if clock.over:
            return
        by_narrow = _Stage(self._narrow, clock, seed, worths)
        self._best, bound = by_narrow.minimise(
            "used", self._best, self._limits, _GLANCE, self._report
        )
        self._used_bound = max(self._used_bound, bound)
        if len(least_used) == 1:
            least_used = dict.fromkeys(least_used, self._used_bound)
            for goal in self._order:
                self._bounds[goal].add({}, _least(problem, goal, least_used))
        by_all: _Stage | None = None
        for share in _SHARES:
            held = dict(self._limits)
            for goal in self._order:
                if score(problem, self._best)[goal] > self._bounds[goal].given(held):
                    if clock.over:
                        return
                    if goal in _ON_ALL_OPTIONS:
                        by_all = by_all or _Stage(problem, clock, seed, worths)
                    stage = by_all if by_all and goal in _ON_ALL_OPTIONS else by_narrow
                    self._best, bound = stage.minimise(goal, self._best, held, share, self._report)
                    self._bounds[goal].add(held, bound)
                held[goal] = score(problem, self._best)[goal]
            if clock.over or all(each.value == each.bound for each in self._reached()):
                return

    def _reached(self) -> tuple[Reached, ...]:
        """What each goal reached, and its bound given the goals before it."""
        held = dict(self._limits)
        scored = score(self._problem, self._best)
        reached = []
        for goal in self._order:
            value = scored[goal]
            reached.append(Reached(goal, value, min(self._bounds[goal].given(held), value)))
            held[goal] = value
        return tuple(reached)

    def found(self) -> Found:
        """Where the search stands."""
        used = score(self._problem, self._best)["used"]
        return Found(
            candidate=self._best,
            goals=self._reached(),
            money_scale=money_scale(self._problem),
            used_bound=min(self._used_bound, used),
            seconds=self._clock.elapsed,
            stopped=self._clock.stopped,
        )


class _Bounds:
    """Bounds of one goal, each with the values of earlier goals that it was found under."""

    def __init__(self) -> None:
        self._found: list[tuple[dict[GoalName, int], int]] = [({}, 0)]

    def add(self, held: Mapping[GoalName, int], bound: int) -> None:
        self._found.append((dict(held), bound))

    def given(self, held: Mapping[GoalName, int]) -> int:
        """The best bound while earlier goals are held at these values.

        A bound found under looser values holds under tighter ones, but not the other way about:
        when an earlier goal gets better, one between may get worse.
        """
        return max(
            bound
            for under, bound in self._found
            if all(goal in held and held[goal] <= most for goal, most in under.items())
        )


def _least(problem: Problem, goal: GoalName, least_used: Mapping[str, int]) -> int:
    """A bound of a goal that needs no search.

    Args:
        least_used: of each roll, in any plan.
    """
    by_option: dict[GoalName, Callable[[Option], int]] = {
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
    fewest = _least(problem, "shades", least_used)
    return bought_value(problem, goal, least_used, fewest)


def _least_used(problem: Problem, worths: Mapping[str, list[Worth]]) -> dict[str, int]:
    """Lengths that no plan goes below: what the cheapest options are worth, roll by roll."""
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
        least[roll.name] = roll.lead + max(grid.unit * units - max(map(grid.tail, rects)), 0)
    return least


class _Stage:
    """Models of one set of options, solved for one goal after another."""

    def __init__(
        self, problem: Problem, clock: Clock, seed: int, worths: Mapping[str, list[Worth]]
    ) -> None:
        self._problem = problem
        self._clock = clock
        self._seed = seed
        self._cutting, self._apt = formulate(problem, clock)
        self._phased = any(len(roll.nodes) > 1 for roll in problem.rolls)
        # Options that bounds and candidates have taken so far, kind by kind.
        self._liked: list[dict[Option, None]] = [{} for _ in problem.kinds]
        # What bounds, and what shows which options are worth cutting row by row.
        self._bounding: Formulation | None = None
        self._guiding: tuple[Problem, Formulation] | None = None
        if self._phased:
            turns = turning(problem, self._cutting)
            self._guiding = None if turns is None else (problem, turns)
            self._bounding = turns if self._apt else None
        if self._bounding is None and (self._phased or not self._apt):
            self._bounding = Formulation(worths=worths, bounding=True)

    def minimise(
        self,
        goal: GoalName,
        best: Candidate,
        held: Mapping[GoalName, int],
        share: float,
        report: Report | None,
    ) -> tuple[Candidate, int]:
        """A candidate at least as good as `best`, and a bound of the goal given those held.

        Args:
            share: of the work left that this may take.
        """
        bound = self._bound(goal, held, share)
        value = score(self._problem, best)[goal]
        if value <= bound or self._clock.over:
            return best, bound
        problem, cutting, exact = self._problem, self._cutting, self._apt
        if self._phased:
            self._like(best.chosen)
            self._guide(goal, best, held, share)
            rows = row_by_row(problem, cutting, best, self._liked, self._clock)
            if rows is None:
                return best, bound
            problem, cutting, complete = rows
            exact = exact and complete
        else:
            self._cutting = cutting = able_to_cut(cutting, best)
        if not self._clock.can_build(size_of(problem, cutting)):
            return best, bound
        model = _model(problem, cutting, goal, held)
        add_hint(model, best)

        def tell(objective: float | None, lower: float) -> None:
            if report:
                so_far = value if objective is None else min(value, objective)
                report(goal, so_far, max(lower, bound) if exact else bound)

        outcome = run(model.cp, self._clock, share, self._seed, tell)
        if outcome.bound is not None and exact:
            bound = max(bound, outcome.bound)
        if outcome.value is not None:
            found = model.candidate(outcome.value)
            if score(self._problem, found)[goal] <= value:
                best = found
        return best, bound

    def _bound(self, goal: GoalName, held: Mapping[GoalName, int], share: float) -> int:
        """A bound by the bounding model, if there is one."""
        if self._bounding is None or self._clock.over:
            return 0
        if not self._clock.can_build(size_of(self._problem, self._bounding)):
            return 0
        model = _model(self._problem, self._bounding, goal, held)
        outcome = run(model.cp, self._clock, share / 2, self._seed)
        if outcome.value is not None and not self._bounding.bounding:
            self._like(model.chosen(outcome.value))
        return outcome.bound or 0

    def _guide(
        self, goal: GoalName, best: Candidate, held: Mapping[GoalName, int], share: float
    ) -> None:
        """Let the guiding model say what it likes, where that is not the bounding one."""
        if self._bounding is None or not self._bounding.bounding or self._clock.over:
            return
        if self._guiding is None:
            self._guiding = turning_for_some(self._problem, best, self._clock)
        if self._guiding is None:
            return
        if not self._clock.can_build(size_of(*self._guiding)):
            return
        model = _model(*self._guiding, goal, held)
        outcome = run(model.cp, self._clock, share / 3, self._seed)
        if outcome.value is not None:
            self._like(model.chosen(outcome.value))

    def _like(self, chosen: Chosen) -> None:
        for liked, taken in zip(self._liked, chosen, strict=True):
            liked.update(dict.fromkeys(option for option, _ in taken))


def _model(
    problem: Problem, formulation: Formulation, goal: GoalName, held: Mapping[GoalName, int]
) -> Model:
    model = build(problem, formulation)
    for earlier, most in held.items():
        model.hold(earlier, most)
    model.cp.minimize(model.goals[goal])
    return model


def _worths(problem: Problem, clock: Clock) -> dict[str, list[Worth]]:
    """What every plan satisfies: worths by the prices of all bounding options."""
    bounded = problem.bounding()
    grids = {roll.name: bounding_grid(roll, bounded.rects(roll)) for roll in bounded.rolls}
    return {name: [worth] for name, worth in price(bounded.kinds, grids, clock).worths.items()}
