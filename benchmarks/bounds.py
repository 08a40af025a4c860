"""Bounds: is any plan, found by whatever means, below one, and is any below what the area asks for?

    python benchmarks/bounds.py --number 2000 --seconds 0.2

Random small jobs of every kind (plain, printed, with pieces on hand) are planned several times: in
little time and in more, from other seeds, and by the greedy packer of the tests, which shares no
code with the search. No plan may go below a bound that any of the others came with: that of the
first goal, of each goal that follows where those before are reached, and of the length used. And no
bound of the length used may be below the area of the least that the openings ask for. Ends with
exit code 1 if one is. Searches end by counted work, so that a seed fares alike on any machine.
"""

from __future__ import annotations

import argparse
import sys
from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from itertools import permutations
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "tests" / "jobs"))
sys.path.insert(0, str(Path(__file__).parents[1] / "tests" / "oracles"))

from on_hand import false_bound

from jobs import job_of
from least_area import least_area
from limited_jobs import long_piece_job, pieces_job
from packer import pack
from random_jobs import limited_job, patterned_job, printed_job, random_job
from shadewright.answers import NoPlanError
from shadewright.cloth.plan import Plan
from shadewright.job.model import Job
from shadewright.planning.make import make_plan
from shadewright.solve.effort import USUAL
from shadewright.trade.refusal import CannotMeetError

KINDS = {
    "plain": random_job,
    "patterned": patterned_job,
    "printed": printed_job,
    "with pieces": limited_job,
    "on a long piece": long_piece_job,
    "on pieces": pieces_job,
}
FAILED = "FAILED"


def plans(job: Job, seconds: float) -> Iterator[Plan]:
    """Plans of a job, by several means."""
    effort = replace(USUAL, wall=100.0)
    for seed, of in enumerate((1, 4, 2)):
        yield make_plan(job, of * seconds, seed, effort=effort).plan
    for packed in (pack(job, 10), pack(job, 10, buying=True)):
        if packed is not None:
            yield packed


def outcome(job: Job, seconds: float) -> str:
    """What comes of one job, in a few words."""
    try:
        found = list(plans(job, seconds))
    except CannotMeetError:
        return "refused"
    except NoPlanError:
        return "no plan in time"
    planned = found[:3]
    least = least_area(job)
    for plan in planned:
        if plan.proof.used_bound < least:
            return f"{FAILED}: used at least {plan.proof.used_bound}, and the area asks for {least}"
    for one, other in permutations(found, 2):
        if any(one is plan for plan in planned) and (wrong := false_bound(one, other)):
            return f"{FAILED}: {wrong}"
    return "proved" if any(plan.proof.status == "proved" for plan in planned) else "gap"


def main() -> int:
    """Count what comes of jobs."""
    ask = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    ask.add_argument("--number", type=int, default=2000, help="of jobs, of all kinds together")
    ask.add_argument("--first", type=int, default=0, help="seed of the first ones")
    ask.add_argument("--seconds", type=float, default=0.2, help="of the shortest search")
    asked = ask.parse_args()
    tables: dict[str, Counter[str]] = {kind: Counter() for kind in KINDS}
    failed = 0
    for number in range(asked.number):
        kind = list(KINDS)[number % len(KINDS)]
        seed = asked.first + number // len(KINDS)
        found = outcome(job_of(KINDS[kind](seed)), asked.seconds)
        if found.startswith(FAILED):
            failed += 1
            print(f"{kind} {seed}: {found}", flush=True)
            found = FAILED
        tables[kind][found] += 1
    for kind, counts in tables.items():
        print(kind, dict(counts))
    print(f"{asked.number} jobs, {failed} failed")
    return int(failed > 0)


if __name__ == "__main__":
    sys.exit(main())
