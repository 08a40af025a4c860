"""Ranges as people write them: ``2 to 5``, ``2-5``, ``1/4 - 1/2``, ``6 to 12 mm``."""

from __future__ import annotations

import re

from shadewright.measure import LengthError, Unit, parse_length

# A hyphen, a dash of any length, or a minus.
_DASH = re.compile("[-‐‑‒–—−]")
_TO = re.compile(r"\bto\b", re.IGNORECASE)

_AMOUNT = re.compile(r"\d{1,9}(\.\d{1,9})?", re.ASCII)
_BRACED = re.compile(r"\{(.*)\}")
_DIGITS = re.compile(r"\d{1,9}", re.ASCII)
_BARE = re.compile(r"[\d\s./⁄½¼¾⅛⅜⅝⅞⅓⅔-]+", re.ASCII)
_NUMBER_AND_UNIT = re.compile(r"[\d\s./⁄½¼¾⅛⅜⅝⅞⅓⅔-]+(\D+?)\.?", re.ASCII)


def count_ends(text: str) -> object:
    """The ends of a range of whole numbers, or the one number; the text itself if it is neither."""
    parts = [part.strip() for part in _TO.split(text)]
    if len(parts) == 1:
        parts = [part.strip() for part in _DASH.split(text)]
    if len(parts) > 2 or not all(_DIGITS.fullmatch(part) for part in parts):
        return text
    numbers = [int(part) for part in parts]
    return numbers if len(numbers) == 2 else numbers[0]


def length_ends(text: str, unit: Unit) -> object:
    """The ends of a range of lengths, each as a text; the text itself if it is no range.

    A dash also stands within a length (``1-1/2`` is one and a half): it parts a range only where
    the whole is no length, and where there is one place to part it that leaves two. A unit at the
    end is meant for both (``6 to 12 mm``).
    """
    if _TO.search(text):
        ends = [part.strip() for part in _TO.split(text)]
        return with_unit(*ends) if len(ends) == 2 else text
    if is_length(text, unit):
        return text
    pairs = [
        (text[: dash.start()].strip(), text[dash.end() :].strip()) for dash in _DASH.finditer(text)
    ]
    parted = [pair for pair in pairs if all(is_length(end, unit) for end in pair)]
    return with_unit(*parted[0]) if len(parted) == 1 else text


def with_unit(*lengths: str) -> list[str]:
    """Lengths in the unit of the last, where none before it has one."""
    *others, last = lengths
    found = _NUMBER_AND_UNIT.fullmatch(last)
    if found and all(map(_BARE.fullmatch, others)):
        others = [f"{other} {found[1].strip()}" for other in others]
    return [*others, last]


def is_length(text: str, unit: Unit) -> bool:
    """Whether a text is one length."""
    try:
        parse_length(text, unit)
    except LengthError:
        return False
    return True


def priced_ends(text: str) -> object:
    """Lengths with their prices, ``96 in = 4.5; 48 in = 2.6``, as a table; the text if it is none.

    They may stand in braces with commas between, as in a job file. A bare number, a price for all
    lengths, stays one.
    """
    braced = _BRACED.fullmatch(text.strip())
    within = text if braced is None else braced[1].replace(",", ";")
    parts = [part for part in within.split(";") if part.strip()]
    pairs = [[side.strip().strip('"') for side in part.split("=")] for part in parts]
    if not pairs or not all(len(pair) == 2 and _AMOUNT.fullmatch(pair[1]) for pair in pairs):
        return text
    return {length: float(amount) for length, amount in pairs}
