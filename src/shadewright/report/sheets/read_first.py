"""The first sheet: what it comes to, how to use the workbook, and what to hear before cutting."""

from __future__ import annotations

from dataclasses import dataclass, replace

from shadewright.report.sheets import looks
from shadewright.report.sheets.buy import BuyCells
from shadewright.report.sheets.cells import TableRows, put_headings, put_section, put_title
from shadewright.report.sheets.sheet import Column, Sheet, Value, live
from shadewright.report.work.account import Account
from shadewright.report.work.as_one_goes import goes_along
from shadewright.report.work.cautions import CAUTIONS
from shadewright.report.work.choices import why_so_many
from shadewright.report.work.paying import whole_said
from shadewright.report.work.words import (
    bolts_said,
    clean,
    goal_bound,
    goal_called,
    goal_value,
    has_prices,
    met,
    verdict,
)


@dataclass(frozen=True)
class Quotes:
    """Cells of other sheets that the first one quotes."""

    shades: Value
    buy: BuyCells
    waste: Value


_FIRST = (
    Column("In this order", 26, 30),
    Column("This plan", 18, 18, "right"),
    Column("No plan can do with less than", 20, 20, "right"),
    Column("What is known", 58, 58),
)

_MOST_OPENINGS = 40
"""Openings that are told here; of more, the Shades sheet tells anyway."""

_PROVED = (
    "“Proved” means that the program has shown by reckoning, and not only by trying, that no plan "
    "of this job can do better. What counts most stands first: each line is judged among the plans "
    "that do as well as this one in all the lines above."
)

_AS_ONE_GOES = (
    "A long drop is cut as one goes: the strip that lags comes next, cut lengthwise only as far as "
    "its next panel, which comes off measured from that strip's own last cut. So little need lie "
    "flat; the figure from zero is there to check by."
)
_HOW_TO = (
    "Buy what the Buy sheet says, then lay the cloth right side up with the start of the piece at "
    "your left hand. The edge next to you is the near edge, as on the Roll map.",
    "Work down the Cutting order and tick each box when its cut is made. Never cut while a box "
    "above is not ticked.",
    "Measure each cut across the piece from the last one, and check it by the figure from zero of "
    "the tape, so that small errors do not add up.",
    "When a panel comes free, pin a slip on it with its number, and mark its top.",
    "Make up each shade by its row on the Shades sheet, and cut boards and rods by the Wood sheet. "
    "Keep the larger leftovers for repairs.",
    "Cutting cards, making cards and slips for the panels are printed from a booklet: plan with "
    "--booklet and a name that ends in .pdf.",
)


def put_read_first(sheet: Sheet, account: Account, refs: Quotes) -> None:
    """What to read before anything is cut, with what it comes to."""
    job = account.job
    sheet.columns = _FIRST
    row = put_title(sheet, clean(job.title), ("A cutting plan for roll-up shades.",))
    told = account.advice
    if job.children:
        row = put_section(sheet, row, "First of all", told[:1])
        told = told[1:]
    if account.going_on.changed:
        row = put_section(sheet, row, "What is cut, and what has changed", account.going_on.changed)
    if account.going_on.more:
        row = put_section(sheet, row, "What to buy now", account.going_on.more)
    row = _in_all(sheet, put_section(sheet, row, "In all"), account, refs)
    row = _openings(sheet, put_section(sheet, row, "What each opening gets"), account)
    if account.lay:
        row = put_section(sheet, row, "How the cloth lies", account.lay)
    if account.centring:
        row = put_section(sheet, row, "How the print is centred", account.centring)
    if account.against_shades:
        said = [*account.against_shades, why_so_many(job)]
        row = put_section(sheet, row, "Shades against cloth", said)
    how_to = [f"{i}. {line}" for i, line in enumerate(_how_to(account), 1)]
    row = put_section(sheet, row, "How to use this workbook", how_to)
    row = put_section(sheet, row, "Cautions", CAUTIONS)
    row = put_section(sheet, row, "Before you begin", told)
    row = _proof(sheet, row, account)
    if job.notes:
        row = put_section(sheet, row, "Notes on the job", job.notes)
    sheet.page.print_area = f"A1:D{row - 1}"


def _how_to(account: Account) -> list[str]:
    """How to go about it, in the order of work; of long drops only where there are some."""
    said = list(_HOW_TO)
    if any(goes_along(drop) for lay in account.lays for drop in lay.drops):
        said.insert(3, _AS_ONE_GOES)
    return said


def _in_all(sheet: Sheet, row: int, account: Account, refs: Quotes) -> int:
    """What it comes to; gives the next free row."""
    job, plan, buy = account.job, account.plan, refs.buy
    table = TableRows(sheet, row - 1, len(_FIRST), row - 1)
    table.add("Shades to make", replace(refs.shades, shown=looks.WHOLE), "", "")
    for cloth, cell in buy.cloth.items():
        words = job.tape.cloth(plan.totals.bought[cloth])
        if bolts := bolts_said(job, plan, cloth):
            words += f": {bolts}"
        table.add(f"Buy of {cloth}, {job.tape.cloth_unit}", cell, "", words)
    if plan.totals.cost:
        note = "" if has_prices(job, plan) else "without the cloth that has no price"
        table.add("Money", buy.cost, "", note)
    if buy.saved is not None and has_prices(job, plan):
        saved, label = buy.saved, "Saved against the notepad way"
        if saved.number < 0:
            saved = live(f"-{saved.formula}", looks.MONEY, -saved.number)
            label = "Dearer than the notepad way"
        table.add(label, saved, "", "as the Buy sheet shows")
    table.add("Waste", refs.waste, "", "of the usable cloth cut into")
    return table.next


def _openings(sheet: Sheet, row: int, account: Account) -> int:
    """How each opening is divided; gives the next free row."""
    told = account.divisions
    for name, gets in told[:_MOST_OPENINGS]:
        sheet.put(row, 1, name, looks.ROW)
        sheet.put(row, 2, gets, looks.ROW, stands="left", span=3)
        row += 1
    if len(told) > _MOST_OPENINGS:
        more = f"And {len(told) - _MOST_OPENINGS} more, all of them on the Shades sheet."
        sheet.put(row, 1, more, span=len(_FIRST))
        row += 1
    return row


def _proof(sheet: Sheet, row: int, account: Account) -> int:
    """What is known of how good the plan is; gives the next free row."""
    job, plan = account.job, account.plan
    whole = whole_said(job, plan, account.supplies)
    said, first = [verdict(job, plan), _PROVED, *([whole] if whole else [])], row
    row = put_section(sheet, row, "How good this plan is", said)
    table = put_headings(sheet, row, _FIRST)
    for goal in plan.proof.goals:
        judged = (
            "proved: no plan does better" if met(goal) else "not proved: some plan may do better"
        )
        value = goal_value(job, goal.goal, goal.value)
        bound = goal_bound(job, goal) if met(goal) or goal.bound > 0 else "not known"
        table.add(goal_called(job, goal.goal), value, bound, judged)
    # A table of a few rows is not parted.
    for each in range(first, table.last):
        sheet.keep_with_next(each)
    return table.next
