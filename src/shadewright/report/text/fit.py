"""Whether the cloth on hand is enough, as the terminal and a JSON file say it."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from shadewright.answers import FitAnswer, Remedy
from shadewright.job.model import Job
from shadewright.report.text.wrapping import wrapped
from shadewright.report.work.account import Account
from shadewright.report.work.cautions import CHILDREN, SHORT_CAUTION, first_of_all
from shadewright.report.work.words import clean, count, listed, piece_called, used_of


def fitted(job: Job, found: FitAnswer) -> str:
    """The answer in a screenful of text."""
    first = [line for said in first_of_all(job) for line in (wrapped(said, ""), "")]
    lines = [*first, clean(job.title), ""]
    if found.plan is not None:
        lines += _enough(job, found)
    else:
        lines += _too_little(job, found)
    return "\n".join([*lines, "", *SHORT_CAUTION]) + "\n"


def _enough(job: Job, found: FitAnswer) -> list[str]:
    assert found.plan is not None
    plan, tape = found.plan, job.tape
    lines = ["The cloth on hand is enough."]
    for use in plan.pieces:
        if not use.bought:
            lines.append(wrapped(f"{piece_called(use)}: {used_of(tape, use)}"))
    for first in Account(job, plan).offcuts[:1]:
        size = f"{tape.short(first.across)} x {tape.short(first.along)}"
        lines.append(wrapped(f"The largest remnant is {size}, of {piece_called(first.use)}."))
    return [*lines, "Lay it out with: shadewright plan"]


def _too_little(job: Job, found: FitAnswer) -> list[str]:
    lines = [wrapped(f"The cloth on hand is not enough: it is short by {found.short}.", "")]
    if found.remedies:
        lines += ["", "What would make it enough, the least to give up first"]
        for number, remedy in enumerate(found.remedies, 1):
            lines.append(wrapped(f"{number}. {_remedy(job, found, remedy)}"))
        if not found.complete:
            lines.append(wrapped("Not every cheaper set could be ruled out in the time given."))
    else:
        lines += ["", "Nothing that may be given up makes it enough."]
    lacking = [(said, short) for said, short in found.not_enough if short]
    if lacking:
        lines += ["", "What is not enough alone"]
        lines += [wrapped(f"With {said} {_lacking(short)}.") for said, short in lacking]
    lines += ["", "Openings that can be made as asked"]
    lines.append(wrapped(clean(found.can_be_made) or "none"))
    return lines


def _lacking(said: str) -> str:
    return f"it is still short by {said}" if said[:1].isdigit() else said


def _remedy(job: Job, found: FitAnswer, remedy: Remedy) -> str:
    """What is given up and what that comes to, in a sentence."""
    ways = [
        *([f"with {listed(remedy.given_up)}"] if remedy.given_up else []),
        *([f"without {listed(list(_left_out(remedy)))}"] if remedy.left_out else []),
    ]
    given_up = " and ".join(ways)
    spared = found.used - remedy.used
    tape = job.tape
    said = f"{given_up[0].upper()}{given_up[1:]}, at a cost of {remedy.cost}, the job takes "
    said += tape.long(remedy.used)
    if spared > 0:
        said += f", {tape.long(spared)} less than as asked"
    return said + f", for {count(len(remedy.plan.shades), 'shade')}."


def _left_out(remedy: Remedy) -> Iterable[str]:
    of = {opening.name: opening.copies for opening in remedy.job.openings}
    for name, copies in remedy.left_out.items():
        yield clean(name) + (f" ({copies} of {of[name]})" if of[name] > 1 else "")


def as_data(job: Job, found: FitAnswer) -> dict[str, Any]:
    """The answer as JSON, lengths in ticks."""
    return {
        "format": "shadewright-fit/1",
        **({"caution": CHILDREN} if job.children else {}),
        "job": job.title,
        "tick_per_inch": 8128,
        "enough": found.plan is not None,
        "short": found.short,
        "used": found.used,
        "complete": found.complete,
        "concessions": [
            {
                "names": sorted(remedy.names),
                "given_up": list(remedy.given_up),
                "left_out": dict(remedy.left_out),
                "cost": remedy.cost,
                "used": remedy.used,
                "spares": found.used - remedy.used,
                "shades": len(remedy.plan.shades),
            }
            for remedy in found.remedies
        ],
        "not_enough": [
            {"given_up": said, "short": short} for said, short in found.not_enough if short
        ],
        "can_be_made": found.can_be_made,
        "plan": found.plan.model_dump(mode="json", by_alias=True)
        if found.plan is not None
        else None,
    }
