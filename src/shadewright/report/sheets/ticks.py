"""Reading a helper's ticks back from the Cutting order sheet of a plan's workbook.

Cloth is cut by what is read here, so nothing is guessed: columns are found by their headings, rows
by the key of their step, and a workbook of another plan, a row that says something else than was
written, or a mark that is neither yes nor no is refused.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from math import isclose
from pathlib import Path

from shadewright.cloth.plan import Plan, mark
from shadewright.job.books import open_workbook
from shadewright.job.model import Job
from shadewright.job.problems import JobError, shown
from shadewright.job.sheet_xml import BookCell, covered
from shadewright.report.sheets import units
from shadewright.report.sheets.cutting_order import (
    DONE,
    KEYS,
    ORDER,
    alike_said,
    at_heading,
    begins_again,
    runs_of,
    said,
    words,
)
from shadewright.report.work.arguments import OPTIONS, Arguments
from shadewright.report.work.lays import PieceLay, lay_out
from shadewright.report.work.steps import Box, Step, heading_of, steps
from shadewright.report.work.words import clean, count

_MOST_ROWS = 100_000
_MOST_COLUMNS = 200
_MOST_TOLD = 40
"""Problems of one workbook that are told; the rest are counted."""

_YES = frozenset({"x", "✓", "✔", "☑", "✅", "√", "yes", "y", "done", "1", "true"})
_NO = frozenset({"", "no", "n", "-", "–", "—", "−", "0", "false", "☐"})
_A_TICK = "a tick such as x, or nothing"

BookRow = Mapping[int, BookCell]
"""The filled cells of a row, by column."""


@dataclass(frozen=True)
class _Columns:
    """Where a sheet has its headings: the row, and each heading's column; `keys` is the hidden."""

    row: int
    keys: int
    by_heading: Mapping[str, int]


def boxes(job: Job, plan: Plan, file: Path, by: Arguments = OPTIONS) -> list[Box]:
    """The boxes of every step of a plan, as ticked in its workbook.

    Args:
        by: what tells the drops.

    Raises:
        ValueError: the file is no workbook of this plan, or says something that is not clear;
            every problem is told, each on a line.
    """
    problems: list[str] = []
    found: list[Box] = []
    try:
        rows, merged = _read(file)
        lays = lay_out(job, plan)
        columns = _columns(rows, mark(plan), by, (DONE, *words(lays), at_heading(job)))
        done = columns.by_heading[DONE]
        boxes_merged = covered(merged, _MOST_ROWS, range(done, done + 1))
        found = _SheetReader(job, lays, columns, boxes_merged).boxes(rows, problems)
    except JobError as why:
        problems = str(why).split("\n")
    except _RefusedError as why:
        problems = [f"{file}: {problem}" for problem in why.problems]
    else:
        problems = [f"{file}: {problem}" for problem in problems]
    if len(problems) > _MOST_TOLD:
        more = len(problems) - _MOST_TOLD
        problems[_MOST_TOLD:] = [f"{file}: and {count(more, 'problem')} more of this kind"]
    if problems:
        raise ValueError("\n".join(problems))
    return found


class _RefusedError(Exception):
    """The sheet as a whole is none that can be read."""

    def __init__(self, problems: Sequence[str]) -> None:
        self.problems = problems
        super().__init__("\n".join(problems))


def _read(file: Path) -> tuple[list[BookRow], list[str]]:
    """The filled rows of the sheet, and the ranges of its merged cells.

    Raises:
        JobError: the file cannot be read or is too large.
    """
    with open_workbook(file, (ORDER,)) as book:
        if ORDER not in book:
            names = ", ".join(shown(title) for title in book.titles)
            raise _RefusedError([f"found sheets {names}, wanted one named {ORDER}"])
        merged: list[str] = []
        rows: list[BookRow] = [
            {cell.column: cell for cell in cells if not cell.blank}
            for cells in book.rows(ORDER, _MOST_ROWS, _MOST_COLUMNS, merged)
        ]
        return rows, merged


def _columns(
    rows: Iterable[BookRow], wanted: str, by: Arguments, headings: Iterable[str]
) -> _Columns:
    """Find the headings of a plan's sheet.

    Args:
        wanted: the mark of the plan.
        headings: that the sheet must have.
    """
    marked = [
        cell
        for row in rows
        for cell in row.values()
        if isinstance(cell.value, str) and cell.value.startswith(KEYS.strip())
    ]
    again = (
        "the workbook that plan --out wrote together with the plan; or name the drops with "
        + by.done
    )
    if len(marked) != 1:
        found = " and ".join(_at(cell) for cell in marked) or "none"
        text = f'{ORDER}: found {found} of its hidden heading "{KEYS.strip()} ...", wanted one'
        raise _RefusedError([f"{text}: the mark of the plan is missing or stands twice; {again}"])
    heading = marked[0]
    here = clean(str(heading.value)).removeprefix(KEYS.strip()).strip()
    if here != wanted:
        text = f"{_at(heading)}: found the mark {shown(here)} of another plan, wanted {wanted}"
        raise _RefusedError([f"{text}: {again}"])
    row = next(row for row in rows if heading in row.values())
    problems: list[str] = []
    by_heading: dict[str, int] = {}
    for name in headings:
        these = [cell for cell in row.values() if _text(cell) == name]
        if len(these) != 1:
            found = " and ".join(_at(cell) for cell in these) or "none"
            problems.append(
                f"{ORDER}, row {heading.row}: found {found} of the heading {shown(name)}, "
                "wanted one"
            )
        else:
            by_heading[name] = these[0].column
    if problems:
        raise _RefusedError(problems)
    return _Columns(heading.row, heading.column, by_heading)


