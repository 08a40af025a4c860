"""A plan on trial: the job and the plan side by side, which every rule of the judge is given.

What several rules look at is worked out once, when the first of them asks for it.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from fractions import Fraction
from functools import cache, cached_property
from itertools import pairwise

from shadewright.cloth.plan import Drop, Panel, Plan, Shade
from shadewright.job.bolts import is_bolt
from shadewright.job.model import Cloth, Job, Opening, Piece
from shadewright.judge import saying as say
from shadewright.judge.sizes import Size, size
from shadewright.measure import Tape, Ticks

Faults = Iterator[str]


@dataclass(frozen=True)
class ShadeRow:
    """The shades of one copy of an opening, left to right."""

    opening: Opening
    copy: int
    shades: tuple[Shade, ...]

    @property
    def name(self) -> str:
        """What faults call it."""
        return f'opening "{say.name(self.opening.name)}" copy {self.copy}'

    @property
    def widths(self) -> tuple[Ticks, ...]:
        """Finished, left to right."""
        return tuple(shade.finished_width for shade in self.shades)

    @property
    def gaps(self) -> list[Ticks]:
        """Between each two shades; negative where they overlap."""
        return [b.left - a.left - a.finished_width for a, b in pairwise(self.shades)]


@dataclass(frozen=True)
class CutPanel:
    """A panel with what it is for and what it is from; where its face lies, as a print is measured.

    Attributes:
        cloth: that it should be of.
        piece: of that cloth, on hand; None for a bolt, and where the job knows no such piece.
        size: that its shade asks for, the way the panel lies.
        measured: whether motifs of a bolt that may begin anywhere are measured from its start,
            because places along it are tied to them.
    """

    panel: Panel
    shade: Shade
    opening: Opening
    cloth: Cloth
    piece: Piece | None
    size: Size
    measured: bool = False

    @property
    def row(self) -> tuple[str, int]:
        """Name and copy of the opening."""
        return self.opening.name, self.shade.copy_

    @cached_property
    def start(self) -> Ticks | None:
        """From the start of its piece to a motif; None where the bolt may begin anywhere."""
        if is_bolt(self.panel.piece):
            start = self.cloth.start
            if isinstance(start, int):
                return start
            return 0 if start == "motif" or self.measured else None
        return (self.piece.start if self.piece else None) or 0

    @property
    def _along(self) -> Ticks:
        """Where the panel begins along its piece, from a motif if one is known."""
        return self.panel.y - (self.start or 0)

    @property
    def apart(self) -> str:
        """What tells its print from that of other cuts: its piece, if no motif is known on it."""
        return self.panel.piece if self.start is None else ""

    @cached_property
    def top(self) -> Ticks:
        """The face's top down the motif's vertical on the roll; railroaded, from the far edge."""
        if not self.panel.railroaded:
            return self._along + self.panel.hem_top
        return self.cloth.usable - self.panel.x - self.panel.across + self.panel.hem_top

    @cached_property
    def side(self) -> Ticks:
        """The face's left side across the motif's vertical on the roll."""
        return (self._along if self.panel.railroaded else self.panel.x) + self.panel.hem_left

    @cached_property
    def to_centre(self) -> Fraction:
        """On the roll, from the face's left side to its opening's centre line."""
        return Fraction(self.opening.width - 2 * self.shade.left, 2) / self.size.keep_width

    @cached_property
    def centre(self) -> Fraction:
        """Its opening's centre line across the motif's vertical on the roll."""
        return self.side + self.to_centre


@dataclass(frozen=True)
class Trial:
    """A plan and the job it is for."""

    job: Job
    plan: Plan

    @cached_property
    def tape(self) -> Tape:
        """The job's."""
        return self.job.tape

    @cached_property
    def cloths(self) -> dict[str, Cloth]:
        """Of the job, by name."""
        return {cloth.name: cloth for cloth in self.job.cloths}

    @cached_property
    def pieces(self) -> dict[tuple[str, str], Piece]:
        """On hand, by the names of their cloth and their own."""
        return {
            (cloth.name, piece.name): piece for cloth in self.job.cloths for piece in cloth.pieces
        }

    @cached_property
    def openings(self) -> dict[str, Opening]:
        """Of the job, by name."""
        return {opening.name: opening for opening in self.job.openings}

    @cached_property
    def shades(self) -> dict[str, Shade]:
        """Of the plan, by id; of several of one id, the last."""
        return {shade.id: shade for shade in self.plan.shades}

    @cached_property
    def strategies(self) -> dict[str, str]:
        """By cloth, how faces are matched; plain where it has no print, or is no shade's face."""
        faces = {opening.cloth for opening in self.job.openings}
        matched = self.job.match.strategy or "level"
        printed = {c.name for c in self.job.cloths if c.repeat_down or c.repeat_across}
        return {name: matched if name in faces & printed else "plain" for name in self.cloths}

    def _measures(self, cloth: Cloth) -> bool:
        """Whether places along a bolt of a cloth are tied to motifs: those of rows up the bolt, and
        of columns at different heights railroaded, where the job says how far below anchors motifs
        lie."""
        tied = self.job.match.motif_below is not None and cloth.repeat_down is not None
        along = cloth.runs != "railroaded" or cloth.column_shift != 0
        return tied and along and self.strategies[cloth.name] != "plain"

    @cached_property
    def priced(self) -> bool:
        """Whether every cloth that is needed has a price."""
        needed = {opening.cloth for opening in self.job.openings} | {self.job.make.lining or ""}
        return all(c.price is not None for name, c in self.cloths.items() if name in needed)

    @cached_property
    def rows(self) -> list[ShadeRow]:
        """One of each copy of each opening of the job in turn; those without shades, too."""
        shades = defaultdict(list)
        for shade in sorted(self.plan.shades, key=lambda shade: shade.place):
            shades[shade.opening, shade.copy_].append(shade)
        return [
            ShadeRow(opening, copy, tuple(shades[opening.name, copy]))
            for opening in self.job.openings
            for copy in range(1, opening.copies + 1)
        ]

    @cached_property
    def cuts(self) -> list[CutPanel]:
        """The panels whose shade the job and the plan know, in the plan's order."""

        @cache
        def asked(cloth: str, width: Ticks, length: Ticks, railroaded: bool) -> Size:
            return size(self.job, self.cloths[cloth], width, length, railroaded)

        found = []
        for panel in self.plan.panels:
            shade = self.shades.get(panel.shade)
            opening = self.openings.get(shade.opening) if shade else None
            name = opening.cloth if opening and panel.part == "face" else self.job.make.lining
            if shade and opening and name:
                wanted = asked(name, shade.finished_width, shade.finished_length, panel.railroaded)
                piece = self.pieces.get((name, panel.piece))
                cloth = self.cloths[name]
                measured = self._measures(cloth)
                found.append(CutPanel(panel, shade, opening, cloth, piece, wanted, measured))
        return found

    @cached_property
    def drops(self) -> dict[tuple[str, str], list[Drop]]:
        """Of each piece, by the names of its cloth and its own, in the plan's order."""
        pieces = defaultdict(list)
        for drop in self.plan.drops:
            pieces[drop.cloth, drop.piece].append(drop)
        return dict(pieces)

    def cloths_of(self, opening: Opening) -> list[Cloth]:
        """The cloth of an opening's faces, and that of its linings if it has any."""
        lining = self.job.make.lining
        return [self.cloths[name] for name in (opening.cloth, *([lining] if lining else []))]


Rule = Callable[[Trial], Faults]
