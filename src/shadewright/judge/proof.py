"""The judge's rules for the proof: what each goal reaches, its bound, and what is claimed."""

from __future__ import annotations

from fractions import Fraction

from shadewright.judge import saying as say
from shadewright.judge.floats import HAIR, same
from shadewright.judge.trial import Faults, Trial


def goals_are_reached(trial: Trial) -> Faults:
    """The proof's goals are those of the job, in their order, each with what the plan reaches."""
    job, plan = trial.job, trial.plan
    needed = {opening.cloth for opening in job.openings} | {job.make.lining or ""}
    priced = all(cloth.price is not None for cloth in job.cloths if cloth.name in needed)
    widths = {p.along if p.railroaded else p.across for p in plan.panels}
    reached: dict[str, int | float] = {
        "money": plan.totals.cost,
        "bought": sum(piece.length for piece in plan.pieces if piece.bought),
        "shades": len(plan.shades),
        "used": sum(piece.used for piece in plan.pieces),
        "widths": len(widths),
        "gaps": sum(sum(row.gaps) for row in trial.rows),
    }
    order = ["money" if priced else "bought", "shades", "used", "widths", "gaps"]
    found = [goal.goal for goal in plan.proof.goals]
    if found != order:
        yield f"proof: the goals are {', '.join(found) or 'none'}, not {', '.join(order)}"
    for goal in plan.proof.goals:
        value = reached[goal.goal]
        if not (same(goal.value, value) if goal.goal == "money" else goal.value == value):
            yield (
                f"proof: the goal {goal.goal} is said to reach {say.number(goal.value)}, not "
                f"{say.number(value)}"
            )


def bounds_hold(trial: Trial) -> Faults:
    """No bound is below nothing, or above what the plan reaches; lengths used add up."""
    proof = trial.plan.proof
    for goal in proof.goals:
        room = HAIR if goal.goal == "money" else 0
        if goal.bound < 0:
            yield f"proof: the bound of {goal.goal}, {say.number(goal.bound)}, is below nothing"
        if Fraction(goal.bound) > Fraction(goal.value) + room:
            yield (
                f"proof: the bound of {goal.goal}, {say.number(goal.bound)}, is above what the "
                f"plan reaches, {say.number(goal.value)}"
            )
    used = sum(piece.used for piece in trial.plan.pieces)
    if proof.used != used:
        a, b = say.two(trial.tape, proof.used, used)
        yield f"proof: {a} is said to be used in all, not {b}"
    if not 0 <= proof.used_bound <= proof.used:
        a, b = say.two(trial.tape, proof.used_bound, proof.used)
        yield f"proof: the bound of all that is used, {a}, is not between nothing and {b}"
    if proof.seconds < 0:
        yield f"proof: took {say.number(proof.seconds)} seconds, less than none"


def status_is_honest(trial: Trial) -> Faults:
    """A plan is proved if, and only if, every goal meets its bound."""
    proof = trial.plan.proof
    open_goals = [
        goal.goal
        for goal in proof.goals
        if abs(Fraction(goal.value) - Fraction(goal.bound)) > (HAIR if goal.goal == "money" else 0)
    ]
    if proof.status == "proved" and open_goals:
        yield f"proof: is called proved, but its bounds are not met for {', '.join(open_goals)}"
    if proof.status == "gap" and not open_goals:
        yield "proof: is said to leave a gap, but every goal meets its bound"
