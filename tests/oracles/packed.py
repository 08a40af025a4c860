"""A packing written down as a plan, and what the judge's rules have to say of it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from fractions import Fraction

from shadewright.cloth.plan import (
    Drop,
    Goal,
    Panel,
    PieceUse,
    Plan,
    Proof,
    Shade,
    Totals,
)
from shadewright.job.model import Draw, Job, Opening
from shadewright.judge import making
from shadewright.judge.replay import RULES
from shadewright.judge.trial import Trial
from shadewright.measure import ceil_to
from shelves import Drops, Source, end_of, start_of
from wanted import Division, finished_length, strategy

_RULES = tuple(rule for rule in RULES if rule.__module__ != making.__name__)

PANELS = 1000
"""Panels of one copy are fewer; a panel's number is that of its copy, times this, and its own."""

Copy = tuple[Opening, int]


def faults(job: Job, plan: Plan) -> list[str]:
    """What the judge's rules find wrong, all but those of sticks, cords and hooks."""
    trial = Trial(job, plan)
    return [fault for rule in _RULES for fault in rule(trial)]


def reached(job: Job, plan: Plan) -> tuple[Fraction, ...]:
    """What a plan reaches: money or length bought, shades, length used, cut widths, gaps."""
    return tuple(Fraction(value) for _, value in _goals(job, plan.shades, plan.panels, plan.pieces))


def cut_plan(
    job: Job,
    copies: Sequence[Copy],
    sources: Sequence[Source],
    drops: Sequence[Drops],
    chosen: Mapping[int, Division],
) -> Plan:
    """The plan of a packing, without what shades take besides cloth.

    Args:
        drops: of each source.
        chosen: for each copy by its place.
    """
    shades = [
        shade
        for i, (opening, number) in enumerate(copies)
        for shade in _shades(job, opening, number, chosen[i])
    ]
    panels: list[Panel] = []
    cuts: list[Drop] = []
    pieces: list[PieceUse] = []
    for source, mine in zip(sources, drops, strict=True):
        if not mine:
            continue
        for number, drop in enumerate(mine, 1):
            cuts.append(
                Drop(
                    cloth=source.cloth.name,
                    piece=source.name,
                    number=number,
                    start=start_of(drop),
                    end=end_of(drop),
                )
            )
            for laid in (laid for column in drop for laid in column):
                copy, place = divmod(laid.panel, PANELS)
                wanted = chosen[copy].panels[place]
                count = len(chosen[copy].widths)
                panels.append(
                    Panel(
                        shade=_id(copies[copy], wanted.place + 1, count),
                        part=wanted.part,
                        cloth=wanted.cloth,
                        piece=source.name,
                        drop=number,
                        x=laid.x,
                        y=laid.y,
                        across=laid.across,
                        along=laid.along,
                        railroaded=wanted.railroaded,
                        hem_left=wanted.hem_left,
                        hem_top=wanted.hem_top,
                    )
                )
        pieces.append(_piece(job, source, end_of(mine[-1])))
    return _plan(job, shades, panels, cuts, pieces)


def _id(copy: Copy, place: int, count: int) -> str:
    opening, number = copy
    return f"{opening.name} {number}, {place} of {count}"


def _shades(job: Job, opening: Opening, copy: int, division: Division) -> list[Shade]:
    count = len(division.widths)
    return [
        Shade(
            id=_id((opening, copy), place, count),
            opening=opening.name,
            copy=copy,
            place=place,
            of=count,
            left=left,
            finished_width=width,
            finished_length=finished_length(job, opening),
            draw=_draw(opening, place, count),
            cloth=opening.cloth,
        )
        for place, (left, width) in enumerate(zip(division.lefts, division.widths, strict=True), 1)
    ]


def _draw(opening: Opening, place: int, count: int) -> Draw:
    asked = opening.draw if isinstance(opening.draw, str) else opening.draw[place - 1]
    if asked != "auto":
        return asked
    return "right" if place == count else "left" if place == 1 else "centre"


def _piece(job: Job, source: Source, end: int) -> PieceUse:
    length, cost = source.end or 0, Fraction(0)
    if source.bought:
        cloth, along = source.cloth, 0
        if cloth.start == "any" and strategy(job, cloth) != "plain":
            # The bolt may begin anywhere in the repeat.
            railroaded = cloth.runs == "railroaded"
            along = (cloth.repeat_across if railroaded else cloth.repeat_down) or 0
        length = ceil_to(end + along, cloth.sold_in)
        cost = (cloth.price or Fraction(0)) * length / job.price_unit
    return PieceUse(
        cloth=source.cloth.name,
        piece=source.name,
        bought=source.bought,
        length=length,
        used=end,
        cost=float(cost),
    )


def _goals(
    job: Job, shades: Sequence[Shade], panels: Sequence[Panel], pieces: Sequence[PieceUse]
) -> list[tuple[str, float]]:
    """The goals of a proof, with what is reached."""
    needed = {opening.cloth for opening in job.openings} | {job.make.lining}
    priced = all(cloth.price is not None for cloth in job.cloths if cloth.name in needed)
    cost = _spent(job, shades, pieces)
    if job.make.shade_cost is None:
        prices = {cloth.name: cloth.price or Fraction(0) for cloth in job.cloths}
        worth = sum(prices[shade.cloth] * job.make.extra_shade for shade in shades)
        cost += float(worth / job.price_unit)
    bought = sum(piece.length for piece in pieces if piece.bought)
    bought += job.make.extra_shade * len(shades)
    rows: dict[tuple[str, int], list[Shade]] = {}
    for shade in shades:
        rows.setdefault((shade.opening, shade.copy_), []).append(shade)
    gaps = sum(
        row[-1].left + row[-1].finished_width - row[0].left - sum(s.finished_width for s in row)
        for row in rows.values()
    )
    return [
        ("money", cost) if priced else ("bought", bought),
        ("shades", len(shades)),
        ("used", sum(piece.used for piece in pieces)),
        ("widths", len({p.along if p.railroaded else p.across for p in panels})),
        ("gaps", gaps),
    ]


def _spent(job: Job, shades: Sequence[Shade], pieces: Sequence[PieceUse]) -> float:
    """Money for cloth and, where the job says what they cost, for shades."""
    each = job.make.shade_cost or Fraction(0)
    return float(each * len(shades)) + sum(piece.cost for piece in pieces)


def _plan(
    job: Job,
    shades: list[Shade],
    panels: list[Panel],
    drops: list[Drop],
    pieces: list[PieceUse],
) -> Plan:
    used = sum(piece.used for piece in pieces)
    usable = sum(job.cloth(piece.cloth).usable * piece.used for piece in pieces)
    goals = _goals(job, shades, panels, pieces)
    # Nothing is proved: there are shades at least, and no bound is above nothing.
    proof = Proof(
        status="gap",
        seconds=0,
        goals=[Goal.model_validate({"goal": n, "value": v, "bound": 0}) for n, v in goals],
        used=used,
        used_bound=0,
    )
    return Plan(
        job=job.title,
        proof=proof,
        shades=shades,
        panels=panels,
        drops=drops,
        pieces=pieces,
        making=[],
        wood=[],
        totals=Totals(
            shades=len(shades),
            bought={piece.cloth: piece.length for piece in pieces if piece.bought},
            cost=_spent(job, shades, pieces),
            waste=float(1 - Fraction(sum(p.across * p.along for p in panels), usable)),
        ),
    )
