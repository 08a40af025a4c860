"""Where a repeat lets panels lie: the geometry of motifs on cloth.

On the cloth, *columns* count sideways and *rows* down the motif's own vertical. Motif centres form
a lattice: with a vertical repeat V, a horizontal repeat H and a column shift D its basis is (0, V)
and (H, D). Up the bolt, columns run across the roll (x) and rows along it (y). Railroaded, the two
change roles: rows run across, from the far edge, at which heads lie, and columns along. Stripes
have columns only, H alone, and bands rows only, V alone. Where a print lies on a piece is told in
`shadewright.cloth.printed`.

Every matching strategy says the same kind of thing: a point of each face, its *anchor*, must lie on
a given set of points of the cloth, the same set for all faces that are matched with one another.

    plain       anywhere
    level       level rows, in any column; of stripes, anywhere
    centred     the lattice itself; if the picture may alternate, level rows in columns H apart
    continuous  the lattice itself

Of stripes the lattice is every row of columns H apart, and of bands every column of rows V apart.

Two rows are level where the motif of one stands as high as that of the other in some column that a
face with it can show: they differ by k D + m V, and k is at most the number of columns that the
usable width holds. So level on half-drop cloth asks for whole half repeats only, without a rule of
its own; and a shift of 5 in a repeat of 12.1 does not make every row level (`Level`).

The anchor's row is the face's head, its sill or a line on the wall; its column is the face's
middle (centred) or the opening's (continuous), so that all faces of an opening show one unbroken
cloth that runs on behind the gaps.

All lengths are in ticks on the cloth as it lies on the roll, before any washing: what is finished
is divided by what shrinking leaves of it.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import product
from math import gcd
from typing import NamedTuple

from shadewright.job.model import Cloth, Job, Opening
from shadewright.measure import Ticks, ceil_to, nearest
from shadewright.trade.divisions import top_above_head


class Slot(NamedTuple):
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
        rows: after which the heights of one column come again: 1 where every row will do, and None
            where every column will as well.
        shift: how far the points of the next column lie lower.
        heights: of the points of one column, from its start on; less than `rows`.
    """

    columns: Ticks | None
    rows: Ticks | None
    shift: Ticks = 0
    heights: tuple[Ticks, ...] = (0,)

    @property
    def turns(self) -> int:
        """Number of columns after which the points lie at the same heights again."""
        return self.rows // gcd(self.rows, self.shift) if self.rows else 1

    def start_of(self, rows: Sequence[Ticks], liked: Iterable[Ticks] = ()) -> Ticks | None:
        """Where points start that lie on all these rows of the base column; None if none do.

        Args:
            rows: at least one.
            liked: starts to be tried first.
        """
        around = self.rows or 1
        for start in (*liked, *(rows[0] - height for height in self.heights)):
            if all((row - start) % around in self.heights for row in rows):
                return start
        return None


@dataclass(frozen=True)
class Level:
    """Rows of which any two are level with one another: those of one column and of the columns
    beside it that a face can show as well.

    Attributes:
        rows: after which the heights come again.
        heights: of the rows, from one of them on; less than `rows`.
        whole: whether any rows that are level with one another lie at such heights.
    """

    rows: Ticks
    heights: tuple[Ticks, ...]
    whole: bool


def level(cloth: Cloth) -> Level | None:
    """Level rows of a cloth; None where it has no rows.

    Let n be the columns after which the print stands as high again, V / gcd(V, D), and K the
    columns beside another. If n is at most 2 K + 1, rows k D apart are all rows of all columns,
    gcd(V, D) apart, as on a straight match or a half-drop. If n is more than 3 K, rows that are
    level two by two lie on K + 1 columns in a row. In between, they may also lie all around the
    circle of n columns.
    """
    if cloth.repeat_down is None:
        return None
    down, shift = cloth.repeat_down, cloth.column_shift
    spacing = gcd(down, shift)
    turns, columns = down // spacing, columns_beside(cloth)
    if turns <= 2 * columns + 1:
        return Level(spacing, (0,), True)
    heights = tuple(k * shift % down for k in range(columns + 1))
    return Level(down, heights, turns > 3 * columns)


def columns_beside(cloth: Cloth) -> int:
    """How many columns to one side of another a face can show: as many as the usable width holds.

    Where it is not told how far apart columns are, one more is taken to lie on the cloth.
    """
    return cloth.usable // cloth.repeat_across if cloth.repeat_across else 1


@dataclass(frozen=True)
class Anchor:
    """The point of a face that must lie on the points of its cloth, from the face's top left."""

    column: Ticks
    row: Ticks


