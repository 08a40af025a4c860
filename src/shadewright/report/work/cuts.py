"""The cuts of a plan in the order of work, for one person with scissors.

A drop is cut off the piece, then cut lengthwise into strips, each strip is cut across, and what is
still too wide is trimmed. Every position runs from zero, so that small errors do not add up.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import cached_property
from itertools import pairwise
from typing import Generic, Literal, TypeVar

from shadewright.cloth import lattice
from shadewright.cloth.plan import Drop, Panel, PieceUse, Plan
from shadewright.job.model import Cloth, Job
from shadewright.measure import TICKS, Tape, Ticks, nearest, nearest_to
from shadewright.trade.buying import start_allowance

CutKind = Literal["across the piece", "lengthwise", "across a strip", "trim"]
CutRole = Literal["opens its drop", "drop comes off", "within its drop"]
T = TypeVar("T")


@dataclass(frozen=True)
class NumberedPanel:
    """A panel and its number in the order of work, by which sheets and pictures call it."""

    number: int
    panel: Panel


@dataclass(frozen=True)
class StripLay:
    """Panels of one drop that hang together when it has been cut lengthwise."""

    left: Ticks
    right: Ticks
    panels: tuple[NumberedPanel, ...]


@dataclass(frozen=True)
class DropLay:
    """A drop with its strips, from the near edge on."""

    drop: Drop
    strips: tuple[StripLay, ...]

    @cached_property
    def panels(self) -> tuple[NumberedPanel, ...]:
        return tuple(panel for strip in self.strips for panel in strip.panels)


@dataclass(frozen=True)
class PieceLay:
    """A piece of cloth with its drops in cutting order.

    Attributes:
        motif: from zero of the tape to a motif along the piece; None where none is looked at.
    """

    cloth: Cloth
    use: PieceUse
    drops: tuple[DropLay, ...]
    motif: Ticks | None = None

    @cached_property
    def panels(self) -> tuple[NumberedPanel, ...]:
        return tuple(panel for drop in self.drops for panel in drop.panels)


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


@dataclass(frozen=True)
class Offcut:
    """A rectangle of usable cloth that no panel takes; `drop` is None where it lies in none."""

    use: PieceUse
    drop: int | None
    where: str
    x: Ticks
    y: Ticks
    across: Ticks
    along: Ticks

    @property
    def area(self) -> int:
        """In square ticks."""
        return self.across * self.along


@dataclass(frozen=True)
class Section(Generic[T]):
    """Part of a line: what lies there, or None where nothing does."""

    start: Ticks
    end: Ticks
    item: T | None


def sections(start: Ticks, end: Ticks, items: Sequence[tuple[Ticks, Ticks, T]]) -> list[Section[T]]:
    """Split a line into the given disjoint, ascending items and the bare parts between them."""
    found: list[Section[T]] = []
    at = start
    for low, high, item in items:
        if low > at:
            found.append(Section(at, low, None))
        found.append(Section(low, high, item))
        at = high
    if end > at:
        found.append(Section(at, end, None))
    return found


def lay_out(job: Job, plan: Plan) -> list[PieceLay]:
    """The pieces of a plan, their drops, strips and panels, all in the order of work."""
    number = 0
    pieces = []
    by_drop: dict[tuple[str, str, int], list[Panel]] = {}
    for panel in plan.panels:
        by_drop.setdefault((panel.cloth, panel.piece, panel.drop), []).append(panel)
    for use in plan.pieces:
        where = (use.cloth, use.piece)
        drops = []
        for drop in sorted(
            (d for d in plan.drops if (d.cloth, d.piece) == where), key=lambda d: d.start
        ):
            strips = []
            for group in _strips(by_drop.get((*where, drop.number), [])):
                numbered = tuple(NumberedPanel(number + i, p) for i, p in enumerate(group, 1))
                number += len(group)
                strips.append(
                    StripLay(min(p.x for p in group), max(p.x + p.across for p in group), numbered)
                )
            drops.append(DropLay(drop, tuple(strips)))
        cloth = job.cloth(use.cloth)
        pieces.append(PieceLay(cloth, use, tuple(drops), first_motif(job, plan, use)))
    return pieces


def _strips(panels: list[Panel]) -> list[list[Panel]]:
    """Group a drop's panels by connected overlap across the cloth."""
    groups: list[list[Panel]] = []
    reach = 0
    for panel in sorted(panels, key=lambda p: (p.x, p.y)):
        if groups and panel.x < reach:
            groups[-1].append(panel)
        else:
            groups.append([panel])
        reach = max(reach, panel.x + panel.across)
    return [sorted(group, key=lambda p: p.y) for group in groups]


