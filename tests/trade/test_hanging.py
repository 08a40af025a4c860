"""Where shades hang, to which side they draw, and how close lift lines stand."""

from __future__ import annotations

from pathlib import Path

import pytest

import brute_force
from jobs import inches, job_of
from shadewright.job.model import Job
from shadewright.job.problems import JobError
from shadewright.job.read import read_job
from shadewright.judge.replay import judge
from shadewright.measure import TICKS, Ticks
from shadewright.planning.make import make_plan
from shadewright.planning.possible import possible, ready
from shadewright.report.pages.making_card import steps
from shadewright.report.pages.wall_view import all_rows
from shadewright.report.text.check import said_back
from shadewright.report.text.summary import summary
from shadewright.report.work import hanging
from shadewright.report.work.account import Account
from shadewright.report.work.advice import lines_close
from shadewright.report.work.makings import end_above_floor
from shadewright.trade import beams, cords, rolled
from shadewright.trade.divisions import clear_width, finished_length, panels, ways
from shadewright.trade.naive import naive
from shadewright.trade.refusal import CannotMeetError

INCH, MM = TICKS["in"], TICKS["mm"]


def hung(make: str = "", rest: str = "", *, width: float = 30.5, height: float = 60) -> Job:
    return job_of(f"""
        title = "one"
        [cloth.canvas]
        width = 60
        runs = "up the bolt"
        [make]
        {make or 'hook_drop = "1 1/4"'}
        [[opening]]
        name = "bay"
        width = {width}
        height = {height}
        {rest}
        """)


def length_of(job: Job) -> Ticks:
    return finished_length(job.make, job.openings[0])


def told_of(job: Job) -> str:
    return " ".join(said_back(job, possible(job)).split())


# --- hanging ------------------------------------------------------------------------------------


def test_eye_and_hook_and_the_sill_shorten_a_shade_inside() -> None:
    assert length_of(hung()) == inches(58.75)
    assert length_of(hung(rest="sill_gap = 0.5")) == inches(58.25)
    outside = 'mount = "outside"\noverlap = 2\noverlap_bottom = 3\nsill_gap = 1'
    assert length_of(hung(rest=outside)) == inches(65)


@pytest.mark.parametrize(("units", "drop"), [("in", INCH), ("cm", 25 * MM)])
def test_a_board_hangs_an_inch_below_the_head_by_default(
    tmp_path: Path, units: str, drop: Ticks
) -> None:
    path = tmp_path / "job.toml"
    path.write_text(
        f'title = "t"\nunits = "{units}"\n[cloth.c]\nwidth = 140\n'
        '[[opening]]\nname = "o"\nwidth = 40\nheight = 50'
    )
    assert read_job(path).make.hook_drop == drop


def test_all_that_a_length_decides_is_shorter() -> None:
    """Panels, cords, the raised roll, the load and the notepad way, by how much by hand."""
    short, long = hung(), hung("hook_drop = 0")
    drop = inches(1.25)
    (opening,) = short.openings
    (way,) = ways(short, opening)
    cut = [panels(job, opening, way, 30 * INCH)["face"].cut_length for job in (short, long)]
    assert cut[1] - cut[0] == drop
    strung = [cords.cords(job, opening, 30 * INCH, "right").lengths for job in (short, long)]
    assert [b - a for a, b in zip(*strung, strict=True)] == [2 * drop] * 2
    up = [rolled.raised(job, opening).diameter for job in (short, long)]
    assert up[0] < up[1]
    assert beams.load(short, opening).cloth < beams.load(long, opening).cloth
    # 31 + 4.98 up to 36, and 1 squared up, are 37 in and 9 eighths of a yard; 1 1/4 less is 8.
    notepad = [naive(job) for job in (hung(height=31), hung("hook_drop = 0", height=31))]
    assert [each and each.bought["canvas"] for each in notepad] == [36 * INCH, inches(40.5)]


def test_cords_are_guided_where_the_board_hangs() -> None:
    job = hung('hook_drop = "1 1/4"\ntail_reach = 48', "head_above_floor = 84")
    (opening,) = job.openings
    assert cords.guide_height(job.make, opening, 84 * INCH) == inches(82.75)
    assert cords.tail_of(job.make, opening) == inches(34.75)
    plan = make_plan(job, 5).plan
    (card,) = Account(job, plan).cards
    assert end_above_floor(job, card, up=False) == 48 * INCH


