"""Hopper and Turton's strips: our three-stage heights and bounds against known ones and rectpack's.

E. Hopper and B. C. H. Turton (2001), "An empirical investigation of meta-heuristic and heuristic
algorithms for a 2D packing problem", European Journal of Operational Research 128, 34-57.
Instances are read from the package hyperpack. Known heights are those of free packings, so a plan
in three guillotine stages may not reach them.
"""

from __future__ import annotations

import argparse

import pandas as pd
import rectpack
from hyperpack.benchmarks.datasets import hopper_and_turton_2000

from shadewright.solve.problem.kinds import Kind, Option, Problem, Rect, Roll
from shadewright.solve.problem.supply import Supply
from shadewright.solve.run import Clock
from shadewright.solve.search.improvement import search
from shadewright.trade.divisions import Way

Sizes = list[tuple[int, int]]


def as_problem(sizes: Sizes, width: int) -> Problem:
    """One opening a rectangle, with one way to make it."""
    kinds = [
        Kind(1, (Option((w,), Way(False, None), ((Rect("strip", w, h),),), 0, frozenset()),))
        for w, h in sizes
    ]
    return Problem(tuple(kinds), (Roll("strip", width),))


def second_packer(sizes: Sizes, width: int, least: int) -> int:
    """The least height that any of rectpack's guillotine packers reaches."""
    best = sum(h for _, h in sizes)
    for name in dir(rectpack):
        if not name.startswith("Guillotine"):
            continue
        for height in range(least, best):
            packer = rectpack.newPacker(pack_algo=getattr(rectpack, name), rotation=False)
            packer.add_bin(width, height)
            for w, h in sizes:
                packer.add_rect(w, h)
            packer.pack()
            if len(packer.rect_list()) == len(sizes):
                best = height
                break
    return best


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--seconds", type=float, default=20.0, help="limit of each search")
    asked = parser.parse_args()
    rows = []
    for group in ("C1", "C2", "C3", "C4", "C5", "C6", "C7"):
        data = getattr(hopper_and_turton_2000, group)
        strip = next(iter(data.containers.values()))
        for name, items in (("P1", data.items_a), ("P2", data.items_b), ("P3", data.items_c)):
            sizes = [(item["w"], item["l"]) for item in items.values()]
            problem = as_problem(sizes, strip["W"])
            found = search(problem, Supply.bolts(problem), Clock(asked.seconds))
            assert found is not None
            height = found.goals[2].value
            rows.append(
                {
                    "set": f"{group} {name}",
                    "pieces": len(sizes),
                    "known": strip["L"],
                    "plan": height,
                    "bound": found.used_bound,
                    "plan / known": height / strip["L"],
                    "rectpack": second_packer(sizes, strip["W"], strip["L"])
                    if len(sizes) <= 100
                    else None,
                }
            )
            print(rows[-1], flush=True)
    print(pd.DataFrame(rows).round(3).to_string(index=False))


if __name__ == "__main__":
    main()
