"""A neighbourhood answered by column generation over whole drops.

Drops of the programme (`shadewright.solve.search.programme`) come from the prices at its optimum
(`shadewright.solve.packing.pricing`), and from all that have been found before. What is lost to the
ends of lanes this programme sees, unlike the one over templates, so where many rectangles lie side
by side its optimum is hardly below what can be had. Now and then the relaxation that bounds drops
looks for some of all lengths, too. Options of all openings are settled one after the other, about
as the optimum takes them, as long as that promises something better; then drops are put together
for them, led by the same prices (`shadewright.solve.packing.assembly`).

Measured on 24 to 60 different panels on 117 in, 10 s each: 0 to 2 % shorter than by models and
beams alone; on 15 different openings on 118 in, 2.5 to 3.5 % of the money above the bound in 20 s,
where these come to 4. Whole numbers of the listed drops by the constraint solver were tried first:
in ten times the time they came out longer. Options by simulated annealing, with the programme for
each set of them, came out longer as well, and so did drops settled one after the other.
"""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from shadewright.solve.packing.assembly import Assembly, ListedDrop
from shadewright.solve.packing.drops import CutDrop, CutLane
from shadewright.solve.packing.grid import Grid
from shadewright.solve.packing.pricing import Width
from shadewright.solve.problem.agreement import agrees
from shadewright.solve.problem.kinds import Kind, Option, Problem, Rect
from shadewright.solve.problem.supply import Supply
from shadewright.solve.run import Clock
from shadewright.solve.search.candidate import (
    Candidate,
    counted,
    options_taken,
    placed_part,
    taken_rects,
)
from shadewright.solve.search.goals import Goal
from shadewright.solve.search.programme import DropProgramme, Held, Optimum, held_by, optimum

_KEPT = (0.0, 0.0, 0.3, 0.6, 0.8)
"""How much of the openings keep their options while others are settled; one of these is drawn."""
_LESS = 1e-6
"""Of a value, what counts as less."""

_Taken = Sequence[Sequence[tuple[Option, int]]]


@dataclass
class FoundDrops:
    """Drops that have been found, by roll and what they hold."""

    drops: dict[str, dict[Held, CutDrop]] = field(default_factory=dict)

    def add(self, candidate: Candidate) -> None:
        """The drops of a candidate that have the whole width."""
        for part in candidate.parts:
            if not part.spans and not part.laid:
                here = self.drops.setdefault(part.stretch.cloth, {})
                for drop in part.drops:
                    here.setdefault(held_by(drop), drop)

    def of(self, roll: str, asked: Mapping[Rect, int]) -> Iterator[CutDrop]:
        """Those that hold no more than is asked for."""
        for held, drop in self.drops.get(roll, {}).items():
            if all(asked.get(rect, 0) >= n for rect, n in held):
                yield drop


def by_columns(  # noqa: PLR0917
    problem: Problem,
    supply: Supply,
    start: Candidate,
    clock: Clock,
    draw: random.Random,
    held: Mapping[Goal, int],
    pool: FoundDrops,
) -> Candidate | None:
    """An answer that is better than the one to start from; None if none is found."""
    effort = clock.effort
    if not problem.rolls:  # What is taken apart lies on what is on hand.
        return None
    grids = {roll.name: Grid.of(roll, problem.rects(roll)) for roll in problem.rolls}
    master = DropProgramme(problem, grids, clock)
    for roll in problem.rolls:
        asked = problem.rects(roll)
        single = (CutDrop((CutLane((rect,)),)) for rect in asked)
        for drop in (*start.drops(roll.name), *single, *pool.of(roll.name, asked)):
            master.add(roll.name, drop)
    value = value_of(master, start)
    relaxations = master.relaxations(effort.column_reach)
    at = optimum(master, draw, effort.column_rounds, relaxations)
    if at is None or at.least > value * (1 - _LESS):
        return None
    best = None
    own: _Taken = [[(t.option, n) for t, n in row if t.option is not None] for row in start.chosen]
    only_one = all(len(kind.options) == 1 for kind in problem.kinds)
    settled: tuple[_Taken, Optimum] | None = own, at
    for _ in range(1 if only_one else effort.column_choices * len(problem.kinds)):
        if settled is not None:
            chosen, here = settled
            shades = sum(o.shades * n for row in chosen for o, n in row)
            if shades <= held.get("shades", shades):
                found = assembled(master, supply, chosen, here, value, draw)
                if found is not None:
                    best, own, value = found, chosen, value_of(master, found)
        if only_one or clock.over or at.least > value * (1 - _LESS):
            break
        settled = _settled_options(master, at, value, own, draw)
    for name, drops in master.drops.items():
        pool.drops.setdefault(name, {}).update(drops)
    return best


