"""A first plan by a simple rule, so that there is always one to improve and to keep."""

from __future__ import annotations

from shadewright.solve.grid import Grid
from shadewright.solve.lanes import CutDrop, CutLane
from shadewright.solve.model import Candidate, taken_rects
from shadewright.solve.problem import Option, Problem, Rect, Roll


def first_candidate(problem: Problem) -> Candidate:
    """Each opening takes the option of least cloth; rectangles go longest first into the first
    drop they fit beside."""
    chosen = tuple(((min(kind.options, key=_cloth), kind.copies),) for kind in problem.kinds)
    return Candidate(chosen, {roll.name: _rows(problem, roll, chosen) for roll in problem.rolls})


def _cloth(option: Option) -> tuple[int, int]:
    area = sum(rect.across * rect.along * count for rect, count in option.demand)
    return area, option.shades


def _rows(
    problem: Problem, roll: Roll, chosen: tuple[tuple[tuple[Option, int], ...], ...]
) -> tuple[CutDrop, ...]:
    rects = [rect for rect, count in taken_rects(chosen, roll.name).items() for _ in range(count)]
    grid = Grid.of(roll, problem.rects(roll))
    rows: list[list[Rect]] = []
    for rect in sorted(rects, key=lambda r: (-r.along, -r.across)):
        for row in rows:
            if grid.fits([r.across for r in (*row, rect)]):
                row.append(rect)
                break
        else:
            rows.append([rect])
    return tuple(CutDrop(tuple(CutLane((r,)) for r in row)) for row in rows)
