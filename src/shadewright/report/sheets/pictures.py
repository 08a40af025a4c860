"""The sheets that hold pictures: making cards, roll map and wall view."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from io import BytesIO
from itertools import islice
from math import ceil

from openpyxl.drawing.image import Image
from openpyxl.worksheet.pagebreak import Break
from openpyxl.worksheet.worksheet import Worksheet

from shadewright.report.pages.drawing import Drawing
from shadewright.report.pages.rendering import png_pages
from shadewright.report.sheets.cells import Column, put_across, set_widths

_MOST_PAGES = 20
"""Pages of one kind in a workbook. A thousand openings have hundreds: nobody leafs through them on
a screen, and drawing them takes longer than finding the plan."""

_DPI = 110
"""Dots an inch of a picture as printed: the smallest letters are legible, and the file is small."""


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
    held = [(list(islice(drawings, _MOST_PAGES)), drawings) for drawings in sheets]
    pages = png_pages([drawing for shown, _ in held for drawing in shown], _DPI, hurry)
    return [Pictures(shown, pages, next(rest, None) is not None) for shown, rest in held]


def put_pictures(sheet: Worksheet, pictures: Pictures) -> None:
    """One picture a printed page, with page breaks between; a line says what is left out."""
    pitch = 15.0  # height of a row, in points
    set_widths(sheet, [Column("", 13)] * 10)
    row = 1
    pages = list(islice(pictures.pages, len(pictures.drawings)))
    for drawing, png in zip(pictures.drawings, pages, strict=True):
        if row > 1:
            sheet.row_breaks.append(Break(id=row - 1))
        if png is None:
            put_across(sheet, row, "Left out: stopped while this was drawn.", 10)
            row += 1
            break
        image = Image(BytesIO(png))
        # Pixels of 1/96 in; a sheet shows 10 in, and a page about 6 1/2 in below its header.
        shrink = min(1.0, 6.4 / drawing.height)
        image.width = int(drawing.width * 96 * shrink)
        image.height = int(drawing.height * 96 * shrink)
        sheet.add_image(image, f"A{row}")
        rows = ceil(drawing.height * shrink * 72 / pitch) + 1
        for r in range(row, row + rows):
            sheet.row_dimensions[r].height = pitch
        row += rows
    if pictures.more:
        more = (
            f"The first {len(pictures.drawings)} pages. All of them come with --picture and a name "
            "that ends in .pdf."
        )
        put_across(sheet, row, more, 10)
        row += 1
    sheet.print_area = f"A1:J{row - 1}"
