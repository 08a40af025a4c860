"""The companion in a browser: ticking, keeping, copying, keys, looks. Skipped where there is none.

Contrast and the names of things are judged by axe-core, which travels in the package
axe-playwright-python, where that is installed; nothing is fetched.
"""

from __future__ import annotations

import json
import shlex
import shutil
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

import samples
from seen import hostile, other_numbers
from shadewright.answers import CaseAnswer
from shadewright.cloth.plan import PastDrop, Plan
from shadewright.job.model import Job
from shadewright.report.screen.companion import save_companion
from shadewright.report.screen.side_by_side import save_side_by_side
from shadewright.report.sheets.since import Statement, since
from shadewright.report.work.account import Account
from shadewright.report.work.comparison import Comparison
from shadewright.report.work.saved import saved_boxes

pytestmark = pytest.mark.slow

drive = pytest.importorskip("playwright.sync_api", reason="needs playwright")

CHROMIUM = next(filter(None, map(shutil.which, ("chromium", "chromium-browser", "chrome"))), None)
PHONE, DESK = {"width": 360, "height": 740}, {"width": 1280, "height": 800}
SIZES = pytest.mark.parametrize("size", [PHONE, DESK], ids=["360 px", "1280 px"])

ASKED, MADE = samples.mixed()

Opened = Callable[..., Any]


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    """Debian's chromium, or the one that playwright brought."""
    with drive.sync_playwright() as driver:
        try:
            found = driver.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
        except drive.Error as why:
            pytest.skip(f"needs chromium: {str(why).splitlines()[0]}")
        yield found
        found.close()


@pytest.fixture
def opened(browser: Any, tmp_path: Path) -> Iterator[Opened]:
    """Opens a plan's page, without any network, and sees that nothing in it is refused or fails."""
    said: list[str] = []
    asked: list[str] = []
    contexts = []

    def open_(
        job: Job = ASKED,
        plan: Plan = MADE,
        size: dict[str, int] = PHONE,
        before: str = "",
        **how: Any,
    ) -> Any:
        file = tmp_path / "page.html"
        save_companion(file, Account(job, plan))
        context = browser.new_context(viewport=size, **how)
        context.set_offline(True)
        context.set_default_timeout(10_000)
        contexts.append(context)
        page = context.new_page()
        page.on("console", lambda message: said.append(message.text))
        page.on("pageerror", lambda error: said.append(str(error)))
        page.on("dialog", lambda dialog: said.append(dialog.message))
        page.on("request", lambda request: asked.append(request.url))
        if before:
            page.add_init_script(before)
        page.goto(file.as_uri())
        return page

    yield open_
    for context in contexts:
        context.close()
    assert said == []
    assert {url.split(":")[0] for url in asked} <= {"file", "blob"}
    assert all(url.endswith("/page.html") for url in asked if url.startswith("file:"))


def text(page: Any, name: str) -> str:
    found: str = page.locator(f"#{name}").inner_text()
    return found


def steps(page: Any) -> list[dict[str, Any]]:
    found: list[dict[str, Any]] = json.loads(page.locator("#data").text_content())["steps"]
    return found


# --- ticking -------------------------------------------------------------------------------------


@SIZES
def test_done_ticks_the_cut_and_takes_the_next(opened: Opened, size: dict[str, int]) -> None:
    page = opened(size=size)
    cuts = steps(page)
    assert text(page, "hand-name") == f"Next cut: 1 of {len(cuts)}"
    for number, cut in enumerate(cuts):
        assert text(page, "hand-at") == cut["at"]
        assert text(page, "hand-what") == cut["what"]
        assert text(page, "tally") == f"{number} of {len(cuts)} cuts done"
        page.click("#done")
        assert f"Cut {number + 1} done" in text(page, "said") or number + 1 == len(cuts)
    assert text(page, "hand-name") == "Everything is cut"
    assert page.is_disabled("#done")
    assert page.locator("#roll .tick.shown").count() == len(MADE.panels)
    assert page.locator("#wall .tick.shown").count() == page.locator("#wall [data-shade]").count()


