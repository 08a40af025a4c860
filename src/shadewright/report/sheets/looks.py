"""How cells look: the named styles of every workbook, and how numbers are shown."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from openpyxl.styles import Alignment, Border, Font, NamedStyle, PatternFill, Side

TYPE = "Arial"
Stands = Literal["left", "center", "right"]

# How numbers are shown.
MONEY = "#,##0.00"
DECIMAL = "0.00##"
METRIC = "0.0##"
TENTHS = "0.0"
HUNDREDTHS = "0.00"
FRACTION = "# ?/??"
"""A length on an inch tape: 43 5/8."""
QUANTITY = "General"
"""As many digits as the column has room for."""
WHOLE = "#,##0"
COUNT = "0"
AREA = "0.000"
SHARE = "0.0%"

OFF_EDGE = "_W"
"""Ends the form of a number at the right of its column: as much room as a W stays free behind it.
Some programs forget to indent numbers; text beside them is indented as much."""

LINE = 13.0
"""Height of a line of usual text, in points."""
BESIDE_LINES = 2.5
"""What a row is higher than its lines."""


@dataclass(frozen=True)
class Style:
    """A named style of cells, as far as sheets need to know it.

    Attributes:
        size: of its type, in points.
        wraps: whether long text goes on in a next line.
    """

    name: str
    size: float = 10
    bold: bool = False
    fill: str = ""
    top: str = ""
    bottom: str = ""
    boxed: bool = False
    grey: bool = False
    indent: int = 0
    stands: Stands | None = None
    wraps: bool = True

    @property
    def line(self) -> float:
        """Height of a line of it, in points."""
        return max(LINE, LINE * (self.size - 1) / 10)

    def made(self) -> NamedStyle:
        """The style as a workbook holds it."""
        around = _LINES["box"] if self.boxed else None
        border = Border(
            top=around or _LINES.get(self.top),
            bottom=around or _LINES.get(self.bottom),
            left=around,
            right=around,
        )
        return NamedStyle(
            name=self.name,
            font=Font(
                name=TYPE, size=self.size, bold=self.bold, color="FF767676" if self.grey else None
            ),
            fill=PatternFill("solid", fgColor=self.fill) if self.fill else PatternFill(),
            border=border,
            alignment=self.aligned(self.stands),
        )

    def aligned(self, stands: Stands | None, *, number: bool = False) -> Alignment:
        """How its cells stand, at the left, in the middle or at the right; numbers never wrap."""
        return Alignment(
            wrap_text=self.wraps and not number,
            vertical="center",
            horizontal=stands,
            indent=self.indent if number else self.indented(stands),
        )

    def indented(self, stands: Stands | None) -> int:
        """Steps that its text keeps from the edge: what stands at the right keeps off what stands
        at the left of the next column, as numbers do by `OFF_EDGE`."""
        return max(self.indent, 1) if stands == "right" else self.indent


_LINES = {
    "hair": Side(style="hair", color="FF8C8C8C"),
    "rule": Side(style="thin", color="FF5A5A5A"),
    "box": Side(style="medium", color="FF222222"),
}

TITLE = Style("Sheet title", size=15, bold=True, wraps=False)
NOTE = Style("Note")
SECTION = Style("Section", bold=True, fill="FFE4EAE8")
GROUP = Style("Group", bold=True, bottom="hair")
HEADING = Style("Column heading", size=9, bold=True, fill="FFECE7DC", top="rule", bottom="rule")
ROW = Style("Row", bottom="hair")
FIRST_ROW = Style("First row of several", top="rule", bottom="hair")
INDENTED = Style("Indented row", bottom="hair", indent=1)
FIRST_INDENTED = Style("Indented first row", top="rule", bottom="hair", indent=1)
TOTAL = Style("Total", bold=True, top="rule", bottom="hair")
BOX = Style("Box to tick", boxed=True, stands="center")
MEASURE = Style("On the tape", size=11, bold=True, bottom="hair")
FIRST_MEASURE = Style("On the tape, first", size=11, bold=True, top="rule", bottom="hair")
FILL_IN = Style("To fill in", fill="FFFFF9E3", bottom="hair")
DONE = Style("Done", grey=True, bottom="hair", fill="FFF1F1F1")
CHANGED = Style("Changed", bottom="hair", fill="FFDCEBF7")
CHANGED_MEASURE = Style("On the tape, changed", size=11, bold=True, bottom="hair", fill="FFDCEBF7")
HIDDEN = Style("Key", wraps=False)

STYLES = (
    TITLE,
    NOTE,
    SECTION,
    GROUP,
    HEADING,
    ROW,
    FIRST_ROW,
    INDENTED,
    FIRST_INDENTED,
    TOTAL,
    BOX,
    MEASURE,
    FIRST_MEASURE,
    FILL_IN,
    DONE,
    CHANGED,
    CHANGED_MEASURE,
    HIDDEN,
)
