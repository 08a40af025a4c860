"""Cells and printed pages: what every sheet of every workbook is made of.

Text that comes from a job goes in as text, whatever sign it begins with.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal
from weakref import WeakKeyDictionary

from openpyxl import Workbook
from openpyxl.cell import Cell
from openpyxl.styles import Alignment, Border, Font
from openpyxl.styles.cell_style import StyleArray
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.properties import PageSetupProperties
from openpyxl.worksheet.worksheet import Worksheet

from shadewright.job.model import Job
from shadewright.report.sheets import looks
from shadewright.report.sheets.letters import lines_of
from shadewright.report.work.words import brief, clean


@dataclass(frozen=True)
class Formula:
    """A live formula, as against a text that begins with an equals sign."""

    text: str


@dataclass(frozen=True)
class Value:
    """A number, or a formula for one, and how it is shown."""

    what: float | Formula
    shown: str


@dataclass(frozen=True)
class Column:
    """A column of a sheet: its heading, its width in digits, and how its contents stand."""

    heading: str
    width: float
    stands: Literal["left", "center", "right"] = "left"


@dataclass(frozen=True)
class Special:
    """How a cell of a table looks where it is not as the others; None: as they do."""

    font: Font | None = None
    border: Border | None = None
    alignment: Alignment | None = None


_USUAL = Special()


def live(formula: str, shown: str) -> Value:
    """A number that a formula works out."""
    return Value(Formula(formula), shown)


Content = str | int | float | Formula | Value | None


_Look = tuple[Font, Border | None, Alignment, str | None, bool]
"""Of a cell: with its border, how it is aligned and a number is shown, and whether it is quoted."""

_LOOKS: WeakKeyDictionary[Workbook, dict[tuple[int, ...], tuple[_Look, StyleArray]]]
_LOOKS = WeakKeyDictionary()
"""The looks that each workbook has already, by what their parts are and not by what they say: to
set one anew takes longer than all else, and so does comparing them."""


def put(
    sheet: Worksheet,
    row: int,
    column: int,
    content: Content,
    *,
    font: Font = looks.PLAIN,
    border: Border | None = None,
    alignment: Alignment | None = None,
) -> Cell:
    """Write a cell; where no alignment is given, texts are wrapped, and counts stand in the middle.

    What many cells look like is better said here than set afterwards, which takes longer than all
    else.
    """
    cell = sheet.cell(row, column)
    assert isinstance(cell, Cell)
    shown: str | None = None
    stands = looks.CENTRED if isinstance(content, int) else looks.RIGHT
    quoted = False
    if isinstance(content, Value):
        shown = content.shown
        content = content.what
    if isinstance(content, Formula):
        cell.value = f"={content.text}"
    elif isinstance(content, str):
        text = clean(content)
        cell.value = text
        # Never a formula nor an error value, and still text when the cell is edited.
        cell.data_type = "s"
        quoted = text[:1] in ("=", "+", "-", "@")
        stands = looks.WRAPPED
    elif content is not None:
        cell.value = content
    _look(cell, (font, border, alignment or stands, shown, quoted))
    return cell


def _look(cell: Cell, look: _Look) -> None:
    book = cell.parent.parent
    assert book is not None
    if book not in _LOOKS:
        _LOOKS[book] = {}
    looks_of_book, key = _LOOKS[book], tuple(map(id, look))
    if key not in looks_of_book:
        font, border, alignment, shown, quoted = look
        cell.font, cell.alignment, cell.quotePrefix = font, alignment, quoted
        if border is not None:
            cell.border = border
        if shown is not None:
            cell.number_format = shown
        # The look is kept with its style, so that what is known by its place in memory stays there.
        looks_of_book[key] = look, cell._style  # type: ignore[attr-defined] # no public way to it
    # A style of the cell's own, since it may be changed yet.
    cell._style = StyleArray(looks_of_book[key][1])  # type: ignore[attr-defined] # nor to set it


def new_book(job: Job, sheets: Sequence[str]) -> tuple[Workbook, list[Worksheet]]:
    """A workbook about a job, with empty sheets of these names."""
    book = Workbook()
    assert isinstance(book.active, Worksheet)
    book.remove(book.active)
    # Column widths are counted in digits of the default style's font.
    normal = book._named_styles["Normal"]  # type: ignore[attr-defined] # no public way to it
    normal.font = looks.PLAIN
    assert book.calculation is not None
    book.calculation.fullCalcOnLoad = True
    book.properties.title = clean(job.title)
    book.properties.creator = "shadewright"
    made = [book.create_sheet(name) for name in sheets]
    for sheet in made:
        _set_page(sheet, job)
    return book, made


def _set_page(sheet: Worksheet, job: Job) -> None:
    """Landscape, one page wide, with the job's title and the page's number."""
    sheet.page_setup.orientation = "landscape"
    sheet.page_setup.paperSize = 9 if job.metric else 1  # A4, or Letter
    sheet.sheet_properties.pageSetUpPr = PageSetupProperties(fitToPage=True)
    sheet.page_setup.fitToWidth = 1
    sheet.page_setup.fitToHeight = 0
    margins = sheet.page_margins
    margins.left = margins.right = 0.45
    margins.top, margins.bottom, margins.header, margins.footer = 0.7, 0.6, 0.3, 0.3
    title = brief(clean(job.title), 70).replace("&", "&&")
    assert sheet.oddHeader is not None
    assert sheet.oddFooter is not None
    sheet.oddHeader.left.text = title
    sheet.oddHeader.right.text = "&A"
    sheet.oddFooter.center.text = "Page &P of &N"
    sheet.sheet_view.showGridLines = False


def put_title(sheet: Worksheet, title: str, notes: Iterable[str], columns: int) -> int:
    """Title and notes across the sheet; gives the next free row."""
    put(sheet, 1, 1, title, font=looks.TITLE, alignment=looks.IN_LINE)
    sheet.row_dimensions[1].height = 24
    return put_lines(sheet, 2, notes, columns)


def put_lines(sheet: Worksheet, row: int, texts: Iterable[str], columns: int) -> int:
    """Texts below each other, each across the sheet; gives the next free row."""
    for text in texts:
        put_across(sheet, row, text, columns)
        row += 1
    return row


def put_across(sheet: Worksheet, row: int, text: str, columns: int, *, bold: bool = False) -> Cell:
    """A text over several columns, in a row high enough for it."""
    cell = put(sheet, row, 1, text, font=looks.BOLD if bold else looks.PLAIN)
    sheet.merge_cells(start_row=row, start_column=1, end_row=row, end_column=columns)
    width = sum(chars(sheet, c) for c in range(1, columns + 1))
    sheet.row_dimensions[row].height = looks.LINE * lines_of(text, width, bold=bold) + 4
    return cell


def set_widths(sheet: Worksheet, columns: Sequence[Column]) -> None:
    for number, column in enumerate(columns, 1):
        sheet.column_dimensions[get_column_letter(number)].width = column.width


def chars(sheet: Worksheet, column: int) -> float:
    return sheet.column_dimensions[get_column_letter(column)].width


def put_headings(sheet: Worksheet, row: int, columns: Sequence[Column]) -> TableRows:
    """Headings of a table; gives its rows, of which none is yet."""
    for number, column in enumerate(columns, 1):
        cell = put(sheet, row, number, column.heading, font=looks.HEADING)
        cell.fill = looks.HEAD
        cell.border = looks.BETWEEN_RULES
        cell.alignment = looks.HEADS[column.stands]
    deepest = max(lines_of(c.heading, chars(sheet, i)) for i, c in enumerate(columns, 1))
    sheet.row_dimensions[row].height = looks.LINE * deepest + 6
    return TableRows(sheet, row, len(columns), row)


def put_table(
    sheet: Worksheet, title: str, notes: Iterable[str], columns: Sequence[Column]
) -> TableRows:
    """Title, notes and headings of a sheet that is one table; gives its rows."""
    set_widths(sheet, columns)
    head = put_title(sheet, title, notes, len(columns))
    sheet.print_title_rows = f"{head}:{head}"
    sheet.freeze_panes = f"A{head + 1}"
    return put_headings(sheet, head, columns)


@dataclass
class TableRows:
    """The rows of a table while they are written.

    Attributes:
        head: number of the row of its headings.
        columns: how many it has.
        last: number of the row written last.
    """

    sheet: Worksheet
    head: int
    columns: int
    last: int

    @property
    def next(self) -> int:
        """Number of the row that is written next."""
        return self.last + 1

    def add(
        self,
        *contents: Content,
        bold: bool = False,
        special: Mapping[int, Special] | None = None,
    ) -> None:
        self.last += 1
        put_row(self.sheet, self.last, contents, bold=bold, special=special)

    def cells(self, column: str) -> str:
        """The cells of a column, as any sheet names them."""
        return f"{self.sheet.title}!${column}${self.head + 1}:${column}${self.last}"

    def over(self, function: str, column: str, shown: str) -> Value:
        """A function of all cells of a column."""
        cells = f"{column}{self.head + 1}:{column}{self.last}"
        return live(f"{function}({cells})", shown)

    def sums(self, columns: str, shown: str) -> list[Content]:
        return [self.over("SUM", column, shown) for column in columns]

    def end(self) -> None:
        """Let the sheet be printed down to here."""
        self.sheet.print_area = f"A1:{get_column_letter(self.columns)}{self.last}"


def put_row(
    sheet: Worksheet,
    row: int,
    contents: Sequence[Content],
    *,
    bold: bool = False,
    ruled_off: bool = False,
    special: Mapping[int, Special] | None = None,
) -> None:
    """A row of a table, ruled off below (and above) and high enough for its texts.

    Args:
        special: columns whose cells look otherwise.
    """
    deepest = 1
    for column, content in enumerate(contents, 1):
        its = special.get(column, _USUAL) if special else _USUAL
        font = its.font or (looks.BOLD if bold else looks.PLAIN)
        border = its.border or (looks.RULED_OFF if bold or ruled_off else looks.RULED)
        put(sheet, row, column, content, font=font, border=border, alignment=its.alignment)
        if isinstance(content, str):
            deepest = max(deepest, lines_of(content, chars(sheet, column), bold=bold))
    sheet.row_dimensions[row].height = looks.LINE * deepest + 6
