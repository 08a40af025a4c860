"""What is laid on one stretch of cloth so far, and where there is room for one rectangle more.

Here everything has its place: along the roll, across it, and clear of every flaw, however wide. A
*drop* is cut across the whole roll, its *columns* lengthwise, and the rectangles of a column across
again, so that whatever is laid is cut in three guillotine stages. A rectangle joins a column, or
lies beside the columns of a drop, or begins a drop of its own: before, between or behind those
there are. What lies there already stays.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from shadewright.cloth.lattice import ANYWHERE, Slot
from shadewright.cloth.stretches import Spot, Stretch
from shadewright.measure import Ticks, floor_to
from shadewright.solve.packing.drops import CutDrop, CutLane
from shadewright.solve.packing.lay import DropOnRoll
from shadewright.solve.problem.kinds import Rect, Roll

# Phases that a stretch may begin with, where nothing says which.
_BEGINNINGS = 6


class Seat(NamedTuple):
    """A rectangle in its place.

    Attributes:
        x: its left edge.
        y: its start along the roll.
    """

    rect: Rect
    phase: Ticks
    x: Ticks
    y: Ticks
    right: Ticks
    end: Ticks


_Edges = tuple[Ticks, Ticks]
"""Where a column begins and ends across."""

Column = tuple[Seat, ...]
Columns = tuple[Column, ...]
"""A drop, each of whose columns lies clear of the others across."""


class Filling(NamedTuple):
    """A stretch as far as it is filled.

    Attributes:
        zero: where the phase 0 lies; None until the first rectangle says so.
        used: where the last drop ends; 0 if there is none.
    """

    zero: Ticks | None
    drops: tuple[Columns, ...] = ()
    used: Ticks = 0


class Berth(NamedTuple):
    """A way to lay a rectangle.

    Attributes:
        growth: how much further the stretch is used then.
    """

    growth: Ticks
    x: Ticks
    y: Ticks
    filled: Filling


@dataclass
class Looks:
    """How many places have been looked at, so that they can be charged."""

    count: int = 0


@dataclass(frozen=True)
class Room:
    """A stretch to be filled.

    Attributes:
        roll: as it lies here (`Supply.placed`).
        first: where a first drop may begin.
        zero: where the phase 0 lies; None where the first rectangle says so.
    """

    stretch: Stretch
    roll: Roll
    first: Ticks
    zero: Ticks | None

    @classmethod
    def of(cls, roll: Roll, stretch: Stretch, *, free: bool) -> Room:
        """The room of a stretch.

        Args:
            roll: as it lies here.
            free: whether no place of the print is known before something is cut.
        """
        if roll.origin is not None:
            zero: Ticks | None = roll.lead - roll.origin
        else:
            zero = None if free else roll.lead
        first = min(stretch.start, roll.lead)
        return cls(stretch, roll, first, zero)

    @property
    def flaws(self) -> tuple[Spot, ...]:
        """Those over part of the width."""
        return self.stretch.spots

    @property
    def empty(self) -> Filling:
        return Filling(self.zero)

    def begins(self, filled: Filling) -> list[Ticks]:
        """Where clean cloth begins: at the start, behind drops and behind flaws."""
        drops = (end_of(drop) for drop in filled.drops)
        return [self.first, *drops, *(flaw.end for flaw in self.flaws)]

    def ways(self, filled: Filling, rect: Rect, side: int, looks: Looks) -> Iterator[Berth]:
        """Ways worth trying to lay a rectangle.

        Args:
            side: 1 where it is to lie as far left as it can, else -1.
        """
        drops, along = filled.drops, rect.along
        alone: tuple[Columns, list[_Edges], int] = ((), [], 0)
        ends = [self.first, *(end_of(drop) for drop in drops)]
        starts = [*(start_of(drop) for drop in drops), self.stretch.end]
        for i, limits in enumerate(zip(ends, starts, strict=True)):
            if limits[1] is None or limits[1] - limits[0] >= along:
                for found in self._laid(filled, rect, alone, limits, side, looks):
                    yield self._way(filled, (*drops[:i], ((found,),), *drops[i:]), found)
        for i, drop in enumerate(drops):
            low, high = ends[i], starts[i + 1]
            if high is not None and high - low < along:
                continue
            edges = [_edges(column) for column in drop]
            long = None if high is None else high - low
            for place in self._worth_a_look(drop, edges, rect, long):
                beside = (drop, edges, place)
                for found in self._laid(filled, rect, beside, (low, high), side, looks):
                    new = _joined(drop, place, found)
                    if self._short_enough(new):
                        yield self._way(filled, (*drops[:i], new, *drops[i + 1 :]), found)

    def _worth_a_look(
        self, drop: Columns, edges: Sequence[_Edges], rect: Rect, long: Ticks | None
    ) -> Iterator[int]:
        """The columns of a drop that may have room within a length; that behind the last is one of
        its own."""
        for place, column in enumerate(drop):
            if long is None or sum([e.end - e.y for e in column]) + rect.along <= long:
                yield place
        if sum([right - left for left, right in edges]) + rect.across <= self.roll.usable:
            yield len(drop)

    def _way(self, filled: Filling, drops: tuple[Columns, ...], found: Seat) -> Berth:
        zero = filled.zero
        if zero is None and not found.rect.plain:
            zero = found.y - found.phase
        used = max(filled.used, found.end)
        return Berth(used - filled.used, found.x, found.y, Filling(zero, drops, used))

    def _short_enough(self, drop: Columns) -> bool:
        table = self.roll.table
        return table is None or end_of(drop) - start_of(drop) <= table

    def _laid(  # noqa: PLR0917
        self,
        filled: Filling,
        rect: Rect,
        beside: tuple[Columns, Sequence[_Edges], int],
        limits: tuple[Ticks, Ticks | None],
        side: int,
        looks: Looks,
    ) -> Iterator[Seat]:
        """Places for a rectangle between two lines: in a column of a drop, or beside all of them.

        Args:
            beside: a drop with the edges of its columns, and the place of the column; that behind
                the last stands for beside them all.
        """
        low, high = limits
        looks.count += 5
        drop, edges, place = beside
        column = drop[place] if place < len(drop) else ()
        others = [*edges[:place], *edges[place + 1 :]]
        own = edges[place] if column else None
        lows = {low, *[each.end for each in column]}
        lows.update([flaw.end for flaw in self.flaws if flaw.end > low])
        for least in sorted(lows):
            some = _starts(filled.zero, self.roll, rect, least)
            for y, phase, slots in some:
                end = y + rect.along
                if high is not None and end > high:
                    if filled.zero is not None:
                        break
                    continue
                looks.count += 1
                if _meets(column, y, end):
                    continue
                here = [(f.left, f.right) for f in self.flaws if y < f.end and f.start < end]
                x = self._across(rect.across, slots, others + here, own, side, looks)
                if x is not None:
                    yield Seat(rect, phase, x, y, x + rect.across, end)
                    if filled.zero is not None:
                        break

    def _across(  # noqa: PLR0917
        self,
        across: Ticks,
        slots: Sequence[Slot],
        taken: Sequence[_Edges],
        column: _Edges | None,
        side: int,
        looks: Looks,
    ) -> Ticks | None:
        """The first place across, from one side, that is clear of what is taken.

        Args:
            column: that it must have a part of the width in common with.
        """
        usable = self.roll.usable
        lefts = [0, *[right for _, right in taken], *(column or ())[:1]]
        rights = [usable, *[left for left, _ in taken], *(column or ())[1:]]
        best: Ticks | None = None
        for slot in slots:
            first = slot.first
            marks = [slot.from_(left) for left in lefts]
            marks += [first + floor_to(right - across - first, slot.pace) for right in rights]
            looks.count += len(marks)
            for x in marks:
                if x < first or x + across > usable:
                    continue
                if best is not None and (x - best) * side >= 0:
                    continue
                if column is not None and not (x < column[1] and column[0] < x + across):
                    continue
                if _is_clear(taken, x, x + across):
                    best = x
        return best

    def laid(self, filled: Filling) -> tuple[DropOnRoll, ...]:
        """What lies here as drops in their order, each with all its places."""
        return tuple(_as_laid(self.roll, drop) for drop in filled.drops)


def start_of(drop: Columns) -> Ticks:
    return min(column[0].y for column in drop)


def end_of(drop: Columns) -> Ticks:
    return max(column[-1].end for column in drop)


# What follows is asked at every place that is looked at: loops and lists, since a generator for
# each takes longer than what it goes over.


def _edges(column: Column) -> _Edges:
    if len(column) == 1:
        return column[0].x, column[0].right
    return min([each.x for each in column]), max([each.right for each in column])


def _meets(column: Column, start: Ticks, end: Ticks) -> bool:
    """Whether something of a column lies between two lines along the roll."""
    for each in column:  # noqa: SIM110
        if start < each.end and each.y < end:
            return True
    return False


def _is_clear(taken: Sequence[_Edges], left: Ticks, right: Ticks) -> bool:
    """Whether a place across has nothing in common with what is taken."""
    for start, end in taken:  # noqa: SIM110
        if left < end and start < right:
            return False
    return True


def _joined(drop: Columns, place: int, new: Seat) -> Columns:
    """A drop with a rectangle in one of its columns, or in one of its own."""
    if place == len(drop):
        return (*drop, (new,))
    column = tuple(sorted((*drop[place], new), key=lambda each: each.y))
    return (*drop[:place], column, *drop[place + 1 :])


def _starts(
    zero: Ticks | None, roll: Roll, rect: Rect, low: Ticks
) -> Iterator[tuple[Ticks, Ticks, Sequence[Slot]]]:
    """Where a rectangle may begin along the roll at `low` or beyond, each with its phase and slots,
    the nearest first."""
    if rect.plain:
        # It may begin at any node, of which there may be very many.
        yield low, rect.slots[0].phase, (ANYWHERE,)
        return
    by_phase = rect.by_phase
    if roll.period == 1 or zero is None:
        for phase, slots in by_phase[:: -(-len(by_phase) // _BEGINNINGS)]:
            yield low, phase, slots
        return
    at = (low - zero) % roll.period
    first = bisect_left(rect.phases, at)
    for i in range(len(by_phase)):
        phase, slots = by_phase[(first + i) % len(by_phase)]
        yield low + (phase - at) % roll.period, phase, slots


def _as_laid(roll: Roll, drop: Columns) -> DropOnRoll:
    phased = len(roll.nodes) > 1 or any(each.phase for column in drop for each in column)
    columns = sorted(drop, key=_edges)
    lanes = tuple(
        CutLane(
            tuple(each.rect for each in column),
            tuple(each.phase for each in column) if phased else (),
        )
        for column in columns
    )
    start = start_of(drop)
    first = min((column[0] for column in drop), key=lambda each: each.y)
    return DropOnRoll(
        CutDrop(lanes, first.phase if phased else 0),
        start,
        end_of(drop),
        tuple(tuple(each.y for each in column) for column in columns),
        tuple(tuple(each.x for each in column) for column in columns),
    )
