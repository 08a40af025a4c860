"""Where a print lies on a piece, by hand, and every place of a face against motifs on the cloth."""

from __future__ import annotations

from functools import cache
from itertools import product

import pytest

from jobs import inches, job_of, mostly_slow
from shadewright.cloth import printed
from shadewright.cloth.lattice import Points, circumference, points
from shadewright.cloth.plan import Panel
from shadewright.job.bolts import BOLT
from shadewright.job.model import Job
from shadewright.solve.problem.slots import Match
from shadewright.trade.divisions import Way, panels

TRIED = inches(0.5)
"""Of all places tried: every length of the jobs here is a whole number of these."""


def bay(cloth: str, match: str, opening: str = "") -> Job:
    """Shades of 20 x 10 finished and their panels: 22 x 15 in, their tops 3 in below their own."""
    return job_of(
        f"""
        title = "bay"
        step = 0.5
        [cloth.c]
        width = 41
        selvedge = 0.5
        {cloth}
        [make]
        side_fold = 0.5
        board_pocket = 2
        rod_pocket = 1
        take_up = 1
        [match]
        {match}
        [[opening]]
        name = "o"
        width = 41
        height = 10
        clearance = 0
        gap = 1
        shades = 2
        {opening}
        """
    )


def panel(x: float, y: float, railroaded: bool) -> Panel:
    size = (inches(15), inches(22)) if railroaded else (inches(22), inches(15))
    return Panel(
        shade="s",
        part="face",
        cloth="c",
        piece=BOLT,
        drop=1,
        x=inches(x),
        y=inches(y),
        across=size[0],
        along=size[1],
        railroaded=railroaded,
        hem_left=inches(1),
        hem_top=inches(3),
    )


def test_a_face_lies_right_side_up() -> None:
    cloth = bay("", "").cloth("c")
    # Up the bolt its left is nearer to the near edge, and its head to the start.
    assert printed.corner(cloth, panel(2, 7, False), inches(4)) == (inches(3), inches(6))
    # Railroaded its left is nearer to the start, and its head 3 in from the panel's far edge, which
    # is 40 - 2 - 15 in from that of the cloth.
    assert printed.corner(cloth, panel(2, 7, True), inches(4)) == (inches(4), inches(26))


@pytest.mark.parametrize(
    ("cloth", "match", "first"),
    [
        ('start = "motif"', "", 0),
        ("start = 3", "", 3),
        ('start = "any"', "", None),
        ('start = "any"', "motif_below = 2", 0),
        # Railroaded, rows lie across, and bear on places along only where columns are shifted.
        ('start = "any"\nruns = "railroaded"', "motif_below = 2", None),
        ('start = "any"\nruns = "railroaded"\ncolumn_shift = "half"', "motif_below = 2", 0),
        ('start = "any"', 'motif_below = 2\nstrategy = "plain"', None),
    ],
)
def test_where_the_first_motif_of_a_bolt_is(cloth: str, match: str, first: float | None) -> None:
    job = bay(f"repeat_down = 8\nrepeat_across = 6\n{cloth}", match)
    assert printed.first_motif(job, job.cloth("c"), BOLT) == (
        None if first is None else inches(first)
    )


def test_a_piece_on_hand_says_where_its_first_motif_is() -> None:
    pieces = '[[cloth.c.piece]]\nname = "a"\nlength = 60\nstart = 5\n'
    pieces += '[[cloth.c.piece]]\nname = "b"\nlength = 60'
    job = bay(f"repeat_down = 8\n{pieces}", "")
    cloth = job.cloth("c")
    assert [printed.first_motif(job, cloth, name) for name in "ab"] == [inches(5), 0]


def test_the_next_column_of_railroaded_motifs_is_nearer_by_the_shift() -> None:
    cloth = bay("repeat_down = 8\nrepeat_across = 6\ncolumn_shift = 3\nmotif_at = 5", "").cloth("c")
    everywhere = (0, 0), (inches(12), inches(40))
    found = set(printed.motifs(cloth, True, *everywhere))
    rows = {column: {inches(40) - row for c, row in found if c == column} for column, _ in found}
    near = {at: {inches(x) for x in range(at, 41, 8)} for at in (5, 2, 7)}
    assert rows == {0: near[5], inches(6): near[2], inches(12): near[7]}


@pytest.mark.parametrize(
    ("cloth", "strategy", "wanted"),
    [
        ("repeat_across = 6", "level", Points(None, None)),
        ("repeat_across = 6", "centred", Points(inches(6), 1)),
        ("repeat_across = 6", "continuous", Points(inches(6), 1)),
        ("repeat_down = 8", "level", Points(None, inches(8))),
        ("repeat_down = 8", "centred", Points(None, inches(8))),
        ("repeat_down = 8", "continuous", Points(None, inches(8))),
    ],
)
def test_stripes_ask_for_columns_only_and_bands_for_rows(
    cloth: str, strategy: str, wanted: Points
) -> None:
    job = bay(cloth, f'strategy = "{strategy}"')
    assert points(job, job.cloth("c")) == wanted


