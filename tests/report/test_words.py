"""Words and ranges as people write them, and refusals in the words of a workbook."""

from __future__ import annotations

import datetime
from pathlib import Path
from typing import Any

import pytest
from openpyxl import Workbook

from commands import run
from jobs import job_of
from shadewright.job.model import Opening
from shadewright.job.problems import JobError
from shadewright.job.ranges import count_ends, length_ends
from shadewright.job.read import read_job
from shadewright.measure import TICKS

INCH, MM = TICKS["in"], TICKS["mm"]
HEAD = 'title = "t"\n[cloth.c]\nwidth = 54\n'
OPENING = '[[opening]]\nname = "W"\nwidth = 140\nheight = 50\n'


def book(path: Path, **sheets: list[list[Any]]) -> Path:
    made = Workbook()
    made.remove(made.worksheets[0])
    least: dict[str, list[list[Any]]] = {
        "Job": [["key", "value"], ["title", "Porch"]],
        "Cloth": [["name", "width"], ["c", 54]],
        "Openings": [["name", "width", "height"], ["West bay", 140, 78]],
    }
    for title, rows in (least | sheets).items():
        sheet = made.create_sheet(title)
        for row in rows:
            sheet.append(row)
    made.save(path)
    return path


# --- ranges -------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "ends"),
    [
        ("2-3", [2, 3]),
        ("2 to 3", [2, 3]),
        ("2–3", [2, 3]),
        ("2 — 3", [2, 3]),
        (" 2 TO 3 ", [2, 3]),
        ("4", 4),
        ("2-3-4", "2-3-4"),
        ("-3", "-3"),
        ("2 to", "2 to"),
        ("two to three", "two to three"),
        ("2 to 3 to 4", "2 to 3 to 4"),
        ("1.5-3", "1.5-3"),
    ],
)
def test_ranges_of_counts(text: str, ends: object) -> None:
    assert count_ends(text) == ends


@pytest.mark.parametrize(
    ("text", "ends"),
    [
        ("1/4 to 1/2", ["1/4", "1/2"]),
        ("1/4-1/2", ["1/4", "1/2"]),
        ("1/4 – 1/2", ["1/4", "1/2"]),
        ("0.25-0.5", ["0.25", "0.5"]),
        ("6 to 12 mm", ["6 mm", "12 mm"]),
        ("6-12 mm", ["6 mm", "12 mm"]),
        ("6 mm-1.2 cm", ["6 mm", "1.2 cm"]),
        ('1/4"-1/2"', ['1/4"', '1/2"']),
        ("1-1/2", "1-1/2"),  # one and a half
        ("1–1/2 in", "1–1/2 in"),
        ("1-1/2 to 2-1/2", ["1-1/2", "2-1/2"]),
        ("1-1/2 - 2-1/2", ["1-1/2", "2-1/2"]),
        ("1/2-1-1/2", ["1/2", "1-1/2"]),
        ("1-1 1/2", ["1", "1 1/2"]),
        ("2-3", ["2", "3"]),
        ("-1/4", "-1/4"),
        ("1/4", "1/4"),
        ("1-2-3", "1-2-3"),
        ("wide", "wide"),
        ("1/4 to", ["1/4", ""]),
    ],
)
def test_ranges_of_lengths(text: str, ends: object) -> None:
    assert length_ends(text, "in") == ends


