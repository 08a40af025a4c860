"""A shade from front and back, with where its eyes, hooks and cords go.

Positions run from the left as one stands before the shade in the room; on the back view, which is
seen from the window, left and right change places.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import count, permutations, product
from typing import Any

from shadewright.job.model import Job
from shadewright.measure import Ticks
from shadewright.report.pages.drawing import (
    FACE,
    FAINT,
    LINING,
    MOTIF,
    POINTS,
    Drawing,
    Point,
    printed_width,
    text_width,
)
from shadewright.report.work.makings import Card, cord_names
from shadewright.trade.sizes import board_hanging_depth, rod_hanging_depth

_WOOD, _ROD = "#d8c3a0", "#c9b08a"
_BETWEEN = 0.45
_DIMENSION = 0.3
"""Inches between the two views, and for the lines with their sizes."""

_HOOK = 0.2
_OVER = 0.12
_CLEAR, _APART = 0.02, 0.05
"""Inches: how high hooks are drawn, how far a mark's figure may stand out beside its shade, and how
far it keeps from a line that leads past it, and from other figures."""

_FEW = 3
"""Figures of which every way to set them is tried."""


@dataclass(frozen=True)
class ViewRoom:
    """What a view may take at most, in inches, and the size of its letters in points."""

    wide: float
    high: float
    small: float

    @property
    def pitch(self) -> float:
        """From line to line of its figures, in inches."""
        return 1.5 * self.small / POINTS


@dataclass(frozen=True)
class _View:
    """A shade drawn at `scale` inches of paper a tick, its top left corner at (left, top)."""

    card: Card
    left: float
    top: float
    scale: float
    back: bool
    small: float

    @property
    def width(self) -> float:
        return self.card.shade.finished_width * self.scale

    @property
    def height(self) -> float:
        return self.card.shade.finished_length * self.scale

    def across(self, from_left: float) -> float:
        """Where on paper something is that lies so far from the shade's left edge."""
        x = from_left * self.scale
        return self.left + (self.width - x if self.back else x)

    def down(self, from_top: float) -> float:
        return self.top - from_top * self.scale


@dataclass(frozen=True)
class _Mark:
    """The figure of an eye or a hook at `x`, so wide to each side of its middle; lines count from
    0 up."""

    x: float
    middle: float
    half: float
    line: int
    said: str


def draw_views(job: Job, card: Card, room: ViewRoom) -> Drawing:
    """Both views on paper just as large as they are."""
    high = card.shade.finished_length * _scale(card, room)
    above = room.pitch + _above(job, card, room)
    size = _DIMENSION + 2 * _step(card, room) - _BETWEEN + 2 * _OVER, above + high + _DIMENSION
    drawing = Drawing(*size)
    put_views(drawing, job, card, (_DIMENSION + _OVER, size[1] - room.pitch / 2), room)
    return drawing


def put_views(drawing: Drawing, job: Job, card: Card, at: Point, room: ViewRoom) -> None:
    """Draw both views side by side, the middle of the first one's name at this height."""
    scale = _scale(card, room)
    left, top = at
    under = top - room.pitch / 2 - _above(job, card, room)
    step = _step(card, room)
    for number, (name, back) in enumerate((("Front", False), ("Back", True))):
        view = _View(card, left + number * step, under, scale, back, room.small)
        drawing.text(view.left, top, name, room.small + 1.5, bold=True)
        _draw_shade(drawing, job, view)
        _draw_cords(drawing, job, view)
        _draw_marks(drawing, job, view, room)
    _dimensions(drawing, job, _View(card, left, under, scale, False, room.small))


def _step(card: Card, room: ViewRoom) -> float:
    """From the left edge of one view to that of the other, where their names have room too."""
    named = text_width("Front", room.small + 1.5, bold=True)
    return max(card.shade.finished_width * _scale(card, room), named) + _BETWEEN


def _scale(card: Card, room: ViewRoom) -> float:
    return min(room.wide / card.shade.finished_width, room.high / card.shade.finished_length)


