"""What is said of a plan: how good it is, and what it comes to in all."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction

from shadewright.cloth.plan import Goal, GoalName, Panel, PieceUse, Proof, Shade, Totals
from shadewright.job.model import Job
from shadewright.measure import Ticks
from shadewright.solve.answer.reached import as_number, money_spent
from shadewright.solve.search.found import Found


def proof_of(found: Found, values: Mapping[GoalName, int | float]) -> Proof:
    """What a plan reaches, and the bounds that its search found.

    A plan may come to less than the search counted, where linings are laid plain behind the faces;
    bounds stay true.
    """
    goals = [
        Goal(
            goal=goal.goal,
            value=values[goal.goal],
            bound=min(_goal_number(found, goal.goal, goal.bound), values[goal.goal]),
        )
        for goal in found.goals
    ]
    used = int(values["used"])
    return Proof(
        status="proved" if all(goal.value == goal.bound for goal in goals) else "gap",
        seconds=round(found.seconds, 3),
        goals=goals,
        used=used,
        used_bound=min(found.used_bound, used),
    )


def _goal_number(found: Found, goal: str, value: int) -> int | float:
    return as_number(Fraction(value, found.scale)) if goal in ("money", "bought") else value


def totals_of(job: Job, shades: list[Shade], panels: list[Panel], pieces: list[PieceUse]) -> Totals:
    bought: dict[str, Ticks] = {}
    for piece in pieces:
        if piece.bought:
            bought[piece.cloth] = bought.get(piece.cloth, 0) + piece.length
    cut_into = sum(job.cloth(piece.cloth).usable * piece.used for piece in pieces)
    area = sum(panel.across * panel.along for panel in panels)
    return Totals(
        shades=len(shades),
        bought=bought,
        cost=money_spent(job, shades, pieces),
        waste=1 - area / cut_into if cut_into else 0.0,
    )
