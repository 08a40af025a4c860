"""Where the print lets a panel lie on a piece, for the packer, in the strategies' own words.

It shares no code with `solve`, `trade` or `cloth.lattice`. Everything is counted from a motif of
the piece, `start` behind its cut end. A *base* is the height of one row that anchors lie on; where
the print is unbroken, that of an opening's anchors in the column that motifs are counted from.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from math import gcd

from shadewright.job.model import Cloth, Job
from shadewright.measure import nearest
from wanted import Wanted, strategy

_COLUMNS = 60  # along a piece, that are tried where the print hardly ever stands as high again


@dataclass(frozen=True)
class Spot:
    """Corners that a panel may have: one place across, and every `pace` along from `first`.

    Attributes:
        x: None where any place on the cutting step will do.
    """

    x: int | None
    first: int
    pace: int

    def from_(self, y: int) -> int:
        """The first place along at `y` or beyond."""
        return y + (self.first - y) % self.pace


def on_lattice(job: Job, cloth: Cloth) -> bool:
    """Whether anchors must lie on motifs themselves, and not only on rows and on columns."""
    how = strategy(job, cloth)
    same_picture = how == "centred" and not job.match.alternate
    return bool(cloth.repeat_across) and (how == "continuous" or same_picture)


def columns_apart(job: Job, cloth: Cloth) -> int | None:
    """How far apart columns are that anchors must lie on; None where any place will do."""
    return cloth.repeat_across if strategy(job, cloth) in ("centred", "continuous") else None


def turns(cloth: Cloth) -> int:
    """The columns after which the print stands as high again."""
    down = cloth.repeat_down or 1
    return down // gcd(down, cloth.column_shift)


def level_rows(cloth: Cloth) -> tuple[int, ...]:
    """Heights of rows, from one of them on, of which any two are level.

    The motif stands k shifts lower k columns on, and a face can show as many columns beside one
    another as the usable width holds.
    """
    most = cloth.usable // cloth.repeat_across if cloth.repeat_across else 1
    around = turns(cloth)
    columns = range(around if around <= 2 * most + 1 else most + 1)
    return tuple(k * cloth.column_shift % (cloth.repeat_down or 1) for k in columns)


def bases_level_with(job: Job, cloth: Cloth, base: int) -> list[int]:
    """Bases that an opening may have where another has this one and rows are level throughout."""
    if strategy(job, cloth) != "continuous" or not cloth.repeat_across:
        return [base]
    return [(base + row) % (cloth.repeat_down or 1) for row in level_rows(cloth)]


def spots(job: Job, cloth: Cloth, wanted: Wanted, start: int, base: int) -> tuple[Spot, ...]:
    """Every place for the corner of a panel on a piece."""
    if wanted.row is None:
        # A lining follows right behind faces, whose places along the roll the print dictates.
        return (Spot(None, 0, 1 if _dictated_along(job, cloth) else job.step),)
    if wanted.line is None or not cloth.repeat_across:
        return tuple(_level(job, cloth, wanted, start, base))
    if on_lattice(job, cloth):
        return tuple(_on_motifs(job, cloth, wanted, start, base))
    return tuple(_centred(job, cloth, wanted, start, base))


def bases_at(
    job: Job, cloth: Cloth, wanted: Wanted, start: int, corner: tuple[int, int]
) -> set[int]:
    """Bases with which the panel's rows let its corner lie there."""
    if wanted.row is None:
        return set()
    x, y = corner
    # Railroaded cloth lies right side up: heads at the far edge, rows counted from there.
    along = cloth.usable - wanted.across - x if wanted.railroaded else y - start
    down = cloth.repeat_down or 1
    shifts = range(min(turns(cloth), _COLUMNS)) if on_lattice(job, cloth) else (0,)
    return {(along + wanted.row - k * cloth.column_shift) % down for k in shifts}


def starts_at(job: Job, cloth: Cloth, wanted: Wanted, base: int, y: int) -> set[int]:
    """Starts of a bolt that may begin anywhere with which a panel may lie at `y`."""
    if wanted.row is None:
        return {0}
    if wanted.railroaded:
        if wanted.line is None or not cloth.repeat_across:
            return {0}
        return {y - _first_column(job, cloth, wanted)}
    columns = range(min(turns(cloth), _COLUMNS)) if on_lattice(job, cloth) else ()
    rows = [k * cloth.column_shift for k in columns] or level_rows(cloth)
    return {y + wanted.row - base - row for row in rows}


def _dictated_along(job: Job, cloth: Cloth) -> bool:
    how = strategy(job, cloth)
    return how in ("centred", "continuous") or (how == "level" and cloth.runs != "railroaded")


def _first_column(job: Job, cloth: Cloth, wanted: Wanted) -> int:
    """Where the corner lies, across the motif's vertical, if its line is in the first column."""
    assert wanted.line is not None
    column = Fraction(0 if wanted.railroaded else cloth.motif_at)
    if job.match.centre_on == "between":
        column += Fraction(cloth.repeat_across or 0, 2)
    return nearest(column - wanted.line)


def _level(job: Job, cloth: Cloth, wanted: Wanted, start: int, base: int) -> Iterator[Spot]:
    down, room = cloth.repeat_down or 1, cloth.usable - wanted.across
    assert wanted.row is not None
    for row in level_rows(cloth):
        at = base + row - wanted.row
        if wanted.railroaded:
            yield from (Spot(room - r, 0, job.step) for r in range(at % down, room + 1, down))
        else:
            yield Spot(None, start + at, down)


def _centred(job: Job, cloth: Cloth, wanted: Wanted, start: int, base: int) -> Iterator[Spot]:
    down, apart = cloth.repeat_down or 1, cloth.repeat_across or 1
    room, column = cloth.usable - wanted.across, _first_column(job, cloth, wanted)
    assert wanted.row is not None
    for row in level_rows(cloth):
        at = base + row - wanted.row
        if wanted.railroaded:
            for r in range(at % down, room + 1, down):
                yield Spot(room - r, start + column, apart)
        else:
            for x in range(column % apart, room + 1, apart):
                yield Spot(x, start + at, down)


def _on_motifs(job: Job, cloth: Cloth, wanted: Wanted, start: int, base: int) -> Iterator[Spot]:
    """The lattice itself: k columns on, the print stands k shifts lower."""
    down, apart = cloth.repeat_down or 1, cloth.repeat_across or 1
    room, column = cloth.usable - wanted.across, _first_column(job, cloth, wanted)
    assert wanted.row is not None
    if wanted.railroaded:
        for k in range(min(turns(cloth), _COLUMNS)):
            at = base + k * cloth.column_shift - wanted.row
            for r in range(at % down, room + 1, down):
                yield Spot(room - r, start + column + k * apart, apart * turns(cloth))
        return
    for x in range(column % apart, room + 1, apart):
        k = (x - column) // apart
        yield Spot(x, start + base + k * cloth.column_shift - wanted.row, down)