def test_what_is_ticked_is_there_when_the_page_comes_back(opened: Opened) -> None:
    page = opened()
    for _ in range(3):
        page.click("#done")
    page.reload()
    assert text(page, "tally").startswith("3 of ")
    assert text(page, "hand-name").startswith("Next cut: 4 of ")
    page.click("#before")
    assert text(page, "hand-name").endswith(", done")
    assert text(page, "done") == "Not done after all"
    page.click("#done")
    page.reload()
    assert text(page, "tally").startswith("2 of ")


def test_boxes_of_the_cutting_order_tick_the_same(opened: Opened) -> None:
    page = opened()
    page.get_by_label("Cut 1 done").check()
    assert text(page, "hand-name").startswith("Next cut: 2 of ")
    page.click("#done")
    assert page.get_by_label("Cut 2 done").is_checked()
    page.get_by_label("Cut 1 done").uncheck()
    assert text(page, "tally").startswith("1 of ")
    page.get_by_text("Tick the whole drop").first.click()
    inside = sum(step["key"].split()[1].endswith("/1") for step in steps(page))
    told = page.locator("#order summary span").first.inner_text()
    assert told == f"✓ {inside} of {inside} cuts done"
    page.get_by_text("Untick the whole drop").click()
    assert text(page, "tally").startswith("0 of ")


def test_all_ticks_are_cleared_when_that_is_asked_twice(opened: Opened) -> None:
    page = opened()
    page.click("#done")
    page.click("#clear")
    assert text(page, "tally").startswith("1 of ")
    page.click("#clear")
    assert text(page, "tally").startswith("0 of ")
    page.reload()
    assert text(page, "tally").startswith("0 of ")


def test_two_plans_keep_their_ticks_apart(opened: Opened, tmp_path: Path) -> None:
    page = opened()
    page.click("#done")
    save_companion(tmp_path / "page.html", Account(*samples.three_shades()))
    page.reload()
    assert text(page, "tally").startswith("0 of ")


def test_two_windows_of_one_page_agree(opened: Opened, tmp_path: Path) -> None:
    page = opened()
    other = page.context.new_page()
    other.goto((tmp_path / "page.html").as_uri())
    other.click("#done")
    page.wait_for_function("document.getElementById('tally').textContent.startsWith('1 of')")
    assert text(page, "hand-name").startswith("Next cut: 2 of ")


REFUSED = """
Object.defineProperty(window, "localStorage", {
  get() { throw new DOMException("refused", "SecurityError"); } });
"""
FULL = "Storage.prototype.setItem = () => { throw new DOMException('full', 'QuotaExceededError'); }"


@pytest.mark.parametrize("before", [REFUSED, FULL], ids=["refused", "full"])
def test_it_works_where_nothing_is_kept_and_says_so(opened: Opened, before: str) -> None:
    page = opened(before=before)
    assert page.locator("#unkept").is_visible()
    page.click("#done")
    page.click("#done")
    assert text(page, "tally").startswith("2 of ")
    assert page.locator("#line").input_value() == "--done 1"
    page.reload()
    assert text(page, "tally").startswith("0 of ")


def test_nothing_is_said_of_that_where_ticks_are_kept(opened: Opened) -> None:
    assert page_hides(opened(), "#unkept")


@pytest.mark.parametrize("kept", ["no JSON", '{"a": 1}', '[0, -1, 1.5, "2", 9999, null]', "null"])
def test_what_is_kept_may_be_anything(opened: Opened, kept: str) -> None:
    page = opened()
    page.evaluate("kept => localStorage.setItem(Object.keys(localStorage)[0], kept)", kept)
    page.reload()
    assert text(page, "tally").startswith("0 of ")
    page.click("#done")
    assert text(page, "tally").startswith("1 of ")


def page_hides(page: Any, what: str) -> bool:
    hidden: bool = page.locator(what).is_hidden()
    return hidden


# --- what goes back ------------------------------------------------------------------------------


@pytest.mark.parametrize("job", [samples.mixed(), samples.lined_metric()], ids=["inch", "metric"])
def test_the_line_names_the_drops_that_are_cut(opened: Opened, job: tuple[Job, Plan]) -> None:
    page = opened(*job)
    assert page.is_disabled("#copy")
    off: set[str] = set()
    for step in steps(page):
        page.click("#done")
        if step["role"] != "drop comes off":
            continue
        off.add(step["key"].split()[1])
        words = shlex.split(page.locator("#line").input_value())
        assert words[0] == "--done"
        told = [word for word in words if word != "--done"]
        found = since(*job, Statement(told)).done
        assert {"/".join(map(str, drop)) for drop in found} == off
    assert len(off) == len(job[1].drops)


