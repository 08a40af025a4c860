"""The Panels sheet: every size of panel that is cut, and which panels have it."""

from __future__ import annotations

from shadewright.measure import Ticks
from shadewright.report.sheets import looks, units
from shadewright.report.sheets.cells import put_table
from shadewright.report.sheets.sheet import Column, Sheet, live
from shadewright.report.work.account import Account
from shadewright.report.work.lays import NumberedPanel, PieceLay
from shadewright.report.work.words import numbers_said


def put_panels(sheet: Sheet, account: Account) -> list[tuple[str, float]]:
    """Gives the cells that hold the areas of each piece's panels, and what they come to."""
    job = account.job
    unit, (area, per) = units.name(job), units.area(job)
    columns = (
        Column("How many", 6, 8, "center"),
        Column(f"Cut width, {unit}", 9, 12, "right"),
        Column(f"Cut length, {unit}", 9, 12, "right"),
        Column("Part", 5, 8),
        Column("Cloth", 6, 16),
        Column("Piece", 5, 14),
        Column("How it lies", 10, 32),
        Column("Panels, by their numbers in the cutting order", 14, 26),
        Column("For the shades", 20, 50),
        Column(f"Area, {area}", 8, 12, "right"),
    )
    note = (
        "Every rectangle of cloth, those of one size and one piece together. Where each lies is "
        "told by the Cutting order and shown on the Roll map."
    )
    table = put_table(sheet, "Panels", [note], columns)
    areas: list[tuple[str, float]] = []
    for lay in account.lays:
        first, whole = table.next, 0.0
        for these in kinds_of(lay):
            row, panel = table.next, these[0].panel
            wide, long = _sides(these[0])
            size = units.number(job, wide) * units.number(job, long) * len(these) / per
            whole += size
            shades = account.in_order(each.panel.shade for each in these)
            table.add(
                len(these),
                units.length(job, wide),
                units.length(job, long),
                panel.part,
                panel.cloth,
                panel.piece,
                "railroaded, top to the far edge"
                if panel.railroaded
                else "up the bolt, top to the start",
                numbers_said(sorted(each.number for each in these)),
                account.names.together(shades),
                live(f"A{row}*B{row}*C{row}/{per}", looks.AREA, size),
            )
        areas.append((f"Panels!$J${first}:$J${table.last}", whole))
    panels, total = table.sum("A", looks.COUNT), table.sum("J", looks.AREA)
    table.add(panels, "", "", "in all", *[""] * 5, total, style=looks.TOTAL)
    table.end()
    return areas


def kinds_of(lay: PieceLay) -> list[list[NumberedPanel]]:
    """The panels of a piece, those of one size that lie one way together, by their numbers."""
    found: dict[object, list[NumberedPanel]] = {}
    for each in lay.panels:
        found.setdefault((each.panel.part, each.panel.railroaded, *_sides(each)), []).append(each)
    return list(found.values())


def _sides(numbered: NumberedPanel) -> tuple[Ticks, Ticks]:
    """Cut width and length, whichever way a panel lies."""
    panel = numbered.panel
    return (panel.along, panel.across) if panel.railroaded else (panel.across, panel.along)
