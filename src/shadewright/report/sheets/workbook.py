"""The workbook a helper gets: what to read first, every cut to tick off, and what to buy.

All sums are live formulas over exact numbers, so that a reader can check them or ask "what if".
Text that comes from the job goes in as text, whatever sign it begins with.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from pathlib import Path

from openpyxl import Workbook
from openpyxl.worksheet.worksheet import Worksheet

from shadewright.answers import StickPlan
from shadewright.cloth.plan import Plan
from shadewright.job.model import Job
from shadewright.report.pages.making_card import draw_cards
from shadewright.report.pages.rendering import never
from shadewright.report.pages.roll_map import draw_roll
from shadewright.report.pages.wall_view import draw_wall
from shadewright.report.sheets.cells import (
    AREA,
    BAND,
    CENTRED,
    COUNT,
    LENGTH,
    LINE,
    MONEY,
    PLAIN,
    QUANTITY,
    SHARE,
    Column,
    Formula,
    Value,
    area_unit,
    chars,
    lines_of,
    number_of,
    put_across,
    put_headings,
    put_row,
    put_table,
    put_title,
    set_page,
    set_widths,
    unit_of,
)
from shadewright.report.sheets.cutting_order import put_cutting_order
from shadewright.report.sheets.making import Sums, put_buy, put_shades, put_strength, put_wood
from shadewright.report.sheets.pictures import put_pictures
from shadewright.report.work.advice import advice
from shadewright.report.work.cautions import CAUTIONS
from shadewright.report.work.cuts import PieceLay, lay_out, least_offcut, offcuts
from shadewright.report.work.words import (
    GOALS,
    clean,
    cut_size,
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
    "Making cards",
    "Wood",
    "Hooks and sag",
    "Buy",
    "Roll map",
    "Wall view",
    "Leftovers",
)


@dataclass(frozen=True)
class _Refs:
    """Cells that the first sheet quotes."""

    shades: str
    buy: dict[str, str]
    cost: str
    notepad: str | None
    waste: str


def write_workbook(
    path: Path,
    job: Job,
    plan: Plan,
    naive: Naive | None,
    wood: StickPlan | None = None,
    *,
    hurry: Callable[[], bool] = never,
) -> None:
    """Write the plan as a workbook; `path` is overwritten.

    Args:
        naive: what the notepad way would buy, None where it cannot be worked out.
        wood: how good the cutting of boards and rods is known to be; None if it is not told.
        hurry: asked before pictures are drawn, also by other threads; once it says True the rest
            of them is left out, and the workbook says so.

    Raises:
        OSError: the file cannot be written.
    """
    book = Workbook()
    assert isinstance(book.active, Worksheet)
    book.remove(book.active)
    # Column widths are counted in digits of the default style's font.
    normal = book._named_styles["Normal"]  # type: ignore[attr-defined] # no public way to it
    normal.font = PLAIN
    sheets = [book.create_sheet(name) for name in SHEETS]
    first, order, panels, shades, made, sticks, sag, buy, roll, wall, left = sheets
    lays = lay_out(job, plan)
    for sheet in sheets:
        set_page(sheet, job)
    put_cutting_order(order, job, plan, lays)
    areas = _panels(panels, job, lays)
    sums = put_shades(shades, job, plan)
    shade_count = sums.shades
    put_pictures(made, draw_cards(job, plan), hurry)
    cells = put_wood(sticks, job, plan, wood)
    put_strength(sag, job, plan)
    money = put_buy(buy, job, plan, naive, Sums(sums, cells))
    put_pictures(roll, draw_roll(job, plan), hurry)
    put_pictures(wall, draw_wall(job, plan), hurry)
    waste = _leftovers(left, job, lays, areas)
    _read_first(first, job, plan, _Refs(shade_count, *money, waste))
    assert book.calculation is not None
    book.calculation.fullCalcOnLoad = True
    book.properties.title = clean(job.title)
    book.properties.creator = "shadewright"
    book.save(path)


# --- Read first ---------------------------------------------------------------------------------


_FIRST = (
    Column("In this order", 30),
    Column("This plan", 18),
    Column("No plan can beat", 18),
    Column("Given the lines above it", 64),
)

_HOW_TO = (
    "Buy what the Buy sheet says, then lay the cloth right side up with the start of the piece at "
    "your left hand. The edge next to you is the near edge, as on the Roll map.",
    "Before cutting, mark the cuts across the piece along one edge, all from zero without lifting "
    "the tape; do the same along each drop. Small errors then do not add up.",
    "Work down the Cutting order and tick each box. Never cut what is not yet ticked above.",
    "When a panel comes free, pin a slip on it with its number, and mark its top.",
    "Make up each shade by its row on the Shades sheet and its making card, and cut boards and "
    "rods by the Wood sheet; keep the larger leftovers for repairs.",
)


def _read_first(sheet: Worksheet, job: Job, plan: Plan, refs: _Refs) -> None:
    columns = len(_FIRST)
    set_widths(sheet, _FIRST)
    row = put_title(sheet, clean(job.title), ("A cutting plan for roll-up shades.",), columns)
    said = advice(job, plan)
    if job.children:
        row = _paragraphs(sheet, row, "First of all", said[:1]) + 1
        said = said[1:]
    row = _section(sheet, row, "In all", columns)
    put_row(sheet, row, ("Shades to make", Value(Formula(refs.shades), COUNT), "", ""))
    for cloth, cell in refs.buy.items():
        row += 1
        length = Value(Formula(cell), QUANTITY)
        words = job.tape.cloth(plan.totals.bought[cloth])
        put_row(sheet, row, (f"Buy of {cloth}", length, job.tape.cloth_unit, words))
    if plan.totals.cost:
        row += 1
        note = "" if has_prices(job, plan) else "without the cloth that has no price"
        put_row(sheet, row, ("Money", Value(Formula(refs.cost), MONEY), "", note))
    if refs.notepad is not None and has_prices(job, plan):
        row += 1
        saved = Value(Formula(f"{refs.notepad}-{refs.cost}"), MONEY)
        put_row(sheet, row, ("Saved against the notepad way", saved, "", "see the Buy sheet"))
    row += 1
    note = "of the usable cloth cut into"
    put_row(sheet, row, ("Waste", Value(Formula(refs.waste), SHARE), "", note))
    row = _section(sheet, row + 2, "What each opening gets", columns)
    for name, told in divisions(job, plan):
        _pair(sheet, row, name, told)
        row += 1
    how_to = [f"{i}. {line}" for i, line in enumerate(_HOW_TO, 1)]
    row = _paragraphs(sheet, row + 1, "How to use this workbook", how_to)
    row = _paragraphs(sheet, row + 1, "Cautions", CAUTIONS)
    row = _paragraphs(sheet, row + 1, "Before you begin", said)
    row = _proof(sheet, row + 1, job, plan)
    if job.notes:
        row = _paragraphs(sheet, row + 1, "Notes on the job", job.notes)
    sheet.print_area = f"A1:D{row - 1}"


def _proof(sheet: Worksheet, row: int, job: Job, plan: Plan) -> int:
    row = _section(sheet, row, "How good this plan is", len(_FIRST))
    put_across(sheet, row, verdict(job, plan), len(_FIRST))
    row += 1
    put_headings(sheet, row, _FIRST)
    for goal in plan.proof.goals:
        row += 1
        judged = "proved: nothing does better" if met(goal) else "not proved: one may do better"
        value = goal_value(job, goal, goal.value)
        put_row(sheet, row, (GOALS[goal.goal], value, goal_bound(job, goal), judged))
    return row + 1


def _paragraphs(sheet: Worksheet, row: int, heading: str, lines: Iterable[str]) -> int:
    row = _section(sheet, row, heading, len(_FIRST))
    for line in lines:
        put_across(sheet, row, line, len(_FIRST))
        row += 1
    return row


def _section(sheet: Worksheet, row: int, heading: str, columns: int) -> int:
    cell = put_across(sheet, row, heading, columns, bold=True)
    cell.fill = BAND
    return row + 1


def _pair(sheet: Worksheet, row: int, name: str, told: str) -> None:
    """A name in the first column, and what is said of it over the rest."""
    put_row(sheet, row, (name, told, "", ""))
    sheet.merge_cells(start_row=row, start_column=2, end_row=row, end_column=4)
    room = sum(chars(sheet, c) for c in (2, 3, 4))
    deepest = max(lines_of(name, chars(sheet, 1)), lines_of(told, room))
    sheet.row_dimensions[row].height = LINE * deepest + 6


# --- Panels -------------------------------------------------------------------------------------


def _panels(sheet: Worksheet, job: Job, lays: list[PieceLay]) -> list[str]:
    """Gives the cells that hold the areas of each piece's panels."""
    unit, (area, per) = unit_of(job), area_unit(job)
    columns = (
        Column("No.", 5, "center"),
        Column("Shade", 22),
        Column("Part", 7),
        Column("Cloth", 11),
        Column("Piece", 9),
        Column("Drop", 6, "center"),
        Column("Cut width × length", 20),
        Column("How it lies", 26),
        Column("From the start of the piece", 14),
        Column("From the near edge", 10),
        Column(f"Across, {unit}", 9, "right"),
        Column(f"Along, {unit}", 9, "right"),
        Column(f"Area, {area}", 9, "right"),
    )
    note = (
        "Every rectangle of cloth, by the number it has in the cutting order. Its place is that of "
        "the corner next to the start of the piece and the near edge, selvedge counted."
    )
    head = put_table(sheet, "Panels", [note], columns)
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
            put_row(
                sheet,
                row,
                (
                    numbered.number,
                    panel.shade,
                    panel.part,
                    panel.cloth,
                    panel.piece,
                    panel.drop,
                    cut_size(job, panel),
                    lies,
                    job.tape.long(panel.y),
                    job.tape.short(panel.x + lay.cloth.selvedge),
                    Value(number_of(job, panel.across), LENGTH),
                    Value(number_of(job, panel.along), LENGTH),
                    Value(Formula(f"K{row}*L{row}/{per}"), AREA),
                ),
            )
    first, last = head + 1, row
    row += 1
    total = Value(Formula(f"SUM(M{first}:M{last})"), AREA)
    panels = Value(Formula(f"COUNT(A{first}:A{last})"), COUNT)
    put_row(sheet, row, (panels, "panels in all", *[""] * 10, total), bold=True)
    sheet.cell(row, 1).alignment = CENTRED
    sheet.print_area = f"A1:M{row}"
    return areas


