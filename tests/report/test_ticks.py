"""A helper's ticks: what is read from a workbook that people and programs have been at."""

from __future__ import annotations

import json
import shutil
import subprocess
import zipfile
from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest
from openpyxl import Workbook, load_workbook
from openpyxl.worksheet.worksheet import Worksheet
from typer.testing import CliRunner

import samples
from shadewright.answers import Since
from shadewright.cli.app import app
from shadewright.cloth.plan import Plan, mark
from shadewright.job.model import Job
from shadewright.report.sheets.book import PlanBook
from shadewright.report.sheets.cutting_order import put_cutting_order
from shadewright.report.sheets.since import Statement, since
from shadewright.report.sheets.ticks import boxes
from shadewright.report.work.account import Account

# Step 1 squares up, step 2 takes drop 1 off, steps 3 to 6 part it; drops 2 and 3 follow.
ASKED, MADE = samples.mixed()
HEAD, FIRST, OFF = 3, 6, 7
CLOTH = MADE.drops[0].cloth


def write(path: Path, asked: Job, made: Plan) -> Path:
    """The sheet alone: the pictures of the others take their time."""
    sheets = PlanBook(asked, ["Cutting order"])
    put_cutting_order(sheets.sheets[0], Account(asked, made))
    sheets.save(path)
    return path


def book(path: Path, change: Callable[[Worksheet], object], made: Plan = MADE) -> Path:
    """The plan's workbook, changed by somebody and saved again."""
    sheets = load_workbook(write(path, ASKED, made))
    change(sheets["Cutting order"])
    sheets.save(path)
    return path


def read(path: Path, done: str = "") -> Since:
    return since(ASKED, MADE, Statement([done] if done else [], done_from=path))


def refused(path: Path, job: Job = ASKED, made: Plan = MADE) -> str:
    with pytest.raises(ValueError, match="--done") as why:
        since(job, made, Statement(done_from=path))
    return str(why.value)


def off_rows(sheet: Worksheet) -> list[int]:
    """The rows in which drops come off, top to bottom."""
    return [
        row
        for row in range(HEAD + 1, sheet.max_row + 1)
        if any("comes off" in str(cell.value) and cell.column > 9 for cell in sheet[row])
    ]


def tick(sheet: Worksheet, *drops: int, mark: object = "x") -> None:
    for drop in drops:
        sheet.cell(off_rows(sheet)[drop - 1], 1).value = mark


def drops(*numbers: int) -> frozenset[tuple[str, str, int]]:
    return frozenset((CLOTH, "bolt", number) for number in numbers)


def test_the_sample_is_as_these_tests_take_it(tmp_path: Path) -> None:
    sheet = load_workbook(book(tmp_path / "p.xlsx", lambda _: None))["Cutting order"]
    assert sheet.cell(HEAD, 1).value == "Done"
    assert sheet.cell(FIRST, 2).value == 1
    assert off_rows(sheet)[0] == OFF
    assert len(off_rows(sheet)) == len(MADE.drops) == 3


# --- marks ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "said",
    ["x", "X", " x ", "✓", "✔", "✔\ufe0f", "☑", "yes", "Y", "Done", "1", "TRUE", True, 1, 1.0],
)
def test_a_clear_yes(tmp_path: Path, said: object) -> None:
    path = book(tmp_path / "p.xlsx", lambda sheet: tick(sheet, 1, mark=said))
    assert read(path) == Since(drops(1))


@pytest.mark.parametrize(
    "said",
    [None, "", " ", "\xa0\t", "\u200b", "no", "N", "No ", "-", "–", "0", "FALSE", False, 0, 0.0],
)
def test_a_clear_no(tmp_path: Path, said: object) -> None:
    path = book(tmp_path / "p.xlsx", lambda sheet: tick(sheet, 1, mark=said))
    assert read(path) == Since(frozenset())


