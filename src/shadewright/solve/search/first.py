"""A first plan by a simple rule, so that there is always one to improve and to keep.

Longest first: a rectangle goes on top of a lane that has room for it, else beside the lanes of a
drop, else it opens a drop of its length. Only the latest drops that still have room are looked at,
so that the time is in proportion to the number of rectangles, and whether lanes fit side by side is
worked out once for lanes that are alike. On a roll of several phases a drop begins at the first of
its phases behind the drop before, and not a turn later.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace

from shadewright.measure import Ticks
from shadewright.solve.effort import Effort
from shadewright.solve.packing.drops import CutDrop, CutLane, fit
from shadewright.solve.packing.grid import Grid
from shadewright.solve.packing.rows_apart import apart, within_table
from shadewright.solve.problem.agreement import agrees, settlements
from shadewright.solve.problem.kinds import Option, Problem, Rect, Roll
from shadewright.solve.problem.supply import Supply
from shadewright.solve.search.candidate import (
    Candidate,
    CutPart,
    cut_in_turn,
    options_taken,
    placed_part,
    taken_rects,
)


def first_candidates(
    problem: Problem, supply: Supply, effort: Effort, *, fewest: bool = False
) -> Iterator[Candidate]:
    """Each opening takes the option of least cloth, and the longest rectangles are cut first, all
    from bolts; one candidate for each of so many ways to agree.

    Where `fewest`, only options with the fewest shades are looked at.
    """
    key = _shades_then_cloth if fewest else _cloth
    for settled in settlements(problem.kinds, effort.settlements):
        chosen = tuple(
            ((min((o for o in kind.options if agrees(o, settled)), key=key), kind.copies),)
            for kind in problem.kinds
        )
        parts: list[CutPart] = []
        all_cut = True
        for roll in problem.rolls:
            bolts = [s for s in supply.stretches[roll.name] if s.bought]
            drops = _drops(problem, supply.placed(roll, bolts[-1]), chosen, effort)
            if drops and roll.name in supply.several:
                room = _room(roll, [option for row in chosen for option, _ in row])
                mine = list(cut_in_turn(roll, supply, drops, bolts, room))
                parts += mine
                all_cut = all_cut and sum(len(part.drops) for part in mine) == len(drops)
            elif drops:
                parts.append(placed_part(supply, roll, bolts[-1], drops))
        if all_cut:
            yield Candidate(options_taken(chosen, supply), tuple(parts))


def over_bolts(problem: Problem, supply: Supply, candidate: Candidate) -> Candidate | None:
    """A candidate from bolts without an end, its drops shared out over those there are; None where
    they find no room."""
    parts: list[CutPart] = []
    for roll in problem.rolls:
        drops = _short(problem, roll, candidate.drops(roll.name))
        bolts = [s for s in supply.stretches[roll.name] if s.bought]
        room = None
        if roll.name in supply.several:
            room = _room(roll, [option for option, _ in candidate.options])
        mine = list(cut_in_turn(roll, supply, drops, bolts, room))
        if sum(len(part.drops) for part in mine) < len(drops):
            return None
        parts += mine
    return replace(candidate, parts=tuple(parts))


def _short(problem: Problem, roll: Roll, drops: Sequence[CutDrop]) -> Sequence[CutDrop]:
    """Joint drops of a roll of one phase taken apart, so that they find room on a bolt."""
    if roll.bolt is None or len(roll.nodes) > 1:
        return drops
    longest = roll.bolt - roll.lead - roll.allowance
    table = longest if roll.table is None else min(roll.table, longest)
    short = replace(roll, table=table)
    grid = Grid.of(short, problem.rects(roll))
    return [drop for joint in drops for drop in within_table(grid, apart(grid, [joint]))]


def in_turn(problem: Problem, supply: Supply, candidate: Candidate) -> Candidate | None:
    """A plan on the bolt alone with its drops, longest first, each on the first stretch with room
    for it. None where dye lots must be minded."""
    lots = {s.lot for these in supply.stretches.values() for s in these}
    if (supply.lots != "none" and len(lots) > 1) or any(supply.kept.values()):
        return None
    parts = [
        part
        for roll in problem.rolls
        for part in cut_in_turn(
            roll, supply, candidate.drops(roll.name), supply.stretches[roll.name]
        )
    ]
    if sum(len(p.drops) for p in parts) < sum(len(p.drops) for p in candidate.parts):
        return None
    return replace(candidate, parts=tuple(parts))


def _room(roll: Roll, options: Sequence[Option]) -> Ticks:
    """How far the first bolt may be used, that comes with what is bought to spare."""
    assert roll.bolt is not None
    return roll.bolt - roll.allowance - roll.spare_with(options)


def _cloth(option: Option) -> tuple[int, int]:
    return option.area, option.shades


def _shades_then_cloth(option: Option) -> tuple[int, tuple[int, int]]:
    return option.shades, _cloth(option)


def _drops(
    problem: Problem, roll: Roll, chosen: Sequence[Sequence[tuple[Option, int]]], effort: Effort
) -> tuple[CutDrop, ...]:
    asked = taken_rects((each for row in chosen for each in row), roll.name)
    grid = Grid.of(roll, problem.rects(roll))
    phased = len(roll.nodes) > 1
    shelf = _Shelf(grid, list(asked), phased, effort)
    order = sorted(asked, key=lambda r: (-(r.along if phased else grid.units(r)), -r.across))
    for rect in order:
        for _ in range(asked[rect]):
            shelf.put(rect)
    return tuple(drop.cut() for drop in shelf.drops)


@dataclass
class _OpenDrop:
    """A drop that is being filled.

    Attributes:
        length: of its first rectangle, in units of the grid; no lane gets longer.
        phase: that all its lanes start at.
        width: of its lanes together, at least.
    """

    length: int
    phase: Ticks
    phased: bool
    lanes: list[list[Rect]] = field(default_factory=list)
    loads: list[int] = field(default_factory=list)
    width: Ticks = 0

    def cut(self) -> CutDrop:
        phases = (self.phase,) if self.phased else ()
        return CutDrop(tuple(CutLane(tuple(lane), phases) for lane in self.lanes), self.phase)


class _Shelf:
    """Drops one after the other, filled with rectangles that come longest first."""

    def __init__(self, grid: Grid, rects: Sequence[Rect], phased: bool, effort: Effort) -> None:
        self.drops: list[_OpenDrop] = []
        self._grid = grid
        self._phased = phased
        # Neither places across nor phases matter.
        self._free = not phased and all(rect.anywhere for rect in rects)
        self._open: list[_OpenDrop] = []
        self._most_open = effort.open_drops if self._free else effort.open_with_slots
        self._names = {rect: i for i, rect in enumerate(rects)}
        self._narrowest = min((rect.across for rect in rects), default=0)
        self._shortest = min(map(grid.units, rects), default=0)
        self._fits: dict[tuple[Ticks, tuple[tuple[int, ...], ...]], bool] = {}

    def put(self, rect: Rect) -> None:
        """Put a rectangle where it goes."""
        drop = self._with_room(rect)
        if drop is None:
            drop = _OpenDrop(self._grid.units(rect), self._next_phase(rect), self._phased)
            self._beside(drop, rect)
            self.drops.append(drop)
            self._open.append(drop)
            del self._open[: -self._most_open]
        elif not self._has_room(drop):
            self._open.remove(drop)

    def _next_phase(self, rect: Rect) -> Ticks:
        """The first phase of a rectangle behind the drop that was begun last."""
        if not self._phased:
            return 0
        roll, last = self._grid.roll, self.drops[-1] if self.drops else None
        end = roll.origin or 0 if last is None else last.phase + last.lanes[0][0].along
        return min(rect.phases, key=lambda phase: (phase - end) % roll.period)

    def _with_room(self, rect: Rect) -> _OpenDrop | None:
        """The drop that has taken a rectangle, if one has room for it."""
        if not self._phased:
            for drop in self._open:
                if self._on_top(drop, rect):
                    return drop
        for drop in self._open:
            room = drop.width + rect.across <= self._grid.roll.usable
            if room and self._fit(drop, [*drop.lanes, [rect]]):
                self._beside(drop, rect)
                return drop
        return None

    def _on_top(self, drop: _OpenDrop, rect: Rect) -> bool:
        """Put a rectangle after a lane that has room for it without making its drop longer or
        wider."""
        units = self._grid.units(rect)
        for i, lane in enumerate(drop.lanes):
            if drop.loads[i] + units > drop.length or lane[0].across < rect.across:
                continue
            end, table = self._grid.unit * drop.loads[i] + rect.along, self._grid.roll.table
            if table is not None and end > table:
                continue
            if rect.anywhere or self._fit(
                drop, [*drop.lanes[:i], [*lane, rect], *drop.lanes[i + 1 :]]
            ):
                lane.append(rect)
                drop.loads[i] += units
                return True
        return False

    def _beside(self, drop: _OpenDrop, rect: Rect) -> None:
        drop.lanes.append([rect])
        drop.loads.append(self._grid.units(rect))
        drop.width += rect.across

    def _fit(self, drop: _OpenDrop, lanes: Sequence[Sequence[Rect]]) -> bool:
        """Whether lanes fit side by side in a drop."""
        if self._free:
            return True
        key = drop.phase, tuple(tuple(self._names[rect] for rect in lane) for lane in lanes)
        if key not in self._fits:
            phases = (drop.phase,) if self._phased else ()
            begin = not self._phased or all(
                any(slot.phase == drop.phase for slot in rect.slots)
                for lane in lanes
                for rect in lane
            )
            self._fits[key] = begin and fit(
                self._grid, [CutLane(tuple(lane), phases) for lane in lanes]
            )
        return self._fits[key]

    def _has_room(self, drop: _OpenDrop) -> bool:
        """Whether a drop may yet take something."""
        return drop.width + self._narrowest <= self._grid.roll.usable or (
            not self._phased and min(drop.loads) + self._shortest <= drop.length
        )
