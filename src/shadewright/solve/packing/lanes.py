"""Rolls cut from a list of lane templates.

A *lane* is a strip along a drop, from one place across the roll to another; a *template* says how
a drop is divided into lanes. Into a lane go rectangles that have a slot in it, one after the other;
the drop is as long as its fullest lane. Three facts make a short list of templates an exact model
of three-stage cutting on a roll of one phase:

* A lane may be widened while the drop still fits, so only maximal templates matter: those of which
  no other one holds whatever they hold, lane by lane.
* Two drops cut by the same template can be joined lane by lane, and the longest lane of the joint
  drop is no longer than both longest lanes together. So one drop a template is enough. (A helper
  is spared the joint drop afterwards: see `shadewright.solve.answer.layout`.)
* Rectangles of equal size are interchangeable, so a lane only counts how many it holds.

The linear relaxation is that of Gilmore and Gomory's cutting stock over the roll's width with
lengths as demands: it is the length of cloth whose every cross-section is a set of rectangles that
fit side by side.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import pairwise, permutations
from typing import TypeVar

import numpy as np
import numpy.typing as npt
from ortools.sat.python import cp_model

from shadewright.measure import Ticks
from shadewright.solve.effort import USUAL
from shadewright.solve.packing.grid import Grid
from shadewright.solve.problem.kinds import Rect


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


def total(terms: Iterable[tuple[int, cp_model.IntVar]]) -> cp_model.LinearExpr:
    """The sum of coefficient times variable."""
    pairs = list(terms)
    return cp_model.LinearExpr.weighted_sum([var for _, var in pairs], [by for by, _ in pairs])


def list_templates(grid: Grid, rects: Iterable[Rect], most: int) -> tuple[list[Template], bool]:
    """Maximal templates for these rectangles, at most so many, and whether they are all there are.

    However few, they cut every rectangle there is.
    """
    these = list(rects)
    if all(rect.anywhere for rect in these):
        return _list_by_width(grid, these, most)
    return _list_by_slot(grid, these, most)


def side_by_side(widths: Iterable[Ticks]) -> Template:
    """Lanes of these widths from the left usable edge."""
    edges = [0]
    for width in widths:
        edges.append(edges[-1] + width)
    return tuple(Lane(left, right) for left, right in pairwise(edges))


def _list_by_width(grid: Grid, rects: list[Rect], most: int) -> tuple[list[Template], bool]:
    """The list for rectangles that lie anywhere across: only widths of lanes matter."""
    usable = grid.roll.usable
    widths = sorted({rect.across for rect in rects}, reverse=True)
    wider = {narrow: wide for wide, narrow in pairwise(widths)}
    found: list[Template] = []
    visits = 0

    def extend(lanes: tuple[Ticks, ...], first: int) -> bool:
        nonlocal visits
        visits += 1
        if visits > USUAL.visits:
            return False
        for i in range(first, len(widths)):
            if sum(lanes) + widths[i] <= usable and not extend((*lanes, widths[i]), i):
                return False
        spare = usable - sum(lanes)
        if spare < widths[-1] and all(wider.get(w, usable + w) - w > spare for w in lanes):
            found.append(side_by_side(lanes))
        return len(found) <= most

    complete = extend((), 0)
    return found[:most], complete


def _list_by_slot(grid: Grid, rects: list[Rect], most: int) -> tuple[list[Template], bool]:
    """The list for rectangles with places of their own across.

    Lanes are cut off from the left. Where one ends only matters by what it holds, so it ends with
    a rectangle in its leftmost slot; the last one goes on to the usable edge.
    """
    usable = grid.roll.usable
    ends = _Ends(rects)
    found: dict[tuple[_Held, ...], Template] = {}
    visits = 0
    most_visits = min(USUAL.visits, USUAL.looks // max(ends.slots, 1))

    def extend(lanes: Template, held: tuple[_Held, ...], left: Ticks) -> bool:
        nonlocal visits
        visits += 1
        if visits > most_visits:
            return False
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
        if not any(_all_held(held, other) for other, _ in kept):
            kept.append((held, template))
    return [template for _, template in kept[:most]], complete and len(kept) <= most


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


def arranged(lanes: Iterable[CutLane]) -> tuple[CutLane, ...]:
    """The order of lanes side by side that ends furthest left."""
    these = tuple(lanes)
    if len(these) > USUAL.ordered or all(rect.anywhere for lane in these for rect in lane.rects):
        return these
    return min(permutations(these), key=_end_across)


def template_of(drop: CutDrop) -> Template:
    """Lanes that hold what a drop's lanes do."""
    edges = [0]
    for lane in arranged(drop.lanes):
        edges.append(lane.right(edges[-1]))
    return tuple(Lane(left, right) for left, right in pairwise(edges))


