"""The Leftovers sheet: what cutting leaves in rectangles worth keeping, and how much is waste."""

from __future__ import annotations

from collections.abc import Sequence

from shadewright.report.sheets import looks, units
from shadewright.report.sheets.cells import TableRows, put_headings, put_section, put_title
from shadewright.report.sheets.sheet import Column, Sheet, Value, live
from shadewright.report.work.account import Account
from shadewright.report.work.offcuts import Offcut, least_offcut
from shadewright.report.work.words import numbers_said


def put_leftovers(sheet: Sheet, account: Account, areas: Sequence[tuple[str, float]]) -> Value:
    """Gives the cell of the waste, as a fraction of the usable cloth cut into.

    Args:
        areas: cells of the areas of each piece's panels, and what they come to.
    """
    job = account.job
    unit, (area, per) = units.name(job), units.area(job)
    columns = (
        Column("Cloth", 16, 24),
        Column("Piece", 8, 16),
        Column("Drops", 6, 20),
        Column("Where", 12, 40),
        Column("How many", 7, 9, "center"),
        Column(f"Across, {unit}", 10, 14, "right"),
        Column(f"Along, {unit}", 10, 14, "right"),
        Column(f"Area, {area}", 10, 14, "right"),
    )
    least = job.tape.short(least_offcut(job))
    note = (
        f"What is left in rectangles of at least {least} both ways, largest first; selvedges are "
        "left out, and smaller strips are not listed."
    )
    sheet.columns = columns
    waste = _waste(sheet, put_title(sheet, "Leftovers", ()), account, areas)
    row = put_section(sheet, sheet.last + 2, "What is left", [note])
    sheet.page.print_title_rows = f"{row}:{row}"
    table = put_headings(sheet, row, columns)
    for these in _alike(account.offcuts):
        _put_offcuts(table, account, these, per)
    if not account.offcuts:
        table.add("nothing of this size", *[""] * 7)
    table.add("In all", *[""] * 6, table.sum("H", looks.AREA), style=looks.TOTAL)
    table.end()
    return waste


def _alike(offcuts: Sequence[Offcut]) -> list[list[Offcut]]:
    """Those together that are of one size and lie alike in their drops."""
    found: dict[object, list[Offcut]] = {}
    for each in offcuts:
        where = each.use.cloth, each.use.piece, each.where, each.across, each.along
        found.setdefault(where, []).append(each)
    return list(found.values())


def _put_offcuts(table: TableRows, account: Account, these: Sequence[Offcut], per: int) -> None:
    job, row, offcut = account.job, table.next, these[0]
    across, along = units.number(job, offcut.across), units.number(job, offcut.along)
    table.add(
        offcut.use.cloth,
        offcut.use.piece,
        numbers_said(sorted({each.drop for each in these if each.drop is not None})),
        offcut.where,
        len(these),
        units.length(job, offcut.across),
        units.length(job, offcut.along),
        live(f"E{row}*F{row}*G{row}/{per}", looks.AREA, len(these) * across * along / per),
    )


def _waste(sheet: Sheet, head: int, account: Account, areas: Sequence[tuple[str, float]]) -> Value:
    """What is cut into, and how much of it is waste, from this row on; gives the cell of that."""
    job = account.job
    unit, (area, per) = units.name(job), units.area(job)
    columns = (
        Column("Cloth cut into"),
        Column("Piece"),
        Column("Drops"),
        Column("What is counted"),
        Column(f"Usable width, {unit}", stands="right"),
        Column(f"Used along, {unit}", stands="right"),
        Column(f"Usable area, {area}", stands="right"),
        Column(f"In panels, {area}", stands="right"),
    )
    table = put_headings(sheet, head, columns)
    inside = usable = 0.0
    for lay, (cells, worth) in zip(account.lays, areas, strict=True):
        row = table.next
        wide, long = units.number(job, lay.cloth.usable), units.number(job, lay.use.used)
        inside, usable = inside + worth, usable + wide * long / per
        table.add(
            lay.use.cloth,
            lay.use.piece,
            str(len(lay.drops)),
            "all up to the last cut, with the square-up and what is left out",
            units.length(job, lay.cloth.usable),
            units.length(job, lay.use.used),
            live(f"E{row}*F{row}/{per}", looks.AREA, wide * long / per),
            live(f"SUM({cells})", looks.AREA, worth),
        )
    table.add("Cut into in all", *[""] * 5, *table.sums("GH", looks.AREA), style=looks.TOTAL)
    share = 1 - inside / usable if usable else 0.0
    waste = live(f"1-H{table.last}/G{table.last}", looks.SHARE, share)
    told = "Waste: the part of the usable cloth cut into that is in no panel"
    row = table.next
    sheet.put(row, 1, told, looks.TOTAL, span=7)
    sheet.put(row, 8, waste, looks.TOTAL)
    return live(f"Leftovers!$H${row}", looks.SHARE, share)
