"""What all that is bought comes to: sticks whole, and cord in reels."""

from __future__ import annotations

from fractions import Fraction

from shadewright.cloth.plan import Plan
from shadewright.job.model import Job
from shadewright.report.work.makings import Supplies
from shadewright.report.work.words import money


def as_bought(job: Job, plan: Plan, need: Supplies) -> Fraction:
    """Money for a plan's cloth, its hardware as it is sold, and the work; nothing for what has no
    price."""
    prices = job.prices
    paid = sum((Fraction(piece.cost) for piece in plan.pieces), Fraction(0))
    paid += len(plan.shades) * (job.make.shade_cost or Fraction(0))
    if prices is None:
        return paid
    for (kind, stock), number in need.sticks.items():
        sold = dict(prices.board if kind == "board" else prices.rod)
        paid += number * sold.get(stock, Fraction(0))
    paid += need.reels * (prices.cord or Fraction(0)) * job.make.cord_reel / job.price_unit
    paid += need.hooks * (prices.hook or Fraction(0)) + need.eyes * (prices.eye or Fraction(0))
    paid += need.cleats * (prices.cleat or Fraction(0))
    return paid + len(plan.shades) * (prices.hour or Fraction(0)) * prices.minutes / 60


def whole_said(job: Job, plan: Plan, need: Supplies) -> str:
    """What sticks and reels that are only begun add to a plan's cost, in a sentence; empty where
    they add nothing."""
    paid = float(as_bought(job, plan, need))
    if job.prices is None or abs(paid - plan.totals.cost) < _NOTHING:
        return ""
    return (
        "Money counts sticks and cord by their length; with whole sticks and reels, as on the Buy "
        f"sheet, it is {money(paid)}."
    )


_NOTHING = 0.005
