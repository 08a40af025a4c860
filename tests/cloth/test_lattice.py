"""The geometry of motifs, shown from the lattice of their centres."""

from __future__ import annotations

from itertools import pairwise
from math import gcd

from hypothesis import assume, given, settings
from hypothesis import strategies as st

from jobs import inches, job_of
from shadewright.cloth.lattice import (
    ANYWHERE,
    Points,
    Slot,
    anchor,
    circumference,
    level,
    points,
    slots,
    starts,
)
from shadewright.cloth.printed import motifs
from shadewright.job.model import Cloth, Job

LENGTH = st.integers(1, 60)


def leaf(**facts: str) -> Job:
    lines = {"repeat_down": "20", "repeat_across": "13.5", "column_shift": '"half"'} | facts
    return job_of(
        'title = "t"\n[cloth.c]\nwidth = 54\nselvedge = 0.5\n'
        + "\n".join(f"{key} = {value}" for key, value in lines.items())
        + '\n[[opening]]\nname = "o"\nwidth = 40\nheight = 50\nhead = 7'
    )


def with_strategy(job: Job, **facts: str) -> Job:
    return job.model_copy(update={"match": job.match.model_copy(update=facts)})


def centres(cloth: Cloth, around: int) -> set[tuple[int, int]]:
    """Motif centres by walking the basis (0, V) and (H, D)."""
    down, across = cloth.repeat_down or 0, cloth.repeat_across or 0
    return {
        (i * across, i * cloth.column_shift + j * down)
        for i in range(-around, around + 1)
        for j in range(-around, around + 1)
    }


def test_level_on_half_drop_cloth_needs_half_a_repeat_only() -> None:
    # Rows are the heights at which some motif centre is. Walking the lattice finds them every V/2:
    # no rule about half-drops is asked.
    for shift, rows in (("0", 20), ('"half"', 10), ("5", 5), ("8", 4)):
        job = leaf(column_shift=shift)
        cloth = job.cloth("c")
        heights = sorted({r for _, r in centres(cloth, 30) if 0 <= r <= inches(40)})
        gaps = {b - a for a, b in pairwise(heights)}
        assert gaps == {inches(rows)}
        level = points(with_strategy(job, strategy="level"), cloth)
        assert level == Points(None, inches(rows))


@given(LENGTH, LENGTH, LENGTH, LENGTH)
def test_what_is_continuous_is_level(down: int, across: int, column: int, row: int) -> None:
    # Every slot of the lattice itself is one of the coarser set that only keeps rows level.
    shift = row % down
    lattice = Points(across, down, shift)
    rows = gcd(down, shift)
    place, room = (column, row), 400
    exact = slots(lattice, False, (0, 0), place, room)
    loose = slots(Points(None, rows), False, (0, 0), place, room)
    (only,) = loose
    assert only.pace == 1
    assert exact
    assert {slot.phase % rows for slot in exact} == {only.phase}


