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
from shadewright.solve.problem.kinds import Rect, Roll


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

    def load(self, rects: Iterable[Rect]) -> int:
        """Units that rectangles take one after the other."""
        return sum(map(self.units, rects))
