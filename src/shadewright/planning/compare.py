"""The same job made in several ways, side by side: what each would buy, and why some cannot be.

A case is the job with one choice of the maker changed. Cases are planned at once on the cores
there are, and come back in the order they were asked for, however they finished.
"""

from __future__ import annotations

import multiprocessing
import os
import time
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence
from concurrent.futures import FIRST_COMPLETED, Future, ProcessPoolExecutor, wait
from dataclasses import dataclass, replace

from shadewright import stopping
from shadewright.answers import (
    NOT_IN_TIME,
    STOPPED,
    CaseAnswer,
    Choice,
    NoPlanError,
    PlanAnswer,
)
from shadewright.cloth.plan import Plan
from shadewright.job.model import Job, Runs
from shadewright.planning.make import make_plan
from shadewright.planning.possible import shade_range
from shadewright.solve.answer.reached import money_spent
from shadewright.trade.refusal import CannotMeetError

# What each changes of how motifs must fall.
STRATEGIES: dict[str, dict[str, object]] = {
    "plain": {"strategy": "plain"},
    "level": {"strategy": "level"},
    "centred": {"strategy": "centred", "centre_on": "motif", "alternate": False},
    "centred-alternate": {"strategy": "centred", "centre_on": "motif", "alternate": True},
    "centred-between": {"strategy": "centred", "centre_on": "between", "alternate": False},
    "centred-between-alternate": {
        "strategy": "centred",
        "centre_on": "between",
        "alternate": True,
    },
    "continuous": {"strategy": "continuous"},
}
_ALTERNATE = "-alternate"
# Numbers of shades that the frontier is worked out for, beside what is cheapest.
_MOST_POINTS = 6
# How long a wait may keep from hearing the user, and how long those that plan have to come back.
_SECONDS_DEAF = 0.1
_SECONDS_TO_COME_BACK = 1.0
# All cases together take so many times the seconds asked for, and so many more to begin.
_WALL, _SECONDS_TO_BEGIN = 1.05, 1.0


@dataclass(frozen=True)
class Case:
    """The job with one choice changed.

    Attributes:
        choice: what is being compared.
        name: what this case does about it.
        most_shades: that its plan may have; no limit if None.
    """

    choice: Choice
    name: str
    job: Job
    most_shades: int | None = None


CaseReport = Callable[[int, int, str], None]


def chosen_cases(job: Job, choices: Collection[str], strategies: Iterable[str]) -> list[Case]:
    """The job made in the ways that these choices come to, but for numbers of shades."""
    cases = strategy_cases(job, strategies) if "strategies" in choices else []
    cases += hem_cases(job) if "hems" in choices else []
    cases += lay_cases(job) if "lay" in choices else []
    cases += table_cases(job) if "table" in choices else []
    cases += alike_cases(job) if "alike" in choices else []
    return cases


def strategy_cases(job: Job, names: Iterable[str] = tuple(STRATEGIES)) -> list[Case]:
    """The job under each strategy; cloth without a repeat is cut plain whatever is asked, and only
    where columns are shifted can motifs alternate."""
    if not job.patterned:
        names = ["plain"]
    elif not any(cloth.shifted for cloth in job.faces):
        names = dict.fromkeys(name.removesuffix(_ALTERNATE) for name in names)
    return [Case("strategies", name, _matched(job, STRATEGIES[name])) for name in names]


def _matched(job: Job, changes: dict[str, object]) -> Job:
    """The job with its motifs matched another way; a print that was cut plain, whichever way comes
    best, keeps its one way up then."""
    if changes["strategy"] != "plain":
        prints = {cloth.name for cloth in job.faces if cloth.patterned}
        either = {c.name for c in job.faces if c.patterned and c.runs in ("either", "mixed")}
        job = job.with_cloths(lambda c: {"runs": "up the bolt"} if c.name in either else {})
        job = job.with_openings(
            o.model_copy(update={"runs": None} if o.cloth in prints else {}) for o in job.openings
        )
    return job.matched(**changes)


def hem_cases(job: Job) -> list[Case]:
    """Side hems folded twice and once; a lined shade has none to choose."""
    if job.make.lining:
        return []
    folds = {"double hems": 2, "single hems": 1}
    return [Case("hems", name, job.made(side_folds=number)) for name, number in folds.items()]


