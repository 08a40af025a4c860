"""Where printed pages end: not after a heading, and not between rows that stay together."""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping, Sequence

from openpyxl.worksheet.pagebreak import Break
from openpyxl.worksheet.worksheet import Worksheet

from shadewright.report.sheets import looks

_SAFE = 1.01
"""Times higher that rows are taken to print than they should, as programs differ."""

_A_LITTLE = 1.1
"""Times the height of a page that are drawn in onto one, sooner than begin another."""

_PAPER = {1: (11.0, 8.5), 9: (11.69, 8.27)}
"""Inches of Letter and A4 lying, by the numbers that sheets have for them."""


def break_pages(
    page: Worksheet,
    heights: Mapping[int, float],
    widths: Sequence[float],
    with_next: Collection[int],
) -> None:
    """Put page breaks where rows would be parted that stay together.

    Args:
        heights: of rows, in points; rows that have none are as high as a line.
        widths: of columns, in digits.
        with_next: rows that no page may end with.
    """
    page.sheet_format.defaultRowHeight = looks.LINE
    page.sheet_format.customHeight = True
    wide, high = _paper(page)
    scale = min(1.0, wide / sum(map(_points, widths))) * _SAFE
    whole = (
        sum(heights.get(row, looks.LINE) for row in range(1, max(heights, default=0) + 1)) * scale
    )
    if high < whole <= _A_LITTLE * high and not page.row_breaks.brk:
        page.page_setup.fitToHeight = 1
        return
    again = sum(heights.get(row, 0.0) for row in _repeated_rows(page)) * scale
    breaks = {each.id for each in page.row_breaks.brk}
    used, began, block, blocked = 0.0, 1, 0.0, 0
    last = max(heights, default=0)
    for row in range(1, last + 1):
        block, blocked = block + heights.get(row, looks.LINE) * scale, blocked or row
        if row in with_next and row not in breaks and row < last:
            continue
        if used and used + block > high and blocked > began:
            page.row_breaks.append(Break(id=blocked - 1))
            used, began = again, blocked
        used += block
        # What is longer than a page runs on.
        used = used if used <= high else again + (used - high) % high
        if row in breaks:
            used, began = again, row + 1
        block, blocked = 0.0, 0


def _paper(page: Worksheet) -> tuple[float, float]:
    """Points of paper between a page's margins."""
    wide, high = _PAPER[page.page_setup.paperSize or 1]
    margins = page.page_margins
    across, down = margins.left + margins.right, margins.top + margins.bottom
    return (wide - across) * 72, (high - down) * 72


def _points(width: float) -> float:
    """Points of a column that is so many digits wide."""
    return (7 * width + 5) * 0.75


def _repeated_rows(page: Worksheet) -> range:
    """The rows that every printed page begins with."""
    rows = re.findall(r"\d+", page.print_title_rows or "")
    return range(int(rows[0]), int(rows[-1]) + 1) if rows else range(0)
