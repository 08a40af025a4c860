"""Fewer shades against less cloth, as `plan` tells it beside its own plan."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest

from jobs import inches, job_of
from shadewright.answers import PlanAnswer
from shadewright.job.model import Job, Prices
from shadewright.planning.make import make_plan
from shadewright.report.text.summary import summary
from shadewright.report.work.account import Account
from shadewright.solve.effort import USUAL

# One of three shades of an opening takes a drop of its own, and two of five lie side by side.
JOB = """
title = "bays"
[cloth.a]
width = 54
{price}
[make]
{make}
[[opening]]
name = "Bay"
width = 100
height = 60
copies = 2
shades = {shades}
"""


def job(price: str = "price = 18", make: str = "", shades: str = "[3, 5]") -> Job:
    return job_of(JOB.format(price=price, make=make, shades=shades))


def planned(asked: Job) -> PlanAnswer:
    return make_plan(asked, 5, effort=replace(USUAL, wall=100.0), with_others=True)


def told(asked: Job, answer: PlanAnswer) -> str:
    account = Account(
        asked, answer.plan, answer.naive, answer.wood, answer.frontier, answer.otherwise
    )
    return " ".join(summary(account).split())


@pytest.mark.parametrize("extra", [0, 0.01, 36, 400])
def test_the_plan_itself_is_among_the_points_with_what_it_really_takes(extra: float) -> None:
    asked = job().made(extra_shade=inches(extra))
    answer = planned(asked)
    totals = answer.plan.totals
    (own,) = [point for point in answer.frontier if point.shades == totals.shades]
    assert (own.bought, own.cost) == (totals.bought, totals.cost)
    assert [point.shades for point in answer.frontier] == sorted(
        point.shades for point in answer.frontier
    )
    taken = [sum(point.bought.values()) for point in answer.frontier]
    assert taken == sorted(taken, reverse=True)


@pytest.mark.parametrize(
    "dear",
    [
        job(make="shade_cost = 10"),
        job().model_copy(update={"prices": Prices(hour=Fraction(10))}),
    ],
)
def test_where_shades_cost_money_more_of_them_are_still_told_with_what_they_come_to(
    dear: Job,
) -> None:
    """More shades save cloth, and cost more than they save: that is the choice a maker has."""
    free = planned(job(make="extra_shade = 0"))
    answer = planned(dear)
    assert answer.plan.totals.shades < free.plan.totals.shades
    last = answer.frontier[-1]
    assert (last.shades, last.bought) == (free.plan.totals.shades, free.plan.totals.bought)
    assert last.cost > answer.plan.totals.cost
    cloth = free.plan.totals.cost
    assert last.cost == pytest.approx(cloth + 10 * last.shades)


def test_that_no_other_number_of_shades_takes_less_is_said() -> None:
    asked = job(shades="[3, 4]")
    answer = planned(asked)
    said = told(asked, answer)
    assert len(answer.frontier) == 1
    assert "(this plan) No other number of shades was found that takes less cloth. One more" in said


def test_nothing_is_said_where_there_is_no_choice() -> None:
    asked = job(shades="3")
    answer = planned(asked)
    assert answer.frontier == ()
    assert "Shades against cloth" not in told(asked, answer)
