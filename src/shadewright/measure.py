"""Lengths as whole ticks, and the way people write them.

One tick is 1/8128 in, which is also exactly 1/320 mm (25.4 mm / 8128). Both 1/64 in (127 ticks)
and 0.1 mm (32 ticks) are whole numbers of ticks, so inch and metric facts mix in one job without
rounding and a long roll gathers no drift.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction
from functools import cache, lru_cache
from math import isfinite
from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    import pint

Ticks = int
Unit = Literal["in", "ft", "yd", "mm", "cm", "m"]

TICKS_PER_INCH: Ticks = 8128
TICKS: dict[Unit, Ticks] = {
    "in": 8128,
    "ft": 12 * 8128,
    "yd": 36 * 8128,
    "mm": 320,
    "cm": 3200,
    "m": 320_000,
}
METRIC_UNITS: frozenset[Unit] = frozenset({"mm", "cm", "m"})

_UNIT_WORDS: dict[str, Unit] = {
    "in": "in", "inch": "in", "inches": "in", '"': "in", "''": "in",
    "ft": "ft", "foot": "ft", "feet": "ft", "'": "ft",
    "yd": "yd", "yds": "yd", "yard": "yd", "yards": "yd",
    "mm": "mm", "millimetre": "mm", "millimetres": "mm", "millimeter": "mm", "millimeters": "mm",
    "cm": "cm", "centimetre": "cm", "centimetres": "cm", "centimeter": "cm", "centimeters": "cm",
    "m": "m", "metre": "m", "metres": "m", "meter": "m", "meters": "m",
}  # fmt: skip

# What keyboards, phones and word processors make of a plain sign.
_PLAIN_SIGNS = str.maketrans({
    "″": '"', "”": '"', "“": '"', "′": "'", "’": "'", "‘": "'",
    "−": "-", "–": "-", "‐": "-", "‑": "-", "⁄": "/", "∕": "/",
    "½": " 1/2", "¼": " 1/4", "¾": " 3/4", "⅛": " 1/8", "⅜": " 3/8", "⅝": " 5/8", "⅞": " 7/8",
    "⅓": " 1/3", "⅔": " 2/3", "⅕": " 1/5", "⅖": " 2/5", "⅗": " 3/5", "⅘": " 4/5", "⅙": " 1/6",
    "⅚": " 5/6",
})  # fmt: skip

_NUMBER = r"(?:\d+(?:\s*-\s*|\s+)\d+\s*/\s*\d+|\d+\s*/\s*\d+|\d+\.?\d*|\.\d+)"
_UNIT = r"(?:''|[a-z]+|[\"'])"
_TERM = re.compile(rf"\s*({_NUMBER})\s*({_UNIT})?\.?\s*,?\s*", re.ASCII)

# Longer than any length a person writes, short enough that no number in it is slow to read.
_LONGEST_TEXT = 80


class LengthError(ValueError):
    """A text that does not say a length, or another quantity; `advice` says what would."""

    def __init__(self, text: object, advice: str) -> None:
        super().__init__(f"{text!r}: {advice}")
        self.advice = advice


def parse_length(text: str | int | float | Fraction, unit: Unit) -> Ticks:
    """Read a length, to the nearest tick.

    Takes ``5 ft 2 3/8 in``, ``5' 2-3/8"``, ``1.58 m``, ``158 cm``, ``7 yd 12 in``, and a bare
    number in `unit`. A length that is no whole number of ticks (62.3 in) goes to the nearest one,
    at most 1/16256 in away.

    Raises:
        LengthError: the text is no length.
    """
    return nearest(parse_exact(text, unit))


def parse_exact(text: str | int | float | Fraction, unit: Unit) -> Fraction:
    """Read a length as an exact number of ticks; see `parse_length`."""
    if isinstance(text, bool) or not isinstance(text, (str, int, float, Fraction)):
        raise LengthError(text, _EXAMPLES)
    if isinstance(text, str):
        return _parse_text(text, unit)
    if isinstance(text, float):
        if not isfinite(text):
            raise LengthError(text, _EXAMPLES)
        # The decimal text a person typed, not the binary number it became.
        return Fraction(repr(text)) * TICKS[unit]
    return Fraction(text) * TICKS[unit]


def _parse_text(text: str, unit: Unit) -> Fraction:
    if len(text) > _LONGEST_TEXT:
        raise LengthError(text[:_LONGEST_TEXT], _EXAMPLES)
    # No-break and thin spaces, which set numbers apart in copied text, become plain ones.
    rest = " ".join(text.translate(_PLAIN_SIGNS).lower().split())
    sign = 1
    if rest.startswith("-"):
        sign, rest = -1, rest[1:]
    if not rest:
        raise LengthError(text, _EXAMPLES)
    if re.search(r"\d,\d", rest):
        raise LengthError(text, "write decimals with a point (1.58 m), and no comma between digits")
    if _THOUSANDS.match(rest):
        # 1 200 mm must not be taken for an inch and 200 mm, nor 1'200 mm for a foot.
        raise LengthError(text, "write thousands without a blank or a mark (1200 mm)")
    total = Fraction(0)
    last: Ticks | None = None
    feet = False
    at = 0
    while at < len(rest):
        found = _TERM.match(rest, at)
        if not found:
            raise LengthError(text, _EXAMPLES)
        number = _number(found[1], text)
        word = found[2]
        if word is None:
            alone = found.end() == len(rest)
            if (last is not None and not feet) or not (alone or feet):
                raise LengthError(text, f"a number lacks its unit; {_EXAMPLES}")
            # What follows feet is inches (5' 2); a number alone is in the job's unit.
            size = TICKS[unit] if last is None else TICKS["in"]
        elif word in _UNIT_WORDS:
            size = TICKS[_UNIT_WORDS[word]]
        else:
            raise LengthError(text, f"{word!r} is no unit of length; use in, ft, yd, mm, cm or m")
        if last is not None and size >= last:
            raise LengthError(text, f"go from the larger unit to the smaller; {_EXAMPLES}")
        total += number * size
        last = size
        feet = word is not None and size == TICKS["ft"]
        at = found.end()
    return sign * total


_THOUSANDS = re.compile(r"\d{1,3}(?: |')\d{3}(?!\d| ?/)")
"""A number with a blank or a mark before its last three digits."""

_EXAMPLES = "write it like 62 3/8 in, 5 ft 2 3/8 in, 1.58 m or 158 cm"


def _number(text: str, whole: str) -> Fraction:
    if "/" not in text:
        return Fraction(text if not text.endswith(".") else text[:-1])
    parts = re.split(r"[\s-]+", re.sub(r"\s*/\s*", "/", text.strip()))
    top, bottom = parts[-1].split("/")
    if int(bottom) == 0:
        raise LengthError(whole, "nothing can be divided by zero")
    lead = int(parts[0]) if len(parts) == 2 else 0
    return lead + Fraction(int(top), int(bottom))


def nearest(exact: Fraction) -> Ticks:
    """The whole tick nearest to an exact length; halves go up."""
    return (2 * exact.numerator + exact.denominator) // (2 * exact.denominator)


def floor_to(length: Ticks, step: Ticks) -> Ticks:
    """Round down to a whole number of steps."""
    return length // step * step


def ceil_to(length: Ticks | Fraction, step: Ticks) -> Ticks:
    """Round up to a whole number of steps."""
    return int(-(-length // step)) * step


def nearest_to(length: Ticks, step: Ticks) -> Ticks:
    """Round to the nearest whole number of steps; halves go up."""
    return (2 * length + step) // (2 * step) * step


@dataclass(frozen=True)
class Tape:
    """How a job's lengths are printed: on an inch or a metric tape, to a cutting step."""

    metric: bool
    step: Ticks

    def short(self, length: Ticks) -> str:
        """A size or position to the nearest step: ``62 3/8"``, or ``158.4 cm``."""
        rounded = nearest_to(length, self.step)
        sign, size = ("-", -rounded) if rounded < 0 else ("", rounded)
        if self.metric:
            return f"{sign}{_decimal(Fraction(size, TICKS['cm']), 4)} cm"
        return f'{sign}{_inches(size)}"'

    def between(self, low: Ticks, high: Ticks) -> str:
        """A range of sizes: ``1/4" to 1/2"``; one size where both print alike."""
        ends = dict.fromkeys((self.short(low), self.short(high)))
        return " to ".join(ends)

    def long(self, length: Ticks) -> str:
        """A length of cloth to the nearest step: ``5 yd 7 1/2"``, or ``12.345 m``; below a yard or
        a metre as a size is."""
        rounded = nearest_to(length, self.step)
        sign, size = ("-", -rounded) if rounded < 0 else ("", rounded)
        if self.metric and size < TICKS["m"]:
            return self.short(length)
        if self.metric:
            return f"{sign}{_decimal(Fraction(size, TICKS['m']), 6)} m"
        yards, rest = divmod(size, TICKS["yd"])
        if not yards:
            return f'{sign}{_inches(rest)}"'
        return f"{sign}{yards} yd" + (f' {_inches(rest)}"' if rest else "")

    @property
    def cloth_unit(self) -> Unit:
        """The unit cloth is sold and priced by: the yard, or the metre."""
        return "m" if self.metric else "yd"

    def cloth(self, length: Ticks) -> str:
        """A length to buy, in the unit cloth is sold by: ``23 1/8 yd``, or ``21.3 m``."""
        exact = Fraction(length, TICKS[self.cloth_unit])
        if not self.metric and exact.denominator in (1, 2, 3, 4, 8, 16):
            return f"{_mixed(exact)} yd"
        return f"{_decimal(exact, 3)} {self.cloth_unit}"


