"""The companion without a browser: what stands in the page, and that a job's words stay words."""

from __future__ import annotations

import hashlib
import json
import re
import shlex
from base64 import b64decode
from collections import Counter
from pathlib import Path
from typing import Any

import pytest

import samples
import shadewright
from seen import HOSTILE, Seen, hostile, other_numbers
from shadewright.cloth.plan import PastDrop, mark
from shadewright.job.model import Job
from shadewright.report.pages.drawing import Drawing
from shadewright.report.pages.rendering import inline
from shadewright.report.pages.roll_map import draw_whole_roll
from shadewright.report.pages.wall_view import draw_whole_wall
from shadewright.report.screen.companion import companion
from shadewright.report.screen.shell import embedded, part
from shadewright.report.screen.told import companion_data
from shadewright.report.sheets.cutting_order import steps
from shadewright.report.sheets.since import Statement, since
from shadewright.report.work.account import Account
from shadewright.report.work.cautions import CAUTIONS

STATIC = Path(shadewright.__file__).parent / "report" / "screen"
SAMPLES = {
    "plain": samples.three_shades(),
    "level": samples.mixed(),
    "lined": samples.lined_metric(),
    "porch": samples.porch(12),
}


def parted(text: str) -> str:
    """A text with plain blanks, as sheets have them."""
    return text.replace("\u00a0", " ")


# --- one file, and nothing else let in -----------------------------------------------------------


@pytest.mark.parametrize("name", SAMPLES)
def test_a_page_asks_nothing_of_a_network(name: str) -> None:
    text = companion(Account(*SAMPLES[name]))
    assert not re.search(r"https?:|//[\w-]+\.\w|@import|url\((?!#)", text)
    for tag, attributes in Seen(text).elements:
        assert "src" not in attributes, tag
        if "href" in attributes:
            assert attributes["href"].startswith("#"), (tag, attributes)


def test_the_policy_names_what_is_in_the_page_and_allows_nothing_else() -> None:
    seen = Seen(companion(Account(*SAMPLES["level"])))

    def hashes(tag: str) -> list[bytes]:
        return [
            hashlib.sha256(text.encode("utf-8")).digest()
            for name, attributes, text in seen.inside
            if name == tag and attributes.get("type") != "application/json"
        ]

    def named(rule: str) -> list[bytes]:
        found = [re.fullmatch(r"'sha256-(.+)'", each) for each in seen.policy[rule]]
        assert all(found), "nothing but hashes"
        return [b64decode(each[1]) for each in found if each]

    assert seen.policy["default-src"] == ["'none'"]
    assert named("script-src") == hashes("script")
    assert named("style-src") == hashes("style")
    assert seen.policy["require-trusted-types-for"] == ["'script'"]
    assert len(hashes("script")) > 1


@pytest.mark.parametrize("file", sorted(p.name for p in STATIC.iterdir() if p.suffix != ".py"))
def test_files_of_the_page_can_stand_in_it(file: str) -> None:
    if (STATIC / file).is_dir():
        return
    text = part(file)
    if file.endswith((".js", ".css")):
        assert not re.search(r"</|<!--|\{\{", text)
    assert "innerHTML" not in text
    assert "eval" not in text
    assert "\r" not in text


def test_no_element_has_a_handler_or_a_style_of_its_own() -> None:
    for tag, attributes in Seen(companion(Account(*hostile()))).elements:
        assert not [key for key in attributes if key.startswith("on") or key == "style"], tag


def test_words_of_a_job_stay_words() -> None:
    seen, plain = (Seen(companion(Account(*each))) for each in (hostile(), SAMPLES["plain"]))
    count = Counter(tag for tag, _ in seen.elements)
    usual = Counter(tag for tag, _ in plain.elements)
    for tag in ("script", "style", "b", "img", "meta", "title"):
        assert count[tag] == usual[tag], tag
    said = HOSTILE.replace("\u2028 ", "")
    assert seen.data["job"] == said
    assert seen.data["shades"] == [f"{said}, {place} of 3" for place in (1, 2, 3)]


def test_data_can_stand_in_a_script() -> None:
    data = {"text": "</script><!--\u2028\u2029&\x00é水"}
    text = embedded(data)
    assert not set("<>&\u2028\u2029") & set(text)
    assert json.loads(text) == data


