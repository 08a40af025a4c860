"""Lengths: every way of writing them, and the tape that prints them."""

from __future__ import annotations

import re
from contextlib import suppress
from fractions import Fraction

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from shadewright.measure import (
    TICKS,
    LengthError,
    Tape,
    Unit,
    ceil_to,
    floor_to,
    nearest,
    nearest_to,
    parse_exact,
    parse_length,
    parse_quantity,
)

INCH, FOOT, YARD, MM = 8128, 12 * 8128, 36 * 8128, 320
EIGHTH = INCH // 8


@pytest.mark.parametrize(
    ("text", "unit", "ticks"),
    [
        ("62 3/8 in", "in", 62 * INCH + 3 * EIGHTH),
        ("62 3/8", "in", 62 * INCH + 3 * EIGHTH),
        ('62 3/8"', "cm", 62 * INCH + 3 * EIGHTH),
        ("62-3/8 in", "in", 62 * INCH + 3 * EIGHTH),
        ("62 - 3/8 in.", "in", 62 * INCH + 3 * EIGHTH),
        ("62–3/8 in", "in", 62 * INCH + 3 * EIGHTH),
        ("62 3⁄8 in", "in", 62 * INCH + 3 * EIGHTH),
        ("62⅜ in", "in", 62 * INCH + 3 * EIGHTH),
        ("62 ⅜”", "in", 62 * INCH + 3 * EIGHTH),
        ("⅜″", "in", 3 * EIGHTH),
        ("½", "in", INCH // 2),
        ("3 / 8 in", "in", 3 * EIGHTH),
        ("62.375", "in", 62 * INCH + 3 * EIGHTH),
        ("62.375in", "mm", 62 * INCH + 3 * EIGHTH),
        (".5 in", "in", INCH // 2),
        ("62. in", "in", 62 * INCH),
        ("62 Inches", "in", 62 * INCH),
        ("5 ft 2 3/8 in", "in", 5 * FOOT + 2 * INCH + 3 * EIGHTH),
        ("5 feet, 2 3/8 inches", "in", 5 * FOOT + 2 * INCH + 3 * EIGHTH),
        ("5 ft. 2 3/8 in.", "in", 5 * FOOT + 2 * INCH + 3 * EIGHTH),
        ("5' 2-3/8\"", "in", 5 * FOOT + 2 * INCH + 3 * EIGHTH),
        ("5'2-3/8\"", "in", 5 * FOOT + 2 * INCH + 3 * EIGHTH),
        ("5’ 2-3/8”", "in", 5 * FOOT + 2 * INCH + 3 * EIGHTH),
        ("5′ 2⅜″", "in", 5 * FOOT + 2 * INCH + 3 * EIGHTH),
        ("5' 2''", "in", 5 * FOOT + 2 * INCH),
        ("5' 2", "yd", 5 * FOOT + 2 * INCH),
        ("1 100/200 in", "in", INCH + INCH // 2),
        ("1 100 / 200", "in", INCH + INCH // 2),
        ("5 ft ½", "in", 5 * FOOT + INCH // 2),
        ("5'", "in", 5 * FOOT),
        ("7 yd 12 in", "in", 7 * YARD + 12 * INCH),
        ("7 yards 1 foot 2 inches", "in", 7 * YARD + FOOT + 2 * INCH),
        ("1/8 yd", "in", YARD // 8),
        ("1.58 m", "in", 1580 * MM),
        ("158 cm", "in", 1580 * MM),
        ("158\u00a0cm", "in", 1580 * MM),
        ("1 m 58 cm", "in", 1580 * MM),
        ("1580 millimetres", "in", 1580 * MM),
        ("0.1 mm", "in", 32),
        ("1 yd 10 cm", "in", YARD + 100 * MM),  # inch and metric mixed
        ("158", "cm", 1580 * MM),
        ("1.58", "m", 1580 * MM),
        ("  158 CM ", "in", 1580 * MM),
        ("-3 in", "in", -3 * INCH),
        ("−3 1/2 in", "in", -3 * INCH - INCH // 2),
        ("-5 ft 2 in", "in", -5 * FOOT - 2 * INCH),
        (54, "in", 54 * INCH),
        (13.5, "in", 13 * INCH + INCH // 2),
        (0.1, "mm", 32),
        (Fraction(1, 3), "ft", 4 * INCH),
        (5, "ft", 5 * FOOT),
        (2, "yd", 2 * YARD),
        ("1/64 in", "in", 127),
        # No whole number of ticks, so the nearest: 506374.4 and 2709.33 exactly.
        ("62.3 in", "in", 506374),
        (62.3, "in", 506374),
        ("1/3 in", "in", 2709),
    ],
)
def test_every_way_of_writing_a_length(text: str, unit: Unit, ticks: int) -> None:
    assert parse_length(text, unit) == ticks


@pytest.mark.parametrize(
    ("text", "advice"),
    [
        ("", "write it like"),
        ("   ", "write it like"),
        ("-", "write it like"),
        ("wide", "write it like"),
        ("in", "write it like"),
        ("62 x 3", "'x' is no unit of length"),
        ("5 furlong", "'furlong' is no unit of length; use in, ft, yd, mm, cm or m"),
        ("62,5 in", "no comma between digits"),
        ("1,000 mm", "no comma between digits"),
        ("1/0 in", "divided by zero"),
        ("3 1/0 in", "divided by zero"),
        ("2 in 5 ft", "from the larger unit to the smaller"),
        ("2 in 3 in", "from the larger unit to the smaller"),
        ("5 2", "lacks its unit"),
        # A number without its unit is the job's only where it stands alone.
        ("5 2 mm", "lacks its unit"),
        ("62 3/8 3 mm", "lacks its unit"),
        ("1 200 mm", "write thousands without a blank or a mark"),
        ("1\u00a0200 mm", "write thousands without a blank or a mark"),
        ("12 500", "write thousands without a blank or a mark"),
        ("1'200 mm", "write thousands without a blank or a mark"),
        ("1’200", "write thousands without a blank or a mark"),
        ("7 yd 12", "lacks its unit"),
        ("12 34 1/2", "lacks its unit"),
        ("1/2/3 in", "write it like"),
        ("--3 in", "write it like"),
        ("5 ft -2 in", "write it like"),
        ("3 in + 2 in", "write it like"),
        ("1e3", "'e' is no unit"),
        ("nan", "write it like"),
        ("9" * 5000, "write it like"),
        (True, "write it like"),
        (float("nan"), "write it like"),
        (float("inf"), "write it like"),
        (None, "write it like"),
        ([1], "write it like"),
    ],
)
def test_what_is_no_length_says_how_to_write_one(text: str, advice: str) -> None:
    with pytest.raises(LengthError, match=re.escape(advice)) as caught:
        parse_length(text, "in")
    assert advice in caught.value.advice


def test_two_bare_numbers_in_feet_are_not_feet_and_inches() -> None:
    with pytest.raises(LengthError):
        parse_length("5 2", "ft")


@given(st.text(max_size=100))
def test_any_text_is_a_length_or_a_length_error(text: str) -> None:
    with suppress(LengthError):
        assert isinstance(parse_length(text, "in"), int)


@given(
    st.integers(0, 50),
    st.integers(0, 11),
    st.integers(0, 63),
    st.sampled_from(["{} ft {} {}/64 in", "{}' {}-{}/64\"", "{}’{} {}/64”"]),
)
def test_feet_inches_and_sixty_fourths_are_exact(
    feet: int, inches: int, parts: int, writing: str
) -> None:
    written = writing.format(feet, inches, parts)
    assert parse_length(written, "m") == feet * FOOT + inches * INCH + parts * 127


@given(st.decimals(-500, 500, places=3), st.sampled_from(list(TICKS)))
def test_a_decimal_is_read_to_the_nearest_tick(number: object, unit: Unit) -> None:
    exact = Fraction(str(number)) * TICKS[unit]
    assert parse_exact(float(str(number)), unit) == exact
    assert parse_exact(f"{number} {unit}", "in") == exact
    assert abs(parse_length(f"{number} {unit}", "in") - exact) <= Fraction(1, 2)


# Inch steps, and metric ones; and steps of the other tape, whose multiples no decimal hits.
OWN_STEPS = [(False, f"1/{parts} in") for parts in (8, 16, 32, 64)] + [
    (True, "1 mm"),
    (True, "0.5 mm"),
]
STRANGE_STEPS = [(False, "1 mm"), (True, "1/16 in"), (False, "0.05 in"), (True, "1/64 in")]


@pytest.mark.parametrize(("metric", "step"), OWN_STEPS)
@given(count=st.integers(-200_000, 200_000))
def test_what_the_tape_prints_reads_back_exactly(metric: bool, step: str, count: int) -> None:
    tape = Tape(metric, parse_length(step, "in"))
    length = count * tape.step
    assert parse_length(tape.short(length), "in") == length
    assert parse_length(tape.long(length), "in") == length


@pytest.mark.parametrize(("metric", "step"), OWN_STEPS + STRANGE_STEPS)
@given(length=st.integers(-100_000_000, 100_000_000))
def test_any_length_prints_within_half_a_step(metric: bool, step: str, length: int) -> None:
    tape = Tape(metric, parse_length(step, "in"))
    # A strange step's multiples are printed as decimals, good to far below a tick's half-step.
    slack = 0 if (metric, step) in OWN_STEPS else 2
    for text in (tape.short(length), tape.long(length)):
        assert 2 * abs(parse_length(text, "in") - length) <= tape.step + slack


@pytest.mark.parametrize(
    ("metric", "length", "short", "long"),
    [
        (False, "62 3/8 in", '62 3/8"', '1 yd 26 3/8"'),
        (False, "5 yd 7 1/2 in", '187 1/2"', '5 yd 7 1/2"'),
        (False, "5 yd", '180"', "5 yd"),
        (False, "7 1/2 in", '7 1/2"', '7 1/2"'),
        (False, "3/8 in", '3/8"', '3/8"'),
        (False, "0 in", '0"', '0"'),
        (False, "-1 1/2 in", '-1 1/2"', '-1 1/2"'),
        (True, "158.4 cm", "158.4 cm", "1.584 m"),
        (True, "12345 mm", "1234.5 cm", "12.345 m"),
        (True, "2 m", "200 cm", "2 m"),
        (True, "-3 mm", "-0.3 cm", "-0.3 cm"),
        (True, "99.9 cm", "99.9 cm", "99.9 cm"),
        (True, "1 m", "100 cm", "1 m"),
    ],
)
def test_the_tape_prints_as_people_write(metric: bool, length: str, short: str, long: str) -> None:
    tape = Tape(metric, parse_length("1 mm" if metric else "1/16 in", "in"))
    assert tape.short(parse_length(length, "in")) == short
    assert tape.long(parse_length(length, "in")) == long


def test_cloth_is_bought_by_the_yard_or_the_metre() -> None:
    inch, metric = Tape(False, INCH // 16), Tape(True, MM)
    assert inch.cloth(parse_length("23 1/8 yd", "in")) == "23 1/8 yd"
    assert inch.cloth(parse_length("2 yd 1 ft", "in")) == "2 1/3 yd"
    assert inch.cloth(parse_length("0.7 yd", "in")) == "0.7 yd"
    assert metric.cloth(parse_length("21.3 m", "in")) == "21.3 m"


@given(st.integers(-(10**9), 10**9), st.integers(1, 10**6))
def test_rounding_to_a_step(length: int, step: int) -> None:
    low, high, near = floor_to(length, step), ceil_to(length, step), nearest_to(length, step)
    assert low <= length <= high
    assert high - low == (0 if length % step == 0 else step)
    assert near in (low, high)
    assert 2 * abs(near - length) <= step


@given(st.fractions(-1000, 1000))
def test_the_nearest_tick_and_halves_up(exact: Fraction) -> None:
    assert -Fraction(1, 2) < nearest(exact) - exact <= Fraction(1, 2)


def test_rounding_up_an_exact_length() -> None:
    assert ceil_to(Fraction(1001, 2), 100) == 600
    assert ceil_to(Fraction(1200, 2), 100) == 600
    assert ceil_to(Fraction(1201, 2), 100) == 700


def test_sizes_of_units_agree_with_pint() -> None:
    registry: pint.UnitRegistry[float] = pint.UnitRegistry()
    for unit, ticks in TICKS.items():
        inches = registry.Quantity(1, unit).to("in").magnitude
        assert ticks / TICKS["in"] == pytest.approx(inches, rel=1e-12)


def test_sizes_of_units_agree_with_published_values() -> None:
    # 1 yd = 0.9144 m and 1 in = 25.4 mm exactly (NIST Handbook 44, Appendix C; from memory).
    assert parse_exact("1 yd", "in") == parse_exact("0.9144 m", "in")
    assert parse_exact("1 in", "in") == parse_exact("25.4 mm", "in")
    assert parse_exact("54 in", "in") == parse_exact("137.16 cm", "in")


def test_weights_of_cloth() -> None:
    # 1 oz (avoirdupois) = 28.349523125 g over 0.9144^2 m^2, computed: 9.25 oz/yd^2 is 313.63 g/m^2.
    expected = 9.25 * 28.349523125 / 0.9144**2
    assert expected == pytest.approx(313.63, abs=0.005)
    for text in (
        "9.25 oz/yd^2",
        "9.25oz/yd²",
        "9 1/4 oz / yd ** 2",
        "9¼ oz/yd^2",
        "9.25 oz per square yard",
        "9.25 oz/sq yd",
    ):
        assert parse_quantity(text, "g/m^2") == pytest.approx(expected, rel=1e-9)
    for bare in ("9.25", 9.25):
        assert parse_quantity(bare, "g/m^2", "oz/yd^2") == pytest.approx(expected, rel=1e-9)
        assert parse_quantity(bare, "g/m^2") == 9.25
    assert parse_quantity("300 gsm", "g/m^2") == pytest.approx(300)
    assert parse_quantity("8.5 GPa", "MPa") == pytest.approx(8500)


@pytest.mark.parametrize(
    "text",
    [
        "",
        "heavy",
        "9.25 oz",
        "3 in",
        "3 g/",
        "3 frobs",
        # Texts that pint would work on for hours, or that are arithmetic rather than a quantity.
        "9**9**9**9",
        "9^9^9^9 g/m^2",
        "3 g^99999999",
        "3 g/m^2 + 1 g/m^2",
        "9" * 5000,
        10**400,
        float("nan"),
        float("inf"),
        True,
        None,
    ],
)
def test_what_is_no_weight(text: str) -> None:
    with pytest.raises(LengthError, match="write it with a unit"):
        parse_quantity(text, "g/m^2", "oz/yd^2")


@given(st.text(st.sampled_from("0123456789 ./-*^()gmozydE²½"), max_size=30))
def test_any_text_is_a_quantity_or_a_length_error(text: str) -> None:
    with suppress(LengthError):
        assert isinstance(parse_quantity(text, "g/m^2"), float)
