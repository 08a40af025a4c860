"""Small files that would take all there is of time and memory, and names that hide something."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import zipfile
from collections.abc import Callable
from pathlib import Path

import pytest
from typer.testing import CliRunner

from jobs import job_of, mostly_slow
from shadewright.cli.app import app
from shadewright.cloth.plan import Plan, StickCut, StickUse
from shadewright.cloth.plan_file import plan_data
from shadewright.job.problems import JobError
from shadewright.job.read import read_job
from shadewright.job.starter import write_starter_xlsx
from shadewright.judge.making import sticks_are_sold
from shadewright.judge.replay import judge
from shadewright.judge.trial import Trial

HEAD = 'title = "t"\n[cloth.c]\nwidth = 54\n'
OPENING = '[[opening]]\nname = "W"\nwidth = 40\nheight = 50\n'


def refusal(path: Path) -> list[str]:
    with pytest.raises(JobError) as caught:
        read_job(path)
    return str(caught.value).splitlines()


# --- TOML ---------------------------------------------------------------------------------------


KEY = "wanted a key of at most 16 parts with dots between"
DEEP = "wanted at most 32 brackets within brackets"
LONG = "wanted a key or a number of at most 400 letters or digits"
NAME = "wanted a text on one line of at most 200 letters, each of which can be seen"
SMALL_BUT_ENDLESS: dict[str, tuple[str, str]] = {
    "dotted key": (HEAD + ".".join("a" * 100_000) + " = 1\n", f"line 4, column 32: {KEY}"),
    "dotted heading": (HEAD + f"[{'.'.join('a' * 100_000)}]\n", f"line 4, column 33: {KEY}"),
    "dotted, with blanks": (
        HEAD + " . ".join("a" * 90_000) + " = 1\n",
        f"line 4, column 63: {KEY}",
    ),
    "dotted, quoted": (HEAD + ".".join(['"a"'] * 90_000) + " = 1\n", f"line 4, column 64: {KEY}"),
    "deep lists": (HEAD + "x = " + "[" * 200_000, f"line 4, column 37: {DEEP}"),
    "deep tables": (HEAD + "x = " + "{a=" * 90_000, f"line 4, column 101: {DEEP}"),
    "digits": (HEAD + "price = " + "9" * 5_000, f"line 4, column 9: {LONG}"),
    "decimals": (HEAD + "price = 0." + "9" * 5_000, f"line 4, column 11: {LONG}"),
    "letters of a key": (HEAD + "x" * 40_000 + " = 1", f"line 4, column 1: {LONG}"),
    "letters of a name": (HEAD + OPENING.replace("W", "W" * 40_000), NAME),
    "letters of a title": (HEAD.replace('"t"', f'"{"t" * 40_000}"') + OPENING, NAME),
    "letters of a cloth's name": (
        HEAD.replace(".c", f'."{"c" * 40_000}"') + OPENING,
        "200 letters",
    ),
    "texts that do not end": (HEAD + "x = " + '"\\' * 100_000, "this is no TOML: "),
    "openings": (HEAD + "[[opening]]\n" * 38_000, "found 38,000, wanted at most 1,000 of them"),
    "cloths": (
        'title = "t"\n' + "".join(f"[cloth.c{i}]\n" for i in range(30_000)) + OPENING,
        "[cloth]: found 30,000, wanted at most 1,000 of them",
    ),
    "flaws": (
        HEAD + '[[cloth.c.piece]]\nname = "p"\nlength = 9\nflaws = [' + "{}," * 90_000 + "]\n",
        "found 90,000, wanted at most 1,000 of them",
    ),
    "unknown keys": (HEAD + "".join(f"k{i} = 1\n" for i in range(40_000)), "k0: no such key"),
    "bytes": (HEAD + "#" * 500_001, "this is too large for a job file, which has at most 500,000"),
}


@pytest.mark.parametrize("name", SMALL_BUT_ENDLESS)
def test_toml_that_would_take_all_there_is(tmp_path: Path, name: str) -> None:
    text, says = SMALL_BUT_ENDLESS[name]
    path = tmp_path / "job.toml"
    path.write_text(text, encoding="utf-8")
    told = refusal(path)
    assert any(says in line for line in told)
    assert len(told) <= 103
    assert max(map(len, told)) < 1000
    assert "sys." not in "".join(told)


def test_what_stands_in_texts_and_comments_is_not_counted(tmp_path: Path) -> None:
    path = tmp_path / "job.toml"
    many = "." * 50 + "[" * 50
    texts = f'# {many}\nstep = \'1/8 in\' # {many}\nunits = "in" # """ {many}\n'
    path.write_text(HEAD.replace('"t"\n', f'"{many}"\n{texts}') + OPENING, encoding="utf-8")
    assert read_job(path).title == many


