"""A first plan by a simple rule, so that there is always one to improve and to keep."""

from __future__ import annotations

from shadewright.measure import Ticks
from shadewright.solve.grid import Grid
from shadewright.solve.lanes import CutDrop, CutLane
from shadewright.solve.model import Candidate, taken_rects
from shadewright.solve.problem import Option, Problem, Rect, Roll


def first_candidate(problem: Problem, fewest: bool = False) -> Candidate:
    """Each opening takes the option of least cloth, and the longest rectangles are cut first.

    Where `fewest`, only options with the fewest shades are looked at.

    A rectangle goes on top of a lane that has room for it, else beside the lanes of a drop, else it
    opens a drop of its length.
    """
    key = _shades_then_cloth if fewest else _cloth
    chosen = tuple(((min(kind.options, key=key), kind.copies),) for kind in problem.kinds)
    return Candidate(chosen, {roll.name: _drops(problem, roll, chosen) for roll in problem.rolls})


def _cloth(option: Option) -> tuple[int, int]:
    area = sum(rect.across * rect.along * count for rect, count in option.demand)
    return area, option.shades


def _shades_then_cloth(option: Option) -> tuple[int, tuple[int, int]]:
    return option.shades, _cloth(option)


def _drops(
    problem: Problem, roll: Roll, chosen: tuple[tuple[tuple[Option, int], ...], ...]
) -> tuple[CutDrop, ...]:
    rects = [rect for rect, count in taken_rects(chosen, roll.name).items() for _ in range(count)]
    grid = Grid.of(roll, problem.rects(roll))
    drops: list[list[list[Rect]]] = []
    for rect in sorted(rects, key=lambda r: (-grid.units(r), -r.across)):
        lane = _lane_with_room(grid, drops, rect)
        if lane is not None:
            lane.append(rect)
            continue
        for lanes in drops:
            if grid.fits([*(_width(lane) for lane in lanes), rect.across]):
                lanes.append([rect])
                break
        else:
            drops.append([[rect]])
    return tuple(CutDrop(tuple(CutLane(tuple(lane)) for lane in lanes)) for lanes in drops)


def _lane_with_room(grid: Grid, drops: list[list[list[Rect]]], rect: Rect) -> list[Rect] | None:
    """The narrowest lane that holds a rectangle without making its drop longer."""
    found = [
        lane
        for lanes in drops
        for lane in lanes
        if _width(lane) >= rect.across
        and sum(map(grid.units, lane)) + grid.units(rect) <= grid.units(lanes[0][0])
    ]
    return min(found, key=_width, default=None)


def _width(lane: list[Rect]) -> Ticks:
    return max(rect.across for rect in lane)
