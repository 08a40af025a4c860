"""The calls of a Python program: what they give, what they raise, what they load."""

from __future__ import annotations

import json
import subprocess
import sys
from dataclasses import FrozenInstanceError
from decimal import Decimal
from fractions import Fraction
from pathlib import Path

import pandas as pd
import pytest

import shadewright
from shadewright.answers import CaseAnswer
from shadewright.cloth.plan import Plan, mark
from shadewright.job.read import read_text
from shadewright.report.tables import frames
from shadewright.report.work.comparison import Comparison
from shadewright.report.work.lays import lay_out
from shadewright.report.work.saved import SAVED_FORMAT
from shadewright.report.work.steps import steps

ROOT = Path(__file__).parents[2]
JOB = """
title = "Test room"
children = true
[cloth.plain]
width = 54
selvedge = 0.5
price = 10
[[opening]]
name = "Window"
width = 95
height = 50
"""


@pytest.fixture(scope="module")
def plan() -> shadewright.PlanResult:
    return shadewright.plan(JOB, seconds=60)


# --- what is loaded, and when -------------------------------------------------------------------

LOADS = """
import sys, shadewright
heavy = ("ortools", "pandas", "numpy", "openpyxl", "typst", "pydantic")
print([name for name in heavy if name in sys.modules])
shadewright.check(shadewright.load(sys.argv[1]))
print([name for name in heavy[:5] if name in sys.modules])
"""


def test_importing_and_reading_load_no_solver_and_no_tables() -> None:
    said = subprocess.run(
        [sys.executable, "-c", LOADS, str(ROOT / "examples" / "sunroom.toml")],
        capture_output=True,
        text=True,
        check=True,
    )
    assert said.stdout == "[]\n[]\n"


def test_what_is_public_is_there_and_listed() -> None:
    assert dir(shadewright) == shadewright.__all__
    for name in shadewright.__all__:
        assert getattr(shadewright, name).__name__ == name
    with pytest.raises(AttributeError, match="no_such"):
        shadewright.no_such  # noqa: B018 - asking for it is the point


# --- ways to give a job -------------------------------------------------------------------------


def test_a_path_a_text_and_tables_are_the_same_job(tmp_path: Path) -> None:
    file = tmp_path / "job.toml"
    file.write_text(JOB, encoding="utf-8")
    tables = {
        "title": "Test room",
        "children": True,
        "cloth": {"plain": {"width": 54, "selvedge": 0.5, "price": 10.0}},
        "opening": ({"name": "Window", "width": pd.Series([95])[0], "height": Decimal("50.0")},),
    }
    tables["children"] = pd.Series([True])[0]
    loaded = shadewright.load(JOB)
    assert loaded == shadewright.load(str(file)) == shadewright.load(file)
    assert loaded == shadewright.load(tables) == shadewright.load(loaded)
    assert (loaded.title, loaded.cloths, loaded.openings) == ("Test room", ("plain",), ("Window",))
    assert (loaded.unit, loaded.cloth_unit) == ("in", "yd")
    with pytest.raises(TypeError, match="not int"):
        shadewright.load(7)


BAD: dict[str, tuple[object, str, str]] = {
    "unknown key": (JOB.replace("selvedge", "selvedeg"), "[cloth.plain] selvedeg", "selvedge"),
    "no TOML": ("title =\n", "line 1, column 8", "no TOML"),
    "not text": ("title = '\ud800'\n", "line 1", "UTF-8"),
    "too long": ("#" * 500_001 + "\n", "", "at most 500,000 bytes"),
    "no file": ("no-such.toml", "", "no such file"),
    "endless digits": (
        {"title": "t", "cloth": {"c": {"width": 10**5000}}},
        "cloth.c.width",
        "digits",
    ),
    "a huge fraction": ({"title": Fraction(10**4000, 3)}, "title", "at most 300 digits"),
    "nothing": ({"title": "t", "cloth": {"c": {"width": None}}}, "cloth.c.width", "leaving it out"),
    "no number": ({"title": Decimal("sNaN")}, "title", "a text, a number, a list or a table"),
    "a set": ({"title": {"a"}}, "title", "a text, a number, a list or a table"),
    "a key of no text": (
        {"title": "t", "cloth": {10**5000: {"width": 54}}},
        "cloth",
        "a text for every key",
    ),
}


