"""The commands. What was asked for goes to stdout; progress, warnings and errors to stderr."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

import typer

from shadewright import stopping
from shadewright.cli import messages, options
from shadewright.cli.compare import compare_ways
from shadewright.cli.fit import fit
from shadewright.cli.new import new
from shadewright.cli.plan import plan
from shadewright.streams import safe_streams

_LIBRARY_STOPPED = 130

app = typer.Typer(
    help="Cutting plans for roll-up fabric shades: the least cloth, proved, with a helper's "
    "spreadsheet.",
    no_args_is_help=True,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
    epilog=options.example(
        "shadewright new porch.toml", "shadewright check porch.toml", "shadewright plan porch.toml"
    ),
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
            if end.code not in (1, _LIBRARY_STOPPED):
                raise
            # The library's own codes: Ctrl-C before there is anything to keep, or a shell that it
            # knows no completion for, of which it has told.
            if not stopping.asked():
                sys.exit(messages.BAD_INPUT)
            messages.say("Stopped. Nothing was written.")
            sys.exit(messages.NO_PLAN)


def _version(wanted: bool) -> None:
    if wanted:
        from importlib.metadata import version  # noqa: PLC0415 - what is seldom asked for

        typer.echo(f"shadewright {version('shadewright')}")
        raise typer.Exit


@app.callback()
def _options(
    version_: Annotated[
        bool, typer.Option("--version", callback=_version, is_eager=True, help="Say the version.")
    ] = False,
) -> None:
    pass


app.command(
    short_help="Write a job to begin with.",
    epilog=options.example("shadewright new porch.xlsx", "shadewright new --example porch"),
)(new)


@app.command(
    short_help="Say what a job means, and what is wrong.",
    epilog=options.example("shadewright check porch.toml"),
)
def check(job: options.JobFile) -> None:
    """Read the job, say what it means, list every problem at once."""
    asked, places = messages.read(job)

    from shadewright.planning.possible import possible, ready  # noqa: PLC0415
    from shadewright.report.text.check import said_back  # noqa: PLC0415

    with messages.clear_errors(places, asked):
        ready(asked)
        messages.show(said_back(asked, possible(asked)))
    line = f"shadewright plan {messages.typed(job)} --booklet paper.pdf"
    messages.say(f"If that is what you mean, plan it, with the paper for the workroom:\n  {line}")


app.command(
    short_help="Divide, lay out, order the cuts.",
    epilog=options.example(
        "shadewright plan porch.toml --booklet paper.pdf",
        "shadewright plan porch.toml --json p.json --page p.html",
        "shadewright plan porch.toml --after p.json --done 1,2",
    ),
)(plan)
app.command(
    name="compare",
    short_help="Plan a job in several ways, side by side.",
    epilog=options.example(
        "shadewright compare porch.toml --page ways.html",
        "shadewright compare porch.toml --choice hems",
    ),
)(compare_ways)
app.command(
    short_help="Say whether the cloth on hand is enough.",
    epilog=options.example("shadewright fit attic.toml --json fit.json"),
)(fit)


@app.command(
    short_help="Judge a plan by cutting it once more.",
    epilog=options.example("shadewright replay porch.toml porch.json"),
)
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
