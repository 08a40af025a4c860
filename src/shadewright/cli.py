"""The commands. What was asked for goes to stdout; progress, warnings and errors to stderr."""

from __future__ import annotations

import contextlib
import json
import sys
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from importlib.metadata import version
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, NoReturn

import typer

from shadewright import stopping
from shadewright.answers import CaseAnswer
from shadewright.job.places import Places
from shadewright.job.problems import JobError, printable
from shadewright.job.read import read_placed
from shadewright.outputs import OutputError, Writing, outputs
from shadewright.report.text.compare import CHOICES, STRATEGY_WORDS, as_data, table
from shadewright.report.work.cautions import first_of_all
from shadewright.streams import safe_streams
from shadewright.trade.refusal import CannotMeetError

# A job that cannot be read is told so before what it takes to plan one is loaded.
if TYPE_CHECKING:
    from shadewright.answers import PlanAnswer
    from shadewright.cloth.plan import Plan
    from shadewright.job.model import Job
    from shadewright.planning.make import GoalReport
    from shadewright.report.sheets.since import Statement
    from shadewright.solve.search.goals import GoalName

BAD_INPUT = 2
CANNOT_MEET = 3
NO_PLAN = 4
_LIBRARY_STOPPED = 130

STRATEGIES = tuple(STRATEGY_WORDS)
PICTURES = (".svg", ".pdf", ".png")

app = typer.Typer(
    help="Cutting plans for roll-up fabric shades: the least cloth, proved, with a helper's "
    "spreadsheet.",
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
)

JobFile = Annotated[Path, typer.Argument(metavar="JOB", help="The job file, .toml or .xlsx.")]
Force = Annotated[bool, typer.Option("--force", help="Write over files that exist.")]


def run() -> None:
    """Run the commands.

    Raises:
        SystemExit: with the exit code; 1 is left for a crash.
    """
    with safe_streams(BAD_INPUT):
        try:
            app()
        except SystemExit as end:
            # The library's own 1 and 130 stand for Ctrl-C before there is anything to keep.
            if end.code in (1, _LIBRARY_STOPPED):
                _say("Stopped. Nothing was written.")
                sys.exit(NO_PLAN)
            raise


def _version(wanted: bool) -> None:
    if wanted:
        typer.echo(f"shadewright {version('shadewright')}")
        raise typer.Exit


@app.callback()
def _options(
    version_: Annotated[
        bool,
        typer.Option("--version", callback=_version, is_eager=True, help="Say the version."),
    ] = False,
) -> None:
    pass


@app.command()
def new(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="Job to write, .toml or .xlsx.")],
    force: Force = False,
) -> None:
    """Write a commented starter job."""
    if file.suffix.lower() not in (".toml", ".xlsx"):
        _fail(BAD_INPUT, f"{file}: found {file.suffix or 'no ending'}, wanted .toml or .xlsx")
    from shadewright.job.starter import starter_toml, write_starter_xlsx  # noqa: PLC0415

    with _clear_errors(), outputs([file], force, {}) as writing:
        if file.suffix.lower() == ".toml":
            writing.write(file, lambda part: part.write_text(starter_toml(), encoding="utf-8"))
        else:
            writing.write(file, write_starter_xlsx)
    name = printable(str(file))
    _print(f"Wrote {name}. Change it to your own, then: shadewright check {name}\n")


@app.command()
def check(job: JobFile) -> None:
    """Read the job, say what it means, list every problem at once."""
    read, places = _read(job)

    from shadewright.planning.make import counts_with_a_place, ready  # noqa: PLC0415
    from shadewright.report.text.check import said_back  # noqa: PLC0415

    with _clear_errors(places, read):
        ready(read)
        _print(said_back(read, counts_with_a_place(read)))


