"""What the model decides about: kinds of opening with their options, and rolls to cut from.

This is the job with the trade taken out of it. Each opening must take one option; an option asks
for rectangles of certain rolls; rectangles lie on a roll in three guillotine stages. All lengths
are in ticks.

A rectangle lies in one of its *slots* (`shadewright.cloth.lattice`): a phase along the roll, and
places across. Where all rectangles of a roll have one phase, the roll has a *period*: rectangles
start only at whole periods from the start of the first drop. On plain cloth anything may start
anywhere, and since the parts of a drop can be pushed together, all starts then lie at sums of
rectangle lengths: the period is their common divisor. Where there are several phases, the roll has
*nodes* on a circle, and the order of its drops matters.
"""

from __future__ import annotations

from bisect import bisect_left
from collections import Counter
from collections.abc import Callable, Hashable, Iterable, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import cached_property
from math import lcm
from operator import attrgetter
from typing import Protocol

from shadewright.cloth.lattice import ANYWHERE, Slot
from shadewright.measure import Ticks
from shadewright.trade.buying import to_buy
from shadewright.trade.divisions import Way

Topic = tuple[str, str]
"""Something that options taken together must agree on: what kind of thing, and of what."""

Value = Hashable

Agreed = tuple[tuple[Topic, Value], ...]
"""Topics that an option speaks of, and what it says of each."""

CUT_ALREADY = ""
"""Stands for the roll of a rectangle that need not be cut any more."""


@dataclass(frozen=True, order=True)
class Rect:
    """A rectangle to be cut from a roll; equal rectangles are interchangeable.

    Attributes:
        plain: whether its slots are only those of others on its roll, and no rule binds it along.
    """

    roll: str
    across: Ticks
    along: Ticks
    slots: tuple[Slot, ...] = (ANYWHERE,)
    plain: bool = False

    def __hash__(self) -> int:
        return self._hash

    @cached_property
    def _hash(self) -> int:
        """Worked out once: rectangles with many slots are looked up time and again."""
        return hash(self.key)

    @cached_property
    def key(self) -> tuple[object, ...]:
        """What it is compared by, worked out once."""
        return (self.roll, self.across, self.along, self.slots, self.plain)

    @property
    def anywhere(self) -> bool:
        """Whether any place across will do."""
        return all(slot.pace == 1 for slot in self.slots)

    def lies_within(self, left: Ticks, right: Ticks) -> bool:
        """Whether it has a place across between these edges."""
        return any(slot.from_(left) + self.across <= right for slot in self.slots)

    def does_for(self, other: Rect) -> bool:
        """Whether this one can lie within every place of another, and takes no more phases."""
        return (
            self.is_no_larger(other)
            and self.roll == other.roll
            and (
                self.slots == other.slots
                or all(self._within(its, other.across - self.across) for its in other.slots)
            )
        )

    def is_no_larger(self, other: Rect) -> bool:
        return self.across <= other.across and self.along <= other.along

    @cached_property
    def by_phase(self) -> tuple[tuple[Ticks, tuple[Slot, ...]], ...]:
        """Its slots, put together by phase, in ascending order."""
        found: dict[Ticks, list[Slot]] = {}
        for slot in self.slots:
            found.setdefault(slot.phase, []).append(slot)
        return tuple((phase, tuple(found[phase])) for phase in sorted(found))

    @cached_property
    def phases(self) -> tuple[Ticks, ...]:
        """The phases of its slots in ascending order."""
        return tuple(phase for phase, _ in self.by_phase)

    @cached_property
    def _by_phase(self) -> dict[Ticks, dict[Ticks, list[Ticks]]]:
        """First places across in ascending order, by phase and by pace."""
        found: dict[Ticks, dict[Ticks, list[Ticks]]] = {}
        for slot in sorted(self.slots):
            found.setdefault(slot.phase, {}).setdefault(slot.pace, []).append(slot.first)
        return found

    def _within(self, its: Slot, spare: Ticks) -> bool:
        """Whether every place of a slot is at most `spare` before one of this rectangle's own."""
        for pace, firsts in self._by_phase.get(its.phase, {}).items():
            if its.pace % pace == 0:
                # A first place is less than the pace, so that the next one after the last is the
                # first again.
                place = its.first % pace
                after = bisect_left(firsts, place)
                next_ = firsts[after] if after < len(firsts) else firsts[0] + pace
                if next_ - place <= spare:
                    return True
        return False


