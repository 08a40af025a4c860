"""Whole drops priced and put together: against all there are, and against an exact solver."""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from itertools import product

import pytest
from ortools.sat.python import cp_model

from jobs import job_of
from shadewright.planning.make import make_plan
from shadewright.solve.effort import USUAL
from shadewright.solve.packing.assembly import Assembly, ListedDrop
from shadewright.solve.packing.drops import CutDrop, fit
from shadewright.solve.packing.grid import Grid
from shadewright.solve.packing.pricing import DropPricing, Width
from shadewright.solve.problem.kinds import Kind, Option, Problem, Rect, Roll
from shadewright.solve.problem.supply import Supply
from shadewright.solve.run import Clock, linear_programme
from shadewright.solve.search.candidate import Candidate, score, taken_rects
from shadewright.solve.search.columns import FoundDrops, by_columns
from shadewright.solve.search.first import first_candidates
from shadewright.trade.divisions import Way

COUNTED = replace(USUAL, wall=100.0)
ROLL = Roll("strip", 100)


def drawn(seed: int, number: int, copies: int = 1) -> dict[Rect, int]:
    draw = random.Random(seed)
    return {
        Rect("strip", draw.randint(15, 60), draw.randint(20, 90)): draw.randint(1, copies)
        for _ in range(number)
    }


def length(drop: CutDrop) -> int:
    return max(sum(rect.along for rect in lane.rects) for lane in drop.lanes)


def lanes_of(rects: tuple[Rect, ...]) -> Iterator[list[list[Rect]]]:
    """Every way to share rectangles out over lanes."""
    if not rects:
        yield []
        return
    for rest in lanes_of(rects[1:]):
        yield [[rects[0]], *rest]
        for i in range(len(rest)):
            yield [*rest[:i], [rects[0], *rest[i]], *rest[i + 1 :]]


def best_gain(rects: dict[Rect, int], prices: dict[Rect, float]) -> float:
    """The most that any drop is worth beyond its length, with two in a lane at most."""
    most = 0.0
    for counts in product(*(range(n + 1) for n in rects.values())):
        held = tuple(rect for rect, n in zip(rects, counts, strict=True) for _ in range(n))
        for lanes in lanes_of(held):
            wide = sum(max(rect.across for rect in lane) for lane in lanes)
            if held and wide <= ROLL.usable and max(map(len, lanes)) <= 2:
                long = max(sum(rect.along for rect in lane) for lane in lanes)
                most = max(most, sum(prices[rect] for rect in held) - long)
    return most


@pytest.mark.parametrize("seed", range(12))
def test_the_best_drop_is_found_where_all_can_be_tried(seed: int) -> None:
    rects = drawn(seed, 4, 2)
    draw = random.Random(seed)
    prices = {rect: rect.across * rect.along / 100 * draw.uniform(0.8, 1.4) for rect in rects}
    pricing = DropPricing(Grid(ROLL, 1), rects)
    found = pricing.drops(prices, 1.0, Width(200, 500, 50), seed)
    gains = [sum(prices[rect] for rect in drop.rects) - length(drop) for drop in found]
    assert max(gains, default=0.0) >= best_gain(rects, prices) - 1e-6
    assert all(gain > 0 for gain in gains)
    assert gains == sorted(gains, reverse=True)


def test_drops_fit_and_hold_no_more_than_there_is() -> None:
    rects = drawn(1, 14, 3)
    prices = {rect: rect.across * rect.along / 90 for rect in rects}
    grid = Grid(replace(ROLL, table=120), 1)
    found = DropPricing(grid, rects).drops(prices, 1.0, Width(20, 30, 200), 1, less=20.0)
    assert len(found) > 20
    for drop in found:
        assert fit(grid, drop.lanes)
        assert length(drop) <= 120
        assert all(n <= rects[rect] for rect, n in Counter(drop.rects).items())


def listed(rects: dict[Rect, int], seed: int) -> list[ListedDrop]:
    """Every rectangle by itself, and drops of several at random."""
    draw = random.Random(seed)
    held = [((rect, 1),) for rect in rects]
    for _ in range(150):
        some = draw.sample(sorted(rects, key=lambda r: r.key), draw.randint(2, 4))
        held.append(tuple((rect, draw.randint(1, rects[rect])) for rect in some))
    return [
        ListedDrop(each, round(sum(r.along * n for r, n in each) * draw.uniform(0.5, 1.0)))
        for each in held
    ]


def priced(rects: dict[Rect, int], drops: list[ListedDrop]) -> dict[Rect, float]:
    """What rectangles are worth where none of the drops is worth more than it costs."""
    programme = linear_programme()
    worth = {rect: programme.NumVar(0, programme.infinity(), "") for rect in rects}
    for drop in drops:
        programme.Add(sum(n * worth[rect] for rect, n in drop.held) <= drop.cost)
    programme.Maximize(sum(n * worth[rect] for rect, n in rects.items()))
    programme.Solve()
    return {rect: var.solution_value() for rect, var in worth.items()}


