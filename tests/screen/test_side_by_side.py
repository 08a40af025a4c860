"""The ways of a comparison on a page: what each card says, and that words stay words."""

from __future__ import annotations

import re
from html import escape

import pytest

import samples
from seen import HOSTILE, Seen
from shadewright.answers import CaseAnswer
from shadewright.cloth.plan import Plan
from shadewright.job.model import Job
from shadewright.report.pages.drawing import PAGE_WIDTH, Rectangle
from shadewright.report.pages.roll_strip import roll_strip
from shadewright.report.screen.side_by_side import side_by_side
from shadewright.report.work.comparison import Comparison, bought
from shadewright.report.work.words import money

JOB, LEVEL = samples.mixed()


def plain(of: Plan = LEVEL) -> Plan:
    """A plan that buys and uses a yard less."""
    (use,) = of.pieces
    yard = samples.YARD
    less = use.model_copy(update={"length": use.length - yard})
    totals = of.totals.model_copy(update={"bought": {use.cloth: use.length - yard}})
    return of.model_copy(update={"pieces": [less], "totals": totals})


def comparison(job: Job = JOB, why: str = "no room") -> Comparison:
    return Comparison(
        job,
        [
            CaseAnswer("strategies", "plain", None, plain()),
            CaseAnswer("strategies", "level", None, LEVEL, as_asked=True),
            CaseAnswer("strategies", "centred", None, None, why),
            CaseAnswer("hems", "double hems", None, LEVEL),
            CaseAnswer("hems", "single hems", None, LEVEL),
        ],
    )


def test_every_way_has_its_figures() -> None:
    found = comparison()
    text = side_by_side(found)
    assert "6\u00a01/2\u00a0yd" in text, "no line ends within a length"
    text = text.replace("\u00a0", " ")
    level = text.split("<h3>Level ")[1].split("</li>")[0]
    for figure in (
        JOB.tape.cloth(bought(LEVEL)),
        money(LEVEL.totals.cost),
        f"{100 * LEVEL.totals.waste:.1f} %",
        f"<dd>{LEVEL.totals.shades}</dd>",
        f"<dt>More than plain</dt><dd>{JOB.tape.cloth(samples.YARD)}</dd>",
        "proved",
    ):
        assert (figure if figure.startswith("<") else escape(figure)) in level
    assert all(escape(said) in text for said in found.conclusions)
    assert "Centred on a motif: cannot be made. No room" in text.replace("centred", "Centred")


def test_the_way_with_least_cloth_says_so() -> None:
    text = side_by_side(comparison())
    first, second = text.split('id="choice-hems"')
    cards = first.split('<li class="way')
    assert [("least of these" in card) for card in cards[1:]] == [True, False, False]
    assert "least of these" not in second, "where all take as much, none is called least"


def test_the_way_that_the_job_asks_for_says_so() -> None:
    cards = side_by_side(comparison()).split('<li class="way')[1:]
    assert [("your job" in card) for card in cards] == [False, True, False, False, False]
    none = Comparison(JOB, [CaseAnswer("hems", "double hems", None, None, "no room", (), True)])
    text = side_by_side(none)
    assert 'Double hems <span class="badge">your job</span>' in text
    assert "double hems (your job): cannot be made" in text


@pytest.mark.parametrize("longer", [1, 2, 30, 100])
def test_rolls_are_drawn_to_one_scale(longer: int) -> None:
    """A panel may go on in the next row, so what is held to scale is the area of all."""
    longest = longer * sum(use.used for use in LEVEL.pieces)
    scales = []
    for plan in (LEVEL, plain()):
        drawing = roll_strip(JOB, plan, longest)
        boxes = [area for area in drawing.areas if isinstance(area, Rectangle)]
        drawn = sum(box.wide * box.high for box in boxes if box.look.fill)
        cut = sum(panel.along * panel.across for panel in plan.panels)
        scales.append((drawn / cut) ** 0.5)
        assert all(0 <= box.corner[0] <= drawing.width + 1e-9 - box.wide for box in boxes)
        assert all(0 <= box.corner[1] <= drawing.height + 1e-9 - box.high for box in boxes)
        assert drawing.height < drawing.width / 2
    assert scales[0] == pytest.approx(scales[1])
    assert scales[0] * longest <= 5.001 * PAGE_WIDTH


def test_no_row_holds_but_the_end_of_a_roll() -> None:
    used = sum(use.used for use in LEVEL.pieces)
    longest = 100 * used // 101
    edges = [a for a in roll_strip(JOB, LEVEL, longest).areas if isinstance(a, Rectangle)]
    (row,) = [area for area in edges if not area.look.fill]
    assert row.wide <= PAGE_WIDTH


def test_words_stay_words_and_nothing_runs() -> None:
    text = side_by_side(comparison(JOB.model_copy(update={"title": HOSTILE}), HOSTILE))
    seen, usual = Seen(text), Seen(side_by_side(comparison()))
    assert [tag for tag, _ in seen.elements] == [tag for tag, _ in usual.elements]
    assert not seen.all("script")
    assert seen.policy["script-src"] == ["'none'"]
    assert not re.search(r"https?:|@import", text)


def test_what_was_stopped_early_says_so() -> None:
    assert "Stopped early" in side_by_side(comparison(), stopped=True)
    assert "Stopped early" not in side_by_side(comparison())


def test_cautions_stand_on_the_page_and_come_first_where_children_are() -> None:
    text = side_by_side(comparison(JOB.model_copy(update={"children": True})))
    assert text.index("Children live or visit here") < text.index("What it comes to")
    assert "A shade hangs over people" in text
