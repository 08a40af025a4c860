"""The wall view: where motifs fall on faces, and what is drawn once."""

from __future__ import annotations

import time
from fractions import Fraction
from itertools import pairwise

import pytest

import plans
from jobs import job_of
from plans import inch
from shadewright.cloth.plan import Plan
from shadewright.job.model import Job
from shadewright.planning.make import make_plan
from shadewright.report.pages.faces import Face, marks, starts
from shadewright.report.pages.picture import pictures_of
from shadewright.report.pages.rendering import svg
from shadewright.report.pages.wall_view import all_rows, draw_wall, height_of
from shadewright.report.work.account import Account
from shadewright.report.work.lays import lay_out

Spot = tuple[float, float]


def seen(job: Job, plan: Plan, place: int) -> list[Spot]:
    """Motif centres within a face, in inches from its top left corner."""
    face = marks(job, plan, plan.panels[place], starts(lay_out(job, plan)))
    wide, long = face.shade.finished_width, face.shade.finished_length
    return sorted(
        (float(Fraction(c) / 8128), float(Fraction(r) / 8128))
        for c, r in face.marks
        if 0 <= c <= wide and 0 <= r <= long
    )


def by_hand(name: str) -> tuple[Job, Plan]:
    job, made = plans.CLEAN[name]()
    return job, Plan.model_validate(made)


def test_centred_motifs_by_hand() -> None:
    # Columns at 5, 15, 25, ... with every other one half of 20 in lower, the first at zero of the
    # tape. The first face's corner is at x = 1 3/16 + 2, y = 1 + 2 1/2: columns lie 1 13/16,
    # 11 13/16 and 21 13/16 in from its left; rows 20 - 3 1/2 and 10 - 3 1/2 below its top.
    job, plan = by_hand("centred")
    high, low = (6.5, 26.5), (16.5, 36.5)
    first = [
        *((1.8125, r) for r in low),
        *((11.8125, r) for r in high),
        *((21.8125, r) for r in low),
    ]
    assert seen(job, plan, 0) == first
    # The second lies one column on, half of 20 in lower, and 50 in further along: 2 x 20 and half
    # of 20. So it looks just like the first.
    assert seen(job, plan, 1) == first


def test_a_continuous_print_is_one_lattice_over_the_whole_opening() -> None:
    job, plan = by_hand("continuous")
    on_the_wall = {
        (c + shade.left / 8128, r)
        for place, shade in enumerate(plan.shades)
        for c, r in seen(job, plan, place)
    }
    # The opening's middle is at 24, in the gap: columns every 10 in from there, every other one
    # 10 in lower.
    columns = {c for c, _ in on_the_wall}
    assert columns == {4.0, 14.0, 34.0, 44.0}
    for c, r in on_the_wall:
        assert (r - 10 * round((c - 24) / 10) - 6.5) % 20 in (0.0, 10.0)
    heights = {c: {r for cc, r in on_the_wall if cc == c} for c in columns}
    assert heights[4.0] == heights[44.0]
    assert heights[14.0] == heights[34.0]
    assert heights[14.0] != heights[4.0]


def test_railroaded_motifs_turn_with_the_cloth() -> None:
    # Columns lie along the roll at 2, 12, 22, ...; the first face's left is at 8 3/16 + 2. Rows lie
    # across from motif_at = 5, every 20; its top is at 44 3/4 - 2 1/2 = 42 1/4, and the next below
    # lies at 25.
    job, plan = by_hand("railroaded centred")
    assert seen(job, plan, 0) == [
        (c, r) for c in (1.8125, 11.8125, 21.8125) for r in (17.25, 37.25)
    ]


def test_plain_cloth_shows_no_motif() -> None:
    job, plan = by_hand("plain")
    assert all(
        marks(job, plan, panel, starts(lay_out(job, plan))).marks == ()
        for panel in plan.panels
        if panel.part == "face"
    )


