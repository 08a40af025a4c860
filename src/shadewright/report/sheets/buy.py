"""The Buy sheet: all there is to pay for, with prices to fill in."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from fractions import Fraction

from openpyxl.styles import PatternFill
from openpyxl.worksheet.worksheet import Worksheet

from shadewright.report.sheets import looks, units
from shadewright.report.sheets.cells import Column, TableRows, Value, live, put_table
from shadewright.report.sheets.shades import ShadeSums
from shadewright.report.sheets.wood import StickCells
from shadewright.report.work.account import Account
from shadewright.report.work.makings import SPARE_THREAD
from shadewright.report.work.words import bolts_said, count, has_prices
from shadewright.trade.making import EYES_BELOW, THREAD_RATIO

_TO_FILL_IN = PatternFill("solid", fgColor="FFF9E3")


@dataclass(frozen=True)
class BuyCells:
    """Cells of the Buy sheet that the first sheet quotes.

    Attributes:
        cloth: lengths to buy, by cloth.
        cost: money in all.
        notepad: that of the notepad way, if it is compared.
    """

    cloth: dict[str, str]
    cost: str
    notepad: str | None


@dataclass(frozen=True)
class _BuySheet:
    """The sheet while it is written.

    Attributes:
        compares: whether it compares the notepad way.
        shades: the row of shades, apart from cloth.
    """

    table: TableRows
    compares: bool
    shades: int


def put_buy(sheet: Worksheet, account: Account, sums: ShadeSums, sticks: StickCells) -> BuyCells:
    """All there is to pay for."""
    job, plan, naive = account.job, account.plan, account.naive
    unit = job.tape.cloth_unit
    columns = [
        Column("What", 34),
        Column("In words", 34),
        Column(f"To buy, {unit} or number", 12, "right"),
        Column("Price of one", 11, "right"),
        Column("Money", 13, "right"),
    ]
    if naive is not None:
        columns += [
            Column("Notepad way: to buy", 13, "right"),
            Column("Notepad way: money", 13, "right"),
            Column("Bought less", 11, "right"),
            Column("Money saved", 13, "right"),
        ]
    notes = [
        "Lengths are rounded up to the step the cloth is sold in. Type prices into the yellow "
        "cells; the sums follow."
    ]
    notes.append(
        "What a shade costs apart from cloth stands for its sticks, cords and screws, thread and "
        "the rest: where it has a price, theirs are not counted again."
    )
    if naive is not None:
        notes.append(
            "The notepad way is how the same openings are commonly worked out by hand, for "
            "comparison; of what is not cloth it takes as much for each shade."
        )
    table = put_table(sheet, "Buy", notes, columns)
    cloths = dict.fromkeys([*plan.totals.bought, *(naive.bought if naive is not None else ())])
    buying = _BuySheet(table, naive is not None, table.next + len(cloths))
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
    label = "In all" if has_prices(job, plan) else "In all, without what has no price"
    paid, *others = table.sums("EGI" if naive is not None else "E", looks.MONEY)
    compared = [each for other in others for each in ("", other)]
    table.add(label, "", "", "", paid, *compared, bold=True)
    table.end()
    row = table.last
    return BuyCells(lengths, f"Buy!$E${row}", None if naive is None else f"Buy!$G${row}")


def _supplies(
    account: Account, sums: ShadeSums, sticks: StickCells
) -> Iterator[tuple[str, str, str]]:
    """What is bought besides cloth: its name, a word on it, and a formula for how much."""
    job, need = account.job, account.supplies
    tape, make = job.tape, job.make
    for kind, stock in need.sticks:
        board = kind == "board"
        size = f"{tape.short(make.board)} square" if board else f"{tape.short(make.rod)} across"
        # Lengths are compared with some slack, for they are floats.
        same = f"ABS({sticks.lengths}-{units.number(job, stock):.12g})<0.0001"
        number = f'SUMPRODUCT(({sticks.kinds}="{kind}")*({same}))'
        yield f"{kind}s, {tape.short(stock)} long".capitalize(), size, number
    reel = units.number(job, make.cord_reel)
    more = need.reels - -(-need.cord // make.cord_reel)
    pieced = f"+{more}" if more else ""
    reels = f"Lift cord, reels of {tape.cloth(make.cord_reel)}"
    cord = f"{tape.long(need.cord)} in all, none pieced"
    yield reels, cord, f"ROUNDUP(({sums.cords})/{reel:.12g},0){pieced}"
    yield "Cup hooks", "one for each eye above a board", sums.hooks
    eyes = f"as many above, {EYES_BELOW} below each board"
    yield "Screw eyes", eyes, f"{sums.hooks}+{EYES_BELOW}*{sums.shades}"
    yield "Cleats", "one a shade, 1.6 m (63 in) up", sums.shades
    if make.tassels:
        yield "Tassels", "one a cord", f"2*{sums.shades}"
    per = units.number(job, job.price_unit)
    seams = f"{THREAD_RATIO} times the seams, and a tenth"
    thread = f"ROUNDUP({sums.seams}*{THREAD_RATIO}*{SPARE_THREAD}/{per:.12g},0)"
    yield f"Thread, {tape.cloth_unit}", seams, thread


def _put(
    buying: _BuySheet, *what: str | Value, price: Fraction | None, other: float | None
) -> None:
    """A cloth, or the shades, to pay for; `other` is how much of it the notepad way takes."""
    taken = None if other is None else Value(other, looks.QUANTITY)
    row = buying.table.next
    _put_row(buying, what, price, taken, (f"C{row}*D{row}", f"F{row}*D{row}"))


def _put_supply(buying: _BuySheet, what: str, words: str, number: str) -> None:
    """What shades take besides cloth. The notepad way takes as much for each shade; and it is not
    paid for where what a shade costs apart from cloth is."""
    row, shades = buying.table.next, buying.shades
    taken = live(f"C{row}*F${shades}/C${shades}", looks.QUANTITY)
    ours, theirs = (f"IF(N(D${shades})=0,{column}{row}*D{row},0)" for column in "CF")
    _put_row(buying, (what, words, live(number, looks.COUNT)), None, taken, (ours, theirs))


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
    cell.fill = _TO_FILL_IN
    cell.number_format = money
