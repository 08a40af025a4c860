"""What a shade asks for of cloth: cut size and hems, take-up, and the ways a panel may lie.

Worked out from the job's facts alone, on whole ticks and fractions; only take-up begins as a float.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from math import acos, pi, sqrt

from shadewright.job.model import Cloth, Job, Make, Opening, Runs
from shadewright.judge import saying as say
from shadewright.judge.floats import HAIR
from shadewright.measure import Ticks, ceil_to


@dataclass(frozen=True)
class Size:
    """What a shade asks for of one cloth.

    Attributes:
        across, along: on the roll.
        hem_left, hem_top: from the panel's edges to the finished face; exact.
        keep_width, keep_length: fractions of the shade's width and length that shrinking leaves.
    """

    across: Ticks
    along: Ticks
    hem_left: Fraction
    hem_top: Fraction
    keep_width: Fraction
    keep_length: Fraction


def size(job: Job, cloth: Cloth, width: Ticks, length: Ticks, railroaded: bool) -> Size:
    """Cut size and hems of a panel for a shade of this finished width and length.

    Side hems at both sides; both pockets, their take-up and a turn-under at each end. What shrinks
    by a fraction s is cut 1 / (1 - s) larger, and cut sizes go up to the step once. Source: common
    practice.
    """
    make = job.make
    keep_across, keep_along = 1 - cloth.shrink_across, 1 - cloth.shrink_down
    keep_width, keep_length = (keep_along, keep_across) if railroaded else (keep_across, keep_along)
    at_board, at_rod = _take_up(make)
    top = make.turn_under + make.board_pocket + at_board
    bottom = make.turn_under + make.rod_pocket + at_rod
    cut_width = _up(job, (width + 2 * side(make)) / keep_width)
    cut_length = _up(job, (length + top + bottom) / keep_length)
    return Size(
        across=cut_length if railroaded else cut_width,
        along=cut_width if railroaded else cut_length,
        hem_left=side(make) / keep_width,
        hem_top=top / keep_length,
        keep_width=keep_width,
        keep_length=keep_length,
    )


def _up(job: Job, exact: Fraction) -> Ticks:
    return ceil_to(exact - HAIR, job.step)


def side(make: Make) -> Ticks:
    """What a shade takes at one side: its hem, or the seam of a lined one's knife edge."""
    return make.seam if make.lining else make.side_folds * make.side_fold


def turns(runs: Runs) -> tuple[bool, ...]:
    """Whether panels of a cloth that runs so may lie railroaded: no, yes, or both."""
    return {"up the bolt": (False,), "railroaded": (True,)}.get(runs, (False, True))


def above_head(make: Make, opening: Opening) -> Ticks:
    """How far above the opening's head its shades begin; hooks hold those inside it below."""
    return opening.overlap if opening.mount == "outside" else -make.hook_drop


def finished_length(make: Make, opening: Opening) -> Ticks:
    """That of an opening's shades: its height less what hooks and a gap at the sill take, or with
    what an outside mount covers above and below."""
    if opening.mount == "outside":
        return opening.height + opening.overlap + opening.overlap_bottom
    return opening.height - make.hook_drop - opening.sill_gap


# --- take-up --------------------------------------------------------------------------------------


def _take_up(make: Make) -> tuple[Fraction, Fraction]:
    """Length lost at the board and at the rod; a stated take-up is shared evenly."""
    if make.take_up != "computed":
        return Fraction(make.take_up, 2), Fraction(make.take_up, 2)
    return (
        Fraction(board_take_up(make.board_pocket, make.board)),
        Fraction(rod_take_up(make.rod_pocket, make.rod)),
    )


@cache
def board_take_up(pocket: Ticks, board: Ticks) -> float:
    """Ticks by which a square board shortens its pocket.

    Of the loop's 2p, the board's top and sides take 3s; the rest runs as two equal legs from its
    lower edges to the seam below its middle. Source: Pythagoras.
    """
    leg = pocket - 1.5 * board
    return pocket - board - sqrt(leg * leg - board * board / 4)


@cache
def rod_take_up(pocket: Ticks, diameter: Ticks) -> float:
    """Ticks by which a round rod shortens its pocket.

    With h from the seam to the rod's middle, the loop is 2 sqrt(h^2 - r^2) + r (2 pi - 2 acos(r/h))
    long and grows with h; it is 2p at some h from r, where it is the rod's girth, to p - r, where
    the depth it hangs would be all of p. Found by halving. Source: a taut belt around a circle and
    a point.
    """
    radius = diameter / 2
    low, high = radius, pocket - radius
    while low < (middle := (low + high) / 2) < high:
        wrap = radius * (2 * pi - 2 * acos(radius / middle))
        loop = 2 * sqrt(middle * middle - radius * radius) + wrap
        low, high = (middle, high) if loop < 2 * pocket else (low, middle)
    return pocket - (high + radius)


def pockets_too_small(job: Job) -> Iterator[str]:
    """Pockets that their stick does not go into, so that there is no take-up and no cut size."""
    make = job.make
    for pocket, stick, least in (
        (make.board_pocket, "board", 2 * make.board),
        (make.rod_pocket, "rod", pi * make.rod / 2),
    ):
        if pocket < least:
            yield (
                f"the job: no plan can be right, for its {stick} does not go into a pocket "
                f"{say.long(job.tape, pocket)} deep"
            )
