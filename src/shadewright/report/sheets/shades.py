"""The Shades sheet: the measures of each shade, one a row."""

from __future__ import annotations

from dataclasses import dataclass

from openpyxl.worksheet.worksheet import Worksheet

from shadewright.cloth.plan import Making, Plan, Shade
from shadewright.job.model import Job
from shadewright.report.sheets import looks, units
from shadewright.report.sheets.cells import Column, Content, Value, put_table
from shadewright.report.work.account import Account
from shadewright.report.work.hanging import CORD_RUN, LOWER_EYES, STARTER_HOLE, below_head
from shadewright.report.work.makings import Card, cord_cuts, cord_names
from shadewright.report.work.words import cut_size


@dataclass(frozen=True)
class ShadeSums:
    """Cells of the Shades sheet that the Buy sheet reckons with."""

    shades: str
    hooks: str
    cords: str
    seams: str


def put_shades(sheet: Worksheet, account: Account) -> ShadeSums:
    """How each shade is made up, one a row; gives the cells of its sums."""
    job, plan = account.job, account.plan
    unit = units.name(job)
    columns = (
        Column("Shade", 18),
        Column("Place, from the left", 7),
        Column("Left edge, from the opening's left", 10),
        Column("Finished width × length", 18),
        Column("Cut width × length", 18),
        Column("Board and rod, long", 9),
        Column("Draws at", 7),
        Column("Lift lines and eyes, from the board's left end", 15),
        Column("Draw guide, from the same", 9),
        Column("Hooks, from the same", 20),
        Column("Hooks, from the opening's left", 20),
        Column("Far or near: left, right", 9),
        Column(f"Cut left cord, {unit}", 8, "right"),
        Column(f"Cut right cord, {unit}", 8, "right"),
        Column("Hooks", 6, "right"),
        Column(f"Seams, {unit}", 8, "right"),
        Column("Roll when up, across", 8),
    )
    table = put_table(sheet, "Shades", _shade_notes(job, plan), columns)
    card_of = {shade.id: card for card in account.cards for shade in card.shades}
    making_of = {making.shade: making for making in plan.making}
    sizes_of = _cut_sizes(job, plan)
    for shade in plan.shades:
        card, making = card_of[shade.id], making_of[shade.id]
        table.add(*_shade_row(account, shade, card, making, sizes_of[shade.id]))
    total, hooks = table.over("COUNTA", "A", looks.COUNT), table.over("SUM", "O", looks.COUNT)
    cords, seams = table.sums("MN", looks.LENGTH), table.over("SUM", "P", looks.LENGTH)
    table.add("Shades in all", total, *[""] * 10, *cords, hooks, seams, "", bold=True)
    table.end()
    row = table.last
    return ShadeSums(
        f"Shades!$B${row}",
        f"Shades!$O${row}",
        f"Shades!$M${row}+Shades!$N${row}",
        f"Shades!$P${row}",
    )


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
    notes = [
        f"How each shade is made up. Hems: {sides}; {pockets}. Its making card shows the rest."
    ]
    notes.append(
        f"Eyes below the board stand at the lift lines. {LOWER_EYES} {STARTER_HOLE} {CORD_RUN} "
        f"Cords are cut to their tail and {tape.short(make.knot)} for the knot, up to a whole "
        f"{'centimetre' if job.metric else 'inch'}."
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


def _shade_row(
    account: Account, shade: Shade, card: Card, making: Making, sizes: str
) -> list[Content]:
    job, tape = account.job, account.job.tape
    end = shade.left + job.make.stick_short // 2
    left, right = cord_cuts(job, making)
    return [
        account.names.of(shade.id),
        f"{shade.place} of {shade.of}",
        tape.short(shade.left),
        f"{tape.short(shade.finished_width)} × {tape.short(shade.finished_length)}",
        sizes,
        tape.short(making.board),
        shade.draw,
        ", ".join(map(tape.short, making.lift_lines)),
        tape.short(making.guide),
        ", ".join(map(tape.short, making.hooks)),
        ", ".join(tape.short(end + hook) for hook in making.hooks),
        ", ".join(cord_names(making)),
        units.length(job, left),
        units.length(job, right),
        Value(len(making.hooks), looks.COUNT),
        units.length(job, card.made.seams),
        tape.short(making.raised_diameter),
    ]


def _cut_sizes(job: Job, plan: Plan) -> dict[str, str]:
    """Cut sizes of each shade's panels; the lining's is told where it differs."""
    sizes: dict[str, dict[str, str]] = {shade.id: {} for shade in plan.shades}
    for panel in plan.panels:
        sizes[panel.shade][panel.part] = cut_size(job.tape, panel)
    return {
        shade: of["face"]
        if of.get("lining", of["face"]) == of["face"]
        else f"face {of['face']}; lining {of['lining']}"
        for shade, of in sizes.items()
    }
