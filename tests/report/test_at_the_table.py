"""What a helper at the table could misread: names cut short, drops of one number, the first cut."""

from __future__ import annotations

import tempfile
from functools import cache
from pathlib import Path

import pytest
from openpyxl import Workbook
from openpyxl.worksheet.worksheet import Worksheet
from pdf_pages import pages

from jobs import job_of
from shadewright.answers import Since
from shadewright.cloth.plan import Plan
from shadewright.job.model import Job
from shadewright.job.read import read_job
from shadewright.planning.go_on import go_on
from shadewright.planning.make import make_plan
from shadewright.report.pages.booklet import booklet_data, save_booklet
from shadewright.report.pages.drawing import DONE, Rectangle, printed_width, shortened_name
from shadewright.report.pages.roll_map import draw_roll
from shadewright.report.sheets.paging import break_pages
from shadewright.report.text.summary import summary
from shadewright.report.work.account import Account
from shadewright.report.work.cuts import cuts_by_drop
from shadewright.report.work.steps import heading_of
from shadewright.report.work.words import brief_name, money, unparted

EXAMPLES = Path(__file__).parents[2] / "examples"
LONG = "The long and winding name of a window that looks out on the lake and the hills beyond it"
BIRD = f"""
title = "Bird"
[cloth.bird]
width = 54
selvedge = 0.5
repeat_down = 18
repeat_across = 13.5
runs = "railroaded"
can_buy = false
[[cloth.bird.piece]]
name = "shelf roll"
length = "6 yd"
start = 3
lot = "A <1>"
[[cloth.bird.piece]]
name = "rest"
length = "5 yd"
start = 1
lot = "B"
[[opening]]
name = "Door"
width = 62.25
height = 40
copies = 2
[[opening]]
name = "{LONG}"
width = 96.25
height = 47
shades = 2
"""


@cache
def bird() -> Account:
    job = job_of(BIRD)
    return Account(job, make_plan(job, seconds=2).plan)


@cache
def leaf() -> tuple[Job, Plan]:
    job = read_job(EXAMPLES / "porch-leaf.toml")
    return job, make_plan(job, seconds=1).plan


@cache
def half_cut() -> Account:
    job, before = leaf()
    drops = sorted((d for d in before.drops), key=lambda d: d.start)[:4]
    done = frozenset((d.cloth, d.piece, d.number) for d in drops)
    spoilt = next(p.shade for p in before.panels if p.drop == drops[2].number)
    after = go_on(job, before, Since(done, frozenset({spoilt})), seconds=2).plan
    return Account(job, after, before=before)


def paper(account: Account) -> list[str]:
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "book.pdf"
        save_booklet(file, account)
        return [" ".join(page.text.split()) for page in pages(file.read_bytes())]


def plain(said: str) -> str:
    return said.replace("\u00a0", " ").replace("\u200b", "")


# --- names ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("name", "end"),
    [
        ("West bay, 2 of 3", ", 2 of 3"),
        ("West bay 1 to 3, 1 and 2 of 3", " 1 to 3, 1 and 2 of 3"),
        ("West bay 12 lining", " 12 lining"),
        ("linen, shelf roll", ", shelf roll"),
        ("West bay", ""),
    ],
)
def test_a_name_that_is_cut_keeps_the_end_that_tells_it_apart(name: str, end: str) -> None:
    long = name.removesuffix(end) + " and what lies beyond it, and a hill or two" + end
    short = brief_name(long, 36)
    assert len(short) <= 36
    assert short.endswith(f"…{end}")
    assert brief_name(name, 36) == name
    shown = shortened_name(long, 10, 2.2)
    assert shown.endswith(f"…{end}")
    assert printed_width(shown, 10) <= 2.2


@pytest.mark.parametrize(
    ("amount", "said"),
    [(2673.125, "2,673.13"), (666.875, "666.88"), (0, "0.00"), (-2.005, "-2.01"), (1e-9, "0.00")],
)
def test_half_a_cent_is_rounded_as_a_spreadsheet_shows_it(amount: float, said: str) -> None:
    assert money(amount) == said


def test_no_line_ends_within_the_place_of_a_shade() -> None:
    assert unparted("Bay 1, 1 and 2 of 2") == "Bay 1, 1\u00a0and\u00a02\u00a0of\u00a02"
    assert unparted("the 3 of them") == "the 3 of them"


