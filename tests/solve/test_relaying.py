"""Plans on limited cloth made better by laying everything once more, in counted work."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from fractions import Fraction

import pytest

from jobs import job_of
from limited_jobs import pieces_job
from looser_jobs import pair
from shadewright.cloth.stretches import Stretch
from shadewright.job.model import Job
from shadewright.planning.make import make_plan
from shadewright.solve.effort import USUAL, Effort
from shadewright.solve.problem.agreement import agrees
from shadewright.solve.problem.kinds import Kind, Option, Problem, Rect, Roll, Topic, Value
from shadewright.solve.problem.menu import problem
from shadewright.solve.problem.supply import Supply
from shadewright.solve.run import Clock
from shadewright.solve.search.candidate import Forgone, taken_rects
from shadewright.solve.search.found import Wish
from shadewright.solve.search.incumbent import Incumbent
from shadewright.solve.search.laying import layings
from shadewright.solve.search.relaying import relayings
from shadewright.trade.divisions import Way

COUNTED = replace(USUAL, wall=1_000.0)
WITHOUT = replace(COUNTED, relaid=0.0, relaid_at_last=0.0)


def _reached(job: Job, effort: Effort, seconds: float = 1) -> list[Fraction]:
    answer = make_plan(job, seconds, 1, effort=effort)
    assert answer.faults == ()
    return [Fraction(goal.value) for goal in answer.plan.proof.goals]


@pytest.mark.parametrize("seed", [25, pytest.param(102, marks=pytest.mark.slow)])
def test_it_finds_what_nothing_else_does(seed: int) -> None:
    job, _, _ = pair(seed)
    assert _reached(job, COUNTED) < _reached(job, WITHOUT)


def test_the_same_seed_lays_the_same() -> None:
    job, _, _ = pair(25)
    assert _reached(job, COUNTED, 0.4) == _reached(job, COUNTED, 0.4)


@pytest.mark.parametrize("seed", [3, 14, 35, 62])
def test_whatever_is_laid_is_what_openings_take_and_agree_on(seed: int) -> None:
    asked, _ = problem(job := job_of(pieces_job(seed)))
    supply = Supply.of(job, asked)
    lines, _ = supply.lines(asked, COUNTED)
    best = Incumbent(asked, asked, supply, Wish())
    for candidate in layings(asked, lines, Forgone(), Clock(0.3, COUNTED), 1):
        best.keep(candidate, {})
    assert best.best is not None
    before = best.value(best.best)
    told = list(relayings(asked, lines, best, Clock(0.5, COUNTED), 1, 1_000))
    after = best.value(best.best)
    assert after is not None
    assert before is not None
    assert (after < before) == bool(told)
    for candidate in told:
        said: dict[Topic, Value] = {}
        for kind, row in zip(asked.kinds, candidate.chosen, strict=True):
            assert sum(copies for _, copies in row) == kind.copies
            for option, _ in ((taken.option, n) for taken, n in row):
                assert option is not None
                assert agrees(option, said)
                said |= dict(option.agreed)
        for roll in asked.rolls:
            drops = candidate.drops(roll.name)
            cut = Counter(rect for drop in drops for lane in drop.lanes for rect in lane.rects)
            assert cut == taken_rects(candidate.options, roll.name)


def test_it_ends_when_nothing_gets_better() -> None:
    kinds = (Kind(1, (Option((1,), Way(False, None), ((Rect("r", 9, 9),),), 0, frozenset()),)),)
    asked = Problem(kinds, (Roll("r", 30),))
    supply = Supply({"r": [Stretch("r", "p", None, 0, 100, None)]})
    effort = replace(COUNTED, seconds_a_plan=0.01)
    best = Incumbent(asked, asked, supply, Wish())
    for candidate in layings(asked, [supply], Forgone(), Clock(1, effort), 1):
        best.keep(candidate, {})
    clock = Clock(100, effort)
    before = clock.work
    assert not list(relayings(asked, [supply], best, clock, 1, 50))
    spent = (before - clock.work) / effort.work_per_second
    assert 50 * 0.01 <= spent < 60 * 0.01
