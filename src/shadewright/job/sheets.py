"""The workbook form of a job: the same tables as sheets, the same keys as columns and rows.

Sheets `Job`, `Make` and `Match` hold a key, a value and a note in each row; `Cloth`, `Pieces` and
`Openings` a heading for each key and a row for each thing. A blank cell is a key left out.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from datetime import date, time, timedelta
from pathlib import Path
from typing import Any

from shadewright.job.books import Book, open_workbook
from shadewright.job.files import refused
from shadewright.job.model import Cloth, Fit, Make, MatchRule, Opening, Piece
from shadewright.job.problems import FileProblem, JobError, did_you_mean, no_such_key, one_of, shown
from shadewright.job.sheet_xml import BookCell
from shadewright.job.table import REPORTED, KeyPath, Source

PAIR_SHEETS: dict[str, tuple[str, ...]] = {
    "Job": ("title", "units", "step", "children", "outdoors"),
    "Make": tuple(
        key
        for field_ in Make.model_fields
        for key in (("stock.board", "stock.rod") if field_ == "stock" else (field_,))
    ),
    "Match": tuple(MatchRule.model_fields),
    "Fit": tuple(Fit.model_fields),
}
"""Sheets of keys and values, and their keys."""

ROW_SHEETS: dict[str, tuple[str, ...]] = {
    "Cloth": tuple(key for key in Cloth.model_fields if key != "pieces"),
    "Pieces": ("cloth", *Piece.model_fields),
    "Openings": tuple(Opening.model_fields),
}
"""Sheets of headings and rows, and their headings."""

NOTES = ("note", "notes")
"""Headings of columns for people only."""

LISTS = {"stock.board", "stock.rod"}
"""Keys that hold a list, written with ``;`` between."""

_TEXTS = {"title", "name", "cloth", "lining", "other_lining", "wood", "lot"}
_RANGES = {"shades", "gap"}

_RANGE_AS_TEXT = (
    "a range; format the cell as text and type it again, as 2 to 3 say: spreadsheets make a date "
    "of 2-3"
)

# How like a missing sheet's name another sheet's must be, not to pass for the maker's own.
_MISNAMED = 0.75


@dataclass(frozen=True)
class _Fault:
    """Why a cell has no value; a problem only if the cell is needed."""

    found: str
    wanted: str
    is_date: bool = False


@dataclass(frozen=True)
class _Cell:
    """A cell; where a row has none for a key, `at` is empty, and `row` 0 where no row is meant."""

    sheet: str
    at: str
    row: int
    value: object
    """None where it is blank; a `_Fault` where it cannot be read."""

    @property
    def where(self) -> str:
        """Sheet and cell as in ``sheet Openings, cell C4``, or as near as it can be told."""
        near = f"cell {self.at}" if self.at else f"row {self.row}"
        return f"sheet {self.sheet}, {near}"


@dataclass
class _Contents:
    """What has been taken from the workbook so far."""

    tables: dict[str, Any] = field(default_factory=dict)
    regions: dict[KeyPath, str] = field(default_factory=dict)
    """Sheets and rows of tables."""
    cells: dict[KeyPath, str] = field(default_factory=dict)
    """Cells of values, with their keys."""
    problems: list[FileProblem] = field(default_factory=list)

    def refuse(self, cell: _Cell, key: str, wanted: str) -> None:
        fault = cell.value
        if not isinstance(fault, _Fault):
            fault = _Fault(shown(cell.value), wanted)
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


def workbook_source(path: Path) -> Source:
    """Take a job's tables from a workbook.

    Raises:
        JobError: this is no workbook, or no job's.
    """
    taken = _Contents(regions={(): "sheet Job"})
    known = (*PAIR_SHEETS, *ROW_SHEETS)
    with open_workbook(path, known) as book:
        grids = _grids(book, taken)
    if not grids:
        raise refused(path, f"this workbook has no sheet named {one_of(known)}")
    taken.tables.update(_pairs(grids, "Job", (), taken))
    for sheet, key in (("Make", "make"), ("Match", "match"), ("Fit", "fit")):
        taken.regions[(key,)] = f"sheet {sheet}"
        taken.tables[key] = _pairs(grids, sheet, (key,), taken)
    taken.regions[("cloth",)] = "sheet Cloth"
    taken.regions[("opening",)] = "sheet Openings"
    taken.regions[("piece",)] = "sheet Pieces"
    cloths = _cloths(grids, taken)
    _pieces(grids, cloths, taken)
    openings = [
        _values(cells, ("opening", i), f"sheet Openings, row {row}", taken)
        for i, (row, cells) in enumerate(_rows(grids, "Openings", taken))
    ]
    # An empty sheet is a table left out.
    taken.tables |= {"cloth": cloths} if cloths else {}
    taken.tables |= {"opening": openings} if openings else {}
    return Source(taken.tables, taken.place, tuple(taken.problems))


_Grid = list[list[_Cell]]


def _grids(book: Book, taken: _Contents) -> dict[str, _Grid]:
    """The cells of every sheet of a job, by the sheet's name; other sheets are the maker's own."""
    known = (*PAIR_SHEETS, *ROW_SHEETS)
    missing = [name for name in known if name not in book]
    for title in book.titles:
        if title.strip().casefold() not in {name.casefold() for name in known} and (
            hint := did_you_mean(title, missing, _MISNAMED)
        ):
            taken.problems.append(FileProblem(f"sheet {title}", "", f"no such sheet{hint}"))
    return {name: _grid(book, name, taken) for name in known if name in book}


def _grid(book: Book, sheet: str, taken: _Contents) -> _Grid:
    """The rows of a sheet that hold anything, and the first one, which has the headings."""
    rows: list[tuple[BookCell, ...]] = []
    try:
        rows.extend(book.rows(sheet))
    except JobError as why:
        taken.problems += why.problems
    if rows and rows[0][0].row > 1:
        rows.insert(0, (BookCell(1, 1),))
    width = max((len(row) for row in rows), default=0)
    return [
        [
            _cell(sheet, row[at] if at < len(row) else BookCell(row[0].row, at + 1))
            for at in range(width)
        ]
        for row in rows
    ]


def _cell(sheet: str, cell: BookCell) -> _Cell:
    held = cell.value
    if isinstance(held, str):
        held = held.strip() or None
    if cell.kind == "error":
        held = _Fault(str(held), "a value; the formula here is in error")
    elif cell.kind == "unworked":
        held = _Fault(
            "a formula without its value",
            "a value; save the workbook in a spreadsheet program, which works formulas out",
        )
    elif isinstance(held, (date, time, timedelta)):
        held = _Fault(
            shown(held),
            "a number or text; format the cell as text, so that 3/8 stays as it is typed",
            is_date=True,
        )
    return _Cell(sheet, cell.at, cell.row, held)


def _pairs(
    grids: Mapping[str, _Grid], sheet: str, path: KeyPath, taken: _Contents
) -> dict[str, object]:
    """A sheet of keys and values as a table."""
    table: dict[str, Any] = {}
    first_seen: dict[str, str] = {}
    for row in grids.get(sheet, []):
        key_cell, value_cell = (*row, *[_Cell(sheet, "", 0, None)] * 2)[:2]
        key = _key(key_cell)
        if key == "key" or (value_cell.value is None and key not in PAIR_SHEETS[sheet]):
            continue  # the heading row, or a line between the keys for people
        if not key:
            taken.refuse(key_cell, "key", "the key of the value beside it")
        elif key not in PAIR_SHEETS[sheet]:
            where = f"{key_cell.where} ({key})"
            taken.problems.append(no_such_key(where, key, PAIR_SHEETS[sheet]))
        elif key in first_seen:
            taken.refuse(key_cell, key, f"each key once; cell {first_seen[key]} has it already")
        else:
            first_seen[key] = key_cell.at
            parts = tuple(key.split("."))
            taken.cells[(*path, *parts)] = f"{value_cell.where} ({key})"
            if value_cell.value is not None:
                inner = table.setdefault(parts[0], {}) if len(parts) > 1 else table
                inner[parts[-1]] = _value(key, value_cell, taken)
    return table


def _rows(
    grids: Mapping[str, _Grid], sheet: str, taken: _Contents
) -> Iterator[tuple[int, dict[str, _Cell]]]:
    """The rows of a sheet that hold anything: number of the row, and its cells by heading."""
    grid = grids.get(sheet, [])
    if not grid:
        return
    columns = _columns(grid, sheet, taken)
    for row in grid[1:]:
        cells = {key: row[at] for key, at in columns.items()}
        if any(cell.value is not None for cell in cells.values()):
            yield row[0].row, cells


def _columns(grid: _Grid, sheet: str, taken: _Contents) -> dict[str, int]:
    """Where the column of each key is."""
    columns: dict[str, int] = {}
    for at, cell in enumerate(grid[0]):
        key = _key(cell)
        if key in columns:
            first = grid[0][columns[key]].at
            taken.refuse(cell, key, f"each heading once; cell {first} has it already")
        elif key in ROW_SHEETS[sheet]:
            columns[key] = at
        elif key and key not in NOTES:
            where = f"{cell.where} ({key})"
            taken.problems.append(no_such_key(where, key, ROW_SHEETS[sheet]))
        elif not key and any(row[at].value is not None for row in grid[1:]):
            taken.refuse(cell, "heading", "a heading, as cells below it are filled")
    return columns


def _key(cell: _Cell) -> str:
    """A heading or key as keys are written: ``Repeat down`` is ``repeat_down``."""
    if cell.value is None or isinstance(cell.value, _Fault):
        return ""
    return "_".join(str(cell.value).casefold().split())


def _values(
    cells: Mapping[str, _Cell], path: KeyPath, place: str, taken: _Contents
) -> dict[str, object]:
    """One row as a table; the places of its cells are kept under `path`."""
    taken.regions[path] = place
    for key, cell in cells.items():
        taken.cells[(*path, key)] = f"{cell.where} ({key})"
    return {key: _value(key, cell, taken) for key, cell in cells.items() if cell.value is not None}


def _cloths(grids: Mapping[str, _Grid], taken: _Contents) -> dict[str, dict[str, object]]:
    cloths: dict[str, dict[str, object]] = {}
    for row, cells in _rows(grids, "Cloth", taken):
        place = f"sheet Cloth, row {row}"
        name_cell = cells.pop("name", _Cell("Cloth", "", row, None))
        name = _value("name", name_cell, taken)
        if not isinstance(name, str) or name in cloths:
            if name is not REPORTED:
                taken.refuse(name_cell, "name", "a name that no other cloth has")
            name = f"Cloth row {row}"  # the rest of the row is checked all the same
        cloths[name] = _values(cells, ("cloth", name), place, taken)
        taken.regions[("cloth", name, "piece")] = "sheet Pieces"
    return cloths


def _pieces(
    grids: Mapping[str, _Grid], cloths: dict[str, dict[str, object]], taken: _Contents
) -> None:
    """Put each piece on hand under its cloth."""
    for row, cells in _rows(grids, "Pieces", taken):
        place = f"sheet Pieces, row {row}"
        cloth_cell = cells.pop("cloth", _Cell("Pieces", "", row, None))
        cloth = _value("cloth", cloth_cell, taken)
        if cloth is None and len(cloths) == 1:
            cloth = next(iter(cloths))
        if not isinstance(cloth, str) or cloth not in cloths:
            if cloths and cloth is not REPORTED:
                hint = did_you_mean(str(cloth), cloths)
                taken.refuse(cloth_cell, "cloth", one_of(cloths) + hint)
            continue
        pieces = cloths[cloth].setdefault("piece", [])
        assert isinstance(pieces, list)
        path = ("cloth", cloth, "piece", len(pieces))
        pieces.append(_values(cells, path, place, taken))


def _value(key: str, cell: _Cell, taken: _Contents) -> object:
    """A cell's value as TOML would give it."""
    value = cell.value
    if isinstance(value, _Fault):
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
    read = [_plain(part.strip()) for part in value.split(";") if part.strip()]
    return read[0] if len(read) == 1 else read


def _plain(value: object) -> object:
    """A number for a text that is one, and a whole number for a decimal that is one.

    Cells formatted as text hold numbers as texts; some programs store every number as a decimal.
    """
    if isinstance(value, str) and re.fullmatch(r"-?\d{1,15}(\.\d{1,15})?", value, re.ASCII):
        value = float(value) if "." in value else int(value)
    return int(value) if isinstance(value, float) and value.is_integer() else value


def _flaws(cell: _Cell, text: str, taken: _Contents) -> object:
    """``2 yd 4 in to 2 yd 7 in; 90 to 93 at 10 to 14; ...`` as a list of tables."""
    flaws = []
    for part in text.split(";"):
        along, _, across = (words.strip() for words in part.partition(" at "))
        ends = [re.split(r"\s+to\s+", words) for words in (along, across) if words]
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
