"""The work on a shade, step by step in the order it is done, as sentences.

Source: common practice, and the figures of `shadewright.trade`.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from shadewright.job.model import Job
from shadewright.measure import Ticks
from shadewright.report.work.hanging import hangs
from shadewright.report.work.makings import Card, cord_cuts, cord_names
from shadewright.report.work.names import ShadeNames
from shadewright.report.work.words import count, listed
from shadewright.trade.making import CLEAT_HEIGHT
from shadewright.trade.sizes import flat_length

if TYPE_CHECKING:
    from shadewright.cloth.plan import Shade


_MOST_PLACES = 3
"""Places in their openings where shades made alike hang, of which each is told."""


@dataclass(frozen=True)
class MakingStep:
    """A step of the work on a shade: what it is about in a word, and what to do."""

    name: str
    words: str


def making_steps(job: Job, card: Card) -> list[MakingStep]:
    """The steps from the cut panel to the cleat on the wall."""
    return [
        *([MakingStep("Wash", _washed(job))] if _shrinks(job, card) else []),
        MakingStep("Hems", _hems(job)),
        MakingStep("Pockets", _pockets(job)),
        MakingStep("Check", _check(job, card)),
        MakingStep("Board in", _sticks(job, card)),
        MakingStep("Punch", "Punch a starter hole for every eye with an awl; do not drill."),
        MakingStep("Eyes", _eyes(job, card)),
        MakingStep("Cords", _cords(job, card)),
        MakingStep("Hooks", _hooks(job, card)),
        MakingStep("Cleat", _cleat(job, card)),
    ]


def _shrinks(job: Job, card: Card) -> bool:
    cloths = [job.cloth(panel.cloth) for panel in card.panels]
    return any(cloth.shrink_down or cloth.shrink_across for cloth in cloths)


def _washed(job: Job) -> str:
    what, whose = ("both panels", "their") if job.make.lining else ("the panel", "its")
    return f"Wash and press {what} before you sew: {whose} cut size allows for shrinking."


def _hems(job: Job) -> str:
    make, short = job.make, job.tape.short
    if make.lining:
        return (
            "Lay face and lining right sides in, sew both sides with a seam of "
            f"{short(make.seam)}, and turn them out."
        )
    times = " twice" if make.side_folds == 2 else ""
    return f"Fold each side in {short(make.side_fold)}{times}, and stitch."


def _pockets(job: Job) -> str:
    make = job.make
    top = f"At the top, {_pocket(job, make.board_pocket)} from the cut edge."
    return f"{top} At the bottom, {_pocket(job, make.rod_pocket)}."


def _pocket(job: Job, depth: Ticks) -> str:
    short, under = job.tape.short, job.make.turn_under
    return (
        f"turn {short(under)} under, fold at {short(under + depth)} and stitch at "
        f"{short(under + 2 * depth)}"
    )


def _check(job: Job, card: Card) -> str:
    short, shade = job.tape.short, card.shade
    long = short(flat_length(job.make, job.tape, shade.finished_length))
    return f"Laid flat, it now measures {short(shade.finished_width)} wide and {long} long."


def _sticks(job: Job, card: Card) -> str:
    short, making = job.tape.short, card.making
    if making.board == making.rod:
        return f"Slide in the board at the top and the rod below, each {short(making.board)} long."
    board, rod = short(making.board), short(making.rod)
    return f"Slide in the board at the top, {board} long, and the rod below, {rod} long."


def _eyes(job: Job, card: Card) -> str:
    making = card.making
    return (
        f"From the board's left end: on top at {_places(job, making.hooks)}; below at "
        f"{_places(job, making.lift_lines)}; the draw guide below at "
        f"{job.tape.short(making.guide)}."
    )


def _places(job: Job, places: list[Ticks]) -> str:
    said = [job.tape.short(at) for at in places]
    if job.metric:
        # One unit for all of them is easier to read.
        said[:-1] = [each.removesuffix(" cm") for each in said[:-1]]
    return listed(said)


def _cords(job: Job, card: Card) -> str:
    short = job.tape.short
    cuts = zip(cord_names(card.making), cord_cuts(job, card.making), strict=True)
    cut = " and the ".join(f"{name} cord {short(length)}" for name, length in cuts)
    knot = short(job.make.knot)
    return (
        f"Cut the {cut} long. Tie each to its eye on top, with {knot} for the knot, and lead it "
        "down the back, under the rod, up the front and through its eye below to the guide."
    )


def _hooks(job: Job, card: Card) -> str:
    end = job.make.stick_short // 2
    number = count(len(card.making.hooks), "hook")
    hung: dict[Ticks, list[Shade]] = {}
    for shade in card.shades:
        hung.setdefault(shade.left, []).append(shade)
    places = [_places(job, [left + end + hook for hook in card.making.hooks]) for left in hung]
    if len(hung) == 1:
        where = f"at {places[0]} from the opening's left edge"
    elif len(hung) <= _MOST_PLACES:
        names = ShadeNames(job, card.shades)
        each = zip(map(names.together, hung.values()), places, strict=True)
        said = "; ".join(f"{name} at {at}" for name, at in each)
        where = f"measured from the opening's left edge: {said}"
    else:
        where = "one above each eye on top"
    return f"Screw {number} into sound framing, {where}. {hangs(job, card.opening)}"


def _cleat(job: Job, card: Card) -> str:
    side = {"left": "on the left", "right": "on the right", "centre": "beside the opening"}
    at_least = job.tape.short(CLEAT_HEIGHT)
    return (
        f"Fix it {side[card.shade.draw]}, at least {at_least} above the floor. Wind the whole cord "
        "round it every time."
    )
