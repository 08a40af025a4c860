"""Where a repeat lets panels lie: the geometry of motifs on cloth.

On the cloth, *columns* count sideways and *rows* down the motif's own vertical. Motif centres form
a lattice: with a vertical repeat V, a horizontal repeat H and a column shift D its basis is (0, V)
and (H, D). Up the bolt, columns run across the roll (x) and rows along it (y). Railroaded, the two
change roles: rows run across, from the selvedge that the motif's top points at, and columns along.

Every matching strategy says the same kind of thing: a point of each face, its *anchor*, must lie on
a given set of points of the cloth, the same set for all faces that are matched with one another.

    plain       anywhere
    level       rows G apart, in any column                 G = gcd(V, D): the heights at which
    centred     rows G apart, columns H apart               some motif centre is, in any column
    continuous  the lattice itself

So level on half-drop cloth asks for whole half repeats only, gcd(V, V/2), without a rule of its
own. The anchor's row is the face's head, its sill or a line on the wall; its column is the face's
middle (centred) or the opening's (continuous), so that all faces of an opening show one unbroken
cloth that runs on behind the gaps.

All lengths are in ticks on the cloth as it lies on the roll, before any washing: what is finished
is divided by what shrinking leaves of it.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from math import gcd

from shadewright.job.model import Cloth, Job, Opening
from shadewright.measure import Ticks, ceil_to, nearest


@dataclass(frozen=True, order=True)
class Slot:
    """Places for a panel's corner on a roll: one phase along, and a row of places across.

    Attributes:
        first: the leftmost place across, from the left usable edge.
        pace: from one place across to the next; 1 where any place will do.
        phase: along, modulo the roll's circumference.
    """

    first: Ticks
    pace: Ticks
    phase: Ticks

    def from_(self, left: Ticks) -> Ticks:
        """The first place across that is at `left` or beyond."""
        return self.first + max(ceil_to(left - self.first, self.pace), 0)


ANYWHERE = Slot(0, 1, 0)


@dataclass(frozen=True)
class Points:
    """A set of points on cloth that is the same again after every step of its basis.

    Attributes:
        columns: distance between columns of points; None where every column will do.
        rows: distance between points of one column; None where every row will do.
        shift: how far the points of the next column lie lower.
    """

    columns: Ticks | None
    rows: Ticks | None
    shift: Ticks = 0

    @property
    def turns(self) -> int:
        """Number of columns after which the points lie at the same heights again."""
        return self.rows // gcd(self.rows, self.shift) if self.rows else 1


@dataclass(frozen=True)
class Anchor:
    """The point of a face that must lie on the points of its cloth, from the face's top left."""

    column: Ticks
    row: Ticks


def points(job: Job, cloth: Cloth) -> Points:
    """The points that anchors of one opening must lie on, whatever their common start."""
    strategy = job.strategy(cloth)
    if strategy == "plain":
        return Points(None, None)
    if strategy == "level":
        return Points(None, cloth.row_spacing)
    if strategy == "centred":
        return Points(cloth.repeat_across, cloth.row_spacing)
    return Points(cloth.repeat_across, cloth.repeat_down, cloth.column_shift)


def starts(job: Job, cloth: Cloth) -> range:
    """Rows at which the points of an opening may start, against those of another one.

    Rows are level through the job where they differ by heights at which motif centres are; one
    opening's points may lie on any of these.
    """
    rows, spacing = points(job, cloth).rows, cloth.row_spacing
    return range(0, rows, spacing) if rows and spacing else range(1)


def anchor(
    job: Job, cloth: Cloth, opening: Opening, left: Ticks, size: tuple[Ticks, Ticks]
) -> Anchor:
    """The anchor of one shade's face.

    Args:
        left: finished left edge, from the opening's left edge.
        size: finished width and length.
    """
    width, length = size
    along = 1 - cloth.shrink_down
    across = 1 - cloth.shrink_across
    keep_width, keep_length = (along, across) if cloth.runs == "railroaded" else (across, along)
    middle = {
        "centred": Fraction(width, 2),
        "continuous": Fraction(opening.width, 2) - left,
    }.get(job.strategy(cloth), Fraction(0))
    # Within one opening all anchors lie equally far below the head, so it matters only between
    # openings.
    below = {"head": 0, "sill": length, "wall": opening.head}[job.match.anchor]
    if job.match.across == "opening":
        below = 0
    return Anchor(nearest(middle / keep_width), nearest(below / keep_length))


def base_column(job: Job, cloth: Cloth) -> Ticks:
    """A column that anchors may lie on: a motif centre, or midway between two.

    Up the bolt it is counted from the left usable edge; railroaded along the piece, from its cut
    end, or from a motif where the start of the bolt is unknown.
    """
    if cloth.runs == "railroaded":
        first = cloth.start if isinstance(cloth.start, int) else 0
    else:
        first = cloth.motif_at
    between = job.match.centre_on == "between"
    return first + (nearest(Fraction(cloth.repeat_across or 0, 2)) if between else 0)


def circumference(these: Points, railroaded: bool) -> Ticks:
    """Distance along the roll after which slots come again; 1 where they are anywhere."""
    if not railroaded:
        return these.rows or 1
    return these.columns * these.turns if these.columns else 1


def slots(
    these: Points,
    railroaded: bool,
    start: tuple[Ticks, Ticks],
    offset: tuple[Ticks, Ticks],
    room: Ticks,
) -> tuple[Slot, ...]:
    """Every place on a roll for the corner of one panel, so that its anchor lies on the points.

    Args:
        start: column and row of one point.
        offset: column and row of the anchor, from the panel's corner.
        room: usable width less the panel's size across.
    """
    if these.rows is None:
        return (ANYWHERE,)
    column, row = start[0] - offset[0], start[1] - offset[1]
    around = circumference(these, railroaded)
    if these.columns is None and not railroaded:
        return (Slot(0, 1, row % around),)
    if these.columns is None:
        first = row % these.rows
        return (Slot(first, these.rows, 0),) if first <= room else ()
    found = []
    for i in range(these.turns):
        if railroaded:
            along = column + i * these.columns
            first, pace = (row + i * these.shift) % these.rows, these.rows
        else:
            pace = these.columns * these.turns
            first = (column + i * these.columns) % pace
            # Which column that is, counted from the start.
            along = row + (first - column) // these.columns * these.shift
        if first <= room:
            found.append(Slot(first, pace, along % around))
    return tuple(sorted(found))


def motifs(
    cloth: Cloth, first: Ticks, corner: tuple[Ticks, Ticks], size: tuple[Ticks, Ticks]
) -> Iterator[tuple[Ticks, Ticks]]:
    """Motif centres within a rectangle of cloth, as column and row from its top left corner.

    Args:
        first: from the start of the piece to a motif centre in the base column (up the bolt, the
            one at `motif_at`; railroaded, the one whose row is at `motif_at`).
        corner: column and row of the corner on the roll: x and y up the bolt, y and x railroaded.
        size: along columns and along rows.
    """
    if cloth.repeat_down is None:
        return
    base = (first, cloth.motif_at) if cloth.runs == "railroaded" else (cloth.motif_at, first)
    width, height = size
    columns = cloth.repeat_across or ceil_to(width, 1) + 1
    begin = base[0] - corner[0]
    for i in range(-(begin // columns), (width - begin) // columns + 1):
        row = (base[1] - corner[1] + i * cloth.column_shift) % cloth.repeat_down
        for r in range(row, height + 1, cloth.repeat_down):
            yield begin + i * columns, r
