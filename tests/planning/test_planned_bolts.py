"""Bolts and tables in all that is planned: random jobs, going on, comparing, reports."""

from __future__ import annotations

import json
import random
from collections.abc import Callable
from functools import cache
from pathlib import Path

import pytest
from openpyxl import load_workbook

from jobs import inches, job_of, mostly_slow
from random_jobs import limited_job, patterned_job, random_job
from shadewright.answers import NoPlanError, PlanAnswer, Since
from shadewright.job.model import Job
from shadewright.judge.replay import judge
from shadewright.planning.compare import compare, table_cases
from shadewright.planning.go_on import go_on
from shadewright.planning.make import make_plan
from shadewright.planning.possible import possible
from shadewright.report.sheets.workbook import write_workbook
from shadewright.report.text.check import said_back
from shadewright.report.text.summary import summary
from shadewright.report.work.account import Account
from shadewright.report.work.comparison import Comparison
from shadewright.trade.refusal import CannotMeetError


def kept_short(text: str, seed: int) -> Job:
    """A random job whose cloth is sold in bolts, with some to spare, and its drops on a table."""
    draw, job = random.Random(seed), job_of(text)
    if draw.random() < 0.5:
        job = job.made(table=inches(draw.choice((40, 72, 90, 108, 150))))
    return job.with_cloths(
        lambda _: {
            "bolt": inches(draw.choice((110, 150, 200, 300, 720))),
            "spare": draw.choice((0, 0, inches(18), "1 panel")),
        }
    )


@pytest.mark.slow
@pytest.mark.parametrize("make", [random_job, patterned_job, limited_job])
@pytest.mark.parametrize("seed", mostly_slow(range(30), most=3))
def test_random_jobs_on_bolts_and_tables_are_judged_clean(
    make: Callable[[int], str], seed: int
) -> None:
    job = kept_short(make(seed), seed)
    try:
        planned = make_plan(job, seconds=1.5, seed=1)
    except (CannotMeetError, NoPlanError):
        return
    assert planned.faults == ()
    plan = planned.plan
    assert judge(job, json.loads(plan.model_dump_json(by_alias=True))) == []
    for goal in plan.proof.goals:
        assert 0 <= goal.bound <= goal.value
    for drop in plan.drops:
        assert job.make.table is None or drop.end - drop.start <= job.make.table


TEXT = """
    title = "bolts"
    [cloth.leaf]
    width = 54
    repeat_down = 13.5
    repeat_across = 9
    start = {start}
    bolt = "5 yd"
    spare = "1 panel"
    [make]
    table = 80
    [[opening]]
    name = "a"
    width = 70
    height = 40
    copies = 4
    [[opening]]
    name = "b"
    width = 40
    height = 60
    copies = 2
    """


@cache
def of_two_cloths(start: str) -> tuple[Job, PlanAnswer]:
    job = job_of(TEXT.format(start=start))
    return job, make_plan(job, seconds=1.5)


@pytest.mark.slow
@pytest.mark.parametrize("start", mostly_slow(['"any"', '"motif"'], 2))
@pytest.mark.parametrize("number", mostly_slow([1, 2], 2))
def test_going_on_from_several_bolts(start: str, number: int) -> None:
    job, before = of_two_cloths(start)
    assert before.faults == ()
    plan = before.plan
    assert len(plan.pieces) > 1
    first = next(d for d in plan.drops if d.piece == f"bolt {number}")
    lost = next(p.shade for p in plan.panels if (p.piece, p.drop) == (first.piece, first.number))
    done = frozenset([(first.cloth, first.piece, first.number)])
    after = go_on(job, plan, Since(done, frozenset([lost])), seconds=1.5)
    assert after.faults == ()
    assert [(c.piece, c.number) for c in after.plan.cut] in ([(first.piece, 1)], [])
    for piece in after.plan.pieces:
        assert piece.length <= inches(180)


def test_an_only_bolt_is_still_the_same_one_beside_another() -> None:
    job = job_of("""
        title = "bays"
        [cloth.canvas]
        width = 54
        bolt = "5 yd"
        [[opening]]
        name = "Bay"
        width = 48
        height = 50
        copies = 3
        """)
    before = make_plan(job, seconds=1).plan
    assert {use.piece for use in before.pieces} == {"bolt"}
    first, second, third = sorted(before.drops, key=lambda drop: drop.start)
    done = frozenset((d.cloth, d.piece, d.number) for d in (first, second))
    lost = next(p.shade for p in before.panels if p.drop == first.number)
    answer = go_on(job, before, Since(done, frozenset([lost])), seconds=1)
    assert [use.piece for use in answer.plan.pieces] == ["bolt 1", "bolt 2"]
    account = Account(job, answer.plan, before=answer.before)
    marks = {
        numbered.panel.shade: account.going_on.mark_of_drop(lay, drop)
        for lay in account.lays
        for drop in lay.drops
        for numbered in drop.panels
    }
    shades = {panel.drop: panel.shade for panel in before.panels}
    assert marks[shades[second.number]] == "done"
    assert marks[lost] == "cut again"
    # Which of the two bolts it comes off is open.
    (now,) = [panel for panel in answer.plan.panels if panel.shade == shades[third.number]]
    stays = (now.piece, now.y) == ("bolt 1", third.start)
    assert marks[now.shade] == ("" if stays else "new place")
    assert any(text.startswith("canvas, bolt 2, is a new bolt") for text in account.going_on.more)


def test_reports_tell_of_each_bolt(tmp_path: Path) -> None:
    job, planned = of_two_cloths('"any"')
    account = Account(job, planned.plan, planned.naive, planned.wood)
    tape = job.tape
    said = " ".join(summary(account).split())
    bolts = [f"{p.piece} of {tape.cloth(p.length)}" for p in planned.plan.pieces]
    assert f"({', '.join(bolts)}, " in said
    assert "of it to spare)" in said
    file = tmp_path / "plan.xlsx"
    write_workbook(file, account)
    book = load_workbook(file)
    for name in ("Buy", "Cutting order", "Leftovers", "Read first"):
        texts = " ".join(
            str(cell.value) for row in book[name].iter_rows() for cell in row if cell.value
        )
        assert all(f"bolt {i + 1}" in texts for i in range(len(bolts))), name


def test_check_says_bolts_spare_and_table() -> None:
    job = job_of(TEXT.format(start='"any"'))
    said = " ".join(said_back(job, possible(job)).split())
    assert "sold by 1/8 yd in bolts of up to 5 yd; as much as its longest panel is bought" in said
    assert 'no drop longer than the table, 80"' in said


@pytest.mark.slow
def test_what_the_table_costs_is_compared() -> None:
    text = """
        title = "table"
        step = 1
        [cloth.a]
        width = 40
        runs = "up the bolt"
        sold_in = "1 in"
        [make]
        take_up = 1
        side_fold = 0.5
        {}
        [[opening]]
        name = "long"
        width = 18
        height = 40
        clearance = 0
        gap = 0
        shades = 1
        [[opening]]
        name = "short"
        width = 18
        height = 17
        copies = 2
        clearance = 0
        gap = 0
        shades = 1
        """
    # One of 46 beside two of 23; on a table of 46 both fit as well, so a little less is asked.
    job = job_of(text.format("table = 46"))
    assert table_cases(job_of(text.format(""))) == []
    found, stopped = compare(job, table_cases(job), frontier=False, seconds=6, workers=1)
    assert not stopped
    assert [answer.name for answer in found] == ['drops of at most 46"', "drops of any length"]
    assert found[0].plan is not None
    assert "Keeping drops to the table takes no more cloth." in Comparison(job, found).conclusions
