"""The sheets that shades are made by: each shade's measures, the sticks, and what to buy."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from openpyxl.styles import PatternFill
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.worksheet import Worksheet

from shadewright.answers import StickPlan
from shadewright.cloth.plan import Making, Plan, Shade
from shadewright.job.model import Job
from shadewright.report.sheets.cells import (
    BOXED,
    COUNT,
    LENGTH,
    MONEY,
    QUANTITY,
    Column,
    Content,
    Formula,
    Value,
    number_of,
    put_row,
    put_table,
    unit_of,
)
from shadewright.report.work.makings import (
    EYES_BELOW,
    Card,
    cards,
    cord_cuts,
    cord_names,
    names_of,
    supplies,
)
from shadewright.report.work.words import clean, count, cut_size, has_prices
from shadewright.trade import beams
from shadewright.trade.making import THREAD_RATIO
from shadewright.trade.naive import Naive

_TO_FILL_IN = PatternFill("solid", fgColor="FFF9E3")


@dataclass(frozen=True)
class ShadeSums:
    """Cells of the Shades sheet that the Buy sheet reckons with."""

    shades: str
    hooks: str
    cords: str
    seams: str


@dataclass(frozen=True)
class StickCells:
    """Cells of the Wood sheet that say what each stick is, and how long."""

    kinds: str
    lengths: str


@dataclass(frozen=True)
class Sums:
    """What the Buy sheet reckons with."""

    of: ShadeSums
    sticks: StickCells


# --- Shades -------------------------------------------------------------------------------------


def put_shades(sheet: Worksheet, job: Job, plan: Plan) -> ShadeSums:
    """How each shade is made up, one a row; gives the cells of its sums."""
    unit = unit_of(job)
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
    head = put_table(sheet, "Shades", _shade_notes(job, plan), columns)
    row = head
    card_of = {shade.id: card for card in cards(job, plan) for shade in card.shades}
    making_of = {making.shade: making for making in plan.making}
    sizes_of = _cut_sizes(job, plan)
    for shade in plan.shades:
        row += 1
        card, making = card_of[shade.id], making_of[shade.id]
        sizes = sizes_of[shade.id]
        put_row(sheet, row, _shade_row(job, shade, card, making, sizes))
    first, last = head + 1, row
    row += 1
    sums: dict[str, Content] = {
        c: Value(Formula(f"SUM({c}{first}:{c}{last})"), shown)
        for c, shown in (("M", LENGTH), ("N", LENGTH), ("O", COUNT), ("P", LENGTH))
    }
    total = Value(Formula(f"COUNTA(A{first}:A{last})"), COUNT)
    in_all: list[Content] = ["Shades in all", total, *[""] * 10, *sums.values(), ""]
    put_row(sheet, row, in_all, bold=True)
    sheet.print_area = f"A1:{get_column_letter(len(columns))}{row}"
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
        "Eyes below the board stand at the lift lines, exactly opposite the eyes that hang it. "
        f"Cords are cut to their tail and {tape.short(make.knot)} for the knot, up to a whole "
        f"{'centimetre' if job.metric else 'inch'}."
    )
    if any(shade.left < 0 for shade in plan.shades):
        notes.append("A left edge with a minus lies that far outside the opening.")
    if any(job.cloth(p.cloth).shrink_down or job.cloth(p.cloth).shrink_across for p in plan.panels):
        notes.append(
            "Cut sizes allow for shrinking: cut the panels, wash and press them, then measure and "
            "make up."
        )
    return notes


def _shade_row(job: Job, shade: Shade, card: Card, making: Making, sizes: str) -> list[Content]:
    tape = job.tape
    end = shade.left + job.make.stick_short // 2
    left, right = cord_cuts(job, making)
    return [
        shade.id,
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
        Value(number_of(job, left), LENGTH),
        Value(number_of(job, right), LENGTH),
        Value(len(making.hooks), COUNT),
        Value(number_of(job, card.made.seams), LENGTH),
        tape.short(making.raised_diameter),
    ]


def _cut_sizes(job: Job, plan: Plan) -> dict[str, str]:
    """Cut sizes of each shade's panels; the lining's is told where it differs."""
    sizes: dict[str, dict[str, str]] = {shade.id: {} for shade in plan.shades}
    for panel in plan.panels:
        sizes[panel.shade][panel.part] = cut_size(job, panel)
    return {
        shade: of["face"]
        if of.get("lining", of["face"]) == of["face"]
        else f"face {of['face']}; lining {of['lining']}"
        for shade, of in sizes.items()
    }


# --- Wood ---------------------------------------------------------------------------------------


def put_wood(sheet: Worksheet, job: Job, plan: Plan, wood: StickPlan | None) -> StickCells:
    """Which stick yields what, and how boards and rods hold up."""
    unit = unit_of(job)
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
    tape = job.tape
    kerf = number_of(job, job.make.kerf)
    note = (
        f"Boards {tape.short(job.make.board)} square and rods {tape.short(job.make.rod)} across, "
        f"of {clean(job.make.wood.name)}. Each saw cut takes {tape.short(job.make.kerf)}. Measure "
        "every piece from the last cut."
    )
    notes = [note, *([] if wood is None else [_stick_proof(job, wood)])]
    head = put_table(sheet, "Wood", notes, columns)
    row = head
    for number, stick in enumerate(plan.wood, 1):
        row += 1
        pieces = "; ".join(f"{tape.short(cut.length)} for {cut.shade}" for cut in stick.cuts)
        taken = "+".join(f"{number_of(job, cut.length):.12g}" for cut in stick.cuts)
        cuts = Formula(
            f"IF(F{row}-G{row}>{len(stick.cuts) - 1}*{kerf:.12g},1,0)+{len(stick.cuts) - 1}"
        )
        put_row(
            sheet,
            row,
            (
                None,
                number,
                stick.stick,
                tape.short(stick.stock),
                pieces,
                Value(number_of(job, stick.stock), LENGTH),
                Value(Formula(taken), LENGTH),
                Value(cuts, COUNT),
                Value(Formula(f"MAX(F{row}-G{row}-H{row}*{kerf:.12g},0)"), LENGTH),
            ),
        )
        sheet.cell(row, 1).border = BOXED
    first, last = head + 1, row
    row += 1
    sums = [Value(Formula(f"SUM({c}{first}:{c}{last})"), LENGTH) for c in "FG"]
    saw = Value(Formula(f"SUM(H{first}:H{last})"), COUNT)
    over = Value(Formula(f"SUM(I{first}:I{last})"), LENGTH)
    put_row(sheet, row, ("", "", "In all", "", "", *sums, saw, over), bold=True)
    sheet.print_area = f"A1:I{row}"
    return StickCells(f"Wood!$C${first}:$C${last}", f"Wood!$F${first}:$F${last}")


def _stick_proof(job: Job, wood: StickPlan) -> str:
    said = []
    for kind, proof in wood.proofs.items():
        name = count(len(proof.sticks), kind)
        bought = job.tape.short(proof.bought)
        if proof.proved:
            said.append(f"{name}, {bought} in all: proved, no plan buys less")
        else:
            bound = job.tape.short(proof.bound)
            said.append(f"{name}, {bought} in all: no plan buys less than {bound}")
    return f"{'; '.join(said)}."


def put_strength(sheet: Worksheet, job: Job, plan: Plan) -> None:
    """How boards and rods hold up under each kind of shade."""
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
    row = put_table(sheet, "Hooks and sag", notes, columns)
    for card in cards(job, plan):
        row += 1
        held = card.made.held
        left, right = card.making.lift_lines
        widest = beams.widest_for_rod(job, card.opening)
        contents: list[Content] = [
            names_of(card),
            Value(len(card.making.hooks), COUNT),
            Value(held.by_rule, COUNT),
            Value(held.by_sag, COUNT),
            _sag(job, held.sag),
            _sag(job, beams.rod_sag(job, card.opening, right - left)),
            tape.short(widest // job.step * job.step),
        ]
        put_row(sheet, row, contents)
    sheet.print_area = f"A1:G{row}"


def _sag(job: Job, millimetres: float) -> str:
    return f"{millimetres:.1f} mm" if job.metric else f'{millimetres / 25.4:.2f}"'


# --- Buy ----------------------------------------------------------------------------------------


@dataclass(frozen=True)
class _BuySheet:
    """The Buy sheet while it is written.

    Attributes:
        compares: whether it compares the notepad way.
        shades: the row of shades, apart from cloth.
    """

    sheet: Worksheet
    compares: bool
    shades: int


def put_buy(
    sheet: Worksheet, job: Job, plan: Plan, naive: Naive | None, sums: Sums
) -> tuple[dict[str, str], str, str | None]:
    """All there is to pay for.

    Gives the cells of lengths of cloth to buy, of the money in all, and of the notepad way's money.
    """
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
    head = put_table(sheet, "Buy", notes, columns)
    row = head
    cloths = dict.fromkeys([*plan.totals.bought, *(naive.bought if naive is not None else ())])
    buying = _BuySheet(sheet, naive is not None, head + len(cloths) + 1)
    lengths = {}
    for cloth in cloths:
        row += 1
        length = plan.totals.bought.get(cloth, 0)
        if length:
            lengths[cloth] = f"Buy!$C${row}"
        price = job.cloth(cloth).price
        other = None if naive is None else naive.bought.get(cloth, 0) / job.price_unit
        amount = Value(length / job.price_unit, QUANTITY)
        words = job.tape.cloth(length) if length else "none: what is on hand is enough"
        _put(buying, row, cloth, words, amount, price=price, other=other)
    row = buying.shades
    words = count(plan.totals.shades, "shade")
    other = None if naive is None else naive.shades
    each = job.make.shade_cost
    shades = Value(Formula(sums.of.shades), COUNT)
    _put(buying, row, "Shades, apart from cloth", words, shades, price=each, other=other)
    for what, words, amount in _supplies(job, plan, sums):
        row += 1
        _put_supply(buying, row, what, words, amount)
    first, last = head + 1, row
    row += 1
    label = "In all" if has_prices(job, plan) else "In all, without what has no price"
    totals = {c: Value(Formula(f"SUM({c}{first}:{c}{last})"), MONEY) for c in "EGI"}
    total: list[Content] = [label, "", "", "", totals["E"]]
    if naive is not None:
        total += ["", totals["G"], "", totals["I"]]
    put_row(sheet, row, total, bold=True)
    sheet.print_area = f"A1:{get_column_letter(len(columns))}{row}"
    return lengths, f"Buy!$E${row}", None if naive is None else f"Buy!$G${row}"


def _supplies(job: Job, plan: Plan, sums: Sums) -> list[tuple[str, str, Value]]:
    """What is bought besides cloth: its name, a word on it, and a formula for how much."""
    tape, make, need = job.tape, job.make, supplies(job, plan)
    rows = [
        (
            f"{kind}s, {tape.short(stock)} long".capitalize(),
            f"{tape.short(make.board)} square"
            if kind == "board"
            else f"{tape.short(make.rod)} across",
            Value(
                # Lengths are compared with some slack, for they are floats.
                Formula(
                    f'SUMPRODUCT(({sums.sticks.kinds}="{kind}")'
                    f"*(ABS({sums.sticks.lengths}-{number_of(job, stock):.12g})<0.0001))"
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
            Value(Formula(f"ROUNDUP(({sums.of.cords})/{reel:.12g},0){pieced}"), COUNT),
        ),
        ("Cup hooks", "one for each eye above a board", Value(Formula(sums.of.hooks), COUNT)),
        (
            "Screw eyes",
            f"as many above, {EYES_BELOW} below each board",
            Value(Formula(f"{sums.of.hooks}+{EYES_BELOW}*{sums.of.shades}"), COUNT),
        ),
        ("Cleats", "one a shade, 1.6 m (63 in) up", Value(Formula(sums.of.shades), COUNT)),
    ]
    if make.tassels:
        rows.append(("Tassels", "one a cord", Value(Formula(f"2*{sums.of.shades}"), COUNT)))
    rows.append(
        (
            f"Thread, {tape.cloth_unit}",
            f"{THREAD_RATIO} times the seams, and a tenth",
            Value(
                Formula(f"ROUNDUP({sums.of.seams}*{THREAD_RATIO}*1.1/{per:.12g},0)"),
                COUNT,
            ),
        )
    )
    return rows


def _put(
    buying: _BuySheet,
    row: int,
    what: str,
    words: str,
    amount: Value,
    *,
    price: Fraction | None,
    other: float | None,
) -> None:
    """A cloth, or the shades, to pay for; `other` is how much of it the notepad way takes."""
    taken = None if other is None else Value(other, QUANTITY)
    paid = tuple(Formula(f"{column}{row}*D{row}") for column in "CF")
    _put_row(buying, row, (what, words, amount), price=price, other=taken, paid=paid)


def _put_supply(buying: _BuySheet, row: int, what: str, words: str, amount: Value) -> None:
    """What shades take besides cloth. The notepad way takes as much for each shade; and it is not
    paid for where what a shade costs apart from cloth is."""
    shades = buying.shades
    taken = Value(Formula(f"C{row}*F${shades}/C${shades}"), QUANTITY)
    paid = tuple(Formula(f"IF(N(D${shades})=0,{column}{row}*D{row},0)") for column in "CF")
    _put_row(buying, row, (what, words, amount), price=None, other=taken, paid=paid)


def _put_row(
    buying: _BuySheet,
    row: int,
    what: tuple[str, str, Value],
    *,
    price: Fraction | None,
    other: Value | None,
    paid: tuple[Formula, ...],
) -> None:
    """One row of the sheet, and what this plan and the notepad way pay for it."""
    contents: list[Content] = [
        *what,
        Value(float(price), MONEY) if price is not None else None,
        Value(paid[0], MONEY),
    ]
    if buying.compares and other is not None:
        contents += [
            other,
            Value(paid[1], MONEY),
            Value(Formula(f"F{row}-C{row}"), QUANTITY),
            Value(Formula(f"G{row}-E{row}"), MONEY),
        ]
    put_row(buying.sheet, row, contents)
    cell = buying.sheet.cell(row, 4)
    cell.fill = _TO_FILL_IN
    cell.number_format = MONEY