@pytest.mark.parametrize(
    ("repeats", "apart"),
    [
        ("repeat_down = 10\ncolumn_shift = 3", 10),
        ("repeat_down = 10", 10),
        ("repeat_across = 8", 8),
        ('repeat_across = 8\nruns = "railroaded"', 8),
        ('repeat_down = 10\nruns = "railroaded"', 10),
    ],
)
def test_with_one_repeat_only_rows_bands_or_stripes_are_shown(repeats: str, apart: int) -> None:
    job = job_of(
        f"""
        title = "rows"
        [cloth.c]
        width = 54
        {repeats}
        [[opening]]
        name = "o"
        width = 30
        height = 40
        """
    )
    plan = make_plan(job, 5).plan
    face: Face = marks(job, plan, plan.panels[0], starts(lay_out(job, plan)))
    assert face.marks == ()
    shifted = "shift" in repeats
    bars = face.rows if shifted else face.middles
    assert face.striped == ("across" in repeats)
    steps = {b - a for a, b in pairwise(bars)}
    # Two rows of neighbouring columns are level, 3 in apart.
    assert steps == ({inch(3), inch(7)} if shifted else {inch(apart)})
    size = face.shade.finished_width if face.striped else face.shade.finished_length
    assert bars[0] <= inch(apart) / 2 or shifted
    assert bars[-1] >= size - inch(apart) / 2
    drawn = next(draw_wall(Account(job, plan))).areas
    assert any(getattr(area, "outlines", ()) for area in drawn) != shifted


LEAF = """
title = "copies"
[cloth.c]
width = 54
selvedge = 0.5
repeat_down = 20
repeat_across = 13.5
{match}
[[opening]]
name = "o"
width = 40
height = 50
head = 80
copies = 3
[[opening]]
name = "p"
width = 30
height = 20
head = 60
"""


def test_copies_are_drawn_once_where_they_look_alike() -> None:
    level = job_of(LEAF.format(match=""))
    plan = make_plan(level, 5).plan
    (row,) = all_rows(Account(level, plan))
    assert [hung.called for hung in row.hung] == ["o × 3", "p"]
    assert row.heads
    plain = job_of(LEAF.format(match='[match]\nstrategy = "plain"'))
    plan = make_plan(plain, 5).plan
    called = [hung.called for row in all_rows(Account(plain, plan)) for hung in row.hung]
    # Cut one after the other without regard to the print, no three can show it alike.
    assert len(called) > 2


@pytest.mark.parametrize("name", list(plans.CLEAN))
def test_every_shade_is_drawn_and_fits_its_page(name: str) -> None:
    job, plan = by_hand(name)
    rows = all_rows(Account(job, plan))
    drawn = {face.shade.opening for row in rows for hung in row.hung for face in hung.faces}
    assert drawn == {shade.opening for shade in plan.shades}
    for drawing in draw_wall(Account(job, plan)):
        assert drawing.width == 10
        assert drawing.height <= max(6.3, *(height_of([row]) for row in rows))


def test_pictures_show_the_roll_and_the_wall() -> None:
    job, plan = by_hand("continuous")
    drawn = [page.decode() for page in pictures_of(Account(job, plan), ".svg")]
    assert "Roll map: " in drawn[0]
    assert "Wall view: " in drawn[1]


@pytest.mark.parametrize("across", ['repeat_across = "0.1 mm"', ""])
def test_motifs_too_small_to_be_seen_are_not_drawn(across: str) -> None:
    # Columns a tenth of a millimetre apart are millions; they were all worked out, for minutes.
    text = f"""
        title = "fine"
        [cloth.c]
        width = 54
        repeat_down = "0.2 mm"
        {across}
        [[opening]]
        name = "bay"
        width = 142
        height = 78
        copies = 5
        """
    job = job_of(text)
    plan = make_plan(job, seconds=0.5).plan
    began = time.process_time()
    (drawing,) = draw_wall(Account(job, plan))
    assert time.process_time() - began < 5
    assert len(svg([drawing])) < 100_000
