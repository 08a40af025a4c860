"""The workbook a helper gets: what to read first, every cut to tick off, and what to buy.

All sums are live formulas over exact numbers, so that a reader can check them or ask "what if".
Text that comes from the job goes in as text, whatever sign it begins with.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from io import BytesIO
from math import ceil
from pathlib import Path
from typing import Literal
from unicodedata import east_asian_width

from openpyxl import Workbook
from openpyxl.cell import Cell
from openpyxl.drawing.image import Image
from openpyxl.styles import Alignment, Border, Font, PatternFill, Side
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.pagebreak import Break
from openpyxl.worksheet.properties import PageSetupProperties
from openpyxl.worksheet.worksheet import Worksheet

from shadewright.cloth.plan import Panel, Plan, Shade
from shadewright.job.model import Job
from shadewright.measure import TICKS, Ticks
from shadewright.report.cautions import CAUTIONS
from shadewright.report.cuts import Cut, PieceLay, beginning, cuts, lay_out, least_offcut, offcuts
from shadewright.report.picture import draw_roll, png_bytes
from shadewright.report.words import (
    GOALS,
    brief,
    clean,
    count,
    divisions,
    goal_bound,
    goal_value,
    has_prices,
    met,
    verdict,
)
from shadewright.trade.naive import Naive

SHEETS = (
    "Read first",
    "Cutting order",
    "Panels",
    "Shades",
    "Buy",
    "Roll map",
    "Leftovers",
)

_TYPE = "Arial"
_HEAD = PatternFill("solid", fgColor="ECE7DC")
_BAND = PatternFill("solid", fgColor="E4EAE8")
_HAIR = Side(style="hair", color="8C8C8C")
_RULE = Side(style="thin", color="5A5A5A")
_BOX = Side(style="medium", color="222222")
_WRAPPED = Alignment(wrap_text=True, vertical="center")
# Each ends in a space as wide as a bracket, to keep a number off the text beside it.
_MONEY = "#,##0.00_)"
_LENGTH = "0.00##_)"
_QUANTITY = "General_)"
_COUNT = "0_)"
_AREA = "0.000_)"
_SHARE = "0.0%_)"
_LINE = 13.5
"""Height of a line of text, in points."""


@dataclass(frozen=True)
class _Formula:
    """A live formula, as against a text that begins with an equals sign."""

    text: str


@dataclass(frozen=True)
class _Value:
    """A number, or a formula for one, and how it is shown."""

    what: float | _Formula
    shown: str


@dataclass(frozen=True)
class _Column:
    """A column of a sheet: its heading, its width in digits, and how its contents stand."""

    heading: str
    width: float
    stands: Literal["left", "center", "right"] = "left"


_Content = str | int | float | _Formula | _Value | None


@dataclass(frozen=True)
class _Refs:
    """Cells that the first sheet quotes."""

    shades: str
    buy: dict[str, str]
    cost: str
    notepad: str | None
    waste: str


def write_workbook(path: Path, job: Job, plan: Plan, naive: Naive | None) -> None:
    """Write the plan as a workbook; `path` is overwritten.

    `naive` is what the notepad way would buy, None where it cannot be worked out.

    Raises:
        OSError: the file cannot be written.
    """
    book = Workbook()
    assert isinstance(book.active, Worksheet)
    book.remove(book.active)
    # Column widths are counted in digits of the default style's font.
    normal = book._named_styles["Normal"]  # type: ignore[attr-defined] # no public way to it
    normal.font = Font(name=_TYPE, size=10)
    first, order, panels, shades, buy, roll, left = (book.create_sheet(name) for name in SHEETS)
    lays = lay_out(job, plan)
    for sheet in (first, order, panels, shades, buy, roll, left):
        _page(sheet, job)
    _cutting_order(order, job, lays)
    areas = _panels(panels, job, lays)
    shade_count = _shades(shades, job, plan)
    money = _buy(buy, job, plan, naive, shade_count)
    _roll_map(roll, job, plan)
    waste = _leftovers(left, job, lays, areas)
    _read_first(first, job, plan, _Refs(shade_count, *money, waste))
    assert book.calculation is not None
    book.calculation.fullCalcOnLoad = True
    book.properties.title = clean(job.title)
    book.properties.creator = "shadewright"
    book.save(path)


# --- Cells and pages ----------------------------------------------------------------------------


def _put(sheet: Worksheet, row: int, column: int, content: _Content) -> Cell:
    cell = sheet.cell(row, column)
    assert isinstance(cell, Cell)
    cell.font = Font(name=_TYPE, size=10)
    cell.alignment = _WRAPPED
    shown: str | None = None
    counts = isinstance(content, int)
    if isinstance(content, _Value):
        shown = content.shown
        content = content.what
    if isinstance(content, _Formula):
        cell.value = f"={content.text}"
    elif isinstance(content, str):
        text = clean(content)
        cell.value = text
        # Never a formula nor an error value, and still text when the cell is edited.
        cell.data_type = "s"
        cell.quotePrefix = text[:1] in ("=", "+", "-", "@")
    elif content is not None:
        cell.value = content
    if shown is not None:
        cell.number_format = shown
    if counts:
        cell.alignment = Alignment(vertical="center", horizontal="center")
    elif not isinstance(content, str):
        cell.alignment = Alignment(vertical="center", horizontal="right")
    return cell


def _page(sheet: Worksheet, job: Job) -> None:
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


def _title(sheet: Worksheet, title: str, notes: Iterable[str], columns: int) -> int:
    """Title and notes across the sheet; gives the next free row."""
    cell = _put(sheet, 1, 1, title)
    cell.font = Font(name=_TYPE, size=15, bold=True)
    cell.alignment = Alignment(vertical="center")
    sheet.row_dimensions[1].height = 24
    row = 2
    for note in notes:
        _across(sheet, row, note, columns)
        row += 1
    return row


def _across(sheet: Worksheet, row: int, text: str, columns: int, *, bold: bool = False) -> Cell:
    """A text over several columns, in a row high enough for it."""
    cell = _put(sheet, row, 1, text)
    cell.font = Font(name=_TYPE, size=10, bold=bold)
    sheet.merge_cells(start_row=row, start_column=1, end_row=row, end_column=columns)
    width = sum(_chars(sheet, c) for c in range(1, columns + 1))
    sheet.row_dimensions[row].height = _LINE * _lines(text, width, bold=bold) + 4
    return cell


def _widths(sheet: Worksheet, columns: Sequence[_Column]) -> None:
    for number, column in enumerate(columns, 1):
        sheet.column_dimensions[get_column_letter(number)].width = column.width


def _chars(sheet: Worksheet, column: int) -> float:
    return sheet.column_dimensions[get_column_letter(column)].width


def _lines(text: str, width: float, *, bold: bool = False) -> int:
    """Lines a wrapped text takes in a column `width` digits wide, rather one too many."""
    # A cell keeps most of a digit's width free at its sides.
    room = max(width - 0.8, 1) / (1.15 if bold else 1.06)
    lines, used = 1, 0.0
    for word in text.split():
        long = sum(map(_digits, word))
        if used and used + _digits(" ") + long > room:
            lines, used = lines + 1, 0.0
        # A word longer than a line is broken wherever the line ends.
        lines += int(long // room)
        used += (_digits(" ") if used else 0) + long % room
    return lines


def _digits(sign: str) -> float:
    """About how wide a sign prints, counted in digits of the same type."""
    if east_asian_width(sign) in "WF":
        return 2
    if sign in " iljtfrI.,:;'\"|!()[]/-":
        return 0.58
    if sign in "mwMW@%":
        return 1.6
    return 1.25 if sign.isupper() else 1


def _headings(sheet: Worksheet, row: int, columns: Sequence[_Column]) -> None:
    for number, column in enumerate(columns, 1):
        cell = _put(sheet, row, number, column.heading)
        cell.font = Font(name=_TYPE, size=9, bold=True)
        cell.fill = _HEAD
        cell.border = Border(top=_RULE, bottom=_RULE)
        cell.alignment = Alignment(wrap_text=True, vertical="center", horizontal=column.stands)
    deepest = max(_lines(c.heading, _chars(sheet, i)) for i, c in enumerate(columns, 1))
    sheet.row_dimensions[row].height = _LINE * deepest + 6


def _table(sheet: Worksheet, title: str, notes: Iterable[str], columns: Sequence[_Column]) -> int:
    """Title, notes and headings of a sheet that is one table; gives the row of its headings."""
    _widths(sheet, columns)
    head = _title(sheet, title, notes, len(columns))
    _headings(sheet, head, columns)
    sheet.print_title_rows = f"{head}:{head}"
    sheet.freeze_panes = f"A{head + 1}"
    return head


def _row(sheet: Worksheet, row: int, contents: Sequence[_Content], *, bold: bool = False) -> None:
    """A row of a table, ruled off below and high enough for its texts."""
    deepest = 1
    for column, content in enumerate(contents, 1):
        cell = _put(sheet, row, column, content)
        cell.font = Font(name=_TYPE, size=10, bold=bold)
        cell.border = Border(top=_RULE if bold else None, bottom=_HAIR)
        if isinstance(content, str):
            deepest = max(deepest, _lines(content, _chars(sheet, column), bold=bold))
    sheet.row_dimensions[row].height = _LINE * deepest + 6


def _unit(job: Job) -> str:
    return "cm" if job.metric else "in"


def _number(job: Job, length: Ticks) -> float:
    return length / TICKS["cm" if job.metric else "in"]


def _area(job: Job) -> tuple[str, int]:
    """The unit of area, and how many square inches (or centimetres) it holds."""
    return ("m²", 10_000) if job.metric else ("sq yd", 1296)


# --- Read first ---------------------------------------------------------------------------------


_FIRST = (
    _Column("In this order", 30),
    _Column("This plan", 18),
    _Column("No plan can beat", 18),
    _Column("Given the lines above it", 64),
)

_HOW_TO = (
    "Buy what the Buy sheet says, then lay the cloth right side up with the start of the piece at "
    "your left hand. The edge next to you is the near edge, as on the Roll map.",
    "Before cutting, mark the cuts across the piece along one edge, all from zero without lifting "
    "the tape; do the same along each drop. Small errors then do not add up.",
    "Work down the Cutting order and tick each box. Never cut what is not yet ticked above.",
    "When a panel comes free, pin a slip on it with its number, and mark its top.",
    "Make up each shade by its row on the Shades sheet; keep the larger leftovers for repairs.",
)


def _read_first(sheet: Worksheet, job: Job, plan: Plan, refs: _Refs) -> None:
    columns = len(_FIRST)
    _widths(sheet, _FIRST)
    row = _title(sheet, clean(job.title), ("A cutting plan for roll-up shades.",), columns)
    row = _section(sheet, row, "In all", columns)
    _row(sheet, row, ("Shades to make", _Value(_Formula(refs.shades), _COUNT), "", ""))
    for cloth, cell in refs.buy.items():
        row += 1
        length = _Value(_Formula(cell), _QUANTITY)
        words = job.tape.cloth(plan.totals.bought[cloth])
        _row(sheet, row, (f"Buy of {cloth}", length, job.tape.cloth_unit, words))
    if plan.totals.cost:
        row += 1
        note = "" if has_prices(job, plan) else "without the cloth that has no price"
        _row(sheet, row, ("Money", _Value(_Formula(refs.cost), _MONEY), "", note))
    if refs.notepad is not None and has_prices(job, plan):
        row += 1
        saved = _Value(_Formula(f"{refs.notepad}-{refs.cost}"), _MONEY)
        _row(sheet, row, ("Saved against the notepad way", saved, "", "see the Buy sheet"))
    row += 1
    note = "of the usable cloth cut into"
    _row(sheet, row, ("Waste", _Value(_Formula(refs.waste), _SHARE), "", note))
    row = _section(sheet, row + 2, "What each opening gets", columns)
    for name, told in divisions(job, plan):
        _pair(sheet, row, name, told)
        row += 1
    how_to = [f"{i}. {line}" for i, line in enumerate(_HOW_TO, 1)]
    row = _paragraphs(sheet, row + 1, "How to use this workbook", how_to)
    row = _paragraphs(sheet, row + 1, "Cautions", CAUTIONS)
    row = _proof(sheet, row + 1, job, plan)
    if job.notes:
        row = _paragraphs(sheet, row + 1, "Notes on the job", job.notes)
    sheet.print_area = f"A1:D{row - 1}"


def _proof(sheet: Worksheet, row: int, job: Job, plan: Plan) -> int:
    row = _section(sheet, row, "How good this plan is", len(_FIRST))
    _across(sheet, row, verdict(job, plan), len(_FIRST))
    row += 1
    _headings(sheet, row, _FIRST)
    for goal in plan.proof.goals:
        row += 1
        judged = "proved: nothing does better" if met(goal) else "not proved: one may do better"
        value = goal_value(job, goal, goal.value)
        _row(sheet, row, (GOALS[goal.goal], value, goal_bound(job, goal), judged))
    return row + 1


def _paragraphs(sheet: Worksheet, row: int, heading: str, lines: Iterable[str]) -> int:
    row = _section(sheet, row, heading, len(_FIRST))
    for line in lines:
        _across(sheet, row, line, len(_FIRST))
        row += 1
    return row


def _section(sheet: Worksheet, row: int, heading: str, columns: int) -> int:
    cell = _across(sheet, row, heading, columns, bold=True)
    cell.fill = _BAND
    return row + 1


def _pair(sheet: Worksheet, row: int, name: str, told: str) -> None:
    """A name in the first column, and what is said of it over the rest."""
    _row(sheet, row, (name, told, "", ""))
    sheet.merge_cells(start_row=row, start_column=2, end_row=row, end_column=4)
    room = sum(_chars(sheet, c) for c in (2, 3, 4))
    deepest = max(_lines(name, _chars(sheet, 1)), _lines(told, room))
    sheet.row_dimensions[row].height = _LINE * deepest + 6


# --- Cutting order ------------------------------------------------------------------------------


def _cutting_order(sheet: Worksheet, job: Job, lays: list[PieceLay]) -> None:
    unit = _unit(job)
    columns = (
        _Column("Done", 6, "center"),
        _Column("Step", 5, "center"),
        _Column("Piece", 12),
        _Column("What to do", 45),
        _Column("Measure from", 18),
        _Column("At", 13),
        _Column(f"At, {unit}", 10, "right"),
        _Column("Comes free", 23),
        _Column(f"Cut off so far, {unit}", 10, "right"),
        _Column(f"Left on the piece, {unit}", 11, "right"),
    )
    note = (
        "Lay the cloth right side up with the start of the piece at your left hand. Distances from "
        "the near edge count the selvedge in. All distances run from zero, to the nearest mark of "
        "the tape."
    )
    head = _table(sheet, "Cutting order", [note], columns)
    row, step = head, 0
    for i, lay in enumerate(lays):
        if i:
            sheet.row_breaks.append(Break(id=row))
        row = _piece_heading(sheet, row + 1, job, lay)
        length = f"$J${row - 1}"
        before = None
        for cut in cuts(job, lay):
            row += 1
            step += 1
            so_far = f"G{row}" if cut.kind == "across the piece" else before or "0"
            _cut_row(sheet, row, job, lay, cut, step=step, so_far=so_far, length=length)
            before = f"I{row}"
    sheet.print_area = f"A1:J{row}"


def _piece_heading(sheet: Worksheet, row: int, job: Job, lay: PieceLay) -> int:
    """Two rows that name a piece; the first holds its length. Gives the second's number."""
    tape, use = job.tape, lay.use
    length = tape.cloth(use.length) if use.bought else tape.long(use.length)
    name = (
        f"{use.cloth}, {use.piece}: {tape.short(lay.cloth.width)} wide, {length} long, "
        f"{count(len(lay.drops), 'drop')}, {count(len(lay.panels), 'panel')}"
    )
    _across(sheet, row, name, 9, bold=True)
    total = _put(sheet, row, 10, _Value(_number(job, use.length), _LENGTH))
    total.font = Font(name=_TYPE, size=10, bold=True)
    for column in range(1, 11):
        sheet.cell(row, column).fill = _BAND
    _across(sheet, row + 1, beginning(job, lay), 10)
    return row + 1