def lay_cases(job: Job) -> list[Case]:
    """Faces up the bolt, railroaded, or whichever comes best, where no print decides it."""
    faces = {opening.cloth for opening in job.openings}
    free = {name for name in faces if job.strategy(job.cloth(name)) == "plain"}
    if not free:
        return []

    def turned(runs: Runs) -> Job:
        return job.with_cloths(lambda cloth: {"runs": runs} if cloth.name in free else {})

    ways: tuple[tuple[str, Runs], ...] = (
        ("all up the bolt", "up the bolt"),
        ("all railroaded", "railroaded"),
        ("one way, whichever is best", "either"),
        ("each opening its own way", "mixed"),
    )
    return [Case("lay", name, turned(runs)) for name, runs in ways]


def alike_cases(job: Job) -> list[Case]:
    """Copies of an opening divided alike, or each its own way, where there are copies."""
    if all(opening.copies == 1 for opening in job.openings):
        return []

    def divided(alike: bool) -> Job:
        return job.with_openings(o.model_copy(update={"alike": alike}) for o in job.openings)

    names = {"copies divided alike": True, "each copy its own way": False}
    return [Case("alike", name, divided(alike)) for name, alike in names.items()]


def any_saving_will_do(job: Job) -> Job:
    """The job as it is where one shade more may save as little as can be, whatever it costs: what
    numbers of shades are set against is cloth."""
    free = job.made(extra_shade=0, shade_cost=None)
    return free.model_copy(update={"prices": None})


def as_paid(job: Job, plan: Plan) -> Plan:
    """A plan of the job with shades at no cost, with the money that it comes to all the same."""
    cost = float(money_spent(job, plan.shades, plan.pieces))
    totals = plan.totals.model_copy(update={"cost": cost})
    return plan.model_copy(update={"totals": totals})


def table_cases(job: Job) -> list[Case]:
    """Drops no longer than the table, and of any length; nothing where the job states no table."""
    if job.make.table is None:
        return []
    longest = f"drops of at most {job.tape.short(job.make.table)}"
    return [
        Case("table", longest, job),
        Case("table", "drops of any length", job.made(table=None)),
    ]


def as_asked(case: Case, job: Job) -> bool:
    """Whether a case is the job itself: all that changes a plan of it is as in the job."""
    return case.most_shades is None and _settled(case.job) == _settled(job)


def _settled(job: Job) -> Job:
    """The job with what it leaves open said, and what means nothing to it as where nothing is."""
    if not job.patterned:
        job = job.matched(strategy="plain")
    elif job.match.strategy is None:
        job = job.matched(strategy="level")
    if not any(cloth.shifted for cloth in job.faces):
        job = job.matched(alternate=False)
    return job.with_openings(
        o.model_copy(update={"alike": True} if o.copies == 1 else {}) for o in job.openings
    )


