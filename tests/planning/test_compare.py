"""The same job in several ways: what is compared, what is said of it, and what is written."""

from __future__ import annotations

import json
import multiprocessing
import re
import threading
import time
from concurrent.futures import ProcessPoolExecutor
from dataclasses import replace
from fractions import Fraction
from itertools import count
from pathlib import Path
from typing import Any

import pytest
from openpyxl import load_workbook

from commands import run
from jobs import job_of
from shadewright.answers import UNKNOWN, CaseAnswer, Choice
from shadewright.job.model import Job
from shadewright.job.read import read_job
from shadewright.planning import compare as comparing
from shadewright.planning.compare import (
    STRATEGIES,
    Case,
    alike_cases,
    as_asked,
    chosen_cases,
    compare,
    frontier_cases,
    hem_cases,
    lay_cases,
    strategy_cases,
)
from shadewright.planning.make import make_plan
from shadewright.planning.possible import shade_range
from shadewright.report.text.compare import as_data, table
from shadewright.report.text.wrapping import narrowed
from shadewright.report.work.comparison import Comparison, bought, worth_having
from shadewright.report.work.ways import HEADINGS

EXAMPLES = Path(__file__).parents[2] / "examples"

LEAF = """
title = "=1+1 leaf"
[cloth.leaf]
width = 54
selvedge = 0.5
repeat_down = 20
repeat_across = 13.5
price = 10
[[opening]]
name = "Bay"
width = 100
height = 60
copies = 2
"""
PLAIN = LEAF.replace("repeat_down = 20\nrepeat_across = 13.5\n", "")


@pytest.fixture
def leaf(tmp_path: Path) -> Path:
    file = tmp_path / "leaf.toml"
    file.write_text(LEAF, encoding="utf-8")
    return file


def test_every_strategy_is_a_case_and_none_changes_anything_else() -> None:
    job = job_of(LEAF)
    cases = strategy_cases(job)
    said = [(c.name, c.job.match.strategy, c.job.match.centre_on) for c in cases]
    assert said == [
        ("plain", "plain", "motif"),
        ("level", "level", "motif"),
        ("centred", "centred", "motif"),
        ("centred-between", "centred", "between"),
        ("continuous", "continuous", "motif"),
    ]
    assert all(c.job.model_copy(update={"match": job.match}) == job for c in cases)


HALF_DROP = LEAF.replace("repeat_across = 13.5", 'repeat_across = 9\ncolumn_shift = "half"')


def test_motifs_may_alternate_only_where_columns_are_shifted() -> None:
    job = job_of(HALF_DROP)
    said = {c.name: (c.job.match.centre_on, c.job.match.alternate) for c in strategy_cases(job)}
    assert said["centred"] == ("motif", False)
    assert said["centred-alternate"] == ("motif", True)
    assert said["centred-between-alternate"] == ("between", True)
    # A shift of a whole repeat is none, and stripes have none.
    for text in (
        HALF_DROP.replace('"half"', "20"),
        LEAF,
        LEAF.replace("repeat_down = 20\n", ""),
    ):
        names = [c.name for c in strategy_cases(job_of(text), ["centred-alternate", "centred"])]
        assert names == ["centred"]


