"""Cloth on hand: is it ever said not to do where it does, and is more freedom ever worse?

    python benchmarks/on_hand.py --number 1000 --pairs 500 --seconds 1

Random jobs with pieces are planned. Where that is refused for want of cloth, where no plan is found
or some is bought, a greedy packer of the tests (`tests/oracles/packer.py`), which shares no code
with the search and whose packings the judge's rules have passed, is asked for a plan of its own. A
refusal, or the want of a plan, that it disproves by one is a failure; so is a purchase where it
needs less, and a bound that it goes below. Where it only buys less, the search is weak, which is
told but no failure. Then pairs: a job, and one that is asked less of. Where a plan of the first,
judged, is one of the second too, that must be no worse off: goal by goal in their order, and no
refusal. More than 1.25 times the seconds and 2 s of the processor are too much for any plan.

Ends with exit code 1 if any job failed. A seed that failed is told of with how; it is looked at
alone by `--only pieces --first SEED --number 1` (or `--only pairs --first SEED --pairs 1`). On a
busy machine the wall clock ends some searches early; with `--counted` it ends none, so that a seed
fares alike on any machine, and nothing is said of what is late.
"""

from __future__ import annotations

import argparse
import signal
import sys
import time
from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction
from functools import partial
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "tests" / "jobs"))
sys.path.insert(0, str(Path(__file__).parents[1] / "tests" / "oracles"))

from jobs import job_of
from limited_jobs import long_piece_job, mirrored_job, pieces_job
from looser_jobs import pair
from packed import faults
from packer import pack
from random_jobs import limited_job
from shadewright.answers import NoPlanError
from shadewright.cloth.plan import Plan
from shadewright.job.model import Job
from shadewright.planning.make import make_plan
from shadewright.solve.effort import USUAL
from shadewright.trade.refusal import CannotMeetError

KINDS: dict[str, Callable[[int], str]] = {
    "limited": limited_job,
    "long": long_piece_job,
    "pieces": pieces_job,
    "mirrored": mirrored_job,
}
PAIRS = "pairs"
FAILED, WEAK = "FAILED", "weak"
_HAIR = Fraction(1, 1_000_000)  # of money: what a float may be out by
_SEED = 1  # of every search


class StoppedError(Exception):
    """Planning went on for so long that it was stopped."""


@dataclass
class Planner:
    """Plans jobs, and keeps in mind which took more seconds of the processor than they may.

    Attributes:
        counted: whether the wall clock may not end a search, and nothing is late.
    """

    seconds: float
    counted: bool = False
    late: list[str] = field(default_factory=list)

    @property
    def most(self) -> float:
        """Seconds that a plan may take in all."""
        return 1.25 * self.seconds + 2

    def plan(self, job: Job) -> Plan:
        """A job's plan.

        Raises:
            StoppedError: it took ten times what it may on the clock.
            CannotMeetError: as `make_plan`.
            NoPlanError: the same.
        """

        def stop(*_: object) -> None:
            raise StoppedError(f"stopped after {10 * self.most:.0f} s")

        began = time.process_time()
        effort = replace(USUAL, wall=100.0) if self.counted else USUAL
        signal.signal(signal.SIGALRM, stop)
        signal.setitimer(signal.ITIMER_REAL, 10 * self.most)
        try:
            return make_plan(job, self.seconds, _SEED, effort=effort).plan
        finally:
            signal.setitimer(signal.ITIMER_REAL, 0)
            took = time.process_time() - began
            if took > self.most and not self.counted:
                self.late.append(f"{took:.1f} s where {self.seconds} were given")


