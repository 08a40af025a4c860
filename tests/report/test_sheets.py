"""Sheets as they look: room for what they say, styles by name, pages that end where they may."""

from __future__ import annotations

import re
import shutil
import subprocess
from collections.abc import Iterator
from fractions import Fraction
from pathlib import Path

import pytest
from openpyxl import Workbook, load_workbook
from openpyxl.cell import Cell
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.worksheet import Worksheet
from PIL import ImageFont

import samples
from shadewright.job.read import read_job
from shadewright.planning.make import make_plan
from shadewright.report.sheets import looks
from shadewright.report.sheets.book import PlanBook
from shadewright.report.sheets.letters import digits, lines_of, longest_word, room
from shadewright.report.sheets.sheet import Column, Value, kept_together, live
from shadewright.report.sheets.workbook import write_workbook
from shadewright.report.work.account import Account

EXAMPLES = Path(__file__).parents[2] / "examples"
SAMPLES = {
    "mixed": samples.mixed,
    "lined metric": samples.lined_metric,
    "porch": samples.porch,
}
FONTS = ("arial.ttf", "Arial.ttf", "LiberationSans-{}.ttf")


@pytest.fixture(scope="module")
def books(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Workbook]:
    folder = tmp_path_factory.mktemp("books")
    for name, build in SAMPLES.items():
        write_workbook(folder / f"{name}.xlsx", Account(*build()), hurry=lambda: True)
    return {name: load_workbook(folder / f"{name}.xlsx", data_only=True) for name in SAMPLES}


def cells(book: Workbook) -> Iterator[tuple[Worksheet, Cell]]:
    """The filled cells that are seen, those that run over several columns left out."""
    for sheet in book.worksheets:
        wide = {str(merged).partition(":")[0] for merged in sheet.merged_cells.ranges}
        for row in sheet.iter_rows():
            for cell in row:
                letter = get_column_letter(cell.column)
                seen = not sheet.column_dimensions[letter].hidden and cell.value is not None
                alone = cell.coordinate not in wide and cell.font.size < 15
                if isinstance(cell, Cell) and seen and alone:
                    yield sheet, cell


def printed(cell: Cell) -> str:
    """What a cell prints as, by its number format; told here once more."""
    value, form = cell.value, cell.number_format.removesuffix(looks.OFF_EDGE)
    if not isinstance(value, (int, float)):
        return str(value)
    if form == "# ?/??":
        whole, part = divmod(Fraction(value).limit_denominator(64), 1)
        return f"{whole} {part}" if part else f"{whole}      "
    if form == "General":
        return f"{value:.6g}"
    if form == "0.0%":
        return f"{value:.1%}"
    places = form.partition(".")[2].count("0")
    return f"{value:,.{places}f}"


@pytest.mark.parametrize("name", SAMPLES)
def test_every_number_has_room_in_its_column(books: dict[str, Workbook], name: str) -> None:
    """A number that has none is shown as a row of hashes."""
    looked_at = 0
    for sheet, cell in cells(books[name]):
        if isinstance(cell.value, (int, float)) and cell.number_format != "General":
            width = sheet.column_dimensions[get_column_letter(cell.column)].width
            needed = digits(printed(cell), bool(cell.font.b), float(cell.font.size))
            needed += 1.5 * cell.alignment.indent
            assert needed <= room(width), (sheet.title, cell.coordinate, printed(cell))
            looked_at += 1
    assert looked_at > 50


@pytest.mark.parametrize("name", SAMPLES)
def test_no_word_is_broken_and_rows_are_high_enough(books: dict[str, Workbook], name: str) -> None:
    for sheet, cell in cells(books[name]):
        if isinstance(cell.value, str):
            width = room(sheet.column_dimensions[get_column_letter(cell.column)].width)
            bold, size = bool(cell.font.b), float(cell.font.size)
            assert longest_word(cell.value, bold=bold, size=size) <= width, cell.value
            # What is indented has less room: as much as is not kept free anyway.
            inside = room(
                sheet.column_dimensions[get_column_letter(cell.column)].width
                - 0.6 * cell.alignment.indent
            )
            lines = lines_of(cell.value, inside, bold=bold, size=size)
            assert sheet.row_dimensions[cell.row].height >= 12 * lines


