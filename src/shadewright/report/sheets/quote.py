"""The Quote sheet: what a customer is asked for, from what is bought, the work, and a mark-up."""

from __future__ import annotations

from openpyxl.worksheet.worksheet import Worksheet

from shadewright.report.sheets import looks
from shadewright.report.sheets.buy import TO_FILL_IN, BuyCells
from shadewright.report.sheets.cells import Column, TableRows, live, put_table
from shadewright.report.sheets.shades import ShadeSums
from shadewright.report.work.account import Account

_COLUMNS = (
    Column("What", 34),
    Column("In words", 44),
    Column("Number", 12, "right"),
    Column("Price of one", 13, "right"),
    Column("Money", 14, "right"),
)
_NOTES = (
    "Cloth and hardware come from the Buy sheet. Type an hour's rate, the minutes that a shade "
    "takes and a mark-up in percent into the yellow cells; the sums follow.",
)
_USUAL_MINUTES = 60


def put_quote(sheet: Worksheet, account: Account, buy: BuyCells, sums: ShadeSums) -> None:
    """Cloth, hardware and hours, and a mark-up to type in."""
    prices, money = account.job.prices, looks.MONEY
    table = put_table(sheet, "Quote", _NOTES, list(_COLUMNS))
    table.add("Cloth", "as the Buy sheet has it", "", "", live(f"SUM({buy.of_cloth})", money))
    hardware = live(f"SUM({buy.of_hardware})", money)
    table.add("Hardware and thread", "boards, rods, cord, hooks, eyes, cleats", "", "", hardware)
    minutes = _USUAL_MINUTES if prices is None else float(prices.minutes)
    table.add("Minutes of work", "for one shade", minutes, "", "")
    _to_fill_in(table, "C")
    rate = 0.0 if prices is None or prices.hour is None else float(prices.hour)
    hours = live(f"{sums.shades}*C{table.last}/60", looks.QUANTITY)
    row = table.next
    table.add("Hours", "of all shades", hours, rate, live(f"C{row}*D{row}", money))
    _to_fill_in(table, "D", money)
    first = table.head + 1
    row = table.next
    table.add("At cost", "", "", "", live(f"SUM(E{first}:E{row - 1})", money), bold=True)
    row = table.next
    table.add("Mark-up", "in percent", 0, "", live(f"E{row - 1}*C{row}/100", money))
    _to_fill_in(table, "C")
    total = live(f"E{row - 1}+E{row}", money)
    table.add("To quote", "before any tax", "", "", total, bold=True)
    table.end()


def _to_fill_in(table: TableRows, column: str, shown: str | None = None) -> None:
    cell = table.sheet[f"{column}{table.last}"]
    cell.fill = TO_FILL_IN
    if shown is not None:
        cell.number_format = shown