@app.command()
def plan(  # noqa: PLR0917 - each is an option of the command line
    job: JobFile,
    out: Annotated[
        Path | None, typer.Option("--out", metavar="X.xlsx", help="Workbook for the helper.")
    ] = None,
    json_file: Annotated[
        Path | None, typer.Option("--json", metavar="X.json", help="The plan as JSON.")
    ] = None,
    picture: Annotated[
        Path | None,
        typer.Option("--picture", metavar="X.svg|pdf|png", help="The roll, to scale."),
    ] = None,
    seconds: Annotated[
        float, typer.Option("--seconds", min=0.0, max=86400.0, help="Longest search.")
    ] = 20.0,
    seed: Annotated[
        int, typer.Option("--seed", min=0, max=2**31 - 1, help="Same seed, same plan.")
    ] = 0,
    after: Annotated[
        Path | None,
        typer.Option("--after", metavar="PLAN.json", help="Go on from this plan, partly cut."),
    ] = None,
    done: Annotated[
        list[str] | None,
        typer.Option("--done", metavar="DROP[,DROP...]", help="Drops cut: 3, or canvas/bolt/3."),
    ] = None,
    done_from: Annotated[
        Path | None,
        typer.Option("--done-from", metavar="X.xlsx", help="Drops cut, by its ticked boxes."),
    ] = None,
    flaw: Annotated[
        list[str] | None,
        typer.Option("--flaw", metavar="PIECE:FROM to TO", help="A flaw found since."),
    ] = None,
    lost: Annotated[
        list[str] | None,
        typer.Option("--lost", metavar="SHADE", help="A shade whose cut panels are spoilt."),
    ] = None,
    force: Force = False,
) -> None:
    """Divide, lay out, order the cuts, and say how good the plan is."""
    _see_endings(out, json_file, picture)
    if after is None and (done or done_from or flaw or lost):
        _fail(BAD_INPUT, "--done, --done-from, --flaw and --lost tell what became of --after PLAN")
    read, places = _read(job)

    from shadewright.report.text.summary import summary  # noqa: PLC0415
    from shadewright.report.work.account import Account  # noqa: PLC0415

    reads = {
        "the job": job,
        "the plan of --after": after,
        "the workbook of --done-from": done_from,
    }
    with _clear_errors(places, read):
        with outputs([f for f in (out, json_file, picture) if f], force, reads) as writing:
            if after is None:
                planned = _planned(read, seconds, seed)
            else:
                from shadewright.report.sheets.since import Statement  # noqa: PLC0415

                begun = _Mishap(after, done_from, Statement(done or [], flaw or [], lost or []))
                planned = _gone_on(read, begun, seconds, seed)
            stopping.keep()
            account = Account(read, planned.plan, planned.naive, planned.wood)
            if json_file:
                _write_text(writing, json_file, _json(planned.plan))
            if out:
                from shadewright.report.sheets.workbook import write_workbook  # noqa: PLC0415

                writing.write(
                    out,
                    lambda part: write_workbook(part, account, hurry=stopping.asked),
                )
            if picture:
                from shadewright.report.pages.picture import save_pictures  # noqa: PLC0415

                writing.write(picture, lambda part: save_pictures(part, account))
        _print(summary(account))
        if stopping.asked() and not planned.stopped:
            _say("Stopped while writing; the plan is whole, pictures may be left out.")
        for file in (out, json_file, picture):
            if file:
                _say(printable(f"Wrote {file}"))


