"""Cloth saved against the notepad way: fewest equal shades, a full drop for each.

    python benchmarks/saved.py --count 10 --seconds 5 --markdown saved.md

The same porches of 12 to 18 openings on seven cloths, plain and matched. "saved %" is by the
geometric mean of cloth bought over what the notepad way buys. A plan also weighs what one more
shade is worth, so least cloth is not all it looks for. Time of search is a multiple of the time the
whole job takes without.
"""

from __future__ import annotations

import argparse
import random
import statistics
import time
from collections.abc import Iterator
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import pandas as pd
from tables import geometric_mean, write

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


def jobs(count: int, only: str) -> Iterator[tuple[str, Job]]:
    """Every cloth with the same porches."""
    with TemporaryDirectory() as folder:
        file = Path(folder) / "porch.toml"
        for name, cloth in CLOTHS.items():
            for seed in range(count if only in name else 0):
                file.write_text(porch(seed, cloth), encoding="utf-8")
                yield name, read_job(file)


def row(name: str, job: Job, seconds: float) -> dict[str, Any]:
    """What the plan of one porch buys against the notepad way, and what is proved of it."""
    began = time.perf_counter()
    make_plan(job, seconds=0)
    without = time.perf_counter() - began
    planned = make_plan(job, seconds)
    proof, its = planned.plan.proof, planned.naive
    # None of these jobs asks for what the notepad way cannot do.
    assert its is not None
    first, bought = proof.goals[0], sum(planned.plan.totals.bought.values())
    return {
        "cloth": name,
        "shades": planned.plan.totals.shades,
        "its shades": its.shades,
        "bought / its": bought / sum(its.bought.values()),
        "gap %": 100 * (first.value - first.bound) / first.value,
        "money proved %": 100.0 * (first.value == first.bound),
        "all proved %": 100.0 * (proof.status == "proved"),
        "search / rest": proof.seconds / without,
        "faults": len(planned.faults),
    }


def summary(table: pd.DataFrame) -> pd.DataFrame:
    """By cloth: the geometric mean of ratios, plain means of the rest."""
    by = table.groupby("cloth", sort=False)
    means = by.mean()
    means.insert(0, "saved %", 100 * (1 - by["bought / its"].agg(geometric_mean)))
    return means.drop(columns="bought / its").reset_index()


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--count", type=int, default=10, help="porches a cloth")
    parser.add_argument("--seconds", type=float, default=5.0, help="limit of each search")
    parser.add_argument("--only", default="", help="cloths whose names hold this")
    parser.add_argument("--markdown", type=Path, help="write the table here too")
    asked = parser.parse_args()
    rows = []
    for name, job in jobs(asked.count, asked.only):
        rows.append(row(name, job, asked.seconds))
        print(rows[-1], flush=True)
    whole = pd.DataFrame(rows)
    table, ratios = summary(whole), whole["search / rest"]
    saved = 100 * (1 - geometric_mean(whole["bought / its"]))
    said = (
        f"{len(rows)} porches, {asked.seconds:g} s each; saved {saved:.1f} % (geometric mean); "
        f"search / rest: median {statistics.median(ratios):.1f}, most {max(ratios):.1f}"
    )
    print(table.round(2).to_string(index=False))
    print(said)
    write(asked.markdown, table, said)


if __name__ == "__main__":
    main()
