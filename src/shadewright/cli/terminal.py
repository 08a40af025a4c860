"""What a stream is printed to, and text made fit for it.

Whatever is no terminal gets the text as it is, so that files and other programs read the same bytes
everywhere. Colour only repeats what words say: nothing is lost without it.
"""

from __future__ import annotations

import os
from typing import TextIO

from shadewright.report.text.wrapping import filled

BOLD, RED, GREEN, YELLOW = "1", "31", "32", "33"

_USUAL_WIDTH = 80
_LEAST_WIDTH = 20
_LONGEST_HEADING = 50


def can_rewrite(stream: TextIO) -> bool:
    """Whether a line can be written over."""
    return stream.isatty() and os.environ.get("TERM") != "dumb"


def coloured(stream: TextIO) -> bool:
    """Whether colour may be used: on a terminal that knows it, unless NO_COLOR is set."""
    knows = os.name != "nt" or "WT_SESSION" in os.environ or "TERM" in os.environ
    return knows and not os.environ.get("NO_COLOR") and can_rewrite(stream)


def width(stream: TextIO) -> int:
    """Signs on a line of a terminal; COLUMNS says otherwise."""
    said = os.environ.get("COLUMNS", "")
    if said.isdecimal() and 0 < int(said) < 10_000:
        return int(said)
    try:
        return os.get_terminal_size(stream.fileno()).columns or _USUAL_WIDTH
    except (OSError, ValueError):
        return _USUAL_WIDTH


def room(stream: TextIO) -> int | None:
    """Signs on a line that a text may have; None where it is for no terminal."""
    return max(width(stream), _LEAST_WIDTH) if stream.isatty() else None


def painted(text: str, code: str, stream: TextIO) -> str:
    """A text in a colour, or in bold, where the stream shows it."""
    return f"\x1b[{code}m{text}\x1b[0m" if text and coloured(stream) else text


def dressed(text: str, stream: TextIO) -> str:
    """A result as its stream shows it: no line longer than a terminal is wide, headings in bold,
    and how good a plan is in green or yellow."""
    most = room(stream)
    if most is None:
        return text
    lines = []
    before = code = ""
    for line in text.split("\n"):
        # A verdict that goes on further in is of one colour.
        goes_on = code in (GREEN, YELLOW) and line.startswith("    ")
        code = code if goes_on else _code(line, before)
        lines += [painted(part, code, stream) if code else part for part in _parts(line, most)]
        before = line
    return "\n".join(lines)


def _code(line: str, before: str) -> str:
    """What a line stands out by, if it does."""
    words = line.strip()
    if words.startswith("Proved:"):
        return GREEN
    if words.startswith("Not proved best."):
        return YELLOW
    heading = words and not before and line[0] != " " and words[-1] not in ".:;,"
    return BOLD if heading and len(words) <= _LONGEST_HEADING else ""


def _parts(line: str, most: int) -> list[str]:
    """A line as several, each no longer than there is room."""
    if len(line) <= most:
        return [line]
    indent = line[: len(line) - len(line.lstrip())][: most // 4]
    return filled(line.strip(), most, indent, f"{indent}  ").split("\n")