@app.command(name="compare")
def compare_ways(  # noqa: PLR0917 - each is an option of the command line
    job: JobFile,
    strategy: Annotated[
        list[str] | None,
        typer.Option(
            "--strategy",
            metavar="NAME",
            help=f"Strategy to compare, again for more: {', '.join(STRATEGIES)}. All if left out.",
        ),
    ] = None,
    choice: Annotated[
        list[str] | None,
        typer.Option(
            "--choice",
            metavar="NAME",
            help=f"Choice to compare, again for more: {', '.join(CHOICES)}. All if left out.",
        ),
    ] = None,
    out: Annotated[
        Path | None, typer.Option("--out", metavar="X.xlsx", help="Workbook with a Compare sheet.")
    ] = None,
    json_file: Annotated[
        Path | None, typer.Option("--json", metavar="X.json", help="The comparison as JSON.")
    ] = None,
    seconds: Annotated[
        float, typer.Option("--seconds", min=0.0, max=86400.0, help="Longest search, all told.")
    ] = 20.0,
    seed: Annotated[
        int, typer.Option("--seed", min=0, max=2**31 - 1, help="Same seed, same plans.")
    ] = 0,
    workers: Annotated[
        int | None,
        typer.Option("--workers", min=1, max=256, help="Plans at once; all cores if left out."),
    ] = None,
    force: Force = False,
) -> None:
    """Plan the same job in several ways, side by side: matching, hems, lay, number of shades."""
    _see_endings(out, json_file, None)
    strategies = _known_words("--strategy", strategy, STRATEGIES)
    choices = _known_words("--choice", choice, CHOICES)
    read, places = _read(job)
    with _clear_errors(places, read):
        with outputs([f for f in (out, json_file) if f], force, {"the job": job}) as writing:
            found, stopped = _compared(read, places, strategies, choices, seconds, seed, workers)
            if out:
                from shadewright.report.sheets.compare import write_comparison  # noqa: PLC0415

                writing.write(out, lambda part: write_comparison(part, read, found))
            if json_file:
                text = json.dumps(as_data(read, found), indent=1, ensure_ascii=False) + "\n"
                _write_text(writing, json_file, text)
        _print(table(read, found, stopped=stopped))
        for file in (out, json_file):
            if file:
                _say(printable(f"Wrote {file}"))


def _known_words(option: str, asked: list[str] | None, known: tuple[str, ...]) -> list[str]:
    """The words asked for in the order they are known, all of them if none is."""
    wrong = [word for word in asked or [] if word not in known]
    if wrong:
        _fail(BAD_INPUT, f"{option}: found {', '.join(wrong)}, wanted {' or '.join(known)}")
    return [word for word in known if not asked or word in asked]


def _compared(  # noqa: PLR0917
    job: Job,
    places: Places,
    strategies: list[str],
    choices: list[str],
    seconds: float,
    seed: int,
    workers: int | None,
) -> tuple[list[CaseAnswer], bool]:
    from concurrent.futures.process import BrokenProcessPool  # noqa: PLC0415

    from shadewright.planning.compare import (  # noqa: PLC0415
        NOT_IN_TIME,
        compare,
        hem_cases,
        lay_cases,
        strategy_cases,
    )

    cases = strategy_cases(job, strategies) if "strategies" in choices else []
    cases += hem_cases(job) if "hems" in choices else []
    cases += lay_cases(job) if "lay" in choices else []

    def progress(done: int, asked: int, name: str) -> None:
        _say(f"  {done} of {asked} planned: {name}")

    try:
        found, stopped = compare(
            job,
            cases,
            frontier="shades" in choices,
            seconds=seconds,
            seed=seed,
            workers=workers,
            progress=progress,
        )
    except BrokenProcessPool:
        _fail(
            NO_PLAN,
            "A process that planned one of these ways was ended from outside, as where memory "
            "runs out. Nothing was written; --workers 1 takes the least memory.",
        )
    found = [replace(each, why_not=places.said(each.why_not)) for each in found]
    for compared in found:
        if compared.faults:
            for fault in compared.faults:
                _say(fault)
            _fail(
                NO_PLAN,
                f"The judge found these faults in the plan for {compared.name}, so nothing "
                "was written. This is a bug in shadewright: please report it with the job file.",
            )
    if not any(compared.plan for compared in found):
        reasons = dict.fromkeys(compared.why_not for compared in found)
        if stopped:
            _fail(NO_PLAN, "Stopped before anything was planned. Nothing was written.")
        if NOT_IN_TIME in reasons:
            said = "Nothing was planned in the time given, and nothing was written"
            _fail(NO_PLAN, f"{said}; --seconds gives it more.")
        first = "".join(f"{said}\n" for said in first_of_all(job))
        none = "This job cannot be met in any of these ways.\n"
        _fail(CANNOT_MEET, first + none + "\n".join(reasons))
    return found, stopped


