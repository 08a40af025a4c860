"""The goals of a plan in their order, and money in whole numbers."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Literal

from shadewright.cloth.plan import GoalName
from shadewright.measure import Ticks
from shadewright.solve.problem.kinds import Problem

Goal = GoalName | Literal["short", "left", "remnant"]
"""A goal of a search: those of a proof, and "short": cloth that is asked for and cannot be bought;
"left": what openings left out, and all that is given up, cost; "remnant": what the largest remnant
of a piece on hand falls short of more than any, as an area."""

ABOVE_ALL: tuple[Goal, ...] = ("short", "left")
"""Goals that come before those of a proof."""


def goal_order(problem: Problem) -> tuple[GoalName, ...]:
    """The goals, most important first: money where every cloth has a price, else bought length."""
    first: GoalName = "money" if problem.priced else "bought"
    return (first, "shades", "used", "widths", "gaps")


def in_proof(goal: Goal) -> GoalName | None:
    """The goal as it stands in a proof; None if it does not."""
    match goal:
        case "short" | "left" | "remnant":
            return None
        case _:
            return goal


def spent(
    problem: Problem, used: Mapping[str, Sequence[Ticks]], spares: Mapping[str, Ticks], options: int
) -> int:
    """What is bought, as money or length, and what its shades cost or are worth; in whole units.

    Args:
        used: of each bolt of each roll that something is cut from, to where its last drop ends.
        spares: of each roll, bought beyond that if anything is.
        options: what the options taken cost, in whole units.
    """
    cost = options
    for roll in problem.rolls:
        ends, spare = used[roll.name], spares[roll.name]
        lengths = roll.to_buy(ends, spare) or replace(roll, bolt=None).to_buy(ends, spare) or []
        cost += problem.step_cost(roll) * (sum(lengths) // roll.sold_in)
    return cost
