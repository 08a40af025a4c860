"""Joint drops taken apart into rows, so that no helper needs a table as long as the roll.

The model joins drops that are cut by one template, which can make them as long as the roll. Cutting
such a drop lengthwise asks for a long table, so joint drops are taken apart again wherever all
their lanes can be cut across at one line: rows of equal length become drops of their own. The
length used stays the same. What is still longer than the table is cut up all the same
(`within_table`), which may take more.
"""

from __future__ import annotations

from bisect import bisect_right
from collections import Counter
from collections.abc import Iterable, Sequence
from itertools import groupby

from shadewright.measure import Ticks
from shadewright.solve.effort import USUAL
from shadewright.solve.packing.drops import CutDrop, CutLane
from shadewright.solve.packing.grid import Grid
from shadewright.solve.packing.lay import length_of, shortest_end, too_long
from shadewright.solve.problem.kinds import Rect


def apart(grid: Grid, joint: Sequence[CutDrop]) -> list[CutDrop]:
    """Take joint drops apart; the one that ends the roll stays last and as short."""
    apart = [row for drop in joint[:-1] for row in _rows(grid, drop)]
    ending = _rows(grid, joint[-1], ends_roll=True)
    order = sorted(
        apart + ending[:-1], key=lambda drop: (-length_of(grid.roll, drop), _names(drop))
    )
    return [*order, ending[-1]]


def within_table(grid: Grid, joint: Sequence[CutDrop]) -> tuple[CutDrop, ...]:
    """Joint drops of a roll of one phase so that none is longer than the table."""
    if not any(too_long(grid.roll, drop) for drop in joint):
        return tuple(joint)
    found: list[CutDrop] = []
    for drop in apart(grid, joint):
        found += _cut_up(grid, drop) if too_long(grid.roll, drop) else [drop]
    return shortest_end(grid.roll, found)


def _cut_up(grid: Grid, drop: CutDrop) -> list[CutDrop]:
    """A drop in rows that fill the table, each lane with its longest rectangles first."""
    table = grid.roll.table
    assert table is not None
    left = [sorted(lane.rects, key=lambda r: (-r.along, -r.across)) for lane in drop.lanes]
    rows = []
    while any(left):
        row = []
        for lane in left:
            taken: list[Rect] = []
            for rect in list(lane):
                if not taken or grid.unit * grid.load(taken) + rect.along <= table:
                    taken.append(rect)
                    lane.remove(rect)
            row.append(taken)
        rows.append(_drop_of(row))
    return rows


def _names(drop: CutDrop) -> list[tuple[Rect, ...]]:
    return [lane.rects for lane in drop.lanes]


def _rows(grid: Grid, drop: CutDrop, ends_roll: bool = False) -> list[CutDrop]:
    """Take a joint drop apart into rows, each a drop of its own, without lengthening the roll.

    Where `ends_roll`, the rectangles that end its lanes end the last row.
    """
    lanes = [list(lane.rects) for lane in drop.lanes]
    rows: list[CutDrop] = []
    while row := _next_row(grid, lanes, ends_roll):
        # A thousand openings of one size have the same row a thousand times.
        for _ in range(_times(grid, lanes, row, ends_roll)):
            rows.append(_drop_of(row))
            for lane, rects in zip(lanes, row, strict=True):
                for rect in rects:
                    lane.remove(rect)
        lanes = [lane for lane in lanes if lane]
    return [*rows, _drop_of(lanes)]


