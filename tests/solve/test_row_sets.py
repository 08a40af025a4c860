"""Rolls of several phases: what turns cut, rows that are bounded, and sets of options in order."""

from __future__ import annotations

import random
from collections import Counter
from dataclasses import replace

import pytest

from jobs import job_of
from packings import Sizes
from shadewright.planning.make import make_plan
from shadewright.solve.effort import USUAL
from shadewright.solve.packing.joint_drops import RectInPhase, joint_drops
from shadewright.solve.packing.lay import lay_out, length_of
from shadewright.solve.problem.dominance import narrowest_options
from shadewright.solve.problem.kinds import Problem, Rect, Roll, Slot
from shadewright.solve.problem.menu import problem
from shadewright.solve.problem.supply import Supply
from shadewright.solve.run import Clock, run
from shadewright.solve.search.building import minimising
from shadewright.solve.search.candidate import Forgone, score
from shadewright.solve.search.first import first_candidates
from shadewright.solve.search.formulate import formulate, only, options_of, row_by_row

COUNTED = replace(USUAL, wall=100.0)
HALF_DROP = """
title = "arcade"
[cloth.canvas]
width = 54
price = 20
sold_in = "1/8 yd"
runs = "up the bolt"
repeat_down = 12
repeat_across = 18
column_shift = "half"
[match]
strategy = "centred"
"""
# Two or three of these lie side by side.
NARROW = [(12, 70), (16, 62), (19, 64), (12, 78), (22, 75), (14, 58), (20, 61), (17, 66)]
SIZES = [(33, 70), (47, 62), (63, 64), (91, 78), (52, 75), (41, 58), (74, 61), (38, 66)]


def arcade(sizes: Sizes) -> str:
    return HALF_DROP + "".join(
        f'[[opening]]\nname = "bay {n}"\nwidth = {width}\nheight = {height}\n'
        for n, (width, height) in enumerate(sizes)
    )


def narrow(sizes: Sizes) -> Problem:
    asked, _ = problem(job_of(arcade(sizes)))
    return asked.having(narrowest_options(asked.kinds))


def lanes(draw: random.Random, roll: Roll) -> list[list[RectInPhase]]:
    """Two or three lanes of a few rectangles each, in phases of the roll."""
    rects = [
        Rect("strip", 10, draw.randint(3, 40), tuple(Slot(0, 1, node) for node in roll.nodes))
        for _ in range(5)
    ]
    return [
        [
            RectInPhase(draw.choice(rects), draw.choice(roll.nodes))
            for _ in range(draw.randint(1, 5))
        ]
        for _ in range(draw.randint(2, 3))
    ]


@pytest.mark.parametrize("seed", range(30))
def test_lanes_side_by_side_are_cut_whole_and_apart_where_none_is_in_the_way(seed: int) -> None:
    draw = random.Random(seed)
    roll = Roll("strip", 40, period=12, nodes=draw.choice(((0, 6), (0, 4, 7))))
    asked = lanes(draw, roll)
    drops = list(joint_drops(roll, asked))
    cut = Counter(
        (rect, phase) for drop in drops for lane in drop.lanes for rect, phase in lane.phased
    )
    assert cut == Counter((held.rect, held.phase) for lane in asked for held in lane)
    # Each passes what it covers, and no drop can be cut across anywhere.
    longest = max(sum(held.rect.along for held in lane) for lane in asked)
    assert sum(length_of(roll, drop) for drop in drops) >= longest
    for drop in drops:
        (laid,) = lay_out(roll, [drop])
        spans = sorted(
            (start, start + rect.along)
            for lane, places in zip(drop.lanes, laid.places, strict=True)
            for rect, start in zip(lane.rects, places, strict=True)
        )
        reach = spans[0][1]
        for start, end in spans[1:]:
            assert start < reach
            reach = max(reach, end)


@pytest.mark.parametrize("number", [5, 8])
def test_bounded_rows_leave_nothing_out(number: int) -> None:
    # Every stack of three and less is listed, or single ones alone and the rest is bounded.
    asked = narrow(NARROW[:number])
    supply, clock = Supply.bolts(asked), Clock(100, COUNTED)
    start = next(iter(first_candidates(asked, supply, COUNTED)))
    taken = only(asked, options_of(asked, start))
    bounds = []
    for members in (1, 2, 3):
        cutting, exact = formulate(taken, clock)
        posed = row_by_row(taken, supply, cutting, start, [], clock, members)
        assert posed is not None
        assert (exact, posed[2]) == (True, True)
        model = minimising(taken, supply, posed[1], clock, Forgone(), "used", {})
        outcome = run(model.cp, clock, 1.0, 1)
        assert outcome.best
        assert outcome.value is not None
        assert outcome.bound is not None
        bounds.append(outcome.bound)
        found = model.candidate(outcome.value)
        assert found is not None
        assert score(taken, supply, found)["used"] >= outcome.bound
    assert bounds == sorted(bounds)
    # What is bounded is cut as joint drops, here with nothing lost once pairs are listed.
    assert score(taken, supply, found)["used"] == bounds[-1]


@pytest.mark.parametrize("sizes", [SIZES[:6], NARROW[:5], [*SIZES[:3], *NARROW[:3]]])
def test_sets_of_options_prove_what_a_model_of_all_options_does(sizes: Sizes) -> None:
    job = job_of(arcade(sizes))
    plan = make_plan(job, 6, 1, effort=COUNTED).plan
    assert plan.proof.status == "proved"
    # Without turns there are no sets: one model has all options.
    other = make_plan(job, 20, 1, effort=replace(COUNTED, turns=0)).plan
    for mine, its in zip(plan.proof.goals, other.proof.goals, strict=True):
        assert mine.value <= its.value
        assert its.bound <= mine.value
