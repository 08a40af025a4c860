"""Improvement by neighbourhoods: a few drops are taken apart, and what was cut from them is decided
anew, while the rest of a candidate stays as it is.

A large job is too much for one model, but most of what is wasted in a plan of it is wasted in a few
drops. Openings all of whose rectangles come from the drops taken apart may take any option again;
rectangles of other openings only have to be cut (`shadewright.solve.search.freeing`). That is a
problem of the same form, and the model of such a problem is exact and quickly solved:
large-neighbourhood search (Shaw 1998, "Using constraint programming and local search methods to
solve vehicle routing problems").

Length counts by the tick here, not by the buying step, so that small savings add up.
"""

from __future__ import annotations

import random
import sys
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from shadewright.solve.effort import Effort
from shadewright.solve.problem.kinds import Problem
from shadewright.solve.problem.supply import Supply
from shadewright.solve.run import Clock
from shadewright.solve.search.beams import by_beams, for_beams, many_across
from shadewright.solve.search.bounds import worths_of
from shadewright.solve.search.candidate import Candidate, Forgone, score
from shadewright.solve.search.columns import FoundDrops
from shadewright.solve.search.columns import by_columns as columns
from shadewright.solve.search.freeing import Neighbourhood, neighbourhood
from shadewright.solve.search.goals import Goal, goal_order
from shadewright.solve.search.stage import Stage

_ELSE, _ELSE_UNEVEN = 0.2, 0.4
"""How often a solver is not chosen by what it gained of late; and where one takes much longer."""
_NONE = 0.2
"""What a solver that has gained nothing counts then, beside its share of all gains."""
_MEMORY = 0.9
"""What counts of a trial after the next."""


