"""The other thing on centre lines: looked at shortly, and said where it takes much less cloth."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from openpyxl import load_workbook
from typer.testing import CliRunner

from jobs import job_of
from shadewright.answers import Centring, PlanAnswer
from shadewright.cli.app import app
from shadewright.job.model import Job
from shadewright.planning.make import make_plan
from shadewright.report.work.choices import centring_said
from shadewright.solve.effort import USUAL

# Columns 9 in apart on a half-drop: with a motif in the middle two shades side by side can show it
# at one height, between two motifs they cannot.
JOB = """
title = "half-drop"
[cloth.leaf]
width = 54
selvedge = 0.5
repeat_down = 20
repeat_across = 9
column_shift = "half"
price = 10
[match]
strategy = "{strategy}"
centre_on = "{centre_on}"
[[opening]]
name = "Bay"
width = 100
height = 60
copies = 2
"""


def job(strategy: str = "centred", centre_on: str = "between") -> Job:
    return job_of(JOB.format(strategy=strategy, centre_on=centre_on))


def planned(asked: Job) -> PlanAnswer:
    # Counted work and not the clock, however busy the machine is.
    return make_plan(asked, 10, effort=replace(USUAL, wall=100.0), with_others=True)


def test_what_the_other_takes_is_what_its_own_plan_takes() -> None:
    between, motif = planned(job()), planned(job(centre_on="motif"))
    assert between.otherwise == Centring(
        "motif", 6, motif.plan.totals.bought, motif.plan.totals.cost
    )
    assert motif.otherwise is not None
    assert motif.otherwise.bought == between.plan.totals.bought
    # Only where the other one takes less is anything said.
    assert centring_said(job(centre_on="motif"), motif.plan, motif.otherwise) == []
    (said,) = centring_said(job(), between.plan, between.otherwise)
    assert said == (
        "To centre between two motifs costs much here: centred on a motif "
        '(centre_on = "motif") there is 1 3/8 yd less to buy, and 13.75 less to pay.'
    )


def test_it_changes_nothing_of_the_plan() -> None:
    alone, beside = make_plan(job(), 10), planned(job())
    assert alone.otherwise is None
    assert alone.plan.panels == beside.plan.panels
    assert alone.plan.totals == beside.plan.totals


@pytest.mark.parametrize("strategy", ["plain", "level"])
def test_what_is_not_centred_has_nothing_else_to_centre_on(strategy: str) -> None:
    assert planned(job(strategy)).otherwise is None


def test_bands_have_no_columns_to_centre_on() -> None:
    text = JOB.format(strategy="centred", centre_on="motif")
    bands = text.replace('repeat_across = 9\ncolumn_shift = "half"', "")
    assert planned(job_of(bands)).otherwise is None


@pytest.mark.parametrize(("less", "said"), [(1.0, True), (0.96, False)])
def test_a_yard_less_is_worth_saying_and_no_less_is(less: float, said: bool) -> None:
    asked = job()
    plan = make_plan(asked, 5).plan
    here = plan.totals.bought["leaf"]
    other = Centring("motif", 6, {"leaf": here - round(less * 36 * 8128)}, 0.0)
    assert bool(centring_said(asked, plan, other)) == said


def test_a_twentieth_less_is_worth_saying_and_no_less_is() -> None:
    asked = job()
    plan = make_plan(asked, 5).plan
    many = plan.model_copy(
        update={"totals": plan.totals.model_copy(update={"bought": {"leaf": 100 * 36 * 8128}})}
    )
    for yards, said in ((96, False), (95, True)):
        other = Centring("motif", 6, {"leaf": yards * 36 * 8128}, 0.0)
        assert bool(centring_said(asked, many, other)) == said


def test_shades_more_are_not_the_prints_saving() -> None:
    asked = job()
    plan = make_plan(asked, 5).plan
    here, yard = plan.totals.bought["leaf"], 36 * 8128
    # Two yards less with two shades more, each of which must save a yard: nothing is gained.
    assert centring_said(asked, plan, Centring("motif", 8, {"leaf": here - 2 * yard}, 0.0)) == []
    (said,) = centring_said(asked, plan, Centring("motif", 8, {"leaf": here - 3 * yard}, 0.0))
    assert said.endswith("with 8 shades.")


def test_the_terminal_and_the_first_sheet_say_it(tmp_path: Path) -> None:
    file, book = tmp_path / "job.toml", tmp_path / "plan.xlsx"
    file.write_text(JOB.format(strategy="centred", centre_on="between"), encoding="utf-8")
    done = CliRunner().invoke(app, ["plan", str(file), "--out", str(book), "--seconds", "5"])
    assert done.exit_code == 0
    assert "To centre between two motifs costs much here" in " ".join(done.stdout.split())
    told = [str(row[0]) for row in load_workbook(book)["Read first"].iter_rows(values_only=True)]
    assert "How the print is centred" in told
    assert any(line.startswith("To centre between two motifs") for line in told)
