"""A row of a piece on paper: its cloth, panels, print and flaws, whatever stands beside them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from shadewright.cloth.plan import Plan
from shadewright.job.model import Job
from shadewright.measure import Ticks
from shadewright.report.pages.drawing import (
    DONE,
    FACE,
    FAINT,
    INK,
    LEFT,
    LINING,
    MOTIF,
    SELVEDGE,
    Drawing,
    text_width,
)
from shadewright.report.pages.roll_rows import Row
from shadewright.report.work.lays import NumberedPanel


@dataclass(frozen=True)
class Canvas:
    """A row of a piece on paper; nothing of it is drawn beyond the row's ends.

    Attributes:
        bottom: height of the cloth's near edge.
        left: where the row starts.
        small: size of the least letters, in points.
    """

    drawing: Drawing
    job: Job
    plan: Plan
    row: Row
    bottom: float
    left: float = LEFT
    small: float = 5.5

    def at(self, x: Ticks, y: Ticks) -> tuple[float, float]:
        """Paper position of a point of the cloth: x across from the left usable edge."""
        across = (x + self.row.lay.cloth.selvedge) * self.row.scale
        return self.left + (y - self.row.start) * self.row.scale, self.bottom + across

    def box(self, x: Ticks, y: Ticks, across: Ticks, along: Ticks, **look: Any) -> None:
        """A rectangle of the cloth."""
        scale = self.row.scale
        start, end = max(y, self.row.start), min(y + along, self.row.end)
        if start < end:
            self.drawing.rectangle(self.at(x, start), (end - start) * scale, across * scale, **look)

    def line(self, start: tuple[Ticks, Ticks], end: tuple[Ticks, Ticks], **look: Any) -> None:
        """A line between two points of the cloth."""
        (x1, y1), (x2, y2) = start, end
        low, high = self.row.start, self.row.end
        if max(y1, y2) >= low and min(y1, y2) <= high:
            ends = (x1, min(max(y1, low), high)), (x2, min(max(y2, low), high))
            self.drawing.line(self.at(*ends[0]), self.at(*ends[1]), **look)


def put_cloth(canvas: Canvas) -> None:
    """Draw a row of a piece with its panels, its print and its flaws."""
    row, cloth = canvas.row, canvas.row.lay.cloth
    long = row.end - row.start
    canvas.box(0, row.start, cloth.usable, long, fill="white", edge="#c4c4c4", hatch="rising")
    for edge in (-cloth.selvedge, cloth.usable):
        if cloth.selvedge:
            canvas.box(edge, row.start, cloth.selvedge, long, fill=SELVEDGE)
    for numbered in row.panels:
        panel = numbered.panel
        fill = fill_of(row, numbered)
        tags = (("panel", str(numbered.number)),)
        canvas.box(panel.x, panel.y, panel.across, panel.along, fill=fill, lw=0.7, tags=tags)
    _motif_rows(canvas)
    _flaws(canvas)
    for numbered in row.panels:
        _finished(canvas, numbered)
    canvas.box(-cloth.selvedge, row.start, cloth.width, long, lw=0.9)


def fill_of(row: Row, numbered: NumberedPanel) -> str:
    """The colour of a panel: grey where it is cut already."""
    panel = numbered.panel
    if panel.drop in row.lay.done:
        return DONE
    return FACE if panel.part == "face" else LINING


def _flaws(canvas: Canvas) -> None:
    """Cross out the flaws of a piece on hand."""
    lay, row = canvas.row.lay, canvas.row
    for flaw in lay.flaws:
        start, end = max(flaw.start, row.start), min(flaw.end, row.end)
        if start >= end:
            continue
        left, right = -lay.cloth.selvedge, lay.cloth.usable + lay.cloth.selvedge
        if flaw.left is not None and flaw.right is not None:
            left, right = flaw.left - lay.cloth.selvedge, flaw.right - lay.cloth.selvedge
        crossed = {"edge": MOTIF, "hatch": "crossed", "lw": 0.8}
        canvas.box(left, start, right - left, end - start, **crossed)
        if (end - start) * row.scale > text_width("flaw", canvas.small):
            x, y = canvas.at((left + right) // 2, (start + end) // 2)
            canvas.drawing.text(
                x, y, "flaw", canvas.small, ha="center", color=MOTIF, behind="white"
            )


def _finished(canvas: Canvas, numbered: NumberedPanel) -> None:
    """Dash the finished face inside a panel, its top heavy."""
    panel, cloth = numbered.panel, canvas.row.lay.cloth
    shrink = cloth.shrink_across if panel.railroaded else cloth.shrink_down
    length = round(canvas.plan.shade(panel.shade).finished_length / (1 - shrink))
    if panel.railroaded:
        across, along = length, panel.along - 2 * panel.hem_left
        top, y = panel.x + panel.across - panel.hem_top, panel.y + panel.hem_left
        x = top - length
        start, end = (top, y), (top, y + along)
    else:
        x, y = panel.x + panel.hem_left, panel.y + panel.hem_top
        across, along = panel.across - 2 * panel.hem_left, length
        start, end = (x, y), (x + across, y)
    dashed = {"edge": FAINT, "lw": 0.6, "dashes": (4, 3)}
    canvas.box(x, y, across, along, **dashed)
    canvas.line(start, end, color=INK, lw=1.3)


def _motif_rows(canvas: Canvas) -> None:
    row = canvas.row
    cloth = row.lay.cloth
    found = row.motifs
    if found is None or found.every * row.scale < 0.06 * len(found.heights):
        return
    low, high = (0, cloth.usable) if found.turned else (row.start, row.end)
    if found.bars:
        half = found.every // 6
        for at in found.within(low - half, high + half):
            near, far = max(at - half, low), min(at + half, high)
            place = (near, row.start) if found.turned else (0, near)
            along = row.end - row.start
            size = (far - near, along) if found.turned else (cloth.usable, far - near)
            canvas.box(*place, *size, fill=MOTIF, alpha=0.25)
        return
    look: dict[str, Any] = {"color": MOTIF, "lw": 0.5, "alpha": 0.55}
    for at in found.within(low, high):
        ends = ((at, row.start), (at, row.end)) if found.turned else ((0, at), (cloth.usable, at))
        canvas.line(*ends, **look)
