"""What people see: the cuts in words, the workbook, the roll map, the terminal."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
from collections import Counter
from collections.abc import Callable, Iterator
from fractions import Fraction
from io import BytesIO
from math import ceil, floor
from pathlib import Path
from typing import Any
from xml.etree import ElementTree
from zipfile import ZipFile

import pytest
from openpyxl import Workbook, load_workbook
from openpyxl.styles import Alignment, Border, Font
from openpyxl.worksheet.worksheet import Worksheet
from PIL import Image

import samples
from jobs import job_of, mostly_slow
from samples import CM, INCH, YARD, cloth, inches, job, make, opening, plan, shades, striped
from shadewright.cloth.plan import Goal, Plan, Proof
from shadewright.job.model import Job
from shadewright.job.read import read_job
from shadewright.planning.make import make_plan
from shadewright.report.pages import roll_rows
from shadewright.report.pages.drawing import (
    FACE,
    LEFT,
    MOTIF,
    PAGE_HEIGHT,
    PAGE_WIDTH,
    Drawing,
    Rectangle,
)
from shadewright.report.pages.making_card import draw_cards
from shadewright.report.pages.picture import pictures_of
from shadewright.report.pages.roll_map import draw_roll
from shadewright.report.pages.roll_motifs import MotifRows, rows_of_motifs
from shadewright.report.pages.wall_view import draw_wall
from shadewright.report.sheets import looks
from shadewright.report.sheets.workbook import SHEETS, write_workbook
from shadewright.report.text.summary import summary
from shadewright.report.work import cautions, words
from shadewright.report.work.account import Account
from shadewright.report.work.cuts import CutLine, cuts_by_drop
from shadewright.report.work.laying import beginning, by_the_print
from shadewright.report.work.lays import PieceLay, lay_out
from shadewright.report.work.offcuts import offcuts
from shadewright.report.work.sections import sections
from shadewright.trade.naive import Naive

SAMPLES = {
    "three shades": samples.three_shades,
    "mixed": samples.mixed,
    "lined metric": samples.lined_metric,
    "porch": samples.porch,
}


def cuts(job: Job, lay: PieceLay) -> list[CutLine]:
    return [cut for _, these in cuts_by_drop(job, lay) for cut in these]


@pytest.fixture(params=SAMPLES)
def sample(request: pytest.FixtureRequest) -> tuple[Job, Plan]:
    return SAMPLES[request.param]()


def one_more(job: Job, plan: Plan) -> Naive:
    """A notepad way that buys a yard or metre more of each cloth, for one shade more."""
    bought = {name: length + job.price_unit for name, length in plan.totals.bought.items()}
    cost = Fraction(0)
    for name, length in bought.items():
        cost += (job.cloth(name).price or 0) * length / job.price_unit
    count = plan.totals.shades + 1
    priced = all(job.cloth(name).price is not None for name in bought)
    return Naive(count, bought, float(cost + job.make.shade_cost * count) if priced else 0.0)


# --- Cuts ---------------------------------------------------------------------------------------


def test_sections_fill_the_line() -> None:
    found = sections(0, 10, [(2, 4, "a"), (4, 7, "b")])
    assert [(s.start, s.end, s.item) for s in found] == [
        (0, 2, None),
        (2, 4, "a"),
        (4, 7, "b"),
        (7, 10, None),
    ]
    assert sections(0, 10, [(0, 10, "a")])[0].item == "a"


def test_cuts_by_hand() -> None:
    """The whole cutting order of the mixed sample, worked out on paper.

    Cut sizes: finished + 4 wide, + 5 long (pockets 1 3/4 and 1 1/2, two turn-unders of 1/2, and
    take-up of 1/2 at the board and a little under 1/4 at the rod). The bolt is 54 with selvedges of
    1/2; rows come every 13 1/2 and the first face's top lies 1 + 2 3/4 from the start.

        drop 1   1       to  86        Door 44 x 85
        drop 2   95 1/2  to 180 1/2    two side lights 22 1/2 x 85    (95 1/2 = 1 + 7 x 13 1/2)
        drop 3   190     to 234        30 3/4 x 17 at 190, 26 x 17 at 217    (190 = 1 + 14 x 13 1/2)
    """
    asked, made = samples.mixed()
    (lay,) = lay_out(asked, made)
    found = cuts(asked, lay)
    assert [(cut.kind, cut.at / INCH) for cut in found] == [
        ("across the piece", 1),
        ("across the piece", 86),
        ("lengthwise", 0.5),
        ("lengthwise", 44.5),
        ("across the piece", 95.5),
        ("across the piece", 180.5),
        ("lengthwise", 0.5),
        ("lengthwise", 23),
        ("lengthwise", 45.5),
        ("across the piece", 190),
        ("lengthwise", 0.5),
        ("lengthwise", 31.25),
        ("across a strip", 17),
        ("lengthwise", 0.5),
        ("lengthwise", 31.25),
        ("across a strip", 10),
        ("across the piece", 234),
        ("trim", 26),
    ]
    freed = {i: [p.number for p in cut.makes] for i, cut in enumerate(found, 1) if cut.makes}
    assert freed == {4: [1], 8: [2], 9: [3], 13: [4], 18: [5]}
    # The third is longer than its longest panel, and cut as one goes: 44 from 190 to 234, but no
    # more than the 27 from the end of panel 4 at 207 to that need lie flat.
    assert [cut.to and cut.to / INCH for cut in found[10:17]] == [
        207,
        207,
        207,
        234,
        234,
        217,
        None,
    ]
    # 95 1/2 is 7 rows and 1 in; 180 1/2 is 13 rows and 5 in, 190 less 1 is 14 rows.
    assert found[4].what == (
        'Leave out 9 1/2", and cut straight across. By the print: 1" past a motif row.'
    )
    assert found[5].what.endswith('By the print: 5" past a motif row.')
    assert found[10].what == (
        'Drop 3: cut lengthwise, only as far as the end of panel 4, 5 yd 27" from zero. '
        "Nearer you: the selvedge; beyond: panels 4 and 5. "
        'Cut as one goes: no more than 27" need lie flat at a time.'
    )
    assert found[12].what == (
        'Drop 3, strip of panels 4 and 5: cut straight across: panel 4 comes free. Check: 5 yd 27" '
        "from zero."
    )
    assert found[12].measured_from == "start end of drop 3"
    assert found[15].what == (
        'Drop 3, strip of panels 4 and 5: cut straight across: 10" left over. Check: 6 yd 1" from '
        "zero."
    )
    assert found[15].measured_from == "this strip's last cut"
    assert found[16].what == 'The rest of the piece, 44" long, is drop 3: true its end.'


def test_every_panel_comes_free_once(sample: tuple[Job, Plan]) -> None:
    lays = lay_out(*sample)
    freed = [p.number for lay in lays for cut in cuts(sample[0], lay) for p in cut.makes]
    assert sorted(freed) == list(range(1, len(sample[1].panels) + 1))


def test_cuts_across_a_piece_only_go_on(sample: tuple[Job, Plan]) -> None:
    for lay in lay_out(*sample):
        along = [c.at for c in cuts(sample[0], lay) if c.kind == "across the piece"]
        assert along == sorted(set(along))
        assert along[-1] == lay.use.used


def test_every_panel_is_what_the_cuts_leave(sample: tuple[Job, Plan]) -> None:
    """Cut the drops again, cut by cut, and find each panel's rectangle among the parts."""
    for lay in lay_out(*sample):
        parts = _cut_up(lay.cloth.width, cuts(sample[0], lay))
        edge = lay.cloth.selvedge
        for panel in (p.panel for p in lay.panels):
            x = panel.x + edge
            assert (x, panel.y, x + panel.across, panel.y + panel.along) in parts


