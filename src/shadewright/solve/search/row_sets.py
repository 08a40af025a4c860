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
4.5 s.
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
        bound: of all plans that take it; None where nothing does.
        whole: whether another look tells no more.
    """

    chosen: Chosen
    bound: int | None = 0
    whole: bool = False


@dataclass
class RowSets:
    """Sets of options of a problem, and what is known of them."""

    problem: Problem
    forgone: Forgone
    seed: int
    _settled: dict[tuple[object, ...], list[_Tried]] = field(default_factory=dict)

    def minimise(  # noqa: PLR0917
        self,
        number: int,
        line: Supply,
        turns: Model,
        aim: Aim,
        clock: Clock,
        like: Callable[[Candidate], None],
    ) -> tuple[int, list[Candidate]]:
        """A bound, and the best plan that is no worse than what is reached, if one was found.

        Args:
            number: of the line.
            turns: a model that bounds by turns, and minimises the same.
            clock: that all of it may take.
            like: told of every set that may be worth cutting.

        Raises:
            InfeasibleError: nothing keeps what is held.
        """
        settled = self._settled.setdefault((number, aim.goal, *aim.held.items()), [])
        for tried in settled:
            turns.avoid(tried.chosen)
        found: list[Candidate] = []
        least = [tried.bound for tried in settled if tried.bound is not None]
        rest: int | None = 0
        while rest is not None and not clock.over:
            try:
                outcome = run(turns.cp, clock, clock.effort.row_sets, self.seed)
            except InfeasibleError:
                rest = None
                break
            rest = max(outcome.bound or 0, rest)
            if outcome.value is None or aim.met(rest):
                break
            start = turns.candidate(outcome.value)
            chosen = turns.chosen(outcome.value)
            like(Candidate(chosen, ()))
            tried, plan, aim = self._cut(line, chosen, start, aim, clock)
            if plan is not None:
                found = [plan]
            if tried.bound is not None:
                least.append(max(tried.bound, rest))
            if tried.whole:
                settled.append(tried)
            turns.avoid(chosen)
        if rest is None and not least:
            raise InfeasibleError
        return min(least if rest is None else [*least, rest]), found

    def _cut(
        self, line: Supply, chosen: Chosen, start: Candidate | None, aim: Aim, clock: Clock
    ) -> tuple[_Tried, Candidate | None, Aim]:
        """A set of options cut row by row, a plan that takes it and is no worse than what was
        reached, and what is reached then.

        Args:
            start: a plan that takes it.
        """
        few = only(self.problem, options_of(self.problem, Candidate(chosen, ())))
        cutting, exact = formulate(few, clock)
        liked = [kind.options for kind in few.kinds]
        better = aim.after(self.problem, line, start, self.forgone)
        plan, aim = (None, aim) if better is None else (start, better)
        goal, held, tried = aim.goal, dict(aim.held), _Tried(chosen)
        longest = held.get("used")
        if longest is not None and goal in _TOLD_BY_OPTIONS and _only_one(few):
            # Nothing is left but whether it is short enough, and how short it can be tells soonest.
            scored = score(self.problem, line, Candidate(chosen, ()), self.forgone)
            tried.bound, goal = scored[goal], "used"
            del held["used"]
        for members in range(1, clock.effort.members + 1):
            posed = row_by_row(few, line, cutting, start, liked, clock, members)
            if posed is None or not clock.can_build(size_of(few, line, posed[1])):
                break
            _, rows, whole = posed
            model = minimising(few, line, rows, clock, self.forgone, goal, held)
            if start is not None:
                add_hint(model, start)
            try:
                outcome = run(model.cp, clock, clock.effort.a_row_set, self.seed)
            except InfeasibleError:
                if exact and whole:
                    tried = _Tried(chosen, None, True)
                break
            cut = None if outcome.value is None else model.candidate(outcome.value)
            better = aim.after(self.problem, line, cut, self.forgone)
            if better is not None:
                plan, start, aim = cut, cut, better
            bound = outcome.bound if exact and whole and outcome.bound is not None else 0
            if goal == aim.goal:
                tried.bound = max(tried.bound or 0, bound)
            elif longest is not None and bound > longest:
                tried = _Tried(chosen, None, True)
                break
            if not outcome.best:
                break
            listed = [stacks for stacks, _ in rows.rows.values()]
            no_more = all(each.complete or each.members < members for each in listed)
            if no_more or aim.met(tried.bound or 0):
                tried.whole = True
                break
        return tried, plan, aim


def _only_one(problem: Problem) -> bool:
    return all(len(kind.options) == 1 for kind in problem.kinds)
