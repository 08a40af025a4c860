"""The trade's arithmetic: take-up, cut sizes, divisions, and what a refusal says would do."""

from __future__ import annotations

import re
from fractions import Fraction
from itertools import pairwise, product
from math import pi

import mpmath
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from jobs import inches, job_of
from shadewright.job.model import Job
from shadewright.measure import ceil_to
from shadewright.planning.possible import ready
from shadewright.trade import divisions
from shadewright.trade.counts import counts
from shadewright.trade.divisions import Way
from shadewright.trade.refusal import CannotMeetError
from shadewright.trade.sizes import (
    board_hanging_depth,
    panel,
    rod_hanging_depth,
    take_up,
)


def job(opening: str = "", cloth: str = "", make: str = "") -> Job:
    """One opening of 100 x 60 in one 54 in cloth, with lines of its own."""
    own = {line.split("=")[0].strip() for line in opening.splitlines()}
    usual = {"width": "100", "height": "60"}
    lines = [f"{key} = {value}" for key, value in usual.items() if key not in own]
    wide = "" if "width" in cloth else "width = 54\nselvedge = 0.5\n"
    return job_of(
        f'title = "t"\n[cloth.c]\n{wide}{cloth}\n[make]\n{make}\n[[opening]]\nname = "o"\n'
        + "\n".join([*lines, opening])
    )


# --- take-up ----------------------------------------------------------------------------------


def test_a_square_board_hangs_as_pythagoras_says() -> None:
    # Pocket 1 3/4, board 3/4: of the loop's 3 1/2 in the top and sides take 2 1/4, so each leg is
    # 5/8 over half of 3/4, and falls 1/2 (a 3-4-5 triangle): 3/4 + 1/2, exactly.
    assert board_hanging_depth(1.75, 0.75) == 1.25
    top, _ = take_up(job().make, job().tape)
    assert top == inches(0.5)


@settings(deadline=None, max_examples=20)
@given(st.floats(0.1, 3), st.floats(1.001, 6))
def test_a_boards_pocket_is_as_long_as_its_loop(side: float, times: float) -> None:
    pocket = 2 * side * times
    depth = board_hanging_depth(pocket, side)
    leg = mpmath.sqrt((depth - side) ** 2 + (side / 2) ** 2)
    assert float(3 * side + 2 * leg) == pytest.approx(2 * pocket, rel=1e-12)
    assert depth <= pocket


@pytest.mark.slow
@settings(deadline=None, max_examples=20)
@given(st.floats(0.1, 3), st.floats(1.001, 6))
def test_a_rods_pocket_is_as_long_as_its_loop(diameter: float, times: float) -> None:
    """The loop measured along its way, a thousand chords, against twice the pocket's depth."""
    pocket = pi * diameter / 2 * times
    radius = diameter / 2
    h = rod_hanging_depth(pocket, diameter) - radius
    touch = mpmath.acos(radius / h)  # from straight up to where the cloth meets the rod
    arc = [
        (radius * mpmath.sin(a), radius * mpmath.cos(a))
        for a in (touch + (2 * pi - 2 * touch) * i / 1000 for i in range(1001))
    ]
    way = [(0, h), *arc, (0, h)]
    length = sum(mpmath.hypot(b[0] - a[0], b[1] - a[1]) for a, b in pairwise(way))
    assert float(length) == pytest.approx(2 * pocket, rel=1e-5)


@pytest.mark.parametrize(("pocket", "rod"), [(1.5, 0.625), (1, 0.5), (2.5, 1), (3.2, 2)])
def test_a_rods_depth_is_the_root_that_another_solver_finds(pocket: float, rod: float) -> None:
    r = mpmath.mpf(rod) / 2

    def excess(h: mpmath.mpf) -> mpmath.mpf:
        around = r * (2 * mpmath.pi - 2 * mpmath.acos(r / h))
        return 2 * mpmath.sqrt(h * h - r * r) + around - 2 * pocket

    root = mpmath.findroot(excess, (r * (1 + mpmath.mpf(10) ** -12), pocket), solver="anderson")
    assert rod_hanging_depth(pocket, rod) == pytest.approx(float(root + r), rel=1e-9)


