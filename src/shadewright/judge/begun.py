"""The judge's rules for plans that go on from one which is partly cut."""

from __future__ import annotations

from collections import Counter, defaultdict

from shadewright.judge import saying as say
from shadewright.judge.trial import Faults, Trial


def cut_drops_come_first(trial: Trial) -> Faults:
    """Each drop that is said to be cut already is one of the plan's, said once, and none before it
    on its piece is still to be cut."""
    drops = {(drop.cloth, drop.piece, drop.number) for drop in trial.plan.drops}
    numbers: dict[tuple[str, str], list[int]] = defaultdict(list)
    for cut in trial.plan.cut:
        numbers[cut.cloth, cut.piece].append(cut.number)
        if (cut.cloth, cut.piece, cut.number) not in drops:
            where = say.piece(cut.cloth, cut.piece)
            yield f"drop {cut.number} of {where}: is said to be cut, but there is none"
    for piece, these in numbers.items():
        first = [drop.number for drop in trial.drops.get(piece, [])[: len(these)]]
        if sorted(these) != first:
            said = ", ".join(map(str, these))
            yield (
                f"{say.piece(*piece)}: drops {said} are said to be cut, which are not the first "
                "ones, each once"
            )


def nothing_is_cut_from_what_is_gone(trial: Trial) -> Faults:
    """No panel lies on cloth that is cut off already and holds none, or on a flaw found since."""
    for gone in trial.plan.gone:
        where = say.piece(gone.cloth, gone.piece)
        start, end = say.two(trial.tape, gone.start, gone.end)
        if not 0 <= gone.start < gone.end:
            yield f"{where}: what is gone begins at {start} and ends at {end}"
        for panel in trial.plan.panels:
            here = (panel.cloth, panel.piece) == (gone.cloth, gone.piece)
            if here and panel.y < gone.end and gone.start < panel.y + panel.along:
                yield f"{say.panel(panel)}: lies on {where} from {start} to {end}, which is gone"


def numbers_are_given_once(trial: Trial) -> Faults:
    """What panels are called from the plan before is a number of their own, from 1 up, and each is
    called so once."""
    numbers = Counter(each.number for each in trial.plan.numbers)
    panels = Counter((each.shade, each.part) for each in trial.plan.numbers)
    for number, times in numbers.items():
        if times > 1:
            yield f"panel {number}: {times} panels have this number from the plan before"
        if number < 1:
            yield f"panel {number}: numbers of panels begin at 1"
    for (shade, part), times in panels.items():
        if times > 1:
            yield f"{say.name(shade)}, {part}: has {times} numbers from the plan before"
