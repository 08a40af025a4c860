"""What one value of a job file is: a name, one of some words, an exact number."""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction
from math import isfinite
from typing import TypeGuard, TypeVar

from shadewright.job.limits import LONGEST_NAME
from shadewright.job.problems import unseen

Word = TypeVar("Word", bound=str)

PLAIN_NAME = f"on one line of at most {LONGEST_NAME} letters, each of which can be seen"
"""What `is_name` asks of a text."""


def is_name(text: str) -> bool:
    """Whether a text can name something in sheets and terminals."""
    return bool(text.strip()) and len(text) <= LONGEST_NAME and not unseen(text)


def plain(word: str) -> str:
    """A word without regard to letter case and blanks: ``Up the  Bolt`` is ``up the bolt``."""
    return " ".join(word.split()).casefold()


def which_word(value: object, words: Iterable[Word]) -> Word | None:
    """Which of some words a value is; None where it is none of them."""
    wanted = plain(value) if isinstance(value, str) else ""
    return next((word for word in words if word == wanted), None)


def is_count(value: object) -> TypeGuard[int]:
    return isinstance(value, int) and not isinstance(value, bool)


def exact(value: object) -> Fraction | None:
    """An exact number, the decimal that was written; None where it is none."""
    if is_count(value):
        return Fraction(value)
    if isinstance(value, float) and isfinite(value):
        return Fraction(repr(value))
    return None