def outcome(job: Job, planner: Planner, *, tries: int) -> str:
    """What comes of one job, in a few words."""
    try:
        plan = planner.plan(job)
    except (CannotMeetError, NoPlanError) as why:
        return _without(job, why, tries)
    buys = any(piece.bought for piece in plan.pieces)
    on_hand = pack(job, tries if buys else tries // 4)
    packed = [on_hand, pack(job, tries // 4, buying=True) if buys else None]
    there = [each for each in packed if each is not None]
    for each in there:
        if wrong := false_bound(plan, each):
            return f"{FAILED}, false bound: {wrong}"
    if not buys:
        return f"from what is on hand, {plan.proof.status}"
    return _bought(plan, on_hand, min((_goals(each)[0] for each in there), default=None))


def _bought(plan: Plan, on_hand: Plan | None, best: Fraction | None) -> str:
    """What a plan that buys is worth against packings: one on hand, and the best value of any."""
    reached = _goals(plan)[0]
    if best is None or best >= reached - _HAIR:
        return f"bought, {plan.proof.status}"
    than = f"{plan.proof.goals[0].goal} {float(reached):.2f}, but {float(best):.2f} would do"
    if on_hand is not None and _goals(on_hand)[0] < reached - _HAIR:
        return f"{FAILED}, bought: {than}, and nothing need be bought"
    return f"{WEAK}, buys more: {than}"


def _without(job: Job, why: CannotMeetError | NoPlanError, tries: int) -> str:
    """What comes of a job that there is no plan of."""
    refused = isinstance(why, CannotMeetError)
    packed = pack(job, tries) or pack(job, tries // 4, buying=True)
    wheres = [each.where for each in why.refusals] if isinstance(why, CannotMeetError) else []
    if any(where.endswith(" column_shift") for where in wheres):
        return "a print that is not planned"
    if packed is None:
        kind = "refused" if refused else "no plan in time"
        return kind if all(where.endswith(" piece") for where in wheres) else "refused otherwise"
    kind = "refusal" if refused else "no plan"
    return f"{FAILED}, {kind}: packed on {', '.join(p.piece for p in packed.pieces)}; {why}"


def _goals(plan: Plan) -> list[Fraction]:
    return [Fraction(goal.value) for goal in plan.proof.goals]


def false_bound(plan: Plan, other: Plan) -> str:
    """Which bound of a plan another one goes below; empty if none.

    A bound holds for all plans that are no worse in the goals before.
    """
    for goal, value in zip(plan.proof.goals, _goals(other), strict=True):
        if value < Fraction(goal.bound) - _HAIR:
            return f"{goal.goal} at least {goal.bound}, but {float(value):.2f} would do"
        if value > Fraction(goal.value) + _HAIR:
            break
    used = sum(piece.used for piece in other.pieces)
    if used < plan.proof.used_bound:
        return f"at least {plan.proof.used_bound} used, but {used} would do"
    return ""


def compared(strict: Job, loose: Job, planner: Planner) -> str:
    """How a looser job fares against a job, in a few words."""
    try:
        plan = planner.plan(strict)
    except (CannotMeetError, NoPlanError):
        return "no plan of the stricter one"
    if faults(loose, _on_longer(loose, plan)):
        return "not looser, for that plan"
    try:
        other = planner.plan(loose)
    except (CannotMeetError, NoPlanError) as why:
        kind = "refused" if isinstance(why, CannotMeetError) else "no plan"
        return f"{FAILED}, {kind}: {why}"
    if wrong := false_bound(other, plan):
        return f"{FAILED}, false bound: {wrong}"
    return _against(plan, other)


def _on_longer(loose: Job, plan: Plan) -> Plan:
    """The plan with its pieces on hand as long as the looser job has them."""
    long = {(cloth.name, p.name): p.length for cloth in loose.cloths for p in cloth.pieces}
    pieces = [
        each.model_copy(update={"length": long.get((each.cloth, each.piece), each.length)})
        for each in plan.pieces
    ]
    return plan.model_copy(update={"pieces": pieces})


def _against(plan: Plan, other: Plan) -> str:
    """How a looser job's plan compares with one of the stricter job, goal by goal."""
    for goal, before, now in zip(plan.proof.goals, _goals(plan), _goals(other), strict=True):
        if now > before + _HAIR:
            return f"{FAILED}, worse in {goal.goal}: {float(before):.2f} became {float(now):.2f}"
        if now < before - _HAIR:
            return f"better in {goal.goal}"
    return "as good"


def _tell(which: str, found: str, counts: Counter[str]) -> None:
    """Count an outcome; what failed, or is weak, is told of at once."""
    if found.startswith((FAILED, WEAK)):
        print(f"{which}: {' '.join(found.split())}", flush=True)
        found = found.partition(":")[0]
    counts[found] += 1


def _table(kind: str, counts: Counter[str]) -> None:
    print(f"\n{kind}")
    for found, count in sorted(counts.items()):
        print(f"  {count:5}  {found}")


def main(words: Sequence[str] | None = None) -> None:
    """Count what comes of jobs and of pairs."""
    ask = argparse.ArgumentParser(description=__doc__.split("\n", maxsplit=1)[0] if __doc__ else "")
    ask.add_argument("--number", type=int, default=1000, help="of jobs, of all kinds together")
    ask.add_argument("--pairs", type=int, default=500)
    ask.add_argument("--first", type=int, default=0, help="seed of the first ones")
    ask.add_argument("--seconds", type=float, default=1.0)
    ask.add_argument("--tries", type=int, default=60, help="of the packer, for each job")
    ask.add_argument("--counted", action="store_true", help="no wall clock: alike on any machine")
    ask.add_argument("--only", choices=[*KINDS, PAIRS], help="one kind alone")
    asked = ask.parse_args(words)
    tables: dict[str, Counter[str]] = {}

    def tell(kind: str, seed: int, what: str, look: Callable[[Planner], str]) -> None:
        planner, counts = Planner(asked.seconds, asked.counted), tables.setdefault(kind, Counter())
        try:
            _tell(f"{kind} {seed}{what}", look(planner), counts)
        except StoppedError as why:
            _tell(f"{kind} {seed}{what}", f"{FAILED}, {why}", counts)
        except Exception as why:
            _tell(f"{kind} {seed}{what}", f"{FAILED}, crashed: {why!r}", counts)
        for late in planner.late:
            _tell(f"{kind} {seed}{what}", f"{FAILED}, late: {late}", counts)

    kinds = [kind for kind in KINDS if asked.only in (None, kind)]
    for at in range(asked.number if kinds else 0):
        kind, seed = kinds[at % len(kinds)], asked.first + at // len(kinds)
        job = job_of(KINDS[kind](seed))
        tell(kind, seed, "", partial(outcome, job, tries=asked.tries))
    if asked.only in (None, PAIRS):
        for seed in range(asked.first, asked.first + asked.pairs):
            strict, loose, what = pair(seed)
            tell(PAIRS, seed, f" ({what})", partial(compared, strict, loose))
    for kind, counts in tables.items():
        _table(kind, counts)
    failed = sum(
        n for counts in tables.values() for at, n in counts.items() if at.startswith(FAILED)
    )
    sys.exit(1 if failed else 0)


if __name__ == "__main__":
    main()
