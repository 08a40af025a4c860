"""Column generation: good lane templates when there are too many to list, and a bound for all.

Master (a linear programme): choose options y and the length x_p of cloth cut by cross-section p,
a multiset of rectangle widths that fit side by side, at least cost in cloth,

    min  sum_p c x_p + sum_o c_o y_o
    s.t. sum_p a_wp x_p >= sum_o d_wo y_o   for each width w   (dual price f_w)
         sum_o y_o = copies                 for each kind

where d_wo is the length that option o asks for in rectangles of width w, c what a length of cloth
costs and c_o what the option costs besides; or c is 1 and c_o nothing, where it is length alone
that matters. Pricing: the cross-section of greatest worth sum f_w a_w, an integer knapsack over the
roll's width. When none is worth more than c, the master is optimal over all cross-sections (Gilmore
and Gomory 1961, 1963).

Exactness of the bound does not rest on the linear programme's floating point. Prices are rounded
to integers, and the knapsack is solved again in integers for the most that any cross-section is
worth, kappa. Every tick of cloth then holds at most kappa, so

    kappa * length >= sum over rectangles of f(across) * along

holds for every plan, whatever the prices were: f / kappa is a dual feasible function.
"""

from __future__ import annotations

from abc import ABC, abstractmethod
from bisect import bisect_right
from collections.abc import Mapping
from dataclasses import dataclass
from math import gcd
from typing import Any

import numpy as np
import numpy.typing as npt
from ortools.linear_solver import pywraplp

from shadewright.measure import Ticks
from shadewright.solve.packing.grid import Grid
from shadewright.solve.packing.templates import Template, widened
from shadewright.solve.problem.kinds import Kind, Option, Rect
from shadewright.solve.run import Clock, linear_programme, optimise

_PRICE_SCALE = 1_000_000


class Worth(ABC):
    """What rectangles are worth: a cut that every plan of a roll satisfies."""

    @abstractmethod
    def of(self, grid: Grid, rect: Rect) -> int:
        """Worth of a whole rectangle."""

    @abstractmethod
    def kappa(self, grid: Grid) -> int:
        """The most that all that is cut from a unit of length can be worth."""

    def of_option(self, grid: Grid, option: Option) -> int:
        """Worth of all rectangles that an option asks of the grid's roll."""
        return sum(
            count * self.of(grid, rect)
            for rect, count in option.demand
            if rect.roll == grid.roll.name
        )


@dataclass(frozen=True)
class WidthWorth(Worth):
    """What a rectangle is worth by its width.

    Attributes:
        prices: worth of a unit of length of each priced width, rising with the width; a width in
            between is worth what the next narrower one is.
        most: that rectangles side by side can be worth.
    """

    prices: tuple[tuple[Ticks, int], ...]
    most: int

    def of(self, grid: Grid, rect: Rect) -> int:
        place = bisect_right(self.prices, rect.across, key=lambda priced: priced[0])
        return self.prices[place - 1][1] * grid.units(rect) if place else 0

    def kappa(self, grid: Grid) -> int:
        del grid
        return self.most


@dataclass(frozen=True, eq=False)
class DropWorth(Worth):
    """What a rectangle is worth by itself, in drops.

    Attributes:
        prices: of rectangles; others are worth nothing.
        most: that a drop can be worth for each of its units of length.
        unit: ticks.
    """

    prices: Mapping[Rect, int]
    most: int
    unit: Ticks

    def of(self, grid: Grid, rect: Rect) -> int:
        return self.prices.get(rect, 0) * self.unit // gcd(self.unit, grid.unit)

    def kappa(self, grid: Grid) -> int:
        return self.most * grid.unit // gcd(self.unit, grid.unit)


@dataclass(frozen=True)
class Pricing:
    """Templates that cut well, and what bounds all others; one each for every roll.

    Attributes:
        patterns: widths of the cross-sections that the last optimum cuts, and those it nearly does.
    """

    templates: dict[str, list[Template]]
    worths: dict[str, Worth]
    patterns: dict[str, list[tuple[Ticks, ...]]]


