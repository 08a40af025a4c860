"""The sheets that hold pictures: roll map and wall view."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from io import BytesIO
from itertools import islice
from math import ceil

from openpyxl.drawing.image import Image
from openpyxl.worksheet.pagebreak import Break

from shadewright.report.pages.drawing import Drawing
from shadewright.report.pages.rendering import png_pages
from shadewright.report.sheets import looks
from shadewright.report.sheets.sheet import Column, Sheet

_MOST_PAGES = 12
_SOME_PAGES = 4
"""Pages of one kind in a workbook, and how many are shown where there are more. A thousand openings
have hundreds: nobody leafs through them on a screen, and drawing them takes longer than finding the
plan."""

_DPI = 110
"""Dots an inch of a picture as printed: the smallest letters are legible, and the file is small."""

_COLUMNS = (Column("", 13, 13),) * 10
_PITCH = 15.0
"""Height of a row below a picture, in points."""

_HIGH = 6.95
"""Inches of a printed page below its header."""


@dataclass(frozen=True)
class Pictures:
    """Pictures of one sheet on their way: rendered while the other sheets are made.

    Attributes:
        drawings: that are shown.
        pages: a PNG of each, with those of sheets that follow; None of what was left out.
        more: whether there are others that are not shown.
    """

    drawings: Sequence[Drawing]
    pages: Iterator[bytes | None]
    more: bool


def pictures(sheets: Iterable[Iterator[Drawing]], hurry: Callable[[], bool]) -> list[Pictures]:
    """Begin to render the first drawings of each of some sheets, which are put in this order.

    Args:
        hurry: asked now and then, also by other threads; once it says True the rest is left out.
    """
    held = [_some(drawings) for drawings in sheets]
    pages = png_pages([drawing for shown, _ in held for drawing in shown], _DPI, hurry)
    return [Pictures(shown, pages, more) for shown, more in held]


def _some(drawings: Iterator[Drawing]) -> tuple[list[Drawing], bool]:
    """The drawings that are shown, and whether there are more."""
    first = list(islice(drawings, _MOST_PAGES + 1))
    more = len(first) > _MOST_PAGES
    return (first[:_SOME_PAGES] if more else first), more


def put_pictures(sheet: Sheet, pictures: Pictures) -> None:
    """Pictures one below the other, as many on a printed page as it holds; a line says what is left
    out."""
    sheet.columns = _COLUMNS
    row, used = 1, 0.0
    pages = list(islice(pictures.pages, len(pictures.drawings)))
    for drawing, png in zip(pictures.drawings, pages, strict=True):
        if png is None:
            sheet.put(row, 1, "Left out: stopped while this was drawn.", span=len(_COLUMNS))
            row += 1
            break
        # Pixels of 1/96 in; a sheet shows 10 in.
        shrink = min(1.0, _HIGH / drawing.height)
        high = drawing.height * shrink
        if used and used + high > _HIGH:
            sheet.page.row_breaks.append(Break(id=row - 1))
            used = 0.0
        image = Image(BytesIO(png))
        image.width, image.height = int(drawing.width * 96 * shrink), int(high * 96)
        sheet.page.add_image(image, f"A{row}")
        rows = ceil(high * 72 / _PITCH)
        for each in range(row, row + rows):
            sheet.set_height(each, _PITCH)
        row, used = row + rows, used + rows * _PITCH / 72
    if pictures.more:
        more = (
            f"These are the first {len(pictures.drawings)} pages. All of them come with --picture "
            "and a name that ends in .pdf."
        )
        sheet.put(row, 1, more, looks.NOTE, span=len(_COLUMNS))
        row += 1
    sheet.page.print_area = f"A1:J{row - 1}"
