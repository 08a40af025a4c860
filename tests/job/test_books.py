"""Workbooks as streams of cells: what cells hold, which sheets are read, and what is too large."""

from __future__ import annotations

import datetime
import zipfile
from pathlib import Path
from typing import Any

import pytest
from openpyxl import Workbook, load_workbook

from shadewright.job import books
from shadewright.job.books import BookCell, open_workbook
from shadewright.job.problems import JobError
from shadewright.job.read import read_job
from shadewright.job.starter import write_starter_xlsx

SHEET = (
    '<worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main">{}</worksheet>'
)


def written(path: Path, **sheets: list[list[Any]]) -> Path:
    book = Workbook()
    book.remove(book.worksheets[0])
    for title, rows in sheets.items():
        sheet = book.create_sheet(title)
        for row in rows:
            sheet.append(row)
    book.save(path)
    return path


def swapped(path: Path, part: str, content: str | bytes) -> Path:
    """The workbook with one of its parts replaced."""
    other = path.with_name(f"swapped-{path.name}")
    with zipfile.ZipFile(path) as old, zipfile.ZipFile(other, "w", zipfile.ZIP_DEFLATED) as new:
        for name in old.namelist():
            new.writestr(name, content if name == part else old.read(name))
        if part not in old.namelist():
            new.writestr(part, content)
    return other


def rows_of(path: Path, sheet: str, **most: int) -> list[tuple[BookCell, ...]]:
    with open_workbook(path, [sheet]) as book:
        return list(book.rows(sheet, **most))


def refusal(path: Path, sheet: str = "Job") -> str:
    with pytest.raises(JobError) as caught:
        rows_of(path, sheet)
    return str(caught.value)


def test_cells_hold_what_another_reader_finds(tmp_path: Path) -> None:
    held = [
        ["text", " blanks ", "ümlaut & <tag>", "", None, "=1+1"],
        [1, 2.5, -3, 1e300, True, False],
        [],
        [None, datetime.datetime(2024, 2, 3), datetime.time(12, 30), datetime.timedelta(days=2)],
    ]
    path = written(tmp_path / "a.xlsx", Job=held)
    theirs = {
        (cell.row, cell.column): cell.value
        for row in load_workbook(path, data_only=True)["Job"].iter_rows()
        for cell in row
        if cell.value not in (None, "")
    }
    ours = {(c.row, c.column): c.value for row in rows_of(path, "Job") for c in row if not c.blank}
    assert ours.pop((1, 6)) is None  # the formula that nobody worked out
    assert ours == theirs
    assert [len(row) for row in rows_of(path, "Job")] == [6, 6, 4]
    assert rows_of(path, "Job")[0][5] == BookCell(1, 6, None, "unworked", formula=True)
    assert rows_of(path, "Job")[2][1].at == "B4"


def test_formulas_that_were_worked_out_and_those_in_error(tmp_path: Path) -> None:
    cells = (
        '<sheetData><row><c t="str"><f>"a"</f><v>a</v></c><c><f>1+1</f><v>2</v></c>'
        '<c t="e"><f>1/0</f><v>#DIV/0!</v></c><c t="inlineStr"><is><r><t>in</t></r><r><t>line</t>'
        '</r></is></c><c t="str"><f>""</f><v></v></c><c><f>1+1</f><v/></c></row></sheetData>'
    )
    path = swapped(
        written(tmp_path / "a.xlsx", Job=[["x"]]), "xl/worksheets/sheet1.xml", SHEET.format(cells)
    )
    (row,) = rows_of(path, "job")
    assert [cell.value for cell in row] == ["a", 2, "#DIV/0!", "inline", None, None]
    assert [cell.kind for cell in row] == ["value", "value", "error", "value", "value", "unworked"]


def test_only_the_sheets_asked_for_are_there(tmp_path: Path) -> None:
    path = written(tmp_path / "a.xlsx", Job=[["x"]], Notes=[["y"]])
    with open_workbook(path, [" jOB", "Make"]) as book:
        assert book.titles == ("Job", "Notes")
        assert "Job" in book
        assert "Notes" not in book
        assert "Make" not in book
        with pytest.raises(KeyError):
            next(book.rows("Notes"))


def test_a_large_sheet_that_nobody_asked_for_is_not_unpacked(tmp_path: Path) -> None:
    path = written(tmp_path / "a.xlsx", Job=[["x"]], Notes=[["y"]])
    path = swapped(path, "xl/worksheets/sheet2.xml", b" " * 40_000_000)
    assert [cell.value for row in rows_of(path, "Job") for cell in row] == ["x"]
    said = refusal(path, "Notes")
    assert said.startswith(f"{path}: the sheets to be read, and the texts of the workbook, take 40")


