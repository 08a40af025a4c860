"""The rows of the roll map: where pieces are broken, how large they are drawn, and what is written
on their panels."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import pairwise

from shadewright.job.model import Job
from shadewright.measure import Tape, Ticks
from shadewright.report.pages.drawing import LEFT, PAGE_HEIGHT, ROOM, Point, text_width
from shadewright.report.pages.roll_motifs import MotifRows, rows_of_motifs
from shadewright.report.work.account import Account
from shadewright.report.work.lays import DropLay, NumberedPanel, PieceLay
from shadewright.report.work.words import brief, cut_size

TITLE, CAPTION, TAPE = 0.3, 0.42, 0.24
_FOOT, _GAP = 0.18, 0.14
KEY_LINE, KEY_SIZE = 0.15, 7.5
"""Inches from line to line of the key, and the size of its letters in points."""
_WIDEST_CLOTH, _NARROWEST_CLOTH = 2.6, 1.3
"""How wide a cloth may be drawn, in inches of paper."""

_SMALLER, _TRIES, _FEW_PAGES = 0.97, 9, 6
"""Where a piece takes more than one page and not more than a few: how much smaller it is drawn from
try to try, and how often, if that saves a page."""


@dataclass(frozen=True)
class Row:
    """One row of a piece: from `start` to `end` along it, at `scale` inches of paper a tick.

    Attributes:
        drops: that begin in it.
        motifs: of the whole piece.
    """

    tape: Tape
    lay: PieceLay
    start: Ticks
    end: Ticks
    scale: float
    drops: tuple[DropLay, ...]
    motifs: MotifRows | None = None

    @property
    def first(self) -> bool:
        return self.start == 0

    @property
    def height(self) -> float:
        caption = CAPTION if self.first else 0
        return caption + TAPE + self.lay.cloth.width * self.scale + _FOOT + _GAP

    def near_edge(self, top: float) -> float:
        """Height on paper of the cloth's near edge, where the row begins at `top`."""
        return top - (CAPTION if self.first else 0) - TAPE - self.lay.cloth.width * self.scale

    def at(self, bottom: float, x: Ticks, y: Ticks) -> Point:
        """Paper position of a point of the cloth: x across from the left usable edge.

        Args:
            bottom: height on paper of the cloth's near edge.
        """
        across = (x + self.lay.cloth.selvedge) * self.scale
        return LEFT + (y - self.start) * self.scale, bottom + across

    @cached_property
    def panels(self) -> tuple[NumberedPanel, ...]:
        return tuple(panel for drop in self.drops for panel in drop.panels)

    @cached_property
    def key(self) -> tuple[str, ...]:
        """What the key to this row tells: panels too small for their labels."""
        return tuple(
            brief(f"{p.number}   {p.called}, {cut_size(self.tape, p.panel)}", 130)
            for p in self.panels
            if not label_of(self, p).full
        )


def rows_of_pieces(account: Account) -> Iterator[list[Row]]:
    """The rows of each piece."""
    for lay in account.lays:
        motifs = rows_of_motifs(account.job, account.plan, lay)
        yield [replace(row, motifs=motifs) for row in _rows(account.job, lay)]


def _rows(job: Job, lay: PieceLay) -> list[Row]:
    """Cut a piece into rows at drop ends: on one page if that is legible, as large as it goes.

    A fifth of the size is given up gladly where that saves a row, or else a page.
    """
    width = lay.cloth.width
    shown = min(lay.use.length, lay.use.used + width)
    # A drop is never drawn in two parts.
    most = min([_WIDEST_CLOTH / width, *(ROOM / length for length in _steps(lay))])
    least = min(_NARROWEST_CLOTH / width, most)
    best = _split(job.tape, lay, shown, least)
    if height_of(best) > PAGE_HEIGHT:
        return _on_fewer_pages(best, [least * _SMALLER**i for i in range(1, _TRIES)])
    for i in range(24):
        rows = _split(job.tape, lay, shown, most * (least / most) ** (i / 24))
        if _worth(rows) > _worth(best) and height_of(rows) <= PAGE_HEIGHT:
            best = rows
    return best


def _on_fewer_pages(rows: list[Row], scales: list[float]) -> list[Row]:
    """The rows at one of these scales, from large to small, if they take a page less."""
    tape, lay, end = rows[0].tape, rows[0].lay, rows[-1].end
    if len(pages_of(rows)) > _FEW_PAGES:
        return rows
    tries = [rows, *(_split(tape, lay, end, scale) for scale in scales)]
    return min(tries, key=lambda each: len(pages_of(each)))


def _worth(rows: list[Row]) -> float:
    return rows[0].scale * 0.8 ** len(rows)


def _steps(lay: PieceLay) -> list[Ticks]:
    ends = [0, *(d.drop.end for d in lay.drops)]
    return [b - a for a, b in pairwise(ends)]


def _split(tape: Tape, lay: PieceLay, shown: Ticks, scale: float) -> list[Row]:
    longest = int(ROOM / scale)
    rows, held = [], list[DropLay]()
    start = end = 0
    for drop in lay.drops:
        if drop.drop.end - start > longest and end > start:
            rows.append(Row(tape, lay, start, end, scale, tuple(held)))
            start, held = end, []
        held.append(drop)
        end = drop.drop.end
    last = min(shown, max(start + longest, end))
    return [*rows, Row(tape, lay, start, last, scale, tuple(held))]


def pages_of(rows: list[Row]) -> list[list[Row]]:
    pages: list[list[Row]] = [[]]
    for row in rows:
        if pages[-1] and height_of([*pages[-1], row]) > PAGE_HEIGHT:
            pages.append([])
        pages[-1].append(row)
    return pages


def height_of(rows: list[Row]) -> float:
    """Inches of paper that these rows take with their title and key."""
    return TITLE + sum(row.height for row in rows) + KEY_LINE * len(key_of(rows))


@dataclass(frozen=True)
class Label:
    """What is written on a panel; `full` where it tells all, so that the key need not."""

    lines: list[str]
    size: float
    upright: bool
    full: bool


def label_of(row: Row, numbered: NumberedPanel) -> Label:
    """The panel's label in the largest size that fits, along the roll or across it."""
    panel = numbered.panel
    name, size = numbered.called, cut_size(row.tape, panel)
    high, wide = panel.across * row.scale - 0.08, panel.along * row.scale - 0.12
    for points in (9.0, 8.0, 7.0, 6.0):
        for lines in (
            [str(numbered.number), name, size],
            [f"{numbered.number}   {name}", size],
            [f"{numbered.number}   {name}   {size}"],
        ):
            deep = len(lines) * 1.3 * points / 72
            long = max(text_width(line, points, bold=True) for line in lines)
            if deep <= high and long <= wide:
                return Label(lines, points, upright=False, full=True)
            if deep <= wide and long <= high:
                return Label(lines, points, upright=True, full=True)
    short = [str(numbered.number), size]
    fits = high >= 2 * 1.3 * 7.0 / 72 and wide >= text_width(size, 7.0)
    return Label(short if fits else short[:1], 7.0, upright=False, full=False)


def key_of(rows: list[Row]) -> list[list[tuple[float, str]]]:
    """Lines of the key to panels too small for their labels: each entry with its place."""
    entries = [entry for row in rows for entry in row.key]
    if not entries:
        return []
    column = max(text_width(entry, KEY_SIZE) for entry in entries) + 0.2
    columns = max(1, int(ROOM / column))
    return [
        [(i * column, entry) for i, entry in enumerate(entries[at : at + columns])]
        for at in range(0, len(entries), columns)
    ]
