"""One job read and planned in a process of its own: how good, how soon, and what it takes.

    python benchmarks/one_plan.py porch.toml --seconds 5

Prints one line of JSON, which the benchmarks of many jobs read. Memory is the most that the process
ever held, so each job wants one of its own.
"""

from __future__ import annotations

import argparse
import json
import resource
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from shadewright.job.model import Job
from shadewright.job.read import read_job
from shadewright.planning.make import make_plan
from shadewright.solve.effort import USUAL
from shadewright.solve.problem.agreement import in_lay, lays
from shadewright.solve.problem.menu import problem

CLOSE = 0.01
"""Of money: from here on a plan is called close."""

Told = tuple[float, str, float, float]
"""Seconds since planning began, a goal, its value and its bound, as the search tells them."""


def planned_apart(text: str, seconds: float) -> dict[str, Any]:
    """What `measured` gives of a job in TOML, from a process of its own.

    Raises:
        subprocess.CalledProcessError: the job could not be read or planned.
    """
    with tempfile.TemporaryDirectory() as folder:
        job = Path(folder) / "job.toml"
        job.write_text(text, encoding="utf-8")
        words = [sys.executable, __file__, str(job), "--seconds", str(seconds)]
        ran = subprocess.run(words, stdout=subprocess.PIPE, text=True, check=True)
    found: dict[str, Any] = json.loads(ran.stdout.splitlines()[-1])
    return found


def measured(file: Path, seconds: float) -> dict[str, Any]:
    """A job's plan in figures: gaps as shares of what is reached, times in seconds, memory in MB.

    Gaps are None where the goal comes to nothing; times are None where it was not reached.
    """
    began = time.process_time()
    job = read_job(file)
    reading = time.process_time() - began
    told: list[Told] = []
    began, on_clock = time.process_time(), time.perf_counter()
    answer = make_plan(
        job,
        seconds,
        report=lambda *news: told.append((time.perf_counter() - on_clock, *news)),
    )
    took, planning = time.perf_counter() - on_clock, time.process_time() - began
    memory = most_memory()
    proof = answer.plan.proof
    one_way = ways_to_lie(job) == 1
    first, used = proof.goals[0], next(goal for goal in proof.goals if goal.goal == "used")
    return {
        "shades": answer.plan.totals.shades,
        "faults": len(answer.faults),
        "money gap": gap(first.value, first.bound),
        "used gap": gap(used.value, used.bound),
        "first": told[0][0] if told else took,
        "close": close_at(told if one_way else [], first.goal, first.value, first.bound, took),
        "proved": took if proof.status == "proved" else None,
        "took": took,
        "reading": reading,
        "planning": planning,
        "memory": memory,
    }


def ways_to_lie(job: Job) -> int:
    """In how many ways all cloth of a job may lie; each of them is searched by itself."""
    kinds = problem(job, USUAL)[0].kinds
    return sum(all(kind.options for kind in in_lay(kinds, lay)) for lay in lays(kinds))


def gap(value: float, bound: float) -> float | None:
    """How far a bound is below a value, as a share of it."""
    return (value - bound) / value if value else None


def close_at(told: list[Told], goal: str, value: float, bound: float, took: float) -> float | None:
    """When the first goal's gap is known to be small: at the latest then.

    A search tells a bound of the part that it looks at, so none counts for more than the last one.
    What is settled between two reports shows where goals that come after money are told of and
    money no more. (Where cloth may lie several ways, a bound holds once all of them are searched:
    nothing told before the end counts, and `told` is empty.)

    Args:
        value: that is reached in the end, and its bound.
        took: seconds until then.
    """
    for when, of, so_far, least in told:
        if of == goal and so_far - min(least, bound) <= CLOSE * so_far:
            return when
    if value - bound > CLOSE * value:
        return None
    last = max((n for n, news in enumerate(told) if news[1] == goal), default=-1)
    later = (when for when, of, *_ in told[last + 1 :] if of not in (goal, "used"))
    return next(later, took)


def most_memory() -> float:
    """The most memory that this process has held, in MB.

    What started it counts as well, which holds less than the solver's library by itself.
    """
    most = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    # Told in bytes there, in KiB elsewhere.
    return most * (1 if sys.platform == "darwin" else 1_024) / 1_000_000


def distinct(draw: Any, openings: int) -> Iterator[tuple[float, float]]:
    """Widths of 30 to 160 in and heights of 40 to 84 in by eighths, no two alike, from a generator
    of the standard library."""
    seen: set[tuple[float, float]] = set()
    while len(seen) < openings:
        size = draw.randint(30 * 8, 160 * 8) / 8, draw.randint(40 * 8, 84 * 8) / 8
        if size not in seen:
            seen.add(size)
            yield size


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("job", type=Path)
    parser.add_argument("--seconds", type=float, default=5.0, help="limit of the search")
    asked = parser.parse_args()
    print(json.dumps(measured(asked.job, asked.seconds)))


if __name__ == "__main__":
    main()
