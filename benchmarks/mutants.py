"""Damaged inputs of every kind, thousands of them: no traceback, nothing half-written, all in time.

    python benchmarks/mutants.py --number 16000 --grown 4000 --seed 0

Jobs in TOML, jobs in workbooks, plan files and ticked workbooks are damaged and given to the
program, in processes that stay. A mutant is fine when the program ends with exit code 0, 2, 3 or 4
within its time, says where a bad input is bad, and leaves its outputs, whole, where it ends with 0
and nowhere else. A failure is kept with its files. Mutants follow from the seed, so that
`--first 17 --number 1` is number 17 again.

What is damaged was sound once. Beside that, files of each kind are grown from nothing by hypothesis
(`--grown`), in this process; of these the smallest that fails is kept.
"""

from __future__ import annotations

import argparse
import contextlib
import multiprocessing
import shlex
import sys
import tempfile
import time
from collections.abc import Iterator
from dataclasses import asdict, dataclass, replace
from multiprocessing.connection import Connection, wait
from multiprocessing.context import SpawnProcess
from pathlib import Path

import pandas as pd

sys.path.insert(0, str(Path(__file__).parents[1] / "tests" / "jobs"))
sys.path.insert(0, str(Path(__file__).parents[1] / "tests" / "mutants"))

from grown import GROWN, grow
from mutant_kinds import Material, Mutant, material, mutant
from mutant_runs import Ended, run

PLANNED = ("sunroom", "landing", "parlour", "veranda", "attic")
"""Examples whose plans and workbooks are damaged."""

_WARMING = 300.0
_HANGS = 60.0
"""Seconds beyond its time, with all allowances, after which a mutant is given up."""

_MEMORY = 6 * 2**30
"""Bytes a process may take, so that one that runs away does not take the machine along."""


def work(line: Connection, folder: Path, seed: int, slack: float) -> None:
    """Run the mutants whose numbers come down the line, until none does."""
    with contextlib.suppress(ImportError):  # where memory cannot be limited
        import resource  # noqa: PLC0415

        resource.setrlimit(resource.RLIMIT_AS, (_MEMORY, _MEMORY))
    stuff = Material.stored(folder)
    _warm_up(stuff, slack)
    line.send(None)
    while (number := line.recv()) is not None:
        line.send(run(mutant(seed, number, stuff), slack))


def _warm_up(stuff: Material, slack: float) -> None:
    """Load all that is loaded when it is first needed, which is not counted."""
    files = {"job.toml": stuff.jobs["landing"].encode("utf-8")}
    for words in (("plan", "--out", "a.xlsx", "--picture", "a.png"), ("fit",), ("check",)):
        line = (words[0], "job.toml", *words[1:])
        run(Mutant("", 0, "", files, line, (), 60.0), slack)


@dataclass
class Worker:
    """A process that runs mutants.

    Attributes:
        running: the number of the one it is at; None where it is still getting ready.
        until: when that has taken too long.
    """

    process: SpawnProcess
    line: Connection
    running: int | None
    until: float


class Pool:
    """Processes that run mutants, each replaced when it hangs or dies."""

    def __init__(self, folder: Path, seed: int, slack: float, stuff: Material) -> None:
        self._given = folder, seed, slack
        self._seed, self._slack, self._stuff = seed, slack, stuff

    def ended(self, numbers: Iterator[int], workers: int) -> Iterator[Ended]:
        """How the mutants of these numbers ended, as they do."""
        crew = [self._start() for _ in range(workers)]
        while crew:
            wait([worker.line for worker in crew], timeout=0.5)
            for worker in list(crew):
                gone = None
                if worker.line.poll():
                    try:
                        if (found := worker.line.recv()) is not None:
                            yield found
                    except EOFError:
                        gone = "the process died"
                elif time.monotonic() > worker.until:
                    gone = "hangs"
                else:
                    continue
                if gone:
                    yield self._lost(worker, gone)
                    crew.remove(worker)
                    worker = self._start()  # noqa: PLW2901 - the one that takes its place
                    crew.append(worker)
                elif not self._next(worker, numbers):
                    crew.remove(worker)

    def _start(self) -> Worker:
        context = multiprocessing.get_context("spawn")
        ours, theirs = context.Pipe()
        process = context.Process(target=work, args=(theirs, *self._given))
        process.start()
        theirs.close()
        return Worker(process, ours, None, time.monotonic() + _WARMING)

    def _next(self, worker: Worker, numbers: Iterator[int]) -> bool:
        """Give a worker its next mutant; whether there is one."""
        worker.running = next(numbers, None)
        worker.line.send(worker.running)
        if worker.running is None:
            worker.process.join()
            return False
        asked = mutant(self._seed, worker.running, self._stuff)
        worker.until = time.monotonic() + 3 * self._slack * asked.seconds + _HANGS
        return True

    def _lost(self, worker: Worker, why: str) -> Ended:
        """A process that did not come back: the mutant it was at is to blame."""
        worker.process.kill()
        worker.process.join()
        if worker.running is None:
            raise RuntimeError(f"a process {why} before it had anything to do")
        lost = mutant(self._seed, worker.running, self._stuff)
        return Ended(
            lost.kind, lost.number, lost.how, lost.words[0], None, float("nan"), 0.0, (why,), ""
        )


