"""Cutting a long drop as one goes, so that little cloth must lie flat at one time.

A drop may hold strips whose panels end at different places, and be longer than any table. It is not
cut off first: the strip that lags is cut next, lengthwise only as far as its next panel, and that
panel is taken off it, measured from the strip's own last cut. So no more need lie flat than from
there to the far end of the panel that is cut: the *reach*.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from shadewright.measure import Ticks
from shadewright.report.work.lays import DropLay, NumberedPanel, StripLay


@dataclass(frozen=True)
class Move:
    """A panel taken off its strip.

    Attributes:
        front: the strip's own last cut before, from zero.
        last: whether it ends its drop, so that it comes free as that comes off.
    """

    strip: StripLay
    numbered: NumberedPanel
    front: Ticks
    last: bool

    @property
    def start(self) -> Ticks:
        """Where the panel begins, from zero."""
        return self.numbered.panel.y

    @property
    def end(self) -> Ticks:
        """Where the panel ends, from zero."""
        return self.numbered.panel.y + self.numbered.panel.along


def goes_along(drop: DropLay) -> bool:
    """Whether a drop is cut as one goes: it is longer than its longest panel."""
    longest = max(numbered.panel.along for numbered in drop.panels)
    return drop.drop.end - drop.drop.start > longest


def moves(drop: DropLay) -> Iterator[Move]:
    """The panels of a drop in the order they come off; of strips level with each other the one
    nearer the near edge goes first."""
    left = [(strip, list(strip.panels)) for strip in drop.strips]
    fronts = [drop.drop.start] * len(left)
    while waiting := [i for i, (_, panels) in enumerate(left) if panels]:
        lags = min(waiting, key=lambda i: fronts[i])
        strip, panels = left[lags]
        numbered = panels.pop(0)
        end = numbered.panel.y + numbered.panel.along
        yield Move(strip, numbered, fronts[lags], end == drop.drop.end)
        fronts[lags] = end


def reach(drop: DropLay) -> Ticks:
    """The length that must lie flat at one time while a drop is cut."""
    if not goes_along(drop):
        return drop.drop.end - drop.drop.start
    return max(move.end - move.front for move in moves(drop))


def longest_reach(drops: Sequence[DropLay]) -> Ticks:
    """The length that must lie flat at one time for all of these drops."""
    return max(map(reach, drops), default=0)