@pytest.mark.parametrize(("key", "stick"), [("board_pocket", "board"), ("rod_pocket", "rod")])
def test_the_smallest_pocket_that_is_named_is_the_smallest(key: str, stick: str) -> None:
    tight = job(make=f"{key} = 0.5\n{stick} = 1")
    with pytest.raises(CannotMeetError) as refused:
        take_up(tight.make, tight.tape)
    (refusal,) = refused.value.refusals
    assert refusal.where == f"[make] {key}"
    named = _inches_in(refusal.nearest)
    works = job(make=f"{key} = {float(named)}\n{stick} = 1")
    take_up(works.make, works.tape)
    less = job(make=f"{key} = {float(named - Fraction(1, 16))}\n{stick} = 1")
    with pytest.raises(CannotMeetError):
        take_up(less.make, less.tape)


def _inches_in(text: str) -> Fraction:
    """The first length of a text such as ``1 5/8"``."""
    found = re.search(r"(?:(\d+) )?(\d+)/(\d+)\"|(\d+)\"", text)
    assert found, text
    whole, top, bottom, alone = found.groups()
    if alone:
        return Fraction(alone)
    return Fraction(whole or 0) + Fraction(int(top), int(bottom))


# --- cut sizes --------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("make", "takes"),
    [
        ("", 4),  # double 1 in: common practice
        ("side_fold = 0.5", 2),  # double 1/2 in: common practice
        ("side_folds = 1", 2),
        ('lining = "c"', 1),  # knife edge, 1/2 in seams: common practice
    ],
)
def test_sides_take_what_is_usual(make: str, takes: float) -> None:
    asked = job(make=make)
    size = panel(asked, asked.cloth("c"), inches(30), inches(60), False)
    assert size.cut_width == inches(30 + takes)
    assert size.hem_left == inches(takes / 2)


def test_lengths_take_both_pockets_and_their_raw_edges() -> None:
    asked = job(make="take_up = 0.75")
    size = panel(asked, asked.cloth("c"), inches(30), inches(60), False)
    assert size.cut_length == inches(60 + 1.75 + 1.5 + 2 * 0.5 + 0.75)
    turned = panel(asked, asked.cloth("c"), inches(30), inches(60), True)
    assert (turned.across, turned.along) == (size.along, size.across)


@given(
    st.integers(16, 2000),
    st.integers(16, 2000),
    st.sampled_from(["0", "0.03", "0.125"]),
    st.sampled_from(["0", "0.015", "0.2"]),
    st.booleans(),
)
def test_cut_sizes_are_enough_and_not_a_step_too_much(
    wide: int,
    long: int,
    down: str,
    across: str,
    turned: bool,
) -> None:
    asked = SHRINKING[down, across]
    cloth, step = asked.cloth("c"), asked.step
    size = panel(asked, cloth, wide * step, long * step, turned)
    keep_width, keep_length = 1 - Fraction(across), 1 - Fraction(down)
    if turned:
        keep_width, keep_length = keep_length, keep_width
    # Washed, it must be at least what is sewn; a step less would not be.
    needed_width = wide * step + inches(4)
    needed_length = long * step + inches(1.75 + 1.5 + 1 + 0.5)
    for cut, keep, needed in (
        (size.cut_width, keep_width, needed_width),
        (size.cut_length, keep_length, needed_length),
    ):
        assert cut % step == 0
        assert cut * keep >= needed
        assert (cut - step) * keep < needed


SHRINKING = {
    (down, across): job(
        cloth=f"shrink_down = {down}\nshrink_across = {across}", make="take_up = 0.5"
    )
    for down, across in product(("0", "0.03", "0.125"), ("0", "0.015", "0.2"))
}


# --- divisions --------------------------------------------------------------------------------


@pytest.mark.parametrize("mount", ["", 'mount = "outside"\noverlap = 2'])
@pytest.mark.parametrize("width", [57, 100, "142 3/8", 190])
@pytest.mark.parametrize("gap", ["0.25", "[0.25, 0.5]", "[0, 1]"])
def test_equal_divisions_fill_the_opening(mount: str, width: object, gap: str) -> None:
    wide = f'"{width}"' if isinstance(width, str) else width
    asked = job(f"width = {wide}\ngap = {gap}\n{mount}")
    (opening,) = asked.openings
    limit = divisions.limits(asked, opening, Way(False, None))
    assert limit is not None
    clear = opening.width + 2 * (opening.overlap if mount else -opening.clearance)
    assert divisions.clear_width(opening) == clear
    for count in counts(asked, opening):
        low, high = opening.gap
        # Every width on the step, tried one by one.
        tried = [
            w
            for w in range(asked.step, limit.widest + 1, asked.step)
            if (count - 1) * low <= clear - count * w <= (count - 1) * high
            and w >= (opening.narrowest if count > 1 else asked.step)
        ]
        assert divisions.equal_widths(asked, opening, limit, count) == tried
        for w in tried:
            lefts = divisions.lefts(opening, [w] * count, asked.step)
            gaps = [b - a - w for a, b in pairwise(lefts)]
            assert lefts[0] == divisions.first_left(opening)
            assert lefts[-1] + w == lefts[0] + clear
            assert gaps == sorted(gaps, reverse=True)
            assert not gaps or gaps[0] - gaps[-1] <= asked.step
            assert all(low <= gap <= high for gap in gaps)


