"""What is said where cloth on hand does not do: nothing that is not so."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from jobs import job_of
from shadewright.measure import TICKS
from shadewright.planning import make
from shadewright.planning.make import make_plan, not_enough, posed
from shadewright.solve.effort import USUAL
from shadewright.solve.problem.supply import Supply
from shadewright.solve.run import Clock
from shadewright.solve.search.found import Extent, Found
from shadewright.solve.search.improvement import search

COUNTED = replace(USUAL, wall=1_000.0)
JOB = """
    title = "porch"
    [cloth.canvas]
    width = 54
    can_buy = false
    [[cloth.canvas.piece]]
    name = "shelf"
    length = {length}
    [[opening]]
    name = "bay"
    width = 40
    height = 60
    shades = 1
    """


def test_a_plan_of_all_openings_is_never_thrown_away(monkeypatch: pytest.MonkeyPatch) -> None:
    asked = 0

    def at_first_short(*given: Any, **named: Any) -> Found | None:
        nonlocal asked
        asked += 1
        found = search(*given, **named)
        assert found is not None
        return replace(found, short=Extent(9, 0)) if asked == 1 else found

    monkeypatch.setattr(make, "search", at_first_short)
    answer = make_plan(job_of(JOB.format(length=90)), 2, effort=COUNTED)
    assert asked == 2
    assert not answer.faults
    assert [piece.piece for piece in answer.plan.pieces] == ["shelf"]


def test_what_would_do_is_rounded_up_and_what_is_proved_down() -> None:
    job = job_of(JOB.format(length=30))
    clock = Clock(2, COUNTED)
    (asked, groups), _ = posed(job, clock)
    supply = Supply.of(job, asked)
    found = search(asked, supply, clock)
    assert found is not None
    inch, step = TICKS["in"], job.tape.step
    (part,) = found.candidate.parts
    off = replace(part.roll, lead=part.roll.lead + 1)
    longer = replace(found.candidate, parts=(replace(part, roll=off),))
    value = longer.parts[0].end
    assert value % step
    short = replace(found, candidate=longer, short=Extent(value, 10 * inch + step - 1))
    said = str(not_enough(job, groups, supply, short, None, clock))
    up = -(-value // step) * step
    assert f'short by {job.tape.long(up)} of canvas, and every plan by 10" or more' in said
    assert f"{job.tape.long(up)} of canvas more in one piece would do" in said
    # Less than a step is not worth saying.
    hardly = replace(short, short=Extent(value, 1))
    assert "every plan" not in str(not_enough(job, groups, supply, hardly, None, clock))
