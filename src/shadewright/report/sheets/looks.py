"""How cells look: each look is made once and shared by all, as making one takes long."""

from __future__ import annotations

from openpyxl.styles import Alignment, Border, Font, PatternFill, Side

TYPE = "Arial"
HEAD = PatternFill("solid", fgColor="ECE7DC")
BAND = PatternFill("solid", fgColor="E4EAE8")
HAIR = Side(style="hair", color="8C8C8C")
RULE = Side(style="thin", color="5A5A5A")
BOX = Side(style="medium", color="222222")
RULED = Border(bottom=HAIR)
RULED_OFF = Border(top=RULE, bottom=HAIR)
BETWEEN_RULES = Border(top=RULE, bottom=RULE)
BOXED = Border(top=BOX, bottom=BOX, left=BOX, right=BOX)
PLAIN = Font(name=TYPE, size=10)
BOLD = Font(name=TYPE, size=10, bold=True)
LARGE = Font(name=TYPE, size=11, bold=True)
TITLE = Font(name=TYPE, size=15, bold=True)
HEADING = Font(name=TYPE, size=9, bold=True)
WRAPPED = Alignment(wrap_text=True, vertical="center")
INDENTED = Alignment(wrap_text=True, vertical="center", indent=1)
IN_LINE = Alignment(vertical="center")
CENTRED = Alignment(vertical="center", horizontal="center")
RIGHT = Alignment(vertical="center", horizontal="right")
HEADS = {
    stands: Alignment(wrap_text=True, vertical="center", horizontal=stands)
    for stands in ("left", "center", "right")
}
# How numbers are shown: each ends in a space as wide as a bracket, to keep it off the text beside
# it.
MONEY = "#,##0.00_)"
LENGTH = "0.00##_)"
QUANTITY = "General"
"""As many digits as the column has room for."""
COUNT = "0_)"
AREA = "0.000_)"
SHARE = "0.0%_)"
LINE = 13.5
"""Height of a line of text, in points."""