@pytest.mark.parametrize("name", SAMPLES)
def test_numbers_stand_off_their_edge_by_their_form(books: dict[str, Workbook], name: str) -> None:
    """An indent is forgotten by some programs, where numbers beside are shown another way."""
    right = 0
    for _, cell in cells(books[name]):
        if isinstance(cell.value, (int, float)) and cell.alignment.horizontal == "right":
            assert cell.alignment.indent == 0
            assert cell.number_format.endswith(looks.OFF_EDGE)
            right += 1
    assert right > 20


def test_shades_are_printed_large_enough_to_be_read(books: dict[str, Workbook]) -> None:
    """A sheet is drawn in to the width of its paper: letters of 10 points keep 8 of them."""
    for name, book in books.items():
        for sheet in book.worksheets:
            letters = map(get_column_letter, range(1, sheet.max_column + 1))
            shown = [sheet.column_dimensions[each] for each in letters]
            wide = sum((7 * each.width + 5) / 96 for each in shown if not each.hidden)
            paper = 11.69 if sheet.page_setup.paperSize == 9 else 11.0
            assert (paper - 0.9) / wide > 0.8, (name, sheet.title)


def test_what_is_left_is_told_together_where_it_is_alike(books: dict[str, Workbook]) -> None:
    for book in books.values():
        rows = list(book["Leftovers"].iter_rows(values_only=True))
        begin = next(i for i, row in enumerate(rows) if row[0] == "Cloth")
        told = [(row[0], row[1], row[3], row[5], row[6]) for row in rows[begin + 1 :] if row[3]]
        assert len(told) == len(set(told))
        heads = [row[0] for row in rows].count("Cloth")
        assert heads == 1
        assert book["Leftovers"].print_title_rows == f"${begin + 1}:${begin + 1}"


@pytest.mark.parametrize("name", SAMPLES)
def test_a_fraction_stays_on_one_line(books: dict[str, Workbook], name: str) -> None:
    for sheet in books[name].worksheets:
        for row in sheet.iter_rows(values_only=True):
            for value in row:
                assert not re.search(r"\d +\d+/\d|\d +(yd|cm|m)\b|yd +\d", str(value)), value
    assert kept_together('5 yd 7 1/2" of 3 cm') == '5\xa0yd\xa07\xa01/2" of 3\xa0cm'


@pytest.mark.parametrize("name", SAMPLES)
def test_every_cell_has_a_style_with_a_name(books: dict[str, Workbook], name: str) -> None:
    named = {style.name for style in looks.STYLES}
    assert {cell.style for _, cell in cells(books[name])} <= named


def test_letters_are_as_wide_as_in_the_type() -> None:
    said = 'Drop 12: cut lengthwise. Beyond: 14 1/4" left over (Wäsche), W x m @ 100%'
    found = 0
    for bold, face in ((False, "Regular"), (True, "Bold")):
        for name in FONTS:
            try:
                font = ImageFont.truetype(name.format(face), 1000)
            except OSError:
                continue
            if bold and "{}" not in name:
                continue
            wide = font.getlength(said) / font.getlength("0")
            # The type draws some pairs nearer to one another.
            assert digits(said, bold) == pytest.approx(wide, rel=0.01)
            found += 1
    if not found:
        pytest.skip("no type of these widths is installed")


