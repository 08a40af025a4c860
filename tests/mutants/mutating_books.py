"""Damage for workbooks: to their cells, their sheets, and the zip of XML that they are."""

from __future__ import annotations

import io
import random
import re
import zipfile
from collections.abc import Callable, Mapping
from datetime import date, datetime, time
from typing import Any

from openpyxl import Workbook, load_workbook
from openpyxl.cell.cell import ILLEGAL_CHARACTERS_RE, Cell
from openpyxl.worksheet.worksheet import Worksheet

from mutating import LENGTHS, TEXTS, WORDS, damaged_bytes, damaged_text, number

ROWS = 45
"""Rows of a sheet that are changed: those a job or a cutting order has, and some below."""

_EPOCH = (1980, 1, 1, 0, 0, 0)

_DATES = (date(2026, 3, 8), datetime(2026, 2, 3, 4, 5, 6), time(5, 30), datetime(1900, 1, 1))

_FORMULAS = ("=1+1", "=A1", "=NOW()", "=", "=#REF!", '="x"', "=SUM(A:A)")

_ERRORS = ("#REF!", "#DIV/0!", "#N/A", "#NAME?", "#VALUE!")

_RAW_CELLS = (
    '<c r="{at}" t="s"><v>99999</v></c>', '<c r="{at}" t="s"><v>-1</v></c>',
    '<c r="{at}" t="s"><v>x</v></c>', '<c r="{at}" t="s"/>', '<c r="{at}"><v>1e999</v></c>',
    '<c r="{at}"><v>nan</v></c>', '<c r="{at}"><v>-inf</v></c>', '<c r="{at}"><v>12abc</v></c>',
    '<c r="{at}"><v>{digits}</v></c>', '<c r="{at}"><v> 5 </v></c>', '<c r="{at}"><v>5_0</v></c>',
    '<c r="{at}"><v></v></c>', '<c r="{at}"><v>٣</v></c>', '<c r="{at}"><v>6.2375E1</v></c>',
    '<c r="{at}" t="b"><v>2</v></c>', '<c r="{at}" t="b"><v>1</v></c>',
    '<c r="{at}" t="e"><v>#REF!</v></c>', '<c r="{at}" t="str"><f>1+1</f><v>2</v></c>',
    '<c r="{at}"><f>1+1</f><v>2</v></c>', '<c r="{at}"><f>1+1</f></c>',
    '<c r="{at}" t="inlineStr"><is><t>62 3/8</t></is></c>',
    '<c r="{at}" t="inlineStr"><is><r><t>6</t></r><r><t>2</t></r></is></c>',
    '<c r="{at}" t="inlineStr"><is><t>_x0000_&#8238;&#x200b;x</t></is></c>',
    '<c r="{at}" t="d"><v>2026-03-08</v></c>', '<c r="{at}" t="d"><v>2026-99-99</v></c>',
    '<c r="{at}" t="zzz"><v>1</v></c>', '<c r="{at}" s="9999"><v>1</v></c>',
    '<c r="{at}" s="-1"><v>1</v></c>', '<c r="{at}" s="x"><v>1</v></c>', "<c><v>5</v></c>",
    '<c r=""><v>5</v></c>', '<c r="A0"><v>5</v></c>', '<c r="5"><v>5</v></c>',
    '<c r="ZZZZ99"><v>5</v></c>', '<c r="XFD1048576"><v>5</v></c>',
    '<c r="{at}"><v>5</v><v>6</v></c>', '<c r="{at}"><c r="{at}"><v>5</v></c></c>', "",
)  # fmt: skip

_NOTE = b'<row><c t="inlineStr"><is><t>a note that nobody needs</t></is></c></row>'

Damage = Callable[[random.Random, bytes], bytes]


def parts_of(data: bytes) -> dict[str, bytes]:
    """The files packed in a workbook."""
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        return {name: archive.read(name) for name in archive.namelist()}


def packed(parts: Mapping[str, bytes], how: int = zipfile.ZIP_DEFLATED) -> bytes:
    """A workbook of these parts, the same bytes at any time."""
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w", how) as archive:
        for name, data in parts.items():
            archive.writestr(zipfile.ZipInfo(name, _EPOCH), data, how)
    return stream.getvalue()


def steady(data: bytes) -> bytes:
    """A workbook without the time at which it was saved."""
    parts = parts_of(data)
    core = parts.get("docProps/core.xml", b"")
    parts["docProps/core.xml"] = re.sub(
        rb"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\dZ", b"2026-01-01T00:00:00Z", core
    )
    return packed(parts)


def saved(book: Workbook) -> bytes:
    """The bytes of a workbook."""
    stream = io.BytesIO()
    book.save(stream)
    return steady(stream.getvalue())


