"""What has become of a plan, from what a command or a call is told and a helper's ticked boxes.

Both are held to one rule of the table: drops come off a piece in order, so none is cut while one
before it is not.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from shadewright.answers import DropName, NewFlaw, Since, cut_before, drop_name
from shadewright.cloth.plan import Plan
from shadewright.job.bolts import is_bolt
from shadewright.job.model import Flaw, Job
from shadewright.job.problems import FileProblem, shown
from shadewright.job.ranges import with_unit
from shadewright.measure import LengthError, parse_length
from shadewright.report.sheets.ticks import boxes
from shadewright.report.work.arguments import OPTIONS, Arguments
from shadewright.report.work.names import ShadeNames
from shadewright.report.work.saved import is_saved, saved_boxes
from shadewright.report.work.steps import Box
from shadewright.report.work.words import brief

_LONGEST_QUOTED = 60
"""Letters of what was typed for a drop that a message quotes."""


@dataclass(frozen=True)
class Statement:
    """What a command or a call is told.

    Attributes:
        done: drops that are cut.
        flaws: found since.
        lost: shades whose panels are spoilt.
        done_from: the plan's workbook, with the boxes of the cuts that are made ticked, or the file
            of ticks that its page saved.
        by: what these are called where they are told.
    """

    done: Sequence[str] = ()
    flaws: Sequence[str] = ()
    lost: Sequence[str] = ()
    done_from: Path | None = None
    by: Arguments = OPTIONS


class StatementError(ValueError):
    """What is told names nothing of the plan, or cannot be; carries every problem in it."""

    def __init__(self, problems: Sequence[FileProblem]) -> None:
        self.problems = tuple(problems)
        super().__init__("\n".join(map(str, problems)))


def since(job: Job, before: Plan, told: Statement) -> Since:
    """Read what is done, found and lost.

    Raises:
        StatementError: something names nothing of the plan, or cannot be.
    """
    problems: list[FileProblem] = []
    by = told.by
    done = _named(before, told.done, by, problems) | cut_before(before)
    opened: set[DropName] = set()
    cells: dict[DropName, str] = {}
    if told.done_from is not None:
        try:
            reads = saved_boxes if is_saved(told.done_from) else boxes
            found = reads(job, before, told.done_from, by)
        except ValueError as why:
            problems += [FileProblem(by.done_from, "", line) for line in str(why).split("\n")]
        else:
            cells = {drop_name(b.step.drop): b.at for b in found if _comes_off(b)}
            done |= {drop_name(b.step.drop) for b in found if b.ticked and _comes_off(b)}
            opened = _opened(found, done)
            problems += _half_ticked(found, done, f"{by.done_from}: {told.done_from}")
    told_by = f"{by.done_from}: {told.done_from}: Cutting order" if cells else by.done
    problems += _out_of_order(before, done, opened, cells, told_by)
    # What became of shades and cloth is judged by what is cut, once that is clear.
    clear = not problems
    names = ShadeNames(job, before.shades)
    lost = [(text, names.matching(text)) for text in told.lost]
    spoilt = frozenset(these[0] for _, these in lost if len(these) == 1)
    happened = Since(frozenset(done), spoilt, opened=frozenset(opened))
    problems += _wrongly_lost(before, names, lost, happened, by, clear)
    flaws: list[NewFlaw] = []
    for text in told.flaws:
        try:
            flaw = _flaw(job, before, text)
            _see_place(job, before, flaw, happened, by, clear)
            if flaw in flaws:
                raise _FlawError("told twice", "each flaw once")
        except _FlawError as why:
            said = f"{shown(text)}, {why.what}" if why.what else shown(text)
            problems.append(FileProblem(by.flaw, said, why.wanted))
        else:
            flaws.append(flaw)
    if problems:
        raise StatementError(problems)
    return Since(happened.done, happened.lost, tuple(flaws), happened.opened)


# --- drops ---------------------------------------------------------------------------------------


def _called(name: DropName) -> str:
    return "/".join(map(str, name))


def _named(
    before: Plan, texts: Sequence[str], by: Arguments, problems: list[FileProblem]
) -> set[DropName]:
    """The drops that words name, each once; what is wrong is added to the problems."""
    found: set[DropName] = set()
    for text in texts:
        # A name may have a comma in it.
        whole = _matching(before, text)
        for part in [text] if len(whole) == 1 else text.split(","):
            name = brief(" ".join(part.split()), _LONGEST_QUOTED)
            these = _matching(before, part)
            if len(these) != 1:
                what = "which several pieces have" if these else "which is no drop of the plan"
                said = f"{name}, {what}" if name else f"no drop in {shown(text)}"
                problems.append(FileProblem(by.done, said, f"one such as {_some(before)}"))
            elif these[0] in found:
                twice = f"{_called(these[0])} twice"
                problems.append(FileProblem(by.done, twice, "each drop once"))
            found.update(these if len(these) == 1 else ())
    return found


def _some(before: Plan) -> str:
    return " or ".join(_called(drop_name(drop)) for drop in before.drops[:3])


def _matching(before: Plan, text: str) -> list[DropName]:
    """The drops that a text may mean: a number, or piece/number, or cloth/piece/number."""
    asked = re.sub(r"\s*/\s*", "/", text.strip())
    return [
        (cloth, piece, number)
        for cloth, piece, number in map(drop_name, before.drops)
        if asked in (f"{number}", f"{piece}/{number}", f"{cloth}/{piece}/{number}")
    ]


def _comes_off(box: Box) -> bool:
    return box.step.cut.role == "drop comes off"


def _opened(found: Sequence[Box], done: Collection[DropName]) -> set[DropName]:
    """Drops before which cloth is cut off, and that are not cut off themselves."""
    names = {
        drop_name(b.step.drop) for b in found if b.ticked and b.step.cut.role == "opens its drop"
    }
    return names - set(done)


def _half_ticked(
    found: Sequence[Box], done: Collection[DropName], told_by: str
) -> Iterator[FileProblem]:
    """Drops that are cut up, by their ticks, without having come off their piece.

    Args:
        told_by: what says that they are cut.
    """
    inside: dict[DropName, list[str]] = {}
    for box in found:
        if box.ticked and box.step.cut.role == "within its drop":
            inside.setdefault(drop_name(box.step.drop), []).append(box.at)
    off = {drop_name(b.step.drop): b.at for b in found if _comes_off(b)}
    for drop, cells in inside.items():
        if drop not in done:
            yield FileProblem(
                f"{told_by}: Cutting order",
                f"ticks within drop {_called(drop)} ({', '.join(cells)}) and none in {off[drop]}, "
                "where it comes off",
                "that ticked too, or these cleared: a drop that is begun is cut to its end first",
            )


def _out_of_order(
    before: Plan,
    done: Collection[DropName],
    opened: Collection[DropName],
    cells: Mapping[DropName, str],
    told_by: str,
) -> Iterator[FileProblem]:
    """Drops that are cut while one before them on their piece is not.

    Args:
        cells: of a workbook, where each drop comes off.
        told_by: what says that they are cut.
    """
    pieces: dict[tuple[str, str], list[DropName]] = {}
    for drop in sorted(before.drops, key=lambda drop: drop.start):
        pieces.setdefault((drop.cloth, drop.piece), []).append(drop_name(drop))

    def at(drop: DropName) -> str:
        return f"{_called(drop)} ({cells[drop]})" if drop in cells else _called(drop)

    for drops in pieces.values():
        late = max((i for i, d in enumerate(drops) if d in done or d in opened), default=0)
        missing = [at(drop) for drop in drops[:late] if drop not in done]
        if missing:
            yield FileProblem(
                told_by,
                f"{at(drops[late])} cut and {' and '.join(missing)} before it not",
                "all before it too: drops come off a piece in order",
            )


# --- shades --------------------------------------------------------------------------------------


def _wrongly_lost(  # noqa: PLR0917 - shades, and all that they are held against
    before: Plan,
    names: ShadeNames,
    lost: Sequence[tuple[str, list[str]]],
    happened: Since,
    by: Arguments,
    clear: bool,
) -> Iterator[FileProblem]:
    """Lost shades that the plan has not, or of which nothing is cut yet.

    Args:
        lost: each as it was told, and the ids of the shades that may be meant.
        clear: whether it is known what is cut.
    """
    some_shade = shown(names.of(min(shade.id for shade in before.shades)))
    cut = {p.shade for p in before.panels if (p.cloth, p.piece, p.drop) in happened.done}
    for i, (name, these) in enumerate(lost):
        if len(these) != 1:
            several = ", which several shades may be" if these else ""
            yield FileProblem(by.lost, f"{shown(name)}{several}", f"a shade such as {some_shade}")
        elif any(these == others for _, others in lost[:i]):
            yield FileProblem(by.lost, f"{shown(name)} twice", "each shade once")
        elif clear and these[0] not in cut:
            some = f"{by.done} or {by.done_from} with the drop it was cut from"
            if cut:
                some = (
                    f"one with a panel in a drop that is cut, such as {shown(names.of(min(cut)))}"
                )
            yield FileProblem(
                by.lost,
                f"{shown(name)}, of which nothing is cut yet",
                f"{some}; what is not cut is planned again anyway",
            )


# --- flaws ---------------------------------------------------------------------------------------


class _FlawError(Exception):
    """A flaw that cannot be.

    Attributes:
        what: is wrong with it; empty where its text is no flaw.
    """

    def __init__(self, what: str, wanted: str) -> None:
        super().__init__(what)
        self.what, self.wanted = what, wanted


def _flaw(job: Job, before: Plan, text: str) -> NewFlaw:
    """A flaw as ``PIECE:FROM to TO``, or ``CLOTH/PIECE:...``.

    Raises:
        _FlawError: it is none.
    """
    wanted = "PIECE:FROM to TO, such as bolt:2 yd 4 in to 2 yd 7 in"
    name, colon, ends = text.rpartition(":")
    parts = re.split(r"\s+to\s+", ends.strip())
    if not colon or len(parts) != 2:
        raise _FlawError("", wanted)
    pieces = dict.fromkeys((p.cloth, p.piece) for p in before.pieces)
    # A flaw in a piece that was not needed counts too: it may be needed now.
    pieces |= dict.fromkeys((c.name, p.name) for c in job.cloths for p in c.pieces)
    asked = re.sub(r"\s*/\s*", "/", name.strip())
    found = [each for each in pieces if asked in (each[1], "/".join(each))]
    if len(found) != 1:
        known = " or ".join("/".join(each) for each in (found or pieces))
        what = "several pieces have that name" if found else "no piece is called that"
        raise _FlawError("", f"{wanted}; {what}, but {known}")
    try:
        start, end = (parse_length(part, job.units) for part in with_unit(*parts))
    except LengthError as why:
        raise _FlawError("", f"{wanted}; {why.advice}") from None
    if not 0 <= start < end:
        raise _FlawError("", f"{wanted}; its end must lie behind its start")
    return NewFlaw(*found[0], Flaw(start=start, end=end))


def _see_place(  # noqa: PLR0917 - a flaw, and all that it is held against
    job: Job, before: Plan, new: NewFlaw, happened: Since, by: Arguments, clear: bool
) -> None:
    """See that a flaw lies where one can.

    Args:
        clear: whether it is known what is cut.

    Raises:
        _FlawError: it does not.
    """
    tape, flaw, where = job.tape, new.flaw, (new.cloth, new.piece)
    if is_bolt(new.piece):
        length = next(p.length for p in before.pieces if (p.cloth, p.piece) == where)
        long = tape.cloth(length)
        if flaw.end > length:
            raise _FlawError(
                f"which goes beyond the {long} that the plan buys",
                "a place within them: what is not bought cannot be known. A longer bolt that is at "
                f"hand is a piece of the job: cloth on hand of {new.cloth}, with flaws of its own",
            )
    else:
        length = next(p.length for p in job.cloth(new.cloth).pieces if p.name == new.piece)
        if flaw.end > length:
            wanted = f"a place within its {tape.long(length)}"
            raise _FlawError("which goes beyond the piece", wanted)
    if not clear:
        return
    spoilt = sorted(
        {
            panel.shade
            for panel in before.panels
            if (panel.cloth, panel.piece, panel.drop) in happened.done
            and (panel.cloth, panel.piece) == where
            and panel.shade not in happened.lost
            and panel.y < flaw.end
            and flaw.start < panel.y + panel.along
        }
    )
    reach = happened.reach(before).get(where, 0)
    left = (
        f"a place behind {tape.long(reach)}, up to which the piece is cut off; all is measured "
        "from zero of the tape, as in the cutting order"
    )
    if spoilt:
        names = ShadeNames(job, before.shades)
        lost = by.telling_lost(names.of(shade) for shade in spoilt)
        spoiling = f"{lost} if they are spoilt, and {left}"
        raise _FlawError("which lies on panels that are cut", spoiling)
    if flaw.end <= reach:
        raise _FlawError("which lies in what is cut off already", left)