def points(job: Job, cloth: Cloth) -> Points:
    """The points that anchors of one opening must lie on, whatever their common start."""
    strategy, rows = job.strategy(cloth), level(cloth)
    columns = cloth.repeat_across if strategy in ("centred", "continuous") else None
    if strategy == "plain" or (rows is None and columns is None):
        return Points(None, None)
    if rows is None:
        return Points(columns, 1)
    if columns is None or (strategy == "centred" and job.match.alternate):
        return Points(columns, rows.rows, heights=rows.heights)
    return Points(columns, cloth.repeat_down, cloth.column_shift)


def starts(job: Job, cloth: Cloth) -> tuple[Ticks, ...]:
    """Rows at which the points of an opening may start, against those of another one.

    An unbroken print has points of its own in each opening, and these start at level rows.
    """
    rows = level(cloth)
    if not runs_on(job, cloth) or rows is None or cloth.repeat_down is None:
        return (0,)
    if len(rows.heights) > 1:
        return rows.heights
    return tuple(range(0, cloth.repeat_down, rows.rows))


def runs_on(job: Job, cloth: Cloth) -> bool:
    """Whether the print runs on from shade to shade, in columns a known way apart."""
    return job.strategy(cloth) == "continuous" and cloth.repeat_across is not None


def anchor(
    job: Job, cloth: Cloth, opening: Opening, left: Ticks, size: tuple[Ticks, Ticks]
) -> Anchor:
    """The anchor of one shade's face.

    Args:
        left: finished left edge, from the opening's left edge.
        size: finished width and length.
    """
    width, length = size
    strategy = job.strategy(cloth)
    lost_width, lost_length = _lost(cloth)
    # Twice the distance of the middle, so that it is whole; that mostly saves all fractions.
    twice = {"centred": width, "continuous": opening.width - 2 * left}.get(strategy, 0)
    # Within one opening all anchors lie equally far below the head, so it matters only between
    # openings, and where motifs must lie so far below them.
    line = opening.head + top_above_head(job.make, opening)
    below = {"head": 0, "sill": length, "wall": line}[job.match.anchor]
    if job.match.across == "opening" and job.match.motif_below is None:
        below = 0
    return Anchor(_before_washing(twice, lost_width, 2), _before_washing(below, lost_length, 1))


def motif_below(job: Job, cloth: Cloth) -> Ticks:
    """How far below anchors a motif centre must lie on the cloth; negative for one above, as it is
    where anchors are sills. Nothing where the job does not ask."""
    below = job.match.motif_below or 0
    return _before_washing(-below if job.match.anchor == "sill" else below, _lost(cloth)[1], 1)


def _lost(cloth: Cloth) -> tuple[Fraction, Fraction]:
    """What washing takes of a print sideways, and along its vertical."""
    if cloth.runs == "railroaded":
        return cloth.shrink_down, cloth.shrink_across
    return cloth.shrink_across, cloth.shrink_down


def _before_washing(length: Ticks, lost: Fraction, parts: int) -> Ticks:
    """A part of a length as it is before washing takes its share of it."""
    if not lost and length % parts == 0:
        return length // parts
    return nearest(Fraction(length, parts) / (1 - lost))


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
        start: column and row of one point; rows across the roll count from the far usable edge.
        offset: column and row of the anchor, from the panel's top left corner.
        room: usable width less the panel's size across.
    """
    if these.rows is None:
        return (ANYWHERE,)
    column, row = start[0] - offset[0], start[1] - offset[1]
    around = circumference(these, railroaded)
    if room < 0:
        return ()
    if railroaded:
        # A panel's top lies at its far edge, as far from that of the cloth as its row says.
        found = [
            Slot(
                (room - far) % these.rows,
                these.rows,
                (column + i * these.columns if these.columns else 0) % around,
            )
            for i, height in product(range(these.turns), these.heights)
            if (far := (row + height + i * these.shift) % these.rows) <= room
        ]
    elif these.columns is None:
        found = [Slot(0, 1, (row + height) % around) for height in these.heights]
    else:
        # Of very many columns only those count that lie on the cloth; `i` says which one it is,
        # counted from the start.
        pace, nearest_column = these.columns * these.turns, column % these.columns
        found = [
            Slot(first, pace, (row + height + i * these.shift) % around)
            for first in range(nearest_column, min(room + 1, pace), these.columns)
            for i in ((first - column) // these.columns,)
            for height in these.heights
        ]
    return tuple(sorted(set(found)))
