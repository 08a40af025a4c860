"""The parts of the search: templates, worths, packings that agree, and layouts that keep them."""

from __future__ import annotations

import random
import time
from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from itertools import combinations_with_replacement, permutations

import pytest
from ortools.sat.python import cp_model

from jobs import job_of, mostly_slow
from random_jobs import patterned_job, random_job
from shadewright.cloth.lattice import Slot
from shadewright.planning.make import make_plan
from shadewright.solve.effort import USUAL, Effort
from shadewright.solve.packing import rows_apart
from shadewright.solve.packing.drops import CutDrop, CutLane, fit
from shadewright.solve.packing.grid import Grid
from shadewright.solve.packing.lay import lay_out
from shadewright.solve.packing.templates import Lane, list_templates, matching
from shadewright.solve.packing.worths import CrossSections, price
from shadewright.solve.problem.agreement import common_topics
from shadewright.solve.problem.dominance import beats, narrowest_options
from shadewright.solve.problem.kinds import (
    Kind,
    Option,
    Problem,
    Rect,
    Roll,
)
from shadewright.solve.problem.menu import problem
from shadewright.solve.problem.supply import Supply
from shadewright.solve.run import Clock, Outcome, run
from shadewright.solve.search import formulate
from shadewright.solve.search import improvement as search
from shadewright.solve.search.building import build
from shadewright.solve.search.candidate import Candidate, placed_part, score, taken_rects
from shadewright.solve.search.first import first_candidates
from shadewright.solve.search.passes import Passes
from shadewright.trade.divisions import Way
from shadewright.trade.refusal import CannotMeetError


def pieces(sizes: list[tuple[int, int]], usable: int, **roll: int) -> Problem:
    """Rectangles to be cut from one roll, each a kind of its own."""
    kinds = tuple(
        Kind(1, (Option((w,), Way(False, None), ((Rect("r", w, h),),), 0, frozenset()),))
        for w, h in sizes
    )
    return Problem(kinds, (Roll("r", usable, **roll),))


def sizes_of(draw: random.Random, number: int, usable: int) -> list[tuple[int, int]]:
    return [(draw.randint(3, usable), draw.randint(2, 12)) for _ in range(number)]


# --- templates --------------------------------------------------------------------------------


