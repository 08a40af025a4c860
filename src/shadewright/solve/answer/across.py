"""Where the lanes of a drop lie across its piece, clear of flaws."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import product

from shadewright.measure import Ticks
from shadewright.solve.packing.drops import CutDrop, CutLane, arranged
from shadewright.solve.problem.supply import Span


def lanes_across(drop: CutDrop, spans: tuple[Span, ...]) -> list[tuple[CutLane, Ticks]]:
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
