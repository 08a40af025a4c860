"""Ctrl-C and requests to terminate, wherever a command is: the best is kept, nothing is left."""

from __future__ import annotations

import os
import re
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from jobs import mostly_slow
from shadewright import stopping
from shadewright.solve.effort import USUAL
from shadewright.solve.run import Clock

EXAMPLES = Path(__file__).parents[1] / "examples"
PROGRAM = [sys.executable, "-m", "shadewright"]
# Seconds that a command on a busy machine may take to get where it is interrupted.
PATIENCE = 90

pytestmark = pytest.mark.skipif(os.name == "nt", reason="signals are sent otherwise there")


class Run:
    """A command in a folder of its own, and what it says while it runs."""

    def __init__(self, folder: Path, *words: object, before: list[str] | None = None) -> None:
        self.folder = folder
        self.log = folder.parent / f"{folder.name}.err"
        self._stderr = self.log.open("w")
        self.process = subprocess.Popen(
            [*(before or PROGRAM), *map(str, words)],
            cwd=folder,
            stdout=subprocess.PIPE,
            stderr=self._stderr,
            text=True,
            start_new_session=True,
        )

    def wait_until(self, happened: Callable[[], bool]) -> None:
        """Wait until something has happened; the command must not end before."""
        until = time.monotonic() + PATIENCE
        while not happened():
            assert self.process.poll() is None, self.log.read_text()
            assert time.monotonic() < until, self.log.read_text()
            time.sleep(0.005)

    def says(self, text: str) -> Callable[[], bool]:
        return lambda: text in self.log.read_text()

    def writes(self) -> bool:
        """Whether an output is being written."""
        return any(part.stat().st_size for part in self.folder.glob(".shadewright-*"))

    def ended(self, *, by: signal.Signals, group: bool = False) -> tuple[int, str, str]:
        """Send a signal; the exit code and all that was printed."""
        if group:
            os.killpg(self.process.pid, by)
        else:
            self.process.send_signal(by)
        stdout, _ = self.process.communicate(timeout=PATIENCE)
        self._stderr.close()
        return self.process.returncode, stdout, self.log.read_text()

    def files(self) -> list[str]:
        return sorted(file.name for file in self.folder.iterdir())


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    made = tmp_path / "work"
    made.mkdir()
    return made


@pytest.mark.slow
def test_fit_hears_ctrl_c_after_its_first_boards_and_rods(folder: Path) -> None:
    """A solver's own handler once left the system's default behind, and fit was killed."""
    job = EXAMPLES / "fit" / "attic.toml"
    run = Run(folder, "fit", job, "--json", "f.json", "--seconds", 15)
    run.wait_until(run.says("trying single side hems"))
    code, stdout, stderr = run.ended(by=signal.SIGINT)
    assert code == 0, stderr
    assert "What would make it enough" in stdout
    assert "topped early" in stdout + stderr
    assert run.files() == ["f.json"]


HARD = (
    'title = "hard"\n[cloth.c]\nwidth = 118\nprice = 20\nruns = "mixed"\n'
    "[make]\nextra_shade = 0\nhook_drop = 0\n"
) + "".join(
    f'[[opening]]\nname = "o{k}"\nwidth = {60 + 11.3 * k}\nheight = {40 + 3.7 * k}\n'
    for k in range(14)
)


def test_ctrl_c_keeps_the_best_plan(folder: Path) -> None:
    (folder / "job.toml").write_text(HARD)
    run = Run(folder, "plan", "job.toml", "--json", "p.json", "--seconds", 300)
    run.wait_until(run.says("so far"))
    code, stdout, stderr = run.ended(by=signal.SIGINT)
    assert code == 0
    assert "Stopped early" in stderr
    assert "so far" not in stdout
    replayed = subprocess.run(
        [*PROGRAM, "replay", "job.toml", "p.json"], cwd=folder, check=False, capture_output=True
    )
    assert replayed.returncode == 0


@pytest.mark.slow
def test_ctrl_c_while_writing_loses_no_plan(folder: Path) -> None:
    run = Run(folder, "plan", EXAMPLES / "porch.toml", "--json", "p.json", "--out", "p.xlsx")
    run.wait_until(run.writes)
    code, stdout, stderr = run.ended(by=signal.SIGINT)
    assert code == 0, stderr
    assert "Proved" in stdout
    assert run.files() == ["p.json", "p.xlsx"]


@pytest.mark.slow
def test_ctrl_c_twice_ends_at_once(folder: Path) -> None:
    run = Run(folder, "plan", EXAMPLES / "porch.toml", "--out", "p.xlsx", "--picture", "p.pdf")
    run.wait_until(run.writes)
    run.process.send_signal(signal.SIGINT)
    code, _, stderr = run.ended(by=signal.SIGINT)
    # The second may come when all is written already.
    assert (code, run.files()) in ((4, []), (0, ["p.pdf", "p.xlsx"])), stderr
    assert "Traceback" not in stderr


def test_a_request_to_terminate_leaves_nothing_behind(folder: Path) -> None:
    run = Run(folder, "plan", EXAMPLES / "porch.toml", "--out", "p.xlsx", "--picture", "p.pdf")
    run.wait_until(lambda: any(run.folder.iterdir()))
    code, _, stderr = run.ended(by=signal.SIGTERM)
    assert code == 4
    assert run.files() == []
    assert "Traceback" not in stderr
    assert "Nothing was written" in stderr


