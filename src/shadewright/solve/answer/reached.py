"""What a plan reaches for each goal: the one place where a finished plan is counted.

A search counts what it has chosen as it goes along; what a plan file says is counted here, from the
plan, whether it was searched for as a whole or goes on from one that is partly cut.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import groupby, pairwise

from shadewright.cloth.plan import Panel, PieceUse, Shade, Totals
from shadewright.solve.search.goals import GoalName


def reached(
    shades: Iterable[Shade],
    panels: Iterable[Panel],
    pieces: Sequence[PieceUse],
    totals: Totals,
) -> dict[GoalName, int | float]:
    """Money in units of money; lengths in ticks; the gaps are those between shades of a copy."""
    widths = {p.along if p.railroaded else p.across for p in panels}
    in_order = sorted(shades, key=lambda s: (s.opening, s.copy_, s.left))
    gaps = sum(
        after.left - before.left - before.finished_width
        for _, row in groupby(in_order, key=lambda s: (s.opening, s.copy_))
        for before, after in pairwise(row)
    )
    return {
        "money": totals.cost,
        "bought": sum(totals.bought.values()),
        "shades": totals.shades,
        "used": sum(piece.used for piece in pieces),
        "widths": len(widths),
        "gaps": gaps,
    }
