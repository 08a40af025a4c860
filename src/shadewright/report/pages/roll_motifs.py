"""Where the motif rows, stripes or bands of a piece lie on the roll map."""

from __future__ import annotations

from dataclasses import dataclass

from shadewright.cloth import lattice
from shadewright.cloth.lattice import Points
from shadewright.cloth.plan import Plan
from shadewright.cloth.printed import a_motif, anchored, is_banded, is_striped, is_tied
from shadewright.job.model import Job
from shadewright.measure import Ticks
from shadewright.report.work.lays import PieceLay


@dataclass(frozen=True)
class MotifRows:
    """Where the cloth's motif rows lie.

    Attributes:
        turned: whether they run along the piece.
        first: one place that carries the same place of the motif as the panels' anchors.
        heights: of the rows from there on; they come again after `every`.
        bars: whether they are stripes or bands, and drawn as such: a third of `every` wide.
    """

    turned: bool
    first: Ticks
    heights: tuple[Ticks, ...]
    every: Ticks
    bars: bool = False

    def within(self, low: Ticks, high: Ticks) -> list[Ticks]:
        """All rows from one place to another."""
        return [
            at
            for height in self.heights
            for at in range(low + (self.first + height - low) % self.every, high + 1, self.every)
        ]


def rows_of_motifs(job: Job, plan: Plan, lay: PieceLay) -> MotifRows | None:
    """The rows of a piece; of stripes and bands these themselves.

    A piece whose motifs are known to bear on where faces lie shows the rows themselves; otherwise
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
        return MotifRows(across, first, (0,), every, bars=True)
    if level is None:
        return None
    if is_tied(job, cloth) or (not turned and lay.use.bought and cloth.start != "any"):
        start: Ticks | None = a_motif(cloth, turned)[1] + (0 if turned else lay.first_motif)
    else:
        anchors = [anchored(job, face, plan.shade(face.shade))[1] for face in faces]
        start = Points(None, level.rows, heights=level.heights).start_of(anchors)
    if start is None:
        return None
    if not turned:
        return MotifRows(turned, start, level.heights, level.rows)
    heights = tuple(-height % level.rows for height in level.heights)
    return MotifRows(turned, cloth.usable - start, heights, level.rows)
