"""The packing model against open data, and against a second packer.

E. Hopper and B. C. H. Turton (2001), EJOR 128, 34-57; pieces from the package hyperpack, heights
from shared/published.toml.
"""

from __future__ import annotations

import random

import pytest
import rectpack
from hyperpack.benchmarks.datasets import hopper_and_turton_2000

from jobs import mostly_slow
from packings import Sizes, height_cut, height_reached, packed, strip
from published import PUBLISHED
from shadewright.solve.packing.grid import Grid
from shadewright.solve.packing.worths import price
from shadewright.solve.run import Clock

FREE_HEIGHT: dict[str, int] = PUBLISHED["hopper_turton"]["free_height"]
THREE_STAGE_C1: list[int] = PUBLISHED["hopper_turton"]["three_stage_c1"]


def instance(group: str, number: int) -> tuple[Sizes, int]:
    data = getattr(hopper_and_turton_2000, group)
    items = (data.items_a, data.items_b, data.items_c)[number]
    sheet = next(iter(data.containers.values()))
    return [(item["w"], item["l"]) for item in items.values()], sheet["W"]


@pytest.mark.slow
@pytest.mark.parametrize("number", mostly_slow(range(3), 3, 2))
def test_three_stage_heights_of_c1_are_reached_and_proved(number: int) -> None:
    sizes, width = instance("C1", number)
    found = packed(strip(sizes, width), 60)
    assert height_cut(sizes, width, found) == height_reached(found) == THREE_STAGE_C1[number]
    assert all(goal.value == goal.bound for goal in found.goals)
    assert found.used_bound <= THREE_STAGE_C1[number]
    assert FREE_HEIGHT["C1"] <= THREE_STAGE_C1[number]


@pytest.mark.parametrize("group", mostly_slow(FREE_HEIGHT, 3))
@pytest.mark.parametrize("number", mostly_slow(range(3), 3, 1))
def test_heights_and_bounds_enclose_what_is_known(group: str, number: int) -> None:
    sizes, width = instance(group, number)
    found = packed(strip(sizes, width), 1)
    height = height_cut(sizes, width, found)
    assert height == height_reached(found) >= FREE_HEIGHT[group]
    assert found.used_bound <= height
    for reached in found.goals:
        assert reached.bound <= reached.value


def free_bound(sizes: Sizes, width: int) -> int:
    """What cross-sections alone say of the height: it bounds every packing, in stages or not."""
    problem = strip(sizes, width)
    (roll,) = problem.rolls
    rects = problem.rects(roll)
    grid = Grid.of(roll, rects)
    worth = price(problem.kinds, {roll.name: grid}, Clock(5)).worths[roll.name]
    asked = sum(worth.of(grid, rect) * count for rect, count in rects.items())
    return grid.unit * -(-asked // worth.kappa(grid))


def second_height(sizes: Sizes, width: int) -> int:
    """The least height that rectpack's packers reach, any of them, free or guillotine."""
    best = sum(h for _, h in sizes)
    for algorithm in (
        rectpack.MaxRectsBssf,
        rectpack.MaxRectsBl,
        rectpack.SkylineBlWm,
        rectpack.GuillotineBssfSas,
        rectpack.GuillotineBafLlas,
    ):
        low, high = 1, best
        while low < high:
            height = (low + high) // 2
            packer = rectpack.newPacker(pack_algo=algorithm, rotation=False)
            packer.add_bin(width, height)
            for w, h in sizes:
                packer.add_rect(w, h)
            packer.pack()
            if len(packer.rect_list()) == len(sizes):
                high = height
            else:
                low = height + 1
        best = min(best, low)
    return best


@pytest.mark.parametrize("group", ["C1", "C2", "C3", "C4", "C5"])
@pytest.mark.parametrize("number", mostly_slow(range(3), 3))
def test_a_second_packer_never_beats_the_bound(group: str, number: int) -> None:
    sizes, width = instance(group, number)
    bound = free_bound(sizes, width)
    assert bound <= FREE_HEIGHT[group]
    assert bound <= second_height(sizes, width)


@pytest.mark.parametrize("seed", mostly_slow(range(25), 12, 14))
def test_the_bound_holds_on_random_pieces(seed: int) -> None:
    draw = random.Random(seed)
    width = draw.randint(12, 40)
    sizes = [(draw.randint(3, width), draw.randint(3, 30)) for _ in range(draw.randint(3, 14))]
    bound = free_bound(sizes, width)
    assert bound <= second_height(sizes, width)
    found = packed(strip(sizes, width), 5)
    assert bound <= height_cut(sizes, width, found)
    # The bound counts at least the area, and at least the pieces too wide to lie beside another.
    assert bound * width >= sum(w * h for w, h in sizes)
    assert bound >= sum(h for w, h in sizes if 2 * w > width)
