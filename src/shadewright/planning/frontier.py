"""Fewer shades against less cloth: what a job takes with so many shades, from the fewest up."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from shadewright.answers import FrontierPoint
from shadewright.job.model import Job
from shadewright.solve.answer.layout import to_plan
from shadewright.solve.problem.kinds import Problem
from shadewright.solve.problem.menu import JobProblem
from shadewright.solve.problem.supply import Supply
from shadewright.solve.run import Clock
from shadewright.solve.search.found import Wish
from shadewright.solve.search.goals import Goal
from shadewright.solve.search.improvement import search


def frontier(  # noqa: PLR0917
    job: Job, posed: JobProblem, supply: Supply, shades: int, clock: Clock, seed: int
) -> tuple[FrontierPoint, ...]:
    """What a job takes with fewer shades than its plan has, and with more; only points that take
    less cloth than those of fewer shades, and none where no time is left.

    Args:
        shades: that the plan has.
    """
    asked, groups = posed
    if sum(kind.copies for kind in asked.kinds) > clock.effort.frontier_copies:
        return ()
    spending = _as_spent(job, asked)
    fewest = fewest_shades(asked)
    most = sum(kind.copies * max(o.shades for o in kind.options) for kind in asked.kinds)
    numbers = _spread(fewest, shades, clock.effort.frontier_points)
    found: list[FrontierPoint] = []
    for number in (*numbers, most):
        if clock.over:
            break
        limits: dict[Goal, int] = {} if number == most else {"shades": number}
        part = clock.part(1 / (clock.effort.frontier_points + 2))
        answer = search(spending, supply, part, seed, wish=Wish(limits, enough=True))
        if answer is None or answer.short.value:
            continue
        plan = to_plan(job, asked, groups, answer)
        point = FrontierPoint(plan.totals.shades, plan.totals.bought, plan.totals.cost)
        if not found or _takes(job, point) < _takes(job, found[-1]):
            found.append(point)
    return tuple(found)


def fewest_shades(asked: Problem) -> int:
    """The fewest shades that any plan of a problem has, ties aside."""
    return sum(kind.copies * min(o.shades for o in kind.options) for kind in asked.kinds)


def _spread(fewest: int, shades: int, points: int) -> list[int]:
    """Numbers from the fewest to the plan's, evenly spread, both among them."""
    if fewest >= shades:
        return [shades]
    steps = min(points, shades - fewest)
    return [fewest + (shades - fewest) * i // steps for i in range(steps + 1)]


def _as_spent(job: Job, asked: Problem) -> Problem:
    """The problem with shades at what they cost, and not at what they must be worth."""
    if job.priced and (job.prices is not None or job.make.shade_cost is not None):
        return asked
    free = Fraction(0)
    return replace(
        asked,
        kinds=tuple(
            replace(
                kind,
                options=tuple(replace(o, cost=free) for o in kind.options),
                floors=tuple(replace(o, cost=free) for o in kind.floors),
            )
            for kind in asked.kinds
        ),
    )


def _takes(job: Job, point: FrontierPoint) -> float:
    """Money where there is any, else cloth."""
    return point.cost if job.priced else sum(point.bought.values())
