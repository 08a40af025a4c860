"""Which options have no panel longer than cloth may be: than the table, or than what a bolt has
room for."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from shadewright.job.model import Cloth, Job, Opening
from shadewright.measure import Tape, Ticks, ceil_to, floor_to
from shadewright.solve.problem.kinds import CUT_ALREADY, Kind, Option
from shadewright.trade.buying import spare_length, start_allowance
from shadewright.trade.refusal import Refusal


class TooLongError(Exception):
    """An opening has no option whose panels are all short enough.

    Attributes:
        opening: its name.
        cloth: whose bolts are too short; None where the table is.
        needed: the shortest table, or bolt, that would do for it.
    """

    def __init__(self, opening: str, cloth: str | None, needed: Ticks) -> None:
        super().__init__(opening)
        self.opening = opening
        self.cloth = cloth
        self.needed = needed


def short_enough(job: Job, opening: Opening, options: Iterable[Option]) -> tuple[Option, ...]:
    """The options whose panels are no longer than the table, or than bolts have room for.

    Raises:
        TooLongError: there are none.
    """
    these = tuple(options)
    table = job.make.table
    if table is not None:
        fitting = tuple(option for option in these if _longest(option) <= table)
        if not fitting:
            raise TooLongError(opening.name, None, min(map(_longest, these)))
        these = fitting
    for cloth in job.cloths:
        room = cloth.bolt if cloth.can_buy else None
        if room is None:
            continue
        room = floor_to(room, cloth.sold_in)
        needs = [(_bolt_for(job, cloth, option), option) for option in these]
        fitting = tuple(option for need, option in needs if need <= room)
        if not fitting:
            raise TooLongError(opening.name, cloth.name, min(need for need, _ in needs))
        these = fitting
    return these


def _longest(option: Option, cloth: str | None = None) -> Ticks:
    """The most that a panel still to be cut takes along the roll, of any cloth or of one."""
    return max(
        (
            rect.along
            for rect, _ in option.demand
            if rect.roll != CUT_ALREADY and cloth in (None, rect.roll)
        ),
        default=0,
    )


def _bolt_for(job: Job, cloth: Cloth, option: Option) -> Ticks:
    """The shortest bolt that holds the longest panel of an option; 0 where cloth on hand does."""
    longest = _longest(option, cloth.name)
    lead = ceil_to(job.make.square_up, job.step)
    if not longest or any(lead + longest <= piece.length for piece in cloth.pieces):
        return 0
    return ceil_to(_without_panels(job, cloth) + longest, cloth.sold_in)


def _without_panels(job: Job, cloth: Cloth) -> Ticks:
    """What of each bolt is squared up, or bought for its start."""
    allowance = 0
    if any(opening.cloth == cloth.name for opening in job.openings):
        allowance = start_allowance(job, cloth, cloth.runs == "railroaded")
    return ceil_to(job.make.square_up, job.step) + allowance


def no_room_to_spare(job: Job, kinds: Iterable[Kind]) -> Iterator[Refusal]:
    """Cloth of which no bolt has room for its shortest panel and what is bought to spare."""
    options = [kind.options for kind in kinds]
    for cloth in job.cloths:
        name = cloth.name
        rects = {r for these in options for o in these for r, _ in o.demand if r.roll == name}
        if cloth.bolt is None or not cloth.can_buy or cloth.pieces or not rects:
            continue
        least = [min(_longest(option, name) for option in these) for these in options]
        spare = spare_length(cloth, max(least))
        shortest = min(rect.along for rect in rects)
        need = ceil_to(_without_panels(job, cloth) + shortest + spare, cloth.sold_in)
        if need > cloth.bolt:
            yield Refusal(
                f"[cloth.{name}] spare",
                f"{job.tape.long(spare)} of it is more than a bolt of {job.tape.cloth(cloth.bolt)} "
                "has room for beside any panel",
                f"bolt = {job.tape.cloth(need)} would do",
            )


def longest_refused(job: Job, found: Sequence[TooLongError]) -> Iterator[Refusal]:
    """What openings with too long panels ask for: one table, or bolt, that does for all."""
    tape = job.tape
    for cloth in dict.fromkeys(each.cloth for each in found):
        worst = max((e for e in found if e.cloth == cloth), key=lambda each: each.needed)
        if cloth is None and job.make.table is not None:
            long = tape.short(ceil_to(worst.needed, job.step))
            yield Refusal(
                "[make] table",
                f"no drop may be longer than {tape.short(job.make.table)}, and a panel of "
                f"{worst.opening} is {long} long however it is divided",
                f"table = {long} would do",
            )
        elif cloth is not None:
            yield _bolt_refused(tape, job.cloth(cloth), worst)


def _bolt_refused(tape: Tape, cloth: Cloth, worst: TooLongError) -> Refusal:
    assert cloth.bolt is not None
    long = tape.cloth(worst.needed)
    return Refusal(
        f"[cloth.{cloth.name}] bolt",
        f"none is longer than {tape.cloth(cloth.bolt)}, and a panel of {worst.opening} takes one "
        f"of {long}, squared up and with what its start asks for, however it is divided",
        f"bolt = {long} would do",
    )