def test_ctrl_c_during_imports_prints_no_traceback(folder: Path) -> None:
    importing = [sys.executable, "-X", "importtime", "-m", "shadewright"]
    run = Run(folder, "plan", EXAMPLES / "porch.toml", "--out", "p.xlsx", before=importing)
    run.wait_until(run.says("shadewright.stopping"))
    code, _, stderr = run.ended(by=signal.SIGINT)
    assert code == 4
    assert "Traceback" not in stderr
    assert "Nothing was written" in stderr
    assert run.files() == []


@pytest.mark.slow
@pytest.mark.parametrize("seconds", mostly_slow([1.5, 0.0, 4.0], 3, 2))
def test_ctrl_c_reaches_no_worker_of_compare(folder: Path, seconds: float) -> None:
    """The key goes to all processes of a terminal; those that plan leave it to the first."""
    job = EXAMPLES / "porch-leaf.toml"
    run = Run(folder, "compare", job, "--out", "c.xlsx", "--workers", 2)
    run.wait_until(lambda: any(run.folder.iterdir()))
    time.sleep(seconds)
    code, stdout, stderr = run.ended(by=signal.SIGINT, group=True)
    assert "Traceback" not in stdout + stderr
    assert (code, run.files()) in ((0, ["c.xlsx"]), (4, []))
    if "topped" not in stdout + stderr:
        # Then all was planned when the key came, numbers of shades, which come last, among it.
        *_, (done, asked, last) = re.findall(r"(\d+) of (\d+) planned: (.*)", stderr)
        assert done == asked
        assert last.endswith("or fewer")
        assert code == 0


# --- what is heard when ---------------------------------------------------------------------------


@pytest.fixture
def state(monkeypatch: pytest.MonkeyPatch) -> stopping._StopRequest:
    fresh = stopping._StopRequest()
    monkeypatch.setattr(stopping, "_state", fresh)
    return fresh


def press() -> None:
    stopping._interrupted(signal.SIGINT, None)


def test_with_nothing_to_keep_the_key_ends_all(state: stopping._StopRequest) -> None:
    with pytest.raises(KeyboardInterrupt):
        press()
    assert state.asked


def test_a_search_is_asked_first_and_reminded_then(
    state: stopping._StopRequest, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(stopping, "PATIENCE", 60.0)
    with stopping.ends_soon():
        press()
        assert stopping.asked()
        # The reminder, as it comes when a search has not ended in time.
        state.overdue = True
        with pytest.raises(KeyboardInterrupt):
            press()
    stopping.keep()
    state.overdue = True
    press()


def test_what_is_kept_is_carried_through_unless_asked_twice(
    state: stopping._StopRequest, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(stopping, "PATIENCE", 60.0)
    stopping.keep()
    press()
    assert stopping.asked()
    assert state.kept
    with pytest.raises(KeyboardInterrupt):
        press()


def test_a_clock_is_over_when_it_was_asked_anywhere(state: stopping._StopRequest) -> None:
    clock = Clock(10.0)
    assert not clock.leaving(0.1).over
    answers = iter([False, True])
    stopping.listen(lambda: next(answers, True))
    assert not clock.over
    assert clock.part(0.5).over
    assert state.asked is False


def test_a_part_of_a_clock_spends_from_the_whole() -> None:
    clock = Clock(10.0)
    first = clock.leaving(0.25)
    first.spend(first.work)
    assert first.over
    assert clock.work == pytest.approx(0.25 * 10 * USUAL.work_per_second)
    half = clock.part(0.5)
    half.spend(half.work)
    assert clock.work == pytest.approx(0.125 * 10 * USUAL.work_per_second)


LAST_MOMENT = """
import os, signal
from shadewright import stopping
stopping.hear()
stopping.deaf()
# As Python itself does when all is done, before libraries are unloaded.
for number in (signal.SIGINT, signal.SIGTERM):
    signal.signal(number, signal.SIG_DFL)
    os.kill(os.getpid(), number)
print("at the end")
"""


@pytest.mark.skipif(not hasattr(signal, "pthread_sigmask"), reason="signals cannot be blocked")
def test_nothing_interrupts_the_last_moment() -> None:
    ran = subprocess.run(
        [sys.executable, "-c", LAST_MOMENT], capture_output=True, text=True, check=False
    )
    assert (ran.returncode, ran.stdout) == (0, "at the end\n")


FROM_A_TEXT = """
import shadewright.cli.app as app
from shadewright import __main__ as program
def broken() -> None:
    exec("import os, signal; os.kill(os.getpid(), signal.SIGINT)")
app.run = broken
program.main()
"""


def test_a_key_that_breaks_into_what_is_run_from_a_text_is_answered(tmp_path: Path) -> None:
    (tmp_path / "broken_into.py").write_text(FROM_A_TEXT, encoding="utf-8")
    ran = subprocess.run(
        [sys.executable, "-m", "broken_into"],
        cwd=tmp_path, capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert (ran.returncode, ran.stderr) == (4, "Stopped. Nothing was written.\n")
