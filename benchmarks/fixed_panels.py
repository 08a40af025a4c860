"""The same fixed panels cut by our search, by packingsolver, and by rectpack, at equal time.

    python benchmarks/fixed_panels.py --seconds 10 --markdown fixed-panels.md

Sets of 12 to 120 panels that are not turned, distinct and alike, on cloth of 53 and 117 in of
usable width, drawn from a seed. packingsolver (a library of tree searches for packing) wants Python
3.12 and is installed by this command into an environment of its own, in `--environment`; it packs
in three guillotine stages, as our plans are, and in two. rectpack's guillotine packers are given
the length that ours reached, and then a little more, step by step. Ends with exit code 1 if any
plan is longer than packingsolver's.
"""

from __future__ import annotations

import argparse
import json
import math
import random
import subprocess
import sys
import time
from collections import Counter
from pathlib import Path
from typing import Any

import pandas as pd
import rectpack
from tables import write

from shadewright.solve.problem.kinds import Kind, Option, Problem, Rect, Roll
from shadewright.solve.problem.supply import Supply
from shadewright.solve.run import Clock
from shadewright.solve.search.improvement import search
from shadewright.trade.divisions import Way

Panels = dict[tuple[int, int], int]
"""How many panels of each width and length, in eighths of an inch."""

NUMBERS = (12, 24, 40, 60, 80, 120)
WIDTHS = {53: ((10, 26), (20, 50)), 117: ((14, 52), (25, 54))}
"""Usable width of the cloth, and the least and the greatest width of panels, in inches."""


def sets(seeds: int) -> dict[str, tuple[int, Panels]]:
    """Sets of panels by name, each with the width of its cloth."""
    found: dict[str, tuple[int, Panels]] = {}
    for usable, sizes in WIDTHS.items():
        for number in NUMBERS:
            for alike in (False, True):
                for seed in range(seeds):
                    low, high = sizes[seed % len(sizes)]
                    name = f"{usable} in, {number} {'alike' if alike else 'distinct'}, {low}-{high}"
                    draw = random.Random(f"{usable} {number} {alike} {seed}")
                    kinds = max(3, number // 6) if alike else number
                    drawn = [
                        (draw.randint(low * 8, high * 8), draw.randint(36 * 8, 84 * 8))
                        for _ in range(kinds)
                    ]
                    panels = Counter(drawn[place % kinds] for place in range(number))
                    found[f"{name} #{seed}"] = usable * 8, dict(panels)
    return found


def ours(width: int, panels: Panels, seconds: float) -> dict[str, Any]:
    """What the search of this project reaches, and what it proves."""
    kinds = [
        Kind(n, (Option((w,), Way(False, None), ((Rect("strip", w, h),),), 0, frozenset()),))
        for (w, h), n in panels.items()
    ]
    problem = Problem(tuple(kinds), (Roll("strip", width),))
    began = time.perf_counter()
    found = search(problem, Supply.bolts(problem), Clock(seconds))
    assert found is not None
    length = max(part.end for part in found.candidate.parts)
    return {"length": length, "bound": found.used_bound, "seconds": time.perf_counter() - began}


PEER = """
import json, sys, time
import packingsolver.rectangleguillotine as guillotine

width, panels, stages, seconds = json.load(sys.stdin)
builder = guillotine.InstanceBuilder()
builder.set_objective(guillotine.Objective.OpenDimensionX)
builder.set_number_of_stages(stages)
builder.set_cut_type(guillotine.CutType.NonExact)
builder.set_first_stage_orientation(guillotine.CutOrientation.Vertical)
builder.add_bin_type(sum(h * n for _, h, n in panels), width)
for w, h, n in panels:
    builder.add_item_type(h, w, oriented=True, copies=n)
parameters = guillotine.OptimizeParameters()
parameters.time_limit = seconds
parameters.verbosity_level = 0
began = time.perf_counter()
solution = guillotine.optimize(builder.build(), parameters).solution
full = solution.feasible() and solution.full()
print(json.dumps([solution.width() if full else None, time.perf_counter() - began]))
"""


def environment(folder: Path, python: str) -> Path:
    """The Python of an environment that holds packingsolver; made if it is not there."""
    there = folder / ("Scripts" if sys.platform == "win32" else "bin") / "python"
    if not there.exists():
        subprocess.run([python, "-m", "venv", str(folder)], check=True)
        install = [str(there), "-m", "pip", "install", "--quiet", "packingsolver"]
        subprocess.run(install, check=True)
    return there


def peer(python: Path, width: int, panels: Panels, stages: int, seconds: float) -> int | None:
    """The length that packingsolver reaches in so many stages."""
    asked = json.dumps([width, [(w, h, n) for (w, h), n in panels.items()], stages, seconds])
    ran = subprocess.run(
        [str(python), "-c", PEER], input=asked, text=True, capture_output=True, check=True
    )
    length: int | None = json.loads(ran.stdout.splitlines()[-1])[0]
    return length


def second_peer(width: int, panels: Panels, least: int) -> int | None:
    """The least length, within half as much again, that rectpack's guillotine packers reach."""
    for length in range(least, least * 3 // 2, max(least // 100, 1)):
        for name in dir(rectpack):
            if not name.startswith("Guillotine"):
                continue
            packer = rectpack.newPacker(pack_algo=getattr(rectpack, name), rotation=False)
            packer.add_bin(width, length)
            for (w, h), n in panels.items():
                for _ in range(n):
                    packer.add_rect(w, h)
            packer.pack()
            if len(packer.rect_list()) == sum(panels.values()):
                return length
    return None


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--seconds", type=float, default=10.0, help="limit of each search")
    parser.add_argument("--seeds", type=int, default=3, help="sets of each sort")
    parser.add_argument("--only", default="", help="sets whose names hold this")
    parser.add_argument("--environment", type=Path, default=Path(".venv-packingsolver"))
    parser.add_argument("--python", default="python3.12", help="that makes it")
    parser.add_argument("--markdown", type=Path, help="write the table here too")
    asked = parser.parse_args()
    python = environment(asked.environment, asked.python)
    rows = []
    for name, (width, panels) in sets(asked.seeds).items():
        if asked.only not in name:
            continue
        own = ours(width, panels, asked.seconds)
        three, two = (peer(python, width, panels, n, asked.seconds) for n in (3, 2))
        known = [length for length in (three, two) if length is not None]
        few = sum(panels.values()) <= 60
        other = second_peer(width, panels, own["length"]) if few else None
        rows.append(
            {
                "set": name,
                "ours": own["length"] / 8,
                "bound": own["bound"] / 8,
                "three stages": three and three / 8,
                "two stages": two and two / 8,
                "ours / best": own["length"] / min(known) if known else None,
                "rectpack": other and other / 8,
                "seconds": own["seconds"],
            }
        )
        print(rows[-1], flush=True)
    table = pd.DataFrame(rows)
    ratios = [ratio for ratio in table["ours / best"] if ratio]
    mean = math.exp(sum(map(math.log, ratios)) / len(ratios))
    longer = sum(ratio > 1 + 1e-9 for ratio in ratios)
    said = (
        f"{len(ratios)} sets, {asked.seconds:g} s each: longer on {longer}, as long on "
        f"{sum(abs(ratio - 1) <= 1e-9 for ratio in ratios)}; geometric mean {mean:.4f}"
    )
    print(table.round(3).to_string(index=False))
    print(said)
    write(asked.markdown, table, said)
    return int(longer > 0)


if __name__ == "__main__":
    sys.exit(main())
