"""The cloth there is: of each roll the stretches on hand, and the bolt, which has no end.

Each *stretch* (`shadewright.cloth.stretches`) is packed like a roll of its own, but no further than
it is long, and may stay empty. A flaw over part of the width splits its stretch into three *parts*
cut one after the other: before the flaw, beside it (no lane lies across it), and behind it.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import product

from shadewright.cloth.printed import is_tied
from shadewright.cloth.stretches import GoneStretches, Spot, Stretch, stretches
from shadewright.job.bolts import BOLT, is_bolt, number_of
from shadewright.job.model import Job, Lots
from shadewright.measure import Ticks
from shadewright.solve.effort import USUAL, Effort
from shadewright.solve.problem.bolts import Bolts, Joining, bolts_of
from shadewright.solve.problem.kinds import Problem, Roll

Span = tuple[Ticks, Ticks]
"""Usable width between two places across."""


@dataclass(frozen=True)
class Supply:
    """The cloth there is.

    Attributes:
        stretches: of each roll, those on hand first.
        lots: what must be cut from one dye lot.
        unbought: rolls of which no more can be bought.
        whole: rolls of which there is nothing but a bolt that nothing is cut from yet: they lie as
            the problem has them.
        base: for each roll whose rows may start anywhere, where they do: added to every phase.
        kept: for kinds by their place, the dye lot of rolls that they are begun from.
        several: rolls that more than one bolt may be bought of.
        most: of rolls whose bolts have a longest length, how many any plan can use.
        joining: what more bolts than are looked at could not make better.
    """

    stretches: Mapping[str, Sequence[Stretch]]
    lots: Lots = "none"
    unbought: frozenset[str] = frozenset()
    whole: frozenset[str] = frozenset()
    base: Mapping[str, Ticks] = field(default_factory=dict)
    kept: Mapping[int, Mapping[str, str | None]] = field(default_factory=dict)
    several: frozenset[str] = frozenset()
    most: Mapping[str, int] = field(default_factory=dict)
    joining: Joining = Joining.ALL

    @classmethod
    def of(
        cls,
        job: Job,
        problem: Problem,
        gone: GoneStretches | None = None,
        zeros: Mapping[str, Mapping[str, Ticks]] | None = None,
        effort: Effort = USUAL,
    ) -> Supply:
        """What a job has and may buy of every roll of its problem.

        Args:
            gone: stretches that are cut already.
            zeros: of bolts that are begun, by cloth and name, where it was not known before.
            effort: how many bolts are looked at.
        """
        gone, zeros = gone or {}, zeros or {}
        cloths = [job.cloth(roll.name) for roll in problem.rolls]
        begun = {cloth for cloth, _ in gone} | {name for name, these in zeros.items() if these}
        bolts: dict[str, Bolts] = {}
        for roll, cloth in zip(problem.rolls, cloths, strict=True):
            cut = [number_of(p) for c, p in gone if c == cloth.name and is_bolt(p)]
            last = max(cut, default=0)
            found = bolts_of(problem, roll, last, effort) if cloth.can_buy else None
            if found is not None:
                bolts[cloth.name] = found
        several = {name: each.ends for name, each in bolts.items() if each.ends}
        single = {c.name for c in cloths if c.name not in several}
        return cls(
            {
                c.name: stretches(job, c, gone, zeros.get(c.name), several.get(c.name))
                for c in cloths
            },
            job.match.lots,
            frozenset(cloth.name for cloth in cloths if not cloth.can_buy),
            frozenset(c.name for c in cloths if not c.pieces and c.name in single - begun),
            # Railroaded, it is columns that follow one another along a piece, and their places are
            # not ours to choose; nor are those of rows that are tied to motifs.
            {c.name: 0 for c in cloths if c.runs == "railroaded" or is_tied(job, c)},
            several=frozenset(several),
            most={name: each.most for name, each in bolts.items()},
            joining=min((each.joining for each in bolts.values()), default=Joining.ALL),
        )

    @classmethod
    def bolts(cls, problem: Problem) -> Supply:
        """As much of every roll as is asked for."""
        return cls(
            {r.name: [Stretch(r.name, BOLT, None, r.lead, None, None)] for r in problem.rolls},
            whole=frozenset(roll.name for roll in problem.rolls),
        )

    @property
    def on_hand(self) -> bool:
        """Whether there is any cloth that need not be bought."""
        return any(not stretch.bought for these in self.stretches.values() for stretch in these)

    @property
    def spotted(self) -> bool:
        """Whether flaws over part of the width are in any stretch."""
        return any(stretch.spots for these in self.stretches.values() for stretch in these)

    @property
    def clean(self) -> Supply:
        """The same without flaws over part of the width."""
        if not self.spotted:
            return self
        clean = {
            name: [replace(stretch, spots=()) for stretch in these]
            for name, these in self.stretches.items()
        }
        return replace(self, stretches=clean)

    def lots_of(self, roll: str) -> list[str | None]:
        """The dye lots of a roll; one that stands for all where no rule asks."""
        if self.lots == "none":
            return [None]
        return list(dict.fromkeys(stretch.lot for stretch in self.stretches[roll]))

    def lot_of_bolt(self, roll: str) -> str | None:
        """What the dye lot of a roll's bolt counts as."""
        return None if self.lots == "none" else self.stretches[roll][-1].lot

    def of_lot(self, roll: str, lot: str | None) -> list[int]:
        """Which stretches of a roll are of a lot."""
        return [
            i
            for i, stretch in enumerate(self.stretches[roll])
            if self.lots == "none" or stretch.lot == lot
        ]

    def placed(self, roll: Roll, stretch: Stretch) -> Roll:
        """The roll as a stretch of it: from where, and in which phase, a first drop may begin."""
        if roll.name in self.whole:
            return roll
        if roll.period == 1 or stretch.zero is None:
            # No rows to keep, or the first drop says where they are.
            return replace(roll, lead=stretch.start)
        base = self.base.get(roll.name, 0)
        phase = (stretch.start - stretch.zero - base - roll.zero) % roll.period
        if len(roll.nodes) > 1:
            return replace(roll, lead=stretch.start, origin=phase)
        return replace(roll, lead=stretch.start + -phase % roll.period, origin=None)

    def endless(self, problem: Problem, roll: Roll) -> Ticks:
        """A length that no plan reaches: all that may be asked of a roll, one after the other
        behind the end of its last stretch, each waiting for its phase."""
        behind = max(max(s.start, s.end or 0) for s in self.stretches[roll.name])
        most = problem.rects(roll)
        waits = 2 * roll.period
        return behind + roll.lead + sum((r.along + waits) * n for r, n in most.items()) + waits

    def may_be_enough(self, problem: Problem) -> bool:
        """Whether the area on hand is no less than what is asked for, of every roll."""
        for roll in problem.rolls:
            there = sum(
                (each.end - each.start) * roll.usable
                for each in self.stretches[roll.name]
                if not each.bought and each.end is not None
            )
            asked = sum(
                kind.copies
                * min(
                    sum(r.across * r.along * n for r, n in option.demand if r.roll == roll.name)
                    for option in kind.options
                )
                for kind in problem.kinds
            )
            if asked > there:
                return False
        return True

    def lines(self, problem: Problem, effort: Effort = USUAL) -> tuple[list[Supply], bool]:
        """The supply with each start of rows worth trying, and whether those are all.

        Where rows of a print start matters when pieces begin at known heights of it.
        """
        complete = True
        choices: list[list[tuple[str, Ticks]]] = []
        for roll in problem.rolls:
            if roll.name in self.base or not self._free_rows(roll):
                continue
            found = self._starts_of_rows(problem, roll)
            complete = complete and len(found) <= effort.bases
            choices.append([(roll.name, base) for base in found[: effort.bases]])
        every = [replace(self, base={**self.base, **dict(bases)}) for bases in product(*choices)]
        return every[: effort.lines], complete and len(every) <= effort.lines

    def _free_rows(self, roll: Roll) -> bool:
        """Whether rows may start anywhere, and some piece begins at a known height of the print."""
        if roll.name in self.whole or roll.period == 1 or roll.origin is not None:
            return False
        return any(stretch.zero is not None for stretch in self.stretches[roll.name])

    def _starts_of_rows(self, problem: Problem, roll: Roll) -> list[Ticks]:
        """Bases worth trying: those at which some rectangle begins right at the start of a stretch.

        Everything can be moved towards the starts of the pieces until one does.
        """
        phases = sorted({slot.phase for rect in problem.rects(roll) for slot in rect.slots})
        found: dict[Ticks, None] = {}
        known = [s for s in self.stretches[roll.name] if s.zero is not None]
        known.sort(key=lambda s: (s.end is not None, s.start - (s.end or 0)))
        for stretch in known:
            begins = [stretch.start, *(spot.end for spot in stretch.spots)]
            for start, phase in product(begins, phases):
                assert stretch.zero is not None
                found[(start - stretch.zero - roll.zero - phase) % roll.period] = None
        return list(found) or [0]


def apart(spots: Iterable[Spot]) -> tuple[Spot, ...]:
    """Flaws that lie one after the other: those beside each other are taken together."""
    found: list[Spot] = []
    for spot in sorted(spots, key=lambda spot: spot.start):
        if found and spot.start < found[-1].end:
            last = found[-1]
            found[-1] = Spot(
                last.start,
                max(last.end, spot.end),
                min(last.left, spot.left),
                max(last.right, spot.right),
            )
        else:
            found.append(spot)
    return tuple(found)


def spots_of(roll: Roll, stretch: Stretch) -> tuple[Spot, ...]:
    """The flaws that split a stretch in the model.

    Where several phases matter, or drops must keep to a table, such a flaw is taken to be as wide
    as the cloth: no lane lies beside it. First plans know better (`solve.packing.room`).
    """
    spots: Iterable[Spot] = stretch.spots
    if len(roll.nodes) > 1 or roll.table is not None:
        spots = (replace(spot, left=0, right=roll.usable) for spot in spots)
    return apart(spots)


def beside(roll: Roll, spot: Spot) -> tuple[Span, ...]:
    """What a flaw leaves of the width."""
    spans = ((0, spot.left), (spot.right, roll.usable))
    return tuple(span for span in spans if span[1] > span[0])
