"""The command compare: one job made in several ways."""

from __future__ import annotations

import contextlib
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from shadewright.cli import messages, options
from shadewright.outputs import outputs
from shadewright.report.work.cautions import first_of_all
from shadewright.report.work.ways import HEADINGS, STRATEGY_WORDS

if TYPE_CHECKING:
    from shadewright.answers import CaseAnswer
    from shadewright.job.model import Job

_STRATEGIES, _CHOICES = tuple(STRATEGY_WORDS), tuple(HEADINGS)


def compare_ways(  # noqa: PLR0917 - each is an option of the command line
    job: options.JobFile,
    strategy: Annotated[
        list[str] | None,
        typer.Option(
            "--strategy",
            metavar="NAME",
            autocompletion=options.among(_STRATEGIES),
            help=f"Strategy to compare, again for more: {', '.join(_STRATEGIES)}. All if left out.",
        ),
    ] = None,
    choice: Annotated[
        list[str] | None,
        typer.Option(
            "--choice",
            metavar="NAME",
            autocompletion=options.among(_CHOICES),
            help=f"Choice to compare, again for more: {', '.join(_CHOICES)}. All if left out.",
        ),
    ] = None,
    out: Annotated[Path | None, options.workbook("Workbook with a Compare sheet.")] = None,
    json_file: Annotated[Path | None, options.data("The comparison as JSON.")] = None,
    picture: Annotated[Path | None, options.pictures("Paper, all ways side by side.")] = None,
    page: Annotated[Path | None, options.screen("A page, all ways side by side.")] = None,
    seconds: Annotated[float, options.longest("Longest search, all told.")] = 20.0,
    seed: Annotated[int, options.seeded("Same seed, same plans.")] = 0,
    workers: Annotated[
        int | None,
        typer.Option("--workers", min=1, max=256, help="Plans at once; all cores if left out."),
    ] = None,
    force: options.Force = False,
    quiet: options.Quiet = False,
) -> None:
    """Plan the same job in several ways, side by side: matching, hems, lay, copies, shades."""
    options.see_endings(out, json_file, picture, page=page)
    strategies = options.known_words("--strategy", strategy, _STRATEGIES)
    choices = options.known_words("--choice", choice, _CHOICES)
    asked, places = messages.read(job)
    with messages.clear_errors(places, asked):
        asked_for, drawn = [file for file in (out, json_file, picture, page) if file], list[Path]()
        paged = [picture] if picture else []
        with outputs(asked_for, force, {"the job": job}, paged=paged) as writing:
            from shadewright.cli.progress import ProgressLine  # noqa: PLC0415
            from shadewright.planning import compare as ways  # noqa: PLC0415
            from shadewright.report.text.compare import as_data, table  # noqa: PLC0415
            from shadewright.report.work.comparison import Comparison  # noqa: PLC0415

            cases = ways.chosen_cases(asked, choices, strategies)
            with _clear_of_lost_processes(), ProgressLine(seconds, quiet=quiet) as line:
                found, stopped = ways.compare(
                    asked,
                    cases,
                    frontier="shades" in choices,
                    seconds=seconds,
                    seed=seed,
                    workers=workers,
                    progress=lambda n, of, name: line.tell(
                        f"{n} of {of} planned: {STRATEGY_WORDS.get(name, name)}"
                    ),
                )
            found = [replace(each, why_not=places.said(each.why_not)) for each in found]
            _fail_without_plans(asked, found, stopped)
            comparison = Comparison(asked, found)
            if out:
                from shadewright.report.sheets.compare import write_comparison  # noqa: PLC0415

                writing.write(out, lambda part: write_comparison(part, comparison))
            if json_file:
                writing.data(json_file, as_data(comparison))
            if picture:
                from shadewright.report.pages.comparison import comparison_pages  # noqa: PLC0415

                pages = comparison_pages(comparison, picture.suffix, stopped=stopped)
                drawn = writing.pages(picture, pages)
            if page:
                from shadewright.report.screen.side_by_side import (  # noqa: PLC0415
                    save_side_by_side,
                )

                writing.write(page, lambda p: save_side_by_side(p, comparison, stopped=stopped))
        messages.show(table(comparison, stopped=stopped))
        messages.say_written(out, json_file, *drawn, page, quiet=quiet)


@contextlib.contextmanager
def _clear_of_lost_processes() -> Iterator[None]:
    """Say so where a process that plans comes to an end by itself."""
    from concurrent.futures.process import BrokenProcessPool  # noqa: PLC0415

    try:
        yield
    except BrokenProcessPool:
        messages.fail(
            messages.NO_PLAN,
            "A process that planned one of these ways was ended from outside, as where memory "
            "runs out. Nothing was written; --workers 1 takes the least memory.",
        )


def _fail_without_plans(job: Job, found: list[CaseAnswer], stopped: bool) -> None:
    """End the command where a plan is faulty, or there is none."""
    from shadewright.answers import NOT_IN_TIME  # noqa: PLC0415

    for each in found:
        messages.fail_where_faulty(
            each.faults,
            f" for {each.name}, so nothing was written. This is a bug in shadewright: please "
            "report it with the job file.",
        )
    if any(each.plan for each in found):
        return
    reasons = dict.fromkeys(each.why_not for each in found)
    if stopped:
        messages.fail(messages.NO_PLAN, "Stopped before anything was planned. Nothing was written.")
    if NOT_IN_TIME in reasons:
        said = "Nothing was planned in the time given, and nothing was written"
        messages.fail(messages.NO_PLAN, f"{said}; --seconds gives it more.")
    first = "".join(f"{said}\n" for said in first_of_all(job))
    none = "This job cannot be met in any of these ways.\n"
    messages.fail(messages.CANNOT_MEET, first + none + "\n".join(reasons))