@pytest.mark.parametrize(
    ("text", "own"),
    [
        (LEAF, {"level", "double hems", "copies divided alike"}),
        (LEAF + '[match]\nstrategy = "level"', {"level", "double hems", "copies divided alike"}),
        (
            LEAF + '[make]\nside_folds = 1\n[match]\nstrategy = "centred"\nalternate = true',
            {"centred", "single hems", "copies divided alike"},
        ),
        (
            HALF_DROP + '[match]\nstrategy = "centred"\ncentre_on = "between"\nalternate = true',
            {"centred-between-alternate", "double hems", "copies divided alike"},
        ),
        (
            LEAF.replace("copies = 2", "copies = 2\nalike = false"),
            {"level", "double hems", "each copy its own way"},
        ),
        # With a print cut plain the lay is a choice too.
        (
            LEAF.replace("price = 10", 'price = 10\nruns = "mixed"').replace("copies = 2", "")
            + '[make]\ntable = 90\n[match]\nstrategy = "plain"',
            {"plain", "double hems", "each opening its own way", 'drops of at most 90"'},
        ),
        # Without a repeat nothing is matched, whatever is asked.
        (
            PLAIN + '[match]\nstrategy = "continuous"',
            {"plain", "double hems", "one way, whichever is best", "copies divided alike"},
        ),
    ],
)
def test_of_each_choice_one_way_is_what_the_job_asks_for(text: str, own: set[str]) -> None:
    job = job_of(text)
    cases = chosen_cases(job, tuple(HEADINGS), STRATEGIES)
    assert {case.name for case in cases if as_asked(case, job)} == own
    assert {case.choice for case in cases if as_asked(case, job)} == {c.choice for c in cases}


def test_motifs_that_alternate_never_take_more_cloth() -> None:
    job = job_of(HALF_DROP)
    taken = {c.name: bought(make_plan(c.job, 5).plan) for c in strategy_cases(job)}
    for name in ("centred", "centred-between"):
        assert taken["level"] <= taken[f"{name}-alternate"] <= taken[name]
    assert taken["centred-between-alternate"] < taken["centred-between"]


STRIPES = LEAF.replace("repeat_down = 20\nrepeat_across = 13.5", "repeat_across = 3").replace(
    "height = 60", "height = 40"
)


@pytest.mark.slow
def test_a_print_cut_plain_that_comes_to_lie_sideways_is_said_to(tmp_path: Path) -> None:
    file, book, data = (tmp_path / name for name in ("job.toml", "ways.xlsx", "ways.json"))
    file.write_text(STRIPES + '[match]\nstrategy = "plain"', encoding="utf-8")
    words = ("--choice", "lay", "--seconds", 8, "--workers", 1, "--out", book, "--json", data)
    result = run("compare", file, *words)
    assert result.exit_code == 0
    remark = "The stripes of leaf lie sideways on the shades laid railroaded."
    lines = result.stdout.splitlines()
    turned = next(at for at, line in enumerate(lines) if "all railroaded" in line)
    assert lines[turned + 1].strip() == remark
    upright = next(at for at, line in enumerate(lines) if "all up the bolt" in line)
    assert remark not in lines[upright + 1]
    assert ", but the stripes of leaf lie sideways" in " ".join(result.stdout.split())
    told = [str(row[0]) for row in load_workbook(book)["Compare"].iter_rows(values_only=True)]
    assert "all railroaded: the stripes of leaf lie sideways on the shades laid railroaded." in told
    cases = {row["name"]: row for row in json.loads(data.read_text(encoding="utf-8"))["cases"]}
    assert cases["all railroaded"]["remarks"] == [remark]
    assert "remarks" not in cases["all up the bolt"]


@pytest.mark.parametrize("why", UNKNOWN)
def test_what_was_not_planned_is_not_said_to_be_impossible(why: str) -> None:
    answer = CaseAnswer("lay", "each opening its own way", None, None, why_not=why)
    assert Comparison(job_of(LEAF), [answer]).unmade(answer) == f"each opening its own way: {why}."


def case(choice: Choice, job: Job, most_shades: int | None = None) -> CaseAnswer:
    return CaseAnswer(choice, f"{choice} {most_shades}", most_shades, make_plan(job, 3).plan)


def test_a_print_that_is_turned_to_be_cut_plain_is_said_to_be_beside_its_match() -> None:
    """Else a match would seem to cost what turning the stripes saves."""
    text = STRIPES.replace("repeat_across", 'runs = "either"\nrepeat_across')
    job = job_of(text + '[match]\nstrategy = "plain"')
    answers = [
        CaseAnswer("strategies", each.name, None, make_plan(each.job, 5).plan)
        for each in strategy_cases(job, ["plain", "centred"])
    ]
    plain, centred = (Comparison(job, answers).remarks(answer) for answer in answers)
    assert plain == ["The stripes of leaf lie sideways on the shades laid railroaded."]
    assert centred == []