def test_no_shade_is_wider_than_the_cloth_less_its_hems() -> None:
    asked = job("widest = 200")
    (opening,) = asked.openings
    up = divisions.limits(asked, opening, Way(False, None))
    assert up is not None
    assert up.widest == inches(53 - 4)
    # Railroaded it is the length that must fit: 60 + 5 is too long for 53.
    assert divisions.limits(asked, opening, Way(True, None)) is None
    short = job("widest = 200\nheight = 40")
    turned = divisions.limits(short, short.openings[0], Way(True, None))
    assert turned is not None
    assert turned.widest == inches(200)


def test_left_to_itself_an_opening_takes_the_fewest_to_two_more() -> None:
    # 142 less 1/2: three of at most 49 do, two do not.
    asked = job("width = 142")
    assert counts(asked, asked.openings[0]) == [3, 4, 5]


# --- refusals ---------------------------------------------------------------------------------


def refusal(asked: Job) -> tuple[str, str]:
    with pytest.raises(CannotMeetError) as refused:
        ready(asked)
    (only,) = refused.value.refusals
    return only.where, only.nearest


def test_a_number_of_shades_that_is_named_works() -> None:
    where, nearest = refusal(job("width = 142\nshades = 2"))
    assert where == '[[opening]] "o" shades'
    number = re.search(r"\d+", nearest)
    assert number
    ready(job(f"width = 142\nshades = {number.group()}"))


def test_a_narrowest_that_is_named_works() -> None:
    where, nearest = refusal(job("width = 200\nnarrowest = 50\nwidest = 60"))
    assert where == '[[opening]] "o" narrowest'
    named = _inches_in(nearest)
    ready(job(f"width = 200\nnarrowest = {float(named)}\nwidest = 60"))
    # And no larger one does.
    with pytest.raises(CannotMeetError):
        ready(job(f"width = 200\nnarrowest = {float(named + Fraction(1, 16))}\nwidest = 60"))


def test_a_range_of_gaps_that_is_named_works() -> None:
    where, nearest = refusal(job("width = 200\ngap = 0.25"))
    assert where == '[[opening]] "o" gap'
    low, high = (_inches_in(part) for part in nearest.split(",")[:2])
    ready(job(f"width = 200\ngap = [{float(low)}, {float(high)}]"))


def test_a_width_of_cloth_that_is_named_works() -> None:
    where, nearest = refusal(job("height = 70", 'width = 54\nruns = "railroaded"'))
    assert where == '[[opening]] "o" height'
    ready(job("height = 70", f'width = {float(_inches_in(nearest))}\nruns = "railroaded"'))


def test_the_cloth_that_is_too_narrow_is_the_one_named() -> None:
    # The lining could lie either way; the face is railroaded and not wide enough.
    asked = job_of(
        """
        title = "t"
        [cloth.face]
        width = 54
        runs = "railroaded"
        [cloth.back]
        width = 45
        [make]
        lining = "back"
        [[opening]]
        name = "o"
        cloth = "face"
        width = 40
        height = 60
        """
    )
    with pytest.raises(CannotMeetError) as refused:
        ready(asked)
    (only,) = refused.value.refusals
    assert "face" in only.reason
    assert "back" not in only.reason


def test_sizes_round_up_once_and_not_part_by_part() -> None:
    # 60 1/32 and 5 in make 65 1/32, up to 65 1/16; part by part it would be more.
    asked = job("height = '60 1/16'", make="take_up = '23/32'")
    cut = divisions.panels(asked, asked.openings[0], Way(False, None), inches(40))[
        "face"
    ].cut_length
    exact = inches(60.0625) + inches(1.75 + 1.5 + 1) + asked.make.take_up
    assert cut == ceil_to(Fraction(exact), asked.step)