def _cut_row(
    sheet: Worksheet,
    row: int,
    job: Job,
    lay: PieceLay,
    cut: Cut,
    *,
    step: int,
    so_far: str,
    length: str,
) -> None:
    """One cut; `so_far` and `length` are the cells of what is cut off and of the piece's length."""
    along = cut.kind == "across the piece"
    at = job.tape.long(cut.at) if along else job.tape.short(cut.at)
    contents: list[_Content] = [
        None,
        step,
        f"{lay.use.cloth}, {lay.use.piece}",
        cut.what,
        cut.measured_from,
        at,
        _Value(_number(job, cut.at), _LENGTH),
        "; ".join(f"{p.number}: {_called(p.panel)}" for p in cut.makes),
        _Value(_Formula(so_far), _LENGTH),
        _Value(_Formula(f"{length}-I{row}"), _LENGTH),
    ]
    _row(sheet, row, contents, bold=False)
    sheet.cell(row, 1).border = Border(top=_BOX, bottom=_BOX, left=_BOX, right=_BOX)
    sheet.cell(row, 6).font = Font(name=_TYPE, size=11, bold=True)
    if along:
        for column in range(2, 11):
            sheet.cell(row, column).border = Border(top=_RULE, bottom=_HAIR)


def _called(panel: Panel) -> str:
    return panel.shade + (" lining" if panel.part == "lining" else "")


