"""Rolls cut as stacks in drops: exact where lane templates are many and rectangles few.

Rectangles are sorted widest first. A *stack* (a lane of one drop) is named by its widest
rectangle, a drop by its widest stack; rectangle i may join a stack named by an earlier one, and a
stack a drop named by an earlier one. Every three-stage plan has exactly one such naming, so no two
assignments say the same plan.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from ortools.sat.python import cp_model

from shadewright.solve.packing.drops import CutDrop, CutLane
from shadewright.solve.packing.grid import Grid
from shadewright.solve.packing.packing import Demand, Packing
from shadewright.solve.problem.kinds import Rect
from shadewright.solve.sums import total


@dataclass
class StackPacking(Packing):
    """Variables of a roll packed as stacks."""

    grid: Grid
    rects: list[Rect]
    in_stack: dict[tuple[int, int], cp_model.IntVar]
    in_drop: dict[tuple[int, int], cp_model.IntVar]
    ends: dict[int, cp_model.IntVar]
    ends_stack: dict[tuple[int, int], cp_model.IntVar]

    def cut_drops(self, value: Sequence[int]) -> list[CutDrop]:
        """The drops of a solution, the one that ends the roll last.

        Args:
            value: of each variable, by its index.
        """
        drops: list[tuple[bool, CutDrop]] = []
        for d in range(len(self.rects)):
            lanes = []
            for s in range(d, len(self.rects)):
                if (d, s) not in self.in_drop or not value[self.in_drop[d, s].index]:
                    continue
                members = [
                    i
                    for i in range(s, len(self.rects))
                    if (s, i) in self.in_stack and value[self.in_stack[s, i].index]
                ]
                ends = {
                    i
                    for i in members
                    if (s, i) in self.ends_stack and value[self.ends_stack[s, i].index]
                }
                members = [i for i in members if i not in ends] + sorted(ends)
                lanes.append(CutLane(tuple(self.rects[i] for i in members)))
            if lanes:
                last = d in self.ends and bool(value[self.ends[d].index])
                drops.append((last, CutDrop(tuple(lanes))))
        drops.sort(key=lambda drop: drop[0])
        return [drop for _, drop in drops]


def add_stacks(
    model: cp_model.CpModel,
    grid: Grid,
    demand: Demand,
    most: Mapping[Rect, int],
    *,
    empty: cp_model.IntVar | None = None,
) -> StackPacking:
    """Add variables and constraints that cut `demand` from a roll as stacks in drops.

    Only for rolls without a period across: stacks lie edge to edge.

    Args:
        empty: whether nothing is cut from it; None where something always is.
    """
    order = sorted(most, key=lambda rect: (-rect.across, -rect.along))
    rects = [rect for rect in order for _ in range(most[rect])]
    n = len(rects)
    units = [grid.units(rect) for rect in rects]
    longest = sum(units)
    present = _presence(model, order, demand, most)
    in_stack = {(s, i): model.new_bool_var("") for i in range(n) for s in range(i + 1)}
    in_drop = {
        (d, s): model.new_bool_var("")
        for s in range(n)
        for d in range(s + 1)
        if d == s or rects[d].across + rects[s].across <= grid.roll.usable
    }
    for i in range(n):
        model.add_exactly_one(*(in_stack[s, i] for s in range(i + 1)), ~present[i])
        for s in range(i):
            model.add_implication(in_stack[s, i], in_stack[s, s])
    heights = [total((units[i], in_stack[s, i]) for i in range(s, n)) for s in range(n)]
    lengths = [model.new_int_var(0, longest, "") for _ in range(n)]
    for s in range(n):
        model.add(
            total((1, in_drop[d, s]) for d in range(s + 1) if (d, s) in in_drop) == in_stack[s, s]
        )
    whole = total((grid.unit, length) for length in lengths)
    packing = StackPacking(
        whole, grid.unit * longest, grid, rects, in_stack, in_drop, {}, {}, whole=whole
    )
    _add_drops(model, packing, lengths, heights)
    # Implied, and what the relaxation knows least about: cloth is at least as large as its panels.
    model.add(
        total((grid.roll.usable, length) for length in lengths)
        >= total((rects[i].across * units[i], present[i]) for i in range(n))
    )
    if grid.has_tails:
        packing.length = whole - _add_tail(model, packing, lengths, heights, empty)
    if grid.roll.table is not None:
        for s in range(n):
            # What ends a stack leaves its tail; without a period there are none.
            ends = [(i, packing.ends_stack.get((s, i))) for i in range(s, n)]
            tails = ((-grid.tail(rects[i]), var) for i, var in ends if var is not None)
            model.add(grid.unit * heights[s] + total(tails) <= grid.roll.table)
    if empty is not None:
        model.add(total((1, length) for length in lengths) == 0).only_enforce_if(empty)
    return packing


def _add_drops(
    model: cp_model.CpModel,
    packing: StackPacking,
    lengths: list[cp_model.IntVar],
    heights: list[cp_model.LinearExpr],
) -> None:
    """The stacks of a drop lie side by side on the roll, and it is as long as the longest."""
    rects, in_drop = packing.rects, packing.in_drop
    for d in range(len(rects)):
        members = [s for s in range(d, len(rects)) if (d, s) in in_drop]
        for s in members[1:]:
            model.add_implication(in_drop[d, s], in_drop[d, d])
        model.add(
            total((rects[s].across, in_drop[d, s]) for s in members)
            <= packing.grid.roll.usable * in_drop[d, d]
        )
        for s in members:
            model.add(lengths[d] >= heights[s]).only_enforce_if(in_drop[d, s])
        model.add(lengths[d] == 0).only_enforce_if(~in_drop[d, d])


def _presence(
    model: cp_model.CpModel, order: list[Rect], demand: Demand, most: Mapping[Rect, int]
) -> list[cp_model.IntVar]:
    """Which of the rectangles that may be asked for are; of equal ones the first."""
    present: list[cp_model.IntVar] = []
    for rect in order:
        these = [model.new_bool_var("") for _ in range(most[rect])]
        for earlier, later in pairwise(these):
            model.add_implication(later, earlier)
        model.add(total((1, this) for this in these) == total(demand[rect]))
        present += these
    return present


def _add_tail(
    model: cp_model.CpModel,
    packing: StackPacking,
    lengths: list[cp_model.IntVar],
    heights: list[cp_model.LinearExpr],
    empty: cp_model.IntVar | None,
) -> cp_model.IntVar:
    """Which drop comes last, which rectangle ends each of its stacks, and the tail they leave."""
    grid, rects, n = packing.grid, packing.rects, len(packing.rects)
    tails = [grid.tail(rect) for rect in rects]
    tail = model.new_int_var(0, max(tails), f"{grid.roll.name} tail")
    for d in range(n):
        packing.ends[d] = model.new_bool_var("")
        model.add_implication(packing.ends[d], packing.in_drop[d, d])
    model.add_exactly_one(*packing.ends.values(), *([] if empty is None else [empty]))
    if empty is not None:
        model.add(tail == 0).only_enforce_if(empty)
    for s in range(n):
        for i in range(s, n):
            packing.ends_stack[s, i] = model.new_bool_var("")
            model.add_implication(packing.ends_stack[s, i], packing.in_stack[s, i])
        model.add_at_most_one(packing.ends_stack[s, i] for i in range(s, n))
    for (d, s), inside in packing.in_drop.items():
        ending = total((tails[i], packing.ends_stack[s, i]) for i in range(s, n))
        model.add(tail <= grid.unit * (lengths[d] - heights[s]) + ending).only_enforce_if(
            packing.ends[d], inside
        )
    return tail