def test_ways_to_lay_cloth_that_come_to_the_same_and_an_opening_set_apart_are_told() -> None:
    job = job_of(
        'title = "p"\n[cloth.a]\nwidth = 54\n'
        '[[opening]]\nname = "Bay"\nwidth = 30\nheight = 60\n'
        '[[opening]]\nname = "Door"\nwidth = 30\nheight = 40\nruns = "railroaded"'
    )
    said = Comparison(job, [case("lay", job), case("lay", job)]).conclusions
    assert said == [
        "How the cloth lies makes no difference to what is bought.",
        "In each of them Door keeps a lay of its own.",
    ]


def test_numbers_of_shades_stand_from_the_fewest_up_and_are_judged_only_if_all_are_known() -> None:
    job = job_of(PLAIN).made(extra_shade=0)
    cheapest = case("shades", job)
    assert cheapest.plan is not None
    number = cheapest.plan.totals.shades
    few = job.with_openings(o.model_copy(update={"shades": (3, 3)}) for o in job.openings)
    fewest = case("shades", few, number - 1)
    assert fewest.plan is not None
    assert fewest.plan.totals.shades < number
    both = Comparison(job, [cheapest, fewest])
    assert both.by_choice["shades"] == [fewest, cheapest]
    (said,) = both.conclusions
    assert f"({fewest.plan.totals.shades} rather than {number})" in said
    alone = [cheapest, CaseAnswer("shades", "3 or fewer", 3, None, why_not="not in time")]
    assert Comparison(job, alone).conclusions == []
    assert Comparison(job, alone[:1]).conclusions == [
        "The plan that buys least cloth has the fewest shades there can be."
    ]


def test_numbers_of_shades_are_set_against_cloth_also_where_shades_cost_money() -> None:
    """What the shades cost is in the money that each comes to."""
    dear = job_of(PLAIN).made(shade_cost=Fraction(9))
    found, _ = compare(dear, [], frontier=True, seconds=12, workers=1)
    few, *_, many = (a.plan for a in Comparison(dear, found).by_choice["shades"])
    free = make_plan(job_of(PLAIN).made(extra_shade=0), 5).plan
    assert few is not None
    assert many is not None
    assert few.totals.shades < many.totals.shades == free.totals.shades
    assert many.totals.bought == free.totals.bought
    assert many.totals.cost == pytest.approx(free.totals.cost + 9 * many.totals.shades)
    assert few.totals.cost == pytest.approx(make_plan(dear, 5).plan.totals.cost)


def test_a_print_laid_either_way_keeps_one_way_up_where_it_is_matched() -> None:
    """Cut plain it may lie any way; matched, no job file could say so."""
    text = STRIPES.replace("repeat_across", 'runs = "mixed"\nrepeat_across')
    job = job_of(text + 'runs = "railroaded"\n[match]\nstrategy = "plain"')
    for case in strategy_cases(job):
        lies = case.job.cloth("leaf").runs, case.job.openings[0].runs
        plain = case.name == "plain"
        assert lies == (("mixed", "railroaded") if plain else ("up the bolt", None))
        assert make_plan(case.job, 1).faults == ()


def test_cloth_without_a_repeat_is_only_ever_plain() -> None:
    assert [case.name for case in strategy_cases(job_of(PLAIN))] == ["plain"]


def test_the_lay_is_a_choice_only_where_no_print_decides_it() -> None:
    assert lay_cases(job_of(LEAF)) == []
    plain = job_of(LEAF + '[match]\nstrategy = "plain"')
    for job in (plain, job_of(PLAIN)):
        runs = [case.job.cloth("leaf").runs for case in lay_cases(job)]
        assert runs == ["up the bolt", "railroaded", "either", "mixed"]