def _cut_up(width: int, made: list[CutLine]) -> set[tuple[int, int, int, int]]:
    """Rectangles (left, top, right, bottom) after cutting as told, in the order told.

    A cut that is measured within a strip may run in any rectangle of its drop where it fits, so
    this keeps every part that any reading of the words gives.
    """
    parts: set[tuple[int, int, int, int]] = set()
    top = 0
    drop: set[tuple[int, int, int, int]] = set()
    start = 0
    ahead: set[tuple[int, int, int, int]] = set()
    for cut in made:
        if cut.to is not None:
            # As one goes, on cloth that still hangs on the piece.
            ahead = ahead or {(0, top, width, 10**9)}
            for left, high, right, low in list(ahead):
                if cut.kind == "across a strip" and high < cut.to < low:
                    ahead |= {(left, high, right, cut.to), (left, cut.to, right, low)}
                if cut.kind == "lengthwise" and left < cut.at < right and high < cut.to:
                    ends = min(cut.to, low)
                    ahead |= {(left, high, cut.at, ends), (cut.at, high, right, ends)}
                    ahead |= {(left, ends, right, low)} if ends < low else set()
            continue
        if cut.kind == "across the piece":
            parts |= drop
            start, drop = top, {(0, top, width, cut.at)}
            drop |= {(a, b, c, min(d, cut.at)) for a, b, c, d in ahead if b < cut.at}
            ahead, top = set(), cut.at
            continue
        fresh = set()
        for left, high, right, low in drop:
            if cut.kind == "lengthwise" and left < cut.at < right:
                fresh |= {(left, high, cut.at, low), (cut.at, high, right, low)}
            if cut.kind == "across a strip" and high < start + cut.at < low:
                at = start + cut.at
                fresh |= {(left, high, right, at), (left, at, right, low)}
            if cut.kind == "trim" and left < left + cut.at < right:
                fresh |= {(left, high, left + cut.at, low), (left + cut.at, high, right, low)}
        drop |= fresh
    return parts | drop


def test_no_cut_where_there_is_no_selvedge_and_no_room_left() -> None:
    """A panel as wide as its cloth, at a square end, takes the one cut that ends its drop."""
    asked = job(
        [opening("Door", 50.5, 80)],
        [cloth(selvedge=0)],
        make=make(square_up=0),
    )
    hung = shades(asked, "Door", [50 * INCH], 0)
    (lay,) = lay_out(asked, plan(asked, hung, {"sailcloth": [[[(hung[0].id, "face")]]]}))
    (only,) = cuts(asked, lay)
    assert only.at == 85 * INCH
    assert [p.number for p in only.makes] == [1]


def test_offcuts_by_hand() -> None:
    """What the mixed sample leaves, from the drawing above `test_cuts_by_hand`."""
    asked, made = samples.mixed()
    found = offcuts(asked, lay_out(asked, made))
    assert [(o.across / INCH, o.along / INCH, o.drop) for o in found] == [
        (22.25, 44, 3),
        (9, 85, 1),
        (8, 85, 2),
        (53, 9.5, 2),
        (53, 9.5, 3),
        (30.75, 10, 3),
    ]


def test_the_end_of_the_bolt_is_left_over() -> None:
    asked, made = samples.porch()
    ends = [o for o in offcuts(asked, lay_out(asked, made)) if o.where == "end of the piece"]
    (use,) = made.pieces
    assert [(o.across, o.along) for o in ends] == [(53 * INCH, use.length - use.used)]


@pytest.mark.parametrize(
    ("start", "says"),
    [
        ("any", 'within 27" of the cut end'),
        ("motif", "must lie at the cut end"),
        (inches(3.5), 'must lie 3 1/2" from the cut end'),
    ],
)
def test_where_the_tape_begins(start: Any, says: str) -> None:
    asked = job([opening("Door", 40.5, 80, cloth="stripe")], [striped(start=start)])
    hung = shades(asked, "Door", [40 * INCH], 0)
    (lay,) = lay_out(asked, plan(asked, hung, {"stripe": [[[(hung[0].id, "face")]]]}))
    assert says in beginning(asked, lay)


def test_plain_cloth_begins_at_its_cut_end() -> None:
    asked, made = samples.three_shades()
    assert (
        beginning(asked, lay_out(asked, made)[0]) == "Zero of the tape is the cut end of the piece."
    )


# --- Words --------------------------------------------------------------------------------------


def test_clean_keeps_text_and_drops_what_steers() -> None:
    assert words.clean("Küche \x1b[31mred\x00\n 2") == "Küche [31mred 2"
    assert words.clean("a\ud800b\uffff") == "a b"


def test_brief_cuts_what_is_too_long() -> None:
    assert words.brief("one two three", 13) == "one two three"
    assert words.brief("one two three", 9) == "one two…"
    assert words.brief("", 9) == ""