def frontier_cases(job: Job, cheapest: int, fewest: int) -> list[Case]:
    """The job with fewer and fewer shades than the plan of least cloth has, down to the fewest."""
    spare = cheapest - fewest
    points = min(spare, _MOST_POINTS)
    # Spread evenly, the fewest among them.
    numbers = [cheapest - -(-spare * i // points) for i in range(1, points + 1)]
    return [Case("shades", f"{n} or fewer", job, n) for n in numbers]


def compare(
    job: Job,
    cases: Sequence[Case],
    *,
    frontier: bool,
    seconds: float = 20.0,
    seed: int = 0,
    workers: int | None = None,
    progress: CaseReport | None = None,
) -> tuple[list[CaseAnswer], bool]:
    """Plan every case, and the frontier of cloth against number of shades if asked for.

    Args:
        seconds: for all cases together; each has an equal part of what all processes have.
        workers: cases planned at once; the number of cores if None.
        progress: called with how many are done, of how many, and the name of the last.

    Returns:
        What came of each case, in order, and whether the user stopped before all were planned.
    """
    free = any_saving_will_do(job)
    cheapest = Case("shades", "as many as save cloth", free)
    first = [*cases, *([cheapest] if frontier else [])]
    stopping.keep()
    at_once = workers or os.cpu_count() or 1
    turns = len({(case.job, case.most_shades) for case in first}) + frontier * _MOST_POINTS
    each = seconds * min(at_once / max(turns, 1), 1.0)
    until = time.monotonic() + _WALL * seconds + _SECONDS_TO_BEGIN
    with _Pool(job, at_once, _Budget(each, seed, until), progress) as pool:
        found = pool.plan(first)
        last = found[-1] if frontier and found else None
        if last is not None and last.plan is not None and not pool.ended:
            shades = last.plan.totals.shades
            found += pool.plan(frontier_cases(free, shades, shade_range(job)[0]))
        return [
            replace(each, plan=as_paid(job, each.plan))
            if each.choice == "shades" and each.plan
            else each
            for each in found
        ], pool.stopped


@dataclass(frozen=True)
class _Budget:
    """Seconds for each case, its seed, and when all must be planned by the monotonic clock."""

    seconds: float
    seed: int
    until: float


class _Pool:
    """Processes that plan cases of a job, each set of equal cases once.

    Attributes:
        stopped: whether the user stopped it.
        ended: whether it came to an end before all were planned.
    """

    def __init__(
        self, job: Job, workers: int, effort: _Budget, progress: CaseReport | None
    ) -> None:
        self._job = job
        self._effort = effort
        self._progress = progress
        self._done = self._asked = 0
        self._known: dict[tuple[Job, int | None], PlanAnswer | str] = {}
        self.stopped = self.ended = False
        # A fresh process each: a solver's threads do not live through a fork.
        context = multiprocessing.get_context("spawn")
        self._stop = context.Event()
        self._executor = ProcessPoolExecutor(
            workers,
            mp_context=context,
            initializer=stopping.listen,
            initargs=(self._stop.is_set,),
        )

    def __enter__(self) -> _Pool:
        return self

    def __exit__(self, why: object, *_: object) -> None:
        cut_short = self.ended or why is not None
        if cut_short:
            for process in list((self._executor._processes or {}).values()):
                process.terminate()
        self._executor.shutdown(wait=not cut_short, cancel_futures=True)

    def plan(self, cases: Sequence[Case]) -> list[CaseAnswer]:
        """What came of each case; those not planned when the user stops say so."""
        waiting: dict[Future[PlanAnswer | str], tuple[Job, int | None]] = {}
        for case in cases:
            key = case.job, case.most_shades
            if key not in self._known and key not in waiting.values():
                with stopping.children_deaf():
                    future = self._executor.submit(_plan, *key, self._effort)
                waiting[future] = key
        self._asked += len(waiting)
        for key in self._as_planned(waiting):
            self._done += 1
            if self._progress:
                names = [c.name for c in cases if (c.job, c.most_shades) == key]
                self._progress(self._done, self._asked, names[0])
        return [self._compared(case) for case in cases]

    def _as_planned(
        self, waiting: Mapping[Future[PlanAnswer | str], tuple[Job, int | None]]
    ) -> Iterator[tuple[Job, int | None]]:
        """The cases as they are planned; where the user stops or the time is over, those that then
        come back soon."""
        left = set(waiting)
        until: float | None = None
        while left and (until is None or time.monotonic() < until):
            try:
                done, left = wait(left, timeout=_SECONDS_DEAF, return_when=FIRST_COMPLETED)
            except KeyboardInterrupt:
                self.stopped = True
                done = set()
            self.stopped = self.stopped or stopping.asked()
            for future in done:
                self._known[waiting[future]] = future.result()
                yield waiting[future]
            self.ended = self.stopped or time.monotonic() >= self._effort.until
            if self.ended and until is None:
                # What is being planned comes back with its best; what has not begun does not.
                self._stop.set()
                until = time.monotonic() + _SECONDS_TO_COME_BACK
                # (Not cancelled one by one: the executor stumbles over those as it is ended.)
                left = {each for each in left if each.running() or each.done()}

    def _compared(self, case: Case) -> CaseAnswer:
        otherwise = STOPPED if self.stopped else NOT_IN_TIME
        result = self._known.get((case.job, case.most_shades), otherwise)
        own = as_asked(case, self._job)
        answer = CaseAnswer(case.choice, case.name, case.most_shades, None, as_asked=own)
        if isinstance(result, str):
            return replace(answer, why_not=result)
        return replace(answer, plan=result.plan, faults=result.faults)


def _plan(job: Job, most_shades: int | None, effort: _Budget) -> PlanAnswer | str:
    """A case's plan, or why there is none."""
    try:
        return make_plan(job, effort.seconds, effort.seed, most_shades=most_shades)
    except NoPlanError:
        return STOPPED if stopping.asked() else NOT_IN_TIME
    except CannotMeetError as why:
        first, *others = why.refusals
        more = f" (and {len(others)} more like it)" if others else ""
        return f"{first.where}: {first.reason}{more}"
