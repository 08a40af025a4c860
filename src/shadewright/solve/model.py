"""The constraint model: one choice of option for every opening, and a packing of every roll.

Variables: how many copies of each kind of opening take each option, and for each roll what its
packing needs (`shadewright.solve.lanes` or `shadewright.solve.stacks`). A model may instead *bound*
its rolls: then a roll's length is only held above what its rectangles are worth
(`shadewright.solve.pricing`), and every plan of the problem satisfies the model.

Goals are expressions, minimised one after the other, each with those before it held.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from math import lcm
from typing import Literal

from ortools.sat.python import cp_model

from shadewright.cloth.order import Arc, open_order
from shadewright.measure import Ticks
from shadewright.solve.grid import Grid
from shadewright.solve.lanes import CutDrop, LanePacking, Packing, Template, add_lanes, total
from shadewright.solve.lay import lay_out, length_of
from shadewright.solve.pricing import Worth
from shadewright.solve.problem import Kind, Option, Problem, Rect, Roll
from shadewright.solve.rows import RowPacking, Stacks, add_rows
from shadewright.solve.stacks import StackPacking, add_stacks
from shadewright.solve.turns import add_turns

GoalName = Literal["money", "bought", "shades", "used", "widths", "gaps"]


def goal_order(problem: Problem) -> tuple[GoalName, ...]:
    """The goals, most important first: money where every cloth has a price, else bought length."""
    first: GoalName = "money" if problem.priced else "bought"
    return (first, "shades", "used", "widths", "gaps")


# For each kind of opening the options taken, and by how many copies.
Chosen = tuple[tuple[tuple[Option, int], ...], ...]


@dataclass(frozen=True)
class Candidate:
    """A plan as far as the model goes: options taken, and the drops of each roll in order."""

    chosen: Chosen
    drops: Mapping[str, tuple[CutDrop, ...]]


def taken_rects(chosen: Chosen, roll: str) -> dict[Rect, int]:
    """What the options taken ask of a roll."""
    asked: dict[Rect, int] = {}
    for taken in chosen:
        for option, copies in taken:
            for rect, count in option.demand:
                if rect.roll == roll:
                    asked[rect] = asked.get(rect, 0) + count * copies
    return asked


@dataclass(frozen=True)
class Formulation:
    """How each roll is modelled: by listed templates, as stacks, row by row, or only bounded.

    Attributes:
        rows: what may be cut from rolls of several phases, with the most they may use.
        turns: templates of rolls whose turns are bounded.
        worths: of rolls that are bounded by what their rectangles are worth.
        bounding: whether kinds take their bounding options.
    """

    templates: Mapping[str, list[Template]] = field(default_factory=dict)
    stacks: frozenset[str] = frozenset()
    rows: Mapping[str, tuple[Stacks, Ticks]] = field(default_factory=dict)
    turns: Mapping[str, list[Template]] = field(default_factory=dict)
    worths: Mapping[str, list[Worth]] = field(default_factory=dict)
    bounding: bool = False


@dataclass
class Model:
    """A CP-SAT model with its goals, and how to read and hint a candidate."""

    problem: Problem
    cp: cp_model.CpModel
    choice: list[list[cp_model.IntVar]]
    packings: dict[str, Packing]
    goals: dict[GoalName, cp_model.LinearExpr]

    def hold(self, goal: GoalName, most: int) -> None:
        """Keep a goal at or below a value."""
        self.cp.add(self.goals[goal] <= most)

    def chosen(self, value: Sequence[int]) -> Chosen:
        """The options that a solution takes: the value of each variable, by its index."""
        return tuple(
            tuple(
                (option, value[var.index])
                for option, var in zip(kind.options, row, strict=True)
                if value[var.index]
            )
            for kind, row in zip(self.problem.kinds, self.choice, strict=True)
        )

    def candidate(self, value: Sequence[int]) -> Candidate:
        """Read a solution: the value of each variable, by its index."""
        chosen = self.chosen(value)
        drops = {}
        for roll in self.problem.rolls:
            packing, taken = self.packings[roll.name], taken_rects(chosen, roll.name)
            match packing:
                case LanePacking():
                    drops[roll.name] = tuple(packing.cut_drops(value, taken))
                case StackPacking():
                    drops[roll.name] = tuple(packing.cut_drops(value))
                case RowPacking():
                    drops[roll.name] = in_order(roll, packing.cut_drops(value, taken))
                case _:
                    raise TypeError(f"{roll.name} is bounded, not packed")
        return Candidate(chosen, drops)


def build(problem: Problem, formulation: Formulation) -> Model:
    """Build the model of a problem; where it only bounds, kinds take their bounding options."""
    if formulation.bounding:
        problem = problem.bounding()
    cp = cp_model.CpModel()
    options = [kind.options for kind in problem.kinds]
    choice = [
        [cp.new_int_var(0, kind.copies, "") for _ in these]
        for kind, these in zip(problem.kinds, options, strict=True)
    ]
    for kind, row in zip(problem.kinds, choice, strict=True):
        cp.add(total((1, var) for var in row) == kind.copies)
    add_bases(cp, problem.kinds, options, choice)

    packings: dict[str, Packing] = {}
    used: list[cp_model.LinearExpr] = []
    steps: list[cp_model.IntVar] = []
    for roll in problem.rolls:
        demand: dict[Rect, list[tuple[int, cp_model.IntVar]]] = {}
        for these, row in zip(options, choice, strict=True):
            for option, var in zip(these, row, strict=True):
                for rect, count in option.demand:
                    if rect.roll == roll.name:
                        demand.setdefault(rect, []).append((count, var))
        packing = packings[roll.name] = _packing(cp, problem, roll, demand, formulation)
        used.append(roll.lead + packing.length)
        most = -(-(roll.lead + packing.longest + roll.allowance) // roll.sold_in)
        step = cp.new_int_var(0, most, f"{roll.name} steps")
        cp.add(roll.sold_in * step >= roll.lead + packing.length + roll.allowance)
        steps.append(step)

    _, coefficients, shade_cost = money_terms(problem)
    shades = weighted(choice, [[o.shades for o in these] for these in options])
    goals: dict[GoalName, cp_model.LinearExpr] = {
        "shades": shades,
        "used": cp_model.LinearExpr.sum(used),
        "widths": distinct_widths(cp, problem.kinds, options, choice),
        "gaps": weighted(choice, [[o.gaps for o in these] for these in options]),
        "bought": total((roll.sold_in, s) for roll, s in zip(problem.rolls, steps, strict=True)),
        "money": total(zip(coefficients, steps, strict=True)) + shade_cost * shades,
    }
    return Model(problem, cp, choice, packings, goals)


def add_bases(
    cp: cp_model.CpModel,
    kinds: Iterable[Kind],
    options: Sequence[Sequence[Option]],
    choice: list[list[cp_model.IntVar]],
) -> None:
    """All options taken of one cloth have the same base."""
    taken: dict[str, dict[Ticks, cp_model.IntVar]] = {}
    for kind, these, row in zip(kinds, options, choice, strict=True):
        by_base: dict[tuple[str, Ticks], list[cp_model.IntVar]] = {}
        for option, var in zip(these, row, strict=True):
            if option.base:
                by_base.setdefault(option.base, []).append(var)
        for (cloth, base), alike in sorted(by_base.items()):
            here = taken.setdefault(cloth, {})
            if base not in here:
                here[base] = cp.new_bool_var(f"{cloth} rows from {base}")
            cp.add(total((1, var) for var in alike) <= kind.copies * here[base])
    for bases in taken.values():
        cp.add_exactly_one(bases.values())


def weighted(choice: list[list[cp_model.IntVar]], weights: list[list[int]]) -> cp_model.LinearExpr:
    return total(
        (weight, var)
        for row, these in zip(choice, weights, strict=True)
        for var, weight in zip(row, these, strict=True)
    )


def _packing(
    cp: cp_model.CpModel,
    problem: Problem,
    roll: Roll,
    demand: Mapping[Rect, list[tuple[int, cp_model.IntVar]]],
    formulation: Formulation,
) -> Packing:
    most = problem.rects(roll)
    name = roll.name
    if name in formulation.worths:
        return _add_worths(cp, bounding_grid(roll, most), formulation.worths[name], demand, most)
    if name in formulation.turns:
        return add_turns(cp, roll, formulation.turns[name], demand, most)
    if name in formulation.rows:
        stacks, longest = formulation.rows[name]
        return add_rows(cp, roll, stacks, demand, longest)
    grid = Grid.of(roll, most)
    if name in formulation.stacks:
        return add_stacks(cp, grid, demand, most)
    return add_lanes(cp, grid, formulation.templates[name], demand, most)


def _add_worths(
    cp: cp_model.CpModel,
    grid: Grid,
    worths: list[Worth],
    demand: Mapping[Rect, list[tuple[int, cp_model.IntVar]]],
    most: Mapping[Rect, int],
) -> Packing:
    """Hold a roll's length above what its rectangles are worth."""
    longest = sum(grid.units(rect) * n for rect, n in most.items())
    units = cp.new_int_var(0, longest, f"{grid.roll.name} length")
    for worth in worths:
        asked = (
            (worth.of(grid, rect) * by, var) for rect, terms in demand.items() for by, var in terms
        )
        cp.add(worth.kappa * units >= total(asked))
    return Packing(grid.unit * units - max(map(grid.tail, demand)), grid.unit * longest)


