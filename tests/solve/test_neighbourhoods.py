"""Plans too large for one model get better a few drops at a time, and keep all that was asked."""

from __future__ import annotations

import random
from dataclasses import replace
from typing import Any

import pytest

from jobs import job_of, mostly_slow
from shadewright.planning.make import make_plan
from shadewright.solve.effort import USUAL, Effort
from shadewright.solve.problem.dominance import narrowest_options
from shadewright.solve.problem.kinds import Problem
from shadewright.solve.problem.menu import problem
from shadewright.solve.problem.supply import Supply
from shadewright.solve.run import Clock
from shadewright.solve.search import beams
from shadewright.solve.search.candidate import Candidate, score, taken_rects
from shadewright.solve.search.first import first_candidates, in_turn
from shadewright.solve.search.freeing import neighbourhood
from shadewright.solve.search.goals import Goal
from shadewright.solve.search.neighbourhoods import improve

COUNTED = replace(USUAL, wall=100.0)


def porch(openings: int, width: int, more: str = "", match: str = "") -> str:
    """A porch of so many openings that all differ."""
    draw = random.Random(openings)
    lines = [f'title = "porch"\n[cloth.a]\nwidth = {width}\nprice = 20\n{more}\n{match}']
    lines += [
        f'[[opening]]\nname = "{n}"\nwidth = {draw.randint(240, 1280) / 8}\n'
        f"height = {draw.randint(320, 464) / 8}"
        for n in range(openings)
    ]
    return "\n".join(lines)


JOBS = {
    "plain": porch(24, 60, 'runs = "up the bolt"'),
    "side by side": porch(20, 118, 'runs = "up the bolt"'),
    "level": porch(16, 54, "repeat_down = 9", '[match]\nstrategy = "level"'),
    "tied": porch(24, 60, 'runs = "up the bolt"') + '\nlike = "0"',
}


def begun(name: str) -> tuple[Problem, Supply, Candidate]:
    asked, _ = problem(job_of(JOBS[name]))
    narrow = asked.having(narrowest_options(asked.kinds))
    supply = Supply.bolts(narrow)
    return narrow, supply, next(iter(first_candidates(narrow, supply, USUAL)))


def check(asked: Problem, candidate: Candidate) -> None:
    """All openings are made of their own options, all agree, and what they ask for is cut."""
    settled = {}
    for kind, row in zip(asked.kinds, candidate.chosen, strict=True):
        assert sum(copies for _, copies in row) == kind.copies
        for taken, _ in row:
            assert taken.option in kind.options
            for topic, value in taken.option.agreed:
                assert settled.setdefault(topic, value) == value
    for roll in asked.rolls:
        cut: dict[object, int] = {}
        for drop in candidate.drops(roll.name):
            for lane in drop.lanes:
                for rect in lane.rects:
                    cut[rect] = cut.get(rect, 0) + 1
        assert cut == taken_rects(candidate.options, roll.name)


def improved(name: str, effort: Effort, seconds: float = 1.0) -> Candidate:
    asked, supply, first = begun(name)
    kept = []

    def keep(candidate: Candidate) -> bool:
        kept.append(candidate)
        return False

    best = improve(asked, supply, Clock(seconds, effort), 1, first, {}, keep)
    assert (
        not kept or kept[-1] is best or score(asked, supply, best) == score(asked, supply, kept[-1])
    )
    return best


@pytest.mark.slow
@pytest.mark.parametrize("name", mostly_slow(JOBS, 4, 1))
def test_a_large_plan_gets_shorter_and_keeps_all_that_was_asked(name: str) -> None:
    asked, supply, first = begun(name)
    best = improved(name, COUNTED)
    check(asked, best)
    assert score(asked, supply, best)["used"] < score(asked, supply, first)["used"]
    assert improved(name, COUNTED) == best


def test_a_part_put_back_as_it_was_is_the_whole_again() -> None:
    asked, supply, first = begun("plain")
    around = neighbourhood(asked, supply, first, random.Random(3), 20, 10)
    again = around.whole(asked, supply, around.start)
    check(asked, again)
    assert score(asked, supply, again) == score(asked, supply, first)
    freed = sum(kind.copies for kind in around.problem.kinds)
    assert 0 < freed < sum(kind.copies for kind in asked.kinds)


def test_what_is_taken_may_always_be_taken_again() -> None:
    """Even where it comes from another search, and the problem does not have it."""
    asked, supply, first = begun("tied")
    taken = [{t.option for t, _ in row} for row in first.chosen]
    fewer = asked.having(
        replace(kind, options=tuple(o for o in kind.options if o not in its))
        for kind, its in zip(asked.kinds, taken, strict=True)
    )
    around = neighbourhood(fewer, supply, first, random.Random(3), 20, 10)
    for kind, row in zip(around.problem.kinds, around.start.chosen, strict=True):
        assert {t.option for t, _ in row} <= set(kind.options)


