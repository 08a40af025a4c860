"""A sheet while it is written: openpyxl keeps its page, and this its cells.

openpyxl makes an object of every cell and writes it as a tree of XML, which takes longer than
finding a plan where there are thousands. So cells are written here, as text. Source of the format:
ECMA-376, part 1, 18.3.

Text that comes from a job goes in as text, whatever sign it begins with.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from xml.sax.saxutils import escape

from openpyxl import Workbook
from openpyxl.cell import Cell
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.cell_range import CellRange, MultiCellRange
from openpyxl.worksheet.properties import Outline
from openpyxl.worksheet.worksheet import Worksheet

from shadewright.report.sheets import looks
from shadewright.report.sheets.letters import column_for, digits, lines_of, longest_word, room
from shadewright.report.sheets.looks import Stands, Style
from shadewright.report.sheets.paging import break_pages
from shadewright.report.work.words import clean


@dataclass(frozen=True)
class Formula:
    """A live formula, as against a text that begins with an equals sign."""

    text: str


@dataclass(frozen=True)
class Value:
    """A number, or a formula for one, and how it is shown.

    Attributes:
        what: None where one is to be typed in.
        worth: what a formula comes to, for programs that only show what is there.
    """

    what: float | Formula | None
    shown: str
    worth: float | None = None

    @property
    def number(self) -> float:
        """What it comes to; 0 where that is not known."""
        return (self.worth if isinstance(self.what, Formula) else self.what) or 0.0

    @property
    def formula(self) -> str:
        """Its formula, to be used in another."""
        assert isinstance(self.what, Formula)
        return self.what.text


Content = str | int | float | Value | None


def live(formula: str, shown: str, worth: float) -> Value:
    """A number that a formula works out."""
    return Value(Formula(formula), shown, worth)


@dataclass(frozen=True)
class Column:
    """A column of a sheet.

    Attributes:
        least: it is at least so many digits wide.
        most: and no wider than this, whatever stands in it; texts are wrapped.
    """

    heading: str
    least: float = 4
    most: float = 20
    stands: Stands = "left"


# Spaces that no line may break at: before a fraction, and between a number and its unit.
_TOGETHER = re.compile(r"(?<=\d) (?=\d+/\d|(?:yd|cm|mm|m|in)\b)|(?<=yd) (?=\d)|(?<=sq) (?=yd)")


@lru_cache(maxsize=20_000)
def kept_together(text: str) -> str:
    """A text on one line, whose fractions and units stay with their numbers where it is broken."""
    return _TOGETHER.sub("\xa0", clean(text))


_BESIDE: dict[str, Stands] = {"right": "right", "center": "center"}
"""How text stands in a column of numbers."""

_Placed = tuple[int, Content, Style, int, int]
"""A cell: its column, what stands there, its style, the number of its look, and over how many
columns its text may run. There are many, so it is no class."""


@dataclass
class Sheet:
    """The cells of a sheet, its rows as high and its columns as wide as what stands in them.

    Attributes:
        page: the sheet's page, as openpyxl keeps it.
    """

    page: Worksheet
    styles: StyleNumbers
    columns: Sequence[Column] = ()
    _rows: dict[int, list[_Placed]] = field(default_factory=dict)
    _heights: dict[int, float] = field(default_factory=dict)
    _levels: dict[int, int] = field(default_factory=dict)
    _with_next: set[int] = field(default_factory=set)
    _widths: list[float] = field(default_factory=list)
    _merged: list[CellRange] = field(default_factory=list)

    @property
    def title(self) -> str:
        return self.page.title

    @property
    def called(self) -> str:
        """Its title, as formulas of other sheets write it."""
        return f"'{self.title}'" if " " in self.title else self.title

    @property
    def last(self) -> int:
        """Number of the last row that holds anything."""
        return max(self._rows, default=0)

    def put(
        self,
        row: int,
        column: int,
        content: Content,
        style: Style = looks.NOTE,
        *,
        stands: Stands | None = None,
        span: int = 1,
    ) -> None:
        """Write a cell; where it is not said how it stands, numbers are at the right and counts in
        the middle."""
        shown, quoted = None, False
        if isinstance(content, str):
            if stands is None and column <= len(self.columns) and span == 1:
                stands = _BESIDE.get(self.columns[column - 1].stands)
            content = kept_together(content)
            # Still text when the cell is edited.
            quoted = content[:1] in ("=", "+", "-", "@")
        elif isinstance(content, Value):
            shown = content.shown
            stands = stands or ("center" if shown == looks.COUNT else "right")
        elif content is not None:
            stands = stands or "center"
        look = self.styles.of(style, shown, stands, quoted)
        self._rows.setdefault(row, []).append((column, content, style, look, span))
        if span > 1:
            self._merged.append(CellRange(None, column, row, column + span - 1, row))

    def set_height(self, row: int, height: float) -> None:
        """Make a row this many points high, whatever stands in it."""
        self._heights[row] = height

    def keep_with_next(self, row: int) -> None:
        """Let no page end with this row, if it can be helped."""
        self._with_next.add(row)

    def set_level(self, row: int) -> None:
        """Let a row be folded away below the one before it."""
        self._levels[row] = 1

    def finish(self) -> None:
        """Give columns their widths and rows their heights."""
        self._set_widths()
        self._set_heights()
        break_pages(self.page, self._heights, self._widths, self._with_next)
        # To add them one by one takes the square of their number.
        self.page.merged_cells = MultiCellRange(self._merged)
        if self._levels:
            self.page.sheet_properties.outlinePr = Outline(summaryBelow=False)
            self.page.sheet_format.outlineLevelRow = 1

    def _set_widths(self) -> None:
        needed = [_heading_needs(column) for column in self.columns]
        enough = [room(column.most) for column in self.columns]
        for cells in self._rows.values():
            for column, content, style, _, span in cells:
                at = column - 1
                if span == 1 and column <= len(needed) and needed[at] < enough[at]:
                    needed[at] = max(needed[at], _needs(content, style))
        self._widths = [
            min(max(column_for(wide), column.least), column.most)
            for wide, column in zip(needed, self.columns, strict=True)
        ]
        for number, width in enumerate(self._widths, 1):
            self.page.column_dimensions[get_column_letter(number)].width = round(width, 2)

    def _set_heights(self) -> None:
        rooms = list(map(room, self._widths))
        for row, cells in self._rows.items():
            if row in self._heights:
                continue
            high = 0.0
            for column, content, style, _, span in cells:
                lines = 1
                if isinstance(content, str) and style.wraps:
                    indent = self._indent(column, style, span)
                    if span == 1 and not indent and column <= len(rooms):
                        wide = rooms[column - 1]
                    else:
                        spanned = sum(self._widths[column - 1 : column - 1 + span])
                        wide = room(spanned - _BEYOND_ROOM * indent)
                    lines = lines_of(content, wide, bold=style.bold, size=style.size)
                high = max(high, style.line * lines)
            self._heights[row] = high + looks.BESIDE_LINES

    def _indent(self, column: int, style: Style, span: int) -> int:
        """Steps that a text keeps from the edge of its cell."""
        if span > 1 or column > len(self.columns):
            return style.indent
        return style.indented(self.columns[column - 1].stands)

    def xml(self) -> str:
        """The sheet's rows as they stand in its file."""
        parts = ["<sheetData>"]
        letters = [get_column_letter(n) for n in range(1, len(self.columns) + 2)]
        for row in sorted(self._rows | self._heights):
            level = ' outlineLevel="1"' if row in self._levels else ""
            height = (
                f' ht="{self._heights[row]:g}" customHeight="1"' if row in self._heights else ""
            )
            parts.append(f'<row r="{row}"{height}{level}>')
            for column, content, _, look, _ in self._rows.get(row, ()):
                parts.append(_cell_xml(f"{letters[column - 1]}{row}", content, look))
            parts.append("</row>")
        parts.append("</sheetData>")
        return "".join(parts)