def bounding_grid(roll: Roll, rects: Mapping[Rect, object]) -> Grid:
    """The grid to bound a roll by: without its period where that does not say all."""
    if roll.exact and len(roll.nodes) == 1:
        return Grid.of(roll, rects)
    free = Roll(roll.name, roll.usable, lead=roll.lead)
    return Grid.of(free, rects)


def in_order(roll: Roll, drops: Iterable[CutDrop]) -> tuple[CutDrop, ...]:
    """Drops of a roll of several phases in the order that wastes least between them."""
    these = tuple(drops)
    arcs = [Arc(drop.phase, length_of(roll, drop)) for drop in these]
    return tuple(these[i] for i in open_order(arcs, roll.period, roll.origin).sequence)


def distinct_widths(
    cp: cp_model.CpModel,
    kinds: Iterable[Kind],
    options: Sequence[Sequence[Option]],
    choice: list[list[cp_model.IntVar]],
) -> cp_model.LinearExpr:
    """The number of different cut widths among the options taken."""
    taken: dict[Ticks, cp_model.IntVar] = {}
    for kind, these, row in zip(kinds, options, choice, strict=True):
        by_width: dict[Ticks, list[cp_model.IntVar]] = {}
        for option, var in zip(these, row, strict=True):
            for width in option.cut_widths:
                by_width.setdefault(width, []).append(var)
        for width, rows in sorted(by_width.items()):
            if width not in taken:
                taken[width] = cp.new_bool_var(f"width {width}")
            # All options of one kind that share the width, together: one row, and a tighter one.
            cp.add(total((1, var) for var in rows) <= kind.copies * taken[width])
    return total((1, var) for var in taken.values())


