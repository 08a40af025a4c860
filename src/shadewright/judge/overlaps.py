"""Rectangles that take the same cloth, and those that no cut parts, found without comparing all.

A line sweeps along the piece; a rectangle is held while the line is over it. Those held that
overlap nothing lie in the order of their left sides, so that a new one need only be compared with
its neighbours; the others are kept apart and compared with every new one. Each of these stands for
a fault, and after `most` faults the sweep ends: time goes with n log n + n * most. Source: Shamos
and Hoey, "Geometric intersection problems", 1976, sweep so.
"""

from __future__ import annotations

from bisect import bisect_left, insort
from collections.abc import Iterator, Sequence
from heapq import heappop, heappush
from typing import NamedTuple

from shadewright.measure import Ticks


class Area(NamedTuple):
    """A rectangle of cloth."""

    x: Ticks
    y: Ticks
    across: Ticks
    along: Ticks

    def shared(self, other: Area) -> tuple[Ticks, Ticks]:
        """What two have in common across and along; negative where they are apart."""
        across = min(self.x + self.across, other.x + other.across) - max(self.x, other.x)
        along = min(self.y + self.along, other.y + other.along) - max(self.y, other.y)
        return across, along


def overlapping(areas: Sequence[Area], most: int) -> list[tuple[int, int]]:
    """Pairs that overlap, by their places in the list, in order; at most about `most` of them."""
    found: list[tuple[int, int]] = []
    apart: list[tuple[Ticks, int]] = []  # left side and place of those held that overlap nothing
    crossing: set[int] = set()  # places of the others held
    ends: list[tuple[Ticks, int]] = []
    solid = (i for i, area in enumerate(areas) if area.across > 0 and area.along > 0)
    for new in sorted(solid, key=lambda i: areas[i].y):
        area = areas[new]
        while ends and ends[0][0] <= area.y:
            gone = heappop(ends)[1]
            if gone in crossing:
                crossing.remove(gone)
            else:
                del apart[bisect_left(apart, (areas[gone].x, gone))]
        met = [i for i in crossing if area.shared(areas[i])[0] > 0]
        met += _neighbours(areas, apart, area)
        found += [(min(i, new), max(i, new)) for i in met]
        if len(found) >= most:
            break
        if met:
            crossing.add(new)
        else:
            insort(apart, (area.x, new))
        heappush(ends, (area.y + area.along, new))
    return sorted(found)


def _neighbours(
    areas: Sequence[Area], apart: Sequence[tuple[Ticks, int]], area: Area
) -> Iterator[int]:
    """Of rectangles side by side, those that a new one overlaps."""
    at = bisect_left(apart, (area.x, -1))
    if at and area.shared(areas[apart[at - 1][1]])[0] > 0:
        yield apart[at - 1][1]
    while at < len(apart) and apart[at][0] < area.x + area.across:
        yield apart[at][1]
        at += 1


def side_by_side(areas: Sequence[Area], most: int) -> list[tuple[int, int]]:
    """Pairs that a line across goes through both of, by their places in the list, in order; at
    most about `most` of them."""
    found: list[tuple[int, int]] = []
    held: list[int] = []
    long = (i for i, area in enumerate(areas) if area.along > 0)
    for new in sorted(long, key=lambda i: areas[i].y):
        held = [i for i in held if areas[i].y + areas[i].along > areas[new].y]
        found += [(min(i, new), max(i, new)) for i in held]
        if len(found) >= most:
            break
        held.append(new)
    return sorted(found)
