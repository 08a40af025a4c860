"""The shades of an opening from one bolt, where that costs nothing."""

from __future__ import annotations

import json
import random
from collections import defaultdict
from dataclasses import replace
from itertools import product
from math import ceil

import pytest

from jobs import inches, job_of, mostly_slow
from shadewright.cloth.plan import Plan
from shadewright.job.bolts import is_bolt
from shadewright.job.model import Job
from shadewright.judge.replay import judge
from shadewright.planning.make import make_plan
from shadewright.report.work.from_bolts import from_several_bolts
from shadewright.solve.effort import USUAL


def split(plan: Plan) -> dict[tuple[str, int], int]:
    """On how many bolts each copy of each opening lies."""
    of = {shade.id: (shade.opening, shade.copy_) for shade in plan.shades}
    found: dict[tuple[str, int], set[str]] = defaultdict(set)
    for panel in plan.panels:
        if is_bolt(panel.piece):
            found[of[panel.shade]].add(panel.piece)
    return {row: len(bolts) for row, bolts in found.items()}


def planned(job: Job, gathered: int = USUAL.gathered) -> Plan:
    answer = make_plan(job, 5, effort=replace(USUAL, wall=100.0, gathered=gathered))
    assert answer.faults == ()
    assert judge(job, json.loads(answer.plan.model_dump_json(by_alias=True))) == []
    return answer.plan


BAYS = """
title = "bays"
[cloth.canvas]
width = 60
selvedge = 0.5
price = 18.75
bolt = "12 yd"
spare = "1 panel"
runs = "up the bolt"
sold_in = "1 in"
[[opening]]
name = "East"
width = 131
height = 78
copies = 3
shades = 3
[[opening]]
name = "West"
width = 100
height = 50
shades = 3
"""


def test_three_bays_that_could_be_cut_from_a_bolt_each_are() -> None:
    """Three times three drops of 83 in, one to spare and three of 55 in on bolts of 432 in: only
    where drops are dealt out with care no bay is cut from two."""
    job = job_of(BAYS)
    as_found, plan = planned(job, gathered=0), planned(job)
    assert max(split(as_found).values()) > 1
    assert set(split(plan).values()) == {1}
    assert plan.proof.goals == as_found.proof.goals
    assert plan.totals.bought == as_found.totals.bought
    assert list(from_several_bolts(job, plan)) == []
    cut = [
        f"{name} {at}" if name == "East" else name
        for (name, at), n in split(as_found).items()
        if n > 1
    ]
    (said,) = from_several_bolts(job, as_found)
    assert all(name in said for name in cut)
    assert "cut from more than one bolt" in said
    # The first come first.
    first = next(p.shade for p in plan.panels if p.piece == "bolt 1")
    assert first.startswith("East 1,")


def tiny(seed: int) -> Job:
    """A few openings of one or two shades, a drop each, on bolts that hold two or three."""
    draw = random.Random(f"together {seed}")
    lines = [
        f'title = "together {seed}"\nstep = 1\n[cloth.a]\nwidth = 40\nruns = "up the bolt"',
        f'sold_in = "{draw.choice((1, 5, 9))} in"\nbolt = {draw.choice((65, 80, 90))}',
        f"spare = {draw.choice((0, 0, 10))}",
        "[make]\ntake_up = 1\nside_fold = 0.5\nsquare_up = 1\nboard_pocket = 2\nrod_pocket = 2",
        "turn_under = 0",
    ]
    for k in range(draw.choice((2, 3))):
        count, height = draw.choice((1, 2, 2)), draw.choice((17, 20, 25))
        lines.append(f'[[opening]]\nname = "{k}"\nwidth = {30 * count}\nheight = {height}')
        lines.append(f"copies = {draw.choice((1, 1, 2))}\nclearance = 0\ngap = 0\nshades = {count}")
    return job_of("\n".join(lines))


def fewest(job: Job, plan: Plan) -> int:
    """The least that `split` can come to in all, by dealing every shade out to every bolt."""
    cloth = job.cloth("a")
    assert cloth.bolt is not None
    assert isinstance(cloth.spare, int)
    bolts = range(len(plan.pieces))
    heights = {opening.name: opening.height for opening in job.openings}
    shades = [(s.opening, s.copy_, heights[s.opening] + inches(5)) for s in plan.shades]
    most = cloth.bolt // cloth.sold_in
    budget = sum(p.length for p in plan.pieces) // cloth.sold_in
    best = 10**9
    for where in product(bolts, repeat=len(shades)):
        ends = [inches(1)] * len(bolts)
        for at, (_, _, along) in zip(where, shades, strict=True):
            ends[at] += along
        if len(set(where)) < len(bolts):
            continue
        for spared in bolts:
            steps = [
                ceil((end + cloth.spare * (at == spared)) / cloth.sold_in)
                for at, end in enumerate(ends)
            ]
            if max(steps) <= most and sum(steps) <= budget:
                pairs = zip(where, shades, strict=True)
                best = min(best, len({(name, copy, at) for at, (name, copy, _) in pairs}))
    return best


@pytest.mark.parametrize("seed", mostly_slow(range(40), 10, 16))
def test_no_way_to_deal_drops_out_splits_fewer_openings(seed: int) -> None:
    job = tiny(seed)
    plan = planned(job)
    assert sum(split(plan).values()) == fewest(job, plan)


@pytest.mark.parametrize("cloth", ["repeat_down = 20\nrepeat_across = 9", "repeat_across = 9"])
def test_prints_and_their_starts_are_kept(cloth: str) -> None:
    job = job_of(BAYS.replace("selvedge", f"{cloth}\nselvedge"))
    as_found, plan = planned(job, gathered=0), planned(job)
    assert plan.proof.goals == as_found.proof.goals
    assert sum(split(plan).values()) <= sum(split(as_found).values())