def test_ranges_are_understood_in_both_forms(tmp_path: Path) -> None:
    rows = [
        ["name", "width", "height", "shades", "gap"],
        ["a", 140, 78, "3-4", "1/4–1/2"],
        ["b", 140, 78, "3 to 4", "1/4 to 1/2 in"],
        ["c", 140, 78, 3, "1-1/2"],
    ]
    openings = read_job(book(tmp_path / "job.xlsx", Openings=rows)).openings
    ranges = {"a": ('"3-4"', "1/4–1/2"), "b": ('"3 to 4"', "1/4 to 1/2 in"), "c": ('"3"', "1-1/2")}
    text = HEAD + "".join(
        OPENING.replace("W", name) + f'shades = {shades}\ngap = "{gap}"\n'
        for name, (shades, gap) in ranges.items()
    )
    for a, b, c in (openings, job_of(text).openings):
        assert a.shades == b.shades == (3, 4)
        assert a.gap == b.gap == (INCH // 4, INCH // 2)
        assert (c.shades, c.gap) == ((3, 3), (3 * INCH // 2, 3 * INCH // 2))


def test_a_date_that_was_a_range_is_told_as_one(tmp_path: Path) -> None:
    rows = [
        ["name", "width", "height", "shades", "gap"],
        ["a", 140, 78, datetime.datetime(2026, 3, 2), datetime.datetime(2026, 2, 1)],
    ]
    path = book(tmp_path / "job.xlsx", Openings=rows)
    with pytest.raises(JobError) as caught:
        read_job(path)
    for told, cell in zip(str(caught.value).splitlines(), ("D2 (shades)", "E2 (gap)"), strict=True):
        assert told.startswith(f"{path}, sheet Openings, cell {cell}: found the date or time 2026-")
        assert "wanted a range; format the cell as text and type it again, as 2 to 3 say" in told


# --- words --------------------------------------------------------------------------------------

WORDS: dict[str, tuple[str, str, str]] = {
    "units": ("Job", "IN ", "in"),
    "runs": ("Cloth", "Up the  Bolt", "up the bolt"),
    "start": ("Cloth", " Motif", "motif"),
    "column_shift": ("Cloth", "HALF", "half"),
    "can_buy": ("Cloth", "No", "no"),
    "take_up": ("Make", "Computed ", "computed"),
    "lining": ("Make", "None", "none"),
    "tassels": ("Make", " YES", "yes"),
    "wood": ("Make", "Red Pine", "red pine"),
    "strategy": ("Match", "Plain", "plain"),
    "centre_on": ("Match", "BETWEEN", "between"),
    "across": ("Match", "Opening", "opening"),
    "anchor": ("Match", "Sill", "sill"),
    "lots": ("Match", "Job", "job"),
    "gaps": ("Fit", "No", "no"),
    "mount": ("Openings", "Outside ", "outside"),
    "widths": ("Openings", " Mirrored", "mirrored"),
    "draw": ("Openings", "LEFT", "left"),
    "cloth": ("Openings", "C", "c"),
}
TABLES = {"Make": "make", "Match": "match", "Fit": "fit"}


@pytest.mark.parametrize("key", WORDS)
def test_words_are_read_without_regard_to_case_and_blanks(tmp_path: Path, key: str) -> None:
    sheet, written, plain = WORDS[key]
    jobs = []
    for word in (written, plain):
        top, cloth, opening, table = "", "", "", ""
        line = f'{key} = "{word}"\n'
        sheets: dict[str, list[list[Any]]] = {}
        match sheet:
            case "Job":
                top, sheets["Job"] = line, [["title", "t"], [key, word]]
            case "Cloth":
                cloth = f"repeat_down = 9\n{line}"
                sheets["Cloth"] = [["name", "width", "repeat_down", key], ["c", 54, 9, word]]
            case "Openings":
                opening = line
                sheets["Openings"] = [["name", "width", "height", key], ["W", 140, 50, word]]
            case _:
                table, sheets[sheet] = f"[{TABLES[sheet]}]\n{line}", [[key, word]]
        sheets.setdefault("Job", [["title", "t"]])
        sheets.setdefault("Openings", [["name", "width", "height"], ["W", 140, 50]])
        text = HEAD.replace("[cloth", f"{top}[cloth") + cloth + table + OPENING + opening
        jobs += [job_of(text), read_job(book(tmp_path / "job.xlsx", **sheets)).made(hook_drop=0)]
    assert jobs[0] == jobs[1] == jobs[2] == jobs[3]
    without = job_of(HEAD + ("repeat_down = 9\n" if sheet == "Cloth" else "") + OPENING)
    usual = {"units", "take_up", "lining", "runs", "cloth"}
    assert (jobs[0] == without) == (key in usual)


def test_blanks_around_a_name_are_no_part_of_it() -> None:
    job = job_of(HEAD + OPENING.replace('"W"', '" W "'))
    assert [opening.name for opening in job.openings] == ["W"]
    assert isinstance(job.openings[0], Opening)


# --- refusals later than reading ----------------------------------------------------------------


NARROW = [["name", "width", "height", "shades"], ["West bay", 140, 78, 1]]
PIECE = [["cloth", "name", "length"], ["c", "shelf roll", "1 yd"]]
LATER: dict[str, tuple[str, dict[str, list[list[Any]]], str]] = {
    "opening": ("plan", {"Openings": NARROW}, "sheet Openings, cell D2 (shades)"),
    "row": (
        "plan",
        {"Openings": [["name", "width", "height"], ["West bay", 0.375, 78]]},
        "sheet Openings, cell B2 (width)",
    ),
    "cloth": ("check", {"Cloth": [["width", "name"], [4, "c"]]}, "sheet Cloth, cell A2 (width)"),
    "left out": (
        "plan",
        {
            # The one only lies railroaded, the other only up the bolt.
            "Cloth": [["name", "width"], ["c", 54]],
            "Openings": [
                ["name", "width", "height", "shades", "widest"],
                ["low", 90, 40, 1, 100],
                ["high", 40, 78, 1, 100],
            ],
        },
        "sheet Cloth, row 2 (runs)",
    ),
    "make": (
        "plan",
        {"Make": [["key", "value"], ["eye_shank", 2]]},
        "sheet Make, cell B2 (eye_shank)",
    ),
    "pocket": (
        "fit",
        {"Make": [["board_pocket", 1]], "Pieces": PIECE},
        "sheet Make, cell B1 (board_pocket)",
    ),
    "sheet": ("plan", {"Make": [["board", 2]]}, "sheet Make (board_pocket)"),
    "no piece": ("fit", {}, "sheet Pieces"),
    "short": (
        "plan",
        {"Cloth": [["name", "width", "can_buy"], ["c", 54, "no"]], "Pieces": PIECE},
        "sheet Pieces",
    ),
}


@pytest.mark.parametrize("name", LATER)
def test_a_refusal_of_a_workbook_names_sheet_and_cell(tmp_path: Path, name: str) -> None:
    command, sheets, where = LATER[name]
    path = book(tmp_path / "porch.xlsx", **sheets)
    result = run(command, path)
    assert result.exit_code == 3
    told = result.stderr.splitlines()
    assert any(line.startswith(f"porch.xlsx, {where}: ") for line in told)
    assert not any(f"[{table}" in result.stderr for table in ("[", "make", "match", "fit", "cloth"))


def test_advice_names_cells_too_and_ranges_without_brackets(tmp_path: Path) -> None:
    cloth = [["name", "width", "repeat_down", "repeat_across"], ["c", 54, 9, 50]]
    path = book(
        tmp_path / "porch.xlsx",
        Cloth=cloth,
        Match=[["strategy", "continuous"]],
        Openings=[["name", "width", "height", "shades"], ["West bay", 90, 78, 2]],
    )
    result = run("plan", path)
    assert result.exit_code == 3
    assert "another strategy (sheet Match, cell B1)" in result.stderr
    gaps = [["name", "width", "height", "gap", "narrowest"], ["W", "95 9/16", 50, 0.25, 40]]
    result = run("plan", book(tmp_path / "gaps.xlsx", Openings=gaps))
    assert result.exit_code == 3
    assert "gaps.xlsx, sheet Openings, cell D2 (gap): " in result.stderr
    assert "; gap: " in result.stderr
    assert "[" not in result.stderr


@pytest.mark.slow
def test_ways_that_cannot_be_made_are_told_in_a_workbooks_words(tmp_path: Path) -> None:
    # Along the roll 576 columns follow one another before one is level with the first.
    keys = ["name", "width", "repeat_down", "repeat_across", "column_shift", "runs"]
    cloth = [keys, ["c", 110, 9, 5, "1/64", "railroaded"]]
    path = book(tmp_path / "porch.xlsx", Cloth=cloth)
    result = run(
        "compare", path, "--choice", "strategies", "--json", tmp_path / "c.json", "--seconds", 4
    )
    assert result.exit_code == 0
    assert "[cloth" not in result.stdout + (tmp_path / "c.json").read_text()
    assert "sheet Cloth" in " ".join(result.stdout.split())


def test_a_text_keeps_its_own_words(tmp_path: Path) -> None:
    path = tmp_path / "job.toml"
    path.write_text(HEAD + OPENING + "shades = 1\n", encoding="utf-8")
    result = run("plan", path)
    assert result.exit_code == 3
    assert '[[opening]] "W" shades: ' in result.stderr
