"""The best candidate so far: what takes its place, and what models of fewer options start from."""

from __future__ import annotations

from dataclasses import replace

import pytest

from jobs import TWO_BAYS, job_of
from shadewright.solve.effort import USUAL
from shadewright.solve.problem.kinds import Option, Problem
from shadewright.solve.problem.menu import problem
from shadewright.solve.problem.supply import Supply
from shadewright.solve.search import incumbent
from shadewright.solve.search.candidate import Candidate
from shadewright.solve.search.first import first_candidates
from shadewright.solve.search.found import Wish
from shadewright.solve.search.goals import Goal, goal_order
from shadewright.solve.search.incumbent import Incumbent


def test_the_leanest_is_what_a_model_of_narrow_options_starts_from() -> None:
    asked, _ = problem(job_of(TWO_BAYS))
    supply = Supply.bolts(asked)
    first, *others = asked.kinds
    *fewer, last = first.options

    def having(options: list[Option]) -> Problem:
        return asked.having([replace(first, options=tuple(options)), *others])

    lean, rest = having(fewer), having([last])
    start, other = (next(iter(first_candidates(each, supply, USUAL))) for each in (lean, rest))
    best = Incumbent(asked, lean, supply, Wish())
    assert best.for_options(lean) is None
    best.keep(start, {})
    assert best.for_options(lean) is start
    best.best = other
    assert best.for_options(asked) is other
    assert best.for_options(lean) is start


def test_a_plan_as_good_by_one_goal_and_worse_by_the_next_is_not_kept(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    asked, _ = problem(job_of(TWO_BAYS))
    supply = Supply.bolts(asked)
    nothing = tuple(() for _ in asked.kinds)
    kept, worse, better = (Candidate(nothing, ()) for _ in range(3))
    used = {id(kept): 70, id(worse): 80, id(better): 60}

    def scored(_: Problem, __: Supply, candidate: Candidate, *___: object) -> dict[Goal, int]:
        goals: dict[Goal, int] = dict.fromkeys(goal_order(asked), 5)
        return {**goals, "used": used[id(candidate)]}

    monkeypatch.setattr(incumbent, "score", scored)
    monkeypatch.setattr(incumbent, "has_room_to_spare", lambda *_: True)
    best = Incumbent(asked, asked, supply, Wish())
    for candidate, then in ((kept, kept), (worse, kept), (better, better)):
        best.keep(candidate, {"money": 5})
        assert best.best is then
