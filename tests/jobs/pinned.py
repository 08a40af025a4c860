"""Values and bounds that an earlier release reached, by job: no later one may do worse.

They stand in shared/pinned.json: all examples, and random jobs plain, patterned, and with pieces,
lots and flaws, each searched for two seconds by counted work (`LATER` names exceptions).
"""

from __future__ import annotations

import json
from dataclasses import replace
from fractions import Fraction
from pathlib import Path
from typing import Any

from jobs import job_of
from random_jobs import limited_job, patterned_job, random_job
from shadewright.job.model import Job
from shadewright.planning.make import make_plan
from shadewright.solve.effort import USUAL

_ROOT = Path(__file__).parents[2]
_MAKERS = {"random": random_job, "patterned": patterned_job, "limited": limited_job}
SECONDS = 2.0

LATER = {"limited 6": 6.0}
"""Jobs that take longer to get as far: panels are laid one by one on what is on hand first, which
other jobs gain by, and the last goal of this one loses by."""


def pinned() -> dict[str, Any]:
    """The goals of each job as [name, value, bound], and the bound of the length used."""
    stored: dict[str, Any] = json.loads((_ROOT / "shared" / "pinned.json").read_text("utf-8"))
    return stored


def proved(name: str) -> bool:
    """Whether all was proved, which a search mostly does at once."""
    return all(value == bound for _, value, bound in pinned()[name]["goals"])


def text_of(name: str) -> str:
    """The job of this name, as a job file says it."""
    kind, _, seed = name.partition(" ")
    if seed:
        return _MAKERS[kind](int(seed))
    return (_ROOT / "examples" / f"{name}.toml").read_text("utf-8")


def as_it_was(job: Job) -> Job:
    """The job as the release read it that the values are of: copies might differ, each opening lay
    as it would, and any saving was worth a shade."""
    cost = job.make.shade_cost or Fraction(0)
    runs = [
        cloth.model_copy(update={"runs": "mixed" if cloth.runs == "either" else cloth.runs})
        for cloth in job.cloths
    ]
    openings = [opening.model_copy(update={"alike": False}) for opening in job.openings]
    return job.model_copy(
        update={
            "make": job.make.model_copy(update={"extra_shade": 0, "shade_cost": cost}),
            "cloths": tuple(runs),
            "openings": tuple(openings),
        }
    )


def against(name: str) -> tuple[list[str], list[str]]:
    """What is worse now than it was, and what is better, in words."""
    before = pinned()[name]
    effort, seconds = replace(USUAL, wall=100.0), LATER.get(name, SECONDS)
    proof = make_plan(as_it_was(job_of(text_of(name))), seconds, 1, effort=effort).plan.proof
    worse, better = [], []
    level = True
    for (goal, value, bound), now in zip(before["goals"], proof.goals, strict=True):
        if level and now.value != value:
            (worse if now.value > value else better).append(f"{goal} {value} is now {now.value}")
            level = False
        if level and now.bound != bound:
            # A bound is given the goals before it, so it is only compared where they are the same.
            said = f"bound of {goal} {bound} is now {now.bound}"
            (worse if now.bound < bound else better).append(said)
    if proof.used_bound < before["used_bound"]:
        worse.append(f"bound of what any plan uses {before['used_bound']} is {proof.used_bound}")
    return worse, better
