"""What openings and copies must agree on: planned so, and told by the judge where it is not so."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

import pytest

from jobs import inches, job_of
from shadewright.cloth.plan import Plan
from shadewright.job.model import Job
from shadewright.judge.replay import judge
from shadewright.planning.make import make_plan

PORCH = """
title = "porch"
[cloth.canvas]
width = 54
price = 20
runs = "mixed"
[[opening]]
name = "Bay"
width = 142
height = 50
copies = 2
shades = [3, 5]
[[opening]]
name = "Door"
width = 98
height = 70
shades = [2, 4]
"""


def told(job: Job, plan: Plan) -> list[str]:
    return judge(job, plan.model_dump(mode="json", by_alias=True))


def with_opening(job: Job, name: str, **facts: Any) -> Job:
    openings = tuple(o.model_copy(update=facts) if o.name == name else o for o in job.openings)
    return job.model_copy(update={"openings": openings})


def counts(plan: Plan) -> dict[tuple[str, int], int]:
    return {(shade.opening, shade.copy_): shade.of for shade in plan.shades}


def test_copies_that_differ_are_told() -> None:
    job = job_of(PORCH)
    plan = make_plan(job, 1).plan
    assert told(job, plan) == []
    step = job.step
    by = {1: -step, 2: step}
    shades = [
        s.model_copy(update={"finished_width": s.finished_width + by.get(s.place, 0)})
        if (s.opening, s.copy_) == ("Bay", 2)
        else s
        for s in plan.shades
    ]
    other = plan.model_copy(update={"shades": shades})
    said = 'opening "Bay" copy 2: is not divided as copy 1 is'
    assert said in told(job, other)
    assert said not in told(with_opening(job, "Bay", alike=False), other)


def test_tied_openings_have_as_many_shades() -> None:
    free = job_of(PORCH)
    free = with_opening(free, "Door", shades=(2, 2))
    apart = make_plan(free, 1).plan
    tied = with_opening(job_of(PORCH), "Door", like="Bay")
    assert any("has 2 shades, but its like" in fault for fault in told(tied, apart))
    plan = make_plan(tied, 1).plan
    assert told(tied, plan) == []
    assert len(set(counts(plan).values())) == 1


def test_cloth_that_lies_both_ways_is_told_unless_it_may() -> None:
    mixed = job_of("""
        title = "two heights"
        [cloth.canvas]
        width = 60
        runs = "mixed"
        [[opening]]
        name = "Low"
        width = 150
        height = 40
        shades = 1
        widest = 160
        [[opening]]
        name = "High"
        width = 50
        height = 90
        """)
    both = make_plan(mixed, 1).plan
    assert {panel.railroaded for panel in both.panels} == {True, False}
    cloths = tuple(c.model_copy(update={"runs": "either"}) for c in mixed.cloths)
    one = mixed.model_copy(update={"cloths": cloths})
    # Whichever of the two is cut first.
    (fault,) = told(one, both)
    assert "of the same cloth, lies " in fault
    for words in ('"Low 1, 1 of 1"', '"High 1, 1 of 1"', "lies up the bolt", "lies railroaded"):
        assert words in fault
    own = with_opening(one, "Low", runs="railroaded")
    assert told(own, both) == []
    again = make_plan(own, 1).plan
    assert told(own, again) == []
    assert again.totals.bought == both.totals.bought


@pytest.mark.parametrize("priced", [True, False])
def test_a_shade_more_must_be_worth_its_cloth(priced: bool) -> None:
    job = job_of(PORCH if priced else PORCH.replace("price = 20", ""))
    free = job.model_copy(update={"make": job.make.model_copy(update={"shade_cost": None})})

    def worth(yards: int) -> Job:
        make = free.make.model_copy(update={"extra_shade": inches(36 * yards)})
        return free.model_copy(update={"make": make})

    cheap, dear = make_plan(worth(0), 1).plan, make_plan(worth(5), 1).plan
    assert told(worth(0), cheap) == told(worth(5), dear) == []
    assert dear.totals.shades <= cheap.totals.shades
    # What one more shade saves is less than it must, and what is left out would not have.
    more, longer = (
        cheap.totals.shades - dear.totals.shades,
        dear.totals.bought["canvas"] - cheap.totals.bought["canvas"],
    )
    assert longer <= more * inches(36 * 5)
    goal = dear.proof.goals[0]
    cost = dear.totals.shades * 5 * (20 if priced else inches(36))
    cloth = dear.totals.cost if priced else dear.totals.bought["canvas"]
    assert Fraction(goal.value) == Fraction(cloth) + cost
    assert any("proof: the goal" in fault for fault in told(worth(4), dear))
