"""The commands as a maker types them: what they print, what they write, how they end."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import openpyxl
import pytest

from commands import run

EXAMPLES = Path(__file__).parents[1] / "examples"

GOOD = """
title = "Test room"
[cloth.plain]
width = 54
price = 10
[[opening]]
name = "Window"
width = 40
height = 50
"""


@pytest.fixture
def job(tmp_path: Path) -> Path:
    file = tmp_path / "job.toml"
    file.write_text(GOOD, encoding="utf-8")
    return file


@pytest.mark.parametrize("ending", ["toml", "xlsx"])
def test_a_starter_plans_as_it_stands(tmp_path: Path, ending: str) -> None:
    file = tmp_path / f"starter.{ending}"
    assert run("new", file).exit_code == 0
    said = run("check", file)
    assert said.exit_code == 0
    assert "could be divided" in said.stdout
    planned = run("plan", file, "--json", tmp_path / "p.json")
    assert planned.exit_code == 0
    assert "Proved" in planned.stdout
    assert run("replay", file, tmp_path / "p.json").exit_code == 0


def test_both_starters_are_the_same_job(tmp_path: Path) -> None:
    for ending in ("toml", "xlsx"):
        run("new", tmp_path / f"s.{ending}")
        run("plan", tmp_path / f"s.{ending}", "--json", tmp_path / f"{ending}.json")
    one, other = (json.loads((tmp_path / f"{e}.json").read_text()) for e in ("toml", "xlsx"))
    one["proof"]["seconds"] = other["proof"]["seconds"] = 0
    assert one == other


@pytest.mark.parametrize("name", [file.stem for file in EXAMPLES.glob("*.toml")])
def test_examples_are_proved_and_replay_clean(tmp_path: Path, name: str) -> None:
    file = EXAMPLES / f"{name}.toml"
    assert run("check", file).exit_code == 0
    out = tmp_path / "p.json"
    result = run("plan", file, "--json", out)
    assert result.exit_code == 0
    assert "Proved: no plan for this job costs less" in result.stdout
    assert json.loads(out.read_text())["proof"]["status"] == "proved"
    assert run("replay", file, out).exit_code == 0


def test_the_porch_is_large() -> None:
    text = (EXAMPLES / "porch.toml").read_text()
    copies = sum(int(line.split("=")[1]) for line in text.splitlines() if "copies" in line)
    openings = copies + text.count("[[opening]]") - text.count("copies")
    assert openings >= 12
    result = run("plan", EXAMPLES / "porch.toml")
    (made,) = [line for line in result.stdout.splitlines() if line.startswith("Make ")]
    assert int(made.split()[1]) >= 30


def test_check_says_the_job_back(job: Path) -> None:
    said = run("check", job).stdout
    # 40 - 2 x 1/4 = 39 1/2 finished, + 4 of hems; 50 less 1 of hooks, + 5 of pockets, turned edges
    # and take-up.
    assert '1 shade, 39 1/2" wide finished; cut 43 1/2" x 54"' in " ".join(said.split())
    assert '2 shades, each 19 1/2" to 19 5/8" wide finished' in " ".join(said.split())


def test_all_files_are_written(job: Path, tmp_path: Path) -> None:
    outs = [tmp_path / name for name in ("a.xlsx", "a.json", "a.pdf")]
    result = run("plan", job, "--out", outs[0], "--json", outs[1], "--picture", outs[2])
    assert result.exit_code == 0
    assert all(out.stat().st_size > 500 for out in outs)
    assert sorted(tmp_path.iterdir()) == sorted([job, *outs])
    assert (tmp_path / "a.pdf").read_bytes().startswith(b"%PDF")


def test_pictures_of_several_pages_are_a_file_each(job: Path, tmp_path: Path) -> None:
    result = run("plan", job, "--picture", tmp_path / "b.png")
    assert result.exit_code == 0
    # The roll, the wall, and the card of the only kind of shade.
    names = [f"b-{number}.png" for number in (1, 2, 3)]
    assert sorted(file.name for file in tmp_path.glob("b*")) == names
    assert all((tmp_path / name).read_bytes().startswith(b"\x89PNG") for name in names)
    assert "Wrote" in result.stderr
    assert all(name in result.stderr for name in names)


def test_no_page_of_a_picture_is_written_over_without_force(job: Path, tmp_path: Path) -> None:
    for number in (1, 2):
        mine = tmp_path / f"b-{number}.svg"
        mine.write_text("mine")
        result = run("plan", job, "--picture", tmp_path / "b.svg", "--json", tmp_path / "b.json")
        assert result.exit_code == 2
        assert f"b-{number}.svg: exists already; --force" in result.stderr
        assert mine.read_text() == "mine"
        assert sorted(tmp_path.iterdir()) == sorted([job, mine])
        assert result.stdout == ""
        mine.unlink()


def test_nothing_is_written_over_without_force(job: Path, tmp_path: Path) -> None:
    out, other = tmp_path / "a.json", tmp_path / "a.svg"
    out.write_text("mine")
    result = run("plan", job, "--json", out, "--picture", other)
    assert result.exit_code == 2
    assert "exists already; --force" in result.stderr
    assert out.read_text() == "mine"
    assert not other.exists()
    assert run("plan", job, "--json", out, "--force").exit_code == 0
    assert json.loads(out.read_text())["format"] == "shadewright-plan/1"
    assert run("new", job).exit_code == 2
    assert job.read_text() == GOOD


@pytest.mark.parametrize(
    ("option", "name", "says"),
    [
        ("--out", "a.xls", "ends in .xlsx"),
        ("--json", "a.txt", "ends in .json"),
        ("--picture", "a.gif", ".svg or .pdf or .png"),
        ("--out", "nowhere/a.xlsx", "there is no folder"),
    ],
)
def test_outputs_that_cannot_be_written_are_refused_first(
    job: Path, tmp_path: Path, option: str, name: str, says: str
) -> None:
    result = run("plan", job, option, tmp_path / name)
    assert result.exit_code == 2
    assert says in result.stderr
    assert result.stdout == ""
    assert list(tmp_path.iterdir()) == [job]


def opening(**keys: str) -> str:
    stated = {"name": '"Window"', "width": "40", "height": "50"} | keys
    return "[[opening]]\n" + "\n".join(f"{key} = {value}" for key, value in stated.items())


HEAD = 'title = "t"\n[cloth.c]\nwidth = 54\n'
BAD: dict[str, tuple[str, int, str]] = {
    "unknown key": (HEAD + "selvedeg = 1\n" + opening(), 2, "did you mean selvedge"),
    "unknown table": (HEAD + "[mkae]\nboard = 1\n" + opening(), 2, "mkae"),
    "letters for a length": (HEAD + opening(width='"wide"'), 2, '"Window" width'),
    "negative gap": (HEAD + opening(gap="-0.25"), 2, '"Window" gap'),
    "gap upside down": (HEAD + opening(gap="[0.5, 0.25]"), 2, '"Window" gap'),
    "cloth not known": (HEAD + opening(cloth='"d"'), 2, '"Window" cloth'),
    "cloth not named": (HEAD + "[cloth.d]\nwidth = 45\n" + opening(), 2, '"Window" cloth'),
    "no title": (HEAD.split("\n", 1)[1] + opening(), 2, "title"),
    "no opening": (HEAD, 2, "opening"),
    "no height": (HEAD + '[[opening]]\nname = "W"\nwidth = 40', 2, "height"),
    "selvedge eats the bolt": (HEAD + "selvedge = 27\n" + opening(), 2, "[cloth.c] selvedge"),
    "shrinks away": (HEAD + "shrink_down = 1\n" + opening(), 2, "shrink_down"),
    "broken TOML": (HEAD + "[[opening]\n", 2, "line 4"),
    "two of one name": (HEAD + opening() + "\n" + opening(), 2, '"Window"'),
    "unknown word": (HEAD + opening(mount='"inisde"'), 2, "inside"),
    "narrower than its hems": (HEAD.replace("54", "4") + opening(), 3, "[cloth.c] width"),
    "narrower than its clearances": (HEAD + opening(width='"1/2"'), 3, '"Window" width'),
    "no bolt holds it": (HEAD + opening(shades="1", width="80"), 3, '"Window" shades'),
    "too long to railroad": (
        HEAD + 'runs = "railroaded"\n' + opening(height="70"),
        3,
        '"Window" height',
    ),
    "pocket too small": (HEAD + "[make]\nboard_pocket = 1\n" + opening(), 3, "board_pocket"),
    "no gap on the step": (HEAD + opening(width="'95 9/16'", gap="0.25", shades="4"), 3, "gap"),
    "too wide for its stripes": (
        HEAD
        + 'repeat_across = 20\nmotif_at = 10\n[match]\nstrategy = "centred"\n'
        + opening(width="46", shades="1"),
        3,
        "with a stripe on its centre line",
    ),
    "too wide to centre": (
        HEAD
        + "repeat_down = 9\nrepeat_across = 20\nmotif_at = 10\n"
        + '[match]\nstrategy = "centred"\n'
        + opening(width="46", shades="1"),
        3,
        '"Window" shades',
    ),
}


@pytest.mark.parametrize("name", BAD)
@pytest.mark.parametrize("command", ["plan", "check"])
def test_a_bad_job_gets_one_clear_message(tmp_path: Path, name: str, command: str) -> None:
    text, code, says = BAD[name]
    file = tmp_path / "job.toml"
    file.write_text(text, encoding="utf-8")
    words = ["--json", tmp_path / "p.json"] if command == "plan" else []
    result = run(command, file, *words)
    assert result.exit_code == code
    assert says in result.stderr
    assert "Traceback" not in result.stderr
    assert len([line for line in result.stderr.splitlines() if "[" in line]) <= 1
    assert result.stdout == ""
    assert list(tmp_path.iterdir()) == [file]


def test_every_problem_is_said_at_once(tmp_path: Path) -> None:
    file = tmp_path / "job.toml"
    file.write_text(HEAD + "selvedge = -1\n" + opening(gap="-1", mount='"roof"'))
    result = run("plan", file)
    assert result.exit_code == 2
    for where in ("selvedge", "gap", "mount"):
        assert where in result.stderr
    file.write_text(
        HEAD
        + "[make]\nrod_pocket = 0.5\nboard_pocket = 1\n"
        + opening()
        + "\n"
        + opening(name='"Door"', shades="1", width="90")
    )
    result = run("plan", file)
    assert result.exit_code == 3
    assert "rod_pocket" in result.stderr
    assert "board_pocket" in result.stderr


def test_files_that_are_no_jobs(tmp_path: Path) -> None:
    (tmp_path / "a.xlsx").write_bytes(b"no workbook")
    (tmp_path / "b.toml").write_bytes(b"\xff\xfe\x00")
    for name in ("a.xlsx", "b.toml", "missing.toml", "."):
        result = run("check", tmp_path / name)
        assert result.exit_code == 2
        assert "Traceback" not in result.stderr
        assert result.stderr


def test_a_plan_that_was_tampered_with_is_refused(job: Path, tmp_path: Path) -> None:
    out = tmp_path / "p.json"
    run("plan", job, "--json", out)
    plan = json.loads(out.read_text())
    plan["panels"][0]["across"] += 508
    out.write_text(json.dumps(plan))
    result = run("replay", job, out)
    assert result.exit_code == 4
    assert "Window" in result.stdout
    assert "must not be cut" in result.stderr
    for garbage in ("[1, 2", "NaN", ""):
        out.write_text(garbage)
        assert run("replay", job, out).exit_code == 2
    out.write_text("[]")
    assert run("replay", job, out).exit_code == 4
    assert run("replay", job, tmp_path / "none.json").exit_code == 2


def test_text_from_a_job_never_becomes_a_formula(tmp_path: Path) -> None:
    file, out = tmp_path / "job.toml", tmp_path / "p.xlsx"
    file.write_text(GOOD.replace("Test room", "=1+1").replace("Window", "@SUM(A1)"))
    assert run("plan", file, "--out", out).exit_code == 0
    cells = [
        cell
        for sheet in openpyxl.load_workbook(out)
        for row in sheet.iter_rows()
        for cell in row
        if isinstance(cell.value, str) and ("=1+1" in cell.value or "@SUM" in cell.value)
    ]
    assert cells
    assert all(cell.data_type == "s" for cell in cells)


def test_usage_errors_and_help() -> None:
    assert run("plan").exit_code == 2
    assert run("no-such-command").exit_code == 2
    assert run("plan", "x.toml", "--seconds", "soon").exit_code == 2
    assert run("--help").exit_code == 0
    assert run("--version").stdout.startswith("shadewright ")


def test_no_time_at_all_still_gives_a_plan() -> None:
    result = run("plan", EXAMPLES / "porch.toml", "--seconds", "0")
    assert result.exit_code == 0
    assert "Not proved best" in result.stdout


@pytest.mark.skipif(os.name == "nt", reason="there are no such pipes there")
@pytest.mark.slow
def test_a_reader_that_stops_reading_is_no_crash(job: Path) -> None:
    with subprocess.Popen(
        [sys.executable, "-m", "shadewright", "check", str(job)],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    ) as process:
        assert process.stdout is not None
        process.stdout.close()
        assert process.stderr is not None
        stderr = process.stderr.read()
    assert "Traceback" not in stderr
    assert process.returncode == 0
