"""The most that drops hold, against trying every drop; and bounds from it, against plans."""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import replace
from functools import cache

import pytest

from jobs import job_of, mostly_slow
from random_jobs import random_job
from shadewright.job.model import Job
from shadewright.planning.make import make_plan
from shadewright.solve.effort import USUAL
from shadewright.solve.packing import relaxed
from shadewright.solve.packing.grid import Grid
from shadewright.solve.packing.relaxed import Most, Relaxation
from shadewright.solve.packing.worths import Worth
from shadewright.solve.problem.kinds import Problem, Rect, Roll
from shadewright.solve.problem.menu import problem
from shadewright.solve.problem.supply import Supply
from shadewright.solve.run import Clock
from shadewright.solve.search.bounds import lengths_at_least, worths_of
from shadewright.solve.search.drop_bounds import DropBound, drop_bound
from shadewright.solve.search.first import first_candidates

MANY = 1 << 40
COUNTED = replace(USUAL, wall=100.0)
Lane = tuple[int, ...]
WIDE = """
title = "wide"
[cloth.canvas]
width = 118
price = 20
[make]
shade_cost = 0
""" + "".join(
    f'[[opening]]\nname = "bay {n}"\nwidth = {width}\nheight = {height}\n'
    for n, (width, height) in enumerate(
        [(33, 70), (47, 79), (63, 64), (91, 78), (97, 75), (41, 58)]
    )
)


def asked_for(seed: int, most: int) -> tuple[Grid, dict[Rect, int]]:
    draw = random.Random(seed)
    sizes = {(draw.randint(19, 60), draw.randint(8, 40)) for _ in range(5)}
    asked = {Rect("cloth", *size): draw.randint(1, most) for size in sorted(sizes)}
    return Grid.of(Roll("cloth", usable=100), asked), asked


def prices_for(relaxation: Relaxation, seed: int) -> list[int]:
    draw = random.Random(f"prices {seed}")
    return [round(r.across * r.along * draw.uniform(0.5, 1.5)) for r in relaxation.rects]


def lanes_of(counts: Sequence[int]) -> Iterator[Lane]:
    """Every lane of rectangles, narrowest first, that holds no more of them than there are."""

    def grown(lane: Lane, at: int) -> Iterator[Lane]:
        if lane:
            yield lane
        for i in range(at, len(counts)):
            if lane.count(i) < counts[i]:
                yield from grown((*lane, i), i)

    return grown((), 0)


def drops_of(
    relaxation: Relaxation, usable: int, counts: Sequence[int], *, relaxed: bool
) -> Iterator[tuple[Lane, ...]]:
    """Every drop; or those in which only leaders are told apart from lane to lane."""
    every = list(lanes_of(counts))
    wide = [relaxation.rects[lane[-1]].across for lane in every]

    def beside(drop: tuple[Lane, ...], room: int, at: int) -> Iterator[tuple[Lane, ...]]:
        if drop:
            yield drop
        for i in range(at, len(every)):
            lanes = [lane[-1:] if relaxed else lane for lane in (*drop, every[i])]
            taken = Counter(j for lane in lanes for j in lane)
            if wide[i] <= room and all(n <= counts[j] for j, n in taken.items()):
                yield from beside((*drop, every[i]), room - wide[i], i)

    return beside((), usable, 0)


def most_of(seed: int, most: int, least: int = 1) -> tuple[Relaxation, list[int], Most, list[int]]:
    grid, asked = asked_for(seed, most)
    relaxation = Relaxation(grid, asked, 4)
    prices = prices_for(relaxation, seed)
    found = relaxation.most(prices, least, 40, MANY)
    assert found is not None
    return relaxation, prices, found, [asked[rect] for rect in relaxation.rects]


