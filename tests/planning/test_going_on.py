"""Going on after a mishap: what is cut stays, and planning again never needs more."""

from __future__ import annotations

import json
import os
import random
import signal
import subprocess
import sys
from pathlib import Path

import pytest
from openpyxl import load_workbook
from typer.testing import CliRunner

from jobs import job_of, mostly_slow
from random_jobs import limited_job, patterned_job, random_job
from shadewright.answers import NewFlaw, NoPlanError, Since
from shadewright.cli.app import app
from shadewright.cloth.plan import Plan
from shadewright.job.model import Flaw, Job
from shadewright.measure import TICKS
from shadewright.planning.go_on import go_on
from shadewright.planning.make import make_plan
from shadewright.report.sheets.since import Statement, since
from shadewright.trade.refusal import CannotMeetError

INCH = TICKS["in"]
SUNROOM = Path(__file__).parents[2] / "examples" / "sunroom.toml"


def some_job(seed: int) -> Job:
    make = (random_job, patterned_job, limited_job)[seed % 3]
    return job_of(make(seed))


@pytest.mark.parametrize("seed", mostly_slow(range(20), most=8))
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
        if "comes off" in str(row[2].value) and ticked < 2:
            row[0].value = "x"
            ticked += 1
    sheets.save(book)
    by_words, by_boxes = tmp_path / "a.json", tmp_path / "b.json"
    words = ["plan", str(SUNROOM), "--after", str(plan)]
    one = run(app, [*words, "--done", "1,2", "--json", str(by_words)])
    other = run(app, [*words, "--done-from", str(book), "--json", str(by_boxes)])
    assert (one.exit_code, other.exit_code) == (0, 0)
    assert by_words.read_bytes() == by_boxes.read_bytes()
    assert len(json.loads(by_words.read_text(encoding="utf-8"))["cut"]) == 2
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
    unseen = ["--done", "\x1b[2J9", "--lost", "At\u200btic", "--flaw", "bolt\u202e"]
    bad = run(app, [*words, *unseen])
    assert bad.exit_code == 2
    assert all(map(str.isprintable, bad.stderr.splitlines()))
    assert '--lost: found "At\\u200btic"' in bad.stderr
    other = tmp_path / "job.toml"
    other.write_text(THREE, encoding="utf-8")
    wrong = run(app, ["plan", str(other), "--after", str(plan), "--done", "1"])
    assert wrong.exit_code == 2
    assert "wanted a clean plan of this job" in wrong.stderr
    assert all(line.strip() for line in wrong.stderr.splitlines())


# --- what cannot be ------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def three() -> tuple[Job, Plan]:
    """Three drops off one bolt, from 1 to 56, 111 and 166 in; 4 5/8 yd are bought."""
    job = job_of(THREE)
    return job, make_plan(job).plan


def refused(three: tuple[Job, Plan], **told: list[str]) -> str:
    with pytest.raises(ValueError, match="--") as why:
        since(*three, Statement(**told))
    return str(why.value)


@pytest.mark.parametrize("text", ["", " ", ",", "1,", ",1", "1,,2"])
def test_an_empty_text_names_no_drop(three: tuple[Job, Plan], text: str) -> None:
    message = refused(three, done=[text])
    assert f'--done: found no drop in "{text}", wanted one such as canvas/bolt/1' in message


@pytest.mark.parametrize("texts", [["1,1"], ["1", "canvas/bolt/1"], ["2, bolt / 2,1"]])
def test_a_drop_is_cut_once(three: tuple[Job, Plan], texts: list[str]) -> None:
    assert "twice, wanted each drop once" in refused(three, done=texts)


def test_drops_are_named_by_number_or_piece_or_cloth(three: tuple[Job, Plan]) -> None:
    for text in ("1", " 1 ", "bolt/1", "canvas/bolt/1", "canvas / bolt / 1"):
        assert since(*three, Statement([text])).done == {("canvas", "bolt", 1)}
    for text in ("canvas/1", "other/bolt/1", "x/canvas/bolt/1", "01", "1 2"):
        assert "which is no drop of the plan" in refused(three, done=[text])
    assert len(refused(three, done=["x" * 40_000])) < 300


