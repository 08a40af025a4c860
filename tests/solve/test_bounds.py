"""Bounds: none is below the area that is asked for, and no plan is below one."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest

from jobs import job_of, mostly_slow
from least_area import least_area
from limited_jobs import long_piece_job, pieces_job
from random_jobs import limited_job, printed_job, random_job
from shadewright.answers import NoPlanError
from shadewright.cloth.plan import Plan
from shadewright.planning.make import make_plan
from shadewright.solve.effort import USUAL
from shadewright.trade.refusal import CannotMeetError

COUNTED = replace(USUAL, wall=100.0)
KINDS: tuple[Callable[[int], str], ...] = (
    pieces_job,
    random_job,
    limited_job,
    long_piece_job,
    printed_job,
)
JOBS = {f"{make.__name__} {seed}": (make, seed) for seed in range(12) for make in KINDS}


def goes_below(plan: Plan, other: Plan) -> bool:
    """Whether a plan is below a bound of another, goal by goal as long as those before are
    reached."""
    for its, mine in zip(other.proof.goals, plan.proof.goals, strict=True):
        if mine.value < its.bound:
            return True
        if mine.value > its.value:
            break
    return plan.proof.used < other.proof.used_bound


@pytest.mark.slow
@pytest.mark.parametrize("name", mostly_slow(JOBS, 5, 10))
def test_no_bound_is_below_the_area_nor_any_plan_below_a_bound(name: str) -> None:
    make, seed = JOBS[name]
    job = job_of(make(seed))
    try:
        quick, slow = (make_plan(job, of, 1, effort=COUNTED).plan for of in (0.1, 0.6))
    except (CannotMeetError, NoPlanError):
        return
    for plan in (quick, slow):
        assert plan.proof.used_bound >= least_area(job)
    assert not goes_below(quick, slow)
    assert not goes_below(slow, quick)
