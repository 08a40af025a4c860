"""Beams of states: what they pack can be cut, and is little longer than what trying all finds."""

from __future__ import annotations

import random
from collections import Counter

import pytest

from shadewright.measure import Ticks
from shadewright.solve.packing.beam import GUIDES, Beam, Guide
from shadewright.solve.packing.drops import CutDrop
from shadewright.solve.packing.grid import Grid
from shadewright.solve.packing.lay import lay_out, length_of
from shadewright.solve.problem.kinds import Rect, Roll


def drawn(seed: int, number: int, usable: Ticks) -> Counter[Rect]:
    """Rectangles of which some are alike."""
    draw = random.Random(seed)
    sizes = [
        (draw.randint(2, usable // 2), draw.randint(2, 12)) for _ in range(max(number // 2, 1))
    ]
    return Counter(Rect("a", *draw.choice(sizes)) for _ in range(number))


def cut(drops: tuple[CutDrop, ...]) -> Counter[Rect]:
    return Counter(rect for drop in drops for lane in drop.lanes for rect in lane.rects)


@pytest.mark.parametrize("guide", GUIDES)
@pytest.mark.parametrize("seed", range(5))
def test_every_rectangle_is_cut_once_and_fits(seed: int, guide: Guide) -> None:
    roll = Roll("a", 40, lead=1, table=20)
    asked = drawn(seed, 14, roll.usable)
    drops = Beam(Grid.of(roll, asked), asked).drops(50, guide)
    assert cut(drops) == asked
    for drop in drops:
        assert sum(lane.width for lane in drop.lanes) <= roll.usable
        assert length_of(roll, drop) <= 20


def least(usable: Ticks, asked: Counter[Rect]) -> Ticks:
    """The least length of drops by trying every way to share rectangles out, in three stages."""
    rects = tuple(asked.elements())
    best = sum(rect.along for rect in rects)

    def put(at: int, drops: tuple[tuple[tuple[Ticks, Ticks], ...], ...]) -> None:
        nonlocal best
        if sum(max(load for _, load in drop) for drop in drops) >= best:
            return
        if at == len(rects):
            best = sum(max(load for _, load in drop) for drop in drops)
            return
        rect = rects[at]
        put(at + 1, (*drops, ((rect.across, rect.along),)))
        for i, drop in enumerate(drops):
            others = drops[:i], drops[i + 1 :]
            if sum(wide for wide, _ in drop) + rect.across <= usable:
                put(at + 1, (*others[0], (*drop, (rect.across, rect.along)), *others[1]))
            for j, (wide, load) in enumerate(drop):
                more = max(wide, rect.across), load + rect.along
                lanes = (*drop[:j], more, *drop[j + 1 :])
                if sum(w for w, _ in lanes) <= usable:
                    put(at + 1, (*others[0], lanes, *others[1]))

    put(0, ())
    return best


@pytest.mark.parametrize("seed", range(12))
def test_few_rectangles_are_cut_as_short_as_by_trying_all(seed: int) -> None:
    roll = Roll("a", 20)
    asked = drawn(seed, 6, roll.usable)
    beam = Beam(Grid.of(roll, asked), asked)
    ends = [max(laid.end for laid in lay_out(roll, beam.drops(2_000, guide))) for guide in GUIDES]
    assert min(ends) == least(roll.usable, asked)


def test_the_same_again_and_little_is_wasted() -> None:
    roll = Roll("a", 60)
    asked = drawn(1, 40, roll.usable)
    beam = Beam(Grid.of(roll, asked), asked)
    drops = beam.drops(400, GUIDES[1])
    assert drops == beam.drops(400, GUIDES[1])
    area = sum(rect.across * rect.along * n for rect, n in asked.items())
    assert area / roll.usable <= sum(length_of(roll, drop) for drop in drops)
    assert sum(length_of(roll, drop) for drop in drops) <= 1.1 * area / roll.usable
