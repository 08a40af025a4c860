"""How far a command has come, told while it goes on: one line on stderr that is written over itself
on a terminal, and lines one after the other elsewhere."""

from __future__ import annotations

import sys
import threading
import time
from typing import TYPE_CHECKING, Self

from shadewright.cli import terminal
from shadewright.job.problems import printable
from shadewright.report.work.words import brief, goal_value

if TYPE_CHECKING:
    from shadewright.cloth.plan import GoalName
    from shadewright.job.model import Job
    from shadewright.planning.make import GoalReport


_GOALS = {
    "money": "money",
    "bought": "to buy",
    "shades": "shades",
    "used": "cloth used",
    "widths": "different cut widths",
    "gaps": "gaps in all",
}
_MINUTES_FROM = 120.0
"""Seconds from which on time left is told in minutes."""


class ProgressLine:
    """What is going on, with the time that is left of a command.

    Args:
        seconds: that the command may search.
        quiet: whether nothing is told.
        every: seconds between lines where they come one after the other.
    """

    _REDRAWN = 0.5

    def __init__(self, seconds: float, *, quiet: bool = False, every: float = 0.0) -> None:
        self._begun = time.monotonic()
        self._seconds, self._quiet, self._every = seconds, quiet, every
        self._last = self._begun
        self._text = self._short = ""
        self._ended = threading.Event()
        self._ticker: threading.Thread | None = None

    def __enter__(self) -> Self:
        if not self._quiet and terminal.can_rewrite(sys.stderr):
            # A search may be silent for long; the time that is left goes on.
            self._ticker = threading.Thread(target=self._tick, daemon=True)
            self._ticker.start()
        return self

    def __exit__(self, *_: object) -> None:
        if self._ticker is not None:
            self._ended.set()
            self._ticker.join()
            print("\r\x1b[K", end="", file=sys.stderr, flush=True)

    def tell(self, text: str, short: str = "") -> None:
        """Say what is going on.

        Args:
            short: the same in fewer signs, for a terminal that is too narrow for all of it.
        """
        now = time.monotonic()
        self._text, self._short = printable(text), printable(short or text)
        if self._quiet or self._ticker is not None or now - self._last < self._every:
            return
        self._last = now
        print(f"  {self._text}", file=sys.stderr, flush=True)

    def _tick(self) -> None:
        shown = ""
        while not self._ended.is_set():
            left = f", {self._left()}"
            room = terminal.width(sys.stderr) - 1 - len(left)
            fits = len(self._text) + 2 <= room
            line = brief(f"  {self._text if fits else self._short}", room) + left
            if self._text and line != shown:
                print(f"\r\x1b[K{line}", end="", file=sys.stderr, flush=True)
                shown = line
            self._ended.wait(self._REDRAWN if self._text else 0.1)

    def _left(self) -> str:
        left = self._begun + self._seconds - time.monotonic()
        if left < 0.5:
            return "finishing"
        return f"{left / 60:.0f} min left" if left >= _MINUTES_FROM else f"{left:.0f} s left"


class Progress:
    """A line with the goal that is being reached, the plan so far and its gap."""

    def __init__(self, job: Job, seconds: float, *, quiet: bool = False) -> None:
        self._job = job
        self._line = ProgressLine(seconds, quiet=quiet, every=2.0)

    def __enter__(self) -> GoalReport:
        self._line.__enter__()
        return self._tell

    def __exit__(self, *why: object) -> None:
        self._line.__exit__(*why)

    def _tell(self, goal: GoalName, value: float, bound: float) -> None:
        said = f"{_GOALS[goal]}: {goal_value(self._job, goal, value)}"
        if value <= bound:
            self._line.tell(f"{said} so far, and none can be better", f"no gap, {said}")
        else:
            gap = f"{100 * (value - bound) / value:.1f} %"
            better = f"at most {gap} better is possible"
            self._line.tell(f"{said} so far, {better}", f"gap {gap}, {said}")