def value_of(master: DropProgramme, candidate: Candidate) -> float:
    """What a candidate costs, as the programme counts it."""
    drops = sum(master.cost(p.stretch.cloth, drop) for p in candidate.parts for drop in p.drops)
    options = sum(master.problem.option_cost(option) * n for option, n in candidate.options)
    return drops + options / master.scale


def _settled_options(
    master: DropProgramme, at: Optimum, value: float, own: _Taken, draw: random.Random
) -> tuple[_Taken, Optimum] | None:
    """Options of all openings, some as they are, the others settled one after the other about as
    the optimum takes them, and the optimum then; None where that is no better than so much, or the
    time is over."""
    kinds, effort = master.problem.kinds, master.clock.effort
    master.free_options()
    taken: dict[int, Counter[Option]] = {}
    kept = draw.choice(_KEPT)
    for number, row in enumerate(own if kept else ()):
        if draw.random() < kept:
            taken[number] = counted(row)
            master.settle_options(number, taken[number], closed=True)
    here = master.solve() if taken else at
    while here is not None and here.least <= value * (1 - _LESS) and len(taken) < len(kinds):
        for number in _next_settled(master, here, taken, draw):
            drawn = _drawn(kinds[number], here.taken[number], taken, draw)
            if drawn is None:
                return None
            taken[number] = drawn
            master.settle_options(number, drawn, closed=True)
        here = master.solve()
    if len(taken) < len(kinds):
        return None
    for _ in range(effort.column_rounds_settled):
        if here is None or not master.better(here, Width(*effort.columns[0]), draw):
            break
        here = master.solve()
    if here is None or here.least > value * (1 - _LESS):
        return None
    return [list(taken[number].items()) for number in range(len(kinds))], here


def _next_settled(
    master: DropProgramme, at: Optimum, taken: Mapping[int, object], draw: random.Random
) -> list[int]:
    """Kinds whose options are whole at an optimum; else one that is drawn."""
    kinds = master.problem.kinds
    rest = [number for number in range(len(kinds)) if number not in taken]
    whole = [n for n in rest if max(at.taken[n]) > kinds[n].copies - _LESS]
    return whole or [draw.choice(rest)]


def _drawn(
    kind: Kind, shares: Sequence[float], taken: Mapping[int, Counter[Option]], draw: random.Random
) -> Counter[Option] | None:
    """Options for all copies of a kind, drawn by their shares; None where none agrees with those
    that are taken."""
    said = {topic: value for row in taken.values() for o in row for topic, value in o.agreed}
    fits = [
        max(share, 0.0) if agrees(option, said) else 0.0
        for option, share in zip(kind.options, shares, strict=True)
    ]
    if not any(fits):
        return None
    if any(option.agreed for option in kind.options):
        return Counter({draw.choices(kind.options, fits)[0]: kind.copies})
    return Counter(draw.choices(kind.options, fits, k=kind.copies))


def assembled(  # noqa: PLR0917
    master: DropProgramme,
    supply: Supply,
    chosen: _Taken,
    at: Optimum,
    value: float,
    draw: random.Random,
) -> Candidate | None:
    """What is cut for options at less than so much; None if no way is found.

    Args:
        chosen: options of each kind, and by how many copies.
        at: the optimum for these.
        value: see `value_of`.
    """
    problem, effort = master.problem, master.clock.effort
    less = effort.column_slack * (value - at.least)
    master.list_more(at, Width(*effort.columns_at_last), draw, less)
    costs = sum(problem.option_cost(o) * n for row in chosen for o, n in row) / master.scale
    asked = {
        roll.name: taken_rects((each for row in chosen for each in row), roll.name)
        for roll in problem.rolls
    }
    # Of several rolls each can only save what the others do not take at the optimum.
    least = {
        name: sum(at.prices[rect] * n for rect, n in these.items()) for name, these in asked.items()
    }
    if costs + sum(least.values()) >= value:
        return None
    parts = []
    for roll in problem.rolls:
        if not asked[roll.name]:
            continue
        if master.clock.over:
            return None
        drops = master.drops[roll.name]
        master.clock.spend_seconds(len(drops) * effort.seconds_a_listed / 2)
        listed = [ListedDrop(held, master.cost(roll.name, drop)) for held, drop in drops.items()]
        assembly = Assembly(asked[roll.name], listed, at.prices)
        others = sum(n for name, n in least.items() if name != roll.name)
        found = assembly.cheapest(effort.column_states, value - costs - others)
        master.clock.spend_seconds(assembly.looks * effort.seconds_a_join)
        if found is None:
            return None
        these = list(drops.values())
        cut = [these[i] for i in found]
        least[roll.name] = sum(listed[i].cost for i in found)
        parts.append(placed_part(supply, roll, supply.stretches[roll.name][0], cut))
    return Candidate(options_taken(chosen, supply), tuple(parts))
