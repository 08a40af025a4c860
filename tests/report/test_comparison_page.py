"""The comparison on paper: a card for each way, what it says, and that nothing leaves its page."""

from __future__ import annotations

import json
import xml.etree.ElementTree as ET
from functools import cache
from itertools import combinations
from pathlib import Path

import pytest
from pdf_pages import Page, bookmarks, pages
from typer.testing import CliRunner

import samples
from shadewright.answers import NOT_IN_TIME, CaseAnswer, Choice
from shadewright.cli.app import app
from shadewright.cloth.plan import Plan
from shadewright.job.model import Job
from shadewright.measure import TICKS
from shadewright.report.pages.comparison import comparison_data, comparison_pages
from shadewright.report.work.account import Account
from shadewright.report.work.cautions import CAUTIONS, ON_EVERY_PAGE
from shadewright.report.work.comparison import Comparison, bought
from shadewright.report.work.words import money

SIGNS = """#panic("x") $x$ @a [b] \\ "q" <l> *b* _i_ `c` ~ // /* #"""
LEFT, RIGHT = 0.6 * 72, 0.5 * 72
JOB, WHOLE = samples.mixed()


def bought_longer() -> Plan:
    """A plan that buys a foot more than it uses."""
    (use,) = WHOLE.pieces
    length = use.length + TICKS["ft"]
    totals = WHOLE.totals.model_copy(update={"bought": {use.cloth: length}})
    longer = use.model_copy(update={"length": length})
    return WHOLE.model_copy(update={"pieces": [longer], "totals": totals})


LEVEL = bought_longer()


def shorter() -> Plan:
    """A plan that buys a yard less."""
    (use,) = LEVEL.pieces
    length = use.length - samples.YARD
    less = use.model_copy(update={"length": length, "used": use.used - samples.YARD})
    totals = LEVEL.totals.model_copy(update={"bought": {use.cloth: length}})
    return LEVEL.model_copy(update={"pieces": [less], "totals": totals})


def comparison(job: Job = JOB, why: str = "no room") -> Comparison:
    ways: list[tuple[Choice, str, Plan | None]] = [
        ("strategies", "plain", shorter()),
        ("strategies", "level", LEVEL),
        ("strategies", "centred", None),
        ("strategies", "centred-alternate", LEVEL),
        ("strategies", "continuous", LEVEL),
        ("hems", "double hems", LEVEL),
        ("hems", "single hems", LEVEL),
    ]
    answers = [
        CaseAnswer(choice, name, None, plan, why, (), as_asked=name in ("level", "double hems"))
        for choice, name, plan in ways
    ]
    return Comparison(job, answers)


@cache
def printed() -> tuple[list[Page], bytes]:
    job = JOB.model_copy(update={"title": SIGNS, "children": True})
    (held,) = comparison_pages(comparison(job, f"no room for {SIGNS}"), ".pdf", stopped=True)
    return pages(held), held


def test_every_way_has_a_card_with_its_figures() -> None:
    (first, second) = comparison_data(comparison())["choices"]
    assert [way["name"] for way in first["ways"]] == [
        "Plain, no matching",
        "Level",
        "Centred on a motif",
        "Centred, alternating",
        "Continuous print",
    ]
    level = first["ways"][1]
    told = {row["name"]: row["value"].replace("\u00a0", " ") for row in level["figures"]}
    (use,) = LEVEL.pieces
    largest = Account(JOB, LEVEL).offcuts[0]
    tape = JOB.tape
    assert level["amount"] == tape.cloth(bought(LEVEL))
    assert told["Money"] == money(LEVEL.totals.cost)
    assert told["Shades"] == str(LEVEL.totals.shades)
    assert told["Left at the end"] == tape.long(use.length - use.used)
    assert told["Largest left over"] == (
        f"{tape.short(largest.across)} × {tape.short(largest.along)}"
    )
    assert told["More than plain"] == tape.cloth(samples.YARD)
    assert [way.get("least") for way in first["ways"]] == [True, False, None, False, False]
    assert [way["least"] for way in second["ways"]] == [False, False], "both buy as much"
    yours = [way["name"] for way in (*first["ways"], *second["ways"]) if way["yours"] == "your job"]
    assert yours == ["Level", "Double hems"]
    assert first["ways"][2]["why"] == "Centred on a motif: cannot be made. No room"
    assert "stand higher on one shade" in first["ways"][3]["remarks"][0]


