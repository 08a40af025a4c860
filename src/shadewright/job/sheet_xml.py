"""The XML inside a workbook, one element at a time.

Each class here takes the elements of one kind of part and keeps what is of use. Names come without
their namespace, which the "strict" form of the format changes. Source: ECMA-376, part 1.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from datetime import datetime
from typing import Literal, NamedTuple

from openpyxl.styles.numbers import BUILTIN_FORMATS, is_date_format, is_timedelta_format
from openpyxl.utils import column_index_from_string, get_column_letter
from openpyxl.utils.datetime import from_excel

Attributes = Mapping[str, str]


class Taker:
    """Takes the elements of a part as they come, and leaves what it has no use for."""

    def start(self, name: str, attributes: Attributes) -> None: ...

    def end(self, name: str) -> None: ...

    def text(self, text: str) -> None: ...


class BookCell(NamedTuple):
    """A cell of a sheet.

    Attributes:
        row: from 1.
        column: from 1.
        value: a text, number, truth, date or time; None where the cell is blank.
        kind: "error" where `value` is a formula's error (``#DIV/0!``), "unworked" where a formula
            stands that no program has worked out yet.
        formula: whether a formula stands there, of which `value` is what it was worked out to.
    """

    row: int
    column: int
    value: object = None
    kind: Literal["value", "error", "unworked"] = "value"
    formula: bool = False

    @property
    def at(self) -> str:
        """As a spreadsheet names it: ``C5``."""
        return f"{get_column_letter(self.column)}{self.row}"

    @property
    def blank(self) -> bool:
        return self.value is None and self.kind == "value"


class Relations(Taker):
    """Which parts a part refers to: kind and target by the name of the reference."""

    def __init__(self) -> None:
        self.found: dict[str, tuple[str, str]] = {}

    def start(self, name: str, attributes: Attributes) -> None:
        if name == "Relationship" and attributes.get("TargetMode") != "External":
            kind = attributes.get("Type", "").rpartition("/")[2]
            self.found[attributes.get("Id", "")] = kind, attributes.get("Target", "")


class SheetList(Taker):
    """Titles of the sheets with the names of their references, and how days are counted."""

    def __init__(self) -> None:
        self.sheets: list[tuple[str, str]] = []
        self.from_1904 = False

    def start(self, name: str, attributes: Attributes) -> None:
        if name == "sheet":
            # The reference is in a namespace of its own: its name comes with that in front.
            ids = [value for key, value in attributes.items() if key.endswith(" id")]
            self.sheets.append((attributes.get("name", ""), ids[0] if ids else ""))
        elif name == "workbookPr":
            self.from_1904 = attributes.get("date1904", "0") in ("1", "true")


class Texts(Taker):
    """The texts that cells share; how a text is to be read aloud (`rPh`) is left out."""

    def __init__(self) -> None:
        self.texts: list[str] = []
        self._parts: list[str] = []
        self._aloud = 0
        self._in_text = False

    def start(self, name: str, _attributes: Attributes) -> None:
        self._aloud += name == "rPh"
        self._in_text = name == "t" and not self._aloud

    def end(self, name: str) -> None:
        self._aloud -= name == "rPh"
        self._in_text = False
        if name == "si":
            self.texts.append("".join(self._parts))
            self._parts.clear()

    def text(self, text: str) -> None:
        if self._in_text:
            self._parts.append(text)


class Formats(Taker):
    """The number format of each style of a cell."""

    def __init__(self) -> None:
        self._own: dict[int, str] = {}
        self._styles: list[int] = []
        self._in_cells = False

    def start(self, name: str, attributes: Attributes) -> None:
        if name == "numFmt":
            self._own[int(attributes["numFmtId"])] = attributes["formatCode"]
        elif name == "cellXfs":
            self._in_cells = True
        elif name == "xf" and self._in_cells:
            self._styles.append(int(attributes.get("numFmtId", "0")))

    def end(self, name: str) -> None:
        self._in_cells = self._in_cells and name != "cellXfs"

    def of(self, style: int) -> str:
        """The number format of a style."""
        if not 0 <= style < len(self._styles):
            return "General"
        number = self._styles[style]
        return self._own.get(number) or BUILTIN_FORMATS.get(number, "General")


class Rows(Taker):
    """The filled cells of a sheet, row by row; `take` gives the rows that are complete."""

    def __init__(self, texts: list[str], formats: Formats, epoch: datetime) -> None:
        self._shared, self._formats, self._epoch = texts, formats, epoch
        self._complete: list[list[BookCell]] = []
        self._row, self._column = 0, 0
        self._cells: list[BookCell] = []
        self._cell: Attributes = {}
        self._parts: list[str] = []
        self._in_value = self._formula = False
        self.merged: list[str] = []
        """Ranges of cells that are one, as in ``A2:A4``; they come behind all rows."""

    def take(self) -> list[list[BookCell]]:
        """The rows that have ended since the last call, and hold anything."""
        taken, self._complete = self._complete, []
        return taken

    def start(self, name: str, attributes: Attributes) -> None:
        match name:
            case "row":
                self._row = int(attributes.get("r") or self._row + 1)
                self._column = 0
            case "c":
                self._begin_cell(attributes)
            case "v" | "t":
                self._in_value = True
            case "f":
                self._formula = True
            case "mergeCell":
                self.merged.append(attributes.get("ref", ""))

    def end(self, name: str) -> None:
        match name:
            case "row":
                if self._cells:
                    self._complete.append(self._cells)
                    self._cells = []
            case "c":
                self._end_cell()
            case "v" | "t":
                self._in_value = False

    def text(self, text: str) -> None:
        if self._in_value:
            self._parts.append(text)

    def _begin_cell(self, attributes: Attributes) -> None:
        self._cell, self._formula = attributes, False
        self._parts.clear()
        self._column += 1
        if at := attributes.get("r"):
            found = re.fullmatch(r"([A-Z]{1,3})(\d{1,7})", at)
            if not found:
                raise ValueError(f"no cell is called {at}")
            self._column = column_index_from_string(found[1])
            self._row = int(found[2])

    def _end_cell(self) -> None:
        raw, kind = "".join(self._parts), self._cell.get("t", "n")
        if raw:
            value = self._value(raw, kind, int(self._cell.get("s", "0")))
            said: Literal["value", "error"] = "error" if kind == "e" else "value"
            self._cells.append(BookCell(self._row, self._column, value, said, self._formula))
        elif self._formula and kind != "str":  # a formula may well give an empty text
            self._cells.append(BookCell(self._row, self._column, None, "unworked", True))

    def _value(self, raw: str, kind: str, style: int) -> object:
        """What stands in a cell, by its text in the file, its type and its style."""
        if kind == "s":
            return self._shared[int(raw)] or None
        if kind == "b":
            return raw.strip() not in ("0", "false")
        if kind != "n":
            return raw
        form = self._formats.of(style)
        number = int(raw) if re.fullmatch(r"-?\d{1,15}", raw) else float(raw)
        if is_date_format(form):
            try:
                return from_excel(number, self._epoch, timedelta=is_timedelta_format(form))
            except (ValueError, OverflowError):
                return number  # no day has this number
        return number


def covered(ranges: Iterable[str], most_rows: int, columns: range) -> dict[tuple[int, int], str]:
    """Row and column of the cells that merged ranges cover, but for the first of each, with their
    ranges.

    Args:
        most_rows: that are looked at.
        columns: that are.
    """
    found: dict[tuple[int, int], str] = {}
    left = most_rows * len(columns)  # of a workbook that is none, ranges could overlap without end
    for text in ranges:
        ends = re.fullmatch(r"([A-Z]{1,3})(\d{1,7}):([A-Z]{1,3})(\d{1,7})", text)
        if not ends:
            continue
        first, last = (column_index_from_string(ends[at]) for at in (1, 3))
        top, bottom = int(ends[2]), int(ends[4])
        rows = range(top, min(bottom, most_rows) + 1)
        across = range(max(first, columns.start), min(last + 1, columns.stop))
        left -= len(rows) * len(across)
        if left < 0:
            break
        found |= {(row, column): text for row in rows for column in across}
        found.pop((top, first), None)
    return found
