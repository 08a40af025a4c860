"""The greedy packer: what it packs is a plan, under every strategy."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from jobs import job_of
from limited_jobs import long_piece_job, pieces_job
from packed import faults, reached
from packer import pack
from random_jobs import patterned_job, random_job
from shadewright.job.model import Job
from shadewright.measure import TICKS

INCH = TICKS["in"]

PIECE = """
title = "piece"
step = "1/2 in"
[cloth.a]
width = 45
runs = "{runs}"
{cloth}
[[cloth.a.piece]]
name = "p"
length = {length}
start = 3
{piece}
[make]
take_up = 0.5
[match]
strategy = "{strategy}"
[[opening]]
name = "bay"
width = {width}
height = 24
clearance = 0
shades = {shades}
gap = 0
narrowest = 10
"""
PRINT = "repeat_down = 9\nrepeat_across = 6\ncolumn_shift = 3"


def piece(  # noqa: PLR0917
    length: float,
    strategy: str = "plain",
    runs: str = "up the bolt",
    shades: int = 2,
    more: str = "",
    width: float = 34,
) -> Job:
    """One opening on one piece: two shades of 17, each cut 21 x 29, lie side by side on 45 in."""
    cloth = "" if strategy == "plain" else PRINT
    return job_of(
        PIECE.format(
            runs=runs,
            cloth=cloth,
            length=length,
            piece=more,
            strategy=strategy,
            width=width,
            shades=shades,
        )
    )


def used(job: Job) -> float | None:
    """Inches used of what is on hand by the packer's plan; None if there is none."""
    plan = pack(job)
    if plan is None:
        return None
    assert faults(job, plan) == []
    assert not any(piece.bought for piece in plan.pieces)
    return sum(piece.used for piece in plan.pieces) / INCH


def test_it_packs_what_just_fits() -> None:
    # After 1 in of square-up: 29 up the bolt; railroaded 29 x 21 twice, one after the other.
    assert used(piece(30)) == 30
    assert used(piece(29.5)) is None
    assert used(piece(43, runs="railroaded")) == 43
    assert used(piece(42.5, runs="railroaded")) is None
    # Three shades of 17 are a drop more; the last may lie beside nothing.
    assert used(piece(59, shades=3, width=51)) == 59
    assert used(piece(58.5, shades=3, width=51)) is None


def test_it_packs_beside_a_flaw() -> None:
    # 4 in at the left edge leave 41 of 45: one panel of 21 lies beside the flaw, and of two the
    # other behind it. Where the flaw goes over the full width, they all lie behind it.
    edge = "flaws = [{ from = 10, to = 12, left = 0, right = 4 }]"
    whole = "flaws = [{ from = 10, to = 12 }]"
    assert used(piece(30, shades=1, width=17, more=edge)) == 30
    assert used(piece(30, shades=1, width=17, more=whole)) is None
    assert used(piece(41, shades=1, width=17, more=whole)) == 41
    assert used(piece(41, more=edge)) == 41
    assert used(piece(40.5, more=edge)) is None


@pytest.mark.parametrize("runs", ["up the bolt", "railroaded"])
@pytest.mark.parametrize("strategy", ["level", "centred", "continuous"])
def test_it_packs_prints(strategy: str, runs: str) -> None:
    job = piece(90, strategy, runs)
    assert used(job) is not None
    # The judge's rules see a panel that has moved off its row or column.
    plan = pack(job)
    assert plan is not None
    first, *others = plan.panels
    axis = "x" if runs == "railroaded" else "y"
    moved = first.model_copy(update={axis: getattr(first, axis) + INCH})
    assert faults(job, plan.model_copy(update={"panels": [moved, *others]}))


@pytest.mark.parametrize("seed", range(6))
@pytest.mark.parametrize("make", [long_piece_job, pieces_job, patterned_job, random_job])
def test_what_it_packs_is_a_plan(make: Callable[[int], str], seed: int) -> None:
    job = job_of(make(seed))
    bought, on_hand = pack(job, 5, buying=True), pack(job, 10)
    for plan in (bought, on_hand):
        assert plan is None or faults(job, plan) == []
    if on_hand is not None:
        assert not any(each.bought for each in on_hand.pieces)
        again = pack(job, 10)
        assert again is not None
        assert reached(job, again) == reached(job, on_hand)
