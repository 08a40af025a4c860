"""What lanes of a roll of several phases hold, cut side by side: as few drops as lanes are crossed.

Each lane's rectangles lie one after the other, each begun as soon as its phase allows; a drop ends
where all lanes can be cut across.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import NamedTuple

from shadewright.measure import Ticks
from shadewright.solve.packing.drops import CutDrop, CutLane
from shadewright.solve.problem.kinds import Rect, Roll


class RectInPhase(NamedTuple):
    """A rectangle and the phase that it begins in."""

    rect: Rect
    phase: Ticks

    def begins(self, roll: Roll, start: Ticks, at: Ticks) -> Ticks:
        """Where it begins in a drop that starts at a phase, at a place or beyond."""
        return at + (self.phase - start - at) % roll.period

    def leaves(self, roll: Roll) -> bool:
        """Whether what follows at once is in another phase."""
        after = (self.phase + self.rect.along) % roll.period
        return min(roll.nodes, key=lambda node: (node - after) % roll.period) != self.phase


_Laid = tuple[RectInPhase, Ticks]
"""A rectangle, and where it begins."""


def joint_drops(roll: Roll, lanes: Sequence[Sequence[RectInPhase]]) -> Iterator[CutDrop]:
    """Drops that cut these lanes side by side from the node on where they are shortest."""
    laid = [[_in_order(roll, lane, start) for lane in lanes] for start in roll.nodes]
    best = min(laid, key=lambda these: max(_end(lane[-1]) for lane in these))
    by_start = sorted(
        ((place, each) for place, lane in enumerate(best) for each in lane),
        key=lambda at: (at[1][1], at[0]),
    )
    drop: list[tuple[int, _Laid]] = []
    end = 0
    for place, each in by_start:
        # All lanes can be cut across where none that began is still there.
        if drop and each[1] >= end:
            yield _cut(drop)
            drop = []
        drop.append((place, each))
        end = max(end, _end(each))
    yield _cut(drop)


def _cut(drop: Sequence[tuple[int, _Laid]]) -> CutDrop:
    """A drop of what lies in its lanes, by their place, in the order in which it begins."""
    lanes: dict[int, list[RectInPhase]] = {}
    for place, (held, _) in drop:
        lanes.setdefault(place, []).append(held)
    return CutDrop(
        tuple(
            CutLane(tuple(h.rect for h in lane), tuple(h.phase for h in lane))
            for _, lane in sorted(lanes.items())
        ),
        drop[0][1][0].phase,
    )


def _in_order(roll: Roll, lane: Iterable[RectInPhase], start: Ticks) -> list[_Laid]:
    """Rectangles of a lane one after the other, each that waits least for its phase; of these first
    what ends where it began, so that those in the same phase follow."""
    left, at, laid = list(lane), 0, []
    while left:
        here = min(
            left,
            key=lambda each: (
                each.begins(roll, start, at),
                each.leaves(roll),
                -each.rect.along,
            ),
        )
        left.remove(here)
        begin = here.begins(roll, start, at)
        laid.append((here, begin))
        at = begin + here.rect.along
    return laid


def _end(laid: _Laid) -> Ticks:
    held, at = laid
    return at + held.rect.along
