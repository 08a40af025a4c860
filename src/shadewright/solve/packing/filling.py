"""Lengths that fill a stretch: a subset sum."""

from __future__ import annotations

from collections.abc import Sequence
from math import gcd

from shadewright.measure import Ticks

_UNITS = 50_000
"""A stretch is counted in at most so many units; finer lengths are counted up to the next."""


def fullest(lengths: Sequence[Ticks], room: Ticks) -> set[int]:
    """Places of lengths that fill a room as far as any do, together no longer than it.

    Each sum that can be reached is a bit of a whole number, so that one more length is a shift.
    """
    if room <= 0:
        return set()
    unit = max(gcd(*lengths), -(-room // _UNITS)) if lengths else 1
    units = [-(-length // unit) for length in lengths]
    within = (1 << (room // unit + 1)) - 1
    reached = [1]
    for each in units:
        reached.append((reached[-1] | reached[-1] << each) & within)
    total = reached[-1].bit_length() - 1
    chosen = set()
    for place in range(len(units) - 1, -1, -1):
        if not reached[place] >> total & 1:
            chosen.add(place)
            total -= units[place]
    return chosen
