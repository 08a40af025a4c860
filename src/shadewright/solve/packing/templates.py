"""Lane templates: how a drop may be divided into strips across the roll.

A *lane* is a strip along a drop, from one place across the roll to another; a *template* says how a
drop is divided into lanes. A lane may be widened while the drop still fits, so only maximal
templates matter: those of which no other one holds whatever they hold, lane by lane.
"""

from __future__ import annotations

from bisect import bisect_left
from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from operator import neg
from typing import TypeVar

import numpy as np
import numpy.typing as npt

from shadewright.measure import Ticks
from shadewright.solve.effort import USUAL
from shadewright.solve.packing.grid import Grid
from shadewright.solve.problem.kinds import Rect
from shadewright.solve.run import Clock


@dataclass(frozen=True, order=True)
class Lane:
    """A strip along a drop, between two places across the roll."""

    left: Ticks
    right: Ticks

    @property
    def width(self) -> Ticks:
        return self.right - self.left

    def holds(self, rect: Rect, phase: Ticks | None = None) -> bool:
        """Whether a rectangle has a slot in it, of the given phase or of any."""
        return any(
            slot.from_(self.left) + rect.across <= self.right
            for slot in rect.slots
            if phase is None or slot.phase == phase
        )


Template = tuple[Lane, ...]


def list_templates(grid: Grid, rects: Iterable[Rect], clock: Clock) -> tuple[list[Template], bool]:
    """Maximal templates for these rectangles, and whether they are all there are.

    However few, they cut every rectangle there is. Listing ends where there are very many, or where
    it has taken its share of the clock.
    """
    these = list(rects)
    some = clock.part(clock.effort.listing)
    if all(rect.anywhere for rect in these):
        return _list_by_width(grid, these, some)
    return _list_by_slot(grid, these, some)


def side_by_side(widths: Iterable[Ticks]) -> Template:
    """Lanes of these widths from the left usable edge."""
    edges = [0]
    for width in widths:
        edges.append(edges[-1] + width)
    return tuple(Lane(left, right) for left, right in pairwise(edges))


def _list_by_width(grid: Grid, rects: list[Rect], clock: Clock) -> tuple[list[Template], bool]:
    """The list for rectangles that lie anywhere across: only widths of lanes matter."""
    usable, most = grid.roll.usable, clock.effort.templates
    widths = sorted({rect.across for rect in rects}, reverse=True)
    wider = {narrow: wide for wide, narrow in pairwise(widths)}
    found: list[Template] = []
    visits = 0

    def extend(lanes: tuple[Ticks, ...], first: int, spare: Ticks) -> bool:
        nonlocal visits
        visits += 1
        if visits > clock.effort.visits:
            return False
        for i in range(max(first, bisect_left(widths, -spare, key=neg)), len(widths)):
            if not extend((*lanes, widths[i]), i, spare - widths[i]):
                return False
        if spare < widths[-1] and all(wider.get(w, usable + w) - w > spare for w in lanes):
            found.append(side_by_side(lanes))
        return len(found) <= most

    complete = extend((), 0, usable)
    clock.spend_seconds(visits * clock.effort.seconds_a_visit)
    return found[:most], complete