def test_no_drop_is_cut_before_those_in_front_of_it(three: tuple[Job, Plan]) -> None:
    message = refused(three, done=["3"])
    assert "found canvas/bolt/3 cut and canvas/bolt/1 and canvas/bolt/2 before it not" in message
    assert since(*three, Statement(["2", "1"])).done == {("canvas", "bolt", n) for n in (1, 2)}


def test_a_lost_shade_has_been_cut(three: tuple[Job, Plan]) -> None:
    first, second, _ = (panel.shade for panel in three[1].panels)
    assert since(*three, Statement(["1"], lost=[first])).lost == {first}
    assert first == "bay 1, 1 of 1"
    for called in ("bay 1", "BAY  1", "Bay 1, 1 OF 1"):
        assert since(*three, Statement(["1"], lost=[called])).lost == {first}
    assert "wanted each shade once" in refused(three, done=["1"], lost=["bay 1", first])
    for done, wanted in ((["1"], 'such as "bay 1"'), ([], "--done or --done-from")):
        message = refused(three, done=done, lost=[second])
        assert f'--lost: found "{second}", of which nothing is cut yet, wanted' in message
        assert wanted in message
    assert "wanted each shade once" in refused(three, done=["1"], lost=[first, first])
    assert '--lost: found "", wanted a shade' in refused(three, done=["1"], lost=[""])


@pytest.mark.parametrize(
    ("flaw", "said"),
    [
        # 166 in are used, 4 5/8 yd are 166 1/2 in.
        ("bolt:200 to 201", "goes beyond the 4 5/8 yd that the plan buys"),
        ("bolt:160 to 170", "goes beyond the 4 5/8 yd that the plan buys"),
        ("bolt:9000 yd to 9001 yd", "goes beyond the 4 5/8 yd that the plan buys"),
        ("bolt:10 to 12", "lies on panels that are cut"),
        ("bolt:50 to 60", "lies on panels that are cut"),
        ("bolt:0 to 1/2", "lies in what is cut off already, wanted a place behind 1 yd 20"),
        ("shelf:10 to 12", "no piece is called that, but canvas/bolt"),
        ("bolt:12 to 10", "its end must lie behind its start"),
        ("bolt:12", "wanted PIECE:FROM to TO"),
    ],
)
def test_where_a_flaw_can_lie(three: tuple[Job, Plan], flaw: str, said: str) -> None:
    message = refused(three, done=["1"], flaws=[flaw])
    assert message.startswith(f'--flaw: found "{flaw}", ')
    assert said in message


def test_a_flaw_may_begin_on_a_panel_that_is_lost(three: tuple[Job, Plan]) -> None:
    first = three[1].panels[0].shade
    found = since(*three, Statement(["1"], ["bolt:50 to 60"], [first]))
    assert found.flaws == (NewFlaw("canvas", "bolt", Flaw(start=50 * INCH, end=60 * INCH)),)
    again = go_on(*three, found, seconds=1)
    assert again.faults == ()
    assert min(drop.start for drop in again.plan.drops) >= 60 * INCH


def test_a_unit_at_the_end_of_a_flaw_is_meant_for_both(three: tuple[Job, Plan]) -> None:
    (told,) = since(*three, Statement(flaws=["bolt:10 to 20 cm"])).flaws
    assert told.flaw == Flaw(start=100 * TICKS["mm"], end=200 * TICKS["mm"])


def test_flaws_lie_within_pieces_on_hand_and_are_told_once() -> None:
    piece = '[[cloth.canvas.piece]]\nname = "shelf: a/b"\nlength = 60\n'
    job = job_of(THREE.replace("[[opening]]", piece + "[[opening]]"))
    three = job, make_plan(job).plan
    assert {p.piece for p in three[1].pieces} == {"bolt", "shelf: a/b"}
    good = "shelf: a/b:10 to 12"
    assert len(since(*three, Statement(flaws=[good, "bolt:10 to 12"])).flaws) == 2
    assert "told twice" in refused(three, flaws=[good, good])
    for bad in ("shelf: a/b:59 to 61", "canvas/shelf: a/b:70 to 71"):
        assert "goes beyond the piece, wanted a place within its 1 yd 24" in refused(
            three, flaws=[bad]
        )


