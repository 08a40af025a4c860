"""Column generation: good lane templates when there are too many to list, and a bound for all.

Master (a linear programme): choose options y and the length x_p of cloth cut by cross-section p,
a multiset of rectangle widths that fit side by side, at least cost in cloth,

    min  sum_p x_p
    s.t. sum_p a_wp x_p >= sum_o d_wo y_o   for each width w   (dual price f_w)
         sum_o y_o = copies                 for each kind

where d_wo is the length that option o asks for in rectangles of width w. Pricing: the cross-section
of greatest worth sum f_w a_w, an integer knapsack over the roll's width. When none is worth more
than 1, the master is optimal over all cross-sections (Gilmore and Gomory 1961, 1963).

Exactness of the bound does not rest on the linear programme's floating point. Prices are rounded
to integers, and the knapsack is solved again in integers for the most that any cross-section is
worth, kappa. Every tick of cloth then holds at most kappa, so

    kappa * length >= sum over rectangles of f(across) * along

holds for every plan, whatever the prices were: f / kappa is a dual feasible function.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import gcd

from ortools.linear_solver import pywraplp

from shadewright.measure import Ticks, ceil_to, floor_to
from shadewright.solve.grid import Grid
from shadewright.solve.lanes import Template, widened
from shadewright.solve.problem import Kind, Option, Rect

_PRICE_SCALE = 1_000_000
_MOST_ROUNDS = 200


@dataclass(frozen=True)
class Worth:
    """What a rectangle is worth by its width: a cut that every plan of a roll satisfies.

    Attributes:
        prices: worth of each width, for a unit of length.
        kappa: the most that rectangles side by side can be worth.
    """

    prices: Mapping[Ticks, int]
    kappa: int

    def of(self, grid: Grid, rect: Rect) -> int:
        """Worth of a whole rectangle, in the units of its grid."""
        return self.prices[rect.across] * grid.units(rect)

    def of_option(self, grid: Grid, option: Option) -> int:
        """Worth of all rectangles that an option asks of the grid's roll."""
        return sum(
            count * self.of(grid, rect)
            for rect, count in option.demand
            if rect.roll == grid.roll.name
        )


@dataclass(frozen=True)
class Priced:
    """Templates that cut well, and what bounds all others; one each for every roll."""

    templates: dict[str, list[Template]]
    worths: dict[str, Worth]


def price(kinds: tuple[Kind, ...], grids: Mapping[str, Grid]) -> Priced:
    """Generate templates for these kinds by their options, and the bound of the last prices."""
    widths: dict[str, list[Ticks]] = {name: [] for name in grids}
    for kind in kinds:
        for option in kind.options:
            for rect, _ in option.demand:
                if rect.across not in widths[rect.roll]:
                    widths[rect.roll].append(rect.across)
    master = _Master(kinds, grids, widths)
    patterns: dict[str, set[Template]] = {name: {(w,) for w in widths[name]} for name in grids}
    for name, found in patterns.items():
        for pattern in sorted(found):
            master.add(name, pattern)
    duals: dict[tuple[str, Ticks], float] = {}
    for _ in range(_MOST_ROUNDS):
        duals = master.solve()
        added = False
        for name, grid in grids.items():
            prices = {w: duals[name, w] for w in widths[name]}
            worth, pattern = knapsack(grid, prices)
            if worth > 1 + 1e-9 and pattern not in patterns[name]:
                patterns[name].add(pattern)
                master.add(name, pattern)
                added = True
        if not added:
            break
    return Priced(
        {
            name: sorted(
                {_template(grid, p, widths[name]) for p in master.used(name)}
                | {_template(grid, (w,), widths[name]) for w in widths[name]},
                reverse=True,
            )
            for name, grid in grids.items()
        },
        {
            name: _worth(grid, {w: duals[name, w] for w in widths[name]})
            for name, grid in grids.items()
        },
    )