@dataclass(frozen=True)
class Option:
    """One way to make an opening.

    Attributes:
        widths: finished widths, left to right.
        way: how its cloths lie.
        cut: the rectangles of each shade, left to right: its face, and its lining if any.
        gaps: sum of the gaps.
        cut_widths: the different cut widths among its panels.
        agreed: what it says of topics that all options taken must agree on.
        gives_up: what was asked for and is given up.
        cost: what making its shades costs, or is worth: money where the problem is priced, else
            ticks of cloth.
    """

    widths: tuple[Ticks, ...]
    way: Way
    cut: tuple[tuple[Rect, ...], ...]
    gaps: Ticks
    cut_widths: frozenset[Ticks]
    agreed: Agreed = ()
    gives_up: frozenset[str] = frozenset()
    cost: Fraction = Fraction(0)

    @property
    def shades(self) -> int:
        return len(self.widths)

    @cached_property
    def rects(self) -> tuple[Rect, ...]:
        """Its rectangles one by one, sorted; those cut already left out."""
        every = (rect for shade in self.cut for rect in shade if rect.roll != CUT_ALREADY)
        return tuple(sorted(every, key=attrgetter("key")))

    @cached_property
    def area(self) -> int:
        """What it takes of cloth, across times along."""
        return sum(rect.across * rect.along for rect in self.rects)

    @cached_property
    def demand(self) -> tuple[tuple[Rect, int], ...]:
        """Its rectangles and how many of each."""
        return tuple(Counter(self.rects).items())


NOTHING = Option((), Way(False, None), (), 0, frozenset())
"""Stands for the option of an opening that is left out."""


class Divisions(Protocol):
    """Divisions of an opening that are too many to list."""

    @property
    def agreed(self) -> Agreed:
        """What all of them say of topics that options must agree on."""

    def cheapest(self, value: Callable[[Rect], float]) -> float:
        """No division is worth less than this; a wider rectangle must be worth no less."""

    def best(self, value: Callable[[Rect], float]) -> Option | None:
        """The cheapest division, or nearly; None if there is none."""


@dataclass(frozen=True)
class Kind:
    """Openings that are alike in all that matters here, and their options.

    Attributes:
        copies: how many there are.
        options: what each may take.
        complete: whether `options` holds every division the job allows; if not, `floors` bounds
            what has been left out.
        floors: optimistic stand-ins, one a family of divisions: no division of the family asks
            for less of any roll, by any measure. Only used for bounds.
        families: all divisions there are where not all are listed; empty where those say nothing
            that `floors` do not.
    """

    copies: int
    options: tuple[Option, ...]
    complete: bool = True
    floors: tuple[Option, ...] = ()
    families: tuple[Divisions, ...] = ()

    @property
    def bounding(self) -> tuple[Option, ...]:
        """Options that bound every division from below."""
        return self.options if self.complete else self.floors