@pytest.mark.parametrize(
    ("said", "shown"),
    [
        ("?", '"?"'),
        ("half", '"half"'),
        ("not done", '"not done"'),
        ("xx", '"xx"'),
        (2, "2"),
        (0.5, "0.5"),
        (-1, "-1"),
        (date(2026, 6, 3), "the date or time 2026-06-03"),
        ("=TRUE", "a formula"),
        ('="x"', "a formula"),
    ],
)
def test_what_is_neither_is_refused_with_its_cell(tmp_path: Path, said: object, shown: str) -> None:
    path = book(tmp_path / "p.xlsx", lambda sheet: tick(sheet, 1, mark=said))
    message = refused(path)
    assert f"Cutting order!A{OFF}: found {shown}" in message
    assert "wanted a tick such as x, or nothing" in message


def test_a_formula_is_refused_with_its_answer_too(tmp_path: Path) -> None:
    """Only another program stores answers, so one is put into the file by hand."""
    path = book(tmp_path / "p.xlsx", lambda sheet: tick(sheet, 1, mark="=TRUE"))
    inside = {}
    with zipfile.ZipFile(path) as archive:
        for name in archive.namelist():
            inside[name] = archive.read(name)
    name = "xl/worksheets/sheet1.xml"
    before = inside[name]
    inside[name] = before.replace(b"<f>TRUE</f><v />", b"<f>TRUE</f><v>1</v>").replace(
        b"<f>TRUE</f><v></v>", b"<f>TRUE</f><v>1</v>"
    )
    assert inside[name] != before
    with zipfile.ZipFile(path, "w") as archive:
        for each, data in inside.items():
            archive.writestr(each, data)
    assert f"Cutting order!A{OFF}: found a formula" in refused(path)


def test_all_problems_are_told_at_once(tmp_path: Path) -> None:
    def change(sheet: Worksheet) -> None:
        tick(sheet, 1, mark="perhaps")
        tick(sheet, 2, mark=7)
        sheet.cell(off_rows(sheet)[2], 3).value = "Cut as you like."

    message = refused(book(tmp_path / "p.xlsx", change))
    assert len(message.splitlines()) == 3
    for said in ('"perhaps"', "found 7", '"Cut as you like."'):
        assert said in message


@pytest.mark.parametrize("sign", ["\u2028", "\x85", "\u2029"])
def test_a_mark_that_ends_lines_is_one_problem(tmp_path: Path, sign: str) -> None:
    message = refused(book(tmp_path / "p.xlsx", lambda sheet: tick(sheet, 1, mark=f"1{sign}2")))
    assert len(message.splitlines()) == 1
    assert f'found "1\\u{ord(sign):04x}2", wanted' in message


def test_one_tick_is_not_for_two_steps(tmp_path: Path) -> None:
    """A spreadsheet shows a tick in merged cells for all of them; only the first holds it."""

    def change(sheet: Worksheet) -> None:
        tick(sheet, 1)
        row = off_rows(sheet)[0]
        sheet.merge_cells(start_row=row, end_row=row + 1, start_column=1, end_column=1)

    message = refused(book(tmp_path / "p.xlsx", change))
    row = off_rows(load_workbook(tmp_path / "p.xlsx")["Cutting order"])[0]
    assert f"Cutting order!A{row + 1}: found a part of the merged cells A{row}:A" in message
    assert len(message.splitlines()) == 1


# --- columns and rows ----------------------------------------------------------------------------


def test_columns_may_move(tmp_path: Path) -> None:
    def change(sheet: Worksheet) -> None:
        tick(sheet, 1, 2)
        for merged in list(sheet.merged_cells.ranges):
            sheet.unmerge_cells(str(merged))
        sheet.insert_cols(1)
        sheet.insert_cols(4, 2)
        sheet.cell(HEAD, 1).value = "My notes"
        sheet.cell(OFF, 1).value = "went well"

    assert read(book(tmp_path / "p.xlsx", change)) == Since(drops(1, 2))


