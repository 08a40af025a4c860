"""Keys that a job states and that change nothing in it: each is told in a note."""

from __future__ import annotations

import pytest

from jobs import inches, job_of
from shadewright.job.problems import JobError
from shadewright.job.ranges import priced_ends
from shadewright.job.read import read_text
from shadewright.measure import parse_length

BAY = '[[opening]]\nname = "Bay"\nwidth = 60\nheight = 40\n'
HALF_DROP = 'repeat_down = 18\nrepeat_across = 9\ncolumn_shift = "half"\n'


def job_text(cloth: str = "", make: str = "", match: str = "", more: str = "") -> str:
    head = f'title = "p"\n[cloth.a]\nwidth = 54\n{cloth}\n'
    return f"{head}[make]\n{make}\n[match]\n{match}\n{BAY}{more}"


@pytest.mark.parametrize(
    ("text", "notes"),
    [
        (
            job_text("repeat_across = 9", match='motif_below = 4\nanchor = "sill"'),
            [
                "match anchor: not used, as stripes look alike at every height",
                "match motif_below: not used, as stripes look alike at every height",
            ],
        ),
        (
            job_text(match="motif_below = 4"),
            ["match motif_below: not used, as no print is matched"],
        ),
        (job_text("repeat_down = 9", match="motif_below = 4"), []),
        (
            job_text(HALF_DROP, match='alternate = true\ncentre_on = "between"'),
            [
                "match centre_on: not used, as nothing is centred",
                "match alternate: not used, as no print with a column_shift is centred",
            ],
        ),
        (job_text(HALF_DROP, match='strategy = "centred"\nalternate = true'), []),
        (
            job_text("repeat_across = 9", match='strategy = "continuous"\nalternate = true'),
            ["match alternate: not used, as no print with a column_shift is centred"],
        ),
        (
            job_text(make="shade_cost = 12"),
            ["make shade_cost: not weighed against cloth, as no price of a is given"],
        ),
        (
            job_text(more="[prices]\nhook = 0.6"),
            ["prices: not weighed against cloth, as no price of a is given"],
        ),
        (
            job_text("price = 9", make="shade_cost = 12\nextra_shade = 36"),
            ["make extra_shade: not used, as what a shade costs is known by make shade_cost"],
        ),
        (job_text("price = 9", make="shade_cost = 12"), []),
        (
            job_text("price = 9", more="[prices]\nminutes = 45"),
            ["prices minutes: not used, as no price is given"],
        ),
        (job_text("price = 9", more="[prices]\nminutes = 45\nhour = 20"), []),
        (
            job_text('repeat_across = 9\nmotif_at = 3\nruns = "railroaded"'),
            ["a motif_at: not used, as its stripes lie across the bolt"],
        ),
        (job_text("repeat_across = 9\nmotif_at = 3"), []),
        (
            job_text("repeat_down = 9\nmotif_at = 3"),
            ["a motif_at: not used, as its bands lie across the bolt"],
        ),
        (
            job_text("repeat_across = 9\nstart = 3"),
            ["a start: not used, as cuts may fall anywhere along the bolt"],
        ),
        (
            job_text(
                'repeat_across = 9\nstart = 3\nruns = "railroaded"', match='strategy = "centred"'
            ),
            [],
        ),
        (job_text('repeat_down = 9\nstart = "motif"'), []),
        (
            job_text("repeat_down = 9\nstart = 3", match='strategy = "plain"'),
            ["a start: not used, as its print is not matched"],
        ),
        (
            job_text('can_buy = false\nspare = 9\nbolt = "20 yd"'),
            [
                "a bolt: not used, as no more of it can be bought",
                "a spare: not used, as no more of it can be bought",
            ],
        ),
    ],
)
def test_what_is_stated_and_not_used_is_told(text: str, notes: list[str]) -> None:
    assert list(read_text(text).notes) == notes


@pytest.mark.parametrize(
    ("text", "spare"), [("18 in", 18), ("1 in", 1), ("1 yd", 36), ("1 ft", 12), ("1 foot", 12)]
)
def test_a_length_that_looks_like_a_word_is_a_length(text: str, spare: int) -> None:
    """Letter by letter "1 in" is nearly "1 panel"."""
    job = job_of(job_text(f'spare = "{text}"'))
    assert job.cloth("a").spare == inches(spare)


def test_a_lay_that_no_opening_can_have_is_refused_once() -> None:
    with pytest.raises(JobError) as why:
        read_text(job_text(HALF_DROP, more='runs = "mixed"'))
    assert len(why.value.problems) == 1


@pytest.mark.parametrize(
    "text", ["96 = 4.5; 48 = 2.5", "{ 96 = 4.5, 48 = 2.5 }", '{"8 ft"=4.5,48=2.5}']
)
def test_prices_by_length_may_be_typed_into_a_cell_as_they_stand_in_a_job_file(text: str) -> None:
    assert {parse_length(k, "in"): v for k, v in dict(priced_ends(text)).items()} == {
        inches(96): 4.5,
        inches(48): 2.5,
    }


def test_a_price_that_is_none_is_refused_with_both_ways_to_say_it() -> None:
    with pytest.raises(JobError, match="a price for each stick, or one for each length sold"):
        read_text(job_text(more='[prices]\nrod = "dear"'))


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (job_text(more="hook_drop = 1"), "no such key here; [make] has it"),
        (job_text(make="sill_gap = 1"), "no such key here; [[opening]] has it"),
        (job_text(make="motif_below = 1"), "no such key here; [match] has it"),
        (job_text(more="bolt = 600"), "no such key here; [cloth.NAME] has it"),
        (job_text(make="alike = false"), "no such key here; [fit] and [[opening]] have it"),
        (job_text(make="children = true"), "no such key here; the top of the file has it"),
    ],
)
def test_a_key_in_another_table_is_told_where_it_belongs(text: str, said: str) -> None:
    with pytest.raises(JobError) as why:
        read_text(text)
    assert [problem.wanted for problem in why.value.problems] == [said]


@pytest.mark.parametrize("like", ["Bay", "bay", " BAY "])
def test_an_opening_is_like_another_whatever_the_letters_of_its_name(like: str) -> None:
    more = f'[[opening]]\nname = "Door"\nwidth = 60\nheight = 40\nlike = "{like}"'
    assert job_of(job_text(more=more)).openings[1].like == "Bay"


def test_which_of_two_names_is_meant_must_be_clear() -> None:
    more = '[[opening]]\nname = "BAY"\nwidth = 60\nheight = 40\n'
    door = '[[opening]]\nname = "Door"\nwidth = 60\nheight = 40\nlike = "bay"'
    with pytest.raises(JobError, match='like: found "bay", wanted "Bay" or "BAY"'):
        read_text(job_text(more=more + door))
