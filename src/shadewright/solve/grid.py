"""Rectangles counted in periods of their roll.

A rectangle of length L takes k = ceil(L / period) periods and leaves k * period - L of the last
one unused. Within a roll every rectangle but those at the very end is followed by another at a
whole period, so a plan that runs over K periods uses lead + K * period - tail, where the tail is
what the last rectangles leave unused.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from math import gcd

from shadewright.measure import Ticks, ceil_to
from shadewright.solve.problem import Rect, Roll


@dataclass(frozen=True)
class Grid:
    """A roll with its unit of length.

    Attributes:
        unit: ticks of one unit: the common divisor of all whole-period lengths.
    """

    roll: Roll
    unit: Ticks

    @classmethod
    def of(cls, roll: Roll, rects: Iterable[Rect]) -> Grid:
        """The grid on which these rectangles can lie without loss."""
        unit = gcd(*(ceil_to(rect.along, roll.period) for rect in rects))
        return cls(roll, unit or roll.period)

    def units(self, rect: Rect) -> int:
        """Length in units, up to the whole period."""
        return ceil_to(rect.along, self.roll.period) // self.unit

    def tail(self, rect: Rect) -> Ticks:
        """What a rectangle leaves unused of its last period."""
        return ceil_to(rect.along, self.roll.period) - rect.along

    @property
    def has_tails(self) -> bool:
        return self.roll.period > 1

    def fits(self, lanes: Iterable[Ticks]) -> bool:
        """Whether lanes of these widths lie side by side within the usable width.

        Each starts at a whole period across; the widest leftover of a last period is put at the
        right edge, where nothing follows it.
        """
        widths = list(lanes)
        if self.roll.period_across == 1 or not widths:
            return sum(widths) <= self.roll.usable
        whole = sum(ceil_to(width, self.roll.period_across) for width in widths)
        return whole - max(map(self.leftover_across, widths)) <= self.roll.usable

    def leftover_across(self, width: Ticks) -> Ticks:
        """What a lane leaves unused of its last period across."""
        return ceil_to(width, self.roll.period_across) - width

    def arrange(self, lanes: Iterable[Ticks]) -> list[Ticks]:
        """Left edges of lanes side by side, in the order given."""
        edges = []
        at = 0
        for width in lanes:
            edges.append(at)
            at += ceil_to(width, self.roll.period_across)
        return edges
