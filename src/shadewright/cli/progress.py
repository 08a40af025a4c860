"""How far a search has come, told while it goes on."""

from __future__ import annotations

import sys
import time
from collections.abc import Callable
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from shadewright.job.model import Job
    from shadewright.planning.make import GoalReport
    from shadewright.solve.search.goals import GoalName


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
        line = f"  {self._said(goal, value)} so far, {self._gap(value, bound)}"
        if terminal:
            print("\r" + line.ljust(self._shown), end="", file=sys.stderr, flush=True)
            self._shown = len(line)
        else:
            print(line, file=sys.stderr, flush=True)

    def _said(self, goal: GoalName, value: float) -> str:
        tape = self._job.tape
        by_goal: dict[GoalName, Callable[[], str]] = {
            "money": lambda: f"money: {value:,.2f}",
            "bought": lambda: f"to buy: {tape.cloth(round(value))}",
            "shades": lambda: f"shades: {round(value)}",
            "used": lambda: f"cloth used: {tape.long(round(value))}",
            "widths": lambda: f"different cut widths: {round(value)}",
            "gaps": lambda: f"gaps in all: {tape.short(round(value))}",
        }
        return by_goal[goal]()

    @staticmethod
    def _gap(value: float, bound: float) -> str:
        if value <= bound:
            return "and none can be better"
        return f"at most {100 * (value - bound) / value:.1f} % better is possible"