def test_cloth_cut_off_before_a_drop_is_not_cut_again(three: tuple[Job, Plan]) -> None:
    """A remnant of 20 in was cut away in front of the second drop, which was then left."""
    job, plan = three
    before = go_on(
        job,
        plan,
        Since(
            frozenset({("canvas", "bolt", 1)}),
            flaws=(NewFlaw("canvas", "bolt", Flaw(start=70 * INCH, end=76 * INCH)),),
        ),
        seconds=1,
    ).plan
    assert [d.start // INCH for d in before.drops] == [1, 76, 131]
    happened = Since(
        frozenset({("canvas", "bolt", 1)}),
        opened=frozenset({("canvas", "bolt", 2)}),
        flaws=(NewFlaw("canvas", "bolt", Flaw(start=120 * INCH, end=121 * INCH)),),
    )
    again = go_on(job, before, happened, seconds=1).plan
    assert [d.start // INCH for d in again.drops] == [1, 121, 176]


# --- going on again ------------------------------------------------------------------------------


def test_what_was_spoilt_the_first_time_is_not_cut_the_second(three: tuple[Job, Plan]) -> None:
    job, plan = three
    done = frozenset({("canvas", "bolt", 1)})
    first = go_on(job, plan, Since(done, frozenset([plan.panels[0].shade])), seconds=1).plan
    assert [(gone.start, gone.end // INCH) for gone in first.gone] == [(0, 56)]
    again = go_on(job, first, Since(frozenset()), seconds=1)
    assert again.faults == ()
    assert [d.start // INCH for d in again.plan.drops] == [56, 111, 166]
    # A flaw of the first time is cut around the second time too.
    flaw = NewFlaw("canvas", "bolt", Flaw(start=120 * INCH, end=121 * INCH))
    flawed = go_on(job, first, Since(frozenset(), flaws=(flaw,)), seconds=1).plan
    assert [d.start // INCH for d in flawed.drops] == [56, 121, 176]
    assert [d.number for d in flawed.drops] == [2, 3, 4], "the number of a drop is not given again"
    done = frozenset({("canvas", "bolt", 2)})
    last = go_on(job, flawed, Since(done, frozenset([flawed.panels[0].shade])), seconds=1).plan
    assert [d.number for d in last.drops] == [3, 4, 5]
    assert [d.start // INCH for d in last.drops] == [121, 176, 231]


def test_what_was_cut_the_first_time_stays_cut(three: tuple[Job, Plan]) -> None:
    job, plan = three
    second = next(p.shade for p in plan.panels if p.drop == 2)
    happened = since(job, plan, Statement(["1,2"], lost=[second]))
    first = go_on(job, plan, happened, seconds=1).plan
    assert [(cut.piece, cut.number) for cut in first.cut] == [("bolt", 1)]
    data = json.loads(json.dumps(first.model_dump(mode="json", by_alias=True)))
    assert Plan.model_validate(data) == first
    # Nobody needs to say it again.
    told = since(job, first, Statement())
    assert told.done == {("canvas", "bolt", 1)}
    assert go_on(job, first, told, seconds=1).plan == first
    flaw = since(job, first, Statement(flaws=["bolt:4 yd to 4 yd 1 in"]))
    again = go_on(job, first, flaw, seconds=1).plan
    assert [d.start // INCH for d in again.drops] == [1, 145, 200]
    assert again.panels[0] == plan.panels[0]


def test_a_plan_of_whole_cloth_speaks_of_nothing_cut(three: tuple[Job, Plan]) -> None:
    data = three[1].model_dump(mode="json", by_alias=True)
    assert not {"cut", "gone"} & set(data)
    assert list(data)[-1] == "totals"


# --- stopping, and telling how far it is ---------------------------------------------------------

HARD = (
    'title = "hard"\n[cloth.c]\nwidth = 118\nprice = 20\nruns = "mixed"\n'
    "[make]\nextra_shade = 0\nhook_drop = 0\n"
) + "".join(
    f'[[opening]]\nname = "o{k}"\nwidth = {60 + 11.3 * k}\nheight = {40 + 3.7 * k}\n'
    for k in range(14)
)


@pytest.mark.slow
@pytest.mark.skipif(os.name == "nt", reason="signals are sent otherwise there")
def test_ctrl_c_keeps_the_best_plan_of_the_rest(tmp_path: Path) -> None:
    job, plan, rest = (tmp_path / name for name in ("job.toml", "plan.json", "rest.json"))
    job.write_text(HARD, encoding="utf-8")
    run = CliRunner().invoke
    assert run(app, ["plan", str(job), "--json", str(plan), "--seconds", "1"]).exit_code == 0
    data = json.loads(plan.read_text(encoding="utf-8"))
    lost = next(p["shade"] for p in data["panels"] if p["drop"] == 1)
    words = ["plan", str(job), "--after", str(plan), "--done", "1", "--lost", lost]
    command = [sys.executable, "-m", "shadewright", *words, "--json", str(rest)]
    with subprocess.Popen(
        [*command, "--seconds", "300"], stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True
    ) as process:
        assert process.stderr is not None
        progress = process.stderr.readline()
        process.send_signal(signal.SIGINT)
        stdout, stderr = process.communicate(timeout=60)
    assert "so far" in progress
    assert process.returncode == 0
    assert "Stopped early; this is the best plan found until then." in stderr
    assert "so far" not in stdout
    assert run(app, ["replay", str(job), str(rest)]).exit_code == 0


# --- plan files ----------------------------------------------------------------------------------


def test_keys_that_stand_twice_are_refused_with_their_place(tmp_path: Path) -> None:
    plan, twice = tmp_path / "plan.json", tmp_path / "twice.json"
    run = CliRunner().invoke
    assert run(app, ["plan", str(SUNROOM), "--json", str(plan)]).exit_code == 0
    text = plan.read_text(encoding="utf-8")
    text = text.replace('"job":', '"job": "other", "job":', 1)
    head, panel, tail = text.partition('"railroaded": false')
    text = f'{head}{panel}, "railroaded": true, {panel}{tail}'
    twice.write_text(text, encoding="utf-8")
    for words in (
        ["replay", str(SUNROOM), str(twice)],
        ["plan", str(SUNROOM), "--after", str(twice), "--done", "1"],
    ):
        bad = run(app, words)
        assert bad.exit_code == 2
        said = "found this key more than once, wanted every key once"
        assert f'{twice}: "job": {said}' in bad.stderr
        assert f'{twice}: panels[0]."railroaded": {said}' in bad.stderr


@pytest.mark.parametrize(
    ("text", "where"),
    [
        ("", "line 1, column 1"),
        ("{", "line 1, column 2"),
        ("[1]x", "line 1, column 4"),
        ("[\n 1e999]", "line 2, column 2"),
        ('["NaN", "\\"NaN",\n"1", NaN]', "line 2, column 6"),
        ("[-1, -Infinity]", "line 1, column 6"),
        ("[1e9, 1e999-1]", "line 1, column 7"),
        ('\ufeff{"a": Infinity}', "line 1, column 7"),
    ],
)
def test_what_is_no_json_is_refused(tmp_path: Path, text: str, where: str) -> None:
    plan = tmp_path / "plan.json"
    plan.write_text(text, encoding="utf-8")
    for words in (
        ["replay", str(SUNROOM), str(plan)],
        ["plan", str(SUNROOM), "--after", str(plan)],
    ):
        bad = CliRunner().invoke(app, words)
        assert bad.exit_code == 2
        assert f"{plan}: {where}: found no JSON (" in bad.stderr


def test_where_the_cloth_runs_out_it_says_what_can_still_be_made() -> None:
    job = job_of("""
title = "Attic"
[cloth.canvas]
width = 54
selvedge = 0.5
can_buy = false
[[cloth.canvas.piece]]
name = "roll end"
length = 200
[[opening]]
name = "Bay"
width = 40
height = 50
copies = 3
""")
    before = make_plan(job, seconds=1).plan
    first = next(panel.shade for panel in before.panels if panel.drop == 1)
    done = frozenset({("canvas", "roll end", 1)})
    with pytest.raises(CannotMeetError) as why:
        go_on(job, before, Since(done, frozenset({first})), seconds=1)
    said = str(why.value)
    # 200 less 1 of square-up and 55 that are spoilt leave 144, two drops of 55; a new piece
    # is squared up as well.
    assert 'short by 1 yd 20"' in said
    assert said.endswith("what there is makes Bay (2 of 3)")
