"""Cloth on hand that does: packings which only exist beside flaws, between drops, or on rows of an
opening's own are found, in counted work and not by the clock."""

from __future__ import annotations

from dataclasses import replace

import pytest

from jobs import job_of
from limited_jobs import long_piece_job, mirrored_job, pieces_job
from shadewright.answers import PlanAnswer
from shadewright.cloth.lattice import Slot
from shadewright.cloth.stretches import Spot, Stretch
from shadewright.planning.make import make_plan, menu_seconds
from shadewright.solve.effort import USUAL
from shadewright.solve.packing.grid import Grid
from shadewright.solve.packing.room import Looks, Room
from shadewright.solve.packing.templates import list_templates
from shadewright.solve.problem.kinds import Kind, Option, Problem, Rect, Roll
from shadewright.solve.problem.slots import Match
from shadewright.solve.problem.supply import Supply
from shadewright.solve.run import Clock
from shadewright.solve.search import laying
from shadewright.solve.search.candidate import Forgone
from shadewright.trade.divisions import Way

# No wall clock: a plan comes out the same however busy the machine is.
COUNTED = replace(USUAL, wall=1_000.0)


def planned(text: str, seconds: float = 1) -> PlanAnswer:
    answer = make_plan(job_of(text), seconds, 1, effort=COUNTED)
    assert answer.faults == ()
    return answer


def buys(answer: PlanAnswer) -> bool:
    return any(piece.bought for piece in answer.plan.pieces)


@pytest.mark.parametrize(
    "text",
    [
        pytest.param(long_piece_job(14), id="an unbroken print beside a flaw"),
        pytest.param(long_piece_job(9), id="rows of each opening's own"),
        pytest.param(
            long_piece_job(93), id="rows of its own beside another opening", marks=pytest.mark.slow
        ),
        pytest.param(pieces_job(6), id="columns that pass a flaw", marks=pytest.mark.slow),
        pytest.param(
            mirrored_job(57),
            id="panels side by side at heights of their own",
            marks=pytest.mark.slow,
        ),
        pytest.param(mirrored_job(0), id="one of many rows to agree on"),
        pytest.param(
            long_piece_job(15), id="a print that turns two hundred times", marks=pytest.mark.slow
        ),
        pytest.param(long_piece_job(176), id="all rows moved off a flaw at the edge"),
        pytest.param(
            long_piece_job(169), id="a print that turns four hundred times", marks=pytest.mark.slow
        ),
    ],
)
def test_nothing_is_bought_where_what_is_on_hand_does(text: str) -> None:
    assert not buys(planned(text))


def test_a_look_at_the_least_length_keeps_nothing_that_costs_more() -> None:
    # What uses least here buys some; three shades on hand use a little more and buy nothing.
    plan = planned(long_piece_job(23)).plan
    assert plan.proof.goals[0].value == plan.proof.goals[0].bound


def _stretch(*spots: Spot, end: int = 100, zero: int | None = None) -> Stretch:
    return Stretch("r", "p", None, 0, end, zero, spots)


def _options_of(*rects: Rect) -> Option:
    return Option((1,) * len(rects), Way(False, None), tuple((r,) for r in rects), 0, frozenset())


def test_a_rectangle_lies_beside_a_flaw_and_behind_it() -> None:
    room = Room.of(Roll("r", 30), _stretch(Spot(10, 20, 0, 12)), free=False)
    looks = Looks()
    (least, *_) = sorted(room.ways(room.empty, Rect("r", 18, 40), 1, looks), key=lambda w: w.y)
    assert (least.x, least.y) == (12, 0)
    (least, *_) = sorted(room.ways(room.empty, Rect("r", 19, 40), 1, looks), key=lambda w: w.y)
    assert (least.x, least.y) == (0, 20)
    assert looks.count


def test_a_rectangle_of_a_print_lies_beside_a_flaw_only_in_its_places() -> None:
    roll = Roll("r", 30, period=8, nodes=(0, 4))
    room = Room.of(roll, _stretch(Spot(1, 3, 0, 12), zero=0), free=False)
    slots = (Slot(2, 10, 0), Slot(7, 10, 4))
    ways = list(room.ways(room.empty, Rect("r", 10, 5, slots), 1, Looks()))
    # At 0 a place across is 2, 12 or 22: of these 12 is clear. Behind the flaw comes 4, with 7.
    assert {(way.x, way.y) for way in ways} == {(12, 0), (7, 4)}


def test_attempts_end_where_no_time_is_left() -> None:
    kinds = (Kind(50, (_options_of(Rect("r", 9, 9), Rect("r", 8, 8)),)),)
    asked = Problem(kinds, (Roll("r", 30),))
    supply = Supply({"r": [_stretch(end=2_000), Stretch("r", "bolt", None, 0, None, None)]})
    no_more = replace(COUNTED, laid_least=0.0)
    made = list(laying.layings(asked, [supply], Forgone(), Clock(0, no_more), 1))
    assert len(made) <= 1
    # A few tries are made in any case.
    clock = Clock(0, COUNTED)
    assert len(list(laying.layings(asked, [supply], Forgone(), clock, 1))) > 1
    assert -clock.work < 1.5 * COUNTED.laid_least * COUNTED.work_per_second
    brief = Clock(0, replace(no_more, laid_once=1e-9))
    assert not list(laying.layings(asked, [supply], Forgone(), brief, 1))
    # It is charged by what is looked at.
    assert brief.work < 0


def test_listing_templates_takes_its_share_and_still_cuts_everything() -> None:
    rects = [Rect("r", 5 + i, 9, tuple(Slot(n % 7, 11, n) for n in range(12))) for i in range(3)]
    grid = Grid.of(Roll("r", 25, period=12, nodes=tuple(range(12))), rects)
    every, complete = list_templates(grid, rects, Clock(20, COUNTED))
    assert complete
    clock = Clock(1e-3, COUNTED)
    some, complete = list_templates(grid, rects, clock)
    assert not complete
    assert len(some) < len(every)
    assert clock.work < 1e-3 * COUNTED.work_per_second
    assert all(any(lane.holds(rect) for lanes in some for lane in lanes) for rect in rects)


def test_menus_are_charged_by_the_places_they_make() -> None:
    few, many = (
        Problem((Kind(1, (_options_of(Rect("r", 9, 9, slots)),)),), (Roll("r", 30),))
        for slots in ((Slot(0, 1, 0),), tuple(Slot(0, 1, n) for n in range(1_000)))
    )
    assert menu_seconds(many, USUAL) > 10 * menu_seconds(few, USUAL)


def test_fewer_rows_are_tried_of_a_print_that_turns_often() -> None:
    job = job_of(long_piece_job(15))
    (cloth,) = job.cloths
    freely = replace(USUAL, turns_tried=10_000)
    assert len(Match(job, cloth).starts) < len(Match(job, cloth, freely).starts)