def test_no_two_slips_and_no_two_making_cards_read_alike() -> None:
    data = booklet_data(bird())
    slips = [(plain(slip["shade"]), slip["place"]) for slip in data["slips"]]
    assert len({shade for shade, _ in slips}) == len(slips) == 4
    # Both pieces have a drop 1.
    assert len({place for _, place in slips}) == len(set(slips))
    names = [plain(card["name"]) for card in data["making"]]
    assert len(set(names)) == len(names)
    for said in [*(shade for shade, _ in slips), *names]:
        if said.startswith("The long"):
            assert "…" in said
            assert said.endswith(" of 2")


def test_the_dye_lot_of_a_piece_on_hand_is_told_where_it_is_cut() -> None:
    account = bird()
    lots = {"shelf roll": "A <1>", "rest": "B"}
    for lay, piece in zip(account.lays, booklet_data(account)["pieces"], strict=True):
        lot = lots[lay.use.piece]
        assert f"of dye lot {lot};" in plain(piece["laid"][0])
        assert f"dye lot {lot}, " in heading_of(account.job, lay)[0]


@pytest.mark.slow
def test_a_heading_of_a_piece_is_not_parted_from_its_first_card() -> None:
    for said in [*paper(bird()), *paper(half_cut())]:
        if "Cutting " in said:
            assert "Drop" in said.split("Cutting ", 1)[1], said


# --- the first cut -------------------------------------------------------------------------------


def test_the_first_cut_by_the_print_is_measured_from_zero_and_not_from_a_last_cut() -> None:
    account = Account(*leaf())
    first = booklet_data(account)["pieces"][0]["cards"][0]
    froms = [step["from"] for step in first["steps"]]
    several = len(first["drops"]) > 0
    assert froms[0] == (
        "from the last cut; drop 1: from zero" if several else "from zero of the tape"
    )
    assert froms[1] == "from the last cut"
    (lay,) = account.lays
    opening = next(cuts_by_drop(account.job, lay))[1][0]
    # Nobody knows how much of the bolt lies before the first motif row.
    assert opening.what.startswith("Square up: cut straight across. What lies before")
    assert "off" not in opening.what


def test_the_slips_are_cut_out_before_they_are_needed() -> None:
    said = booklet_data(Account(*leaf()))["how_to"]
    assert any(line.startswith("Cut out the slips") for line in said)
    assert any("Thin lines show motif rows." in line for line in said)
    assert not any("“" in line for line in said), "nothing is marked"


# --- going on ------------------------------------------------------------------------------------


def test_the_terminal_says_what_stands_and_what_to_buy_more() -> None:
    account = half_cut()
    said = " ".join(plain(summary(account)).split())
    for line in account.going_on.said:
        assert line in said
    assert "more than before." in said
    assert "Cloth for the whole job, before and now" in said
    assert "What is cut, and what has changed" not in summary(Account(*leaf()))


def test_marks_are_explained_and_cut_panels_are_grey_on_the_roll_map() -> None:
    account = half_cut()
    marks = {
        card["mark"] for card in booklet_data(account)["pieces"][0]["cards"] if not card["done"]
    }
    (told,) = (line for line in booklet_data(account)["how_to"] if "“" in line)
    assert {mark for mark in marks if mark} == {
        mark for mark in ("cut again", "changed", "new place") if f"“{mark}”" in told
    }
    (lay,) = account.lays
    grey = [
        area
        for drawing in draw_roll(account)
        for area in drawing.areas
        if isinstance(area, Rectangle) and area.look.fill == DONE and area.tags
    ]
    assert len(grey) == sum(panel.panel.drop in lay.done for panel in lay.panels) > 0


@pytest.mark.slow
def test_no_remark_is_left_alone_and_no_table_is_parted() -> None:
    job = read_job(EXAMPLES / "awning.toml")
    second = paper(Account(job, make_plan(job, seconds=1).plan))[1]
    assert second.split("How to cut")[0].count("•") != 1
    (table,) = (said for said in paper(half_cut()) if "What counts, in this order" in said)
    assert "Money" in table
    assert "Gaps, added up" in table


def test_who_buys_screw_eyes_reads_how_long_their_screws_may_be() -> None:
    things = booklet_data(bird())["buying"]["things"]
    (eyes,) = (thing for thing in things if thing["what"] == "screw eyes")
    assert plain(eyes["note"]).endswith('their screws no longer than 5/8"')


@pytest.mark.parametrize("kept", [range(26, 40), range(26, 41)])
def test_rows_that_stay_together_begin_a_page_also_where_they_end_a_sheet(kept: range) -> None:
    """As those below the chart of a comparison do."""
    book = Workbook()
    page = book.active
    assert isinstance(page, Worksheet)
    break_pages(page, dict.fromkeys(range(1, 41), 14.0), [10.0] * 8, set(kept))
    assert [each.id for each in page.row_breaks.brk] == [25]
