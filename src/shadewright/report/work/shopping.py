"""All there is to buy for a job, as a list to take to the shop."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from shadewright.measure import Ticks
from shadewright.report.work.account import Account
from shadewright.report.work.words import at_least, bolts_said, clean, count
from shadewright.trade.making import CLEAT_HEIGHT, EYES_BELOW, hook_needed, shank


@dataclass(frozen=True)
class ThingToBuy:
    """A line of the list: how much, of what, and what to know about it."""

    amount: str
    what: str
    note: str = ""


def cloth_to_buy(account: Account) -> list[ThingToBuy]:
    """The cloth; where what is on hand is enough, nothing."""
    job, plan = account.job, account.plan
    found = []
    for name, length in plan.totals.bought.items():
        if not length:
            continue
        what = f"{clean(name)}, {job.tape.short(job.cloth(name).width)} wide"
        amount, told = job.tape.cloth(length), bolts_said(job, plan, name)
        if account.before is not None:
            amount, told = _more(account, name, length, told)
        found.append(ThingToBuy(amount, what, told))
    return found


def _more(account: Account, cloth: str, length: Ticks, told: str) -> tuple[str, str]:
    """What is bought of a cloth beyond what was bought for the plan before."""
    assert account.before is not None
    tape, old = account.job.tape, account.before.totals.bought.get(cloth, 0)
    amount = f"{tape.cloth(length - old)} more" if length > old else "no more"
    whole = f"{tape.cloth(length)} in all, and {tape.cloth(old)} in the plan before"
    return amount, f"{whole}; {told}" if told else whole


def cloth_on_hand(account: Account) -> list[ThingToBuy]:
    """The pieces on hand that are cut: what is used of each, and what is left."""
    tape = account.job.tape
    return [
        ThingToBuy(
            tape.long(use.length),
            f"{clean(use.cloth)}, {clean(use.piece)}, which is on hand",
            f"{tape.long(use.used)} is used and {tape.long(use.length - use.used)} is left",
        )
        for use in account.plan.pieces
        if not use.bought
    ]


def things_to_buy(account: Account) -> list[ThingToBuy]:
    """What is bought besides cloth."""
    return [*_sticks(account), *_hardware(account)]


def _sticks(account: Account) -> Iterator[ThingToBuy]:
    job = account.job
    short, wood = job.tape.short, clean(job.make.wood.name)
    for (kind, stock), number in account.supplies.sticks.items():
        size = (
            f"{short(job.make.board)} square"
            if kind == "board"
            else f"{short(job.make.rod)} across"
        )
        what = f"{kind}{'' if number == 1 else 's'}, {short(stock)} long"
        yield ThingToBuy(str(number), what, f"{size}, of {wood}")


def _hardware(account: Account) -> Iterator[ThingToBuy]:
    job, need = account.job, account.supplies
    tape = job.tape
    opening = max(hook_needed(job.make, card.made.raised) for card in account.cards)
    reels, each = ("reel", "") if need.reels == 1 else ("reels", " each")
    yield ThingToBuy(
        str(need.reels),
        f"{reels} of lift cord, {tape.cloth(job.make.cord_reel)}{each}",
        f"{tape.long(need.cord)} is used, and no cord is pieced",
    )
    yield ThingToBuy(str(need.hooks), "cup hooks", f"they open at least {at_least(job, opening)}")
    yield ThingToBuy(
        str(need.eyes),
        "screw eyes",
        f"{need.hooks} on top of boards, {EYES_BELOW} below each; their screws no longer than "
        f"{tape.short(shank(job.make))}",
    )
    cleats = count(need.cleats, "cleat").split(" ", 1)[1]
    yield ThingToBuy(
        str(need.cleats), cleats, f"at least {tape.short(CLEAT_HEIGHT)} above the floor"
    )
    if need.tassels:
        yield ThingToBuy(str(need.tassels), "tassels", "one for each cord")
    yield ThingToBuy(tape.cloth(need.thread), "thread", "a tenth is to spare")
