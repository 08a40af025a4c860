"""Where the print lies on a piece of cloth, and where it shows on a face cut from it.

Cloth lies right side up, its start at the left hand. Up the bolt heads point to the start, and a
shade's left edge is the nearer one. Railroaded, heads lie at the far edge, and a shade's left edge
is nearer to the start. All of a print is said in its own frame, as one looks at a shade:

    column  to its right: x up the bolt; y railroaded
    row     down it:      y up the bolt; from the far usable edge (usable - x) railroaded

Words for places along a piece:

    start        of the piece: its cut end, where y is 0
    lead         from there to where a first drop may begin: what is squared up
    first motif  from there to the motif that places along the piece are counted from: to a motif
                 row up the bolt, to a motif column railroaded (`first_motif`)
    phase        a place along the roll, from the first motif on, less whole turns of the roll: its
                 circumference is the length after which places come again
    base         column and row of one point of the print that anchors lie on (`base`), along the
                 piece counted from its first motif

A piece on hand says where its first motif is. So does a bolt, unless it may begin anywhere; then
the first drop says it, or the job, where motifs must lie so far below all anchors: zero of the
tape is laid on a motif then (`first_motif`).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction
from typing import TYPE_CHECKING

from shadewright.cloth import lattice
from shadewright.job.bolts import is_bolt
from shadewright.job.model import Cloth, Job
from shadewright.measure import Ticks, nearest

if TYPE_CHECKING:
    from shadewright.cloth.plan import Panel, PieceUse, Plan, Shade

Place = tuple[Ticks, Ticks]
"""Column and row."""


def is_tied(job: Job, cloth: Cloth) -> bool:
    """Whether rows of anchors are tied to motifs: `motif_below`, on cloth that has rows."""
    rows = cloth.repeat_down is not None and job.strategy(cloth) != "plain"
    return rows and job.match.motif_below is not None


def first_motif(job: Job, cloth: Cloth, piece: str) -> Ticks | None:
    """From the start of a piece to its first motif; None on a bolt that may begin anywhere.

    A piece on hand whose start is not told is taken to begin at a motif; the cutting order says to
    look. So is a bolt that may begin anywhere, where the tie of rows to motifs bears on places
    along it: up the bolt, and where columns are shifted.
    """
    if not is_bolt(piece):
        return next((p.start or 0 for p in cloth.pieces if p.name == piece), 0)
    if isinstance(cloth.start, int):
        return cloth.start
    along = cloth.runs != "railroaded" or bool(cloth.column_shift)
    return 0 if cloth.start == "motif" or (along and is_tied(job, cloth)) else None


def a_motif(cloth: Cloth, railroaded: bool) -> Place:
    """A motif centre, along the piece counted from the first motif."""
    if railroaded:
        return 0, cloth.usable - cloth.motif_at
    return cloth.motif_at, 0


def base(job: Job, cloth: Cloth) -> Place:
    """A point that anchors may lie on: a motif centre, or midway between two, and above it as far
    as motifs must lie below anchors.

    Only where rows are tied to motifs does its row mean anything.
    """
    column, row = a_motif(cloth, cloth.runs == "railroaded")
    if job.match.centre_on == "between":
        column += nearest(Fraction(cloth.repeat_across or 0, 2))
    return column, row - lattice.motif_below(job, cloth)


def corner(cloth: Cloth, panel: Panel, first: Ticks = 0) -> Place:
    """The top left corner of the finished face of a panel.

    Args:
        first: from the start of the piece to its first motif.
    """
    along = panel.y - first
    if panel.railroaded:
        top = cloth.usable - panel.x - panel.across + panel.hem_top
        return along + panel.hem_left, top
    return panel.x + panel.hem_left, along + panel.hem_top


def anchored(job: Job, panel: Panel, shade: Shade, first: Ticks = 0) -> Place:
    """The anchor of a face (`lattice.anchor`) where it lies on the cloth."""
    cloth, opening = job.cloth(panel.cloth), job.opening(shade.opening)
    column, row = corner(cloth, panel, first)
    size = shade.finished_width, shade.finished_length
    anchor = lattice.anchor(job, cloth, opening, shade.left, size)
    return column + anchor.column, row + anchor.row


def row_in_base(job: Job, panel: Panel, shade: Shade, first: Ticks = 0) -> Ticks:
    """The row of a face's anchor; where points lie on shifted columns, that of the point in the
    base's column."""
    cloth = job.cloth(panel.cloth)
    column, row = anchored(job, panel, shade, first)
    points = lattice.points(job, cloth)
    if not points.columns or not points.shift:
        return row
    return row - round((column - base(job, cloth)[0]) / points.columns) * points.shift


