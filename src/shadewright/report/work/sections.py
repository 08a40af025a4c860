"""A line parted into what lies on it and the bare parts between."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Generic, TypeVar

from shadewright.measure import Ticks

T = TypeVar("T")


@dataclass(frozen=True)
class Section(Generic[T]):
    """Part of a line: what lies there, or None where nothing does."""

    start: Ticks
    end: Ticks
    item: T | None


def sections(start: Ticks, end: Ticks, items: Sequence[tuple[Ticks, Ticks, T]]) -> list[Section[T]]:
    """Split a line into the given disjoint, ascending items and the bare parts between them."""
    found: list[Section[T]] = []
    at = start
    for low, high, item in items:
        if low > at:
            found.append(Section(at, low, None))
        found.append(Section(low, high, item))
        at = high
    if end > at:
        found.append(Section(at, end, None))
    return found


def neighbours(line: list[Section[T]]) -> list[tuple[Section[T], Section[T], bool]]:
    """Each cut of a line: what lies before it, what after, and whether it is the last cut."""
    return [(a, b, i == len(line) - 2) for i, (a, b) in enumerate(pairwise(line))]
