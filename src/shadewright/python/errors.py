"""The one error that a Python program has to expect, with every problem and its place."""

from __future__ import annotations

import contextlib
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Literal

from shadewright.job.problems import FileProblem, JobError
from shadewright.trade.refusal import CannotMeetError

Kind = Literal["bad input", "cannot be met", "no plan"]
"""The exit codes 2, 3 and 4 of the commands: what was given is wrong; it is proved that the job
cannot be made; no plan was found in the time given, or a plan was found faulty."""


@dataclass(frozen=True)
class Trouble:
    """One thing to put right.

    Attributes:
        where: table and key, or sheet and cell; empty where the whole job is meant.
        found: what stands there, or what stands in the way.
        wanted: what would do.
    """

    where: str
    found: str
    wanted: str


class ShadewrightError(Exception):
    """There is no answer; the message says why, a line for each problem.

    Attributes:
        kind: whose fault it is.
        problems: every problem found; empty where there is nothing to put right.
    """

    def __init__(self, kind: Kind, text: str, problems: Iterable[Trouble] = ()) -> None:
        super().__init__(text)
        self.kind = kind
        self.problems = tuple(problems)


def bad_input(where: str, found: str, wanted: str) -> ShadewrightError:
    """An argument that is wrong."""
    return bad_inputs([Trouble(where, found, wanted)])


def bad_inputs(problems: Iterable[Trouble]) -> ShadewrightError:
    """Arguments that are wrong, a line for each thing."""
    told = list(problems)
    lines = [str(FileProblem(each.where, each.found, each.wanted)) for each in told]
    return ShadewrightError("bad input", "\n".join(lines), told)


@contextlib.contextmanager
def told() -> Iterator[None]:
    """Raise what goes wrong inside as a `ShadewrightError`.

    Raises:
        ShadewrightError: a job cannot be read or met, or no plan was found.
    """
    try:
        yield
    except JobError as why:
        problems = [Trouble(each.where, each.found, each.wanted) for each in why.problems]
        raise ShadewrightError("bad input", str(why), problems) from None
    except CannotMeetError as why:
        problems = [Trouble(each.where, each.reason, each.nearest) for each in why.refusals]
        raise ShadewrightError("cannot be met", str(why), problems) from None
    except Exception as why:
        from shadewright.answers import NoPlanError  # noqa: PLC0415 - only there where one is raised

        if not isinstance(why, NoPlanError):
            raise
        raise ShadewrightError("no plan", f"{why}; more seconds may find one") from None
