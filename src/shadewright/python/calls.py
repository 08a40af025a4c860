"""The commands as calls. Each loads what it needs when it is called, and not before.

A job is given as a path (.toml or .xlsx), as the text of a job in TOML, as tables such as `tomllib`
gives, or as what `load` gave. A text counts as TOML if it has a line break in it, and as a path if
not. Every call raises `ShadewrightError` where there is no answer, and TypeError where it is given
something of another kind.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from numbers import Integral, Real
from pathlib import Path
from typing import TYPE_CHECKING, Any, get_args

from shadewright.python.errors import ShadewrightError, Trouble, bad_input, bad_inputs, told

if TYPE_CHECKING:
    from shadewright.answers import PlanAnswer
    from shadewright.job.model import Job
    from shadewright.python.results import (
        CheckResult,
        CompareResult,
        FitResult,
        JobData,
        PlanResult,
    )

    JobGiven = str | Path | Mapping[str, Any] | JobData
    """A path, a text of TOML, its tables, or a job that is loaded."""

_LOST_PROCESS = (
    "A process that planned one of these ways came to an end by itself: the program cannot be "
    'imported (what it does must stand under if __name__ == "__main__"), or memory ran out '
    "(workers=1 takes the least)."
)

_DAY, _LAST_SEED = 86_400.0, 2**31 - 1


def load(job: JobGiven) -> JobData:
    """Read a job.

    Raises:
        ShadewrightError: it cannot be read, or is no good job ("bad input").
    """
    from shadewright.python.results import JobData  # noqa: PLC0415

    if isinstance(job, JobData):
        return job
    with told():
        return JobData._of(_read(job))


def _read(job: str | Path | Mapping[str, Any]) -> Job:
    from shadewright.job import read  # noqa: PLC0415

    match job:
        case Mapping():
            return read.read_tables(job)
        case str() if "\n" in job:
            return read.read_text(job)
        case str() | Path():
            return read.read_job(Path(job))
    raise TypeError(f"a job is a path, a text of TOML, or its tables, and not {type(job).__name__}")


def check(job: JobGiven) -> CheckResult:
    """Say what a job means, and what each opening could become.

    Raises:
        ShadewrightError: the job cannot be read ("bad input") or made as asked ("cannot be met").
    """
    from shadewright.planning.possible import possible  # noqa: PLC0415
    from shadewright.python.results import CheckResult  # noqa: PLC0415
    from shadewright.report.text.check import said_back  # noqa: PLC0415

    asked = load(job)
    with told():
        found = possible(asked._job)
        numbers = {
            name: tuple(sorted({shades for shades, _ in each.agreed}))
            for name, each in found.items()
        }
        return CheckResult(asked, numbers, said_back(asked._job, found))


def plan(
    job: JobGiven, *, seconds: float = 20.0, seed: int = 0, others: bool = False
) -> PlanResult:
    """Divide, lay out, order the cuts, and say how good the plan is.

    Args:
        seconds: of search at most; it ends sooner where everything is proved.
        seed: the same job, seconds and seed give the same plan.
        others: whether `notes` also say what fewer shades and more would take, and the other thing
            on centre lines, as the command does in the time that is left.

    Raises:
        ShadewrightError: the job cannot be read ("bad input") or made as asked ("cannot be met"),
            or no plan was found in the time given ("no plan").
    """
    _see_limits(seconds, seed)
    from shadewright.planning.make import make_plan  # noqa: PLC0415

    asked = load(job)
    with told():
        return _result(asked, make_plan(asked._job, seconds, seed, with_others=others))


def go_on(
    job: JobGiven,
    after: PlanResult | str | Path | Mapping[str, Any],
    *,
    done: Sequence[int | str] | str | int = (),
    done_from: str | Path | None = None,
    lost: Sequence[str] | str = (),
    flaws: Sequence[str] | str = (),
    seconds: float = 20.0,
    seed: int = 0,
) -> PlanResult:
    """Go on from a plan that is partly cut: what is cut stays cut, the rest is planned again.

    Args:
        after: the plan, its file, or its data.
        done: drops that are cut, by number, or as ``"canvas/bolt/3"``; or the line that the plan's
            page gives to copy, ``"1,2,3"``.
        done_from: the plan's workbook, with the boxes of the cuts that are made ticked, or the file
            that its page saved (its name ends in .json).
        lost: shades whose cut panels are spoilt.
        flaws: found since, each as ``"bolt:4 yd to 4 yd 3 in"``.

    Raises:
        ShadewrightError: as `plan`; also where the plan is none of this job, or what is told of it
            cannot be ("bad input").
    """
    _see_limits(seconds, seed)
    from shadewright.cloth.plan import Plan  # noqa: PLC0415
    from shadewright.judge.replay import judge  # noqa: PLC0415
    from shadewright.planning import go_on as going  # noqa: PLC0415
    from shadewright.report.sheets.since import Statement, StatementError, since  # noqa: PLC0415
    from shadewright.report.work.arguments import OF_A_CALL  # noqa: PLC0415

    asked = load(job)
    with told():
        found = _plan_given(after)
        if faults := judge(asked._job, found):
            raise bad_inputs(
                Trouble("after", fault, "a clean plan of this job") for fault in faults
            )
        before = Plan.model_validate(found)
        ticked = None if done_from is None else Path(done_from)
        stated = Statement(_several(done), _several(flaws), _several(lost), ticked, OF_A_CALL)
        try:
            happened = since(asked._job, before, stated)
        except StatementError as why:
            raise bad_inputs(Trouble(p.where, p.found, p.wanted) for p in why.problems) from None
        answer = going.go_on(asked._job, before, happened, seconds=seconds, seed=seed)
        return _result(asked, answer)


def _several(given: Sequence[int | str] | str | int) -> list[str]:
    """What is told, one by one; a text or a number alone is one, and no text its letters."""
    return [str(given)] if isinstance(given, (str, int)) else [str(each) for each in given]


def _plan_given(after: PlanResult | str | Path | Mapping[str, Any]) -> object:
    from shadewright.cloth.plan_file import plan_data  # noqa: PLC0415
    from shadewright.python.results import PlanResult  # noqa: PLC0415

    match after:
        case PlanResult():
            return after.data()
        case Mapping():
            return dict(after)
        case str() | Path():
            return plan_data(Path(after))
    raise TypeError(f"a plan is a result, a path or its data, and not {type(after).__name__}")


def compare(
    job: JobGiven,
    *,
    choices: Sequence[str] | str | None = None,
    strategies: Sequence[str] | str | None = None,
    seconds: float = 20.0,
    seed: int = 0,
    workers: int | None = None,
) -> CompareResult:
    """Plan the same job in several ways, side by side.

    Plans are made in processes of their own, so a program that calls this must be one that can be
    imported: what it does stands under ``if __name__ == "__main__":``.

    Args:
        choices: what to compare: "strategies", "hems", "lay", "alike", "table", "shades"; all of
            them if None.
        strategies: of matching, as the command names them; all of them if None.
        seconds: for all of them together.
        workers: plans made at once; as many as there are cores if None.

    Raises:
        ShadewrightError: the job cannot be read ("bad input"), or a process was lost ("no plan").
    """
    _see_limits(seconds, seed)
    if workers is not None and _whole("workers", workers) < 1:
        raise bad_input("workers", str(workers), "a number from 1 up")
    from concurrent.futures.process import BrokenProcessPool  # noqa: PLC0415

    from shadewright.answers import Choice  # noqa: PLC0415
    from shadewright.planning import compare as ways  # noqa: PLC0415
    from shadewright.python.results import CompareResult  # noqa: PLC0415
    from shadewright.report.work.comparison import Comparison  # noqa: PLC0415

    wanted = _words("choices", choices, get_args(Choice))
    names = _words("strategies", strategies, tuple(ways.STRATEGIES))
    asked = load(job)
    with told():
        cases = ways.chosen_cases(asked._job, wanted, names)
        try:
            found, stopped = ways.compare(
                asked._job,
                cases,
                frontier="shades" in wanted,
                seconds=seconds,
                seed=seed,
                workers=workers,
            )
        except BrokenProcessPool:
            raise ShadewrightError("no plan", _LOST_PROCESS) from None
        for each in found:
            _refuse_faults(each.faults)
        return CompareResult(asked, stopped, Comparison(asked._job, found))


def fit(job: JobGiven, *, seconds: float = 20.0, seed: int = 0) -> FitResult:
    """Say whether the cloth on hand is enough, and if not, the least to give up.

    Raises:
        ShadewrightError: the job cannot be read ("bad input"), no cloth is on hand, or it could be
            made of no length of cloth ("cannot be met").
    """
    _see_limits(seconds, seed)
    from shadewright.measure import TICKS  # noqa: PLC0415
    from shadewright.planning.fit import fit as fit_job  # noqa: PLC0415
    from shadewright.python.results import FitResult, PlanResult, RemedyResult  # noqa: PLC0415
    from shadewright.report.text.fit import fitted  # noqa: PLC0415
    from shadewright.report.work.account import Account  # noqa: PLC0415

    asked = load(job)
    with told():
        found = fit_job(asked._job, seconds, seed)
        _refuse_faults(found.faults)
        by = TICKS[asked._job.tape.cloth_unit]
        made = None
        if found.plan is not None:
            made = PlanResult(asked, found.stopped, Account(asked._job, found.plan))
        remedies = tuple(
            RemedyResult(r.given_up, r.left_out, r.cost, r.used / by, len(r.plan.shades))
            for r in found.remedies
        )
        return FitResult(
            asked,
            made,
            found.short,
            remedies,
            found.can_be_made,
            found.complete,
            found.stopped,
            fitted(asked._job, found),
        )


def _result(asked: JobData, answer: PlanAnswer) -> PlanResult:
    from shadewright.python.results import PlanResult  # noqa: PLC0415
    from shadewright.report.work.account import Account  # noqa: PLC0415

    _refuse_faults(answer.faults)
    account = Account(
        asked._job,
        answer.plan,
        answer.naive,
        answer.wood,
        answer.frontier,
        answer.otherwise,
        answer.before,
    )
    return PlanResult(asked, answer.stopped, account)


def _refuse_faults(faults: Sequence[str]) -> None:
    """A plan that the judge finds faulty is not given to anybody."""
    if faults:
        text = "The judge found faults in the plan. This is a bug in shadewright:\n"
        raise ShadewrightError("no plan", text + "\n".join(faults))


def _see_limits(seconds: float, seed: int) -> None:
    if not isinstance(seconds, Real):
        raise TypeError(f"seconds is a number, and not {type(seconds).__name__}")
    if not 0 <= seconds <= _DAY:
        raise bad_input("seconds", str(seconds), f"a number from 0 to {_DAY:,.0f}")
    if not 0 <= _whole("seed", seed) <= _LAST_SEED:
        raise bad_input("seed", str(seed), f"a whole number from 0 to {_LAST_SEED}")


def _whole(name: str, given: int) -> int:
    if not isinstance(given, Integral):
        raise TypeError(f"{name} is a whole number, and not {type(given).__name__}")
    return given


def _words(where: str, asked: Sequence[str] | str | None, known: Sequence[str]) -> list[str]:
    """The words asked for in the order they are known; all of them if None."""
    asked = [asked] if isinstance(asked, str) else asked
    wrong = [word for word in asked or () if word not in known]
    if wrong:
        raise bad_input(where, ", ".join(map(str, wrong)), " or ".join(known))
    return [word for word in known if asked is None or word in asked]
