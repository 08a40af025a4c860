"""What a plan says on the terminal."""

from __future__ import annotations

from shadewright.cloth.plan import Plan
from shadewright.job.model import Job
from shadewright.report.work.advice import advice
from shadewright.report.work.cautions import SHORT_CAUTION
from shadewright.report.work.cuts import lay_out, offcuts
from shadewright.report.work.makings import sticks_said, supplies
from shadewright.report.work.words import (
    GOALS,
    clean,
    count,
    divisions,
    goal_bound,
    goal_value,
    has_prices,
    met,
    money,
    verdict,
    wrapped,
)
from shadewright.trade.naive import Naive

_REMNANTS = 3


def summary(job: Job, plan: Plan, naive: Naive | None) -> str:
    """The plan in a screenful of text: what to buy, what to make, how good it is.

    `naive` is what the notepad way would buy, None where it cannot be worked out.
    """
    said = advice(job, plan)
    first = [[wrapped(said.pop(0), "")]] if job.children else []
    parts = [
        *first,
        [wrapped(clean(job.title), "")],
        ["Buy", *_buying(job, plan)],
        ["Besides cloth", *(wrapped(line) for line in _besides(job, plan))],
        [
            f"Make {count(plan.totals.shades, 'shade')}",
            *(wrapped(f"{name}: {told}") for name, told in divisions(job, plan)),
        ],
    ]
    if naive is not None:
        parts.append(["The notepad way", wrapped(_comparison(job, plan, naive))])
    parts += [
        ["How good this is", *_goodness(job, plan)],
    ]
    parts.append(["Before you begin", *map(wrapped, said)])
    if job.notes:
        parts.append(["Notes", *(wrapped(clean(note)) for note in job.notes)])
    parts.append(list(SHORT_CAUTION))
    return "\n\n".join("\n".join(part) for part in parts) + "\n"


def _buying(job: Job, plan: Plan) -> list[str]:
    per = "yard" if job.tape.cloth_unit == "yd" else "metre"
    lines = []
    for piece in plan.pieces:
        if not piece.bought:
            left = piece.length - piece.used
            lines.append(
                wrapped(
                    f"{clean(piece.cloth)}, {clean(piece.piece)}, on hand: "
                    f"{job.tape.long(piece.used)} of {job.tape.long(piece.length)} used, "
                    f"{job.tape.long(left)} left at its end"
                )
            )
    if not plan.totals.bought:
        lines.append(wrapped("no cloth: what is on hand is enough"))
    for name, length in plan.totals.bought.items():
        price = job.cloth(name).price
        line = f"{job.tape.cloth(length)} of {clean(name)}"
        if price is not None:
            cost = sum(p.cost for p in plan.pieces if p.cloth == name)
            line += f" at {money(float(price))} a {per}: {money(cost)}"
        lines.append(wrapped(line))
    each = job.make.shade_cost or 0
    if each:
        cost = float(each * plan.totals.shades)
        lines.append(
            wrapped(
                f"{count(plan.totals.shades, 'shade')} at {money(float(each))} apart from "
                f"cloth: {money(cost)}"
            )
        )
    if plan.totals.cost:
        without = "" if has_prices(job, plan) else ", without the cloth that has no price"
        lines.append(wrapped(f"In all: {money(plan.totals.cost)}{without}"))
    return lines


def _besides(job: Job, plan: Plan) -> list[str]:
    """Sticks, cords and screws, in a line or two."""
    need, tape = supplies(job, plan), job.tape
    reel = tape.cloth(job.make.cord_reel)
    things = [
        sticks_said(job, plan, "board"),
        sticks_said(job, plan, "rod"),
        f"{tape.long(need.cord)} of lift cord ({count(need.reels, 'reel')} of {reel})",
        count(need.hooks, "cup hook"),
        count(need.eyes, "screw eye"),
        count(need.cleats, "cleat"),
        *([count(need.tassels, "tassel")] if need.tassels else []),
        f"{tape.cloth(need.thread)} of thread",
    ]
    return [f"{'; '.join(things)}."]


def _comparison(job: Job, plan: Plan, naive: Naive) -> str:
    tape = job.tape
    buys = " and ".join(f"{tape.cloth(n)} of {clean(c)}" for c, n in naive.bought.items())
    said = f"would buy {buys} for {count(naive.shades, 'shade')}"
    more = [
        f"{tape.cloth(abs(less))} of {clean(cloth)} {'less' if less > 0 else 'more'}"
        for cloth, length in naive.bought.items()
        if (less := length - plan.totals.bought.get(cloth, 0))
    ]
    said += f"; this plan buys {' and '.join(more)}" if more else "; this plan buys as much cloth"
    if has_prices(job, plan):
        said += f" {_saving(naive.cost - plan.totals.cost)}"
    return said + "."


def _saving(saved: float) -> str:
    if abs(saved) < 0.005:
        return "for the same money"
    return f"and saves {money(saved)}" if saved > 0 else f"and costs {money(-saved)} more"


def _goodness(job: Job, plan: Plan) -> list[str]:
    lines = [wrapped(verdict(job, plan))]
    lines += [
        wrapped(
            f"{GOALS[goal.goal]}: {goal_value(job, goal, goal.value)}; none can beat "
            f"{goal_bound(job, goal)}, given what stands before"
        )
        for goal in plan.proof.goals[1:]
        if not met(goal)
    ]
    waste = f"{100 * plan.totals.waste:.1f}% of the usable cloth cut into is waste."
    return [*lines, wrapped(waste), *_remnants(job, plan)]


def _remnants(job: Job, plan: Plan) -> list[str]:
    """The largest pieces of cloth that are left."""
    found = offcuts(job, lay_out(job, plan))[:_REMNANTS]
    if not found:
        return []
    tape = job.tape
    said = [
        f"{tape.short(o.across)} x {tape.short(o.along)} of {clean(o.use.cloth)}, "
        f"{clean(o.use.piece)}"
        for o in found
    ]
    return [wrapped(f"Largest left over: {'; '.join(said)}.")]
