"""Sets of options in order: their bounds rise, below every plan, and what they cut is asked for."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import islice, pairwise

import pytest

from jobs import job_of
from shadewright.planning.make import make_plan
from shadewright.solve.effort import USUAL
from shadewright.solve.problem.dominance import narrowest_options
from shadewright.solve.problem.kinds import Problem
from shadewright.solve.problem.menu import problem
from shadewright.solve.problem.supply import Supply
from shadewright.solve.run import Clock
from shadewright.solve.search.bounds import worths_of
from shadewright.solve.search.candidate import Candidate, Forgone, score, taken_rects
from shadewright.solve.search.first import first_candidates
from shadewright.solve.search.option_sets import TriedSet, cheapest_first
from shadewright.solve.search.stage import Stage

COUNTED = replace(USUAL, wall=100.0)
SIZES = [(33, 70), (47, 79), (63, 64), (91, 78), (97, 75), (41, 58), (120, 61)]
WIDE = 'title = "wide"\n[cloth.canvas]\nwidth = 118\nprice = 20\nruns = "up the bolt"\n' + "".join(
    f'[[opening]]\nname = "bay {n}"\nwidth = {width}\nheight = {height}\n'
    for n, (width, height) in enumerate(SIZES)
)


def tried(number: int, seconds: float = 30) -> tuple[Problem, Supply, Candidate, list[TriedSet]]:
    """A problem with a first candidate, and so many sets of its options one after the other."""
    asked, _ = problem(job_of(WIDE))
    narrow = asked.having(narrowest_options(asked.kinds))
    supply, clock = Supply.bolts(narrow), Clock(30, COUNTED)
    start = next(iter(first_candidates(narrow, supply, USUAL)))
    worths = worths_of(narrow, clock)
    stage = Stage(narrow, [supply], clock, 0, lambda: worths, Forgone())
    part = Clock(seconds, COUNTED)
    sets = cheapest_first(narrow, supply, stage, start, worths, {}, part, 0)
    return narrow, supply, start, list(islice(sets, number))


def money(asked: Problem, supply: Supply, candidates: Sequence[Candidate]) -> list[int]:
    return [score(asked, supply, candidate)["money"] for candidate in candidates]


@pytest.mark.slow
def test_bounds_of_sets_rise_and_stay_below_every_plan() -> None:
    asked, supply, start, sets = tried(25)
    bounds = [each.bound for each in sets]
    assert bounds == sorted(bounds)
    assert bounds[-1] > bounds[0]
    plan = make_plan(job_of(WIDE), 8, 1, effort=COUNTED).plan
    assert bounds[-1] <= asked.scale * plan.proof.goals[0].value
    found = [each.found for each in sets if each.found is not None]
    assert found
    assert min(money(asked, supply, found)) < money(asked, supply, [start])[0]


@pytest.mark.slow
def test_each_candidate_of_a_set_is_shorter_and_cuts_what_it_takes() -> None:
    asked, supply, start, sets = tried(25)
    kept = [start, *(each.found for each in sets if each.found is not None)]
    fine = asked.by_the_tick()
    reached = [score(fine, supply, candidate)["money"] for candidate in kept]
    assert all(later < earlier for earlier, later in pairwise(reached))
    for candidate in kept[1:]:
        (roll,) = asked.rolls
        cut: dict[object, int] = {}
        for drop in candidate.drops(roll.name):
            for rect in drop.rects:
                cut[rect] = cut.get(rect, 0) + 1
        assert cut == taken_rects(candidate.options, roll.name)
        for row, kind in zip(candidate.chosen, asked.kinds, strict=True):
            assert sum(copies for _, copies in row) == kind.copies


def test_without_time_no_set_is_looked_at() -> None:
    assert tried(25, seconds=0)[3] == []
