"""What the area of all panels asks for: no plan uses less, whatever it wastes."""

from __future__ import annotations

from shadewright.job.model import Job
from shadewright.solve.problem.menu import problem


def least_area(job: Job) -> int:
    """Length used at least, if all were cut without any waste; in ticks.

    Of each cloth each opening takes as little as any of its options does.
    """
    asked, _ = problem(job)
    least = 0
    for roll in asked.rolls:
        areas = (
            kind.copies
            * min(
                sum(r.across * r.along for r in option.rects if r.roll == roll.name)
                for option in (*kind.options, *kind.floors)
            )
            for kind in asked.kinds
        )
        least += sum(areas) // roll.usable
    return least
