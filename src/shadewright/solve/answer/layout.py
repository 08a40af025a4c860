"""From the search's answer to a plan: where every panel lies, and which shade it is for."""

from __future__ import annotations

from collections import defaultdict, deque
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import product

from shadewright.cloth.plan import (
    Drop,
    Goal,
    Panel,
    PieceUse,
    Plan,
    Proof,
    Shade,
    Totals,
    shade_id,
)
from shadewright.job.model import Cloth, Job, Opening
from shadewright.measure import Ticks
from shadewright.solve.answer.bolts import bolts_bought, bolts_in_order
from shadewright.solve.answer.linings import laid_plain
from shadewright.solve.answer.reached import as_number, money_spent, reached
from shadewright.solve.answer.workshop import making
from shadewright.solve.packing.drops import CutDrop, CutLane, arranged
from shadewright.solve.packing.grid import Grid
from shadewright.solve.packing.lay import Laid
from shadewright.solve.packing.rows_apart import apart
from shadewright.solve.problem.kinds import CUT_ALREADY, Option, Problem, Rect
from shadewright.solve.problem.slots import Match
from shadewright.solve.problem.supply import Span
from shadewright.solve.search.candidate import Taken
from shadewright.solve.search.found import Found
from shadewright.solve.search.goals import GoalName
from shadewright.trade import divisions, sizes
from shadewright.trade.cords import draw_of


@dataclass(frozen=True)
class _Wanted:
    """One panel that a shade waits for.

    Attributes:
        row: the opening and its copy.
    """

    shade: str
    row: tuple[str, int]
    part: divisions.Part
    size: sizes.PanelSize


@dataclass(frozen=True)
class _Laid:
    """A drop on its piece.

    Attributes:
        lot: dye lot of the piece; None where none is told apart.
        spans: places across that its lanes may lie in; the whole usable width if empty.
    """

    cloth: str
    piece: str
    lot: str | None
    laid: Laid
    spans: tuple[Span, ...] = ()


# An option with the dye lot of each cloth it is cut from, where lots are told apart.
_Choice = tuple[Option, Mapping[str, str | None]]


