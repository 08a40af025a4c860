"""What commands are told on the command line, and what of it is refused before they begin."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from pathlib import Path
from typing import Annotated, Any

import typer

from shadewright.cli import messages

_PICTURES = (".svg", ".pdf", ".png")
_PAPER = (".pdf",)

JobFile = Annotated[Path, typer.Argument(metavar="JOB", help="The job file, .toml or .xlsx.")]
Force = Annotated[bool, typer.Option("--force", help="Write over files that exist.")]


Quiet = Annotated[
    bool, typer.Option("--quiet", "-q", help="Say nothing but the result and what is wrong.")
]


def example(*lines: str) -> str:
    """What ends the help of a command: lines as they are typed."""
    said = "".join(f"\n  {line}" for line in lines)
    return f"\b\nFor example:{said}"


def among(words: Iterable[str]) -> Callable[[str], list[str]]:
    """Completes an option by one of these words."""
    return lambda incomplete: [word for word in words if word.startswith(incomplete)]


def workbook(help_: str) -> Any:
    return typer.Option("--out", metavar="X.xlsx", help=help_)


def data(help_: str) -> Any:
    return typer.Option("--json", metavar="X.json", help=help_)


def pictures(help_: str) -> Any:
    return typer.Option("--picture", metavar="X.svg|pdf|png", help=help_)


def screen(help_: str) -> Any:
    return typer.Option("--page", metavar="X.html", help=help_)


def longest(help_: str) -> Any:
    return typer.Option("--seconds", min=0.0, max=86400.0, help=help_)


def seeded(help_: str) -> Any:
    return typer.Option("--seed", min=0, max=2**31 - 1, help=help_)


def see_endings(
    out: Path | None = None,
    json_file: Path | None = None,
    picture: Path | None = None,
    booklet: Path | None = None,
    page: Path | None = None,
) -> None:
    """Refuse endings that say another format than the option writes, all at once."""
    problems = [
        f"{option}: found {file}, wanted a name that ends in {' or '.join(endings)}"
        for option, file, endings in (
            ("--out", out, (".xlsx",)),
            ("--json", json_file, (".json",)),
            ("--picture", picture, _PICTURES),
            ("--page", page, (".html",)),
            ("--booklet", booklet, _PAPER),
        )
        if file and file.suffix.lower() not in endings
    ]
    if problems:
        messages.refuse("\n".join(problems))


def known_words(option: str, asked: list[str] | None, known: tuple[str, ...]) -> list[str]:
    """The words asked for in the order they are known, all of them if none is."""
    wrong = [word for word in asked or [] if word not in known]
    if wrong:
        messages.refuse(f"{option}: found {', '.join(wrong)}, wanted {' or '.join(known)}")
    return [word for word in known if not asked or word in asked]
