"""The Quote sheet: what a customer is asked for, from what is bought, the work, and a mark-up."""

from __future__ import annotations

from shadewright.report.sheets import looks
from shadewright.report.sheets.buy import BuyCells, times
from shadewright.report.sheets.cells import TableRows, put_table
from shadewright.report.sheets.shades import ShadeSums
from shadewright.report.sheets.sheet import Column, Sheet, Value, live
from shadewright.report.work.account import Account

_COLUMNS = (
    Column("What", 26, 34),
    Column("In words", 30, 44),
    Column("Number", 12, 16, "right"),
    Column("Price of one", 13, 18, "right"),
    Column("Money", 14, 20, "right"),
)
_NOTES = (
    "Cloth and hardware come from the Buy sheet. Type an hour's rate, the minutes that a shade "
    "takes and a mark-up in percent into the yellow cells; the sums follow.",
)
_USUAL_MINUTES = 60


def put_quote(sheet: Sheet, account: Account, buy: BuyCells, sums: ShadeSums) -> None:
    """Cloth, hardware and hours, and a mark-up to type in."""
    prices, money = account.job.prices, looks.MONEY
    table = put_table(sheet, "Quote", _NOTES, list(_COLUMNS))
    table.add("Cloth", "as the Buy sheet has it", "", "", buy.of_cloth)
    table.add(
        "Hardware and thread", "boards, rods, cord, hooks, eyes, cleats", "", "", buy.of_hardware
    )
    minutes = _USUAL_MINUTES if prices is None else float(prices.minutes)
    _to_fill_in(table, "Minutes of work", "for one shade", Value(minutes, looks.QUANTITY), "", "")
    rate = 0.0 if prices is None or prices.hour is None else float(prices.hour)
    worth = sums.shades.number * minutes / 60
    hours = times(sums.shades, f"*C{table.last}/60", worth)
    row = table.next
    pay = live(f"C{row}*D{row}", money, worth * rate)
    table.add("Hours", "of all shades", hours, Value(rate, money), pay, special={4: looks.FILL_IN})
    cost = table.sum("E", money)
    row = table.next
    table.add("At cost", "", "", "", cost, style=looks.TOTAL)
    mark_up = live(f"E{row}*C{row + 1}/100", money, 0.0)
    _to_fill_in(table, "Mark-up", "in percent", Value(0, looks.QUANTITY), "", mark_up)
    total = live(f"E{row}+E{row + 1}", money, cost.number)
    table.add("To quote", "before any tax", "", "", total, style=looks.TOTAL)
    table.end()


def _to_fill_in(table: TableRows, *contents: str | Value) -> None:
    """A row whose number is typed in."""
    table.add(*contents, special={3: looks.FILL_IN})
