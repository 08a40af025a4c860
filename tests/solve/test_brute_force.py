"""The solver against an oracle that tries everything, on random tiny jobs."""

from __future__ import annotations

import random
from fractions import Fraction

import pytest

import brute_force
from jobs import job_of, mostly_slow
from shadewright.judge.replay import judge
from shadewright.planning.make import make_plan
from stored_seeds import stored

JOBS = 240
_MOST = 400


def tiny(seed: int) -> str:
    """A job of a few panels on a coarse step, that leaves something to decide."""
    draw = random.Random(seed)
    step = draw.choice((1, 1, 2))
    lines = [f'title = "tiny {seed}"', f"step = {step}"]
    two = draw.random() < 0.25
    names = ("a", "b") if two else ("a",)
    for name in names:
        lines += [f"[cloth.{name}]", f"width = {draw.choice((28, 34, 40, 46, 54))}"]
        lines.append(f"selvedge = {draw.choice((0, 0.5, 1))}")
        kind = draw.choice(("plain", "plain", "up", "rail"))
        if kind != "plain":
            repeat = draw.choice((5, 6, 8, 9.5))
            lines.append(f"repeat_down = {repeat}")
            lines.append(f"column_shift = {draw.choice(('0', chr(34) + 'half' + chr(34), '0'))}")
            lines.append(f"start = {draw.choice(('1', chr(34) + 'any' + chr(34)))}")
            if kind == "rail":
                lines.append('runs = "railroaded"\nrepeat_across = 7')
        elif draw.random() < 0.5:
            lines.append(f'runs = "{draw.choice(("up the bolt", "railroaded"))}"')
        if draw.random() < 0.7:
            lines.append(f"price = {draw.choice((10, 12.5, 33.3))}")
        lines.append(f'sold_in = "{draw.choice(("1/8 yd", "1/4 yd", "7 in", "1 in"))}"')
        if draw.random() < 0.2:
            lines.append("shrink_down = 0.04\nshrink_across = 0.02")
    lines += ["[make]", "take_up = 1", f"square_up = {draw.choice((0, step))}"]
    lines += [f"side_fold = {draw.choice((0.5, 1))}", "turn_under = 0.5"]
    if draw.random() < 0.4:
        lines.append(f"shade_cost = {draw.choice((0.5, 2, 8))}")
    if draw.random() < 0.15:
        lines.append(f'lining = "{names[-1]}"' if two else "side_folds = 1")
    if draw.random() < 0.15:
        lines.append('[match]\nstrategy = "plain"')
    for k in range(draw.choice((1, 1, 2))):
        lines += ["[[opening]]", f'name = "o{k}"', f'cloth = "{draw.choice(names)}"']
        lines.append(f"width = {draw.choice((24, 30, 36, 44, 52))}")
        lines.append(f"height = {draw.choice((14, 18, 20, 26, 35))}")
        lines.append(f"copies = {draw.choice((1, 1, 2))}")
        lines += ["clearance = 0", f"narrowest = {draw.choice((8, 10, 12))}", "widest = 40"]
        gap = draw.choice(("[2, 4]", "[0, 2]", "2"))
        lines.append(f"gap = {gap}")
        lines.append(f'widths = "{draw.choice(("equal", "equal", "mirrored", "free"))}"')
        if draw.random() < 0.5:
            lines.append(f"shades = {draw.choice(('[1, 2]', '[1, 3]', '2'))}")
        if draw.random() < 0.2:
            lines.append(f'mount = "outside"\noverlap = {step}')
    return "\n".join(lines)


def compared() -> list[int]:
    """Seeds of jobs that can be made and are small enough to try everything: what is stored."""
    seeds = []
    seed = 0
    while len(seeds) < JOBS:
        job = job_of(tiny(seed))
        menus = [brute_force.choices(job, opening) for opening in job.openings]
        combinations, panels = 1, 0
        for opening, menu in zip(job.openings, menus, strict=True):
            combinations *= len(menu) ** opening.copies
            panels += opening.copies * max((len(c.panels) for c in menu), default=0)
        if 0 < combinations <= _MOST and panels <= 6:
            seeds.append(seed)
        seed += 1
    return seeds


@pytest.mark.parametrize("seed", mostly_slow(stored("force")[:60], most=12))
def test_the_solver_finds_what_trying_everything_finds(seed: int) -> None:
    job = job_of(tiny(seed))
    answer = brute_force.best(job, _MOST)
    assert answer is not None
    (first, shades, used, widths, gaps), least = answer
    planned = make_plan(job, seconds=60)
    plan = planned.plan
    assert planned.faults == ()
    values = {goal.goal: goal.value for goal in plan.proof.goals}
    assert next(iter(values.values())) == pytest.approx(float(first), abs=1e-6)
    assert (values["shades"], values["used"], values["widths"], values["gaps"]) == (
        shades,
        used,
        widths,
        gaps,
    )
    assert plan.proof.status == "proved"
    assert plan.proof.used_bound <= least
    # The judge must see a better bound than the truth for the lie it is.
    assert judge(job, plan.model_dump(mode="json", by_alias=True)) == []


def test_the_oracle_itself_on_a_job_done_by_hand() -> None:
    # One opening 30 in wide, 20 in high, no gap: one shade of 30, or two of 15. Cut: +2 wide
    # (double 1/2 in hems), +1 1/2 + 1 3/4 + 1 + 1 = +5 1/4 long, up to 26 on the 1 in step. On
    # 40 in cloth up the bolt: one shade, 1 drop of 26; two shades of 17 lie side by side in one
    # drop of 26. One shade is fewer, both use 26 + 1 squared up.
    job = job_of(
        """
        title = "by hand"
        step = 1
        [cloth.a]
        width = 40
        runs = "up the bolt"
        price = 36
        sold_in = "1 in"
        [make]
        extra_shade = 0
        take_up = 1
        side_fold = 0.5
        [[opening]]
        name = "o"
        width = 30
        height = 20
        clearance = 0
        gap = 0
        narrowest = 10
        """
    )
    assert brute_force.best(job, 100) == ((Fraction(27), 1, 27 * 8128, 1, 0), 27 * 8128)
