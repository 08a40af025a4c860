"""Drops that are worth more than their length, where each rectangle has its price.

The pricing step of column generation over whole drops (Gilmore and Gomory 1965, "Multistage cutting
stock problems of two and more dimensions"), for rectangles of which there are only so many: an
exact answer is as hard as the whole, so a beam looks for drops of several lengths at once. Lanes
come in order of their widest rectangle, and rectangles of a lane in order of width, so that hardly
any drop is found twice. The guide is what a square of cloth brings so far.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from shadewright.solve.packing.drops import CutDrop, CutLane
from shadewright.solve.packing.grid import Grid
from shadewright.solve.problem.kinds import Rect

_Ints = NDArray[np.int64]
_Reals = NDArray[np.float64]

_NO_GAIN = 1e-6
_MOST_AT_ONCE = 1_500_000
"""Ways to go on that are looked at for one level, for each of two ways to put a rectangle."""


@dataclass(frozen=True)
class Width:
    """How widely is looked for drops.

    Attributes:
        lengths: that are tried.
        states: of a beam for each length.
        drops: that are given back at most.
    """

    lengths: int
    states: int
    drops: int


@dataclass(frozen=True)
class _Unfinished:
    """Drops that are being filled, a row each; lengths in units of the grid.

    Attributes:
        most: how long each may get.
        long: how long it is.
        edge: where its last lane begins across.
        wide: how wide that is.
        load: how long that is.
        lead: the first rectangle of the last lane.
        last: the last one put.
        value: of what is put.
        left: how many of each rectangle there are still.
    """

    most: _Ints
    long: _Ints
    edge: _Ints
    wide: _Ints
    load: _Ints
    lead: _Ints
    last: _Ints
    value: _Reals
    left: _Ints


class DropPricing:
    """Rectangles of one roll that drops may hold, none of which has places of its own.

    Args:
        asked: the most of each rectangle that any plan needs.
    """

    def __init__(self, grid: Grid, asked: Mapping[Rect, int]) -> None:
        self._rects = sorted(asked, key=lambda rect: (-rect.across, -rect.along, rect.key))
        self._counts = np.array([asked[rect] for rect in self._rects], np.int64)
        self._across = np.array([rect.across for rect in self._rects], np.int64)
        self._along = np.array([grid.units(rect) for rect in self._rects], np.int64)
        self._usable = grid.roll.usable
        self._unit = grid.unit
        table = grid.roll.table
        self._table = None if table is None else table // grid.unit
        self.looks = 0

    def drops(
        self, prices: Mapping[Rect, float], rate: float, width: Width, seed: int, less: float = 0.0
    ) -> list[CutDrop]:
        """The drops found whose rectangles are worth more than their length, those that gain most
        first.

        Args:
            prices: of rectangles; what has none is worth nothing.
            rate: price of a unit of length.
            less: that they may be worth less than that.
        """
        draw = np.random.default_rng(seed)
        price = np.array([prices.get(rect, 0.0) for rect in self._rects])
        these = np.nonzero(price > 0)[0]
        if not len(these):
            return []
        states = min(width.states, max(_MOST_AT_ONCE // (width.lengths * len(these)), 1))
        at = self._first(these, price, self._lengths(these, width.lengths, draw))
        trace = [(np.full(len(at.last), -1), at.last, np.zeros(len(at.last), bool))]
        most = 4 * width.drops
        gains, levels, places = np.zeros(0), np.zeros(0, np.int64), np.zeros(0, np.int64)
        while len(at.last):
            gain = at.value - rate * at.long
            here = np.nonzero(gain > _NO_GAIN - less)[0]
            gains = np.concatenate([gains, gain[here]])
            levels = np.concatenate([levels, np.full(len(here), len(trace) - 1)])
            places = np.concatenate([places, here])
            if len(gains) > most:
                best = np.argsort(-gains, kind="stable")[:most]
                gains, levels, places = gains[best], levels[best], places[best]
            at, step = self._next(at, price, states)
            trace.append(step)
        order = np.argsort(-gains, kind="stable")
        drops: dict[tuple[int, ...], CutDrop] = {}
        for level, place in zip(levels[order].tolist(), places[order].tolist(), strict=True):
            lanes = self._read(trace, level, place)
            key = tuple(sorted(rect for lane in lanes for rect in lane))
            if key not in drops:
                drops[key] = CutDrop(
                    tuple(CutLane(tuple(self._rects[r] for r in lane)) for lane in lanes)
                )
            if len(drops) == width.drops:
                break
        return list(drops.values())

    def _lengths(self, these: _Ints, number: int, draw: np.random.Generator) -> _Ints:
        """Lengths of a rectangle, or of two, that drops may get."""
        single = np.unique(self._along[these])
        few = draw.choice(single, min(len(single), number // 2 + 1), replace=False)
        both = draw.choice(single, number // 2) + draw.choice(single, number // 2)
        found = np.unique(np.concatenate([few, both]))
        return found if self._table is None else found[found <= self._table]

    def _first(self, these: _Ints, price: _Reals, lengths: _Ints) -> _Unfinished:
        which, rect = np.nonzero(self._along[these][None, :] <= lengths[:, None])
        rect = these[rect]
        left = np.repeat(np.where(price > 0, self._counts, 0)[None, :], len(rect), 0)
        left[np.arange(len(rect)), rect] -= 1
        along = self._along[rect]
        zero = np.zeros_like(rect)
        return _Unfinished(
            lengths[which], along, zero, self._across[rect], along, rect, rect, price[rect], left
        )

    def _next(
        self, at: _Unfinished, price: _Reals, states: int
    ) -> tuple[_Unfinished, tuple[_Ints, _Ints, NDArray[np.bool_]]]:
        """One rectangle more in each, of as many as there may be for each length."""
        state, rect = np.nonzero(at.left)
        self.looks += len(state)
        fits = rect >= at.last[state]
        behind = fits & (at.load[state] + self._along[rect] <= at.most[state])
        room = at.edge[state] + at.wide[state] + self._across[rect] <= self._usable
        beside = room & (rect >= at.lead[state]) & (self._along[rect] <= at.most[state])
        state = np.concatenate([state[behind], state[beside]])
        new = np.zeros(len(state), bool)
        new[int(behind.sum()) :] = True
        rect = np.concatenate([rect[behind], rect[beside]])
        edge = at.edge[state] + np.where(new, at.wide[state], 0)
        wide = np.where(new, self._across[rect], at.wide[state])
        load = np.where(new, 0, at.load[state]) + self._along[rect]
        value, most = at.value[state] + price[rect], at.most[state]
        guide = value / (most * edge + 0.5 * (most + load) * wide)
        order = np.lexsort((-guide, most))
        _, first, number = np.unique(most[order], return_index=True, return_counts=True)
        best = order[np.arange(len(order)) - np.repeat(first, number) < states]
        state, rect, new = state[best], rect[best], new[best]
        left = at.left[state].copy()
        left[np.arange(len(state)), rect] -= 1
        after = _Unfinished(
            most[best],
            np.maximum(at.long[state], load[best]),
            edge[best],
            wide[best],
            load[best],
            np.where(new, rect, at.lead[state]),
            rect,
            value[best],
            left,
        )
        return after, (state, rect, new)

    @staticmethod
    def _read(
        trace: Sequence[tuple[_Ints, _Ints, NDArray[np.bool_]]], level: int, at: int
    ) -> list[list[int]]:
        """The lanes of a drop that was found."""
        way: list[tuple[bool, int]] = []
        while level >= 0:
            state, rect, new = trace[level]
            way.append((bool(new[at]), int(rect[at])))
            at, level = int(state[at]), level - 1
        lanes: list[list[int]] = [[]]
        for new_lane, put in reversed(way):
            if new_lane:
                lanes.append([])
            lanes[-1].append(put)
        return lanes
