"""Random porches: what the plan saves against the notepad way, what is proved, and how fast."""

from __future__ import annotations

import argparse
import random
import statistics
import time
from collections.abc import Iterator
from pathlib import Path
from tempfile import TemporaryDirectory

import pandas as pd

from shadewright.job.model import Job
from shadewright.job.read import read_job
from shadewright.planning.make import make_plan

WIDTHS = (60, 72, 84.5, 96, 100, 120, 130.25, 142, 150)
HEIGHTS = (36, 42, 54, 60, 62.25, 66, 70.5, 72, 78, 84)
CLOTHS = {
    "plain 54": "width = 54",
    "half-drop 25 1/4 on 54": 'width = 54\nrepeat_down = "25 1/4"\ncolumn_shift = "half"',
    "straight 27 on 54": "width = 54\nrepeat_down = 27",
    "plain 45": "width = 45",
    "plain 60": "width = 60",
    "plain 72": "width = 72",
    "plain 118": "width = 118",
}


def porch(seed: int, cloth: str) -> str:
    """A job of 12 to 18 openings in a handful of heights."""
    draw = random.Random(seed)
    heights = draw.sample(HEIGHTS, draw.choice((1, 2, 3, 4)))
    openings = [
        f'[[opening]]\nname = "bay {k}"\nwidth = {draw.choice(WIDTHS)}\n'
        f"height = {draw.choice(heights)}\n"
        for k in range(draw.randint(12, 18))
    ]
    head = f'title = "Porch {seed}"\n[cloth.c]\n{cloth}\nselvedge = 0.5\nprice = 20\n'
    return head + "".join(openings)


def jobs(count: int) -> Iterator[tuple[str, Job]]:
    """Every cloth with the same porches."""
    with TemporaryDirectory() as folder:
        file = Path(folder) / "porch.toml"
        for name, cloth in CLOTHS.items():
            for seed in range(count):
                file.write_text(porch(seed, cloth), encoding="utf-8")
                yield name, read_job(file)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--count", type=int, default=10, help="porches a cloth")
    parser.add_argument("--seconds", type=float, default=20.0, help="limit of each search")
    asked = parser.parse_args()
    rows = []
    for name, job in jobs(asked.count):
        began = time.perf_counter()
        make_plan(job, seconds=0)
        without = time.perf_counter() - began
        planned = make_plan(job, asked.seconds)
        goals = planned.plan.proof.goals
        first = goals[0]
        rows.append(
            {
                "cloth": name,
                "shades": planned.plan.totals.shades,
                "saved %": 100 * (1 - first.value / planned.naive.cost) if planned.naive else None,
                "gap %": 100 * (first.value - first.bound) / first.value,
                "money proved %": 100.0 * (first.value == first.bound),
                "all proved %": 100.0 * (planned.plan.proof.status == "proved"),
                "search / rest": planned.plan.proof.seconds / without,
                "faults": len(planned.faults),
            }
        )
    table = pd.DataFrame(rows).groupby("cloth", sort=False).mean()
    print(table.round(2).to_string())
    ratios = [row["search / rest"] for row in rows]
    print(f"\nsearch / rest: median {statistics.median(ratios):.1f}, most {max(ratios):.1f}")


if __name__ == "__main__":
    main()
