"""Drops as they are cut: lanes side by side, each with its rectangles."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import pairwise, permutations

from shadewright.measure import Ticks
from shadewright.solve.effort import USUAL
from shadewright.solve.packing.grid import Grid
from shadewright.solve.packing.templates import Lane, Template
from shadewright.solve.problem.kinds import Rect


@dataclass(frozen=True)
class CutLane:
    """A lane as it is cut: its rectangles in order from the start of the drop.

    Attributes:
        phases: of each rectangle; empty where the roll has one.
    """

    rects: tuple[Rect, ...]
    phases: tuple[Ticks, ...] = ()

    @property
    def width(self) -> Ticks:
        """Width of its widest rectangle."""
        return max(rect.across for rect in self.rects)

    @property
    def phased(self) -> Iterator[tuple[Rect, Ticks]]:
        """Its rectangles, each with its phase."""
        return zip(self.rects, self.phases or (0,) * len(self.rects), strict=True)

    def fits(self, lane: Lane) -> bool:
        """Whether a lane holds all its rectangles."""
        return all(lane.holds(rect, phase) for rect, phase in self.phased)

    def places(self, left: Ticks) -> list[Ticks]:
        """The leftmost place across of each rectangle, from `left` on."""
        return [
            min(slot.from_(left) for slot in rect.slots if slot.phase == phase)
            for rect, phase in self.phased
        ]

    def right(self, left: Ticks) -> Ticks:
        """Where it ends if it begins at `left`."""
        return max(x + rect.across for x, rect in zip(self.places(left), self.rects, strict=True))


@dataclass(frozen=True)
class CutDrop:
    """A drop as it is cut: its lanes, left to right.

    Attributes:
        phase: of its start.
    """

    lanes: tuple[CutLane, ...]
    phase: Ticks = 0

    @property
    def rects(self) -> Iterator[Rect]:
        """The rectangles of all its lanes."""
        return (rect for lane in self.lanes for rect in lane.rects)


def arranged(lanes: Iterable[CutLane], left: Ticks = 0) -> tuple[CutLane, ...]:
    """The order of lanes side by side from `left` on that ends furthest left."""
    these = tuple(lanes)
    if len(these) > USUAL.ordered or all(rect.anywhere for lane in these for rect in lane.rects):
        return these
    return min(permutations(these), key=lambda order: _end_across(order, left))


def template_of(drop: CutDrop) -> Template:
    """Lanes that hold what a drop's lanes do."""
    edges = [0]
    for lane in arranged(drop.lanes):
        edges.append(lane.right(edges[-1]))
    return tuple(Lane(left, right) for left, right in pairwise(edges))


def fit(grid: Grid, lanes: Iterable[CutLane]) -> bool:
    """Whether lanes fit side by side, in some order."""
    return _end_across(arranged(lanes)) <= grid.roll.usable


def _end_across(lanes: Iterable[CutLane], left: Ticks = 0) -> Ticks:
    for lane in lanes:
        left = lane.right(left)
    return left