def test_a_page_ends_before_a_heading_and_not_after_it(tmp_path: Path) -> None:
    asked, _ = samples.mixed()
    book = PlanBook(asked, ["Rows"])
    (sheet,) = book.sheets
    sheet.columns = (Column("", 40, 40),)
    for row in range(1, 61):
        sheet.put(row, 1, f"row {row}")
        sheet.set_height(row, 20)
        if row % 13 == 0:
            sheet.keep_with_next(row)
    book.save(tmp_path / "rows.xlsx")
    breaks = [each.id for each in load_workbook(tmp_path / "rows.xlsx")["Rows"].row_breaks.brk]
    # 7.4 in of paper hold 26 rows of 20 points; the 26th and the 52nd stay with what follows.
    assert breaks == [25, 51]


def test_a_sheet_that_is_a_little_longer_than_a_page_is_drawn_in(tmp_path: Path) -> None:
    asked, _ = samples.mixed()
    book = PlanBook(asked, ["Page", "Page and a little", "Two pages"])
    for sheet, rows in zip(book.sheets, (26, 28, 40), strict=True):
        sheet.columns = (Column("", 40, 40),)
        for row in range(1, rows + 1):
            sheet.put(row, 1, f"row {row}")
            sheet.set_height(row, 20)
    book.save(tmp_path / "rows.xlsx")
    found = load_workbook(tmp_path / "rows.xlsx").worksheets
    assert [sheet.page_setup.fitToHeight for sheet in found] == [0, 1, 0]
    assert [len(sheet.row_breaks.brk) for sheet in found] == [0, 0, 1]


def test_cells_are_what_was_put(tmp_path: Path) -> None:
    asked, _ = samples.mixed()
    book = PlanBook(asked, ["One", "Two words"])
    one, two = book.sheets
    one.columns = two.columns = (Column("", 10, 30),) * 3
    one.put(1, 1, "<a> & b")
    one.put(1, 2, Value(0.125, looks.FRACTION))
    one.put(2, 1, "", looks.ROW)
    one.put(2, 2, None, looks.BOX)
    two.put(1, 1, live("One!B1*2", looks.QUANTITY, 0.25))
    assert two.called == "'Two words'"
    book.save(tmp_path / "book.xlsx")
    read = load_workbook(tmp_path / "book.xlsx")
    assert [c.value for c in read["One"][1]] == ["<a> & b", 0.125]
    assert [c.value for c in read["One"][2]] == [None, None]
    assert read["One"]["B2"].border.left.style == "medium"
    assert read["Two words"]["A1"].value == "=One!B1*2"
    shown = load_workbook(tmp_path / "book.xlsx", data_only=True)
    assert shown["Two words"]["A1"].value == 0.25


@pytest.mark.slow
def test_a_porch_prints_on_few_pages_with_nothing_cut_off(tmp_path: Path) -> None:
    office, reader = shutil.which("soffice"), shutil.which("pdftotext")
    if office is None or reader is None:
        pytest.skip("LibreOffice or pdftotext is not installed")
    for name in ("porch", "porch-leaf"):
        porch = read_job(EXAMPLES / f"{name}.toml")
        answer = make_plan(porch, 5, with_others=True)
        told = Account(porch, answer.plan, answer.naive, answer.wood, answer.frontier)
        write_workbook(tmp_path / f"{name}.xlsx", told)
    write_workbook(tmp_path / "lined.xlsx", Account(*samples.lined_metric()))
    profile = f"-env:UserInstallation={(tmp_path / 'profile').as_uri()}"
    files = [str(tmp_path / f"{name}.xlsx") for name in ("porch", "porch-leaf", "lined")]
    subprocess.run(
        [office, profile, "--headless", "--convert-to", "pdf", "--outdir", str(tmp_path), *files],
        check=True,
        capture_output=True,
        timeout=240,
    )
    pages = {}
    for name in ("porch", "porch-leaf", "lined"):
        command = [reader, "-layout", str(tmp_path / f"{name}.pdf"), "-"]
        said = subprocess.run(command, check=True, capture_output=True, timeout=60).stdout.decode()
        assert "##" not in said
        assert "Cutting order" in said
        pages[name] = said.count("\f")
    assert pages["porch"] <= 17
    assert pages["porch-leaf"] <= 17
