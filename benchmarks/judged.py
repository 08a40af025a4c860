"""Random jobs of every kind, planned and judged: the tests try some fifty of each.

    python benchmarks/judged.py --number 500
    python benchmarks/judged.py --number 500 --kind mixed

Plain jobs, prints under every strategy, jobs with pieces, lots and flaws, and jobs that mix every
key there is. A job passes where
its plan is judged clean, read back from its file, and every bound is at or below its value, or
where the refusal says where and what would do. Ends with exit code 1 if any job failed.
"""

from __future__ import annotations

import argparse
import json
import sys
from collections import Counter
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "tests" / "jobs"))

from jobs import job_of
from mixed_jobs import mixed_job
from random_jobs import limited_job, patterned_job, printed_job, random_job
from shadewright.answers import NoPlanError
from shadewright.judge.replay import judge
from shadewright.planning.make import make_plan
from shadewright.trade.refusal import CannotMeetError

KINDS = {
    "plain": random_job,
    "patterned": patterned_job,
    "printed": printed_job,
    "with pieces": limited_job,
    "mixed": mixed_job,
}


def outcome(text: str, seconds: float) -> str:
    """What comes of one job, in a word or two."""
    job = job_of(text)
    try:
        planned = make_plan(job, seconds, 1)
    except CannotMeetError as why:
        told = all(refusal.where.startswith("[") and refusal.nearest for refusal in why.refusals)
        return "refused" if told else "FAILED: a refusal without a place"
    except NoPlanError:
        bought = all(cloth.can_buy for cloth in job.cloths)
        return "FAILED: no plan of cloth that can be bought" if bought else "no plan in time"
    except Exception as why:
        return f"FAILED: {why!r}"
    plan = planned.plan
    faults = judge(job, json.loads(plan.model_dump_json(by_alias=True)))
    if planned.faults or faults:
        return f"FAILED: {(*planned.faults, *faults)[0]}"
    if any(not 0 <= goal.bound <= goal.value for goal in plan.proof.goals):
        return "FAILED: a bound above its value"
    return plan.proof.status


def main() -> None:
    """Count what comes of jobs."""
    ask = argparse.ArgumentParser(description=__doc__)
    ask.add_argument("--number", type=int, default=500, help="of jobs of each kind")
    ask.add_argument("--first", type=int, default=0, help="seed of the first ones")
    ask.add_argument("--seconds", type=float, default=0.5)
    ask.add_argument("--kind", choices=KINDS, action="append", help="again for more; all if none")
    asked = ask.parse_args()
    failed = 0
    for kind in asked.kind or KINDS:
        counts: Counter[str] = Counter()
        for seed in range(asked.first, asked.first + asked.number):
            found = outcome(KINDS[kind](seed), asked.seconds)
            if found.startswith("FAILED"):
                failed += 1
                print(f"{kind} {seed}: {found}")
                found = "FAILED"
            counts[found] += 1
        print(kind, dict(counts))
    sys.exit(1 if failed else 0)


if __name__ == "__main__":
    main()
