"""Drawings as SVG, PNG and PDF.

A drawing is written as SVG; a typesetter (`typesetting`) turns that into the other two. Only the
type that travels with the package is used, so that the same drawing gives the same bytes on any
machine. Signs that it lacks come out as boxes, and the number beside them still tells the panel.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from io import BytesIO
from math import ceil, floor, sqrt
from typing import Any
from xml.sax.saxutils import escape, quoteattr

from PIL import Image

from shadewright.report.pages.drawing import (
    POINTS,
    Circle,
    Drawing,
    Line,
    Look,
    Point,
    Rectangle,
    Shapes,
    Tags,
    Text,
)
from shadewright.report.pages.typesetting import typeset

# A viewer without the first draws the others as wide or narrower.
_FAMILIES = "DejaVu Sans, Bitstream Vera Sans, Verdana, sans-serif"
_HATCH_STEP = 6.0
_HATCH_LINE = 0.4
"""Points: how far lines of a hatch lie apart along the paper's edge, and how thick they are."""

FINEST = 150.0
_MOST_PIXELS = 60_000_000
"""Dots an inch of a PNG that is printed, and what all pages may have together, for time's sake."""

_COLOURS = 64

_GROUP = 2
_MOST_THREADS = 4
"""Drawings that a thread renders at a time, and how many threads do.

The renderer keeps what it drew for the last few groups, so more of either would take much room.
"""


def never() -> bool:
    """There is no hurry."""
    return False


def svg(drawings: Sequence[Drawing]) -> str:
    """Drawings, one below the other, as one picture."""
    wide, high = max(d.width for d in drawings), sum(d.height for d in drawings)
    size = f"{_number(wide * POINTS)} {_number(high * POINTS)}"
    paper = _Paper()
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{wide:.4f}in" height="{high:.4f}in" '
        f'viewBox="0 0 {size}" font-family="{_FAMILIES}">',
        '<rect width="100%" height="100%" fill="#ffffff"/>',
        *(part for drawing in drawings for part in paper.put(drawing)),
        "</svg>",
    ]
    return "\n".join(parts) + "\n"


def inline(drawing: Drawing, name: str) -> str:
    """A drawing as an element of a page, found as `name`; what it holds is the group `name`-all,
    which other elements may show again."""
    size = f"{_number(drawing.width * POINTS)} {_number(drawing.height * POINTS)}"
    return "\n".join(
        [
            f'<svg id="{name}" viewBox="0 0 {size}"><g id="{name}-all">',
            '<rect width="100%" height="100%" fill="#ffffff"/>',
            *_Paper(name).put(drawing),
            "</g></svg>",
        ]
    )


@dataclass(frozen=True)
class PicturePart:
    """Drawings of one kind, with their bookmark at a level from 1 down."""

    name: str
    level: int
    drawings: Sequence[Drawing]


def pdf(parts: Sequence[PicturePart]) -> bytes:
    """A page as large as each drawing, and a bookmark for each part. It bears no date."""
    pages: list[dict[str, Any]] = []
    waiting: list[dict[str, Any]] = []
    for part in parts:
        # A part without drawings is named where the next one begins.
        waiting.append({"name": part.name, "level": part.level})
        for drawing in part.drawings:
            pages.append(_page(drawing, waiting))
            waiting = []
    made = typeset("drawings.typ", pages, "pdf")
    assert isinstance(made, bytes)
    return made


def png(drawings: Sequence[Drawing]) -> list[bytes]:
    """A PNG of each drawing, fit to be printed where there are not very many."""
    pages = _rendered(drawings, dpi_of(drawings), lambda page: page, never)
    return [page for page in pages if page is not None]


def dpi_of(drawings: Sequence[Drawing]) -> float:
    """Dots an inch of drawings that are rendered together."""
    area = sum(drawing.width * drawing.height for drawing in drawings)
    return min(FINEST, sqrt(_MOST_PIXELS / area))


def png_pages(
    drawings: Sequence[Drawing], dpi: float, hurry: Callable[[], bool] = never
) -> Iterator[bytes | None]:
    """A PNG of each drawing, in few colours, which is all that one has, and so in few bytes.

    They are begun at once, and rendered while their caller does other things.

    Args:
        hurry: asked time and again, also by other threads; once it says True the rest is left out,
            and comes as None.
    """
    return _rendered(drawings, dpi, _few_colours, hurry)


def _rendered(
    drawings: Sequence[Drawing],
    dpi: float,
    finish: Callable[[bytes], bytes],
    hurry: Callable[[], bool],
) -> Iterator[bytes | None]:
    def render(group: Sequence[Drawing]) -> Sequence[bytes | None]:
        if hurry():
            return [None] * len(group)
        made = typeset("drawings.typ", list(map(_page, group)), "png", dpi)
        return [finish(page) for page in ([made] if isinstance(made, bytes) else made)]

    groups = [drawings[i : i + _GROUP] for i in range(0, len(drawings), _GROUP)]
    # Threads are enough: the renderer and the packing of PNGs let others run meanwhile.
    pool = ThreadPoolExecutor(min(os.cpu_count() or 1, _MOST_THREADS))
    begun = [pool.submit(render, group) for group in groups]
    pool.shutdown(wait=False)
    return (page for group in begun for page in group.result())


def _page(drawing: Drawing, bookmarks: Sequence[Mapping[str, Any]] = ()) -> dict[str, Any]:
    """A drawing as the template takes it."""
    size = {"width": drawing.width, "height": drawing.height}
    return {**size, "svg": svg([drawing]), "bookmarks": list(bookmarks)}