def test_a_way_that_might_be_made_yet_is_not_said_to_be_impossible() -> None:
    first, _ = comparison_data(comparison(why=NOT_IN_TIME))["choices"]
    assert first["ways"][2]["why"] == "Centred on a motif: not planned in the time given."


def test_each_way_has_its_roll_in_little() -> None:
    first, _ = comparison_data(comparison())["choices"]
    found = [way["picture"] for way in first["ways"] if not way["why"]]
    assert {picture["width"] for picture in found} == {3.3}
    assert all("#f4ead8" in picture["svg"] for picture in found), "panels are drawn"
    assert max(picture["height"] for picture in found) < 1.8


def test_nothing_is_small_or_leaves_its_page_or_lies_over_another() -> None:
    for number, page in enumerate(printed()[0], 1):
        seen = [run for run in page.runs if run.said.strip()]
        assert min(run.size for run in seen) > 9.99
        assert all(run.left >= LEFT - 1 and run.right <= page.wide - RIGHT + 1 for run in seen)
        over = [(a.said, b.said) for a, b in combinations(seen, 2) if a.overlaps(b, 1)]
        assert over == [], number


def test_words_stay_words_and_cautions_are_on_every_page() -> None:
    sheets, held = printed()
    sign = "".join(SIGNS.split())
    text = "".join("".join(page.text for page in sheets).split())
    assert text.count(sign) > len(sheets), "the title on every page, and why one cannot be made"
    assert "Noroomfor" + sign in text
    assert "Stoppedearly" in text
    assert text.count("yourjob") == 2
    assert text.index("Childrenliveorvisithere") < text.index("Whatitcomesto")
    assert all("".join(said.split()) in text for said in CAUTIONS)
    assert all("".join(ON_EVERY_PAGE.split()) in "".join(page.text.split()) for page in sheets)
    names = bookmarks(held)
    assert {"What it comes to", "Matching the repeat", "Level", "Side hems"} <= set(names)


def test_svg_and_png_are_a_file_a_page_and_the_same_each_time() -> None:
    found = comparison()
    number = len(pages(comparison_pages(found, ".pdf")[0]))
    drawn = comparison_pages(found, ".SVG")
    assert len(drawn) == len(comparison_pages(found, ".png")) == number > 1
    assert all(ET.fromstring(each).tag.endswith("svg") for each in drawn)
    assert comparison_pages(found, ".pdf") == comparison_pages(comparison(), ".pdf")
    with pytest.raises(ValueError, match=r"found \.gif"):
        comparison_pages(found, ".gif")


@pytest.mark.slow
def test_the_command_writes_it_and_nothing_over_another_file(tmp_path: Path) -> None:
    job = tmp_path / "job.toml"
    job.write_text(
        f"title = {json.dumps(SIGNS)}\n[cloth.canvas]\nwidth = 54\n"
        '[[opening]]\nname = "Bay"\nwidth = 90\nheight = 40\n',
        encoding="utf-8",
    )
    words = ["compare", str(job), "--choice", "hems", "--workers", "1", "--seconds", "60"]
    run, paper = CliRunner().invoke, tmp_path / "ways.pdf"
    made = run(app, [*words, "--picture", str(paper)])
    assert made.exit_code == 0
    assert "Double hems" in " ".join(page.text for page in pages(paper.read_bytes()))
    again = run(app, [*words, "--picture", str(paper)])
    assert again.exit_code == 2
    assert "exists already" in again.output
    wrong = run(app, [*words, "--picture", str(tmp_path / "ways.gif")])
    assert wrong.exit_code == 2
    assert "--picture: found" in wrong.output
