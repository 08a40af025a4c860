"""What a plan costs as its openings double up to a thousand, all different and all alike.

    python benchmarks/doubling.py --seconds 2 --markdown doubling.md

Plain cloth of 54 in. Seconds of the processor for reading the job, for a first plan (no time to
search, all else done: sticks, judge), and for a plan with `--seconds`; the most memory held. Each
job is planned in a process of its own. "x" is a multiple of the row before.
"""

from __future__ import annotations

import argparse
import random
from pathlib import Path
from typing import Any

import pandas as pd
from one_plan import distinct, planned_apart
from tables import write

NUMBERS = (25, 50, 100, 200, 400, 800, 1_000)
COSTS = ("reading s", "first plan s", "plan s", "memory MB")
SERIES = ("distinct", "copies")


def job(series: str, openings: int) -> str:
    """So many openings of different sizes, or so many copies of one."""
    lines = [f'title = "{openings} {series}"', "[cloth.canvas]", "width = 54", "price = 20"]
    sizes, copies = (openings, 1) if series == "distinct" else (1, openings)
    for number, (width, height) in enumerate(distinct(random.Random(0), sizes), 1):
        lines += ["[[opening]]", f'name = "Bay {number}"', f"width = {width}", f"height = {height}"]
        lines += [f"copies = {copies}"] if copies > 1 else []
    return "\n".join(lines) + "\n"


def row(series: str, openings: int, seconds: float) -> dict[str, Any]:
    """What one job costs."""
    text = job(series, openings)
    at_once, whole = planned_apart(text, 0.0), planned_apart(text, seconds)
    return {
        "openings": openings,
        "series": series,
        "shades": whole["shades"],
        "reading s": whole["reading"],
        "first plan s": at_once["planning"],
        "plan s": whole["planning"],
        "memory MB": whole["memory"],
        "money gap %": 100 * whole["money gap"],
        "faults": at_once["faults"] + whole["faults"],
    }


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--seconds", type=float, default=2.0, help="limit of each search")
    parser.add_argument("--most", type=int, default=NUMBERS[-1], help="openings")
    parser.add_argument("--series", default=",".join(SERIES), help=f"of {', '.join(SERIES)}")
    parser.add_argument("--markdown", type=Path, help="write the table here too")
    asked = parser.parse_args()
    rows: list[dict[str, Any]] = []
    for series in asked.series.split(","):
        if series not in SERIES:
            parser.error(f"no series is called {series}")
        before: dict[str, Any] | None = None
        for openings in (number for number in NUMBERS if number <= asked.most):
            found = row(series, openings, asked.seconds)
            ratios = {f"x {cost}": before and found[cost] / before[cost] for cost in COSTS}
            before = found
            rows.append({**found, **{name.removesuffix(" s"): n for name, n in ratios.items()}})
            print(rows[-1], flush=True)
    table = pd.DataFrame(rows)
    said = f"{len(rows)} jobs, {asked.seconds:g} s of search each; seconds of the processor"
    print(table.round(2).to_string(index=False))
    print(said)
    write(asked.markdown, table, said)


if __name__ == "__main__":
    main()
