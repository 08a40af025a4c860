"""Where the motif rows, stripes or bands of a piece lie on the roll map."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from shadewright.cloth import lattice
from shadewright.cloth.lattice import Level, Points
from shadewright.cloth.plan import Panel, Plan
from shadewright.cloth.printed import a_motif, anchored, is_banded, is_striped, is_tied
from shadewright.job.model import Cloth, Job
from shadewright.measure import Ticks
from shadewright.report.work.lays import PieceLay


@dataclass(frozen=True)
class MotifRows:
    """Where the cloth's motif rows lie.

    Attributes:
        turned: whether they run along the piece.
        first: one place that carries the same place of the motif as the panels' anchors.
        heights: of the rows from there on; they come again after `every`.
        shows: what they are to whoever looks at them.
        bars: whether they are stripes or bands, and drawn as such: a third of `every` wide.
    """

    turned: bool
    first: Ticks
    heights: tuple[Ticks, ...]
    every: Ticks
    shows: str
    bars: bool = False

    @property
    def said(self) -> tuple[str, str]:
        """What is drawn of them, and what that shows."""
        return "Bars" if self.bars else "Thin lines", self.shows

    def within(self, low: Ticks, high: Ticks) -> list[Ticks]:
        """All rows from one place to another."""
        return [
            at
            for height in self.heights
            for at in range(low + (self.first + height - low) % self.every, high + 1, self.every)
        ]


def rows_of_motifs(job: Job, plan: Plan, lay: PieceLay) -> MotifRows | None:
    """The rows of a piece; of stripes and bands these themselves.

    Up the bolt they are the motif rows that cuts across the piece are told by. Railroaded, motif
    rows run along the piece: where they are tied to motifs they are shown themselves, and otherwise
    the heights that carry the same place of the motif as the panels' anchors. None for cloth cut
    plain, and where the anchors do not share one set of rows.
    """
    cloth, level = lay.cloth, lattice.level(lay.cloth)
    faces = [p.panel for p in lay.panels if p.panel.part == "face"]
    if job.strategy(cloth) == "plain" or not faces:
        return None
    turned = cloth.runs == "railroaded"
    if is_striped(cloth) or is_banded(cloth):
        every = cloth.repeat_across or cloth.repeat_down or 1
        across = turned == is_banded(cloth)
        first = cloth.motif_at if across else lay.first_motif
        return MotifRows(across, first, (0,), every, bars_show(cloth), bars=True)
    if level is None:
        return None
    if not turned:
        # Where columns stand at many heights, places are told by those of one.
        shows = "motif rows" if len(level.heights) == 1 else "motifs in one column"
        return MotifRows(turned, lay.first_motif, (0,), level.rows, shows)
    return _rows_along(job, plan, cloth, level, faces)


def _rows_along(
    job: Job, plan: Plan, cloth: Cloth, level: Level, faces: Sequence[Panel]
) -> MotifRows | None:
    """The rows of a railroaded cloth, which run along the piece."""
    heights = tuple(-height % level.rows for height in level.heights)
    start: Ticks | None = a_motif(cloth, railroaded=True)[1]
    shows = "motif rows"
    if not is_tied(job, cloth):
        anchors = [anchored(job, face, plan.shade(face.shade))[1] for face in faces]
        start = Points(None, level.rows, heights=level.heights).start_of(anchors)
        shows = "the same place of the print again"
    if start is None:
        return None
    return MotifRows(True, cloth.usable - start, heights, level.rows, shows)


def bars_show(cloth: Cloth) -> str:
    """What the bars of a cloth with stripes or bands show."""
    return f"where {'stripes' if is_striped(cloth) else 'bands'} lie, not how wide they are"