@pytest.mark.parametrize("seed", mostly_slow(range(20), 4, 8))
def test_the_most_is_that_of_trying_every_drop_of_the_relaxation(
    seed: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    relaxation, prices, found, counts = most_of(seed, 2)
    long = [rect.along // relaxation.unit for rect in relaxation.rects]
    assert relaxation.unit * long[0] == relaxation.rects[0].along

    def worth(drop: tuple[Lane, ...]) -> tuple[int, int]:
        return sum(prices[i] for lane in drop for i in lane), max(
            sum(long[i] for i in lane) for lane in drop
        )

    tried = [worth(drop) for drop in drops_of(relaxation, 100, counts, relaxed=True)]
    assert found.kappa == max(-(-value // length) for value, length in tried)
    tried_exactly = [worth(drop) for drop in drops_of(relaxation, 100, counts, relaxed=False)]
    assert all(value <= found.kappa * length for value, length in tried_exactly)
    monkeypatch.setattr(relaxed, "_FAR", 100.0)
    asked = found.kappa * 9 // 10
    again = relaxation.most(prices, asked, 10_000, MANY)
    assert again is not None
    assert again.kappa == found.kappa
    best = max(value - asked * length for value, length in tried)
    rects = dict(zip(relaxation.rects, prices, strict=True))
    gains = [sum(rects[r] * n for r, n in d.held.items()) - asked * d.long for d in again.drops]
    assert gains[0] == best
    assert gains == sorted(gains, reverse=True)
    for drop in again.drops:
        assert sum(max(rect.across for rect in lane) for lane in drop.lanes) <= 100
        assert max(sum(r.along for r in lane) for lane in drop.lanes) <= drop.long * relaxation.unit
        assert Counter(rect for lane in drop.lanes for rect in lane) == drop.held


@pytest.mark.parametrize("seed", mostly_slow(range(12), 3, 6))
def test_no_drop_however_long_holds_more(seed: int) -> None:
    """Many of each: most drops are longer than any that are looked at by their lengths."""
    draw = random.Random(seed)
    grid, asked = asked_for(seed, 2)
    wide = {replace(rect, across=rect.across % 17 + 34): 30 for rect in asked}
    grid = Grid.of(grid.roll, wide)
    relaxation = Relaxation(grid, wide, 4)
    prices = prices_for(relaxation, seed)
    found = relaxation.most(prices, 1, 40, MANY)
    assert found is not None
    units = [rect.along // relaxation.unit for rect in relaxation.rects]
    across = [rect.across for rect in relaxation.rects]

    @cache
    def fullest(lead: int, long: int) -> int:
        """The most in a lane of rectangles no wider than one, any number of each."""
        best = 0
        for i in range(lead + 1):
            if units[i] <= long:
                best = max(best, prices[i] + fullest(lead, long - units[i]))
        return best

    for _ in range(200):
        lanes = [draw.randrange(len(across)) for _ in range(2)]
        long = draw.randint(1, 25 * max(units))
        some: Counter[int] = Counter()
        worth = 0
        for lead in lanes:
            left = long
            while True:
                fits = [
                    i for i in range(lead + 1) if units[i] <= left and some[i] < 30 and prices[i]
                ]
                if not fits:
                    break
                i = max(fits, key=lambda i: prices[i] / units[i] * draw.uniform(0.9, 1))
                some[i] += 1
                worth += prices[i]
                left -= units[i]
        assert sum(across[lead] for lead in lanes) <= 100
        assert worth <= found.kappa * long
    assert found.kappa * 40 >= sum(fullest(len(across) - 1, 40) for _ in range(2)) - 1


def test_without_time_for_it_nothing_is_said() -> None:
    grid, asked = asked_for(1, 2)
    relaxation = Relaxation(grid, asked, 4)
    assert relaxation.most(prices_for(relaxation, 1), 1, 40, 0) is None


def bounded(job: Job) -> tuple[Problem, Supply, dict[str, list[Worth]], DropBound | None]:
    """What is asked, what there is, and what widths and drops tell."""
    asked, _ = problem(job)
    clock = Clock(20, COUNTED)
    supply = Supply.of(job, asked)
    start = next(iter(first_candidates(asked, supply, USUAL)))
    worths = worths_of(asked, clock)
    return asked, supply, worths, drop_bound(asked, start, worths, clock)


@pytest.mark.slow
@pytest.mark.parametrize("seed", mostly_slow([0, 1, 2, 4, 6, 8, 9, 17, 5, 13, 19, 21, 23], 6, 6))
def test_no_plan_is_below_a_bound_from_drops(seed: int) -> None:
    job = job_of(random_job(seed))
    asked, supply, _, bound = bounded(job)
    found = {} if bound is None else bound.worths
    least = lengths_at_least(asked, supply, {name: [worth] for name, worth in found.items()})
    plan = make_plan(job, 1, 1, effort=COUNTED).plan
    assert bound is None or bound.least <= asked.scale * plan.proof.goals[0].value * (1 + 1e-9)
    for name in found:
        assert least[name] <= sum(piece.used for piece in plan.pieces if piece.cloth == name)


@pytest.mark.slow
def test_a_bound_from_drops_is_better_where_many_lie_side_by_side() -> None:
    job = job_of(WIDE)
    asked, supply, worths, bound = bounded(job)
    assert bound is not None
    found = bound.worths
    (before,) = lengths_at_least(asked, supply, worths).values()
    (after,) = lengths_at_least(asked, supply, {n: [w] for n, w in found.items()}).values()
    assert after > before
    assert after <= make_plan(job, 2, 1, effort=COUNTED).plan.proof.used
