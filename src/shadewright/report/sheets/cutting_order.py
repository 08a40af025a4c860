"""The Cutting order sheet: every cut of a plan in the order of work, with a box to tick.

A helper's ticks are read back from it (`shadewright.report.sheets.ticks`), so a hidden column keeps
which step a row is, under a heading that says which plan they are the steps of.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import groupby

from openpyxl.utils import get_column_letter
from openpyxl.worksheet.pagebreak import Break

from shadewright.cloth.plan import Drop, mark
from shadewright.job.model import Job
from shadewright.measure import Ticks
from shadewright.report.sheets import looks, units
from shadewright.report.sheets.cells import TableRows, put_table
from shadewright.report.sheets.looks import Style
from shadewright.report.sheets.sheet import Column, Content, Sheet, live
from shadewright.report.work.account import Account
from shadewright.report.work.going_on import starts_now
from shadewright.report.work.laying import zero_inside
from shadewright.report.work.lays import DropLay, PieceLay
from shadewright.report.work.steps import Step, heading_of, steps
from shadewright.report.work.words import clean, cut_size, listed, numbers_said

ORDER = "Cutting order"
"""Name of the sheet."""

DONE = "Done"
"""Heading of the boxes to tick."""

TICK = "x"
"""What stands in the box of a cut that was made before the plan was."""

KEYS = "Steps of plan "
"""Heading of the hidden column, before the mark of the plan that its keys belong to."""

_STEP, _PIECE, _WHAT, _FROM, _AT, _FREE = (
    "Step",
    "Piece",
    "What to do",
    "Measured from",
    "At",
    "Comes free",
)

_ALIKE = 3
"""Drops one behind the other, all cut alike, from which on a line says so above them."""


def words(lays: Sequence[PieceLay]) -> tuple[str, ...]:
    """Headings of the columns that say what a step is; of one piece it need not be said which."""
    piece = (_PIECE,) if len(lays) > 1 else ()
    return (_STEP, *piece, _WHAT, _FROM, _FREE)


def said(step: Step) -> dict[str, str]:
    """What the row of a step says, by headings."""
    cut, lay = step.cut, step.lay
    told = {
        _STEP: str(step.number),
        _PIECE: f"{lay.use.cloth}, {lay.use.piece}",
        _WHAT: cut.what,
        _FROM: cut.measured_from,
        _FREE: "; ".join(f"{p.number}: {p.called}" for p in cut.makes),
    }
    return {heading: clean(text) for heading, text in told.items()}


def at_heading(job: Job) -> str:
    """Heading of the figures on the tape."""
    return f"{_AT}, {units.name(job)}"


def begins_again(job: Job, lay: PieceLay) -> str:
    """The line between what of a piece is cut and what follows."""
    return f"{starts_now(job, lay)} Go on from here; all distances still run from the old zero."


def alike_said(job: Job, drops: Sequence[DropLay]) -> str:
    """The line above drops that are cut alike."""
    first, numbers = drops[0], [each.drop.number for each in drops]
    long = job.tape.short(first.drop.end - first.drop.start)
    sizes = listed(list(dict.fromkeys(cut_size(job.tape, p.panel) for p in first.panels)))
    panels = "a panel" if len(first.panels) == 1 else f"{len(first.panels)} panels"
    return clean(
        f"Drops {numbers_said(numbers)}, {len(drops)} of them, are cut alike: "
        f"each is {long} long and holds {panels} of {sizes}."
    )


def runs_of(lay: PieceLay) -> Iterator[list[DropLay]]:
    """The drops of a piece in the order of work, those together that are cut alike; what is cut
    already is apart from what is not."""
    for _, drops in groupby(lay.drops, key=lambda drop: (lay.is_done(drop), _shape(drop))):
        yield list(drops)


def _shape(drop: DropLay) -> object:
    """What two drops have in common that are cut alike."""
    begin = drop.drop.start
    panels = ((p.panel.x, p.panel.y - begin, p.panel.across, p.panel.along) for p in drop.panels)
    return drop.drop.end - begin, tuple(panels)


_IN_BLUE = "Rows in blue are new, or not as in the workbook before."


def _new_drops(account: Account, lay: PieceLay) -> set[int]:
    """The numbers of a piece's drops that are still to be cut, and not as in the plan before."""
    marks = {drop.drop.number: account.going_on.mark_of_drop(lay, drop) for drop in lay.drops}
    return {number for number, mark in marks.items() if mark not in ("", "done")}


