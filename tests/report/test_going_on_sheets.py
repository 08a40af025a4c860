"""The workbook of a plan that goes on: what is cut, what changed, where the cloth starts now."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from openpyxl import load_workbook
from openpyxl.worksheet.worksheet import Worksheet

from jobs import job_of
from samples import INCH
from shadewright.answers import PlanAnswer, Since, drop_name
from shadewright.cloth.numbering import panel_numbers
from shadewright.cloth.plan import Drop, Plan
from shadewright.job.model import Job
from shadewright.planning.go_on import go_on
from shadewright.planning.make import make_plan
from shadewright.report.sheets.since import Statement, since
from shadewright.report.sheets.workbook import write_workbook
from shadewright.report.text.summary import summary
from shadewright.report.work.account import Account

BAYS = """
title = "bays"
[cloth.canvas]
width = 54
selvedge = 0.5
{cloth}
[[opening]]
name = "Bay"
width = 40.5
height = 60
copies = {copies}
[[opening]]
name = "Door"
width = 40.5
height = 80
"""


def bays(copies: int = 4, cloth: str = "") -> Job:
    return job_of(BAYS.format(copies=copies, cloth=cloth))


@pytest.fixture(scope="module")
def begun() -> tuple[Job, Plan, PlanAnswer]:
    """Three drops are cut, and what the second was cut for is spoilt."""
    job = bays()
    before = make_plan(job, 2).plan
    done = frozenset(map(drop_name, along(before)[:3]))
    spoilt = next(p.shade for p in before.panels if p.drop == along(before)[1].number)
    answer = go_on(job, before, Since(done, frozenset([spoilt])), seconds=2)
    assert answer.faults == ()
    return job, before, answer


def along(plan: Plan) -> list[Drop]:
    return sorted(plan.drops, key=lambda drop: drop.start)


def account_of(begun: tuple[Job, Plan | None, PlanAnswer]) -> Account:
    job, before, answer = begun
    return Account(job, answer.plan, answer.naive, answer.wood, before=before)


def told(job: Job, answer: PlanAnswer, path: Path) -> dict[str, Worksheet]:
    account = account_of((job, answer.before, answer))
    write_workbook(path, account, hurry=lambda: True)
    return {sheet.title: sheet for sheet in load_workbook(path).worksheets}


def lines(sheet: Worksheet) -> Iterator[str]:
    for row in sheet.iter_rows():
        for cell in row:
            if isinstance(cell.value, str):
                yield cell.value.replace("\xa0", " ")


def test_numbers_stay(begun: tuple[Job, Plan, PlanAnswer]) -> None:
    _, before, answer = begun
    first, spoilt, third, *rest = along(before)
    now = along(answer.plan)
    assert [drop.number for drop in now[:2]] == [first.number, third.number]
    assert [drop.number for drop in now[2:]] == [*range(4, 4 + len(rest) + 1)]
    assert spoilt.number not in {drop.number for drop in now}
    assert panel_numbers(answer.plan) == panel_numbers(before)


def test_what_is_cut_is_ticked_and_grey_and_nothing_is_squared_up_again(
    begun: tuple[Job, Plan, PlanAnswer], tmp_path: Path
) -> None:
    job, before, answer = begun
    book = told(job, answer, tmp_path / "plan.xlsx")
    sheet = book["Cutting order"]
    steps = [row for row in sheet.iter_rows(min_row=6) if isinstance(row[1].value, int)]
    ticked = [row for row in steps if row[0].value == "x"]
    assert {row[2].style for row in ticked} == {"Done"}
    assert {row[2].style for row in steps if row[0].value is None} == {"Changed"}
    assert steps[: len(ticked)] == ticked
    assert 0 < len(ticked) < len(steps)
    after = [str(row[2].value) for row in steps[len(ticked) :]]
    assert not [said for said in after if "quare up" in said]
    starts = along(before)[2].end
    (line,) = [text for text in lines(sheet) if "go on from here" in text.casefold()]
    assert f"now starts {job.tape.long(starts)}" in line
    firsts = [str(row[0].value) for row in sheet.iter_rows()]
    row = next(place for place, text in enumerate(firsts) if "now starts" in text)
    assert firsts[row - 1] == "x"
    assert "x" not in firsts[row:]
    (zero,) = [text for text in lines(sheet) if text.startswith("Zero of the tape")]
    assert zero == (
        "Zero of the tape stays where it was when this piece was whole: at its cut end of then."
    )
    # Read back, the boxes say what was said, and the next plan goes on from there.
    found = since(job, answer.plan, Statement(done_from=tmp_path / "plan.xlsx"))
    assert found.done == {drop_name(drop) for drop in along(answer.plan)[:2]}


def test_the_first_sheet_says_what_changed_and_what_to_buy(
    begun: tuple[Job, Plan, PlanAnswer], tmp_path: Path
) -> None:
    job, before, answer = begun
    said = " ".join(lines(told(job, answer, tmp_path / "plan.xlsx")["Read first"]))
    assert "What is cut, and what has changed" in said
    assert "It is not squared up again" in said
    assert account_of(begun).going_on.said
    assert all(text in said for text in account_of(begun).going_on.said)
    spoilt = along(before)[1]
    (panel,) = [p for p in before.panels if p.drop == spoilt.number]
    number = panel_numbers(before)[panel.shade, panel.part]
    assert f"Cut again, because what was cut of it is spoilt, is panel {number} (" in said
    more = answer.plan.totals.bought["canvas"] - before.totals.bought["canvas"]
    assert more > 0
    assert f"Buy {job.tape.cloth(more)} of canvas more than before." in said
    # Where the shop has cut the first length off, the drop that lies beyond it takes a piece of its
    # own: as long as it is, and the square-up, in whole steps.
    had = before.totals.bought["canvas"]
    (beyond,) = [drop for drop in answer.plan.drops if drop.end > had]
    step = job.cloth("canvas").sold_in
    wanted = -(-(beyond.end - beyond.start + INCH) // step) * step
    assert (
        f"If the first length is cut off already, buy {job.tape.cloth(wanted)} instead, of the "
        f"same bolt or at least the same dye lot, and cut drop {beyond.number} whole from that."
    ) in said


def test_the_terminal_says_what_to_buy_now_and_not_all_of_it_again(
    begun: tuple[Job, Plan, PlanAnswer],
) -> None:
    job, before, answer = begun
    said = " ".join(summary(account_of(begun)).split())
    more = answer.plan.totals.bought["canvas"] - before.totals.bought["canvas"]
    assert f"What to buy now Buy {job.tape.cloth(more)} of canvas more than before." in said
    assert all(text in said for text in account_of(begun).going_on.said)
    assert "Cloth for the whole job, before and now" in said
    assert "Besides cloth, for the whole job" in said
    assert answer.naive is not None
    assert "notepad" not in said, "it knows of no mishap"
    new = " ".join(summary(Account(job, before, answer.naive)).split())
    assert "bays Buy " in new
    assert "The notepad way" in new


def test_all_lost_the_cloth_starts_where_it_was_cut(tmp_path: Path) -> None:
    """Nothing of the first drop is kept, and yet it is off the bolt."""
    job = bays(2)
    before = make_plan(job, 2).plan
    first = along(before)[0]
    lost = frozenset(p.shade for p in before.panels if p.drop == first.number)
    answer = go_on(job, before, Since(frozenset([drop_name(first)]), lost), seconds=2)
    sheet = told(job, answer, tmp_path / "plan.xlsx")["Cutting order"]
    (line,) = [text for text in lines(sheet) if "now starts" in text]
    assert f"now starts {job.tape.long(first.end)}" in line
    # What is gone is not cut off once more: the first cut takes a drop off.
    steps = [row[2].value for row in sheet.iter_rows(min_row=6) if isinstance(row[1].value, int)]
    assert steps[0].startswith("Cut straight across: drop")
    assert not [text for text in lines(sheet) if text.startswith("Square up")]
    assert along(answer.plan)[0].start == first.end > INCH
    # The spoilt cloth is nothing to keep.
    offcuts = Account(job, answer.plan).offcuts
    assert offcuts
    assert all(part.y >= first.end for part in offcuts)


def test_without_a_mishap_the_same_plan_is_told_with_its_ticks(tmp_path: Path) -> None:
    job = bays(2)
    before = make_plan(job, 2).plan
    first = along(before)[0]
    answer = go_on(job, before, Since(frozenset([drop_name(first)])), seconds=2)
    assert [(cut.piece, cut.number) for cut in answer.plan.cut] == [(first.piece, first.number)]
    assert answer.plan.panels == before.panels
    book = told(job, answer, tmp_path / "plan.xlsx")
    assert "No more of canvas is bought than before." in list(lines(book["Read first"]))
    styles = {row[2].style for row in book["Cutting order"].iter_rows(min_row=6) if row[1].value}
    assert "Done" in styles
    assert "Changed" not in styles