def price(
    kinds: tuple[Kind, ...],
    grids: Mapping[str, Grid],
    clock: Clock,
    *,
    costs: bool = False,
    before: Pricing | None = None,
) -> Pricing:
    """Generate templates for these kinds by their options, and the bound of the last prices.

    Where the clock ends it early, templates are fewer and the bound is weaker.

    Args:
        costs: whether what cloth and options cost is least, or the length of cloth.
        before: what was priced before with some of these options: a start.
    """
    widths: dict[str, list[Ticks]] = {
        name: sorted(
            {
                rect.across
                for kind in kinds
                for option in kind.options
                for rect, _ in option.demand
                if rect.roll == name
            }
        )
        for name in grids
    }
    master = _Master(kinds, grids, widths, clock, costs)
    for name in grids:
        for width in widths[name]:
            master.add(name, (width,))
        for pattern in before.patterns.get(name, []) if before else []:
            if all(width in widths[name] for width in pattern):
                master.add(name, pattern)
    master.solve()
    for _ in range(clock.effort.rounds):
        if clock.over:
            break
        better = [
            (name, pattern)
            for name, grid in grids.items()
            for pattern in _better_patterns(grid, master.prices(name), master.cost(name), clock)
        ]
        for name, pattern in better:
            master.add(name, pattern)
        if not better:
            break
        master.solve()
    return Pricing(
        {
            name: sorted(
                {widened(grid, p, widths[name]) for p in master.used(name)}
                | {widened(grid, (w,), widths[name]) for w in widths[name]},
                reverse=True,
            )
            for name, grid in grids.items()
        },
        {name: _worth(grid, master.prices(name)) for name, grid in grids.items()},
        {name: master.used(name) for name in grids},
    )


def _better_patterns(
    grid: Grid, prices: Mapping[Ticks, float], cost: float, clock: Clock
) -> list[tuple[Ticks, ...]]:
    """Cross-sections worth more than they cost: the best, and the best ones with each width in it.

    One a round would do; several, each with a width of its own, make rounds few.

    Args:
        cost: of a length of cloth, in what prices are.
    """
    sections = CrossSections.of(grid, prices)
    of_cells = len(sections.worth) * clock.effort.seconds_a_cell
    clock.spend_seconds(len(prices) * (clock.effort.seconds_a_width + of_cells))
    found = {sections.best_with(width) for width in prices}
    worth = {pattern: sum(prices[width] for width in pattern) for pattern in found}
    ranked = sorted((p for p in found if worth[p] > cost + 1e-9), key=lambda p: (-worth[p], p))
    return ranked[: clock.effort.patterns]


def _worth(grid: Grid, duals: Mapping[Ticks, float]) -> WidthWorth:
    """The worth that follows from any prices of widths, rounded and made safe."""
    dearest = max(duals.values())
    scale = _PRICE_SCALE / dearest if dearest > 0 else 0.0
    prices: dict[Ticks, int] = {}
    highest = 0
    for width in sorted(duals):
        # What fits in place of a narrower rectangle can be worth as much, never less.
        highest = max(highest, int(max(duals[width], 0.0) * scale))
        prices[width] = highest
    kappa = CrossSections.of(grid, prices).most
    return WidthWorth(tuple(sorted(prices.items())), max(int(kappa), 1))