@app.command()
def fit(
    job: JobFile,
    json_file: Annotated[
        Path | None, typer.Option("--json", metavar="X.json", help="The answer as JSON.")
    ] = None,
    seconds: Annotated[
        float, typer.Option("--seconds", min=0.0, max=86400.0, help="Longest search.")
    ] = 20.0,
    seed: Annotated[
        int, typer.Option("--seed", min=0, max=2**31 - 1, help="Same seed, same answer.")
    ] = 0,
    force: Force = False,
) -> None:
    """Say whether the cloth on hand is enough, and if not, the least to give up."""
    _see_endings(None, json_file, None)
    read, places = _read(job)

    from shadewright.planning.fit import fit as fit_job  # noqa: PLC0415
    from shadewright.report.text.fit import as_data, fitted  # noqa: PLC0415

    with _clear_errors(places, read):
        with outputs([json_file] if json_file else [], force, {"the job": job}) as writing:
            found = fit_job(read, seconds, seed, lambda said: _say(f"  trying {said}"))
            if found.faults:
                for fault in found.faults:
                    _say(fault)
                _fail(NO_PLAN, "The judge found these faults in the plan. This is a bug.")
            if json_file:
                text = json.dumps(as_data(read, found), indent=1, ensure_ascii=False) + "\n"
                _write_text(writing, json_file, text)
        _print(fitted(read, found))
        if found.stopped:
            _say("Stopped early; this is what was known until then.")
        if json_file:
            _say(printable(f"Wrote {json_file}"))
    if not found.enough:
        if found.stopped:
            _fail(NO_PLAN, "Nothing that is enough was found.")
        _fail(CANNOT_MEET, "This job cannot be met from the cloth on hand.")


@app.command()
def replay(
    job: JobFile,
    plan_file: Annotated[Path, typer.Argument(metavar="PLAN.json", help="The plan to judge.")],
) -> None:
    """Judge a plan file by cutting it on an imaginary roll."""
    read, _ = _read(job)

    from shadewright.cloth.plan_file import plan_data  # noqa: PLC0415
    from shadewright.judge.replay import judge  # noqa: PLC0415

    with _clear_errors():
        faults = judge(read, plan_data(plan_file))
    if faults:
        _print("".join(f"{fault}\n" for fault in faults))
        faulty = "1 fault" if len(faults) == 1 else f"{len(faults)} faults"
        _fail(NO_PLAN, f"{plan_file}: {faulty}. This plan must not be cut.")
    _print("Clean: the plan cuts what the job asks for, and its figures add up.\n")


@dataclass(frozen=True)
class _Mishap:
    """What the command line says has become of a plan."""

    after: Path
    done_from: Path | None
    told: Statement


def _gone_on(job: Job, mishap: _Mishap, seconds: float, seed: int) -> PlanAnswer:
    from shadewright.cloth.plan import Plan  # noqa: PLC0415
    from shadewright.cloth.plan_file import plan_data  # noqa: PLC0415
    from shadewright.judge.replay import judge  # noqa: PLC0415
    from shadewright.planning.go_on import go_on  # noqa: PLC0415
    from shadewright.report.sheets.since import since  # noqa: PLC0415

    data = plan_data(mishap.after)
    faults = judge(job, data)
    if faults:
        said = "".join(f"\n  {fault}" for fault in faults[:5])
        _fail(BAD_INPUT, f"{mishap.after}: found faults, wanted a clean plan of this job{said}")
    before = Plan.model_validate(data)
    try:
        happened = since(job, before, mishap.told, mishap.done_from)
    except ValueError as why:
        _fail(BAD_INPUT, str(why))
    with _Progress(job) as progress:
        planned = go_on(job, before, happened, seconds=seconds, seed=seed, report=progress)
    return _clean(planned)


def _planned(job: Job, seconds: float, seed: int) -> PlanAnswer:
    from shadewright.planning.make import make_plan  # noqa: PLC0415

    with _Progress(job) as progress:
        planned = make_plan(job, seconds, seed, progress)
    return _clean(planned)


def _clean(planned: PlanAnswer) -> PlanAnswer:
    if planned.faults:
        for fault in planned.faults:
            _say(fault)
        _fail(
            NO_PLAN,
            "The judge found these faults in the plan, so nothing was written. This is a bug in "
            "shadewright: please report it with the job file.",
        )
    if planned.stopped:
        _say("Stopped early; this is the best plan found until then.")
    return planned


def _write_text(writing: Writing, file: Path, text: str) -> None:
    writing.write(file, lambda part: part.write_text(text, encoding="utf-8"))