@pytest.mark.parametrize("seed", range(60))
def test_templates_by_width_are_all_that_matter(seed: int) -> None:
    draw = random.Random(seed)
    usable = draw.randint(10, 30)
    rects = [Rect("r", w, 1) for w in sorted({draw.randint(3, usable) for _ in range(4)})]
    grid = Grid.of(Roll("r", usable), rects)
    templates, complete = list_templates(grid, rects, Clock(9, replace(USUAL, templates=1000)))
    assert complete
    lanes = [[lane.width for lane in template] for template in templates]
    assert all(sum(these) <= usable for these in lanes)
    # Whatever fits side by side lies in some template, and none lies in another.
    for n in range(1, usable // 3 + 1):
        for chosen in combinations_with_replacement([rect.across for rect in rects], n):
            if sum(chosen) <= usable:
                assert any(_inside(chosen, these) for these in lanes)
    for i, these in enumerate(lanes):
        assert not any(_inside(these, other) for j, other in enumerate(lanes) if i != j)


def _inside(widths: object, lanes: list[int]) -> bool:
    mine = sorted(widths, reverse=True)
    room = sorted(lanes, reverse=True)
    return len(mine) <= len(room) and all(a <= b for a, b in zip(mine, room, strict=False))


@pytest.mark.parametrize("seed", mostly_slow(range(30), most=8))
def test_templates_by_slot_hold_all_that_lies_side_by_side(seed: int) -> None:
    draw = random.Random(seed)
    usable, pace = draw.randint(14, 26), draw.randint(2, 7)
    rects = []
    for _ in range(3):
        across = draw.randint(4, 12)
        first = draw.randrange(pace)
        if first + across <= usable:
            rects.append(Rect("r", across, 1, (Slot(first, pace, 0),)))
    if not rects:
        return
    grid = Grid.of(Roll("r", usable), rects)
    templates, complete = list_templates(grid, rects, Clock(9, replace(USUAL, templates=1000)))
    assert complete
    for n in range(1, usable // 4 + 1):
        for chosen in combinations_with_replacement(rects, n):
            lanes = [CutLane((rect,)) for rect in chosen]
            held = any(matching(lanes, t, CutLane.fits) is not None for t in templates)
            assert held == _lies(chosen, usable) == fit(grid, lanes)


def _lies(rects: tuple[Rect, ...], usable: int) -> bool:
    """Whether rectangles lie side by side in their slots, by trying every order and place."""

    def rest(left: int, order: tuple[Rect, ...]) -> bool:
        if not order:
            return True
        (slot,) = order[0].slots
        return any(
            rest(x + order[0].across, order[1:])
            for x in range(slot.first, usable - order[0].across + 1, slot.pace)
            if x >= left
        )

    return any(rest(0, order) for order in permutations(rects))


def test_matching_seats_everyone_there_is_room_for() -> None:
    lanes = (Lane(0, 5), Lane(5, 12), Lane(12, 15))

    def held(width: int, lane: Lane) -> bool:
        return width <= lane.width

    assert matching([3, 5, 7], lanes, held) == [2, 0, 1]
    assert matching([6, 7], lanes, held) is None
    assert matching([1, 1, 1, 1], lanes, held) is None


# --- worths -----------------------------------------------------------------------------------


@pytest.mark.parametrize("seed", range(60))
def test_the_knapsack_is_what_trying_all_finds(seed: int) -> None:
    draw = random.Random(seed)
    usable = draw.randint(8, 30)
    widths = sorted({draw.randint(2, usable) for _ in range(4)})
    prices = {w: draw.randint(0, 9) for w in widths}
    grid = Grid.of(Roll("r", usable), [Rect("r", w, 1) for w in widths])
    best = max(
        sum(prices[w] for w in chosen)
        for n in range(usable // 2 + 1)
        for chosen in combinations_with_replacement(widths, n)
        if sum(chosen) <= usable
    )
    knapsack = CrossSections.of(grid, prices)
    assert knapsack.most == best
    for width in widths:
        chosen = knapsack.best_with(width)
        assert width in chosen
        assert sum(chosen) <= usable


@pytest.mark.parametrize("seed", range(40))
def test_no_cross_section_is_worth_more_than_its_cloth(seed: int) -> None:
    draw = random.Random(seed)
    usable = draw.randint(12, 40)
    asked = pieces(sizes_of(draw, 6, usable), usable)
    (roll,) = asked.rolls
    grid = Grid.of(roll, asked.rects(roll))
    worth = price(asked.kinds, {"r": grid}, Clock(5)).worths["r"]
    # Also widths that were never priced: they are worth what the next narrower one is.
    for _ in range(400):
        rects: list[Rect] = []
        left = usable
        while left >= 2 and len(rects) < 8:
            rects.append(Rect("r", draw.randint(2, left), grid.unit))
            left -= rects[-1].across
        assert sum(worth.of(grid, rect) for rect in rects) <= worth.kappa(grid)


# --- packings agree ---------------------------------------------------------------------------


@pytest.mark.parametrize("seed", mostly_slow(range(40), 7, 5))
def test_every_way_to_model_a_roll_finds_the_same(seed: int) -> None:
    draw = random.Random(seed)
    usable = draw.randint(12, 24)
    period = draw.choice((1, 1, 5))
    asked = pieces(sizes_of(draw, draw.randint(2, 7), usable), usable, period=period)
    found = {}
    ways = {
        "listed": (10_000, 0, 10_000),
        "stacks": (-1, 40, -1),
        "priced": (-1, 0, -1),
    }
    for way, (few, stacked, most) in ways.items():
        effort = replace(USUAL, few_counts=few, stacked=stacked, counts=most)
        found[way] = plan_of(asked, 8, effort)
    used = {way: _used(this) for way, this in found.items()}
    assert used["listed"] == used["stacks"] <= used["priced"]
    for way in ("listed", "stacks"):
        assert all(goal.value == goal.bound for goal in found[way].goals)
    for this in found.values():
        assert this.used_bound <= used["listed"]
        _cut_from(asked, this.candidate)


def plan_of(asked: Problem, seconds: float, effort: Effort = USUAL) -> search.Found:
    """What a search finds where all cloth is bought."""
    found = search.search(asked, Supply.bolts(asked), Clock(seconds, effort))
    assert found is not None
    return found


def _used(found: search.Found) -> int:
    return next(reached.value for reached in found.goals if reached.goal == "used")


def _cut_from(asked: Problem, candidate: Candidate) -> None:
    """See that a candidate cuts what its options ask, in lanes side by side."""
    for roll in asked.rolls:
        drops = candidate.drops(roll.name)
        grid = Grid.of(roll, asked.rects(roll))
        cut = Counter(rect for drop in drops for lane in drop.lanes for rect in lane.rects)
        assert cut == Counter(taken_rects(candidate.options, roll.name))
        assert all(fit(grid, drop.lanes) for drop in drops)


def test_priced_templates_keep_the_best_candidate() -> None:
    # Without the templates of the best candidate this job's model had no solution at all.
    effort = replace(USUAL, few_counts=-1, stacked=0, counts=-1)
    planned = make_plan(job_of(random_job(5)), seconds=1, effort=effort)
    assert planned.faults == ()


# --- first plans, narrow options, layouts -----------------------------------------------------


def some_problems() -> Iterator[tuple[int, Problem]]:
    for make in (random_job, patterned_job):
        for seed in range(25):
            try:
                yield seed, problem(job_of(make(seed)))[0]
            except CannotMeetError:
                continue


@pytest.mark.slow
def test_first_plans_can_be_cut() -> None:
    for _, asked in some_problems():
        for fewest in (False, True):
            supply = Supply.bolts(asked)
            candidate = next(first_candidates(asked, supply, USUAL, fewest=fewest))
            _cut_from(asked, candidate)
            assert min(score(asked, supply, candidate).values()) >= 0


@pytest.mark.timeout(60)
@pytest.mark.parametrize("match", mostly_slow(["level", "", "centred", "continuous"], 4))
def test_a_first_plan_of_thousands_takes_no_time(match: str) -> None:
    """It was quadratic: a thousand copies took half a minute, these would take many."""
    repeat = "repeat_down = 9\nrepeat_across = 9\n"
    printed = f'{repeat}[match]\nstrategy = "{match}"\n' if match else ""
    openings = "".join(
        f'[[opening]]\nname = "{name}"\nwidth = 162.25\nheight = {height}\n'
        "shades = 4\ncopies = 999\n"
        for name, height in (("a", 54), ("b", 60))
    )
    asked, _ = problem(job_of(f'title = "many"\n[cloth.a]\nwidth = 54\n{printed}{openings}'))
    supply = Supply.bolts(asked)
    candidate = next(first_candidates(asked, supply, USUAL))
    _cut_from(asked, candidate)
    assert score(asked, supply, candidate)["shades"] == 8 * 999


@pytest.mark.slow
def test_the_fewest_shades_are_the_fewest() -> None:
    for _, asked in some_problems():
        supply = Supply.bolts(asked)
        first = next(first_candidates(asked, supply, USUAL, fewest=True))
        shades = score(asked, supply, first)["shades"]
        fewest = sum(k.copies * min(o.shades for o in k.options) for k in asked.kinds)
        # Where rows across a railroaded bolt must suit all openings, the fewest may not.
        bases = any(o.agreed for k in asked.kinds for o in k.options)
        assert shades == fewest or bases


@pytest.mark.slow
def test_options_left_out_are_beaten_by_one_that_stays() -> None:
    for _, asked in some_problems():
        shared = common_topics(asked.kinds)
        for kind, narrow in zip(asked.kinds, narrowest_options(asked.kinds), strict=True):
            assert set(narrow.options) <= set(kind.options)
            for option in kind.options:
                assert any(beats(kept, option, shared) for kept in narrow.options)


def test_a_rectangle_that_does_for_another_has_a_slot_in_its_place() -> None:
    wide = Rect("r", 10, 5, (Slot(4, 12, 0),))
    assert Rect("r", 8, 5, (Slot(5, 12, 0),)).does_for(wide)
    assert Rect("r", 8, 5, (Slot(5, 6, 0),)).does_for(wide)
    assert Rect("r", 8, 5).does_for(wide)
    assert not Rect("r", 8, 5, (Slot(5, 24, 0),)).does_for(wide)
    assert not Rect("r", 8, 5, (Slot(7, 12, 0),)).does_for(wide)
    assert not Rect("r", 8, 5, (Slot(5, 12, 1),)).does_for(wide)
    assert not Rect("r", 8, 6, (Slot(5, 12, 0),)).does_for(wide)


@pytest.mark.parametrize("seed", range(60))
def test_taking_drops_apart_keeps_all_and_lengthens_nothing(seed: int) -> None:
    draw = random.Random(seed)
    usable, period = draw.randint(12, 30), draw.choice((1, 4))
    roll = Roll("r", usable, lead=3, period=period)
    joint = []
    for _ in range(draw.randint(1, 2)):
        lanes, left = [], usable
        while left >= 4 and len(lanes) < 3:
            width = draw.randint(4, left)
            rects = tuple(
                Rect("r", width, draw.choice((3, 5, 8))) for _ in range(draw.randint(1, 5))
            )
            lanes.append(CutLane(rects))
            left -= width
        joint.append(CutDrop(tuple(lanes)))
    every = [rect for drop in joint for lane in drop.lanes for rect in lane.rects]
    grid = Grid.of(roll, every)
    apart = rows_apart.apart(grid, joint)
    cut = [rect for drop in apart for lane in drop.lanes for rect in lane.rects]
    assert Counter(cut) == Counter(every)
    assert lay_out(roll, apart)[-1].end <= lay_out(roll, joint)[-1].end
    assert all(fit(grid, drop.lanes) for drop in apart)
    assert len(apart) >= len(joint)


@pytest.mark.parametrize("copies", [40, 6000])
def test_taking_apart_what_there_are_thousands_of(copies: int) -> None:
    # Each lane falls short of the first by a third of it, or by what two rectangles are.
    roll = Roll("r", 30, lead=3, period=1)
    lengths = ((6,) * copies, (4,) * copies, (6,) * (copies - 2))
    lanes = [CutLane(tuple(Rect("r", 10, n) for n in lane)) for lane in lengths]
    joint = [CutDrop(tuple(lanes)), CutDrop((CutLane((Rect("r", 5, 7),)),))]
    every = [rect for drop in joint for lane in drop.lanes for rect in lane.rects]
    began = time.process_time()
    apart = rows_apart.apart(Grid.of(roll, every), joint)
    assert time.process_time() - began < 5  # it took minutes
    assert Counter(r for d in apart for lane in d.lanes for r in lane.rects) == Counter(every)
    assert lay_out(roll, apart)[-1].end <= lay_out(roll, joint)[-1].end
    assert len(apart) == copies + 1


def test_where_drops_lie_keeps_their_phases() -> None:
    roll = Roll("r", 50, lead=3, period=10, nodes=(0, 4), origin=1)
    a, b = (Rect("r", 20, 7, (Slot(0, 1, phase),)) for phase in (0, 4))
    drops = [
        CutDrop((CutLane((b, a), (4, 0)), CutLane((b,), (4,))), 4),
        CutDrop((CutLane((a,), (0,)),), 0),
    ]
    laid = lay_out(roll, drops)
    # Phase 1 is at 3, so 4 is at 6: 6 to 13, then 0 is at 22: 22 to 29; the next 0 is at 32.
    assert [(drop.start, drop.end) for drop in laid] == [(6, 29), (32, 39)]
    assert laid[0].places == ((6, 22), (6,))
    supply = Supply.bolts(Problem((), (roll,)))
    part = placed_part(supply, roll, supply.stretches["r"][0], drops)
    assert Candidate((), (part,)).ends() == {("r", "bolt"): 39}


def test_options_of_one_cloth_keep_one_base() -> None:
    rect = Rect("r", 10, 5)
    options = tuple(
        replace(
            Option((1,), Way(False, None), ((rect,),), gaps, frozenset()),
            agreed=((("rows", "r"), base),),
        )
        for base, gaps in ((0, 9), (1, 0))
    )
    kinds = (Kind(1, options), Kind(1, options[:1]))
    asked = Problem(kinds, (Roll("r", 20),))
    found = plan_of(asked, 5)
    taken = {option.agreed for option, _ in found.candidate.options}
    assert taken == {((("rows", "r"), 0),)}
    clock = Clock(5)
    assert build(asked, Supply.bolts(asked), formulate.formulate(asked, clock)[0], clock).choice


@pytest.mark.slow
def test_a_mid_size_job_comes_out_the_same_twice() -> None:
    # However busy the machine is.
    job = job_of(patterned_job(36))
    effort = replace(USUAL, wall=100.0)
    one, other = (make_plan(job, seconds=3, effort=effort).plan for _ in range(2))
    assert one.panels == other.panels
    assert one.drops == other.drops


def covering(seed: int) -> cp_model.CpModel:
    """Rows to be covered by columns of least cost."""
    draw, model = random.Random(seed), cp_model.CpModel()
    columns = [model.new_bool_var("") for _ in range(40)]
    for _ in range(30):
        model.add_bool_or(draw.sample(columns, 5))
    model.minimize(sum(draw.randint(20, 40) * column for column in columns))
    return model


@pytest.mark.parametrize("seed", range(3))
def test_all_ways_to_search_in_turns_find_the_same_twice(seed: int) -> None:
    effort = replace(USUAL, wall=100.0, every_way=0.0)

    def found(seconds: float, *, every_way: bool) -> Outcome:
        return run(covering(seed), Clock(seconds, effort), 1.0, seed, every_way=every_way)

    short = [found(0.1, every_way=True) for _ in range(2)]
    assert short[0] == short[1]
    long = found(30, every_way=True)
    one_way = found(30, every_way=False)
    assert long.bound == one_way.bound
    assert long.value is not None


@pytest.mark.timeout(60)
def test_cloth_hundreds_of_panels_wide_is_planned_in_time() -> None:
    """Lanes by the hundred were once seated one against another in every way."""
    job = job_of(
        'title = "wide"\n[cloth.a]\nwidth = 4000\nrepeat_down = 12\nrepeat_across = 6\n'
        '[match]\nstrategy = "continuous"\n'
        '[[opening]]\nname = "o"\nwidth = 48.5\nheight = 52\nshades = 2\ncopies = 2\n'
        '[[opening]]\nname = "p"\nwidth = 40\nheight = 52\n'
    )
    planned = make_plan(job, seconds=0.3)
    assert planned.faults == ()


@pytest.mark.parametrize("openings", [12, 16])
def test_time_left_goes_to_a_lay_that_may_do_with_less(
    openings: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The railroaded lay is soon proved to be no cheaper; the other one is still open then."""
    draw = random.Random(f"{openings} 1")
    lines = ['title = "wide"\n[cloth.c]\nwidth = 96\nruns = "either"\nprice = 20']
    for n in range(openings):
        width, height = draw.randint(240, 1280) / 8, draw.randint(320, 672) / 8
        lines.append(f'[[opening]]\nname = "{n}"\nwidth = {width}\nheight = {height}')
    went_on = []
    go_on = Passes.go_on

    def recorded(search: Passes, best: Candidate, clock: Clock) -> None:
        went_on.append((search.least_of_first, search.incumbent.score(best)["money"]))
        go_on(search, best, clock)

    monkeypatch.setattr(Passes, "go_on", recorded)
    make_plan(job_of("\n".join(lines)), 0.8, 1, effort=replace(USUAL, wall=100.0))
    assert went_on
    assert all(least < value for least, value in went_on)
