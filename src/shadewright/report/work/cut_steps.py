"""The cuts of a drop as paper tells them: whole sentences, and the figure on the tape apart."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from shadewright.job.model import Job
from shadewright.measure import Ticks
from shadewright.report.work.cuts import CutLine, CutSide, cuts_by_drop, last_cuts
from shadewright.report.work.laying import by_the_print, zero_inside
from shadewright.report.work.lays import DropLay, NumberedPanel, PieceLay
from shadewright.report.work.words import listed, numbers_said

Naming = Callable[[NumberedPanel], str]
"""The number or letter that a panel is called by; empty for one that is alone in its drop, where
the same is said of several drops."""


_FROM_ZERO = "from zero of the tape"

THE_DROP = "the drop"
"""What a drop is called where the same is said of several."""


@dataclass(frozen=True)
class CutStep:
    """A cut in words.

    Attributes:
        at: on the tape, from `measured_from`.
        zero: from zero of the tape, where the cut is measured along the piece.
        by_print: where it lies by the print; empty where that is not told.
        opens: whether it cuts off what is left out before its drop.
        frees: what comes free with it, as a sentence; empty where nothing does.
    """

    words: str
    at: Ticks
    measured_from: str
    zero: Ticks | None
    by_print: str
    opens: bool
    frees: str


@dataclass(frozen=True)
class DropSteps:
    """A drop with its steps.

    Attributes:
        before: where the last cut across the piece lies before it, from zero.
    """

    lay: DropLay
    before: Ticks
    cuts: tuple[CutLine, ...]


def drops_with_cuts(job: Job, lay: PieceLay) -> list[DropSteps]:
    """The drops of a piece, each with its cuts."""
    cuts = cuts_by_drop(job, lay)
    return [
        DropSteps(drop, before, tuple(these))
        for drop, before, (_, these) in zip(lay.drops, last_cuts(lay), cuts, strict=True)
    ]


def squares_up(job: Job, drop: DropSteps) -> bool:
    """Whether the first cut of a drop only squares up the end of its piece."""
    start = drop.lay.drop.start
    return not drop.before and 0 < start <= job.make.square_up


def steps_of(
    job: Job, lay: PieceLay, drop: DropSteps, naming: Naming, *, several: bool
) -> list[CutStep]:
    """The steps of a drop in the order of work.

    Args:
        several: whether they are those of other drops too, and name none.
    """
    called = THE_DROP if several else f"drop {drop.lay.drop.number}"
    found = []
    last = drop.before
    for cut in drop.cuts:
        along = cut.kind == "across the piece"
        at, measured_from = cut.at, _measured_from(cut)
        if along:
            measured_from = "from the last cut" if last else _FROM_ZERO
            if several and not last:
                measured_from = f"from the last cut; drop {drop.lay.drop.number}: from zero"
            at, last = cut.at - last, cut.at
        found.append(
            CutStep(
                _across_piece(job, lay, cut, called, begins=not drop.before)
                if along
                else _words(job, cut, naming, drop.lay.drop.start if several else None),
                at,
                measured_from,
                cut.to if cut.kind == "across a strip" else cut.at if along else None,
                by_the_print(job, lay, cut.at).strip() if along else "",
                cut.role == "opens its drop",
                _freed(cut.makes, naming),
            )
        )
    return found


def _measured_from(cut: CutLine) -> str:
    match cut.kind:
        case "lengthwise":
            return "from the near edge"
        case "trim":
            return "from the near edge of its strip"
        case _:
            own = cut.to is not None and cut.measured_from.startswith("this strip")
            return "from this strip's last cut" if own else "from the start of the drop"


def _words(job: Job, cut: CutLine, naming: Naming, start: Ticks | None) -> str:
    """What to do; `start` is that of the drop where the same is said of several."""
    match cut.kind:
        case "lengthwise":
            return _lengthwise(job, cut, naming, start)
        case "trim":
            (panel,) = (p for side in cut.sides for p in side.panels)
            bare = next(side for side in cut.sides if not side.panels)
            over = job.tape.short(bare.size)
            return f"Trim {_called([panel], naming)} lengthwise. A strip {over} wide is left over."
        case _:
            return _across_strip(job, cut, naming)


def _across_piece(job: Job, lay: PieceLay, cut: CutLine, called: str, *, begins: bool) -> str:
    """What to do; `begins` where no cut of the piece came before the drop's own."""
    if cut.role == "drop comes off":
        if cut.at == lay.use.length:
            return f"The rest of the piece is {called}. True its end, straight across."
        name = f"{called[0].upper()}{called[1:]}"
        return f"Cut straight across the whole width. {name} comes off."
    if begins and called != THE_DROP and zero_inside(job, lay):
        return "Square up: cut straight across. What lies before the cut is left over."
    if cut.at <= job.make.square_up and called != THE_DROP:
        return "Square up: cut off this much, straight across."
    if lay.motif is not None:
        return "Leave out this much to come to the motif, and cut straight across."
    return "Leave out this much, and cut straight across."


def _lengthwise(job: Job, cut: CutLine, naming: Naming, start: Ticks | None) -> str:
    near, *far = (_held(job, side, naming) for side in cut.sides)
    said = "Cut lengthwise."
    if cut.to is not None:
        # The strip that lags is cut no further than its own next panel.
        where = f"{job.tape.long(cut.to)} from zero of the tape"
        if start is not None:
            where = f"{job.tape.long(cut.to - start)} from the start of the drop"
        said = f"Cut lengthwise, only as far as {where}."
    beyond = f", and beyond the cut {far[0]}" if far else ""
    return f"{said} Nearer you {_verb(cut.sides[0])} {near}{beyond}."


def _across_strip(job: Job, cut: CutLine, naming: Naming) -> str:
    first, *more = (_held(job, side, naming) for side in cut.sides)
    beyond = f", and beyond the cut {more[0]}" if more else ""
    where = f"Towards the start {_verb(cut.sides[0])} {first}"
    return f"Cut straight across this strip. {where}{beyond}."


def _verb(side: CutSide) -> str:
    return "lie" if len(side.panels) > 1 else "lies"


def _held(job: Job, side: CutSide, naming: Naming) -> str:
    """What lies on one side of a cut."""
    if side.panels:
        return _called(side.panels, naming)
    if side.selvedge:
        return "the selvedge"
    return f"{job.tape.short(side.size)} that is left over"


def _called(panels: Sequence[NumberedPanel], naming: Naming) -> str:
    """``panel 8``, ``panels 1 to 7``, ``panels A and B``, ``the panel``."""
    names = [naming(panel) for panel in panels]
    if names == [""]:
        return "the panel"
    if len(names) == 1:
        return f"panel {names[0]}"
    numbers = all(map(str.isdecimal, names))
    return f"panels {numbers_said(sorted(map(int, names))) if numbers else listed(names)}"


def _freed(panels: Sequence[NumberedPanel], naming: Naming) -> str:
    if not panels:
        return ""
    named = _called(panels, naming)
    whole = f"{named[0].upper()}{named[1:]}"
    if len(panels) == 1:
        return f"{whole} is free: pin on its slip."
    return f"{whole} are free: pin on their slips."
