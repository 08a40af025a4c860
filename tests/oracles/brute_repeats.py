"""An oracle for tiny jobs on one cloth with a repeat, under any matching strategy.

Like `brute_force` it shares no code with `solve`, `trade` or `cloth`. Where a face may lie is found
by trying every place on a lattice of small steps (`STEP`) against the strategy's own words. Plans
are sets of panels cut drop by drop: a drop is columns side by side, a column is panels one after
the other, and everything is cut as near the start as it may. Nothing is gained by cutting a drop
later than it can be, so for each set of panels cut only the least length matters.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cache
from itertools import permutations, product
from math import gcd, prod

from brute_force import Choice, agree, choices, shared_out, start_allowance, worth
from shadewright.job.model import Cloth, Job, Opening

_ENDLESS = 1 << 60
STEP = 8128 // 8  # of all places tried: an eighth of an inch

Place = tuple[int, int]  # across, and along modulo the circle
Rows = frozenset[int]  # heights within one repeat


@dataclass(frozen=True)
class Piece:
    """A panel and every place its corner may have."""

    across: int
    along: int
    places: tuple[Place, ...]


def best(job: Job) -> tuple[int, int, int] | None:
    """Least bought, then fewest shades, then least used; None if the job cannot be made."""
    (cloth,) = job.cloths
    openings = [opening for opening in job.openings for _ in range(opening.copies)]
    found = []
    for rows in _row_sets(job):
        for combination in product(*_menus(job, rows)):
            taken = [choice for choice, _ in combination]
            if not agree(job, taken):
                continue
            pieces = [
                piece
                for opening, (choice, heights) in zip(openings, combination, strict=True)
                for piece in _pieces(job, opening, choice, heights)
            ]
            if any(not piece.places for piece in pieces):
                continue
            made = _least(
                job, cloth, tuple(sorted(pieces, key=lambda p: (-p.along, p.across, p.places)))
            )
            if made is not None:
                bought, used = made
                shades = sum(choice.shades for choice in taken)
                found.append((bought + int(worth(job, taken, priced=False)), shades, used))
    return min(found, default=None)


def combinations(job: Job) -> int:
    """How many combinations of choices there are."""
    return max(prod(map(len, _menus(job, rows))) for rows in _row_sets(job))


def _menus(job: Job, rows: Rows) -> list[list[tuple[Choice, Rows]]]:
    """Each copy's choices, and the rows that its anchors may lie on: an unbroken print has points
    that start at one of them."""
    unbroken = job.match.strategy == "continuous"
    each = [frozenset([row]) for row in sorted(rows)] if unbroken else [rows]
    return [
        [(choice, heights) for choice in choices(job, opening) for heights in each]
        for opening in job.openings
        for _ in range(opening.copies)
    ]


def sets_of_rows(job: Job) -> int:
    """How many sets of level rows are tried."""
    return len(_row_sets(job))


def level_all_around(job: Job) -> bool:
    """Whether rows can be level two by two in ways that differ in more than where they begin."""
    (cloth,) = job.cloths
    return len(_patterns(cloth)) > 1


def shows_some_rows_only(job: Job) -> bool:
    """Whether the job can be divided, and some rows that motifs stand at are not level."""
    (cloth,) = job.cloths
    heights = (cloth.repeat_down or 1) // _spacing(cloth)
    return combinations(job) > 0 and all(len(rows) < heights for rows in _row_sets(job))


def panels(job: Job) -> int:
    """The most panels that a plan of the job can have."""
    return sum(
        opening.copies * max((choice.shades for choice in choices(job, opening)), default=0)
        for opening in job.openings
    )


def _spacing(cloth: Cloth) -> int:
    return gcd(cloth.repeat_down or 1, cloth.column_shift)


@cache
def _row_sets(job: Job) -> tuple[Rows, ...]:
    """The largest sets of rows that are level two by two; of one picture on all faces, the rows of
    its one motif.

    Across a railroaded bolt they may begin anywhere, from its far edge; along a bolt that makes no
    difference. Where motifs lie so far below anchors, it is they that say where.
    """
    (cloth,) = job.cloths
    down = cloth.repeat_down or 1
    patterns = frozenset([frozenset([0])]) if _one_picture(job) else _patterns(cloth)
    moves = range(0, down, STEP) if cloth.runs == "railroaded" else range(1)
    if _tied(job):
        assert len(patterns) == 1
        usable = cloth.width - 2 * cloth.selvedge
        motif = usable - cloth.motif_at if cloth.runs == "railroaded" else 0
        below = job.match.motif_below or 0
        at = motif + below if job.match.anchor == "sill" else motif - below
        moves = range(at, at + 1)
    return tuple({_moved(these, by, down) for these in patterns for by in moves})


def _tied(job: Job) -> bool:
    (cloth,) = job.cloths
    return job.match.motif_below is not None and cloth.repeat_down is not None


def _one_picture(job: Job) -> bool:
    (cloth,) = job.cloths
    centred = job.match.strategy == "centred" and cloth.repeat_across is not None
    return centred and not job.match.alternate


def _by_columns(job: Job) -> bool:
    """Whether motifs, or stripes, must lie on centre lines."""
    (cloth,) = job.cloths
    return job.match.strategy != "level" and cloth.repeat_across is not None


def _first(job: Job) -> int | None:
    """From the cut end to the first motif along the bolt; None where any place along it may be the
    first one's."""
    (cloth,) = job.cloths
    railroaded = cloth.runs == "railroaded"
    if not (_by_columns(job) if railroaded else _tied(job)):
        return None
    if isinstance(cloth.start, int):
        return cloth.start
    tied = _tied(job) and (not railroaded or cloth.column_shift != 0)
    return 0 if cloth.start == "motif" or tied else None


