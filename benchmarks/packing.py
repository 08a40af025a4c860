"""Hopper and Turton's strips: our three-stage heights and bounds against known ones and rectpack's.

    python benchmarks/packing.py --seconds 5 --markdown packing.md

E. Hopper and B. C. H. Turton (2001), "An empirical investigation of meta-heuristic and heuristic
algorithms for a 2D packing problem", European Journal of Operational Research 128, 34-57.
Instances are read from the package hyperpack. Each is packed without turning, and once more where
every rectangle may be turned a quarter, as cloth that may lie both ways allows. Known heights are
those of free packings, so a plan in three guillotine stages may not reach them.
"""

from __future__ import annotations

import argparse
import math
from pathlib import Path
from typing import Any

import pandas as pd
import rectpack
from hyperpack.benchmarks.datasets import hopper_and_turton_2000
from tables import geometric_mean, write

from shadewright.solve.problem.kinds import Kind, Option, Problem, Rect, Roll
from shadewright.solve.problem.supply import Supply
from shadewright.solve.run import Clock
from shadewright.solve.search.improvement import search
from shadewright.trade.divisions import Way

Sizes = list[tuple[int, int]]

GROUPS = ("C1", "C2", "C3", "C4", "C5", "C6", "C7")


def as_problem(sizes: Sizes, width: int, *, turning: bool) -> Problem:
    """One opening a rectangle, with one way to make it, or two where it may be turned."""
    kinds = []
    for w, h in sizes:
        ways = {(w, h): False, **({(h, w): True} if turning and h <= width and h != w else {})}
        options = (
            Option((size[0],), Way(turned, None), ((Rect("strip", *size),),), 0, frozenset())
            for size, turned in ways.items()
        )
        kinds.append(Kind(1, tuple(options)))
    return Problem(tuple(kinds), (Roll("strip", width),))


def second_packer(sizes: Sizes, width: int, least: int, *, turning: bool) -> int:
    """The least height that any of rectpack's guillotine packers reaches."""
    best = sum(h for _, h in sizes)
    for name in dir(rectpack):
        if not name.startswith("Guillotine"):
            continue
        for height in range(least, best):
            packer = rectpack.newPacker(pack_algo=getattr(rectpack, name), rotation=turning)
            packer.add_bin(width, height)
            for w, h in sizes:
                packer.add_rect(w, h)
            packer.pack()
            if len(packer.rect_list()) == len(sizes):
                best = height
                break
    return best


def row(
    name: str, sizes: Sizes, strip: dict[str, int], seconds: float, most: int
) -> dict[str, Any]:
    """One instance, without turning and with it."""
    found: dict[str, Any] = {"set": name, "pieces": len(sizes), "known": strip["L"]}
    for turning, said in ((False, ""), (True, ", turned")):
        problem = as_problem(sizes, strip["W"], turning=turning)
        reached = search(problem, Supply.bolts(problem), Clock(seconds))
        assert reached is not None
        bought = reached.goals[0]
        # Steps of one: what is bought is what is used.
        bound = max(reached.used_bound, math.ceil(bought.bound / reached.scale))
        height = reached.goals[2].value
        found |= {
            f"plan{said}": height,
            f"bound{said}": bound,
            f"plan / known{said}": height / strip["L"],
            f"rectpack{said}": second_packer(sizes, strip["W"], strip["L"], turning=turning)
            if len(sizes) <= most
            else None,
        }
    return found


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--seconds", type=float, default=5.0, help="limit of each search")
    parser.add_argument("--sets", default=",".join(GROUPS), help="groups of instances")
    parser.add_argument("--rectpack", type=int, default=50, help="pieces up to which it packs too")
    parser.add_argument("--markdown", type=Path, help="write the table here too")
    asked = parser.parse_args()
    rows = []
    for group in asked.sets.split(","):
        if group not in GROUPS:
            parser.error(f"no group is called {group}")
        data = getattr(hopper_and_turton_2000, group)
        strip = next(iter(data.containers.values()))
        for name, items in (("P1", data.items_a), ("P2", data.items_b), ("P3", data.items_c)):
            sizes = [(item["w"], item["l"]) for item in items.values()]
            rows.append(row(f"{group} {name}", sizes, strip, asked.seconds, asked.rectpack))
            print(rows[-1], flush=True)
    table = pd.DataFrame(rows)
    said = (
        f"{len(rows)} instances, {asked.seconds:g} s each; plan / known, geometric mean: "
        f"{geometric_mean(table['plan / known']):.4f} without turning, "
        f"{geometric_mean(table['plan / known, turned']):.4f} with"
    )
    print(table.round(3).to_string(index=False))
    print(said)
    write(asked.markdown, table, said)


if __name__ == "__main__":
    main()
