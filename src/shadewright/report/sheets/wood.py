"""The sheets of boards and rods: what each stick yields, and how they hold up."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from shadewright.cloth.plan import StickUse
from shadewright.cloth.stick_plan import StickPlan
from shadewright.job.model import Job
from shadewright.measure import Ticks, floor_to
from shadewright.report.sheets import looks, units
from shadewright.report.sheets.cells import TableRows, put_table
from shadewright.report.sheets.sheet import Column, Sheet, Value, live
from shadewright.report.work.account import Account
from shadewright.report.work.words import clean, count, small_limit
from shadewright.trade import beams


@dataclass(frozen=True)
class StickCells:
    """Cells of the Wood sheet that say how many sticks there are, of what kind, and how long."""

    numbers: str
    kinds: str
    lengths: str


@dataclass(frozen=True)
class HookSums:
    """Cells of hooks and seams of all shades, and what they come to."""

    hooks: Value
    seams: Value


def put_wood(sheet: Sheet, account: Account) -> StickCells:
    """Which stick yields what."""
    job, sticks = account.job, account.sticks
    unit = units.name(job)
    columns = (
        Column("Cut", 5, 5, "center"),
        Column("How many", 6, 8, "center"),
        Column("Stick", 7, 9),
        Column(f"From a length of, {unit}", 9, 13, "right"),
        Column("Pieces of each stick, in order", 20, 26),
        Column("For the shades", 20, 60),
        Column(f"In pieces, {unit}", 9, 13, "right"),
        Column("Saw cuts in each", 7, 9, "center"),
        Column(f"Left of each, {unit}", 9, 13, "right"),
    )
    tape = job.tape
    note = (
        f"Boards {tape.short(job.make.board)} square and rods {tape.short(job.make.rod)} across, "
        f"of {clean(job.make.wood.name)}. Each saw cut takes {tape.short(job.make.kerf)}. Measure "
        "every piece from the last cut. Sticks that are cut alike stand together."
    )
    notes = [note, *([] if sticks is None else [_stick_proof(job, sticks)])]
    table = put_table(sheet, "Wood", notes, columns)
    for these in _cut_alike(account.plan.wood):
        _put_sticks(table, account, these)
    cells = StickCells(table.cells("B"), table.cells("C"), table.cells("D"))
    bought, inside, over = (table.sum_of_all("B", each, units.shown(job)) for each in "DGI")
    saw = table.sum_of_all("B", "H", looks.COUNT)
    number = table.sum("B", looks.COUNT)
    table.add("", number, "in all", bought, "", "", inside, saw, over, style=looks.TOTAL)
    table.end()
    return cells


def _cut_alike(sticks: Sequence[StickUse]) -> list[list[StickUse]]:
    """The sticks of a plan, those together that are cut alike."""
    found: dict[object, list[StickUse]] = {}
    for stick in sticks:
        key = stick.stick, stick.stock, *(cut.length for cut in stick.cuts)
        found.setdefault(key, []).append(stick)
    return list(found.values())


def _put_sticks(table: TableRows, account: Account, these: Sequence[StickUse]) -> None:
    job, stick, row = account.job, these[0], table.next
    kerf = units.number(job, job.make.kerf)
    lengths = [units.number(job, cut.length) for cut in stick.cuts]
    stock, took, between = units.number(job, stick.stock), sum(lengths), len(lengths) - 1
    ends = stock - took > between * kerf
    cuts, left = between + ends, max(stock - took - (between + ends) * kerf, 0.0)
    table.add(
        None,
        Value(len(these), looks.COUNT),
        stick.stick,
        units.length(job, stick.stock),
        _pieces_of(job, stick),
        _for_shades(account, these),
        live("+".join(f"{each:.12g}" for each in lengths), units.shown(job), took),
        live(f"IF(D{row}-G{row}>{between}*{kerf:.12g},1,0)+{between}", looks.COUNT, cuts),
        live(f"MAX(D{row}-G{row}-H{row}*{kerf:.12g},0)", units.shown(job), left),
        special={1: looks.BOX},
    )


def _pieces_of(job: Job, stick: StickUse) -> str:
    """``2 of 36 5/8", then 22"``."""
    runs: list[tuple[Ticks, int]] = []
    for cut in stick.cuts:
        again = runs and runs[-1][0] == cut.length
        runs[-1:] = [(cut.length, runs[-1][1] + 1)] if again else [*runs[-1:], (cut.length, 1)]
    said = (f"{n} of {job.tape.short(length)}" for length, n in runs)
    return ", then ".join(said)


def _for_shades(account: Account, these: Sequence[StickUse]) -> str:
    """The shades that sticks cut alike are for, those of each length together."""
    by_length: dict[Ticks, list[str]] = {}
    for stick in these:
        for cut in stick.cuts:
            by_length.setdefault(cut.length, []).append(cut.shade)
    said = []
    for length, shades in by_length.items():
        names = account.names.together(account.in_order(shades))
        said.append(f"{account.job.tape.short(length)}: {names}" if len(by_length) > 1 else names)
    return "; ".join(said)


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


def _small(job: Job, millimetres: float) -> Value:
    """A small distance as the job measures."""
    if job.metric:
        return Value(round(millimetres, 1), looks.TENTHS)
    return Value(round(millimetres / 25.4, 2), looks.HUNDREDTHS)


def put_strength(sheet: Sheet, account: Account) -> HookSums:
    """How boards and rods hold up under each kind of shade; gives the cells of its sums."""
    job = account.job
    make = job.make
    unit, fine = units.name(job), "mm" if job.metric else "in"
    columns = (
        Column("Shades", 20, 60),
        Column("How many", 6, 8, "center"),
        Column("Hooks of each", 7, 9, "center"),
        Column("Hooks by the rule of widths", 9, 11, "center"),
        Column("Hooks by the wet weight", 9, 11, "center"),
        Column(f"Board sags between them, {fine}", 9, 12, "right"),
        Column(f"Rod sags between its cords, {fine}", 9, 12, "right"),
        Column(f"This rod is good up to a shade of, {unit}", 11, 14, "right"),
        Column(f"Seams of each, {unit}", 8, 13, "right"),
        Column(f"Roll when up, across, {unit}", 8, 12, "right"),
    )
    notes = [
        "Two hooks carry a shade up to 42 in (107 cm) wide and three a wider one; the trade's "
        "turning point is 42 to 48 in (common practice). The wet shade's weight may ask for more, "
        f"so that the board sags no more than {small_limit(job, make.most_sag)} between them. The "
        "safer of both is taken.",
        f"Reckoned with {clean(make.wood.name)}, {make.wood.stiffness:,.0f} MPa, clear and dry: a "
        "knotty stick bends more. What hangs overhead must be fixed into sound framing; local "
        "codes and licensed practice come before this sheet.",
    ]
    table = put_table(sheet, "Hooks and sag", notes, columns)
    for card in account.cards:
        held, number = card.made.held, len(card.shades)
        left, right = card.making.lift_lines
        widest = beams.widest_for_rod(job, card.opening)
        table.add(
            card.called,
            Value(number, looks.COUNT),
            Value(len(card.making.hooks), looks.COUNT),
            Value(held.by_rule, looks.COUNT),
            Value(held.by_sag, looks.COUNT),
            _small(job, held.sag),
            _small(job, beams.rod_sag(job, card.opening, right - left)),
            units.length(job, floor_to(widest, job.step)),
            units.length(job, card.made.seams),
            units.length(job, card.making.raised_diameter),
        )
    hooks = table.sum_of_all("B", "C", looks.COUNT)
    seams = table.sum_of_all("B", "I", units.shown(job))
    number_in_all = table.sum("B", looks.COUNT)
    table.add("In all", number_in_all, hooks, *[""] * 5, seams, "", style=looks.TOTAL)
    table.end()
    row = table.last
    return HookSums(
        live(f"{sheet.called}!$C${row}", looks.COUNT, hooks.number),
        live(f"{sheet.called}!$I${row}", units.shown(job), seams.number),
    )
