"""The booklet for the workroom: what stands on its pages, where, and how large."""

from __future__ import annotations

import json
import tempfile
import tomllib
from functools import cache
from itertools import combinations
from pathlib import Path

import pytest
from pdf_pages import Page, bookmarks, pages
from typer.testing import CliRunner

import samples
from jobs import job_of
from shadewright.answers import NewFlaw, Since
from shadewright.cli.app import app
from shadewright.cloth.plan import Plan
from shadewright.job.model import Flaw, Job
from shadewright.measure import TICKS
from shadewright.planning.go_on import go_on
from shadewright.planning.make import make_plan
from shadewright.report.pages.booklet import booklet_data, save_booklet
from shadewright.report.pages.typesetting import TEMPLATES, breakable
from shadewright.report.work.account import Account
from shadewright.report.work.cautions import ON_EVERY_PAGE

INCH = TICKS["in"]
LEFT, RIGHT, TOP, FOOT = 0.6 * 72, 0.5 * 72, 0.2 * 72, 0.2 * 72
"""Points of paper that nothing is printed on."""

SIGNS = """#panic("x") $x$ @a [b] \\ "q" <l> *b* _i_ `c` ~ // /* #"""
JOB = f"""
title = {json.dumps(SIGNS)}
[cloth.{json.dumps("canvas " + SIGNS)}]
width = 54
price = 18.75
[[opening]]
name = {json.dumps("Bay " + SIGNS)}
width = 90
height = 40
copies = 2
[[opening]]
name = "{"W" * 90}"
width = 30
height = 60
"""

PORCH = """
title = "Porch"
[cloth.canvas]
width = 54
selvedge = 0.5
price = 18.75
[[opening]]
name = "Bay"
width = 142
height = 78
copies = 3
"""


@cache
def signs() -> tuple[Job, Plan]:
    job = job_of(JOB)
    return job, make_plan(job, 1).plan


@cache
def halfway() -> tuple[Job, Plan, Plan]:
    """Nine shades, a drop each; four are cut, of which the second is spoilt, and a flaw lies right
    behind the fourth."""
    job = job_of(PORCH)
    before = make_plan(job, 1).plan
    done = frozenset(("canvas", "bolt", number) for number in (1, 2, 3, 4))
    spoilt = next(panel.shade for panel in before.panels if panel.drop == 2)
    end = next(drop.end for drop in before.drops if drop.number == 4)
    flaw = NewFlaw("canvas", "bolt", Flaw(start=end + INCH, end=end + 3 * INCH))
    return (
        job,
        before,
        go_on(job, before, Since(done, frozenset({spoilt}), (flaw,)), seconds=1).plan,
    )


@cache
def printed(name: str) -> tuple[list[Page], bytes]:
    return made(ACCOUNTS[name]())


def made(account: Account) -> tuple[list[Page], bytes]:
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "book.pdf"
        save_booklet(file, account)
        held = file.read_bytes()
    return pages(held), held


def gone_on() -> Account:
    job, before, plan = halfway()
    return Account(job, plan, before=before)


ACCOUNTS = {
    "signs": lambda: Account(*signs()),
    "mixed": lambda: Account(*samples.mixed()),
    "lined metric": lambda: Account(*samples.lined_metric()),
    "porch": lambda: Account(*samples.porch(14)),
    "halfway": gone_on,
}


def text(name: str) -> str:
    return " ".join(page.text for page in printed(name)[0])


@pytest.mark.parametrize("name", ACCOUNTS)
def test_nothing_is_smaller_than_ten_points(name: str) -> None:
    sizes = [run.size for page in printed(name)[0] for run in page.runs]
    assert min(sizes) > 9.99
    assert max(sizes) >= 18, "figures on the tape are large"


@pytest.mark.parametrize("name", ACCOUNTS)
def test_no_text_leaves_its_page_or_lies_over_another(name: str) -> None:
    for number, page in enumerate(printed(name)[0], 1):
        seen = [run for run in page.runs if run.said.strip()]
        for run in seen:
            assert run.left >= LEFT - 1, (number, run)
            assert run.right <= page.wide - RIGHT + 1, (number, run)
            assert run.bottom >= FOOT, (number, run)
            assert run.top <= page.high - TOP, (number, run)
        over = [(a.said, b.said) for a, b in combinations(seen, 2) if a.overlaps(b, 1)]
        assert over == [], number


