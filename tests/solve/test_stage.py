"""Models of one set of options: what is solved to the end is not solved again."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from jobs import TWO_BAYS, job_of
from shadewright.solve.effort import USUAL
from shadewright.solve.problem.menu import problem
from shadewright.solve.problem.supply import Supply
from shadewright.solve.run import Clock, Outcome
from shadewright.solve.search import stage as stages
from shadewright.solve.search.bounds import worths_of
from shadewright.solve.search.candidate import Forgone, score
from shadewright.solve.search.first import first_candidates
from shadewright.solve.search.stage import Stage

COUNTED = replace(USUAL, wall=100.0)


def test_what_is_solved_to_the_end_is_not_solved_again(monkeypatch: pytest.MonkeyPatch) -> None:
    runs: list[Outcome] = []

    def counted(*args: Any, **words: Any) -> Outcome:
        outcome = run(*args, **words)
        runs.append(outcome)
        return outcome

    run = stages.run
    monkeypatch.setattr(stages, "run", counted)
    asked, _ = problem(job_of(TWO_BAYS))
    supply, clock = Supply.bolts(asked), Clock(10, COUNTED)
    worths = worths_of(asked, clock)
    stage = Stage(asked, [supply], clock, 0, lambda: worths, Forgone())
    start = next(iter(first_candidates(asked, supply, USUAL)))
    value = score(asked, supply, start)["used"]

    def looked(best: int) -> int:
        """The bound of another look, whatever is found."""
        found = stage.minimise(supply, "used", (start, best), {}, 0.5, lambda *_: None)
        assert found is not None
        return found[1]

    bound = looked(value)
    assert runs
    assert all(outcome.best for outcome in runs)
    before, left = len(runs), clock.work
    assert looked(value) == bound
    assert (len(runs), clock.work) == (before, left)
    # What it is to be better than is another question.
    looked(value + 1)
    assert len(runs) > before