def test_a_tail_must_reach_from_the_board_and_not_from_the_head(tmp_path: Path) -> None:
    text = (
        'title = "t"\n[cloth.c]\nwidth = 54\n[make]\ntail_reach = 60\nhook_drop = 2\n'
        '[[opening]]\nname = "o"\nwidth = 40\nheight = 50\nhead_above_floor = {}'
    )
    path = tmp_path / "job.toml"
    path.write_text(text.format(62))
    with pytest.raises(JobError, match='more than tail_reach, which is 60" and hook_drop, 2"'):
        read_job(path)
    path.write_text(text.format("62.5"))
    assert cords.tail_of(read_job(path).make, read_job(path).openings[0]) == inches(0.5)


@pytest.mark.parametrize(("height", "gap"), [(1.25, 0), (2, 0.75), (2, 4)])
def test_what_leaves_a_shade_no_length_is_refused(height: float, gap: float) -> None:
    with pytest.raises(CannotMeetError) as caught:
        ready(hung(rest=f"sill_gap = {gap}", height=height))
    (refusal,) = caught.value.refusals
    assert refusal.where == '[[opening]] "bay" height'
    assert "hook_drop" in refusal.reason
    more = 1.25 + gap + 1 / 16
    ready(hung(rest=f"sill_gap = {gap}", height=more))


def test_check_says_what_hangs_how_far_below_the_head() -> None:
    told = told_of(hung(rest='sill_gap = "1/2"'))
    assert 'boards hang 1 1/4" below the head of an inside mount' in told
    assert '1/2" free above the sill, shades 58 1/4" long finished' in told
    told = told_of(hung("hook_drop = 0"))
    assert "hook_drop is 0: finished lengths of inside mounts do not count in the eyes" in told
    told = told_of(hung("hook_drop = 0", 'mount = "outside"\noverlap_bottom = 2'))
    assert "hook_drop" not in told
    assert 'at each side and the top and 2" below, shades 62" long finished' in told


def test_an_outside_mount_that_laps_over_nothing_is_told() -> None:
    def said(rest: str) -> list[str]:
        plan = make_plan(job := hung(rest=rest), 5).plan
        return [each for each in Account(job, plan).advice if "overlap" in each]

    (bare,) = said('mount = "outside"\noverlap_bottom = 3')
    assert bare.startswith("bay hangs outside and covers no more than the opening itself")
    assert said('mount = "outside"\noverlap = 2') == []
    assert said("") == []
    many = "".join(
        f'\n[[opening]]\nname = "hatch {n}"\nwidth = 30\nheight = 60\nmount = "outside"'
        for n in range(7)
    )
    (bare,) = said(many)
    assert bare.startswith(
        "hatch 0, hatch 1, hatch 2, hatch 3, hatch 4 and 2 more hang outside and"
    )


def test_the_wall_view_hangs_shades_below_the_head_and_over_the_sill() -> None:
    plan = make_plan(job := hung(rest="sill_gap = 1"), 5).plan
    (row,) = all_rows(Account(job, plan))
    (inside,) = row.hung
    assert (inside.above_head, inside.below, row.top) == (-inches(1.25), 0, 0)
    plan = make_plan(job := hung(rest='mount = "outside"\noverlap = 2\noverlap_bottom = 3'), 5).plan
    (row,) = all_rows(Account(job, plan))
    (outside,) = row.hung
    assert (outside.above_head, outside.below, row.top) == (2 * INCH, 3 * INCH, 2 * INCH)


def test_a_card_says_where_its_shades_hang() -> None:
    job = hung(rest="sill_gap = 1")
    (card,) = Account(job, make_plan(job, 5).plan).cards
    said = dict(steps(job, card))
    assert said["Hung"] == ['board\'s top 1 1/4" below the head, rod 1" above the sill']


SMALL = """
title = "small"
step = 1
[cloth.a]
width = 40
runs = "up the bolt"
price = 36
sold_in = "1 in"
[make]
take_up = 1
side_fold = 0.5
hook_drop = 2
[[opening]]
name = "in"
width = 40
height = 22
sill_gap = 1
clearance = 0
gap = 0
narrowest = 10
[[opening]]
name = "out"
width = 20
height = 15
mount = "outside"
overlap = 1
overlap_bottom = 2
gap = 0
"""


