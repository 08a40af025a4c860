"""The constraint model: one choice of option for every opening, and a packing of every roll.

Variables: how many copies of each kind of opening take each option, and for each roll what its
packing needs (`shadewright.solve.lanes` or `shadewright.solve.stacks`). A model may instead *bound*
its rolls: then a roll's length is only held above what its rectangles are worth
(`shadewright.solve.pricing`), and every plan of the problem satisfies the model.

Goals are expressions, minimised one after the other, each with those before it held.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from math import lcm
from typing import Literal

from ortools.sat.python import cp_model

from shadewright.measure import Ticks
from shadewright.solve.grid import Grid
from shadewright.solve.lanes import CutDrop, LanePacking, Template, add_lanes, total
from shadewright.solve.lay import lay_out
from shadewright.solve.pricing import Worth
from shadewright.solve.problem import Option, Problem, Rect, Roll
from shadewright.solve.stacks import StackPacking, add_stacks

GoalName = Literal["money", "bought", "shades", "used", "widths", "gaps"]


def goal_order(problem: Problem) -> tuple[GoalName, ...]:
    """The goals, most important first: money where every cloth has a price, else bought length."""
    first: GoalName = "money" if problem.priced else "bought"
    return (first, "shades", "used", "widths", "gaps")


@dataclass(frozen=True)
class Candidate:
    """A plan as far as the model goes: options taken, and the drops of each roll in order."""

    chosen: tuple[tuple[tuple[Option, int], ...], ...]
    drops: Mapping[str, tuple[CutDrop, ...]]


def taken_rects(chosen: tuple[tuple[tuple[Option, int], ...], ...], roll: str) -> dict[Rect, int]:
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
    """How each roll is modelled: by listed templates, as stacks, or only bounded by worths."""

    templates: Mapping[str, list[Template]] = field(default_factory=dict)
    stacks: frozenset[str] = frozenset()
    worths: Mapping[str, list[Worth]] = field(default_factory=dict)


@dataclass
class Model:
    """A CP-SAT model with its goals, and how to read and hint a candidate."""

    problem: Problem
    cp: cp_model.CpModel
    choice: list[list[cp_model.IntVar]]
    packings: dict[str, LanePacking | StackPacking]
    goals: dict[GoalName, cp_model.LinearExpr]

    def hold(self, goal: GoalName, most: int) -> None:
        """Keep a goal at or below a value."""
        self.cp.add(self.goals[goal] <= most)

    def candidate(self, value: Sequence[int]) -> Candidate:
        """Read a solution: the value of each variable, by its index."""
        chosen = tuple(
            tuple(
                (option, value[var.index])
                for option, var in zip(kind.options, row, strict=True)
                if value[var.index]
            )
            for kind, row in zip(self.problem.kinds, self.choice, strict=True)
        )
        drops = {}
        for name, packing in self.packings.items():
            if isinstance(packing, LanePacking):
                drops[name] = tuple(packing.cut_drops(value, taken_rects(chosen, name)))
            else:
                drops[name] = tuple(packing.cut_drops(value))
        return Candidate(chosen, drops)


def build(problem: Problem, formulation: Formulation) -> Model:
    """Build the model of a problem; where it only bounds, kinds take their bounding options."""
    if formulation.worths:
        problem = problem.bounding()
    cp = cp_model.CpModel()
    options = [kind.options for kind in problem.kinds]
    choice = [
        [cp.new_int_var(0, kind.copies, "") for _ in these]
        for kind, these in zip(problem.kinds, options, strict=True)
    ]
    for kind, row in zip(problem.kinds, choice, strict=True):
        cp.add(total((1, var) for var in row) == kind.copies)

    packings: dict[str, LanePacking | StackPacking] = {}
    used: list[cp_model.LinearExpr] = []
    steps: list[cp_model.IntVar] = []
    for roll in problem.rolls:
        demand: dict[Rect, list[tuple[int, cp_model.IntVar]]] = {}
        for these, row in zip(options, choice, strict=True):
            for option, var in zip(these, row, strict=True):
                for rect, count in option.demand:
                    if rect.roll == roll.name:
                        demand.setdefault(rect, []).append((count, var))
        if formulation.worths:
            grid = bounding_grid(roll, demand)
            longest = sum(grid.units(rect) * n for rect, n in problem.rects(roll).items())
            units = cp.new_int_var(0, longest, f"{roll.name} length")
            for worth in formulation.worths[roll.name]:
                cp.add(
                    worth.kappa * units
                    >= total(
                        (worth.of(grid, rect) * by, var)
                        for rect, terms in demand.items()
                        for by, var in terms
                    )
                )
            length = grid.unit * units - max(grid.tail(rect) for rect in demand)
            longest *= grid.unit
        else:
            packing = _packing(cp, problem, roll, demand, formulation)
            packings[roll.name] = packing
            length, longest = packing.length, packing.longest
        used.append(roll.lead + length)
        most = -(-(roll.lead + longest + roll.allowance) // roll.sold_in)
        step = cp.new_int_var(0, most, f"{roll.name} steps")
        cp.add(roll.sold_in * step >= roll.lead + length + roll.allowance)
        steps.append(step)

    _, coefficients, shade_cost = _money(problem)
    shades = _weighted(choice, [[o.shades for o in these] for these in options])
    goals: dict[GoalName, cp_model.LinearExpr] = {
        "shades": shades,
        "used": cp_model.LinearExpr.sum(used),
        "widths": _distinct_widths(cp, problem, options, choice),
        "gaps": _weighted(choice, [[o.gaps for o in these] for these in options]),
        "bought": total((roll.sold_in, s) for roll, s in zip(problem.rolls, steps, strict=True)),
        "money": total(zip(coefficients, steps, strict=True)) + shade_cost * shades,
    }
    return Model(problem, cp, choice, packings, goals)


def _weighted(choice: list[list[cp_model.IntVar]], weights: list[list[int]]) -> cp_model.LinearExpr:
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
) -> LanePacking | StackPacking:
    most = problem.rects(roll)
    grid = Grid.of(roll, most)
    if roll.name in formulation.stacks:
        return add_stacks(cp, grid, demand, most)
    return add_lanes(cp, grid, formulation.templates[roll.name], demand, most)


def bounding_grid(roll: Roll, rects: Mapping[Rect, object]) -> Grid:
    """The grid to bound a roll by: without its periods where those are not exact."""
    if roll.exact:
        return Grid.of(roll, rects)
    free = Roll(roll.name, roll.usable, lead=roll.lead)
    return Grid.of(free, rects)


def _distinct_widths(
    cp: cp_model.CpModel,
    problem: Problem,
    options: list[tuple[Option, ...]],
    choice: list[list[cp_model.IntVar]],
) -> cp_model.LinearExpr:
    """The number of different cut widths among the options taken."""
    taken: dict[Ticks, cp_model.IntVar] = {}
    for kind, these, row in zip(problem.kinds, options, choice, strict=True):
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


def _money(problem: Problem) -> tuple[int, list[int], int]:
    """Money in whole units: their number per unit of money, price of a step of each roll, and
    what a shade costs apart from cloth."""
    steps = [(roll.price or Fraction(0)) * roll.sold_in for roll in problem.rolls]
    scale = lcm(problem.shade_cost.denominator, *(price.denominator for price in steps))
    return scale, [int(price * scale) for price in steps], int(problem.shade_cost * scale)


def money_scale(problem: Problem) -> int:
    """Number of whole money units of the model in one unit of money."""
    return _money(problem)[0]


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
    _, coefficients, shade_cost = _money(problem)
    steps = [-(-(used[roll.name] + roll.allowance) // roll.sold_in) for roll in problem.rolls]
    if goal == "money":
        return sum(by * n for by, n in zip(coefficients, steps, strict=True)) + shade_cost * shades
    return sum(roll.sold_in * n for roll, n in zip(problem.rolls, steps, strict=True))


def used_length(roll: Roll, candidate: Candidate) -> Ticks:
    """Where the last drop of a roll ends."""
    return max((laid.end for laid in lay_out(roll, candidate.drops[roll.name])), default=roll.lead)