def test_what_an_area_is_found_by_stays_an_attribute() -> None:
    drawing = Drawing(1, 1)
    drawing.rectangle((0, 0), 1, 1, tags=(("panel", '"><script>'), ("shade", "1 2")))
    (found,) = [
        attributes
        for _, attributes in Seen(inline(drawing, "roll")).elements
        if "data-panel" in attributes
    ]
    assert (found["data-panel"], found["data-shade"]) == ('"><script>', "1 2")


def test_two_drawings_of_one_page_share_no_name() -> None:
    ids = [
        found["id"]
        for _, found in Seen(companion(Account(*SAMPLES["level"]))).elements
        if "id" in found
    ]
    assert any(name.startswith("wallinside") for name in ids)
    assert len(ids) == len(set(ids))


def test_the_same_plan_gives_the_same_page() -> None:
    one, other = (companion(Account(*SAMPLES["lined"])) for _ in range(2))
    assert one == other


# --- all that a cutter needs ---------------------------------------------------------------------


@pytest.mark.parametrize("name", SAMPLES)
def test_the_data_tell_every_step_of_the_cutting_order(name: str) -> None:
    account = Account(*SAMPLES[name])
    data, order = companion_data(account), list(steps(account.job, account.lays))
    assert data["mark"] == mark(account.plan)
    assert [step["key"] for step in data["steps"]] == [step.key for step in order]
    assert [parted(step["what"]) for step in data["steps"]] == [s.cut.what for s in order]
    assert [n for drop in data["drops"] for n in drop["steps"]] == [step.number for step in order]
    freed = [n for step in data["steps"] for n in step["makes"]]
    assert sorted(freed) == list(range(1, len(account.plan.panels) + 1))
    assert len(data["panels"]) == len(account.plan.panels)
    assert len(data["shades"]) == len(account.plan.shades)
    assert data["cautions"] == CAUTIONS
    for drop in data["drops"]:
        off = [n for n in drop["steps"] if data["steps"][n - 1]["role"] == "drop comes off"]
        assert len(off) == 1


@pytest.mark.parametrize("name", SAMPLES)
def test_no_line_of_the_page_ends_within_a_length(name: str) -> None:
    """As between 39 and 3/4, where half of it could be overlooked on a narrow screen."""
    account = Account(*SAMPLES[name])
    data = companion_data(account)
    shown = json.dumps([data[key] for key in ("advice", "pieces", "steps", "panels", "drops")])
    shown = re.sub(r'"(key|name|typed)": "[^"]*"', "", shown)
    assert not re.search(r"\d (\d+/\d|yd\b|cm\b|mm\b|m\b)", shown)
    assert re.search(r"\d\\u00a0(\d+/\d|yd|cm|m)", shown)


@pytest.mark.parametrize("name", SAMPLES)
def test_drawings_say_which_panel_and_which_shade_they_show(name: str) -> None:
    account = Account(*SAMPLES[name])
    elements = Seen(companion(account)).elements
    panels = [int(found["data-panel"]) for _, found in elements if "data-panel" in found]
    shades = [
        int(n)
        for _, found in elements
        if "data-shade" in found
        for n in found["data-shade"].split()
    ]
    assert sorted(panels) == list(range(1, len(account.plan.panels) + 1))
    assert sorted(shades) == list(range(1, len(account.plan.shades) + 1))


@pytest.mark.parametrize("name", SAMPLES)
def test_a_face_on_the_wall_is_as_wide_as_its_shades(name: str) -> None:
    account = Account(*SAMPLES[name])
    found = [f for _, f in Seen(companion(account)).elements if "data-shade" in f]
    scales = set()
    for face in found:
        for number in face["data-shade"].split():
            wide = account.plan.shades[int(number) - 1].finished_width
            scales.add(round(float(face["width"]) / wide * 1e5))
    assert max(scales) - min(scales) <= 1