@cache
def _patterns(cloth: Cloth) -> frozenset[Rows]:
    """These sets, but for where they begin.

    The motif of a row stands k shifts lower k columns on, and as many columns beside one another
    can be on a face as the usable width holds.
    """
    down = cloth.repeat_down or 1
    most = (cloth.width - 2 * cloth.selvedge) // (cloth.repeat_across or 1)
    apart = {k * cloth.column_shift % down for k in range(-most, most + 1)}
    beside = {row: frozenset((row + by) % down for by in apart - {0}) for row in apart}
    largest = _largest(frozenset([0]), beside[0], frozenset(), beside)
    # Of sets that only begin elsewhere, one.
    return frozenset(
        min((_moved(these, -row, down) for row in these), key=sorted) for these in largest
    )


def _moved(rows: Rows, by: int, down: int) -> Rows:
    return frozenset((row + by) % down for row in rows)


def _largest(rows: Rows, others: Rows, tried: Rows, beside: dict[int, Rows]) -> Iterator[Rows]:
    """The largest sets of level rows that hold `rows` and else only some of `others`.

    After Bron and Kerbosch, "Algorithm 457: finding all cliques of an undirected graph", 1973.

    Args:
        tried: rows that are level with all of `rows`, whose sets have been found already.
        beside: what is level with each row.
    """
    if not others and not tried:
        yield rows
        return
    pivot = max(others | tried, key=lambda row: len(beside[row] & others))
    for row in sorted(others - beside[pivot]):
        yield from _largest(rows | {row}, others & beside[row], tried & beside[row], beside)
        others, tried = others - {row}, tried | {row}


def _around(job: Job, cloth: Cloth) -> int:
    """The length along the roll after which places come again."""
    if cloth.runs != "railroaded":
        return cloth.repeat_down or STEP
    if not _by_columns(job):
        return STEP
    turns = (cloth.repeat_down or 1) // _spacing(cloth)
    return (cloth.repeat_across or 1) * turns


