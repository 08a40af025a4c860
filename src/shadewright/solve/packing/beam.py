"""Drops for given rectangles by beam search, where many lie side by side.

Rectangles are put one at a time: into a new drop, into a new lane of the last drop, or behind the
last rectangle of the last lane. Of all states with as many rectangles the most promising are kept
and gone on from. The guide is the waste so far against the mean size of what is put, after
Libralesso and Fontan, "An anytime tree search algorithm for the 2018 ROADEF/EURO challenge glass
cutting problem", European Journal of Operational Research 291 (2021). Small rectangles are so not
put first merely because they waste little.

States are rows of arrays, so that a whole level is worked out at once.
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

_MIX = np.random.default_rng(1).integers(1 << 61, 1 << 62, size=3, dtype=np.int64) | 1
"""Large odd factors."""

_NEW_DROP, _NEW_LANE, _BEHIND = 0, 1, 2


@dataclass(frozen=True)
class Guide:
    """What a beam is led by.

    Attributes:
        power: how much the mean size of what is put weighs.
        reach: how long a lane may get, in lengths of the longest rectangle.
    """

    power: float
    reach: int


GUIDES = (
    Guide(0.0, 1),
    Guide(0.5, 1),
    Guide(0.25, 2),
    Guide(0.75, 1),
    Guide(0.0, 2),
    Guide(0.5, 2),
    Guide(0.25, 3),
)
"""None is best for all."""


@dataclass(frozen=True)
class _States:
    """States of one level, a row each; lengths in units of the grid.

    Attributes:
        left: how many of each rectangle are still to be put.
        done: where the last drop starts.
        long: how long it is so far.
        edge: where its last lane begins across.
        wide: how wide that is.
        load: how long it is.
        put: area of what is put.
        mark: tells apart what is put.
    """

    left: _Ints
    done: _Ints
    long: _Ints
    edge: _Ints
    wide: _Ints
    load: _Ints
    put: _Ints
    mark: _Ints


@dataclass(frozen=True)
class _Moves:
    """Ways to go on: from which state, with which rectangle, how, and what comes of it."""

    state: _Ints
    rect: _Ints
    how: _Ints
    done: _Ints
    long: _Ints
    edge: _Ints
    wide: _Ints
    load: _Ints

    def only(self, these: NDArray[np.bool_]) -> _Moves:
        return _Moves(*(column[these] for column in self._columns))

    def and_then(self, others: _Moves) -> _Moves:
        both = zip(self._columns, others._columns, strict=True)
        return _Moves(*(np.concatenate(columns) for columns in both))

    @property
    def _columns(self) -> tuple[_Ints, ...]:
        return (
            self.state,
            self.rect,
            self.how,
            self.done,
            self.long,
            self.edge,
            self.wide,
            self.load,
        )


class Beam:
    """Given rectangles of one roll, none of which has places or phases of its own.

    Args:
        asked: how many of each rectangle.
    """

    def __init__(self, grid: Grid, asked: Mapping[Rect, int]) -> None:
        self.rects: Sequence[Rect] = list(asked)
        self.counts = np.array([asked[rect] for rect in self.rects], np.int64)
        self._across = np.array([rect.across for rect in self.rects], np.int64)
        self._along = np.array([grid.units(rect) for rect in self.rects], np.int64)
        self._area = self._across * self._along
        self._usable = grid.roll.usable
        table = grid.roll.table
        # The last of a lane may end before its unit does: rather too short a table than too long.
        self._table = None if table is None else table // grid.unit
        draw = np.random.default_rng(0)
        self._names = draw.integers(1, 1 << 62, size=len(self.rects), dtype=np.int64)

    @property
    def work(self) -> int:
        """Moves of a beam of one state, about."""
        return int(self.counts.sum()) * len(self.rects) * 2

    def drops(
        self, size: int, guide: Guide, seed: int = 0, noise: float = 0.0
    ) -> tuple[CutDrop, ...]:
        """The drops found by a beam of so many states; none where no way is found.

        Args:
            noise: by which part, about, what guides is made larger or smaller at random, so that
                the same rectangles are packed another way.
        """
        draw = np.random.default_rng(seed)
        # One lane after the other filled without an end would seem to waste nothing.
        longest = guide.reach * int(self._along.max())
        longest = longest if self._table is None else min(longest, self._table)
        states = self._start()
        trace: list[tuple[_Ints, _Ints, _Ints]] = []
        total = int(self.counts.sum())
        for level in range(total):
            moves = self._moves(states, longest, first=level == 0)
            if not len(moves.state):
                return ()
            if level == total - 1:
                by = (moves.done + moves.long).astype(float)
            else:
                by = self._guide(states, moves, guide.power, level + 1)
                if noise:
                    by *= np.exp(noise * draw.standard_normal(len(by)))
            chosen = self._best(states, moves, by, size)
            trace.append((moves.state[chosen], moves.rect[chosen], moves.how[chosen]))
            states = self._after(states, moves, chosen)
        return self._read(trace, int((states.done + states.long).argmin()))

    def _start(self) -> _States:
        zero = np.zeros(1, np.int64)
        return _States(self.counts[None, :].copy(), *(zero.copy() for _ in range(7)))

    def _moves(self, at: _States, longest: int, *, first: bool) -> _Moves:
        """Every way to put one rectangle more."""
        state, rect = np.nonzero(at.left)
        across, along = self._across[rect], self._along[rect]
        none = np.zeros_like(state)
        begun = at.done[state] + at.long[state]
        new = _Moves(state, rect, none + _NEW_DROP, begun, along, none, across, along)
        if first:
            return new
        edge, long = at.edge[state] + at.wide[state], np.maximum(at.long[state], along)
        here = at.done[state]
        beside = _Moves(state, rect, none + _NEW_LANE, here, long, edge, across, along)
        beside = beside.only(edge + across <= self._usable)
        wide, load = np.maximum(at.wide[state], across), at.load[state] + along
        long = np.maximum(at.long[state], load)
        behind = _Moves(state, rect, none + _BEHIND, here, long, at.edge[state], wide, load)
        fits = (at.edge[state] + wide <= self._usable) & (load <= longest)
        return new.and_then(beside).and_then(behind.only(fits))

    def _guide(self, at: _States, moves: _Moves, power: float, put: int) -> NDArray[np.float64]:
        """How little each move promises: what is lost for certain, and what is if nothing more goes
        into the last drop."""
        area = at.put[moves.state] + self._area[moves.rect]
        before = moves.done * self._usable + moves.long * moves.edge
        least = before + moves.load * moves.wide
        most = before + moves.long * moves.wide
        lost = 0.5 * (least + most - 2 * area) / most
        guide: NDArray[np.float64] = (lost + 0.02) / (area / put) ** power
        return guide

    def _best(self, at: _States, moves: _Moves, guide: NDArray[np.float64], size: int) -> _Ints:
        """The most promising moves, of those that come to the same only one."""
        few = min(len(guide), 3 * size)
        best = np.argpartition(guide, few - 1)[:few]
        best = best[np.lexsort((best, guide[best]))]
        # One number for all that tells states apart; it overflows, and is as good so.
        shape = (
            at.mark[moves.state[best]]
            + self._names[moves.rect[best]]
            + (moves.done[best] + moves.long[best]) * _MIX[0]
            + (moves.edge[best] + moves.wide[best]) * _MIX[1]
            + (moves.long[best] - moves.load[best]) * _MIX[2]
        )
        _, first = np.unique(shape, return_index=True)
        chosen: _Ints = best[np.sort(first)][:size]
        return chosen

    def _after(self, at: _States, moves: _Moves, chosen: _Ints) -> _States:
        state, rect = moves.state[chosen], moves.rect[chosen]
        left = at.left[state].copy()
        left[np.arange(len(state)), rect] -= 1
        return _States(
            left,
            moves.done[chosen],
            moves.long[chosen],
            moves.edge[chosen],
            moves.wide[chosen],
            moves.load[chosen],
            at.put[state] + self._area[rect],
            at.mark[state] + self._names[rect],
        )

    def _read(self, trace: Sequence[tuple[_Ints, _Ints, _Ints]], at: int) -> tuple[CutDrop, ...]:
        """The drops that led to a state of the last level."""
        way: list[tuple[int, int]] = []
        for state, rect, how in reversed(trace):
            way.append((int(how[at]), int(rect[at])))
            at = int(state[at])
        drops: list[list[list[Rect]]] = []
        for move, name in reversed(way):
            put = self.rects[name]
            if move == _NEW_DROP:
                drops.append([[put]])
            elif move == _NEW_LANE:
                drops[-1].append([put])
            else:
                drops[-1][-1].append(put)
        return tuple(CutDrop(tuple(CutLane(tuple(lane)) for lane in lanes)) for lanes in drops)