def filled(empty: bytes, tree: Mapping[str, Any]) -> bytes:
    """The starter workbook with the job of a TOML file typed into it.

    Args:
        empty: the starter.
        tree: the tables of the job.
    """
    book = load_workbook(io.BytesIO(empty))
    pairs = {"Job": tree, "Make": tree.get("make", {}), "Match": tree.get("match", {})}
    pairs["Fit"] = tree.get("fit", {})
    for title, table in pairs.items():
        for row in book[title].iter_rows(min_row=2):
            if isinstance(row[1], Cell):
                row[1].value = _typed(table.get(str(row[0].value)))
    cloths = tree["cloth"].items()
    _fill(book["Cloth"], [{"name": name, **cloth} for name, cloth in cloths])
    _fill(
        book["Pieces"],
        [{"cloth": name, **piece} for name, cloth in cloths for piece in cloth.get("piece", [])],
    )
    _fill(book["Openings"], tree["opening"])
    return saved(book)


def _fill(sheet: Worksheet, rows: list[dict[str, Any]]) -> None:
    headings = [cell.value for cell in sheet[1]]
    for at in range(2, ROWS):
        row = rows[at - 2] if at - 2 < len(rows) else {}
        for column, heading in enumerate(headings, start=1):
            sheet.cell(at, column).value = _typed(row.get(str(heading)))


def _typed(held: Any) -> Any:
    """A value as one types it into a cell."""
    if isinstance(held, list) and held and isinstance(held[0], dict):
        flaws = []
        for flaw in held:
            across = f" at {flaw['left']} to {flaw['right']}" if "left" in flaw else ""
            flaws.append(f"{flaw['from']} to {flaw['to']}{across}")
        return "; ".join(flaws)
    if isinstance(held, list):
        return " to ".join(map(str, held))
    return {True: "yes", False: "no"}[held] if isinstance(held, bool) else held


# --- cells --------------------------------------------------------------------------------------


def cell_value(draw: random.Random) -> Any:
    """Something that a cell can hold."""
    kind = draw.randrange(9)
    if kind < 2:
        return number(draw)
    if kind < 7:
        pool = (LENGTHS, WORDS, TEXTS, _FORMULAS, _ERRORS)[kind - 2]
        return ILLEGAL_CHARACTERS_RE.sub("?", draw.choice(pool))
    return draw.choice(_DATES) if kind == 7 else draw.choice((True, False, None))


def put(sheet: Worksheet, row: int, column: int, held: Any) -> None:
    """Put a value into a cell, unless the cell is a hidden part of a merged one."""
    cell = sheet.cell(row, column)
    if isinstance(cell, Cell):
        cell.value = held


def damaged_cells(draw: random.Random, data: bytes) -> bytes:
    """Some cells changed."""
    book = load_workbook(io.BytesIO(data))
    for _ in range(draw.choice((1, 1, 2, 4))):
        sheet = draw.choice(book.worksheets[1:])
        row = draw.randint(1, min(sheet.max_row, 8) + 1)
        put(sheet, row, draw.randint(1, sheet.max_column), cell_value(draw))
    return saved(book)


# --- sheets -------------------------------------------------------------------------------------


def damaged_sheets(draw: random.Random, data: bytes) -> bytes:
    """Columns, rows and sheets moved, taken out or put in."""
    book = load_workbook(io.BytesIO(data))
    for _ in range(draw.choice((1, 1, 2, 3))):
        sheet = draw.choice(book.worksheets)
        draw.choice(_SHEET_DAMAGES)(draw, sheet)
        if len(book.worksheets) > 1 and draw.random() < 0.15:
            draw.choice(_BOOK_DAMAGES)(draw, book, draw.choice(book.worksheets))
    return saved(book)


def column_moved(draw: random.Random, sheet: Worksheet) -> None:
    """One column stands where another did, and the other in its place."""
    one, other = draw.randint(1, sheet.max_column), draw.randint(1, sheet.max_column)
    for row in range(1, min(sheet.max_row, 400) + 1):
        held = sheet.cell(row, one).value, sheet.cell(row, other).value
        put(sheet, row, one, held[1])
        put(sheet, row, other, held[0])


def rows_sorted(draw: random.Random, sheet: Worksheet) -> None:
    """Some rows in another order."""
    first = draw.randint(1, sheet.max_row)
    last = min(sheet.max_row, first + draw.choice((1, 5, 50)))
    rows = [[cell.value for cell in row] for row in sheet.iter_rows(first, last)]
    draw.shuffle(rows)
    for at, row in enumerate(rows, start=first):
        for column, held in enumerate(row, start=1):
            put(sheet, at, column, held)


def _column_in(draw: random.Random, sheet: Worksheet) -> None:
    sheet.insert_cols(draw.randint(1, sheet.max_column), draw.choice((1, 1, 2, 60)))


def column_gone(draw: random.Random, sheet: Worksheet) -> None:
    """A column deleted."""
    sheet.delete_cols(draw.randint(1, sheet.max_column))


def _row_in(draw: random.Random, sheet: Worksheet) -> None:
    sheet.insert_rows(draw.randint(1, sheet.max_row), draw.choice((1, 1, 2, 1100)))


def row_gone(draw: random.Random, sheet: Worksheet) -> None:
    """Some rows deleted."""
    sheet.delete_rows(draw.randint(1, sheet.max_row), draw.choice((1, 1, 3)))


