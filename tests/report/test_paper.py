"""Paper as a helper reads it: half-drop porch, lined metric job, and what is seen on each page."""

from __future__ import annotations

import re
import tempfile
from fractions import Fraction
from functools import cache
from itertools import combinations, pairwise
from pathlib import Path

import pytest
from pdf_pages import Page, pages

import samples
from shadewright.answers import Since
from shadewright.cloth.plan import Plan
from shadewright.job.model import Job, Make
from shadewright.job.read import read_job
from shadewright.measure import TICKS
from shadewright.planning.go_on import go_on
from shadewright.planning.make import make_plan
from shadewright.report.pages.booklet import booklet_data, save_booklet
from shadewright.report.pages.drawing import Drawing, Line, printed_width
from shadewright.report.pages.roll_map import draw_roll
from shadewright.report.pages.roll_rows import pages_of, rows_of_pieces
from shadewright.report.pages.shade_views import ViewRoom, draw_views
from shadewright.report.work.account import Account
from shadewright.report.work.words import goal_called

EXAMPLES = Path(__file__).parents[2] / "examples"
LEAF, LINED, STRIPED = "porch-leaf", "veranda", "awning"


@cache
def planned(name: str) -> tuple[Job, Plan]:
    job = read_job(EXAMPLES / f"{name}.toml")
    return job, make_plan(job, 5).plan


@cache
def account(name: str) -> Account:
    if name == "half cut":
        job, before = planned(LEAF)
        done = frozenset(("leaf", "bolt", number) for number in range(1, 9))
        return Account(job, go_on(job, before, Since(done), seconds=5).plan, before=before)
    return Account(*planned(name))


@cache
def printed(name: str) -> list[Page]:
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "book.pdf"
        save_booklet(file, account(name))
        return pages(file.read_bytes())


def plain(text: str) -> str:
    """A text without blanks at which no line ends."""
    return text.replace("\u00a0", " ")


def lines(page: Page) -> list[str]:
    """What stands on a page, line by line."""
    found: dict[float, list[str]] = {}
    for run in sorted(page.runs, key=lambda run: (-round(run.bottom), run.left)):
        found.setdefault(round(run.bottom), []).append(run.said.replace("\u00a0", " "))
    return [" ".join(" ".join(said).split()) for said in found.values()]


@pytest.mark.slow
def test_a_porch_in_a_half_drop_print_takes_half_the_pages_it_once_took() -> None:
    assert len(printed(LEAF)) <= 17


@pytest.mark.slow
@pytest.mark.parametrize("name", [LEAF, LINED, STRIPED, "half cut"])
def test_no_heading_is_left_alone_at_the_end_of_a_page(name: str) -> None:
    """The first card of a piece, or that its first drops are cut, stands below its heading."""
    seen = 0
    for page in printed(name):
        said = lines(page)
        for at, line in enumerate(said):
            if line.startswith("Cutting "):
                assert any(each.startswith(("Drop", "✓ done")) for each in said[at:]), said
                seen += 1
    assert seen == len(account(name).lays)


@pytest.mark.slow
def test_a_list_that_goes_on_on_the_next_page_says_of_which_card() -> None:
    found = printed(LEAF)
    cards = [card for piece in booklet_data(account(LEAF))["pieces"] for card in piece["cards"]]
    long = next(card for card in cards if len(card["drops"]) > 10)
    begun = next(
        i for i, page in enumerate(found) if any(x.startswith(long["name"]) for x in lines(page))
    )
    ends = {
        i
        for i, page in enumerate(found)
        for row in long["drops"]
        if plain(row["panels"]) in plain(page.text)
    }
    assert ends == {begun, begun + 1}
    assert f"{long['name']}, continued" in found[begun + 1].text
    assert "continued" not in found[begun].text


@pytest.mark.slow
@pytest.mark.parametrize("name", [LEAF, LINED, STRIPED, "half cut"])
def test_names_in_lists_of_drops_are_not_broken(name: str) -> None:
    told = {line for page in printed(name) for line in lines(page)}
    for piece in booklet_data(account(name))["pieces"]:
        for card in piece["cards"]:
            for row in [] if card["done"] else card["drops"]:
                for part in row["panels"].replace("\u00a0", " ").split(";\n"):
                    assert any(part in line for line in told), part


