"""What every shade takes besides cloth, as the terminal, the sheets and the cards say it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING

from shadewright.job.model import Job, Opening
from shadewright.measure import TICKS, Tape, Ticks, ceil_to
from shadewright.report.work.names import ShadeNames
from shadewright.trade import cords
from shadewright.trade.making import EYES_BELOW, THREAD_RATIO, Made, made

if TYPE_CHECKING:
    from shadewright.cloth.plan import Making, Panel, Plan, Shade

SPARE_THREAD = 1.1


@dataclass(frozen=True)
class Card:
    """Shades that are made up alike, and everything there is to know about one.

    Attributes:
        shades: their plan entries; they differ only in where they hang.
        called: all of them by name.
        panels: of the first.
    """

    shades: tuple[Shade, ...]
    called: str
    opening: Opening
    making: Making
    made: Made
    panels: tuple[Panel, ...]

    @property
    def shade(self) -> Shade:
        return self.shades[0]


def cards(job: Job, plan: Plan) -> tuple[Card, ...]:
    """A card for each kind of shade, in the order of the plan."""
    found: dict[tuple[object, ...], list[Shade]] = {}
    openings = {opening.name: opening for opening in job.openings}
    told_by = {name: _told_by(opening) for name, opening in openings.items()}
    panels: dict[str, list[Panel]] = {}
    for panel in plan.panels:
        panels.setdefault(panel.shade, []).append(panel)
    for shade in plan.shades:
        key = told_by[shade.opening], shade.finished_width, shade.finished_length, shade.draw
        found.setdefault(key, []).append(shade)
    names = ShadeNames(job, plan.shades)
    makings = {making.shade: making for making in plan.making}
    return tuple(
        Card(
            tuple(shades),
            names.together(shades),
            openings[first.opening],
            makings[first.id],
            made(job, openings[first.opening], first.finished_width, first.draw),
            tuple(panels.get(first.id, ())),
        )
        for shades in found.values()
        for first in shades[:1]
    )


def _told_by(opening: Opening) -> Opening:
    """What tells the making of an opening's shades apart, and nothing else."""
    return opening.model_copy(
        update={"name": "", "copies": 1, "width": 0, "head": 0, "draw": "auto"}
    )


def cord_step(job: Job) -> Ticks:
    """Cords are cut to whole inches or centimetres."""
    return TICKS["cm"] if job.metric else TICKS["in"]


def cord_cuts(job: Job, making: Making) -> tuple[Ticks, Ticks]:
    """What to cut the left and the right cord to."""
    left, right = (cords.cut_length(cord, cord_step(job)) for cord in making.cords)
    return left, right


def cord_names(making: Making) -> tuple[str, str]:
    """Which cord is which: far and near by their way to the draw, or left and right alike."""
    left, right = making.cords
    if left == right:
        return "left", "right"
    return ("far", "near") if left > right else ("near", "far")


@dataclass(frozen=True)
class Supplies:
    """What to buy besides cloth.

    Attributes:
        sticks: number by kind and stock length.
        cord: length of all cords as cut.
        thread: to buy, for all seams.
    """

    sticks: dict[tuple[str, Ticks], int]
    cord: Ticks
    reels: int
    hooks: int
    eyes: int
    cleats: int
    tassels: int
    seams: Ticks
    thread: Ticks


def supplies(job: Job, plan: Plan, found: Iterable[Card]) -> Supplies:
    """What all shades take, whose cards are these."""
    cut = [length for making in plan.making for length in cord_cuts(job, making)]
    hooks = sum(len(making.hooks) for making in plan.making)
    shades = len(plan.shades)
    seams = sum(card.made.seams * len(card.shades) for card in found)
    return Supplies(
        sticks=dict(sorted(Counter((s.stick, s.stock) for s in plan.wood).items())),
        cord=sum(cut),
        reels=cords.reels(cut, job.make.cord_reel),
        hooks=hooks,
        eyes=hooks + EYES_BELOW * shades,
        cleats=shades,
        tassels=2 * shades if job.make.tassels else 0,
        seams=seams,
        thread=ceil_to(round(seams * THREAD_RATIO * SPARE_THREAD), job.price_unit),
    )


def hangs_when_up(card: Card) -> Ticks:
    """Cord below the guide when the shade is up and nothing is wound on the cleat."""
    up = card.made
    return cords.hanging_when_up(up.cords.tail, card.shade.finished_length, up.raised.hides)


def end_above_floor(job: Job, card: Card, up: bool) -> Ticks | None:
    """Height of the cords' ends above the floor, 0 if they lie on it; None if it is not known."""
    if card.opening.head_above_floor is None:
        return None
    guide = cords.guide_height(job.make, card.opening, card.opening.head_above_floor)
    return max(guide - (hangs_when_up(card) if up else card.made.cords.tail), 0)


def sticks_said(tape: Tape, need: Supplies, kind: str) -> str:
    """``10 boards of 96", 2 of 72"``."""
    found = [(n, stock) for (stick, stock), n in need.sticks.items() if stick == kind]
    (n, stock), *others = sorted(found, key=lambda each: -each[1])
    said = f"{n} {kind}{'' if n == 1 else 's'} of {tape.short(stock)}"
    return ", ".join([said, *(f"{more} of {tape.short(length)}" for more, length in others)])
