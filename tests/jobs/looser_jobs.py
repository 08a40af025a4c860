"""Pairs of jobs, of which one is asked less of: whatever is a plan of the first should be one of
the second."""

from __future__ import annotations

import random
from collections.abc import Callable, Iterator
from typing import Any, TypeVar

from jobs import job_of
from limited_jobs import long_piece_job, pieces_job
from random_jobs import limited_job, patterned_job, random_job
from shadewright.job.frozen import Frozen
from shadewright.job.limits import MOST_SHADES
from shadewright.job.model import Cloth, Job, Opening, Piece

_KINDS: tuple[Callable[[int], str], ...] = (
    limited_job,
    long_piece_job,
    pieces_job,
    patterned_job,
    random_job,
)
# From the strategy that asks most to what asks less.
_WEAKER = {
    "continuous": ("centred", "level", "plain"),
    "centred": ("level", "plain"),
    "level": ("plain",),
}

F = TypeVar("F", bound=Frozen)


def pair(seed: int) -> tuple[Job, Job, str]:
    """A job, a looser one, and what the looser one is not asked."""
    draw = random.Random(f"pair {seed}")
    while True:
        strict = job_of(draw.choice(_KINDS)(draw.randrange(1_000_000)))
        ways = list(_ways(strict, draw))
        if ways:
            # One of each sort counts as much, so that no sort crowds out the others.
            sort = draw.choice(sorted({what.split(":")[0] for what, _ in ways}))
            what, loose = draw.choice([way for way in ways if way[0].split(":")[0] == sort])
            return strict, loose, what


def changed(data: F, **facts: Any) -> F:
    """The same data with other facts, checked once more."""
    same = {name: getattr(data, name) for name in type(data).model_fields}
    return type(data)(**{**same, **facts})


def _ways(job: Job, draw: random.Random) -> Iterator[tuple[str, Job]]:
    """Looser jobs, each with its sort and what it is not asked."""
    for i, opening in enumerate(job.openings):
        for what, other in _looser_openings(job, opening):
            openings = (*job.openings[:i], other, *job.openings[i + 1 :])
            yield f"{what} of {opening.name}", changed(job, openings=openings)
    for i, cloth in enumerate(job.cloths):
        for what, of in _looser_cloths(job, cloth, draw):
            cloths = (*job.cloths[:i], of, *job.cloths[i + 1 :])
            yield f"{what} of {cloth.name}", changed(job, cloths=cloths)
    yield from _looser_matches(job)


def _looser_openings(job: Job, opening: Opening) -> Iterator[tuple[str, Opening]]:
    freer = {"equal": ("mirrored", "free"), "mirrored": ("free",), "free": ()}
    for widths in freer[opening.widths]:
        yield f"widths: {opening.widths} to {widths}", changed(opening, widths=widths)
    low, high = opening.shades or (None, None)
    if low is not None and high is not None:
        if high < MOST_SHADES:
            yield "shades: one more", changed(opening, shades=(low, high + 1))
        if low > 1:
            yield "shades: one fewer", changed(opening, shades=(low - 1, high))
    else:
        yield "shades: 1 to 9", changed(opening, shades=(1, 9))
    least, most = opening.gap
    by = 4 * job.step
    yield "gap: larger", changed(opening, gap=(least, most + by))
    yield "gap: down to none", changed(opening, gap=(0, most))
    narrowest = max(opening.narrowest - 8 * by, job.step)
    yield "limits: narrower", changed(opening, narrowest=narrowest)
    yield "limits: wider", changed(opening, widest=opening.widest + 8 * by)


def _looser_cloths(job: Job, cloth: Cloth, draw: random.Random) -> Iterator[tuple[str, Cloth]]:
    plain = cloth.repeat_down is None and cloth.repeat_across is None
    if cloth.runs != "either" and (plain or job.match.strategy == "plain"):
        yield f"runs: {cloth.runs} to either", changed(cloth, runs="either")
    if not cloth.can_buy:
        yield "supply: can be bought", changed(cloth, can_buy=True)
    start = draw.choice((None, 0, 2 * job.tape.step)) if cloth.repeat_down else None
    lot = draw.choice((None, "A", "C"))
    length = draw.choice((40, 90, 200)) * 8128
    more = Piece(name="one more", length=length, start=start, lot=lot)
    yield "piece: one more", changed(cloth, pieces=(*cloth.pieces, more))
    for i, piece in enumerate(cloth.pieces):
        others = cloth.pieces[:i], cloth.pieces[i + 1 :]
        longer = changed(piece, length=piece.length + 12 * 8128)
        yield "piece: longer", changed(cloth, pieces=(*others[0], longer, *others[1]))
        if piece.flaws:
            clean = changed(piece, flaws=piece.flaws[1:])
            yield "flaws: one less", changed(cloth, pieces=(*others[0], clean, *others[1]))


def _looser_matches(job: Job) -> Iterator[tuple[str, Job]]:
    match = job.match
    if any(cloth.repeat_down for cloth in job.cloths):
        for weaker in _WEAKER.get(match.strategy or "level", ()):
            what = f"strategy: {match.strategy or 'level'} to {weaker}"
            yield what, changed(job, match=changed(match, strategy=weaker))
        if match.across == "job" and match.strategy != "plain":
            yield "across: opening", changed(job, match=changed(match, across="opening"))
    # What is bought counts as a lot of its own.
    lots = {None, *(piece.lot for cloth in job.cloths for piece in cloth.pieces)}
    if match.lots != "none" and len(lots) > 1:
        for freer in ("none",) if match.lots == "opening" else ("opening", "none"):
            yield f"lots: {match.lots} to {freer}", changed(job, match=changed(match, lots=freer))
    if job.make.square_up:
        yield "squared up: less", changed(job, make=changed(job.make, square_up=0))