@pytest.mark.parametrize("name", SAMPLES)
def test_a_cut_is_shown_where_it_runs(name: str) -> None:
    """Against the panels as the roll map draws them: a cut runs along an edge of a panel that it
    touches and through none, and its measure is as long as the tape says."""
    account = Account(*SAMPLES[name])
    drawn = {
        int(found["data-panel"]): [float(found[key]) for key in ("x", "y", "width", "height")]
        for _, found in Seen(companion(account)).elements
        if "data-panel" in found
    }
    order = list(steps(account.job, account.lays))
    near = 0.03
    for step, told in zip(order, companion_data(account)["steps"], strict=True):
        x, y, to_x, to_y = told["cut"]
        left, top, wide, high = told["view"]
        assert left <= x <= to_x <= left + wide
        assert top <= to_y <= y <= top + high
        for px, py, pw, ph in drawn.values():
            beside = x >= px + pw - near or to_x <= px + near
            assert beside or to_y >= py + ph - near or y <= py + near
        edges = [
            edge
            for px, py, pw, ph in (drawn[number] for number in step.cut.touches)
            for edge in ((px, px + pw) if x == to_x else (py, py + ph))
        ]
        # A strip is cut out as wide as its widest panel.
        if edges and step.cut.kind != "lengthwise":
            assert min(abs((x if x == to_x else y) - edge) for edge in edges) < near
        panel = next(p.panel for p in step.lay.panels if p.panel.drop == step.drop.number)
        number = next(p.number for p in step.lay.panels if p.panel is panel)
        scale = drawn[number][2] / panel.along
        a, b, c, d = told["measure"]
        long = abs(c - a) + abs(d - b)
        if told["whole"]:
            assert long == pytest.approx(step.cut.at * scale, abs=0.3)
        else:
            assert long < step.cut.at * scale


def test_a_drop_that_comes_off_is_shown_cut_at_its_end() -> None:
    account = Account(*SAMPLES["level"])
    told = {step["key"]: step for step in companion_data(account)["steps"]}
    elements = [f for _, f in Seen(companion(account)).elements if "data-panel" in f]
    ends = {int(f["data-panel"]): float(f["x"]) + float(f["width"]) for f in elements}
    for step in steps(account.job, account.lays):
        if step.cut.role == "drop comes off":
            here = [p.number for p in step.lay.panels if p.panel.drop == step.drop.number]
            assert told[step.key]["cut"][0] == pytest.approx(max(ends[n] for n in here), abs=0.03)


def test_cloth_left_is_the_piece_less_what_is_cut_off() -> None:
    account = Account(*SAMPLES["level"])
    (use,) = account.plan.pieces
    tape = account.job.tape
    offs = [step["off"] for step in companion_data(account)["steps"] if "off" in step]
    ends = [step.cut.at for step in steps(*_of(account)) if step.cut.kind == "across the piece"]
    assert [(parted(off["cut"]), parted(off["left"])) for off in offs] == [
        (tape.long(end), tape.long(use.length - end)) for end in ends
    ]


def _of(account: Account) -> tuple[Job, Any]:
    return account.job, account.lays


def test_drops_that_are_alike_say_so() -> None:
    data = companion_data(Account(*SAMPLES["plain"]))
    assert [drop["alike"] for drop in data["drops"]] == ["Drops 1 to 3 are cut alike."] * 3
    data = companion_data(Account(*SAMPLES["level"]))
    assert {drop["alike"] for drop in data["drops"]} == {""}


def test_what_was_cut_before_is_told_as_done() -> None:
    job, plan = SAMPLES["plain"]
    first = plan.drops[0]
    cut = [PastDrop(cloth=first.cloth, piece=first.piece, number=first.number)]
    account = Account(job, plan.model_copy(update={"cut": cut}))
    data = companion_data(account)
    assert [drop["before"] for drop in data["drops"]] == [True, False, False]
    said = [text.replace("\u00a0", " ") for text in data["advice"]]
    assert len(account.going_on.said) >= 2
    assert said[: len(account.going_on.said)] == account.going_on.said
    assert any("now starts" in text for text in said)


@pytest.mark.parametrize("name", SAMPLES)
def test_panels_go_by_the_numbers_on_their_slips(name: str) -> None:
    """A plan that goes on keeps the numbers of the one before, which are not the order of work."""
    job, plan = SAMPLES[name]
    account = Account(job, plan.model_copy(update={"numbers": other_numbers(plan)}))
    called = {p.number: p.called for lay in account.lays for p in lay.panels}
    told = {panel["number"]: panel["called"] for panel in companion_data(account)["panels"]}
    assert told == called
    assert min(told) > len(told), "none of them is its place in the list"


# --- drops as they are typed ---------------------------------------------------------------------


