"""The workbook a helper gets: what to read first, every cut to tick off, and what to buy.

All sums are live formulas over exact numbers, so that a reader can check them or ask "what if".
Text that comes from the job goes in as text, whatever sign it begins with.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from shadewright.report.pages.making_card import draw_cards
from shadewright.report.pages.rendering import never
from shadewright.report.pages.roll_map import draw_roll
from shadewright.report.pages.wall_view import draw_wall
from shadewright.report.sheets.buy import put_buy
from shadewright.report.sheets.cells import new_book
from shadewright.report.sheets.cutting_order import put_cutting_order
from shadewright.report.sheets.leftovers import put_leftovers
from shadewright.report.sheets.panels import put_panels
from shadewright.report.sheets.pictures import pictures, put_pictures
from shadewright.report.sheets.quote import put_quote
from shadewright.report.sheets.read_first import Quotes, put_read_first
from shadewright.report.sheets.shades import put_shades
from shadewright.report.sheets.wood import put_strength, put_wood
from shadewright.report.work.account import Account

SHEETS = (
    "Read first",
    "Cutting order",
    "Panels",
    "Shades",
    "Making cards",
    "Wood",
    "Hooks and sag",
    "Buy",
    "Quote",
    "Roll map",
    "Wall view",
    "Leftovers",
)


def write_workbook(path: Path, account: Account, *, hurry: Callable[[], bool] = never) -> None:
    """Write the plan as a workbook; `path` is overwritten.

    Args:
        hurry: asked before pictures are drawn, also by other threads; once it says True the rest
            of them is left out, and the workbook says so.

    Raises:
        OSError: the file cannot be written.
    """
    # Rendering runs beside the making of the sheets.
    drawn = pictures([draw(account) for draw in (draw_cards, draw_roll, draw_wall)], hurry)
    book, sheets = new_book(account.job, SHEETS)
    first, order, panels, shades, made, sticks, sag, buy, quote, roll, wall, left = sheets
    put_cutting_order(order, account)
    areas = put_panels(panels, account)
    sums = put_shades(shades, account)
    cells = put_wood(sticks, account)
    put_strength(sag, account)
    paid = put_buy(buy, account, sums, cells)
    put_quote(quote, account, paid, sums)
    waste = put_leftovers(left, account, areas)
    put_read_first(first, account, Quotes(sums.shades, paid, waste))
    for sheet, these in zip((made, roll, wall), drawn, strict=True):
        put_pictures(sheet, these)
    book.save(path)