def fit(grid: Grid, lanes: Iterable[CutLane]) -> bool:
    """Whether lanes fit side by side, in some order."""
    return _end_across(arranged(lanes)) <= grid.roll.usable


def _end_across(lanes: Iterable[CutLane]) -> Ticks:
    left = 0
    for lane in lanes:
        left = lane.right(left)
    return left


@dataclass
class Packing:
    """The part of a model that packs one roll: what every packing offers the rest of the model.

    Attributes:
        length: from the end of the lead to the end of the last drop, an expression in ticks.
        longest: an upper bound of `length`.
        whole: the same to the end of the last drop's last period, where it is known.
    """

    length: cp_model.LinearExpr
    longest: int
    whole: cp_model.LinearExpr | None = field(default=None, kw_only=True)


@dataclass(frozen=True, order=True)
class Group:
    """Rectangles that no lane tells apart: as long as each other, and held by the same lanes.

    Attributes:
        number: that tells it from other groups.
    """

    number: int
    units: int
    tail: Ticks


@dataclass
class LanePacking(Packing):
    """Variables of a roll packed by lane templates."""

    grid: Grid
    templates: list[Template]
    groups: dict[Rect, Group]
    counts: dict[tuple[int, int, Group], cp_model.IntVar]
    last_template: list[cp_model.IntVar]
    last_group: dict[tuple[int, int, Group], cp_model.IntVar]

    def cut_drops(self, value: Sequence[int], rects: Mapping[Rect, int]) -> list[CutDrop]:
        """The drops of a solution, the one that ends the roll last.

        Args:
            value: of each variable, by its index.
            rects: what the options taken ask of this roll.
        """
        waiting: dict[Group, list[Rect]] = {}
        for rect, count in sorted(rects.items()):
            waiting.setdefault(self.groups[rect], []).extend([rect] * count)
        filled: dict[tuple[int, int], list[Group]] = {}
        for (t, lane, group), var in self.counts.items():
            filled.setdefault((t, lane), []).extend([group] * value[var.index])
        drops: list[tuple[bool, CutDrop]] = []
        for t, template in enumerate(self.templates):
            lanes = []
            for lane in range(len(template)):
                groups = filled.get((t, lane), [])
                for group in set(groups):
                    last = self.last_group.get((t, lane, group))
                    if last is not None and value[last.index]:
                        groups.remove(group)
                        groups.append(group)
                if groups:
                    lanes.append(CutLane(tuple(waiting[group].pop() for group in groups)))
            if lanes:
                last_here = bool(self.last_template) and bool(value[self.last_template[t].index])
                drops.append((last_here, CutDrop(tuple(lanes))))
        drops.sort(key=lambda drop: drop[0])
        return [drop for _, drop in drops]


def _groups(grid: Grid, templates: list[Template], rects: Iterable[Rect]) -> dict[Rect, Group]:
    """The group of each rectangle; groups come in order of length."""
    traits: dict[Rect, tuple[int, Ticks, tuple[tuple[int, int], ...]]] = {}
    for rect in rects:
        lanes = tuple(
            (t, place)
            for t, template in enumerate(templates)
            for place, lane in enumerate(template)
            if lane.holds(rect)
        )
        traits[rect] = grid.units(rect), grid.tail(rect), lanes
    numbers = {trait: number for number, trait in enumerate(sorted(set(traits.values())))}
    return {rect: Group(numbers[trait], *trait[:2]) for rect, trait in traits.items()}


