"""The goals of a plan in their order, and money in whole numbers."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from math import lcm
from typing import Literal

from shadewright.measure import Ticks
from shadewright.solve.problem.kinds import Problem

GoalName = Literal["money", "bought", "shades", "used", "widths", "gaps"]
"""A goal that stands in a plan's proof."""

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


def money_terms(problem: Problem) -> tuple[int, list[int], int]:
    """Money in whole units: their number per unit of money, price of a step of each roll, and
    what a shade costs apart from cloth."""
    steps = [(roll.price or Fraction(0)) * roll.sold_in for roll in problem.rolls]
    scale = lcm(problem.shade_cost.denominator, *(price.denominator for price in steps))
    return scale, [int(price * scale) for price in steps], int(problem.shade_cost * scale)


def money_scale(problem: Problem) -> int:
    """Number of whole money units of the model in one unit of money."""
    return money_terms(problem)[0]


def bought_value(
    problem: Problem, goal: GoalName, used: Mapping[str, Ticks | None], shades: int
) -> int:
    """What is bought: in money with so many shades, or in length.

    Args:
        used: of the bolt of each roll, to where its last drop ends; None where nothing is cut from
            it, which needs no allowance for its start either.
    """
    _, coefficients, shade_cost = money_terms(problem)
    lengths = [(roll, used[roll.name]) for roll in problem.rolls]
    steps = [0 if n is None else -(-(n + roll.allowance) // roll.sold_in) for roll, n in lengths]
    if goal == "money":
        return sum(by * n for by, n in zip(coefficients, steps, strict=True)) + shade_cost * shades
    return sum(roll.sold_in * n for roll, n in zip(problem.rolls, steps, strict=True))
