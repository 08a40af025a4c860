"""The Buy sheet: all there is to pay for, with prices to fill in."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from openpyxl.styles import PatternFill
from openpyxl.worksheet.worksheet import Worksheet

from shadewright.report.sheets.cells import (
    COUNT,
    MONEY,
    QUANTITY,
    Column,
    Content,
    Formula,
    TableRows,
    Value,
    number_of,
    put_table,
)
from shadewright.report.sheets.shades import ShadeSums
from shadewright.report.sheets.wood import StickCells
from shadewright.report.work.account import Account
from shadewright.report.work.makings import EYES_BELOW
from shadewright.report.work.words import count, has_prices
from shadewright.trade.making import THREAD_RATIO

_TO_FILL_IN = PatternFill("solid", fgColor="FFF9E3")

_Supply = tuple[str, str, Value]
"""What is bought, a word on it, and how much."""


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
        amount = Value(bought / job.price_unit, QUANTITY)
        _put(buying, (cloth, words, amount), price=job.cloth(cloth).price, other=other)
    words = count(plan.totals.shades, "shade")
    other = None if naive is None else naive.shades
    shades = "Shades, apart from cloth", words, Value(Formula(sums.shades), COUNT)
    _put(buying, shades, price=job.make.shade_cost, other=other)
    for supply in _supplies(account, sums, sticks):
        _put_supply(buying, supply)
    label = "In all" if has_prices(job, plan) else "In all, without what has no price"
    paid, *others = table.sums("EGI" if naive is not None else "E", MONEY)
    compared = [each for other in others for each in ("", other)]
    table.add(label, "", "", "", paid, *compared, bold=True)
    table.end()
    row = table.last
    return BuyCells(lengths, f"Buy!$E${row}", None if naive is None else f"Buy!$G${row}")


def _supplies(account: Account, sums: ShadeSums, sticks: StickCells) -> list[_Supply]:
    """What is bought besides cloth: its name, a word on it, and a formula for how much."""
    job, need = account.job, account.supplies
    tape, make = job.tape, job.make
    rows = [
        (
            f"{kind}s, {tape.short(stock)} long".capitalize(),
            f"{tape.short(make.board)} square"
            if kind == "board"
            else f"{tape.short(make.rod)} across",
            Value(
                # Lengths are compared with some slack, for they are floats.
                Formula(
                    f'SUMPRODUCT(({sticks.kinds}="{kind}")'
                    f"*(ABS({sticks.lengths}-{number_of(job, stock):.12g})<0.0001))"
                ),
                COUNT,
            ),
        )
        for (kind, stock) in need.sticks
    ]
    reel = number_of(job, make.cord_reel)
    more = need.reels - -(-need.cord // make.cord_reel)
    pieced = f"+{more}" if more else ""
    per = number_of(job, job.price_unit)
    rows += [
        (
            f"Lift cord, reels of {tape.cloth(make.cord_reel)}",
            f"{tape.long(need.cord)} in all, none pieced",
            Value(Formula(f"ROUNDUP(({sums.cords})/{reel:.12g},0){pieced}"), COUNT),
        ),
        ("Cup hooks", "one for each eye above a board", Value(Formula(sums.hooks), COUNT)),
        (
            "Screw eyes",
            f"as many above, {EYES_BELOW} below each board",
            Value(Formula(f"{sums.hooks}+{EYES_BELOW}*{sums.shades}"), COUNT),
        ),
        ("Cleats", "one a shade, 1.6 m (63 in) up", Value(Formula(sums.shades), COUNT)),
    ]
    if make.tassels:
        rows.append(("Tassels", "one a cord", Value(Formula(f"2*{sums.shades}"), COUNT)))
    rows.append(
        (
            f"Thread, {tape.cloth_unit}",
            f"{THREAD_RATIO} times the seams, and a tenth",
            Value(
                Formula(f"ROUNDUP({sums.seams}*{THREAD_RATIO}*1.1/{per:.12g},0)"),
                COUNT,
            ),
        )
    )
    return rows


def _put(buying: _BuySheet, what: _Supply, *, price: Fraction | None, other: float | None) -> None:
    """A cloth, or the shades, to pay for; `other` is how much of it the notepad way takes."""
    taken = None if other is None else Value(other, QUANTITY)
    row = buying.table.next
    paid = tuple(Formula(f"{column}{row}*D{row}") for column in "CF")
    _put_row(buying, what, price=price, other=taken, paid=paid)


def _put_supply(buying: _BuySheet, what: _Supply) -> None:
    """What shades take besides cloth. The notepad way takes as much for each shade; and it is not
    paid for where what a shade costs apart from cloth is."""
    row, shades = buying.table.next, buying.shades
    taken = Value(Formula(f"C{row}*F${shades}/C${shades}"), QUANTITY)
    paid = tuple(Formula(f"IF(N(D${shades})=0,{column}{row}*D{row},0)") for column in "CF")
    _put_row(buying, what, price=None, other=taken, paid=paid)


def _put_row(
    buying: _BuySheet,
    what: _Supply,
    *,
    price: Fraction | None,
    other: Value | None,
    paid: tuple[Formula, ...],
) -> None:
    """One row of the sheet, and what this plan and the notepad way pay for it."""
    row = buying.table.next
    cost = Value(float(price), MONEY) if price is not None else None
    contents: list[Content] = [*what, cost, Value(paid[0], MONEY)]
    if buying.compares and other is not None:
        less, saved = Formula(f"F{row}-C{row}"), Formula(f"G{row}-E{row}")
        contents += [other, Value(paid[1], MONEY), Value(less, QUANTITY), Value(saved, MONEY)]
    buying.table.add(*contents)
    cell = buying.table.sheet.cell(row, 4)
    cell.fill = _TO_FILL_IN
    cell.number_format = MONEY
