"""Cut sizes: what a finished shade asks for in cloth.

All lengths are in ticks; a length that geometry makes irrational is a float of ticks until it is
rounded up, once, to the cutting step.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from math import acos, ceil, pi, sqrt

from shadewright.job.model import Cloth, Job, Make
from shadewright.measure import Tape, Ticks, ceil_to
from shadewright.trade.refusal import CannotMeetError, Refusal

# Far below any tape, far above the error of a float sum: a size this little above a step is on it.
_ROUNDING = 1e-6


@dataclass(frozen=True)
class PanelSize:
    """The rectangle of cloth cut for one shade.

    Attributes:
        cut_width: the side that becomes the shade's width.
        cut_length: the side that becomes the shade's length.
        railroaded: whether the width runs along the roll.
        hem_left: from the panel's edge to the finished face, at the shade's side.
        hem_top: the same at the shade's top.
    """

    cut_width: Ticks
    cut_length: Ticks
    railroaded: bool
    hem_left: Ticks
    hem_top: Ticks

    @property
    def across(self) -> Ticks:
        """The side that lies across the roll."""
        return self.cut_length if self.railroaded else self.cut_width

    @property
    def along(self) -> Ticks:
        """The side that lies along the roll."""
        return self.cut_width if self.railroaded else self.cut_length


def panel(job: Job, cloth: Cloth, width: Ticks, length: Ticks, railroaded: bool) -> PanelSize:
    """The panel of a shade of finished `width` and `length` on a cloth.

    Source: common practice. The side hems stand at both sides; the length gains both pockets, a
    turned-under raw edge at each, and the take-up of each (`take_up`). Cloth that shrinks by a
    fraction s when washed before making up is cut 1 / (1 - s) larger.
    """
    make = job.make
    side = side_allowance(make)
    top, bottom = take_up(make, job.tape)
    hem_top = make.turn_under + make.board_pocket + top
    ends = make.board_pocket + make.rod_pocket + 2 * make.turn_under
    shrink_width, shrink_length = (
        (cloth.shrink_down, cloth.shrink_across)
        if railroaded
        else (cloth.shrink_across, cloth.shrink_down)
    )
    return PanelSize(
        cut_width=_cut(width + 2 * side, shrink_width, job.step),
        cut_length=_cut(length + ends + top + bottom, shrink_length, job.step),
        railroaded=railroaded,
        hem_left=round(side / (1 - shrink_width)) if shrink_width else side,
        hem_top=round(hem_top / float(1 - shrink_length) if shrink_length else hem_top),
    )


def side_allowance(make: Make) -> Ticks:
    """Cloth that one side of a shade takes beyond its finished edge.

    Source: common practice. A double 1 in hem takes 2 in a side (4 in in all), a double 1/2 in hem
    1 in (2 in in all), a single fold its depth; a lined shade has knife edges, a seam a side (1 in
    in all at 1/2 in).
    """
    return make.seam if make.lining else make.side_folds * make.side_fold


def _cut(needed: float, shrink: Fraction, step: Ticks) -> Ticks:
    if isinstance(needed, int):
        return ceil_to(needed / (1 - shrink) if shrink else needed, step)
    # Most cloth does not shrink, and fractions are slow.
    larger = needed / float(1 - shrink) if shrink else needed
    return ceil(larger / step - _ROUNDING / step) * step


def take_up(make: Make, tape: Tape) -> tuple[float, float]:
    """How much shorter the shade hangs because its pockets stand open: at the board, at the rod.

    A pocket of flat depth p is a loop of perimeter 2p held taut by the weight below it; its
    take-up is p less the depth it hangs. A take-up that the job states is shared evenly.

    Raises:
        CannotMeetError: a pocket too small for its stick; names the smallest that works.
    """
    if make.board_pocket >= 2 * make.board and make.rod_pocket >= pi * make.rod / 2:
        return _take_up(make)
    raise CannotMeetError(*_pockets_too_small(make, tape))


def flat_length(make: Make, tape: Tape, finished: Ticks) -> Ticks:
    """Length of a shade sewn and laid flat, before its board and its rod are in, up to the cutting
    step: what it hangs, and what its pockets take up when they stand open.

    Args:
        finished: length as it hangs.

    Raises:
        CannotMeetError: as `take_up`.
    """
    return _cut(finished + sum(take_up(make, tape)), Fraction(0), tape.step)


def _pockets_too_small(make: Make, tape: Tape) -> list[Refusal]:
    return [
        Refusal(
            f"[make] {key}",
            f"a pocket {tape.short(pocket)} deep, laid flat, holds no {shape} {tape.short(stick)}",
            f"the smallest that works is {tape.short(ceil_to(ceil(smallest), tape.step))}",
        )
        for key, shape, pocket, stick, smallest in (
            ("board_pocket", "board", make.board_pocket, make.board, 2 * make.board),
            ("rod_pocket", "rod of", make.rod_pocket, make.rod, pi * make.rod / 2),
        )
        if pocket < smallest
    ]


def _take_up(make: Make) -> tuple[float, float]:
    if make.take_up != "computed":
        return make.take_up / 2, make.take_up / 2
    return (
        make.board_pocket - board_hanging_depth(make.board_pocket, make.board),
        make.rod_pocket - rod_hanging_depth(make.rod_pocket, make.rod),
    )


@cache
def board_hanging_depth(pocket: float, side: float) -> float:
    """Depth from the top of a square board of `side` to the seam that closes its pocket.

    The loop of perimeter 2p covers the top and both sides (3s), and two straight runs of
    (2p - 3s) / 2 meet at the seam below the middle of the board. Source: Pythagoras; a 3/4 in
    board in a 1 3/4 in pocket hangs 1 1/4 in exactly.
    """
    run = (2 * pocket - 3 * side) / 2
    return side + sqrt(run * run - side * side / 4)


@cache
def rod_hanging_depth(pocket: float, diameter: float) -> float:
    """Depth from the seam that closes a round rod's pocket to the bottom of the rod.

    With h from the seam to the rod's middle and r its radius, two tangents and the arc between
    them make up the loop: 2 sqrt(h^2 - r^2) + r (2 pi - 2 acos(r / h)) = 2p. Its left side grows
    with h at the rate 2 sqrt(h^2 - r^2) / h, so Newton's steps from above converge. Source: the
    length of a taut belt around a circle and a point.
    """
    radius = diameter / 2
    h = pocket  # tangents alone would be 2h, so the root lies at or below
    for _ in range(100):
        tangent = sqrt(max(h * h - radius * radius, 0.0))
        if tangent == 0:
            break
        excess = 2 * tangent + radius * (2 * pi - 2 * acos(radius / h)) - 2 * pocket
        step = excess * h / (2 * tangent)
        h = max(h - step, radius)
        if abs(step) < 1e-9 * radius:
            break
    return h + radius
