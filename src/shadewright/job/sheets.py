"""The workbook form of a job: the same tables as sheets, the same keys as columns and rows.

Sheets `Job`, `Make`, `Prices`, `Match` and `Fit` hold a key, a value and a note in each row;
`Cloth`, `Pieces` and `Openings` a heading for each key and a row for each thing. A blank cell is a
key left out.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

from shadewright.job.books import Book, open_workbook
from shadewright.job.files import refused
from shadewright.job.limits import MOST_COLUMNS, MOST_ROWS
from shadewright.job.problems import (
    FileProblem,
    JobError,
    did_you_mean,
    no_such_key,
    one_of,
    shown,
)
from shadewright.job.sheet_keys import NOTES, PAIR_SHEETS, ROW_SHEETS, sheets_with
from shadewright.job.sheet_values import Contents, Fault, SheetCell, cell_of, value_of
from shadewright.job.sheet_xml import BookCell, covered
from shadewright.job.source import REPORTED, KeyPath, Source
from shadewright.job.values import plain

_TABLES = (("Make", "make"), ("Prices", "prices"), ("Match", "match"), ("Fit", "fit"))

# How like a missing sheet's name another sheet's must be, not to pass for the maker's own.
_MISNAMED = 0.75


def workbook_source(path: Path) -> Source:
    """Take a job's tables from a workbook.

    Raises:
        JobError: this is no workbook, or no job's.
    """
    taken = Contents(regions={(): "sheet Job"})
    known = (*PAIR_SHEETS, *ROW_SHEETS)
    with open_workbook(path, known) as book:
        grids = _grids(book, taken)
    if not grids:
        raise refused(path, f"this workbook has no sheet named {one_of(known)}")
    _refuse_missing(grids, taken)
    taken.tables.update(_pairs(grids, "Job", (), taken))
    for sheet, key in _TABLES:
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
    if taken.stand_ins:
        named = {plain(name) for name in cloths if name not in taken.stand_ins}
        for opening in openings:
            # Which cloth is meant can only be told when all have their names.
            if plain(str(opening.get("cloth"))) not in named:
                opening["cloth"] = REPORTED
    # An empty sheet is a table left out.
    taken.tables |= {"cloth": cloths} if cloths else {}
    taken.tables |= {"opening": openings} if openings else {}
    return Source(taken.tables, taken.place, tuple(taken.problems), in_cells=True)


_Grid = list[list[SheetCell]]


def _grids(book: Book, taken: Contents) -> dict[str, _Grid]:
    """The cells of every sheet of a job, by the sheet's name; other sheets are the maker's own."""
    known = (*PAIR_SHEETS, *ROW_SHEETS)
    missing = [name for name in known if name not in book]
    by_plain: dict[str, str] = {}
    for title in book.titles:
        like = by_plain.setdefault(title.strip().casefold(), title)
        if title.strip().casefold() in {name.casefold() for name in known}:
            if like is not title:
                wrong = f"only one sheet may be called so, and there is {shown(like)}"
                taken.problems.append(FileProblem(f"sheet {shown(title)}", "", wrong))
        elif hint := did_you_mean(title, missing, _MISNAMED):
            taken.problems.append(FileProblem(f"sheet {title}", "", f"no such sheet{hint}"))
            taken.misnamed.update(name for name in missing if hint == f"; did you mean {name}?")
    return {name: _grid(book, name, taken) for name in known if name in book}


_NEEDED = {
    "Job": ("title", "one with the title of the job"),
    "Cloth": ("cloth", "one with a row for each cloth"),
    "Openings": ("opening", "one with a row for each opening"),
}
"""Sheets that a job cannot be without: what is told in them, and what is wanted where one lacks."""


def _refuse_missing(grids: Mapping[str, _Grid], taken: Contents) -> None:
    """Tell of sheets that are not there, unless another seems to be meant for one."""
    for sheet, (key, wanted) in _NEEDED.items():
        if sheet not in grids:
            taken.tables[key] = REPORTED
            if sheet not in taken.misnamed:
                taken.problems.append(FileProblem(f"sheet {sheet}", "no such sheet", wanted))


def _grid(book: Book, sheet: str, taken: Contents) -> _Grid:
    """The rows of a sheet that hold anything, and the first one, which has the headings."""
    rows: list[tuple[BookCell, ...]] = []
    merged: list[str] = []
    try:
        rows.extend(book.rows(sheet, merged=merged))
    except JobError as why:
        taken.problems += why.problems
        if sheet in _NEEDED:
            taken.tables[_NEEDED[sheet][0]] = REPORTED
    by_cell = covered(merged, MOST_ROWS, range(1, MOST_COLUMNS + 1))
    if rows and rows[0][0].row > 1:
        rows.insert(0, (BookCell(1, 1),))
    width = max((len(row) for row in rows), default=0)
    return [
        [
            cell_of(sheet, row[at] if at < len(row) else BookCell(row[0].row, at + 1), by_cell)
            for at in range(width)
        ]
        for row in rows
    ]


def _pairs(
    grids: Mapping[str, _Grid], sheet: str, path: KeyPath, taken: Contents
) -> dict[str, object]:
    """A sheet of keys and values as a table."""
    table: dict[str, Any] = {}
    first_seen: dict[str, str] = {}
    for row in grids.get(sheet, []):
        key_cell, value_cell = (*row, *[SheetCell(sheet, "", 0, None)] * 2)[:2]
        key = _key(key_cell)
        if key == "key" or (value_cell.blank and key not in PAIR_SHEETS[sheet]):
            continue  # the heading row, or a line between the keys for people
        if not key:
            taken.refuse(key_cell, "key", "the key of the value beside it")
        elif key not in PAIR_SHEETS[sheet]:
            where = f"{key_cell.where} ({key})"
            taken.problems.append(no_such_key(where, key, PAIR_SHEETS[sheet], sheets_with(key)))
        elif key in first_seen:
            taken.refuse(key_cell, key, f"each key once; cell {first_seen[key]} has it already")
        else:
            first_seen[key] = key_cell.at
            parts = tuple(key.split("."))
            taken.cells[(*path, *parts)] = f"{value_cell.where} ({key})"
            if value_cell.value is not None:
                inner = table.setdefault(parts[0], {}) if len(parts) > 1 else table
                inner[parts[-1]] = value_of(key, value_cell, taken)
    return table


def _rows(
    grids: Mapping[str, _Grid], sheet: str, taken: Contents
) -> Iterator[tuple[int, dict[str, SheetCell]]]:
    """The rows of a sheet that hold anything: number of the row, and its cells by heading."""
    grid = grids.get(sheet, [])
    if not grid:
        return
    columns = _columns(grid, sheet, taken)
    told = False
    for row in grid[1:]:
        cells = {key: row[at] for key, at in columns.items()}
        if all(cell.blank for cell in cells.values()):
            continue
        for key in _LEAST[sheet]:
            if key not in cells:
                cells[key] = SheetCell(sheet, "", row[0].row, REPORTED)
        if not told:
            _refuse_no_heading(grid, columns, sheet, taken)
            told = True
        yield row[0].row, cells


_LEAST = {
    "Cloth": ("name", "width"),
    "Pieces": ("name", "length"),
    "Openings": ("name", "width", "height"),
}
"""Columns that each row of a sheet must have something in."""


def _refuse_no_heading(
    grid: _Grid, columns: Mapping[str, int], sheet: str, taken: Contents
) -> None:
    """Tell once of a column that every row lacks, unless a heading seems to be meant for it."""
    if any(isinstance(cell.value, Fault) for cell in grid[0]):
        return
    odd = [key for cell in grid[0] if (key := _key(cell)) and key not in ROW_SHEETS[sheet]]
    for key in _LEAST[sheet]:
        if key not in columns and not any(did_you_mean(each, [key]) for each in odd):
            wanted = f"one, as each row of this sheet needs its {key}"
            taken.problems.append(FileProblem(f"sheet {sheet}, row 1", f"no heading {key}", wanted))


def _columns(grid: _Grid, sheet: str, taken: Contents) -> dict[str, int]:
    """Where the column of each key is."""
    columns: dict[str, int] = {}
    if not any(_key(cell) in ROW_SHEETS[sheet] for cell in grid[0]):
        cell = next((each for each in grid[0] if not each.blank), grid[0][0])
        said = cell.value.found if isinstance(cell.value, Fault) else shown(cell.value)
        wanted = f"the headings of its columns: {', '.join(_LEAST[sheet])} and others"
        taken.problems.append(FileProblem(f"sheet {sheet}, row 1", said, wanted))
        if sheet in _NEEDED:
            taken.tables[_NEEDED[sheet][0]] = REPORTED
        return columns
    for at, cell in enumerate(grid[0]):
        key = _key(cell)
        if key in columns:
            first = grid[0][columns[key]].at
            taken.refuse(cell, key, f"each heading once; cell {first} has it already")
        elif key in ROW_SHEETS[sheet]:
            columns[key] = at
        elif key and key not in NOTES:
            where = f"{cell.where} ({key})"
            taken.problems.append(no_such_key(where, key, ROW_SHEETS[sheet], sheets_with(key)))
        elif not key and any(not row[at].blank for row in grid[1:]):
            taken.refuse(cell, "heading", "a heading, as cells below it are filled")
    return columns


def _key(cell: SheetCell) -> str:
    """A heading or key as keys are written: ``Repeat down`` is ``repeat_down``."""
    if cell.value is None or isinstance(cell.value, Fault):
        return ""
    return "_".join(str(cell.value).casefold().split())


def _values(
    cells: Mapping[str, SheetCell], path: KeyPath, place: str, taken: Contents
) -> dict[str, object]:
    """One row as a table; the places of its cells are kept under `path`."""
    taken.regions[path] = place
    for key, cell in cells.items():
        taken.cells[(*path, key)] = f"{cell.where} ({key})"
    return {
        key: value_of(key, cell, taken) for key, cell in cells.items() if cell.value is not None
    }


def _cloths(grids: Mapping[str, _Grid], taken: Contents) -> dict[str, dict[str, object]]:
    cloths: dict[str, dict[str, object]] = {}
    for row, cells in _rows(grids, "Cloth", taken):
        place = f"sheet Cloth, row {row}"
        name_cell = cells.pop("name", SheetCell("Cloth", "", row, None))
        name = value_of("name", name_cell, taken)
        if not isinstance(name, str) or plain(name) in map(plain, cloths):
            if name is not REPORTED:
                taken.refuse(name_cell, "name", "a name that no other cloth has")
            name = f"Cloth row {row}"  # the rest of the row is checked all the same
            taken.stand_ins.add(name)
        cloths[name] = _values(cells, ("cloth", name), place, taken)
        taken.regions[("cloth", name, "piece")] = "sheet Pieces"
    return cloths


def _pieces(
    grids: Mapping[str, _Grid], cloths: dict[str, dict[str, object]], taken: Contents
) -> None:
    """Put each piece on hand under its cloth."""
    by_plain = {plain(name): name for name in cloths if name not in taken.stand_ins}
    for row, cells in _rows(grids, "Pieces", taken):
        place = f"sheet Pieces, row {row}"
        cloth_cell = cells.pop("cloth", SheetCell("Pieces", "", row, None))
        cloth = value_of("cloth", cloth_cell, taken)
        if cloth is None and len(cloths) == 1:
            cloth = next(iter(cloths))
        cloth = by_plain.get(plain(cloth), cloth) if isinstance(cloth, str) else cloth
        if not isinstance(cloth, str) or cloth not in cloths:
            if cloths and cloth is not REPORTED and not taken.stand_ins:
                hint = did_you_mean(str(cloth), cloths)
                taken.refuse(cloth_cell, "cloth", one_of(cloths) + hint)
            continue
        pieces = cloths[cloth].setdefault("piece", [])
        assert isinstance(pieces, list)
        path = ("cloth", cloth, "piece", len(pieces))
        pieces.append(_values(cells, path, place, taken))