@pytest.mark.parametrize(
    "sign",
    [*"\u200b\u200d\u2060\ufeff\u00ad\u202e\u2066\u200f\u061c\u0007\u0085\u2028\u034f\u3164\ufe0f\ue000\ufffe",
     "\U000e0041", "\U000e0101"],
)  # fmt: skip
def test_a_name_holds_nothing_that_cannot_be_seen(tmp_path: Path, sign: str) -> None:
    path = tmp_path / "job.toml"
    for text in (
        HEAD + OPENING.replace('"W"', f'"W\\U{ord(sign):08x}"'),
        HEAD.replace('"t"', f'"t\\U{ord(sign):08x}"') + OPENING,
        HEAD.replace(".c]", f'."c\\U{ord(sign):08x}"]') + OPENING,
        HEAD + OPENING + f'[[cloth.c.piece]]\nlength = 9\nname = "p\\U{ord(sign):08x}"\n',
    ):
        path.write_text(text, encoding="utf-8")
        (told,) = refusal(path)
        assert "each of which can be seen" in told
        assert sign not in told


# --- workbooks ----------------------------------------------------------------------------------


def swapped(path: Path, part: str, change: Callable[[bytes], bytes]) -> Path:
    """A starter workbook with one of its parts changed."""
    plain = path.with_name("plain.xlsx")
    write_starter_xlsx(plain)
    with zipfile.ZipFile(plain) as old, zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as new:
        for name in old.namelist():
            new.writestr(name, change(old.read(name)) if name == part else old.read(name))
    plain.unlink()
    return path


def after_rows(more: bytes) -> Callable[[bytes], bytes]:
    return lambda sheet: sheet.replace(b"</sheetData>", more)


INSTRUCTIONS, OPENINGS = (f"xl/worksheets/sheet{i}.xml" for i in (1, 9))
NOTE = b'<row><c t="inlineStr"><is><t>a note that nobody needs to read</t></is></c></row>'


def test_merges_over_everything_are_told_in_a_line(tmp_path: Path) -> None:
    every = b'<mergeCell ref="A1:XFD1048576"/>'
    merge = b"</sheetData><mergeCells>" + every * 200_000 + b"</mergeCells>"
    path = swapped(tmp_path / "job.xlsx", OPENINGS, after_rows(merge))
    assert path.stat().st_size < 300_000
    with pytest.raises(JobError) as raised:
        read_job(path)
    (problem,) = raised.value.problems
    assert problem.found == "a part of the merged cells A1:XFD1048576"


def test_notes_and_merges_of_any_size_are_passed_over(tmp_path: Path) -> None:
    merge = b'</sheetData><mergeCells><mergeCell ref="W1:XFD1048576"/></mergeCells>'
    for part, more in ((OPENINGS, merge), (INSTRUCTIONS, NOTE * 500_000 + b"</sheetData>")):
        path = swapped(tmp_path / "job.xlsx", part, after_rows(more))
        assert path.stat().st_size < 300_000
        assert len(read_job(path).openings) == 3


@pytest.mark.skipif(os.name == "nt", reason="memory is limited otherwise there")
@pytest.mark.parametrize("what", mostly_slow(["notes", "bomb", "far out", "dotted key"], 4))
def test_refusals_take_little_time_and_memory(tmp_path: Path, what: str) -> None:
    """The whole command, start to end, within a gigabyte; it used to take up to twelve."""
    import resource

    path, says = tmp_path / "job.xlsx", "wanted at most 24,000,000"
    match what:
        case "notes":
            swapped(path, OPENINGS, after_rows(NOTE * 500_000 + b"</sheetData>"))
        case "bomb":
            swapped(path, OPENINGS, lambda _: b" " * 500_000_000)
        case "far out":
            far = b'<row r="1048576"><c r="XFD1048576"><v>1</v></c></row></sheetData>'
            swapped(path, OPENINGS, after_rows(far))
            says = "job.xlsx, sheet Openings: found something as far out as XFD1048576"
        case _:
            path, says = tmp_path / "job.toml", KEY
            path.write_text(SMALL_BUT_ENDLESS["dotted key"][0])
    ended = subprocess.run(
        [sys.executable, "-m", "shadewright", "check", str(path)],
        capture_output=True,
        text=True,
        check=False,
        timeout=60,
        preexec_fn=lambda: resource.setrlimit(resource.RLIMIT_AS, (2**30, 2**30)),
    )
    assert ended.returncode == 2
    assert says in ended.stderr
    assert len(ended.stderr.splitlines()) == 1


