"""Clean lengths of cloth: what flaws, and what has been cut already, leave of each piece."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from shadewright.cloth.printed import first_motif
from shadewright.job.bolts import is_bolt, nth_bolt
from shadewright.job.model import Cloth, Job, Piece
from shadewright.measure import Ticks, ceil_to, floor_to

GoneStretches = Mapping[tuple[str, str], list[tuple[Ticks, Ticks]]]
"""Stretches that are cut already, by cloth and piece."""


@dataclass(frozen=True)
class Spot:
    """A flaw over part of the width: usable width between `left` and `right`, start to end."""

    start: Ticks
    end: Ticks
    left: Ticks
    right: Ticks


@dataclass(frozen=True)
class Stretch:
    """Part of a piece that drops may be cut from.

    Attributes:
        lot: its dye lot; None where none is stated, as for cloth that is bought.
        end: of it; None on a bolt of any length, where more can be had.
        zero: from the piece's start to its first motif (`shadewright.cloth.printed`); None where
            it is not known.
        spots: flaws within it that leave part of the width.
    """

    cloth: str
    piece: str
    lot: str | None
    start: Ticks
    end: Ticks | None
    zero: Ticks | None
    spots: tuple[Spot, ...] = ()

    @property
    def bought(self) -> bool:
        return is_bolt(self.piece)


def stretches(
    job: Job,
    cloth: Cloth,
    gone: GoneStretches | None = None,
    zeros: Mapping[str, Ticks] | None = None,
    bolts: Mapping[str, Ticks] | None = None,
) -> list[Stretch]:
    """The stretches of a cloth's pieces on hand, in order, and last those of its bolts.

    Args:
        gone: what is cut already.
        zeros: of bolts by name, where their start was not known before they were begun.
        bolts: where each of several bolts ends; None for one without an end.
    """
    gone, zeros = gone or {}, zeros or {}
    found = [each for piece in cloth.pieces for each in _of_piece(job, cloth, piece, gone)]
    lead = ceil_to(job.make.square_up, job.step)
    ends: Mapping[str, Ticks | None] = {nth_bolt(1): None} if bolts is None else bolts
    for name, last in ends.items():
        known = first_motif(job, cloth, name)
        zero = zeros.get(name) if known is None else known
        for start, end in _between(lead, last, gone.get((cloth.name, name), [])):
            found.append(Stretch(cloth.name, name, None, start, end, zero))
    return found


def _of_piece(job: Job, cloth: Cloth, piece: Piece, gone: GoneStretches) -> Iterator[Stretch]:
    lead = ceil_to(job.make.square_up, job.step)
    bad = [(f.start, f.end) for f in piece.flaws if f.left is None]
    bad += gone.get((cloth.name, piece.name), [])
    spots = [
        Spot(
            floor_to(f.start, job.step),
            ceil_to(f.end, job.step),
            max(floor_to(f.left - cloth.selvedge, job.step), 0),
            min(ceil_to(f.right - cloth.selvedge, job.step), cloth.usable),
        )
        for f in piece.flaws
        if f.left is not None and f.right is not None
    ]
    for after, before in _between(lead, piece.length, bad):
        assert before is not None
        # What a print dictates may end off the cutting step; all else ends on it anyway.
        start, end = ceil_to(after, job.step), before
        within = tuple(
            spot
            for spot in sorted(spots, key=lambda spot: spot.start)
            if spot.end > start and spot.start < end and spot.left < spot.right
        )
        if end > start:
            zero = first_motif(job, cloth, piece.name)
            yield Stretch(cloth.name, piece.name, piece.lot, start, end, zero, within)


def _between(
    start: Ticks, end: Ticks | None, taken: Iterable[tuple[Ticks, Ticks]]
) -> Iterator[tuple[Ticks, Ticks | None]]:
    """What is left of a length between parts of it that are taken."""
    at = start
    for first, last in sorted(taken):
        if end is not None and first >= end:
            break
        if first > at:
            yield at, first
        at = max(at, last)
    if end is None or at < end:
        yield at, end
