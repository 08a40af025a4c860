"""A plan as far as the model goes: what openings take, and what is cut from each stretch."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import product
from typing import TypeVar

from shadewright.cloth.order import Arc, open_order
from shadewright.cloth.stretches import Stretch
from shadewright.measure import Ticks
from shadewright.solve.packing.drops import CutDrop
from shadewright.solve.packing.filling import fullest
from shadewright.solve.packing.lay import DropOnRoll, lay_out, length_of, shortest_end
from shadewright.solve.problem.kinds import Option, Problem, Rect, Roll
from shadewright.solve.problem.supply import Span, Supply
from shadewright.solve.search.goals import Goal, goal_order, spent

T = TypeVar("T")

AREA_UNIT = 1 << 10
"""Remnants are compared by area in units of so many square ticks, to keep numbers small."""
LARGEST_AREA = 1 << 45


@dataclass(frozen=True)
class Taken:
    """An option as it is taken: with the dye lot of each roll it is cut from.

    Attributes:
        option: None where the opening is left out.
    """

    option: Option | None
    lots: tuple[tuple[str, str | None], ...] = ()

    @property
    def gives_up(self) -> frozenset[str]:
        """What was asked for and is given up."""
        return frozenset() if self.option is None else self.option.gives_up

    def lot(self, roll: str) -> str | None:
        return dict(self.lots)[roll]


Chosen = tuple[tuple[tuple[Taken, int], ...], ...]
"""For each kind of opening what is taken, and by how many copies."""


@dataclass(frozen=True)
class Forgone:
    """What a plan may do without.

    Attributes:
        leaving: what leaving out a copy of each kind costs; None where none may be left out.
        costs: of everything that options may give up, paid once however many options give it up.
        known: sets that are known already, and how many copies of each kind they leave out;
            nothing that gives up all of one of these is looked for.
    """

    leaving: Sequence[int] | None = None
    costs: Mapping[str, int] = field(default_factory=dict)
    known: tuple[tuple[frozenset[str], tuple[int, ...]], ...] = ()

    @property
    def something(self) -> bool:
        return self.leaving is not None or bool(self.costs)


@dataclass(frozen=True)
class CutPart:
    """Part of a stretch as it is cut.

    Attributes:
        number: of the part in its stretch, in the order they are cut.
        roll: the roll with its lead at the start of this part.
        spans: places across that lanes may lie in; the whole usable width if empty.
        laid: the drops with all their places, where these stand; else they are laid one behind the
            other, as near the start as can be.
    """

    stretch: Stretch
    number: int
    roll: Roll
    spans: tuple[Span, ...]
    drops: tuple[CutDrop, ...]
    laid: tuple[DropOnRoll, ...] = ()

    @property
    def key(self) -> tuple[str, str, Ticks, int]:
        """What tells it from other parts of all cloth."""
        return self.stretch.cloth, self.stretch.piece, self.stretch.start, self.number

    @property
    def end(self) -> Ticks:
        """Where its last drop ends."""
        return max(laid.end for laid in self.laid or lay_out(self.roll, self.drops))


@dataclass(frozen=True)
class Candidate:
    """What openings take, and what is cut for it from each stretch that is used."""

    chosen: Chosen
    parts: tuple[CutPart, ...]

    @property
    def options(self) -> list[tuple[Option, int]]:
        """The options taken, and by how many copies."""
        return [(t.option, n) for row in self.chosen for t, n in row if t.option is not None]

    def drops(self, roll: str) -> list[CutDrop]:
        """All drops of a roll that have its whole width."""
        parts = (part for part in self.parts if part.stretch.cloth == roll and not part.spans)
        return [drop for part in parts for drop in part.drops]

    def ends(self) -> dict[tuple[str, str], Ticks]:
        """Where the last drop of each piece ends, by cloth and piece."""
        found: dict[tuple[str, str], Ticks] = {}
        for part in self.parts:
            piece = part.stretch.cloth, part.stretch.piece
            found[piece] = max(found.get(piece, 0), part.end)
        return found


def options_taken(chosen: Sequence[Sequence[tuple[Option, int]]], supply: Supply) -> Chosen:
    """Options as they are taken from the bolts."""
    return tuple(
        tuple((Taken(o, tuple((r, supply.lot_of_bolt(r)) for r in rolls_of(o))), n) for o, n in row)
        for row in chosen
    )


def counted(row: Iterable[tuple[T, int]]) -> Counter[T]:
    """What is taken, and by how many copies in all: the same may stand there more than once."""
    counts: Counter[T] = Counter()
    for each, copies in row:
        counts[each] += copies
    return counts


def made_first(chosen: Chosen) -> Chosen:
    """What is taken, with what is left out last: of copies that are alike the last are not made."""
    return tuple(tuple(sorted(row, key=lambda each: each[0].option is None)) for row in chosen)


def ways_to_take(option: Option, supply: Supply, kept: Mapping[str, str | None]) -> Iterator[Taken]:
    """An option with every choice of dye lots.

    Args:
        kept: lots of rolls that leave no choice.
    """
    rolls = rolls_of(option)
    told = supply.lots != "none"
    lots_of = [[kept[r]] if told and r in kept else supply.lots_of(r) for r in rolls]
    for lots in product(*lots_of):
        yield Taken(option, tuple(zip(rolls, lots, strict=True)))


def rolls_of(option: Option) -> list[str]:
    """The rolls that an option is cut from."""
    return sorted({rect.roll for rect in option.rects})


def taken_rects(options: Iterable[tuple[Option, int]], roll: str) -> dict[Rect, int]:
    """What options taken by so many copies ask of a roll."""
    asked: dict[Rect, int] = {}
    for option, copies in options:
        for rect, count in option.demand:
            if rect.roll == roll:
                asked[rect] = asked.get(rect, 0) + count * copies
    return asked


def in_order(roll: Roll, drops: Iterable[CutDrop]) -> tuple[CutDrop, ...]:
    """Drops of a roll of several phases in the order that wastes least between them."""
    these = tuple(drops)
    arcs = [Arc(drop.phase, length_of(roll, drop)) for drop in these]
    return tuple(these[i] for i in open_order(arcs, roll.period, roll.origin).sequence)


def score(
    problem: Problem, supply: Supply, candidate: Candidate, forgone: Forgone | None = None
) -> dict[Goal, int]:
    """What a candidate reaches for every goal, counted from what it takes and cuts."""
    taken, ends = candidate.options, candidate.ends()
    bolts = {name: bolts_used(supply, name, ends) for name in supply.stretches}
    spares = {r.name: r.spare_with(option for option, _ in taken) for r in problem.rolls}
    shades = sum(option.shades * n for option, n in taken)
    costs = sum(problem.option_cost(option) * n for option, n in taken)
    return {
        "short": sum(sum(bolts[name]) for name in supply.unbought),
        "left": _left(candidate, forgone or Forgone()),
        goal_order(problem)[0]: spent(problem, bolts, spares, costs),
        "shades": shades,
        "used": sum(ends.values()),
        "widths": len({width for option, _ in taken for width in option.cut_widths}),
        "gaps": sum(option.gaps * n for option, n in taken),
        "remnant": _remnant(problem, supply, ends),
    }


def bolts_used(supply: Supply, roll: str, ends: Mapping[tuple[str, str], Ticks]) -> list[Ticks]:
    """Where the last drop of each bolt of a roll ends that something is cut from."""
    bolts = dict.fromkeys(s.piece for s in supply.stretches[roll] if s.bought)
    return [ends[roll, piece] for piece in bolts if (roll, piece) in ends]


def has_room_to_spare(problem: Problem, supply: Supply, candidate: Candidate) -> bool:
    """Whether some bolt of each roll has room for what is bought to spare."""
    ends, options = candidate.ends(), [option for option, _ in candidate.options]
    return all(
        roll.to_buy(bolts_used(supply, roll.name, ends), roll.spare_with(options)) is not None
        for roll in problem.rolls
        if roll.name in supply.several
    )


def _left(candidate: Candidate, forgone: Forgone) -> int:
    gone = {name for row in candidate.chosen for taken, _ in row for name in taken.gives_up}
    cost = sum(forgone.costs[name] for name in gone)
    for row, leaving in zip(candidate.chosen, forgone.leaving or (), strict=False):
        cost += leaving * sum(n for taken, n in row if taken.option is None)
    return cost


def _remnant(problem: Problem, supply: Supply, ends: Mapping[tuple[str, str], Ticks]) -> int:
    largest = 0
    for roll in problem.rolls:
        across = roll.usable // AREA_UNIT
        for piece, end in lengths_on_hand(supply, roll.name).items():
            largest = max(largest, across * (end - ends.get((roll.name, piece), 0)))
    return LARGEST_AREA - largest if supply.on_hand else 0


def lengths_on_hand(supply: Supply, roll: str) -> dict[str, Ticks]:
    """Where the last stretch of each piece on hand ends."""
    return {s.piece: s.end for s in supply.stretches[roll] if not s.bought and s.end is not None}


def placed_part(supply: Supply, roll: Roll, stretch: Stretch, drops: Iterable[CutDrop]) -> CutPart:
    """A stretch cut from its start."""
    here = supply.placed(roll, stretch)
    these = in_order(here, drops) if len(here.nodes) > 1 else tuple(drops)
    return CutPart(stretch, 0, here, (), these)


def cut_in_turn(
    roll: Roll,
    supply: Supply,
    drops: Sequence[CutDrop],
    stretches: Iterable[Stretch],
    first: Ticks | None = None,
) -> Iterator[CutPart]:
    """Drops, longest first, each on the first stretch with room for it; those that find none are
    left out. On hand those come together that fill a stretch, where they need not wait.

    Args:
        first: how far the first stretch may be used, where that is not to its end.
    """
    left = sorted(drops, key=lambda drop: -length_of(roll, drop))
    for number, stretch in enumerate(stretches):
        here = supply.placed(roll, stretch)
        end = stretch.end if number or first is None or stretch.end is None else first
        mine: list[CutDrop] = []
        if end is None:
            mine, left = left, []
        elif not stretch.bought and not stretch.spots and here.period == 1:
            lengths = [length_of(here, drop) for drop in left]
            chosen = fullest(lengths, end - here.lead)
            mine = [left[i] for i in chosen]
            left = [drop for i, drop in enumerate(left) if i not in chosen]
        elif not stretch.spots:
            at, rest = here.lead, []
            for drop in left:
                # What a drop may wait for its phase is less than a period.
                long = length_of(here, drop)
                wait = roll.period - 1
                if not mine:
                    wait = 0 if here.origin is None else (drop.phase - here.origin) % here.period
                if at + wait + long <= end:
                    mine.append(drop)
                    at += long + roll.period - 1
                else:
                    rest.append(drop)
            left = rest
        if mine:
            several = len(here.nodes) > 1
            yield CutPart(
                stretch, 0, here, (), in_order(here, mine) if several else shortest_end(here, mine)
            )
