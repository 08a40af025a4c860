"""Going on after a mishap: what is cut stays, and planning again never needs more."""

from __future__ import annotations

import json
import random
from pathlib import Path

import pytest
from openpyxl import load_workbook
from typer.testing import CliRunner

from jobs import job_of
from random_jobs import limited_job, patterned_job, random_job
from shadewright.cli import app
from shadewright.cloth.plan import Plan
from shadewright.going_on import go_on
from shadewright.job.model import Flaw, Job
from shadewright.measure import TICKS
from shadewright.planning import NoPlanError, make_plan
from shadewright.report.since import NewFlaw, Since
from shadewright.trade.refusal import CannotMeetError

INCH = TICKS["in"]
SUNROOM = Path(__file__).parent.parent / "examples" / "sunroom.toml"


def some_job(seed: int) -> Job:
    make = (random_job, patterned_job, limited_job)[seed % 3]
    return job_of(make(seed))


@pytest.mark.parametrize("seed", range(90))
def test_after_any_prefix_nothing_cut_is_touched_and_no_more_is_needed(seed: int) -> None:
    job = some_job(seed)
    try:
        before = make_plan(job, seconds=0.4).plan
    except CannotMeetError:
        pytest.skip("this job cannot be made")
    draw = random.Random(seed)
    done = {
        (d.cloth, d.piece, d.number) for d in before.drops[: draw.randint(0, len(before.drops))]
    }
    again = go_on(job, before, Since(frozenset(done)), seconds=0.4)
    assert again.faults == ()
    kept = [p for p in before.panels if (p.cloth, p.piece, p.drop) in done]
    assert all(panel in again.plan.panels for panel in kept)
    assert needs(again.plan) <= needs(before)
    if kept:
        check_a_lost_shade(job, before, done, draw.choice(kept).shade)


def needs(plan: Plan) -> tuple[float, ...]:
    return tuple(goal.value for goal in plan.proof.goals[:3])


def check_a_lost_shade(job: Job, before: Plan, done: set[tuple[str, str, int]], lost: str) -> None:
    try:
        again = go_on(job, before, Since(frozenset(done), frozenset([lost])), seconds=0.4)
    except (CannotMeetError, NoPlanError):
        return
    assert again.faults == ()
    cut = {(p.shade, p.part) for p in before.panels if (p.cloth, p.piece, p.drop) in done}
    good = [
        p
        for p in before.panels
        if (p.cloth, p.piece, p.drop) in done and (p.shade, p.part) in cut and p.shade != lost
    ]
    places = {(p.shade, p.part, p.x, p.y) for p in again.plan.panels}
    assert all((p.shade, p.part, p.x, p.y) in places for p in good)


THREE = """
title = "three"
[cloth.canvas]
width = 54
price = 10
[[opening]]
name = "bay"
width = 48
height = 50
copies = 3
"""


def test_a_lost_shade_is_cut_again_behind_the_rest() -> None:
    job = job_of(THREE)
    before = make_plan(job).plan
    assert [d.end // INCH for d in before.drops] == [56, 111, 166]
    done = frozenset({("canvas", "bolt", 1)})
    lost = next(p.shade for p in before.panels if p.drop == 1)
    again = go_on(job, before, Since(done, frozenset([lost]))).plan
    # 55 in of cloth are gone: three drops more end at 221 in.
    assert [(d.start // INCH, d.end // INCH) for d in again.drops] == [
        (56, 111),
        (111, 166),
        (166, 221),
    ]
    assert again.totals.bought["canvas"] > before.totals.bought["canvas"]


def test_a_flaw_found_in_the_bolt_is_cut_around() -> None:
    job = job_of(THREE)
    before = make_plan(job).plan
    flaw = NewFlaw("canvas", "bolt", Flaw(start=60 * INCH, end=62 * INCH))
    again = go_on(job, before, Since(frozenset({("canvas", "bolt", 1)}), flaws=(flaw,))).plan
    assert [(d.start // INCH, d.end // INCH) for d in again.drops] == [
        (1, 56),
        (62, 117),
        (117, 172),
    ]


def test_the_command_goes_on_from_words_and_from_ticked_boxes(tmp_path: Path) -> None:
    plan, book = tmp_path / "plan.json", tmp_path / "plan.xlsx"
    run = CliRunner().invoke
    first = run(app, ["plan", str(SUNROOM), "--json", str(plan), "--out", str(book)])
    assert first.exit_code == 0
    sheets = load_workbook(book)
    ticked = 0
    for row in sheets["Cutting order"].iter_rows():
        if "comes off" in str(row[3].value) and ticked < 2:
            row[0].value = "x"
            ticked += 1
    sheets.save(book)
    by_words, by_boxes = tmp_path / "a.json", tmp_path / "b.json"
    words = ["plan", str(SUNROOM), "--after", str(plan)]
    one = run(app, [*words, "--done", "1,2", "--json", str(by_words)])
    other = run(app, [*words, "--done-from", str(book), "--json", str(by_boxes)])
    assert (one.exit_code, other.exit_code) == (0, 0)
    assert by_words.read_bytes() == by_boxes.read_bytes()
    judged = run(app, ["replay", str(SUNROOM), str(by_words)])
    assert judged.exit_code == 0
    shade = json.loads(plan.read_text(encoding="utf-8"))["panels"][0]["shade"]
    lost = tmp_path / "c.json"
    third = run(app, [*words, "--done", "fern/bolt/1", "--lost", shade, "--json", str(lost)])
    assert third.exit_code == 0
    assert run(app, ["replay", str(SUNROOM), str(lost)]).exit_code == 0


def test_what_names_nothing_of_the_plan_is_told_all_at_once(tmp_path: Path) -> None:
    plan = tmp_path / "plan.json"
    run = CliRunner().invoke
    run(app, ["plan", str(SUNROOM), "--json", str(plan)])
    words = ["plan", str(SUNROOM), "--after", str(plan)]
    bad = run(app, [*words, "--done", "99", "--lost", "Attic", "--flaw", "bolt"])
    assert bad.exit_code == 2
    for said in ("--done: found 99", '--lost: found "Attic"', '--flaw: found "bolt"'):
        assert said in bad.stderr
    assert run(app, ["plan", str(SUNROOM), "--done", "1"]).exit_code == 2
    other = tmp_path / "job.toml"
    other.write_text(THREE, encoding="utf-8")
    wrong = run(app, ["plan", str(other), "--after", str(plan), "--done", "1"])
    assert wrong.exit_code == 2
    assert "wanted a clean plan of this job" in wrong.stderr
