"""All divisions of an opening at once, against trying each of them."""

from __future__ import annotations

import random
from collections.abc import Callable

import pytest

from jobs import job_of, mostly_slow
from shadewright.planning.make import make_plan
from shadewright.solve.effort import USUAL
from shadewright.solve.problem.families import Family, families
from shadewright.solve.problem.kinds import Rect
from shadewright.solve.problem.menu import problem
from shadewright.solve.problem.options import Menu
from shadewright.solve.problem.slots import Match
from shadewright.solve.problem.supply import Supply
from shadewright.solve.problem.ties import Ties
from shadewright.solve.problem.widths import divisions
from shadewright.solve.run import Clock
from shadewright.solve.search.bounds import lengths_at_least, worths_of
from shadewright.solve.search.dividing import with_cheap_divisions

BAY = """
title = "bay"
step = "1/2 in"
[cloth.a]
width = {width}
runs = "{runs}"
[[opening]]
name = "o"
width = {across}
height = 20
widths = "{widths}"
narrowest = 7
shades = [1, 6]
gap = ["1/4 in", {gap}]
"""


def bay(seed: int) -> Menu:
    draw = random.Random(seed)
    job = job_of(
        BAY.format(
            width=draw.choice((31, 36, 40)),
            runs=draw.choice(("up the bolt", "railroaded")),
            across=draw.choice((30, 34.5, 41, 47)),
            widths=("mirrored", "free")[seed % 2],
            gap=draw.choice((0.5, 1, 2.5)),
        )
    )
    matches = {cloth.name: Match(job, cloth, USUAL) for cloth in job.cloths}
    return Menu(job, matches, Ties.of(job, (), {}), job.openings[0], USUAL)


def worth(draw: random.Random) -> Callable[[Rect], float]:
    """A worth that rises with the width in steps, times the length."""
    ends = sorted(draw.sample(range(40 * 8128), draw.choice((3, 12, 40))))
    prices = sorted(draw.randint(0, 50) for _ in ends)

    def value(rect: Rect) -> float:
        reached = [price for end, price in zip(ends, prices, strict=True) if end <= rect.across]
        return float((reached[-1] if reached else 0) * rect.along)

    return value


def total(family: Family, value: Callable[[Rect], float], widths: tuple[int, ...]) -> float:
    return sum(value(r) for w in widths for r in family.menu.shade(family.way, w))


@pytest.mark.parametrize("seed", mostly_slow(range(60), 10, 30))
def test_the_cheapest_division_is_what_trying_each_finds(seed: int) -> None:
    menu, draw = bay(seed), random.Random(seed)
    found = list(families(menu))
    assert found
    for family in found:
        value = worth(draw)
        every = list(divisions(menu.job, menu.opening, family.limit, family.count))
        least = min(total(family, value, widths) for widths in every)
        bound = family.cheapest(value)
        assert bound <= least
        best = family.best(value)
        assert best is not None
        assert sorted(best.widths) in [sorted(widths) for widths in every]
        if menu.opening.widths == "mirrored":
            assert best.widths == best.widths[::-1]
        assert bound <= total(family, value, best.widths)
        if menu.opening.widths == "free" or family.count % 2 == 0:
            assert total(family, value, best.widths) == bound == least


def test_there_are_none_where_all_are_listed_or_a_print_must_fall() -> None:
    text = BAY.format(width=24, runs="up the bolt", across=41, widths="free", gap=1)
    few, _ = problem(job_of(text.replace('"1/2 in"', '"1 in"').replace("[1, 6]", "2")))
    assert all(kind.complete and not kind.families for kind in few.kinds)
    many, _ = problem(job_of(text.replace('"1/2 in"', '"1/16 in"')))
    assert all(not kind.complete and kind.families for kind in many.kinds)
    print_ = 'repeat_down = 9\n[match]\nstrategy = "level"\n[[opening]]'
    level, _ = problem(job_of(text.replace('"1/2 in"', '"1/16 in"').replace("[[opening]]", print_)))
    assert all(not kind.complete and not kind.families for kind in level.kinds)


@pytest.mark.parametrize("lining", ["a", "b"])
def test_linings_of_divisions_found_later_may_lie_anywhere(lining: str) -> None:
    """Also on a cloth whose print says where faces begin."""
    text = BAY.format(width=24, runs="up the bolt", across=93, widths="free", gap=1)
    text = text.replace('"1/2 in"\n[cloth', '"1/16 in"\n[cloth')
    text += f'cloth = "a"\n[make]\nlining = "{lining}"\n[[opening]]\nname = "p"\ncloth = "b"\n'
    text += "width = 20\nheight = 30\n[cloth.b]\nwidth = 54\nrepeat_down = 7\n"
    text += 'repeat_across = 9\n[match]\nstrategy = "level"\n'
    asked, _ = problem(job_of(text))
    more = with_cheap_divisions(asked, Clock(20))
    assert sum(len(k.options) for k in more.kinds) > sum(len(k.options) for k in asked.kinds)
    by_name = {roll.name: roll for roll in asked.rolls}
    for option in (option for kind in more.kinds for option in kind.options):
        for face, lined in (shade for shade in option.cut if len(shade) == 2):
            roll = by_name[lined.roll]
            assert face.slots
            assert {slot.phase for slot in lined.slots} == set(roll.nodes)
            assert lined.plain == (roll.period > 1)


TWO = """
title = "two"
step = "1/4 in"
[cloth.a]
width = 40
runs = "up the bolt"
sold_in = "1/4 in"
[make]
extra_shade = 0
[[opening]]
name = "wide"
width = 93
height = 50
widths = "{widths}"
[[opening]]
name = "narrow"
width = 44
height = 31
widths = "{widths}"
"""


@pytest.mark.slow
@pytest.mark.parametrize("widths", ["mirrored", "free"])
def test_more_freedom_is_never_worse_and_its_bound_holds(widths: str) -> None:
    equal = make_plan(job_of(TWO.format(widths="equal")), seconds=4).plan.proof
    other = make_plan(job_of(TWO.format(widths=widths)), seconds=4).plan.proof
    assert other.goals[0].value <= equal.goals[0].value
    assert other.used_bound <= other.used


@pytest.mark.parametrize("widths", ["mirrored", "free"])
def test_the_bound_by_families_is_at_least_that_by_bands(widths: str) -> None:
    text = TWO.format(widths=widths).replace('"1/4 in"\n[cloth', '"1/16 in"\n[cloth')
    asked, _ = problem(job_of(text))
    supply, clock = Supply.bolts(asked), Clock(60)
    assert any(kind.families for kind in asked.kinds)
    bands = asked.having(
        k.__class__(k.copies, k.options, k.complete, k.floors) for k in asked.kinds
    )
    weak = lengths_at_least(bands, supply, worths_of(bands, clock))
    more = with_cheap_divisions(asked, clock)
    strong = lengths_at_least(more, supply, worths_of(more, clock))
    assert weak["a"] <= strong["a"]
    # All there was is still there.
    for before, after in zip(asked.kinds, more.kinds, strict=True):
        assert after.options[: len(before.options)] == before.options