# --- Panels -------------------------------------------------------------------------------------


def _panels(sheet: Worksheet, job: Job, lays: list[PieceLay]) -> list[str]:
    """Gives the cells that hold the areas of each piece's panels."""
    unit, (area, per) = _unit(job), _area(job)
    columns = (
        _Column("No.", 5, "center"),
        _Column("Shade", 22),
        _Column("Part", 7),
        _Column("Cloth", 11),
        _Column("Piece", 9),
        _Column("Drop", 6, "center"),
        _Column("Cut width × length", 20),
        _Column("How it lies", 26),
        _Column("From the start of the piece", 14),
        _Column("From the near edge", 10),
        _Column(f"Across, {unit}", 9, "right"),
        _Column(f"Along, {unit}", 9, "right"),
        _Column(f"Area, {area}", 9, "right"),
    )
    note = (
        "Every rectangle of cloth, by the number it has in the cutting order. Its place is that of "
        "the corner next to the start of the piece and the near edge, selvedge counted."
    )
    head = _table(sheet, "Panels", [note], columns)
    row = head
    areas = []
    for lay in lays:
        areas.append(f"Panels!$M${row + 1}:$M${row + len(lay.panels)}")
        for numbered in lay.panels:
            row += 1
            panel = numbered.panel
            lies = (
                "railroaded, top to the near edge"
                if panel.railroaded
                else "up the bolt, top to the start"
            )
            _row(
                sheet,
                row,
                (
                    numbered.number,
                    panel.shade,
                    panel.part,
                    panel.cloth,
                    panel.piece,
                    panel.drop,
                    _cut_size(job, panel),
                    lies,
                    job.tape.long(panel.y),
                    job.tape.short(panel.x + lay.cloth.selvedge),
                    _Value(_number(job, panel.across), _LENGTH),
                    _Value(_number(job, panel.along), _LENGTH),
                    _Value(_Formula(f"K{row}*L{row}/{per}"), _AREA),
                ),
            )
    first, last = head + 1, row
    row += 1
    total = _Value(_Formula(f"SUM(M{first}:M{last})"), _AREA)
    panels = _Value(_Formula(f"COUNT(A{first}:A{last})"), _COUNT)
    _row(sheet, row, (panels, "panels in all", *[""] * 10, total), bold=True)
    sheet.cell(row, 1).alignment = Alignment(vertical="center", horizontal="center")
    sheet.print_area = f"A1:M{row}"
    return areas