@pytest.mark.slow
@pytest.mark.parametrize("name", [LEAF, LINED, "half cut"])
def test_no_length_is_broken_over_two_lines(name: str) -> None:
    for page in printed(name):
        for above, line in pairwise(lines(page)):
            assert not (re.match("(cm|m|mm|yd)\\b", line) and above[-1].isdigit()), line
            assert not (re.match("[0-9]", line) and above.endswith(" yd")), line


@pytest.mark.slow
def test_of_lined_shades_it_is_said_which_panel_is_the_lining() -> None:
    said = [card["said"].replace("\u00a0", " ") for card in booklet_data(account(LINED))["making"]]
    assert any("made of panels 4 and 6, lined with panels 12 and 14" in each for each in said)
    wash = [step for card in booklet_data(account(LINED))["making"] for step in card["steps"]]
    assert {step["words"] for step in wash if step["name"] == "Wash"} == {
        "Wash and press both panels before you sew: their cut size allows for shrinking."
    }


@pytest.mark.slow
def test_zero_stays_at_the_print_when_a_piece_goes_on() -> None:
    said = " ".join(" ".join(page.text for page in printed("half cut")).split())
    assert "stays where it was when this piece was whole: at its first motif row." in said
    assert "from where it first began" not in said
    assert "Those in grey are of panels that are cut already." in said
    assert "Those in grey" not in " ".join(page.text for page in printed(LEAF))


def test_money_that_counts_the_work_of_shades_says_so() -> None:
    job, _ = samples.mixed()
    bare = job.model_copy(update={"prices": None, "make": make(job, shade_cost=None)})
    assert goal_called(bare, "money") == "Money, with 1 yd of cloth counted for each shade"
    for known in (make(job, shade_cost=Fraction(9)), make(job, shade_cost=None, extra_shade=0)):
        assert goal_called(bare.model_copy(update={"make": known}), "money") == "Money"


def make(job: Job, **changes: object) -> Make:
    yard = {"extra_shade": TICKS["yd"]}
    return job.make.model_copy(update=yard | changes)


# --- Pictures ------------------------------------------------------------------------------------


def crossed(drawing: Drawing) -> list[str]:
    """Figures that a dashed upright line leads through."""
    uprights = [
        line
        for line in drawing.lines
        if line.dashes == (1, 1) and line.points[0][0] == line.points[1][0]
    ]

    def through(line: Line, box: tuple[float, float, float, float]) -> bool:
        x, (low, high) = line.points[0][0], sorted(y for _, y in line.points)
        left, bottom, right, top = box
        return left < x < right and low < bottom and high > top

    return [
        text.said for text in drawing.texts if any(through(line, text.box) for line in uprights)
    ]


@pytest.mark.slow
@pytest.mark.parametrize("name", [LEAF, LINED, STRIPED])
def test_no_line_leads_through_a_figure(name: str) -> None:
    found = account(name)
    drawings = [draw_views(found.job, card, ViewRoom(1.18, 2.1, 10)) for card in found.cards]
    drawings += [draw_views(found.job, card, ViewRoom(2.2, 3.6, 8)) for card in found.cards]
    assert [crossed(drawing) for drawing in drawings if crossed(drawing)] == []
    for drawing in drawings:
        flat = [text.box for text in drawing.texts if not text.upright]
        for one, other in combinations(flat, 2):
            if abs(one[1] - other[1]) < 0.01:
                assert one[2] + 0.04 < other[0] or other[2] + 0.04 < one[0]
        for text in drawing.texts:
            left, _, right, _ = text.box
            assert -0.01 <= left < right <= drawing.width + 0.01
            assert right - left == pytest.approx(
                text.high if text.upright else printed_width(text.said, text.size, bold=text.bold)
            )


@pytest.mark.slow
def test_the_roll_is_drawn_smaller_where_that_saves_a_page() -> None:
    found = account(LEAF)
    (rows,) = rows_of_pieces(found)
    assert len(pages_of(rows)) == len(list(draw_roll(found))) == 2
    (other,) = rows_of_pieces(account(STRIPED))
    assert rows[0].scale < other[0].scale
    assert rows[0].lay.cloth.width * rows[0].scale > 0.95, "and no smaller than can be read"
