"""What shades are called."""

from __future__ import annotations

from jobs import job_of
from shadewright.cloth.plan import Shade, shade_id
from shadewright.job.model import Job
from shadewright.report.work.names import ShadeNames


def porch(**copies: int) -> Job:
    openings = "".join(
        f'[[opening]]\nname = "{name.replace("_", " ")}"\nwidth = 30\nheight = 50\ncopies = {n}\n'
        for name, n in copies.items()
    )
    return job_of(f'title = "t"\n[cloth.c]\nwidth = 54\n{openings}')


def shade(opening: str, copy: int, place: int, of: int) -> Shade:
    return Shade(
        id=shade_id(opening, copy, place, of),
        opening=opening,
        copy=copy,
        place=place,
        of=of,
        left=0,
        finished_width=1,
        finished_length=1,
        draw="right",
        cloth="c",
    )


SHADES = [
    *(shade("Lake bay", copy, place, 3) for copy in (1, 2, 3, 5) for place in (1, 2, 3)),
    *(shade("West bay", 1, place, 2) for place in (1, 2)),
    *(shade("Front bay", copy, 1, 1) for copy in (1, 2)),
    shade("Door", 1, 1, 1),
]
JOB = porch(Lake_bay=5, West_bay=1, Front_bay=2, Door=1)


def test_a_number_that_tells_nothing_is_left_out() -> None:
    names = ShadeNames(JOB, SHADES)
    assert SHADES[1].id == "Lake bay 1, 2 of 3"
    assert names.of("Lake bay 1, 2 of 3") == "Lake bay 1, 2 of 3"
    assert names.of("West bay 1, 2 of 2") == "West bay, 2 of 2"
    assert names.of("Front bay 2, 1 of 1") == "Front bay 2"
    assert names.of("Door 1, 1 of 1") == "Door"


def test_shades_made_alike_are_named_together() -> None:
    names = ShadeNames(JOB, SHADES)
    outer = [s for s in SHADES if s.opening != "Lake bay" or s.place != 2]
    assert names.together(outer) == (
        "Lake bay 1 to 3 and 5, 1 and 3 of 3; West bay, 1 and 2 of 2; Front bay 1 and 2; Door"
    )
    uneven = [SHADES[0], SHADES[4]]
    assert names.together(uneven) == "Lake bay 1, 1 of 3; Lake bay 2, 2 of 3"


def test_a_shade_is_found_by_id_or_name_in_any_case() -> None:
    names = ShadeNames(JOB, SHADES)
    for text in ("West bay 1, 2 of 2", "west  BAY, 2 OF 2", "West bay, 2 of 2"):
        assert names.matching(text) == ["West bay 1, 2 of 2"]
    assert names.matching("front bay 2") == ["Front bay 2, 1 of 1"]
    assert names.matching("Front bay") == names.matching("") == []


def test_names_that_would_be_one_give_way_to_ids() -> None:
    shades = [shade("Bay", 1, 1, 1), shade("Bay", 2, 1, 1), shade("bay 2", 1, 1, 1)]
    names = ShadeNames(porch(Bay=2, bay_2=1), shades)
    assert [names.of(s.id) for s in shades] == [s.id for s in shades]
    assert names.together(shades) == "Bay 1, 1 of 1; Bay 2, 1 of 1; bay 2 1, 1 of 1"
    # Letters alone tell these two apart, which no job may have but a plan file can.
    cased = [shade("Bay", 1, 1, 1), shade("BAY", 1, 1, 1)]
    names = ShadeNames(porch(Bay=1), cased)
    assert names.matching("Bay 1, 1 of 1") == ["Bay 1, 1 of 1"]
    assert len(names.matching("bay 1, 1 of 1")) == 2