@pytest.mark.parametrize("name", SAMPLES)
def test_what_is_typed_for_a_drop_names_it_and_no_other(name: str) -> None:
    job, plan = SAMPLES[name]
    drops = companion_data(Account(job, plan))["drops"]
    (words,) = {len(shlex.split(drop["typed"])) for drop in drops}
    assert words == 1
    texts = [shlex.split(drop["typed"])[0] for drop in drops]
    found = since(job, plan, Statement(texts))
    assert found.done == {(d.cloth, d.piece, d.number) for d in plan.drops}


@pytest.mark.parametrize(
    "called", ["bolt 1", "end, left", "a'b", 'a"b', "$HOME", "a`b`", "-x", "ü"]
)
def test_pieces_of_any_name_can_be_typed(called: str) -> None:
    job, plan = SAMPLES["lined"]
    renamed = {
        key: [
            each.model_copy(update={"piece": called if each.cloth == plan.pieces[0].cloth else "b"})
            for each in getattr(plan, key)
        ]
        for key in ("panels", "drops", "pieces")
    }
    plan = plan.model_copy(update=renamed)
    drops = companion_data(Account(job, plan))["drops"]
    texts = [shlex.split(drop["typed"])[0] for drop in drops]
    found = since(job, plan, Statement(texts))
    assert found.done == {(d.cloth, d.piece, d.number) for d in plan.drops}


def test_what_stands_in_a_list_has_no_comma() -> None:
    for job, plan in SAMPLES.values():
        for drop in companion_data(Account(job, plan))["drops"]:
            assert not drop["listed"] or not set(drop["typed"]) & set(", '\"")


# --- looks ---------------------------------------------------------------------------------------


def looks() -> list[dict[str, str]]:
    """The colours of the page by day and by night."""
    roots = re.findall(r":root \{([^}]*)\}", part("page.css"))
    assert len(roots) == 2
    return [dict(re.findall(r"--([\w-]+): (#[0-9a-f]{6});", root)) for root in roots]


def light(colour: str) -> float:
    """Relative luminance as WCAG 2.1 defines it (W3C Recommendation, "relative luminance")."""
    parts = (int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5))
    red, green, blue = (p / 12.92 if p <= 0.03928 else ((p + 0.055) / 1.055) ** 2.4 for p in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    """Contrast ratio as WCAG 2.1 defines it."""
    low, high = sorted((light(one), light(other)))
    return (high + 0.05) / (low + 0.05)


def test_contrast_is_reckoned_as_the_guidelines_do() -> None:
    assert contrast("#000000", "#ffffff") == pytest.approx(21)
    assert contrast("#777777", "#ffffff") == pytest.approx(4.48, abs=0.005)


@pytest.mark.parametrize(
    ("ink", "ground"),
    [
        *((ink, ground) for ink in ("ink", "soft", "deep") for ground in ("sheet", "ground")),
        ("ink", "warn"),
        ("deep", "warn"),
        ("on-deep", "deep"),
        ("on-tape", "tape"),
        *(("mark", cloth) for cloth in ("paper", "face", "lining")),
        ("faint", "paper"),
    ],
)
def test_text_is_legible_by_day_and_by_night(ink: str, ground: str) -> None:
    """4.5 to 1: WCAG 2.1, success criterion 1.4.3, level AA."""
    for look in looks():
        assert contrast(look[ink], look[ground]) >= 4.5


@pytest.mark.parametrize(
    ("line", "ground"),
    [
        ("line", "sheet"),
        ("line", "ground"),
        ("cut", "paper"),
        ("cut", "face"),
        ("deep", "face"),
        ("deep", "lining"),
        ("warn-line", "warn"),
    ],
)
def test_edges_and_marks_can_be_told_from_what_they_lie_on(line: str, ground: str) -> None:
    """3 to 1: WCAG 2.1, success criterion 1.4.11, level AA."""
    for look in looks():
        assert contrast(look[line], look[ground]) >= 3


@pytest.mark.parametrize("name", SAMPLES)
def test_every_colour_of_the_drawings_has_its_night(name: str) -> None:
    account = Account(*SAMPLES[name])
    known = set(re.findall(r'\[(fill|stroke)="(#?\w+)"\]', part("page.css")))
    assert draw_whole_roll(account).areas
    assert draw_whole_wall(account).areas
    for _, found in Seen(companion(account)).elements:
        for key in ("fill", "stroke"):
            if found.get(key, "none") != "none":
                assert (key, found[key]) in known