LEFT_OVER = '[[cloth.a.piece]]\nname = "left over"\nlength = 300\n'


def with_piece(name: str) -> tuple[Problem, Supply, Candidate]:
    """A candidate part of which is cut from a piece on hand."""
    job = job_of(JOBS[name].replace("[[opening]]", LEFT_OVER + "[[opening]]", 1))
    asked, _ = problem(job)
    narrow = asked.having(narrowest_options(asked.kinds))
    supply = Supply.of(job, narrow)
    drawn = in_turn(narrow, supply, next(iter(first_candidates(narrow, supply, USUAL))))
    assert drawn is not None
    return narrow, supply, drawn


def lies_on_its_stretches(candidate: Candidate) -> bool:
    return all(p.stretch.end is None or p.end <= p.stretch.end for p in candidate.parts)


@pytest.mark.parametrize("bolts_only", [False, True])
def test_what_stays_on_a_piece_stays_and_the_rest_may_be_cut_behind_it(bolts_only: bool) -> None:
    asked, supply, first = with_piece("plain")
    on_piece = [part for part in first.parts if not part.stretch.bought]
    assert len(first.parts) == 2
    assert len(on_piece) == 1
    found = set()
    for seed in range(12):
        around = neighbourhood(
            asked, supply, first, random.Random(seed), 20, 10, bolts_only=bolts_only
        )
        again = around.whole(asked, supply, around.start)
        check(asked, again)
        assert lies_on_its_stretches(again)
        assert score(asked, supply, again) == score(asked, supply, first)
        found.add(around.supply.on_hand)
    assert found == {False} if bolts_only else True in found


@pytest.mark.slow
def test_a_large_plan_with_a_piece_on_hand_gets_shorter() -> None:
    asked, supply, first = with_piece("plain")
    clock = Clock(1.0, COUNTED)
    best = improve(asked, supply, clock, 1, first, {}, lambda _: False)
    check(asked, best)
    assert lies_on_its_stretches(best)
    assert {part.stretch.bought for part in best.parts} == {True, False}
    assert score(asked, supply, best)["money"] < score(asked, supply, first)["money"]


@pytest.mark.slow
def test_a_left_over_saves_about_what_it_is_worth() -> None:
    """A large job is planned as well beside it as without."""
    text = JOBS["plain"]
    beside = text.replace("[[opening]]", LEFT_OVER + "[[opening]]", 1)
    bought, less = (
        make_plan(job_of(each), 2, 1, effort=COUNTED).plan.proof.goals[0].value
        for each in (text, beside)
    )
    assert bought - less >= 0.8 * 20 * 300 / 36


@pytest.mark.slow
def test_what_is_drawn_for_beams_agrees(monkeypatch: pytest.MonkeyPatch) -> None:
    """Tied openings that are all decided anew have as many shades as one another all the same."""
    each = 'shades = [2, 4]\nnarrowest = 5\nlike = "0"\nheight'
    text = porch(8, 118, 'runs = "up the bolt"').replace("height", each)
    text = text.replace('like = "0"', "", 1)
    monkeypatch.setitem(JOBS, "all tied", text)
    packed, tried = beams._packed, list[set[int]]()

    def noted(asked: Problem, supply: Supply, chosen: Any, *others: Any) -> Candidate | None:
        tried.append({option.shades for row in chosen for option, _ in row if option.shades})
        return packed(asked, supply, chosen, *others)

    monkeypatch.setattr(beams, "_packed", noted)
    asked, *_ = begun("all tied")
    assert any(len({o.shades for o in kind.options}) > 1 for kind in asked.kinds)
    check(asked, improved("all tied", COUNTED))
    assert tried
    assert all(len(numbers) <= 1 for numbers in tried)


@pytest.mark.slow
def test_limits_are_kept() -> None:
    asked, supply, first = begun("plain")
    limits: dict[Goal, int] = {"shades": score(asked, supply, first)["shades"]}
    best = improve(asked, supply, Clock(2, COUNTED), 1, first, limits, lambda _: False)
    assert score(asked, supply, best)["shades"] <= limits["shades"]


@pytest.mark.slow
@pytest.mark.parametrize("name", mostly_slow(["plain", "side by side"], most=1))
def test_a_large_job_is_planned_better_by_neighbourhoods_and_judged_clean(name: str) -> None:
    job, without = job_of(JOBS[name]), replace(COUNTED, at_once=10**9)
    small = replace(COUNTED, at_once=50)
    plans = [make_plan(job, 2, 1, effort=effort) for effort in (small, without)]
    assert plans[0].faults == ()
    assert plans[0].plan.proof.goals[0].value <= plans[1].plan.proof.goals[0].value
