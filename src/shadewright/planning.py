"""From a job to a plan that both the search and the judge stand behind."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from shadewright.cloth.plan import Plan
from shadewright.cloth.replay import judge
from shadewright.job.model import Job
from shadewright.solve.layout import to_plan
from shadewright.solve.menu import problem
from shadewright.solve.model import GoalName, money_scale
from shadewright.solve.search import search
from shadewright.solve.workshop import Wood
from shadewright.trade.naive import Naive, naive


@dataclass(frozen=True)
class Planned:
    """A plan and what belongs to its report.

    Attributes:
        faults: what the judge found wrong with it; a plan with any is not to be used.
        naive: what the notepad way would buy; None where there is none.
        stopped: whether the user stopped the search.
        wood: boards and rods as cut, and how good that is.
    """

    plan: Plan
    faults: tuple[str, ...]
    naive: Naive | None
    stopped: bool
    wood: Wood


Report = Callable[[GoalName, float, float], None]


def ready(job: Job) -> None:
    """See that a job can be planned, before anything is solved.

    Raises:
        CannotMeetError: it cannot be made as asked; every reason at once.
    """
    problem(job)


def shade_range(job: Job) -> tuple[int, int]:
    """The fewest and the most shades that a plan of the job can have.

    Raises:
        CannotMeetError: it cannot be made as asked.
    """
    asked, _ = problem(job)
    counts = [[option.shades for option in kind.options] for kind in asked.kinds]
    copies = [kind.copies for kind in asked.kinds]
    return (
        sum(n * min(these) for n, these in zip(copies, counts, strict=True)),
        sum(n * max(these) for n, these in zip(copies, counts, strict=True)),
    )


def make_plan(
    job: Job,
    seconds: float = 20.0,
    seed: int = 0,
    report: Report | None = None,
    most_shades: int | None = None,
) -> Planned:
    """Divide, lay out and order the cuts of a job, and have the judge cut the plan again.

    Args:
        seconds: of search; it ends sooner when everything is proved.
        seed: the same job, seconds and seed give the same plan.
        report: called now and then with a goal, its value so far and its bound (money in units of
            money, lengths in ticks).
        most_shades: that the plan may have, at least the fewest of `shade_range`; no limit if None.

    Raises:
        CannotMeetError: the job cannot be made as asked.
    """
    asked, groups = problem(job)
    scale = money_scale(asked)

    def tell(goal: GoalName, value: float, bound: float) -> None:
        if report:
            by = scale if goal == "money" else 1
            report(goal, value / by, bound / by)

    found = search(asked, seconds, seed, tell, most_shades)
    plan, wood = to_plan(job, asked, groups, found)
    faults = judge(job, plan.model_dump(mode="json", by_alias=True))
    return Planned(plan, tuple(faults), naive(job), found.stopped, wood)
