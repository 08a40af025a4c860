"""What drops hold at most for their length, where each rectangle has its price: a bound of pricing.

A drop is lanes side by side. Its lanes are told apart by their widest rectangles, their leaders, of
which there are only so many; what lies behind a leader is no wider, and there is only so much of it
too, but what lies in one lane is not missed in another. So much is let in that no drop holds, and
everything that drops do hold (a relaxation of their states, as in Christofides, Mingozzi and Toth
1981, "State-space relaxation procedures for the computation of bounds to routing problems"). Lanes
are then knapsacks, narrowest rectangle first, and drops are leaders that fit side by side.

For prices f of rectangles, a number kappa with sum f <= kappa * length for all drops makes
f / kappa a dual feasible function: all that is cut from a roll is worth no more than kappa times
its length. All of it is in whole numbers, so that the bound does not rest on floating point.

Drops that are much longer than any rectangle are bounded at once: rectangles that may be cut to
pieces fill a lane as a concave function of its length, which is worth most for its length at the
shortest of them.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from math import ceil

import numpy as np
from numpy.typing import NDArray

from shadewright.solve.packing.full_lanes import NEVER, FullLanes
from shadewright.solve.packing.grid import Grid
from shadewright.solve.problem.kinds import Rect

_Ints = NDArray[np.int64]

_CELLS = 9_000
"""Units of length that are told apart, about."""
_STEP = 0.01
"""How much the lengths may differ that are looked at together at first."""
_ACROSS = 200
"""Units of width that what fits beside is told by at first."""
_FAR = 0.15
"""What the best drops may be worth more than was asked about, of that, where all are looked at."""
_PARTS = (0.7, 0.4, 0.15, 0.0)
"""Of what is more than that, which drops are not looked at, one after the other."""
_MOST = 20_000_000
"""Numbers that are kept at once."""
_AT_ONE_GO = 2
"""How many of the numbers of what fits beside take as long as one of the others (measured)."""
_AT_ONCE = 1_000_000
"""Numbers that are looked at together."""


@dataclass(frozen=True)
class RelaxedDrop:
    """A drop, more or less: some rectangles may be in it more often than there are any.

    Attributes:
        held: how many of each rectangle; not whole where they are cut to pieces.
        long: how long it is, in units of the relaxation.
        lanes: of whole rectangles; empty where they are cut to pieces.
    """

    held: Mapping[Rect, float]
    long: int
    lanes: tuple[tuple[Rect, ...], ...] = ()


@dataclass(frozen=True)
class Most:
    """The most that drops hold.

    Attributes:
        kappa: no drop is worth more than that for each unit of its length.
        drops: found that are worth more than was asked about, those first that gain most.
    """

    kappa: int
    drops: list[RelaxedDrop]


@dataclass(frozen=True)
class _Beside:
    """Leaders side by side, a row each, and the cells where they may be worth enough.

    Attributes:
        leaders: narrowest last.
        room: that is left across.
        worth: in each cell.
    """

    leaders: _Ints
    room: _Ints
    worth: _Ints


class Relaxation:
    """Rectangles of one roll that drops may hold.

    Args:
        asked: the most of each rectangle that any plan needs.
        reach: drops are looked at by length up to that many times the longest rectangle; longer
            ones are bounded at once.

    Attributes:
        rects: narrowest first.
        unit: ticks; lengths are rounded down to so many.
        looks: numbers looked at so far.
    """

    def __init__(self, grid: Grid, asked: Mapping[Rect, int], reach: int) -> None:
        self.rects = sorted(asked, key=lambda rect: (rect.across, rect.along, rect.key))
        self.looks = 0
        long = [grid.units(rect) * grid.unit for rect in self.rects]
        self.unit = grid.unit * ceil(reach * max(long) / grid.unit / _CELLS)
        self._along = np.array([each // self.unit for each in long], np.int64)
        self._across = np.array([rect.across for rect in self.rects], np.int64)
        self._usable = grid.roll.usable
        in_all = sum(int(n) * asked[r] for n, r in zip(self._along, self.rects, strict=True))
        if grid.roll.table is not None:
            in_all = min(in_all, (grid.roll.table + grid.roll.period) // self.unit)
        longest = reach * int(self._along.max())
        self._longest = min(longest, in_all)
        self._longer = in_all > longest
        self._counts = np.array([asked[rect] for rect in self.rects], np.int64)
        self._starts = self._cells()
        self._ends = np.append(self._starts[1:] - 1, self._longest)
        self._cell = -(-self._usable // _ACROSS)

    @property
    def possible(self) -> bool:
        """Whether every rectangle has a length in these units."""
        return bool(self._along.min() > 0)

    def _cells(self) -> _Ints:
        at, starts = max(int(self._along.min()), 1), []
        while at <= self._longest:
            starts.append(at)
            at = max(at + 1, int(at * (1 + _STEP)))
        return np.array(starts, np.int64)

    def most(self, prices: Sequence[int], least: int, drops: int, looks: int) -> Most | None:
        """The most that a unit of length holds at these prices, and no less than `least`.

        Where prices are far from any that bound well, only the drops that are worth most are
        looked for.

        Args:
            prices: of the rectangles, in their order.
            drops: that are given back at most.
            looks: numbers that may be looked at; None is given back where these are too few.
        """
        until = self.looks + looks
        lanes = FullLanes.of(self._along, self._counts, np.array(prices, np.int64), self._longest)
        self.looks += 3 * lanes.led.size
        near = self._near(lanes)
        beside = self._beside(near)
        above = max(int((beside[-1] / self._costs(1)).max()) - least, 0)
        for part in _PARTS if above > _FAR * least else (0.0,):
            asked = least + int(part * above)
            some = self._worth_enough(near, beside, asked, until)
            if some is None:
                return None
            kappa, gains = asked, []
            for these in some:
                found = self._exactly(lanes, these, asked)
                kappa = max(kappa, found[0])
                gains += found[1]
            if gains:
                break
        gains.sort(key=lambda each: (-each[0], each[1:]))
        return Most(kappa, [self._held(lanes, leaders, long) for _, leaders, long in gains[:drops]])

    def _near(self, lanes: FullLanes) -> _Ints:
        """What lanes led by each rectangle are worth at most in each cell, and in all that are
        longer in the last."""
        near = np.full((len(self.rects), len(self._starts) + 1), NEVER)
        near[:, :-1] = lanes.led[:, self._ends]
        if self._longer:
            near[:, -1] = lanes.in_pieces()
        return near

    def _costs(self, least: int) -> _Ints:
        """What each cell must be worth more than."""
        return least * np.append(self._starts, self._longest)

    def _beside(self, near: _Ints) -> _Ints:
        """The most that fits into each width, in cells of width and of length; any number of lanes
        may have the same leader."""
        cells = self._usable // self._cell
        size = self._across // self._cell
        sizes = np.unique(size)
        best = np.array([near[size == each].max(axis=0) for each in sizes])
        most = np.zeros((cells + 1, best.shape[1]), np.int64)
        for width in range(1, cells + 1):
            fits = sizes <= width
            most[width] = most[width - 1]
            if fits.any():
                ending = (most[width - sizes[fits]] + best[fits]).max(axis=0)
                most[width] = np.maximum(most[width], ending)
        self.looks += cells * len(sizes) * best.shape[1] // _AT_ONE_GO
        return most

    def _worth_enough(
        self, near: _Ints, beside: _Ints, least: int, until: int
    ) -> list[_Beside] | None:
        """Leaders side by side that may be worth more than their length, by how many they are; None
        where that takes too many looks."""
        costs = self._costs(least)
        number = len(self.rects)
        first = _Beside(np.arange(number)[:, None], self._usable - self._across, near)
        worth = first.worth + beside[first.room // self._cell]
        at = _some(first, worth, costs)
        found = []
        while len(at.room):
            found.append(_some(at, at.worth, costs))
            parts = []
            for last in np.unique(at.leaders[:, -1]):
                same = at.leaders[:, -1] == last
                here = _Beside(at.leaders[same], at.room[same], at.worth[same])
                parts += self._wider_by_one(near, here, int(last), costs, beside)
                if self.looks > until:
                    return None
            if not parts:
                break
            if sum(part.worth.size for part in parts) > _MOST:
                return None
            at = _Beside(
                np.concatenate([part.leaders for part in parts]),
                np.concatenate([part.room for part in parts]),
                np.concatenate([part.worth for part in parts]),
            )
        return found

    def _wider_by_one(
        self, near: _Ints, at: _Beside, last: int, costs: _Ints, beside: _Ints
    ) -> list[_Beside]:
        """One leader more beside these, which all end with the same one."""
        alive = (at.worth + beside[at.room // self._cell] > costs).any(axis=0)
        rows, next_ = np.nonzero(self._across[None, : last + 1] <= at.room[:, None])
        again = (at.leaders == last).sum(axis=1)
        fits = (next_ < last) | (again[rows] < self._counts[last])
        rows, next_ = rows[fits], next_[fits]
        most, worth, led = beside[:, alive], at.worth[:, alive], near[:, alive]
        at_once = max(_AT_ONCE // len(costs), 1)
        parts = []
        for start in range(0, len(rows), at_once):
            row, new = rows[start : start + at_once], next_[start : start + at_once]
            room = at.room[row] - self._across[new]
            these = worth[row] + led[new] + most[room // self._cell]
            enough = (these > costs[alive]).any(axis=1)
            row, new = row[enough], new[enough]
            self.looks += 4 * these.size + 4 * len(row) * len(costs)
            leaders = np.concatenate([at.leaders[row], new[:, None]], axis=1)
            parts.append(_Beside(leaders, room[enough], at.worth[row] + near[new]))
        return [part for part in parts if len(part.room)]

    def _exactly(
        self, lanes: FullLanes, beside: _Beside, least: int
    ) -> tuple[int, list[tuple[int, tuple[int, ...], int]]]:
        """The most for a unit of length in the cells where these may be worth enough; and what each
        gains at best, with its length, -1 where that is longer than all that are told apart."""
        row, cell = np.nonzero(beside.worth > self._costs(least))
        longer = cell == len(self._starts)
        gain = np.zeros(len(beside.room), np.int64)
        long = np.zeros(len(beside.room), np.int64)
        kappa = least
        if longer.any():
            far = beside.worth[row[longer], -1]
            kappa = max(kappa, int((-(-far // self._longest)).max()))
            gain[row[longer]], long[row[longer]] = far - least * self._longest, -1
        row, cell = row[~longer], cell[~longer]
        for lengths, here in self._lengths(row, cell):
            leaders = beside.leaders[here]
            exact = np.zeros(lengths.shape, np.int64)
            for leader in leaders.T:
                exact += lanes.led[leader[:, None], lengths]
            self.looks += exact.size * (2 * leaders.shape[1] + 4)
            kappa = max(kappa, int((-(-exact // lengths)).max()))
            gains = exact - least * lengths
            best = gains.argmax(axis=1)
            every = np.arange(len(here))
            # Of several cells of the same leaders the best comes last.
            order = np.argsort(gains[every, best], kind="stable")
            better = order[gains[order, best[order]] > gain[here[order]]]
            gain[here[better]] = gains[better, best[better]]
            long[here[better]] = lengths[better, best[better]]
        found = np.nonzero(gain > 0)[0]
        return kappa, [
            (int(gain[i]), tuple(beside.leaders[i].tolist()), int(long[i])) for i in found
        ]

    def _lengths(self, row: _Ints, cell: _Ints) -> Iterator[tuple[_Ints, _Ints]]:
        """All lengths of cells, as many at once as there may be, a row each; with what they are
        looked at for."""
        most = int((self._ends - self._starts).max()) + 1
        at_once = max(_AT_ONCE // most, 1)
        for start in range(0, len(row), at_once):
            these = cell[start : start + at_once]
            lengths = self._starts[these][:, None] + np.arange(most)[None, :]
            yield np.minimum(lengths, self._ends[these][:, None]), row[start : start + at_once]

    def _held(self, lanes: FullLanes, leaders: Sequence[int], long: int) -> RelaxedDrop:
        if long < 0:
            pieces: dict[Rect, float] = {}
            for leader in leaders:
                for i, n in lanes.pieces(leader):
                    pieces[self.rects[i]] = pieces.get(self.rects[i], 0.0) + n
            return RelaxedDrop(pieces, self._longest)
        cut = tuple(tuple(self.rects[i] for i in lanes.lane(each, long)) for each in leaders)
        return RelaxedDrop(Counter(rect for lane in cut for rect in lane), long, cut)


def _some(beside: _Beside, worth: _Ints, costs: _Ints) -> _Beside:
    """Those that are worth more than some cell costs."""
    these = np.unique(np.nonzero(worth > costs)[0])
    return _Beside(beside.leaders[these], beside.room[these], beside.worth[these])