def _json(plan: Plan) -> str:
    return (
        json.dumps(plan.model_dump(mode="json", by_alias=True), indent=1, ensure_ascii=False) + "\n"
    )


def _see_endings(out: Path | None, json_file: Path | None, picture: Path | None) -> None:
    """Refuse endings that say another format than the option writes, all at once."""
    problems = [
        f"{option}: found {file}, wanted a name that ends in {' or '.join(endings)}"
        for option, file, endings in (
            ("--out", out, (".xlsx",)),
            ("--json", json_file, (".json",)),
            ("--picture", picture, PICTURES),
        )
        if file and file.suffix.lower() not in endings
    ]
    if problems:
        _fail(BAD_INPUT, "\n".join(problems))


def _read(job: Path) -> tuple[Job, Places]:
    try:
        return read_placed(job)
    except JobError as why:
        _fail(BAD_INPUT, str(why))


@contextlib.contextmanager
def _clear_errors(places: Places | None = None, job: Job | None = None) -> Iterator[None]:
    """Turn what goes wrong into its messages and exit codes.

    Args:
        job: once it is read; what must come first of all does so where there is no plan, too.
    """
    said = places.said if places else str
    first = "".join(f"{line}\n" for line in first_of_all(job)) if job else ""
    try:
        yield
    except (JobError, OutputError) as why:
        _fail(BAD_INPUT, str(why))
    except CannotMeetError as why:
        _fail(CANNOT_MEET, f"{first}This job cannot be met.\n{said(str(why))}")
    except KeyboardInterrupt:
        kept = "What was not finished" if stopping.kept() else "Nothing"
        _fail(NO_PLAN, f"Stopped. {kept} was {'not ' if stopping.kept() else ''}written.")
    except Exception as why:
        from shadewright.planning.make import NoPlanError  # noqa: PLC0415

        if not isinstance(why, NoPlanError):
            raise
        more = "" if stopping.asked() else "; --seconds gives it more"
        _fail(NO_PLAN, f"{first}{why}{more}.")


def _print(text: str) -> None:
    """Print a result."""
    print(text, end="", flush=True)


def _say(text: str) -> None:
    """Print messages, which may quote what was typed or what a file says."""
    for line in text.split("\n"):
        print(printable(line), file=sys.stderr, flush=True)


def _fail(code: int, text: str) -> NoReturn:
    _say(text)
    raise typer.Exit(code)


class _Progress:
    """A line on stderr with the plan so far and its gap; written over itself on a terminal."""

    _EVERY = 2.0

    def __init__(self, job: Job) -> None:
        self._job = job
        self._last = time.monotonic()
        self._shown = 0

    def __enter__(self) -> GoalReport:
        return self._tell

    def __exit__(self, *_: object) -> None:
        if self._shown and sys.stderr.isatty():
            print("\r" + " " * self._shown + "\r", end="", file=sys.stderr, flush=True)

    def _tell(self, goal: GoalName, value: float, bound: float) -> None:
        terminal = sys.stderr.isatty()
        now = time.monotonic()
        if now - self._last < (0.1 if terminal else self._EVERY):
            return
        self._last = now
        line = f"  {self._said(goal, value)} so far, {self._gap(value, bound)}"
        if terminal:
            print("\r" + line.ljust(self._shown), end="", file=sys.stderr, flush=True)
            self._shown = len(line)
        else:
            print(line, file=sys.stderr, flush=True)

    def _said(self, goal: GoalName, value: float) -> str:
        tape = self._job.tape
        by_goal: dict[GoalName, Callable[[], str]] = {
            "money": lambda: f"money: {value:,.2f}",
            "bought": lambda: f"to buy: {tape.cloth(round(value))}",
            "shades": lambda: f"shades: {round(value)}",
            "used": lambda: f"cloth used: {tape.long(round(value))}",
            "widths": lambda: f"different cut widths: {round(value)}",
            "gaps": lambda: f"gaps in all: {tape.short(round(value))}",
        }
        return by_goal[goal]()

    @staticmethod
    def _gap(value: float, bound: float) -> str:
        if value <= bound:
            return "and none can be better"
        return f"at most {100 * (value - bound) / value:.1f} % better is possible"
