"""A first plan by a simple rule, so that there is always one to improve and to keep."""

from __future__ import annotations

from collections.abc import Mapping

from shadewright.measure import Ticks
from shadewright.solve.grid import Grid
from shadewright.solve.lanes import CutDrop, CutLane, fit
from shadewright.solve.model import Candidate, Chosen, in_order, taken_rects
from shadewright.solve.problem import Option, Problem, Rect, Roll


def first_candidate(problem: Problem, fewest: bool = False) -> Candidate:
    """Each opening takes the option of least cloth, and the longest rectangles are cut first.

    Where `fewest`, only options with the fewest shades are looked at.

    A rectangle goes on top of a lane that has room for it, else beside the lanes of a drop, else it
    opens a drop of its length.
    """
    key = _shades_then_cloth if fewest else _cloth
    bases: dict[str, Ticks] = {}
    for kind in problem.kinds:
        for option in kind.options:
            if option.base:
                bases.setdefault(*option.base)
    chosen = tuple(
        ((min((o for o in kind.options if _keeps(bases, o)), key=key), kind.copies),)
        for kind in problem.kinds
    )
    return Candidate(chosen, {roll.name: _drops(problem, roll, chosen) for roll in problem.rolls})


def _keeps(bases: Mapping[str, Ticks], option: Option) -> bool:
    """Whether an option's base is the one its cloth was given."""
    return option.base is None or bases[option.base[0]] == option.base[1]


def _cloth(option: Option) -> tuple[int, int]:
    area = sum(rect.across * rect.along * count for rect, count in option.demand)
    return area, option.shades


def _shades_then_cloth(option: Option) -> tuple[int, tuple[int, int]]:
    return option.shades, _cloth(option)


def _drops(problem: Problem, roll: Roll, chosen: Chosen) -> tuple[CutDrop, ...]:
    rects = [rect for rect, count in taken_rects(chosen, roll.name).items() for _ in range(count)]
    grid = Grid.of(roll, problem.rects(roll))
    if len(roll.nodes) > 1:
        return _one_phase_drops(grid, rects)
    drops: list[list[CutLane]] = []
    for rect in sorted(rects, key=lambda r: (-grid.units(r), -r.across)):
        if _stacked(grid, drops, rect):
            continue
        for lanes in drops:
            if fit(grid, [*lanes, CutLane((rect,))]):
                lanes.append(CutLane((rect,)))
                break
        else:
            drops.append([CutLane((rect,))])
    return tuple(CutDrop(tuple(lanes)) for lanes in drops)


def _one_phase_drops(grid: Grid, rects: list[Rect]) -> tuple[CutDrop, ...]:
    """Drops of rectangles side by side that all start at one phase."""
    drops: list[tuple[Ticks, list[CutLane]]] = []
    for rect in sorted(rects, key=lambda r: (-r.along, -r.across)):
        phases = sorted({slot.phase for slot in rect.slots})
        for phase, lanes in drops:
            lane = CutLane((rect,), (phase,))
            if phase in phases and fit(grid, [*lanes, lane]):
                lanes.append(lane)
                break
        else:
            drops.append((phases[0], [CutLane((rect,), (phases[0],))]))
    return in_order(grid.roll, (CutDrop(tuple(lanes), phase) for phase, lanes in drops))


def _stacked(grid: Grid, drops: list[list[CutLane]], rect: Rect) -> bool:
    """Put a rectangle after a lane that has room for it without making its drop longer or wider."""
    for lanes in drops:
        room = max(grid.load(lane.rects) for lane in lanes) - grid.units(rect)
        for i, lane in enumerate(lanes):
            longer = CutLane((*lane.rects, rect))
            if (
                lane.width >= rect.across
                and grid.load(lane.rects) <= room
                and (rect.anywhere or fit(grid, [*lanes[:i], longer, *lanes[i + 1 :]]))
            ):
                lanes[i] = longer
                return True
    return False
