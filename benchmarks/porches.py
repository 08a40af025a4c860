"""75 porches of 5 to 200 different openings: how near the plans are to their bounds, and how soon.

    python benchmarks/porches.py --seconds 5 --markdown porches.md
    python benchmarks/porches.py --openings 5,15 --family plain,level --seeds 1

Five families of cloth, five numbers of openings, three seeds; widths of 30 to 160 in, heights of 40
to 84 in. Gaps are shares of what is reached, against what is proved: of money, and of cloth used by
any plan that costs no more and has no more shades. Each job is read and planned in a process of its
own (`one_plan.py`). Times are those of the search's own reports, which come some ten times a
second, and of its end: "at the latest then". A dash is what was not reached.
"""

from __future__ import annotations

import argparse
import random
from pathlib import Path
from typing import Any

import pandas as pd
from one_plan import distinct, planned_apart
from tables import write

OPENINGS = (5, 15, 40, 100, 200)
LEVEL, CENTRED = '[match]\nstrategy = "level"', '[match]\nstrategy = "centred"'
FAMILIES = {
    "plain": (("width = 54", ""), ("width = 57", ""), ("width = 60", "")),
    "level": (
        ('width = 54\nrepeat_down = "25 1/4"\ncolumn_shift = "half"\nrepeat_across = 27', LEVEL),
        ("width = 54\nrepeat_down = 27\nrepeat_across = 27", LEVEL),
        ("width = 58\nrepeat_down = 9\nrepeat_across = 13.5", LEVEL),
    ),
    "centred": (
        ("width = 54\nrepeat_down = 9\nrepeat_across = 13.5", CENTRED),
        ("width = 56\nrepeat_across = 4.5", CENTRED),
        ('width = 60\nrepeat_down = 12\nrepeat_across = 9\ncolumn_shift = "half"', CENTRED),
    ),
    "railroadable": (
        ('width = 72\nruns = "mixed"', ""),
        ('width = 96\nruns = "either"', ""),
        ('width = 60\nruns = "mixed"', ""),
    ),
    "118 in": (("width = 118", ""),),
}
"""Cloths of each family, one for each seed in turn, with how their prints must fall."""


def porch(family: str, openings: int, seed: int) -> str:
    """A job of so many openings, all of different sizes."""
    cloths = FAMILIES[family]
    cloth, match = cloths[seed % len(cloths)]
    # The same openings in every family.
    draw = random.Random(f"{openings} {seed}")
    lines = [f'title = "Porch {seed}"', "[cloth.canvas]", cloth, "selvedge = 0.5", "price = 20"]
    lines += [match]
    for number, (width, height) in enumerate(distinct(draw, openings), 1):
        lines += ["[[opening]]", f'name = "bay {number}"', f"width = {width}", f"height = {height}"]
    return "\n".join(lines) + "\n"


def row(family: str, openings: int, seed: int, seconds: float) -> dict[str, Any]:
    """How one porch is planned."""
    found = planned_apart(porch(family, openings, seed), seconds)
    return {
        "family": family,
        "openings": openings,
        "seed": seed,
        "shades": found["shades"],
        "money gap %": 100 * found["money gap"],
        "used gap %": 100 * found["used gap"],
        "first plan s": found["first"],
        "to 1 % s": found["close"],
        "proof s": found["proved"],
        "took s": found["took"],
        "memory MB": found["memory"],
        "faults": found["faults"],
    }


def summary(table: pd.DataFrame) -> pd.DataFrame:
    """Means by family and number of openings; the share of porches that came so far."""
    by = table.groupby(["family", "openings"], sort=False)
    return by.agg(
        porches=("seed", "count"),
        **{
            "money gap %": ("money gap %", "mean"),
            "most money gap %": ("money gap %", "max"),
            "used gap %": ("used gap %", "mean"),
            "within 1 %": ("to 1 % s", "count"),
            "all proved": ("proof s", "count"),
            "first plan s": ("first plan s", "median"),
            "took s": ("took s", "median"),
            "memory MB": ("memory MB", "max"),
            "faults": ("faults", "sum"),
        },
    ).reset_index()


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--seconds", type=float, default=5.0, help="limit of each search")
    parser.add_argument("--openings", default=",".join(map(str, OPENINGS)), help="numbers of them")
    parser.add_argument("--family", default=",".join(FAMILIES), help=f"of {', '.join(FAMILIES)}")
    parser.add_argument("--seeds", type=int, default=3, help="porches of each size and family")
    parser.add_argument("--markdown", type=Path, help="write the tables here too")
    asked = parser.parse_args()
    families = asked.family.split(",")
    unknown = [family for family in families if family not in FAMILIES]
    if unknown:
        parser.error(f"no family is called {', '.join(unknown)}")
    rows = []
    for family in families:
        for openings in map(int, asked.openings.split(",")):
            for seed in range(asked.seeds):
                rows.append(row(family, openings, seed, asked.seconds))
                print(rows[-1], flush=True)
    table = pd.DataFrame(rows)
    # Where nothing was reached a column is of no kind, and has no figures to count.
    times = ["to 1 % s", "proof s"]
    table[times] = table[times].astype(float)
    short = summary(table)
    said = (
        f"{len(table)} porches, {asked.seconds:g} s each: money within 1 % of its bound in "
        f"{table['to 1 % s'].count()}, all goals proved in {table['proof s'].count()}, "
        f"{table['faults'].sum()} faults"
    )
    print(table.round(2).to_string(index=False))
    print(short.round(2).to_string(index=False))
    print(said)
    write(asked.markdown, [short, table], said)


if __name__ == "__main__":
    main()
