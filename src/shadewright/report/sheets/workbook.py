"""The workbook a helper gets: what to read first, every cut to tick off, and what to buy.

All sums are live formulas over exact numbers, so that a reader can check them or ask "what if".
Text that comes from the job goes in as text, whatever sign it begins with.
"""

from __future__ import annotations

import gc
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path

from shadewright.report.pages.rendering import never
from shadewright.report.pages.roll_map import draw_roll
from shadewright.report.pages.wall_view import draw_wall
from shadewright.report.sheets.book import PlanBook
from shadewright.report.sheets.buy import Counted, put_buy
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
    "Wood",
    "Hooks and sag",
    "Buy",
    "Quote",
    "Roll map",
    "Wall view",
    "Leftovers",
)


_MOST_ON_WALL = 80
"""Openings in the wall view of a workbook: more than it shows pages for."""


def write_workbook(path: Path, account: Account, *, hurry: Callable[[], bool] = never) -> None:
    """Write the plan as a workbook; `path` is overwritten.

    Args:
        hurry: asked before pictures are drawn, also by other threads; once it says True the rest
            of them is left out, and the workbook says so.

    Raises:
        OSError: the file cannot be written.
    """
    with _nothing_collected():
        _write(path, account, hurry)


def _write(path: Path, account: Account, hurry: Callable[[], bool]) -> None:
    # Rendering runs beside the making of the sheets.
    drawn = pictures([draw_roll(account), draw_wall(_as_far_as_drawn(account))], hurry)
    book = PlanBook(account.job, SHEETS)
    first, order, panels, shades, sticks, sag, buy, quote, roll, wall, left = book.sheets
    put_cutting_order(order, account)
    areas = put_panels(panels, account)
    sums = put_shades(shades, account)
    counted = Counted(sums, put_wood(sticks, account), put_strength(sag, account))
    paid = put_buy(buy, account, counted)
    put_quote(quote, account, paid, sums)
    waste = put_leftovers(left, account, areas)
    put_read_first(first, account, Quotes(sums.shades, paid, waste))
    for sheet, these in zip((roll, wall), drawn, strict=True):
        put_pictures(sheet, these)
    book.save(path)


def _as_far_as_drawn(account: Account) -> Account:
    """The account with no more openings than the workbook has pages for: each wall is drawn whole
    before its first page is known."""
    plan = account.plan
    names = list(dict.fromkeys(shade.opening for shade in plan.shades))
    if len(names) <= _MOST_ON_WALL:
        return account
    kept = frozenset(names[:_MOST_ON_WALL])
    shades = [shade for shade in plan.shades if shade.opening in kept]
    ids = {shade.id for shade in shades}
    panels = [panel for panel in plan.panels if panel.shade in ids]
    return replace(account, plan=plan.model_copy(update={"shades": shades, "panels": panels}))


@contextmanager
def _nothing_collected() -> Iterator[None]:
    """No look for what is not used any more: all that is made is kept to the end, and with
    thousands of rows looking takes a quarter of the time."""
    on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if on:
            gc.enable()
