"""How much room text takes in a cell, guessed from its letters."""

from __future__ import annotations

from functools import lru_cache

from shadewright.report.work.words import full_width


def lines_of(text: str, width: float, *, bold: bool = False) -> int:
    """Lines a wrapped text takes in a column `width` digits wide, rather one too many."""
    # A cell keeps most of a digit's width free at its sides.
    room = max(width - 0.8, 1) / (1.15 if bold else 1.06)
    lines, used = 1, 0.0
    for word in text.split():
        long = _long(word)
        if used and used + digits(" ") + long > room:
            lines, used = lines + 1, 0.0
        # A word longer than a line is broken wherever the line ends.
        lines += int(long // room)
        used += (digits(" ") if used else 0) + long % room
    return lines


@lru_cache(maxsize=10_000)
def _long(word: str) -> float:
    return sum(map(digits, word))


@lru_cache(maxsize=10_000)
def digits(sign: str) -> float:
    """About how wide a sign prints, counted in digits of the same type."""
    if full_width(sign):
        return 2
    if sign in " iljtfrI.,:;'\"|!()[]/-":
        return 0.58
    if sign in "mwMW@%":
        return 1.6
    return 1.25 if sign.isupper() else 1