def test_copies_are_a_choice_only_where_there_are_some() -> None:
    assert alike_cases(job_of(PLAIN)) == [] or any(o.copies > 1 for o in job_of(PLAIN).openings)
    two = job_of(PLAIN).with_openings(
        o.model_copy(update={"copies": 2}) for o in job_of(PLAIN).openings
    )
    alike = [{o.alike for o in case.job.openings} for case in alike_cases(two)]
    assert alike == [{True}, {False}]


def test_a_lined_shade_has_no_hems_to_choose() -> None:
    assert [case.job.make.side_folds for case in hem_cases(job_of(LEAF))] == [2, 1]
    assert hem_cases(job_of(LEAF + '[make]\nlining = "leaf"')) == []


@pytest.mark.parametrize(
    ("cheapest", "fewest", "numbers"),
    [
        (9, 7, [8, 7]),
        (7, 7, []),
        (37, 33, [36, 35, 34, 33]),
        (40, 28, [38, 36, 34, 32, 30, 28]),
        (20, 9, [18, 16, 14, 12, 10, 9]),
    ],
)
def test_the_frontier_ends_at_the_fewest(cheapest: int, fewest: int, numbers: list[int]) -> None:
    cases = frontier_cases(job_of(LEAF), cheapest, fewest)
    assert [case.most_shades for case in cases] == numbers


def test_plans_keep_to_the_number_of_shades_and_never_gain_by_it() -> None:
    job = job_of(LEAF)
    fewest, _ = shade_range(job)
    free = make_plan(job, 5).plan
    for most in range(fewest, free.totals.shades + 1):
        planned = make_plan(job, 5, most_shades=most)
        assert planned.faults == ()
        assert planned.plan.totals.shades <= most
        assert planned.plan.totals.cost >= free.totals.cost
        assert planned.plan.proof.status == "proved"


@pytest.fixture(scope="module")
def found() -> list[CaseAnswer]:
    job = job_of(LEAF)
    cases = [*strategy_cases(job), *hem_cases(job)]
    return compare(job, cases, frontier=True, seconds=20, workers=2)[0]


@pytest.mark.slow
def test_each_case_is_the_plan_of_its_own_job(found: list[CaseAnswer]) -> None:
    for case, compared in zip(strategy_cases(job_of(LEAF)), found, strict=False):
        alone = make_plan(case.job, 5).plan
        assert compared.plan is not None
        assert compared.plan.totals == alone.totals
        assert compared.plan.panels == alone.panels


@pytest.mark.slow
def test_the_number_of_processes_changes_nothing(found: list[CaseAnswer]) -> None:
    job = job_of(LEAF)
    again, stopped = compare(
        job, [*strategy_cases(job), *hem_cases(job)], frontier=True, seconds=20, workers=1
    )
    assert not stopped
    one, two = as_data(Comparison(job, found)), as_data(Comparison(job, again))
    assert json.dumps(one) == json.dumps(two)


@pytest.mark.slow
def test_extra_cloth_is_counted_against_plain(found: list[CaseAnswer]) -> None:
    rows = {row["name"]: row for row in as_data(Comparison(job_of(LEAF), found))["cases"]}
    plain = rows["plain"]["bought"]
    assert rows["plain"]["more_than_plain"] == 0
    for row in rows.values():
        assert row["more_than_plain"] == row["bought"] - plain
    # Matching takes a repeat for the start at least.
    assert all(rows[name]["more_than_plain"] > 0 for name in ("level", "centred", "continuous"))
    # What keeps rows level and more cannot take less than what only keeps rows level.
    assert rows["level"]["used"] <= min(rows["centred"]["used"], rows["continuous"]["used"])