# --- Leftovers ----------------------------------------------------------------------------------


def _leftovers(sheet: Worksheet, job: Job, lays: list[PieceLay], areas: list[str]) -> str:
    """Gives the cell of the waste, as a fraction of the usable cloth cut into."""
    unit, (area, per) = unit_of(job), area_unit(job)
    columns = (
        Column("Cloth", 20),
        Column("Piece", 12),
        Column("Drop", 8, "center"),
        Column("Where", 36),
        Column("Size, across × along", 24),
        Column(f"Across, {unit}", 13, "right"),
        Column(f"Along, {unit}", 13, "right"),
        Column(f"Area, {area}", 13, "right"),
    )
    least = job.tape.short(least_offcut(job))
    note = (
        f"What is left in rectangles of at least {least} both ways, largest first, selvedges left "
        "out. Smaller strips are not listed."
    )
    head = put_table(sheet, "Leftovers", [note], columns)
    row = head
    for offcut in offcuts(job, lays):
        row += 1
        size = f"{job.tape.short(offcut.across)} × {job.tape.short(offcut.along)}"
        put_row(
            sheet,
            row,
            (
                offcut.use.cloth,
                offcut.use.piece,
                offcut.drop if offcut.drop is not None else "",
                offcut.where,
                size,
                Value(number_of(job, offcut.across), LENGTH),
                Value(number_of(job, offcut.along), LENGTH),
                Value(Formula(f"F{row}*G{row}/{per}"), AREA),
            ),
        )
    if row == head:
        row += 1
        put_row(sheet, row, ("nothing of this size", *[""] * 7))
    total = Value(Formula(f"SUM(H{head + 1}:H{row})"), AREA)
    row += 1
    put_row(sheet, row, ("In all", *[""] * 6, total), bold=True)
    return _waste(sheet, row + 2, job, lays, areas)