def _cut_size(job: Job, panel: Panel) -> str:
    """Width by length of the shade's panel, whichever way it lies."""
    sides = (panel.along, panel.across) if panel.railroaded else (panel.across, panel.along)
    return " × ".join(job.tape.short(side) for side in sides)


# --- Shades -------------------------------------------------------------------------------------


def _shades(sheet: Worksheet, job: Job, plan: Plan) -> str:
    """Gives the cell that counts the shades."""
    columns = (
        _Column("Shade", 20),
        _Column("Opening", 16),
        _Column("Place, from the left", 9),
        _Column("Left edge, from the opening's left", 12),
        _Column("Finished width × length", 19),
        _Column("Cut width × length", 19),
        _Column("Sides", 16),
        _Column("Turn under, top and bottom", 10),
        _Column("Pockets, flat: board, rod", 14),
        _Column("Board and rod length", 10),
        _Column("Cord draws at", 8),
    )
    make = job.make
    tape = job.tape
    notes = ["How each shade is made up. Pocket depths are measured flat, without board or rod."]
    if any(shade.left < 0 for shade in plan.shades):
        notes.append("A left edge with a minus lies that far outside the opening.")
    if any(job.cloth(p.cloth).shrink_down or job.cloth(p.cloth).shrink_across for p in plan.panels):
        notes.append(
            "Cut sizes allow for shrinking: cut the panels, wash and press them, then measure and "
            "make up."
        )
    head = _table(sheet, "Shades", notes, columns)
    if make.lining:
        sides = f"{tape.short(make.seam)} seam, lined"
    else:
        times = "twice" if make.side_folds == 2 else "once"
        sides = f"fold {tape.short(make.side_fold)} {times}"
    row = head
    for shade in plan.shades:
        row += 1
        _row(
            sheet,
            row,
            (
                shade.id,
                shade.opening + (f", copy {shade.copy_}" if _copied(job, shade) else ""),
                f"{shade.place} of {shade.of}",
                tape.short(shade.left),
                f"{tape.short(shade.finished_width)} × {tape.short(shade.finished_length)}",
                _cut_sizes(job, plan, shade),
                sides,
                tape.short(make.turn_under),
                f"{tape.short(make.board_pocket)}, {tape.short(make.rod_pocket)}",
                tape.short(shade.finished_width - make.stick_short),
                shade.draw,
            ),
        )
    first, last = head + 1, row
    row += 1
    total = _Value(_Formula(f"COUNTA(A{first}:A{last})"), _COUNT)
    _row(sheet, row, ("Shades in all", total, *[""] * 9), bold=True)
    sheet.print_area = f"A1:K{row}"
    return f"Shades!$B${row}"