def add_lanes(
    model: cp_model.CpModel,
    grid: Grid,
    templates: list[Template],
    demand: Mapping[Rect, list[tuple[int, cp_model.IntVar]]],
    most: Mapping[Rect, int],
    *,
    empty: cp_model.IntVar | None = None,
) -> LanePacking:
    """Add variables and constraints that cut `demand` from a roll by these templates.

    Args:
        demand: of each rectangle, as terms of a sum.
        most: that any plan needs of each.
        empty: whether nothing is cut from it; None where something always is.
    """
    by_rect = _groups(grid, templates, demand)
    asked: dict[Group, list[tuple[int, cp_model.IntVar]]] = {}
    room: dict[Group, int] = {}
    example: dict[Group, Rect] = {}
    for rect, terms in demand.items():
        group = by_rect[rect]
        asked.setdefault(group, []).extend(terms)
        room[group] = room.get(group, 0) + most[rect]
        example[group] = rect
    groups = sorted(asked)
    counts: dict[tuple[int, int, Group], cp_model.IntVar] = {}
    lengths: list[cp_model.IntVar] = []
    loads: list[list[cp_model.LinearExpr]] = []
    longest = sum(grid.units(rect) * n for rect, n in most.items())
    for t, template in enumerate(templates):
        length = model.new_int_var(0, longest, f"{grid.roll.name} template {t}")
        lengths.append(length)
        loads.append([])
        before: list[Group] = []
        for place, lane in enumerate(template):
            here = [group for group in groups if lane.holds(example[group])]
            for group in here:
                counts[t, place, group] = model.new_int_var(0, room[group], "")
            load = total((group.units, counts[t, place, group]) for group in here)
            model.add(load <= length)
            if place and here == before:
                # Lanes that hold the same are alike: fill the left one most.
                model.add(load <= loads[t][-1])
            loads[t].append(load)
            before = here
    cut: dict[Group, list[tuple[int, cp_model.IntVar]]] = {}
    for (_, _, group), count in counts.items():
        cut.setdefault(group, []).append((1, count))
    for group in groups:
        model.add(total(cut[group]) == total(asked[group]))
    whole = total((grid.unit, length) for length in lengths)
    packing = LanePacking(
        whole, grid.unit * longest, grid, templates, by_rect, counts, [], {}, whole=whole
    )
    if grid.has_tails:
        packing.length = whole - _add_tail(model, packing, groups, lengths, loads, empty=empty)
    if empty is not None:
        model.add(total((1, length) for length in lengths) == 0).only_enforce_if(empty)
    return packing


def _add_tail(
    model: cp_model.CpModel,
    packing: LanePacking,
    groups: list[Group],
    lengths: list[cp_model.IntVar],
    loads: list[list[cp_model.LinearExpr]],
    *,
    empty: cp_model.IntVar | None,
) -> cp_model.IntVar:
    """Which drop comes last, which rectangle ends each of its lanes, and the tail they leave."""
    grid = packing.grid
    tail = model.new_int_var(0, max(group.tail for group in groups), f"{grid.roll.name} tail")
    packing.last_template = [model.new_bool_var("") for _ in packing.templates]
    model.add_exactly_one(*packing.last_template, *([] if empty is None else [empty]))
    if empty is not None:
        model.add(tail == 0).only_enforce_if(empty)
    for t, template in enumerate(packing.templates):
        here = packing.last_template[t]
        # The drop that comes last is not empty. (Lengths are units, so at least one.)
        model.add(lengths[t] >= 1).only_enforce_if(here)
        for lane in range(len(template)):
            ends = []
            for group in groups:
                if (t, lane, group) in packing.counts:
                    last = model.new_bool_var("")
                    packing.last_group[t, lane, group] = last
                    model.add_implication(last, here)
                    model.add(packing.counts[t, lane, group] >= 1).only_enforce_if(last)
                    ends.append((group.tail, last))
            model.add_at_most_one(last for _, last in ends)
            spare = grid.unit * (lengths[t] - loads[t][lane])
            model.add(tail <= spare + total(ends)).only_enforce_if(here)
    return tail