_INDENT, _BEYOND_ROOM = 1.6, 0.6
"""Digits that a step of indenting takes, and how many of them are not among what `room` leaves free
anyway."""


def _heading_needs(column: Column) -> float:
    """Digits that a heading needs: it may break into some lines, but not within a word."""
    style, text = looks.HEADING, kept_together(column.heading)
    needed = longest_word(text, bold=style.bold, size=style.size)
    while lines_of(text, needed, bold=style.bold, size=style.size) > _HEADING_LINES:
        needed += 1
    return needed + _INDENT * style.indented(column.stands)


_HEADING_LINES = 3


def _needs(content: Content, style: Style) -> float:
    """Digits that a cell's content takes on one line."""
    if isinstance(content, Value):
        return _number_needs(int(content.number), content.shown, style.bold, style.size)
    text = "" if content is None else str(content)
    if style is looks.HEADING or not text or (not style.wraps and isinstance(content, str)):
        return 0.0
    return digits(text, style.bold, style.size) + _INDENT * max(style.indent, 1)


@lru_cache(maxsize=20_000)
def _number_needs(whole: int, form: str, bold: bool, size: float) -> float:
    """Digits that a number takes whose whole part this is."""
    return digits(shown_as(whole, form), bold, size) + _INDENT


def shown_as(number: float, form: str) -> str:
    """About how a number is shown, for the room it takes."""
    if form == looks.FRACTION:
        return f"{number:.0f} 15/16"
    if form == looks.METRIC:
        return f"{number:.1f}"
    if form == looks.SHARE:
        return f"{number:.1%}"
    return f"{number:,.{_PLACES.get(form, 4)}f}"


