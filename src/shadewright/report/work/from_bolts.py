"""Openings that are cut from more bolts than one, which may differ in colour."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from shadewright.job.bolts import is_bolt
from shadewright.job.model import Job
from shadewright.report.work.words import brief, clean, count, listed

if TYPE_CHECKING:
    from shadewright.cloth.plan import Plan

_MOST_NAMED = 4


def from_several_bolts(job: Job, plan: Plan) -> Iterator[str]:
    """That faces of one opening come from several bolts, in a sentence; nothing where none do."""
    copies = {opening.name: opening.copies for opening in job.openings}
    rows = {shade.id: (shade.opening, shade.copy_) for shade in plan.shades}
    bolts: dict[tuple[str, int], set[str]] = {}
    for panel in plan.panels:
        if panel.part == "face" and is_bolt(panel.piece):
            bolts.setdefault(rows[panel.shade], set()).add(panel.piece)
    # In the order of the job.
    split = [row for row in dict.fromkeys(rows.values()) if len(bolts.get(row, ())) > 1]
    if not split:
        return
    names = [
        brief(clean(name), 30) + (f" {copy}" if copies[name] > 1 else "") for name, copy in split
    ]
    who = listed(names) if len(names) <= _MOST_NAMED else count(len(names), "opening")
    are = "is" if len(names) == 1 else "are each"
    yield (
        f"{who} {are} cut from more than one bolt: lay the bolts side by side by daylight first, "
        "as they may differ in colour."
    )