def row_twice(draw: random.Random, sheet: Worksheet) -> None:
    """A row copied to the end, or over another."""
    row = [cell.value for cell in sheet[draw.randint(1, min(sheet.max_row, 12))]]
    at = draw.choice((sheet.max_row + 1, draw.randint(1, min(sheet.max_row, 12))))
    for column, held in enumerate(row, start=1):
        put(sheet, at, column, held)


def _merged(draw: random.Random, sheet: Worksheet) -> None:
    top, left = draw.randint(1, 4), draw.randint(1, sheet.max_column)
    if not sheet.merged_cells.ranges:
        sheet.merge_cells(
            start_row=top, start_column=left, end_row=top + draw.randint(0, 4), end_column=left + 2
        )


def _hidden(draw: random.Random, sheet: Worksheet) -> None:
    book = sheet.parent
    assert isinstance(book, Workbook)
    if sum(each.sheet_state == "visible" for each in book.worksheets) > 1:
        sheet.sheet_state = draw.choice(("hidden", "veryHidden"))


def _moved(draw: random.Random, sheet: Worksheet) -> None:
    block = f"A1:{draw.choice('CHM')}{draw.randint(1, 30)}"
    sheet.move_range(block, rows=draw.randint(0, 3), cols=draw.randint(0, 3))


_SHEET_DAMAGES = (
    column_moved,
    rows_sorted,
    _column_in,
    column_gone,
    _row_in,
    row_gone,
    row_twice,
    _merged,
    _hidden,
    _moved,
)


def _renamed(draw: random.Random, book: Workbook, sheet: Worksheet) -> None:
    other = draw.choice(book.worksheets).title
    sheet.title = draw.choice(
        (
            sheet.title.upper(),
            f" {sheet.title} ",
            sheet.title[:-1] or "x",
            f"{other} 2",
            "Notes",
            "日本",
        )
    )


def _removed(_: random.Random, book: Workbook, sheet: Worksheet) -> None:
    book.remove(sheet)


def _copied(_: random.Random, book: Workbook, sheet: Worksheet) -> None:
    book.copy_worksheet(sheet)


def _charted(_: random.Random, book: Workbook, sheet: Worksheet) -> None:
    """A sheet that holds a chart and no cells takes a sheet's name."""
    title = sheet.title
    book.remove(sheet)
    book.create_chartsheet(title)


_BOOK_DAMAGES = (_renamed, _renamed, _removed, _copied, _charted)


# --- the zip of XML -----------------------------------------------------------------------------


def damaged_xml(draw: random.Random, data: bytes) -> bytes:
    """A cell that no program writes, or damage to the text of a part."""
    parts = parts_of(data)
    sheets = [name for name in parts if name.startswith("xl/worksheets/sheet")]
    if draw.random() < 0.7:
        name = draw.choice(sheets)
        parts[name] = _raw_cell(draw, parts[name])
    else:
        name = draw.choice([name for name in parts if name.endswith((".xml", ".rels"))])
        parts[name] = damaged_text(draw, parts[name].decode("utf-8"))
    return packed(parts)


def _raw_cell(draw: random.Random, sheet: bytes) -> bytes:
    cells = list(re.finditer(rb'<c r="([A-Z]+[0-9]+)"[^>]*?(?:/>|>.*?</c>)', sheet[:20_000]))
    if not cells:
        return sheet
    cell = draw.choice(cells)
    at = cell[1].decode("ascii")
    new = draw.choice(_RAW_CELLS).replace("{at}", at)
    new = new.replace("{digits}", "9" * draw.choice((16, 400, 5000)))
    return sheet[: cell.start()] + new.encode("utf-8") + sheet[cell.end() :]


def damaged_zip(draw: random.Random, data: bytes) -> bytes:
    """The zip as bytes, or its parts dropped, doubled, emptied, blown up or packed otherwise."""
    if draw.random() < 0.5:
        return damaged_bytes(draw, data)
    parts = parts_of(data)
    name = draw.choice(list(parts))
    match draw.randrange(7):
        case 0:
            del parts[name]
        case 1:
            parts[name] = b""
        case 2:
            parts[name] = b" " * draw.choice((1_000, 30_000_000))
        case 3:
            more = _NOTE * draw.choice((10, 2_000, 600_000)) + b"</sheetData>"
            parts[name] = parts[name].replace(b"</sheetData>", more)
        case 4:
            parts[name.upper()] = parts.pop(name)
        case 5:
            parts[name], other = parts[draw.choice(list(parts))], parts[name]
            parts["xl/extra.xml"] = other
        case _:
            return packed(
                parts, draw.choice((zipfile.ZIP_STORED, zipfile.ZIP_BZIP2, zipfile.ZIP_LZMA))
            )
    return packed(parts)


BOOK_DAMAGES: dict[str, Damage] = {
    "cells": damaged_cells,
    "sheets": damaged_sheets,
    "XML": damaged_xml,
    "zip": damaged_zip,
}
"""Ways to damage a workbook, by name."""