def test_the_line_is_copied(opened: Opened) -> None:
    page = opened(permissions=["clipboard-read", "clipboard-write"])
    page.click("#done")
    page.click("#done")
    page.click("#copy")
    page.wait_for_function("document.getElementById('answer').textContent === 'Copied.'")
    assert page.evaluate("navigator.clipboard.readText()") == "--done 1"


def test_the_line_is_copied_the_old_way_where_the_new_one_is_closed(opened: Opened) -> None:
    closed = "Object.defineProperty(navigator, 'clipboard', { value: undefined });"
    page = opened(before=closed)
    page.evaluate("document.addEventListener('copy', () => { window.copied = true; })")
    page.click("#done")
    page.click("#done")
    page.click("#copy")
    page.wait_for_function("document.getElementById('answer').textContent !== ''")
    assert page.evaluate("window.copied && getSelection().toString()") == "--done 1"


def test_the_saved_file_says_what_is_ticked(opened: Opened, tmp_path: Path) -> None:
    page = opened()
    for _ in range(7):
        page.click("#done")
    with page.expect_download() as coming:
        page.click("#save")
    file = tmp_path / coming.value.suggested_filename
    coming.value.save_as(file)
    assert file.suffix == ".json"
    assert [box.step.number for box in saved_boxes(ASKED, MADE, file) if box.ticked] == [
        *range(1, 8)
    ]
    found = since(ASKED, MADE, Statement(done_from=file))
    assert {number for _, _, number in found.done} == {1, 2}


def test_what_would_be_refused_is_said_on_the_page(opened: Opened) -> None:
    page = opened()
    assert text(page, "problems") == ""
    page.get_by_text("Drop 2,").click()
    page.get_by_text("Tick the whole drop").nth(1).click()
    assert "Drops come off a piece in order" in text(page, "problems")
    page.get_by_label("Cut 4 done").check()
    assert "drop 1 is begun and not off yet" in text(page, "problems")


# --- what lights up ------------------------------------------------------------------------------


def lit(page: Any, drawing: str, name: str, how: str) -> set[int]:
    found = page.locator(f"#{drawing} .{how}").evaluate_all(
        "(all, name) => all.map(each => each.dataset[name])", name
    )
    return {int(number) for each in found for number in each.split()}


def test_panels_in_hand_are_lit_on_the_roll_and_on_the_wall(opened: Opened) -> None:
    page = opened(size=DESK)
    panels = json.loads(page.locator("#data").text_content())["panels"]
    for step in steps(page):
        assert lit(page, "roll", "panel", "lit") == set(step["touches"])
        assert lit(page, "roll", "panel", "free") == set(step["makes"])
        shades = {panels[number - 1]["shade"] for number in step["touches"]}
        assert shades <= lit(page, "wall", "shade", "lit")
        page.click("#done")


def test_the_panel_in_hand_is_brought_into_sight_on_a_phone(opened: Opened) -> None:
    page = opened(*samples.porch(20))
    for step in steps(page)[:12]:
        number = (step["makes"] or step["touches"])[0]
        middle = page.locator(f'#roll [data-panel="{number}"]').evaluate(
            """panel => { const box = panel.getBoundingClientRect();
              return box.left + box.width / 2; }"""
        )
        assert 0 < middle < PHONE["width"]
        page.click("#done")


@SIZES
def test_the_figure_is_seen_whenever_a_cut_is_done(opened: Opened, size: dict[str, int]) -> None:
    page = opened(*samples.porch(20), size=size, reduced_motion="reduce")
    for _ in range(8):
        page.click("#done")
        box = page.locator("#hand-at").bounding_box()
        assert 0 <= box["y"] <= box["y"] + box["height"] <= size["height"]


@SIZES
@pytest.mark.parametrize("pressed", ["done", "after"])
def test_nothing_glides_away_from_the_next_tap(
    opened: Opened, size: dict[str, int], pressed: str
) -> None:
    page = opened(*samples.porch(20), size=size, reduced_motion="no-preference")
    for _ in range(3):
        at, later = page.evaluate(
            """async (name) => {
              window.scrollTo({ top: document.body.scrollHeight, behavior: "instant" });
              document.getElementById(name).click();
              const at = scrollY;
              await new Promise((settle) => setTimeout(settle, 400));
              return [at, scrollY];
            }""",
            pressed,
        )
        assert at == later
        box = page.locator("#hand-at").bounding_box()
        assert 0 <= box["y"] <= box["y"] + box["height"] <= size["height"]


