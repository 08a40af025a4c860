"""The last goals settled in the places that panels have: fewer cut widths, smaller gaps."""

from __future__ import annotations

import random
from dataclasses import replace

import pytest

from jobs import job_of, mostly_slow
from limited_jobs import long_piece_job
from looser_jobs import pair
from random_jobs import limited_job, patterned_job, random_job
from shadewright.planning.make import make_plan
from shadewright.solve.effort import USUAL
from shadewright.solve.problem.kinds import Problem
from shadewright.solve.problem.menu import of_common_rows, problem
from shadewright.solve.problem.supply import Supply
from shadewright.solve.run import Clock
from shadewright.solve.search.candidate import Candidate, Forgone, score, taken_rects
from shadewright.solve.search.first import first_candidates
from shadewright.solve.search.laying import layings
from shadewright.solve.search.settling import settled
from shadewright.trade.refusal import CannotMeetError

COUNTED = replace(USUAL, wall=100.0)

PORCH = """title = "porch"
[cloth.a]
width = 54
price = 20
runs = "up the bolt"
[[opening]]
name = "wide"
width = 100
height = 40
gap = [0.25, 2]
[[opening]]
name = "other"
width = 99.5
height = 50
gap = [0.25, 2]
"""


def begun(text: str) -> tuple[Problem, Supply, list[Candidate]]:
    """A job's problem with a few plans of it that simple rules make."""
    job = job_of(text)
    asked, _ = problem(job)
    supply = Supply.of(job, asked)
    lines, _ = supply.lines(asked)
    laid = list(layings(asked, lines, Forgone(), Clock(0.3, COUNTED), 1))
    bolts = [] if supply.on_hand or supply.several else first_candidates(asked, supply, USUAL)
    return asked, supply, [*bolts, *laid[-3:]]


def cut_from(candidate: Candidate, roll: str) -> dict[object, int]:
    found: dict[object, int] = {}
    parts = (part for part in candidate.parts if part.stretch.cloth == roll)
    for rect in (r for part in parts for drop in part.drops for r in drop.rects):
        found[rect] = found.get(rect, 0) + 1
    return found


def test_gaps_get_as_small_as_the_drops_allow_and_alike_widths_become_one() -> None:
    """Shades that first plans make as narrow as may be have room to be wider, and those of both
    openings may be 49 3/8 in wide, with gaps of 3/4 and 1/4 in."""
    asked, supply, (first, *_) = begun(PORCH)
    found = settled(asked, supply, first, Clock(1, COUNTED))
    before, after = score(asked, supply, first), score(asked, supply, found)
    assert before["widths"] == 2
    assert after == {**before, "widths": 1, "gaps": 8128}
    assert {w for option, _ in found.options for w in option.widths} == {395 * 1016}


def test_a_gap_is_smaller_where_widths_differ_anyway() -> None:
    asked, supply, (first, *_) = begun(PORCH.replace("width = 99.5", "width = 60"))
    found = settled(asked, supply, first, Clock(1, COUNTED))
    before, after = score(asked, supply, first), score(asked, supply, found)
    assert after["widths"] == before["widths"] == 2
    assert after["gaps"] == 2 * 2032 < before["gaps"]


JOBS = {
    f"{make.__name__} {seed}": (make, seed)
    for seed in range(40)
    for make in (random_job, patterned_job, limited_job, long_piece_job)
}


@pytest.mark.parametrize("name", mostly_slow(JOBS, 8, 10))
def test_nothing_else_gets_worse_and_what_is_taken_is_cut(name: str) -> None:
    make, seed = JOBS[name]
    try:
        asked, supply, plans = begun(make(seed))
    except CannotMeetError:
        return
    for first in plans:
        found = settled(asked, supply, first, Clock(1, COUNTED))
        before, after = score(asked, supply, first), score(asked, supply, found)
        others = before.keys() - {"widths", "gaps"}
        assert all(after[goal] <= before[goal] for goal in others)
        assert (after["widths"], after["gaps"]) <= (before["widths"], before["gaps"])
        said = {}
        for option, _ in found.options:
            for topic, value in option.agreed:
                assert said.setdefault(topic, value) == value
        for roll in asked.rolls:
            assert cut_from(found, roll.name) == taken_rects(found.options, roll.name)
        for kind, row in zip(asked.kinds, found.chosen, strict=True):
            assert sum(copies for _, copies in row) == kind.copies


LOOSER = (189,)
"""Pairs whose looser job came out with larger gaps, while nothing settled them."""
ROWS_OF_THEIR_OWN = (300,)
"""Pairs whose looser job lets each opening have rows of its own, and came out worse."""


@pytest.mark.slow
@pytest.mark.parametrize("seed", [*LOOSER, *ROWS_OF_THEIR_OWN])
def test_who_asks_less_is_no_worse_off(seed: int) -> None:
    strict, loose, _ = pair(seed)
    plans = [make_plan(job, 3, 1, effort=COUNTED).plan for job in (strict, loose)]
    reached = [[goal.value for goal in plan.proof.goals] for plan in plans]
    assert reached[1] <= reached[0]


def test_rows_that_all_openings_share_are_those_of_a_job_that_asks_for_them() -> None:
    strict, loose, what = pair(300)
    assert what == "across: opening"
    asked, _ = problem(loose)
    common = of_common_rows(loose, asked)
    assert common == problem(strict)[0]
    assert of_common_rows(strict, problem(strict)[0]) is None


def test_the_same_is_settled_each_time() -> None:
    asked, supply, plans = begun(long_piece_job(random.Random(3).randrange(100)))
    for first in plans:
        one, other = (settled(asked, supply, first, Clock(1, COUNTED)) for _ in range(2))
        assert one == other


def test_a_row_that_says_the_same_twice_keeps_all_its_copies() -> None:
    asked, supply, (first, *_) = begun(PORCH.replace('name = "wide"', 'name = "wide"\ncopies = 2'))
    twice = tuple(
        tuple((taken, 1) for taken, copies in row for _ in range(copies)) for row in first.chosen
    )
    found = settled(asked, supply, replace(first, chosen=twice), Clock(1, COUNTED))
    assert found == settled(asked, supply, first, Clock(1, COUNTED))
    assert [sum(copies for _, copies in row) for row in found.chosen] == [2, 1]
