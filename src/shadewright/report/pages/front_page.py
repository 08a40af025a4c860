"""What the front page of the booklet is given."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from shadewright.cloth.plan import Goal
from shadewright.job.model import Job
from shadewright.report.pages.typesetting import breakable
from shadewright.report.work.account import Account
from shadewright.report.work.cautions import CAUTIONS
from shadewright.report.work.shopping import cloth_on_hand, cloth_to_buy
from shadewright.report.work.words import (
    clean,
    count,
    goal_bound,
    goal_called,
    goal_value,
    has_prices,
    met,
    money,
    verdict,
)

_PROVED = (
    "Proved means that every other way to divide the openings, and to lay and cut the panels, has "
    "been ruled out by reckoning, and not only those that were tried."
)
_NOT_PROVED = (
    "That is reckoned for every plan there can be, whether or not it was tried, so the best one "
    "lies between it and this plan."
)


def front_data(account: Account) -> dict[str, Any]:
    """The data of the front page."""
    job, plan = account.job, account.plan
    # How much cloth lies flat is told where cutting begins.
    advice = [said for said in account.advice if said != account.flat]
    first = advice[: int(job.children)]
    buy = cloth_to_buy(account)
    return {
        "title": breakable(clean(job.title)),
        "subtitle": _subtitle(account),
        "first": first,
        "going_on": [breakable(said) for said in account.going_on.said],
        "buy": [
            {"amount": t.amount, "what": breakable(t.what), "note": breakable(t.note)} for t in buy
        ],
        "besides": [*_on_hand(account, not buy), _besides(account)],
        "make": [
            {"name": breakable(name), "told": _sentence(told)} for name, told in account.divisions
        ],
        "lay": [breakable(said) for said in account.lay],
        "verdict": [verdict(job, plan), _explained(verdict(job, plan))],
        "goal_heads": ["What counts, in this order", "This plan", "No plan can beat"],
        "goals": []
        if all(map(met, plan.proof.goals))
        else [_goal(job, goal, number) for number, goal in enumerate(plan.proof.goals)],
        "cautions": list(CAUTIONS),
        "advice": [breakable(said) for said in advice[int(job.children) :]],
        "notes": [breakable(clean(note)) for note in job.notes],
    }


def _subtitle(account: Account) -> str:
    openings = len(account.by_copy)
    shades = count(len(account.plan.shades), "shade")
    return f"{shades} for {count(openings, 'opening')}: paper for the workroom."


def _on_hand(account: Account, enough: bool) -> Iterator[str]:
    """The pieces on hand, and that they are enough where they are."""
    if enough:
        yield "No cloth: what is on hand is enough."
    for thing in cloth_on_hand(account):
        yield breakable(f"Of {thing.what}, {thing.amount} long, {thing.note}.")


def _besides(account: Account) -> str:
    job, plan = account.job, account.plan
    said = "The last page lists everything else there is to buy."
    if not plan.totals.cost:
        return said
    without = "" if has_prices(job, plan) else ", without the cloth that has no price"
    return f"It comes to {money(plan.totals.cost)} in all{without}. {said}"


def _sentence(told: str) -> str:
    return f"{told}."


def _explained(said: str) -> str:
    return _PROVED if said.startswith("Proved") else _NOT_PROVED


def _goal(job: Job, goal: Goal, number: int) -> dict[str, str]:
    # Of a plan that goes on only the first goal is bounded.
    known = goal.bound or not number
    return {
        "name": goal_called(job, goal.goal),
        "value": goal_value(job, goal.goal, goal.value),
        "bound": goal_bound(job, goal) if known else "not known",
    }
