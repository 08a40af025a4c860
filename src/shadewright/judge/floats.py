"""What the judge lets a number be out by that came through floats."""

from __future__ import annotations

from fractions import Fraction

HAIR = Fraction(1, 1_000_000)
"""Of a tick, or of a unit of money."""

RELATIVE = Fraction(1, 1_000_000_000)
"""Of the number itself."""


def same(found: float, wanted: float | Fraction) -> bool:
    """Whether two sums of money are the same but for what floats lose."""
    off = abs(Fraction(found) - Fraction(wanted))
    return off <= max(HAIR, RELATIVE * abs(Fraction(wanted)))
