"""Ctrl-C at random moments of every long command: none lost, none left behind, all soon.

    python benchmarks/interruptions.py --times 50

Each command is started, interrupted after a random time, and must end soon after: with its plan
kept and said to be, or with nothing written and that said. A traceback, a left-over temporary file,
a file that is half-written or a plan that the judge refuses is a failure.
"""

from __future__ import annotations

import argparse
import json
import random
import signal
import subprocess
import sys
import tempfile
import time
from dataclasses import dataclass
from pathlib import Path

import pandas as pd

EXAMPLES = Path(__file__).parent.parent / "examples"
LOST = "a shade of the first drop"
PROGRAM = [sys.executable, "-m", "shadewright"]


@dataclass(frozen=True)
class Command:
    """A command line to interrupt, the files it writes, and about how long it runs."""

    name: str
    words: list[str]
    writes: list[str]
    seconds: float


def commands(plan: Path) -> list[Command]:
    """What is interrupted; `plan` is of the sunroom."""
    leaf, attic = str(EXAMPLES / "porch-leaf.toml"), str(EXAMPLES / "fit" / "attic.toml")
    going_on = [str(EXAMPLES / "sunroom.toml"), "--after", str(plan), "--done", "1", "--lost", LOST]
    lines = {
        "plan": (f"plan {leaf} --json p.json --out p.xlsx --picture p.pdf".split(), 6.0),
        "fit": (f"fit {attic} --json f.json --seconds 5".split(), 6.0),
        "compare": (f"compare {leaf} --out c.xlsx --json c.json".split(), 12.0),
        "going on": (["plan", *going_on, "--json", "g.json", "--out", "g.xlsx"], 4.0),
    }
    return [
        Command(name, words, [w for w in words if Path(w).parent == Path() and "." in w], seconds)
        for name, (words, seconds) in lines.items()
    ]


@dataclass(frozen=True)
class Ended:
    """How an interrupted command ended."""

    command: str
    after: float
    took: float
    code: int
    wrong: str


def interrupt(command: Command, after: float, most: float, at: signal.Signals) -> Ended:
    """Start a command, interrupt it, and see what it leaves.

    Args:
        after: seconds from its start.
        most: seconds that it may take to end.
    """
    with tempfile.TemporaryDirectory() as folder:
        process = subprocess.Popen(
            [*PROGRAM, *command.words], cwd=folder, text=True, encoding="utf-8",
            stdout=subprocess.PIPE, stderr=subprocess.PIPE, start_new_session=True,
        )  # fmt: skip
        try:
            process.communicate(timeout=after)
            took = 0.0
        except subprocess.TimeoutExpired:
            began = time.monotonic()
            process.send_signal(at)
            try:
                process.communicate(timeout=60)
            except subprocess.TimeoutExpired:
                process.kill()
            took = time.monotonic() - began
        stdout, stderr = process.communicate()
        wrong = _wrong(command, Path(folder), process.returncode, stdout + stderr)
        if took > most:
            wrong.append(f"took {took:.1f} s to end")
    return Ended(command.name, after, took, process.returncode, "; ".join(wrong))


def _wrong(command: Command, folder: Path, code: int, said: str) -> list[str]:
    found = sorted(file.name for file in folder.iterdir())
    wrong = []
    if "Traceback" in said or "KeyboardInterrupt" in said:
        wrong.append("traceback")
    if code not in (0, 3, 4):
        wrong.append(f"exit code {code}")
    if code == 0 and found != sorted(command.writes):
        wrong.append(f"lost: wrote {found}")
    # An answer of fit is one, too, where nothing that is enough was found.
    if code == 4 and found and command.name != "fit":
        wrong.append(f"left {found}")
    if code == 4 and "topped" not in said and "terminate" not in said:
        wrong.append("did not say that it was stopped")
    for file in found:
        if file.endswith(".json"):
            json.loads((folder / file).read_text(encoding="utf-8"))
    return wrong


def main() -> None:
    """Interrupt the commands in turn and print how they ended."""
    # In the background Ctrl-C is ignored, and so it would be by all that is started here.
    signal.signal(signal.SIGINT, signal.default_int_handler)
    ask = argparse.ArgumentParser(description=__doc__)
    ask.add_argument("--times", type=int, default=50)
    ask.add_argument("--seed", type=int, default=0)
    ask.add_argument("--most", type=float, default=2.0, help="seconds that ending may take")
    asked = ask.parse_args()
    draw = random.Random(asked.seed)
    with tempfile.TemporaryDirectory() as folder:
        plan = Path(folder) / "sunroom.json"
        begun = [*PROGRAM, "plan", str(EXAMPLES / "sunroom.toml"), "--json", str(plan)]
        subprocess.run(begun, check=True, capture_output=True)
        first = json.loads(plan.read_text(encoding="utf-8"))
        lost = next(panel["shade"] for panel in first["panels"] if panel["drop"] == 1)
        every = commands(plan)
        rows = []
        for turn in range(asked.times):
            command = every[turn % len(every)]
            words = [lost if word == LOST else word for word in command.words]
            command = Command(command.name, words, command.writes, command.seconds)
            after = draw.uniform(0.15, command.seconds)
            # One in ten is asked to terminate instead, which keeps nothing.
            at = signal.SIGTERM if turn % 10 == 9 else signal.SIGINT
            rows.append(interrupt(command, after, asked.most, at))
            print(rows[-1], file=sys.stderr)
    table = pd.DataFrame(rows)
    print(table.to_string(index=False, float_format="%.2f"))
    failed = int((table["wrong"] != "").sum())
    print(f"{len(table)} interrupted, {failed} wrong, slowest to end {table['took'].max():.2f} s")
    sys.exit(1 if failed else 0)


if __name__ == "__main__":
    main()
