"""Paragraphs on a terminal."""

from __future__ import annotations

from textwrap import fill

TERMINAL, JOB_SAID_BACK, COMPARISON = 76, 78, 90
"""Signs on a line: of most that is said, of a job said back, and where tables stand beside it."""


def wrapped(text: str, indent: str = "  ", width: int = TERMINAL) -> str:
    """A paragraph; it begins further in by its own spaces, and lines after its first yet more."""
    plain = text.lstrip(" ")
    first = indent + text[: len(text) - len(plain)]
    rest = first and first + "  "
    return fill(plain, width, initial_indent=first, subsequent_indent=rest, break_on_hyphens=False)
