"""An oracle for tiny jobs on pieces of one cloth: by how much what is on hand is too little.

It goes on from `brute_force` (divisions, sizes) and `brute_repeats` (where the print lets a face
lie), and like them shares no code with `solve`, `trade` or `cloth`. Every division, every start of
rows, every way to share panels out between pieces and what lacks, and every way to cut these in
three stages is tried. Panels are cut as near the start as they may: nothing is gained by cutting
later, on cloth with flaws as little as on clean cloth. Lengths of the job must lie on `GRID`.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from itertools import permutations, product
from math import prod

import brute_repeats
from brute_force import Choice, choices, matched
from shadewright.job.model import Cloth, Job, Opening
from shadewright.measure import TICKS

GRID = TICKS["in"] // 2  # of all that bears on where rows start
_FINE = TICKS["in"] // 4  # of places: the middle of a width on the grid may lie between

Rows = frozenset[int]


@dataclass(frozen=True)
class Place:
    """Corners that a panel may have: one place across, and every `pace` along.

    Attributes:
        x: None where any will do.
        y: one of those along, counted from a motif; None where they are counted from the cut end.
    """

    x: int | None
    y: int | None
    pace: int

    def from_(self, along: int, zero: int) -> int:
        """The first place along there or beyond."""
        first = 0 if self.y is None else self.y + zero
        return along + (first - along) % self.pace


@dataclass(frozen=True)
class Rectangle:
    """A panel, and where it may lie, counted from a motif; `whose` opening it is for."""

    whose: int
    across: int
    along: int
    places: tuple[Place, ...]


@dataclass(frozen=True)
class Length:
    """A piece, or what lacks, which has no end.

    Attributes:
        first: where the first drop may begin.
        zero: from its cut end to a motif; None where that may be anywhere.
        flaws: left, right, start and end of each, from the left usable edge.
    """

    lot: str | None
    first: int
    end: int | None
    zero: int | None
    flaws: tuple[tuple[int, int, int, int], ...]


def shortfall(job: Job) -> int | None:
    """The least length, square-up included, that must be had in one piece more to make the job;
    nothing if what is on hand does. None if the job cannot be made from any."""
    (cloth,) = job.cloths
    lengths = _lengths(job, cloth)
    openings = [opening for opening in job.openings for _ in range(opening.copies)]
    found: int | None = None
    menus = [choices(job, opening) for opening in openings]
    for rows in _rows(job, cloth):
        for combination in product(*menus):
            for panels in _placed(job, openings, combination, rows):
                short = _shared(job, cloth, lengths, panels)
                if short is not None and (found is None or short < found):
                    found = short
                if found == 0:
                    return 0
    return found


def work(job: Job) -> int:
    """About how much there is to try: combinations times starts of rows, and the most panels."""
    (cloth,) = job.cloths
    menus = [choices(job, opening) for opening in job.openings for _ in range(opening.copies)]
    if not all(menus):
        return 0
    panels = sum(max(len(choice.panels) for choice in menu) for menu in menus)
    return prod(map(len, menus)) * len(_rows(job, cloth)) * (1 << 2 * panels)


def _lengths(job: Job, cloth: Cloth) -> list[Length]:
    """The pieces, and last what lacks."""
    first, found = job.make.square_up, []
    for piece in cloth.pieces:
        flaws = tuple(
            (0, cloth.usable, flaw.start, flaw.end)
            if flaw.left is None or flaw.right is None
            else (flaw.left - cloth.selvedge, flaw.right - cloth.selvedge, flaw.start, flaw.end)
            for flaw in piece.flaws
        )
        found.append(Length(piece.lot, first, piece.length, piece.start or 0, flaws))
    anywhere = cloth.start == "any" and matched(job, cloth)
    return [*found, Length(None, first, None, None if anywhere else 0, ())]


@cache
def _rows(job: Job, cloth: Cloth) -> tuple[Rows, ...]:
    """The largest sets of level rows, from wherever they start."""
    if not matched(job, cloth):
        return (frozenset(),)
    down = cloth.repeat_down or 1
    return tuple(
        dict.fromkeys(
            frozenset((row + by) % down for row in these)
            for these in sorted(brute_repeats._patterns(cloth), key=sorted)
            for by in range(0, down, GRID)
        )
    )


def _placed(
    job: Job, openings: Sequence[Opening], combination: Sequence[Choice], rows: Rows
) -> Iterator[tuple[Rectangle, ...]]:
    """The panels of all openings: an unbroken print starts at one of the rows in each of them."""
    (cloth,) = job.cloths
    unbroken = matched(job, cloth) and job.match.strategy == "continuous"
    heights = [frozenset([row]) for row in sorted(rows)] if unbroken else [rows]
    for of in product(heights, repeat=len(openings)):
        panels = []
        for whose, (opening, choice) in enumerate(zip(openings, combination, strict=True)):
            left = opening.clearance if opening.mount == "inside" else -opening.overlap
            gaps, larger = divmod(choice.gaps // job.step, max(choice.shades - 1, 1))
            for place, (width, (_, size)) in enumerate(
                zip(choice.widths, choice.panels, strict=True)
            ):
                places = _places(job, opening, (left, width), size[:2], of[whose])
                panels.append(Rectangle(whose, size[0], size[1], places))
                left += width + (gaps + (place < larger)) * job.step
        if all(panel.places for panel in panels):
            yield tuple(panels)


@cache
def _places(
    job: Job, opening: Opening, shade: tuple[int, int], size: tuple[int, int], rows: Rows
) -> tuple[Place, ...]:
    """Every place for the panel of a shade, by its left edge and width."""
    (cloth,) = job.cloths
    if not matched(job, cloth):
        return (Place(None, None, job.step),)
    make = job.make
    assert make.take_up != "computed"
    hem_left = make.side_folds * make.side_fold
    hem_top = make.turn_under + make.board_pocket + make.take_up // 2
    room = cloth.width - 2 * cloth.selvedge - size[0]
    level = (job.match.strategy or "level") == "level"
    railroaded = cloth.runs == "railroaded"
    around = brute_repeats._around(job, cloth)
    anywhere_across, anywhere_along = level and not railroaded, level and railroaded
    places = []
    for x in (0,) if anywhere_across else range(0, room + 1, _FINE):
        for y in (0,) if anywhere_along else range(0, around, _FINE):
            side, top = (y, x) if railroaded else (x, y)
            face = side + hem_left, top + hem_top
            if brute_repeats._matches(_motif_first(job), opening, shade, face, rows):
                places.append(
                    Place(
                        None if anywhere_across else x,
                        None if anywhere_along else y,
                        job.step if anywhere_along else around,
                    )
                )
    return tuple(places)


@cache
def _motif_first(job: Job) -> Job:
    """The job with a bolt that begins at a motif, as places are counted from there."""
    (cloth,) = job.cloths
    match = job.match.model_copy(update={"strategy": job.match.strategy or "level"})
    cloths = (cloth.model_copy(update={"start": "motif"}),)
    return job.model_copy(update={"match": match, "cloths": cloths})


def _shared(
    job: Job, cloth: Cloth, lengths: Sequence[Length], panels: tuple[Rectangle, ...]
) -> int | None:
    """The least that lacks, however the panels are shared out."""
    ends = [_cut(cloth, length, panels) for length in lengths]
    found: int | None = None
    for where in product(range(len(lengths)), repeat=len(panels)):
        parts = [0] * len(lengths)
        lots: dict[int, set[str | None]] = {}
        for i, at in enumerate(where):
            parts[at] |= 1 << i
            whose = panels[i].whose if job.match.lots == "opening" else 0
            lots.setdefault(whose, set()).add(lengths[at].lot)
        if job.match.lots != "none" and any(len(these) > 1 for these in lots.values()):
            continue
        cut = [of[part] for of, part in zip(ends, parts, strict=True)]
        if None in cut:
            continue
        short = cut[-1] if parts[-1] else 0
        if short is not None and (found is None or short < found):
            found = short
    return found


@cache
def _cut(cloth: Cloth, length: Length, panels: tuple[Rectangle, ...]) -> tuple[int | None, ...]:
    """Where the last drop ends at the least, for every set of the panels; None if they have no
    room."""
    if length.zero is not None:
        return _cut_from(cloth, length, panels, length.first, length.zero)
    # Whatever height of the print comes first: one at which some panel may begin.
    begins = {place.y or 0 for panel in panels for place in panel.places}
    every = [_cut_from(cloth, length, panels, length.first, length.first - at) for at in begins]
    return tuple(
        min((n for n in ends if n is not None), default=None) for ends in zip(*every, strict=True)
    )


def _cut_from(
    cloth: Cloth, length: Length, panels: tuple[Rectangle, ...], first: int, zero: int
) -> tuple[int | None, ...]:
    ends: list[int | None] = [None] * (1 << len(panels))
    ends[0] = first
    for done in range(len(ends)):
        begin = ends[done]
        if begin is None:
            continue
        rest = some = len(ends) - 1 ^ done
        while some:
            drop = tuple(panel for i, panel in enumerate(panels) if some >> i & 1)
            end = _drop(cloth, length, drop, begin, zero)
            before = ends[done | some]
            if end is not None and (before is None or end < before):
                ends[done | some] = end
            some = (some - 1) & rest
    return tuple(ends)


def _drop(
    cloth: Cloth, length: Length, panels: tuple[Rectangle, ...], begin: int, zero: int
) -> int | None:
    """Where a drop of all these ends at the least; None if it has no room."""
    usable, best = cloth.usable, None
    if sum(panel.across * panel.along for panel in panels) > usable * (
        (length.end or 1 << 60) - begin
    ):
        return None
    for columns in _divided(panels):
        if sum(max(panel.across for panel in column) for column in columns) > usable:
            continue
        end = _columns(columns, length, usable, (0, begin, zero))
        if end is not None and (best is None or end < best):
            best = end
    return best


def _divided(panels: tuple[Rectangle, ...]) -> Iterator[tuple[tuple[Rectangle, ...], ...]]:
    """Every way to share panels out over columns from left to right, and to order each column."""
    seen = set()
    for order in permutations(panels):
        for cuts in product((False, True), repeat=len(panels) - 1):
            columns = [[order[0]]]
            for panel, cut in zip(order[1:], cuts, strict=True):
                if cut:
                    columns.append([panel])
                else:
                    columns[-1].append(panel)
            key = tuple(map(tuple, columns))
            if key not in seen:
                seen.add(key)
                yield key


def _columns(
    columns: tuple[tuple[Rectangle, ...], ...],
    length: Length,
    usable: int,
    at: tuple[int, int, int],
) -> int | None:
    """Where columns end at the least, cut from a left edge and a start on; with the zero."""
    _, begin, zero = at
    if not columns:
        return begin
    best: int | None = None
    for right, end in _column(columns[0], length, usable, at):
        rest = _columns(columns[1:], length, usable, (right, begin, zero))
        if rest is not None and (best is None or max(end, rest) < best):
            best = max(end, rest)
    return best


def _column(
    column: tuple[Rectangle, ...], length: Length, usable: int, at: tuple[int, int, int]
) -> set[tuple[int, int]]:
    """Right edge and end of a column, for every choice of places but those that are worse."""
    left, begin, zero = at
    states = {(left, begin)}
    for panel in column:
        following = set()
        for right, after in states:
            for x, y in _corners(panel, length, usable, (left, after, zero)):
                end = y + panel.along
                if length.end is None or end <= length.end:
                    following.add((max(right, x + panel.across), end))
        states = {
            (right, end)
            for right, end in following
            if not any(r <= right and e <= end and (r, e) != (right, end) for r, e in following)
        }
    return states


def _corners(
    panel: Rectangle, length: Length, usable: int, at: tuple[int, int, int]
) -> Iterator[tuple[int, int]]:
    """Corners of a panel at a left edge or beyond, the first one along clear of flaws."""
    left, after, zero = at
    for place in panel.places:
        # Where any place will do, it is pushed to the left until something is in its way.
        across = {left, *(flaw[1] for flaw in length.flaws)} if place.x is None else {place.x}
        for x in across:
            if x < left or x + panel.across > usable:
                continue
            y = place.from_(after, zero)
            for begin, end in sorted(
                (s, e) for a, b, s, e in length.flaws if a < x + panel.across and x < b
            ):
                if begin < y + panel.along and y < end:
                    y = place.from_(end, zero)
            yield x, y
