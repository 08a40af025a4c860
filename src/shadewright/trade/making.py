"""What each shade takes besides cloth: board, rod, lift lines, hooks, cords, thread.

All lengths are in ticks, positions from the board's left end.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from shadewright.job.model import Draw, Job, Make, Opening
from shadewright.measure import TICKS, Tape, Ticks, floor_to
from shadewright.trade.beams import Held, held
from shadewright.trade.cords import Cords, cords
from shadewright.trade.divisions import finished_length
from shadewright.trade.refusal import Refusal
from shadewright.trade.rolled import Raised, raised

EYES_BELOW = 3
"""Screw eyes below a board: one at each lift line, and the draw guide. Source: common practice."""

THREAD_RATIO = 2.5
"""Thread that a lockstitch seam takes for its length, needle and bobbin together. Source: common
practice; a tenth more is bought for ends and mending."""

CLEAT_HEIGHT: Ticks = 1600 * TICKS["mm"]
"""Least height of a cleat above the floor. Source: Australia's Competition and Consumer (Corded
Internal Window Coverings) Safety Standard 2014, the strictest found in print."""

_SHANK: Ticks = TICKS["in"] * 5 // 8
_WOOD_LEFT: Ticks = TICKS["in"] // 8


@dataclass(frozen=True)
class Made:
    """Everything about one shade that is not cloth.

    Attributes:
        seams: length of all of them.
    """

    board: Ticks
    rod: Ticks
    cords: Cords
    held: Held
    raised: Raised
    seams: Ticks


def made(job: Job, opening: Opening, width: Ticks, draw: Draw) -> Made:
    """What a shade of an opening takes.

    Args:
        width: finished.
    """
    board = width - job.make.stick_short
    strung = cords(job, opening, width, draw)
    return Made(
        board=board,
        rod=board,
        cords=strung,
        held=held(job, opening, width, strung.lift_lines),
        raised=raised(job, opening),
        seams=seam_length(job.make, width, finished_length(job.make, opening)),
    )


def seam_length(make: Make, width: Ticks, length: Ticks) -> Ticks:
    """Length of all seams of a shade: both sides, and a line across for each pocket."""
    sides = 2 * (length + make.board_pocket + make.rod_pocket)
    return sides + 2 * width


def shank(make: Make) -> Ticks:
    """Length of the screw eyes' thread: as stated, else 5/8 in or what leaves wood behind it."""
    if make.eye_shank is not None:
        return make.eye_shank
    return min(_SHANK, max(make.board - _WOOD_LEFT, make.board // 2))


def unmakeable(make: Make, tape: Tape) -> Iterator[Refusal]:
    """Sticks and screws that do not go together, whatever the openings."""
    if make.eye_shank is not None and make.eye_shank >= make.board:
        most = floor_to(make.board - 1, tape.step)
        yield Refusal(
            "[make] eye_shank",
            f"a screw eye's thread of {tape.short(make.eye_shank)} would come out of a board "
            f"{tape.short(make.board)} thick",
            f"eye_shank = {tape.short(most)} or less would do"
            if most
            else f"a board thicker than {tape.short(make.eye_shank)} would do",
        )


def depth_short(opening: Opening, up: Raised) -> Ticks:
    """How much deeper an inside mount's recess must be to hold the raised shade; 0 if it does."""
    if opening.depth is None or opening.mount != "inside":
        return 0
    return max(up.depth - opening.depth, 0)


def hook_short(make: Make, up: Raised) -> Ticks:
    """How much wider a stated hook opening must be to pass board and raised roll; 0 if it does."""
    if make.hook_opening is None:
        return 0
    return max(hook_needed(make, up) - make.hook_opening, 0)


def hook_needed(make: Make, up: Raised) -> Ticks:
    """Clear opening that a hook needs to pass both the board and the raised roll."""
    return max(make.board, up.at_hems)
