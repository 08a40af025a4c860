"""All divisions of an opening into so many shades, none of them listed: the cheapest by any prices.

Where widths may be unequal there are more divisions than a model can take. What a rectangle is
worth rises with its width in steps, at the widths that have a price; so the cheapest division has
all widths but one at the end of a step or the narrowest, and is found by a knapsack over these. (If
two were not, one could be made wider and the other narrower, at no cost, until one of them were.)
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import cached_property
from math import inf

from shadewright.solve.problem.agreement import LAY
from shadewright.solve.problem.kinds import Agreed, Option, Rect
from shadewright.solve.problem.options import Menu
from shadewright.trade.counts import counts
from shadewright.trade.divisions import Limits, Way, divisible, limits, ways, width_sum


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
        # Whoever only reads a job waits for no tables of numbers.
        from shadewright.solve.problem.knapsack import least_worth  # noqa: PLC0415

        worth = [sum(map(value, rects)) for rects in self._rects]
        most = self._sums[1]
        if not worth:
            return inf, None
        low = self._narrowest
        half, odd = divmod(self.count, 2) if self._mirrored else (0, self.count)
        items = [2] * half + [1] * odd
        best: tuple[float, list[tuple[int, int]] | None] = (inf, None)
        for free in dict.fromkeys(items):
            others = list(items)
            others.remove(free)
            sums = least - self.count * low, most - self.count * low
            found = least_worth(worth, others, free, sums)
            if found[0] < best[0]:
                best = found[0], [(low + w, n) for w, n in found[1]]
        return best
