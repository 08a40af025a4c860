"""The cuts of a plan in the order of work, for one person with scissors.

A drop is cut off the piece, then cut lengthwise into strips, each strip is cut across, and what is
still too wide is trimmed. Every position runs from zero, so that small errors do not add up.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Literal

from shadewright.cloth.plan import Drop
from shadewright.job.model import Cloth, Job
from shadewright.measure import Tape, Ticks
from shadewright.report.work.laying import by_the_print
from shadewright.report.work.lays import DropLay, NumberedPanel, PieceLay, StripLay
from shadewright.report.work.sections import Section, neighbours, sections

CutKind = Literal["across the piece", "lengthwise", "across a strip", "trim"]
CutRole = Literal["opens its drop", "drop comes off", "within its drop"]
_START = "start of the piece"


@dataclass(frozen=True)
class CutLine:
    """One cut.

    Attributes:
        kind: which way it runs, and through what.
        role: what it does for its drop: cuts off what is left out before it, or the drop itself, or
            parts the drop.
        what: what to do, in words.
        measured_from: where the tape's zero lies.
        at: distance from there; across the cloth it counts the selvedge in.
        makes: the panels that come free with it.
    """

    kind: CutKind
    what: str
    measured_from: str
    at: Ticks
    makes: tuple[NumberedPanel, ...] = ()
    role: CutRole = "within its drop"


def cuts_by_drop(job: Job, lay: PieceLay) -> Iterator[tuple[Drop, list[CutLine]]]:
    """The drops of one piece with their cuts, all in the order of work."""
    end = 0
    for drop in lay.drops:
        yield drop.drop, _drop_cuts(job, lay, drop, end)
        end = drop.drop.end


def _drop_cuts(job: Job, lay: PieceLay, drop: DropLay, before: Ticks) -> list[CutLine]:
    tape = job.tape
    name = f"Drop {drop.drop.number}"
    # Each cut with the numbers of the panels it runs along: the last to touch one sets it free.
    made: list[tuple[CutLine, set[int]]] = []
    if drop.drop.start > before:
        made.append((_opening_cut(job, lay, drop.drop, before), set()))
    made.append((_drop_off(job, lay, drop), {p.number for p in drop.panels}))
    across = sections(
        0,
        lay.cloth.width,
        [(s.left + lay.cloth.selvedge, s.right + lay.cloth.selvedge, s) for s in drop.strips],
    )
    for near, far, beyond in neighbours(across):
        what = f"{name}: cut lengthwise. Nearer you: {_band(tape, lay.cloth, near)}."
        if beyond:
            what += f" Beyond: {_band(tape, lay.cloth, far)}."
        touched = {p.number for s in (near, far) if s.item for p in s.item.panels}
        made.append((CutLine("lengthwise", what, "near edge", near.end), touched))
    for strip in drop.strips:
        made += _strip_cuts(tape, drop.drop, strip)
    freed: dict[int, list[NumberedPanel]] = {}
    for numbered in drop.panels:
        last = max(i for i, (_, touched) in enumerate(made) if numbered.number in touched)
        freed.setdefault(last, []).append(numbered)
    return [replace(cut, makes=tuple(freed.get(i, ()))) for i, (cut, _) in enumerate(made)]


def _opening_cut(job: Job, lay: PieceLay, drop: Drop, before: Ticks) -> CutLine:
    """The cut at a drop's start where cloth is left out before it."""
    length = job.tape.short(drop.start - before)
    if not before and drop.start <= job.make.square_up:
        what = f"Square up: cut {length} off, straight across."
    elif not before:
        what = f"Square up and come to the motif: cut {length} off, straight across."
    elif lay.motif is not None:
        what = f"Skip {length} to the motif: cut straight across."
    else:
        what = f"Cut straight across. {length} is left over."
    what += by_the_print(job, lay, drop.start)
    return CutLine("across the piece", what, _START, drop.start, role="opens its drop")


def _drop_off(job: Job, lay: PieceLay, drop: DropLay) -> CutLine:
    length = job.tape.short(drop.drop.end - drop.drop.start)
    if drop.drop.end == lay.use.length:
        what = f"The rest of the piece, {length} long, is drop {drop.drop.number}: true its end."
    else:
        what = f"Cut straight across: drop {drop.drop.number} comes off, {length} long."
        what += by_the_print(job, lay, drop.drop.end)
    return CutLine("across the piece", what, _START, drop.drop.end, role="drop comes off")


def _strip_cuts(tape: Tape, drop: Drop, strip: StripLay) -> list[tuple[CutLine, set[int]]]:
    """Cuts across one strip, then the trims of its panels."""
    made: list[tuple[CutLine, set[int]]] = []
    whole = f"Drop {drop.number}, strip of {strip.name}"
    for near, far, beyond in neighbours(strip.along(drop)):
        what = f"{whole}: cut straight across. Towards the start: {_block(tape, near)}."
        if beyond:
            what += f" Beyond: {_block(tape, far)}."
        touched = {s.item.number for s in (near, far) if s.item}
        from_ = f"start end of drop {drop.number}"
        made.append((CutLine("across a strip", what, from_, near.end - drop.start), touched))
    for numbered in strip.panels:
        number = numbered.number
        for near, far, _ in neighbours(strip.across(numbered)):
            waste = near if near.item is None else far
            left = tape.short(waste.end - waste.start)
            what = f"Panel {number}: trim lengthwise, {left} is left over."
            from_ = f"near edge of panel {number}'s strip"
            made.append((CutLine("trim", what, from_, near.end - strip.left), {number}))
    return made


def _band(tape: Tape, cloth: Cloth, band: Section[StripLay]) -> str:
    if band.item is None:
        width = band.end - band.start
        if width == cloth.selvedge and (band.start == 0 or band.end == cloth.width):
            return "the selvedge"
        return f"{tape.short(width)} left over"
    return band.item.name


def _block(tape: Tape, block: Section[NumberedPanel]) -> str:
    if block.item is None:
        return f"{tape.short(block.end - block.start)} left over"
    return f"panel {block.item.number}"
