"""The steps of a plan: every cut in the order of work, as sheets and pages number and tick them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from shadewright.cloth.plan import Drop
from shadewright.job.model import Job
from shadewright.report.work.cuts import CutLine, cuts_by_drop
from shadewright.report.work.laying import beginning
from shadewright.report.work.lays import PieceLay
from shadewright.report.work.words import clean, count


@dataclass(frozen=True)
class Step:
    """One cut.

    Attributes:
        number: in the order of work, from 1.
        drop: the drop it cuts off or parts, or the one that begins where it cuts.
    """

    number: int
    lay: PieceLay
    drop: Drop
    cut: CutLine

    @property
    def key(self) -> str:
        """What it is known by where ticks are kept: no two steps of a plan have one key."""
        drop = self.drop
        name = f"{drop.cloth}/{drop.piece}/{drop.number}"
        return clean(f"{self.number} {name} {self.cut.role}")


@dataclass(frozen=True)
class Box:
    """The box of one step.

    Attributes:
        at: its cell, or where else it stands.
    """

    step: Step
    at: str
    ticked: bool


def steps(job: Job, lays: Sequence[PieceLay]) -> Iterator[Step]:
    """Every step of a plan in the order of work."""
    number = 0
    for lay in lays:
        for drop, these in cuts_by_drop(job, lay):
            for cut in these:
                number += 1
                yield Step(number, lay, drop, cut)


def heading_of(job: Job, lay: PieceLay) -> tuple[str, str]:
    """The two lines above the steps of a piece: what it is, and how it is laid."""
    tape, use = job.tape, lay.use
    length = tape.cloth(use.length) if use.bought else tape.long(use.length)
    name = (
        f"{use.cloth}, {use.piece}: {tape.short(lay.cloth.width)} wide, {length} long, "
        f"{f'dye lot {lay.lot}, ' if lay.lot else ''}"
        f"{count(len(lay.drops), 'drop')}, {count(len(lay.panels), 'panel')}"
    )
    return clean(name), clean(beginning(job, lay))
