"""The Leftovers sheet: what cutting leaves in rectangles worth keeping, and how much is waste."""

from __future__ import annotations

from openpyxl.worksheet.worksheet import Worksheet

from shadewright.report.sheets import looks, units
from shadewright.report.sheets.cells import Column, live, put_headings, put_table
from shadewright.report.work.account import Account
from shadewright.report.work.offcuts import least_offcut


def put_leftovers(sheet: Worksheet, account: Account, areas: list[str]) -> str:
    """Gives the cell of the waste, as a fraction of the usable cloth cut into.

    Args:
        areas: cells of the areas of each piece's panels.
    """
    job = account.job
    unit, (area, per) = units.name(job), units.area(job)
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
    table = put_table(sheet, "Leftovers", [note], columns)
    for offcut in account.offcuts:
        table.add(
            offcut.use.cloth,
            offcut.use.piece,
            offcut.drop if offcut.drop is not None else "",
            offcut.where,
            f"{job.tape.short(offcut.across)} × {job.tape.short(offcut.along)}",
            units.length(job, offcut.across),
            units.length(job, offcut.along),
            live(f"F{table.next}*G{table.next}/{per}", looks.AREA),
        )
    if not account.offcuts:
        table.add("nothing of this size", *[""] * 7)
    table.add("In all", *[""] * 6, *table.sums("H", looks.AREA), bold=True)
    return _waste(sheet, table.last + 2, account, areas)


def _waste(sheet: Worksheet, head: int, account: Account, areas: list[str]) -> str:
    job = account.job
    unit, (area, per) = units.name(job), units.area(job)
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
    table = put_headings(sheet, head, columns)
    for lay, inside in zip(account.lays, areas, strict=True):
        table.add(
            lay.use.cloth,
            lay.use.piece,
            len(lay.drops),
            "square-up and skipped cloth counted",
            units.length(job, lay.cloth.usable),
            units.length(job, lay.use.used),
            live(f"E{table.next}*F{table.next}/{per}", looks.AREA),
            live(f"SUM({inside})", looks.AREA),
        )
    table.add("In all", *[""] * 5, *table.sums("GH", looks.AREA), bold=True)
    waste = live(f"1-H{table.last}/G{table.last}", looks.SHARE)
    table.add("Waste: usable cloth cut into that is in no panel", *[""] * 6, waste)
    row = table.last
    sheet.merge_cells(start_row=row, start_column=1, end_row=row, end_column=7)
    sheet.row_dimensions[row].height = looks.LINE + 6
    table.end()
    return f"Leftovers!$H${row}"
