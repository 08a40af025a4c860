"""Lengths that fill a stretch, against trying every set of them."""

from __future__ import annotations

import random
from itertools import combinations

import pytest

from shadewright.solve.packing.filling import fullest


@pytest.mark.parametrize("seed", range(40))
def test_no_set_of_lengths_fills_a_stretch_further(seed: int) -> None:
    draw = random.Random(seed)
    lengths = [draw.randint(1, 60) * 8 for _ in range(draw.randint(0, 9))]
    room = draw.randint(0, 1_200)
    sums = [sum(chosen) for n in range(len(lengths) + 1) for chosen in combinations(lengths, n)]
    found = sum(lengths[place] for place in fullest(lengths, room))
    assert found == max(total for total in sums if total <= room)


def test_fine_lengths_on_a_long_stretch_never_exceed_it() -> None:
    draw = random.Random(1)
    lengths = [draw.randint(300_000, 900_000) for _ in range(60)]
    room = 17_000_003
    found = sum(lengths[place] for place in fullest(lengths, room))
    assert 0.999 * room <= found <= room