def _above(job: Job, card: Card, room: ViewRoom) -> float:
    """Inches that hooks and figures take above the shades."""
    scale = _scale(card, room)
    views = (_View(card, 0.0, 0.0, scale, back, room.small) for back in (False, True))
    lines = max(mark.line + 1 for view in views for mark in _marks(job, view))
    return _HOOK + lines * room.pitch + 0.04


def _draw_shade(drawing: Drawing, job: Job, view: _View) -> None:
    """Cloth, board and rod, and the stitching of the pockets."""
    make = job.make
    cloth = LINING if view.back and make.lining else FACE
    corner = view.left, view.down(view.card.shade.finished_length)
    drawing.rectangle(corner, view.width, view.height, fill=cloth, lw=0.8)
    board = board_hanging_depth(make.board_pocket, make.board)
    rod = rod_hanging_depth(make.rod_pocket, make.rod)
    length = view.card.shade.finished_length
    short = make.stick_short / 2
    for at, thick, colour in ((0.0, make.board, _WOOD), (length - make.rod, make.rod, _ROD)):
        x = view.left + short * view.scale
        y = view.down(at + thick)
        wide = view.width - 2 * short * view.scale
        drawing.rectangle(
            (x, y), wide, thick * view.scale, fill=colour, edge=FAINT, lw=0.4, alpha=0.8
        )
    for at in (board, length - rod):
        y = view.down(at)
        _dashed(drawing, (view.left, y), (view.left + view.width, y), (2, 1.5))
    if not make.lining:
        for fold in (make.side_fold, view.card.shade.finished_width - make.side_fold):
            x = view.across(fold)
            _dashed(drawing, (x, view.top), (x, corner[1]), (1, 2))


def _draw_cords(drawing: Drawing, job: Job, view: _View) -> None:
    """Down the back to the rod; up the front to the eyes, along the board and down from the
    guide."""
    card, short = view.card, job.make.stick_short / 2
    length = card.shade.finished_length
    lines = [short + line for line in card.making.lift_lines]
    guide = short + card.making.guide
    under = view.down(job.make.board) - 0.03
    if view.back:
        _name_cords(drawing, view, lines)
    for i, line in enumerate(lines):
        x = view.across(line)
        top = view.top if view.back else under
        drawing.line((x, top), (x, view.down(length)), color=MOTIF, lw=0.9)
        if view.back:
            continue
        level = under - 0.03 * i
        tail = level - max(min(card.made.cords.tail * view.scale, view.height * 0.6), 0.2)
        side = view.across(guide) + (0.02 * i if card.shade.draw != "left" else -0.02 * i)
        drawing.line((x, level), (side, level), (side, tail), color=MOTIF, lw=0.9)


def _name_cords(drawing: Drawing, view: _View, lines: Sequence[float]) -> None:
    """Write each cord's name at its foot, on its own half of the shade."""
    y = view.down(view.card.shade.finished_length) - 0.15
    middle = view.left + view.width / 2
    for line, name in zip(lines, cord_names(view.card.making), strict=True):
        x, half = view.across(line), text_width(name, view.small) / 2
        if x < middle:
            drawing.text(min(x + half, middle - 0.03), y, name, view.small, ha="right")
        else:
            drawing.text(max(x - half, middle + 0.03), y, name, view.small)


def _marks(job: Job, view: _View) -> Sequence[_Mark]:
    """The figures of what is on top of the board, seen from behind, or below it, on the fewest
    lines of text on which none lies in the way of a line that leads past it."""
    making, short = view.card.making, job.make.stick_short / 2
    places = making.hooks if view.back else sorted({*making.lift_lines, making.guide})
    found = [_mark(job, view, at, view.across(short + at)) for at in places]
    lines = product(range(len(found)), repeat=len(found)) if len(found) <= _FEW else [_up(found)]
    tries = []
    for tried in lines:
        marks = [replace(mark, line=line) for mark, line in zip(found, tried, strict=True)]
        tries.append([_clear_of_lines(view, mark, marks) for mark in marks])
    return min(tries, key=_unclear)


