"""Plans of several bolts, tampered with: what the judge must tell."""

from __future__ import annotations

import json
from collections.abc import Callable
from functools import cache
from typing import Any

import pytest

from jobs import inches, job_of
from shadewright.job.model import Job
from shadewright.judge.replay import judge
from shadewright.planning.make import make_plan

Data = dict[str, Any]

TEXT = """
    title = "bolts"
    step = 1
    [cloth.a]
    width = 40
    runs = "up the bolt"
    sold_in = "9 in"
    bolt = 63
    spare = 5
    [make]
    take_up = 1
    side_fold = 0.5
    table = 30
    [[opening]]
    name = "o"
    width = 30
    height = 20
    copies = 4
    clearance = 0
    gap = 0
    shades = 1
    """


@cache
def _planned() -> tuple[Job, str]:
    job = job_of(TEXT)
    planned = make_plan(job, seconds=5)
    assert planned.faults == ()
    return job, planned.plan.model_dump_json(by_alias=True)


def _data() -> Data:
    data: Data = json.loads(_planned()[1])
    return data


def _called(old: str, new: str) -> Callable[[Data], None]:
    def change(data: Data) -> None:
        for part in ("pieces", "drops", "panels"):
            for each in data[part]:
                each["piece"] = new if each["piece"] == old else each["piece"]

    return change


def _length(place: int, more: int) -> Callable[[Data], None]:
    def change(data: Data) -> None:
        data["pieces"][place]["length"] += more
        data["totals"]["bought"]["a"] += more
        for goal in data["proof"]["goals"][:1]:
            goal["value"] += more
            goal["bound"] += more

    return change


def test_the_plan_itself_is_clean() -> None:
    job, _ = _planned()
    data = _data()
    assert judge(job, data) == []
    assert [piece["piece"] for piece in data["pieces"]] == ["bolt 1", "bolt 2"]


@pytest.mark.parametrize(
    ("change", "says"),
    [
        (_called("bolt 2", "bolt 3"), "its bolts are called bolt 1, bolt 3, not bolt 1, bolt 2"),
        (_called("bolt 1", "bolt"), "its bolts are called bolt, bolt 2, not bolt 1, bolt 2"),
        (_called("bolt 1", "bolt 01"), "is bought, and only the bolt ever is"),
        (_length(0, inches(9)), "is more than needed"),
        (_length(1, inches(9)), "is more than needed"),
        (_length(0, -inches(9)), "is not enough"),
        (_length(1, -inches(9)), "is not enough"),
        (_length(0, inches(18)), "and none is longer than"),
        (_length(1, inches(1)), "is no whole number of buying steps"),
    ],
)
def test_a_plan_of_bolts_that_are_not_as_sold_is_told(
    change: Callable[[Data], None], says: str
) -> None:
    job, _ = _planned()
    data = _data()
    change(data)
    assert any(says in fault for fault in judge(job, data))


def _with(job: Job, **facts: object) -> Job:
    return job.with_cloths(lambda _: facts)


@pytest.mark.parametrize(
    ("changed", "says"),
    [
        (lambda job: _with(job, bolt=None), "2 bolts are bought, and one may be of any length"),
        (lambda job: _with(job, bolt=inches(54)), "and none is longer than"),
        (lambda job: _with(job, spare=inches(15)), "is not enough"),
        (lambda job: _with(job, spare=0), "is more than needed"),
        (lambda job: job.made(table=inches(25)), "longer than the table"),
    ],
)
def test_a_plan_for_other_bolts_or_another_table_is_told(
    changed: Callable[[Job], Job], says: str
) -> None:
    assert any(says in fault for fault in judge(changed(_planned()[0]), _data()))


def test_the_longest_panel_is_what_is_spare() -> None:
    job = _with(_planned()[0], spare="1 panel", bolt=inches(90))
    faults = judge(job, _data())
    assert any("is not enough; it takes" in fault for fault in faults)
    planned = make_plan(job, seconds=5)
    assert planned.faults == ()


def test_drops_end_within_their_bolt() -> None:
    data = _data()
    drop = data["drops"][-1]
    length = data["pieces"][-1]["length"]
    drop["end"] = length + inches(1)
    assert any("beyond its piece" in fault for fault in judge(_planned()[0], data))