class _SheetReader:
    """Reads the rows of one sheet, knowing what the plan's say.

    Args:
        merged: the ranges of merged cells that cover a box, by the row and column of each such.
    """

    def __init__(
        self,
        job: Job,
        lays: Sequence[PieceLay],
        columns: _Columns,
        merged: Mapping[tuple[int, int], str],
    ) -> None:
        self._job = job
        self._columns = columns
        self._merged = merged
        self._steps = {step.key: step for step in steps(job, lays)}
        self._lines = {line for lay in lays for line in heading_of(job, lay)}
        self._lines |= {alike_said(job, run) for lay in lays for run in runs_of(lay)}
        self._lines |= {begins_again(job, lay) for lay in lays}

    def boxes(self, rows: Iterable[BookRow], problems: list[str]) -> list[Box]:
        """The boxes in the order of work; what is wrong is added to the problems."""
        found: dict[str, Box] = {}
        for row in rows:
            number = next(iter(row.values())).row
            if number <= self._columns.row:
                continue
            at = BookCell(number, self._columns.by_heading[DONE])
            box = row.get(at.column, at)
            keyed = row.get(self._columns.keys)
            if keyed is None or not _text(keyed):
                problems += self._no_step(row, number, box)
                continue
            step = self._steps.get(_text(keyed))
            if step is None:
                known = "wanted the key of a step of this plan, as it was written"
                problems.append(f"{_at(keyed)}: found {shown(keyed.value)}, {known}")
            elif step.key in found:
                before = found[step.key].at
                problems.append(
                    f"{_at(box)}: found step {step.number} again, wanted it once, as in {before}"
                )
            else:
                problems += self._changed(row, number, step)
                ticked = _ticked(box)
                if (number, at.column) in self._merged:
                    part = f"a part of the merged cells {self._merged[number, at.column]}"
                    problems.append(f"{_at(at)}: found {part}, wanted a box of its own")
                elif ticked is None:
                    problems.append(f"{_at(box)}: found {_shown(box)}, wanted {_A_TICK}")
                found[step.key] = Box(step, at.at, bool(ticked))
        for key, step in self._steps.items():
            if key not in found:
                what = shown(said(step)["What to do"])
                problems.append(
                    f"{ORDER}: found no row of step {step.number}, wanted every step of the plan "
                    f"({what})"
                )
        return sorted(found.values(), key=lambda box: box.step.number)

    def _no_step(self, row: BookRow, number: int, box: BookCell) -> Iterator[str]:
        """What is wrong with a row that is no step: it should not look like one, nor be ticked."""
        words = [row.get(self._columns.by_heading[name]) for name in ("Step", "What to do")]
        told = [cell for cell in words if cell is not None and _text(cell)]
        if told and not any(_text(cell) in self._lines for cell in row.values()):
            key = BookCell(number, self._columns.keys)
            yield (
                f"{_at(key)}: found nothing, wanted the key of the step that {told[0].at} tells "
                "of, as it was written"
            )
        elif _text(box) not in self._lines and _ticked(box) is not False:
            yield f"{_at(box)}: found {_shown(box)}, wanted nothing where no step of the plan is"

    def _changed(self, row: BookRow, number: int, step: Step) -> Iterator[str]:
        """Where the row of a step says something else than was written."""
        told = said(step)
        for heading, column in self._columns.by_heading.items():
            at = BookCell(number, column)
            cell = row.get(column, at)
            if heading in told:
                written: str | float = told[heading]
                same = _text(cell) == written
            elif heading == at_heading(self._job):
                written = units.length(self._job, step.cut.at).number
                same = _is_number(cell, written)
            else:
                continue
            if cell.formula or not same:
                yield (
                    f"{_at(cell)}: found {_shown(cell)}, wanted {shown(written or None)}, as it "
                    f"was written for step {step.number}"
                )


def _ticked(cell: BookCell) -> bool | None:
    """Whether a box is ticked; None where what stands there says neither yes nor no."""
    if cell.kind != "value" or cell.formula:
        return None
    # Capitals, wide letters, and signs that ask for a coloured picture mean the same.
    plain = "".join(
        sign
        for sign in unicodedata.normalize("NFKC", _text(cell)).casefold()
        if unicodedata.category(sign) not in ("Mn", "Cf")
    ).strip()
    if plain in _YES:
        return True
    return False if plain in _NO else None


def _is_number(cell: BookCell, wanted: float) -> bool:
    """Whether a cell holds a number, as near as another program may write it."""
    value = cell.value
    return isinstance(value, (int, float)) and isclose(value, wanted, rel_tol=1e-9, abs_tol=1e-9)


def _text(cell: BookCell) -> str:
    """What a cell says, on one line; whole numbers without a point."""
    value = cell.value
    if value is None:
        return ""
    if isinstance(value, float) and value.is_integer():
        value = int(value)
    return clean(str(value))


def _shown(cell: BookCell) -> str:
    if cell.kind == "unworked" or cell.formula:
        return "a formula"
    return shown(cell.value)


def _at(cell: BookCell) -> str:
    return f"{ORDER}!{cell.at}"
