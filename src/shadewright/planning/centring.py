"""The other thing that may fall on centre lines, a motif or the middle between two: which of them
is asked for may cost a repeat for every row of shades."""

from __future__ import annotations

from shadewright.answers import Centring
from shadewright.job.model import Job
from shadewright.solve.answer.layout import to_plan
from shadewright.solve.problem.menu import problem
from shadewright.solve.problem.supply import Supply
from shadewright.solve.run import Clock
from shadewright.solve.search.found import Wish
from shadewright.solve.search.improvement import search
from shadewright.trade.refusal import CannotMeetError


def is_centred(job: Job) -> bool:
    """Whether it matters what falls on the centre lines of a job's shades or openings."""
    return any(
        cloth.repeat_across is not None and job.strategy(cloth) in ("centred", "continuous")
        for cloth in job.faces
    )


def otherwise_centred(job: Job, options: int, clock: Clock, seed: int) -> Centring | None:
    """What a job takes with the other thing on its centre lines, by a short look; None where that
    is nothing to the job, or no time is left to look.

    Args:
        options: of the job's own problem; the other one has about as many.
    """
    effort = clock.effort
    copies = sum(opening.copies for opening in job.openings)
    if not is_centred(job) or copies > effort.frontier_copies or clock.work <= 0:
        return None
    # Twice, as options without a place are made as well, and left out.
    if not clock.can_spend(2 * options * effort.seconds_an_option):
        return None
    other = job.matched(centre_on="between" if job.match.centre_on == "motif" else "motif")
    try:
        asked, groups = problem(other)
    except CannotMeetError:
        return None
    clock.spend_seconds(2 * options * effort.seconds_an_option)
    look = effort.other_centring * effort.work_per_second / max(clock.work, 1e-9)
    part = clock.part(min(look, effort.share_above))
    found = search(asked, Supply.of(other, asked), part, seed, wish=Wish(enough=True))
    if found is None or found.short.value:
        return None
    totals = to_plan(other, asked, groups, found).totals
    return Centring(other.match.centre_on, totals.shades, totals.bought, totals.cost)
