"""Which rows are tried across a railroaded roll: what is left out loses nothing."""

from __future__ import annotations

import random
from dataclasses import replace
from itertools import pairwise, product

import pytest

from jobs import job_of
from shadewright.planning.make import make_plan
from shadewright.solve.effort import USUAL
from shadewright.solve.problem import slots
from shadewright.solve.problem.rows_across import FaceAcross, rows_that_pack
from shadewright.solve.problem.slots import Match

COUNTED = replace(USUAL, wall=100.0)


def porch(heights: tuple[float, ...], strategy: str, shift: str = "0") -> str:
    openings = "".join(
        f'[[opening]]\nname = "{k}"\nwidth = {40 + 13.5 * k}\nheight = {height}\n'
        for k, height in enumerate(heights)
    )
    return (
        'title = "rows"\n[cloth.a]\nwidth = 118\nselvedge = 0.5\nprice = 10\nruns = "railroaded"\n'
        f"repeat_down = 12\nrepeat_across = 9\ncolumn_shift = {shift}\n[match]\n"
        f'strategy = "{strategy}"\n{openings}'
    )


def fits(
    row: int, faces: list[FaceAcross], places: tuple[int, ...], usable: int, rows: int
) -> bool:
    """Whether faces lie at these places across, clear of each other, with the print where a row
    has it."""
    lanes = sorted(zip(places, faces, strict=True))
    inside = all(x + face.across <= usable for x, face in lanes)
    on_print = all((x - face.edge_row + row) % rows == 0 for x, face in lanes)
    clear = all(x + a.across <= y for (x, a), (y, _) in pairwise(lanes))
    return inside and on_print and clear


@pytest.mark.parametrize("seed", range(12))
def test_what_fits_beside_each_other_at_any_row_does_at_one_that_is_kept(seed: int) -> None:
    draw = random.Random(seed)
    usable, rows = draw.randint(10, 16), draw.randint(3, 5)
    faces = [FaceAcross(draw.randint(3, 8), draw.randrange(rows), (k,)) for k in range(4)]
    every = list(range(rows))
    kept = rows_that_pack(every, faces, usable, rows, USUAL.chains)
    assert kept
    sets = [
        [*these]
        for number in (1, 2, 3)
        for these in product(faces, repeat=number)
        if sum(face.across for face in these) <= usable
    ]
    held = {
        row: {
            k
            for k, these in enumerate(sets)
            if any(
                fits(row, these, places, usable, rows)
                for places in product(range(usable), repeat=len(these))
            )
        }
        for row in every
    }
    assert all(any(held[row] <= held[other] for other in kept) for row in every)


@pytest.mark.parametrize("strategy", ["level", "centred"])
@pytest.mark.parametrize("shift", ["0", '"half"'])
def test_plans_lose_nothing_by_rows_left_out(
    strategy: str, shift: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    job = job_of(porch((41, 52.5, 46.25), strategy, shift))
    (cloth,) = job.cloths
    few, plan = Match(job, cloth).bases, make_plan(job, 2, 1, effort=COUNTED).plan
    monkeypatch.setattr(slots, "rows_that_pack", lambda rows, *_: rows)
    every, other = Match(job, cloth).bases, make_plan(job, 2, 1, effort=COUNTED).plan
    assert len(few) < len(every)
    for goal, its in zip(plan.proof.goals, other.proof.goals, strict=True):
        assert goal.bound <= its.value
        assert its.bound <= goal.value
        if goal.value != its.value:
            break


@pytest.mark.slow
def test_level_rows_across_are_proved_of_many_openings() -> None:
    # With a row for each height there are two dozen times as many options, and no end of it.
    draw = random.Random(3)
    heights = tuple(draw.randrange(160, 340) / 4 for _ in range(24))
    plan = make_plan(job_of(porch(heights, "level", '"half"')), 6, 1, effort=COUNTED).plan
    money = plan.proof.goals[0]
    assert money.value == money.bound


def test_all_rows_are_tried_where_panels_are_cut_already() -> None:
    job = job_of(porch((41, 52.5, 46.25), "level"))
    (cloth,) = job.cloths
    assert len(Match(job, cloth, USUAL, begun=True).bases) == 3
    assert len(Match(job, cloth).bases) < 3


def test_rows_beside_flaws_are_all_tried() -> None:
    flawed = porch((41, 52.5, 46.25), "level").replace(
        "[match]",
        '[[cloth.a.piece]]\nname = "end"\nlength = 300\n'
        "flaws = [{from = 20, to = 24, left = 2, right = 9}]\n[match]",
    )
    job = job_of(flawed)
    (cloth,) = job.cloths
    assert len(Match(job, cloth).bases) >= 3


def test_a_print_that_turns_often_takes_no_more_than_a_turn_beside_what_it_covers() -> None:
    # Each of its 25 columns stands elsewhere: a drop can begin soon behind the last, if not at the
    # first of its phases, which comes but once in 25 columns.
    text = """
title = "turns"
[cloth.a]
width = 140
repeat_down = 25
repeat_across = 13.5
column_shift = 6
price = 10
runs = "railroaded"
[match]
strategy = "continuous"
across = "opening"
[[opening]]
name = "long"
width = 217.5
height = 72
copies = 2
"""
    job = job_of(text)
    plan = make_plan(job, 2, 1, effort=COUNTED).plan
    covered = sum(panel.along for panel in plan.panels)
    (cloth,) = job.cloths
    assert plan.proof.used <= covered + len(plan.panels) * (cloth.repeat_across or 0)