def test_the_solver_finds_what_trying_every_length_finds() -> None:
    job = job_of(SMALL)
    answer = brute_force.best(job, 100_000)
    assert answer is not None
    (first, shades, used, _, _), _ = answer
    planned = make_plan(job, seconds=30)
    values = {goal.goal: goal.value for goal in planned.plan.proof.goals}
    assert (values["money"], values["shades"], values["used"]) == (float(first), shades, used)
    assert judge(job, planned.plan.model_dump(mode="json", by_alias=True)) == []
    lengths = {shade.opening: shade.finished_length for shade in planned.plan.shades}
    assert lengths == {"in": 19 * INCH, "out": 18 * INCH}


# --- draws --------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("number", "draws"),
    [
        (1, ["right"]),
        (2, ["left", "right"]),
        (3, ["left", "centre", "right"]),
        (5, ["left", "centre", "centre", "centre", "right"]),
    ],
)
def test_shades_draw_to_their_own_side_or_to_the_centre(number: int, draws: list[str]) -> None:
    (opening,) = hung().openings
    assert [cords.draw_of(opening, at, number) for at in range(1, number + 1)] == draws


def test_listed_draws_settle_the_number_of_shades() -> None:
    job = hung(rest='draw = ["centre", "auto", "left"]\nnarrowest = 8', width=60)
    assert {number for number, _ in possible(job)["bay"].agreed} == {3}
    plan = make_plan(job, 5).plan
    assert [shade.draw for shade in plan.shades] == ["centre", "centre", "left"]
    assert judge(job, plan.model_dump(mode="json", by_alias=True)) == []
    assert "of canvas, drawn centre, auto, left" in told_of(job)


def test_listed_draws_that_cannot_be_hung_are_refused_by_their_key() -> None:
    with pytest.raises(CannotMeetError, match=r'"bay" draw: 3 shades do not fit'):
        ready(hung(rest='draw = ["left", "centre", "right"]'))


@pytest.mark.parametrize("width", [40, 40 + 1 / 64])
def test_both_cords_of_a_centre_draw_are_equal(width: float) -> None:
    job = hung()
    (opening,) = job.openings
    strung = cords.cords(job, opening, inches(width), "centre")
    # A board of 39 49/64 in has an odd number of ticks, so its middle lies between two.
    left, right = strung.lengths
    assert left == right
    far = max(abs(strung.guide - line) for line in strung.lift_lines)
    assert left == 2 * length_of(job) + 21 * INCH + far


# --- lift lines ---------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("rest", "close"),
    [
        # 30 finished in two with 1/2 between: 14 3/4, of which 10 are not between the lines.
        ("shades = 2\nnarrowest = 10\ngap = 0.5", '14 3/4" wide stand only 4 3/4" apart'),
        ("shades = 1", None),
    ],
)
def test_lift_lines_that_stand_close_are_warned_of(rest: str, close: str | None) -> None:
    job = hung(rest=rest)
    said = summary(Account(job, make_plan(job, 5).plan)), told_of(job)
    for told in (" ".join(text.split()) for text in said):
        assert (f"bay: lift lines of a shade {close}" in told) == (close is not None)
        assert ("lift lines of a shade" in told) == (close is not None)


def test_what_sets_lift_lines_further_apart_is_something_that_can_be_done() -> None:
    job = hung()
    (divided,) = lines_close(job, {"bay": 14 * INCH})
    assert "fewer and wider shades, or a smaller lift_inset, set them further apart" in divided
    # Its only shade cannot be one of fewer.
    small = job.with_openings(o.model_copy(update={"width": 14 * INCH}) for o in job.openings)
    (alone,) = lines_close(small, {"bay": clear_width(small.openings[0])})
    assert alone.endswith("easily; a smaller lift_inset sets them further apart.")


def test_six_inches_or_150_mm_are_far_enough() -> None:
    job = hung()
    assert cords.lines_apart(job, 16 * INCH) == cords.least_apart(job) == 6 * INCH
    metric = job.model_copy(update={"units": "cm"})
    assert cords.lines_apart(metric, 400 * MM) == cords.least_apart(metric) == 150 * MM
    # Where the lines move in on a narrow shade, they are half of it apart.
    assert cords.lines_apart(job, 8 * INCH) == 4 * INCH


# --- facts of the work --------------------------------------------------------------------------


def test_cards_and_advice_tell_the_same_facts() -> None:
    job = hung()
    account = Account(job, make_plan(job, 5).plan)
    (card,) = account.cards
    on_card = [line for _, lines in steps(job, card) for line in lines]
    advice = " ".join(account.advice)
    for fact in (hanging.STARTER_HOLE, hanging.LOWER_EYES, hanging.CORD_RUN):
        assert fact in on_card
        assert fact in advice
    assert "awl" in hanging.STARTER_HOLE
