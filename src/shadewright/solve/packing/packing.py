"""What every packing of one roll offers the rest of the model."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from ortools.sat.python import cp_model

from shadewright.solve.problem.kinds import Rect
from shadewright.solve.sums import Terms

Demand = Mapping[Rect, Terms]
"""How many of each rectangle a model asks of a roll, as terms of a sum."""


@dataclass
class Packing:
    """The part of a model that packs one roll: what every packing offers the rest of the model.

    Attributes:
        length: from the end of the lead to the end of the last drop, an expression in ticks.
        longest: an upper bound of `length`.
        whole: the same to the end of the last drop's last period, where it is known.
    """

    length: cp_model.LinearExpr
    longest: int
    whole: cp_model.LinearExpr | None = field(default=None, kw_only=True)
