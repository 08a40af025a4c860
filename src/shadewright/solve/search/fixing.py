"""Options that no plan takes which is as good as one that is known.

What rectangles are worth bounds the length of cloth, and so each option costs at least what its
shades cost and what its rectangles are worth of cloth. With the cheapest option of every other
opening beside it, one that comes to more than a known plan is in none that is as good: fixing by
reduced costs (Dantzig, Fulkerson and Johnson 1954, "Solution of a large-scale traveling-salesman
problem").

Measured on 15 and 40 different openings on 54 to 72 in, where money was not proved by the first
look: a third to a half of the options are left out; on 118 in a tenth to a quarter.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from fractions import Fraction
from math import ceil, gcd

from shadewright.solve.packing.grid import Grid
from shadewright.solve.packing.worths import Worth
from shadewright.solve.problem.kinds import Option, Problem
from shadewright.solve.problem.supply import Supply
from shadewright.solve.search.bounds import Knowledge
from shadewright.solve.search.formulate import options_of
from shadewright.solve.search.goals import goal_order
from shadewright.solve.search.incumbent import Incumbent
from shadewright.solve.search.parts import bounding_grid


def still_as_good(
    problem: Problem,
    supply: Supply,
    worths: Mapping[str, Sequence[Worth]],
    incumbent: Incumbent,
    known: Knowledge,
) -> Problem:
    """The problem without the options that are in no plan as good as the best by the first goal.

    As it is where there is no plan, where something comes before money, where cloth is on hand, or
    where not all divisions are listed. What money comes to at least is learned on the way; where
    some opening is left no option, that no plan of the problem is as good.

    Args:
        worths: of each roll, what its rectangles are worth by one reckoning or another.
    """
    rolls = [roll for roll in problem.rolls if problem.rects(roll)]
    first, best = goal_order(problem)[0], incumbent.best
    if (
        best is None
        or incumbent.first != first
        or supply.on_hand
        or not rolls
        or not all(kind.complete for kind in problem.kinds)
        or not all(worths.get(roll.name) for roll in rolls)
    ):
        return problem
    reached = incumbent.scored[first]
    stay = [[True] * len(kind.options) for kind in problem.kinds]
    grids = {roll.name: bounding_grid(roll, problem.rects(roll)) for roll in rolls}
    beyond, least = _least_beyond(problem, supply, grids), Fraction(0)
    for number in range(max(len(worths[roll.name]) for roll in rolls)):
        these = {roll.name: worths[roll.name][number % len(worths[roll.name])] for roll in rolls}
        costs = _least_costs(problem, grids, these)
        here = beyond + sum(k.copies * min(c) for k, c in zip(problem.kinds, costs, strict=True))
        for may, row in zip(stay, costs, strict=True):
            most = reached - here + min(row)
            may[:] = [before and cost <= most for before, cost in zip(may, row, strict=True)]
        least = max(least, here)
    own = options_of(problem, best)
    kinds = [
        replace(kind, options=_only(kind.options, may, mine))
        for kind, may, mine in zip(problem.kinds, stay, own, strict=True)
    ]
    if not all(kind.options for kind in kinds):
        known.add(first, {}, reached + 1)
        return problem
    amounts = {problem.option_cost(option) for kind in problem.kinds for option in kind.options}
    unit = gcd(*amounts, *map(problem.step_cost, rolls))
    known.add(first, {}, min(ceil(least / unit) * unit if unit else 0, reached))
    return problem.having(kinds)


def _only(
    options: Sequence[Option], may: Sequence[bool], own: Sequence[Option]
) -> tuple[Option, ...]:
    """Options that may be taken, or are taken by the best."""
    return tuple(o for o, here in zip(options, may, strict=True) if here or o in own)


def number_of_options(problem: Problem) -> int:
    """How many there are, of all openings."""
    return sum(len(kind.options) for kind in problem.kinds)


def _least_costs(
    problem: Problem, grids: Mapping[str, Grid], worths: Mapping[str, Worth]
) -> list[list[Fraction]]:
    """What each option of each kind costs at least, with the cloth that it is worth."""
    costs = [[Fraction(problem.option_cost(o)) for o in kind.options] for kind in problem.kinds]
    for roll in problem.rolls:
        if roll.name in grids:
            worth, grid = worths[roll.name], grids[roll.name]
            rate = Fraction(problem.step_cost(roll) * grid.unit, roll.sold_in * worth.kappa(grid))
            for kind, row in zip(problem.kinds, costs, strict=True):
                for place, option in enumerate(kind.options):
                    row[place] += rate * worth.of_option(grid, option)
    return costs


def _least_beyond(problem: Problem, supply: Supply, grids: Mapping[str, Grid]) -> Fraction:
    """What is bought beyond what rectangles are worth; less than nothing where the last of each
    bolt may leave some of a period unused."""
    beyond = Fraction(0)
    for roll in problem.rolls:
        if roll.name in grids:
            these = supply.stretches[roll.name]
            lead = roll.lead if roll.name in supply.whole else min(s.start for s in these)
            bolts = max(len(these), supply.most.get(roll.name, 0))
            tail = max(map(grids[roll.name].tail, problem.rects(roll)))
            length = lead + roll.allowance + roll.spare - bolts * tail
            beyond += Fraction(problem.step_cost(roll) * length, roll.sold_in)
    return beyond
