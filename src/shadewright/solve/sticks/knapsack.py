"""What a stick can yield that is worth most: a bounded knapsack over the room it leaves.

Dynamic programming over cells of a stick, one table for all lengths of stock: the best of the
longest stick holds the best of every shorter one. Where pieces and sticks have a common measure a
cell is that measure and the table is exact. Where that would make more than `MOST_CELLS` cells,
pieces are rounded up to coarser ones for what is cut (so that it fits) and down for what is bounded
(so that nothing is worth more).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import gcd

import numpy as np
import numpy.typing as npt

from shadewright.measure import Ticks

MOST_CELLS = 20_000
"""Cells of a table; beyond, lengths are rounded to fewer."""


@dataclass(frozen=True)
class _Table:
    """Worth by cells of room, and which items the best of them take.

    Attributes:
        worth: the most that any number of cells can hold, shape (cells + 1,).
        taken: whether an item is in it, shape (items, cells + 1).
        items: of each, the piece's place, how many of it, and its size in cells.
    """

    worth: npt.NDArray[np.float64]
    taken: npt.NDArray[np.bool_]
    items: Sequence[tuple[int, int, int]]

    @classmethod
    def filled(
        cls, sizes: Sequence[int], demand: Sequence[int], prices: Sequence[float], cells: int
    ) -> _Table:
        """Fill the table, one item after the other; as many of a piece as powers of two add up
        to."""
        items: list[tuple[int, int, int]] = []
        for i, (size, most, price) in enumerate(zip(sizes, demand, prices, strict=True)):
            left = min(most, cells // size) if price > 0 else 0
            by = 1
            while left:
                by = min(by, left)
                items.append((i, by, by * size))
                left -= by
                by *= 2
        worth = np.zeros(cells + 1)
        taken = np.zeros((len(items), cells + 1), dtype=np.bool_)
        for row, (i, by, size) in zip(taken, items, strict=True):
            longer = worth[: cells + 1 - size] + by * prices[i]
            better = longer > worth[size:]
            row[size:] = better
            np.copyto(worth[size:], longer, where=better)
        return cls(worth, taken, items)

    def counts(self, number: int, cells: int) -> tuple[int, ...]:
        """How many of each of `number` pieces the best in so many cells takes."""
        found = [0] * number
        for row, (i, by, size) in zip(reversed(self.taken), reversed(self.items), strict=True):
            if row[cells]:
                found[i] += by
                cells -= size
        return tuple(found)


@dataclass(frozen=True)
class Knapsack:
    """The worthiest patterns of sticks, with pieces at given prices.

    Attributes:
        cell: ticks of a cell.
        cut: of pieces rounded up.
        bound: of pieces rounded down; the same table where nothing is rounded.
    """

    number: int
    kerf: Ticks
    cell: Ticks
    cut: _Table
    bound: _Table

    @classmethod
    def of(
        cls,
        lengths: Sequence[Ticks],
        demand: Sequence[int],
        prices: Sequence[float],
        longest: Ticks,
        kerf: Ticks,
        *,
        most_cells: int = MOST_CELLS,
    ) -> Knapsack:
        """Tables for sticks up to `longest`; n pieces take their lengths and n - 1 kerfs."""
        each = [length + kerf for length in lengths]
        room = longest + kerf
        unit = gcd(*each)
        cell = unit * max(-(-room // (unit * most_cells)), 1)
        up = _Table.filled([-(-n // cell) for n in each], demand, prices, room // cell)
        bound = up
        if cell > unit:
            down = [max(n // cell, 1) for n in each]
            bound = _Table.filled(down, demand, prices, -(-room // cell))
        return cls(len(lengths), kerf, cell, up, bound)

    @property
    def work(self) -> int:
        """Cells filled."""
        return self.cut.taken.size + (self.bound.taken.size if self.bound is not self.cut else 0)

    def best(self, stick: Ticks) -> tuple[float, float, tuple[int, ...]]:
        """The worth of a pattern of a stick, what none of it is worth more than, and the pattern:
        how many of each piece."""
        room = stick + self.kerf
        cells = room // self.cell
        exact = self.bound is self.cut
        most = self.bound.worth[cells if exact else -(-room // self.cell)]
        return float(self.cut.worth[cells]), float(most), self.cut.counts(self.number, cells)
