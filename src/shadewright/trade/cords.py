"""Cords: where they run, how long each is cut, and how much hangs when a shade is up.

Two cords lift a shade. Each is tied to an eye at the head, runs down the back along its lift line,
under the rod, up the front, through an eye below the board and along it to the draw guide, where
both hang down together. All lengths are in ticks, positions from the board's left end.
"""

from __future__ import annotations

from dataclasses import dataclass

from shadewright.job.model import Draw, Job, Make, Opening
from shadewright.measure import TICKS, Ticks, ceil_to
from shadewright.trade.divisions import finished_length, lift_inset, top_above_head

_LEAST_APART: tuple[Ticks, Ticks] = (6 * TICKS["in"], 150 * TICKS["mm"])
"""Lift lines closer together hold a roll badly: of an inch job, of a metric one. Source: common
practice."""


@dataclass(frozen=True)
class Cords:
    """The cords of one shade.

    Attributes:
        lift_lines: left and right.
        guide: of the draw.
        lengths: in the order of the lift lines.
        tail: that hangs below the guide when the shade is down.
    """

    lift_lines: tuple[Ticks, Ticks]
    guide: Ticks
    lengths: tuple[Ticks, Ticks]
    tail: Ticks


def cords(job: Job, opening: Opening, width: Ticks, draw: Draw) -> Cords:
    """The cords of a shade of an opening.

    Source: common practice. Lift lines stand 4 to 6 in from the shade's edges, so a board that is
    `stick_short` shorter than the shade, and hangs in its middle, has them half of that nearer to
    its ends. A cord is twice the finished length, what it runs along the board, its tail, and what
    its knot takes: 4 ft long and 3 ft across with a tail of 1 ft is 12 ft. Both of a centre draw
    are equal.

    Args:
        width: finished.
    """
    make = job.make
    board = width - make.stick_short
    inset = lift_inset(job, width) - make.stick_short // 2
    lines = inset, board - inset
    guide = {"left": make.guide_inset, "right": board - make.guide_inset, "centre": board // 2}[
        draw
    ]
    tail = tail_of(make, opening)
    same = 2 * finished_length(make, opening) + tail + make.knot
    along = [abs(guide - line) for line in lines]
    if draw == "centre":
        # A board of an odd length has no middle on a tick.
        along = [max(along)] * 2
    left, right = (same + each for each in along)
    return Cords(lines, guide, (left, right), tail)


def lines_apart(job: Job, width: Ticks) -> Ticks:
    """From one lift line to the other on a shade of finished `width`."""
    return width - 2 * lift_inset(job, width)


def least_apart(job: Job) -> Ticks:
    """How far lift lines should stand apart."""
    return _LEAST_APART[job.metric]


def tail_of(make: Make, opening: Opening) -> Ticks:
    """Cord below the guide when the shade is down: as stated, or what reaches a height.

    The guide is as high as the board, which hangs below the head or on an outside mount's overlap.
    """
    if make.tail_reach is None or opening.head_above_floor is None:
        return make.tail
    return guide_height(make, opening, opening.head_above_floor) - make.tail_reach


def guide_height(make: Make, opening: Opening, head_above_floor: Ticks) -> Ticks:
    """Height of the draw guide above the floor."""
    return head_above_floor + top_above_head(make, opening)


def hanging_when_up(tail: Ticks, length: Ticks, hidden: Ticks) -> Ticks:
    """Cord below the guide when the shade is up, if none is wound on a cleat.

    The rod hangs in a loop of each cord, so a pull of two lifts it by one.

    Args:
        length: finished.
        hidden: of that, by the roll when it is up.
    """
    return tail + 2 * max(length - hidden, 0)


def cut_length(cord: Ticks, step: Ticks) -> Ticks:
    """What to cut a cord to: its length, up to a whole inch or centimetre (`step`)."""
    return ceil_to(cord, step)


def reels(lengths: list[Ticks], reel: Ticks) -> int:
    """Reels to buy so that no cord is pieced: longest first, each from the first that holds it.

    A cord longer than a reel takes as many as its length, and must be pieced.
    """
    left: list[Ticks] = []
    whole = 0
    for length in sorted(lengths, reverse=True):
        if length > reel:
            whole += -(-length // reel)
            continue
        place = next((i for i, rest in enumerate(left) if rest >= length), None)
        if place is None:
            left.append(reel - length)
        else:
            left[place] -= length
    return whole + len(left)


def draw_of(opening: Opening, place: int, count: int) -> Draw:
    """The side that one of an opening's shades draws to, counted from the left.

    As the job says; else outer shades to their own side, so that their cords hang beside the wall,
    those between to the centre, and a single one to the right. Source: common practice.
    """
    asked = opening.draw if isinstance(opening.draw, str) else opening.draw[place - 1]
    if asked != "auto":
        return asked
    if place == count:
        return "right"
    return "left" if place == 1 else "centre"