def _copied(job: Job, shade: Shade) -> bool:
    return any(o.name == shade.opening and o.copies > 1 for o in job.openings)


def _cut_sizes(job: Job, plan: Plan, shade: Shade) -> str:
    """Cut size of a shade's panels; the lining's is told where it differs."""
    sizes = {p.part: _cut_size(job, p) for p in plan.panels if p.shade == shade.id}
    if sizes.get("lining", sizes["face"]) == sizes["face"]:
        return sizes["face"]
    return f"face {sizes['face']}; lining {sizes['lining']}"


# --- Buy ----------------------------------------------------------------------------------------


def _buy(
    sheet: Worksheet, job: Job, plan: Plan, naive: Naive | None, shade_count: str
) -> tuple[dict[str, str], str, str | None]:
    """Gives the cells of lengths to buy, of the money in all, and of the notepad way's money."""
    unit = job.tape.cloth_unit
    columns = [
        _Column("What", 30),
        _Column("In words", 14),
        _Column(f"To buy, {unit} or number", 12, "right"),
        _Column("Price of one", 11, "right"),
        _Column("Money", 13, "right"),
    ]
    if naive is not None:
        columns += [
            _Column("Notepad way: to buy", 13, "right"),
            _Column("Notepad way: money", 13, "right"),
            _Column("Bought less", 11, "right"),
            _Column("Money saved", 13, "right"),
        ]
    notes = ["Lengths are rounded up to the step the cloth is sold in."]
    if naive is not None:
        notes.append(
            "The notepad way is how the same openings are commonly worked out by hand, for "
            "comparison."
        )
    head = _table(sheet, "Buy", notes, columns)
    row = head
    lengths = {}
    for cloth, length in plan.totals.bought.items():
        row += 1
        lengths[cloth] = f"Buy!$C${row}"
        price = job.cloth(cloth).price
        other = None if naive is None else naive.bought.get(cloth, 0) / job.price_unit
        amount = _Value(length / job.price_unit, _QUANTITY)
        _buy_row(sheet, row, cloth, job.tape.cloth(length), amount, price=price, other=other)
    row += 1
    each = job.make.shade_cost
    shades = _Value(_Formula(shade_count), _COUNT)
    words = count(plan.totals.shades, "shade")
    other = None if naive is None else naive.shades
    _buy_row(sheet, row, "Shades, apart from cloth", words, shades, price=each, other=other)
    first, last = head + 1, row
    row += 1
    label = "In all" if has_prices(job, plan) else "In all, without cloth that has no price"
    sums = {c: _Value(_Formula(f"SUM({c}{first}:{c}{last})"), _MONEY) for c in "EGI"}
    total: list[_Content] = [label, "", "", "", sums["E"]]
    if naive is not None:
        total += ["", sums["G"], "", sums["I"]]
    _row(sheet, row, total, bold=True)
    sheet.print_area = f"A1:{get_column_letter(len(columns))}{row}"
    return lengths, f"Buy!$E${row}", None if naive is None else f"Buy!$G${row}"


