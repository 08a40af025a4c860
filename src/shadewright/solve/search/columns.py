"""A neighbourhood answered by column generation over whole drops.

Drops of the programme (`shadewright.solve.search.programme`) come from the prices at its optimum
(`shadewright.solve.packing.pricing`), and from all that have been found before. What is lost to the
ends of lanes this programme sees, unlike the one over templates, so where many rectangles lie side
by side its optimum is hardly below what can be had. Options come from it too; then drops are put
together for them, led by the same prices (`shadewright.solve.packing.assembly`).

Measured on 24 to 60 different panels on 117 in, 10 s each: 0 to 2 % shorter than by models and
beams alone; with 5 s, some are a little longer. Whole numbers of the listed drops by the constraint
solver were tried first: in ten times the time they came out longer. On cloth where two or three lie
side by side models are as good, and quicker.
"""

from __future__ import annotations

import random
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from shadewright.solve.packing.assembly import Assembly, ListedDrop
from shadewright.solve.packing.drops import CutDrop, CutLane
from shadewright.solve.packing.grid import Grid
from shadewright.solve.packing.pricing import Width
from shadewright.solve.problem.kinds import Option, Problem, Rect
from shadewright.solve.problem.supply import Supply
from shadewright.solve.run import Clock
from shadewright.solve.search.candidate import (
    Candidate,
    options_taken,
    placed_part,
    score,
    taken_rects,
)
from shadewright.solve.search.goals import Goal, goal_order
from shadewright.solve.search.programme import DropProgramme, Held, Optimum, held_by, optimum

_REDRAWN = (1.0, 0.5, 0.2)
"""Of all openings, how many take another option; one of these is drawn."""

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
    grids = {roll.name: Grid.of(roll, problem.rects(roll)) for roll in problem.rolls}
    master = DropProgramme(problem, grids, clock)
    for roll in problem.rolls:
        asked = problem.rects(roll)
        single = (CutDrop((CutLane((rect,)),)) for rect in asked)
        for drop in (*start.drops(roll.name), *single, *pool.of(roll.name, asked)):
            master.add(roll.name, drop)
    value = score(problem, supply, start)[goal_order(problem)[0]] / master.scale
    at = optimum(master, draw, effort.column_rounds)
    if at is None or at.least > value * (1 - 1e-6):
        return None
    less = effort.column_slack * (value - at.least)
    master.list_more(at, Width(*effort.columns_at_last), draw, less)
    for name, drops in master.drops.items():
        pool.drops.setdefault(name, {}).update(drops)
    best = None
    own: _Taken = [[(t.option, n) for t, n in row if t.option is not None] for row in start.chosen]
    only_one = all(len(kind.options) == 1 for kind in problem.kinds)
    for turn in range(1 if only_one else effort.column_choices):
        chosen = own if turn == 0 else _drawn(problem, own, at, draw)
        shades = sum(o.shades * n for row in chosen for o, n in row)
        if shades > held.get("shades", shades):
            continue
        found = _assembled(master, supply, chosen, at, value)
        if found is not None:
            best, own = found, chosen
            value = score(problem, supply, best)[goal_order(problem)[0]] / master.scale
    return best


def _drawn(problem: Problem, own: _Taken, at: Optimum, draw: random.Random) -> _Taken:
    """Options of some openings drawn, each as often as the optimum takes it; all as they were where
    these do not agree."""
    share = draw.choice(_REDRAWN)
    drawn: list[Sequence[tuple[Option, int]]] = []
    for kind, parts, row in zip(problem.kinds, at.taken, own, strict=True):
        if draw.random() < share:
            (option,) = draw.choices(kind.options, [max(part, 0.0) for part in parts])
            drawn.append([(option, kind.copies)])
        else:
            drawn.append(row)
    said = dict(each for row in drawn for option, _ in row for each in option.agreed)
    agree = all(
        said[topic] == value for row in drawn for option, _ in row for topic, value in option.agreed
    )
    return drawn if agree else own


def _assembled(
    master: DropProgramme, supply: Supply, chosen: _Taken, at: Optimum, value: float
) -> Candidate | None:
    """What is cut for options at less than so much; None if no way is found."""
    problem, effort = master.problem, master.clock.effort
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
