"""All divisions of an opening into so many shades, none of them listed: the cheapest by any prices.

Where widths may be unequal there are more divisions than a model can take. What a rectangle is
worth rises with its width in steps, at the widths that have a price; so the cheapest division has
all widths but one at the end of a step, and is found by a knapsack over these. (If two were not,
one could be made wider and the other narrower, at no cost, until one of them were.)
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import numpy.typing as npt

from shadewright.solve.problem.agreement import LAY
from shadewright.solve.problem.kinds import Agreed, Option, Rect
from shadewright.solve.problem.options import Menu
from shadewright.trade.counts import counts
from shadewright.trade.divisions import Limits, Way, divisible, limits, ways, width_sum

_Floats = npt.NDArray[np.float64]


def families(menu: Menu) -> Iterator[Family]:
    """All divisions of an opening, by number of shades and by the way that cloth lies; none where
    its cloth has a print."""
    if menu.match.points.rows is not None:
        return
    for way in ways(menu.job, menu.opening):
        limit = limits(menu.job, menu.opening, way)
        for count in counts(menu.job, menu.opening) if limit is not None else ():
            if limit is not None and divisible(menu.job, menu.opening, limit, count):
                yield Family(menu, way, limit, count)


@dataclass(frozen=True, eq=False)
class Family:
    """The divisions of an opening into `count` shades whose cloths lie one way, on cloth without a
    print. Widths are counted in cutting steps."""

    menu: Menu
    way: Way
    limit: Limits
    count: int

    @cached_property
    def agreed(self) -> Agreed:
        """What all of them say of how cloth lies."""
        some = self.menu.division(self.way, (self.limit.widest,) * self.count)
        return tuple(each for each in some.agreed if each[0][0] == LAY)

    def cheapest(self, value: Callable[[Rect], float]) -> float:
        """No division is worth less than this.

        Args:
            value: of a rectangle; no less for a wider one.
        """
        least, _ = self._sums
        if self._mirrored and self.count % 2:
            # Two shades are made wider where one is made narrower by two steps, and one is left.
            least -= 1
        return self._solved(value, least)[0]

    def best(self, value: Callable[[Rect], float]) -> Option | None:
        """The cheapest division, or nearly; None if there is none."""
        _, widths = self._solved(value, self._sums[0])
        if widths is None:
            return None
        step, every = self.menu.job.step, sorted(w for w, n in widths for _ in range(n))
        if self._mirrored:
            pairs = sorted(w for w, n in widths if n == 2)
            every = [*pairs, *(w for w, n in widths if n == 1), *reversed(pairs)]
        return self.menu.division(self.way, tuple(step * w for w in every))

    @property
    def _mirrored(self) -> bool:
        return self.menu.opening.widths == "mirrored"

    @cached_property
    def _sums(self) -> tuple[int, int]:
        """The least and the most that widths add up to."""
        step = self.menu.job.step
        least, most = width_sum(self.menu.opening, self.count)
        return -(-least // step), most // step

    @cached_property
    def _rects(self) -> list[tuple[Rect, ...]]:
        """Rectangles of a shade of each width, narrowest first."""
        step, limit = self.menu.job.step, self.limit
        first = self._narrowest * step
        return [self.menu.shade(self.way, width) for width in range(first, limit.widest + 1, step)]

    @property
    def _narrowest(self) -> int:
        limit = self.limit
        return -(-(limit.narrowest if self.count > 1 else limit.least) // self.menu.job.step)

    def _solved(
        self, value: Callable[[Rect], float], least: int
    ) -> tuple[float, list[tuple[int, int]] | None]:
        """The least worth of widths that add up to no less, and the widths, each with how many
        shades have it."""
        worth = np.array([sum(map(value, rects)) for rects in self._rects])
        most = self._sums[1]
        if not len(worth):
            return np.inf, None
        low = self._narrowest
        ends = np.append(np.flatnonzero(np.diff(worth) > 0), len(worth) - 1)
        half, odd = divmod(self.count, 2) if self._mirrored else (0, self.count)
        items = [2] * half + [1] * odd
        best: tuple[float, list[tuple[int, int]] | None] = (np.inf, None)
        for free in dict.fromkeys(items):
            others = list(items)
            others.remove(free)
            sums = least - self.count * low, most - self.count * low
            found = _knapsack(worth, ends, others, free, sums)
            if found[0] < best[0]:
                best = found[0], [(low + w, n) for w, n in found[1]]
        return best


def _knapsack(
    worth: _Floats, ends: npt.NDArray[np.int64], items: list[int], free: int, sums: tuple[int, int]
) -> tuple[float, list[tuple[int, int]]]:
    """The least worth of widths beyond the narrowest that add up to within `sums`: those of `items`
    at the ends of steps, and one more, of `free` shades, wherever.

    Args:
        worth: of each width, narrowest first.
        items: how many shades have each width.
    """
    least, most = max(sums[0], 0), sums[1]
    if most < least:
        return np.inf, []
    tables: list[_Floats] = [np.full(most + 1, np.inf)]
    tables[0][0] = 0.0
    for shades in items:
        table = np.full(most + 1, np.inf)
        for end in ends:
            size = shades * int(end)
            if size <= most:
                before = tables[-1][: most + 1 - size] + shades * worth[end]
                np.minimum(table[size:], before, out=table[size:])
        tables.append(table)
    best, at, last = np.inf, 0, 0
    # Wider than what the rest at its narrowest asks for takes nothing off.
    for width in range(min(len(worth), least // free + 2)):
        size = free * width
        # With the rest adding up to just enough, or to a little more.
        low, high = max(least - size, 0), most - size
        if high < low:
            continue
        here = tables[-1][low : high + 1]
        place = int(here.argmin())
        if here[place] + free * worth[width] < best:
            best, at, last = float(here[place] + free * worth[width]), low + place, width
    if not np.isfinite(best):
        return np.inf, []
    chosen = [(last, free)]
    for shades, table, before in reversed(list(zip(items, tables[1:], tables, strict=False))):
        for end in ends:
            size = shades * int(end)
            if size <= at and before[at - size] + shades * worth[end] == table[at]:
                chosen.append((int(end), shades))
                at -= size
                break
    return best, chosen