def _buy_row(
    sheet: Worksheet,
    row: int,
    what: str,
    words: str,
    amount: _Value,
    *,
    price: Fraction | None,
    other: float | None,
) -> None:
    """One thing to pay for; `other` is how much of it the notepad way takes."""
    contents: list[_Content] = [
        what,
        words,
        amount,
        _Value(float(price), _MONEY) if price is not None else "no price",
        _Value(_Formula(f"C{row}*D{row}"), _MONEY) if price is not None else "",
    ]
    if other is not None:
        contents += [
            _Value(other, _QUANTITY),
            _Value(_Formula(f"F{row}*D{row}"), _MONEY) if price is not None else "",
            _Value(_Formula(f"F{row}-C{row}"), _QUANTITY),
            _Value(_Formula(f"G{row}-E{row}"), _MONEY) if price is not None else "",
        ]
    _row(sheet, row, contents)


# --- Roll map -----------------------------------------------------------------------------------


def _roll_map(sheet: Worksheet, job: Job, plan: Plan) -> None:
    """One picture a printed page, with page breaks between."""
    pitch = 15.0  # height of a row, in points
    _widths(sheet, [_Column("", 13)] * 10)
    row = 1
    figures = draw_roll(job, plan)
    for i, figure in enumerate(figures):
        wide, high = (float(side) for side in figure.get_size_inches())
        image = Image(BytesIO(png_bytes(figure)))
        # Pixels of 1/96 in; a sheet shows 10 in, and a page about 6 1/2 in below its header.
        shrink = min(1.0, 6.4 / high)
        image.width, image.height = int(wide * 96 * shrink), int(high * 96 * shrink)
        sheet.add_image(image, f"A{row}")
        rows = ceil(high * shrink * 72 / pitch) + 1
        for r in range(row, row + rows):
            sheet.row_dimensions[r].height = pitch
        row += rows
        if i < len(figures) - 1:
            sheet.row_breaks.append(Break(id=row - 1))
    sheet.print_area = f"A1:J{row - 1}"