def allowance(job: Job, lay: PieceLay) -> Ticks:
    """How far from its cut end this piece may be begun: the repeat that was bought to spare."""
    faces = [p.panel for p in lay.panels if p.panel.part == "face"]
    if not lay.use.bought or not faces:
        return 0
    return start_allowance(job, lay.cloth, faces[0].railroaded)


def first_motif(job: Job, plan: Plan, use: PieceUse) -> Ticks | None:
    """From zero of the tape to a motif along a piece, less than a repeat; None on cloth cut plain.

    Where the start of the bolt is unknown, zero is laid on a motif row. On railroaded cloth with
    motifs on centre lines it is the faces that say where motifs lie.
    """
    cloth = job.cloth(use.cloth)
    faces = [
        p for p in plan.panels if p.part == "face" and (p.cloth, p.piece) == (use.cloth, use.piece)
    ]
    strategy = job.strategy(cloth)
    if strategy == "plain" or not faces:
        return None
    if not use.bought:
        return next((piece.start or 0 for piece in cloth.pieces if piece.name == use.piece), 0)
    if cloth.start != "any":
        return 0 if cloth.start == "motif" else cloth.start
    if cloth.runs != "railroaded" or strategy == "level" or not cloth.repeat_across:
        return _first_row(job, plan, cloth, faces)
    face = faces[0]
    shade = plan.shade(face.shade)
    opening = job.opening(shade.opening)
    middle = Fraction(shade.finished_width, 2)
    if strategy == "continuous":
        middle = Fraction(opening.width, 2) - shade.left
    beside = Fraction(cloth.repeat_across, 2) if job.match.centre_on == "between" else 0
    return nearest(
        (face.y + face.hem_left + middle / (1 - cloth.shrink_down) - beside) % cloth.repeat_across
    )


def _first_row(job: Job, plan: Plan, cloth: Cloth, faces: Sequence[Panel]) -> Ticks:
    """The first motif row of a bolt whose start is unknown: at zero, unless rows must agree with
    those of pieces on hand, whose motifs are where they are."""
    level = lattice.level(cloth)
    if job.match.across == "opening" or level is None or cloth.runs == "railroaded":
        return 0
    starts = {piece.name: piece.start or 0 for piece in cloth.pieces}
    known = [
        p for p in plan.panels if p.part == "face" and p.cloth == cloth.name and p.piece in starts
    ]
    if not known:
        return 0
    points = lattice.points(job, cloth)
    there = [anchor_row(job, plan, p) - starts[p.piece] for p in known]
    here = [anchor_row(job, plan, p) for p in faces]
    base = points.start_of(there)
    first = points.start_of(here)
    if base is None or first is None:
        base, first = there[0], here[0]
    return (first - base) % level.rows


def anchor_row(job: Job, plan: Plan, panel: Panel) -> Ticks:
    """Where the height that rows are matched at lies along the motif's vertical on the roll."""
    shade = plan.shade(panel.shade)
    opening = job.opening(shade.opening)
    size = shade.finished_width, shade.finished_length
    row = lattice.anchor(job, job.cloth(panel.cloth), opening, shade.left, size).row
    return (panel.x if panel.railroaded else panel.y) + panel.hem_top + row


def flaws_said(job: Job, lay: PieceLay) -> str:
    """Where the flaws of a piece lie, as a sentence; empty where it has none."""
    tape = job.tape
    flaws = next((p.flaws for p in lay.cloth.pieces if p.name == lay.use.piece), ())
    if lay.use.bought or not flaws:
        return ""
    said = []
    for flaw in flaws:
        where = f"{tape.long(flaw.start)} to {tape.long(flaw.end)}"
        if flaw.left is not None and flaw.right is not None:
            where += f", {tape.short(flaw.left)} to {tape.short(flaw.right)} from the near edge"
        said.append(where)
    return f" Flaws that no panel touches: {'; '.join(said)}."


def beginning(job: Job, lay: PieceLay) -> str:
    """How a piece is laid, where zero of the tape lies on it, and where its flaws are, in words."""
    return _zero(job, lay) + flaws_said(job, lay)


