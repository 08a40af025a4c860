"""The linear programme over whole drops.

    min  sum_d c L_d x_d + sum_o c_o y_o
    s.t. sum_d n_rd x_d >= sum_o d_ro y_o     for each rectangle r
         sum_o y_o = copies                   for each kind

with x_d drops of length L_d that hold n_rd of rectangle r, and y_o copies that take option o, which
asks for d_ro of it.
"""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from ortools.linear_solver import pywraplp

from shadewright.solve.packing.drops import CutDrop, CutLane
from shadewright.solve.packing.grid import Grid
from shadewright.solve.packing.lay import too_long
from shadewright.solve.packing.pricing import DropPricing, Width
from shadewright.solve.packing.relaxed import Most, Relaxation, RelaxedDrop
from shadewright.solve.problem.kinds import Option, Problem, Rect
from shadewright.solve.run import Clock, linear_programme, optimise

_SCALE = 1_000_000
"""Whole units of a price to what an inch of the dearest cloth costs."""

_EVERY = 3
"""Rounds of pricing of which one looks at all lengths."""

Held = tuple[tuple[Rect, int], ...]
"""The rectangles of a drop, and how many of each."""


def whole(price: float) -> int:
    """A price in whole units, none of which is below 0."""
    return int(_SCALE * max(price, 0.0))


def held_by(drop: CutDrop) -> Held:
    """What a drop holds."""
    return tuple(sorted(Counter(drop.rects).items(), key=lambda one: one[0].key))


@dataclass(frozen=True)
class Optimum:
    """Where the programme stands.

    Attributes:
        least: its value.
        prices: of rectangles.
        taken: how many copies of each kind take each option.
    """

    least: float
    prices: Mapping[Rect, float]
    taken: Sequence[Sequence[float]]


class DropProgramme:
    """The linear programme over the drops there are.

    Args:
        grids: of its rolls that something is cut from.
    """

    def __init__(self, problem: Problem, grids: Mapping[str, Grid], clock: Clock) -> None:
        self.problem = problem
        self.grids = grids
        self.clock = clock
        self._rolls = {roll.name: roll for roll in problem.rolls if roll.name in grids}
        self._pricing = {
            name: DropPricing(grids[name], problem.rects(roll))
            for name, roll in self._rolls.items()
        }
        # Costs are told in what an inch of the dearest costs.
        self.scale = 8_128 * max(map(problem.step_cost, self._rolls.values()))
        self.rate = {
            name: problem.step_cost(roll) * grids[name].unit / self.scale
            for name, roll in self._rolls.items()
        }
        self.drops: dict[str, dict[Held, CutDrop]] = {name: {} for name in grids}
        self._columns = 0
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

    def asked(self, roll: str) -> dict[Rect, int]:
        """The most of each rectangle of a roll that any plan needs."""
        return self.problem.rects(self._rolls[roll])

    def cost(self, roll: str, drop: CutDrop) -> float:
        grid = self.grids[roll]
        return self.rate[roll] * max(grid.load(lane.rects) for lane in drop.lanes)

    def add(self, roll: str, drop: CutDrop) -> bool:
        """Add a drop to the programme; whether it is new."""
        held = held_by(drop)
        if held in self.drops[roll]:
            return False
        self.drops[roll][held] = drop
        self._columns += 1
        times = self._solver.NumVar(0, self._solver.infinity(), "")
        self._objective.SetCoefficient(times, self.cost(roll, drop))
        for rect, n in held:
            self._rows[rect].SetCoefficient(times, n)
        return True

    def free_options(self) -> None:
        """Settle no options."""
        for kind in range(len(self._options)):
            self.settle_options(kind, {}, closed=False)

    def settle_options(self, kind: int, taken: Mapping[Option, int], *, closed: bool) -> None:
        """Take options of a kind so many times at least; exactly where all copies are settled."""
        copies = self.problem.kinds[kind].copies
        for option, var in zip(self.problem.kinds[kind].options, self._options[kind], strict=True):
            least = taken.get(option, 0)
            var.SetBounds(least, least if closed else copies)

    def add_relaxed(self, roll: str, drop: RelaxedDrop, long: float) -> None:
        """Add what bounds drops and may be none, so many units of the grid long."""
        times = self._solver.NumVar(0, self._solver.infinity(), "")
        self._objective.SetCoefficient(times, self.rate[roll] * long)
        for rect, n in drop.held.items():
            self._rows[rect].SetCoefficient(times, n)
        self._columns += 1

    def solve(self) -> Optimum | None:
        """None where the time is over."""
        self.clock.spend_seconds(self._columns * self.clock.effort.seconds_a_column)
        if self.clock.over or not optimise(self._solver, self.clock):
            return None
        return Optimum(
            self._objective.Value(),
            {rect: row.dual_value() for rect, row in self._rows.items()},
            [[var.solution_value() for var in row] for row in self._options],
        )

    def smoothed(self, at: Optimum) -> Optimum:
        """An optimum with prices between its own and what rectangles are worth by their area."""
        worth = sum(price * self._taken[rect] for rect, price in at.prices.items())
        area = sum(rect.across * rect.along * n for rect, n in self._taken.items())
        prices = {
            rect: (price + rect.across * rect.along * worth / area) / 2
            for rect, price in at.prices.items()
        }
        return replace(at, prices=prices)

    def better(self, at: Optimum, width: Width, draw: random.Random) -> bool:
        """Add drops that better the optimum; whether there are any."""
        found = [self.add(name, drop) for name, drop in self._priced(at, width, draw, 0.0)]
        return any(found)

    def most(
        self,
        prices: Mapping[Rect, float],
        roll: str,
        relaxation: Relaxation,
        looks: int,
        raised: float = 1.0,
    ) -> Most | None:
        """What a relaxation finds that is worth more than it costs; None where that is too much, or
        the time is over.

        Args:
            looks: that it may take.
            raised: how many times what it costs it must be worth.
        """
        effort, before = self.clock.effort, relaxation.looks
        left = max(self.clock.work, 0.0) / effort.work_per_second
        unit = relaxation.unit / self.grids[roll].unit
        found = relaxation.most(
            [whole(prices[rect]) for rect in relaxation.rects],
            max(int(_SCALE * self.rate[roll] * unit * raised), 1),
            effort.bounding_drops,
            int(min(left / effort.seconds_a_cut, looks)),
        )
        self.clock.spend_seconds((relaxation.looks - before) * effort.seconds_a_cut)
        return found

    def better_of_all(
        self, at: Optimum, roll: str, relaxation: Relaxation, asked: Mapping[Rect, int]
    ) -> bool | None:
        """The same, of all lengths that a relaxation looks at; None where that is too much.

        Args:
            asked: the most of each rectangle; what is in a drop more often is left out of it.
        """
        found = self.most(at.prices, roll, relaxation, self.clock.effort.column_looks)
        if found is None:
            return None
        drops = [_existing(each.lanes, asked) for each in found.drops]
        added = [
            self.add(roll, drop)
            for drop in drops
            if drop.lanes and not too_long(self._rolls[roll], drop)
        ]
        return any(added)

    def relaxations(self, reach: int) -> dict[str, Relaxation]:
        """Of each roll, what looks at drops of all lengths up to so many times the longest."""
        found = {
            name: Relaxation(grid, self.problem.rects(self._rolls[name]), reach)
            for name, grid in self.grids.items()
        }
        return {name: relaxation for name, relaxation in found.items() if relaxation.possible}

    def list_more(self, at: Optimum, width: Width, draw: random.Random, less: float) -> None:
        """List drops that are worth no more than so much less than what they cost; the programme
        need not know them."""
        for name, drop in self._priced(at, width, draw, less):
            self.drops[name].setdefault(held_by(drop), drop)

    def _priced(
        self, at: Optimum, width: Width, draw: random.Random, less: float
    ) -> Iterator[tuple[str, CutDrop]]:
        effort = self.clock.effort
        for name, pricing in self._pricing.items():
            looks, seed = pricing.looks, draw.randrange(1 << 30)
            found = pricing.drops(at.prices, self.rate[name], width, seed, less)
            looked = (pricing.looks - looks) * effort.seconds_a_price
            self.clock.spend_seconds(looked + len(found) * effort.seconds_a_listed)
            yield from ((name, drop) for drop in found)


