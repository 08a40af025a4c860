"""Titles, paragraphs and tables: what every sheet of every workbook is made of."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from openpyxl.utils import get_column_letter

from shadewright.report.sheets import looks
from shadewright.report.sheets.looks import Style
from shadewright.report.sheets.sheet import Column, Content, Sheet, Value, live


def put_title(sheet: Sheet, title: str, notes: Iterable[str]) -> int:
    """Title and notes across the sheet; gives the next free row."""
    sheet.put(1, 1, title, looks.TITLE, stands="left")
    return put_lines(sheet, 2, notes)


def put_lines(sheet: Sheet, row: int, texts: Iterable[str]) -> int:
    """Texts below each other, each across the sheet; gives the next free row."""
    for text in texts:
        sheet.put(row, 1, text, span=len(sheet.columns))
        row += 1
    return row


def put_section(sheet: Sheet, row: int, heading: str, lines: Iterable[str] = ()) -> int:
    """A heading across the sheet, and texts below it; gives the next free row."""
    sheet.put(row, 1, heading, looks.SECTION, span=len(sheet.columns))
    sheet.keep_with_next(row)
    return put_lines(sheet, row + 1, lines)


def put_headings(sheet: Sheet, row: int, columns: Sequence[Column]) -> TableRows:
    """Headings of a table; gives its rows, of which none is yet."""
    for number, column in enumerate(columns, 1):
        sheet.put(row, number, column.heading, looks.HEADING, stands=column.stands)
    sheet.keep_with_next(row)
    return TableRows(sheet, row, len(columns), row)


def put_table(
    sheet: Sheet, title: str, notes: Iterable[str], columns: Sequence[Column]
) -> TableRows:
    """Title, notes and headings of a sheet that is one table; gives its rows."""
    sheet.columns = columns
    head = put_title(sheet, title, notes)
    sheet.page.print_title_rows = f"{head}:{head}"
    sheet.page.freeze_panes = f"A{head + 1}"
    return put_headings(sheet, head, columns)


@dataclass
class TableRows:
    """The rows of a table while they are written.

    Attributes:
        head: number of the row of its headings.
        columns: how many it has.
        last: number of the row written last.
    """

    sheet: Sheet
    head: int
    columns: int
    last: int
    _numbers: list[dict[str, float]] = field(default_factory=list)

    @property
    def next(self) -> int:
        """Number of the row that is written next."""
        return self.last + 1

    def add(
        self,
        *contents: Content,
        style: Style = looks.ROW,
        special: Mapping[int, Style] | None = None,
    ) -> None:
        """Write a row.

        Args:
            special: columns whose cells look otherwise.
        """
        self.last += 1
        numbers: dict[str, float] = {}
        for column, content in enumerate(contents, 1):
            own = special.get(column, style) if special else style
            self.sheet.put(self.last, column, content, own)
            number = content.number if isinstance(content, Value) else content
            if isinstance(number, (int, float)):
                numbers[get_column_letter(column)] = number
        self._numbers.append(numbers)

    def cells(self, column: str) -> str:
        """The cells of a column, as any sheet names them."""
        return f"{self.sheet.called}!${column}${self.head + 1}:${column}${self.last}"

    def sum(self, column: str, shown: str) -> Value:
        """The sum of all cells of a column."""
        worth = sum(numbers.get(column, 0) for numbers in self._numbers)
        return live(f"SUM({self._own(column)})", shown, worth)

    def sums(self, columns: str, shown: str) -> list[Content]:
        return [self.sum(column, shown) for column in columns]

    def sum_of_all(self, many: str, column: str, shown: str) -> Value:
        """The sum of a column, where each row stands for as many as another column says."""
        worth = sum(row.get(many, 0) * row.get(column, 0) for row in self._numbers)
        return live(f"SUMPRODUCT({self._own(many)},{self._own(column)})", shown, worth)

    def span(self, column: str, first: int, last: int) -> Value:
        """The sum of some cells of a column in a formula of another sheet."""
        rows = range(first - self.head - 1, last - self.head)
        worth = sum(self._numbers[row].get(column, 0) for row in rows)
        cells = f"{self.sheet.called}!${column}${first}:${column}${last}"
        return live(f"SUM({cells})", looks.MONEY, worth)

    def named(self, column: str, row: int) -> Value:
        """A cell in a formula of another sheet."""
        worth = self._numbers[row - self.head - 1].get(column, 0)
        return live(f"{self.sheet.called}!${column}${row}", looks.MONEY, worth)

    def _own(self, column: str) -> str:
        """The cells of a column, as this sheet names them."""
        return f"{column}{self.head + 1}:{column}{self.last}"

    def end(self) -> None:
        """Let the sheet be printed down to here."""
        self.sheet.page.print_area = f"A1:{get_column_letter(self.columns)}{self.last}"
