"""Which drops come off which bolt, so that the shades of an opening come from one where they can.

Bolts may differ in colour as dye lots do. Which drops lie on which bolt matters to no goal but by
the lengths that are bought and used: so it is decided last, with neither any longer. On a roll of
one phase a drop may lie on any bolt; else drops stay where they are, and only panels that are cut
alike are dealt out anew.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

from shadewright.cloth.plan import Plan
from shadewright.job.bolts import is_bolt
from shadewright.job.model import Job, Opening
from shadewright.solve.answer.layout import Homes, Row, to_plan
from shadewright.solve.packing.dealing import RollOnBolts, dealt_out
from shadewright.solve.packing.grid import Grid
from shadewright.solve.packing.rows_apart import apart
from shadewright.solve.problem.kinds import Option, Rect, Roll
from shadewright.solve.problem.menu import JobProblem
from shadewright.solve.run import Clock
from shadewright.solve.search.candidate import CutPart, Taken
from shadewright.solve.search.found import Found


def plan_of(job: Job, asked: JobProblem, found: Found, clock: Clock, seed: int) -> Plan:
    """The plan of a search's answer, with as few openings cut from several bolts as can be."""
    problem, groups = asked
    plan = to_plan(job, problem, groups, found)
    if _split(plan) == len({(shade.opening, shade.copy_, shade.cloth) for shade in plan.shades}):
        return plan
    dealt, homes = _gathered(asked, found, clock, seed)
    other = to_plan(job, problem, groups, dealt, homes=homes)
    return other if homes and _split(other) < _split(plan) else plan


def _split(plan: Plan) -> int:
    """On how many bolts each copy of each opening lies, all told."""
    of = {shade.id: (shade.opening, shade.copy_) for shade in plan.shades}
    return len({(of[p.shade], p.cloth, p.piece) for p in plan.panels if is_bolt(p.piece)})


def _gathered(asked: JobProblem, found: Found, clock: Clock, seed: int) -> tuple[Found, Homes]:
    """What is found with drops on bolts of one roll exchanged, and for whom panels are cut."""
    parts = list(found.candidate.parts)
    homes: dict[tuple[str, str], Mapping[Rect, Counter[Row]]] = {}
    problem, groups = asked
    rows = _rows(groups, found)
    for roll in problem.rolls:
        places = [i for i, part in enumerate(parts) if _is_bolt_of(roll, part)]
        if len(places) < 2:
            continue
        these = [parts[i] for i in places]
        lot = these[0].stretch.lot
        here = {
            row: taken.option
            for row, taken in rows.items()
            if taken.option is not None and dict(taken.lots).get(roll.name, "") == lot
        }
        spare = roll.spare_with(option for option, _ in found.candidate.options)
        free = _may_change(roll, these)
        grid = Grid.of(roll, problem.rects(roll))
        drops_now = [apart(grid, p.drops) if free else list(p.drops) for p in these]
        wanted = {row: tuple(_demand(option, roll)) for row, option in here.items()}
        bolts = RollOnBolts(roll, drops_now, [part.end for part in these], wanted, spare, free)
        if bolts.size > clock.effort.gathered or clock.over:
            continue
        dealt = dealt_out(bolts, clock, seed)
        for i, (drops, home) in zip(places, dealt, strict=False):
            if free:
                parts[i] = replace(parts[i], drops=drops)
            homes[roll.name, parts[i].stretch.piece] = home
    return replace(found, candidate=replace(found.candidate, parts=tuple(parts))), homes


def _is_bolt_of(roll: Roll, part: CutPart) -> bool:
    return part.stretch.bought and part.stretch.cloth == roll.name and not part.spans


def _may_change(roll: Roll, parts: Sequence[CutPart]) -> bool:
    """Whether a drop may lie on any of these bolts as well as on its own."""
    return len(roll.nodes) == 1 and not any(
        part.laid or part.number or any(rect.plain for drop in part.drops for rect in drop.rects)
        for part in parts
    )


def _rows(groups: Sequence[Sequence[Opening]], found: Found) -> dict[Row, Taken]:
    """What each copy of each opening takes: alike ones take theirs in order."""
    rows: dict[Row, Taken] = {}
    for openings, row in zip(groups, found.candidate.chosen, strict=True):
        each = iter([taken for taken, count in row for _ in range(count)])
        for opening in openings:
            for copy in range(1, opening.copies + 1):
                rows[opening.name, copy] = next(each)
    return rows


def _demand(option: Option, roll: Roll) -> Iterator[tuple[Rect, int]]:
    return ((rect, n) for rect, n in option.demand if rect.roll == roll.name)
