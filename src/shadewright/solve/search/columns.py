"""A neighbourhood answered by column generation over whole drops.

    min  sum_d c L_d x_d + sum_o c_o y_o
    s.t. sum_d n_rd x_d >= sum_o d_ro y_o     for each rectangle r
         sum_o y_o = copies                   for each kind

with x_d drops of length L_d that hold n_rd of rectangle r, and y_o copies that take option o, which
asks for d_ro of it. Drops come from the prices at the optimum
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
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace

from ortools.linear_solver import pywraplp

from shadewright.solve.packing.assembly import Assembly, ListedDrop
from shadewright.solve.packing.drops import CutDrop, CutLane
from shadewright.solve.packing.grid import Grid
from shadewright.solve.packing.pricing import DropPricing, Width
from shadewright.solve.problem.kinds import Option, Problem, Rect
from shadewright.solve.problem.supply import Supply
from shadewright.solve.run import Clock, linear_programme, optimise
from shadewright.solve.search.candidate import (
    Candidate,
    options_taken,
    placed_part,
    score,
    taken_rects,
)
from shadewright.solve.search.goals import Goal, goal_order

_Held = tuple[tuple[Rect, int], ...]
"""The rectangles of a drop, and how many of each."""

_REDRAWN = (1.0, 0.5, 0.2)
"""Of all openings, how many take another option; one of these is drawn."""

_Taken = Sequence[Sequence[tuple[Option, int]]]


def _held_by(drop: CutDrop) -> _Held:
    return tuple(sorted(Counter(drop.rects).items(), key=lambda one: one[0].key))


@dataclass
class FoundDrops:
    """Drops that have been found, by roll and what they hold."""

    drops: dict[str, dict[_Held, CutDrop]] = field(default_factory=dict)

    def add(self, candidate: Candidate) -> None:
        """The drops of a candidate that have the whole width."""
        for part in candidate.parts:
            if not part.spans and not part.laid:
                here = self.drops.setdefault(part.stretch.cloth, {})
                for drop in part.drops:
                    here.setdefault(_held_by(drop), drop)

    def of(self, roll: str, asked: Mapping[Rect, int]) -> Iterator[CutDrop]:
        """Those that hold no more than is asked for."""
        for held, drop in self.drops.get(roll, {}).items():
            if all(asked.get(rect, 0) >= n for rect, n in held):
                yield drop


@dataclass(frozen=True)
class _Optimum:
    """Where the programme stands.

    Attributes:
        least: its value.
        prices: of rectangles.
        taken: how many copies of each kind take each option.
    """

    least: float
    prices: Mapping[Rect, float]
    taken: Sequence[Sequence[float]]


class _DropProgramme:
    """The linear programme over the drops there are."""

    def __init__(self, problem: Problem, clock: Clock) -> None:
        self.problem = problem
        self.clock = clock
        self.grids = {roll.name: Grid.of(roll, problem.rects(roll)) for roll in problem.rolls}
        self._pricing = {
            roll.name: DropPricing(self.grids[roll.name], problem.rects(roll))
            for roll in problem.rolls
        }
        # Costs are told in what an inch of the dearest costs.
        self.scale = 8_128 * max(map(problem.step_cost, problem.rolls))
        self.rate = {
            roll.name: problem.step_cost(roll) * self.grids[roll.name].unit / self.scale
            for roll in problem.rolls
        }
        self.drops: dict[str, dict[_Held, CutDrop]] = {roll.name: {} for roll in problem.rolls}
        self._solver = linear_programme()
        self._objective = self._solver.Objective()
        self._objective.SetMinimization()
        self._rows = {
            rect: self._solver.Constraint(0, self._solver.infinity())
            for roll in problem.rolls
            for rect in problem.rects(roll)
        }
        # What the first option of each opening asks for stands for what all do, more or less.
        self._taken = dict.fromkeys(self._rows, 0)
        for kind in problem.kinds:
            for rect, n in kind.options[0].demand:
                self._taken[rect] += n * kind.copies
        self._options = [self._add_options(number) for number in range(len(problem.kinds))]

    def _add_options(self, number: int) -> list[pywraplp.Variable]:
        kind = self.problem.kinds[number]
        choose = self._solver.Constraint(kind.copies, kind.copies)
        row = []
        for option in kind.options:
            taken = self._solver.NumVar(0, kind.copies, "")
            choose.SetCoefficient(taken, 1)
            cost = self.problem.option_cost(option) / self.scale
            self._objective.SetCoefficient(taken, cost)
            for rect, n in option.demand:
                self._rows[rect].SetCoefficient(taken, -n)
            row.append(taken)
        return row

    def cost(self, roll: str, drop: CutDrop) -> float:
        grid = self.grids[roll]
        return self.rate[roll] * max(grid.load(lane.rects) for lane in drop.lanes)

    def add(self, roll: str, drop: CutDrop) -> bool:
        """Add a drop to the programme; whether it is new."""
        held = _held_by(drop)
        if held in self.drops[roll]:
            return False
        self.drops[roll][held] = drop
        times = self._solver.NumVar(0, self._solver.infinity(), "")
        self._objective.SetCoefficient(times, self.cost(roll, drop))
        for rect, n in held:
            self._rows[rect].SetCoefficient(times, n)
        return True

    def solve(self) -> _Optimum | None:
        """None where the time is over."""
        columns = sum(map(len, self.drops.values()))
        self.clock.spend_seconds(columns * self.clock.effort.seconds_a_column)
        if self.clock.over or not optimise(self._solver, self.clock):
            return None
        return _Optimum(
            self._objective.Value(),
            {rect: row.dual_value() for rect, row in self._rows.items()},
            [[var.solution_value() for var in row] for row in self._options],
        )

    def smoothed(self, at: _Optimum) -> _Optimum:
        """An optimum with prices between its own and what rectangles are worth by their area."""
        worth = sum(price * self._taken[rect] for rect, price in at.prices.items())
        area = sum(rect.across * rect.along * n for rect, n in self._taken.items())
        prices = {
            rect: (price + rect.across * rect.along * worth / area) / 2
            for rect, price in at.prices.items()
        }
        return replace(at, prices=prices)

    def better(self, at: _Optimum, width: Width, draw: random.Random) -> bool:
        """Add drops that better the optimum; whether there are any."""
        found = [self.add(name, drop) for name, drop in self._priced(at, width, draw, 0.0)]
        return any(found)

    def list_more(self, at: _Optimum, width: Width, draw: random.Random, less: float) -> None:
        """List drops that are worth no more than so much less than what they cost; the programme
        need not know them."""
        for name, drop in self._priced(at, width, draw, less):
            self.drops[name].setdefault(_held_by(drop), drop)

    def _priced(
        self, at: _Optimum, width: Width, draw: random.Random, less: float
    ) -> Iterator[tuple[str, CutDrop]]:
        effort = self.clock.effort
        for name, pricing in self._pricing.items():
            looks, seed = pricing.looks, draw.randrange(1 << 30)
            found = pricing.drops(at.prices, self.rate[name], width, seed, less)
            looked = (pricing.looks - looks) * effort.seconds_a_price
            self.clock.spend_seconds(looked + len(found) * effort.seconds_a_listed)
            yield from ((name, drop) for drop in found)


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
    master = _DropProgramme(problem, clock)
    for roll in problem.rolls:
        asked = problem.rects(roll)
        single = (CutDrop((CutLane((rect,)),)) for rect in asked)
        for drop in (*start.drops(roll.name), *single, *pool.of(roll.name, asked)):
            master.add(roll.name, drop)
    value = score(problem, supply, start)[goal_order(problem)[0]] / master.scale
    at = _optimum(master, draw)
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


def _optimum(master: _DropProgramme, draw: random.Random) -> _Optimum | None:
    """The optimum over all drops there are, nearly; None where the time is over.

    Prices at an optimum over few drops are wild: of all that a drop holds one may be worth it all.
    So where they lead to nothing better, what each is worth by its area has a say in them, too.
    """
    effort = master.clock.effort
    width = Width(*draw.choice(effort.columns))
    best, idle = master.solve(), 0
    for number in range(effort.column_rounds):
        early = number < effort.column_smooth
        if best is None or (idle > effort.column_idle and not early):
            break
        priced = master.smoothed(best) if early or idle % 2 else best
        new = master.better(priced, width, draw)
        after = master.solve()
        if after is None:
            return None
        idle = 0 if new and after.least < best.least * (1 - effort.column_gain) else idle + 1
        best = after
    return best


def _drawn(problem: Problem, own: _Taken, at: _Optimum, draw: random.Random) -> _Taken:
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
    master: _DropProgramme, supply: Supply, chosen: _Taken, at: _Optimum, value: float
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