def cheapest(rects: dict[Rect, int], drops: list[ListedDrop]) -> int:
    """The least that cutting all exactly costs, by the constraint solver."""
    cp = cp_model.CpModel()
    times = [cp.new_int_var(0, max(rects.values()), "") for _ in drops]
    for rect, count in rects.items():
        cp.add(
            sum(dict(d.held).get(rect, 0) * t for d, t in zip(drops, times, strict=True)) == count
        )
    cp.minimize(sum(int(d.cost) * t for d, t in zip(drops, times, strict=True)))
    solver = cp_model.CpSolver()
    assert solver.solve(cp) == cp_model.OPTIMAL
    return round(solver.objective_value)


@pytest.mark.parametrize(("seed", "copies"), [(s, c) for s in range(6) for c in (1, 5)])
def test_drops_are_put_together_at_the_least_cost(seed: int, copies: int) -> None:
    rects = drawn(seed, 9, copies)
    drops = listed(rects, seed)
    found = Assembly(rects, drops, priced(rects, drops)).cheapest(20_000, 1e9)
    assert found is not None
    cut: Counter[Rect] = Counter()
    for i in found:
        cut.update(dict(drops[i].held))
    assert cut == rects
    assert sum(drops[i].cost for i in found) == cheapest(rects, drops)


def test_nothing_is_put_together_that_costs_as_much_as_is_known() -> None:
    rects = drawn(3, 8)
    drops = listed(rects, 3)
    least = cheapest(rects, drops)
    assembly = Assembly(rects, drops, priced(rects, drops))
    assert assembly.cheapest(20_000, least) is None
    assert assembly.cheapest(20_000, least + 1) is not None


def test_many_rectangles_take_several_words() -> None:
    """With up to a hundred copies of each, their numbers need far more than one word."""
    rects = {Rect("strip", 10 + i, 20 + i): 100 - i for i in range(30)}
    drops = [ListedDrop(((rect, 1),), rect.along) for rect in rects]
    drops += [ListedDrop(((rect, n),), 0.9 * n * rect.along) for rect, n in rects.items()]
    prices = {rect: 0.9 * rect.along for rect in rects}
    found = Assembly(rects, drops, prices).cheapest(50, 1e9)
    assert found is not None
    assert sorted(found) == list(range(30, 60))


def fixed(rects: dict[Rect, int], others: int = 0) -> tuple[Problem, Supply, Candidate]:
    """Panels that must be cut, of which some may be a little narrower instead; and a plan."""

    def option(rect: Rect) -> Option:
        return Option((rect.across,), Way(False, None), ((rect,),), 0, frozenset())

    kinds = [
        Kind(n, tuple(option(replace(r, across=r.across - k)) for k in range(1 + others * (i % 2))))
        for i, (r, n) in enumerate(rects.items())
    ]
    problem = Problem(tuple(kinds), (ROLL,))
    supply = Supply.bolts(problem)
    return problem, supply, next(iter(first_candidates(problem, supply, USUAL)))


@pytest.mark.slow
@pytest.mark.parametrize("others", [0, 2])
def test_an_answer_is_better_and_cuts_what_it_takes(others: int) -> None:
    problem, supply, first = fixed(drawn(5, 24), others)
    answers = [
        by_columns(problem, supply, first, Clock(8, COUNTED), random.Random(1), {}, FoundDrops())
        for _ in range(2)
    ]
    found = answers[0]
    assert found is not None
    assert found == answers[1]
    assert score(problem, supply, found)["used"] < score(problem, supply, first)["used"]
    drops = found.drops("strip")
    assert Counter(r for drop in drops for r in drop.rects) == taken_rects(found.options, "strip")
    assert all(fit(Grid(ROLL, 1), drop.lanes) for drop in drops)
    for kind, row in zip(problem.kinds, found.chosen, strict=True):
        assert sum(n for _, n in row) == kind.copies


@pytest.mark.slow
def test_no_more_shades_are_taken_than_are_held() -> None:
    problem, supply, first = fixed(drawn(5, 24), 2)
    fewer = {"shades": sum(o.shades * n for o, n in first.options) - 1}
    found = FoundDrops()
    draw = random.Random(1)
    assert by_columns(problem, supply, first, Clock(8, COUNTED), draw, fewer, found) is None
    assert found.drops["strip"]


def test_where_all_lies_on_what_is_on_hand_there_is_nothing_to_answer() -> None:
    nothing = Problem((), ())
    supply = Supply.bolts(nothing)
    draw = random.Random(1)
    clock = Clock(1, COUNTED)
    assert by_columns(nothing, supply, Candidate((), ()), clock, draw, {}, FoundDrops()) is None


def test_what_is_worth_nothing_is_cut_all_the_same() -> None:
    """Where something else is cut with it anyway, a rectangle may have no price."""
    one, other = Rect("strip", 40, 50), Rect("strip", 30, 20)
    drops = [ListedDrop(((one, 1), (other, 1)), 50.0), ListedDrop(((other, 1),), 20.0)]
    assert Assembly({one: 1, other: 2}, drops, {one: 50.0, other: 0.0}).cheapest(10, 1e9) == [0, 1]


def test_cloth_that_costs_nothing_is_planned() -> None:
    text = """title = "porch"
[cloth.a]
width = 118
price = 0
[make]
shade_cost = 0
"""
    for n in range(14):
        text += f'[[opening]]\nname = "{n}"\nwidth = {40 + 3 * n}\nheight = {50 + 2 * n}\n'
    assert make_plan(job_of(text), 1.0, effort=COUNTED).faults == ()