@dataclass
class _Solver:
    """A way to answer a neighbourhood, and how it has done.

    Attributes:
        size: rectangles in the drops that are taken apart for it, about.
        share: of the work left that one answer may take.
        seconds: that it may take at most.
        grows: whether there are as many as can be answered in the time for one; else at most so
            many, from bolts alone.
        whole: how often, and at first, all is taken apart.
        share_of_whole: of the work left, that an answer to all may take.
        gained: of the first goal, what is long ago counting less.
        spent: work, counted likewise.
        gained_in_all: without that.
        spent_in_all: the same.
    """

    solve: Callable[[Neighbourhood, Clock, random.Random, Mapping[Goal, int]], Candidate | None]
    size: int
    share: float
    seconds: float
    grows: bool = False
    whole: float = 0.0
    share_of_whole: float = 0.0
    tried: int = 0
    gained: float = 0.0
    spent: float = 0.0
    spent_in_all: float = 0.0
    gained_in_all: float = 0.0

    def drawn_size(self, draw: random.Random) -> int:
        """Rectangles to take apart this time, about."""
        if self.grows:
            return self.size
        if self.whole and (not self.tried or draw.random() < self.whole):
            return sys.maxsize
        return draw.randint(self.size // 2, self.size)

    @property
    def rate(self) -> float:
        """What it gains for its work."""
        return self.gained / max(self.spent, 1e-9)

    def learn(self, spent: float, gained: float) -> None:
        self.tried += 1
        self.spent_in_all += spent
        self.gained_in_all += gained
        self.gained = _MEMORY * self.gained + gained
        self.spent = _MEMORY * self.spent + spent


def improve(  # noqa: PLR0917
    problem: Problem,
    supply: Supply,
    clock: Clock,
    seed: int,
    best: Candidate,
    limits: Mapping[Goal, int],
    keep: Callable[[Candidate], bool],
    tell: Callable[[], None] = lambda: None,
    pool: FoundDrops | None = None,
) -> Candidate:
    """Better candidates from neighbourhoods of the best, until the time is over or many in turn
    have come to nothing.

    Args:
        supply: of each roll one bolt, and pieces on hand of one dye lot, if any.
        limits: that goals must keep within.
        keep: is given each better candidate; whether it is as good as any can be.
        tell: called now and then.
        pool: of drops that have been found before.
    """
    draw = random.Random(seed)
    fine = problem.by_the_tick()
    effort = clock.effort
    pool = FoundDrops() if pool is None else pool
    pool.add(best)
    solvers = _solvers(fine, effort, pool)
    reached = _reached(fine, supply, best)
    idle = 0
    while idle < effort.idle and not clock.over and clock.can_spend(effort.a_neighbourhood / 4):
        tell()
        drops = sum(len(part.drops) for part in best.parts)
        clock.spend_seconds(drops * effort.seconds_a_drop)
        solver = _chosen_solver(solvers, draw)
        size = solver.drawn_size(draw)
        around = neighbourhood(
            fine, supply, best, draw, size, effort.freed_options, bolts_only=not solver.grows
        )
        if size == sys.maxsize:
            part = clock.part(solver.share_of_whole)
        else:
            seconds = solver.seconds * effort.work_per_second
            part = clock.part(min(solver.share, seconds / clock.work))
        before = part.work
        found = solver.solve(around, part, draw, _held(around, limits))
        gained = 0
        idle += 1
        if found is not None:
            whole = around.whole(fine, supply, found)
            pool.add(found)
            value = _reached(fine, supply, whole)
            better = value < reached
            gained = max(reached[0] - value[0], 0)
            if value <= reached:
                best, reached = whole, value
            if better:
                idle = 0
                if keep(best):
                    return best
        solver.learn(before - part.work, gained)
        if solver.grows and part.work <= 0:
            solver.size = max(effort.freed_least, solver.size * 8 // 10)
        elif solver.grows and part.work > before / 2:
            solver.size = min(solver.size * 11 // 10, effort.freed_most)
    return best


def _solvers(problem: Problem, effort: Effort, pool: FoundDrops) -> list[_Solver]:
    """The ways to answer neighbourhoods of a problem.

    Args:
        pool: of drops that have been found.
    """
    model = _Solver(
        _by_model, effort.freed, effort.share_of_one, effort.a_neighbourhood, grows=True
    )
    if not for_beams(problem):
        return [model]
    beams = _Solver(_by_beams, effort.freed_by_beams, effort.share_of_one, effort.a_neighbourhood)
    share = _share_of_columns(problem, effort)
    if not share:
        return [model, beams]

    def by_columns(
        around: Neighbourhood, clock: Clock, draw: random.Random, held: Mapping[Goal, int]
    ) -> Candidate | None:
        return columns(around.problem, around.supply, around.start, clock, draw, held, pool)

    kinds = sum(len(problem.rects(roll)) for roll in problem.rolls)
    alone = all(len(kind.options) == 1 for kind in problem.kinds)
    most = effort.columns_at_once_alone if alone else effort.columns_at_once
    whole = effort.whole_by_columns if kinds <= most else 0.0
    seconds = effort.seconds_of_columns
    of_whole = max(share, effort.share_of_columns_whole)
    answers = _Solver(
        by_columns, effort.freed_by_columns, share, seconds, whole=whole, share_of_whole=of_whole
    )
    return [model, beams, answers]


def _share_of_columns(problem: Problem, effort: Effort) -> float:
    """Of the work left, what an answer by columns may take: they are worth their pricing where
    nothing is to be decided but what is cut together, or where many rectangles lie side by side;
    but for cloth that costs nothing, which no price leads to."""
    if not all(map(problem.step_cost, problem.rolls)):
        return 0.0
    if all(len(kind.options) == 1 for kind in problem.kinds):
        return effort.share_of_columns_alone
    return effort.share_of_columns if many_across(problem, effort.columns_across) else 0.0


def _reached(problem: Problem, supply: Supply, candidate: Candidate) -> tuple[int, ...]:
    reached = score(problem, supply, candidate)
    return tuple(reached[goal] for goal in goal_order(problem))


def _held(around: Neighbourhood, limits: Mapping[Goal, int]) -> dict[Goal, int]:
    """What an answer to it must keep within, so that the whole does."""
    if "shades" not in limits:
        return {}
    others = sum(o.shades * n for row in around.kept_options for o, n in row)
    return {"shades": limits["shades"] - others}


def _chosen_solver(solvers: Sequence[_Solver], draw: random.Random) -> _Solver:
    """Mostly the one that gained most for its work of late; else any, or, where one of them takes
    much longer, the one that did least for what it gained in all."""
    untried = [solver for solver in solvers if not solver.tried]
    if untried:
        return untried[0]
    uneven = len({solver.share for solver in solvers}) > 1
    others = _ELSE_UNEVEN if uneven else _ELSE
    if draw.random() >= others and any(solver.gained for solver in solvers):
        return max(solvers, key=lambda solver: solver.rate)
    if not uneven:
        return draw.choice(solvers)
    every = sum(solver.gained_in_all for solver in solvers) or 1
    return min(solvers, key=lambda s: s.spent_in_all / (_NONE + s.gained_in_all / every))


def _by_model(
    around: Neighbourhood, clock: Clock, draw: random.Random, held: Mapping[Goal, int]
) -> Candidate | None:
    """The best answer that the model finds, if it finds one that is no worse."""
    supply, problem = around.supply, around.problem
    first, seed = goal_order(problem)[0], draw.randrange(1 << 30)
    stage = Stage(problem, [supply], clock, seed, lambda: worths_of(problem, clock), Forgone())
    value = score(problem, supply, around.start)[first]
    found = stage.minimise(supply, first, (around.start, value), held, 1.0, lambda *_: None)
    if found is None or not found[0]:
        return None
    return found[0][-1]


def _by_beams(
    around: Neighbourhood, clock: Clock, draw: random.Random, held: Mapping[Goal, int]
) -> Candidate | None:
    """An answer that is no worse, of the options there are and of some that are drawn instead."""
    return by_beams(around.problem, around.supply, around.start, clock, draw, held)
