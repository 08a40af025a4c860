"""Given rectangles cut from drops of a list: a beam over drops, led by what rectangles are worth.

Each state has cut some of the rectangles. It goes on with every drop that holds the first one of
those left, in a fixed order, and nothing that is cut already; so no set of drops is come upon in
two orders. At the optimum of the linear programme over the drops, all that is left is worth what it
costs at least to cut it. So what a state has lost so far, the lengths of its drops less the worth
of what they hold, is what it stands above the bound, and states are compared by that for each worth
of what they have cut. Reduced costs rule out columns likewise in Baldacci, Christofides and
Mingozzi (2008), "An exact algorithm for the vehicle routing problem based on the set partitioning
formulation with additional cuts".

How many of each rectangle are left stands in fields of a few machine words, each with one bit on
top, so that a single subtraction tells whether a drop fits.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from shadewright.solve.problem.kinds import Rect

_Ints = NDArray[np.int64]
_Reals = NDArray[np.float64]
_Words = NDArray[np.uint64]

_MOST_AT_ONCE = 1_500_000
"""Ways to go on that are looked at for one level."""
_WORD = 63
_SPARE = 1e-9


@dataclass(frozen=True)
class ListedDrop:
    """A drop that may be cut any number of times.

    Attributes:
        cost: of one.
    """

    held: tuple[tuple[Rect, int], ...]
    cost: float


class Assembly:
    """Drops of a list, which given rectangles are cut from.

    Args:
        prices: of the rectangles, at the optimum over these drops: none is worth more than it
            costs.
    """

    def __init__(
        self, asked: Mapping[Rect, int], drops: Sequence[ListedDrop], prices: Mapping[Rect, float]
    ) -> None:
        self.looks = 0
        self._asked = asked
        self._fit = [
            i for i, d in enumerate(drops) if all(asked.get(rect, 0) >= n for rect, n in d.held)
        ]
        these = [drops[i] for i in self._fit]
        uses: dict[Rect, int] = dict.fromkeys(asked, 0)
        for drop in these:
            for rect, _ in drop.held:
                uses[rect] += 1
        # What fewest drops hold comes first.
        self._rects = sorted(asked, key=lambda rect: (uses[rect], rect.key))
        self._fields()
        worth = [sum(prices.get(rect, 0.0) * n for rect, n in drop.held) for drop in these]
        self._worth = np.array(worth)
        self._loss = np.array([drop.cost for drop in these]) - self._worth
        self._need = np.zeros((len(these), self._words), np.uint64)
        for i, drop in enumerate(these):
            self._need[i] = self._packed(dict(drop.held))
        holding: dict[Rect, list[int]] = {rect: [] for rect in asked}
        for i, drop in enumerate(these):
            for rect, _ in drop.held:
                holding[rect].append(i)
        self._holding = [
            np.array(sorted(holding[rect], key=lambda i: (self._loss[i], i)), np.int64)
            for rect in self._rects
        ]
        self._base = sum(prices.get(rect, 0.0) * n for rect, n in asked.items())

    def _fields(self) -> None:
        """Where the number of each rectangle stands: its word, its lowest bit and its bits."""
        self._places: list[tuple[int, int, int]] = []
        word = at = 0
        for rect in self._rects:
            bits = self._asked[rect].bit_length()
            if at + bits + 1 > _WORD:
                word, at = word + 1, 0
            self._places.append((word, at, bits))
            at += bits + 1
        self._words = word + 1
        self._guards = np.zeros(self._words, np.uint64)
        for word, at, bits in self._places:
            self._guards[word] |= np.uint64(1 << (at + bits))
        draw = np.random.default_rng(0)
        self._mix = draw.integers(1, 1 << 62, size=self._words, dtype=np.uint64) | np.uint64(1)

    def _packed(self, counts: Mapping[Rect, int]) -> _Words:
        packed = [0] * self._words
        for rect, (word, at, _) in zip(self._rects, self._places, strict=True):
            packed[word] |= counts.get(rect, 0) << at
        return np.array(packed, np.uint64)

    def cheapest(self, states: int, most: float) -> list[int] | None:
        """Which drops to cut, by their places in the list, at less than so much; None where no way
        is found.

        Args:
            states: that are kept of those with as many drops.
        """
        left = self._packed(self._asked)[None, :]
        lost, done = np.zeros(1), np.zeros(1)
        trace: list[tuple[_Ints, _Ints]] = []
        best: tuple[int, int] | None = None
        slack = most - self._base - _SPARE
        while len(left):
            state, drop = self._moves(left, lost, slack)
            fits = np.ones(len(state), bool)
            for word in range(self._words):
                guard = self._guards[word]
                rest = (left[state, word] | guard) - self._need[drop, word]
                fits &= (rest & guard) == guard
            state, drop = state[fits], drop[fits]
            if not len(state):
                break
            lost_, done_ = lost[state] + self._loss[drop], done[state] + self._worth[drop]
            order = np.argsort(lost_ / np.maximum(done_, _SPARE), kind="stable")[: 3 * states]
            state, drop = state[order], drop[order]
            after = left[state] - self._need[drop]
            name = (after * self._mix).sum(axis=1, dtype=np.uint64)
            _, first = np.unique(name, return_index=True)
            kept = np.sort(first)[:states]
            state, drop, left = state[kept], drop[kept], after[kept]
            lost, done = lost_[order][kept], done_[order][kept]
            trace.append((state, drop))
            whole = np.nonzero(~left.any(axis=1))[0]
            if len(whole):
                i = int(whole[np.argmin(lost[whole])])
                if lost[i] < slack:
                    best, slack = (len(trace) - 1, i), float(lost[i]) - _SPARE
                lost[whole] = np.inf
        return None if best is None else self._read(trace, *best)

    def _moves(self, left: _Words, lost: _Reals, slack: float) -> tuple[_Ints, _Ints]:
        """Each state with each drop that holds the first rectangle it has left, and loses not too
        much."""
        first = np.full(len(left), len(self._rects))
        for number, (word, at, bits) in reversed(list(enumerate(self._places))):
            there = left[:, word] & np.uint64(((1 << bits) - 1) << at)
            first[there != 0] = number
        states, drops = [], []
        for number in np.unique(first):
            if number == len(self._rects):
                continue
            these = np.nonzero((first == number) & (lost < slack))[0]
            if not len(these):
                continue
            most = max(_MOST_AT_ONCE // len(left), 1)
            holding = self._holding[number][:most]
            loss = lost[these][:, None] + self._loss[holding][None, :]
            self.looks += loss.size
            i, j = np.nonzero(loss < slack)
            states.append(these[i])
            drops.append(holding[j])
        none = np.zeros(0, np.int64)
        return np.concatenate([none, *states]), np.concatenate([none, *drops])

    def _read(self, trace: Sequence[tuple[_Ints, _Ints]], level: int, at: int) -> list[int]:
        found = []
        while level >= 0:
            state, drop = trace[level]
            found.append(self._fit[int(drop[at])])
            at, level = int(state[at]), level - 1
        return found[::-1]
