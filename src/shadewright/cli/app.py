"""The commands. What was asked for goes to stdout; progress, warnings and errors to stderr."""

from __future__ import annotations

import sys
from importlib.metadata import version
from pathlib import Path
from typing import Annotated

import typer

from shadewright.cli import messages, options
from shadewright.cli.compare import compare_ways
from shadewright.cli.fit import fit
from shadewright.cli.plan import plan
from shadewright.job.problems import printable
from shadewright.outputs import outputs
from shadewright.streams import safe_streams

_LIBRARY_STOPPED = 130

app = typer.Typer(
    help="Cutting plans for roll-up fabric shades: the least cloth, proved, with a helper's "
    "spreadsheet.",
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
)


def run() -> None:
    """Run the commands.

    Raises:
        SystemExit: with the exit code; 1 is left for a crash.
    """
    with safe_streams(messages.BAD_INPUT):
        try:
            app()
        except SystemExit as end:
            # The library's own 1 and 130 stand for Ctrl-C before there is anything to keep.
            if end.code in (1, _LIBRARY_STOPPED):
                messages.say("Stopped. Nothing was written.")
                sys.exit(messages.NO_PLAN)
            raise


def _version(wanted: bool) -> None:
    if wanted:
        typer.echo(f"shadewright {version('shadewright')}")
        raise typer.Exit


@app.callback()
def _options(
    version_: Annotated[
        bool, typer.Option("--version", callback=_version, is_eager=True, help="Say the version.")
    ] = False,
) -> None:
    pass


@app.command()
def new(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="Job to write, .toml or .xlsx.")],
    force: options.Force = False,
) -> None:
    """Write a commented starter job."""
    if file.suffix.lower() not in (".toml", ".xlsx"):
        messages.refuse(f"{file}: found {file.suffix or 'no ending'}, wanted .toml or .xlsx")
    from shadewright.job.starter import starter_toml, write_starter_xlsx  # noqa: PLC0415

    with messages.clear_errors(), outputs([file], force, {}) as writing:
        if file.suffix.lower() == ".toml":
            writing.text(file, starter_toml())
        else:
            writing.write(file, write_starter_xlsx)
    name = printable(str(file))
    messages.show(f"Wrote {name}. Change it to your own, then: shadewright check {name}\n")


@app.command()
def check(job: options.JobFile) -> None:
    """Read the job, say what it means, list every problem at once."""
    asked, places = messages.read(job)

    from shadewright.planning.possible import possible, ready  # noqa: PLC0415
    from shadewright.report.text.check import said_back  # noqa: PLC0415

    with messages.clear_errors(places, asked):
        ready(asked)
        messages.show(said_back(asked, possible(asked)))


app.command()(plan)
app.command(name="compare")(compare_ways)
app.command()(fit)


@app.command()
def replay(
    job: options.JobFile,
    plan_file: Annotated[Path, typer.Argument(metavar="PLAN.json", help="The plan to judge.")],
) -> None:
    """Judge a plan file by cutting it on an imaginary roll."""
    asked, _ = messages.read(job)

    from shadewright.cloth.plan_file import plan_data  # noqa: PLC0415
    from shadewright.judge.replay import judge  # noqa: PLC0415

    with messages.clear_errors():
        faults = judge(asked, plan_data(plan_file))
    if faults:
        messages.show("".join(f"{fault}\n" for fault in faults))
        faulty = "1 fault" if len(faults) == 1 else f"{len(faults)} faults"
        messages.fail(messages.NO_PLAN, f"{plan_file}: {faulty}. This plan must not be cut.")
    messages.show("Clean: the plan cuts what the job asks for, and its figures add up.\n")
