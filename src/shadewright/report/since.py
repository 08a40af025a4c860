"""What has become of a plan, from the words of the command line and a helper's ticked boxes."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from openpyxl import load_workbook

from shadewright.cloth.plan import Drop, Plan
from shadewright.job.model import Flaw, Job
from shadewright.measure import LengthError, parse_length

_FREES = re.compile(r"drop (\d+) comes off|is drop (\d+)")
_ORDER = "Cutting order"


DropName = tuple[str, str, int]
"""Cloth, piece and number of a drop."""


@dataclass(frozen=True)
class NewFlaw:
    """A flaw found since."""

    cloth: str
    piece: str
    flaw: Flaw


@dataclass(frozen=True)
class Since:
    """What has happened since a plan was made.

    Attributes:
        done: drops that are cut.
        lost: shades whose panels in those drops are spoilt.
    """

    done: frozenset[DropName]
    lost: frozenset[str] = frozenset()
    flaws: tuple[NewFlaw, ...] = ()


@dataclass(frozen=True)
class Told:
    """The words of the command line: drops that are cut, flaws found, shades lost."""

    done: Sequence[str] = ()
    flaws: Sequence[str] = ()
    lost: Sequence[str] = ()


def since(job: Job, before: Plan, told: Told, done_from: Path | None = None) -> Since:
    """Read what is done, found and lost.

    Args:
        done_from: the plan's workbook, with the boxes of drops that are cut ticked.

    Raises:
        ValueError: something names nothing of the plan; every problem is told.
    """
    problems: list[str] = []
    drops: set[DropName] = set()
    for text in told.done:
        for name in filter(None, (part.strip() for part in text.split(","))):
            found = _drop(before, name)
            if isinstance(found, str):
                problems.append(found)
            else:
                drops.add(found)
    if done_from is not None:
        try:
            drops |= set(_ticked(before, done_from))
        except ValueError as why:
            problems.append(str(why))
    shades = {shade.id for shade in before.shades}
    for name in told.lost:
        if name not in shades:
            problems.append(f'--lost: found "{name}", wanted a shade such as "{min(shades)}"')
    read = []
    for text in told.flaws:
        flaw = _flaw(job, before, text)
        if isinstance(flaw, str):
            problems.append(flaw)
        else:
            read.append(flaw)
    if problems:
        raise ValueError("\n".join(problems))
    return Since(frozenset(drops), frozenset(told.lost), tuple(read))


def _name(drop: Drop) -> DropName:
    return drop.cloth, drop.piece, drop.number


def _drop(before: Plan, text: str) -> DropName | str:
    """A drop by its number, if that tells it, or as cloth/piece/number; or what is wrong."""
    *where, number = text.split("/")
    found = [
        _name(drop)
        for drop in before.drops
        if str(drop.number) == number.strip()
        and (drop.cloth, drop.piece)[2 - len(where) :] == tuple(part.strip() for part in where)
    ]
    if len(found) == 1:
        return found[0]
    some = " or ".join("/".join(map(str, _name(drop))) for drop in before.drops[:3])
    what = "which several pieces have" if found else "which is no drop of the plan"
    return f"--done: found {text}, {what}, wanted one such as {some}"


def _ticked(before: Plan, file: Path) -> Iterator[DropName]:
    """Drops whose cut off the piece is ticked in the first column of a plan's workbook."""
    try:
        book = load_workbook(file, read_only=False, data_only=True)
    except Exception as why:
        raise ValueError(f"--done-from: {file} cannot be read as a workbook ({why})") from why
    if _ORDER not in book.sheetnames:
        raise ValueError(f"--done-from: {file} has no sheet {_ORDER}")
    names = {(f"{d.cloth}, {d.piece}", d.number): _name(d) for d in before.drops}
    for row in book[_ORDER].iter_rows(values_only=True):
        tick, _, piece, what = (*row, None, None, None, None)[:4]
        found = _FREES.search(str(what)) if what else None
        if tick in (None, "", 0, False) or found is None:
            continue
        number = int(found[1] or found[2])
        if (str(piece), number) not in names:
            raise ValueError(
                f"--done-from: {file} ticks drop {number} of {piece}, which the plan has not"
            )
        yield names[str(piece), number]


def _flaw(job: Job, before: Plan, text: str) -> NewFlaw | str:
    """A flaw as ``PIECE:FROM to TO``, or ``CLOTH/PIECE:...``; or what is wrong."""
    wanted = f'--flaw: found "{text}", wanted PIECE:FROM to TO, such as bolt:2 yd 4 in to 2 yd 7 in'
    name, colon, ends = text.partition(":")
    parts = re.split(r"\s+to\s+", ends.strip())
    pieces = [(p.cloth, p.piece) for p in before.pieces]
    *cloth, piece = (part.strip() for part in name.split("/"))
    found = [each for each in pieces if each[1] == piece and (not cloth or each[0] == cloth[0])]
    if not colon or len(parts) != 2 or len(found) != 1:
        return wanted
    try:
        start, end = (parse_length(part, job.units) for part in parts)
    except LengthError as why:
        return f"{wanted}; {why.advice}"
    if not 0 <= start < end:
        return f"{wanted}; its end must lie behind its start"
    return NewFlaw(*found[0], Flaw(start=start, end=end))