@pytest.mark.parametrize("name", BAD)
def test_a_bad_job_is_told_with_its_places(name: str) -> None:
    job, where, wanted = BAD[name]
    with pytest.raises(shadewright.ShadewrightError) as raised:
        shadewright.load(job)
    assert raised.value.kind == "bad input"
    assert any(p.where == where and wanted in p.wanted for p in raised.value.problems)
    assert wanted in str(raised.value)


def test_tables_without_end_are_refused() -> None:
    endless: dict[str, object] = {}
    endless["cloth"] = endless
    with pytest.raises(shadewright.ShadewrightError, match="tables within tables"):
        shadewright.load(endless)


def test_all_problems_come_at_once() -> None:
    text = JOB.replace("width = 54", "width = -1").replace("height = 50", "hieght = 50")
    with pytest.raises(shadewright.ShadewrightError) as raised:
        shadewright.plan(text)
    assert {p.where for p in raised.value.problems} >= {
        "[cloth.plain] width",
        '[[opening]] 1 "Window" hieght',
    }


def test_what_cannot_be_met_says_why_and_what_can() -> None:
    with pytest.raises(shadewright.ShadewrightError) as raised:
        shadewright.check(JOB + "shades = 1\n")
    assert raised.value.kind == "cannot be met"
    (problem,) = raised.value.problems
    assert problem.where == '[[opening]] "Window" shades'
    assert problem.found
    assert problem.wanted


@pytest.mark.parametrize("wrong", [{"seconds": -1}, {"seconds": float("nan")}, {"seed": 2**31}])
def test_limits_are_held(wrong: dict[str, float]) -> None:
    with pytest.raises(shadewright.ShadewrightError) as raised:
        shadewright.plan(JOB, **wrong)
    assert raised.value.problems[0].where in wrong


def test_words_that_compare_does_not_know() -> None:
    with pytest.raises(shadewright.ShadewrightError, match="hem, wanted strategies or hems"):
        shadewright.compare(JOB, choices=["hem"])
    with pytest.raises(shadewright.ShadewrightError, match="wanted a number from 1 up"):
        shadewright.compare(JOB, workers=0)


# --- what comes back ----------------------------------------------------------------------------


def test_a_check_says_the_job_back() -> None:
    found = shadewright.check(JOB)
    assert found.possible == {"Window": (2, 3, 4)}
    assert "could be divided" in str(found)


def test_a_plan_is_frozen_and_tells_its_proof(plan: shadewright.PlanResult) -> None:
    with pytest.raises(FrozenInstanceError):
        plan.stopped = True
    assert plan.proof.proved
    assert plan.proof.gap == 0
    data = plan.data()
    assert [g.goal for g in plan.proof.goals] == [g["goal"] for g in data["proof"]["goals"]]
    used = next(g for g in plan.proof.goals if g.goal == "used")
    assert (used.value * 36 * 8128, used.unit) == (data["proof"]["used"], "yd")
    assert plan.bought == {"plain": data["totals"]["bought"]["plain"] / (36 * 8128)}
    assert plan.cost == data["totals"]["cost"]
    assert "Children live or visit" in plan.advice[0]
    assert str(plan).startswith("Children live or visit")


def test_tables_tell_what_the_plan_has(plan: shadewright.PlanResult) -> None:
    data = plan.data()
    shades, panels, drops = plan.shades, plan.panels, plan.drops
    assert list(shades["finished_width_in"]) == [s["finished_width"] / 8128 for s in data["shades"]]
    assert list(shades["board_in"]) == [m["board"] / 8128 for m in data["making"]]
    assert list(shades["hooks"]) == [len(m["hooks"]) for m in data["making"]]
    assert set(shades["shade"]) == set(panels["shade"]) == set(plan.wood["shade"])
    areas = sum(p["across"] * p["along"] for p in data["panels"])
    assert (panels["across_in"] * panels["along_in"]).sum() == areas / 8128**2
    # A place across counts the selvedge, which the plan's own does not.
    assert panels["from_near_edge_in"].min() == 0.5
    assert drops["end_in"].max() == data["proof"]["used"] / 8128
    assert list(drops["panels"]) == list(panels.groupby("drop").size())
    assert list(plan.cuts["step"]) == list(range(1, len(plan.cuts) + 1))
    freed = [part.partition(":")[0] for cut in plan.cuts["comes_free"] for part in cut.split("; ")]
    assert sorted(int(number) for number in freed if number) == list(panels["panel"])
    assert (plan.wood["length_in"] <= plan.wood["stock_in"]).all()