def test_pointing_at_a_panel_shows_its_shade_and_its_cuts(opened: Opened) -> None:
    page = opened(size=DESK)
    panels = json.loads(page.locator("#data").text_content())["panels"]
    page.locator('#roll [data-panel="2"]').hover()
    assert panels[1]["shade"] in lit(page, "wall", "shade", "pointed-at")
    cuts = [i for i, s in enumerate(steps(page), 1) if 2 in s["touches"] + s["makes"]]
    assert f"Cuts {', '.join(map(str, cuts))}." in text(page, "pointed-roll")
    assert text(page, "picked-name") == "Panel 2", "the sheet comes by itself with a mouse"
    page.mouse.move(0, 0)
    assert lit(page, "wall", "shade", "pointed-at") == set()
    assert page_hides(page, "#picked")
    page.locator('#roll [data-panel="2"]').click()
    assert page.locator("#picked").is_visible()
    assert text(page, "picked-name") == "Panel 2"
    assert panels[1]["called"] in text(page, "picked-text")
    assert panels[1]["size"] in text(page, "picked-text")
    assert page.locator("#picked .chip").count() == len(cuts)
    page.locator("#picked .chip").last.click()
    assert text(page, "hand-name").startswith(f"Cut {cuts[-1]} of ")
    assert page_hides(page, "#picked")


@SIZES
def test_nothing_moves_from_under_the_mouse(opened: Opened, size: dict[str, int]) -> None:
    """What is said of a panel is longer than what stood there before, and the drawing is below."""
    page = opened(*samples.porch(20), size=size)
    panel = page.locator('#roll [data-panel="7"]')
    panel.evaluate("it => it.scrollIntoView({ block: 'center', behavior: 'instant' })")
    lights = """it => new Promise((settle) => {
      const seen = [];
      new MutationObserver(() => seen.push(it.classList.contains("pointed-at")))
        .observe(it, { attributes: true, attributeFilter: ["class"] });
      setTimeout(() => settle([seen, it.getBoundingClientRect().top]), 1200);
    })"""
    was = panel.bounding_box()
    page.mouse.move(was["x"] + was["width"] / 2, was["y"] + was["height"] / 2)
    changes, top = panel.evaluate(lights)
    assert changes in ([], [True])
    assert abs(top - was["y"]) < 1
    assert "Panel 7" in text(page, "pointed-roll")
    assert page.locator("#picked").is_visible() == (size is DESK)
    page.mouse.down()
    page.mouse.up()
    assert text(page, "picked-name") == "Panel 7"


def test_pointing_at_a_shade_on_the_wall_shows_its_panels(opened: Opened) -> None:
    page = opened(*samples.lined_metric(), size=DESK)
    page.locator("#wall [data-shade]").first.click()
    picked = lit(page, "roll", "panel", "picked")
    panels = json.loads(page.locator("#data").text_content())["panels"]
    assert len(picked) >= 2, "a face and a lining"
    shades = {panels[number - 1]["shade"] for number in picked}
    assert shades == lit(page, "wall", "shade", "picked")


def test_how_much_is_left_goes_down(opened: Opened) -> None:
    page = opened()
    assert "not cut into yet" in text(page, "pieces")
    for step in steps(page):
        page.click("#done")
        if "off" in step:
            assert f"{step['off']['left']} left" in text(page, "pieces")


# --- without a mouse -----------------------------------------------------------------------------


def focused(page: Any) -> str:
    found: str = page.evaluate(
        "(document.activeElement.id || document.activeElement.dataset.panel "
        "|| document.activeElement.textContent || '').trim()"
    )
    return found


def test_a_cut_is_ticked_with_keys_alone(opened: Opened) -> None:
    page = opened()
    page.keyboard.press("Tab")
    assert focused(page) == "Skip to the cut in hand"
    page.keyboard.press("Enter")
    for _ in range(12):
        page.keyboard.press("Tab")
        if focused(page) == "done":
            break
    page.keyboard.press("Enter")
    page.keyboard.press("Space")
    assert text(page, "tally").startswith("2 of ")
    assert focused(page) == "done", "and the next is ticked with the same key"