def to_plan(
    job: Job,
    problem: Problem,
    groups: Sequence[Sequence[Opening]],
    found: Found,
    kept: Kept | None = None,
) -> Plan:
    """The plan of a search's answer, its boards and rods not yet cut from sticks; openings that
    are left out have no shades.

    Args:
        groups: the openings that each kind of the problem stands for.
        kept: what is cut already, and stays.
    """
    chosen = [
        [
            None if taken.option is None else (taken.option, _lots(job, taken))
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
        lot = stretch.lot if job.match.lots != "none" else None
        laid += [
            _Laid(stretch.cloth, stretch.piece, lot, drop, part.spans)
            for drop in part.laid or laid_plain(roll, cuts)
        ]
    asked = _Asked(job, problem, groups, kept or Kept((), ()))
    return _plan(asked, chosen, laid, found)


def _lots(job: Job, taken: Taken) -> Mapping[str, str | None]:
    """The dye lots that an option is cut from, where a job asks for one."""
    return dict(taken.lots) if job.match.lots != "none" else {}


@dataclass(frozen=True)
class Kept:
    """Drops that are cut already, and those of their panels that are good."""

    drops: Sequence[Drop]
    panels: Sequence[Panel]


@dataclass(frozen=True)
class _Asked:
    """A job, its problem, the openings that each kind of that stands for, and what is cut."""

    job: Job
    problem: Problem
    groups: Sequence[Sequence[Opening]]
    kept: Kept = Kept((), ())


def _plan(
    asked: _Asked,
    chosen: Sequence[Sequence[_Choice | None]],
    laid: Sequence[_Laid],
    found: Found,
) -> Plan:
    job = asked.job
    shades: list[Shade] = []
    waiting: dict[tuple[Rect, str | None], deque[_Wanted]] = defaultdict(deque)
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
                    wanted = _Wanted(shade.id, (opening.name, copy), part, size)
                    waiting[rect, lots.get(rect.roll)].append(wanted)

    panels, drops, pieces = _cut(asked, laid, waiting)
    totals = _totals(job, shades, panels, pieces)
    return Plan(
        job=job.title,
        proof=_proof(found, reached(job, shades, panels, pieces)),
        shades=shades,
        panels=panels,
        drops=drops,
        pieces=pieces,
        making=making(job, shades),
        wood=[],
        totals=totals,
    )


def _cut(
    asked: _Asked,
    laid: Sequence[_Laid],
    waiting: Mapping[tuple[Rect, str | None], deque[_Wanted]],
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
            rows: set[tuple[str, int]] = set()
            for number, (start, _, each) in enumerate(_in_order(old, new), 1):
                if isinstance(each, Drop):
                    ends.append(each.end)
                    panels += _moved(asked.kept.panels, each, number)
                else:
                    ends.append(each.laid.end)
                    panels += _panels(each, number, waiting, rows)
                drops.append(
                    Drop(cloth=cloth.name, piece=name, number=number, start=start, end=ends[-1])
                )
            if len(ends) > 1 and name in on_hand:
                pieces.append(_on_hand(cloth, name, on_hand[name], max(ends)))
            elif len(ends) > 1:
                used[name] = max(ends)
        allowance = Match(job, cloth).roll().allowance
        pieces += bolts_bought(job, cloth, used, allowance, panels)
    return panels, drops, pieces


def _in_order(old: Sequence[Drop], new: Sequence[_Laid]) -> list[tuple[Ticks, int, Drop | _Laid]]:
    """Drops that are cut and those to be cut, in order along their piece."""
    found: list[tuple[Ticks, int, Drop | _Laid]] = [(d.start, i, d) for i, d in enumerate(old)]
    found += [(x.laid.start, len(old) + i, x) for i, x in enumerate(new)]
    return sorted(found, key=lambda each: each[:2])


def _moved(panels: Sequence[Panel], drop: Drop, number: int) -> list[Panel]:
    """The panels of a drop that is cut, under the number it has now."""
    where = drop.cloth, drop.piece, drop.number
    return [
        panel.model_copy(update={"drop": number})
        for panel in panels
        if (panel.cloth, panel.piece, panel.drop) == where
    ]


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
    on: _Laid,
    number: int,
    waiting: Mapping[tuple[Rect, str | None], deque[_Wanted]],
    rows: set[tuple[str, int]],
) -> Iterator[Panel]:
    """The panels of one drop, each for a shade that waits for its size.

    Args:
        rows: the copies of openings that this piece has panels of already.
    """
    laid = on.laid
    for rect, x, y in _places(laid, on.spans):
        wanted = _next_wanted(waiting[rect, on.lot], rows)
        rows.add(wanted.row)
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


def _places(laid: Laid, spans: tuple[Span, ...]) -> Iterator[tuple[Rect, Ticks, Ticks]]:
    """The rectangles of a drop, each with its place across and along."""
    if laid.across:
        for lane, xs, ys in zip(laid.drop.lanes, laid.across, laid.places, strict=True):
            yield from zip(lane.rects, xs, ys, strict=True)
        return
    # Lanes may be equal, and each then has places of its own.
    places: dict[CutLane, deque[tuple[Ticks, ...]]] = defaultdict(deque)
    for lane, at in zip(laid.drop.lanes, laid.places, strict=True):
        places[lane].append(at)
    for lane, left in _across(laid.drop, spans):
        yield from zip(lane.rects, lane.places(left), places[lane].popleft(), strict=True)


def _next_wanted(waiting: deque[_Wanted], rows: Collection[tuple[str, int]]) -> _Wanted:
    """The next shade that waits, before others one whose neighbours are cut from this piece."""
    place = next((i for i, wanted in enumerate(waiting) if wanted.row in rows), 0)
    wanted = waiting[place]
    del waiting[place]
    return wanted


def _across(drop: CutDrop, spans: tuple[Span, ...]) -> list[tuple[CutLane, Ticks]]:
    """The lanes of a drop, each with where it may begin across."""
    if not spans:
        return _side_by_side(drop.lanes, 0)
    for where in product(range(len(spans)), repeat=len(drop.lanes)):
        found: list[tuple[CutLane, Ticks]] = []
        for i, (left, right) in enumerate(spans):
            here = [lane for lane, at in zip(drop.lanes, where, strict=True) if at == i]
            placed = _side_by_side(here, left)
            if placed and placed[-1][0].right(placed[-1][1]) > right:
                break
            found += placed
        else:
            return found
    raise AssertionError("lanes beside a flaw fit there")


def _side_by_side(lanes: Iterable[CutLane], left: Ticks) -> list[tuple[CutLane, Ticks]]:
    found = []
    for lane in arranged(lanes, left):
        found.append((lane, left))
        left = lane.right(left)
    return found


def _proof(found: Found, values: Mapping[GoalName, int | float]) -> Proof:
    """What a plan reaches, and the bounds that its search found.

    A plan may come to less than the search counted, where linings are laid plain behind the faces;
    bounds stay true.
    """
    goals = [
        Goal(
            goal=goal.goal,
            value=values[goal.goal],
            bound=min(_goal_number(found, goal.goal, goal.bound), values[goal.goal]),
        )
        for goal in found.goals
    ]
    used = int(values["used"])
    return Proof(
        status="proved" if all(goal.value == goal.bound for goal in goals) else "gap",
        seconds=round(found.seconds, 3),
        goals=goals,
        used=used,
        used_bound=min(found.used_bound, used),
    )


def _goal_number(found: Found, goal: str, value: int) -> int | float:
    return as_number(Fraction(value, found.scale)) if goal in ("money", "bought") else value


def _totals(job: Job, shades: list[Shade], panels: list[Panel], pieces: list[PieceUse]) -> Totals:
    bought: dict[str, Ticks] = {}
    for piece in pieces:
        if piece.bought:
            bought[piece.cloth] = bought.get(piece.cloth, 0) + piece.length
    cut_into = sum(job.cloth(piece.cloth).usable * piece.used for piece in pieces)
    area = sum(panel.across * panel.along for panel in panels)
    return Totals(
        shades=len(shades),
        bought=bought,
        cost=money_spent(job, shades, pieces),
        waste=1 - area / cut_into if cut_into else 0.0,
    )
