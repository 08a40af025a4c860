"""How much room text takes in a cell, by the widths of its letters.

Sheets are set in Arial; other programs take a type of the same widths for it. Source of the widths:
Adobe's font metrics of Helvetica and Helvetica-Bold, which Arial was drawn to.
"""

from __future__ import annotations

import unicodedata
from functools import lru_cache

from shadewright.report.work.words import full_width

_EM = 1000
_DIGIT = 556
_UNKNOWN = 800
_SIGNS = {"×": 584, "–": 556, "—": 1000, "…": 1000, "·": 278, "²": 333, "✓": 800, "\xa0": 278}

# From the space to the tilde.
_PLAIN = (
    278, 278, 355, 556, 556, 889, 667, 191, 333, 333, 389, 584, 278, 333, 278, 278,
    556, 556, 556, 556, 556, 556, 556, 556, 556, 556, 278, 278, 584, 584, 584, 556,
    1015, 667, 667, 722, 722, 667, 611, 778, 722, 278, 500, 667, 556, 833, 722, 778,
    667, 778, 722, 667, 611, 722, 667, 944, 667, 667, 611, 278, 278, 278, 469, 556,
    333, 556, 556, 500, 556, 556, 278, 556, 556, 222, 222, 500, 222, 833, 556, 556,
    556, 556, 333, 500, 278, 556, 500, 722, 500, 500, 500, 334, 260, 334, 584,
)  # fmt: skip
_BOLD = (
    278, 333, 474, 556, 556, 889, 722, 238, 333, 333, 389, 584, 278, 333, 278, 278,
    556, 556, 556, 556, 556, 556, 556, 556, 556, 556, 333, 333, 584, 584, 584, 611,
    975, 722, 722, 722, 722, 667, 611, 778, 722, 278, 556, 722, 611, 833, 722, 778,
    667, 778, 722, 667, 611, 722, 667, 944, 667, 667, 611, 333, 278, 333, 584, 556,
    333, 556, 611, 556, 611, 556, 333, 611, 611, 278, 278, 556, 278, 889, 611, 611,
    611, 611, 389, 556, 333, 611, 556, 778, 556, 556, 500, 389, 280, 389, 584,
)  # fmt: skip

_USUAL_SIZE = 10
"""Points of the type that the widths of columns are counted in."""

_PRINTED = 1.06
"""A column is counted in digits as wide as whole dots of a screen; on paper they are wider."""

_BESIDE = 0.8
"""Of a digit's width that a cell keeps free at its sides."""


class _Widths(dict[str, int]):
    """Widths of signs, by the thousandth of the type's size; those of a plain keyboard to start."""

    def __init__(self, widths: tuple[int, ...]) -> None:
        super().__init__({chr(at): width for at, width in enumerate(widths, 32)} | _SIGNS)

    def __missing__(self, sign: str) -> int:
        """Letters with marks are as wide as without."""
        if full_width(sign):
            return _EM
        plain = unicodedata.normalize("NFKD", sign)[0]
        return self.get(plain, _UNKNOWN)


_WIDTHS = {False: _Widths(_PLAIN), True: _Widths(_BOLD)}


@lru_cache(maxsize=20_000)
def digits(text: str, bold: bool = False, size: float = _USUAL_SIZE) -> float:
    """How wide a text prints on one line, counted in digits of the usual type."""
    return sum(map(_WIDTHS[bold].__getitem__, text)) / _DIGIT * size / _USUAL_SIZE


def column_for(wide: float) -> float:
    """The width of a column that holds so many digits."""
    return wide * _PRINTED + _BESIDE


def room(column: float) -> float:
    """How many digits a column of this width has room for."""
    return max(column - _BESIDE, 1.0) / _PRINTED


def lines_of(text: str, wide: float, *, bold: bool = False, size: float = _USUAL_SIZE) -> int:
    """Lines that a text takes where there is room for so many digits in one.

    Lines break at spaces, not at those that do not break.
    """
    if digits(text, bold, size) <= wide:
        return 1
    space = digits(" ", bold, size)
    lines, used = 1, 0.0
    for word in text.split(" "):
        long = digits(word, bold, size)
        if used and used + space + long > wide:
            lines, used = lines + 1, 0.0
        # A word longer than a line is broken wherever the line ends.
        lines += int(long // wide)
        used += (space if used else 0) + long % wide
    return lines


def longest_word(text: str, *, bold: bool = False, size: float = _USUAL_SIZE) -> float:
    """The widest part of a text that no line may break."""
    return max((digits(word, bold, size) for word in text.split(" ")), default=0.0)
