"""Options left out by what they cost at least: none of them is in a plan as good as the best."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction

import pytest

from jobs import job_of
from random_jobs import printed_job, random_job
from shadewright.solve.effort import USUAL
from shadewright.solve.problem.dominance import narrowest_options
from shadewright.solve.problem.kinds import Kind, Option, Problem, Rect, Roll
from shadewright.solve.problem.menu import problem
from shadewright.solve.problem.supply import Supply
from shadewright.solve.run import Clock
from shadewright.solve.search.bounds import Knowledge, most_cost, used_at_least, worths_of
from shadewright.solve.search.fixing import number_of_options, still_as_good
from shadewright.solve.search.found import Found, Wish
from shadewright.solve.search.goals import goal_order
from shadewright.solve.search.improvement import search
from shadewright.solve.search.incumbent import Incumbent
from shadewright.trade.divisions import Way

COUNTED = replace(USUAL, wall=100.0)
WISH = Wish()


def best_of(asked: Problem, supply: Supply) -> Found:
    found = search(asked, supply, Clock(4, COUNTED))
    assert found is not None
    return found


def live(asked: Problem, supply: Supply, found: Found) -> tuple[Problem, Knowledge]:
    """What may still be in a plan as good as the one found, and what is known then."""
    order = WISH.order(asked, supply)
    incumbent = Incumbent(asked, asked, supply, WISH)
    incumbent.keep(found.candidate, {})
    known = Knowledge(asked, supply, order, leaving=False)
    worths = worths_of(asked, Clock(4, COUNTED))
    return still_as_good(asked, supply, worths, incumbent, known), known


def left_out(asked: Problem, fewer: Problem) -> Iterator[Problem]:
    """The problem with each option that is left out taken for certain."""
    for place, (kind, now) in enumerate(zip(asked.kinds, fewer.kinds, strict=True)):
        for option in kind.options:
            if option not in now.options and kind.copies == 1:
                kinds = list(asked.kinds)
                kinds[place] = replace(kind, options=(option,))
                yield asked.having(kinds)


def narrow_problem(text: str) -> tuple[Problem, Supply]:
    asked, _ = problem(job_of(text))
    narrow = asked.having(narrowest_options(asked.kinds))
    return narrow, Supply.of(job_of(text), narrow)


JOBS = {
    **{f"plain {seed}": random_job(seed) for seed in (1, 4, 6, 12)},
    **{f"printed {seed}": printed_job(seed) for seed in (1, 4, 5, 11)},
}


@pytest.mark.slow
@pytest.mark.parametrize("name", JOBS)
def test_no_option_left_out_is_in_a_plan_as_good(name: str) -> None:
    asked, supply = narrow_problem(JOBS[name])
    found = best_of(asked, supply)
    fewer, known = live(asked, supply, found)
    first = found.goals[0]
    assert known.bound(goal_order(asked)[0], {}) <= first.value
    forced = list(left_out(asked, fewer))
    assert forced
    for taken in forced:
        without = search(taken, supply, Clock(2, COUNTED))
        assert without is None or without.goals[0].value > first.value


def test_options_of_the_best_stay() -> None:
    asked, supply = narrow_problem(JOBS["plain 1"])
    found = best_of(asked, supply)
    fewer, _ = live(asked, supply, found)
    assert number_of_options(fewer) < number_of_options(asked)
    for row, kind in zip(found.candidate.chosen, fewer.kinds, strict=True):
        assert all(taken.option in kind.options for taken, _ in row)


ROLL = Roll("cloth", 100, lead=3, sold_in=10, price=Fraction(1))


def option(shades: int, cost: int) -> Option:
    rect = Rect("cloth", 50, 40)
    return Option(
        (50,) * shades, Way(False, None), ((rect,),) * shades, 0, frozenset(), cost=Fraction(cost)
    )


def test_what_is_spent_on_cloth_says_what_is_used() -> None:
    asked = Problem((Kind(1, (option(1, 5), option(2, 9))),), (ROLL,))
    supply = Supply.bolts(asked)
    unit = asked.scale
    # Two shades cost 9 at most, and one 5: of 60, 51 and 55 are cloth, sold by tens.
    assert most_cost(asked, 2) == 9 * unit
    assert most_cost(asked, 1) == 5 * unit
    assert used_at_least(asked, supply, 51 * unit) == 51
    assert used_at_least(asked, supply, 60 * unit) == 51
    assert used_at_least(asked, supply, 61 * unit) == 61
    spare = replace(asked, rolls=(replace(ROLL, allowance=4, spare=20),))
    assert used_at_least(spare, supply, 61 * unit) == 61 - 24
    # A panel is bought to spare, and there is none to cut.
    nothing = Problem((), (replace(ROLL, spare_panel=True),), units=1)
    assert used_at_least(nothing, supply, 61 * nothing.scale) == 61
    bolts = replace(asked, rolls=(replace(ROLL, bolt=100),))
    assert used_at_least(bolts, supply, 61 * unit) == 0