def test_a_point_of_the_frontier_that_gains_nothing_is_left_out(found: list[CaseAnswer]) -> None:
    points = [c for c in worth_having(found) if c.choice == "shades" and c.plan]
    shades = [c.plan.totals.shades for c in points if c.plan]
    costs = [c.plan.totals.cost for c in points if c.plan]
    assert shades == sorted(set(shades), reverse=True)
    assert costs == sorted(set(costs))
    doubled = [*found, *(c for c in found if c.choice == "shades")]
    assert len([c for c in worth_having(doubled) if c.choice == "shades"]) == len(points)


def test_the_table_says_it_in_plain_words(found: list[CaseAnswer]) -> None:
    job = job_of(LEAF)
    text = table(Comparison(job, found))
    for words in ("plain, no matching", "centred between motifs", "more than plain", "proved"):
        assert words in text
    assert max(map(len, text.splitlines())) <= 100
    assert any("plain" in line for line in Comparison(job, found).conclusions)
    assert "1.6 m" in text


def test_the_way_that_the_job_asks_for_is_marked(found: list[CaseAnswer]) -> None:
    comparison = Comparison(job_of(LEAF), found)
    sections = [part for part in table(comparison).split("\n\n") if "best?" in part]
    marked = [[line for line in part.splitlines() if "(your job)" in line] for part in sections]
    assert [len(lines) for lines in marked] == [1, 1, 1]
    ((level,), (hems,), (shades,)) = marked
    assert level.startswith("  level (your job)")
    assert hems.startswith("  double hems (your job)")
    # What the job comes to stands among the numbers of shades by its figures.
    assert level.split(")")[1].split() == shades.split(")")[1].split()
    rows = as_data(comparison)["cases"]
    assert [row["name"] for row in rows if row["as_asked"]][:2] == ["level", "double hems"]
    why = Comparison(job_of(LEAF), [CaseAnswer("hems", "double hems", None, None, "no", (), True)])
    assert "double hems (your job): cannot be made. No" in table(why)


def test_what_is_not_proved_is_not_said_to_be_so() -> None:
    job = job_of(LEAF)
    plan = make_plan(job, 5).plan
    first, *others = plan.proof.goals
    worse = first.model_copy(update={"bound": first.value / 2})
    proof = plan.proof.model_copy(update={"status": "gap", "goals": [worse, *others]})
    unproved = plan.model_copy(update={"proof": proof})
    case = CaseAnswer("shades", "as many as save cloth", None, unproved)
    said = Comparison(job, [case]).conclusions
    assert said[0] == (
        "Of the plans that were found, the one with least cloth has the fewest shades there can be."
    )
    assert said[1].startswith("Not all of these plans are proved best")
    proved = Comparison(job, [replace(case, plan=plan)]).conclusions
    assert proved == ["The plan that buys least cloth has the fewest shades there can be."]


def test_of_several_numbers_of_shades_that_come_to_one_plan_the_least_is_kept() -> None:
    job = job_of(LEAF)
    plan = make_plan(job, 5).plan
    fewer = [CaseAnswer("shades", f"{n} or fewer", n, plan) for n in (8, 7, 6)]
    assert [answer.name for answer in worth_having(fewer)] == ["6 or fewer"]


@pytest.mark.parametrize("room", [60, 80])
def test_where_columns_have_no_room_each_way_is_told_as_a_list(
    found: list[CaseAnswer], room: int
) -> None:
    comparison = Comparison(job_of(LEAF), found)
    wide = table(comparison)
    with narrowed(room):
        text = table(comparison)
    assert max(map(len, text.splitlines()[:-2])) <= room
    said = " ".join(text.split())
    level = next(line for line in wide.splitlines() if line.startswith("  level "))
    buy, use, money, shades, waste, more, best = re.split(r"\s{2,}", level.strip())[1:]
    assert (
        f"level (your job): buy {buy}, use {use}, money {money}, shades {shades}, waste {waste}, "
        f"more than plain {more}, {best}"
    ) in said
    with narrowed(120):
        assert table(comparison) == wide


