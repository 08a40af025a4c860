"""The steps of cutting cards: that they free every panel, and that their figures add up."""

from __future__ import annotations

import re

import pytest

import samples
from jobs import job_of
from shadewright.cloth.plan import Plan
from shadewright.job.model import Job
from shadewright.measure import TICKS
from shadewright.planning.make import make_plan
from shadewright.report.work.account import Account
from shadewright.report.work.alike import DropRun, drop_runs
from shadewright.report.work.cut_steps import drops_with_cuts, squares_up, steps_of

LONG = """
title = "Strips"
[cloth.sailcloth]
width = 60
selvedge = 0.5
runs = "up the bolt"
[[opening]]
name = "Tall"
width = 26
height = 61
copies = 5
[[opening]]
name = "Short"
width = 25
height = 43
copies = 7
"""


def long() -> tuple[Job, Plan]:
    job = job_of(LONG)
    return job, make_plan(job, 1).plan


PLANS = {
    "mixed": samples.mixed,
    "lined": samples.lined_metric,
    "porch": samples.porch,
    "long": long,
}


@pytest.fixture(params=PLANS, scope="module")
def account(request: pytest.FixtureRequest) -> Account:
    return Account(*PLANS[request.param]())


def runs(account: Account) -> list[DropRun]:
    return [r for lay in account.lays for r in drop_runs(account.job, lay, account.going_on)]


def test_every_drop_stands_in_one_run(account: Account) -> None:
    told = [each.lay.drop for run in runs(account) for each in run.drops]
    assert told == [each.drop for lay in account.lays for each in lay.drops]


def test_figures_from_the_last_cut_add_up_to_those_from_zero(account: Account) -> None:
    for lay in account.lays:
        at = 0
        for drop in drops_with_cuts(account.job, lay):
            steps = steps_of(account.job, lay, drop, lambda p: str(p.number), several=False)
            for step in steps:
                if step.measured_from in ("from the last cut", "from zero of the tape"):
                    at += step.at
                    assert step.zero == at
            assert at == drop.lay.drop.end


def test_every_panel_comes_free_once(account: Account) -> None:
    for run in runs(account):
        freed = [name for step in run.steps for name in named(step.frees)]
        if len(run.drops) == 1:
            assert sorted(freed) == sorted(str(panel.number) for panel in run.panels)
        elif run.letters:
            assert sorted(freed) == sorted(run.letters.values())
        else:
            assert [step.frees for step in run.steps if step.frees] == [
                "The panel is free: pin on its slip."
            ]


def named(frees: str) -> list[str]:
    """The numbers or letters in ``Panels 1 to 3 and 5 are free: ...``."""
    found = re.match(r"Panels? (.*) (?:is|are) free", frees)
    names = []
    for part in re.split(", | and ", found[1]) if found else []:
        first, _, last = part.partition(" to ")
        names += [str(n) for n in range(int(first), int(last) + 1)] if last else [first]
    return names


def test_drops_of_a_run_differ_only_in_place(account: Account) -> None:
    for run in runs(account):
        shapes = {
            tuple(
                (p.panel.x, p.panel.y - each.lay.drop.start, p.panel.across, p.panel.along)
                for p in each.lay.panels
            )
            for each in run.drops
        }
        assert len(shapes) == 1


def test_words_of_several_drops_name_none_of_them(account: Account) -> None:
    for run in runs(account):
        words = " ".join(f"{step.words} {step.frees}" for step in run.steps)
        if len(run.drops) > 1:
            assert "from zero" not in words
        assert ("rop " + str(run.first.lay.drop.number) in words) == (len(run.drops) == 1)


def test_only_the_first_drop_squares_up(account: Account) -> None:
    for lay in account.lays:
        first, *others = drops_with_cuts(account.job, lay)
        assert squares_up(account.job, first) == (
            0 < first.lay.drop.start <= account.job.make.square_up
        )
        assert not any(squares_up(account.job, drop) for drop in others)


def test_a_long_drop_says_how_far_each_cut_goes() -> None:
    account = Account(*long())
    (first, *_) = runs(account)
    words = [step.words for step in first.steps]
    assert any("only as far as" in said and "from zero of the tape" in said for said in words)
    assert any("panels 1 to " in said for said in words), "strips are told by their panels"
    assert "from this strip's last cut" in {step.measured_from for step in first.steps}


def test_several_long_drops_are_measured_from_their_own_starts() -> None:
    account = Account(*long())
    (lay,) = account.lays
    drop = drops_with_cuts(account.job, lay)[0]
    steps = steps_of(account.job, lay, drop, lambda _: "A", several=True)
    far = [step.words for step in steps if "only as far as" in step.words]
    assert far
    assert all("from the start of the drop" in said for said in far)
    assert account.job.tape.long(48 * TICKS["in"]) in far[0], "the first panel is 48 in long"
