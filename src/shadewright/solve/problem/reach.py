"""Which options have no panel longer than cloth may be: than the table, or than a bolt."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from shadewright.job.model import Job, Opening
from shadewright.measure import Ticks, ceil_to
from shadewright.solve.problem.kinds import CUT_ALREADY, Option
from shadewright.trade.refusal import Refusal


class TooLongError(Exception):
    """An opening has no option whose panels are all short enough.

    Attributes:
        opening: its name.
        table: the shortest that would do for it; None where the table is long enough.
    """

    def __init__(self, opening: str, table: Ticks | None) -> None:
        super().__init__(opening)
        self.opening = opening
        self.table = table


def short_enough(job: Job, opening: Opening, options: Iterable[Option]) -> tuple[Option, ...]:
    """The options whose panels are no longer than the table.

    Raises:
        TooLongError: there are none.
    """
    these = tuple(options)
    table = job.make.table
    if table is None:
        return these
    fitting = tuple(option for option in these if _longest(option) <= table)
    if not fitting:
        raise TooLongError(opening.name, min(map(_longest, these)))
    return fitting


def _longest(option: Option) -> Ticks:
    """The most that a panel still to be cut takes along the roll."""
    return max((rect.along for rect in option.rects if rect.roll != CUT_ALREADY), default=0)


def longest_refused(job: Job, found: Sequence[TooLongError]) -> Iterator[Refusal]:
    """What openings with too long panels ask for: one table that does for all of them."""
    tables = [(each.table, each.opening) for each in found if each.table is not None]
    if tables and job.make.table is not None:
        least, opening = max(tables)
        long = job.tape.short(ceil_to(least, job.step))
        yield Refusal(
            "[make] table",
            f"no drop may be longer than {job.tape.short(job.make.table)}, and a panel of "
            f"{opening} is {long} long however it is divided",
            f"table = {long} would do",
        )
