"""The Cutting order sheet: every cut of a plan in the order of work, with a box to tick.

A helper's ticks are read back from it (`shadewright.report.sheets.ticks`), so a hidden column keeps
which step a row is, under a heading that says which plan they are the steps of.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from openpyxl.utils import get_column_letter
from openpyxl.worksheet.pagebreak import Break
from openpyxl.worksheet.worksheet import Worksheet

from shadewright.cloth.plan import Drop, mark
from shadewright.job.model import Job
from shadewright.report.sheets import looks, units
from shadewright.report.sheets.cells import (
    Column,
    Content,
    Special,
    live,
    put,
    put_across,
    put_row,
    put_table,
)
from shadewright.report.work.account import Account
from shadewright.report.work.cuts import CutLine, cuts_by_drop
from shadewright.report.work.laying import beginning
from shadewright.report.work.lays import PieceLay
from shadewright.report.work.words import clean, count

ORDER = "Cutting order"
"""Name of the sheet."""

DONE = "Done"
"""Heading of the boxes to tick."""

KEYS = "Steps of plan "
"""Heading of the hidden column, before the mark of the plan that its keys belong to."""

_STEP, _PIECE, _WHAT, _FROM, _AT, _FREE = (
    "Step",
    "Piece",
    "What to do",
    "Measure from",
    "At",
    "Comes free",
)

_SPECIAL = {
    1: Special(border=looks.BOXED),
    6: Special(font=looks.LARGE),
    8: Special(alignment=looks.INDENTED),
}
"""Columns that look otherwise: the box, the figure on the tape, and what comes free."""

WORDS = (_STEP, _PIECE, _WHAT, _FROM, _AT, _FREE)
"""Headings of the columns that say what a step is."""


@dataclass(frozen=True)
class Step:
    """One row of the cutting order.

    Attributes:
        number: in the order of work, from 1.
        drop: the drop it cuts off or parts, or the one that begins where it cuts.
    """

    number: int
    lay: PieceLay
    drop: Drop
    cut: CutLine

    @property
    def key(self) -> str:
        """What the hidden column says: no two steps of a plan have one key."""
        drop = self.drop
        name = f"{drop.cloth}/{drop.piece}/{drop.number}"
        return clean(f"{self.number} {name} {self.cut.role}")


def steps(job: Job, lays: Sequence[PieceLay]) -> Iterator[Step]:
    """Every step of a plan in the order of work."""
    number = 0
    for lay in lays:
        for drop, these in cuts_by_drop(job, lay):
            for cut in these:
                number += 1
                yield Step(number, lay, drop, cut)


def said(job: Job, step: Step) -> dict[str, str]:
    """What the row of a step says, by the headings of `WORDS`."""
    cut, lay = step.cut, step.lay
    at = job.tape.long(cut.at) if _along(cut) else job.tape.short(cut.at)
    words = {
        _STEP: str(step.number),
        _PIECE: f"{lay.use.cloth}, {lay.use.piece}",
        _WHAT: cut.what,
        _FROM: cut.measured_from,
        _AT: at,
        _FREE: "; ".join(f"{p.number}: {p.called}" for p in cut.makes),
    }
    return {heading: clean(text) for heading, text in words.items()}


def heading_of(job: Job, lay: PieceLay) -> tuple[str, str]:
    """The two lines above the steps of a piece: what it is, and how it is laid."""
    tape, use = job.tape, lay.use
    length = tape.cloth(use.length) if use.bought else tape.long(use.length)
    name = (
        f"{use.cloth}, {use.piece}: {tape.short(lay.cloth.width)} wide, {length} long, "
        f"{count(len(lay.drops), 'drop')}, {count(len(lay.panels), 'panel')}"
    )
    return clean(name), clean(beginning(job, lay))


def put_cutting_order(sheet: Worksheet, account: Account) -> None:
    """Write the sheet."""
    job, unit = account.job, units.name(account.job)
    columns = (
        Column(DONE, 6, "center"),
        Column(_STEP, 5, "center"),
        Column(_PIECE, 12),
        Column(_WHAT, 45),
        Column(_FROM, 18),
        Column(_AT, 13),
        Column(f"At, {unit}", 10, "right"),
        Column(_FREE, 23),
        Column(f"Cut off so far, {unit}", 10, "right"),
        Column(f"Left on the piece, {unit}", 11, "right"),
    )
    note = (
        "Lay the cloth right side up with the start of the piece at your left hand. Distances from "
        "the near edge count the selvedge in. All distances run from zero, to the nearest mark of "
        "the tape; in a drop that is cut as one goes, from the last cut of the same strip, with a "
        "figure from zero as a check."
    )
    row = put_table(sheet, ORDER, [note], columns).head
    hidden = len(columns) + 1
    _put_hidden(sheet, row, hidden, KEYS + mark(account.plan))
    sheet.column_dimensions[get_column_letter(hidden)].hidden = True
    length, before, lay = "", None, None
    for step in steps(job, account.lays):
        if step.lay is not lay:
            if lay is not None:
                sheet.row_breaks.append(Break(id=row))
            lay, before = step.lay, None
            row = _piece_heading(sheet, row + 1, job, lay)
            length = f"$J${row - 1}"
        row += 1
        so_far = f"G{row}" if _along(step.cut) else before or "0"
        _cut_row(sheet, row, job, step, so_far=so_far, length=length)
        _put_hidden(sheet, row, hidden, step.key)
        before = f"I{row}"
    sheet.print_area = f"A1:J{row}"


def _put_hidden(sheet: Worksheet, row: int, column: int, text: str) -> None:
    """A text that nobody sees, and that makes no row higher."""
    put(sheet, row, column, text, alignment=looks.IN_LINE)


def _piece_heading(sheet: Worksheet, row: int, job: Job, lay: PieceLay) -> int:
    """Two rows that name a piece; the first holds its length. Gives the second's number."""
    name, laid = heading_of(job, lay)
    put_across(sheet, row, name, 9, bold=True)
    put(sheet, row, 10, units.length(job, lay.use.length), font=looks.BOLD)
    for column in range(1, 11):
        sheet.cell(row, column).fill = looks.BAND
    put_across(sheet, row + 1, laid, 10)
    return row + 1


def _cut_row(sheet: Worksheet, row: int, job: Job, step: Step, *, so_far: str, length: str) -> None:
    """One cut; `so_far` and `length` are the cells of what is cut off and of the piece's length."""
    words = said(job, step)
    contents: list[Content] = [
        None,
        step.number,
        words[_PIECE],
        words[_WHAT],
        words[_FROM],
        words[_AT],
        units.length(job, step.cut.at),
        words[_FREE],
        live(so_far, looks.LENGTH),
        live(f"{length}-I{row}", looks.LENGTH),
    ]
    put_row(sheet, row, contents, ruled_off=_along(step.cut), special=_SPECIAL)


def _along(cut: CutLine) -> bool:
    """Whether a cut is measured along the piece."""
    return cut.kind == "across the piece"