def test_done_may_be_the_last_column(tmp_path: Path) -> None:
    def change(sheet: Worksheet) -> None:
        tick(sheet, 1)
        for row in range(HEAD, sheet.max_row + 1):
            if row == HEAD or isinstance(sheet.cell(row, 2).value, int):
                sheet.cell(row, 14).value = sheet.cell(row, 1).value
                sheet.cell(row, 1).value = None

    assert read(book(tmp_path / "p.xlsx", change)) == Since(drops(1))


def test_rows_may_be_sorted_with_their_keys(tmp_path: Path) -> None:
    def change(sheet: Worksheet) -> None:
        tick(sheet, 1)
        rows = [[cell.value for cell in row] for row in sheet.iter_rows(min_row=FIRST)]
        for number, row in enumerate(reversed(rows), FIRST):
            for column, value in enumerate(row, 1):
                sheet.cell(number, column).value = value

    assert read(book(tmp_path / "p.xlsx", change)) == Since(drops(1))


def test_rows_sorted_without_their_keys_are_refused(tmp_path: Path) -> None:
    def change(sheet: Worksheet) -> None:
        tick(sheet, 1)
        one, other = OFF, off_rows(sheet)[1]
        for column in range(1, 10):
            here, there = sheet.cell(one, column), sheet.cell(other, column)
            here.value, there.value = there.value, here.value

    message = refused(book(tmp_path / "p.xlsx", change))
    assert f'Cutting order!B{OFF}: found 6, wanted "2"' in message
    assert f"Cutting order!C{OFF}: found" in message


@pytest.mark.parametrize("heading", ["Done", "Step", "What to do", "At, in", "Comes free"])
@pytest.mark.parametrize("wrong", ["missing", "twice"])
def test_headings_stand_once(tmp_path: Path, heading: str, wrong: str) -> None:
    def change(sheet: Worksheet) -> None:
        tick(sheet, 1)
        cell = next(cell for cell in sheet[HEAD] if cell.value == heading)
        if wrong == "missing":
            cell.value = f"{heading}?"
        else:
            sheet.cell(HEAD, 20).value = heading

    message = refused(book(tmp_path / "p.xlsx", change))
    assert f'of the heading "{heading}", wanted one' in message
    assert "found none" in message if wrong == "missing" else "Cutting order!T3" in message


@pytest.mark.parametrize("column", [2, 3, 4, 5, 9])
def test_a_row_that_says_something_else_is_refused(tmp_path: Path, column: int) -> None:
    def change(sheet: Worksheet) -> None:
        sheet.cell(OFF, column).value = 99 if column == 2 else "another"

    message = refused(book(tmp_path / "p.xlsx", change))
    assert f"Cutting order!{'ABCDEFGHI'[column - 1]}{OFF}: found" in message
    assert "as it was written for step 2" in message


def test_keys_are_the_plans_and_stand_once(tmp_path: Path) -> None:
    def delete_row(sheet: Worksheet) -> None:
        sheet.delete_rows(OFF)

    def delete_key(sheet: Worksheet) -> None:
        sheet.cell(OFF, 10).value = None

    def change_key(sheet: Worksheet) -> None:
        sheet.cell(OFF, 10).value = "2 of something"

    def repeat_row(sheet: Worksheet) -> None:
        for column in range(1, 11):
            sheet.cell(sheet.max_row + (column == 1), column).value = sheet.cell(OFF, column).value

    for change, said in (
        (delete_row, "found no row of step 2"),
        (
            delete_key,
            f"Cutting order!J{OFF}: found nothing, wanted the key of the step that B{OFF}",
        ),
        (change_key, f'Cutting order!J{OFF}: found "2 of something"'),
        (repeat_row, "found step 2 again, wanted it once, as in A7"),
    ):
        assert said in refused(book(tmp_path / f"{change.__name__}.xlsx", change))


def test_a_tick_where_no_step_is(tmp_path: Path) -> None:
    path = book(tmp_path / "p.xlsx", lambda sheet: sheet.cell(4, 1, "x"))
    assert 'Cutting order!A4: found "x", wanted nothing where no step' in refused(path)
    below = book(tmp_path / "q.xlsx", lambda sheet: sheet.cell(sheet.max_row + 2, 1, "x"))
    assert "wanted nothing where no step" in refused(below)


