"""Sets of options cut row by row, one after the other: proofs where rolls have several phases.

A model of rows and of all options at once takes long. But turns bound well, and a set of options by
itself is cut row by row in no time: so the set that turns bound lowest is cut, then the next one,
until none is left that could be better. That is Benders decomposition, as in `option_sets`, with
what a set came to known exactly and so left out by one constraint (Hooker and Ottosson 2003,
"Logic-based Benders decomposition"; from memory).

Of one set, few stacks bound quickly (`packing.long_rows`); as long as that is too low, longer ones
are listed.

Measured on 15 different openings and a half-drop of two phases, 54 and 60 in: of nine, four were
not proved in 10 s by models of all options, by up to five steps of money; all are now, in 0.6 to
2 s.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

from shadewright.solve.problem.kinds import Problem
from shadewright.solve.problem.supply import Supply
from shadewright.solve.run import Clock, InfeasibleError, run
from shadewright.solve.search.aim import Aim
from shadewright.solve.search.building import minimising
from shadewright.solve.search.candidate import Candidate, Chosen, Forgone, score
from shadewright.solve.search.formulate import formulate, only, options_of, row_by_row, size_of
from shadewright.solve.search.goals import Goal
from shadewright.solve.search.hint import add_hint
from shadewright.solve.search.model import Model

_TOLD_BY_OPTIONS: frozenset[Goal] = frozenset({"shades", "widths", "gaps"})
"""Goals that say nothing of how long a roll is."""


@dataclass
class _Tried:
    """What is known of one set of options.

    Attributes:
        start: the best plan that takes it.
        bound: of all plans that do; None where nothing does.
        members: rectangles of the stacks that are listed next.
        whole: whether another look tells no more.
    """

    chosen: Chosen
    start: Candidate | None
    bound: int | None
    members: int = 1
    whole: bool = False

    def is_open(self, aim: Aim) -> bool:
        """Whether it may have something better, and another look may tell."""
        return not self.whole and self.bound is not None and not aim.met(self.bound)


@dataclass
class RowSets:
    """Sets of options of a problem, and what is known of them."""

    problem: Problem
    forgone: Forgone
    seed: int
    _tried: dict[tuple[object, ...], list[_Tried]] = field(default_factory=dict)

    def minimise(  # noqa: PLR0917
        self,
        number: int,
        line: Supply,
        turns: Model,
        aim: Aim,
        clock: Clock,
        like: Callable[[Candidate], None],
    ) -> tuple[int, Candidate | None]:
        """A bound, and the best plan that is no worse than what is reached, if one was found.

        Args:
            number: of the line.
            turns: a model that bounds by turns, and minimises the same.
            clock: that all of it may take.
            like: told of every set that may be worth cutting.

        Raises:
            InfeasibleError: nothing keeps what is held.
        """
        tried = self._tried.setdefault((number, aim.goal, *aim.held.items()), [])
        for each in tried:
            turns.avoid(each.chosen)
        plan: Candidate | None = None
        rest: int | None = 0
        while rest is not None and not aim.met(rest) and not clock.over:
            try:
                outcome = run(turns.cp, clock, clock.effort.row_sets, self.seed)
            except InfeasibleError:
                rest = None
                break
            rest = max(outcome.bound or 0, rest)
            if outcome.value is None:
                break
            if aim.met(rest):
                continue
            each = _Tried(turns.chosen(outcome.value), turns.candidate(outcome.value), rest)
            like(Candidate(each.chosen, ()))
            turns.avoid(each.chosen)
            tried.append(each)
            better, aim = self._cut(line, each, aim, clock, clock.effort.a_row_set)
            plan = better or plan
        # What was left open for others.
        while not clock.over and (left := [each for each in tried if each.is_open(aim)]):
            before = clock.work
            for each in sorted(left, key=lambda each: each.bound or 0):
                better, aim = self._cut(line, each, aim, clock, 1 / len(left))
                plan = better or plan
            if clock.work == before:
                break
        least = [each.bound for each in tried if each.bound is not None]
        if rest is None and not least:
            raise InfeasibleError
        return min(least if rest is None else [*least, rest]), plan

    def _cut(
        self, line: Supply, tried: _Tried, aim: Aim, clock: Clock, share: float
    ) -> tuple[Candidate | None, Aim]:
        """A plan that takes a set of options and is no worse than what was reached, and what is
        reached then.

        Args:
            share: of the work left that one look may take.
        """
        few = only(self.problem, options_of(self.problem, Candidate(tried.chosen, ())))
        cutting, exact = formulate(few, clock)
        liked = [kind.options for kind in few.kinds]
        better = aim.after(self.problem, line, tried.start, self.forgone)
        plan, aim = (None, aim) if better is None else (tried.start, better)
        goal, held = aim.goal, dict(aim.held)
        longest = held.get("used")
        told = goal in _TOLD_BY_OPTIONS and self.forgone.leaving is None and _only_one(few)
        if longest is not None and told:
            # Nothing is left but whether it is short enough, and how short it can be tells soonest.
            scored = score(self.problem, line, Candidate(tried.chosen, ()), self.forgone)
            tried.bound, goal = scored[goal], "used"
            del held["used"]
        while tried.is_open(aim):
            posed = row_by_row(few, line, cutting, tried.start, liked, clock, tried.members)
            if posed is None or not clock.can_build(size_of(few, line, posed[1])):
                break
            _, rows, whole = posed
            model = minimising(few, line, rows, clock, self.forgone, goal, held)
            if tried.start is not None:
                add_hint(model, tried.start)
            try:
                outcome = run(model.cp, clock, share, self.seed)
            except InfeasibleError:
                if exact and whole:
                    tried.bound = None
                tried.whole = True
                break
            cut = None if outcome.value is None else model.candidate(outcome.value)
            better = aim.after(self.problem, line, cut, self.forgone)
            if better is not None:
                plan, tried.start, aim = cut, cut, better
            bound = outcome.bound if exact and whole and outcome.bound is not None else 0
            if goal == aim.goal:
                tried.bound = max(tried.bound or 0, bound)
            elif longest is not None and bound > longest:
                tried.bound = None
            if not outcome.best:
                break
            listed = [stacks for stacks, _ in rows.rows.values()]
            tried.whole = all(each.complete or each.members < tried.members for each in listed)
            tried.members += 1
        return plan, aim


def _only_one(problem: Problem) -> bool:
    return all(len(kind.options) == 1 for kind in problem.kinds)