def _waste(sheet: Worksheet, row: int, job: Job, lays: list[PieceLay], areas: list[str]) -> str:
    unit, (area, per) = unit_of(job), area_unit(job)
    columns = (
        Column("Cloth cut into", 20),
        Column("Piece", 12),
        Column("Drops", 8, "center"),
        Column("", 36),
        Column(f"Usable width, {unit}", 24, "right"),
        Column(f"Used along, {unit}", 13, "right"),
        Column(f"Usable area, {area}", 13, "right"),
        Column(f"In panels, {area}", 13, "right"),
    )
    put_headings(sheet, row, columns)
    first = row + 1
    for lay, inside in zip(lays, areas, strict=True):
        row += 1
        put_row(
            sheet,
            row,
            (
                lay.use.cloth,
                lay.use.piece,
                len(lay.drops),
                "square-up and skipped cloth counted",
                Value(number_of(job, lay.cloth.usable), LENGTH),
                Value(number_of(job, lay.use.used), LENGTH),
                Value(Formula(f"E{row}*F{row}/{per}"), AREA),
                Value(Formula(f"SUM({inside})"), AREA),
            ),
        )
    last = row
    row += 1
    sums = [Value(Formula(f"SUM({c}{first}:{c}{last})"), AREA) for c in "GH"]
    put_row(sheet, row, ("In all", *[""] * 5, *sums), bold=True)
    row += 1
    waste = Value(Formula(f"1-H{row - 1}/G{row - 1}"), SHARE)
    put_row(sheet, row, ("Waste: usable cloth cut into that is in no panel", *[""] * 6, waste))
    sheet.merge_cells(start_row=row, start_column=1, end_row=row, end_column=7)
    sheet.row_dimensions[row].height = LINE + 6
    sheet.print_area = f"A1:H{row}"
    return f"Leftovers!$H${row}"
