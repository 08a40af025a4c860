"""Models of one set of options, solved for one goal after another."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

from shadewright.solve.packing.templates import Template
from shadewright.solve.packing.worths import Pricing, Worth
from shadewright.solve.problem.kinds import Option, Problem
from shadewright.solve.problem.supply import Supply
from shadewright.solve.run import Clock, InfeasibleError, Outcome, run
from shadewright.solve.search.aim import Aim
from shadewright.solve.search.building import minimising
from shadewright.solve.search.candidate import Candidate, Chosen, Forgone
from shadewright.solve.search.formulate import (
    able_to_cut,
    formulate,
    joint,
    options_of,
    row_by_row,
    size_of,
    templates_of,
    turning,
    turning_for_some,
)
from shadewright.solve.search.goals import Goal
from shadewright.solve.search.hint import add_hint
from shadewright.solve.search.model import Formulation, Model
from shadewright.solve.search.row_sets import RowSets


@dataclass(frozen=True)
class _Ended:
    """A look at one goal whose models were all solved to the end: another tells no more.

    Attributes:
        best: the candidate it began with.
        value: of that.
        likes: how many options are liked since.
    """

    best: Candidate | None
    value: int | None
    likes: int
    bound: int

    def began_with(self, best: Candidate | None, value: int | None, likes: int) -> bool:
        return best is self.best and value == self.value and likes == self.likes


class Stage:
    """Models of one set of options, solved for one goal after another.

    Args:
        worths: of the rolls' rectangles, asked for where nothing else bounds.
        before: what was priced before with these options or more.

    Attributes:
        problem: the options there are.
    """

    def __init__(  # noqa: PLR0917
        self,
        problem: Problem,
        lines: list[Supply],
        clock: Clock,
        seed: int,
        worths: Callable[[], Mapping[str, list[Worth]]],
        forgone: Forgone,
        before: Pricing | None = None,
    ) -> None:
        self.lines = lines
        self.problem = problem
        self._clock = clock
        self._seed = seed
        self._forgone = forgone
        self._cutting, self._apt = formulate(problem, clock, before)
        self._phased = any(len(roll.nodes) > 1 for roll in problem.rolls)
        # Joint drops may be longer than the table: they bound, and cut up they are a plan.
        self._joint = any(joint(roll, self._cutting) for roll in problem.rolls)
        # Options that bounds and candidates have taken so far, kind by kind.
        self._liked: list[dict[Option, None]] = [{} for _ in problem.kinds]
        self._sets = RowSets(problem, forgone, seed)
        # Looks whose models were all solved to the end, by line, goal and what was held.
        self._ended: dict[tuple[object, ...], _Ended] = {}
        self._all_solved = True
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
        elif self._apt and (self._spotted or self._joint):
            self._bounding = self._cutting
        if self._bounding is None and (self._phased or not self._apt):
            self._bounding = Formulation(worths=worths(), bounding=True)
        self._bounds_by_cutting = self._bounding is self._cutting

    @property
    def _by_sets(self) -> bool:
        """Whether sets of options are bounded by turns, and cut one after the other."""
        return self._bounding is not None and bool(self._bounding.turns) and not self._spotted

    def bound_by(self, worths: Mapping[str, list[Worth]]) -> None:
        """Bound by these worths, if worths are what bounds."""
        if self._bounding is not None and self._bounding.worths:
            self._bounding = replace(self._bounding, worths=worths)
            self._ended.clear()

    def templates(self) -> dict[str, list[Template]]:
        """Templates that cut well, roll by roll."""
        return templates_of(self.problem, self._cutting, self._clock)

    @property
    def is_exact(self) -> bool:
        """Whether one model leaves nothing out: mostly it settles a small problem soon."""
        return self._apt and not (self._phased or self._spotted or self._joint)

    @property
    def size(self) -> int:
        """About how many variables and constraints a model of the first line has."""
        return size_of(self.problem, self.lines[0], self._cutting)

    def minimise(  # noqa: PLR0917
        self,
        line: Supply,
        goal: Goal,
        best: tuple[Candidate | None, int | None],
        held: Mapping[Goal, int],
        share: float,
        tell: Callable[[float | None, float], None],
        *,
        look: int = 0,
    ) -> tuple[list[Candidate], int] | None:
        """Candidates that may be no worse than the best, if any were found, and a bound of the goal
        given those held; None where nothing keeps to these.

        Args:
            best: the best candidate and its value.
            share: of the work left that this may take.
            look: which of several this is, from 0; from 1 on all of the solver's ways to search
                take turns, and what takes long is left to the last.
        """
        candidate, value = best
        key = (self.lines.index(line), goal, *held.items())
        ended = self._ended.get(key)
        if ended is not None and ended.began_with(candidate, value, self._likes):
            return [], ended.bound
        self._all_solved = not self._by_sets
        found = self._minimise(line, Aim(goal, held, value), candidate, share, tell, look)
        if found is not None and self._all_solved:
            self._ended[key] = _Ended(candidate, value, self._likes, found[1])
        return found

    def _minimise(  # noqa: PLR0917
        self,
        line: Supply,
        aim: Aim,
        candidate: Candidate | None,
        share: float,
        tell: Callable[[float | None, float], None],
        look: int,
    ) -> tuple[list[Candidate], int] | None:
        found: list[Candidate] = []
        try:
            bound, plan = self._bound(line, aim, share)
        except InfeasibleError:
            return None
        after = aim.after(self.problem, line, plan, self._forgone)
        if plan is not None and after is not None:
            found, candidate, aim = [plan], plan, after
        if aim.met(bound) or (aim.value is not None and self._clock.over):
            return found, bound
        self._like(candidate)
        guided = self._guide(line, aim, candidate, share) if self._phased else None
        after = aim.after(self.problem, line, guided, self._forgone)
        if guided is not None and after is not None:
            found, candidate, aim = [guided], guided, after
        # Sets of options come first: a model of all there is takes long.
        is_last = look >= len(self._clock.effort.shares) - 1
        later = self._by_sets and aim.value is not None and not is_last
        posed = None if later else self._posed(line, candidate)
        if posed is None:
            return found, bound
        exact = posed[2]

        def told(objective: float | None, lower: float) -> None:
            tell(objective, max(lower, bound) if exact else bound)

        # Rows are mostly proved by one way that has all the time.
        every_way = look > 0 and not self._phased
        try:
            least, last = self._solved(line, posed, candidate, aim, share, told, every_way)
        except InfeasibleError:
            return None if exact else (found, bound)
        return (found if last is None else [*found, last]), max(bound, least)

    def _solved(  # noqa: PLR0917
        self,
        line: Supply,
        posed: tuple[Problem, Formulation, bool],
        start: Candidate | None,
        aim: Aim,
        share: float,
        tell: Callable[[float | None, float], None],
        every_way: bool,
    ) -> tuple[int, Candidate | None]:
        """A bound by a model that is posed, 0 where it leaves something out, and its candidate."""
        problem, cutting, exact = posed
        size = size_of(problem, line, cutting)
        small = aim.value is None and size <= self._clock.effort.small_model
        if not small and not self._clock.can_build(size):
            return 0, None
        model = self._model(problem, line, cutting, aim.goal, aim.held)
        if start is not None:
            add_hint(model, start)
        outcome = self._run(model, share, tell, every_way=every_way)
        bound = outcome.bound if exact and outcome.bound is not None else 0
        return bound, None if outcome.value is None else model.candidate(outcome.value)

    def _run(
        self,
        model: Model,
        share: float,
        tell: Callable[[float | None, float], None] | None = None,
        *,
        every_way: bool = False,
    ) -> Outcome:
        outcome = run(model.cp, self._clock, share, self._seed, tell, every_way=every_way)
        self._all_solved = self._all_solved and outcome.best
        return outcome

    def _posed(
        self, line: Supply, best: Candidate | None
    ) -> tuple[Problem, Formulation, bool] | None:
        """What a model of a line is built from, and whether it leaves nothing out; None where no
        model cuts more than the bounding one."""
        cutting, exact = self._cutting, self._apt and not self._spotted
        if self._phased or self._joint:
            liked, clock = self._liked, self._clock
            rows = row_by_row(self.problem, line, cutting, best, liked, clock, bounded=exact)
            if rows is not None:
                problem, cutting, complete = rows
                return problem, cutting, exact and complete
            if self._phased or self._bounds_by_cutting:
                return None
        elif best is not None:
            self._cutting = cutting = able_to_cut(cutting, best)
        return self.problem, cutting, exact

    def _model(
        self,
        problem: Problem,
        line: Supply,
        cutting: Formulation,
        goal: Goal,
        held: Mapping[Goal, int],
    ) -> Model:
        return minimising(problem, line, cutting, self._clock, self._forgone, goal, held)

    def _bound(self, line: Supply, aim: Aim, share: float) -> tuple[int, Candidate | None]:
        """A bound by the bounding model, if there is one, and what that comes to where it is a plan
        but for joint drops."""
        if self._bounding is None or self._clock.over:
            return 0, None
        clean = line.clean
        part = self._clock.part(share) if self._by_sets else self._clock
        # A model that is not solved to some end is of no use there.
        times = 2 if self._by_sets else 1
        if not part.can_build(times * size_of(self.problem, clean, self._bounding)):
            return 0, None
        model = self._model(self.problem, clean, self._bounding, aim.goal, aim.held)
        if self._by_sets:
            number = self.lines.index(line)
            return self._sets.minimise(number, line, model, aim, part, self._like)
        outcome = self._run(model, share / 2)
        if outcome.value is not None and not self._bounding.bounding:
            self._like_chosen(model, outcome.value)
        packed = self._bounds_by_cutting and not self._spotted
        cut_up = model.candidate(outcome.value) if packed and outcome.value is not None else None
        return outcome.bound or 0, cut_up

    def cheapest(  # noqa: PLR0917
        self,
        line: Supply,
        goal: Goal,
        held: Mapping[Goal, int],
        worths: Mapping[str, list[Worth]],
        avoided: Sequence[Chosen],
        clock: Clock,
    ) -> tuple[int, Chosen] | None:
        """A bound of a goal by what rectangles are worth, of all plans that take nothing avoided,
        and what is taken there; None where there are no more, or no time.
        """
        bounding = Formulation(worths=worths, bounding=True)
        if not clock.can_build(size_of(self.problem, line, bounding)):
            return None
        model = self._model(self.problem, line, bounding, goal, held)
        for chosen in avoided:
            model.avoid(chosen)
        try:
            outcome = run(model.cp, clock, 1.0, self._seed)
        except InfeasibleError:
            return None
        if outcome.value is None or outcome.bound is None:
            return None
        return outcome.bound, model.chosen(outcome.value)

    def _guide(
        self,
        line: Supply,
        aim: Aim,
        best: Candidate | None,
        share: float,
    ) -> Candidate | None:
        """Let the guiding model say what it likes, where that is not the bounding one; and what
        that comes to as a plan."""
        if self._bounding is None or not self._bounding.bounding or self._clock.over:
            return None
        if self._guiding is None:
            self._guiding = turning_for_some(self.problem, line, best, self._clock)
        if self._guiding is None:
            return None
        problem, cutting = self._guiding
        if not self._clock.can_build(size_of(problem, line, cutting)):
            return None
        model = self._model(problem, line.clean, cutting, aim.goal, aim.held)
        try:
            outcome = self._run(model, share / 3)
        except InfeasibleError:
            return None
        if outcome.value is None:
            return None
        self._like_chosen(model, outcome.value)
        return None if self._spotted else model.candidate(outcome.value)

    def _like_chosen(self, model: Model, value: list[int]) -> None:
        self._like(Candidate(model.chosen(value), ()))

    @property
    def _likes(self) -> int:
        """How many options are liked."""
        return sum(map(len, self._liked))

    def _like(self, candidate: Candidate | None) -> None:
        for liked, taken in zip(self._liked, options_of(self.problem, candidate), strict=True):
            liked.update(dict.fromkeys(taken))
