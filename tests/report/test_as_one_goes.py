"""Long drops cut as one goes: which strip comes next, what is measured, and what lies flat."""

from __future__ import annotations

from collections.abc import Sequence

import pytest

from jobs import inches, job_of, mostly_slow
from random_jobs import random_job
from shadewright.cloth.plan import Drop, Panel
from shadewright.planning.make import make_plan
from shadewright.report.work.account import Account
from shadewright.report.work.as_one_goes import goes_along, longest_reach, moves, reach
from shadewright.report.work.cuts import cuts_by_drop
from shadewright.report.work.lays import DropLay, NumberedPanel, StripLay, lay_out
from stored_seeds import stored


def drop_of(*strips: Sequence[tuple[float, float]], end: float) -> DropLay:
    """A drop from 10 in on whose strips hold panels from so far to so far, in inches."""
    made, number = [], 0
    for place, ends in enumerate(strips):
        panels = []
        for first, last in ends:
            number += 1
            panel = Panel(
                shade=f"{number}",
                part="face",
                cloth="c",
                piece="bolt",
                drop=1,
                x=inches(20 * place),
                y=inches(first),
                across=inches(20),
                along=inches(last - first),
                railroaded=False,
                hem_left=0,
                hem_top=0,
            )
            panels.append(NumberedPanel(number, panel, panel.shade))
        made.append(StripLay(inches(20 * place), inches(20 * place + 20), tuple(panels)))
    drop = Drop(cloth="c", piece="bolt", number=1, start=inches(10), end=inches(end))
    return DropLay(drop, tuple(made))


def test_the_strip_that_lags_comes_next() -> None:
    # The strip nearer has 30, 30, 30; the one beyond 50 and 40.
    drop = drop_of([(10, 40), (40, 70), (70, 100)], [(10, 60), (60, 100)], end=100)
    assert goes_along(drop)
    assert [(m.numbered.number, m.front, m.last) for m in moves(drop)] == [
        (1, inches(10), False),
        (4, inches(10), False),
        (2, inches(40), False),
        (5, inches(60), True),
        (3, inches(70), True),
    ]
    assert reach(drop) == inches(50)


def test_cloth_left_out_before_a_panel_lies_flat_too() -> None:
    drop = drop_of([(10, 30), (44, 64)], [(10, 60)], end=64)
    assert reach(drop) == inches(50)
    later = drop_of([(10, 30), (74, 94)], [(10, 60)], end=94)
    assert reach(later) == inches(64)


def test_a_drop_no_longer_than_its_longest_panel_is_cut_off_first() -> None:
    drop = drop_of([(10, 30), (30, 60)], [(10, 60)], end=60)
    assert not goes_along(drop)
    assert reach(drop) == inches(50)
    assert longest_reach([drop, drop_of([(10, 80)], end=80)]) == inches(70)
    assert longest_reach([]) == 0


@pytest.mark.parametrize("seed", mostly_slow(stored("random")[:24], 6, 12))
def test_steps_take_every_panel_off_from_its_strips_own_last_cut(seed: int) -> None:
    job = job_of(random_job(seed))
    plan = make_plan(job, seconds=0.5).plan
    account = Account(job, plan)
    reaches = []
    for lay in lay_out(job, plan):
        for number, (drop, cuts) in enumerate(cuts_by_drop(job, lay)):
            strips = lay.drops[number]
            reaches.append(reach(strips))
            within = [cut for cut in cuts if cut.to is not None]
            assert bool(within) <= goes_along(strips)
            if not goes_along(strips):
                continue
            off = [cut for cut in cuts if cut.role == "drop comes off"]
            assert [cut.at for cut in off] == [drop.end]
            # No cut runs beyond the drop, and what is cut across adds up strip by strip.
            assert all(drop.start < cut.to <= drop.end for cut in within if cut.to)
            for strip in strips.strips:
                at = drop.start
                mine = [c for c in within if f"strip of {strip.name}:" in c.what]
                for cut in mine:
                    assert cut.to == at + cut.at
                    at = cut.to
                assert strip.panels[-1].panel.y + strip.panels[-1].panel.along in (at, drop.end)
            lengthwise: dict[int, int] = {}
            for cut in within:
                if cut.kind == "lengthwise" and cut.to:
                    assert cut.to > lengthwise.get(cut.at, drop.start)
                    lengthwise[cut.at] = cut.to
    assert account.flat in account.advice
    assert job.tape.long(max(reaches)) in account.flat