def optimum(
    master: DropProgramme,
    draw: random.Random,
    rounds: int,
    relaxations: Mapping[str, Relaxation] | None = None,
) -> Optimum | None:
    """The optimum over all drops there are, nearly; None where the time is over.

    Prices at an optimum over few drops are wild: of all that a drop holds one may be worth it all.
    So where they lead to nothing better, what each is worth by its area has a say in them, too.

    Args:
        rounds: of pricing at most.
        relaxations: that look at drops of all lengths now and then; None: only beams look for some.
    """
    effort = master.clock.effort
    width = Width(*draw.choice(effort.columns))
    best, idle = master.solve(), 0
    for number in range(rounds):
        early = number < effort.column_smooth
        if best is None or (idle > effort.column_idle and not early):
            break
        priced = master.smoothed(best) if early or idle % 2 else best
        if relaxations and number % _EVERY == _EVERY - 1:
            found = [
                master.better_of_all(priced, name, each, master.asked(name))
                for name, each in relaxations.items()
            ]
            new = any(found)
            relaxations = {} if None in found else relaxations
        else:
            new = master.better(priced, width, draw)
        after = master.solve()
        if after is None:
            return None
        idle = 0 if new and after.least < best.least * (1 - effort.column_gain) else idle + 1
        best = after
    return best


def _existing(lanes: Iterable[tuple[Rect, ...]], asked: Mapping[Rect, int]) -> CutDrop:
    """A drop without what is in it more often than it is asked for."""
    held: Counter[Rect] = Counter()
    cut = []
    for lane in lanes:
        kept = []
        for rect in lane:
            if held[rect] < asked.get(rect, 0):
                held[rect] += 1
                kept.append(rect)
        if kept:
            cut.append(CutLane(tuple(kept)))
    return CutDrop(tuple(cut))
