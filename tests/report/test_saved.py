"""The file of ticks that the page saves: what is read back from it, and what is refused."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

import samples
from commands import run
from shadewright.answers import Since
from shadewright.cloth.plan import mark
from shadewright.report.sheets.cutting_order import steps
from shadewright.report.sheets.since import Statement, since
from shadewright.report.work.account import Account
from shadewright.report.work.saved import SAVED_FORMAT

# Step 1 squares up, step 2 takes drop 1 off, steps 3 to 6 part it; drops 2 and 3 follow.
ASKED, MADE = samples.mixed()
ORDER = list(steps(ASKED, Account(ASKED, MADE).lays))
OFF = [step.key for step in ORDER if step.cut.role == "drop comes off"]


def saved(path: Path, *keys: str, **over: Any) -> Path:
    said = {"format": SAVED_FORMAT, "job": MADE.job, "plan": mark(MADE), "ticked": list(keys)}
    path.write_text(json.dumps({**said, **over}), encoding="utf-8")
    return path


def read(path: Path, **told: Any) -> Since:
    return since(ASKED, MADE, Statement(done_from=path, **told))


def refused(path: Path) -> str:
    with pytest.raises(ValueError, match="--done-from") as why:
        read(path)
    return str(why.value)


def drops(*numbers: int) -> frozenset[tuple[str, str, int]]:
    return frozenset((MADE.drops[0].cloth, "bolt", number) for number in numbers)


def test_ticks_come_back_as_drops(tmp_path: Path) -> None:
    assert read(saved(tmp_path / "t.json")) == Since(frozenset())
    assert read(saved(tmp_path / "t.json", *OFF[:2])) == Since(drops(1, 2))
    assert read(saved(tmp_path / "t.json", *(step.key for step in ORDER))) == Since(drops(1, 2, 3))


def test_a_drop_that_is_opened_is_told_of_too(tmp_path: Path) -> None:
    found = read(saved(tmp_path / "t.json", ORDER[0].key))
    assert (found.done, found.opened) == (frozenset(), drops(1))


def test_ticks_are_held_to_the_rules_of_the_table(tmp_path: Path) -> None:
    said = refused(saved(tmp_path / "t.json", OFF[1]))
    assert "t.json: Cutting order: found" in said
    assert "drops come off a piece in order" in said
    assert f"(step {1 + [step.key for step in ORDER].index(OFF[1])})" in said
    within = next(step for step in ORDER if step.cut.role == "within its drop")
    assert "a drop that is begun is cut to its end first" in refused(
        saved(tmp_path / "t.json", within.key)
    )


def test_ticks_and_drops_that_are_named_add_up(tmp_path: Path) -> None:
    assert read(saved(tmp_path / "t.json", OFF[0]), done=["2"]) == Since(drops(1, 2))


@pytest.mark.parametrize(
    ("over", "says"),
    [
        ({"plan": "0123"}, 'plan: found the mark "0123" of another plan, wanted '),
        ({"plan": None}, "plan: found the mark nothing of another plan"),
        ({"format": "shadewright-plan/1"}, 'format: found "shadewright-plan/1", wanted'),
        ({"format": None}, 'format: found nothing, wanted "shadewright-ticks/1"'),
        ({"ticked": "all"}, 'ticked: found "all", wanted a list of steps'),
        ({"ticked": [3]}, "ticked, entry 1: found 3, wanted a step of this plan"),
        ({"ticked": ["1 no/such/1 drop comes off"]}, "ticked, entry 1: found"),
        ({"ticked": [OFF[0], OFF[0]]}, "again, wanted every step once"),
        ({"more": 1}, "more: found a key that the page does not write"),
    ],
)
def test_what_the_page_would_not_write_is_refused(
    tmp_path: Path, over: dict[str, Any], says: str
) -> None:
    said = refused(saved(tmp_path / "t.json", **over))
    assert f"t.json: {says}" in said or says in said
    assert said.startswith("--done-from: ")


@pytest.mark.parametrize(
    ("text", "says"),
    [
        (b"", "line 1, column 1: found no JSON"),
        (b'{"format": ', "line 1, column 12: found no JSON"),
        (b"[]", "found [], wanted the file that the page"),
        (b'{\n"format": "\xff"}', "line 2: found no UTF-8 text"),
        (b'{"plan": 1, "plan": 2}', "plan: found this key more than once"),
        (b"[" * 100_000, "no JSON that can be read"),
        (b"1" * 10_000, "no JSON that can be read"),
    ],
)
def test_what_is_no_file_of_ticks_is_refused_with_its_place(
    tmp_path: Path, text: bytes, says: str
) -> None:
    path = tmp_path / "t.json"
    path.write_bytes(text)
    assert says in refused(path)


def test_no_file_and_no_plain_file_are_refused(tmp_path: Path) -> None:
    assert "there is no such file" in refused(tmp_path / "none.json")
    assert "this is a folder" in refused(tmp_path)


# --- at the command line -------------------------------------------------------------------------

ROOM = """
title = "Test room"
[cloth.plain]
width = 54
price = 10
[[opening]]
name = "Window"
width = 40
height = 50
copies = 2
"""


@pytest.fixture
def room(tmp_path: Path) -> Path:
    file = tmp_path / "room.toml"
    file.write_text(ROOM, encoding="utf-8")
    return file


def data_of(page: Path) -> dict[str, Any]:
    text = page.read_text("utf-8").split('id="data">')[1].split("</script>")[0]
    found: dict[str, Any] = json.loads(text)
    return found


def test_a_plan_goes_on_from_what_its_page_saved(room: Path, tmp_path: Path) -> None:
    plan, page, rest = tmp_path / "p.json", tmp_path / "p.html", tmp_path / "rest.html"
    assert run("plan", room, "--json", plan, "--page", page).exit_code == 0
    told = data_of(page)
    off = next(step["key"] for step in told["steps"] if step["role"] == "drop comes off")
    said = {"format": told["format"], "job": told["job"], "plan": told["mark"], "ticked": [off]}
    ticks = tmp_path / "t.json"
    ticks.write_text(json.dumps(said))
    words = ["plan", room, "--after", plan, "--done-from", ticks, "--flaw", "bolt:60 to 61"]
    result = run(*words, "--page", rest)
    assert result.exit_code == 0, result.stderr
    assert [drop["before"] for drop in data_of(rest)["drops"]] == [True, False]
    foreign = run("plan", room, "--after", plan, "--done-from", plan)
    assert foreign.exit_code == 2
    assert "format: found" in foreign.stderr
    over = run("plan", room, "--after", plan, "--done-from", ticks, "--json", ticks, "--force")
    assert "is the file of ticks of --done-from itself" in over.stderr


def test_a_page_is_written_whole_or_not_at_all(room: Path, tmp_path: Path) -> None:
    page, data = tmp_path / "p.html", tmp_path / "p.json"
    page.write_text("mine")
    for words in (["plan", room], ["compare", room, "--choice", "hems"]):
        refused = run(*words, "--page", page, "--json", data)
        assert refused.exit_code == 2
        assert "exists already; --force" in refused.stderr
        assert page.read_text() == "mine"
        assert not data.exists()
        itself = run(*words, "--page", tmp_path / "x.htm")
        assert itself.exit_code == 2
        assert "wanted a name that ends in .html" in itself.stderr
    linked = tmp_path / "job.html"
    linked.symlink_to(room)
    over = run("plan", room, "--page", linked, "--force")
    assert over.exit_code == 2
    assert "is the job itself" in over.stderr
    assert room.read_text() == ROOM
    assert run("plan", room, "--page", page, "--force").exit_code == 0
    assert page.read_text().startswith("<!doctype html>")
