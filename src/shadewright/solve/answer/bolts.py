"""Bolts of a plan: what is bought of each, and what they are called in the end.

While plans are made several bolts are numbered, some of them perhaps not used. A plan's only bolt
has no number, and several have the first ones there are.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TypeVar

from shadewright.cloth.plan import Drop, Gone, Panel, PastDrop, PieceUse, Plan
from shadewright.job.bolts import BOLT, is_bolt, nth_bolt, number_of
from shadewright.job.model import Cloth, Job
from shadewright.measure import Ticks, floor_to
from shadewright.solve.answer.reached import as_number
from shadewright.trade.buying import bought_length, cloth_cost, spare_length, to_buy

_Named = TypeVar("_Named", PieceUse, Drop, Panel, PastDrop, Gone)


def bolts_in_order(names: Iterable[str]) -> list[str]:
    """The bolts among pieces, each once, by their number."""
    return sorted({name for name in names if is_bolt(name)}, key=number_of)


def bolts_bought(
    job: Job, cloth: Cloth, ends: dict[str, Ticks], allowance: Ticks, panels: Sequence[Panel]
) -> list[PieceUse]:
    """What is bought of each bolt of a cloth.

    Args:
        ends: of what is used of each.
        allowance: bought with each, for its start.
        panels: of the plan.
    """
    longest = max((p.along for p in panels if p.cloth == cloth.name), default=0)
    spare = spare_length(cloth, longest)
    most = None if cloth.bolt is None else floor_to(cloth.bolt, cloth.sold_in)
    lengths = to_buy([*ends.values()], allowance, spare, cloth.sold_in, most)
    if lengths is None:
        # Too much for the bolts: the judge will say so.
        lengths = [bought_length(end, allowance, cloth.sold_in) for end in ends.values()]
    return [
        PieceUse(
            cloth=cloth.name,
            piece=name,
            bought=True,
            length=length,
            used=end,
            cost=as_number(cloth_cost(job, cloth, length)),
        )
        for (name, end), length in zip(ends.items(), lengths, strict=True)
    ]


def numbered(plan: Plan) -> Plan:
    """The plan with a bolt that is a cloth's only one numbered as well."""
    return _renamed(plan, _names(plan, only=nth_bolt(1)))


def named(plan: Plan) -> Plan:
    """The plan with a cloth's only bolt without a number, and several numbered from 1 on."""
    return _renamed(plan, _names(plan, only=BOLT))


def named_as(plan: Plan, other: Plan) -> Plan:
    """Another numbered plan of the job, with its bolts called as `named` calls those of a plan."""
    names, pieces = _names(plan, only=BOLT), len(plan.pieces) + len(other.pieces)
    mine = {(use.cloth, use.piece) for use in plan.pieces}
    mine |= {(part.cloth, part.piece) for part in plan.gone}
    for use in other.pieces:
        # A bolt that the plan has no more is called as none of its bolts is.
        if is_bolt(use.piece) and (use.cloth, use.piece) not in mine:
            names[use.cloth, use.piece] = nth_bolt(number_of(use.piece) + pieces)
    return _renamed(other, names)


def _names(plan: Plan, only: str) -> dict[tuple[str, str], str]:
    """New names of bolts, by cloth and old name."""
    found: dict[tuple[str, str], str] = {}
    # One that is all gone keeps its number.
    every = [(use.cloth, use.piece) for use in plan.pieces]
    every += [(part.cloth, part.piece) for part in plan.gone]
    for cloth in dict.fromkeys(name for name, _ in every):
        bolts = bolts_in_order(piece for name, piece in every if name == cloth)
        new = [only] if len(bolts) == 1 else [nth_bolt(i) for i in range(1, len(bolts) + 1)]
        found |= {(cloth, old): name for old, name in zip(bolts, new, strict=True)}
    return {old: name for old, name in found.items() if old[1] != name}


def _renamed(plan: Plan, names: dict[tuple[str, str], str]) -> Plan:
    if not names:
        return plan

    def each(these: Iterable[_Named]) -> list[_Named]:
        return [
            one.model_copy(update={"piece": names.get((one.cloth, one.piece), one.piece)})
            for one in these
        ]

    return plan.model_copy(
        update={
            "pieces": each(plan.pieces),
            "drops": each(plan.drops),
            "panels": each(plan.panels),
            "cut": each(plan.cut),
            "gone": each(plan.gone),
        }
    )
