"""Matching strategies and cutting orders against an oracle that tries everything."""

from __future__ import annotations

import random

import pytest

import brute_repeats
from jobs import job_of
from shadewright.planning import make_plan
from shadewright.trade.refusal import CannotMeetError

JOBS = 90
_MOST = 24


def tiny(seed: int) -> str:
    """A job of a few panels on one cloth with a repeat, its heads at up to three heights."""
    draw = random.Random(seed)
    railroaded = draw.random() < 0.25
    strategy = draw.choice(("level", "level", "centred", "continuous"))
    repeat = draw.choice((4, 5, 6, 7.5, 9))
    lines = [
        f'title = "tiny {seed}"\nstep = 1',
        f"[cloth.a]\nwidth = {draw.choice((28, 34, 40, 46))}\nselvedge = {draw.choice((0, 0.5))}",
        f"repeat_down = {repeat}\nrepeat_across = {draw.choice((4, 5, 6))}",
        f"column_shift = {draw.choice(('0', chr(34) + 'half' + chr(34), '1.5', '2'))}",
        f"start = {draw.choice((chr(34) + 'any' + chr(34), '1', '2.5'))}",
        f"motif_at = {draw.choice((0, 1, 2.5))}",
        f'sold_in = "{draw.choice(("1/8 yd", "1/4 in"))}"',
        "[make]\nside_fold = 0.5\ntake_up = 1\nsquare_up = " + draw.choice(("0", "1")),
        f'[match]\nstrategy = "{strategy}"\nanchor = "{draw.choice(("head", "sill", "wall"))}"',
        f'centre_on = "{draw.choice(("motif", "between"))}"',
    ]
    if railroaded:
        lines.insert(2, 'runs = "railroaded"')
    heads = draw.sample((0, 1, 2, 3.5, 5), 3)
    for k in range(draw.randint(1, 3)):
        lines.append(f'[[opening]]\nname = "{k}"\nwidth = {draw.choice((14, 20, 26, 31, 44))}')
        lines.append(f"height = {draw.choice((10, 11, 14.5, 20))}\nhead = {heads[k]}")
        lines.append(f"clearance = 0\ngap = {draw.choice(('[0, 1]', '1', '0'))}\nnarrowest = 6")
        lines.append(
            f"copies = {draw.choice((1, 1, 2))}\nshades = {draw.choice(('[1, 2]', '[1, 3]', '2'))}"
        )
    return "\n".join(lines)


def compared() -> list[int]:
    """Seeds of jobs small enough to try everything."""
    seeds: list[int] = []
    seed = 0
    while len(seeds) < JOBS:
        job = job_of(tiny(seed))
        if 1 < brute_repeats.panels(job) <= 6 and brute_repeats.combinations(job) <= _MOST:
            seeds.append(seed)
        seed += 1
    return seeds


@pytest.mark.parametrize("seed", compared())
def test_the_solver_finds_what_trying_everything_finds(seed: int) -> None:
    job = job_of(tiny(seed))
    answer = brute_repeats.best(job)
    try:
        planned = make_plan(job, seconds=30)
    except CannotMeetError:
        assert answer is None
        return
    assert planned.faults == ()
    values = {goal.goal: goal.value for goal in planned.plan.proof.goals}
    assert (values["bought"], values["shades"], values["used"]) == answer
    assert planned.plan.proof.status == "proved"