def put_cutting_order(sheet: Sheet, account: Account) -> None:
    """Write the sheet."""
    job, unit = account.job, units.name(account.job)
    several = len(account.lays) > 1
    columns = (
        Column(DONE, 6, 6, "center"),
        Column(_STEP, 5, 7, "center"),
        *([Column(_PIECE, 8, 14)] if several else []),
        Column(_WHAT, 40, 67),
        Column(_FROM, 10, 20),
        Column(at_heading(job), 8, 12, "right"),
        Column(f"From the last cut, {unit}", 8, 12, "right"),
        Column(f"Cut off so far, {unit}", 8, 12, "right"),
        Column(f"Left on the piece, {unit}", 8, 12, "right"),
        Column(_FREE, 10, 31),
    )
    note = (
        "Lay the cloth right side up with the start of the piece at your left hand. Figures from "
        "the near edge count the selvedge in, also of what is left over. Each is to the nearest "
        "mark of the tape. Measure a cut across the piece from the last cut, and check it from "
        "zero."
    )
    notes = [note, *([_IN_BLUE] if any(_new_drops(account, lay) for lay in account.lays) else [])]
    table = put_table(sheet, ORDER, notes, columns)
    hidden = len(columns) + 1
    sheet.put(table.head, hidden, KEYS + mark(account.plan), looks.HIDDEN)
    sheet.page.column_dimensions[get_column_letter(hidden)].hidden = True
    these = steps(job, account.lays)
    by_lay = {lay: list(group) for lay, group in groupby(these, key=lambda step: id(step.lay))}
    for number, lay in enumerate(account.lays):
        if number:
            sheet.page.row_breaks.append(Break(id=table.last))
        _PieceRows(account, lay, table, several).put(by_lay.get(id(lay), []))
    table.end()


class _PieceRows:
    """The rows of one piece while they are written.

    Args:
        several: whether there are other pieces.
    """

    def __init__(self, account: Account, lay: PieceLay, table: TableRows, several: bool) -> None:
        self._job, self._lay, self._table = account.job, lay, table
        self._new = _new_drops(account, lay)
        self._several = several
        # Columns of: how far the cut lies from the last, what is cut off, what is left.
        self._since, self._off, self._left = "GHI" if several else "FGH"
        self._length = ""
        self._cut_off: Ticks = 0
        self._off_cell = "0"

    def put(self, these: Sequence[Step]) -> None:
        """The heading of the piece, and its steps."""
        self._heading()
        runs = {run[0].drop.number: run for run in runs_of(self._lay) if len(run) >= _ALIKE}
        inside: set[int] = set()
        begun = self._lay.begun > 0
        for drop, group in groupby(these, key=lambda step: step.drop.number):
            if begun and drop not in self._lay.done:
                self._line(begins_again(self._job, self._lay), looks.SECTION)
                begun = False
            if run := runs.get(drop):
                self._line(alike_said(self._job, run), looks.GROUP)
                inside = {each.drop.number for each in run}
            cuts = list(group)
            for step in cuts:
                self._step(step)
                # A drop stays on one page.
                if step is not cuts[-1]:
                    self._table.sheet.keep_with_next(self._table.last)
                if drop in inside:
                    self._table.sheet.set_level(self._table.last)

    def _line(self, text: str, style: Style, span: int = 0) -> None:
        table = self._table
        table.last += 1
        table.sheet.put(table.last, 1, text, style, stands="left", span=span or table.columns)
        table.sheet.keep_with_next(table.last)

    def _heading(self) -> None:
        """Two rows that name the piece; the first holds its length."""
        name, laid = heading_of(self._job, self._lay)
        sheet, table = self._table.sheet, self._table
        before = table.columns - 2
        self._line(name, looks.SECTION, before)
        length = units.length(self._job, self._lay.use.length)
        sheet.put(table.last, table.columns - 1, length, looks.SECTION)
        sheet.put(table.last, table.columns, "", looks.SECTION)
        self._length = f"${self._left}${table.last}"
        self._line(laid, looks.NOTE)

    def _step(self, step: Step) -> None:
        """One cut."""
        job, table, cut = self._job, self._table, step.cut
        told, along, row = said(step), cut.kind == "across the piece", table.next
        at = units.length(job, cut.at)
        since: Content = None
        if along:
            apart = units.length(job, cut.at).number - units.length(job, self._cut_off).number
            before = self._off_cell
            # Where zero lies inside the piece, nothing is known of what comes off before it.
            if self._cut_off or not zero_inside(job, self._lay):
                since = live(f"{self._off}{row}-{before}", at.shown, apart)
            self._cut_off = cut.at
        number = units.length(job, self._cut_off).number
        at_cell = f"{'F' if self._several else 'E'}{row}"
        left = units.length(job, self._lay.use.length).number - number
        contents: list[Content] = [
            TICK if step.drop.number in self._lay.done else None,
            step.number,
            *([told[_PIECE]] if self._several else []),
            told[_WHAT],
            told[_FROM],
            at,
            since,
            live(at_cell if along else self._off_cell, at.shown, number),
            live(f"{self._length}-{self._off}{row}", at.shown, left),
            told[_FREE],
        ]
        self._off_cell = f"{self._off}{row}"
        style, big = self._styles(step.drop, along)
        place = 6 if self._several else 5
        special = {1: looks.BOX, place: big, place + 1: big}
        table.add(*contents, style=style, special=special)
        table.sheet.put(row, table.columns + 1, step.key, looks.HIDDEN)

    def _styles(self, drop: Drop, along: bool) -> tuple[Style, Style]:
        """Of a cut's row, and of the figure on the tape."""
        if drop.number in self._lay.done:
            return looks.DONE, looks.DONE
        if drop.number in self._new:
            return looks.CHANGED, looks.CHANGED_MEASURE
        if along:
            return looks.FIRST_ROW, looks.FIRST_MEASURE
        return looks.ROW, looks.MEASURE
