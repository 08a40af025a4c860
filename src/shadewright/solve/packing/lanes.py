"""Rolls cut from a list of lane templates.

Into a lane of a template go rectangles that have a slot in it, one after the other; the drop is as
long as its fullest lane. Besides maximal templates (`shadewright.solve.packing.templates`), two
facts make a short list of them an exact model of three-stage cutting on a roll of one phase:

* Two drops cut by the same template can be joined lane by lane, and the longest lane of the joint
  drop is no longer than both longest lanes together. So one drop a template is enough. (A helper
  is spared the joint drop afterwards: see `shadewright.solve.packing.rows_apart`.)
* Rectangles of equal size are interchangeable, so a lane only counts how many it holds.

The linear relaxation is that of Gilmore and Gomory's cutting stock over the roll's width with
lengths as demands: it is the length of cloth whose every cross-section is a set of rectangles that
fit side by side.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from ortools.sat.python import cp_model

from shadewright.measure import Ticks
from shadewright.solve.packing.drops import CutDrop, CutLane
from shadewright.solve.packing.grid import Grid
from shadewright.solve.packing.packing import Demand, Packing
from shadewright.solve.packing.templates import Template
from shadewright.solve.problem.kinds import Rect
from shadewright.solve.sums import Terms, total


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
    demand: Demand,
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
    asked: dict[Group, Terms] = {}
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
    cut: dict[Group, Terms] = {}
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
