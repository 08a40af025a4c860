"""What a job file holds before it is read: nested tables, and the problems found so far."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

from shadewright.job.limits import MOST_PROBLEMS
from shadewright.job.problems import FileProblem
from shadewright.measure import Unit

KeyPath = tuple[str | int, ...]

REPORTED = object()
"""Stands for a value that could not be made out, where a problem says so already."""


@dataclass(frozen=True)
class Source:
    """What a job file holds, whatever its form: nested tables as TOML gives them.

    Attributes:
        tables: keys and values.
        place: where in the file the value at a path stands, or would stand.
        problems: what could not even be taken from the file.
        in_cells: whether its values stand in the cells of a workbook, where they look otherwise.
    """

    tables: Mapping[str, object]
    place: Callable[[KeyPath], str]
    problems: tuple[FileProblem, ...] = ()
    in_cells: bool = False


@dataclass
class Reading:
    """What the tables of one job share while they are read."""

    source: Source
    unit: Unit = "in"
    problems: list[FileProblem] = field(default_factory=list)

    def add(self, problem: FileProblem) -> None:
        """Note a problem.

        Raises:
            EnoughError: there are so many that the rest need not be looked for.
        """
        self.problems.append(problem)
        if len(self.problems) > MOST_PROBLEMS:
            raise EnoughError


class EnoughError(Exception):
    """More is wrong with a job than can be told at once."""
