"""Boards and rods as they are cut from stock, and how good that is known to be, as data."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from shadewright.cloth.plan import StickUse
from shadewright.measure import Ticks


@dataclass(frozen=True)
class Stick:
    """One stick bought, and the lengths of its pieces in the order they are cut."""

    stock: Ticks
    pieces: tuple[Ticks, ...]


@dataclass(frozen=True)
class Sticks:
    """A cutting plan of sticks.

    Attributes:
        sticks: the longest pieces first.
        bound: no plan buys less length.
        fewest: no plan that buys so much length has fewer sticks.
    """

    sticks: tuple[Stick, ...]
    bound: Ticks
    fewest: int

    @property
    def bought(self) -> Ticks:
        """Length of all sticks."""
        return sum(stick.stock for stick in self.sticks)

    @property
    def proved(self) -> bool:
        return self.bound == self.bought and self.fewest == len(self.sticks)


StickName = Literal["board", "rod"]


@dataclass(frozen=True)
class StickPlan:
    """Sticks as cut, and how good their cutting plans are known to be."""

    sticks: list[StickUse]
    proofs: dict[StickName, Sticks]
