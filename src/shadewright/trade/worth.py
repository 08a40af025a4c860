"""What a shade must be worth: the cloth that one more has to save, or what it costs to make.

A shade is about an hour's work and a set of hardware. Where money is known, that is what counts: as
the job states it for a shade, or by the prices of hardware and work. Where it is not, one more
shade must save a length of cloth (`extra_shade`; our own rule, 1 yd or 1 m where the job is
silent).
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from shadewright.job.model import Draw, Job, Opening
from shadewright.measure import Ticks
from shadewright.trade.buying import cloth_cost
from shadewright.trade.cords import draw_of
from shadewright.trade.making import EYES_BELOW, made


def worth_of_shades(job: Job, opening: Opening, widths: Sequence[Ticks]) -> Fraction:
    """What the shades of a division cost or are worth: money where every cloth has a price, else
    ticks of cloth.

    Args:
        widths: finished, left to right.
    """
    count = len(widths)
    if not job.priced:
        return Fraction(job.make.extra_shade * count)
    if job.prices is None and job.make.shade_cost is None:
        return count * cloth_cost(job, job.cloth(opening.cloth), job.make.extra_shade)
    draws = [draw_of(opening, place, count) for place in range(1, count + 1)]
    return sum(
        (cost_of_shade(job, opening, w, d) for w, d in zip(widths, draws, strict=True)),
        Fraction(0),
    )


def cost_of_shade(job: Job, opening: Opening, width: Ticks, draw: Draw) -> Fraction:
    """Money that one shade costs apart from cloth: what is stated for a shade, and its hardware,
    sticks and time by their prices, sticks in proportion to their length.

    Args:
        width: finished.
    """
    cost = job.make.shade_cost or Fraction(0)
    prices = job.prices
    if prices is None:
        return cost
    parts = made(job, opening, width, draw)
    hooks = len(parts.held.hooks)
    cost += (prices.hook or Fraction(0)) * hooks
    cost += (prices.eye or Fraction(0)) * (hooks + EYES_BELOW)
    cost += prices.cleat or Fraction(0)
    cost += (prices.cord or Fraction(0)) * sum(parts.cords.lengths) / job.price_unit
    for length, sold in ((parts.board, prices.board), (parts.rod, prices.rod)):
        # By the cheapest length to buy it in.
        cost += length * min((price / stock for stock, price in sold), default=Fraction(0))
    return cost + (prices.hour or Fraction(0)) * prices.minutes / 60