@pytest.mark.slow
def test_what_cannot_be_made_is_said_and_stops_nothing(tmp_path: Path) -> None:
    # 46 in and 4 in of hems leave 3 in of play, and columns come every 20 in.
    job = tmp_path / "wide.toml"
    text = LEAF.replace("repeat_across = 13.5", "repeat_across = 20\nmotif_at = 10")
    job.write_text(text.replace("width = 100", "width = 46.5\nshades = 1"), encoding="utf-8")
    result = run("compare", job, "--choice", "strategies", "--seconds", 5, "--workers", 1)
    assert result.exit_code == 0
    assert "centred on a motif: cannot be made" in result.stdout
    assert "no division lets every shade lie with a motif on its centre line" in " ".join(
        result.stdout.split()
    )
    assert "level" in result.stdout
    only = run("compare", job, "--strategy", "centred", "--choice", "strategies", "--workers", 1)
    assert only.exit_code == 3
    assert "centre line" in only.stderr


CHILDREN = "Children live or visit here"


@pytest.mark.slow
def test_the_caution_about_children_comes_first(tmp_path: Path) -> None:
    file, book, data = (tmp_path / name for name in ("job.toml", "ways.xlsx", "ways.json"))
    file.write_text("children = true\n" + PLAIN, encoding="utf-8")
    choice = ("--choice", "strategies", "--workers", 1)
    result = run("compare", file, *choice, "--out", book, "--json", data)
    assert result.exit_code == 0
    assert result.stdout.startswith(CHILDREN)
    told = [row[0] for row in load_workbook(book)["Compare"].iter_rows(values_only=True) if row[0]]
    assert str(told[2]).startswith(CHILDREN)
    assert json.loads(data.read_text(encoding="utf-8"))["caution"].startswith(CHILDREN)
    file.write_text(PLAIN, encoding="utf-8")
    assert CHILDREN not in run("compare", file, *choice).stdout


@pytest.mark.slow
@pytest.mark.parametrize("command", ["check", "plan", "compare", "fit"])
def test_it_comes_first_where_a_job_cannot_be_met_too(tmp_path: Path, command: str) -> None:
    file = tmp_path / "job.toml"
    text = "children = true\n" + PLAIN + "shades = 1\n"
    file.write_text(text, encoding="utf-8")
    result = run(command, file)
    assert result.exit_code == 3
    # Nothing but how far the work has come is said before it.
    said = [line for line in result.stderr.splitlines() if " planned: " not in line]
    assert said[0].startswith(CHILDREN)
    assert any("annot be met" in line for line in said[1:])


@pytest.mark.slow
def test_files_are_written_whole_and_never_over_others(leaf: Path, tmp_path: Path) -> None:
    book, data = tmp_path / "c.xlsx", tmp_path / "c.json"
    words = ["compare", leaf, "--out", book, "--json", data, "--seconds", 3]
    assert run(*words).exit_code == 0
    before = data.read_bytes()
    refused = run(*words)
    assert refused.exit_code == 2
    assert "exists already" in refused.stderr
    assert run(*words, "--force").exit_code == 0
    assert data.read_bytes() == before
    sheet = load_workbook(book)["Compare"]
    assert sheet["A1"].value == "=1+1 leaf"
    assert sheet["A1"].data_type == "s"
    # Extra cloth is a formula over the cells that say what is bought.
    formulas = [c.value for row in sheet.iter_rows() for c in row if c.data_type == "f"]
    assert formulas
    base = next(row for row in sheet.iter_rows() if row[0].value == "plain, no matching")[0].row
    level = next(row for row in sheet.iter_rows() if row[0].value == "level (your job)")
    assert level[6].value == f"=B{level[0].row}-B${base}"
    cases = {row["name"]: row for row in json.loads(before)["cases"]}
    assert level[1].value * 36 * 8128 == cases["level"]["bought"]
    assert len(sheet._charts) == 2


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (["--strategy", "lvel"], "level"),
        (["--choice", "hem"], "hems"),
        (["--out", "x.csv"], ".xlsx"),
    ],
)
def test_wrong_words_are_answered_with_the_right_ones(
    leaf: Path, words: list[str], says: str
) -> None:
    result = run("compare", leaf, *words)
    assert result.exit_code == 2
    assert says in result.stderr


