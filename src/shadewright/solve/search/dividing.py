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
from shadewright.solve.packing.worths import Pricing, Worth, price, rates
from shadewright.solve.problem.kinds import Kind, Option, Problem, Rect
from shadewright.solve.run import Clock

_LESS = 1e-6


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
        more = problem.having(_with_best(kind, value, part) for kind in problem.kinds)
        if more == problem:
            break
        problem = more
    return problem


def _with_best(kind: Kind, value: Callable[[Rect], float], clock: Clock) -> Kind:
    """The kind with the cheapest division of each family, where it is cheaper than its options."""

    def of(option: Option) -> float:
        return sum(n * value(rect) for rect, n in option.demand)

    if not kind.families:
        return kind
    clock.spend_seconds(len(kind.families) * clock.effort.seconds_a_family)
    least: dict[int, float] = {}
    for option in kind.options:
        least[option.shades] = min(least.get(option.shades, of(option)), of(option))
    found: dict[Option, None] = {}
    for family in kind.families:
        option_ = family.best(value)
        if option_ is not None and of(option_) < least.get(option_.shades, of(option_) + 1) - _LESS:
            found[option_] = None
    return replace(kind, options=tuple(dict.fromkeys((*kind.options, *found))))


def _value(grids: Mapping[str, Grid], worths: Mapping[str, Worth]) -> Callable[[Rect], float]:
    """What a rectangle is worth, in what cloth costs."""
    rate = rates(grids)
    known: dict[tuple[str, Ticks, Ticks], float] = {}

    def value(rect: Rect) -> float:
        key = rect.roll, rect.across, rect.along
        if key not in known:
            worth, grid = worths[rect.roll], grids[rect.roll]
            known[key] = rate[rect.roll] * worth.of(grid, rect) * grid.unit / worth.kappa
        return known[key]

    return value
