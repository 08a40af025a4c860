"""Bounds of goals: what is known of one without a search, and under what it was found."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from shadewright.measure import Ticks
from shadewright.solve.packing.worths import Worth, price
from shadewright.solve.problem.kinds import Option, Problem
from shadewright.solve.problem.supply import Supply
from shadewright.solve.run import Clock
from shadewright.solve.search.goals import Goal, bought_value
from shadewright.solve.search.parts import bounding_grid


class Bounds:
    """Bounds of one goal, each with the values of earlier goals that it was found under."""

    def __init__(self) -> None:
        self._found: list[tuple[dict[Goal, int], int]] = [({}, 0)]

    def add(self, held: Mapping[Goal, int], bound: int) -> None:
        self._found.append((dict(held), bound))

    def given(self, held: Mapping[Goal, int]) -> int:
        """The best bound while earlier goals are held at these values.

        A bound found under looser values holds under tighter ones, but not the other way about:
        when an earlier goal gets better, one between may get worse.
        """
        return max(
            bound
            for under, bound in self._found
            if all(goal in held and held[goal] <= most for goal, most in under.items())
        )


def plain_bound(problem: Problem, supply: Supply, goal: Goal, least_used: Mapping[str, int]) -> int:
    """A bound of a goal that needs no search.

    Args:
        least_used: of each roll, in any plan.
    """
    by_option: dict[Goal, Callable[[Option], int]] = {
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
    if goal in ("left", "remnant"):
        return 0
    bolts: dict[str, Ticks | None] = {}
    for name, least in least_used.items():
        on_hand = sum(s.end - s.start for s in supply.stretches[name] if s.end is not None)
        beyond = least - on_hand
        bolts[name] = beyond if beyond > 0 else None if on_hand else least
    if goal == "short":
        return sum(bolts[name] or 0 for name in supply.unbought)
    fewest = plain_bound(problem, supply, "shades", least_used)
    return bought_value(problem, "money" if goal == "money" else "bought", bolts, fewest)


def lengths_at_least(
    problem: Problem, supply: Supply, worths: Mapping[str, list[Worth]]
) -> dict[str, int]:
    """Lengths that no plan goes below: what the cheapest options are worth, roll by roll.

    Each stretch that is used may leave a tail unused; that of the bolt has a lead.
    """
    bounded = problem.bounding()
    found: dict[str, int] = {}
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
        stretches = supply.stretches[roll.name]
        tails = len(stretches) * max(map(grid.tail, rects))
        lead = roll.lead if roll.name in supply.whole else min(s.start for s in stretches)
        found[roll.name] = lead + max(grid.unit * units - tails, 0)
    return found


def worths_of(problem: Problem, clock: Clock) -> dict[str, list[Worth]]:
    """What every plan satisfies: worths by the prices of all bounding options."""
    bounded = problem.bounding()
    grids = {roll.name: bounding_grid(roll, bounded.rects(roll)) for roll in bounded.rolls}
    return {name: [worth] for name, worth in price(bounded.kinds, grids, clock).worths.items()}