def _mark(job: Job, view: _View, at: Ticks, x: float) -> _Mark:
    """The figure of a place, above it as far as it may stand out beside the shade."""
    # In the unit of the sizes below; there is little room.
    said = job.tape.short(at).removesuffix(" cm")
    half = printed_width(said, view.small) / 2
    low, high = view.left - _OVER + half, view.left + view.width + _OVER - half
    middle = min(max(x, low), high) if low < high else (low + high) / 2
    return _Mark(x, middle, half, 0, said)


def _up(marks: Sequence[_Mark]) -> Sequence[int]:
    """A line for each of many figures: the lowest on which those before it leave room."""
    lines: list[int] = []
    for mark in marks:
        taken = {line for line, other in zip(lines, marks, strict=False) if _touch(mark, other)}
        lines.append(next(line for line in count() if line not in taken))
    return lines


def _touch(one: _Mark, other: _Mark) -> bool:
    return abs(one.middle - other.middle) < one.half + other.half + _APART


def _unclear(marks: Sequence[_Mark]) -> tuple[float, ...]:
    """How many figures touch another, how many lie in the way of a line, how many lines of text
    there are, and how far figures are from their places."""
    pairs = list(permutations(marks, 2))
    return (
        sum(one.line == other.line and _touch(one, other) for one, other in pairs),
        sum(
            other.line > mark.line and abs(other.x - mark.middle) < mark.half
            for mark, other in pairs
        ),
        max(mark.line for mark in marks),
        sum(mark.line + abs(mark.middle - mark.x) for mark in marks),
    )


def _clear_of_lines(view: _View, mark: _Mark, marks: Sequence[_Mark]) -> _Mark:
    """The mark with its figure beside the line that leads past it to a figure further up, as far
    as there is room."""
    middle = mark.middle
    for other in marks:
        if other.line > mark.line and abs(other.x - middle) < mark.half + _CLEAR:
            aside = mark.half + _CLEAR
            middle = other.x - aside if mark.x < other.x else other.x + aside
    low, high = view.left - _OVER + mark.half, view.left + view.width + _OVER - mark.half
    beside = (each for each in marks if each.line == mark.line and each is not mark)
    free = all(abs(each.middle - middle) >= each.half + mark.half + _APART for each in beside)
    return replace(mark, middle=middle) if free and low <= middle <= high else mark


def _draw_marks(drawing: Drawing, job: Job, view: _View, room: ViewRoom) -> None:
    """Eyes and hooks, each with its distance from the board's left end."""
    under = view.down(job.make.board) - 0.03
    for mark in _marks(job, view):
        y = view.top + _HOOK + room.pitch * (mark.line + 0.5)
        if view.back:
            _draw_hook(drawing, mark.x, view.top)
        else:
            drawing.circle((mark.x, under), 0.03, fill="white", lw=0.8)
        start = view.top + (_HOOK if view.back else 0.0)
        _dashed(drawing, (mark.x, start), (mark.x, y - room.pitch * 0.4), (1, 1))
        drawing.text(mark.middle, y, mark.said, view.small, ha="center", behind="white")


def _draw_hook(drawing: Drawing, x: float, top: float) -> None:
    drawing.circle((x, top + 0.05), 0.04, lw=0.8)
    drawing.line((x, top + 0.09), (x, top + 0.17), (x + 0.04, top + _HOOK), lw=0.9)


def _dimensions(drawing: Drawing, job: Job, view: _View) -> None:
    """Its width and its length as it hangs."""
    bottom, shade = view.top - view.height, view.card.shade
    x, y = view.left - 0.18, bottom - 0.15
    drawing.double_arrow((x, view.top), (x, bottom), FAINT, 0.5)
    drawing.double_arrow((view.left, y), (view.left + view.width, y), FAINT, 0.5)
    long, wide = job.tape.short(shade.finished_length), job.tape.short(shade.finished_width)
    look: dict[str, Any] = {"ha": "center", "behind": "white"}
    drawing.text(x, (view.top + bottom) / 2, long, view.small, upright=True, **look)
    drawing.text(view.left + view.width / 2, y, wide, view.small, **look)


def _dashed(drawing: Drawing, start: Point, end: Point, dashes: tuple[float, float]) -> None:
    drawing.line(start, end, color=FAINT, lw=0.5, dashes=dashes)