def _zero(job: Job, lay: PieceLay) -> str:
    tape = job.tape
    if lay.motif is None:
        return "Zero of the tape is the cut end of the piece."
    kind = "motif row"
    said = ""
    if lay.cloth.runs == "railroaded":
        kind = "motif"
        said = "Lay this cloth with the tops of its motifs towards the near edge. "
        if job.strategy(lay.cloth) == "continuous":
            said = (
                "Lay this cloth wrong side up, with the tops of its motifs towards the near edge, "
                "so that the print runs on from shade to shade. "
            )
    spare = allowance(job, lay)
    if spare and lay.motif:
        return said + (
            f"Zero of the tape lies {tape.short(lay.motif)} before a {kind}: the first place like "
            f"that is within {tape.short(spare)} of the cut end, and so much was bought to spare."
        )
    if spare:
        return said + (
            f"Zero of the tape is the first {kind}: it lies within {tape.short(spare)} of the cut "
            "end, and so much was bought to spare. Another height of the print will do as well, if "
            "everything is measured from there."
        )
    place = f"{tape.short(lay.motif)} from the cut end" if lay.motif else "at the cut end"
    return said + (
        f"Zero of the tape is the cut end of the piece. Its first {kind} must lie {place}: look "
        "before the first cut."
    )


def by_the_print(job: Job, lay: PieceLay, at: Ticks) -> str:
    """Where a cut across the piece lies by the print, as a sentence; empty on cloth cut plain.

    Rows count in whichever column their motif is; where columns stand at many heights, in one.
    """
    cloth = lay.cloth
    railroaded = cloth.runs == "railroaded"
    if railroaded and job.strategy(cloth) == "level":
        return ""
    level = lattice.level(cloth)
    if lay.motif is None or level is None:
        return ""
    name, every = "motif row", level.rows
    if railroaded:
        name, every = "motif", cloth.repeat_across or 0
    elif len(level.heights) > 1:
        column = job.tape.short(cloth.motif_at + cloth.selvedge)
        name = f"motif in the column {column} from the near edge"
    if not every:
        return ""
    past = (at - lay.motif) % every
    beyond, before = nearest_to(past, job.step), nearest_to(every - past, job.step)
    if not beyond or not before:
        return f" By the print: at a {name}."
    if past <= every - past:
        return f" By the print: {job.tape.short(past)} past a {name}."
    return f" By the print: {job.tape.short(every - past)} before a {name}."


def cuts(job: Job, lay: PieceLay) -> list[CutLine]:
    """Every cut of one piece, in the order of work."""
    return [cut for _, these in cuts_by_drop(job, lay) for cut in these]


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
    for near, far, beyond in _neighbours(across):
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
    elif job.strategy(lay.cloth) != "plain":
        what = f"Skip {length} to the motif: cut straight across."
    else:
        what = f"Cut straight across. {length} is left over."
    what += by_the_print(job, lay, drop.start)
    return CutLine(
        "across the piece", what, "start of the piece", drop.start, role="opens its drop"
    )


def _drop_off(job: Job, lay: PieceLay, drop: DropLay) -> CutLine:
    length = job.tape.short(drop.drop.end - drop.drop.start)
    if drop.drop.end == lay.use.length:
        what = f"The rest of the piece, {length} long, is drop {drop.drop.number}: true its end."
    else:
        what = f"Cut straight across: drop {drop.drop.number} comes off, {length} long."
        what += by_the_print(job, lay, drop.drop.end)
    return CutLine(
        "across the piece", what, "start of the piece", drop.drop.end, role="drop comes off"
    )


def _strip_cuts(tape: Tape, drop: Drop, strip: StripLay) -> list[tuple[CutLine, set[int]]]:
    """Cuts across one strip, then the trims of its panels."""
    made: list[tuple[CutLine, set[int]]] = []
    whole = f"Drop {drop.number}, strip of {panel_names(strip.panels)}"
    along = sections(
        drop.start,
        drop.end,
        [(p.panel.y, p.panel.y + p.panel.along, p) for p in strip.panels],
    )
    for near, far, beyond in _neighbours(along):
        what = f"{whole}: cut straight across. Towards the start: {_block(tape, near)}."
        if beyond:
            what += f" Beyond: {_block(tape, far)}."
        touched = {s.item.number for s in (near, far) if s.item}
        at = near.end - drop.start
        made.append(
            (CutLine("across a strip", what, f"start end of drop {drop.number}", at), touched)
        )
    for numbered in strip.panels:
        panel = numbered.panel
        over = sections(strip.left, strip.right, [(panel.x, panel.x + panel.across, numbered)])
        for near, far, _ in _neighbours(over):
            waste = near if near.item is None else far
            what = (
                f"Panel {numbered.number}: trim lengthwise, "
                f"{tape.short(waste.end - waste.start)} is left over."
            )
            at = near.end - strip.left
            made.append(
                (CutLine("trim", what, f"near edge of panel {numbered.number}'s strip", at),
                 {numbered.number})
            )  # fmt: skip
    return made


def _neighbours(line: list[Section[T]]) -> list[tuple[Section[T], Section[T], bool]]:
    """Each cut of a line: what lies before it, what after, and whether it is the last cut."""
    return [(a, b, i == len(line) - 2) for i, (a, b) in enumerate(pairwise(line))]


