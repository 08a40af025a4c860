"""Divisions priced as templates are: the cheapest of all there are, by a linear programme's prices.

Where openings may have unequal widths, most divisions are never listed. By the prices of the widths
at the optimum over those that are, the cheapest of all divisions of an opening is a small knapsack
(`Divisions.best`). Where it is cheaper than what the opening takes at the optimum, it becomes an
option; when none is, the optimum is that over all divisions (column generation, as for templates in
`shadewright.solve.packing.worths`).
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace

from shadewright.measure import Ticks
from shadewright.solve.packing.grid import Grid
from shadewright.solve.packing.worths import Pricing, Worth, dearest_of, price, rates
from shadewright.solve.problem.kinds import Kind, Option, Problem, Rect
from shadewright.solve.problem.slots import on_settled
from shadewright.solve.run import Clock


def with_cheap_divisions(problem: Problem, clock: Clock) -> Problem:
    """The problem with more options for openings whose divisions are not all listed."""
    part = clock.part(clock.effort.dividing)
    before: Pricing | None = None
    for _ in range(clock.effort.rounds):
        if part.over or not any(kind.families for kind in problem.kinds):
            break
        grids = {roll.name: Grid.of(roll, problem.rects(roll)) for roll in problem.rolls}
        before = price(problem.kinds, grids, part, costs=True, before=before)
        value = _value(grids, before.worths)
        dearest = dearest_of(grids)

        def of(
            option: Option,
            value: Callable[[Rect], float] = value,
            dearest: float = dearest,
        ) -> float:
            of_rects = sum(n * value(rect) for rect, n in option.demand)
            return of_rects + float(option.cost) / dearest

        found = [_cheaper(problem, kind, value, of, part) for kind in problem.kinds]
        cost = sum(kind.copies * min(map(of, kind.options)) for kind in problem.kinds)
        gain = sum(kind.copies * gain for kind, (gain, _) in zip(problem.kinds, found, strict=True))
        problem = problem.having(
            replace(kind, options=(*kind.options, *more))
            for kind, (_, more) in zip(problem.kinds, found, strict=True)
        )
        if gain <= clock.effort.dividing_gain * cost:
            break
    return problem


def _cheaper(
    problem: Problem,
    kind: Kind,
    value: Callable[[Rect], float],
    of: Callable[[Option], float],
    clock: Clock,
) -> tuple[float, list[Option]]:
    """Divisions cheaper than any option of a kind, and by how much the cheapest is."""
    least = min(map(of, kind.options))
    clock.spend_seconds(len(kind.families) * clock.effort.seconds_a_family)
    best = (family.best(value) for family in kind.families)
    settled = (on_settled(problem.rolls, option) for option in best if option is not None)
    more = [option for option in settled if of(option) < least]
    gain = max((least - of(option) for option in more), default=0.0)
    return gain, [option for option in dict.fromkeys(more) if option not in kind.options]


def _value(grids: Mapping[str, Grid], worths: Mapping[str, Worth]) -> Callable[[Rect], float]:
    """What a rectangle is worth, in what cloth costs."""
    rate = rates(grids)
    known: dict[tuple[str, Ticks, Ticks], float] = {}

    def value(rect: Rect) -> float:
        key = rect.roll, rect.across, rect.along
        if key not in known:
            worth, grid = worths[rect.roll], grids[rect.roll]
            known[key] = rate[rect.roll] * worth.of(grid, rect) * grid.unit / worth.kappa(grid)
        return known[key]

    return value
