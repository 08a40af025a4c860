"""From the search's answer to a plan: where every panel lies, and which shade it is for."""

from __future__ import annotations

from collections import Counter, defaultdict, deque
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from shadewright.cloth.plan import Drop, Panel, PieceUse, Plan, Shade, shade_id
from shadewright.job.model import Cloth, Job, Opening
from shadewright.measure import Ticks
from shadewright.solve.answer.across import lanes_across
from shadewright.solve.answer.bolts import bolts_bought, bolts_in_order
from shadewright.solve.answer.linings import laid_plain
from shadewright.solve.answer.proof import proof_of, totals_of
from shadewright.solve.answer.reached import reached
from shadewright.solve.answer.workshop import making
from shadewright.solve.packing.drops import CutLane
from shadewright.solve.packing.grid import Grid
from shadewright.solve.packing.lay import DropOnRoll
from shadewright.solve.packing.rows_apart import apart
from shadewright.solve.problem.kinds import CUT_ALREADY, Option, Problem, Rect
from shadewright.solve.problem.slots import Match
from shadewright.solve.problem.supply import Span
from shadewright.solve.search.found import Found
from shadewright.trade import divisions, sizes
from shadewright.trade.cords import draw_of

Row = tuple[str, int]
"""An opening and the number of its copy."""

Homes = Mapping[tuple[str, str], Mapping[Rect, Counter[Row]]]
"""By cloth and piece, how many of each rectangle are cut there for which copies."""


@dataclass(frozen=True)
class _WantedPanel:
    """One panel that a shade waits for.

    Attributes:
        row: the opening and its copy.
    """

    shade: str
    row: Row
    part: divisions.Part
    size: sizes.PanelSize


@dataclass(frozen=True)
class DropOnPiece:
    """A drop on its piece.

    Attributes:
        lot: dye lot of the piece; None where none is told apart.
        spans: places across that its lanes may lie in; the whole usable width if empty.
    """

    cloth: str
    piece: str
    lot: str | None
    laid: DropOnRoll
    spans: tuple[Span, ...] = ()


@dataclass
class _CutFor:
    """The copies of openings that a piece has panels for.

    Attributes:
        homes: those that it is decided for, and how many panels.
        here: those that it has panels of already.
    """

    homes: Mapping[Rect, Counter[Row]]
    here: set[Row] = field(default_factory=set)

    @classmethod
    def of(cls, homes: Mapping[Rect, Counter[Row]]) -> _CutFor:
        """Nothing cut yet."""
        return cls({rect: Counter(rows) for rect, rows in homes.items()})

    def next_of(self, waiting: deque[_WantedPanel], rect: Rect) -> _WantedPanel:
        """The next shade that waits for a rectangle: one that it is decided for, else one whose
        neighbours are cut from this piece, before others."""
        decided = self.homes.get(rect, Counter())
        place = next((i for i, each in enumerate(waiting) if decided[each.row] > 0), None)
        if place is None:
            place = next((i for i, each in enumerate(waiting) if each.row in self.here), 0)
        wanted = waiting[place]
        del waiting[place]
        decided[wanted.row] -= 1
        self.here.add(wanted.row)
        return wanted


# An option with the dye lot of each cloth it is cut from, where lots are told apart.
_Choice = tuple[Option, Mapping[str, str | None]]


def to_plan(
    job: Job,
    problem: Problem,
    groups: Sequence[Sequence[Opening]],
    found: Found,
    kept: Kept | None = None,
    *,
    homes: Homes | None = None,
) -> Plan:
    """The plan of a search's answer, its boards and rods not yet cut from sticks; openings that
    are left out have no shades.

    Args:
        groups: the openings that each kind of the problem stands for.
        kept: what is cut already, and stays.
        homes: for whom panels are cut from which piece, where that is decided.
    """
    by_lot = job.match.lots != "none"
    chosen = [
        [
            None if taken.option is None else (taken.option, dict(taken.lots) if by_lot else {})
            for taken, count in row
            for _ in range(count)
        ]
        for row in found.candidate.chosen
    ]
    rects = {roll.name: problem.rects(roll) for roll in problem.rolls}
    laid = []
    for part in found.candidate.parts:
        stretch, roll = part.stretch, part.roll
        grid = Grid.of(roll, rects[stretch.cloth])
        joint = len(roll.nodes) == 1 and not part.laid
        cuts = apart(grid, part.drops) if joint else part.drops
        lot = stretch.lot if by_lot else None
        laid += [
            DropOnPiece(stretch.cloth, stretch.piece, lot, drop, part.spans)
            for drop in part.laid or laid_plain(roll, cuts)
        ]
    asked = _Request(job, problem, groups, kept or Kept((), ()), homes or {})
    return _plan(asked, chosen, laid, found)


