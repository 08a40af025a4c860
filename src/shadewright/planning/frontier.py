"""Fewer shades against less cloth: what a job takes with so many shades, from the fewest up."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from fractions import Fraction

from shadewright.answers import FrontierPoint
from shadewright.cloth.plan import Plan
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
    job: Job, posed: JobProblem, supply: Supply, plan: Plan, clock: Clock, seed: int
) -> tuple[FrontierPoint, ...]:
    """What a job takes with fewer shades than its plan has, and with more, its plan among them;
    only points that take less cloth than those of fewer shades. None where there is no choice, or
    no time is left to look.

    What shades cost says how many there should be, and is left out here: it is cloth that more
    shades are set against.
    """
    asked, groups = posed
    if sum(kind.copies for kind in asked.kinds) > clock.effort.frontier_copies:
        return ()
    cloth_alone = _shades_for_nothing(asked)
    fewest, most = fewest_shades(asked), most_shades(asked)
    if fewest == most or not plan.totals.bought:
        return ()
    shades = plan.totals.shades
    found: list[Plan] = []
    looked = False
    for number in (*_spread(fewest, shades, clock.effort.frontier_points), most):
        if clock.over:
            break
        looked = True
        limits: dict[Goal, int] = {} if number == most else {"shades": number}
        part = clock.part(1 / (clock.effort.frontier_points + 2))
        answer = search(cloth_alone, supply, part, seed, wish=Wish(limits, enough=True))
        if answer is not None and not answer.short.value:
            found.append(to_plan(job, asked, groups, answer))
    return _worth_telling(job, plan, found) if looked else ()


def _worth_telling(job: Job, plan: Plan, others: Iterable[Plan]) -> tuple[FrontierPoint, ...]:
    """The plan, and of others those that take less cloth than any of as few shades."""
    kept: list[Plan] = []
    apart = [other for other in others if other.totals.shades != plan.totals.shades]
    for each in sorted([plan, *apart], key=lambda one: (one.totals.shades, _takes(job, one))):
        if each is plan or all(_takes(job, each) < _takes(job, other) for other in kept):
            kept.append(each)
    totals = (each.totals for each in kept)
    return tuple(FrontierPoint(each.shades, each.bought, each.cost) for each in totals)


def fewest_shades(asked: Problem) -> int:
    """The fewest shades that any plan of a problem has, ties aside."""
    return sum(kind.copies * min(o.shades for o in kind.options) for kind in asked.kinds)


def most_shades(asked: Problem) -> int:
    """The most shades that any plan of a problem has, ties aside."""
    return sum(kind.copies * max(o.shades for o in kind.options) for kind in asked.kinds)


def _spread(fewest: int, shades: int, points: int) -> list[int]:
    """Numbers below the plan's, evenly spread, the fewest among them."""
    if fewest >= shades:
        return []
    steps = min(points, shades - fewest)
    return [fewest + (shades - fewest) * i // steps for i in range(steps)]


def _shades_for_nothing(asked: Problem) -> Problem:
    """The problem with shades that cost nothing, and need not be worth anything."""
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


def _takes(job: Job, plan: Plan) -> float:
    """What its cloth costs where that is known, else how much of it is bought."""
    if job.priced:
        return sum(piece.cost for piece in plan.pieces)
    return sum(plan.totals.bought.values())
