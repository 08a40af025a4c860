"""Woods that a job can name, with how stiff and how heavy they are.

Stiffness is the mean modulus of elasticity in bending of clear wood at 12 % moisture, from Table
5-3a of the Wood Handbook: FPL-GTR-190 (2010) for ponderosa, shortleaf, slash, red, sugar and
western white pine, FPL-GTR-282 (2021) for loblolly pine, the oaks, sugar maple and yellow-poplar.
Eastern white pine is given from memory of the same table. Specific gravity is that table's for
ponderosa and loblolly pine, northern red oak and yellow-poplar; the others are from memory. A
knotty board from a shop is less stiff than these.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Timber:
    """What boards and rods are made of.

    Attributes:
        name: as the job has it.
        stiffness: modulus of elasticity, in MPa (N/mm2).
        gravity: weight at 12 % moisture against that of as much water.
    """

    name: str
    stiffness: float
    gravity: float


WOODS: dict[str, Timber] = {
    wood.name: wood
    for wood in (
        Timber("eastern white pine", 8_500, 0.35),
        Timber("loblolly pine", 12_300, 0.51),
        Timber("northern red oak", 12_500, 0.63),
        Timber("ponderosa pine", 8_900, 0.40),
        Timber("red pine", 11_200, 0.46),
        Timber("shortleaf pine", 12_100, 0.51),
        Timber("slash pine", 13_700, 0.59),
        Timber("sugar maple", 12_600, 0.63),
        Timber("sugar pine", 8_200, 0.36),
        Timber("western white pine", 10_100, 0.38),
        Timber("white oak", 12_300, 0.68),
        Timber("yellow-poplar", 10_900, 0.42),
    )
}
"""By name."""

UNNAMED_GRAVITY = 0.7
"""Of a wood known only by its stiffness: heavier than most, to be on the safe side."""