def grown(number: int, seed: int, folder: Path, slack: float, stuff: Material) -> list[Ended]:
    """How inputs that are grown ended, as many of each kind; what fails is kept."""
    found: list[Ended] = []

    def see(asked: Mutant) -> None:
        ended = replace(run(asked, slack), how="grown")
        found.append(ended)
        if ended.wrong:
            raise AssertionError(ended.wrong)

    for kind in GROWN:
        last: list[Mutant] = []

        def seen(asked: Mutant, last: list[Mutant] = last) -> None:
            last[:] = [asked]
            see(asked)

        try:
            grow(kind, stuff, number // len(GROWN), seed, seen)
        except Exception as why:  # what fails now and then comes in a wrapper
            if not found or not found[-1].wrong:
                raise
            # Hypothesis ends with the smallest that fails.
            keep(folder / f"grown-{seed}-{kind.replace(' ', '-')}", last[0], found[-1])
            print(f"grown {kind}: {why}", file=sys.stderr)
        print(f"  {len(found)} grown", file=sys.stderr, flush=True)
    return found


def keep(place: Path, asked: Mutant, failed: Ended) -> None:
    """Keep a failure: its files, its command line, and what came of it."""
    place.mkdir(parents=True, exist_ok=True)
    for name, data in asked.files.items():
        (place / name).write_bytes(data)
    told = [f"shadewright {shlex.join(asked.words)}", *failed.wrong, failed.said]
    (place / "what.txt").write_text("\n".join(told) + "\n", encoding="utf-8", errors="replace")


def tables(found: list[Ended]) -> str:
    """Counts by kind and exit code, and the slowest of each kind."""
    rows = pd.DataFrame([asdict(each) for each in found])
    rows["ended"] = [each.code if each.code is not None else "none" for each in found]
    rows["failed"] = [bool(each.wrong) for each in found]
    counts = pd.crosstab(rows["kind"], rows["ended"])
    counts["all"] = counts.sum(axis="columns")
    counts["failed"] = rows.groupby("kind")["failed"].sum()
    counts.loc["all"] = counts.sum()
    by_command = pd.crosstab(rows["command"], rows["ended"])
    slowest = rows.loc[rows.sort_values("worked").groupby("kind")["worked"].idxmax()]
    slowest = slowest[["kind", "number", "how", "command", "ended", "worked", "took"]]
    return "\n\n".join(
        (
            f"exit codes\n{counts.to_string()}",
            by_command.to_string(),
            "slowest of each kind, seconds of the processor and on the clock\n"
            + slowest.to_string(index=False, float_format="%.2f"),
        )
    )


def main() -> None:
    """Run the mutants and print what came of them."""
    ask = argparse.ArgumentParser(description=__doc__)
    ask.add_argument("--number", type=int, default=16_000, help="of mutants")
    ask.add_argument("--grown", type=int, default=4_000, help="of inputs grown from nothing")
    ask.add_argument("--first", type=int, default=0, help="number of the first one")
    ask.add_argument("--seed", type=int, default=0)
    ask.add_argument("--workers", type=int, default=2)
    ask.add_argument("--keep", type=Path, default=Path("mutants-failed"), help="folder of failures")
    ask.add_argument(
        "--slack",
        type=float,
        default=5.0,
        help="times its time that a mutant may take on the clock of a busy machine; what it takes "
        "of the processor is held to its time",
    )
    asked = ask.parse_args()
    found: list[Ended] = []
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place)
        stuff = material(folder, PLANNED)
        stuff.store(folder)
        pool = Pool(folder, asked.seed, asked.slack, stuff)
        numbers = iter(range(asked.first, asked.first + asked.number))
        for ended in pool.ended(numbers, asked.workers):
            found.append(ended)
            if ended.wrong:
                place_kept = asked.keep / f"{asked.seed}-{ended.number}"
                keep(place_kept, mutant(asked.seed, ended.number, stuff), ended)
                print(f"{ended.number} {ended.kind}: {'; '.join(ended.wrong)}", file=sys.stderr)
            if len(found) % 100 == 0:
                print(f"  {len(found)} of {asked.number}", file=sys.stderr, flush=True)
        if asked.grown:
            _warm_up(stuff, asked.slack)
            found += grown(asked.grown, asked.seed, asked.keep, asked.slack, stuff)
    print(tables(found))
    failed = sum(bool(each.wrong) for each in found)
    print(f"\n{len(found)} inputs of seed {asked.seed}, {failed} failed")
    sys.exit(1 if failed else 0)


if __name__ == "__main__":
    main()