_PLACES = {looks.MONEY: 2, looks.QUANTITY: 3, looks.AREA: 3, looks.COUNT: 0, looks.WHOLE: 0}
"""Digits behind the point, by how numbers are shown."""


def _cell_xml(at: str, content: Content, look: int) -> str:
    begin = f'<c r="{at}" s="{look}"'
    if content is None or content == "" or (isinstance(content, Value) and content.what is None):
        return f"{begin}/>"
    if isinstance(content, str):
        return f'{begin} t="inlineStr"><is><t>{escape(content)}</t></is></c>'
    if isinstance(content, Value) and isinstance(content.what, Formula):
        worth = "" if content.worth is None else f"<v>{content.worth!r}</v>"
        return f"{begin}><f>{escape(content.what.text)}</f>{worth}</c>"
    number = content.what if isinstance(content, Value) else content
    return f"{begin}><v>{number!r}</v></c>"


class StyleNumbers:
    """The numbers that a workbook has for the looks of its cells.

    Each look is made once, as a cell of a sheet that is not kept.
    """

    def __init__(self, book: Workbook) -> None:
        self._book = book
        self._numbers: dict[tuple[str, str | None, str | None, bool], int] = {}
        for style in looks.STYLES:
            book.add_named_style(style.made())

    def of(self, style: Style, shown: str | None, stands: Stands | None, quoted: bool) -> int:
        """The number of a style with a way to show numbers, a place, and whether text is quoted."""
        key = style.name, shown, stands, quoted
        if key not in self._numbers:
            scratch = self._book.create_sheet()
            cell = scratch.cell(1, 1)
            assert isinstance(cell, Cell)
            cell.style = style.name
            if shown is not None:
                cell.number_format = f"{shown}{looks.OFF_EDGE}" if stands == "right" else shown
            if stands is not None:
                cell.alignment = style.aligned(stands, number=shown is not None)
            cell.quotePrefix = quoted
            self._numbers[key] = cell.style_id
            self._book.remove(scratch)
        return self._numbers[key]