def _pieces(job: Job, opening: Opening, choice: Choice, rows: Rows) -> Iterator[Piece]:
    step, count = job.step, choice.shades
    left = opening.clearance if opening.mount == "inside" else -opening.overlap
    gaps, larger = divmod(choice.gaps // step, max(count - 1, 1))
    for place, (width, (_, size)) in enumerate(zip(choice.widths, choice.panels, strict=True)):
        yield _piece(job, opening, (left, width), size, rows)
        left += width + (gaps + (place < larger)) * step


@cache
def _piece(
    job: Job, opening: Opening, shade: tuple[int, int], size: tuple[int, int], rows: Rows
) -> Piece:
    """The panel of a shade, by its left edge and width."""
    (cloth,) = job.cloths
    make = job.make
    assert make.take_up != "computed"
    hem_left = make.side_folds * make.side_fold
    hem_top = make.turn_under + make.board_pocket + make.take_up // 2
    across, along, _ = size
    usable = cloth.width - 2 * cloth.selvedge
    places = []
    for x in range(0, usable - across + 1, STEP):
        for y in range(0, _around(job, cloth), STEP):
            behind = y - (_first(job) or 0)
            turned = cloth.runs == "railroaded"
            side, top = (behind, usable - x - across) if turned else (x, behind)
            face = side + hem_left, top + hem_top
            if _matches(job, opening, shade, face, rows):
                places.append((x, y))
    return Piece(across, along, tuple(places))


def _matches(
    job: Job, opening: Opening, shade: tuple[int, int], face: tuple[int, int], rows: Rows
) -> bool:
    """Whether a face with its top left corner there is as the strategy asks.

    Along the bolt places are counted from its first motif, across a railroaded one from its far
    edge.
    """
    (cloth,) = job.cloths
    left, width = shade
    side, top = face
    outside = opening.mount == "outside"
    over = opening.overlap if outside else -job.make.hook_drop
    under = opening.overlap_bottom if outside else -opening.sill_gap
    below = {"head": 0, "sill": opening.height + over + under, "wall": opening.head + over}
    row = top + below[job.match.anchor]
    down = cloth.repeat_down or 1
    if not _by_columns(job):
        return row % down in rows
    assert cloth.repeat_across
    first = 0 if cloth.runs == "railroaded" else cloth.motif_at
    if job.match.centre_on == "between":
        first += cloth.repeat_across // 2
    line = width // 2 if job.match.strategy == "centred" else opening.width // 2 - left
    column, beside = divmod(side + line - first, cloth.repeat_across)
    if beside:
        return False
    if job.match.strategy == "centred" and not _one_picture(job):
        return row % down in rows
    return (row - column * cloth.column_shift) % down in rows


def _least(job: Job, cloth: Cloth, pieces: tuple[Piece, ...]) -> tuple[int, int] | None:
    """The least that is bought, and used of that, where all these are cut from bolts.

    Bolts of a known start have their rows at one height, bolts of an unknown one each its own.
    """
    around = _around(job, cloth)
    lead = job.make.square_up
    usable = cloth.width - 2 * cloth.selvedge
    begins = {lead} if _first(job) is not None else {y for piece in pieces for _, y in piece.places}
    table = job.make.table or _ENDLESS
    ends = {begin: _cut(pieces, begin, around, usable, table) for begin in begins}
    sizes = [(piece.across, piece.along, None) for piece in pieces]

    def shared(begins: Iterable[int]) -> tuple[int, int] | None:
        def used(part: int) -> int:
            reached = [lead + ends[b][part] - b for b in begins if part in ends[b]]
            return min(reached, default=_ENDLESS)

        return shared_out(cloth, len(pieces), used, start_allowance(job, cloth), sizes)

    if cloth.start == "any":
        return shared(begins)
    found = [made for begin in begins if (made := shared([begin])) is not None]
    return min(found, default=None)


def _cut(
    pieces: tuple[Piece, ...], begin: int, around: int, usable: int, table: int
) -> dict[int, int]:
    """Least end of a roll that begins at a position, whose phase is the position's own, for every
    set of pieces that can be cut from it."""
    everything = (1 << len(pieces)) - 1
    least = {0: begin}
    for cut in range(everything):
        if cut not in least:
            continue
        rest = everything ^ cut
        some = rest
        while some:
            drop = tuple(piece for i, piece in enumerate(pieces) if some >> i & 1)
            ended = _drop(drop, least[cut] % around, around, usable, table)
            if ended is not None:
                end = least[cut] + ended
                if end < least.get(cut | some, 1 << 60):
                    least[cut | some] = end
            some = (some - 1) & rest
    return least


@cache
def _drop(
    pieces: tuple[Piece, ...], phase: int, around: int, usable: int, table: int
) -> int | None:
    """Least length from a phase to the end of a drop of all these that is no longer than the table;
    None if it cannot be cut.

    It is cut off where its first column begins.
    """
    ends = []
    later = {y % around for piece in pieces for _, y in piece.places} if table < _ENDLESS else set()
    for start in {phase, *later}:
        wait = (start - phase) % around
        found = [_columns(columns, start, around, usable, 0) for columns in _divided(pieces)]
        ends += [wait + end for end in found if end is not None and end <= table]
    return min(ends, default=None)


def _divided(pieces: tuple[Piece, ...]) -> Iterator[tuple[tuple[Piece, ...], ...]]:
    """Every way to share pieces out over columns from left to right, and to order each column."""
    seen = set()
    for order in permutations(pieces):
        for cuts in product((False, True), repeat=len(pieces) - 1):
            columns: list[list[Piece]] = [[order[0]]]
            for piece, cut in zip(order[1:], cuts, strict=True):
                if cut:
                    columns.append([piece])
                else:
                    columns[-1].append(piece)
            key = tuple(map(tuple, columns))
            if key not in seen:
                seen.add(key)
                yield key


def _columns(
    columns: tuple[tuple[Piece, ...], ...], phase: int, around: int, usable: int, left: int
) -> int | None:
    if not columns:
        return 0
    if left + sum(max(p.across for p in column) for column in columns) > usable:
        return None
    best: int | None = None
    for right, end in _column(columns[0], phase, around, left, usable):
        rest = _columns(columns[1:], phase, around, usable, right)
        if rest is not None and (best is None or max(end, rest) < best):
            best = max(end, rest)
    return best


def _column(
    column: tuple[Piece, ...], phase: int, around: int, left: int, usable: int
) -> set[tuple[int, int]]:
    """Right edge and length of a column from a left edge on, for every choice of places."""
    states = {(left, 0)}
    for piece in column:
        # Of one phase, only the leftmost place matters.
        leftmost: dict[int, int] = {}
        for x, y in piece.places:
            if x >= left and x + piece.across <= usable:
                leftmost[y] = min(leftmost.get(y, x), x)
        states = {
            (max(right, x + piece.across), at + (y - phase - at) % around + piece.along)
            for right, at in states
            for y, x in leftmost.items()
        }
        states = {
            (right, at)
            for right, at in states
            if not any(r <= right and a <= at and (r, a) != (right, at) for r, a in states)
        }
    return states
