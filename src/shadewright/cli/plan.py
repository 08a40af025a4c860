"""The command plan: a plan made anew, or one that goes on from another."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from shadewright import stopping
from shadewright.cli import messages, options
from shadewright.outputs import outputs

# A job that cannot be read is told so before what it takes to plan one is loaded.
if TYPE_CHECKING:
    from shadewright.answers import PlanAnswer
    from shadewright.cli.progress import Progress
    from shadewright.job.model import Job
    from shadewright.report.sheets.since import Statement


def plan(  # noqa: PLR0917 - each is an option of the command line
    job: options.JobFile,
    out: Annotated[Path | None, options.workbook("Workbook for the helper.")] = None,
    json_file: Annotated[Path | None, options.data("The plan as JSON.")] = None,
    picture: Annotated[Path | None, options.pictures("Roll, wall and cards.")] = None,
    booklet: Annotated[
        Path | None,
        typer.Option("--booklet", metavar="X.pdf", help="Paper for the workroom, to tick off."),
    ] = None,
    page: Annotated[Path | None, options.screen("A page to tick cuts in, for a phone.")] = None,
    seconds: Annotated[float, options.longest("Longest search.")] = 20.0,
    seed: Annotated[int, options.seeded("Same seed, same plan.")] = 0,
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
        typer.Option(
            "--done-from",
            metavar="X.xlsx|json",
            help="Drops cut, by the ticks of the plan's workbook, or of a file its page saved.",
        ),
    ] = None,
    flaw: Annotated[
        list[str] | None,
        typer.Option("--flaw", metavar="PIECE:FROM to TO", help="A flaw found since."),
    ] = None,
    lost: Annotated[
        list[str] | None,
        typer.Option("--lost", metavar="SHADE", help="A shade whose cut panels are spoilt."),
    ] = None,
    force: options.Force = False,
    quiet: options.Quiet = False,
) -> None:
    """Divide, lay out, order the cuts, and say how good the plan is."""
    options.see_endings(out, json_file, picture, booklet, page)
    if after is None and (done or done_from or flaw or lost):
        messages.refuse("--done, --done-from, --flaw and --lost tell what became of --after PLAN")
    asked, places = messages.read(job)

    from shadewright.cli.progress import Progress  # noqa: PLC0415
    from shadewright.report.text.summary import summary  # noqa: PLC0415
    from shadewright.report.work.account import Account  # noqa: PLC0415
    from shadewright.report.work.saved import is_saved  # noqa: PLC0415

    ticks = "the file of ticks" if is_saved(done_from) else "the workbook"
    reads = {"the job": job, "the plan of --after": after, f"{ticks} of --done-from": done_from}
    with messages.clear_errors(places, asked):
        files = [f for f in (out, json_file, picture, booklet, page) if f]
        with outputs(files, force, reads, paged=[picture] if picture else []) as writing:
            write = bool(out or picture or booklet or page)
            drawn = list[Path]()
            progress = Progress(asked, seconds, quiet=quiet)
            if after is None:
                answer = _planned(asked, progress, seconds, seed, write)
            else:
                from shadewright.report.sheets.since import Statement  # noqa: PLC0415

                stated = Statement(done or [], flaw or [], lost or [], done_from)
                answer = _gone_on(asked, after, stated, progress, seconds, seed, write)
            messages.fail_where_faulty(
                answer.faults,
                ", so nothing was written. This is a bug in shadewright: please report it with the "
                "job file.",
            )
            if answer.stopped:
                messages.say("Stopped early; this is the best plan found until then.")
            stopping.keep()
            account = Account(
                asked,
                answer.plan,
                answer.naive,
                answer.wood,
                answer.frontier,
                answer.otherwise,
                answer.before,
            )
            if json_file:
                writing.data(json_file, answer.plan.model_dump(mode="json", by_alias=True))
            if out:
                from shadewright.report.sheets.workbook import write_workbook  # noqa: PLC0415

                writing.write(out, lambda p: write_workbook(p, account, hurry=stopping.asked))
            if picture:
                from shadewright.report.pages.picture import pictures_of  # noqa: PLC0415

                drawn = writing.pages(picture, pictures_of(account, picture.suffix))
            if booklet:
                from shadewright.report.pages.booklet import save_booklet  # noqa: PLC0415

                writing.write(booklet, lambda part: save_booklet(part, account))
            if page:
                from shadewright.report.screen.companion import save_companion  # noqa: PLC0415

                writing.write(page, lambda part: save_companion(part, account))
        messages.show(summary(account))
        if stopping.asked() and not answer.stopped:
            messages.say("Stopped while writing; the plan is whole, pictures may be left out.")
        messages.say_written(out, json_file, *drawn, booklet, page, quiet=quiet)


def _planned(job: Job, progress: Progress, seconds: float, seed: int, write: bool) -> PlanAnswer:
    from shadewright.planning.make import make_plan  # noqa: PLC0415

    with progress as told:
        return make_plan(job, seconds, seed, told, with_others=True, writing=write)


def _gone_on(  # noqa: PLR0917 - what the command was given
    job: Job,
    after: Path,
    stated: Statement,
    progress: Progress,
    seconds: float,
    seed: int,
    write: bool,
) -> PlanAnswer:
    from shadewright.cloth.plan import Plan  # noqa: PLC0415
    from shadewright.cloth.plan_file import plan_data  # noqa: PLC0415
    from shadewright.judge.replay import judge  # noqa: PLC0415
    from shadewright.planning.go_on import go_on  # noqa: PLC0415
    from shadewright.report.sheets.since import since  # noqa: PLC0415

    found = plan_data(after)
    faults = judge(job, found)
    if faults:
        said = "".join(f"\n  {fault}" for fault in faults[:5])
        messages.refuse(f"{after}: found faults, wanted a clean plan of this job{said}")
    before = Plan.model_validate(found)
    try:
        happened = since(job, before, stated)
    except ValueError as why:
        messages.refuse(str(why))
    with progress as told:
        return go_on(job, before, happened, seconds=seconds, seed=seed, report=told, writing=write)
