"""How to model a problem: which packing each roll gets, and what bounds it where none is exact."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from math import prod

from shadewright.measure import Ticks, ceil_to
from shadewright.solve.packing.drops import CutLane, template_of
from shadewright.solve.packing.grid import Grid
from shadewright.solve.packing.row_stacks import Stacks, list_stacks
from shadewright.solve.packing.templates import Template, count_held, list_templates, matching
from shadewright.solve.packing.worths import Pricing, price
from shadewright.solve.problem.kinds import Option, Problem, Rect, Roll
from shadewright.solve.problem.supply import Supply
from shadewright.solve.run import Clock
from shadewright.solve.search.candidate import Candidate
from shadewright.solve.search.model import Formulation


def formulate(
    problem: Problem, clock: Clock, before: Pricing | None = None
) -> tuple[Formulation, bool]:
    """How to cut each roll, and whether nothing is left out.

    Rolls of several phases only get their templates: see `turning` and `row_by_row`. Templates of
    joint drops know nothing of a table, so that where there is one they bound.

    Args:
        before: what was priced before with these options or more.
    """
    templates: dict[str, list[Template]] = {}
    stacks: set[str] = set()
    to_price: list[str] = []
    exact = all(kind.complete for kind in problem.kinds)
    for roll in problem.rolls:
        rects = problem.rects(roll)
        anywhere = all(rect.anywhere for rect in rects)
        one_phase = len(roll.nodes) == 1
        listed, complete = list_templates(Grid.of(roll, rects), rects, clock)
        size = _size(listed, rects) if complete else clock.effort.counts + 1
        exact = exact and roll.exact
        if size > clock.effort.few_counts and _stackable(roll, rects, clock):
            stacks.add(roll.name)
        elif size <= clock.effort.counts or not anywhere or not one_phase:
            templates[roll.name] = listed
            exact = exact and complete
        else:
            to_price.append(roll.name)
    if to_price:
        exact = False
        grids = {roll.name: Grid.of(roll, problem.rects(roll)) for roll in problem.rolls}
        priced = price(problem.kinds, grids, clock, costs=True, before=before)
        templates |= {name: priced.templates[name] for name in to_price}
    return Formulation(templates, frozenset(stacks)), exact


def templates_of(problem: Problem, cutting: Formulation, clock: Clock) -> dict[str, list[Template]]:
    """Templates of all rolls, those that the formulation cuts as stacks among them."""
    found = dict(cutting.templates)
    for roll in problem.rolls:
        if roll.name not in found:
            rects = problem.rects(roll)
            found[roll.name] = list_templates(Grid.of(roll, rects), rects, clock)[0]
    return found


def _stackable(roll: Roll, rects: Mapping[Rect, int], clock: Clock) -> bool:
    """Whether a roll may be cut as stacks: none has a place of its own, and they are few."""
    anywhere = all(rect.anywhere for rect in rects)
    return anywhere and len(roll.nodes) == 1 and sum(rects.values()) <= clock.effort.stacked


def joint(roll: Roll, cutting: Formulation) -> bool:
    """Whether a formulation cuts a roll in joint drops that a table may be too short for."""
    return roll.table is not None and len(roll.nodes) == 1 and roll.name in cutting.templates


def _size(templates: list[Template], rects: Mapping[Rect, int]) -> int:
    """How many times a lane of a template holds a rectangle, where it has slots in each of them."""
    if all(rect.anywhere for rect in rects):
        widths = sorted(rect.across for rect in rects)
        return sum(bisect_right(widths, lane.width) for lanes in templates for lane in lanes)
    return count_held(templates, rects)


def size_of(problem: Problem, supply: Supply, formulation: Formulation) -> int:
    """About how many variables and constraints a model has, rather too many."""
    size = 0
    for kind in problem.kinds:
        for option in kind.options:
            ways = prod(len(supply.lots_of(roll)) for roll in {r.roll for r, _ in option.demand})
            size += (len(option.demand) + 1) * ways
    for roll in problem.rolls:
        parts = sum(1 + 2 * len(stretch.spots) for stretch in supply.stretches[roll.name])
        size += parts * (_roll_size(problem, roll, formulation) + len(problem.rects(roll)))
    return size


def _roll_size(problem: Problem, roll: Roll, formulation: Formulation) -> int:
    name, rects = roll.name, problem.rects(roll)
    if name in formulation.rows:
        stacks, _ = formulation.rows[name]
        beside = sum(len(template) > 1 for template in stacks.templates)
        leads = 2 * beside * len(roll.nodes) ** 2 if stacks.bounded else 0
        return sum(len(stack.lanes) for stack in stacks.listed) * len(roll.nodes) * 2 + leads
    if name in formulation.turns:
        templates = formulation.turns[name]
        lanes = sum(map(len, templates))
        return lanes * len(roll.nodes) + _phases_in_lanes(problem, roll, templates)
    if name in formulation.stacks:
        return sum(rects.values()) ** 2
    if name in formulation.templates:
        return _size(formulation.templates[name], rects)
    return 0


def able_to_cut(cutting: Formulation, best: Candidate) -> Formulation:
    """The formulation with templates for all drops of a candidate, so that it has that solution.

    All templates there are cut every drop there is; some of them may not.
    """
    templates = {}
    for name, listed in cutting.templates.items():
        templates[name] = list(listed)
        for drop in best.drops(name):
            if all(matching(drop.lanes, lanes, CutLane.fits) is None for lanes in templates[name]):
                templates[name].append(template_of(drop))
    return replace(cutting, templates=templates)


def turning(
    problem: Problem, supply: Supply, cutting: Formulation, clock: Clock
) -> Formulation | None:
    """A formulation that bounds rolls of several phases by their turns, and cuts the others.

    None if it had too many of them.
    """
    rolls = [roll for roll in problem.rolls if len(roll.nodes) > 1]
    for roll in rolls:
        stretches = len(supply.stretches[roll.name])
        if stretches * phased_size(problem, roll, cutting) > clock.effort.turns:
            return None
    phased = {roll.name for roll in rolls}
    return Formulation(
        templates={name: these for name, these in cutting.templates.items() if name not in phased},
        stacks=cutting.stacks,
        turns={name: cutting.templates[name] for name in phased},
    )


def phased_size(problem: Problem, roll: Roll, cutting: Formulation) -> int:
    """Phases of rectangles times lanes times nodes of a roll of several phases."""
    return len(roll.nodes) * _phases_in_lanes(problem, roll, cutting.templates[roll.name])


def _phases_in_lanes(problem: Problem, roll: Roll, templates: Sequence[Template]) -> int:
    """Phases of rectangles times lanes."""
    phases = sum(len({slot.phase for slot in rect.slots}) for rect in problem.rects(roll))
    return phases * sum(map(len, templates))


def turning_for_some(
    problem: Problem, supply: Supply, best: Candidate | None, clock: Clock
) -> tuple[Problem, Formulation] | None:
    """The same for as many of the options as it can take, those of a candidate among them.

    None if it cannot take the candidate's alone.
    """
    every = 1
    while not clock.over and every < max(len(kind.options) for kind in problem.kinds):
        every *= 2
        some = only(
            problem,
            [
                dict.fromkeys([*taken, *kind.options[::every]])
                for kind, taken in zip(problem.kinds, options_of(problem, best), strict=True)
            ],
        )
        found = turning(some, supply, formulate(some, clock)[0], clock)
        if found is not None:
            return some, found
    return None


def only(problem: Problem, options: Sequence[Iterable[Option]]) -> Problem:
    """The problem with only these options of each kind."""
    return problem.having(
        replace(kind, options=tuple(these))
        for kind, these in zip(problem.kinds, options, strict=True)
    )


def options_of(problem: Problem, best: Candidate | None) -> list[list[Option]]:
    """The options that a candidate takes of each kind."""
    if best is None:
        return [[] for _ in problem.kinds]
    return [[t.option for t, _ in row if t.option is not None] for row in best.chosen]


def row_by_row(  # noqa: PLR0917
    problem: Problem,
    supply: Supply,
    cutting: Formulation,
    best: Candidate | None,
    liked: Sequence[Iterable[Option]],
    clock: Clock,
    members: int | None = None,
    *,
    bounded: bool = True,
) -> tuple[Problem, Formulation, bool] | None:
    """A formulation that cuts rolls of several phases, and those on a table, row by row, and
    whether nothing is left out.

    Where there are too many ways to stack rectangles, only options that are liked are kept, those
    of the best candidate among them. None if those are too many as well.

    Args:
        members: rectangles of a stack that is listed.
        bounded: whether rows that no listed stacks make may be bounded, where these are too many.
    """
    found = _with_rows(problem, supply, cutting, best, clock, members, bounded=bounded)
    if found is not None and clock.can_build(size_of(problem, supply, found)):
        return problem, found, True
    few = only(
        problem,
        [
            these or kind.options[:1]
            for kind, these in zip(problem.kinds, map(tuple, liked), strict=True)
        ],
    )
    cut = formulate(few, clock)[0]
    if best is not None:
        cut = able_to_cut(cut, best)
    some = _with_rows(few, supply, cut, best, clock, some=True)
    return None if some is None else (few, some, False)


def _with_rows(  # noqa: PLR0917
    problem: Problem,
    supply: Supply,
    cutting: Formulation,
    best: Candidate | None,
    clock: Clock,
    members: int | None = None,
    *,
    some: bool = False,
    bounded: bool = True,
) -> Formulation | None:
    """The formulation with the stacks of all rolls of several phases, and of those on a table.

    None if not all could be listed, unless `some` will do or the rest may be bounded, or if there
    are too many rows.
    """
    rows: dict[str, tuple[Stacks, Ticks]] = {}
    whole = set(cutting.stacks)
    for roll in problem.rolls:
        if len(roll.nodes) == 1 and not joint(roll, cutting):
            continue
        if _stackable(roll, problem.rects(roll), clock):
            whole.add(roll.name)
            continue
        stretches = len(supply.stretches[roll.name])
        if stretches * phased_size(problem, roll, cutting) > clock.effort.rows:
            return None
        templates = cutting.templates[roll.name]
        longest = _longest(problem, supply, roll, best)
        limit = clock.effort.stacks // (len(roll.nodes) * len(templates) * stretches)
        of_a_row = longest if roll.table is None else min(longest, roll.table)
        rects = problem.rects(roll)
        stacks = list_stacks(roll, templates, rects, of_a_row, limit, clock, members)
        if bounded and not stacks.complete and _may_be_long(roll, templates, clock):
            stacks = replace(stacks, bounded=True)
        if not (some or stacks.complete or stacks.bounded):
            return None
        drops = [] if best is None else best.drops(roll.name)
        rows[roll.name] = stacks.also(lane for drop in drops for lane in drop.lanes), longest
    cut = {*rows, *whole}
    others = {name: these for name, these in cutting.templates.items() if name not in cut}
    return Formulation(others, frozenset(whole), rows)


def _may_be_long(roll: Roll, templates: Sequence[Template], clock: Clock) -> bool:
    """Whether rows that no listed stacks make may be bounded: not on a table, where none is long,
    nor where there are too many ways to lead from a node to a node."""
    leads = len(roll.nodes) ** 2 * sum(len(template) > 1 for template in templates)
    return roll.table is None and leads <= clock.effort.leads


def _longest(problem: Problem, supply: Supply, roll: Roll, best: Candidate | None) -> Ticks:
    """The most of a stretch that any candidate as good as the best one cuts, beyond its lead.

    As good means that no more money is spent, or no more bought. On a bolt of the only cloth that
    leaves the length bought already; where money can be moved to it from elsewhere, there is no
    such limit.
    """
    used = (
        max((part.end for part in best.parts if part.stretch.cloth == roll.name), default=0)
        if best
        else 0
    )
    costs = any(option.cost for kind in problem.kinds for option in kind.options)
    if best and len(problem.rolls) == 1 and not costs and roll.name in supply.whole:
        return ceil_to(used + roll.allowance, roll.sold_in) - roll.allowance - roll.lead
    rects = problem.rects(roll).items()
    return max(used - roll.lead, sum((rect.along + roll.period) * n for rect, n in rects))
