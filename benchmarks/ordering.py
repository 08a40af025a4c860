"""The order of 10 to 10,000 drops on a repeat: how its time grows, and the cloth that it saves.

    python benchmarks/ordering.py --markdown ordering.md

Drops of 40 to 90 in begin at a place of a 27 in repeat that is drawn for each, in eighths of an
inch. The roll begins at a motif row, or wherever suits the first drop. Time is a multiple of that
for the least number of drops; cloth skipped is that of the order found, of the order given, and of
the longest drop first, in inches and as multiples of the order found.
"""

from __future__ import annotations

import argparse
import random
import statistics
import time
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import Any

import pandas as pd
from tables import write

from shadewright.cloth.order import Arc, Order, open_order
from shadewright.measure import TICKS, Ticks

STEP = TICKS["in"] // 8
AROUND = 27 * TICKS["in"]
NUMBERS = (10, 30, 100, 300, 1_000, 3_000, 10_000)
BEGINS: dict[str, Ticks | None] = {"at a motif row": 0, "anywhere": None}


def drops(number: int, seed: int) -> list[Arc]:
    """So many drops with the place of the repeat that each begins at."""
    draw = random.Random(f"{number} {seed}")
    return [
        Arc(draw.randrange(AROUND // STEP) * STEP, draw.randint(40 * 8, 90 * 8) * STEP)
        for _ in range(number)
    ]


def skipped(arcs: Iterable[Arc], begin: Ticks | None) -> Ticks:
    """Cloth skipped where drops are cut in this order."""
    at, total = begin, 0
    for arc in arcs:
        total += 0 if at is None else (arc.phase - at) % AROUND
        at = arc.phase + arc.length
    return total


def timed(arcs: Sequence[Arc], begin: Ticks | None, seconds: float) -> tuple[Order, float]:
    """The best order, and the median time of finding it, again and again for some seconds."""
    times: list[float] = []
    # What is slow only once is not timed.
    open_order(arcs[:2], AROUND, begin)
    while not times or sum(times) < seconds:
        began = time.process_time()
        order = open_order(arcs, AROUND, begin)
        times.append(max(time.process_time() - began, 1e-9))
    return order, statistics.median(times)


def row(name: str, number: int, seeds: int, seconds: float) -> dict[str, Any]:
    """So many drops, over some seeds."""
    begin = BEGINS[name]
    took, sums = [], [0, 0, 0]
    for seed in range(seeds):
        arcs = drops(number, seed)
        order, each = timed(arcs, begin, seconds / seeds)
        took.append(each)
        best = skipped((arcs[place] for place in order.sequence), begin)
        assert best == order.waste
        longest = sorted(arcs, key=lambda arc: -arc.length)
        for n, waste in enumerate((best, skipped(arcs, begin), skipped(longest, begin))):
            sums[n] += waste
    mean, given, first = (total / seeds / TICKS["in"] for total in sums)
    return {
        "roll begins": name,
        "drops": number,
        "seconds": statistics.fmean(took),
        "skipped in": mean,
        "as given in": given,
        "longest first in": first,
        "as given / best": given / mean if mean else None,
        "longest first / best": first / mean if mean else None,
    }


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--most", type=int, default=NUMBERS[-1], help="drops")
    parser.add_argument("--seeds", type=int, default=3, help="sets of drops of each number")
    parser.add_argument("--seconds", type=float, default=1.0, help="that a row is timed at least")
    parser.add_argument("--markdown", type=Path, help="write the table here too")
    asked = parser.parse_args()
    rows: list[dict[str, Any]] = []
    for name in BEGINS:
        least = 0.0
        for number in (number for number in NUMBERS if number <= asked.most):
            found = row(name, number, asked.seeds, asked.seconds)
            least = least or found["seconds"]
            rows.append({**found, "seconds": found["seconds"] / least})
            print(rows[-1], flush=True)
    table = pd.DataFrame(rows).rename(columns={"seconds": "time"})
    said = (
        f"{asked.seeds} sets of drops a row, means; time as a multiple of that for {NUMBERS[0]} "
        "drops of the same roll"
    )
    print(table.round(2).to_string(index=False))
    print(said)
    write(asked.markdown, table, said)


if __name__ == "__main__":
    main()
