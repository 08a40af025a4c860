"""What a plan that goes on from another tells: what is done, where the cloth begins now, what must
be bought more, and what has changed."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Literal

from shadewright.cloth.plan import Drop, Panel, PieceUse, Plan, Shade
from shadewright.job.model import Job
from shadewright.measure import Ticks, ceil_to
from shadewright.report.work.lays import DropLay, NumberedPanel, PieceLay
from shadewright.report.work.names import ShadeNames
from shadewright.report.work.words import clean, count, listed, numbers_said, shades_by_copy
from shadewright.trade.buying import start_allowance

Mark = Literal["", "done", "cut again", "changed", "new place"]
"""What is marked on paper beside a drop or a panel; nothing where it is as before."""


@dataclass(frozen=True)
class GoingOn:
    """A plan beside the one that it goes on from.

    Attributes:
        before: the other plan; None where it is not told.
        lays: the pieces of this plan.
    """

    job: Job
    before: Plan | None
    plan: Plan
    lays: list[PieceLay]

    @property
    def begun(self) -> bool:
        """Whether some of the job is cut already."""
        return bool(self.plan.cut or self.plan.gone)

    @cached_property
    def _panels(self) -> dict[tuple[str, str], Panel]:
        before = [] if self.before is None else self.before.panels
        return {(panel.shade, panel.part): panel for panel in before}

    def mark_of_drop(self, lay: PieceLay, drop: DropLay) -> Mark:
        """How a drop compares with those of the plan before."""
        if lay.is_done(drop):
            return "done"
        if self.before is None:
            return ""
        marks = [self.mark_of_panel(lay, numbered) for numbered in drop.panels]
        for mark in ("cut again", "changed"):
            if mark in marks:
                return mark
        olds = [self._panels[p.panel.shade, p.panel.part] for p in drop.panels]
        places = {(old.cloth, old.piece, old.drop) for old in olds}
        together = len(places) == 1 and self._held.get(next(iter(places))) == len(olds)
        if not together:
            return "changed"
        moved = {
            (p.panel.x - old.x, p.panel.y - old.y) for p, old in zip(drop.panels, olds, strict=True)
        }
        if len(moved) > 1 or any(x for x, _ in moved):
            return "changed"
        elsewhere = {old.piece for old in olds} != {lay.use.piece}
        return "new place" if elsewhere or moved != {(0, 0)} else ""

    @cached_property
    def _held(self) -> Counter[tuple[str, str, int]]:
        """How many panels each drop of the plan before has."""
        return Counter((p.cloth, p.piece, p.drop) for p in self._panels.values())

    def mark_of_panel(self, lay: PieceLay, numbered: NumberedPanel) -> Mark:
        """How a panel compares with that of the plan before, wherever it lies."""
        panel = numbered.panel
        if panel.drop in lay.done:
            return "done"
        if self.before is None:
            return ""
        if self._is_cut_again(panel):
            return "cut again"
        old = self._panels.get((panel.shade, panel.part))
        same = old is not None and _size(old) == _size(panel)
        return "" if same else "changed"

    def _is_cut_again(self, panel: Panel) -> bool:
        """Whether a panel of the same shade was cut before, and is spoilt."""
        old = self._panels.get((panel.shade, panel.part))
        if old is None:
            return False
        reach = {(each.use.cloth, each.use.piece): each.begun for each in self.lays}
        return old.y + old.along <= reach.get((old.cloth, old.piece), 0)

    def has_changed(self, shade: Shade) -> bool:
        """Whether a shade is made otherwise than in the plan before."""
        if self.before is None:
            return False
        old = next((s for s in self.before.shades if s.id == shade.id), None)
        return old is None or _made(old) != _made(shade)

    @property
    def said(self) -> list[str]:
        """All of it, in sentences; nothing where nothing is cut or gone."""
        return [*self.changed, *self.more]

    @cached_property
    def changed(self) -> list[str]:
        """What is cut, and what has changed."""
        return [*self._done(), *self._again(), *self._divided()] if self.begun else []

    @cached_property
    def more(self) -> list[str]:
        """What must be bought more."""
        return [*self._bought()] if self.begun else []

    def _done(self) -> Iterator[str]:
        for lay in self.lays:
            name = f"{clean(lay.use.cloth)}, {clean(lay.use.piece)}"
            if lay.done:
                drops = _drops(sorted(lay.done))
                cut = [p.number for each in lay.drops if lay.is_done(each) for p in each.panels]
                panels = f"panel{'' if len(cut) == 1 else 's'} {numbers_said(sorted(cut))}"
                verb = "is" if len(lay.done) == 1 else "are"
                yield f"Of {name}, {drops} {verb} cut, with {panels}. They keep their numbers."
            if lay.begun:
                yield f"{starts_now(self.job, lay)} It is not squared up again."

    def _again(self) -> Iterator[str]:
        again = [
            numbered
            for lay in self.lays
            for numbered in lay.panels
            if self.mark_of_panel(lay, numbered) == "cut again"
        ]
        if again:
            names = listed([f"panel {p.number} ({p.called})" for p in again])
            verb = "is" if len(again) == 1 else "are"
            yield f"Cut again, because what was cut of it is spoilt, {verb} {names}."

    def _bought(self) -> Iterator[str]:
        if self.before is None:
            return
        tape = self.job.tape
        old = {(use.cloth, use.piece): use for use in self.before.pieces if use.bought}
        for cloth, length in self.plan.totals.bought.items():
            more = length - self.before.totals.bought.get(cloth, 0)
            if more <= 0:
                yield f"No more of {clean(cloth)} is bought than before."
                if more:
                    spared = tape.cloth(-more)
                    yield f"{spared} of it that was to be bought is not needed any more."
                continue
            yield f"Buy {tape.cloth(more)} of {clean(cloth)} more than before."
            for use in self.plan.pieces:
                if use.cloth == cloth and use.bought:
                    yield from self._longer(use, old.get((use.cloth, use.piece)))

    def _longer(self, use: PieceUse, old: PieceUse | None) -> Iterator[str]:
        """What is needed of a bolt beyond what was bought of it."""
        tape, name = self.job.tape, f"{clean(use.cloth)}, {clean(use.piece)}"
        if old is None:
            length = tape.cloth(use.length)
            yield f"{name}, is a new bolt of {length}: it may be of another dye lot."
            return
        if use.length <= old.length:
            return
        beyond = [
            laid.drop
            for lay in self.lays
            for laid in lay.drops
            if (lay.use.cloth, lay.use.piece) == (use.cloth, use.piece)
            and laid.drop.end > old.length
        ]
        if not beyond:
            return
        drops = _drops([drop.number for drop in beyond])
        verb = "lies" if len(beyond) == 1 else "lie"
        yield (
            f"{drops[0].upper()}{drops[1:]} {verb} beyond the {tape.cloth(old.length)} of {name}, "
            "that were bought first. The plan takes both lengths to hang together: where all of it "
            "is still on the bolt at the shop, have it cut in one length of the same bolt."
        )
        yield (
            "If the first length is cut off already, buy "
            f"{tape.cloth(self._apart(beyond))} instead, of the same bolt or at least the same dye "
            f"lot, and cut {drops} whole from that."
        )

    def _apart(self, drops: Sequence[Drop]) -> Ticks:
        """What must be bought for some drops of a bolt, in the order of work, in a piece of their
        own."""
        cloth = self.job.cloth(drops[0].cloth)
        here = {(drop.cloth, drop.piece, drop.number) for drop in drops}
        faces = (
            p for p in self.plan.panels if (p.cloth, p.piece, p.drop) in here and p.part == "face"
        )
        face = next(faces, None)
        spare = 0 if face is None else start_allowance(self.job, cloth, face.railroaded)
        length = drops[-1].end - drops[0].start + self.job.make.square_up + spare
        return ceil_to(length, cloth.sold_in)

    def _divided(self) -> Iterator[str]:
        if self.before is None:
            return
        yield from self._counted_otherwise()
        changed = [shade for shade in self.plan.shades if self.has_changed(shade)]
        if changed:
            names = ShadeNames(self.job, self.plan.shades).together(changed)
            yield f"Made otherwise than before, and marked so: {names}."
        else:
            yield f"All {count(len(self.plan.shades), 'shade')} are made as before."

    def _counted_otherwise(self) -> Iterator[str]:
        """The openings that have more shades than before, or fewer."""
        assert self.before is not None
        was = shades_by_copy(self.before)
        copies: dict[tuple[str, int, int], list[int]] = {}
        for (opening, copy), shades in shades_by_copy(self.plan).items():
            old = len(was.get((opening, copy), ()))
            if old not in (0, len(shades)):
                copies.setdefault((opening, len(shades), old), []).append(copy)
        for (opening, now, old), these in copies.items():
            several = self.job.opening(opening).copies > 1
            name = f"{clean(opening)} {numbers_said(sorted(these))}" if several else clean(opening)
            yield f"{name}: {count(now, 'shade')} now, where there were to be {old}."


def _drops(numbers: Sequence[int]) -> str:
    """``drop 3``, ``drops 1 to 4``."""
    return f"drop{'' if len(numbers) == 1 else 's'} {numbers_said(numbers)}"


def starts_now(job: Job, lay: PieceLay) -> str:
    """Where a piece that is begun starts now, as a sentence."""
    name = f"{clean(lay.use.cloth)}, {clean(lay.use.piece)}"
    return f"The cloth of {name}, now starts {_both(job, lay.begun)} from zero of the tape."


def _both(job: Job, length: Ticks) -> str:
    tape = job.tape
    long, short = tape.long(length), tape.short(length)
    return long if long == short or job.metric else f"{long} ({short})"


def _size(panel: Panel) -> tuple[object, ...]:
    return panel.cloth, panel.across, panel.along, panel.railroaded


def _made(shade: Shade) -> tuple[object, ...]:
    return shade.finished_width, shade.finished_length, shade.draw, shade.left
