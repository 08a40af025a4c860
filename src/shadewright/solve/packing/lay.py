"""Where drops and their rectangles come to lie along a roll, in the order they are cut."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from shadewright.measure import Ticks, ceil_to
from shadewright.solve.packing.drops import CutDrop
from shadewright.solve.problem.kinds import Roll


@dataclass(frozen=True)
class DropOnRoll:
    """A drop on its roll.

    Attributes:
        places: where each rectangle of each lane begins along the roll.
        across: the same across it; empty where lanes lie side by side as `arranged`.
    """

    drop: CutDrop
    start: Ticks
    end: Ticks
    places: tuple[tuple[Ticks, ...], ...]
    across: tuple[tuple[Ticks, ...], ...] = ()


def lay_out(roll: Roll, drops: Iterable[CutDrop]) -> list[DropOnRoll]:
    """Each drop as near the start of the roll as the drops before it and its phase allow."""
    laid: list[DropOnRoll] = []
    at = roll.lead
    zero: Ticks | None = None if roll.origin is None else roll.lead - roll.origin
    for drop in drops:
        if zero is None:
            zero = at - drop.phase
        start = _next(roll, zero, at, drop.phase)
        places = []
        at = start
        for lane in drop.lanes:
            here = start
            lies: list[Ticks] = []
            for rect, phase in lane.phased:
                lies.append(_next(roll, zero, here, phase))
                here = lies[-1] + rect.along
            places.append(tuple(lies))
            at = max(at, here)
        laid.append(DropOnRoll(drop, start, at, tuple(places)))
    return laid


def _next(roll: Roll, zero: Ticks, at: Ticks, phase: Ticks) -> Ticks:
    """The first place from `at` on that has a phase, where phase 0 is at `zero`."""
    return zero + phase + ceil_to(at - zero - phase, roll.period)


def length_of(roll: Roll, drop: CutDrop) -> Ticks:
    """From the start of a drop to the end of its longest lane."""
    (laid,) = lay_out(roll, [drop])
    return laid.end - laid.start


def too_long(roll: Roll, drop: CutDrop) -> bool:
    """Whether a drop is longer than the table it is laid on."""
    return roll.table is not None and length_of(roll, drop) > roll.table


def shortest_end(roll: Roll, drops: Sequence[CutDrop]) -> tuple[CutDrop, ...]:
    """Drops of a roll of one phase in the order that ends soonest: the one that leaves most of its
    last period unused comes last."""
    spare = [-length_of(roll, drop) % roll.period for drop in drops]
    last = max(range(len(drops)), key=lambda i: (spare[i], i), default=0)
    return (*drops[:last], *drops[last + 1 :], *drops[last : last + 1])
