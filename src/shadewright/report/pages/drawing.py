"""What every picture is drawn with: the paper, a few shapes and colours, and text.

Everything is drawn in inches of paper from the lower left corner, so that a label's size and the
room for it can be compared. Lines are as thick, and letters as high, as their points say.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from functools import lru_cache
from math import hypot
from pathlib import Path
from typing import Literal

from PIL import ImageFont

from shadewright.report.work.words import full_width, parted_name

PAGE_WIDTH = 10.0
PAGE_HEIGHT = 6.9
"""Inches of paper: what a landscape sheet of either common size leaves inside its margins."""

LEFT, RIGHT = 0.3, 0.15
ROOM = PAGE_WIDTH - LEFT - RIGHT
FACE, LINING, SELVEDGE = "#f4ead8", "#e3ebef", "#d5d5d5"
DONE = SELVEDGE
INK, FAINT, MOTIF, STRIPE = "#222222", "#6a6a6a", "#b7653f", "#e0bfa8"

POINTS = 72
"""To the inch."""

# DejaVu Sans, taken a little wide: a label judged to fit does fit.
EM = 0.64

FONTS = Path(__file__).with_name("fonts")
_ASCENT, _DESCENT = 0.76, 0.208
"""How far an l stands above the line its text is written on and a p reaches below it, in ems."""

_BACKING = 0.6
_FOOT, _FOOT_SIZE = 0.24, 7.0
"""Inches that a line at the foot of a page takes, and the size of its letters in points."""
_SHORT, _HEAD, _HALF_HEAD = 2, 4, 2
"""Points: how far an arrow stops short of its ends, how long its heads are, and half how wide."""

Point = tuple[float, float]
Hatch = Literal["", "rising", "crossed"]
Stands = Literal["left", "center", "right"]
Tags = tuple[tuple[str, str], ...]
"""Names and values by which a page finds an area again, such as the panel that it shows."""


@dataclass(frozen=True)
class Look:
    """How an area looks.

    Attributes:
        fill: its colour; None lets what lies below show.
        edge: the colour of its edge and of its hatch.
        lw: how thick the edge is, in points; 0 draws none.
        dashes: lengths of dashes and gaps by turns, in thicknesses of the edge.
        alpha: 1 hides what lies below, 0 hides nothing.
    """

    fill: str | None = None
    edge: str = INK
    lw: float = 0.0
    dashes: tuple[float, ...] = ()
    alpha: float = 1.0
    hatch: Hatch = ""


@dataclass(frozen=True)
class Rectangle:
    """`corner` is the lower left one."""

    corner: Point
    wide: float
    high: float
    look: Look
    tags: Tags = ()


@dataclass(frozen=True)
class Circle:
    middle: Point
    radius: float
    look: Look


@dataclass(frozen=True)
class Shapes:
    """Many outlines of one look, as far as they lie inside a rectangle."""

    outlines: tuple[tuple[Point, ...], ...]
    inside: Rectangle
    look: Look


@dataclass(frozen=True)
class Line:
    """From point to point; `lw`, `dashes` and `alpha` as in `Look`."""

    points: tuple[Point, ...]
    color: str
    lw: float
    dashes: tuple[float, ...] = ()
    alpha: float = 1.0


@dataclass(frozen=True)
class Text:
    """A line of text, halfway up at `at`; `size` in points.

    Attributes:
        ha: which end of the text is at `at`.
        upright: written upwards; then `at` is the middle of the text either way.
        behind: colour of a box behind it.
    """

    at: Point
    said: str
    size: float
    ha: Stands
    color: str
    bold: bool
    upright: bool
    behind: str | None

    @property
    def box(self) -> tuple[float, float, float, float]:
        """Left, bottom, right and top of where it stands, in inches."""
        x, y = self.at
        long, high = printed_width(self.said, self.size, bold=self.bold), self.high
        if self.upright:
            return x - high / 2, y - long / 2, x + high / 2, y + long / 2
        left = x - {"left": 0.0, "center": 0.5, "right": 1.0}[self.ha] * long
        return left, y - high / 2, left + long, y + high / 2

    @property
    def high(self) -> float:
        return (_ASCENT + _DESCENT) * self.size / POINTS

    @property
    def drop(self) -> float:
        """How far its middle stands above the line it is written on, in inches."""
        return (_ASCENT - _DESCENT) / 2 * self.size / POINTS

    @property
    def backing(self) -> Rectangle | None:
        """The box behind it, a little larger than the text."""
        if self.behind is None:
            return None
        left, bottom, right, top = self.box
        more = _BACKING / POINTS
        size = right - left + 2 * more, top - bottom + 2 * more
        return Rectangle((left - more, bottom - more), *size, Look(fill=self.behind))


@dataclass
class Drawing:
    """One page of paper, in inches. Areas lie below lines, and lines below text."""

    width: float
    height: float
    areas: list[Rectangle | Circle | Shapes] = field(default_factory=list)
    lines: list[Line] = field(default_factory=list)
    texts: list[Text] = field(default_factory=list)

    def rectangle(
        self,
        corner: Point,
        wide: float,
        high: float,
        *,
        fill: str | None = None,
        edge: str = INK,
        lw: float = 0.0,
        dashes: tuple[float, ...] = (),
        alpha: float = 1.0,
        hatch: Hatch = "",
        tags: Tags = (),
    ) -> Rectangle:
        look = Look(fill, edge, lw, dashes, alpha, hatch)
        drawn = Rectangle(corner, wide, high, look, tags)
        self.areas.append(drawn)
        return drawn

    def circle(self, middle: Point, radius: float, *, fill: str | None = None, lw: float) -> None:
        self.areas.append(Circle(middle, radius, Look(fill, lw=lw)))

    def shapes(
        self, outlines: Iterable[tuple[Point, ...]], inside: Rectangle, color: str, lw: float
    ) -> None:
        self.areas.append(Shapes(tuple(outlines), inside, Look(color, color, lw)))

    def line(
        self,
        *points: Point,
        color: str = INK,
        lw: float,
        dashes: tuple[float, ...] = (),
        alpha: float = 1.0,
    ) -> None:
        self.lines.append(Line(points, color, lw, dashes, alpha))

    def double_arrow(self, start: Point, end: Point, color: str, lw: float) -> None:
        """A dimension line with an open head at each end."""
        long = hypot(end[0] - start[0], end[1] - start[1])
        if long <= 2 * _SHORT / POINTS:
            return
        dx, dy = ((b - a) / long / POINTS for a, b in zip(start, end, strict=True))
        tips = []
        for (x, y), way in ((start, 1), (end, -1)):
            tip = x + way * _SHORT * dx, y + way * _SHORT * dy
            back = tip[0] + way * _HEAD * dx, tip[1] + way * _HEAD * dy
            side = _HALF_HEAD * -dy, _HALF_HEAD * dx
            one = back[0] + side[0], back[1] + side[1]
            other = back[0] - side[0], back[1] - side[1]
            self.line(one, tip, other, color=color, lw=lw)
            tips.append(tip)
        self.line(*tips, color=color, lw=lw)

    def text(
        self,
        x: float,
        y: float,
        said: str,
        size: float,
        *,
        ha: Stands = "left",
        color: str = INK,
        bold: bool = False,
        upright: bool = False,
        behind: str | None = None,
    ) -> None:
        if said:
            self.texts.append(Text((x, y), said, size, ha, color, bold, upright, behind))


def blank(height: float) -> Drawing:
    """Paper one page wide and so many inches high."""
    return Drawing(PAGE_WIDTH, height)


def footed(height: float, foot: str) -> Drawing:
    """Such paper with a line below what is drawn on it; without one, where it is empty."""
    if not foot:
        return blank(height)
    drawing = blank(height + _FOOT)
    drawing.text(LEFT, _FOOT / 2, foot, _FOOT_SIZE, color=FAINT)
    return drawing


def text_width(text: str, points: float, *, bold: bool = False) -> float:
    """About how wide a text prints, in inches of paper; never too little for Latin script."""
    return _guessed(text) * points / POINTS * (1.1 if bold else 1)


@lru_cache(maxsize=10_000)
def _guessed(text: str) -> float:
    """In ems."""
    return sum(1.05 if full_width(c) else EM for c in text)


def printed_width(text: str, points: float, *, bold: bool = False) -> float:
    """How wide a text prints in the pictures' own type, in inches of paper."""
    return _measured(text, bold) * points / POINTS


def shortened(text: str, points: float, room: float, *, bold: bool = False) -> str:
    """The text, cut to what prints in so many inches."""
    if printed_width(text, points, bold=bold) <= room:
        return text
    most = len(text)
    while most and printed_width(f"{text[:most].rstrip()}…", points, bold=bold) > room:
        most -= 1
    return f"{text[:most].rstrip()}…"


def shortened_name(text: str, points: float, room: float, *, bold: bool = False) -> str:
    """The name, cut to what prints in so many inches before the end that tells it from the next."""
    if printed_width(text, points, bold=bold) <= room:
        return text
    name, end = parted_name(text)
    left = room - printed_width(end, points, bold=bold)
    return shortened(name, points, left, bold=bold) + end


@lru_cache(maxsize=4096)
def _measured(text: str, bold: bool) -> float:
    """In ems."""
    font = _font(bold)
    return font.getlength(text) / font.size


@lru_cache(maxsize=2)
def _font(bold: bool) -> ImageFont.FreeTypeFont:
    file = FONTS / ("DejaVuSans-Bold.ttf" if bold else "DejaVuSans.ttf")
    return ImageFont.truetype(file, 512, layout_engine=ImageFont.Layout.BASIC)