@dataclass(frozen=True)
class Kept:
    """Drops that are cut already, and those of their panels that are good.

    Attributes:
        counted: the highest number that such a drop had on each piece, by cloth and piece, one of
            which nothing is left counted in. Drops keep their numbers, and others count on.
    """

    drops: Sequence[Drop]
    panels: Sequence[Panel]
    counted: Mapping[tuple[str, str], int] = field(default_factory=dict)


@dataclass(frozen=True)
class _Request:
    """A job, its problem, the openings that each kind of that stands for, what is cut, and for whom
    panels are cut."""

    job: Job
    problem: Problem
    groups: Sequence[Sequence[Opening]]
    kept: Kept
    homes: Homes


def _plan(
    asked: _Request,
    chosen: Sequence[Sequence[_Choice | None]],
    laid: Sequence[DropOnPiece],
    found: Found,
) -> Plan:
    job = asked.job
    shades: list[Shade] = []
    waiting: dict[tuple[Rect, str | None], deque[_WantedPanel]] = defaultdict(deque)
    taken = _choice_by_copy(asked.groups, chosen)
    for opening in job.openings:
        for copy in range(1, opening.copies + 1):
            choice = taken[opening.name, copy]
            if choice is None:
                continue
            option, lots = choice
            for shade, rects in zip(_hang(job, opening, copy, option), option.cut, strict=True):
                shades.append(shade)
                sizes_of = divisions.panels(job, opening, option.way, shade.finished_width)
                for (part, size), rect in zip(sizes_of.items(), rects, strict=True):
                    if rect.roll == CUT_ALREADY:
                        continue
                    wanted = _WantedPanel(shade.id, (opening.name, copy), part, size)
                    waiting[rect, lots.get(rect.roll)].append(wanted)

    panels, drops, pieces = _cut(asked, laid, waiting)
    totals = totals_of(job, shades, panels, pieces)
    return Plan(
        job=job.title,
        proof=proof_of(found, reached(job, shades, panels, pieces)),
        shades=shades,
        panels=panels,
        drops=drops,
        pieces=pieces,
        making=making(job, shades),
        wood=[],
        totals=totals,
    )


def _cut(
    asked: _Request,
    laid: Sequence[DropOnPiece],
    waiting: Mapping[tuple[Rect, str | None], deque[_WantedPanel]],
) -> tuple[list[Panel], list[Drop], list[PieceUse]]:
    """What is cut from every piece in turn, those on hand first."""
    job = asked.job
    panels: list[Panel] = []
    drops: list[Drop] = []
    pieces: list[PieceUse] = []
    for cloth in job.cloths:
        mine = [each for each in laid if each.cloth == cloth.name]
        kept = [drop for drop in asked.kept.drops if drop.cloth == cloth.name]
        on_hand = {piece.name: piece.length for piece in cloth.pieces}
        bolts = bolts_in_order([*(x.piece for x in mine), *(d.piece for d in kept)])
        used: dict[str, Ticks] = {}
        for name in (*on_hand, *bolts):
            old = [d for d in kept if d.piece == name]
            new = [x for x in mine if x.piece == name]
            ends = [0]
            rows = _CutFor.of(asked.homes.get((cloth.name, name), {}))
            last = asked.kept.counted.get((cloth.name, name), 0)
            for start, each in _in_order(old, new):
                if isinstance(each, Drop):
                    drops.append(each)
                    panels += _panels_of(asked.kept.panels, each)
                else:
                    last += 1
                    panels += _panels(each, last, waiting, rows)
                    end = each.laid.end
                    drops.append(
                        Drop(cloth=cloth.name, piece=name, number=last, start=start, end=end)
                    )
                ends.append(drops[-1].end)
            if len(ends) > 1 and name in on_hand:
                pieces.append(_on_hand(cloth, name, on_hand[name], max(ends)))
            elif len(ends) > 1:
                used[name] = max(ends)
        allowance = Match(job, cloth).roll().allowance
        pieces += bolts_bought(job, cloth, used, allowance, panels)
    return panels, drops, pieces