def test_panels_are_reached_with_arrows(opened: Opened) -> None:
    page = opened(size=DESK)
    assert page.locator('#roll [tabindex="0"]').count() == 1
    page.locator('#roll [tabindex="0"]').focus()
    page.keyboard.press("ArrowRight")
    page.keyboard.press("ArrowRight")
    assert focused(page) == "3"
    page.keyboard.press("End")
    assert focused(page) == str(len(MADE.panels))
    page.keyboard.press("ArrowRight")
    assert focused(page) == "1"
    page.keyboard.press("Enter")
    assert focused(page) == "picked"
    assert page.locator('#roll [data-panel="1"]').get_attribute("aria-pressed") == "true"
    page.keyboard.press("Escape")
    assert focused(page) == "1"
    assert page_hides(page, "#picked")


@SIZES
def test_the_focus_is_seen_wherever_it_goes(opened: Opened, size: dict[str, int]) -> None:
    page = opened(size=size, reduced_motion="reduce")
    seen, names = [], []
    for _ in range(60):
        page.keyboard.press("Tab")
        at = page.evaluate(
            """() => { const here = document.activeElement;
              if (here === document.body) return null;
              const look = getComputedStyle(here), box = here.getBoundingClientRect();
              return { name: here.id || here.textContent.slice(0, 30),
                svg: here instanceof SVGElement, outline: look.outlineStyle,
                wide: parseFloat(look.outlineWidth), stroke: parseFloat(look.strokeWidth),
                inside: box.bottom > 0 && box.top < innerHeight }; }"""
        )
        if at is None:
            break
        names.append(at["name"])
        seen.append(at)
    assert [name for name in names if name in ("done", "after", "line", "save", "clear")] == [
        "done",
        "after",
        "line",
        "save",
        "clear",
    ]
    assert sum(at["svg"] for at in seen) == 2, "one stop for each drawing"
    for at in seen:
        assert at["inside"], at
        assert at["stroke"] >= 4 if at["svg"] else at["outline"] == "solid" and at["wide"] >= 3, at


@SIZES
def test_whatever_is_pressed_is_large_enough(opened: Opened, size: dict[str, int]) -> None:
    page = opened(size=size)
    page.locator("#hand-free button").first.click()
    small = page.locator("button, summary, .box, #line").evaluate_all(
        """all => all.map(each => [each.id || each.textContent, each.getBoundingClientRect()])
          .filter(([, box]) => box.width && (box.width < 44 || box.height < 44))
          .map(([name, box]) => [name, box.width, box.height])"""
    )
    assert small == []


# --- looks ---------------------------------------------------------------------------------------


@SIZES
def test_nothing_is_wider_than_the_screen(opened: Opened, size: dict[str, int]) -> None:
    page = opened(*samples.porch(20), size=size)
    assert page.evaluate("document.documentElement.scrollWidth") == size["width"]
    wide = page.locator("#hand-at").evaluate("at => at.scrollWidth <= at.parentNode.clientWidth")
    assert wide


@SIZES
@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("job", [samples.mixed(), samples.lined_metric()], ids=["inch", "metric"])
def test_axe_finds_nothing(
    opened: Opened, size: dict[str, int], scheme: str, job: tuple[Job, Plan]
) -> None:
    page = opened(*job, size=size, color_scheme=scheme, bypass_csp=True, reduced_motion="reduce")
    faults(page)
    for _ in range(4):
        page.click("#done")
    page.locator("#hand-free button").first.click()
    faults(page)


def faults(page: Any) -> None:
    """Nothing that axe-core calls a violation of WCAG 2, levels A and AA, or of good practice."""
    axe = pytest.importorskip("axe_playwright_python.sync_playwright", reason="needs axe-core")
    found = axe.Axe().run(page).response["violations"]
    told = [(each["id"], [node["html"][:120] for node in each["nodes"]]) for each in found]
    assert told == []


def test_night_and_stillness_are_heeded(opened: Opened) -> None:
    grounds = [
        opened(color_scheme=scheme).evaluate("getComputedStyle(document.body).backgroundColor")
        for scheme in ("light", "dark")
    ]
    assert grounds[0] != grounds[1]
    still = opened(reduced_motion="reduce")
    assert still.evaluate(
        "getComputedStyle(document.querySelector('[data-panel]')).transitionDuration"
    ) in ("0s", "")