@pytest.mark.parametrize(
    "cells",
    [
        '<sheetData><row r="1048576"><c r="XFD1048576"><v>1</v></c></row></sheetData>',
        "<sheetData><row>" + "<c><v>1</v></c>" * 51 + "</row></sheetData>",
        "<sheetData>" + "<row><c><v>1</v></c></row>" * 1001 + "</sheetData>",
    ],
    ids=["last cell there is", "many columns", "many rows"],
)
def test_what_lies_too_far_out_is_refused(tmp_path: Path, cells: str) -> None:
    path = swapped(
        written(tmp_path / "a.xlsx", Job=[["x"]]), "xl/worksheets/sheet1.xml", SHEET.format(cells)
    )
    said = refusal(path)
    assert "sheet Job" in said
    assert "wanted at most 1000 rows and 50 columns in use; delete what lies beyond" in said
    assert any(cell in said for cell in ("XFD1048576", "AY1", "A1001"))


def test_a_merge_over_whole_columns_is_no_matter(tmp_path: Path) -> None:
    cells = (
        "<sheetData><row><c><v>1</v></c></row></sheetData>"
        '<mergeCells><mergeCell ref="A1:XFD1048576"/></mergeCells>'
    )
    path = swapped(
        written(tmp_path / "a.xlsx", Job=[["x"]]), "xl/worksheets/sheet1.xml", SHEET.format(cells)
    )
    assert rows_of(path, "Job") == [(BookCell(1, 1, 1),)]


@pytest.mark.slow
def test_elements_without_end_are_not_counted_to_the_end(tmp_path: Path) -> None:
    path = written(tmp_path / "a.xlsx", Job=[["x"]])
    path = swapped(path, "xl/worksheets/sheet1.xml", SHEET.format("<row/>" * 1_000_001))
    assert "hold more than 1,000,000 elements" in refusal(path)


@pytest.mark.parametrize(
    "content",
    [
        '<!DOCTYPE a [<!ENTITY b "bb">]>' + SHEET.format("&b;"),
        SHEET.format('<row><c t="s"><v>99</v></c></row>'),
        SHEET.format("<row><c><v>many</v></c></row>"),
        SHEET.format('<row r="x"/>'),
        SHEET.format('<c r="AAAA1"><v>1</v></c>'),
        "<worksheet>",
        b"\xff\xfe\x00",
    ],
)
def test_a_damaged_sheet_is_refused(tmp_path: Path, content: str | bytes) -> None:
    path = written(tmp_path / "a.xlsx", Job=[["x"]])
    path = swapped(path, "xl/worksheets/sheet1.xml", content)
    assert refusal(path) == f"{path}: this is no workbook (.xlsx) that can be read"


def test_a_part_larger_than_it_says_is_no_way_round(tmp_path: Path) -> None:
    path = written(tmp_path / "a.xlsx", Job=[["x"]])
    path = swapped(path, "xl/worksheets/sheet1.xml", SHEET.format(" " * 1_000_000))
    data = path.read_bytes()
    size = len(SHEET.format(" " * 1_000_000)).to_bytes(4, "little")
    assert data.count(size) >= 2
    path.write_bytes(data.replace(size, (500).to_bytes(4, "little")))
    assert refusal(path) == f"{path}: this is no workbook (.xlsx) that can be read"


def test_parts_without_end_are_not_listed(tmp_path: Path) -> None:
    path = tmp_path / "a.xlsx"
    path.write_bytes(books._LISTED * 5001)
    assert refusal(path) == f"{path}: this packs more parts than the 5,000 a workbook may"


@pytest.mark.slow
def test_a_damaged_zip_is_refused_wherever_it_is_damaged(tmp_path: Path) -> None:
    good, bad = tmp_path / "good.xlsx", tmp_path / "bad.xlsx"
    write_starter_xlsx(good)
    data = good.read_bytes()
    listed = data.index(b"PK\x01\x02")
    refused = 0
    # Every byte of the first entries of its list, and of what ends it: sizes, offsets, names.
    for at in (*range(listed, listed + 60), *range(len(data) - 22, len(data))):
        for flipped in (0x01, 0x80):
            bad.write_bytes(data[:at] + bytes([data[at] ^ flipped]) + data[at + 1 :])
            try:
                read_job(bad)
            except JobError as why:
                assert str(why).startswith(str(bad))  # noqa: PT017 - many are read all the same
                refused += 1
    assert refused > 25
