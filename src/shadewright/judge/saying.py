"""How the judge of plans names things and numbers in its faults."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction

from shadewright.cloth.plan import Drop, Panel
from shadewright.job.limits import LONGEST_NAME
from shadewright.measure import Tape, Ticks


def name(text: str) -> str:
    """A name as a line of text can show it, whatever a file says; none of a job is so long."""
    if len(text) > LONGEST_NAME:
        text = text[:LONGEST_NAME] + "…"
    return text if text.isprintable() else ascii(text)[1:-1]


def shade(called: str) -> str:
    """A shade, by its id."""
    return f'shade "{name(called)}"'


def panel(cut: Panel) -> str:
    """A panel, by its shade."""
    return f"{cut.part} of {shade(cut.shade)}"


def drop(cut: Drop) -> str:
    """A drop, by its number and its piece."""
    return f"drop {cut.number} of {piece(cut.cloth, cut.piece)}"


def piece(cloth: str, called: str) -> str:
    """A piece, by the names of its cloth and its own."""
    return f'"{name(cloth)}" {name(called)}'


def number(value: float | Fraction) -> str:
    """Money, or any other number that is no length."""
    return f"{float(value):.12g}"


def exact(tape: Tape, length: Ticks, words: Callable[[Tape, Ticks], str] = Tape.short) -> str:
    """A length as the tape reads it, and in ticks."""
    return f"{words(tape, length)} ({length} {'tick' if length == 1 else 'ticks'})"


def long(tape: Tape, length: Ticks) -> str:
    """A length as the tape reads it, and in ticks where it is off the tape."""
    return exact(tape, length) if length % tape.step else tape.short(length)


def two(
    tape: Tape, found: Ticks, wanted: Ticks, words: Callable[[Tape, Ticks], str] = Tape.short
) -> tuple[str, str]:
    """Two lengths that differ, in ticks as well where that is less than the tape shows."""
    a, b = words(tape, found), words(tape, wanted)
    if a != b and abs(found - wanted) >= tape.step:
        return a, b
    return exact(tape, found, words), exact(tape, wanted, words)


def off(tape: Tape, length: Ticks) -> str:
    """What to say of a length that is off the cutting step."""
    return f"of {exact(tape, length)} is off the cutting step of {tape.short(tape.step)}"
