"""The part of the judge's rule book that is about plans which go on from one that is partly cut."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterator

from shadewright.cloth.plan import Plan
from shadewright.job.model import Job
from shadewright.judge import saying as say

Faults = Iterator[str]
Rule = Callable[[Job, Plan], Faults]


def cut_drops_come_first(_job: Job, plan: Plan) -> Faults:
    """Each drop that is said to be cut already is one of the plan's, said once, and none before it
    on its piece is still to be cut."""
    drops = {(drop.cloth, drop.piece, drop.number) for drop in plan.drops}
    numbers: dict[tuple[str, str], list[int]] = defaultdict(list)
    for cut in plan.cut:
        numbers[cut.cloth, cut.piece].append(cut.number)
        if (cut.cloth, cut.piece, cut.number) not in drops:
            where = say.piece(cut.cloth, cut.piece)
            yield f"drop {cut.number} of {where}: is said to be cut, but there is none"
    for piece, these in numbers.items():
        if sorted(these) != list(range(1, len(these) + 1)):
            said = ", ".join(map(str, these))
            yield (
                f"{say.piece(*piece)}: drops {said} are said to be cut, which are not the first "
                "ones, each once"
            )


def nothing_is_cut_from_what_is_gone(job: Job, plan: Plan) -> Faults:
    """No panel lies on cloth that is cut off already and holds none, or on a flaw found since."""
    for gone in plan.gone:
        where = say.piece(gone.cloth, gone.piece)
        start, end = say.two(job.tape, gone.start, gone.end)
        if not 0 <= gone.start < gone.end:
            yield f"{where}: what is gone begins at {start} and ends at {end}"
        for panel in plan.panels:
            here = (panel.cloth, panel.piece) == (gone.cloth, gone.piece)
            if here and panel.y < gone.end and gone.start < panel.y + panel.along:
                yield f"{say.panel(panel)}: lies on {where} from {start} to {end}, which is gone"


BEGUN_RULES: tuple[Rule, ...] = (cut_drops_come_first, nothing_is_cut_from_what_is_gone)
"""The part of the rule book that is about plans which go on."""