# --- Leftovers ----------------------------------------------------------------------------------


def _leftovers(sheet: Worksheet, job: Job, lays: list[PieceLay], areas: list[str]) -> str:
    """Gives the cell of the waste, as a fraction of the usable cloth cut into."""
    unit, (area, per) = _unit(job), _area(job)
    columns = (
        _Column("Cloth", 20),
        _Column("Piece", 12),
        _Column("Drop", 8, "center"),
        _Column("Where", 36),
        _Column("Size, across × along", 24),
        _Column(f"Across, {unit}", 13, "right"),
        _Column(f"Along, {unit}", 13, "right"),
        _Column(f"Area, {area}", 13, "right"),
    )
    least = job.tape.short(least_offcut(job))
    note = (
        f"What is left in rectangles of at least {least} both ways, largest first, selvedges left "
        "out. Smaller strips are not listed."
    )
    head = _table(sheet, "Leftovers", [note], columns)
    row = head
    for offcut in offcuts(job, lays):
        row += 1
        size = f"{job.tape.short(offcut.across)} × {job.tape.short(offcut.along)}"
        _row(
            sheet,
            row,
            (
                offcut.use.cloth,
                offcut.use.piece,
                offcut.drop if offcut.drop is not None else "",
                offcut.where,
                size,
                _Value(_number(job, offcut.across), _LENGTH),
                _Value(_number(job, offcut.along), _LENGTH),
                _Value(_Formula(f"F{row}*G{row}/{per}"), _AREA),
            ),
        )
    if row == head:
        row += 1
        _row(sheet, row, ("nothing of this size", *[""] * 7))
    total = _Value(_Formula(f"SUM(H{head + 1}:H{row})"), _AREA)
    row += 1
    _row(sheet, row, ("In all", *[""] * 6, total), bold=True)
    return _waste(sheet, row + 2, job, lays, areas)


