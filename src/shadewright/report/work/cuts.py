"""The cuts of a plan in the order of work, for one person with scissors.

A drop is cut off the piece, then cut lengthwise into strips, each strip is cut across, and what is
still too wide is trimmed. Every position runs from zero, so that small errors do not add up.

A drop longer than its longest panel is cut as one goes (`as_one_goes`), each strip from its own
last cut, and comes off last.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Literal

from shadewright.cloth.plan import Drop
from shadewright.job.model import Cloth, Job
from shadewright.measure import Tape, Ticks
from shadewright.report.work.as_one_goes import Move, goes_along, moves, reach
from shadewright.report.work.laying import by_the_print, zero_inside
from shadewright.report.work.lays import DropLay, NumberedPanel, PieceLay, StripLay
from shadewright.report.work.sections import Section, neighbours, sections

CutKind = Literal["across the piece", "lengthwise", "across a strip", "trim"]
CutRole = Literal["opens its drop", "drop comes off", "within its drop"]
_START = "zero of the tape"


@dataclass(frozen=True)
class CutSide:
    """What lies on one side of a cut: panels, or a selvedge, or cloth that is left over.

    Attributes:
        size: of what holds no panel, square to the cut.
    """

    panels: tuple[NumberedPanel, ...] = ()
    size: Ticks = 0
    selvedge: bool = False


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
        to: how far along its piece it runs, or where it lies there, from zero, where its drop is
            cut as one goes.
        touches: numbers of the panels that it runs along.
        sides: what lies nearer than it, or towards the start, and what beyond, where that is told.
    """

    kind: CutKind
    what: str
    measured_from: str
    at: Ticks
    makes: tuple[NumberedPanel, ...] = ()
    role: CutRole = "within its drop"
    to: Ticks | None = None
    touches: tuple[int, ...] = ()
    sides: tuple[CutSide, ...] = ()


def cuts_by_drop(job: Job, lay: PieceLay) -> Iterator[tuple[Drop, list[CutLine]]]:
    """The drops of one piece with their cuts, all in the order of work."""
    for drop, before in zip(lay.drops, last_cuts(lay), strict=True):
        yield drop.drop, _drop_cuts(job, lay, drop, before)


def last_cuts(lay: PieceLay) -> Iterator[Ticks]:
    """Where the last cut across a piece lies before each of its drops, from zero; its start, where
    there is none."""
    end = 0
    for drop in lay.drops:
        # What was cut off since the plan before is no longer there to be cut off.
        yield end if lay.is_done(drop) else max(end, lay.begun)
        end = drop.drop.end


_Made = tuple[CutLine, set[int]]
"""A cut, with the numbers of the panels it runs along: the last to touch one sets it free."""


def _drop_cuts(job: Job, lay: PieceLay, drop: DropLay, before: Ticks) -> list[CutLine]:
    made: list[_Made] = []
    if drop.drop.start > before:
        made.append((_opening_cut(job, lay, drop.drop, before), set()))
    made += _along_drop(job, lay, drop) if goes_along(drop) else _off_first(job, lay, drop)
    freed: dict[int, list[NumberedPanel]] = {}
    for numbered in drop.panels:
        last = max(i for i, (_, touched) in enumerate(made) if numbered.number in touched)
        freed.setdefault(last, []).append(numbered)
    return [
        replace(cut, makes=tuple(freed.get(i, ())), touches=tuple(sorted(touched)))
        for i, (cut, touched) in enumerate(made)
    ]


def _across(lay: PieceLay, drop: DropLay) -> list[tuple[Section[StripLay], Section[StripLay]]]:
    """The lengthwise cuts of a drop: what lies nearer than each, and beyond it."""
    line = sections(
        0,
        lay.cloth.width,
        [(s.left + lay.cloth.selvedge, s.right + lay.cloth.selvedge, s) for s in drop.strips],
    )
    return list(pairwise(line))


def _off_first(job: Job, lay: PieceLay, drop: DropLay) -> list[_Made]:
    """The cuts of a drop that is cut off its piece first."""
    tape, name = job.tape, f"Drop {drop.drop.number}"
    made: list[_Made] = [(_drop_off(job, lay, drop), {p.number for p in drop.panels})]
    edges = _across(lay, drop)
    for near, far in edges:
        what = f"{name}: cut lengthwise. Nearer you: {_band(tape, lay.cloth, near)}."
        if (near, far) == edges[-1]:
            what += f" Beyond: {_band(tape, lay.cloth, far)}."
        touched = {p.number for s in (near, far) if s.item for p in s.item.panels}
        sides = _bands(lay.cloth, (near, far) if (near, far) == edges[-1] else (near,))
        made.append((CutLine("lengthwise", what, "near edge", near.end, sides=sides), touched))
    for strip in drop.strips:
        made += _strip_cuts(tape, drop.drop, strip)
    return made


def _along_drop(job: Job, lay: PieceLay, drop: DropLay) -> Iterator[_Made]:
    """The cuts of a drop that is cut as one goes: it comes off last."""
    tape, begun = job.tape, f"Drop {drop.drop.number}"
    flat = f" Cut as one goes: no more than {tape.short(reach(drop))} need lie flat at a time."
    depths = dict.fromkeys((near.end for near, _ in _across(lay, drop)), drop.drop.start)
    trims: list[_Made] = []
    for move in moves(drop):
        number = move.numbered.number
        for near, far in _across(lay, drop):
            if move.strip not in (near.item, far.item) or depths[near.end] >= move.end:
                continue
            depths[near.end] = move.end
            what = (
                f"{begun}: cut lengthwise, only as far as the end of panel {number}, "
                f"{tape.long(move.end)} from zero. Nearer you: {_band(tape, lay.cloth, near)}; "
                f"beyond: {_band(tape, lay.cloth, far)}.{flat}"
            )
            flat = ""
            sides = _bands(lay.cloth, (near, far))
            cut = CutLine("lengthwise", what, "near edge", near.end, to=move.end, sides=sides)
            yield cut, {number}
        own = _trims(tape, move.strip, move.numbered)
        trims += own if move.last else ()
        off_strip = _off_its_strip(tape, drop.drop, move, flat)
        yield from off_strip
        flat = "" if off_strip else flat
        if not move.last:
            yield from own
    last = {p.number for p in drop.panels if p.panel.y + p.panel.along == drop.drop.end}
    off = _drop_off(job, lay, drop)
    yield replace(off, what=off.what + flat), last
    yield from trims


