"""Bare packing problems: rectangles on a strip, each to be cut once; and a check of what is cut."""

from __future__ import annotations

from collections import Counter

from shadewright.solve.problem.kinds import Kind, Option, Problem, Rect, Roll
from shadewright.solve.problem.supply import Supply
from shadewright.solve.run import Clock
from shadewright.solve.search.found import Found
from shadewright.solve.search.improvement import search
from shadewright.trade.divisions import Way

Sizes = list[tuple[int, int]]


def strip(sizes: Sizes, width: int) -> Problem:
    """One kind of opening a rectangle (width across, height along), with one way to make it."""
    kinds = [
        Kind(1, (Option((w,), Way(False, None), ((Rect("strip", w, h),),), 0, frozenset()),))
        for w, h in sizes
    ]
    return Problem(tuple(kinds), (Roll("strip", width),))


def height_cut(sizes: Sizes, width: int, found: Found) -> int:
    """Height of what was cut, seen to hold every piece once, in lanes that fit side by side."""
    drops = found.candidate.drops("strip")
    cut: Counter[tuple[int, int]] = Counter()
    height = 0
    for drop in drops:
        lanes = [lane.rects for lane in drop.lanes]
        assert sum(max(rect.across for rect in lane) for lane in lanes) <= width
        height += max(sum(rect.along for rect in lane) for lane in lanes)
        cut.update((rect.across, rect.along) for lane in lanes for rect in lane)
    assert cut == Counter(sizes)
    return height


def height_reached(found: Found) -> int:
    """The length used that the search reports."""
    return next(reached.value for reached in found.goals if reached.goal == "used")


def packed(problem: Problem, seconds: float) -> Found:
    """What a search finds within a time."""
    found = search(problem, Supply.bolts(problem), Clock(seconds))
    assert found is not None
    return found