def test_what_to_buy(plan: shadewright.PlanResult) -> None:
    buy = plan.buy.set_index("what")
    assert buy.loc["cloth", "length_yd"] == plan.bought["plain"]
    assert buy.loc["cloth", "cost"] == plan.cost
    assert buy.loc["cup hook", "number"] == plan.shades["hooks"].sum()
    assert buy.loc["cleat", "number"] == plan.number_of_shades
    sticks = plan.wood[["stick", "kind"]].drop_duplicates()["kind"].value_counts()
    for kind in ("board", "rod"):
        assert buy.loc[[kind], "number"].sum() == sticks[kind]


def test_a_metric_job_has_metric_columns() -> None:
    text = 'title = "M"\nunits = "cm"\n[cloth.c]\nwidth = 140\n'
    plan = shadewright.plan(text + '[[opening]]\nname = "W"\nwidth = 100\nheight = 120\n')
    assert plan.shades["finished_length_cm"].item() == 120 - 2.5
    assert "length_m" in plan.buy
    tables = [plan.shades, plan.panels, plan.drops, plan.cuts, plan.wood, plan.buy]
    assert not any(name.endswith(("_in", "_yd")) for table in tables for name in table)


def test_going_on_takes_a_result_a_file_or_data(
    plan: shadewright.PlanResult, tmp_path: Path
) -> None:
    file = tmp_path / "plan.json"
    file.write_text(json.dumps(plan.data()), encoding="utf-8")
    lost = plan.panels["shade"][0]
    results = [
        shadewright.go_on(JOB, after, done=["plain/bolt/1"], lost=[lost], seconds=60)
        for after in (plan, file, plan.data())
    ]
    assert [rest.data()["panels"] for rest in results] == [results[0].data()["panels"]] * 3
    assert results[0].data()["gone"]
    assert results[0].bought["plain"] > plan.bought["plain"]


def test_going_on_by_what_the_page_saved(plan: shadewright.PlanResult, tmp_path: Path) -> None:
    job, made = read_text(JOB), Plan.model_validate(plan.data())
    off = [s.key for s in steps(job, lay_out(job, made)) if s.cut.role == "drop comes off"]
    saved = tmp_path / "ticks.JSON"
    ticks = {"format": SAVED_FORMAT, "job": made.job, "plan": mark(made), "ticked": off[:1]}
    saved.write_text(json.dumps(ticks), encoding="utf-8")
    by_page = shadewright.go_on(JOB, plan, done_from=saved, seconds=60)
    by_line = shadewright.go_on(JOB, plan, done="1", seconds=60)
    assert by_page.data() == by_line.data()
    assert [drop["number"] for drop in by_page.data()["cut"]] == [1]
    saved.write_text(json.dumps({**ticks, "plan": "0123"}), encoding="utf-8")
    with pytest.raises(shadewright.ShadewrightError, match='"0123" of another plan'):
        shadewright.go_on(JOB, plan, done_from=saved)


def test_a_text_alone_is_one_thing_and_not_its_letters(plan: shadewright.PlanResult) -> None:
    assert len(plan.drops) >= 2
    both = shadewright.go_on(JOB, plan, done="1, 2", seconds=60)
    assert both.data() == shadewright.go_on(JOB, plan, done=[1, 2], seconds=60).data()
    with pytest.raises(shadewright.ShadewrightError, match="found 12, which is no drop"):
        shadewright.go_on(JOB, plan, done="12")
    with pytest.raises(shadewright.ShadewrightError, match='found "Window, 7 of 7", wanted'):
        shadewright.go_on(JOB, plan, done=[1], lost="Window, 7 of 7")


