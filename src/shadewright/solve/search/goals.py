"""The goals of a plan in their order, and money in whole numbers."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal

from shadewright.measure import Ticks
from shadewright.solve.problem.kinds import Problem

GoalName = Literal["money", "bought", "shades", "used", "widths", "gaps"]
"""A goal that stands in a plan's proof: money, or length bought where a cloth has no price, counts
what shades cost, or are worth, as well."""

Goal = GoalName | Literal["short", "left", "remnant"]
"""A goal of a search: those of a proof, and "short": cloth that is asked for and cannot be bought;
"left": what openings left out, and all that is given up, cost; "remnant": what the largest remnant
of a piece on hand falls short of more than any, as an area."""


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


def spent(problem: Problem, used: Mapping[str, Ticks | None], options: int) -> int:
    """What is bought, as money or length, and what its shades cost or are worth; in whole units.

    Args:
        used: of the bolt of each roll, to where its last drop ends; None where nothing is cut from
            it, which needs no allowance for its start either.
        options: what the options taken cost, in whole units.
    """
    lengths = [(roll, used[roll.name]) for roll in problem.rolls]
    steps = [
        (roll, 0 if n is None else -(-(n + roll.allowance) // roll.sold_in)) for roll, n in lengths
    ]
    return sum(problem.step_cost(roll) * n for roll, n in steps) + options
