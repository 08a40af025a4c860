"""What cutting leaves over, in rectangles worth keeping."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from shadewright.cloth.plan import PieceUse
from shadewright.job.model import Job
from shadewright.measure import TICKS, Ticks
from shadewright.report.work.lays import DropLay, PieceLay
from shadewright.report.work.sections import sections


@dataclass(frozen=True)
class Offcut:
    """A rectangle of usable cloth that no panel takes; `drop` is None where it lies in none."""

    use: PieceUse
    drop: int | None
    where: str
    x: Ticks
    y: Ticks
    across: Ticks
    along: Ticks

    @property
    def area(self) -> int:
        """In square ticks."""
        return self.across * self.along


def least_offcut(job: Job) -> Ticks:
    """The smallest side of an offcut worth keeping: 6 in, or 15 cm."""
    return 15 * TICKS["cm"] if job.metric else 6 * TICKS["in"]


def offcuts(job: Job, lays: Sequence[PieceLay]) -> list[Offcut]:
    """What is left of every piece in rectangles worth keeping, largest first.

    They are what the cuts leave, so no two share cloth.
    """
    least = least_offcut(job)
    found = [
        offcut
        for lay in lays
        for offcut in _piece_offcuts(lay)
        if min(offcut.across, offcut.along) >= least
    ]
    return sorted(found, key=lambda o: -o.area)


def _piece_offcuts(lay: PieceLay) -> Iterator[Offcut]:
    """What is left of a piece, without its flaws and what was spoilt before."""
    found = list(_bare(lay))
    edge, usable = lay.cloth.selvedge, lay.cloth.usable
    spoilt = [((0, gone.start), (usable, gone.end)) for gone in lay.gone]
    for flaw in lay.flaws:
        left, right = 0, usable
        if flaw.left is not None and flaw.right is not None:
            left, right = flaw.left - edge, flaw.right - edge
        spoilt.append(((left, flaw.start), (right, flaw.end)))
    for start, end in spoilt:
        found = [part for offcut in found for part in _around(offcut, start, end)]
    return iter(found)


def _around(
    offcut: Offcut, start: tuple[Ticks, Ticks], end: tuple[Ticks, Ticks]
) -> Iterator[Offcut]:
    """An offcut without a flaw: what lies before it, beside it and behind it."""
    left, right = max(start[0], offcut.x), min(end[0], offcut.x + offcut.across)
    low, high = max(start[1], offcut.y), min(end[1], offcut.y + offcut.along)
    if left >= right or low >= high:
        yield offcut
        return
    yield replace(offcut, along=low - offcut.y)
    yield replace(offcut, y=high, along=offcut.y + offcut.along - high)
    yield replace(offcut, y=low, along=high - low, across=left - offcut.x)
    yield replace(offcut, x=right, y=low, along=high - low, across=offcut.x + offcut.across - right)


def _bare(lay: PieceLay) -> Iterator[Offcut]:
    width = lay.cloth.usable
    at = 0
    for drop in lay.drops:
        number, long = drop.drop.number, drop.drop.start - at
        yield Offcut(lay.use, number, "left out before the drop", 0, at, width, long)
        yield from _drop_offcuts(lay, drop)
        at = drop.drop.end
    yield Offcut(lay.use, None, "end of the piece", 0, at, width, lay.use.length - at)


def _drop_offcuts(lay: PieceLay, drop: DropLay) -> Iterator[Offcut]:
    number, begin = drop.drop.number, drop.drop.start
    for band in sections(0, lay.cloth.usable, [(s.left, s.right, s) for s in drop.strips]):
        if band.item is None:
            where = "beside the panels, as long as the drop"
            size = band.end - band.start, drop.drop.end - begin
            yield Offcut(lay.use, number, where, band.start, begin, *size)
            continue
        strip = band.item
        for block in strip.along(drop.drop):
            long = block.end - block.start
            if block.item is None:
                where = f"in the strip of {strip.name}"
                size = band.end - band.start, long
                yield Offcut(lay.use, number, where, band.start, block.start, *size)
                continue
            for trim in strip.across(block.item):
                if trim.item is None:
                    where = f"beside panel {block.item.number}"
                    size = trim.end - trim.start, long
                    yield Offcut(lay.use, number, where, trim.start, block.start, *size)