@dataclass(frozen=True)
class Roll:
    """A cloth as the model sees it.

    Attributes:
        usable: width that rectangles may lie in.
        lead: where the first drop may start (square-up).
        period: rectangles of one phase start this far apart along the roll.
        nodes: the phases of its rectangles; just 0 where they share one.
        zero: phase of the first node, from a point of the print that phases are counted from.
        origin: phase of the lead; None where the first drop may begin at any phase.
        exact: whether the slots say all there is; if not, they are a way to keep the rules that
            another plan might do without, and bounds are taken without them.
        own_rows: whether the rows of each opening may start wherever suits it, along the roll.
        allowance: bought beyond what is used, with each bolt.
        spare: bought beyond that, once; where `spare_panel`, at least its longest rectangle.
        bolt: the most that is sold in one piece, in whole buying steps; None: no limit.
        sold_in: buying step.
        price: money per tick; None if not known.
        table: no drop is longer; None: no limit.
    """

    name: str
    usable: Ticks
    lead: Ticks = 0
    period: Ticks = 1
    nodes: tuple[Ticks, ...] = (0,)
    zero: Ticks = 0
    origin: Ticks | None = None
    exact: bool = True
    own_rows: bool = False
    allowance: Ticks = 0
    spare: Ticks = 0
    spare_panel: bool = False
    bolt: Ticks | None = None
    sold_in: Ticks = 1
    price: Fraction | None = None
    table: Ticks | None = None

    def spare_with(self, options: Iterable[Option]) -> Ticks:
        """What is bought to spare where these options are taken."""
        if not self.spare_panel:
            return self.spare
        along = (r.along for o in options for r, _ in o.demand if r.roll == self.name)
        return max(along, default=0) if not self.spare else max(self.spare, *along, 0)

    def to_buy(self, ends: Sequence[Ticks], spare: Ticks) -> list[Ticks] | None:
        """What to buy of each bolt that is used as far as these ends, the spare with the one where
        it costs least; None where no one has room for it."""
        return to_buy(ends, self.allowance, spare, self.sold_in, self.bolt)


@dataclass(frozen=True)
class Problem:
    """All openings and all rolls.

    Attributes:
        units: see `scale`; None where this problem's own amounts say.
    """

    kinds: tuple[Kind, ...]
    rolls: tuple[Roll, ...]
    units: int | None = None

    @property
    def priced(self) -> bool:
        """Whether money can be the first goal."""
        return all(roll.price is not None for roll in self.rolls)

    @cached_property
    def scale(self) -> int:
        """Whole units that money, or length bought, is counted in: so many to one of it."""
        if self.units is not None:
            return self.units
        amounts = {option.cost for kind in self.kinds for option in kind.options}
        amounts |= {option.cost for kind in self.kinds for option in kind.floors}
        return lcm(*(amount.denominator for amount in {*amounts, *map(self._step, self.rolls)}))

    def _step(self, roll: Roll) -> Fraction:
        return (roll.price or Fraction(0)) * roll.sold_in if self.priced else Fraction(roll.sold_in)

    def step_cost(self, roll: Roll) -> int:
        """What a buying step of a roll costs, in whole units."""
        return int(self._step(roll) * self.scale)

    def option_cost(self, option: Option) -> int:
        """What an option costs apart from cloth, in whole units."""
        return int(option.cost * self.scale)

    def having(self, kinds: Iterable[Kind]) -> Problem:
        """The problem with these kinds instead, and money counted as here."""
        return replace(self, kinds=tuple(kinds), units=self.scale)

    def by_the_tick(self) -> Problem:
        """The problem, with cloth sold by the tick and nothing to spare."""
        rolls = (
            replace(roll, sold_in=1, allowance=0, spare=0, spare_panel=False) for roll in self.rolls
        )
        return replace(self, rolls=tuple(rolls), units=None)

    def bounding(self) -> Problem:
        """The problem whose every option bounds: what is best there, no plan of this one beats."""
        return self.having(Kind(kind.copies, kind.bounding) for kind in self.kinds)

    def rects(self, roll: Roll) -> dict[Rect, int]:
        """Rectangles of a roll that any option asks for, each with the most a plan can need."""
        return dict(self._rects.get(roll.name, {}))

    @cached_property
    def _rects(self) -> dict[str, dict[Rect, int]]:
        """The same of all rolls, by name: asked for time and again."""
        most: dict[Rect, int] = {}
        for kind in self.kinds:
            here: dict[Rect, int] = {}
            for option in kind.options:
                for rect, count in option.demand:
                    here[rect] = max(here.get(rect, 0), count)
            for rect, count in here.items():
                most[rect] = most.get(rect, 0) + count * kind.copies
        found: dict[str, dict[Rect, int]] = {}
        for rect in sorted(most, key=attrgetter("key")):
            found.setdefault(rect.roll, {})[rect] = most[rect]
        return found
