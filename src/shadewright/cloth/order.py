"""The order of drops on one roll that wastes least cloth between them, exactly.

On cloth with a repeat a drop must begin at a phase of its own, so after one drop cloth is skipped
until the next one's phase comes round. Seen on the circle of the repeat, drops are arcs; a tour
through all of them and back goes round a whole number of times, K. Let cov be the number of arcs
over a point and M the most of them anywhere. Then K = M if the arcs, joined with every stretch of
the circle where cov < M, hang together, and K = M + 1 if not; the waste is K - cov summed along the
circle. A roll that need not come back to where it began is the best tour with one arc that costs
nothing, from the last drop's end to the roll's beginning.

Source: the counting argument is our own; the problem is that of R. S. Garfinkel, "Minimizing
Wallpaper Waste, Part 1", Operations Research 25(5), 1977, 741-751.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from heapq import heapify, heappop, heappush

import numpy as np
import numpy.typing as npt

from shadewright.measure import Ticks


@dataclass(frozen=True)
class Arc:
    """A drop on the circle of the repeat.

    Attributes:
        phase: at which it must begin.
        length: of cloth; longer than the circle for most.
    """

    phase: Ticks
    length: Ticks


@dataclass(frozen=True)
class Order:
    """A cutting order.

    Attributes:
        sequence: the drops by their place in the list, in the order they are cut.
        waste: cloth skipped, in ticks.
    """

    sequence: tuple[int, ...]
    waste: Ticks


def open_order(arcs: Sequence[Arc], around: Ticks, begin: Ticks | None) -> Order:
    """The least wasteful order of a roll, whose tail after the last drop is left uncut.

    Args:
        around: length of the circle.
        begin: phase at which the roll begins; None where the first drop begins it.

    Raises:
        ValueError: there are no arcs.
    """
    if not arcs:
        raise ValueError("no drops to put in order")
    cut = sum(arc.length for arc in arcs)
    tried = list(_returns(arcs, around, begin))
    heapify(tried)
    while True:
        total, place, home, joined = heappop(tried)
        back = (home - arcs[place].phase - arcs[place].length) % around
        closing = [*arcs]
        closing[place] = Arc(arcs[place].phase, arcs[place].length + back)
        tour = _tour(closing, around, (total + back) // around)
        if tour is not None:
            first = (tour.index(place) + 1) % len(tour)
            return Order((*tour[first:], *tour[:first]), total - cut)
        assert not joined, "one arc waiting everywhere joins all"
        heappush(tried, (total + around, place, home, True))


def _returns(
    arcs: Sequence[Arc], around: Ticks, begin: Ticks | None
) -> Iterator[tuple[Ticks, int, Ticks, bool]]:
    """Ways to end the roll: its length at best, the last arc, the phase of the roll's beginning,
    and whether one turn has been added."""
    homes = sorted({arc.phase % around for arc in arcs} if begin is None else {begin % around})
    points, cover = _coverage(arcs, around)
    most = int(cover.max())
    # Stretches of most coverage before each point, counted round from 0.
    full = np.concatenate([[0], np.cumsum(cover == most)])
    ends = np.array([(arc.phase + arc.length) % around for arc in arcs])
    home = np.array(homes)
    from_, to = full[np.searchsorted(points, ends)], full[np.searchsorted(points, home)]
    passed = to[None, :] - from_[:, None]
    passed += np.where(home[None, :] < ends[:, None], full[-1], 0)
    back = (home[None, :] - ends[:, None]) % around
    total = (most + (passed > 0)) * around - back
    for place, row in enumerate(total.tolist()):
        for phase, length in zip(homes, row, strict=True):
            yield length, place, phase, False


def _coverage(
    arcs: Sequence[Arc], around: Ticks
) -> tuple[npt.NDArray[np.int64], npt.NDArray[np.int64]]:
    """Points of the circle where arcs begin or end, in order, and how many arcs lie over the
    stretch from each to the next."""
    starts = np.array([arc.phase % around for arc in arcs], dtype=np.int64)
    lengths = np.array([arc.length for arc in arcs], dtype=np.int64)
    ends = (starts + lengths) % around
    points = np.unique(np.concatenate([starts, ends]))
    change = np.zeros(len(points), dtype=np.int64)
    np.add.at(change, np.searchsorted(points, starts), 1)
    np.add.at(change, np.searchsorted(points, ends), -1)
    # Before the first point lies what is over the last stretch: whole turns, and arcs that pass 0.
    before = int((lengths // around).sum() + (ends < starts).sum())
    return points, before + np.cumsum(change)


def _tour(arcs: Sequence[Arc], around: Ticks, turns: int) -> list[int] | None:
    """One tour through all arcs that goes round so often; None if there is none.

    Walking round the circle, arcs that have ended wait for the next one to begin; which of those
    waiting is taken makes no difference to the waste. Taking the longest waiting gives a successor
    to each arc, hence circles of successors. Two arcs that wait at one point may change successors,
    which joins two circles into one.
    """
    points, cover = _coverage(arcs, around)
    most = int(cover.max())
    if turns < most:
        return None
    ending: dict[int, list[int]] = {}
    beginning: dict[int, list[int]] = {}
    for i, arc in enumerate(arcs):
        beginning.setdefault(arc.phase % around, []).append(i)
        ending.setdefault((arc.phase + arc.length) % around, []).append(i)
    # Begin behind a stretch of most coverage, where fewest wait.
    first = (int(cover.argmax()) + 1) % len(points)
    round_ = [int(point) for point in (*points[first:], *points[:first])]
    after = _successors(round_, beginning, ending, turns - most)
    joined = _joined(round_, beginning, ending, after)
    tour = [0]
    while (following := joined[tour[-1]]) != 0:
        tour.append(following)
    return tour if len(tour) == len(arcs) else None


def _successors(
    round_: list[int], beginning: dict[int, list[int]], ending: dict[int, list[int]], extra: int
) -> dict[int, int]:
    """The arc after each arc, when the longest waiting is always taken.

    Args:
        extra: arcs that already wait at the first point: those still waiting at the last.
    """
    waiting: deque[int | None] = deque([None] * extra)
    owed: list[int] = []
    after: dict[int, int] = {}
    for point in round_:
        waiting.extend(ending.get(point, []))
        for start in beginning.get(point, []):
            taken = waiting.popleft()
            if taken is None:
                owed.append(start)
            else:
                after[taken] = start
    left = [i for i in waiting if i is not None]
    after.update(zip(left, owed, strict=True))
    return after


def _joined(
    round_: list[int],
    beginning: dict[int, list[int]],
    ending: dict[int, list[int]],
    after: dict[int, int],
) -> dict[int, int]:
    """The successors, with circles of arcs that wait together joined into one."""
    after = dict(after)
    before = {following: i for i, following in after.items()}
    group = _circles(after)
    root = {g: g for g in group.values()}

    def find(i: int) -> int:
        g = group[i]
        while root[g] != g:
            root[g] = root[root[g]]
            g = root[g]
        return g

    # Arcs that wait across the first point: their successor begins before they end.
    place = {point: i for i, point in enumerate(round_)}
    start_at = {i: place[p] for p, these in beginning.items() for i in these}
    end_at = {i: place[p] for p, these in ending.items() for i in these}
    active = {i: None for i, following in after.items() if start_at[following] < end_at[i]}
    for point in round_:
        for i in ending.get(point, []):
            if i not in active and active:
                other = next(iter(active))
                if find(i) != find(other):
                    after[i], after[other] = after[other], after[i]
                    before[after[i]], before[after[other]] = i, other
                    root[find(i)] = find(other)
            active[i] = None
        for start in beginning.get(point, []):
            active.pop(before[start], None)
    return after


def _circles(after: dict[int, int]) -> dict[int, int]:
    """For each arc the name of its circle."""
    group: dict[int, int] = {}
    for i in after:
        at = i
        while at not in group:
            group[at] = i
            at = after[at]
    return group