def _off_its_strip(tape: Tape, drop: Drop, move: Move, flat: str) -> list[_Made]:
    """The cuts across a strip that take a panel off it: before it, where cloth is left out there,
    and behind it, unless the drop ends there."""
    number = move.numbered.number
    whole = f"Drop {drop.number}, strip of {move.strip.name}"
    panel = CutSide((move.numbered,))
    ends = [(move.end, f"panel {number} comes free", panel)] if not move.last else []
    if move.start > move.front:
        bare = move.start - move.front
        ends.insert(0, (move.start, f"{tape.short(bare)} left over", CutSide(size=bare)))
    at = move.front
    made: list[_Made] = []
    for end, what, side in ends:
        said = f"{whole}: cut straight across: {what}. Check: {tape.long(end)} from zero.{flat}"
        flat = ""
        from_ = "this strip's last cut" if at > drop.start else f"start end of drop {drop.number}"
        cut = CutLine("across a strip", said, from_, end - at, to=end, sides=(side,))
        made.append((cut, {number}))
        at = end
    return made


def _opening_cut(job: Job, lay: PieceLay, drop: Drop, before: Ticks) -> CutLine:
    """The cut at a drop's start where cloth is left out before it."""
    length = job.tape.short(drop.start - before)
    if not before and zero_inside(job, lay):
        what = "Square up: cut straight across. What lies before the cut is left over."
    elif not before and drop.start <= job.make.square_up:
        what = f"Square up: cut {length} off, straight across."
    elif not before:
        what = f"Square up and come to the motif: cut {length} off, straight across."
    elif lay.motif is not None:
        what = f"Leave out {length}, and cut straight across."
    else:
        what = f"Cut straight across. {length} is left over."
    what += by_the_print(job, lay, drop.start)
    return CutLine("across the piece", what, _START, drop.start, role="opens its drop")


def _drop_off(job: Job, lay: PieceLay, drop: DropLay) -> CutLine:
    length = job.tape.short(drop.drop.end - drop.drop.start)
    if drop.drop.end == lay.use.length:
        what = f"The rest of the piece, {length} long, is drop {drop.drop.number}: true its end."
    else:
        what = f"Cut straight across: drop {drop.drop.number} comes off."
        what += by_the_print(job, lay, drop.drop.end)
    return CutLine("across the piece", what, _START, drop.drop.end, role="drop comes off")


def _strip_cuts(tape: Tape, drop: Drop, strip: StripLay) -> list[_Made]:
    """Cuts across one strip, then the trims of its panels."""
    made: list[_Made] = []
    whole = f"Drop {drop.number}, strip of {strip.name}"
    for near, far, beyond in neighbours(strip.along(drop)):
        what = f"{whole}: cut straight across. Towards the start: {_block(tape, near)}."
        if beyond:
            what += f" Beyond: {_block(tape, far)}."
        touched = {s.item.number for s in (near, far) if s.item}
        from_ = f"start end of drop {drop.number}"
        sides = tuple(map(_side, (near, far) if beyond else (near,)))
        cut = CutLine("across a strip", what, from_, near.end - drop.start, sides=sides)
        made.append((cut, touched))
    for numbered in strip.panels:
        made += _trims(tape, strip, numbered)
    return made


def _trims(tape: Tape, strip: StripLay, numbered: NumberedPanel) -> list[_Made]:
    """The cuts that bring a panel to its width."""
    made: list[_Made] = []
    number = numbered.number
    for near, far, _ in neighbours(strip.across(numbered)):
        waste = near if near.item is None else far
        left = tape.short(waste.end - waste.start)
        what = f"Panel {number}: trim lengthwise, {left} is left over."
        from_ = f"near edge of panel {number}'s strip"
        sides = _side(near), _side(far)
        cut = CutLine("trim", what, from_, near.end - strip.left, sides=sides)
        made.append((cut, {number}))
    return made


def _band(tape: Tape, cloth: Cloth, band: Section[StripLay]) -> str:
    if band.item is None:
        if _is_selvedge(cloth, band):
            return "the selvedge"
        return f"{tape.short(band.end - band.start)} left over"
    return band.item.name


def _is_selvedge(cloth: Cloth, band: Section[StripLay]) -> bool:
    at_edge = band.start == 0 or band.end == cloth.width
    return at_edge and band.end - band.start == cloth.selvedge


def _bands(cloth: Cloth, bands: Iterable[Section[StripLay]]) -> tuple[CutSide, ...]:
    return tuple(
        CutSide(size=band.end - band.start, selvedge=_is_selvedge(cloth, band))
        if band.item is None
        else CutSide(band.item.panels)
        for band in bands
    )


def _side(section: Section[NumberedPanel]) -> CutSide:
    if section.item is None:
        return CutSide(size=section.end - section.start)
    return CutSide((section.item,))


def _block(tape: Tape, block: Section[NumberedPanel]) -> str:
    if block.item is None:
        return f"{tape.short(block.end - block.start)} left over"
    return f"panel {block.item.number}"
