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


class Held(NamedTuple):
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


_Lane = list[tuple[Held, Ticks]]
"""Rectangles in their order, each with where it begins in its drop."""


def joint_drops(roll: Roll, lanes: Sequence[Sequence[Held]]) -> Iterator[CutDrop]:
    """Drops that cut these lanes side by side from the node on where they are shortest."""
    laid = [[_in_order(roll, lane, start) for lane in lanes] for start in roll.nodes]
    best = min(laid, key=lambda these: max(_end(lane) for lane in these))
    rest = [list(lane) for lane in best]
    while any(rest):
        end, row = 0, [0 for _ in rest]
        # The first place that all lanes can be cut across.
        while any(
            n < len(lane) and (not end or lane[n][1] < end)
            for n, lane in zip(row, rest, strict=True)
        ):
            for place, lane in enumerate(rest):
                while row[place] < len(lane) and (not end or lane[row[place]][1] < end):
                    end = max(end, _end(lane[: row[place] + 1]))
                    row[place] += 1
        cut = [lane[:n] for n, lane in zip(row, rest, strict=True) if n]
        rest = [lane[n:] for n, lane in zip(row, rest, strict=True)]
        first = min((lane[0] for lane in cut), key=lambda each: each[1])
        yield CutDrop(
            tuple(
                CutLane(tuple(h.rect for h, _ in lane), tuple(h.phase for h, _ in lane))
                for lane in cut
            ),
            first[0].phase,
        )


def _in_order(roll: Roll, lane: Iterable[Held], start: Ticks) -> _Lane:
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


def _end(lane: _Lane) -> Ticks:
    held, at = lane[-1]
    return at + held.rect.along
