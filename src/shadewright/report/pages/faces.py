"""The print that a finished face shows, worked out from where its panel lies on the roll."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction

from shadewright.cloth import lattice, printed
from shadewright.cloth.plan import Panel, Plan, Shade
from shadewright.cloth.printed import is_banded, is_striped
from shadewright.job.model import Cloth, Job
from shadewright.measure import Ticks
from shadewright.report.work.lays import PieceLay

Mark = tuple[Fraction, Fraction]

_LARGEST_MARK, _LEAST_MARK = 0.11, 0.012
"""Radius of a motif, in inches of paper."""
_OF_REACH = 0.55
"""Radius of a motif as drawn, of how far it may reach."""


@dataclass(frozen=True)
class Face:
    """A shade with the motifs it shows.

    Attributes:
        marks: motif centres from the finished face's top left corner, in ticks across and down;
            those just outside come too, for a motif may reach in.
        rows: heights at which rows of a print without columns lie.
        middles: of stripes from its left edge, or of bands from its top; those just outside come
            too.
        striped: whether these are stripes.
        reach: how far a motif, a stripe or a band may reach: half of the lesser repeat.
    """

    shade: Shade
    marks: tuple[Mark, ...]
    rows: tuple[Fraction, ...]
    reach: Ticks
    middles: tuple[Fraction, ...] = ()
    striped: bool = False


def is_barred(cloth: Cloth) -> bool:
    """Whether its print is drawn as bars."""
    return is_striped(cloth) or is_banded(cloth)


def starts(lays: Iterable[PieceLay]) -> dict[tuple[str, str], Ticks]:
    """The first motif of each piece, by its cloth and name."""
    return {(lay.use.cloth, lay.use.piece): lay.first_motif for lay in lays}


def marks(
    job: Job,
    plan: Plan,
    panel: Panel,
    print_from: Mapping[tuple[str, str], Ticks],
    scale: float | None = None,
) -> Face:
    """The motifs that a face shows, worked out from where its panel lies on the roll.

    Args:
        print_from: of `starts`.
        scale: in inches of paper a tick. Of motifs too small to be drawn at it there may be
            millions, so only those nearest the face's corner come.
    """
    shade = plan.shade(panel.shade)
    cloth = job.cloth(panel.cloth)
    if not cloth.patterned:
        return Face(shade, (), (), 0)
    corner = printed.corner(cloth, panel, print_from[panel.cloth, panel.piece])
    across, down = 1 - cloth.shrink_across, 1 - cloth.shrink_down
    if panel.railroaded:
        across, down = down, across
    size = round(shade.finished_width / across), round(shade.finished_length / down)
    repeats = [repeat for repeat in (cloth.repeat_across, cloth.repeat_down) if repeat]
    reach = min(repeats) // 2
    if scale is not None and not radius_of(reach, scale):
        size = (
            min(size[0], 2 * (cloth.repeat_across or 0)),
            min(size[1], 2 * (cloth.repeat_down or 0)),
        )
    around = (corner[0] - reach, corner[1] - reach), (size[0] + 2 * reach, size[1] + 2 * reach)
    if is_barred(cloth):
        striped = is_striped(cloth)
        keep = across if striped else down
        bars = ((at - reach) * keep for at in printed.middles(cloth, panel.railroaded, *around))
        return Face(shade, (), (), reach, tuple(bars), striped)
    if not cloth.repeat_across:
        return Face(
            shade, (), _rows_only(cloth, panel.railroaded, (corner[1], size[1]), down), reach
        )
    found = (
        ((c - reach) * across, (r - reach) * down)
        for c, r in printed.motifs(cloth, panel.railroaded, *around)
    )
    return Face(shade, tuple(found), (), reach)


def radius_of(reach: Ticks, scale: float) -> float:
    """Inches of paper that a motif is drawn with around its centre; 0 where it would be a blur.

    Args:
        reach: of `Face`.
        scale: in inches of paper a tick.
    """
    radius = _OF_REACH * reach * scale
    return min(_LARGEST_MARK, radius) if radius > _LEAST_MARK else 0


def _rows_only(
    cloth: Cloth, railroaded: bool, down: tuple[Ticks, Ticks], keep: Fraction
) -> tuple[Fraction, ...]:
    """Heights of motif rows on a face, where how far apart columns are is not known.

    Args:
        down: row of the face's top, and how far its cloth reaches down from there.
    """
    top, length = down
    level = lattice.level(cloth)
    if level is None:
        return ()
    _, base = printed.a_motif(cloth, railroaded)
    found = [
        row * keep
        for height in level.heights
        for row in range((base + height - top) % level.rows, length + 1, level.rows)
    ]
    return tuple(sorted(found))
