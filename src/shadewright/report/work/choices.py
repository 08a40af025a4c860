"""What a plan chose, in words: how many shades against how much cloth, and which way cloth lies."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

from shadewright.answers import Centring, FrontierPoint
from shadewright.job.model import Cloth, Job
from shadewright.measure import TICKS
from shadewright.report.work.words import clean, count, has_prices, listed, money

if TYPE_CHECKING:
    from shadewright.cloth.plan import Plan


def frontier_said(job: Job, plan: Plan, points: Sequence[FrontierPoint]) -> list[str]:
    """A line for each number of shades, from the fewest up; empty where there is no choice."""
    lines = []
    for point in points:
        cloth = " and ".join(f"{job.tape.cloth(n)} of {clean(c)}" for c, n in point.bought.items())
        line = f"{count(point.shades, 'shade')}: {cloth or 'no cloth to buy'}"
        if has_prices(job, plan):
            line += f", {money(point.cost)}"
        lines.append(line + (" (this plan)" if point.shades == plan.totals.shades else ""))
    if len(lines) == 1:
        lines.append("No other number of shades was found that takes less cloth.")
    return lines


def why_so_many(job: Job) -> str:
    """What one more shade must save, as a sentence."""
    if job.priced and job.prices is not None:
        return "One more shade must save more cloth than its hardware and its work cost."
    if job.priced and job.make.shade_cost is not None:
        each = money(float(job.make.shade_cost))
        return f"One more shade must save more cloth than the {each} that it costs."
    if not job.make.extra_shade:
        return "One more shade is made wherever it saves any cloth."
    least = job.tape.cloth(job.make.extra_shade)
    return f"One more shade must save at least {least} of cloth (extra_shade)."


def lays_said(job: Job, plan: Plan) -> list[str]:
    """Which way each cloth lies that was free to lie either way, or lies both ways, a sentence
    each; and which print lies sideways then."""
    of = {shade.id: shade.opening for shade in plan.shades}
    lines = []
    for cloth in job.cloths:
        mine = [panel for panel in plan.panels if panel.cloth == cloth.name]
        ways = {panel.railroaded for panel in mine}
        set_apart = any(o.runs is not None for o in job.openings if o.cloth == cloth.name)
        if not ways or not (cloth.runs in ("either", "mixed") or set_apart or len(ways) > 1):
            continue
        name = clean(cloth.name)
        if len(ways) == 1:
            way = "railroaded" if True in ways else "up the bolt"
            lines.append(f"{name}: every panel lies {way}.")
            continue
        upright = {of[panel.shade] for panel in mine if not panel.railroaded}
        turned = {of[panel.shade] for panel in mine if panel.railroaded}
        which = [
            clean(o.name) if o.name not in upright else f"some panels of {clean(o.name)}"
            for o in job.openings
            if o.name in turned
        ]
        lines.append(f"{name} lies railroaded in {listed(which)}, and up the bolt in all others.")
    return lines + sideways_said(plan, job.faces)


def sideways_said(plan: Plan, faces: Iterable[Cloth]) -> list[str]:
    """Which prints a plan turns on their side, a sentence each."""
    return [
        f"The {cloth.print_called} of {clean(cloth.name)} lie sideways on the shades laid "
        f"{'up the bolt' if cloth.runs == 'railroaded' else 'railroaded'}."
        for cloth in faces
        if cloth.patterned
        and any(
            panel.railroaded != (cloth.runs == "railroaded")
            for panel in plan.panels
            if panel.part == "face" and panel.cloth == cloth.name
        )
    ]


def centring_said(job: Job, plan: Plan, other: Centring | None) -> list[str]:
    """That the other thing on centre lines would take much less, in a sentence; empty where it does
    not."""
    if other is None:
        return []
    here, there = (sum(bought.values()) for bought in (plan.totals.bought, other.bought))
    spared, more = here - there, other.shades - plan.totals.shades
    # Shades more are worth cloth of their own, which is not spared by the print.
    worth = spared - max(more, 0) * job.make.extra_shade
    if worth < max(TICKS[job.tape.cloth_unit], _WORTH_SAYING * here):
        return []
    columns = [cloth for cloth in job.faces if cloth.repeat_across is not None]
    what = "stripe" if all(cloth.repeat_down is None for cloth in columns) else "motif"
    said = {"motif": f"on a {what}", "between": f"between two {what}s"}
    less = f"{job.tape.cloth(spared)} less to buy"
    if has_prices(job, plan) and (saved := plan.totals.cost - other.cost) > 0:
        less += f", and {money(saved)} less to pay"
    shades = f", with {count(other.shades, 'shade')}" if more else ""
    return [
        f"To centre {said[job.match.centre_on]} costs much here: centred {said[other.centre_on]} "
        f'(centre_on = "{other.centre_on}") there is {less}{shades}.'
    ]


_WORTH_SAYING = 0.05
"""Of what is bought, beside a yard or a metre: less is no reason to look at another print."""