# --- which workbook ------------------------------------------------------------------------------


def test_another_plans_workbook_is_refused(tmp_path: Path) -> None:
    asked, made = samples.three_shades()
    assert "of another plan" in refused(write(tmp_path / "other.xlsx", asked, made))


def test_a_plan_of_the_same_job_with_the_same_steps_is_another(tmp_path: Path) -> None:
    moved = [
        panel.model_copy(update={"x": panel.x + 8}) if i == 0 else panel
        for i, panel in enumerate(MADE.panels)
    ]
    path = book(tmp_path / "p.xlsx", lambda _: None, MADE.model_copy(update={"panels": moved}))
    assert "of another plan" in refused(path)


def test_a_workbook_without_the_mark_is_refused(tmp_path: Path) -> None:
    path = book(tmp_path / "p.xlsx", lambda sheet: sheet.delete_cols(10))
    assert "the mark of the plan is missing" in refused(path)
    twice = book(
        tmp_path / "q.xlsx", lambda sheet: sheet.cell(HEAD, 14, sheet.cell(HEAD, 10).value)
    )
    assert "stands twice" in refused(twice)


def test_what_is_no_workbook_is_refused(tmp_path: Path) -> None:
    text, folder, bare = tmp_path / "a.xlsx", tmp_path / "b.xlsx", tmp_path / "c.xlsx"
    text.write_text("x")
    folder.mkdir()
    Workbook().save(bare)
    assert "no workbook" in refused(text)
    assert "folder" in refused(folder)
    assert "no such file" in refused(tmp_path / "none.xlsx")
    assert "wanted one named Cutting order" in refused(bare)


@pytest.mark.slow
def test_an_enormous_sheet_is_refused_before_it_is_unpacked(tmp_path: Path) -> None:
    path = book(tmp_path / "p.xlsx", lambda _: None)
    inside = {}
    with zipfile.ZipFile(path) as archive:
        for name in archive.namelist():
            inside[name] = archive.read(name)
    name = "xl/worksheets/sheet1.xml"
    inside[name] = inside[name].replace(b"</sheetData>", b"</sheetData>" + b" " * 200_000_000)
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        for each, data in inside.items():
            archive.writestr(each, data)
    assert path.stat().st_size < 2_000_000
    assert "200," in refused(path)


def test_the_mark_is_of_what_is_cut_and_made() -> None:
    again = Plan.model_validate(json.loads(json.dumps(MADE.model_dump(mode="json", by_alias=True))))
    assert mark(again) == mark(MADE)
    slower = MADE.proof.model_copy(update={"seconds": 17.25})
    assert mark(MADE.model_copy(update={"proof": slower})) == mark(MADE)
    whole = MADE.totals.model_copy(update={"cost": 12})
    point = MADE.totals.model_copy(update={"cost": 12.0})
    marks = {mark(MADE.model_copy(update={"totals": totals})) for totals in (whole, point)}
    assert len(marks) == 1
    assert mark(MADE) not in marks
    fewer = MADE.model_copy(update={"panels": MADE.panels[1:]})
    assert mark(fewer) != mark(MADE)


def test_the_helper_sees_what_was_there_before(tmp_path: Path) -> None:
    sheet = load_workbook(book(tmp_path / "p.xlsx", lambda _: None))["Cutting order"]
    assert sheet.column_dimensions["J"].hidden
    assert not any(sheet.column_dimensions[c].hidden for c in "ABCDEFGHI")
    assert sheet.print_area == f"'Cutting order'!$A$1:$I${sheet.max_row}"
    assert not sheet.protection.sheet
    keys = [sheet.cell(row, 10).value for row in range(HEAD + 1, sheet.max_row + 1)]
    steps = [sheet.cell(row, 2).value for row in range(HEAD + 1, sheet.max_row + 1)]
    assert [key is not None for key in keys] == [isinstance(step, int) for step in steps]


