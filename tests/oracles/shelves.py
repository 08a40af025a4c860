"""Pieces of cloth being filled, for the packer: drops, columns in them, panels in those.

A drop is a length of the full width; lengthwise cuts part its columns, cuts across the panels of a
column. A panel is put into a column, beside the columns of a drop, or into a drop of its own,
wherever neither another panel nor a flaw lies and the print lets it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from shadewright.job.bolts import BOLT
from shadewright.job.model import Cloth, Job
from shadewright.measure import ceil_to, floor_to
from spots import Spot


class Laid(NamedTuple):
    """A panel on a piece: which one, its corner and its size."""

    panel: int
    x: int
    y: int
    across: int
    along: int


Column = tuple[Laid, ...]
Drop = tuple[Column, ...]
Drops = tuple[Drop, ...]


class Spoilt(NamedTuple):
    """A flaw, from the left usable edge and along the piece."""

    left: int
    right: int
    start: int
    end: int


@dataclass(frozen=True)
class Source:
    """A piece on hand, or a bolt.

    Attributes:
        first: where a first drop may begin.
        end: None on a bolt.
        start: from its cut end to a motif.
        step: that places lie on.
    """

    cloth: Cloth
    name: str
    lot: str | None
    first: int
    end: int | None
    start: int
    step: int
    flaws: tuple[Spoilt, ...]

    @property
    def bought(self) -> bool:
        return self.name == BOLT

    def heads(self) -> list[int]:
        """Where clean cloth begins."""
        return [self.first, *(flaw.end for flaw in self.flaws)]


def sources(job: Job, cloth: Cloth, bolt_start: int | None) -> list[Source]:
    """The pieces of a cloth, and its bolt last.

    Args:
        bolt_start: of the bolt; None where none is to be bought.
    """
    first = job.make.square_up
    found = []
    for piece in cloth.pieces:
        flaws = []
        for flaw in piece.flaws:
            left, right = 0, cloth.usable
            if flaw.left is not None and flaw.right is not None:
                left, right = flaw.left - cloth.selvedge, flaw.right - cloth.selvedge
            flaws.append(Spoilt(left, right, flaw.start, flaw.end))
        start, spoilt = piece.start or 0, tuple(flaws)
        end = piece.length
        found.append(Source(cloth, piece.name, piece.lot, first, end, start, job.step, spoilt))
    if bolt_start is not None:
        found.append(Source(cloth, BOLT, None, first, None, bolt_start, job.step, ()))
    return found


def start_of(drop: Drop) -> int:
    return min(laid.y for column in drop for laid in column)


def end_of(drop: Drop) -> int:
    return max(laid.y + laid.along for column in drop for laid in column)


def used(drops: Drops) -> int:
    """To the end of the last drop; nothing if there is none."""
    return end_of(drops[-1]) if drops else 0


class Put(NamedTuple):
    """A panel put somewhere: its corner, how much longer the piece is used, and its drops then."""

    y: int
    growth: int
    x: int
    drops: Drops


def ways_to_put(
    source: Source, drops: Drops, panel: int, size: tuple[int, int], spots: Sequence[Spot]
) -> Iterator[Put]:
    """Every way worth trying to put a panel of a size across and along on a piece."""
    across, along = size
    ends = [source.first, *map(end_of, drops)]
    begins = [*map(start_of, drops), source.end]
    before = ends[-1] if drops else 0
    for i, drop in enumerate(drops):
        low, high = ends[i], begins[i + 1]
        edges = [_edges(column) for column in drop]
        for spot in spots:
            for x in _across(source, spot, across, edges):
                met = [n for n, (a, b) in enumerate(edges) if x < b and a < x + across]
                if len(met) > 1:
                    continue
                column = drop[met[0]] if met else ()
                y = _along(source, spot, (x, across, along), low, column)
                if high is not None and y + along > high:
                    continue
                laid = Laid(panel, x, y, across, along)
                rest = tuple(each for n, each in enumerate(drop) if n not in met)
                new = (*rest, (*column, laid))
                yield Put(y, max(y + along - before, 0), x, (*drops[:i], new, *drops[i + 1 :]))
    for i in range(len(drops) + 1):
        for spot in spots:
            for x in _across(source, spot, across, []):
                y = _along(source, spot, (x, across, along), ends[i], ())
                high = begins[i]
                if high is not None and y + along > high:
                    continue
                new = ((Laid(panel, x, y, across, along),),)
                yield Put(y, max(y + along - before, 0), x, (*drops[:i], new, *drops[i:]))


def _edges(column: Column) -> tuple[int, int]:
    return min(laid.x for laid in column), max(laid.x + laid.across for laid in column)


def _across(
    source: Source, spot: Spot, across: int, edges: Sequence[tuple[int, int]]
) -> Sequence[int]:
    """Places across worth trying: as far left or right as flaws and columns let it."""
    room, step = source.cloth.usable - across, source.step
    if room < 0:
        return ()
    if spot.x is not None:
        return (spot.x,) if spot.x <= room else ()
    found = {0, floor_to(room, step)}
    for left, right in (*edges, *((flaw.left, flaw.right) for flaw in source.flaws)):
        found |= {ceil_to(right, step), ceil_to(left, step), floor_to(left - across, step)}
        found.add(floor_to(right - across, step))
    return sorted(x for x in found if 0 <= x <= room)


def _along(
    source: Source, spot: Spot, panel: tuple[int, int, int], low: int, column: Column
) -> int:
    """The first place along at `low` or beyond that is clear of flaws and of a column's panels."""
    x, across, along = panel
    taken = [(f.start, f.end) for f in source.flaws if f.left < x + across and x < f.right]
    taken += [(laid.y, laid.y + laid.along) for laid in column]
    y = spot.from_(low)
    for start, end in sorted(taken):
        if start < y + along and y < end:
            y = spot.from_(end)
    return y
