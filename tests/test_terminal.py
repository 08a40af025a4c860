"""What is printed to a terminal, and to what is none."""

from __future__ import annotations

import io
import os
import re
import subprocess
import sys
import threading
from pathlib import Path

import pytest
from typer.testing import CliRunner

from shadewright.cli import terminal
from shadewright.cli.app import app
from shadewright.cli.progress import Progress, ProgressLine
from shadewright.job.read import read_job
from shadewright.report.text.wrapping import narrowed, wrapped

ROOT = Path(__file__).parents[1]
SUNROOM = ROOT / "examples" / "sunroom.toml"
COMMANDS = ("new", "check", "plan", "compare", "fit", "replay")


class Screen(io.StringIO):
    """A terminal that keeps what is printed."""

    def isatty(self) -> bool:
        return True


@pytest.fixture
def screen(monkeypatch: pytest.MonkeyPatch) -> Screen:
    for name in ("NO_COLOR", "COLUMNS"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setenv("TERM", "xterm")
    return Screen()


def plain(text: str) -> str:
    return re.sub(r"\x1b\[[0-9;]*m", "", text)


# --- results ------------------------------------------------------------------------------------

RESULT = "A room\n\nHow good this is\n  Proved: no plan for this job costs less.\n  a, b\n"


def test_colour_only_repeats_what_words_say(screen: Screen) -> None:
    shown = terminal.dressed(RESULT, screen)
    assert "\x1b[1mHow good this is\x1b[0m" in shown
    assert "\x1b[32m  Proved: no plan for this job costs less.\x1b[0m" in shown
    assert plain(shown) == RESULT
    unproved = terminal.dressed("  Not proved best. No plan\n    can do better.\n  a, b", screen)
    first, second, after = unproved.split("\n")
    assert first.startswith("\x1b[33m")
    assert second == "\x1b[33m    can do better.\x1b[0m", "all of it, on however many lines"
    assert after == "  a, b"


@pytest.mark.parametrize(("name", "value"), [("NO_COLOR", "1"), ("TERM", "dumb")])
def test_no_colour_where_none_is_wanted(
    screen: Screen, monkeypatch: pytest.MonkeyPatch, name: str, value: str
) -> None:
    monkeypatch.setenv(name, value)
    assert terminal.dressed(RESULT, screen) == RESULT
    assert terminal.painted("wrong", terminal.RED, screen) == "wrong"


def test_what_is_no_terminal_gets_the_text_as_it_is(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", "30")
    long = f"{RESULT}  {'word ' * 40}\n"
    assert terminal.dressed(long, io.StringIO()) == long
    assert terminal.room(io.StringIO()) is None


def test_lines_are_no_longer_than_a_terminal_is_wide(
    screen: Screen, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("COLUMNS", "40")
    text = "word " * 30
    with narrowed(terminal.room(screen)):
        lines = wrapped(text, "  ").split("\n")
    assert max(map(len, lines)) <= 40
    assert all(line.startswith("    ") for line in lines[1:])
    shown = plain(terminal.dressed(f"  {text}", screen)).split("\n")
    assert max(map(len, shown)) <= 40
    assert " ".join(shown).split() == text.split()
    with narrowed(None):
        assert len(wrapped(text, "  ").split("\n")[0]) > 70


def test_no_line_ends_within_a_length(screen: Screen, monkeypatch: pytest.MonkeyPatch) -> None:
    text = 'It takes 33 1/4 yd more, and a panel is 39 3/4" wide or 101 cm. ' * 3
    for most in range(30, 60):
        monkeypatch.setenv("COLUMNS", str(most))
        with narrowed(most):
            lines = wrapped(text).split("\n")
        shown = plain(terminal.dressed(f"  {text}", screen)).split("\n")
        for each in (lines, shown):
            assert " ".join(each).split() == text.split()
            assert any(re.search(r"\d (1/4|3/4|yd|cm)", line) for line in each)
            assert not [line for line in each if re.match(r"\s*(1/4|3/4|yd|cm)", line)]


# --- progress -----------------------------------------------------------------------------------


def shown(screen: Screen, text: str) -> None:
    """Wait until a text is on the screen."""
    for _ in range(2000):
        if text in screen.getvalue():
            return
        threading.Event().wait(0.005)
    pytest.fail(f"{text!r} is not shown")


def test_a_terminal_has_one_line_that_is_written_over(
    screen: Screen, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(sys, "stderr", screen)
    with Progress(read_job(SUNROOM), 600.0) as tell:
        tell("money", 150.0, 120.0)
        shown(screen, "150.00")
    assert "\n" not in screen.getvalue()
    *lines, last = screen.getvalue().split("\r\x1b[K")
    assert last == ""
    assert "  money: 150.00 so far, at most 20.0 % better is possible, 10 min left" in lines


def test_the_line_keeps_to_the_width_and_to_the_time(
    screen: Screen, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(sys, "stderr", screen)
    monkeypatch.setenv("COLUMNS", "40")
    with ProgressLine(5000.0) as line:
        line.tell("trying \x1b[2J everything that there may be to give up")
        shown(screen, "trying")
    (only,) = set(screen.getvalue().split("\r\x1b[K")) - {""}
    assert len(only) <= 39
    assert only.endswith("…, 83 min left")
    assert "\x1b" not in only
    with ProgressLine(0.0) as line:
        line.tell("comes to its end")
        shown(screen, "comes to its end, finishing")


@pytest.mark.parametrize(
    ("bound", "said"),
    [(120.0, "  gap 20.0 %, money: 150.00, 10 min left"), (150.0, "  no gap, money: 150.00")],
)
def test_where_the_whole_line_has_no_room_the_gap_stays(
    screen: Screen, monkeypatch: pytest.MonkeyPatch, bound: float, said: str
) -> None:
    monkeypatch.setattr(sys, "stderr", screen)
    monkeypatch.setenv("COLUMNS", "44")
    with Progress(read_job(SUNROOM), 600.0) as tell:
        tell("money", 150.0, bound)
        shown(screen, said)
    assert "better" not in screen.getvalue()


def test_elsewhere_lines_follow_one_another(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "stderr", io.StringIO())
    with ProgressLine(30.0) as line:
        line.tell("one")
        line.tell("two")
    with ProgressLine(30.0, every=60.0) as line:
        line.tell("too soon")
    assert sys.stderr.getvalue() == "  one\n  two\n"


def test_quiet_says_nothing_but_what_is_wrong(
    screen: Screen, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setattr(sys, "stderr", screen)
    with ProgressLine(30.0, quiet=True) as line:
        line.tell("one")
    assert screen.getvalue() == ""
    out = tmp_path / "p.json"
    loud = CliRunner().invoke(app, ["plan", str(SUNROOM), "--json", str(out)])
    assert f"Wrote {out}" in loud.stderr
    quiet = CliRunner().invoke(app, ["plan", str(SUNROOM), "-q", "--json", str(out), "--force"])
    assert (quiet.stderr, quiet.stdout) == ("", loud.stdout)
    wrong = CliRunner().invoke(app, ["plan", str(tmp_path), "--quiet"])
    assert "this is a folder" in wrong.stderr


# --- help and completion ------------------------------------------------------------------------


@pytest.mark.parametrize("command", ["", *COMMANDS])
def test_every_help_ends_with_an_example(command: str) -> None:
    said = CliRunner().invoke(app, [*command.split(), "--help"]).stdout
    _, example = said.split("For example:\n")
    lines = [line.strip() for line in example.splitlines() if line.strip()]
    assert lines
    assert all(line.startswith(f"shadewright {command}".strip()) for line in lines)


@pytest.mark.parametrize("command", ["", *COMMANDS])
def test_help_keeps_to_sixty_columns_and_leaves_no_sentence_unended(
    command: str,
) -> None:
    said = CliRunner().invoke(app, [*command.split(), "--help"], terminal_width=60).stdout
    assert max(map(len, said.splitlines())) <= 60
    assert "..." not in said.replace("DROP[,DROP...]", "").replace("[ARGS]...", "").replace(
        "sunroom, ...", ""
    )


def test_examples_of_help_are_command_lines() -> None:
    # What an example names is missing here: that is what they must stumble over, not their words.
    for command in COMMANDS:
        said = CliRunner().invoke(app, [command, "--help"]).stdout
        for line in said.split("For example:\n")[1].split("\n"):
            if command != "new" and line.strip():
                ended = CliRunner().invoke(app, line.split()[1:])
                assert ended.stderr == f"{line.split()[2]}: there is no such file\n"


COMPLETIONS = {
    "shadewright co": "compare",
    "shadewright compare x.toml --choice he": "hems",
    "shadewright compare x.toml --strategy con": "continuous",
    "shadewright new --example sun": "sunroom",
}
LOADS = """
import atexit, sys
heavy = ("ortools", "pandas", "numpy", "pydantic", "openpyxl", "typst")
tell = lambda: print([name for name in heavy if name in sys.modules], file=sys.stderr)
atexit.register(tell)
from shadewright.__main__ import main
main()
"""


@pytest.mark.slow
@pytest.mark.parametrize("line", COMPLETIONS)
def test_a_shell_completes(line: str) -> None:
    asked = {
        "_SHADEWRIGHT_COMPLETE": "complete_bash",
        "COMP_WORDS": line,
        "COMP_CWORD": str(len(line.split()) - 1),
    }
    said = subprocess.run(
        [sys.executable, "-c", f"import sys; sys.argv[0] = 'shadewright'; {LOADS.strip()}"],
        env=os.environ | asked,
        capture_output=True,
        text=True,
        check=False,
    )
    assert said.stdout.split() == [COMPLETIONS[line]]
    assert said.returncode == 0


def test_help_loads_nothing_heavy() -> None:
    said = subprocess.run(
        [sys.executable, "-c", LOADS, "--help"], capture_output=True, text=True, check=True
    )
    loaded = said.stderr.strip()
    # The library of the commands may load pydantic for itself.
    assert loaded in ("[]", "['pydantic']")


def test_an_unknown_shell_is_no_interruption() -> None:
    said = subprocess.run(
        [sys.executable, "-c", f"import sys; sys.argv[0] = 'shadewright'; {LOADS.strip()}"],
        env=os.environ | {"_SHADEWRIGHT_COMPLETE": "complete_no-such-shell"},
        capture_output=True,
        text=True,
        check=False,
    )
    assert said.returncode in (0, 2)
    assert "Stopped" not in said.stderr