# --- which steps ---------------------------------------------------------------------------------


def test_cuts_within_a_drop_that_has_not_come_off(tmp_path: Path) -> None:
    def change(sheet: Worksheet) -> None:
        sheet.cell(OFF + 1, 1).value = "x"
        sheet.cell(OFF + 2, 1).value = "x"

    path = book(tmp_path / "p.xlsx", change)
    message = refused(path)
    assert f"found ticks within drop {CLOTH}/bolt/1 (A8, A9) and none in A7" in message
    # The command line may say what the boxes do not.
    assert read(path, "1") == Since(drops(1))


def test_drops_come_off_in_order(tmp_path: Path) -> None:
    path = book(tmp_path / "p.xlsx", lambda sheet: tick(sheet, 1, 3))
    third = load_workbook(path)["Cutting order"]
    message = refused(path)
    assert (
        f"--done-from: {path}: Cutting order: found {CLOTH}/bolt/3 "
        f"(A{off_rows(third)[2]}) cut and {CLOTH}/bolt/2 "
        f"(A{off_rows(third)[1]}) before it not" in message
    )
    assert read(path, "2") == Since(drops(1, 2, 3))
    with pytest.raises(ValueError, match=f"found {CLOTH}/bolt/3 cut and {CLOTH}/bolt/1 and"):
        since(ASKED, MADE, Statement(["3"]))


def test_cloth_cut_off_before_a_drop_is_gone(tmp_path: Path) -> None:
    path = book(tmp_path / "p.xlsx", lambda sheet: sheet.cell(FIRST, 1, "x"))
    found = read(path)
    assert found == Since(frozenset(), opened=drops(1))
    assert found.reach(MADE) == {(CLOTH, "bolt"): MADE.drops[0].start}
    both = book(tmp_path / "q.xlsx", lambda s: (s.cell(FIRST, 1, "x"), tick(s, 1)))
    assert read(both) == Since(drops(1))


def test_every_step_has_its_box(tmp_path: Path) -> None:
    for name, build in (("porch", samples.porch), ("lined", samples.lined_metric)):
        asked, made = build()
        found = boxes(asked, made, write(tmp_path / f"{name}.xlsx", asked, made))
        assert [box.step.number for box in found] == list(range(1, len(found) + 1))
        off = [b.step.drop for b in found if b.step.cut.role == "drop comes off"]
        assert off == made.drops


def test_the_command_refuses_with_the_cell(tmp_path: Path) -> None:
    run = CliRunner().invoke
    sunroom = Path(__file__).parents[2] / "examples" / "sunroom.toml"
    plan, path = tmp_path / "plan.json", tmp_path / "plan.xlsx"
    assert run(app, ["plan", str(sunroom), "--json", str(plan), "--out", str(path)]).exit_code == 0
    sheets = load_workbook(path)
    sheets["Cutting order"].cell(OFF, 1).value = "maybe"
    sheets.save(path)
    bad = run(app, ["plan", str(sunroom), "--after", str(plan), "--done-from", str(path)])
    assert bad.exit_code == 2
    assert f'{path}: Cutting order!A7: found "maybe"' in bad.stderr


@pytest.mark.slow
def test_saved_by_an_office_program(tmp_path: Path) -> None:
    office = shutil.which("soffice")
    if office is None:
        pytest.skip("LibreOffice is not installed")
    path = book(tmp_path / "p.xlsx", lambda sheet: tick(sheet, 1, 2))
    command = [office, f"-env:UserInstallation={(tmp_path / 'profile').as_uri()}", "--headless"]
    subprocess.run(
        [*command, "--convert-to", "xlsx", "--outdir", str(tmp_path / "again"), str(path)],
        check=True,
        capture_output=True,
        timeout=240,
    )
    assert read(tmp_path / "again" / "p.xlsx") == Since(drops(1, 2))