@dataclass(frozen=True)
class CrossSections:
    """Multisets of widths that fit across a roll, any number of each, by what they are worth.

    Where rectangles have slots this lets in all that fits and more that does not: bounds stay
    valid. Prices that are whole numbers are summed as such, so their worth is exact.

    Attributes:
        widths: that may be taken.
        sizes: of each width, in cells.
        prices: of each width.
        worth: the most that any number of cells can hold, shape (cells + 1,).
    """

    widths: list[Ticks]
    sizes: npt.NDArray[np.int64]
    prices: npt.NDArray[Any]
    worth: npt.NDArray[Any]

    @classmethod
    def of(cls, grid: Grid, prices: Mapping[Ticks, float]) -> CrossSections:
        """Fill the table of worths, one width after the other."""
        unit = gcd(*prices)
        sizes = [width // unit for width in prices]
        cells = grid.roll.usable // unit
        price = np.array(list(prices.values()))
        worth = np.zeros(cells + 1, dtype=price.dtype)
        for size, each in zip(sizes, price, strict=True):
            # From block to block, so that each may hold one more than the block before it.
            for start in range(size, cells + 1, size):
                here = worth[start : start + size]
                before = worth[start - size : start - size + len(here)]
                np.maximum(here, before + each, out=here)
        return cls(list(prices), np.array(sizes), price, worth)

    @property
    def most(self) -> int | float:
        """What the best multiset is worth."""
        most: int | float = self.worth[-1].item()
        return most

    def best_with(self, width: Ticks) -> tuple[Ticks, ...]:
        """The best multiset that holds a width at least once, widest first."""
        place = self.widths.index(width)
        chosen = [width]
        cells = len(self.worth) - 1 - self.sizes[place]
        while self.worth[cells] > 0:
            fits = np.flatnonzero((self.sizes <= cells) & (self.prices > 0))
            place = fits[np.argmax(self.worth[cells - self.sizes[fits]] + self.prices[fits])]
            chosen.append(self.widths[place])
            cells -= self.sizes[place]
        return tuple(sorted(chosen, reverse=True))


class _Master:
    """The linear programme over the cross-sections found so far."""

    def __init__(
        self,
        kinds: tuple[Kind, ...],
        grids: Mapping[str, Grid],
        widths: Mapping[str, list[Ticks]],
        clock: Clock,
        costs: bool,
    ) -> None:
        self._clock = clock
        self._rates = rates(grids) if costs else dict.fromkeys(grids, 1.0)
        self._solved = False
        self._solver = linear_programme()
        self._infinity = self._solver.infinity()
        self._rows = {
            (name, w): self._solver.Constraint(0, self._infinity)
            for name in grids
            for w in widths[name]
        }
        self._columns: list[tuple[str, tuple[Ticks, ...], pywraplp.Variable]] = []
        self._solver.Objective().SetMinimization()
        for kind in kinds:
            choose = self._solver.Constraint(kind.copies, kind.copies)
            for option in kind.options:
                y = self._solver.NumVar(0, self._infinity, "")
                choose.SetCoefficient(y, 1)
                if costs and option.cost:
                    of = float(option.cost) / dearest_of(grids) / LENGTH_SCALE
                    self._solver.Objective().SetCoefficient(y, of)
                asked: dict[tuple[str, Ticks], int] = {}
                for rect, count in option.demand:
                    grid = grids[rect.roll]
                    length = count * grid.units(rect) * grid.unit
                    key = rect.roll, rect.across
                    asked[key] = asked.get(key, 0) + length
                for key, length in asked.items():
                    self._rows[key].SetCoefficient(y, -length / LENGTH_SCALE)

    def add(self, name: str, pattern: tuple[Ticks, ...]) -> None:
        x = self._solver.NumVar(0, self._infinity, "")
        self._solver.Objective().SetCoefficient(x, self._rates[name])
        for width in set(pattern):
            self._rows[name, width].SetCoefficient(x, pattern.count(width))
        self._columns.append((name, pattern, x))

    def cost(self, name: str) -> float:
        """What a length of a roll costs, in what prices are."""
        return self._rates[name]

    def solve(self) -> None:
        """Find the optimum over the cross-sections added so far."""
        self._solved = optimise(self._solver, self._clock)

    def prices(self, name: str) -> dict[Ticks, float]:
        """Dual prices of a roll's widths at the optimum; where none was found, a width's own
        measure, which bounds by area."""
        if not self._solved:
            return {w: float(w) for roll, w in self._rows if roll == name}
        return {w: row.dual_value() for (roll, w), row in self._rows.items() if roll == name}

    def used(self, name: str) -> list[tuple[Ticks, ...]]:
        """Cross-sections that the last optimum cuts, and those it nearly does."""
        return [
            pattern
            for roll, pattern, x in self._columns
            if self._solved
            and roll == name
            and (x.solution_value() > 1e-9 or x.reduced_cost() < 1e-6)
        ]


def dearest_of(grids: Mapping[str, Grid]) -> float:
    """Price of a tick of the dearest roll; 1 where not all have one, or all cost nothing."""
    prices = [grid.roll.price for grid in grids.values()]
    if any(price is None for price in prices):
        return 1.0
    return float(max((price for price in prices if price is not None), default=1)) or 1.0


def rates(grids: Mapping[str, Grid]) -> dict[str, float]:
    """What a length of each roll costs, against the dearest."""
    dearest = dearest_of(grids)
    priced = all(grid.roll.price is not None for grid in grids.values())
    return {
        name: float(grid.roll.price or 0) / dearest if priced else 1.0
        for name, grid in grids.items()
    }


LENGTH_SCALE = 300_000.0
"""Lengths enter linear programmes in yards or so rather than ticks, for their tolerances."""