# --- whose words they are ------------------------------------------------------------------------


def test_words_of_a_job_are_shown_and_do_nothing(opened: Opened) -> None:
    job, plan = hostile()
    page = opened(job, plan)
    assert "</script><script>alert(1)</script><!--" in text(page, "job")
    page.click("#done")
    page.locator("#hand-free button").first.click()
    assert "<img src=x onerror=alert(2)>" in text(page, "picked-text")
    assert page.locator("img, b").count() == 0


def test_the_policy_holds(browser: Any, tmp_path: Path) -> None:
    """What somebody might bring into the page is refused by the browser."""
    file = tmp_path / "page.html"
    save_companion(file, Account(ASKED, MADE))
    context = browser.new_context(viewport=PHONE)
    page = context.new_page()
    page.goto(file.as_uri())
    refused = page.evaluate(
        """() => { const script = document.createElement("script");
          try { script.textContent = "window.ran = 1"; document.body.append(script); }
          catch (why) { return why.name; }
          return String(window.ran); }"""
    )
    assert refused == "TypeError"
    assert (
        page.evaluate(
            """() => { document.body.setAttribute("style", "color: red");
          return getComputedStyle(document.body).color; }"""
        )
        != "rgb(255, 0, 0)"
    )
    context.close()


def test_cautions_stand_on_the_page(opened: Opened) -> None:
    page = opened(ASKED.model_copy(update={"children": True}))
    assert "can be strangled by the cord" in text(page, "cautions")
    assert "hangs over people's heads" in text(page, "cautions")
    assert text(page, "first").startswith("Children live or visit here")


def test_what_was_cut_before_stands_as_done(opened: Opened) -> None:
    first = MADE.drops[0]
    cut = [PastDrop(cloth=first.cloth, piece=first.piece, number=first.number)]
    page = opened(ASKED, MADE.model_copy(update={"cut": cut}))
    done = len(json.loads(page.locator("#data").text_content())["drops"][0]["steps"])
    assert text(page, "tally").startswith(f"{done} of ")
    assert text(page, "hand-name").startswith(f"Next cut: {done + 1} of ")
    page.click("#before")
    assert "cut before this plan was made" in text(page, "hand-name")
    assert page.is_disabled("#done")
    assert page.is_disabled("#copy"), "it need not be told again"
    page.get_by_text("Drop 1,").click()
    assert page.get_by_label("Cut 1 done").is_disabled()


def test_each_panel_has_its_own_name_in_a_plan_that_goes_on(opened: Opened) -> None:
    """Slips are pinned on by these names: numbers are those of the plan before, in any order."""
    plan = MADE.model_copy(update={"numbers": other_numbers(MADE)})
    numbered = {p.number: p for lay in Account(ASKED, plan).lays for p in lay.panels}
    page = opened(ASKED, plan)
    places = [shade.id for shade in plan.shades]
    for step in steps(page):
        chips = page.locator("#hand .chip").all_inner_texts()
        for number in step["makes"]:
            assert f"{number}: {numbered[number].called}" in chips
            shade = places.index(numbered[number].panel.shade) + 1
            lit = page.locator("#wall .free[data-shade]")
            assert any(
                str(shade) in shades.split()
                for shades in lit.evaluate_all("all => all.map((one) => one.dataset.shade)")
            )
        page.click("#done")
    assert page.locator("#roll .tick.shown").count() == len(plan.panels)


@SIZES
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_ways_side_by_side(browser: Any, tmp_path: Path, size: dict[str, int], scheme: str) -> None:
    answers = [
        CaseAnswer("strategies", "plain", None, MADE),
        CaseAnswer("strategies", "level", None, MADE),
        CaseAnswer("strategies", "centred", None, None, "there is no room"),
    ]
    file = tmp_path / "compare.html"
    save_side_by_side(file, Comparison(ASKED, answers))
    context = browser.new_context(viewport=size, color_scheme=scheme, bypass_csp=True)
    context.set_offline(True)
    page = context.new_page()
    page.goto(file.as_uri())
    assert page.evaluate("document.documentElement.scrollWidth") == size["width"]
    assert page.locator(".way").count() == 3
    faults(page)
    context.close()