def test_stopping_keeps_what_is_done(monkeypatch: pytest.MonkeyPatch) -> None:
    job = job_of(PLAIN)
    waited = comparing.wait
    interrupts = iter([KeyboardInterrupt])

    def interrupted(waiting: Any, **options: Any) -> object:
        found = waited(waiting, **options)
        if found.done:
            for interrupt in interrupts:
                raise interrupt
        return found

    monkeypatch.setattr(comparing, "wait", interrupted)
    cases = [Case("hems", str(n), case.job) for n, case in enumerate(hem_cases(job))]
    found, stopped = compare(job, cases, frontier=False, seconds=5, workers=1)
    assert stopped
    assert found[0].plan is not None
    assert found[1].plan is not None or "stopped" in found[1].why_not


@pytest.mark.slow
def test_stopping_with_many_to_plan_leaves_no_thread_in_trouble(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    job = job_of(PLAIN)
    waited = comparing.wait
    turns = count()
    trouble: list[object] = []
    before = set(threading.enumerate())

    def interrupted(waiting: Any, **options: Any) -> object:
        if next(turns) == 3:  # all have been handed over, and the first process is starting
            raise KeyboardInterrupt
        return waited(waiting, **options)

    def late(pool: ProcessPoolExecutor, **options: bool) -> None:
        time.sleep(1)  # long enough that the pool sees its processes ended
        ProcessPoolExecutor.shutdown(pool, **options)

    monkeypatch.setattr(comparing, "wait", interrupted)
    monkeypatch.setattr(threading, "excepthook", trouble.append)
    slow = type("Slow", (ProcessPoolExecutor,), {"shutdown": late})
    monkeypatch.setattr(comparing, "ProcessPoolExecutor", slow)
    cases = [Case("shades", str(n), job, n) for n in range(6, 16)]
    found, stopped = compare(job, cases, frontier=False, seconds=5, workers=1)
    assert stopped
    assert "stopped" in found[-1].why_not
    for thread in set(threading.enumerate()) - before:
        thread.join(30)
    assert trouble == []


def test_a_process_that_is_ended_from_outside_is_no_crash(
    leaf: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    waited = comparing.wait

    def ended(waiting: Any, **options: Any) -> object:
        for process in multiprocessing.active_children():
            process.kill()
        return waited(waiting, **options)

    monkeypatch.setattr(comparing, "wait", ended)
    made = leaf.with_suffix(".json")
    result = run("compare", leaf, "--choice", "hems", "--json", made, "--workers", 1)
    assert result.exit_code == 4
    assert "ended from outside" in result.stderr
    assert list(leaf.parent.iterdir()) == [leaf]


def test_bought_adds_up_all_cloths(found: list[CaseAnswer]) -> None:
    for compared in found:
        assert compared.plan is not None
        assert bought(compared.plan) == sum(piece.length for piece in compared.plan.pieces)


def strategies(name: str) -> dict[str, int]:
    """What each strategy buys of an example, all of them proved."""
    job = read_job(EXAMPLES / f"{name}.toml")
    made = {}
    for case in strategy_cases(job):
        plan = make_plan(case.job, 20).plan
        assert plan.proof.status == "proved"
        made[case.name] = bought(plan)
    return made


def test_an_unbroken_print_may_cost_nothing_or_much() -> None:
    yard = 36 * 8128
    landing, parlour = strategies("landing"), strategies("parlour")
    assert landing["continuous"] == landing["level"]
    assert parlour["continuous"] - parlour["level"] == 6.25 * yard


@pytest.mark.slow
def test_every_strategy_is_proved_on_a_large_half_drop_porch() -> None:
    made = strategies("porch-leaf")
    assert min(made, key=lambda name: made[name]) == "plain"
