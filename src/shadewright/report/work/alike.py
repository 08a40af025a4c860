"""Drops that follow one another and are cut alike, so that how they are cut is said once."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import groupby

from shadewright.cloth.plan import Panel
from shadewright.job.model import Job
from shadewright.measure import Ticks
from shadewright.report.work.cut_steps import (
    CutStep,
    DropSteps,
    drops_with_cuts,
    squares_up,
    steps_of,
)
from shadewright.report.work.going_on import GoingOn, Mark
from shadewright.report.work.lays import NumberedPanel, PieceLay

_LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"


@dataclass(frozen=True)
class DropRun:
    """Drops of a piece, one behind the other, that are cut alike.

    Attributes:
        steps: of each of them; they differ in where they lie from zero, and perhaps in how much is
            left out before them.
        letters: what the panels of each are called where there are several drops, by their number
            in the first; a panel that is alone in its drop has none.
        mark: how they compare with the plan before.
    """

    lay: PieceLay
    drops: tuple[DropSteps, ...]
    steps: tuple[CutStep, ...]
    letters: dict[int, str]
    mark: Mark

    @property
    def first(self) -> DropSteps:
        return self.drops[0]

    @property
    def left_out(self) -> tuple[Ticks, ...]:
        """What is left out before each of them."""
        return tuple(each.lay.drop.start - each.before for each in self.drops)

    @property
    def panels(self) -> list[NumberedPanel]:
        return [panel for each in self.drops for panel in each.lay.panels]


def drop_runs(job: Job, lay: PieceLay, going_on: GoingOn) -> list[DropRun]:
    """The drops of a piece in the order of work, those that are cut alike together."""

    def mark(drop: DropSteps) -> Mark:
        return going_on.mark_of_drop(lay, drop.lay)

    found = drops_with_cuts(job, lay)
    alike = groupby(found, key=lambda drop: (mark(drop), _look(job, lay, drop)))
    return [_run(job, lay, tuple(group), known) for (known, _), group in alike]


def _run(job: Job, lay: PieceLay, drops: tuple[DropSteps, ...], mark: Mark) -> DropRun:
    first, several = drops[0], len(drops) > 1
    numbers = [panel.number for panel in first.lay.panels]
    letters = _lettered(numbers) if several and len(numbers) > 1 else {}

    def called(panel: NumberedPanel) -> str:
        return letters.get(panel.number, "" if several else str(panel.number))

    every = steps_of(job, lay, first, called, several=several)
    squared = _squared_apart(job, lay, first)
    steps = tuple(step for step in every if not (step.opens and squared))
    return DropRun(lay, drops, steps, letters, mark)


def _squared_apart(job: Job, lay: PieceLay, drop: DropSteps) -> bool:
    """Whether a drop begins with the squaring up of its piece, which is told before all drops."""
    return squares_up(job, drop) and not lay.by_print


def _lettered(numbers: list[int]) -> dict[int, str]:
    """A to Z, and on with A2."""
    return {
        number: _LETTERS[i % 26] + (str(i // 26 + 1) if i >= 26 else "")
        for i, number in enumerate(numbers)
    }


def _look(job: Job, lay: PieceLay, drop: DropSteps) -> object:
    """What drops that are cut alike share."""
    if lay.is_done(drop.lay):
        return "done"
    start, end = drop.lay.drop.start, drop.lay.drop.end
    squared = _squared_apart(job, lay, drop)
    steps = [s for s in steps_of(job, lay, drop, _any, several=True) if not (s.opens and squared)]
    prints = [(step.opens, step.by_print) for step in steps]
    return end - start, prints, end == lay.use.length, _panels(drop, start)


def _panels(drop: DropSteps, start: Ticks) -> list[tuple[object, ...]]:
    def place(panel: Panel) -> tuple[object, ...]:
        at, size = (panel.x, panel.y - start), (panel.across, panel.along)
        return panel.part, at, size, panel.railroaded, panel.hem_left, panel.hem_top

    return [place(numbered.panel) for numbered in drop.lay.panels]


def _any(_: NumberedPanel) -> str:
    return ""
