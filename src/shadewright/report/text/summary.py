"""What a plan says on the terminal."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from itertools import islice

from shadewright.cloth.plan import Plan
from shadewright.job.model import Job
from shadewright.report.text.wrapping import wrapped
from shadewright.report.work.account import Account
from shadewright.report.work.cautions import SHORT_CAUTION
from shadewright.report.work.choices import why_so_many
from shadewright.report.work.going_on import GoingOn
from shadewright.report.work.makings import sticks_said
from shadewright.report.work.paying import whole_said
from shadewright.report.work.words import (
    bolts_said,
    clean,
    count,
    goal_bound,
    goal_called,
    goal_value,
    has_prices,
    met,
    money,
    piece_called,
    used_of,
    verdict,
)
from shadewright.trade.naive import Naive

_REMNANTS = 3


def summary(account: Account) -> str:
    """The plan in a screenful of text: what to buy, what to make, how good it is."""
    job, plan, naive = account.job, account.plan, account.naive
    first = int(job.children)
    begun = account.going_on.begun
    whole = ", for the whole job" if begun else ""
    parts = [
        *([wrapped(said, "")] for said in account.advice[:first]),
        [wrapped(clean(job.title), "")],
        *_since(account.going_on),
        ["Cloth for the whole job, before and now" if begun else "Buy", *_buying(account)],
        [f"Besides cloth{whole}", wrapped(_besides(account))],
        [
            f"Make {count(plan.totals.shades, 'shade')}",
            *(wrapped(f"{name}: {told}") for name, told in account.divisions),
        ],
    ]
    if account.lay:
        parts.append(["How the cloth lies", *map(wrapped, account.lay)])
    if account.centring:
        parts.append(["How the print is centred", *map(wrapped, account.centring)])
    if account.against_shades:
        said = [*account.against_shades, why_so_many(job)]
        parts.append(["Shades against cloth", *map(wrapped, said)])
    # What was spoilt on the way is nothing to hold against either way to plan.
    if naive is not None and not begun:
        parts.append(["The notepad way", wrapped(_comparison(job, plan, naive))])
    parts.append(["How good this is", *_goodness(account)])
    parts.append(["Before you begin", *map(wrapped, account.advice[first:])])
    if job.notes:
        parts.append(["Notes", *(wrapped(clean(note)) for note in job.notes)])
    parts.append(list(SHORT_CAUTION))
    return "\n\n".join("\n".join(part) for part in parts) + "\n"


def _since(going_on: GoingOn) -> Iterator[list[str]]:
    """What has become of the plan that this one goes on from, and what that makes to buy."""
    if going_on.changed:
        yield ["What is cut, and what has changed", *map(wrapped, going_on.changed)]
    if going_on.more:
        yield ["What to buy now", *map(wrapped, going_on.more)]


def _buying(account: Account) -> list[str]:
    job, plan = account.job, account.plan
    per = "yard" if job.tape.cloth_unit == "yd" else "metre"
    lines = []
    for use in plan.pieces:
        if not use.bought:
            lines.append(wrapped(f"{piece_called(use)}, on hand: {used_of(job.tape, use)}"))
    if not plan.totals.bought:
        lines.append(wrapped("no cloth: what is on hand is enough"))
    for name, length in plan.totals.bought.items():
        price = job.cloth(name).price
        line = f"{job.tape.cloth(length)} of {clean(name)}"
        if price is not None:
            cost = sum(p.cost for p in plan.pieces if p.cloth == name)
            line += f" at {money(float(price))} a {per}: {money(cost)}"
        told = bolts_said(job, plan, name)
        lines.append(wrapped(f"{line} ({told})" if told else line))
    each = job.make.shade_cost or 0
    if job.prices is not None:
        shades = count(plan.totals.shades, "shade")
        hardware = plan.totals.cost - sum(p.cost for p in plan.pieces)
        lines.append(
            wrapped(f"{shades}, hardware, sticks and work by their prices: {money(hardware)}")
        )
    elif each:
        cost = float(each * plan.totals.shades)
        shades = count(plan.totals.shades, "shade")
        lines.append(wrapped(f"{shades} at {money(float(each))} apart from cloth: {money(cost)}"))
    if plan.totals.cost:
        without = "" if has_prices(job, plan) else ", without the cloth that has no price"
        lines.append(wrapped(f"In all: {money(plan.totals.cost)}{without}"))
    if whole := whole_said(job, plan, account.supplies):
        lines.append(wrapped(whole))
    return lines


def _besides(account: Account) -> str:
    """Sticks, cords and screws, in a line or two."""
    need, tape = account.supplies, account.job.tape
    reel = tape.cloth(account.job.make.cord_reel)
    things = [
        sticks_said(tape, need, "board"),
        sticks_said(tape, need, "rod"),
        f"{tape.long(need.cord)} of lift cord ({count(need.reels, 'reel')} of {reel})",
        count(need.hooks, "cup hook"),
        count(need.eyes, "screw eye"),
        count(need.cleats, "cleat"),
        *([count(need.tassels, "tassel")] if need.tassels else []),
        f"{tape.cloth(need.thread)} of thread",
    ]
    return f"{'; '.join(things)}."


def _comparison(job: Job, plan: Plan, naive: Naive) -> str:
    tape = job.tape
    buys = " and ".join(f"{tape.cloth(n)} of {clean(c)}" for c, n in naive.bought.items())
    said = f"It would buy {buys} for {count(naive.shades, 'shade')}"
    more = [
        f"{tape.cloth(abs(less))} of {clean(cloth)} {'less' if less > 0 else 'more'}"
        for cloth, length in naive.bought.items()
        if (less := length - plan.totals.bought.get(cloth, 0))
    ]
    said += f"; this plan buys {' and '.join(more)}" if more else "; this plan buys as much cloth"
    if has_prices(job, plan):
        said += f" {_saving(naive.cost - plan.totals.cost)}"
    said += "."
    more_bought = sum(plan.totals.bought.values()) > sum(naive.bought.values())
    unseen = {"centred": "centre it on each shade", "continuous": "let it run on behind the gaps"}
    for strategy in dict.fromkeys(map(job.strategy, job.faces)):
        if more_bought and strategy in unseen:
            said += f" (It keeps the print level, but does not {unseen[strategy]}.)"
    return said


def _saving(saved: float) -> str:
    if abs(saved) < 0.005:
        return "for the same money"
    return f"and saves {money(saved)}" if saved > 0 else f"and costs {money(-saved)} more"


def _goodness(account: Account) -> list[str]:
    job, plan = account.job, account.plan
    lines = [wrapped(verdict(job, plan))]
    open_ = [goal for goal in plan.proof.goals[1:] if not met(goal)]
    lines += [
        wrapped(
            f"{goal_called(job, goal.goal)}: {goal_value(job, goal.goal, goal.value)}; none can "
            f"beat {goal_bound(job, goal)} and be as good in what counts more."
        )
        for goal in open_
        if goal.bound
    ]
    if not all(goal.bound for goal in open_):
        lines.append(wrapped("How good it can be in what counts less is not known."))
    waste = f"{100 * plan.totals.waste:.1f}% of the usable cloth cut into is waste."
    return [*lines, wrapped(waste), *_remnants(account)]


def _remnants(account: Account) -> list[str]:
    """The largest pieces of cloth that are left, those of one size once."""
    tape = account.job.tape
    sizes = Counter(
        f"{tape.short(o.across)} x {tape.short(o.along)} of {piece_called(o.use)}"
        for o in account.offcuts
    )
    said = [
        f"{number} times {size}" if number > 1 else size
        for size, number in islice(sizes.items(), _REMNANTS)
    ]
    return [wrapped(f"Largest left over: {'; '.join(said)}.")] if said else []
