"""The command new: a job to begin with."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from shadewright.cli import messages, options
from shadewright.job.examples import example_names, example_text
from shadewright.job.problems import did_you_mean, printable
from shadewright.outputs import outputs

_USUAL = Path("job.toml")


def _names(incomplete: str) -> list[str]:
    """Completes the name of an example."""
    return [name for name in example_names() if name.startswith(incomplete)]


def new(
    file: Annotated[
        Path | None,
        typer.Argument(
            metavar="FILE",
            help="Job to write, .toml or .xlsx. Left out: job.toml, or the example's own name, "
            "in this folder.",
            show_default=False,
        ),
    ] = None,
    example: Annotated[
        str | None,
        typer.Option(
            "--example",
            metavar="NAME",
            autocompletion=_names,
            help="Write this example instead: porch, sunroom, ... (a wrong name lists them all).",
        ),
    ] = None,
    force: options.Force = False,
) -> None:
    """Write a job to begin with, every key explained; nothing is asked.

    It can be planned as it stands: change it line by line to your own.
    """
    text = None if example is None else _example(example)
    file = file or (_USUAL if example is None else Path(f"{Path(example).name}.toml"))
    endings = (".toml", ".xlsx") if example is None else (".toml",)
    if file.suffix.lower() not in endings:
        wanted = " or ".join(endings)
        messages.refuse(f"{file}: found {file.suffix or 'no ending'}, wanted {wanted}")
    with messages.clear_errors(), outputs([file], force, {}) as writing:
        if text is not None:
            writing.text(file, text)
        elif file.suffix.lower() == ".toml":
            from shadewright.job.starter import starter_toml  # noqa: PLC0415

            writing.text(file, starter_toml())
        else:
            from shadewright.job.starter import write_starter_xlsx  # noqa: PLC0415

            writing.write(file, write_starter_xlsx)
    name, typed = printable(str(file)), messages.typed(file)
    messages.show(f"Wrote {name}. Change it to your own, then: shadewright check {typed}\n")


def _example(name: str) -> str:
    """The text of an example; a name that none has ends the command with those there are."""
    try:
        return example_text(name)
    except KeyError:
        known = example_names()
        messages.refuse(
            f"--example: found {name}, wanted {' or '.join(known)}{did_you_mean(name, known)}"
        )
