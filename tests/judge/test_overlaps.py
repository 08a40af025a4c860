"""Overlaps found by a sweep, against comparing every pair."""

from __future__ import annotations

from itertools import combinations

from hypothesis import given
from hypothesis import strategies as st

from shadewright.judge.overlaps import Area, overlapping, side_by_side

small = st.integers(-1, 6)
areas_ = st.lists(st.builds(Area, small, small, small, small), max_size=12)


@given(areas_)
def test_overlaps_are_those_that_comparing_every_pair_finds(areas: list[Area]) -> None:
    pairs = combinations(range(len(areas)), 2)
    every = [(i, j) for i, j in pairs if min(areas[i].shared(areas[j])) > 0]
    assert overlapping(areas, 1000) == every


@given(areas_)
def test_side_by_side_are_those_that_share_some_length(areas: list[Area]) -> None:
    pairs = combinations(range(len(areas)), 2)
    every = [(i, j) for i, j in pairs if areas[i].shared(areas[j])[1] > 0]
    assert side_by_side(areas, 1000) == every


@given(areas_, st.integers(1, 5))
def test_a_sweep_that_ends_early_has_found_something_wherever_there_is_any(
    areas: list[Area], most: int
) -> None:
    every = overlapping(areas, 1000)
    some = overlapping(areas, most)
    assert set(some) <= set(every)
    assert len(some) >= min(most, len(every))
    beside = side_by_side(areas, 1000)
    assert len(side_by_side(areas, most)) >= min(most, len(beside))


def test_many_side_by_side_are_not_all_compared() -> None:
    """A hundred thousand apart from one another, and as many on top of one another."""
    row = [Area(10 * i, 0, 10, 100) for i in range(100_000)]
    assert overlapping(row, 500) == []
    heap = [Area(0, i, 10, 1_000_000) for i in range(100_000)]
    assert len(overlapping(heap, 500)) >= 500
    assert len(side_by_side(heap, 500)) >= 500
