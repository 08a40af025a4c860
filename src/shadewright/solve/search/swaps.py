"""Rectangles swapped for others where they lie, and that undone.

A swap is possible where the drop has room for the other rectangle and gets no longer. What is
swapped stays from one swap to the next, until it is kept or undone.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from math import factorial

from shadewright.measure import Ticks
from shadewright.solve.packing.drops import CutDrop, CutLane, fit
from shadewright.solve.packing.grid import Grid
from shadewright.solve.packing.lay import DropOnRoll, length_of, too_long
from shadewright.solve.problem.kinds import Rect
from shadewright.solve.run import Clock
from shadewright.solve.search.candidate import CutPart

_Place = tuple[int, int]
"""A drop of a candidate: its part, and its place in it."""


@dataclass
class Swaps:
    """Drops whose rectangles are swapped for others.

    Attributes:
        cut: the drops of each part.
        laid: the same with their places, of parts where these stand.
        where: the drops that each rectangle comes from.
    """

    given: tuple[CutPart, ...]
    clock: Clock
    cut: list[list[CutDrop]] = field(init=False)
    laid: list[list[DropOnRoll]] = field(init=False)
    where: dict[Rect, dict[_Place, None]] = field(init=False, default_factory=dict)
    _before: list[tuple[_Place, CutDrop, DropOnRoll | None]] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.cut = [list(part.drops) for part in self.given]
        self.laid = [list(part.laid) for part in self.given]
        for p, drops in enumerate(self.cut):
            for i, drop in enumerate(drops):
                for rect in drop.rects:
                    self.where.setdefault(rect, {})[p, i] = None

    def parts(self) -> tuple[CutPart, ...]:
        """The parts with these drops."""
        return tuple(
            replace(part, drops=tuple(drops), laid=tuple(laid))
            for part, drops, laid in zip(self.given, self.cut, self.laid, strict=True)
        )

    def keep(self) -> None:
        """What has been swapped stays."""
        self._before.clear()

    @property
    def mark(self) -> int:
        """How much has been swapped that need not stay."""
        return len(self._before)

    def undo(self, mark: int) -> None:
        """Nothing that has been swapped since then stays."""
        while len(self._before) > mark:
            place, drop, laid = self._before.pop()
            self._put(place, drop, laid)

    def swap(self, old: Rect, new: Rect, lots: Sequence[str | None] | None) -> bool:
        """Cut a rectangle where another was; whether that can be done in a drop that is no longer
        for it.

        Args:
            lots: dye lots that it may come from; None where that does not matter.
        """
        for place in list(self.where.get(old, ())):
            if self.clock.over:
                return False
            if lots is not None and self.given[place[0]].stretch.lot not in lots:
                continue
            found = self._swapped(place, old, new)
            if found is not None:
                p, i = place
                laid = self.laid[p][i] if self.laid[p] else None
                self._before.append((place, self.cut[p][i], laid))
                self._put(place, *found)
                return True
        return False

    def _put(self, place: _Place, drop: CutDrop, laid: DropOnRoll | None) -> None:
        p, i = place
        for rect in self.cut[p][i].rects:
            self.where[rect].pop(place, None)
        self.cut[p][i] = drop
        if laid is not None:
            self.laid[p][i] = laid
        for rect in drop.rects:
            self.where.setdefault(rect, {})[place] = None

    def _swapped(
        self, place: _Place, old: Rect, new: Rect
    ) -> tuple[CutDrop, DropOnRoll | None] | None:
        """A drop with one rectangle for another; None where it has no room for it."""
        p, i = place
        part, drop = self.given[p], self.cut[p][i]
        if part.roll.spare_panel and new.along > old.along:
            return None
        for number, lane in enumerate(drop.lanes):
            if old not in lane.rects:
                continue
            self._charge(drop)
            at = lane.rects.index(old)
            phase = lane.phases[at] if lane.phases else 0
            if phase not in new.phases:
                continue
            rects = (*lane.rects[:at], new, *lane.rects[at + 1 :])
            other = replace(lane, rects=rects)
            lanes = (*drop.lanes[:number], other, *drop.lanes[number + 1 :])
            after = CutDrop(lanes, drop.phase)
            if part.laid:
                laid = _laid_again(part, self.laid[p][i], after, (number, at), old)
                if laid is not None:
                    return after, laid
            elif _may_stand(part, drop, after, old, new):
                return after, None
        return None

    def _charge(self, drop: CutDrop) -> None:
        effort, lanes = self.clock.effort, len(drop.lanes)
        moved = lanes <= effort.ordered and not all(rect.anywhere for rect in drop.rects)
        orders = factorial(lanes) if moved else 1
        self.clock.spend_seconds(effort.seconds_a_swap + effort.seconds_a_look * orders)


def _may_stand(part: CutPart, before: CutDrop, after: CutDrop, old: Rect, new: Rect) -> bool:
    """Whether a drop does for another, in which one rectangle stands for another."""
    roll = part.roll
    if part.spans:
        return new.does_for(old)
    if not fit(Grid(roll, 1), after.lanes):
        return False
    return length_of(roll, after) <= length_of(roll, before) and not too_long(roll, after)


def _laid_again(
    part: CutPart, laid: DropOnRoll, after: CutDrop, at: tuple[int, int], old: Rect
) -> DropOnRoll | None:
    """A drop with its places, one of its rectangles instead of another; None where that is longer,
    or would lie over what is beside it."""
    if not laid.across:
        return None
    lane, number = at
    cut: CutLane = after.lanes[lane]
    new, phase = list(cut.phased)[number]
    x, y = laid.across[lane][number], laid.places[lane][number]
    left = min(slot.from_(x) for slot in new.slots if slot.phase == phase)
    right, end = left + new.across, y + new.along
    beside = (min(xs) for number, xs in enumerate(laid.across) if number != lane)
    room = min((edge for edge in beside if edge > x), default=part.roll.usable)
    over = any(
        spot.start < end and y < spot.end and spot.left < right and left < spot.right
        for spot in part.stretch.spots
    )
    if new.along > old.along or right > room or over:
        return None
    row = laid.across[lane]
    across = (*row[:number], left, *row[number + 1 :])
    ways: tuple[tuple[Ticks, ...], ...] = (*laid.across[:lane], across, *laid.across[lane + 1 :])
    return replace(laid, drop=after, across=ways)