def _in_order(
    old: Sequence[Drop], new: Sequence[DropOnPiece]
) -> list[tuple[Ticks, Drop | DropOnPiece]]:
    """Drops that are cut and those to be cut, each with its start, in order along their piece."""
    found: list[tuple[Ticks, Drop | DropOnPiece]] = [(drop.start, drop) for drop in old]
    found += [(drop.laid.start, drop) for drop in new]
    return sorted(found, key=lambda each: each[0])


def _panels_of(panels: Sequence[Panel], drop: Drop) -> list[Panel]:
    """Those of a drop."""
    where = drop.cloth, drop.piece, drop.number
    return [panel for panel in panels if (panel.cloth, panel.piece, panel.drop) == where]


def _on_hand(cloth: Cloth, name: str, length: Ticks, used: Ticks) -> PieceUse:
    return PieceUse(cloth=cloth.name, piece=name, bought=False, length=length, used=used, cost=0)


def _choice_by_copy(
    groups: Sequence[Sequence[Opening]], chosen: Sequence[Sequence[_Choice | None]]
) -> dict[tuple[str, int], _Choice | None]:
    """What each copy of each opening takes: alike ones take theirs in order."""
    taken: dict[tuple[str, int], _Choice | None] = {}
    for openings, row in zip(groups, chosen, strict=True):
        choices = iter(row)
        for opening in openings:
            for copy in range(1, opening.copies + 1):
                taken[opening.name, copy] = next(choices)
    return taken


def _hang(job: Job, opening: Opening, copy: int, option: Option) -> Iterator[Shade]:
    """The shades of one opening, left to right."""
    count = option.shades
    lefts = divisions.lefts(opening, option.widths, job.step)
    for place, (left, width) in enumerate(zip(lefts, option.widths, strict=True), 1):
        yield Shade(
            id=shade_id(opening.name, copy, place, count),
            opening=opening.name,
            copy=copy,
            place=place,
            of=count,
            left=left,
            finished_width=width,
            finished_length=divisions.finished_length(job.make, opening),
            draw=draw_of(opening, place, count),
            cloth=opening.cloth,
        )


def _panels(
    on: DropOnPiece,
    number: int,
    waiting: Mapping[tuple[Rect, str | None], deque[_WantedPanel]],
    rows: _CutFor,
) -> Iterator[Panel]:
    """The panels of one drop, each for a shade that waits for its size."""
    laid = on.laid
    for rect, x, y in _places(laid, on.spans):
        wanted = rows.next_of(waiting[rect, on.lot], rect)
        yield Panel(
            shade=wanted.shade,
            part=wanted.part,
            cloth=on.cloth,
            piece=on.piece,
            drop=number,
            x=x,
            y=y,
            across=rect.across,
            along=rect.along,
            railroaded=wanted.size.railroaded,
            hem_left=wanted.size.hem_left,
            hem_top=wanted.size.hem_top,
        )


def _places(laid: DropOnRoll, spans: tuple[Span, ...]) -> Iterator[tuple[Rect, Ticks, Ticks]]:
    """The rectangles of a drop, each with its place across and along."""
    if laid.across:
        for lane, xs, ys in zip(laid.drop.lanes, laid.across, laid.places, strict=True):
            yield from zip(lane.rects, xs, ys, strict=True)
        return
    # Lanes may be equal, and each then has places of its own.
    places: dict[CutLane, deque[tuple[Ticks, ...]]] = defaultdict(deque)
    for lane, at in zip(laid.drop.lanes, laid.places, strict=True):
        places[lane].append(at)
    for lane, left in lanes_across(laid.drop, spans):
        yield from zip(lane.rects, lane.places(left), places[lane].popleft(), strict=True)
