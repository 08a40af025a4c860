"""The most that a lane of each length holds, where each rectangle has its price.

Knapsacks of lengths (Gilmore and Gomory 1965, "Multistage cutting stock problems of two and more
dimensions"), one for each rectangle that may be the widest of its lane: its leader, which lies in
it at least once, with others that come before it. Of each there are only so many.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

_Ints = NDArray[np.int64]

NEVER = -(1 << 50)
"""What a lane is worth that is too short for its leader."""


@dataclass(frozen=True)
class FullLanes:
    """What lanes are worth at most, for lengths of 0 units on.

    Attributes:
        along: of each rectangle, the narrowest first, its length.
        counts: how many of it there are.
        price: what it is worth.
        behind: what the first few rectangles are worth, shape (rectangles + 1, lengths).
        led: what a lane led by each is worth, shape (rectangles, lengths).
    """

    along: _Ints
    counts: _Ints
    price: _Ints
    behind: _Ints
    led: _Ints

    @classmethod
    def of(cls, along: _Ints, counts: _Ints, price: _Ints, longest: int) -> FullLanes:
        """Fill the knapsacks, each with one rectangle more."""
        number, lengths = len(price), longest + 1
        behind = np.zeros((number + 1, lengths), np.int64)
        led = np.full((number, lengths), NEVER)
        for i, (long, worth, count) in enumerate(
            zip(along.tolist(), price.tolist(), counts.tolist(), strict=True)
        ):
            here = behind[i].copy()
            more = min(count, longest // long) - 1
            part = 1
            while more > 0:
                # One, two, four and so on of them at once: all numbers are sums of these.
                taken = min(part, more)
                size = taken * long
                if size < lengths:
                    moved = here[: lengths - size] + taken * worth
                    here[size:] = np.maximum(here[size:], moved)
                more -= taken
                part *= 2
            if long < lengths:
                led[i, long:] = here[: lengths - long] + worth
            np.maximum(here, led[i], out=behind[i + 1])
        return cls(along, counts, price, behind, led)

    @property
    def _longest(self) -> int:
        return int(self.led.shape[1]) - 1

    def lane(self, leader: int, long: int) -> list[int]:
        """What the best lane of a leader holds, widest first."""
        lane: list[int] = []
        at, left = leader, long
        while True:
            each, worth = int(self.along[at]), int(self.price[at])
            target = int(self.led[at, left])
            copies = next(
                n
                for n in range(1, int(self.counts[at]) + 1)
                if left >= n * each and int(self.behind[at, left - n * each]) + n * worth == target
            )
            lane += [at] * copies
            left -= copies * each
            worths = self.behind[: at + 1, left]
            if not worths[-1]:
                return lane
            # The first row with all that worth: the rectangle before it leads the rest.
            at = int(np.searchsorted(worths, worths[-1])) - 1

    def in_pieces(self) -> _Ints:
        """The most that the longest lane of each leader holds of rectangles that may be cut to
        pieces."""
        found = np.zeros(len(self.price), np.int64)
        order = self._by_worth
        for i in range(len(self.price)):
            these = order[order <= i]
            long = np.cumsum(self.along[these] * self.counts[these])
            last = int(np.searchsorted(long, self._longest, side="right"))
            whole = int((self.price[these[:last]] * self.counts[these[:last]]).sum())
            if last < len(these):
                rest = self._longest - (int(long[last - 1]) if last else 0)
                next_ = int(these[last])
                whole += -(-int(self.price[next_]) * rest // int(self.along[next_]))
            found[i] = whole
        return found

    def pieces(self, leader: int) -> Iterator[tuple[int, float]]:
        """What that lane holds, and how many of each."""
        left = float(self._longest)
        order = self._by_worth
        for i in order[order <= leader].tolist():
            taken = min(int(self.counts[i]), left / int(self.along[i]))
            if taken <= 0 or self.price[i] <= 0:
                return
            yield i, taken
            left -= taken * int(self.along[i])

    @property
    def _by_worth(self) -> _Ints:
        """Rectangles by what a unit of length of theirs is worth, the most first."""
        return np.argsort(-self.price / self.along, kind="stable")