@pytest.mark.parametrize("name", ACCOUNTS)
def test_every_page_has_its_number_and_its_cautions(name: str) -> None:
    found = printed(name)[0]
    for number, page in enumerate(found, 1):
        said = " ".join(page.text.split())
        assert f"page {number} of {len(found)}" in said
        assert ON_EVERY_PAGE in said


def test_paper_is_the_jobs() -> None:
    assert {(page.wide, page.high) for page in printed("porch")[0]} == {(612, 792)}
    (size,) = {(round(page.wide), round(page.high)) for page in printed("lined metric")[0]}
    assert size == (595, 842)


def test_signs_of_the_typesetter_are_printed_as_they_are() -> None:
    titles = "".join(text("signs").split())
    sign = "".join(SIGNS.split())
    assert titles.count(sign) > len(printed("signs")[0]), "the title, on every page"
    assert f"Bay{sign}" in titles
    assert f"canvas{sign}" in titles
    assert "W" * 40 in titles
    assert SIGNS in "\n".join(bookmarks(printed("signs")[1]))


def test_bookmarks_lead_to_every_part() -> None:
    found = bookmarks(printed("mixed")[1])
    wanted = "Buy", "Make", "How to cut", "Slips for the panels", "Wood to saw", "What to buy"
    assert set(wanted) <= set(found)
    assert any(name.startswith("Cutting ") for name in found)
    assert "Drop 1" in found


def test_the_same_plan_gives_the_same_bytes() -> None:
    assert made(ACCOUNTS["mixed"]())[1] == printed("mixed")[1]


def test_proved_is_explained_once_right_where_it_stands_first() -> None:
    said = text("halfway")
    assert "Not proved best." in said
    assert "not known" in said, "goals show their bounds"
    told = " ".join(" ".join(page.text for page in made(Account(*signs()))[0]).split())
    assert told.count("Proved means") == 1
    assert told.index("Proved") < told.index("Proved means") < told.index("Cautions")


def test_drops_that_are_cut_alike_are_told_once() -> None:
    account = Account(*signs())
    data = booklet_data(account)
    (first, *_) = data["pieces"]
    told = [card for piece in data["pieces"] for card in piece["cards"]]
    assert sum(max(len(card["drops"]), 1) for card in told) == len(account.plan.drops)
    assert len(told) < len(account.plan.drops)
    several = next(card for card in first["cards"] if card["drops"])
    number = len(several["drops"])
    assert several["times"].startswith("Do this " + ("twice" if number == 2 else f"{number} times"))
    assert "the panel" in " ".join(step["words"] for step in several["steps"])


@pytest.mark.parametrize("name", ["mixed", "lined metric", "porch"])
def test_each_panel_has_a_slip_and_a_place_in_the_cards(name: str) -> None:
    account = ACCOUNTS[name]()
    data = booklet_data(account)
    numbers = {str(panel.number) for lay in account.lays for panel in lay.panels}
    assert [slip["number"] for slip in data["slips"]] == sorted(numbers, key=int)
    shades = sum(len(card.shades) for card in account.cards)
    assert sum(int(card["said"].split()[0]) for card in data["making"]) == shades


def test_making_cards_tell_every_step_in_order() -> None:
    names = "Hems", "Pockets", "Check", "Board in", "Punch", "Eyes", "Cords", "Hooks", "Cleat"
    for card in booklet_data(Account(*samples.mixed()))["making"]:
        assert tuple(step["name"] for step in card["steps"]) == names


def test_two_making_cards_stand_on_a_page() -> None:
    account = Account(*samples.porch(14))
    cards = len(account.cards)
    pages_of_cards = [page for page in printed("porch")[0] if "Pockets" in page.text]
    assert len(pages_of_cards) == (cards + 1) // 2


# --- going on ------------------------------------------------------------------------------------


def test_numbers_are_kept_and_what_is_done_is_told_as_done() -> None:
    job, before, plan = halfway()
    old = {p.panel.shade: p.number for lay in Account(job, before).lays for p in lay.panels}
    new = {p.panel.shade: p.number for lay in Account(job, plan).lays for p in lay.panels}
    assert new == old
    assert [drop.number for drop in plan.drops] == [1, 3, 4, 5, 6, 7, 8, 9, 10]
    said = " ".join(text("halfway").split())
    assert "Drops 1, 3 and 4 are cut, with panels 1, 3 and 4." in said
    marks = {slip["number"]: slip["mark"] for slip in booklet_data(gone_on())["slips"]}
    assert marks == {**dict.fromkeys("134", "done"), **dict.fromkeys("56789", ""), "2": "cut again"}