def _band(tape: Tape, cloth: Cloth, band: Section[StripLay]) -> str:
    if band.item is None:
        width = band.end - band.start
        if width == cloth.selvedge and (band.start == 0 or band.end == cloth.width):
            return "the selvedge"
        return f"{tape.short(width)} left over"
    return panel_names(band.item.panels)


def _block(tape: Tape, block: Section[NumberedPanel]) -> str:
    if block.item is None:
        return f"{tape.short(block.end - block.start)} left over"
    return f"panel {block.item.number}"


def panel_names(panels: Sequence[NumberedPanel]) -> str:
    """``panel 4``, or ``panels 4, 5 and 6``."""
    numbers = [str(p.number) for p in panels]
    if len(numbers) == 1:
        return f"panel {numbers[0]}"
    return f"panels {', '.join(numbers[:-1])} and {numbers[-1]}"


def least_offcut(job: Job) -> Ticks:
    """The smallest side of an offcut worth keeping: 6 in, or 15 cm."""
    return 15 * TICKS["cm"] if job.metric else 6 * TICKS["in"]


def offcuts(job: Job, lays: list[PieceLay]) -> list[Offcut]:
    """What is left of every piece in rectangles worth keeping, largest first.

    They are what the cuts leave, so no two share cloth.
    """
    least = least_offcut(job)
    found = [
        offcut
        for lay in lays
        for offcut in _piece_offcuts(lay)
        if min(offcut.across, offcut.along) >= least
    ]
    return sorted(found, key=lambda o: -o.area)


def _piece_offcuts(lay: PieceLay) -> Iterator[Offcut]:
    """What is left of a piece, its flaws left out."""
    flaws = next((p.flaws for p in lay.cloth.pieces if p.name == lay.use.piece), ())
    found = list(_bare(lay))
    for flaw in () if lay.use.bought else flaws:
        left, right = 0, lay.cloth.usable
        if flaw.left is not None and flaw.right is not None:
            left, right = flaw.left - lay.cloth.selvedge, flaw.right - lay.cloth.selvedge
        found = [
            part
            for offcut in found
            for part in _around(offcut, (left, flaw.start), (right, flaw.end))
        ]
    return iter(found)


def _around(
    offcut: Offcut, start: tuple[Ticks, Ticks], end: tuple[Ticks, Ticks]
) -> Iterator[Offcut]:
    """An offcut without a flaw: what lies before it, beside it and behind it."""
    left, right = max(start[0], offcut.x), min(end[0], offcut.x + offcut.across)
    low, high = max(start[1], offcut.y), min(end[1], offcut.y + offcut.along)
    if left >= right or low >= high:
        yield offcut
        return
    yield replace(offcut, along=low - offcut.y)
    yield replace(offcut, y=high, along=offcut.y + offcut.along - high)
    yield replace(offcut, y=low, along=high - low, across=left - offcut.x)
    yield replace(offcut, x=right, y=low, along=high - low, across=offcut.x + offcut.across - right)


def _bare(lay: PieceLay) -> Iterator[Offcut]:
    width = lay.cloth.usable
    at = 0
    for drop in lay.drops:
        where = f"skipped before drop {drop.drop.number}"
        yield Offcut(lay.use, None, where, 0, at, width, drop.drop.start - at)
        yield from _drop_offcuts(lay, drop)
        at = drop.drop.end
    yield Offcut(lay.use, None, "end of the piece", 0, at, width, lay.use.length - at)


def _drop_offcuts(lay: PieceLay, drop: DropLay) -> Iterator[Offcut]:
    number, height = drop.drop.number, drop.drop.end - drop.drop.start
    begin = drop.drop.start
    for band in sections(0, lay.cloth.usable, [(s.left, s.right, s) for s in drop.strips]):
        wide = band.end - band.start
        if band.item is None:
            where = "beside the panels, as long as the drop"
            yield Offcut(lay.use, number, where, band.start, begin, wide, height)
            continue
        strip = band.item
        for block in sections(
            begin,
            drop.drop.end,
            [(p.panel.y, p.panel.y + p.panel.along, p) for p in strip.panels],
        ):
            long = block.end - block.start
            if block.item is None:
                where = f"in the strip of {panel_names(strip.panels)}"
                yield Offcut(lay.use, number, where, band.start, block.start, wide, long)
                continue
            panel = block.item.panel
            for trim in sections(
                strip.left, strip.right, [(panel.x, panel.x + panel.across, block.item)]
            ):
                if trim.item is None:
                    where = f"beside panel {block.item.number}"
                    size = trim.end - trim.start, long
                    yield Offcut(lay.use, number, where, trim.start, block.start, *size)
