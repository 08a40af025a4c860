"""Where each cut lies on the drawing of the roll map, so that a page can show it there.

All in points from the drawing's upper left corner, which is how its SVG counts.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from shadewright.measure import Ticks
from shadewright.report.pages.drawing import POINTS
from shadewright.report.pages.roll_rows import TAPE, TITLE, Row, height_of, rows_of_pieces
from shadewright.report.work.account import Account
from shadewright.report.work.lays import DropLay, StripLay
from shadewright.report.work.steps import Step

_BELOW, _BESIDE, _OFF, _ABOVE = 0.24, 0.16, 0.07, 0.1
"""Inches of paper: what is shown below the cloth and at its sides; how far from what it measures a
line of measure lies, and above the cloth, where it must pass under the figures of the tape."""

Ends = tuple[float, float, float, float]
"""x and y of a line's start, and of its end."""


@dataclass(frozen=True)
class CutPicture:
    """What is shown of a cut.

    Attributes:
        view: left, top, width and height of the part of the roll map to look at.
        cut: the cut.
        measure: from where the tape's zero lies, or the edge of the view, to the cut.
        whole: whether the tape's zero lies in the view.
    """

    view: Ends
    cut: Ends
    measure: Ends
    whole: bool


def cut_pictures(account: Account, steps: Sequence[Step]) -> Iterator[CutPicture]:
    """A picture of each step, on the drawing of `roll_map.draw_whole_roll`."""
    rows = [row for rows in rows_of_pieces(account) for row in rows]
    height = height_of(rows)
    top, beds = height - TITLE, dict[tuple[str, str, int], _Bed]()
    for row in rows:
        for lay in row.drops:
            drop = lay.drop
            beds[drop.cloth, drop.piece, drop.number] = _Bed(row, lay, row.near_edge(top), height)
        top -= row.height
    depths: dict[tuple[str, str, int, Ticks], Ticks] = {}
    for step in steps:
        name = step.drop.cloth, step.drop.piece, step.drop.number
        depth = depths.get((*name, step.cut.at), step.drop.start)
        yield beds[name].picture(step, depth)
        if step.cut.kind == "lengthwise" and step.cut.to is not None:
            depths[*name, step.cut.at] = step.cut.to


@dataclass(frozen=True)
class _Bed:
    """A drop where it lies on paper; `bottom` is the height of its cloth's near edge."""

    row: Row
    lay: DropLay
    bottom: float
    height: float

    def picture(self, step: Step, depth: Ticks) -> CutPicture:
        """A cut of this drop.

        Args:
            depth: from where on a lengthwise cut goes on.
        """
        view = self._view(step)
        cut, measure = self._lines(step, depth)
        whole = view[0] <= measure[0]
        return CutPicture(view, cut, (max(measure[0], view[0]), *measure[1:]), whole)

    def _view(self, step: Step) -> Ends:
        """The drop, and what is cut off before it, with the tape above and its name below."""
        drop, width = self.lay.drop, self.row.lay.cloth.width
        before = [d.drop.end for d in self.row.drops if d.drop.end <= drop.start]
        start = max([self.row.start, *before]) if step.cut.role == "opens its drop" else drop.start
        left, top = self._at(-self.row.lay.cloth.selvedge, start)
        right = self._at(0, drop.end)[0]
        side, more = _BESIDE * POINTS, (TAPE + _BELOW) * POINTS
        high = width * self.row.scale * POINTS + more
        return left - side, top + _BELOW * POINTS - high, right - left + 2 * side, high

    def _lines(self, step: Step, depth: Ticks) -> tuple[Ends, Ends]:
        """The cut, and the line that measures it."""
        cut, drop, cloth = step.cut, self.lay.drop, self.row.lay.cloth
        off = round(_OFF / self.row.scale)
        near, far = -cloth.selvedge, cloth.usable + cloth.selvedge
        if cut.kind == "across the piece":
            over = far + round(_ABOVE / self.row.scale)
            return self._line(near, cut.at, far, cut.at), self._line(over, 0, over, cut.at)
        if cut.kind == "lengthwise":
            x = cut.at - cloth.selvedge
            end = drop.end if cut.to is None else cut.to
            beside = depth - off
            return self._line(x, depth, x, end), self._line(near, beside, x, beside)
        strip = self._strip(cut.touches)
        if cut.kind == "across a strip":
            y = drop.start + cut.at if cut.to is None else cut.to
            x = strip.left + off
            return self._line(strip.left, y, strip.right, y), self._line(x, y - cut.at, x, y)
        (panel,) = [n.panel for n in strip.panels if n.number in cut.touches]
        x, y = strip.left + cut.at, panel.y + off
        return (
            self._line(x, panel.y, x, panel.y + panel.along),
            self._line(strip.left, y, x, y),
        )

    def _strip(self, panels: Sequence[int]) -> StripLay:
        """The strip that holds a panel of these."""
        return next(s for s in self.lay.strips if any(p.number in panels for p in s.panels))

    def _line(self, x: Ticks, y: Ticks, to_x: Ticks, to_y: Ticks) -> Ends:
        return *self._at(x, y), *self._at(to_x, to_y)

    def _at(self, x: Ticks, y: Ticks) -> tuple[float, float]:
        across, up = self.row.at(self.bottom, x, y)
        return across * POINTS, (self.height - up) * POINTS