def test_numbers_are_kept_when_going_on_again() -> None:
    job, before, plan = halfway()
    done = frozenset(("canvas", "bolt", drop.number) for drop in plan.drops if drop.number <= 5)
    spoilt = next(panel.shade for panel in plan.panels if panel.drop == 5)
    again = go_on(job, plan, Since(done, frozenset({spoilt})), seconds=1)
    assert again.faults == ()
    numbers = [
        {p.panel.shade: p.number for lay in Account(job, each).lays for p in lay.panels}
        for each in (before, plan, again.plan)
    ]
    assert numbers[0] == numbers[1] == numbers[2]
    assert [drop.number for drop in again.plan.drops] == [1, 3, 4, 6, 7, 8, 9, 10, 11]


def test_what_is_cut_is_not_squared_up_again() -> None:
    said = " ".join(text("halfway").split())
    assert "Square up:" not in said
    assert "Square up:" in " ".join(text("signs").split())
    _, before, _ = halfway()
    end = next(drop.end for drop in before.drops if drop.number == 4)
    tape = halfway()[0].tape
    assert f"now starts {tape.long(end)} ({tape.short(end)}) from where it first began" in said
    (piece,) = booklet_data(gone_on())["pieces"]
    first = next(card for card in piece["cards"] if not card["done"])
    # The flaw is cut off from where the cloth starts now, and not the spoilt drop once more.
    assert first["steps"][0]["figure"] == '3"'


def test_what_is_bought_more_is_told_and_how() -> None:
    job, before, plan = halfway()
    more = plan.totals.bought["canvas"] - before.totals.bought["canvas"]
    assert more > 0
    (buy,) = booklet_data(gone_on())["front"]["buy"]
    assert buy["amount"] == f"{job.tape.cloth(more)} more"
    said = " ".join(text("halfway").split())
    assert f"Buy {job.tape.cloth(more)} of canvas more than before." in said
    assert "same bolt" in said


def test_drops_that_only_moved_are_told_apart_from_others() -> None:
    (piece,) = booklet_data(gone_on())["pieces"]
    marks = [card["mark"] for card in piece["cards"] if not card["done"]]
    assert marks == ["cut again", "new place"]


# --- the command ---------------------------------------------------------------------------------


def test_the_command_writes_a_booklet_and_nothing_over_another_file(tmp_path: Path) -> None:
    job, book = tmp_path / "job.toml", tmp_path / "book.pdf"
    job.write_text(PORCH, encoding="utf-8")
    words = ["plan", str(job), "--seconds", "1", "--booklet", str(book)]
    run = CliRunner().invoke
    assert run(app, words).exit_code == 0
    held = book.read_bytes()
    assert held.startswith(b"%PDF")
    refused = run(app, words)
    assert refused.exit_code == 2
    assert "exists already" in refused.output
    assert run(app, [*words, "--force"]).exit_code == 0
    assert book.read_bytes() == held
    over = run(app, [*words[:-1], str(tmp_path / "book.png")])
    assert over.exit_code == 2
    assert "--booklet: found" in over.output


def test_the_templates_travel_with_the_package() -> None:
    root = Path(__file__).parents[2]
    facts = tomllib.loads((root / "pyproject.toml").read_text("utf-8"))
    kept = facts["tool"]["setuptools"]["package-data"]["shadewright"]
    package = root / "src" / "shadewright"
    travels = {file for pattern in kept for file in package.glob(pattern)}
    assert set(TEMPLATES.iterdir()) <= travels
    assert {"booklet.typ", "drawings.typ"} <= {file.name for file in TEMPLATES.iterdir()}


def test_words_too_long_for_a_line_may_break_and_lengths_may_not() -> None:
    assert breakable('cut 47 5/8" wide').replace("\u00a0", "_") == 'cut 47_5/8" wide'
    assert breakable("20 yd 21").replace("\u00a0", "_") == "20_yd_21"
    broken = breakable("W" * 40)
    assert broken.replace("\u200b", "") == "W" * 40
    assert max(map(len, broken.split("\u200b"))) <= 14
