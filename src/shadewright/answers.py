"""What planning answers: plain data, which reports read."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    from shadewright.cloth.plan import Drop, Plan
    from shadewright.cloth.stick_plan import StickPlan
    from shadewright.job.model import Flaw, Job
    from shadewright.measure import Ticks
    from shadewright.trade.divisions import Way
    from shadewright.trade.naive import Naive


class NoPlanError(Exception):
    """No plan was found in the time given, which is no proof that there is none."""


@dataclass(frozen=True)
class Possible:
    """The numbers of shades that an opening may have, each with a way that its cloths may lie.

    Attributes:
        placed: that a table and a print have a place for.
        agreed: of these, what goes with what other openings ask: as many shades, one lay.
    """

    placed: frozenset[tuple[int, Way]]
    agreed: frozenset[tuple[int, Way]]


@dataclass(frozen=True)
class FrontierPoint:
    """What a job takes with so many shades.

    Attributes:
        bought: by cloth.
        cost: money spent, as in a plan's totals.
    """

    shades: int
    bought: Mapping[str, Ticks]
    cost: float


@dataclass(frozen=True)
class Centring:
    """What a job takes with the other thing on its centre lines.

    Attributes:
        bought: by cloth.
        cost: money spent, as in a plan's totals.
    """

    centre_on: Literal["motif", "between"]
    shades: int
    bought: Mapping[str, Ticks]
    cost: float


@dataclass(frozen=True)
class PlanAnswer:
    """A plan and what belongs to its report.

    Attributes:
        faults: what the judge found wrong with it; a plan with any is not to be used.
        naive: what the notepad way would buy; None where there is none.
        stopped: whether the user stopped the search.
        wood: boards and rods as cut, and how good that is.
        frontier: the same job with fewer shades and with more, this plan among them; empty where it
            was not asked for, or there is no choice.
        otherwise: the same job with the other thing on centre lines; None where it was not asked
            for, or is nothing to the job.
        before: the plan that it goes on from, with its bolts called as in this one; None where it
            is made anew.
    """

    plan: Plan
    faults: tuple[str, ...]
    naive: Naive | None
    stopped: bool
    wood: StickPlan
    frontier: tuple[FrontierPoint, ...] = ()
    otherwise: Centring | None = None
    before: Plan | None = None


Choice = Literal["strategies", "hems", "lay", "alike", "table", "shades"]
"""What `compare` compares."""


STOPPED = "stopped before it was planned"
NOT_IN_TIME = "not planned in the time given"
UNKNOWN = (STOPPED, NOT_IN_TIME)
"""Why there may be no plan of a case that could be made all the same."""


@dataclass(frozen=True)
class CaseAnswer:
    """The job made in one of the ways compared, and what came of it.

    Attributes:
        choice: what is being compared.
        name: what this case does about it.
        most_shades: that its plan may have; no limit if None.
        plan: None if there is none.
        why_not: why there is no plan, in a line; empty if there is one.
        faults: what the judge found wrong with the plan.
        as_asked: whether this is what the job itself asks for.
    """

    choice: Choice
    name: str
    most_shades: int | None
    plan: Plan | None
    why_not: str = ""
    faults: tuple[str, ...] = ()
    as_asked: bool = False

    @property
    def unfinished(self) -> bool:
        """Whether it has no plan for want of time, and not because there is none."""
        return self.why_not in UNKNOWN


@dataclass(frozen=True)
class Remedy:
    """A set of concessions that is enough.

    Attributes:
        given_up: in words.
        names: of the concessions.
        left_out: openings that are not made, each with how many of its copies.
        used: length of cloth that its plan uses.
        job: the job with what all shades give up, all of its openings in it.
    """

    given_up: tuple[str, ...]
    names: frozenset[str]
    left_out: Mapping[str, int]
    cost: int
    used: Ticks
    plan: Plan
    job: Job


@dataclass(frozen=True)
class FitAnswer:
    """The answer.

    Attributes:
        plan: if there is enough as it stands.
        faults: what the judge found wrong with it; a plan with any is not to be used.
        short: in words, by how much there is too little; empty if there is enough.
        used: length used by the best plan if enough could be had.
        remedies: sets of concessions that are enough, cheapest first.
        not_enough: concessions that are not enough alone, and what is lacking then, in words.
        can_be_made: openings that can be made as asked; empty if none.
        complete: whether no cheaper set can have been missed.
        stopped: whether the user stopped it.
    """

    plan: Plan | None
    faults: tuple[str, ...]
    short: str
    used: Ticks
    remedies: tuple[Remedy, ...]
    not_enough: tuple[tuple[str, str], ...]
    can_be_made: str
    complete: bool
    stopped: bool = False

    @property
    def enough(self) -> bool:
        """Whether every opening can be made, as asked or with concessions."""
        return self.plan is not None or any(not remedy.left_out for remedy in self.remedies)


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
        opened: drops that are not cut off yet, but what is left out before them is.
    """

    done: frozenset[DropName]
    lost: frozenset[str] = frozenset()
    flaws: tuple[NewFlaw, ...] = ()
    opened: frozenset[DropName] = frozenset()

    def reach(self, plan: Plan) -> dict[tuple[str, str], Ticks]:
        """How far each piece that is begun is cut off, by cloth and piece."""
        found: dict[tuple[str, str], Ticks] = {}
        for drop in plan.drops:
            where = drop.cloth, drop.piece
            if drop_name(drop) in self.done:
                found[where] = max(found.get(where, 0), drop.end)
            elif drop_name(drop) in self.opened:
                found[where] = max(found.get(where, 0), drop.start)
        return found


def cut_before(before: Plan) -> frozenset[DropName]:
    """The drops that were cut when the plan was made."""
    return frozenset((cut.cloth, cut.piece, cut.number) for cut in before.cut)


def drop_name(drop: Drop) -> DropName:
    return drop.cloth, drop.piece, drop.number