def with_goals(made: Plan, *goals: Goal, status: str = "gap") -> Plan:
    proof = Proof(
        status="gap" if status == "gap" else "proved",
        seconds=20,
        goals=list(goals),
        used=made.proof.used,
        used_bound=made.proof.used_bound,
    )
    return made.model_copy(update={"proof": proof})


def test_verdicts() -> None:
    asked, made = samples.three_shades()
    assert words.verdict(asked, made) == "Proved: no plan for this job costs less."
    shy = with_goals(made, Goal(goal="money", value=200.0, bound=189.999))
    # 10.001 / 200 is 5.0 %; the bound is rounded down, so that it stays true.
    assert words.verdict(asked, shy) == (
        "Not proved best. No plan for this job can do better than 189.99, so at most 5.0% could "
        "still be saved."
    )
    half = with_goals(
        made,
        Goal(goal="bought", value=7 * YARD, bound=7 * YARD),
        Goal(goal="shades", value=3, bound=2),
    )
    assert words.verdict(asked, half) == (
        "Proved: no plan for this job buys less cloth. Not every lesser goal is proved."
    )


def test_a_verdict_says_what_is_counted_for_shades() -> None:
    """Where a plan of more shades is cheaper by what is paid, "costs less" alone would be wrong."""
    asked, made = samples.three_shades()
    make = samples.make(extra_shade=YARD // 2, shade_cost=None)
    worth = asked.model_copy(update={"make": make})
    counted = "with 1/2 yd of cloth counted for each shade"
    proved = f"Proved: no plan for this job costs less, {counted}."
    assert words.verdict(worth, made) == proved
    shy = with_goals(made, Goal(goal="money", value=200.0, bound=189.999))
    assert f"better than 189.99 {counted}, so at most" in words.verdict(worth, shy)
    half = with_goals(
        made, Goal(goal="money", value=7.0, bound=7.0), Goal(goal="shades", value=3, bound=2)
    )
    assert words.verdict(worth, half) == f"{proved} Not every lesser goal is proved."
    stated = worth.make.model_copy(update={"shade_cost": Fraction(5)})
    assert "counted" not in words.verdict(worth.model_copy(update={"make": stated}), made)


def test_a_bound_below_the_step_is_not_printed_as_reached() -> None:
    asked, _ = samples.three_shades()
    goal = Goal(goal="used", value=100 * INCH, bound=100 * INCH - 1)
    assert words.goal_bound(asked, goal) == '2 yd 27 15/16"'
    assert words.goal_value(asked, goal.goal, goal.value) == '2 yd 28"'


# --- Terminal -----------------------------------------------------------------------------------


def test_summary_says_what_matters() -> None:
    asked, made = samples.mixed()
    said = " ".join(summary(Account(asked, made, one_more(asked, made))).split())
    for part in (
        "Back porch & stairs",
        # 6 1/2 x 38.50 = 250.25, and 5 x 6.25 = 31.25.
        "6 1/2 yd of stripe at 38.50 a yard: 250.25",
        "5 shades at 6.25 apart from cloth: 31.25",
        "In all: 281.50",
        'Side lights (both copies): 1 shade, 18 1/2" wide and 80" long',
        'Transom: 2 shades, 26 3/4", 22" wide (left to right), 12" long, gap 1/4"',
        # A yard and a shade more: 38.50 + 6.25.
        "It would buy 7 1/2 yd of stripe for 6 shades; this plan buys 1 yd of stripe less and "
        "saves 44.75.",
        "Proved: no plan for this job costs less.",
        # Panels 44 x 85 + 2 x 22.5 x 85 + 30.75 x 17 + 26 x 17 = 8529.75 of 53 x 234 = 12402.
        "31.2% of the usable cloth cut into is waste.",
        'height 80 1/32" was rounded down',
        "Cords can strangle a child",
        "1.6 m (63 in)",
        "Local codes, standards and licensed practice",
    ):
        assert part in said


def test_summary_without_prices_or_notepad() -> None:
    asked, made = samples.lined_metric()
    said = summary(Account(asked, made))
    assert "3 m of linen" in said
    assert "2.1 m of cotton" in said
    assert "no plan for this job buys less cloth" in said
    assert "otepad" not in said
    assert "In all" not in said


def test_summary_tells_an_unproved_goal() -> None:
    asked, made = samples.mixed()
    goals = [
        Goal(goal="money", value=281.5, bound=281.5),
        Goal(goal="shades", value=5, bound=4),
        Goal(goal="used", value=234 * INCH, bound=234 * INCH),
    ]
    said = summary(Account(asked, with_goals(made, *goals)))
    assert "Number of shades: 5; none can beat 4" in said
    assert "Cloth used" not in said


def test_summary_fits_a_terminal(sample: tuple[Job, Plan]) -> None:
    said = summary(Account(*sample, one_more(*sample)))
    assert max(map(len, said.splitlines())) < 78


def test_what_is_left_over_of_one_size_is_told_once() -> None:
    asked = job([opening("Bay", 30.5, 60, copies=3)], [cloth()])
    hung = [s for copy in (1, 2, 3) for s in shades(asked, "Bay", [30 * INCH], 0, copy)]
    made = plan(asked, hung, {"sailcloth": [[[(s.id, "face")]] for s in hung]})
    account = Account(asked, made)
    first = account.offcuts[0]
    alike = sum((o.across, o.along) == (first.across, first.along) for o in account.offcuts)
    assert alike == 3
    tape = asked.tape
    size = f"{tape.short(first.across)} x {tape.short(first.along)} of sailcloth, bolt"
    said = " ".join(summary(account).split())
    assert f"Largest left over: 3 times {size}" in said
    assert said.count(size) == 1


def test_copies_divided_differently_are_told_apart() -> None:
    asked = job([opening("Bay", 94.75, 60, copies=3)], [cloth()])
    alike, unlike = [47 * INCH, 47 * INCH], [46 * INCH, 48 * INCH]
    hung = [
        *shades(asked, "Bay", alike, INCH // 4, 1),
        *shades(asked, "Bay", unlike, INCH // 4, 2),
        *shades(asked, "Bay", alike, INCH // 4, 3),
    ]
    made = plan(asked, hung, {"sailcloth": [[[(s.id, "face")]] for s in hung]})
    assert Account(asked, made).divisions == [
        ("Bay (copies 1 and 3)", '2 shades, each 47" wide and 60" long, gap 1/4"'),
        ("Bay (copy 2)", '2 shades, 46", 48" wide (left to right), 60" long, gap 1/4"'),
    ]


# --- Workbook -----------------------------------------------------------------------------------


def written(path: Path, job: Job, plan: Plan, naive: Naive | None = None) -> Workbook:
    write_workbook(path, Account(job, plan, naive))
    return load_workbook(path)


def sheets(book: Workbook) -> Iterator[Worksheet]:
    for name in book.sheetnames:
        sheet = book[name]
        assert isinstance(sheet, Worksheet)
        yield sheet


def texts(book: Workbook) -> list[str]:
    return [text for sheet in sheets(book) for text in texts_of(sheet)]


def texts_of(sheet: Worksheet) -> list[str]:
    """What its cells say; that a line does not break between some words is left out."""
    return [
        str(cell.value).replace("\xa0", " ")
        for row in sheet.iter_rows()
        for cell in row
        if cell.data_type == "s" and cell.value
    ]


def test_sheets_in_reading_order(tmp_path: Path, sample: tuple[Job, Plan]) -> None:
    book = written(tmp_path / "plan.xlsx", *sample, one_more(*sample))
    assert tuple(book.sheetnames) == SHEETS
    assert SHEETS == (
        "Read first",
        "Cutting order",
        "Panels",
        "Shades",
        "Wood",
        "Hooks and sag",
        "Buy",
        "Quote",
        "Roll map",
        "Wall view",
        "Leftovers",
    )


def test_it_prints(tmp_path: Path, sample: tuple[Job, Plan]) -> None:
    book = written(tmp_path / "plan.xlsx", *sample)
    for sheet in sheets(book):
        assert sheet.page_setup.orientation == "landscape"
        assert (sheet.page_setup.fitToWidth, sheet.page_setup.fitToHeight) == (1, 0)
        assert sheet.sheet_properties.pageSetUpPr.fitToPage
        assert sheet.print_area
        assert sheet.oddFooter.center.text == f"Page &P of &N     {cautions.ON_EVERY_PAGE}"
        assert words.clean(sample[0].title).replace("&", "&&") == sheet.oddHeader.left.text
    for name in ("Cutting order", "Panels", "Shades", "Buy", "Leftovers"):
        heading = re.fullmatch(r"\$(\d+):\$\1", book[name].print_title_rows)
        assert heading
        assert book[name].cell(int(heading[1]), 2).font.b


def test_a_new_piece_begins_a_new_page(tmp_path: Path) -> None:
    asked, made = samples.lined_metric()
    sheet = written(tmp_path / "plan.xlsx", asked, made)["Cutting order"]
    (only,) = sheet.row_breaks.brk
    assert str(sheet.cell(only.id + 1, 1).value).startswith("cotton, bolt: 150\xa0cm wide")


def test_cutting_order_has_a_box_for_every_cut(tmp_path: Path) -> None:
    asked, made = samples.mixed()
    sheet = written(tmp_path / "plan.xlsx", asked, made)["Cutting order"]
    steps = [row for row in sheet.iter_rows(min_row=5) if isinstance(row[1].value, int)]
    assert [row[1].value for row in steps] == list(range(1, 19))
    for row in steps:
        assert row[0].value is None
        assert row[0].border.left.style == row[0].border.bottom.style == "medium"
    assert [row[4].value for row in steps[:4]] == [1, 86, 0.5, 44.5]
    assert {row[4].number_format for row in steps} == {f"# ?/??{looks.OFF_EDGE}"}
    assert [row[5].value for row in steps[:3]] == ["=G6-0", "=G7-G6", None]
    assert steps[3][8].value == "1: Door"
    assert steps[1][3].value == "zero of the tape"
    assert steps[2][3].value == "near edge"
    assert steps[12][3].value == "start end of drop 3"
    assert steps[15][3].value == "this strip's last cut"


def test_shades_in_plain_words(tmp_path: Path) -> None:
    asked, made = samples.mixed()
    sheet = written(tmp_path / "plan.xlsx", asked, made)["Shades"]
    row = next(r for r in sheet.iter_rows(values_only=True) if r[0] == "Transom, 2 of 2")
    assert row == (
        "Transom, 2 of 2",
        1,
        22,
        12,
        21.75,
        27.25,
        "right",
        # 3 in from the shade's edges is 2 7/8 in from the ends of a board 1/4 in short.
        "2\xa07/8, 18\xa07/8",
        20.75,
        "2\xa07/8, 18\xa07/8",
        "30\xa01/4, 46\xa01/4",
        # 2 x 12 + 17 7/8 + 18 + 3 = 62 7/8, and 16 less on the near side.
        63,
        47,
    )
    sag = written(tmp_path / "plan.xlsx", asked, made)["Hooks and sag"]
    row = next(r for r in sag.iter_rows(values_only=True) if r[0] == "Transom, 2 of 2")
    # Two hooks, and seams of 2 x (12 + 3 1/4) + 2 x 22.
    assert (row[1], row[2], row[8]) == (1, 2, 74.5)
    # sqrt(0.625^2 + 4 x 12 x 0.019685 / pi) = 0.832
    assert row[9] == 13 / 16
    said = texts(written(tmp_path / "again.xlsx", asked, made))
    (note,) = [text for text in said if text.startswith("How each shade is made up")]
    for part in ('fold 1" twice', 'turn 1/2" under', '1 3/4" deep', '1 1/2" for the rod'):
        assert part in note


def test_panels_tell_both_sizes_of_lined_shades_and_shades_the_wash(tmp_path: Path) -> None:
    asked, made = samples.lined_metric()
    book = written(tmp_path / "plan.xlsx", asked, made)
    said = texts(book)
    # 130 + 5 + 4 + 2 + take-up of 1.9 = 142.9; the face shrinks by 3 %: 142.85 / 0.97 = 147.3.
    sizes = {row[3]: row[1:3] for row in book["Panels"].iter_rows(values_only=True) if row[3]}
    assert sizes["face"] == (100.5, 147.3)
    assert sizes["lining"] == (100.5, 142.9)
    assert any("a seam of 1 cm joins face and lining" in text for text in said)
    assert any("wash and press" in text for text in said)
    assert "railroaded, top to the far edge" in said


HOSTILE = ('=HYPERLINK("x")', "+1+1", "-2", "@SUM(A1)", "#N/A", "=1\x07+2 & <b>", "日本語 $x_1$ 🪟")


@pytest.mark.parametrize("name", mostly_slow(HOSTILE, 7))
def test_text_of_a_job_stays_text(tmp_path: Path, name: str) -> None:
    asked = job(
        [opening(name, 40.5, 80, cloth=name)],
        [cloth(name)],
        title=name,
        notes=(name,),
    )
    hung = shades(asked, name, [40 * INCH], 0)
    made = plan(asked, hung, {name: [[[(hung[0].id, "face")]]]})
    book = written(tmp_path / "plan.xlsx", asked, made, one_more(asked, made))
    kept = words.clean(name)
    found = [
        cell
        for sheet in sheets(book)
        for row in sheet.iter_rows()
        for cell in row
        if kept in str(cell.value)
    ]
    assert len(found) > 8
    assert {cell.data_type for cell in found} == {"s"}
    assert "\x07" not in "".join(texts(book))
    for suffix in (".pdf", ".png"):
        assert pictures_of(Account(asked, made), suffix)
    for page in pictures_of(Account(asked, made), ".svg"):
        ElementTree.fromstring(page)
    assert "\x07" not in summary(Account(asked, made))


def test_cautions_stand_in_workbook_and_terminal(tmp_path: Path) -> None:
    asked, made = samples.three_shades()
    said = texts(written(tmp_path / "plan.xlsx", asked, made))
    for caution in cautions.CAUTIONS:
        assert caution in said
    whole = " ".join(cautions.CAUTIONS)
    for part in (
        "Cords and children",
        "1.6 m",
        "Safety Standard 2014",
        "hangs over",
        "Local codes",
    ):
        assert part in whole
    assert all(line in summary(Account(asked, made)) for line in cautions.SHORT_CAUTION)
    assert all(len(line) < 78 for line in cautions.SHORT_CAUTION)


def test_nothing_claims_to_be_compliant(tmp_path: Path, sample: tuple[Job, Plan]) -> None:
    said = [*texts(written(tmp_path / "plan.xlsx", *sample)), summary(Account(*sample))]
    said += [page.decode() for page in pictures_of(Account(*sample), ".svg")]
    assert not re.search(r"complian|complies|certified", " ".join(said), re.IGNORECASE)


def test_every_sum_is_a_formula(tmp_path: Path) -> None:
    asked, made = samples.mixed()
    book = written(tmp_path / "plan.xlsx", asked, made, one_more(asked, made))
    totals = {
        "Panels": "J",
        "Shades": "B",
        "Buy": "E",
        "Leftovers": "H",
    }
    for name, column in totals.items():
        assert book[name][f"{column}{book[name].max_row}"].data_type == "f"
    assert [book["Read first"][f"B{row}"].data_type for row in range(4, 9)] == ["f"] * 5


@pytest.mark.slow
def test_formulas_carry_what_they_come_to(
    recalculated: dict[str, Workbook], tmp_path: Path
) -> None:
    """Programs that only show a workbook see the numbers that others work out."""
    for name, build in SAMPLES.items():
        write_workbook(tmp_path / "plan.xlsx", Account(*build(), one_more(*build())))
        ours, theirs = load_workbook(tmp_path / "plan.xlsx", data_only=True), recalculated[name]
        formulas = load_workbook(tmp_path / "plan.xlsx")
        compared = 0
        for sheet in sheets(formulas):
            for cell in (c for row in sheet.iter_rows() for c in row if c.data_type == "f"):
                here = ours[sheet.title][cell.coordinate].value
                there = theirs[sheet.title][cell.coordinate].value
                assert here == pytest.approx(there, abs=1e-9), (sheet.title, cell.coordinate)
                compared += 1
        assert compared > 50


@pytest.fixture(scope="module")
def recalculated(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Workbook]:
    """Every sample's workbook, its formulas worked out afresh by LibreOffice."""
    office = shutil.which("soffice")
    if office is None:
        pytest.skip("LibreOffice is not installed")
    folder = tmp_path_factory.mktemp("books")
    for name, build in SAMPLES.items():
        write_workbook(folder / f"{name}.xlsx", Account(*build(), one_more(*build())))
    done = folder / "done"
    subprocess.run(
        [
            office,
            f"-env:UserInstallation={(folder / 'profile').as_uri()}",
            "--headless",
            "--convert-to",
            "xlsx",
            "--outdir",
            str(done),
            *(str(folder / f"{name}.xlsx") for name in SAMPLES),
        ],
        check=True,
        capture_output=True,
        timeout=240,
    )
    return {name: load_workbook(done / f"{name}.xlsx", data_only=True) for name in SAMPLES}


def row_of(sheet: Any, label: str) -> list[Any]:
    return next(
        list(row) for row in sheet.iter_rows(values_only=True) if str(row[0]).startswith(label)
    )


@pytest.mark.slow
@pytest.mark.parametrize("name", SAMPLES)
def test_formulas_give_the_plans_numbers(recalculated: dict[str, Workbook], name: str) -> None:
    asked, made = SAMPLES[name]()
    book, naive = recalculated[name], one_more(asked, made)
    first, buy, left = book["Read first"], book["Buy"], book["Leftovers"]
    unit = (CM if asked.metric else INCH) / 1
    exactly = {"rel": 1e-12, "abs": 1e-9}

    assert row_of(first, "Shades to make")[1] == made.totals.shades
    assert row_of(book["Shades"], "Shades in all")[1] == made.totals.shades
    for bolt, length in made.totals.bought.items():
        assert row_of(buy, bolt)[2] == length / asked.price_unit
        assert row_of(first, f"Buy of {bolt}")[1] == length / asked.price_unit
    assert row_of(buy, "In all")[4] == pytest.approx(made.totals.cost, **exactly)
    assert row_of(buy, "In all")[6] == pytest.approx(naive.cost, **exactly)
    assert row_of(left, "Waste")[7] == pytest.approx(made.totals.waste, **exactly)
    assert row_of(first, "Waste")[1] == pytest.approx(made.totals.waste, **exactly)
    if made.totals.cost:
        assert row_of(first, "Money")[1] == pytest.approx(made.totals.cost, **exactly)
        saved = naive.cost - made.totals.cost
        assert row_of(first, "Saved")[1] == pytest.approx(saved, **exactly)
        assert row_of(buy, "In all")[8] == pytest.approx(saved, **exactly)

    per = unit**2 * (10_000 if asked.metric else 1296)
    area = sum(p.across * p.along for p in made.panels) / per
    panels = [list(row) for row in book["Panels"].iter_rows(values_only=True)]
    assert panels[-1][0] == len(made.panels)
    assert panels[-1][9] == pytest.approx(area, **exactly)
    kept = sum(o.area for o in offcuts(asked, lay_out(asked, made))) / per
    assert row_of(left, "In all")[7] == pytest.approx(kept, **exactly)

    last = [list(row) for row in book["Cutting order"].iter_rows(values_only=True)][-1]
    use = made.pieces[-1]
    assert last[-4] == pytest.approx(use.used / unit, **exactly)
    assert last[-3] == pytest.approx((use.length - use.used) / unit, **exactly)


@pytest.mark.slow
def test_no_formula_fails(recalculated: dict[str, Workbook]) -> None:
    for book in recalculated.values():
        assert not [text for text in texts(book) if re.match(r"#[A-Z]|Err:", text)]
        for sheet in sheets(book):
            assert not [c for row in sheet.iter_rows() for c in row if c.data_type == "e"]


def test_without_a_notepad_there_is_no_comparison(tmp_path: Path) -> None:
    asked, made = samples.three_shades()
    assert not [t for t in texts(written(tmp_path / "plan.xlsx", asked, made)) if "otepad" in t]


# --- Roll map -----------------------------------------------------------------------------------


def test_pages_fit_their_paper(sample: tuple[Job, Plan]) -> None:
    for drawing in draw_roll(Account(*sample)):
        assert drawing.width == PAGE_WIDTH
        assert drawing.height <= PAGE_HEIGHT


def words_of(drawing: Drawing) -> list[str]:
    return [text.said for text in drawing.texts]


def test_every_panel_is_on_the_map_and_legible(sample: tuple[Job, Plan]) -> None:
    account = Account(*sample)
    drawings = list(draw_roll(account))
    said = [text for drawing in drawings for text in words_of(drawing)]
    assert min(text.size for drawing in drawings for text in drawing.texts) >= 6
    for panel in sample[1].panels:
        name = account.names.of(panel.shade) + (" lining" if panel.part == "lining" else "")
        parts = [part for text in said for part in text.split("   ")]
        assert len([p for p in parts if p == name or p.startswith(f"{name}, ")]) == 1
    for drawing in drawings:
        for text in drawing.texts:
            left, bottom, right, top = text.box
            assert 0 <= left < right <= drawing.width
            assert 0 <= bottom < top <= drawing.height


def test_panels_are_drawn_to_scale() -> None:
    """Three panels of 51 x 83 on cloth 54 wide: sides in the plan's proportion, at one scale."""
    asked, made = samples.three_shades()
    (drawing,) = draw_roll(Account(asked, made))
    drawn = [
        (area.wide, area.high)
        for area in drawing.areas
        if isinstance(area, Rectangle) and area.look.fill == FACE
    ]
    assert len(drawn) == 3
    for wide, high in drawn:
        assert wide / high == pytest.approx(83 / 51)


def test_panels_too_small_for_a_label_go_in_the_key() -> None:
    name = "North-east corner bay beside the kitchen door and the old pear tree"
    asked = job([opening(name, 49.75, 24)], [cloth()])
    hung = shades(asked, name, [8 * INCH] * 6, INCH // 4)
    made = plan(
        asked, hung, {"sailcloth": [[[(s.id, "face")] for s in hung[i : i + 4]] for i in (0, 4)]}
    )
    (drawing,) = draw_roll(Account(asked, made))
    said = words_of(drawing)
    assert [n for n in "123456" if n in said] == list("123456")
    assert said.count('12" × 29"') == 6
    assert f'3   {name}, 3 of 6, 12" × 29"' in said


def test_motif_rows_lie_where_cuts_by_the_print_say() -> None:
    """Rows every 13 1/2 from zero of the tape on, as far as the cloth is shown."""
    asked, made = samples.porch(2)
    account = Account(asked, made)
    (drawing,) = draw_roll(account)
    lines = [line for line in drawing.lines if line.color == MOTIF]
    (use,), (lay,) = made.pieces, account.lays
    assert len(lines) == use.length // inches(13.5) + 1
    (row,) = {round(line.points[0][0], 6) for line in lines[:1]}
    rows = rows_of_motifs(asked, made, lay)
    assert rows is not None
    assert row == pytest.approx(LEFT)
    assert rows.said == ("Thin lines", "motif rows")
    for drop in lay.drops:
        said = by_the_print(asked, lay, drop.drop.start)
        past = min(drop.drop.start - at for at in rows.within(0, drop.drop.start))
        assert said == f" By the print: {asked.tape.short(past)} past a motif row."


@pytest.mark.parametrize("suffix", mostly_slow([".svg", ".pdf", ".png"], 3))
def test_pictures_are_whole_and_the_same_twice(sample: tuple[Job, Plan], suffix: str) -> None:
    drawn = pictures_of(Account(*sample), suffix)
    assert drawn == pictures_of(Account(*sample), suffix)
    if suffix == ".png":
        for page in drawn:
            with Image.open(BytesIO(page)) as image:
                image.verify()
                assert image.width == 150 * PAGE_WIDTH
    elif suffix == ".svg":
        assert all(ElementTree.fromstring(page).tag.endswith("svg") for page in drawn)
    else:
        (held,) = drawn
        assert held.startswith(b"%PDF")
        account = Account(*sample)
        pages = [*draw_roll(account), *draw_wall(account), *draw_cards(account)]
        assert len(re.findall(rb"/Type\s*/Page\b", held)) == len(pages)
        assert not re.search(rb"CreationDate|ModDate|CreateDate|ModifyDate", held)


def test_a_picture_needs_a_known_suffix() -> None:
    with pytest.raises(ValueError, match=r"\.svg, \.pdf or \.png"):
        pictures_of(Account(*samples.three_shades()), ".jpg")


def pictures_in(path: Path) -> list[bytes]:
    with ZipFile(path) as held:
        return [held.read(name) for name in held.namelist() if name.endswith(".png")]


def test_the_workbook_holds_the_map(tmp_path: Path) -> None:
    asked, made = samples.porch()
    drawings = list(draw_roll(Account(asked, made)))
    assert len(drawings) > 1
    sheet = written(tmp_path / "plan.xlsx", asked, made)["Roll map"]
    images = sheet._images
    assert len(images) == len(drawings)
    for image, drawing in zip(images, drawings, strict=True):
        assert image.width / image.height == pytest.approx(drawing.width / drawing.height, rel=0.01)


def test_pictures_in_the_workbook_are_small_and_legible(tmp_path: Path) -> None:
    """At least 100 dots an inch of paper, and no more than some tens of kilobytes a page."""
    asked, made = samples.porch()
    written(tmp_path / "plan.xlsx", asked, made)
    pictures = pictures_in(tmp_path / "plan.xlsx")
    account = Account(asked, made)
    pages = [*draw_roll(account), *draw_wall(account)]
    assert len(pictures) == len(pages)
    for picture in pictures:
        assert len(picture) < 60_000
        with Image.open(BytesIO(picture)) as image:
            assert 100 * PAGE_WIDTH <= image.width <= 150 * PAGE_WIDTH
            # The paper stays white.
            assert image.convert("RGB").getpixel((0, 0)) == (255, 255, 255)


def test_a_workbook_in_a_hurry_leaves_pictures_out_and_says_so(tmp_path: Path) -> None:
    asked, made = samples.mixed()
    naive = one_more(asked, made)
    write_workbook(tmp_path / "whole.xlsx", Account(asked, made, naive))
    write_workbook(tmp_path / "none.xlsx", Account(asked, made, naive), hurry=lambda: True)
    whole, none = (load_workbook(tmp_path / f"{name}.xlsx") for name in ("whole", "none"))
    line = "Left out: stopped while this was drawn."
    assert not pictures_in(tmp_path / "none.xlsx")
    for name in SHEETS:
        if name in ("Roll map", "Wall view"):
            assert texts_of(none[name]) == [line]
            assert not texts_of(whole[name])
        else:
            assert texts_of(none[name]) == texts_of(whole[name])


def test_a_workbook_keeps_the_pictures_drawn_before_the_hurry(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """One processor draws two pictures at a time: of the views of the wall two are there."""
    monkeypatch.setattr(os, "cpu_count", lambda: 1)
    asked, made = samples.porch()
    answers = iter([False, False])
    write_workbook(tmp_path / "plan.xlsx", Account(asked, made), hurry=lambda: next(answers, True))
    book = load_workbook(tmp_path / "plan.xlsx")
    held = {name: book[name]._images for name in ("Roll map", "Wall view")}
    assert [len(images) for images in held.values()] == [2, 2]
    assert texts_of(book["Wall view"]) == ["Left out: stopped while this was drawn."]
    assert not texts_of(book["Roll map"])


def test_a_look_is_made_once_and_not_for_every_cell(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A workbook with many rows makes no more fonts and borders than one with few."""
    made: Counter[str] = Counter()
    for kind in (Font, Border, Alignment):
        monkeypatch.setattr(kind, "__init__", counting(kind.__init__, kind.__name__, made))
    each = []
    for asked, planned in (samples.three_shades(), samples.porch()):
        made.clear()
        write_workbook(tmp_path / "plan.xlsx", Account(asked, planned), hurry=lambda: True)
        each.append(dict(made))
    assert each[0] == each[1]


def counting(make: Callable[..., None], name: str, made: Counter[str]) -> Callable[..., None]:
    def counted(*args: Any, **kwargs: Any) -> None:
        made[name] += 1
        make(*args, **kwargs)

    return counted


# --- Prices typed into the Buy sheet --------------------------------------------------------------


class _Worked:
    """A workbook's formulas worked out by Python: sums, products, and the few functions used.

    What no test here needs to know (a count of sticks) is taken from `given`.
    """

    def __init__(self, book: Workbook, given: dict[str, float]) -> None:
        self.book = book
        self.given = given

    def value(self, sheet: str, cell: str) -> Any:
        cell = cell.replace("$", "")
        if f"{sheet}!{cell}" in self.given:
            return self.given[f"{sheet}!{cell}"]
        found = self.book[sheet][cell].value
        if not isinstance(found, str) or not found.startswith("="):
            return found
        said = re.sub(
            r"(?:'?([\w ]+?)'?!)?(\$?[A-Z]+\$?\d+)(?::(\$?[A-Z]+\$?\d+))?",
            lambda m: f"at({m[1] or sheet!r}, {m[2]!r}, {m[3]!r})",
            found[1:],
        )
        said = re.sub(r"(?<![<>=])=(?!=)", "==", said)
        names = {
            "at": self.at,
            "SUM": lambda cells: sum(c for c in cells if isinstance(c, (int, float))),
            "SUMPRODUCT": lambda a, b: sum((x or 0) * (y or 0) for x, y in zip(a, b, strict=True)),
            "IF": lambda when, then, other: then if when else other,
            "N": lambda value: value if isinstance(value, (int, float)) else 0,
            "ROUND": lambda value, places: floor(value * 10**places + 0.5) / 10**places,
            "ROUNDUP": lambda value, _: ceil(value - 1e-9),
        }
        return eval(said, names)

    def at(self, sheet: str, first: str, last: str | None) -> Any:
        if last is None:
            value = self.value(sheet, first)
            return 0 if value is None else value
        cells = self.book[sheet][f"{first}:{last}".replace("$", "")]
        return [self.value(sheet, cell.coordinate) for row in cells for cell in row]


def priced(
    folder: Path, asked: Job, made: Plan, notepad: Naive, typed: dict[str, float]
) -> tuple[_Worked, dict[str, int]]:
    """The workbook with prices typed in, and the rows of its Buy sheet by name."""
    book = written(folder / "plan.xlsx", asked, made, notepad)
    rows = {str(row[0].value): row[0].row for row in book["Buy"].iter_rows() if row[0].value}
    given = {}
    for name, row in rows.items():
        if "SUMPRODUCT" in str(book["Buy"][f"C{row}"].value):
            given[f"Buy!C{row}"] = 3.0
        if name in typed:
            book["Buy"][f"D{row}"] = typed[name]
    return _Worked(book, given), rows


def at_shade_cost(each: int) -> tuple[Job, Plan]:
    """The mixed sample where a shade costs so much apart from cloth."""
    asked, made = samples.mixed()
    cost = made.totals.cost + (each - float(asked.make.shade_cost)) * made.totals.shades
    facts = asked.make.model_copy(update={"shade_cost": Fraction(each)})
    totals = made.totals.model_copy(update={"cost": cost})
    return asked.model_copy(update={"make": facts}), made.model_copy(update={"totals": totals})


def test_the_notepad_way_takes_whole_things(tmp_path: Path) -> None:
    """One shade more than three takes four thirds of everything, but no third of a board."""
    asked, made = samples.mixed()
    write_workbook(tmp_path / "plan.xlsx", Account(asked, made, one_more(asked, made)))
    sheet = load_workbook(tmp_path / "plan.xlsx", data_only=True)["Buy"]
    rows = [row for row in sheet.iter_rows(values_only=True) if isinstance(row[2], (int, float))]
    (shades,) = [n for n, row in enumerate(rows) if row[0] == "Shades, apart from cloth"]
    ratio = rows[shades][5] / rows[shades][2]
    assert ratio > 1
    parts = 0
    for row in rows[shades + 1 :]:
        assert row[5] == floor(row[2] * ratio + 0.5)
        assert row[7] == row[5] - row[2]
        parts += not float(row[2] * ratio).is_integer()
    assert parts


TYPED = {"Cleats": 3.5, "Cup hooks": 0.6, "Screw eyes": 0.25}


def test_prices_typed_in_count_on_both_sides(tmp_path: Path) -> None:
    asked, made = at_shade_cost(0)
    notepad = one_more(asked, made)
    book, rows = priced(tmp_path, asked, made, notepad, TYPED)
    shades = made.totals.shades
    hooks = sum(len(making.hooks) for making in made.making)
    typed = 3.5 * shades + 0.6 * hooks + 0.25 * (hooks + 3 * shades)
    total = next(row for name, row in rows.items() if name.startswith("In all"))
    assert book.value("Buy", f"E{total}") == pytest.approx(made.totals.cost + typed)
    # One shade more, as dear as each of the others.
    by_hand = notepad.cost + typed * notepad.shades / shades
    assert book.value("Buy", f"G{total}") == pytest.approx(by_hand)
    saved = by_hand - made.totals.cost - typed
    assert book.value("Buy", f"I{total}") == pytest.approx(saved)
    assert saved > notepad.cost - made.totals.cost
    first = book.book["Read first"]
    (row,) = [r[0].row for r in first.iter_rows() if str(r[0].value).startswith("Saved")]
    assert book.value("Read first", f"B{row}") == pytest.approx(saved)


@pytest.mark.parametrize("stated", [True, False])
def test_what_a_shade_costs_stands_for_its_hardware(tmp_path: Path, stated: bool) -> None:
    """Whether the job says it, or it is typed in as well."""
    asked, made = at_shade_cost(12)
    notepad = one_more(asked, made)
    if stated:
        book, rows = priced(tmp_path, asked, made, notepad, TYPED)
    else:
        plain, laid = at_shade_cost(0)
        typed = TYPED | {"Shades, apart from cloth": 12}
        book, rows = priced(tmp_path, plain, laid, one_more(plain, laid), typed)
    total = next(row for name, row in rows.items() if name.startswith("In all"))
    assert book.value("Buy", f"E{total}") == pytest.approx(made.totals.cost)
    assert book.value("Buy", f"G{total}") == pytest.approx(notepad.cost)
    assert book.value("Buy", f"I{total}") == pytest.approx(notepad.cost - made.totals.cost)


def test_cloth_that_only_the_notepad_way_buys_is_counted(tmp_path: Path) -> None:
    asked, made = samples.mixed()
    notepad = one_more(asked, made)
    (name,) = made.totals.bought
    each = float(asked.make.shade_cost)
    on_hand = made.model_copy(
        update={"totals": made.totals.model_copy(update={"bought": {}, "cost": 0})}
    )
    book, rows = priced(tmp_path, asked, on_hand, notepad, {})
    assert book.value("Buy", f"F{rows[name]}") == notepad.bought[name] / YARD
    total = next(row for label, row in rows.items() if label.startswith("In all"))
    saved = notepad.cost - each * made.totals.shades
    assert book.value("Buy", f"I{total}") == pytest.approx(saved)


def test_motif_rows_of_a_piece_are_sought_once(monkeypatch: pytest.MonkeyPatch) -> None:
    porch = read_job(Path(__file__).parents[2] / "examples" / "porch-leaf.toml")
    made = make_plan(porch, seconds=0).plan
    asked: list[str] = []

    def counted(job: Job, plan: Plan, lay: PieceLay) -> MotifRows | None:
        asked.append(lay.use.piece)
        return rows_of_motifs(job, plan, lay)

    monkeypatch.setattr(roll_rows, "rows_of_motifs", counted)
    pages = list(draw_roll(Account(porch, made)))
    assert len(pages) > 1
    # They were sought for every row of the map, among all panels.
    assert asked == ["bolt"]


def test_a_quote_is_cloth_hardware_hours_and_a_mark_up(tmp_path: Path) -> None:
    asked = job_of("""
        title = "one window"
        [cloth.a]
        width = 54
        price = 20
        [prices]
        hook = 0.5
        eye = 0.25
        board = 4
        hour = 24
        minutes = 30
        [[opening]]
        name = "Window"
        width = 40
        height = 50
        """)
    answer = make_plan(asked, 1)
    assert answer.naive is not None
    book, rows = priced(tmp_path, asked, answer.plan, answer.naive, {})
    stock = {stick.stick: stick.stock for stick in answer.plan.wood}
    for kind in ("board", "rod"):
        length = asked.tape.short(stock[kind])
        book.given[f"Buy!C{rows[f'{kind.capitalize()}s, {length} long']}"] = 1
    paid = {
        str(row[0].value): book.value("Quote", f"E{row[0].row}")
        for row in book.book["Quote"].iter_rows(min_row=3)
        if row[0].value
    }
    cloth = answer.plan.totals.bought["a"] / asked.price_unit * 20
    # Two hooks, two eyes above and three below, a board; half an hour.
    assert paid["Cloth"] == pytest.approx(cloth)
    assert paid["Hardware and thread"] == pytest.approx(2 * 0.5 + 5 * 0.25 + 4)
    assert paid["Hours"] == pytest.approx(12)
    assert paid["To quote"] == pytest.approx(cloth + 6.25 + 12)
    assert book.value("Buy", f"E{rows['In all']}") == pytest.approx(cloth + 6.25 + 12)