def _times(
    grid: Grid, lanes: Sequence[Sequence[Rect]], row: Sequence[Sequence[Rect]], ends_roll: bool
) -> int:
    """How often a row can be cut from lanes, one after the other and not all that there is.

    What takes no more than its share of what a lane falls short does so the next time, too.
    """
    loads, reached = [grid.load(lane) for lane in lanes], [grid.load(rects) for rects in row]
    whole, length = max(loads), max(reached)
    shares = zip(loads, reached, strict=True)
    if any((length - part) * whole > (whole - load) * length for load, part in shares):
        return 1
    times = (whole - 1) // length
    for lane, rects in zip(_free(lanes, ends_roll), row, strict=True):
        there = Counter(lane)
        times = min([times, *(there[rect] // n for rect, n in Counter(rects).items())])
    if ends_roll:
        ends = _ends(grid, lanes)
        for end, part in zip(ends, reached, strict=True):
            if part < length:
                times = min(times, (max(ends) - end) // (grid.unit * (length - part)))
    return times


def _free(lanes: Sequence[Sequence[Rect]], ends_roll: bool) -> list[Sequence[Rect]]:
    """What of each lane may be cut first: where the lanes end the roll, all but their last."""
    return [lane[:-1] if ends_roll else lane for lane in lanes]


def _ends(grid: Grid, lanes: Sequence[Sequence[Rect]]) -> list[Ticks]:
    """Where each lane ends, from the start of their drop."""
    return [grid.unit * grid.load(lane) - grid.tail(lane[-1]) for lane in lanes]


def _drop_of(lanes: Iterable[Sequence[Rect]]) -> CutDrop:
    return CutDrop(tuple(CutLane(tuple(rects)) for rects in lanes if rects))


def _next_row(
    grid: Grid, lanes: Sequence[Sequence[Rect]], ends_roll: bool
) -> list[tuple[Rect, ...]] | None:
    """A few rectangles of each lane that can be cut as a drop of their own; None if there are none.

    What a lane of the row falls short of the longest is lost to that lane, so it may be no more
    than the lane falls short in the joint drop; short rows that take no more than their share of
    it are liked best.
    """
    loads = [grid.load(lane) for lane in lanes]
    whole = max(loads)
    first = loads.index(whole)
    parts = [_parts(grid, lane) for lane in _free(lanes, ends_roll)]
    ends = _ends(grid, lanes)
    best: tuple[bool, int, int] | None = None
    chosen: list[tuple[Rect, ...]] | None = None
    for length, leader in parts[first]:
        if length in (0, whole):
            continue
        row: list[tuple[Rect, ...]] = []
        fair, lost = True, 0
        for lane, load, these in zip(lanes, loads, parts, strict=True):
            if lane is lanes[first]:
                row.append(leader)
                continue
            reached, rects = these[bisect_right(these, length, key=lambda part: part[0]) - 1]
            if length - reached > whole - load:
                break
            fair = fair and (length - reached) * whole <= (whole - load) * length
            lost = max(lost, length - reached)
            row.append(rects)
        else:
            key = (not fair, length, lost) if fair else (True, lost, length)
            if (best is None or key < best) and (
                not ends_roll or _ends_with_it(grid, ends, row, length)
            ):
                best, chosen = key, row
    return chosen


def _ends_with_it(
    grid: Grid, ends: Sequence[Ticks], row: Sequence[Sequence[Rect]], length: int
) -> bool:
    """Whether the drop that remains when a row has been taken out is as much shorter."""
    after = max(end - grid.unit * grid.load(taken) for end, taken in zip(ends, row, strict=True))
    return after + grid.unit * length == max(ends)


def _parts(grid: Grid, lane: Sequence[Rect]) -> list[tuple[int, tuple[Rect, ...]]]:
    """Lengths that a few of a lane's rectangles can make, in order, and one way to make each: every
    one, unless its rectangles have so many lengths that only some of these are looked at."""
    made: dict[int, tuple[Rect, ...]] = {0: ()}
    by_length = groupby(sorted(lane, key=grid.units, reverse=True), key=grid.units)
    lengths = [(units, tuple(alike)) for units, alike in by_length]
    for units, same in lengths[:: len(lengths) // USUAL.lengths + 1]:
        for length, rects in list(made.items()):
            for n in range(1, min(len(same), USUAL.joined - len(rects)) + 1):
                longer = length + n * units
                if longer not in made or len(made[longer]) > len(rects) + n:
                    made[longer] = (*rects, *same[:n])
    return sorted(made.items())
