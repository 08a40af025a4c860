"""The Shades sheet: the measures of each shade, those together that are made and hung alike."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from shadewright.cloth.plan import Plan, Shade
from shadewright.job.model import Job
from shadewright.measure import Ticks
from shadewright.report.sheets import looks, units
from shadewright.report.sheets.cells import TableRows, put_table
from shadewright.report.sheets.sheet import Column, Sheet, Value, live
from shadewright.report.work.account import Account
from shadewright.report.work.hanging import (
    COMES_DOWN,
    CORD_RUN,
    LOWER_EYES,
    STARTER_HOLE,
    below_head,
)
from shadewright.report.work.makings import Card, cord_cuts


@dataclass(frozen=True)
class ShadeSums:
    """Cells of the Shades sheet that other sheets reckon with, and what they come to."""

    shades: Value
    cords: Value


def put_shades(sheet: Sheet, account: Account) -> ShadeSums:
    """How each shade is made up; gives the cells of its sums."""
    job = account.job
    unit = units.name(job)
    columns = (
        Column("Shades", 16, 30),
        Column("How many", 6, 8, "center"),
        Column(f"Finished width, {unit}", 8, 12, "right"),
        Column(f"Finished length, {unit}", 8, 12, "right"),
        Column(f"Board and rod, {unit}", 8, 12, "right"),
        Column(f"From the opening's left, {unit}", 9, 12, "right"),
        Column("Cords come down", 6, 8),
        Column(f"Lift lines, from the board's left end, {unit}", 10, 15),
        Column(f"Draw guide, from the same, {unit}", 8, 12, "right"),
        Column(f"Hooks, from the same, {unit}", 10, 15),
        Column(f"Hooks, from the opening's left, {unit}", 10, 15),
        Column(f"Cut left cord, {unit}", 7, 12, "right"),
        Column(f"Cut right cord, {unit}", 7, 12, "right"),
    )
    table = put_table(sheet, "Shades", _shade_notes(job, account.plan), columns)
    for card in account.cards:
        for these in _hung_alike(card):
            _put_shades(table, account, card, these)
    total = table.sum("B", looks.COUNT)
    left, right = (table.sum_of_all("B", each, looks.COUNT) for each in "LM")
    table.add("Shades in all", total, *[""] * 9, left, right, style=looks.TOTAL)
    table.end()
    row = table.last
    cords = f"Shades!$L${row}+Shades!$M${row}"
    return ShadeSums(
        live(f"Shades!$B${row}", looks.COUNT, total.number),
        live(cords, units.shown(job), left.number + right.number),
    )


def _hung_alike(card: Card) -> Iterator[Sequence[Shade]]:
    """Shades that are made alike, those together that hang at one place of their openings."""
    found: dict[tuple[int, int, Ticks], list[Shade]] = {}
    for shade in card.shades:
        found.setdefault((shade.place, shade.of, shade.left), []).append(shade)
    yield from found.values()


def _put_shades(table: TableRows, account: Account, card: Card, these: Sequence[Shade]) -> None:
    job, shade, making = account.job, these[0], card.making
    end = shade.left + job.make.stick_short // 2
    left, right = cord_cuts(job, making)
    table.add(
        account.names.together(these),
        Value(len(these), looks.COUNT),
        units.length(job, shade.finished_width),
        units.length(job, shade.finished_length),
        units.length(job, making.board),
        units.length(job, shade.left),
        COMES_DOWN[shade.draw].rsplit(" ", 1)[-1],
        bare(job, making.lift_lines),
        units.length(job, making.guide),
        bare(job, making.hooks),
        bare(job, [end + hook for hook in making.hooks]),
        replace(units.length(job, left), shown=looks.COUNT),
        replace(units.length(job, right), shown=looks.COUNT),
    )


def bare(job: Job, lengths: Sequence[Ticks]) -> str:
    """Lengths one after the other, under a heading that names their unit."""
    return ", ".join(job.tape.short(each).removesuffix('"').removesuffix(" cm") for each in lengths)


def _shade_notes(job: Job, plan: Plan) -> list[str]:
    make, tape = job.make, job.tape
    if make.lining:
        sides = f"a seam of {tape.short(make.seam)} joins face and lining at each side"
    else:
        times = "twice" if make.side_folds == 2 else "once"
        sides = f"fold {tape.short(make.side_fold)} {times} at each side"
    pockets = (
        f"turn {tape.short(make.turn_under)} under at top and bottom; pockets, laid flat without "
        f"board or rod, {tape.short(make.board_pocket)} deep for the board and "
        f"{tape.short(make.rod_pocket)} for the rod"
    )
    notes = [f"How each shade is made up. Hems: {sides}; {pockets}."]
    notes.append(
        f"Eyes below the board stand at the lift lines. {LOWER_EYES} {STARTER_HOLE} {CORD_RUN} "
        f"Lengths of cords have the tail and {tape.short(make.knot)} for the knot in them, and are "
        f"rounded up to a whole {'centimetre' if job.metric else 'inch'}."
    )
    hangs = below_head(job)
    if hangs is not None:
        notes.append(f"{hangs[0].upper()}{hangs[1:]}.")
    if any(shade.left < 0 for shade in plan.shades):
        notes.append("A left edge with a minus lies that far outside the opening.")
    if any(job.cloth(p.cloth).shrink_down or job.cloth(p.cloth).shrink_across for p in plan.panels):
        notes.append(
            "Cut sizes allow for shrinking: cut the panels, wash and press them, then measure and "
            "make up."
        )
    return notes