def _list_by_slot(grid: Grid, rects: list[Rect], clock: Clock) -> tuple[list[Template], bool]:
    """The list for rectangles with places of their own across.

    Lanes are cut off from the left. Where one ends only matters by what it holds, so it ends with
    a rectangle in its leftmost slot; the last one goes on to the usable edge.
    """
    usable, effort = grid.roll.usable, clock.effort
    ends = _Ends(rects)
    found: dict[tuple[_Held, ...], Template] = {}
    visits = 0
    most = effort.templates
    most_visits = min(effort.visits, effort.looks // max(ends.slots, 1))

    def extend(lanes: Template, held: tuple[_Held, ...], left: Ticks) -> bool:
        nonlocal visits
        if visits >= most_visits or (visits and clock.over):
            return False
        visits += 1
        clock.spend_seconds(ends.slots * effort.seconds_a_slot)
        last = Lane(left, usable)
        holds = ends.held(last)
        if holds:
            found.setdefault((*held, holds), (*lanes, last))
        for end in ends.after(left):
            if end < usable:
                lane = Lane(left, end)
                if not extend((*lanes, lane), (*held, ends.held(lane)), end):
                    return False
        return True

    complete = extend((), (), 0)
    kept: list[tuple[tuple[_Held, ...], Template]] = []
    # The fullest first, so that what holds all of a template is met before it.
    for held, template in sorted(found.items(), key=lambda item: -sum(map(len, item[0]))):
        if len(kept) > most:
            break
        if clock.over and kept:
            complete = False
            break
        clock.spend_seconds(len(kept) * effort.seconds_a_template)
        if not any(_all_held(held, other) for other, _ in kept):
            kept.append((held, template))
    listed = [template for _, template in kept[:most]]
    complete = complete and len(kept) <= most
    # What was found first is one lane of the whole width, which holds every rectangle.
    whole = next(iter(found.values()), None)
    if not complete and whole is not None and whole not in listed:
        listed.append(whole)
    return listed, complete


A = TypeVar("A")
B = TypeVar("B")
_Held = frozenset[tuple[int, Ticks]]


class _Ends:
    """Where rectangles end across the roll that lie in their leftmost slots in a lane."""

    def __init__(self, rects: list[Rect]) -> None:
        slots = [(i, rect, slot) for i, rect in enumerate(rects) for slot in rect.slots]
        self._names = [(i, slot.phase) for i, _, slot in slots]
        self._first = np.array([slot.first for _, _, slot in slots], dtype=np.int64)
        self._pace = np.array([slot.pace for _, _, slot in slots], dtype=np.int64)
        self._across = np.array([rect.across for _, rect, _ in slots], dtype=np.int64)
        self._from: dict[Ticks, npt.NDArray[np.int64]] = {}
        self._held: dict[Lane, _Held] = {}

    @property
    def slots(self) -> int:
        """Slots of all rectangles."""
        return len(self._names)

    def count(self, lane: Lane) -> int:
        """How many slots a lane holds."""
        return int(np.count_nonzero(self._of(lane.left) <= lane.right))

    def _of(self, left: Ticks) -> npt.NDArray[np.int64]:
        """Where each slot's rectangle ends, in lanes from `left`: `Slot.from_` for all at once."""
        if left not in self._from:
            paces = np.maximum(-((self._first - left) // self._pace), 0)
            self._from[left] = self._first + paces * self._pace + self._across
        return self._from[left]

    def after(self, left: Ticks) -> list[Ticks]:
        """All ends of rectangles in lanes from `left`."""
        return [int(end) for end in np.unique(self._of(left))]

    def held(self, lane: Lane) -> _Held:
        """Which rectangles a lane holds, by their place in the list, and in which phases."""
        if lane not in self._held:
            within = np.flatnonzero(self._of(lane.left) <= lane.right)
            self._held[lane] = frozenset(self._names[i] for i in within)
        return self._held[lane]


def count_held(templates: Iterable[Template], rects: Iterable[Rect]) -> int:
    """How many times a lane of a template holds a rectangle, in each of its slots."""
    ends = _Ends(list(rects))
    number = Counter(lane for template in templates for lane in template)
    return sum(ends.count(lane) * times for lane, times in number.items())


def _all_held(these: Sequence[_Held], other: Sequence[_Held]) -> bool:
    """Whether lanes that hold `these` can be put, one each, into lanes that hold `other`; very many
    are not compared."""
    if len(these) > USUAL.seated:
        return False
    return matching(these, other, lambda mine, its: mine <= its) is not None


def matching(
    these: Sequence[A], others: Sequence[B], fits: Callable[[A, B], bool]
) -> list[int] | None:
    """The place of one of `others` for each of `these`, so that each fits its own; None if there
    is no way, or where they are very many none at first sight."""
    if len(these) > USUAL.seated:
        return _first_seats(these, others, fits)
    held_by: dict[int, int] = {}

    def seat(i: int, tried: set[int]) -> bool:
        """Find a place for one of `these`, moving others on where that helps."""
        for j, other in enumerate(others):
            if j not in tried and fits(these[i], other):
                tried.add(j)
                if j not in held_by or seat(held_by[j], tried):
                    held_by[j] = i
                    return True
        return False

    if len(these) > len(others) or not all(seat(i, set()) for i in range(len(these))):
        return None
    return sorted(held_by, key=lambda j: held_by[j])


def _first_seats(
    these: Sequence[A], others: Sequence[B], fits: Callable[[A, B], bool]
) -> list[int] | None:
    """The first free place that fits each; None if one has none."""
    free = list(range(len(others)))
    places = []
    for mine in these:
        place = next((j for j in free if fits(mine, others[j])), None)
        if place is None:
            return None
        free.remove(place)
        places.append(place)
    return places


def widened(grid: Grid, lanes: Iterable[Ticks], widths: list[Ticks]) -> Template:
    """A maximal template that holds whatever lanes of these widths hold, on cloth without slots."""
    current = sorted(lanes, reverse=True)
    spare = grid.roll.usable - sum(current)
    for i, width in enumerate(current):
        current[i] = max((w for w in widths if width < w <= width + spare), default=width)
        spare -= current[i] - width
    for width in sorted(widths, reverse=True):
        while width <= spare:
            current.append(width)
            spare -= width
    return side_by_side(sorted(current, reverse=True))
