"""Paragraphs on a terminal: narrower than is usual where there is no room for more."""

from __future__ import annotations

import contextlib
from collections.abc import Iterator
from contextvars import ContextVar
from textwrap import fill

from shadewright.report.work.words import unparted

TERMINAL, JOB_SAID_BACK, COMPARISON = 76, 78, 90
"""Signs on a line: of most that is said, of a job said back, and where tables stand beside it."""

_ROOM: ContextVar[int | None] = ContextVar("_ROOM", default=None)


@contextlib.contextmanager
def narrowed(width: int | None) -> Iterator[None]:
    """Wrap to so many signs at most what is wrapped inside; None: as usual."""
    before = _ROOM.set(width)
    try:
        yield
    finally:
        _ROOM.reset(before)


def has_room(width: int) -> bool:
    """Whether a line of so many signs is not too long."""
    return width <= (_ROOM.get() or width)


def wrapped(text: str, indent: str = "  ", width: int = TERMINAL) -> str:
    """A paragraph; it begins further in by its own spaces, and lines after its first yet more."""
    plain = text.lstrip(" ")
    first = indent + text[: len(text) - len(plain)]
    rest = first and first + "  "
    width = min(width, _ROOM.get() or width)
    return filled(plain, width, first, rest)


def filled(text: str, width: int, first: str, rest: str) -> str:
    """A paragraph in which no line ends within a length, as between 39 and 3/4.

    Args:
        first: what its first line begins with.
        rest: what every other does.
    """
    kept = fill(
        unparted(text), width, initial_indent=first, subsequent_indent=rest, break_on_hyphens=False
    )
    return kept.replace("\u00a0", " ")
