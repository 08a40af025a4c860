"""The raised roll: how thick a shade is when it is up."""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil, pi, sqrt

from shadewright.job.model import Job, Opening
from shadewright.measure import TICKS, Ticks, ceil_to
from shadewright.trade.divisions import cloths_of, finished_length
from shadewright.trade.sizes import board_hanging_depth

ASSUMED_THICKNESS = 0.5
"""Of a cloth whose thickness the job does not give, in mm: a firm cotton or awning cloth. From
memory; no published figure."""


def roll_diameter(core: float, length: float, thickness: float) -> float:
    """Diameter of `length` of cloth wound on a round core, all in one unit.

    The cloth's edge has the area length x thickness, and so has the ring that it fills:
    D = sqrt(d^2 + 4 L t / pi). Source: The Math Forum, Dr. Peterson, "Determining Length of
    Material Remaining on a Roll", 24 Nov 2003.
    """
    return sqrt(core * core + 4 * length * thickness / pi)


@dataclass(frozen=True)
class Raised:
    """A shade that is up.

    Attributes:
        diameter: of its roll in the middle.
        at_hems: where side hems lie, a layer of cloth more for each fold.
        hides: of the view, from the top of the board down.
        depth: that an inside mount needs from front to back.
    """

    diameter: Ticks
    at_hems: Ticks
    hides: Ticks
    depth: Ticks


def raised(job: Job, opening: Opening) -> Raised:
    """The roll of a shade of an opening when it is up: its whole finished length on the rod.

    It comes to rest against the board, whose pocket hangs down as far as `board_hanging_depth`.
    """
    make = job.make
    cloths = [cloth for cloth in cloths_of(job, opening) if cloth]
    layers = [ASSUMED_THICKNESS if cloth.thickness is None else cloth.thickness for cloth in cloths]
    face, length = layers[0], finished_length(make, opening)
    thickness = sum(layers) * TICKS["mm"]
    # A seam turns face and lining in once; a hem of n folds adds n layers of face.
    hem = thickness * 2 if make.lining else (1 + make.side_folds) * face * TICKS["mm"]
    diameter = round(roll_diameter(make.rod, length, thickness))
    at_hems = ceil(roll_diameter(make.rod, length, hem))
    top = ceil_to(ceil(board_hanging_depth(make.board_pocket, make.board)), 1)
    return Raised(
        diameter=diameter,
        at_hems=at_hems,
        hides=top + at_hems,
        depth=max(make.board, at_hems),
    )
