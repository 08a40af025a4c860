"""The Buy sheet: all there is to pay for, with prices to fill in."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from fractions import Fraction
from math import floor

from shadewright.job.model import Prices
from shadewright.report.sheets import looks, units
from shadewright.report.sheets.cells import TableRows, put_table
from shadewright.report.sheets.shades import ShadeSums
from shadewright.report.sheets.sheet import Column, Content, Sheet, Value, live
from shadewright.report.sheets.wood import HookSums, StickCells
from shadewright.report.work.account import Account
from shadewright.report.work.makings import SPARE_THREAD
from shadewright.report.work.words import bolts_said, count, has_prices
from shadewright.trade.making import EYES_BELOW, THREAD_RATIO


@dataclass(frozen=True)
class Counted:
    """Cells of other sheets that this one reckons with."""

    shades: ShadeSums
    sticks: StickCells
    hooks: HookSums


@dataclass(frozen=True)
class BuyCells:
    """Cells of the Buy sheet that other sheets quote, and what they come to.

    Attributes:
        cloth: lengths to buy, by cloth.
        cost: money in all.
        saved: against the notepad way, if it is compared.
        of_cloth: money for each cloth.
        of_hardware: money for all that is not cloth.
    """

    cloth: dict[str, Value]
    cost: Value
    saved: Value | None
    of_cloth: Value
    of_hardware: Value


@dataclass
class _BuySheet:
    """The sheet while it is written.

    Attributes:
        compares: whether it compares the notepad way.
        shades: the row of shades, apart from cloth.
        priced: whether hardware has prices of its own, and is paid for beside what shades cost.
        shade_price: what a shade costs apart from cloth.
        many: how many shades this plan has, and the notepad way.
    """

    table: TableRows
    compares: bool
    shades: int
    priced: bool
    shade_price: float
    many: tuple[int, int]


def put_buy(sheet: Sheet, account: Account, counted: Counted) -> BuyCells:
    """All there is to pay for."""
    job, plan, naive = account.job, account.plan, account.naive
    table = put_table(sheet, "Buy", list(_notes(account)), _columns(account))
    cloths = dict.fromkeys([*plan.totals.bought, *(naive.bought if naive is not None else ())])
    priced = job.prices is not None
    first, shade_price = table.next, job.make.shade_cost or Fraction(0)
    many = plan.totals.shades, naive.shades if naive is not None else 0
    buying = _BuySheet(
        table, naive is not None, first + len(cloths), priced, float(shade_price), many
    )
    lengths = {}
    for cloth in cloths:
        bought = plan.totals.bought.get(cloth, 0)
        if bought:
            worth = bought / job.price_unit
            lengths[cloth] = live(f"Buy!$C${table.next}", looks.QUANTITY, worth)
        other = None if naive is None else naive.bought.get(cloth, 0) / job.price_unit
        words = job.tape.cloth(bought) if bought else "none: what is on hand is enough"
        if told := bolts_said(job, plan, cloth):
            words += f": {told}"
        amount = Value(bought / job.price_unit, looks.QUANTITY)
        _put(buying, cloth, words, amount, price=job.cloth(cloth).price, other=other)
    words = count(plan.totals.shades, "shade")
    sums = counted.shades.shades
    _put(buying, "Shades, apart from cloth", words, sums, price=shade_price, other=many[1])
    for supply in _supplies(account, counted):
        _put_supply(buying, *supply)
    hours = int(job.prices is not None and job.prices.hour is not None)
    if job.prices is not None and hours:
        minutes = float(job.prices.minutes)
        number = times(sums, f"*{minutes:.12g}/60", sums.number * minutes / 60)
        _put_supply(buying, "Work, hours", f"{minutes:g} minutes a shade", number, job.prices.hour)
    cloth_money = table.span("E", first, buying.shades - 1) if cloths else live("0", looks.MONEY, 0)
    hardware_money = table.span("E", buying.shades, table.last - hours)
    label = "In all" if has_prices(job, plan) else "In all, without what has no price"
    paid = table.sum("E", looks.MONEY)
    others = table.sums("GI", looks.MONEY) if naive is not None else []
    compared = [each for other in others for each in ("", other)]
    table.add(label, "", "", "", paid, *compared, style=looks.TOTAL)
    table.end()
    row = table.last
    return BuyCells(
        lengths,
        live(f"Buy!$E${row}", looks.MONEY, paid.number),
        table.named("I", row) if naive is not None else None,
        cloth_money,
        hardware_money,
    )


def _columns(account: Account) -> list[Column]:
    columns = [
        Column("What", 24, 36),
        Column("In words", 24, 40),
        Column(f"To buy, {account.job.tape.cloth_unit} or number", 11, 16, "right"),
        Column("Price of one", 11, 16, "right"),
        Column("Money", 12, 18, "right"),
    ]
    if account.naive is not None:
        columns += [
            Column("Notepad way: to buy", 11, 16, "right"),
            Column("Notepad way: money", 12, 18, "right"),
            Column("Bought less", 10, 16, "right"),
            Column("Money saved", 11, 18, "right"),
        ]
    return columns


def _notes(account: Account) -> Iterator[str]:
    """What stands above the table."""
    yield from account.going_on.more
    if account.before is not None:
        yield "The table tells what the whole job takes, with what was bought before."
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
            "comparison; of what is not cloth it takes as much for each shade, to the nearest one."
        )


def _supplies(
    account: Account, counted: Counted
) -> Iterator[tuple[str, str, Value, Fraction | None]]:
    """What is bought besides cloth: its name, a word on it, how much, and the price of one where it
    is known."""
    job, need, sticks = account.job, account.supplies, counted.sticks
    tape, make, prices = job.tape, job.make, job.prices or Prices()
    shades, hooks = counted.shades.shades, counted.hooks.hooks
    for (kind, stock), number in need.sticks.items():
        board = kind == "board"
        size = f"{tape.short(make.board)} square" if board else f"{tape.short(make.rod)} across"
        # Lengths are compared with some slack, for they are floats.
        same = f"ABS({sticks.lengths}-{units.length(job, stock).number:.12g})<0.0001"
        found = f'SUMPRODUCT(({sticks.kinds}="{kind}")*({same})*{sticks.numbers})'
        sold = dict(prices.board if board else prices.rod)
        what = f"{kind}s, {tape.short(stock)} long".capitalize()
        yield what, size, live(found, looks.WHOLE, number), sold.get(stock)
    reel = units.number(job, make.cord_reel)
    more = need.reels - -(-need.cord // make.cord_reel)
    pieced = f"+{more}" if more else ""
    reels = f"Lift cord, reels of {tape.cloth(make.cord_reel)}"
    cord = f"{tape.long(need.cord)} in all, none pieced"
    each = None if prices.cord is None else prices.cord * make.cord_reel / job.price_unit
    number_of_reels = f"ROUNDUP(({counted.shades.cords.formula})/{reel:.12g},0){pieced}"
    yield reels, cord, live(number_of_reels, looks.WHOLE, need.reels), each
    yield "Cup hooks", "one for each eye above a board", times(hooks), prices.hook
    eyes = f"as many above, {EYES_BELOW} below each board"
    found = f"{hooks.formula}+{EYES_BELOW}*{shades.formula}"
    yield "Screw eyes", eyes, live(found, looks.WHOLE, need.eyes), prices.eye
    yield "Cleats", "one a shade, 1.6 m (63 in) up", times(shades), prices.cleat
    if make.tassels:
        yield "Tassels", "one a cord", times(shades, "*2", need.tassels), None
    per = units.number(job, job.price_unit)
    seams = f"{THREAD_RATIO} times the seams, and a tenth"
    thread = f"ROUNDUP({counted.hooks.seams.formula}*{THREAD_RATIO}*{SPARE_THREAD}/{per:.12g},0)"
    worth = need.thread / job.price_unit
    yield f"Thread, {tape.cloth_unit}", seams, live(thread, looks.WHOLE, worth), None


def times(cell: Value, by: str = "", worth: float | None = None) -> Value:
    """A cell of another sheet, times something."""
    found = cell.number if worth is None else worth
    shown = looks.WHOLE if float(found).is_integer() else looks.QUANTITY
    return live(f"{cell.formula}{by}", shown, found)


def _put(
    buying: _BuySheet,
    what: str,
    words: str,
    number: Value,
    *,
    price: Fraction | None,
    other: float | None,
) -> None:
    """A cloth, or the shades, to pay for; `other` is how much of it the notepad way takes."""
    taken = None if other is None else Value(other, looks.QUANTITY)
    row, each = buying.table.next, float(price or 0)
    ours = live(f"C{row}*D{row}", looks.MONEY, number.number * each)
    theirs = live(f"F{row}*D{row}", looks.MONEY, (other or 0) * each)
    _put_row(
        buying, (what, words, replace(number, shown=looks.QUANTITY)), price, taken, (ours, theirs)
    )


def _put_supply(
    buying: _BuySheet, what: str, words: str, number: Value, price: Fraction | None
) -> None:
    """What shades take besides cloth. The notepad way takes as much for each shade; and it is not
    paid for where what a shade costs apart from cloth is."""
    row, shades = buying.table.next, buying.shades
    mine, others = buying.many
    # Nobody buys a part of a board; hours may have parts.
    places = 0 if number.shown == looks.WHOLE else 2
    also = _rounded(number.number * others / mine, places)
    taken = live(f"ROUND(C{row}*F${shades}/C${shades},{places})", looks.QUANTITY, also)
    paid = float(price or 0) if buying.priced or not buying.shade_price else 0.0
    ours, theirs = (
        live(
            f"{column}{row}*D{row}"
            if buying.priced
            else f"IF(N(D${shades})=0,{column}{row}*D{row},0)",
            looks.MONEY,
            amount * paid,
        )
        for column, amount in (("C", number.number), ("F", also))
    )
    _put_row(buying, (what, words, number), price, taken, (ours, theirs))


def _rounded(number: float, places: int) -> float:
    """A number of so many places, halves up, as sheets round it."""
    steps: int = 10**places
    return floor(number * steps + 0.5) / steps


def _put_row(
    buying: _BuySheet,
    what: tuple[str, str, Value],
    price: Fraction | None,
    other: Value | None,
    paid: tuple[Value, Value],
) -> None:
    """One row of the sheet, and what this plan and the notepad way pay for it."""
    row, money = buying.table.next, looks.MONEY
    label, words, number = what
    cost = Value(None if price is None else float(price), money)
    contents: list[Content] = [label, words, number, cost, paid[0]]
    if buying.compares and other is not None:
        fewer = other.number - number.number
        less = live(f"F{row}-C{row}", looks.QUANTITY, fewer)
        saved = live(f"G{row}-E{row}", money, paid[1].number - paid[0].number)
        contents += [other, paid[1], less, saved]
    buying.table.add(*contents, special={4: looks.FILL_IN})