def _few_colours(png: bytes) -> bytes:
    held = BytesIO()
    with Image.open(BytesIO(png)) as image:
        few = image.quantize(_COLOURS, Image.Quantize.FASTOCTREE)
        palette = few.getpalette("RGB")
        assert palette is not None
        # Colours come out right to a hair, and on paper that hair would show as a grey veil.
        few.putpalette([255 if light > 251 else light for light in palette])
        few.save(held, format="PNG")
    return held.getvalue()


def _number(value: float) -> str:
    """To a hundredth of a point, without needless digits."""
    return f"{value:.2f}".rstrip("0").rstrip(".")


class _Paper:
    """Turns inches from the lower left corner into points from the upper left one, as SVG has."""

    def __init__(self, name: str = "") -> None:
        self._name = name
        self._bottom = 0.0
        self._clips = 0

    def put(self, drawing: Drawing) -> Iterator[str]:
        """The elements of a drawing, below those before it."""
        self._bottom += drawing.height
        for area in drawing.areas:
            match area:
                case Rectangle():
                    yield from self._rectangle(area)
                case Circle():
                    yield self._circle(area)
                case Shapes():
                    yield from self._shapes(area)
        for line in drawing.lines:
            yield self._line(line)
        for text in drawing.texts:
            yield from self._text(text)

    def _at(self, point: Point) -> tuple[str, str]:
        return _number(point[0] * POINTS), _number((self._bottom - point[1]) * POINTS)

    def _path(self, points: Sequence[Point]) -> str:
        return "M" + "L".join(" ".join(self._at(point)) for point in points)

    def _box(self, box: Rectangle) -> str:
        x, y = self._at((box.corner[0], box.corner[1] + box.high))
        wide, high = _number(box.wide * POINTS), _number(box.high * POINTS)
        return f'<rect x="{x}" y="{y}" width="{wide}" height="{high}"'

    def _rectangle(self, area: Rectangle) -> Iterator[str]:
        look = area.look
        # An edge goes over the hatch.
        if look.hatch and look.fill:
            yield f"{self._box(area)}{_filled(look.fill)}/>"
        if look.hatch:
            hatch = "".join(self._path(line) for line in _hatch(area))
            yield f'<path d="{hatch}"{_stroke(look.edge, _HATCH_LINE)}/>'
        yield f"{self._box(area)}{_look(look)}{_tagged(area.tags)}/>"

    def _circle(self, area: Circle) -> str:
        x, y = self._at(area.middle)
        radius = _number(area.radius * POINTS)
        return f'<circle cx="{x}" cy="{y}" r="{radius}"{_look(area.look)}/>'

    def _shapes(self, area: Shapes) -> Iterator[str]:
        self._clips += 1
        name = f"{self._name}inside{self._clips}"
        paths = "".join(map(self._path, area.outlines))
        yield f'<clipPath id="{name}">{self._box(area.inside)}/></clipPath>'
        yield f'<path d="{paths}" clip-path="url(#{name})"{_look(area.look)}/>'

    def _line(self, line: Line) -> str:
        caps = "" if line.dashes else ' stroke-linecap="square"'
        look = _stroke(line.color, line.lw, line.dashes, line.alpha)
        return (
            f'<path d="{self._path(line.points)}" fill="none"{caps} stroke-linejoin="round"{look}/>'
        )

    def _text(self, text: Text) -> Iterator[str]:
        if text.backing:
            yield f"{self._box(text.backing)}{_look(text.backing.look)}/>"
        x, y = self._at(text.at)
        drop = _number(text.drop * POINTS)
        where = f' x="{x}" y="{y}" dy="{drop}"'
        if text.upright:
            where += f' transform="rotate(-90 {x} {y})"'
        anchor = {"left": "start", "center": "middle", "right": "end"}[text.ha]
        if anchor != "start":
            where += f' text-anchor="{anchor}"'
        if text.bold:
            where += ' font-weight="700"'
        # Spaces are kept, since labels set their parts apart by them.
        yield (
            f'<text{where} font-size="{_number(text.size)}"{_filled(text.color)} '
            f'xml:space="preserve">{escape(text.said)}</text>'
        )


def _look(look: Look) -> str:
    fill = None if look.hatch else look.fill
    if not look.lw:
        return _filled(fill, look.alpha)
    return _filled(fill, look.alpha) + _stroke(look.edge, look.lw, look.dashes, look.alpha)


def _filled(color: str | None, alpha: float = 1.0) -> str:
    faint = "" if alpha == 1.0 or color is None else f' fill-opacity="{_number(alpha)}"'
    return f' fill="{color or "none"}"{faint}'


def _stroke(color: str, lw: float, dashes: Sequence[float] = (), alpha: float = 1.0) -> str:
    said = f' stroke="{color}" stroke-width="{_number(lw)}"'
    if dashes:
        said += f' stroke-dasharray="{" ".join(_number(dash * lw) for dash in dashes)}"'
    return said if alpha == 1.0 else said + f' stroke-opacity="{_number(alpha)}"'


def _tagged(tags: Tags) -> str:
    return "".join(f" data-{name}={quoteattr(value)}" for name, value in tags)


def _hatch(area: Rectangle) -> Iterator[tuple[Point, Point]]:
    """Slanting lines over a rectangle. All rectangles of a page share them, so they join on."""
    left, bottom = area.corner
    right, top = left + area.wide, bottom + area.high
    step = _HATCH_STEP / POINTS
    for n in range(ceil((left - top) / step), floor((right - bottom) / step) + 1):
        # Rising lines: x - y = n steps.
        start, end = max(left, bottom + n * step), min(right, top + n * step)
        yield (start, start - n * step), (end, end - n * step)
    if area.look.hatch == "crossed":
        for n in range(ceil((left + bottom) / step), floor((right + top) / step) + 1):
            start, end = max(left, n * step - top), min(right, n * step - bottom)
            yield (start, n * step - start), (end, n * step - end)