def test_centred_motifs_stand_as_high_on_every_shade_unless_they_may_alternate() -> None:
    cloth = 'repeat_down = 8\nrepeat_across = 6\ncolumn_shift = "half"'
    same, other = (bay(cloth, f'strategy = "centred"\n{more}') for more in ("", "alternate = true"))
    assert points(same, same.cloth("c")) == Points(inches(6), inches(8), inches(4))
    assert points(other, other.cloth("c")) == Points(inches(6), inches(4))


SORTS = {
    "stripes": "repeat_across = 6",
    "bands": "repeat_down = 8",
    "straight": "repeat_down = 8\nrepeat_across = 6",
    "half-drop": 'repeat_down = 8\nrepeat_across = 6\ncolumn_shift = "half"',
}
"""Prints by name."""


@pytest.mark.parametrize("sort", SORTS)
@pytest.mark.parametrize("strategy", ["level", "centred", "continuous"])
@pytest.mark.parametrize("runs", ["up the bolt", "railroaded"])
@pytest.mark.parametrize(
    "more",
    mostly_slow(
        [
            'motif_below = 1\ncentre_on = "between"\nanchor = "sill"',
            "motif_below = 2.5",
            "motif_below = 2.5\nalternate = true",
            'motif_below = 1\nanchor = "wall"\nacross = "opening"',
        ],
        4,
    ),
)
def test_every_place_of_a_face_is_by_the_motifs_on_the_cloth(
    sort: str, strategy: str, runs: str, more: str
) -> None:
    """Against the words of the strategies, asked of motif centres one by one."""
    facts = f'{SORTS[sort]}\nmotif_at = 2\nstart = 3.5\nruns = "{runs}"'
    job = bay(facts, f'strategy = "{strategy}"\n{more}', "head = 4.5")
    cloth, (opening,) = job.cloth("c"), job.openings
    match, turned = Match(job, cloth), runs == "railroaded"
    size = panels(job, opening, Way(turned, None), inches(20))["face"]
    assert (size.across, size.along) == (
        (inches(15), inches(22)) if turned else (inches(22), inches(15))
    )
    around = circumference(match.points, turned)
    ((column, row),) = match.bases
    for left in (0, inches(21)):
        for start in match.starts:
            slots = match.slots(opening, (left, inches(20)), size, (column, row + start))
            room = cloth.usable - size.across
            listed = {
                (x, y)
                for slot in slots
                for x in range(slot.first, room + 1, slot.pace if slot.pace > 1 else TRIED)
                for y in range(0, around if around > 1 else inches(12), TRIED)
                if (y - inches(3.5) - slot.phase) % around == 0
            }
            tried = {
                (x, y)
                for x in range(0, room + 1, TRIED)
                for y in range(0, around if around > 1 else inches(12), TRIED)
                if _shows(job, turned, (x, y), left, start)
            }
            assert listed == tried
            assert listed


def _shows(job: Job, turned: bool, place: tuple[int, int], left: int, start: int) -> bool:
    """Whether a face shows what is asked for, its panel's corner at a place of the bolt.

    Args:
        left: of the shade in its opening.
        start: how much lower than asked for an unbroken print may lie in this opening.
    """
    (cloth,), match, (x, y) = job.cloths, job.match, place
    # From here on `side` runs to the face's right, and `low` down it.
    side, low = (y, cloth.usable - x - inches(15)) if turned else (x, y)
    middle = inches(20.5) - left if match.strategy == "continuous" else inches(10)
    middle += side + inches(1)
    anchor = {"head": 0, "sill": 10, "wall": 4.5}[match.anchor]
    below = (match.motif_below or 0) * (-1 if match.anchor == "sill" else 1)
    wanted = low + inches(3) + inches(anchor) + below - start
    by_column = match.strategy != "level" and cloth.repeat_across is not None
    if match.centre_on == "between":
        middle -= (cloth.repeat_across or 0) // 2
    motifs = _motifs(job, turned)
    as_high = cloth.repeat_down is None or any(wanted == row for _, row in motifs)
    if not by_column or not as_high:
        return as_high
    alternate = match.strategy == "centred" and match.alternate
    return any(middle == column and (alternate or row in (wanted, None)) for column, row in motifs)


@cache
def _motifs(job: Job, turned: bool) -> frozenset[tuple[int | None, int | None]]:
    """Motif centres of a long bolt, one at 3 1/2 in along it and 2 in from its near usable edge, to
    the right and down as one looks at a shade; None for a way in which any place is as good."""
    (cloth,) = job.cloths
    across, down = cloth.repeat_across, cloth.repeat_down
    far = inches(38)  # of the near edge's 2 in, from the other one
    side, low = (inches(3.5), far) if turned else (inches(2), inches(3.5))
    columns = range(-12, 13) if across else (0,)
    rows = range(-12, 13) if down else (0,)
    return frozenset(
        (
            side + i * across if across else None,
            low + i * cloth.column_shift + k * down if down else None,
        )
        for i, k in product(columns, rows)
    )
