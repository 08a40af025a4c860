"""What the cells of a job's workbook hold, as TOML would give it."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import date, time, timedelta
from typing import Any

from shadewright.job.problems import FileProblem, shown
from shadewright.job.ranges import with_unit
from shadewright.job.sheet_keys import LISTS
from shadewright.job.sheet_xml import BookCell
from shadewright.job.source import REPORTED, KeyPath

_TEXTS = {"title", "name", "cloth", "like", "lining", "other_lining", "wood", "lot"}

_RANGES = {"shades", "gap"}

_RANGE_AS_TEXT = (
    "a range; format the cell as text and type it again, as 2 to 3 say: spreadsheets make a date "
    "of 2-3"
)


@dataclass(frozen=True)
class Fault:
    """Why a cell has no value; a problem only if the cell is needed."""

    found: str
    wanted: str
    is_date: bool = False
    is_covered: bool = False
    """Whether the cell is blank, and a part of merged cells."""


@dataclass(frozen=True)
class SheetCell:
    """A cell; where a row has none for a key, `at` is empty, and `row` 0 where no row is meant."""

    sheet: str
    at: str
    row: int
    value: object
    """None where it is blank; a `Fault` where it cannot be read."""

    @property
    def blank(self) -> bool:
        """Whether nothing stands in it itself."""
        return self.value is None or (isinstance(self.value, Fault) and self.value.is_covered)

    @property
    def where(self) -> str:
        """Sheet and cell as in ``sheet Openings, cell C4``, or as near as it can be told."""
        near = f"cell {self.at}" if self.at else f"row {self.row}"
        return f"sheet {self.sheet}, {near}"


@dataclass
class Contents:
    """What has been taken from the workbook so far."""

    tables: dict[str, Any] = field(default_factory=dict)
    regions: dict[KeyPath, str] = field(default_factory=dict)
    """Sheets and rows of tables."""
    cells: dict[KeyPath, str] = field(default_factory=dict)
    """Cells of values, with their keys."""
    problems: list[FileProblem] = field(default_factory=list)
    misnamed: set[str] = field(default_factory=set)
    """Sheets that are not there, but another that seems to be meant for each."""
    stand_ins: set[str] = field(default_factory=set)
    """Names given to cloths whose own are wrong."""
    merges_told: set[tuple[str, str]] = field(default_factory=set)
    """Merged cells that a problem tells of, by their sheet."""

    def refuse(self, cell: SheetCell, key: str, wanted: str) -> None:
        fault = cell.value
        if not isinstance(fault, Fault):
            fault = Fault(shown(cell.value), wanted)
        if fault.is_covered:
            merge = cell.sheet, fault.found
            if merge in self.merges_told:
                return
            self.merges_told.add(merge)
        self.problems.append(FileProblem(f"{cell.where} ({key})", fault.found, fault.wanted))

    def place(self, path: KeyPath) -> str:
        """The cell of a value; where it has none, the row or sheet it would be in."""
        for end in range(len(path), -1, -1):
            if path[:end] in self.cells:
                return self.cells[path[:end]]
            if path[:end] in self.regions:
                key = ".".join(part for part in path[end:] if isinstance(part, str))
                return self.regions[path[:end]] + (f" ({key})" if key else "")
        return ""


def cell_of(sheet: str, cell: BookCell, merged: Mapping[tuple[int, int], str]) -> SheetCell:
    """A cell of a sheet; one that others cover has no value of its own.

    Args:
        merged: the ranges of merged cells by row and column of those that they cover.
    """
    held = cell.value
    if isinstance(held, str):
        held = held.strip() or None
    if cell.kind == "error":
        held = Fault(str(held), "a value; the formula here is in error")
    elif cell.kind == "unworked":
        held = Fault(
            "a formula without its value",
            "a value; save the workbook in a spreadsheet program, which works formulas out",
        )
    elif isinstance(held, (date, time, timedelta)):
        held = Fault(
            shown(held),
            "a number or text; format the cell as text, so that 3/8 stays as it is typed",
            is_date=True,
        )
    elif held is None and (cell.row, cell.column) in merged:
        held = Fault(
            f"a part of the merged cells {merged[cell.row, cell.column]}",
            "each cell by itself; unmerge them and fill in each",
            is_covered=True,
        )
    return SheetCell(sheet, cell.at, cell.row, held)


def value_of(key: str, cell: SheetCell, taken: Contents) -> object:
    """A cell's value as TOML would give it."""
    value = cell.value
    if isinstance(value, Fault):
        if value.is_date and key in _RANGES:
            cell = replace(cell, value=replace(value, wanted=_RANGE_AS_TEXT))
        taken.refuse(cell, key, "")
        return REPORTED
    if key in _TEXTS:
        return str(_plain(value)) if isinstance(value, float) or type(value) is int else value
    if not isinstance(value, str):
        return _plain(value)
    if key == "flaws":
        return _flaws(cell, value, taken)
    if key not in LISTS:
        return _plain(value)
    parts = [part.strip() for part in value.split(";") if part.strip()]
    read = [_plain(part) for part in (with_unit(*parts) if parts else [])]
    return read[0] if len(read) == 1 else read


def _plain(value: object) -> object:
    """A number for a text that is one, and a whole number for a decimal that is one.

    Cells formatted as text hold numbers as texts; some programs store every number as a decimal.
    """
    if isinstance(value, str) and re.fullmatch(r"-?\d{1,15}(\.\d{1,15})?", value, re.ASCII):
        value = float(value) if "." in value else int(value)
    return int(value) if isinstance(value, float) and value.is_integer() else value


def _flaws(cell: SheetCell, text: str, taken: Contents) -> object:
    """``2 yd 4 in to 2 yd 7 in; 90 to 93 at 10 to 14; ...`` as a list of tables."""
    flaws = []
    for part in text.split(";"):
        along, _, across = (words.strip() for words in part.partition(" at "))
        ends = [re.split(r"\s+to\s+", words) for words in (along, across) if words]
        ends = [with_unit(*pair) if len(pair) == 2 else pair for pair in ends]
        if not ends or any(len(pair) != 2 for pair in ends):
            taken.refuse(
                cell,
                "flaws",
                'stretches such as "2 yd 4 in to 2 yd 7 in", or "90 to 93 at 10 to 14" between two '
                "distances from the left edge, with ; between",
            )
            return REPORTED
        keys = (("from", "to"), ("left", "right"))
        flaws.append(
            {
                key: _plain(end)
                for names, pair in zip(keys, ends, strict=False)
                for key, end in zip(names, pair, strict=True)
            }
        )
    return flaws
