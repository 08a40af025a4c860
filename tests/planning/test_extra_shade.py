"""What one more shade must save, against a frontier: the job solved for each number of shades."""

from __future__ import annotations

import random
from fractions import Fraction

import pytest

from jobs import inches, job_of, mostly_slow
from shadewright.job.model import Job, Prices
from shadewright.planning.make import make_plan
from shadewright.planning.possible import shade_range

# For each number of shades, as few as may be: what it takes, and how many it then has.
Frontier = list[tuple[Fraction, int]]

SEEDS = (0, 3, 4, 6, 10, 11, 14, 22, 24, 26, 33, 34, 38, 48, 1, 2, 5, 7, 8, 9)
"""Of jobs: in all but the last six, more shades save cloth, and not a yard each."""


def small(seed: int) -> str:
    """One or two openings of plain or printed cloth that may have few shades or many."""
    draw = random.Random(f"extra {seed}")
    lines = [
        f'title = "extra {seed}"\n[cloth.a]\nwidth = {draw.choice((45, 54, 60))}',
        f'sold_in = "{draw.choice(("1/8 yd", "1/4 yd", "1 in"))}"',
        f'runs = "{draw.choice(("up the bolt", "mixed"))}"',
    ]
    if draw.random() < 0.3:
        lines[-1] = 'runs = "up the bolt"'
        lines.append(f"repeat_down = {draw.choice((9, 12.5, 18))}\nrepeat_across = 9")
    lines.append(f'start = "motif"\n[match]\nstrategy = "{draw.choice(("level", "plain"))}"')
    for k in range(draw.choice((1, 2))):
        width, height = draw.choice((62, 75, 96, 118)), draw.choice((34, 60, 84))
        lines.append(f'[[opening]]\nname = "{k}"\nwidth = {width}\nheight = {height}')
        lines.append(f"copies = {draw.choice((1, 1, 2))}\nshades = [1, 6]\nnarrowest = 8")
    return "\n".join(lines)


def frontier(job: Job) -> Frontier:
    """What the job takes, money or cloth and nothing for a shade but what it costs, with at most
    each number of shades there can be."""
    fewest, most = shade_range(job)
    found = []
    for number in range(fewest, most + 1):
        plan = make_plan(job, 10, most_shades=number).plan
        assert plan.proof.goals[0].bound == plan.proof.goals[0].value, "a job too hard for this"
        found.append((Fraction(plan.proof.goals[0].value), plan.totals.shades))
    return found


def picked(points: Frontier, worth: Fraction) -> tuple[Fraction, int]:
    """Of a frontier the point that the rule picks: each shade more must save its worth, and of what
    comes to the same the fewest shades are made."""
    return min((takes + worth * shades, shades) for takes, shades in points)


@pytest.mark.slow
@pytest.mark.parametrize("seed", mostly_slow(SEEDS, 7, 3))
def test_one_more_shade_saves_as_much_cloth_as_it_must(seed: int) -> None:
    job = job_of(small(seed))
    points = frontier(job.made(extra_shade=0))
    if seed in SEEDS[:14]:
        assert picked(points, Fraction(0))[1] > picked(points, Fraction(inches(36)))[1]
    for extra in (0, 4.5, 9, 36, 72):
        plan = make_plan(job.made(extra_shade=inches(extra)), 10).plan
        cloth = sum(plan.totals.bought.values())
        value, shades = picked(points, Fraction(inches(extra)))
        assert cloth + inches(extra) * plan.totals.shades == value
        assert plan.totals.shades == shades
        assert plan.proof.goals[0].value == value


@pytest.mark.slow
@pytest.mark.parametrize("seed", mostly_slow(SEEDS, 7, 2))
def test_where_cloth_has_a_price_what_must_be_saved_has_its_worth(seed: int) -> None:
    """At a price of 18 a yard, half a unit of money is an inch."""
    job = job_of(small(seed)).with_cloths(lambda _: {"price": Fraction(18)})
    points = frontier(job.made(extra_shade=0))
    for extra in (9, 36):
        plan = make_plan(job.made(extra_shade=inches(extra)), 10).plan
        value, shades = picked(points, Fraction(extra, 2))
        assert plan.totals.shades == shades
        assert plan.proof.goals[0].value == pytest.approx(float(value))
        # What must be saved is not spent.
        spent = float(value) - extra / 2 * shades
        assert plan.totals.cost == pytest.approx(spent)


@pytest.mark.slow
@pytest.mark.parametrize("seed", mostly_slow(SEEDS, 7, 2))
def test_where_a_shade_costs_money_one_more_saves_more_than_it_costs(seed: int) -> None:
    job = job_of(small(seed)).with_cloths(lambda _: {"price": Fraction(18)})
    points = frontier(job.made(extra_shade=0))
    for cost in (Fraction(1, 2), Fraction(5), Fraction(20)):
        plan = make_plan(job.made(shade_cost=cost), 10).plan
        value, shades = picked(points, cost)
        assert plan.totals.shades == shades
        assert plan.totals.cost == pytest.approx(float(value))
    # By the hour it is the same, and what a shade must save is not looked at.
    hourly = job.model_copy(update={"prices": Prices(hour=Fraction(20), minutes=Fraction(15))})
    plan = make_plan(hourly.made(extra_shade=inches(900)), 10).plan
    value, shades = picked(points, Fraction(5))
    assert plan.totals.shades == shades
    assert plan.totals.cost == pytest.approx(float(value))


def test_hardware_that_goes_with_the_width_is_reckoned_shade_by_shade() -> None:
    """Two hooks up to 42 in, three beyond: narrower shades may be as cheap to hang."""
    job = job_of(small(3)).with_cloths(lambda _: {"price": Fraction(18)})
    dear = job.model_copy(update={"prices": Prices(hook=Fraction(40))})
    points = frontier(dear)
    plan = make_plan(dear, 10).plan
    value, shades = min(points)
    assert plan.totals.shades == shades
    assert plan.totals.cost == pytest.approx(float(value))
    hooks = sum(len(making.hooks) for making in plan.making)
    cloth = sum(piece.cost for piece in plan.pieces)
    assert plan.totals.cost == pytest.approx(cloth + 40 * hooks)