@lru_cache(maxsize=100_000)
def _inches(size: Ticks) -> str:
    exact = Fraction(size, TICKS_PER_INCH)
    return _mixed(exact) if exact.denominator <= 64 else _decimal(exact, 5)


def _mixed(exact: Fraction) -> str:
    whole, part = divmod(exact, 1)
    if not part:
        return str(whole)
    return f"{whole} {part}" if whole else str(part)


def _decimal(exact: Fraction, places: int) -> str:
    text = f"{float(exact):.{places}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


# A unit of pint's: words joined by signs, each with at most a one-digit power. pint works out
# whatever arithmetic it is given, so a text with longer powers could keep it busy for hours.
_POWER = r"(?:\s?(?:\^|\*\*)\s?-?\d|[²³])?"
_UNITS = re.compile(rf"[A-Za-zµ]+{_POWER}(?:\s?[ /*·]\s?[A-Za-zµ]+{_POWER})*")

# Beyond any quantity, and well within a float.
_HUGE = 1e30


@cache
def _pint_registry() -> pint.UnitRegistry[float]:
    import pint  # noqa: PLC0415 - a slow import that only weighed cloths need

    registry: pint.UnitRegistry[float] = pint.UnitRegistry()
    registry.define("gsm = gram / meter ** 2")  # as cloth's weight is labelled
    return registry