# --- plan files ---------------------------------------------------------------------------------


BAD_PLANS: dict[str, tuple[str, str]] = {
    "deep lists": ("[" * 100_000, "found brackets within brackets without end"),
    "deep objects": ('{"a":' * 100_000, "found brackets within brackets without end"),
    "digits": ("[\n 1, " + "9" * 5_000 + "]", "line 2, column 5: found a number of 5,000 digits"),
    "a number without end": ("[1e999]", "found no JSON"),
    "lists and objects": ("[" + "{}," * 400_000, "found 400,001 lists and objects, wanted at most"),
    "entries": ('{"shades": [' + "1," * 60_000 + "1]}", "shades: found 60,001 entries"),
    "entries of an entry": (
        '{"making": [{"hooks": [' + "1," * 2_000 + "1]}]}",
        "making[0].hooks: found 2,001 entries, wanted at most 1,000",
    ),
    "bytes": (" " * 20_000_001, "this is too large for a plan file"),
}


@pytest.mark.parametrize("name", BAD_PLANS)
def test_plan_files_that_would_take_all_there_is(tmp_path: Path, name: str) -> None:
    text, says = BAD_PLANS[name]
    path, job = tmp_path / "plan.json", tmp_path / "job.toml"
    path.write_text(text, encoding="utf-8")
    job.write_text(HEAD + OPENING, encoding="utf-8")
    with pytest.raises(JobError) as caught:
        plan_data(path)
    (told,) = str(caught.value).splitlines()
    assert says in told
    assert "sys." not in told
    for words in (["replay", job, path], ["plan", job, "--after", path]):
        ended = CliRunner().invoke(app, list(map(str, words)))
        assert ended.exit_code == 2
        assert says in ended.stderr


def test_a_plan_of_another_shape_is_not_told_to_the_end() -> None:
    job = job_of(HEAD + OPENING)
    parts = ("shades", "panels", "drops", "pieces", "making", "wood")
    faults = judge(job, {part: [{}] * 50_000 for part in parts})
    assert 100 < len(faults) < 10_000
    shades = [dict.fromkeys(("id", "opening"), "a")] * 250
    faults = judge(job, {"shades": [*shades, 3]})
    assert "plan file shades 1 copy: is missing" in faults
    assert not any("shades 251" in fault for fault in faults)


def test_a_fault_of_shape_far_down_a_list_is_told_by_its_number(tmp_path: Path) -> None:
    job, path = tmp_path / "job.toml", tmp_path / "plan.json"
    job.write_text(HEAD + OPENING, encoding="utf-8")
    assert CliRunner().invoke(app, ["plan", str(job), "--json", str(path)]).exit_code == 0
    plan = json.loads(path.read_text(encoding="utf-8"))
    plan["shades"] = plan["shades"] * 250
    plan["shades"][230] = plan["shades"][230] | {"left": "x"}
    assert judge(read_job(job), plan) == ["plan file shades 231 left: should be a valid integer"]


def test_sticks_are_not_each_compared_with_all() -> None:
    job = job_of(HEAD + OPENING)
    inch = 8128
    wood = [
        StickUse(stick="board", stock=96 * inch, cuts=[StickCut(shade="s", length=40 * inch)])
        for _ in range(30_000)
    ]
    assert list(sticks_are_sold(Trial(job, Plan.model_construct(wood=wood)))) == []
    wood.append(
        StickUse(stick="rod", stock=50 * inch, cuts=[StickCut(shade="s", length=30 * inch)])
    )
    (fault,) = sticks_are_sold(Trial(job, Plan.model_construct(wood=wood)))
    assert fault.startswith('stick 30001: a rod 50" long is not sold')
