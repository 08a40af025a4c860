"""Random jobs: planned, judged, and planned again to the same bytes."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import replace
from itertools import count

import pytest

from jobs import job_of, mostly_slow
from mixed_jobs import mixed_job
from random_jobs import patterned_job, printed_job, random_job
from shadewright.answers import NoPlanError
from shadewright.cloth.plan import Plan
from shadewright.job.model import Job
from shadewright.judge.replay import judge
from shadewright.planning.make import make_plan
from shadewright.planning.possible import ready
from shadewright.solve.effort import USUAL
from shadewright.trade.refusal import CannotMeetError
from stored_seeds import stored

Maker = Callable[[int], str]


def plannable(make: Maker, jobs: int) -> list[int]:
    """Seeds of the first jobs that can be made: what is stored."""
    seeds: list[int] = []
    for seed in count():
        try:
            ready(job_of(make(seed)))
        except CannotMeetError:
            continue
        seeds.append(seed)
        if len(seeds) == jobs:
            break
    return seeds


SEEDS = stored("random")
PATTERNED_SEEDS = stored("patterned")
PRINTED_SEEDS = stored("printed_jobs")
MIXED_SEEDS = stored("mixed_jobs")


def _as_file(plan: Plan) -> str:
    """The plan file's text, but for how long the search took."""
    data = plan.model_dump(mode="json", by_alias=True)
    data["proof"]["seconds"] = 0
    return json.dumps(data)


@pytest.mark.parametrize("seed", mostly_slow(SEEDS[:30], most=6))
def test_a_random_job_is_planned_and_judged_clean(seed: int) -> None:
    _plan_and_judge(job_of(random_job(seed)), 0.7)


@pytest.mark.parametrize("seed", mostly_slow(PATTERNED_SEEDS[:30], most=6))
def test_a_random_patterned_job_is_planned_and_judged_clean(seed: int) -> None:
    _plan_and_judge(job_of(patterned_job(seed)), 0.3)


@pytest.mark.parametrize("seed", mostly_slow(PRINTED_SEEDS[:40], 20, 12))
def test_a_random_job_of_stripes_bands_or_tied_motifs_is_judged_clean(seed: int) -> None:
    _plan_and_judge(job_of(printed_job(seed)), 0.3)


@pytest.mark.parametrize("seed", mostly_slow(MIXED_SEEDS[:25], 9, 9))
def test_a_random_job_of_all_keys_together_is_judged_clean(seed: int) -> None:
    job = job_of(mixed_job(seed))
    try:
        _plan_and_judge(job, 0.5)
    except NoPlanError:
        assert any(not cloth.can_buy for cloth in job.cloths)


def test_mixed_jobs_have_every_key_that_changes_what_is_cut() -> None:
    texts = "\n".join(mixed_job(seed) for seed in MIXED_SEEDS[:25])
    for key in (
        "alike = false",
        "like = ",
        'runs = "either"',
        'runs = "mixed"',
        "extra_shade = ",
        "[prices]",
        "alternate = true",
        "motif_below = ",
        "hook_drop = ",
        "sill_gap = ",
        "overlap_bottom = ",
        "draw = [",
        "table = ",
        "bolt = ",
        "spare = ",
        "piece]]",
        "flaws = ",
    ):
        assert key in texts, key
    prints = {
        (cloth.repeat_down is None, cloth.repeat_across is None)
        for seed in MIXED_SEEDS[:25]
        for cloth in job_of(mixed_job(seed)).cloths
    }
    assert len(prints) == 4


def _plan_and_judge(job: Job, seconds: float) -> None:
    planned = make_plan(job, seconds=seconds, seed=1)
    assert planned.faults == ()
    plan = planned.plan
    # From the file and not from memory, as `replay` has it.
    assert judge(job, json.loads(plan.model_dump_json(by_alias=True))) == []
    for goal in plan.proof.goals:
        assert 0 <= goal.bound <= goal.value
    assert plan.proof.used_bound <= plan.proof.used
    assert (plan.proof.status == "proved") == all(
        goal.bound == goal.value for goal in plan.proof.goals
    )


@pytest.mark.parametrize("seed", mostly_slow(SEEDS[:6], 6, 3))
def test_the_same_job_gives_the_same_bytes(seed: int) -> None:
    # A limit in work and not on the clock, however busy the machine is.
    job, effort = job_of(random_job(seed)), replace(USUAL, wall=100.0)
    texts = {_as_file(make_plan(job, seconds=1.5, effort=effort).plan) for _ in range(2)}
    assert len(texts) == 1


@pytest.mark.parametrize("seed", range(40))
def test_a_refusal_says_where_and_what_would_do(seed: int) -> None:
    # No finished shade is wider than the widest bolt here, nor may this opening be divided.
    text = random_job(seed)
    wanted = 'name = "opening 0"\nshades = 1\nwidth = "12 ft"'
    lines = [line for line in text.splitlines() if not line.startswith("shades")]
    place = lines.index('name = "opening 0"')
    lines[place : place + 2] = [wanted]
    with pytest.raises(CannotMeetError) as refused:
        ready(job_of("\n".join(lines)))
    assert any("opening 0" in refusal.where for refusal in refused.value.refusals)
    for refusal in refused.value.refusals:
        assert refusal.where.startswith("[")
        assert refusal.reason
        assert refusal.nearest


@pytest.mark.parametrize("seed", range(12))
def test_more_freedom_never_costs_more(seed: int) -> None:
    width, height = 90 + 7 * seed, 40 + 3 * seed
    text = f"""
        title = "freedom"
        [cloth.c]
        width = 54
        price = 20
        [[opening]]
        name = "o"
        width = {width}
        height = {height}
        copies = 2
        """
    fixed = make_plan(job_of(text + "shades = 4"), seconds=10).plan
    free = make_plan(job_of(text + "shades = [2, 5]"), seconds=10).plan
    assert fixed.proof.status == free.proof.status == "proved"
    assert free.totals.cost <= fixed.totals.cost
