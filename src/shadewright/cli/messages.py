"""What commands say, and how they end: messages, exit codes, and what goes wrong."""

from __future__ import annotations

import contextlib
import re
import shlex
import sys
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, NoReturn

import typer

from shadewright import stopping
from shadewright.cli import terminal
from shadewright.job.problems import JobError, printable
from shadewright.outputs import OutputError
from shadewright.report.text.wrapping import narrowed
from shadewright.report.work.cautions import first_of_all
from shadewright.trade.refusal import CannotMeetError

if TYPE_CHECKING:
    from shadewright.job.model import Job
    from shadewright.job.places import Places

BAD_INPUT = 2
CANNOT_MEET = 3
NO_PLAN = 4

_PLAIN = re.compile(r"[\w./\\:+-]+")
_BLANKS_TOO = re.compile(r"[\w./\\:+ -]+")


def show(text: str) -> None:
    """Print a result."""
    print(terminal.dressed(text, sys.stdout), end="", flush=True)


def say(text: str, colour: str = "") -> None:
    """Print messages, which may quote what was typed or what a file says."""
    for line in text.split("\n"):
        said = printable(line)
        if colour:
            said = terminal.painted(said, colour, sys.stderr)
        print(said, file=sys.stderr, flush=True)


def typed(file: Path) -> str:
    """A file's name as it is typed in a command: quoted where it has blanks or signs in it."""
    name = printable(str(file))
    if _PLAIN.fullmatch(name):
        return name
    # Double quotes hold blanks in any shell; what else needs quoting is quoted as on Unix.
    return f'"{name}"' if _BLANKS_TOO.fullmatch(name) else shlex.quote(name)


def say_written(*files: Path | None, quiet: bool = False) -> None:
    """Name the files that were written, unless nothing is to be said but what is wrong."""
    for file in files:
        if file and not quiet:
            say(printable(f"Wrote {file}"))


def fail(code: int, text: str) -> NoReturn:
    """End a command with what is wrong."""
    say(text, terminal.RED)
    raise typer.Exit(code)


def refuse(text: str) -> NoReturn:
    """End a command whose input is bad."""
    fail(BAD_INPUT, text)


def fail_where_faulty(faults: Sequence[str], told: str) -> None:
    """Tell what the judge found wrong with a plan, if anything is."""
    if faults:
        for fault in faults:
            say(fault)
        fail(NO_PLAN, f"The judge found these faults in the plan{told}")


def read(job: Path) -> tuple[Job, Places]:
    """Read a job; what is wrong with it ends the command."""
    from shadewright.job.read import read_placed  # noqa: PLC0415 - help needs no job

    try:
        return read_placed(job)
    except JobError as why:
        refuse(str(why))


@contextlib.contextmanager
def clear_errors(places: Places | None = None, job: Job | None = None) -> Iterator[None]:
    """Turn what goes wrong into its messages and exit codes, and wrap what is told to the terminal.

    Args:
        job: once it is read; what must come first of all does so where there is no plan, too.
    """
    said = places.said if places else str
    first = "".join(f"{line}\n" for line in first_of_all(job)) if job else ""
    try:
        with narrowed(terminal.room(sys.stdout)):
            yield
    except (JobError, OutputError) as why:
        refuse(str(why))
    except CannotMeetError as why:
        fail(CANNOT_MEET, f"{first}This job cannot be met.\n{said(str(why))}")
    except KeyboardInterrupt:
        kept = "What was not finished" if stopping.kept() else "Nothing"
        fail(NO_PLAN, f"Stopped. {kept} was {'not ' if stopping.kept() else ''}written.")
    except Exception as why:
        from shadewright.answers import NoPlanError  # noqa: PLC0415

        if not isinstance(why, NoPlanError):
            raise
        more = "" if stopping.asked() else "; --seconds gives it more"
        fail(NO_PLAN, f"{first}{why}{more}.")
