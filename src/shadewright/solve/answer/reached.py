"""What a plan reaches for each goal: the one place where a finished plan is counted.

A search counts what it has chosen as it goes along; what a plan file says is counted here, from the
plan, whether it was searched for as a whole or goes on from one that is partly cut.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from fractions import Fraction
from itertools import pairwise

from shadewright.cloth.plan import GoalName, Panel, PieceUse, Shade
from shadewright.job.model import Job
from shadewright.measure import Ticks
from shadewright.trade.buying import cloth_cost
from shadewright.trade.worth import cost_of_shade, worth_of_shades


def reached(
    job: Job, shades: Sequence[Shade], panels: Sequence[Panel], pieces: Sequence[PieceUse]
) -> dict[GoalName, int | float]:
    """Money in units of money, with what shades are worth; lengths in ticks; the gaps are those
    between shades of a copy."""
    rows: dict[tuple[str, int], list[Shade]] = defaultdict(list)
    for shade in sorted(shades, key=lambda s: s.left):
        rows[shade.opening, shade.copy_].append(shade)
    # A thousand copies mostly have the same widths.
    worths: dict[tuple[str, tuple[Ticks, ...]], Fraction] = {}
    worth = Fraction(0)
    for (name, _), row in rows.items():
        key = name, tuple(shade.finished_width for shade in row)
        if key not in worths:
            worths[key] = worth_of_shades(job, job.opening(name), key[1])
        worth += worths[key]
    gaps = sum(
        after.left - before.left - before.finished_width
        for row in rows.values()
        for before, after in pairwise(row)
    )
    return {
        "money": as_number(_cloth(job, pieces) + worth),
        "bought": as_number(sum(piece.length for piece in pieces if piece.bought) + worth),
        "shades": len(shades),
        "used": sum(piece.used for piece in pieces),
        "widths": len({p.along if p.railroaded else p.across for p in panels}),
        "gaps": gaps,
    }


def money_spent(job: Job, shades: Sequence[Shade], pieces: Sequence[PieceUse]) -> int | float:
    """Money for cloth, where it has a price, and for shades, where a job says what they cost."""
    spent = _cloth(job, pieces)
    if job.make.shade_cost is not None or job.prices is not None:
        spent += sum(
            cost_of_shade(job, job.opening(shade.opening), shade.finished_width, shade.draw)
            for shade in shades
        )
    return as_number(spent)


def _cloth(job: Job, pieces: Sequence[PieceUse]) -> Fraction:
    bought = (piece for piece in pieces if piece.bought)
    return sum((cloth_cost(job, job.cloth(p.cloth), p.length) for p in bought), Fraction(0))


def as_number(amount: Fraction) -> int | float:
    """As a plan file has it: whole where it is, else the nearest float."""
    return int(amount) if amount.denominator == 1 else float(amount)
