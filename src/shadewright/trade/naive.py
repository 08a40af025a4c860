"""What the same openings would cost, worked out with pencil and paper."""

from __future__ import annotations

from dataclasses import dataclass

from shadewright.measure import Ticks


@dataclass(frozen=True)
class Naive:
    """What the notepad way would buy: see `naive`."""

    shades: int
    bought: dict[str, Ticks]
    """Per cloth."""
    cost: float
    """Cloth, and `shade_cost` for every shade; 0 when a cloth has no price."""