@given(
    st.booleans(),
    LENGTH,
    LENGTH,
    st.integers(0, 59),
    st.tuples(LENGTH, LENGTH),
    st.tuples(LENGTH, LENGTH),
    st.integers(0, 150),
)
def test_slots_are_all_the_places_there_are(  # noqa: PLR0917
    railroaded: bool,
    across: int,
    down: int,
    shift: int,
    start: tuple[int, int],
    offset: tuple[int, int],
    room: int,
) -> None:
    """Against trying every place of a corner on a stretch of the roll."""
    shift %= down
    assume(down // gcd(down, shift) <= 12)
    these = Points(across, down, shift)
    around = circumference(these, railroaded)
    found = slots(these, railroaded, start, offset, room)
    listed = {(x, slot.phase) for slot in found for x in range(slot.first, room + 1, slot.pace)}
    tried = set()
    for x in range(room + 1):
        for y in range(around):
            column, row = (y, room - x) if railroaded else (x, y)
            column, row = column + offset[0] - start[0], row + offset[1] - start[1]
            if column % across == 0 and (row - column // across * shift) % down == 0:
                tried.add((x, y))
    assert listed == tried


@given(LENGTH, st.integers(0, 500))
def test_a_slot_from_a_place_on(pace: int, left: int) -> None:
    slot = Slot(7, pace, 0)
    x = slot.from_(left)
    assert x >= max(left, 7)
    assert (x - 7) % pace == 0
    assert x - pace < left or x == 7


@settings(deadline=None)
@given(
    st.booleans(),
    st.none() | LENGTH,
    LENGTH,
    st.sets(st.integers(0, 59), min_size=1, max_size=5),
    st.tuples(LENGTH, LENGTH),
    st.integers(0, 150),
)
def test_slots_of_level_rows_are_all_the_places_there_are(  # noqa: PLR0917
    railroaded: bool,
    across: int | None,
    down: int,
    heights: set[int],
    offset: tuple[int, int],
    room: int,
) -> None:
    """Rows at several heights of one repeat, with columns or without."""
    these = Points(across, down, heights=tuple(sorted({h % down for h in heights})))
    around = circumference(these, railroaded)
    found = slots(these, railroaded, (0, 0), offset, room)
    listed = {(x, slot.phase) for slot in found for x in range(slot.first, room + 1, slot.pace)}
    tried = set()
    for x in range(room + 1):
        for y in range(around):
            column, row = (y, room - x) if railroaded else (x, y)
            level = (row + offset[1]) % down in these.heights
            if level and (across is None or (column + offset[0]) % across == 0):
                tried.add((x, y))
    assert listed == tried


@settings(deadline=None)
@given(st.integers(1, 60), st.integers(0, 59), st.integers(0, 12))
def test_level_rows_are_level_two_by_two_and_no_others_are(
    down: int, shift: int, most: int
) -> None:
    """Against every set of rows that are level with one another, on cloth of `most` columns."""
    shift %= down
    cloth = (
        leaf()
        .cloth("c")
        .model_copy(
            update={
                "repeat_down": down,
                "column_shift": shift,
                "repeat_across": 100,
                "width": 100 * most + 50,
                "selvedge": 0,
            }
        )
    )
    found = level(cloth)
    assert found is not None
    apart = {k * shift % down for k in range(-most, most + 1)}
    rows = {r + h for r in range(0, down, found.rows) for h in found.heights}
    assert {(a - b) % down for a in rows for b in rows} <= apart
    # No other row is level with all of these.
    others = set(range(down)) - {r % down for r in rows}
    assert not [r for r in others if all((r - s) % down in apart for s in rows)]
    if found.whole:
        assert all(
            any({(row - start) % down for row in (0, a, b)} <= rows for start in range(down))
            for a in apart
            for b in apart
            if (a - b) % down in apart
        )


def test_plain_cloth_lies_anywhere() -> None:
    job = with_strategy(leaf(), strategy="plain")
    these = points(job, job.cloth("c"))
    assert slots(these, False, (3, 4), (5, 6), 10) == (ANYWHERE,)
    assert circumference(these, False) == circumference(these, True) == 1


def test_an_unbroken_print_may_start_at_any_level_row() -> None:
    for shift, rows in (("0", [0]), ('"half"', [0, 10]), ("5", [0, 5, 10, 15])):
        job = with_strategy(leaf(column_shift=shift), strategy="continuous")
        assert list(starts(job, job.cloth("c"))) == [inches(row) for row in rows]


def test_anchors_by_hand() -> None:
    job = leaf()
    cloth, opening = job.cloth("c"), job.openings[0]
    size = inches(18), inches(50)
    said = {
        (strategy, at): anchor(
            with_strategy(job, strategy=strategy, anchor=at), cloth, opening, inches(21), size
        )
        for strategy in ("level", "centred", "continuous")
        for at in ("head", "sill", "wall")
    }
    columns = {
        strategy: said[strategy, "head"].column for strategy in ("level", "centred", "continuous")
    }
    # A face's own middle; or the opening's, 20 - 21 from the face's left edge.
    assert columns == {"level": 0, "centred": inches(9), "continuous": -inches(1)}
    rows = [said["level", at].row for at in ("head", "sill", "wall")]
    assert rows == [0, inches(50), inches(7)]


def test_anchors_on_cloth_that_shrinks_are_further_apart() -> None:
    job = with_strategy(
        leaf(shrink_down="0.2", shrink_across="0.5"), strategy="centred", anchor="sill"
    )
    size = inches(18), inches(48)
    found = anchor(job, job.cloth("c"), job.openings[0], 0, size)
    assert (found.column, found.row) == (inches(18), inches(60))


def test_motifs_are_the_lattice_seen_through_a_window() -> None:
    cloth = leaf(motif_at="3").cloth("c")
    corner, size = (inches(10), inches(31)), (inches(40), inches(45))
    found = set(motifs(cloth, False, corner, size))
    # A centre at column 3, and the first motif's row, and its lattice.
    wanted = {(c + inches(3) - corner[0], r - corner[1]) for c, r in centres(cloth, 30)}
    assert found == {(c, r) for c, r in wanted if 0 <= c <= size[0] and 0 <= r <= size[1]}
    assert found