def test_going_on_from_what_is_no_plan_of_the_job(plan: shadewright.PlanResult) -> None:
    spoilt = plan.data() | {"job": "Another"}
    for after, said in ((spoilt, "Another"), ({}, "totals: is missing")):
        with pytest.raises(shadewright.ShadewrightError, match=said) as raised:
            shadewright.go_on(JOB, after)
        assert raised.value.kind == "bad input"
    with pytest.raises(shadewright.ShadewrightError, match="no drop of the plan"):
        shadewright.go_on(JOB, plan, done=[77])


def test_what_is_told_of_a_plan_is_named_by_the_arguments(
    plan: shadewright.PlanResult, tmp_path: Path
) -> None:
    missing, first = tmp_path / "none.xlsx", plan.panels["shade"][0]
    wrong: list[tuple[dict[str, object], str]] = [
        ({"done": [77]}, "done"),
        ({"done": "2"}, "done"),
        ({"done_from": missing}, "done_from"),
        ({"lost": first}, "lost"),
        ({"done": 1, "lost": ["Attic", "Attic"]}, "lost lost"),
        ({"done": 1, "flaws": "bolt:1 in to 2 in"}, "flaws"),
        ({"flaws": ["bolt", "bolt:1 mile to 2 mile", "bolt:2 to 1"]}, "flaws flaws flaws"),
        ({"done": 77, "lost": "Attic", "flaws": "bolt"}, "done lost flaws"),
    ]
    for told, where in wrong:
        with pytest.raises(shadewright.ShadewrightError) as raised:
            shadewright.go_on(JOB, plan, **told)
        assert " ".join(p.where for p in raised.value.problems) == where
        assert all(p.wanted for p in raised.value.problems)
        assert len(str(raised.value).splitlines()) == len(raised.value.problems)
        assert "--" not in str(raised.value)
    with pytest.raises(shadewright.ShadewrightError, match=r'wanted lost=\["Window'):
        shadewright.go_on(JOB, plan, done=1, flaws="bolt:1 in to 2 in")


def test_what_is_left_too_short_names_no_option() -> None:
    on_hand = 'can_buy = false\n[[cloth.plain.piece]]\nname = "shelf"\nlength = "3 yd 18 in"\n'
    text = JOB.replace("[[opening]]", on_hand + "[[opening]]")
    plan = shadewright.plan(text, seconds=60)
    with pytest.raises(shadewright.ShadewrightError, match="what is left of the cloth: ") as raised:
        shadewright.go_on(text, plan, done=1, lost=plan.panels["shade"][0], seconds=60)
    assert raised.value.kind == "cannot be met"
    assert "--" not in str(raised.value)


def test_arguments_of_another_kind_are_refused(plan: shadewright.PlanResult) -> None:
    for wrong in ({"seconds": "5"}, {"seed": 1.5}, {"seconds": None}):
        (name,) = wrong
        with pytest.raises(TypeError, match=f"{name} is a"):
            shadewright.go_on(JOB, plan, **wrong)
    with pytest.raises(TypeError, match="workers is a whole number"):
        shadewright.compare(JOB, workers=1.5)


def test_a_word_alone_is_one_choice() -> None:
    with pytest.raises(shadewright.ShadewrightError, match="choices: found hem, wanted"):
        shadewright.compare(JOB, choices="hem")


def test_fit_says_what_is_enough() -> None:
    piece = '[[cloth.plain.piece]]\nname = "shelf roll"\nlength = "9 yd"\n'
    text = JOB.replace("[[opening]]", piece + "[[opening]]")
    found = shadewright.fit(text, seconds=60)
    assert found.enough
    assert found.plan is not None
    assert found.plan.bought == {}
    assert "is enough" in str(found)
    with pytest.raises(shadewright.ShadewrightError, match="no cloth is on hand"):
        shadewright.fit(JOB)


def test_a_way_without_a_plan_says_why() -> None:
    cases = [CaseAnswer("hems", "single hems", None, None, why_not="the table is too short")]
    table = frames.cases(Comparison(read_text(JOB), cases))
    (row,) = table.to_dict("records")
    assert row["why_not"] == "the table is too short"
    numbers = ["bought_yd", "used_yd", "cost", "shades", "waste_share", "gap_share", "most_shades"]
    assert table[numbers].isna().all(axis=None)
    assert all(pd.api.types.is_numeric_dtype(table[name]) for name in numbers)
