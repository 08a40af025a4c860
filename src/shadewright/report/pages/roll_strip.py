"""A roll in little: every piece of a plan with its panels, to scale, without a word."""

from __future__ import annotations

from collections.abc import Iterator
from math import isqrt

from shadewright.cloth.plan import Plan
from shadewright.job.model import Job
from shadewright.measure import Ticks
from shadewright.report.pages.drawing import FACE, INK, LINING, PAGE_WIDTH, Drawing

_MOST_ROWS = 5
"""The longest roll is drawn in no more rows than this."""

_HIGHEST = 0.42
"""Of its width: how high a drawing of the longest roll is at most, but for what is between rows."""

_WITH_IT = 1.06
"""Times as long as a row is one that holds the end of its piece as well, where that is short."""

_ROW_GAP = 0.06
"""Inches of paper between rows."""


def roll_strip(job: Job, plan: Plan, longest: Ticks, paper: float = PAGE_WIDTH) -> Drawing:
    """Every piece of a plan with its panels, to scale, without a word.

    Args:
        longest: the length that fills all rows; plans that are drawn with one length are drawn to
            one scale.
        paper: how wide the drawing is, in inches.
    """
    row, scale = _row(job, max(longest, 1), paper)
    parts = [
        (use.cloth, use.piece, start, end)
        for use in plan.pieces
        for start, end in _rows(use.used, row)
    ]
    height = sum(job.cloth(cloth).usable * scale + _ROW_GAP for cloth, *_ in parts)
    drawing, top = Drawing(paper, height), height
    for cloth, piece, start, end in parts:
        wide = job.cloth(cloth).usable * scale
        bottom = top - wide
        drawing.rectangle((0, bottom), (end - start) * scale, wide, edge=INK, lw=0.6)
        for panel in plan.panels:
            low, high = max(panel.y, start), min(panel.y + panel.along, end)
            if (panel.cloth, panel.piece) != (cloth, piece) or low >= high:
                continue
            fill = FACE if panel.part == "face" else LINING
            corner = (low - start) * scale, bottom + panel.x * scale
            drawing.rectangle(corner, (high - low) * scale, panel.across * scale, fill=fill, lw=1)
        top = bottom - _ROW_GAP
    return drawing


def _rows(used: Ticks, row: Ticks) -> Iterator[tuple[Ticks, Ticks]]:
    """The rows of a piece; a little that is left goes with the last one."""
    start = 0
    while used - start > _WITH_IT * row:
        yield start, start + row
        start += row
    if used > start:
        yield start, used


def _row(job: Job, longest: Ticks, paper: float) -> tuple[Ticks, float]:
    """How much of a roll a row holds, and inches of paper a tick.

    A roll of so many rows is drawn so many times as large, and thus is as high as their square.
    """
    widest = max(cloth.usable for cloth in job.cloths)
    high = widest / longest
    rows = min(max(isqrt(int(_HIGHEST / high)), 1), _MOST_ROWS)
    row = -(-longest // rows)
    return row, min(paper / (_WITH_IT * row), _HIGHEST * paper / widest)
