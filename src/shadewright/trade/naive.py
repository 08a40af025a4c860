"""What the same openings would cost, worked out with pencil and paper."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from shadewright.job.model import Cloth, Job, Opening
from shadewright.measure import Ticks, ceil_to
from shadewright.trade import divisions
from shadewright.trade.buying import (
    bought_length,
    cloth_cost,
    spare_length,
    start_allowance,
    whole_repeats,
)
from shadewright.trade.counts import counts


@dataclass(frozen=True)
class Naive:
    """What the notepad way would buy: see `naive`."""

    shades: int
    bought: dict[str, Ticks]
    """Per cloth."""
    cost: float
    """Cloth, and `shade_cost` for every shade; 0 when a cloth has no price."""


def naive(job: Job) -> Naive | None:
    """The notepad way: fewest equal shades, and a full drop for each.

    Panels of one opening share a drop where two or more fit side by side. On matched cloth every
    drop is cut to whole repeats, and one repeat is added for the start (`whole_repeats`), and what
    the job buys to spare. Bolts are taken to be as long as may be. None
    where an opening has no equal division, or some of the cloth cannot be bought.
    """
    if not all(job.cloth(name).can_buy for name in _cloths(job)):
        return None
    shades = 0
    lengths: dict[str, Ticks] = {}
    railroaded: dict[str, bool] = {}
    longest: dict[str, Ticks] = {}
    for opening in job.openings:
        simple = _simplest(job, opening)
        if simple is None:
            return None
        count, way, width = simple
        shades += count * opening.copies
        face, lining = divisions.cloths_of(job, opening)
        for part, size in divisions.panels(job, opening, way, width).items():
            cloth = face if part == "face" or lining is None else lining
            beside = cloth.usable // size.across
            rows = -(-count // beside)
            length = _drop(job, cloth, size.along, part == "lining")
            lengths[cloth.name] = lengths.get(cloth.name, 0) + rows * length * opening.copies
            railroaded[cloth.name] = size.railroaded
            longest[cloth.name] = max(longest.get(cloth.name, 0), size.along)
    lead = ceil_to(job.make.square_up, job.step)
    bought = {
        name: bought_length(
            lead + length,
            start_allowance(job, job.cloth(name), railroaded[name])
            + spare_length(job.cloth(name), longest[name]),
            job.cloth(name).sold_in,
        )
        for name, length in lengths.items()
    }
    money = (job.make.shade_cost or 0) * shades + sum(
        (cloth_cost(job, job.cloth(name), length) for name, length in bought.items()), Fraction(0)
    )
    priced = all(job.cloth(name).price is not None for name in bought)
    return Naive(shades, bought, float(money) if priced else 0.0)


def _cloths(job: Job) -> set[str]:
    """The cloths that the job's openings are made of."""
    lining = {job.make.lining} if job.make.lining else set()
    return {opening.cloth for opening in job.openings} | lining


def _simplest(job: Job, opening: Opening) -> tuple[int, divisions.Way, Ticks] | None:
    """Fewest equal shades: how many, how the cloth lies, and how wide."""
    equal = opening.model_copy(update={"widths": "equal"})
    allowed = divisions.all_limits(job, equal)
    for count in counts(job, opening):
        for limit in allowed:
            widths = divisions.equal_widths(job, equal, limit, count)
            if widths:
                return count, limit.way, widths[-1]
    return None


def _drop(job: Job, cloth: Cloth, along: Ticks, lining: bool) -> Ticks:
    if lining or cloth.repeat_down is None or job.strategy(cloth) == "plain":
        return along
    if cloth.runs == "railroaded":
        return whole_repeats(along, cloth.repeat_across) if cloth.repeat_across else along
    return whole_repeats(along, cloth.repeat_down)
