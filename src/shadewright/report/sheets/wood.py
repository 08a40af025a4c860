"""The sheets of boards and rods: what each stick yields, and how they hold up."""

from __future__ import annotations

from dataclasses import dataclass

from openpyxl.worksheet.worksheet import Worksheet

from shadewright.cloth.stick_plan import StickPlan
from shadewright.job.model import Job
from shadewright.measure import floor_to
from shadewright.report.sheets import looks, units
from shadewright.report.sheets.cells import Column, Special, Value, live, put_table
from shadewright.report.work.account import Account
from shadewright.report.work.words import clean, count, small
from shadewright.trade import beams


@dataclass(frozen=True)
class StickCells:
    """Cells of the Wood sheet that say what each stick is, and how long."""

    kinds: str
    lengths: str


def put_wood(sheet: Worksheet, account: Account) -> StickCells:
    """Which stick yields what."""
    job, sticks = account.job, account.sticks
    unit = units.name(job)
    columns = (
        Column("Cut", 5, "center"),
        Column("No.", 5, "center"),
        Column("Stick", 9),
        Column("From a length of", 14),
        Column("Pieces, in order", 72),
        Column(f"Length, {unit}", 10, "right"),
        Column(f"In pieces, {unit}", 10, "right"),
        Column("Saw cuts", 8, "right"),
        Column(f"Left over, {unit}", 10, "right"),
    )
    tape, names = job.tape, account.names
    kerf = units.number(job, job.make.kerf)
    note = (
        f"Boards {tape.short(job.make.board)} square and rods {tape.short(job.make.rod)} across, "
        f"of {clean(job.make.wood.name)}. Each saw cut takes {tape.short(job.make.kerf)}. Measure "
        "every piece from the last cut."
    )
    notes = [note, *([] if sticks is None else [_stick_proof(job, sticks)])]
    table = put_table(sheet, "Wood", notes, columns)
    for number, stick in enumerate(account.plan.wood, 1):
        row, between = table.next, len(stick.cuts) - 1
        taken = "+".join(f"{units.number(job, cut.length):.12g}" for cut in stick.cuts)
        cuts = f"IF(F{row}-G{row}>{between}*{kerf:.12g},1,0)+{between}"
        table.add(
            None,
            number,
            stick.stick,
            tape.short(stick.stock),
            "; ".join(f"{tape.short(cut.length)} for {names.of(cut.shade)}" for cut in stick.cuts),
            units.length(job, stick.stock),
            live(taken, looks.LENGTH),
            live(cuts, looks.COUNT),
            live(f"MAX(F{row}-G{row}-H{row}*{kerf:.12g},0)", looks.LENGTH),
            special={1: Special(border=looks.BOXED)},
        )
    cells = StickCells(table.cells("C"), table.cells("F"))
    saw, over = table.over("SUM", "H", looks.COUNT), table.over("SUM", "I", looks.LENGTH)
    table.add("", "", "In all", "", "", *table.sums("FG", looks.LENGTH), saw, over, bold=True)
    table.end()
    return cells


def _stick_proof(job: Job, sticks: StickPlan) -> str:
    said = []
    for kind, proof in sticks.proofs.items():
        name = count(len(proof.sticks), kind)
        bought = job.tape.short(proof.bought)
        if proof.proved:
            said.append(f"{name}, {bought} in all: proved, no plan buys less")
        else:
            bound = job.tape.short(proof.bound)
            said.append(f"{name}, {bought} in all: no plan buys less than {bound}")
    return f"{'; '.join(said)}."


def put_strength(sheet: Worksheet, account: Account) -> None:
    """How boards and rods hold up under each kind of shade."""
    job = account.job
    make, tape = job.make, job.tape
    columns = (
        Column("Board and rod of", 70),
        Column("Hooks", 8, "right"),
        Column("Hooks by the rule of widths", 12, "right"),
        Column("Hooks by the wet weight", 12, "right"),
        Column("Board sags between them", 13, "right"),
        Column("Rod sags between its cords", 13, "right"),
        Column("This rod is good up to a shade of", 14, "right"),
    )
    notes = [
        "Two hooks carry a shade up to 42 in (107 cm) wide and three a wider one; the trade's "
        "turning point is 42 to 48 in (common practice). The wet shade's weight may ask for more, "
        f"so that the board sags no more than {tape.short(make.most_sag)} between them. The safer "
        "of both is taken.",
        f"Reckoned with {clean(make.wood.name)}, {make.wood.stiffness:,.0f} MPa, clear and dry: a "
        "knotty stick bends more. What hangs overhead must be fixed into sound framing; local "
        "codes and licensed practice come before this sheet.",
    ]
    table = put_table(sheet, "Hooks and sag", notes, columns)
    for card in account.cards:
        held = card.made.held
        left, right = card.making.lift_lines
        widest = beams.widest_for_rod(job, card.opening)
        table.add(
            card.called,
            Value(len(card.making.hooks), looks.COUNT),
            Value(held.by_rule, looks.COUNT),
            Value(held.by_sag, looks.COUNT),
            small(job, held.sag),
            small(job, beams.rod_sag(job, card.opening, right - left)),
            tape.short(floor_to(widest, job.step)),
        )
    table.end()