def _template(grid: Grid, pattern: tuple[Ticks, ...], widths: list[Ticks]) -> Template:
    lanes = sorted(pattern, reverse=True)
    while not grid.fits(lanes):
        lanes.pop()
    return widened(grid, tuple(lanes), widths)


def _worth(grid: Grid, duals: Mapping[Ticks, float]) -> Worth:
    """The worth that follows from any prices of widths, rounded and made safe."""
    dearest = max(duals.values())
    scale = _PRICE_SCALE / dearest if dearest > 0 else 0.0
    prices: dict[Ticks, int] = {}
    highest = 0
    for width in sorted(duals):
        # What fits in place of a narrower rectangle can be worth as much, never less.
        highest = max(highest, int(max(duals[width], 0.0) * scale))
        prices[width] = highest
    kappa, _ = knapsack(grid, prices)
    return Worth(prices, max(int(kappa), 1))


def knapsack(grid: Grid, prices: Mapping[Ticks, float]) -> tuple[float, tuple[Ticks, ...]]:
    """The multiset of widths of greatest worth that fits across, any number of each.

    With a period across the roll, every width is taken up to it and the roll by one less than it,
    which lets in all that fits and perhaps a little that does not: bounds stay valid. Prices that
    are whole numbers are summed as such, so their worth is exact.
    """
    g = grid.roll.period_across
    sizes = {w: ceil_to(w, g) for w in prices}
    room = floor_to(grid.roll.usable + g - 1, g)
    unit = gcd(*sizes.values())
    cells = room // unit
    items = [(size // unit, w) for w, size in sorted(sizes.items()) if prices[w] > 0]
    best: list[float] = [0] * (cells + 1)
    taken: list[Ticks] = [0] * (cells + 1)
    for cell in range(1, cells + 1):
        best[cell], taken[cell] = best[cell - 1], 0
        for size, width in items:
            if size > cell:
                break
            worth = best[cell - size] + prices[width]
            if worth > best[cell]:
                best[cell], taken[cell] = worth, width
    chosen = []
    cell = cells
    while cell > 0:
        if taken[cell]:
            chosen.append(taken[cell])
            cell -= sizes[taken[cell]] // unit
        else:
            cell -= 1
    return best[cells], tuple(sorted(chosen, reverse=True))


class _Master:
    """The linear programme over the cross-sections found so far."""

    def __init__(
        self, kinds: tuple[Kind, ...], grids: Mapping[str, Grid], widths: Mapping[str, list[Ticks]]
    ) -> None:
        self._solver = pywraplp.Solver.CreateSolver("GLOP")
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
                asked: dict[tuple[str, Ticks], int] = {}
                for rect, count in option.demand:
                    grid = grids[rect.roll]
                    length = count * grid.units(rect) * grid.unit
                    key = rect.roll, rect.across
                    asked[key] = asked.get(key, 0) + length
                for key, length in asked.items():
                    self._rows[key].SetCoefficient(y, -length / _LENGTH_SCALE)

    def add(self, name: str, pattern: tuple[Ticks, ...]) -> None:
        x = self._solver.NumVar(0, self._infinity, "")
        self._solver.Objective().SetCoefficient(x, 1)
        for width in set(pattern):
            self._rows[name, width].SetCoefficient(x, pattern.count(width))
        self._columns.append((name, pattern, x))

    def solve(self) -> dict[tuple[str, Ticks], float]:
        """Dual prices of the rows at the optimum."""
        self._solver.Solve()
        return {key: row.dual_value() for key, row in self._rows.items()}

    def used(self, name: str) -> list[tuple[Ticks, ...]]:
        """Cross-sections that the last optimum cuts, and those it nearly does."""
        return [
            pattern
            for roll, pattern, x in self._columns
            if roll == name and (x.solution_value() > 1e-9 or x.reduced_cost() < 1e-6)
        ]


# Lengths enter the linear programme in yards or so rather than ticks, for its tolerances.
_LENGTH_SCALE = 300_000.0
