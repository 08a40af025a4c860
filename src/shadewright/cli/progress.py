"""How far a search has come, told while it goes on."""

from __future__ import annotations

import sys
import time
from typing import TYPE_CHECKING

from shadewright.report.work.words import goal_value

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


class Progress:
    """A line on stderr with the plan so far and its gap; written over itself on a terminal."""

    _EVERY = 2.0

    def __init__(self, job: Job) -> None:
        self._job = job
        self._last = time.monotonic()
        self._shown = 0

    def __enter__(self) -> GoalReport:
        return self._tell

    def __exit__(self, *_: object) -> None:
        if self._shown and sys.stderr.isatty():
            print("\r" + " " * self._shown + "\r", end="", file=sys.stderr, flush=True)

    def _tell(self, goal: GoalName, value: float, bound: float) -> None:
        terminal = sys.stderr.isatty()
        now = time.monotonic()
        if now - self._last < (0.1 if terminal else self._EVERY):
            return
        self._last = now
        said = f"{_GOALS[goal]}: {goal_value(self._job, goal, value)}"
        line = f"  {said} so far, {self._gap(value, bound)}"
        if terminal:
            print("\r" + line.ljust(self._shown), end="", file=sys.stderr, flush=True)
            self._shown = len(line)
        else:
            print(line, file=sys.stderr, flush=True)

    @staticmethod
    def _gap(value: float, bound: float) -> str:
        if value <= bound:
            return "and none can be better"
        return f"at most {100 * (value - bound) / value:.1f} % better is possible"
