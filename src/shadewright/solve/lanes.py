"""Rolls cut from a list of lane templates.

A *lane template* says how a drop is divided lengthwise: the widths of its lanes, left to right.
Into a lane go rectangles no wider than it, one after the other; the drop is as long as its fullest
lane. Three facts make a short list of templates an exact model of three-stage cutting:

* A lane may be widened while the drop still fits, so only maximal templates matter: those to which
  no lane can be added and of which none can be made as wide as the next wider rectangle.
* Two drops cut by the same template can be joined lane by lane, and the longest lane of the joint
  drop is no longer than both longest lanes together. So one drop a template is enough. (A helper
  is spared the joint drop afterwards: see `shadewright.solve.layout`.)
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
from shadewright.solve.grid import Grid
from shadewright.solve.problem import Rect

Template = tuple[Ticks, ...]

_MOST_VISITS = 20_000


def total(terms: Iterable[tuple[int, cp_model.IntVar]]) -> cp_model.LinearExpr:
    """The sum of coefficient times variable."""
    pairs = list(terms)
    return cp_model.LinearExpr.weighted_sum([var for _, var in pairs], [by for by, _ in pairs])


def list_templates(grid: Grid, rects: Iterable[Rect], most: int) -> list[Template] | None:
    """Every maximal template for these rectangles; None if there are more than `most`."""
    widths = sorted({rect.across for rect in rects}, reverse=True)
    found: list[Template] = []
    visits = 0

    def extend(lanes: Template, first: int) -> bool:
        nonlocal visits
        visits += 1
        if visits > _MOST_VISITS:
            return False
        for i in range(first, len(widths)):
            if grid.fits((*lanes, widths[i])) and not extend((*lanes, widths[i]), i):
                return False
        if _is_maximal(grid, lanes, widths):
            found.append(lanes)
        return len(found) <= most

    return found if extend((), 0) else None


def widened(grid: Grid, lanes: Template, widths: list[Ticks]) -> Template:
    """A maximal template that holds whatever `lanes` holds."""
    current = sorted(lanes, reverse=True)
    for i, width in enumerate(current):
        for wider in sorted(widths, reverse=True):
            if wider > width and grid.fits([*current[:i], wider, *current[i + 1 :]]):
                current[i] = wider
                break
    for width in sorted(widths, reverse=True):
        while grid.fits([*current, width]):
            current.append(width)
    return tuple(sorted(current, reverse=True))


def holds(template: Template, lanes: Template) -> bool:
    """Whether lanes of these widths, widest first, fit into those of a template."""
    return len(template) >= len(lanes) and all(
        room >= width for room, width in zip(template, lanes, strict=False)
    )


def _is_maximal(grid: Grid, lanes: Template, widths: list[Ticks]) -> bool:
    if grid.fits((*lanes, widths[-1])):
        return False
    for i, width in enumerate(lanes):
        wider = [w for w in widths if w > width]
        if wider and grid.fits((*lanes[:i], wider[-1], *lanes[i + 1 :])):
            return False
    return True


@dataclass(frozen=True)
class CutLane:
    """A lane as it is cut: its rectangles in order from the start of the drop."""

    rects: tuple[Rect, ...]

    @property
    def width(self) -> Ticks:
        """Width of its widest rectangle."""
        return max(rect.across for rect in self.rects)


@dataclass(frozen=True)
class CutDrop:
    """A drop as it is cut: its lanes, left to right."""

    lanes: tuple[CutLane, ...]


@dataclass
class Packing:
    """The part of a model that packs one roll: what every packing offers the rest of the model.

    Attributes:
        length: from the end of the lead to the end of the last drop, an expression in ticks.
        longest: an upper bound of `length`.
    """

    length: cp_model.LinearExpr
    longest: int


@dataclass(frozen=True, order=True)
class Group:
    """Rectangles that no lane tells apart: as long as each other, and held by the same lanes."""

    units: int
    tail: Ticks
    lane: Ticks
    """Width of the narrowest lane that holds them."""


@dataclass
class LanePacking(Packing):
    """Variables of a roll packed by lane templates."""

    grid: Grid
    templates: list[Template]
    counts: dict[tuple[int, int, Group], cp_model.IntVar]
    last_template: list[cp_model.IntVar]
    last_group: dict[tuple[int, int, Group], cp_model.IntVar]

    def group(self, rect: Rect) -> Group:
        """The group a rectangle belongs to."""
        return _group(self.grid, self.templates, rect)

    def cut_drops(self, value: Sequence[int], rects: Mapping[Rect, int]) -> list[CutDrop]:
        """The drops of a solution, the one that ends the roll last.

        Args:
            value: of each variable, by its index.
            rects: what the options taken ask of this roll.
        """
        waiting: dict[Group, list[Rect]] = {}
        for rect, count in sorted(rects.items()):
            waiting.setdefault(self.group(rect), []).extend([rect] * count)
        drops: list[tuple[bool, CutDrop]] = []
        for t, template in enumerate(self.templates):
            lanes = []
            for lane in range(len(template)):
                groups = [
                    group
                    for (tt, ll, group), count in self.counts.items()
                    if (tt, ll) == (t, lane)
                    for _ in range(value[count.index])
                ]
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


def _group(grid: Grid, templates: list[Template], rect: Rect) -> Group:
    lane = min(width for lanes in templates for width in lanes if width >= rect.across)
    return Group(grid.units(rect), grid.tail(rect), lane)


def add_lanes(
    model: cp_model.CpModel,
    grid: Grid,
    templates: list[Template],
    demand: Mapping[Rect, list[tuple[int, cp_model.IntVar]]],
    most: Mapping[Rect, int],
) -> LanePacking:
    """Add variables and constraints that cut `demand` from a roll by these templates.

    Args:
        demand: of each rectangle, as terms of a sum.
        most: that any plan needs of each.
    """
    asked: dict[Group, list[tuple[int, cp_model.IntVar]]] = {}
    room: dict[Group, int] = {}
    for rect, terms in demand.items():
        group = _group(grid, templates, rect)
        asked.setdefault(group, []).extend(terms)
        room[group] = room.get(group, 0) + most[rect]
    groups = sorted(asked)
    counts: dict[tuple[int, int, Group], cp_model.IntVar] = {}
    lengths: list[cp_model.IntVar] = []
    loads: list[list[cp_model.LinearExpr]] = []
    longest = sum(grid.units(rect) * n for rect, n in most.items())
    for t, template in enumerate(templates):
        length = model.new_int_var(0, longest, f"{grid.roll.name} template {t}")
        lengths.append(length)
        loads.append([])
        for lane, width in enumerate(template):
            for group in groups:
                if group.lane <= width:
                    counts[t, lane, group] = model.new_int_var(0, room[group], "")
            load = total(
                (group.units, counts[t, lane, group])
                for group in groups
                if (t, lane, group) in counts
            )
            model.add(load <= length)
            if lane and template[lane - 1] == width:
                # Lanes of one width are alike: fill the left one most.
                model.add(load <= loads[t][-1])
            loads[t].append(load)
    for group in groups:
        cut = total((1, count) for (_, _, g), count in counts.items() if g == group)
        model.add(cut == total(asked[group]))
    whole = total((grid.unit, length) for length in lengths)
    packing = LanePacking(whole, grid.unit * longest, grid, templates, counts, [], {})
    if grid.has_tails:
        packing.length = whole - _add_tail(model, packing, groups, lengths, loads)
    return packing


def _add_tail(
    model: cp_model.CpModel,
    packing: LanePacking,
    groups: list[Group],
    lengths: list[cp_model.IntVar],
    loads: list[list[cp_model.LinearExpr]],
) -> cp_model.IntVar:
    """Which drop comes last, which rectangle ends each of its lanes, and the tail they leave."""
    grid = packing.grid
    tail = model.new_int_var(0, max(group.tail for group in groups), f"{grid.roll.name} tail")
    packing.last_template = [model.new_bool_var("") for _ in packing.templates]
    model.add_exactly_one(packing.last_template)
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
