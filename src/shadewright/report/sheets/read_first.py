"""The first sheet: what it comes to, how to use the workbook, and what to hear before cutting."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from openpyxl.worksheet.worksheet import Worksheet

from shadewright.cloth.plan import Plan
from shadewright.job.model import Job
from shadewright.report.sheets import looks
from shadewright.report.sheets.buy import BuyCells
from shadewright.report.sheets.cells import (
    Column,
    TableRows,
    chars,
    live,
    put_across,
    put_headings,
    put_lines,
    put_row,
    put_title,
    set_widths,
)
from shadewright.report.sheets.letters import lines_of
from shadewright.report.work.account import Account
from shadewright.report.work.cautions import CAUTIONS
from shadewright.report.work.choices import why_so_many
from shadewright.report.work.words import (
    GOALS,
    bolts_said,
    clean,
    goal_bound,
    goal_value,
    has_prices,
    met,
    verdict,
)


@dataclass(frozen=True)
class Quotes:
    """Cells of other sheets that the first one quotes."""

    shades: str
    buy: BuyCells
    waste: str


_FIRST = (
    Column("In this order", 30),
    Column("This plan", 18),
    Column("No plan can beat", 18),
    Column("Given the lines above it", 64),
)

_HOW_TO = (
    "Buy what the Buy sheet says, then lay the cloth right side up with the start of the piece at "
    "your left hand. The edge next to you is the near edge, as on the Roll map.",
    "Before cutting, mark the cuts across the piece along one edge, all from zero without lifting "
    "the tape; do the same along each drop. Small errors then do not add up.",
    "A long drop is cut as one goes: the strip that lags comes next, cut lengthwise only as far as "
    "its next panel, which comes off measured from that strip's own last cut. So little need lie "
    "flat; the figure from zero is there to check by.",
    "Work down the Cutting order and tick each box. Never cut what is not yet ticked above.",
    "When a panel comes free, pin a slip on it with its number, and mark its top.",
    "Make up each shade by its row on the Shades sheet and its making card, and cut boards and "
    "rods by the Wood sheet; keep the larger leftovers for repairs.",
)


def put_read_first(sheet: Worksheet, account: Account, refs: Quotes) -> None:
    """What to read before anything is cut, with what it comes to."""
    job, plan, buy = account.job, account.plan, refs.buy
    set_widths(sheet, _FIRST)
    row = put_title(sheet, clean(job.title), ("A cutting plan for roll-up shades.",), len(_FIRST))
    told = account.advice
    if job.children:
        row = _paragraphs(sheet, row, "First of all", told[:1]) + 1
        told = told[1:]
    head = _section(sheet, row, "In all") - 1
    table = TableRows(sheet, head, len(_FIRST), head)
    table.add("Shades to make", live(refs.shades, looks.COUNT), "", "")
    for cloth, cell in buy.cloth.items():
        words = job.tape.cloth(plan.totals.bought[cloth])
        if bolts := bolts_said(job, plan, cloth):
            words += f": {bolts}"
        table.add(f"Buy of {cloth}", live(cell, looks.QUANTITY), job.tape.cloth_unit, words)
    if plan.totals.cost:
        note = "" if has_prices(job, plan) else "without the cloth that has no price"
        table.add("Money", live(buy.cost, looks.MONEY), "", note)
    if buy.notepad is not None and has_prices(job, plan):
        saved = live(f"{buy.notepad}-{buy.cost}", looks.MONEY)
        table.add("Saved against the notepad way", saved, "", "see the Buy sheet")
    table.add("Waste", live(refs.waste, looks.SHARE), "", "of the usable cloth cut into")
    row = _section(sheet, table.last + 2, "What each opening gets")
    for name, gets in account.divisions:
        _pair(sheet, row, name, gets)
        row += 1
    if account.lay:
        row = _paragraphs(sheet, row + 1, "How the cloth lies", account.lay)
    if account.centring:
        row = _paragraphs(sheet, row + 1, "How the print is centred", account.centring)
    if account.against_shades:
        said = [*account.against_shades, why_so_many(job)]
        row = _paragraphs(sheet, row + 1, "Shades against cloth", said)
    how_to = [f"{i}. {line}" for i, line in enumerate(_HOW_TO, 1)]
    row = _paragraphs(sheet, row + 1, "How to use this workbook", how_to)
    row = _paragraphs(sheet, row + 1, "Cautions", CAUTIONS)
    row = _paragraphs(sheet, row + 1, "Before you begin", told)
    row = _proof(sheet, row + 1, job, plan)
    if job.notes:
        row = _paragraphs(sheet, row + 1, "Notes on the job", job.notes)
    sheet.print_area = f"A1:D{row - 1}"


def _proof(sheet: Worksheet, row: int, job: Job, plan: Plan) -> int:
    row = _paragraphs(sheet, row, "How good this plan is", [verdict(job, plan)])
    table = put_headings(sheet, row, _FIRST)
    for goal in plan.proof.goals:
        judged = "proved: nothing does better" if met(goal) else "not proved: one may do better"
        value = goal_value(job, goal.goal, goal.value)
        table.add(GOALS[goal.goal], value, goal_bound(job, goal), judged)
    return table.next


def _paragraphs(sheet: Worksheet, row: int, heading: str, lines: Iterable[str]) -> int:
    return put_lines(sheet, _section(sheet, row, heading), lines, len(_FIRST))


def _section(sheet: Worksheet, row: int, heading: str) -> int:
    put_across(sheet, row, heading, len(_FIRST), bold=True).fill = looks.BAND
    return row + 1


def _pair(sheet: Worksheet, row: int, name: str, told: str) -> None:
    """A name in the first column, and what is said of it over the rest."""
    put_row(sheet, row, (name, told, "", ""))
    sheet.merge_cells(start_row=row, start_column=2, end_row=row, end_column=4)
    room = sum(chars(sheet, c) for c in (2, 3, 4))
    deepest = max(lines_of(name, chars(sheet, 1)), lines_of(told, room))
    sheet.row_dimensions[row].height = looks.LINE * deepest + 6