def money_terms(problem: Problem) -> tuple[int, list[int], int]:
    """Money in whole units: their number per unit of money, price of a step of each roll, and
    what a shade costs apart from cloth."""
    steps = [(roll.price or Fraction(0)) * roll.sold_in for roll in problem.rolls]
    scale = lcm(problem.shade_cost.denominator, *(price.denominator for price in steps))
    return scale, [int(price * scale) for price in steps], int(problem.shade_cost * scale)


def money_scale(problem: Problem) -> int:
    """Number of whole money units of the model in one unit of money."""
    return money_terms(problem)[0]


def score(problem: Problem, candidate: Candidate) -> dict[GoalName, int]:
    """What a candidate reaches for every goal, counted from its options and drops."""
    used = {roll.name: used_length(roll, candidate) for roll in problem.rolls}
    taken = [(option, n) for chosen in candidate.chosen for option, n in chosen]
    shades = sum(option.shades * n for option, n in taken)
    return {
        "money": bought_value(problem, "money", used, shades),
        "bought": bought_value(problem, "bought", used, shades),
        "shades": shades,
        "used": sum(used.values()),
        "widths": len({width for option, _ in taken for width in option.cut_widths}),
        "gaps": sum(option.gaps * n for option, n in taken),
    }


def bought_value(problem: Problem, goal: GoalName, used: Mapping[str, Ticks], shades: int) -> int:
    """What is bought for lengths used of each roll: in money with so many shades, or in length."""
    _, coefficients, shade_cost = money_terms(problem)
    steps = [-(-(used[roll.name] + roll.allowance) // roll.sold_in) for roll in problem.rolls]
    if goal == "money":
        return sum(by * n for by, n in zip(coefficients, steps, strict=True)) + shade_cost * shades
    return sum(roll.sold_in * n for roll, n in zip(problem.rolls, steps, strict=True))


def used_length(roll: Roll, candidate: Candidate) -> Ticks:
    """Where the last drop of a roll ends."""
    return max((laid.end for laid in lay_out(roll, candidate.drops[roll.name])), default=roll.lead)