def parse_quantity(text: str | int | float, unit: str, bare: str | None = None) -> float:
    """Read a weight or stiffness such as ``9.25 oz/yd^2`` and give it in `unit`.

    A bare number is in the unit `bare`; None: in `unit`. pint knows the units, and ``gsm``.

    Raises:
        LengthError: the text is no such quantity.
    """
    advice = f"write it with a unit, in {unit} or another of its kind"
    if isinstance(text, str):
        plain = " ".join(text.translate(_PLAIN_SIGNS).split())
        found = re.match(_NUMBER, plain, re.ASCII)
        if len(text) > _LONGEST_TEXT or not found:
            raise LengthError(text[:_LONGEST_TEXT], advice)
        # pint itself reads 9 1/4 as 9 times 1/4.
        number = float(_number(found[0], text))
        word = plain[found.end() :].strip() or bare or unit
    elif isinstance(text, (int, float)) and not isinstance(text, bool):
        if not abs(text) < _HUGE:
            raise LengthError(text, advice)
        number, word = float(text), bare or unit
    else:
        raise LengthError(text, advice)
    if word == unit:
        return number
    if not _UNITS.fullmatch(word):
        raise LengthError(text, advice)
    try:
        return float(_pint_registry().Quantity(number, word).to(unit).magnitude)
    except Exception as why:
        # pint raises errors of many kinds, from its tokenizer's up; each means the same to a maker.
        raise LengthError(text, advice) from why