def motifs(cloth: Cloth, railroaded: bool, at: Place, size: tuple[Ticks, Ticks]) -> Iterator[Place]:
    """Motif centres within a rectangle of cloth with columns and rows, from its top left corner.

    Args:
        railroaded: how panels lie on it.
        at: column and row of the corner, along the piece counted from its first motif.
        size: along columns and along rows.
    """
    if cloth.repeat_down is None or cloth.repeat_across is None:
        return
    column, row = a_motif(cloth, railroaded)
    begin, columns = column - at[0], cloth.repeat_across
    for i in range(-(begin // columns), (size[0] - begin) // columns + 1):
        top = (row - at[1] + i * cloth.column_shift) % cloth.repeat_down
        for r in range(top, size[1] + 1, cloth.repeat_down):
            yield begin + i * columns, r


def is_striped(cloth: Cloth) -> bool:
    """Whether it has columns only: stripes along the motif's vertical."""
    return cloth.repeat_down is None and cloth.repeat_across is not None


def is_banded(cloth: Cloth) -> bool:
    """Whether it has rows only: bands that lie sideways. Of a print whose columns are shifted, but
    who knows how far apart, rows are all that is known."""
    return cloth.repeat_down is not None and not cloth.repeat_across and not cloth.column_shift


def middles(cloth: Cloth, railroaded: bool, at: Place, size: tuple[Ticks, Ticks]) -> list[Ticks]:
    """Middles of the stripes or bands within a rectangle of cloth, from its left edge or its top.

    Args:
        railroaded, at, size: as for `motifs`.
    """
    if is_striped(cloth):
        repeat, way = cloth.repeat_across or 1, 0
    elif is_banded(cloth):
        repeat, way = cloth.repeat_down or 1, 1
    else:
        return []
    return list(range((a_motif(cloth, railroaded)[way] - at[way]) % repeat, size[way] + 1, repeat))


# --- what a plan shows ----------------------------------------------------------------------------


def shown_first_motif(job: Job, plan: Plan, use: PieceUse) -> Ticks:
    """From the start of a piece to its first motif: as the job says, or as a plan lays it.

    Where the start of the bolt is unknown, zero of the tape is laid on a motif row, unless rows
    must agree with those of pieces on hand, whose motifs are where they are. On railroaded cloth
    with motifs on centre lines it is the faces that say where motifs lie.
    """
    cloth = job.cloth(use.cloth)
    known = first_motif(job, cloth, use.piece)
    faces = _faces(plan, cloth, {use.piece})
    if known is not None or not faces:
        return known or 0
    points = lattice.points(job, cloth)
    if cloth.runs != "railroaded":
        return _agreeing(job, plan, cloth, faces)
    if points.columns is None:
        return 0
    column, _ = anchored(job, faces[0], plan.shade(faces[0].shade))
    return (column - base(job, cloth)[0]) % points.columns


def _faces(plan: Plan, cloth: Cloth, pieces: set[str]) -> list[Panel]:
    return [
        p for p in plan.panels if p.part == "face" and p.cloth == cloth.name and p.piece in pieces
    ]


def _agreeing(job: Job, plan: Plan, cloth: Cloth, faces: Sequence[Panel]) -> Ticks:
    """The first motif row of a bolt whose start is unknown, up the bolt."""
    points = lattice.points(job, cloth)
    known = _faces(plan, cloth, {piece.name for piece in cloth.pieces})
    if job.match.across == "opening" or points.rows is None or not known:
        return 0

    def row(face: Panel, first: Ticks = 0) -> Ticks:
        return row_in_base(job, face, plan.shade(face.shade), first)

    there = [row(p, first_motif(job, cloth, p.piece) or 0) for p in known]
    here = [row(p) for p in faces]
    base_row, first = points.start_of(there), points.start_of(here)
    if base_row is None or first is None:
        base_row, first = there[0], here[0]
    return (first - base_row) % points.rows
