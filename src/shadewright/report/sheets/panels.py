"""The Panels sheet: every rectangle of cloth that is cut, and where it lies."""

from __future__ import annotations

from openpyxl.worksheet.worksheet import Worksheet

from shadewright.report.sheets import looks, units
from shadewright.report.sheets.cells import Column, live, put_table
from shadewright.report.work.account import Account
from shadewright.report.work.words import cut_size


def put_panels(sheet: Worksheet, account: Account) -> list[str]:
    """Gives the cells that hold the areas of each piece's panels."""
    job = account.job
    unit, (area, per) = units.name(job), units.area(job)
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
    table = put_table(sheet, "Panels", [note], columns)
    areas = []
    for lay in account.lays:
        areas.append(f"Panels!$M${table.next}:$M${table.last + len(lay.panels)}")
        for numbered in lay.panels:
            row, panel = table.next, numbered.panel
            table.add(
                numbered.number,
                numbered.shade,
                panel.part,
                panel.cloth,
                panel.piece,
                panel.drop,
                cut_size(job.tape, panel),
                "railroaded, top to the far edge"
                if panel.railroaded
                else "up the bolt, top to the start",
                job.tape.long(panel.y),
                job.tape.short(panel.x + lay.cloth.selvedge),
                units.length(job, panel.across),
                units.length(job, panel.along),
                live(f"K{row}*L{row}/{per}", looks.AREA),
            )
    panels, total = table.over("COUNT", "A", looks.COUNT), table.over("SUM", "M", looks.AREA)
    table.add(panels, "panels in all", *[""] * 10, total, bold=True)
    sheet.cell(table.last, 1).alignment = looks.CENTRED
    table.end()
    return areas
