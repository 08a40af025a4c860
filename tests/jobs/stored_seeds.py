"""Seeds of random jobs that can be made, or are small enough to try everything, stored in shared/.

To find them takes longer than to use them, so they are written once, and with them what trying
everything finds where that takes long:

    python tests/jobs/stored_seeds.py

is to be run again where the jobs themselves (`tiny` and its like), or what is best for them, are
changed. It takes a quarter of an hour.
"""

from __future__ import annotations

import sys
import time
import tomllib
from collections.abc import Callable
from functools import cache
from pathlib import Path

from shadewright.job.model import Job

_SHARED = Path(__file__).parents[2] / "shared"
STORED = _SHARED / "seeds.toml"
ANSWERS = _SHARED / "answers.toml"
_LONG = 1.0
"""Seconds of the processor beyond which an answer is stored."""

Answer = tuple[int, ...]
"""Bought, shades and used, or what lacks of cloth on hand, in ticks; nothing where a job cannot be
made."""


def stored(name: str) -> list[int]:
    """The seeds of one kind of job."""
    seeds: list[int] = tomllib.loads(STORED.read_text(encoding="utf-8"))[name]
    return seeds


@cache
def answers(name: str) -> dict[int, Answer]:
    """What trying everything finds for one kind of job, by its seed."""
    found = tomllib.loads(ANSWERS.read_text(encoding="utf-8"))[name]
    return {int(seed): tuple(answer) for seed, answer in found.items()}


def main() -> None:
    """Find all seeds and answers again and store them."""
    for room in ("oracles", "solve", "planning"):
        sys.path.insert(0, str(Path(__file__).parents[1] / room))
    import test_brute_force
    import test_brute_repeats
    import test_not_enough
    import test_random_jobs

    import brute_pieces
    import brute_repeats
    from jobs import job_of
    from mixed_jobs import mixed_job
    from random_jobs import patterned_job, printed_job, random_job

    found = {
        "random": test_random_jobs.plannable(random_job, 300),
        "patterned": test_random_jobs.plannable(patterned_job, 500),
        "mixed_jobs": test_random_jobs.plannable(mixed_job, 60),
        "printed_jobs": test_random_jobs.plannable(printed_job, 100),
        "force": test_brute_force.compared(),
        "repeats": test_brute_repeats.compared(test_brute_repeats.tiny, test_brute_repeats.JOBS),
        "shifted": test_brute_repeats.shifted_and_compared(),
        "not_enough": test_not_enough.compared(),
        "printed": test_brute_repeats.compared(
            test_brute_repeats.printed, test_brute_repeats.PRINTED
        ),
    }
    lines = ["# Seeds of random jobs: see tests/jobs/stored_seeds.py."]
    for name, seeds in found.items():
        rows = [", ".join(map(str, seeds[at : at + 20])) for at in range(0, len(seeds), 20)]
        lines.append(f"{name} = [\n    " + ",\n    ".join(rows) + ",\n]")
    STORED.write_text("\n".join(lines) + "\n", encoding="utf-8")
    lines = ["# What trying everything finds, if that is long: see tests/jobs/stored_seeds.py."]

    def lacking(job: Job) -> Answer | None:
        short = brute_pieces.shortfall(job)
        return None if short is None else (short,)

    best = brute_repeats.best
    tried: dict[str, tuple[Callable[[int], str], Callable[[Job], Answer | None]]] = {
        "repeats": (test_brute_repeats.tiny, best),
        "shifted": (test_brute_repeats.shifted, best),
        "printed": (test_brute_repeats.printed, best),
        "not_enough": (test_not_enough.tiny, lacking),
    }
    for name, (text, answer_of) in tried.items():
        lines.append(f"[{name}]")
        for seed in found[name]:
            began = time.process_time()
            answer = answer_of(job_of(text(seed)))
            if time.process_time() - began > _LONG:
                lines.append(f"{seed} = {list(answer or ())}")
    ANSWERS.write_text("\n".join(lines) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
