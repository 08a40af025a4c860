"""The Buy sheet: all there is to pay for, with prices to fill in."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from fractions import Fraction

from openpyxl.styles import PatternFill
from openpyxl.worksheet.worksheet import Worksheet

from shadewright.job.model import Prices
from shadewright.report.sheets import looks, units
from shadewright.report.sheets.cells import Column, TableRows, Value, live, put_table
from shadewright.report.sheets.shades import ShadeSums
from shadewright.report.sheets.wood import StickCells
from shadewright.report.work.account import Account
from shadewright.report.work.makings import SPARE_THREAD
from shadewright.report.work.words import bolts_said, count, has_prices
from shadewright.trade.making import EYES_BELOW, THREAD_RATIO

TO_FILL_IN = PatternFill("solid", fgColor="FFF9E3")
"""Of cells that a price or the like is typed into."""


@dataclass(frozen=True)
class BuyCells:
    """Cells of the Buy sheet that the first sheet quotes.

    Attributes:
        cloth: lengths to buy, by cloth.
        cost: money in all.
        notepad: that of the notepad way, if it is compared.
        of_cloth: money for each cloth.
        of_hardware: money for all that is not cloth.
    """

    cloth: dict[str, str]
    cost: str
    notepad: str | None
    of_cloth: str
    of_hardware: str


@dataclass(frozen=True)
class _BuySheet:
    """The sheet while it is written.

    Attributes:
        compares: whether it compares the notepad way.
        shades: the row of shades, apart from cloth.
        priced: whether hardware has prices of its own, and is paid for beside what shades cost.
    """

    table: TableRows
    compares: bool
    shades: int
    priced: bool


def put_buy(sheet: Worksheet, account: Account, sums: ShadeSums, sticks: StickCells) -> BuyCells:
    """All there is to pay for."""
    job, plan, naive = account.job, account.plan, account.naive
    table = put_table(sheet, "Buy", list(_notes(account)), _columns(account))
    cloths = dict.fromkeys([*plan.totals.bought, *(naive.bought if naive is not None else ())])
    priced = job.prices is not None
    first = table.next
    buying = _BuySheet(table, naive is not None, first + len(cloths), priced)
    lengths = {}
    for cloth in cloths:
        bought = plan.totals.bought.get(cloth, 0)
        if bought:
            lengths[cloth] = f"Buy!$C${table.next}"
        other = None if naive is None else naive.bought.get(cloth, 0) / job.price_unit
        words = job.tape.cloth(bought) if bought else "none: what is on hand is enough"
        if told := bolts_said(job, plan, cloth):
            words += f": {told}"
        amount = Value(bought / job.price_unit, looks.QUANTITY)
        _put(buying, cloth, words, amount, price=job.cloth(cloth).price, other=other)
    words = count(plan.totals.shades, "shade")
    other = None if naive is None else naive.shades
    shades = live(sums.shades, looks.COUNT)
    what = "Shades, apart from cloth"
    _put(buying, what, words, shades, price=job.make.shade_cost or Fraction(0), other=other)
    for supply in _supplies(account, sums, sticks):
        _put_supply(buying, *supply)
    hours = int(job.prices is not None and job.prices.hour is not None)
    if job.prices is not None and hours:
        said = f"{float(job.prices.minutes):g} minutes a shade"
        number = f"{sums.shades}*{float(job.prices.minutes):.12g}/60"
        _put_supply(buying, "Work, hours", said, number, job.prices.hour)
    label = "In all" if has_prices(job, plan) else "In all, without what has no price"
    paid, *others = table.sums("EGI" if naive is not None else "E", looks.MONEY)
    compared = [each for other in others for each in ("", other)]
    table.add(label, "", "", "", paid, *compared, bold=True)
    table.end()
    row = table.last
    return BuyCells(
        lengths,
        f"Buy!$E${row}",
        None if naive is None else f"Buy!$G${row}",
        f"Buy!$E${first}:$E${buying.shades - 1}" if cloths else "0",
        f"Buy!$E${buying.shades}:$E${row - 1 - hours}",
    )


def _columns(account: Account) -> list[Column]:
    columns = [
        Column("What", 34),
        Column("In words", 34),
        Column(f"To buy, {account.job.tape.cloth_unit} or number", 12, "right"),
        Column("Price of one", 11, "right"),
        Column("Money", 13, "right"),
    ]
    if account.naive is not None:
        columns += [
            Column("Notepad way: to buy", 13, "right"),
            Column("Notepad way: money", 13, "right"),
            Column("Bought less", 11, "right"),
            Column("Money saved", 13, "right"),
        ]
    return columns


def _notes(account: Account) -> Iterator[str]:
    """What stands above the table."""
    yield (
        "Lengths are rounded up to the step the cloth is sold in. Type prices into the yellow "
        "cells; the sums follow."
    )
    if account.job.prices is None:
        yield (
            "What a shade costs apart from cloth stands for its sticks, cords and screws, thread "
            "and the rest: where it has a price, theirs are not counted again."
        )
    if account.naive is not None:
        yield (
            "The notepad way is how the same openings are commonly worked out by hand, for "
            "comparison; of what is not cloth it takes as much for each shade."
        )


def _supplies(
    account: Account, sums: ShadeSums, sticks: StickCells
) -> Iterator[tuple[str, str, str, Fraction | None]]:
    """What is bought besides cloth: its name, a word on it, a formula for how much, and the price
    of one where it is known."""
    job, need = account.job, account.supplies
    tape, make, prices = job.tape, job.make, job.prices or Prices()
    for kind, stock in need.sticks:
        board = kind == "board"
        size = f"{tape.short(make.board)} square" if board else f"{tape.short(make.rod)} across"
        # Lengths are compared with some slack, for they are floats.
        same = f"ABS({sticks.lengths}-{units.number(job, stock):.12g})<0.0001"
        number = f'SUMPRODUCT(({sticks.kinds}="{kind}")*({same}))'
        sold = dict(prices.board if board else prices.rod)
        yield f"{kind}s, {tape.short(stock)} long".capitalize(), size, number, sold.get(stock)
    reel = units.number(job, make.cord_reel)
    more = need.reels - -(-need.cord // make.cord_reel)
    pieced = f"+{more}" if more else ""
    reels = f"Lift cord, reels of {tape.cloth(make.cord_reel)}"
    cord = f"{tape.long(need.cord)} in all, none pieced"
    each = None if prices.cord is None else prices.cord * make.cord_reel / job.price_unit
    yield reels, cord, f"ROUNDUP(({sums.cords})/{reel:.12g},0){pieced}", each
    yield "Cup hooks", "one for each eye above a board", sums.hooks, prices.hook
    eyes = f"as many above, {EYES_BELOW} below each board"
    yield "Screw eyes", eyes, f"{sums.hooks}+{EYES_BELOW}*{sums.shades}", prices.eye
    yield "Cleats", "one a shade, 1.6 m (63 in) up", sums.shades, prices.cleat
    if make.tassels:
        yield "Tassels", "one a cord", f"2*{sums.shades}", None
    per = units.number(job, job.price_unit)
    seams = f"{THREAD_RATIO} times the seams, and a tenth"
    thread = f"ROUNDUP({sums.seams}*{THREAD_RATIO}*{SPARE_THREAD}/{per:.12g},0)"
    yield f"Thread, {tape.cloth_unit}", seams, thread, None


def _put(
    buying: _BuySheet, *what: str | Value, price: Fraction | None, other: float | None
) -> None:
    """A cloth, or the shades, to pay for; `other` is how much of it the notepad way takes."""
    taken = None if other is None else Value(other, looks.QUANTITY)
    row = buying.table.next
    _put_row(buying, what, price, taken, (f"C{row}*D{row}", f"F{row}*D{row}"))


def _put_supply(
    buying: _BuySheet, what: str, words: str, number: str, price: Fraction | None
) -> None:
    """What shades take besides cloth. The notepad way takes as much for each shade; and it is not
    paid for where what a shade costs apart from cloth is."""
    row, shades = buying.table.next, buying.shades
    taken = live(f"C{row}*F${shades}/C${shades}", looks.QUANTITY)
    ours, theirs = (
        f"{column}{row}*D{row}" if buying.priced else f"IF(N(D${shades})=0,{column}{row}*D{row},0)"
        for column in "CF"
    )
    _put_row(buying, (what, words, live(number, looks.COUNT)), price, taken, (ours, theirs))


def _put_row(
    buying: _BuySheet,
    what: Iterable[str | Value],
    price: Fraction | None,
    other: Value | None,
    paid: tuple[str, str],
) -> None:
    """One row of the sheet, and what this plan and the notepad way pay for it."""
    row, money = buying.table.next, looks.MONEY
    cost = None if price is None else Value(float(price), money)
    contents = [*what, cost, live(paid[0], money)]
    if buying.compares and other is not None:
        less, saved = live(f"F{row}-C{row}", looks.QUANTITY), live(f"G{row}-E{row}", money)
        contents += [other, live(paid[1], money), less, saved]
    buying.table.add(*contents)
    cell = buying.table.sheet.cell(row, 4)
    cell.fill = TO_FILL_IN
    cell.number_format = money
