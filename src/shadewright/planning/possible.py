"""What a job can come to, before anything is solved: no solver is loaded for it."""

from __future__ import annotations

from shadewright.answers import Possible
from shadewright.job.model import Job
from shadewright.solve.problem.menu import problem
from shadewright.trade.divisions import Way


def ready(job: Job) -> None:
    """See that a job can be planned, before anything is solved.

    Raises:
        CannotMeetError: it cannot be made as asked; every reason at once.
    """
    problem(job)


def possible(job: Job) -> dict[str, Possible]:
    """For each opening what it may be divided into, and how it may lie.

    Raises:
        CannotMeetError: the job cannot be made as asked.
    """
    agreed = _ways_to_divide(job)
    apart = job.with_openings(o.model_copy(update={"like": None}) for o in job.openings)
    apart = apart.with_cloths(lambda c: {"runs": "mixed" if c.runs == "either" else c.runs})
    placed = agreed if apart == job else _ways_to_divide(apart)
    return {name: Possible(placed[name], agreed[name]) for name in agreed}


def _ways_to_divide(job: Job) -> dict[str, frozenset[tuple[int, Way]]]:
    asked, groups = problem(job)
    return {
        opening.name: frozenset((option.shades, option.way) for option in kind.options)
        for kind, openings in zip(asked.kinds, groups, strict=True)
        for opening in openings
    }


def shade_range(job: Job) -> tuple[int, int]:
    """The fewest and the most shades that a plan of the job can have.

    Raises:
        CannotMeetError: it cannot be made as asked.
    """
    asked, _ = problem(job)
    counts = [(kind.copies, [option.shades for option in kind.options]) for kind in asked.kinds]
    return sum(n * min(each) for n, each in counts), sum(n * max(each) for n, each in counts)
