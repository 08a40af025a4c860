"""What the shades of a plan take besides cloth, and how boards and rods are cut from stock."""

from __future__ import annotations

from collections import deque
from collections.abc import Sequence
from typing import get_args

from shadewright.cloth.plan import Making, Shade, StickCut, StickUse
from shadewright.cloth.stick_plan import StickName, StickPlan, Sticks
from shadewright.job.model import Job
from shadewright.measure import TICKS, Ticks, ceil_to
from shadewright.solve.run import Clock
from shadewright.solve.sticks.cutting import cut_sticks
from shadewright.trade.making import made


def making(job: Job, shades: Sequence[Shade]) -> list[Making]:
    """What each shade takes, in the order of the shades."""
    openings = {opening.name: opening for opening in job.openings}
    found = []
    for shade in shades:
        one = made(job, openings[shade.opening], shade.finished_width, shade.draw)
        found.append(
            Making(
                shade=shade.id,
                board=one.board,
                rod=one.rod,
                lift_lines=list(one.cords.lift_lines),
                guide=one.cords.guide,
                hooks=list(one.held.hooks),
                cords=list(one.cords.lengths),
                raised_diameter=one.raised.diameter,
            )
        )
    return found


def wood(job: Job, makings: Sequence[Making], clock: Clock, seed: int = 0) -> StickPlan:
    """Boards and rods cut from the least length of stock, then the fewest sticks.

    Args:
        clock: of the whole command.
    """
    sticks: list[StickUse] = []
    proofs: dict[StickName, Sticks] = {}
    for name in get_args(StickName):
        lengths: dict[str, Ticks] = {each.shade: getattr(each, name) for each in makings}
        stock = stock_for(job, name, max(lengths.values()))
        found = proofs[name] = cut_sticks(lengths.values(), stock, job.make.kerf, clock, seed)
        waiting: dict[Ticks, deque[str]] = {}
        for shade, length in lengths.items():
            waiting.setdefault(length, deque()).append(shade)
        sticks += [
            StickUse(
                stick=name,
                stock=stick.stock,
                cuts=[StickCut(shade=waiting[n].popleft(), length=n) for n in stick.pieces],
            )
            for stick in found.sticks
        ]
    return StickPlan(sticks, proofs)


def stock_for(job: Job, name: StickName, longest: Ticks) -> tuple[Ticks, ...]:
    """The stock lengths of the job; where none is long enough, a stick cut to order as well: up to
    a whole foot, or 10 cm."""
    stock: tuple[Ticks, ...] = getattr(job.make.stock, name)
    if longest <= max(stock):
        return stock
    return (*stock, ceil_to(longest, 100 * TICKS["mm"] if job.metric else TICKS["ft"]))
