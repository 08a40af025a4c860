"""How many bolts a plan may want, where they have a longest length.

Two bolts whose drops fit on one can be joined: that saves a square-up and what is bought for a
start, and costs at most what the joined drops then wait for their phase, less than a period. So
in some best plan no two can be joined, which leaves few; how much that is worth depends on the
period (`Joining`).
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import IntEnum

from shadewright.job.bolts import nth_bolt
from shadewright.measure import Ticks
from shadewright.solve.effort import USUAL, Effort
from shadewright.solve.problem.kinds import Problem, Roll


class Joining(IntEnum):
    """What joining two bolts never makes worse, so that no more bolts need be looked at for it."""

    NOTHING = 0
    BOUGHT = 1
    USED_OF_BOUGHT = 2
    """Length used by plans that buy least."""
    ALL = 3


@dataclass(frozen=True)
class Bolts:
    """Bolts of one roll that are looked at.

    Attributes:
        ends: how far each may be used, by name, the first with room for what is bought to spare.
        most: that any plan can use.
        joining: what more of them could not make better.
    """

    ends: dict[str, Ticks]
    most: int
    joining: Joining


def bolts_of(problem: Problem, roll: Roll, begun: int = 0, effort: Effort = USUAL) -> Bolts | None:
    """The bolts of a roll; none in it where one always does, and None where they have no end.

    Args:
        begun: the largest number of one that is begun already; 0 if none is.
    """
    if roll.bolt is None:
        return None
    wait = roll.period - 1
    panels = [
        (kind.copies, [[(r.along, n) for r, n in o.demand if r.roll == roll.name] for o in options])
        for kind in problem.kinds
        if (options := (*kind.options, *kind.floors))
    ]
    most = sum(copies * max(sum(n for _, n in each) for each in these) for copies, these in panels)
    content = sum(
        copies * max(sum((along + wait) * n for along, n in each) for each in these)
        for copies, these in panels
    )
    longest = max((a for _, these in panels for each in these for a, _ in each), default=0)
    spare = max(roll.spare, longest if roll.spare_panel else 0)
    room = roll.bolt - roll.allowance
    # What two bolts that cannot be joined hold together is more than this.
    pair = room - spare - roll.lead - wait
    joined = min(most, max(2 * content // pair, 1)) if pair > 0 else most
    joining = _joining(roll)
    if joining is not Joining.ALL and most <= effort.all_bolts:
        joined = most
    if joined >= most:
        joining = Joining.ALL
    if joined <= 1 and not begun and roll.lead + content + spare <= room:
        return Bolts({}, most, joining)
    count = max(joined, 1) + begun
    ends = {nth_bolt(number): room for number in range(1, count + 1)}
    ends[nth_bolt(1)] -= roll.spare
    return Bolts(ends, most, joining)


def _joining(roll: Roll) -> Joining:
    wait = roll.period - 1
    if wait <= roll.lead:
        return Joining.ALL
    if roll.lead + roll.allowance - wait >= roll.sold_in:
        return Joining.USED_OF_BOUGHT
    return Joining.BOUGHT if roll.lead + roll.allowance >= wait else Joining.NOTHING