def _waste(sheet: Worksheet, row: int, job: Job, lays: list[PieceLay], areas: list[str]) -> str:
    unit, (area, per) = _unit(job), _area(job)
    columns = (
        _Column("Cloth cut into", 20),
        _Column("Piece", 12),
        _Column("Drops", 8, "center"),
        _Column("", 36),
        _Column(f"Usable width, {unit}", 24, "right"),
        _Column(f"Used along, {unit}", 13, "right"),
        _Column(f"Usable area, {area}", 13, "right"),
        _Column(f"In panels, {area}", 13, "right"),
    )
    _headings(sheet, row, columns)
    first = row + 1
    for lay, inside in zip(lays, areas, strict=True):
        row += 1
        _row(
            sheet,
            row,
            (
                lay.use.cloth,
                lay.use.piece,
                len(lay.drops),
                "square-up and skipped cloth counted",
                _Value(_number(job, lay.cloth.usable), _LENGTH),
                _Value(_number(job, lay.use.used), _LENGTH),
                _Value(_Formula(f"E{row}*F{row}/{per}"), _AREA),
                _Value(_Formula(f"SUM({inside})"), _AREA),
            ),
        )
    last = row
    row += 1
    sums = [_Value(_Formula(f"SUM({c}{first}:{c}{last})"), _AREA) for c in "GH"]
    _row(sheet, row, ("In all", *[""] * 5, *sums), bold=True)
    row += 1
    waste = _Value(_Formula(f"1-H{row - 1}/G{row - 1}"), _SHARE)
    _row(sheet, row, ("Waste: usable cloth cut into that is in no panel", *[""] * 6, waste))
    sheet.merge_cells(start_row=row, start_column=1, end_row=row, end_column=7)
    sheet.row_dimensions[row].height = _LINE + 6
    sheet.print_area = f"A1:H{row}"
    return f"Leftovers!$H${row}"
