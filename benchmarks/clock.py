"""Whether `--seconds` is kept: every long command on a thousand openings and a thousand copies.

    python benchmarks/clock.py --seconds 10

A command may take 1.25 times the seconds asked for and 2 more, all told: start-up, reading, search,
boards and rods, the judge, printing. Jobs are made here: plain cloth, level and unbroken prints,
with and without cloth on hand. The table gives each command's time against what it may take.
"""

from __future__ import annotations

import argparse
import random
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from itertools import product
from pathlib import Path

import pandas as pd

PROGRAM = [sys.executable, "-m", "shadewright"]
PIECES = """[[cloth.canvas.piece]]
name = "shelf"
length = "30 yd"
[[cloth.canvas.piece]]
name = "rest"
length = "7 yd"
"""


def job(openings: int, copies: int, strategy: str, pieces: bool) -> str:
    """A porch of so many openings of different sizes, each in so many copies."""
    draw = random.Random(openings)
    lines = [f'title = "{openings} openings"', "[cloth.canvas]", "width = 54", "price = 20"]
    lines += [] if strategy == "plain" else ["repeat_down = 9", "repeat_across = 13.5"]
    lines += [PIECES] if pieces else []
    lines += [] if strategy == "plain" else ["[match]", f'strategy = "{strategy}"']
    for number in range(openings):
        width, height = draw.randint(30 * 8, 160 * 8) / 8, draw.randint(40 * 8, 90 * 8) / 8
        lines += ["[[opening]]", f'name = "Bay {number}"', f"width = {width}", f"height = {height}"]
        lines += [f"copies = {copies}"] if copies > 1 else []
    return "\n".join(lines) + "\n"


def sticks(openings: int) -> str:
    """Openings that all ask for a stick of their own length."""
    lines = [f'title = "{openings} sticks"', "[cloth.canvas]", "width = 54", "price = 20"]
    for number in range(openings):
        width = 12 + number / 16
        lines += [
            "[[opening]]",
            f'name = "Bay {number}"',
            f"width = {width}",
            "height = 40",
            "shades = 1",
        ]
    return "\n".join(lines) + "\n"


def jobs() -> Iterator[tuple[str, str]]:
    """Every job with its name."""
    for (openings, copies), strategy, pieces in product(
        ((1000, 1), (1, 1000)), ("plain", "level", "continuous"), (False, True)
    ):
        what = "copies" if copies > 1 else "openings"
        on_hand = ", pieces" if pieces else ""
        yield f"1000 {what}, {strategy}{on_hand}", job(openings, copies, strategy, pieces)
    yield "400 lengths of stick", sticks(400)


def main() -> None:
    """Time the commands and print how they kept to their seconds."""
    ask = argparse.ArgumentParser(description=__doc__)
    ask.add_argument("--seconds", type=float, default=10.0)
    ask.add_argument("--only", default="", help="part of a job's name")
    asked = ask.parse_args()
    allowed = 1.25 * asked.seconds + 2
    rows = []
    with tempfile.TemporaryDirectory() as folder:
        for name, text in jobs():
            if asked.only not in name:
                continue
            file = Path(folder) / "job.toml"
            file.write_text(text, encoding="utf-8")
            commands = [["plan"], ["plan", "--json", "p.json", "--force"]]
            commands += [["fit"]] if "pieces" in name else []
            for command, *options in commands:
                words = [*PROGRAM, command, str(file), "--seconds", str(asked.seconds), *options]
                began = time.monotonic()
                done = subprocess.run(
                    words, cwd=folder, capture_output=True, text=True, check=False
                )
                took = time.monotonic() - began
                rows.append(
                    {
                        "job": name,
                        "command": " ".join([command, *options[:1]]),
                        "code": done.returncode,
                        "took, s": took,
                        "of what it may": took / allowed,
                    }
                )
                print(rows[-1], file=sys.stderr)
    table = pd.DataFrame(rows)
    print(table.to_string(index=False, float_format="%.2f"))
    late = int((table["of what it may"] > 1).sum())
    print(f"{len(table)} commands at {asked.seconds:g} s, {late} over {allowed:g} s")
    sys.exit(1 if late else 0)


if __name__ == "__main__":
    main()
