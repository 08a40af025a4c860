"""First plans on limited cloth, by panels laid one after the other wherever they cost least.

Openings come one after the other, large ones first, and each takes the best of a few options; that
is begun again with other orders, options and rules of what is best, drawn from a seed. Places are
exact (`solve.packing.room`): this lays panels beside flaws of any width, linings plain between
faces, and the rows of each opening where they suit it, where the job lets each have its own.
"""

from __future__ import annotations

import random
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction

from shadewright.measure import Ticks
from shadewright.solve.packing.room import Filling, Looks, Room
from shadewright.solve.problem.agreement import agrees, common_topics
from shadewright.solve.problem.kinds import Option, Problem, Rect, Roll, Topic, Value
from shadewright.solve.problem.supply import Supply
from shadewright.solve.run import Clock
from shadewright.solve.search.berths import (
    STYLES,
    Rule,
    best_berth,
    parts_of,
    rooms_of,
    rows_to_begins,
    with_rows_moved,
)
from shadewright.solve.search.candidate import Candidate, Forgone, Taken, ways_to_take

_Cost = tuple[int, Ticks, Fraction, Ticks, int]
"""What an option gives up, how much more is bought for it, what it costs apart from that, how much
more is used on hand, and its area."""

_Said = Mapping[Topic, Value]


def layings(
    problem: Problem, lines: Sequence[Supply], forgone: Forgone, clock: Clock, seed: int
) -> Iterator[Candidate]:
    """First plans on limited cloth; where openings may be left out, those that find no room are.

    Ends when one makes do with what is on hand, or where a share of the time is over; where there
    is too little on hand for that, after a few.
    """
    effort = clock.effort
    if sum(kind.copies for kind in problem.kinds) > effort.laid_copies:
        return
    some = clock.part(effort.laid_share, effort.laid_least)
    enough = lines[0].may_be_enough(problem)
    table = _LayingRules(problem, lines, forgone, some)
    first: int | None = None
    most = effort.laid if enough else effort.laid_to_buy
    for number in range(effort.laid):
        if number >= most or (number and some.over):
            return
        draw = random.Random(f"{seed} {number}")
        found, first = table.attempt(draw, number).run(first)
        if found is None:
            continue
        yield found
        if not any(part.stretch.bought for part in found.parts):
            more = effort.laid_to_use_less if _costs_least(problem, found) else effort.laid_on
            most = min(most, number + more)


def _costs_least(problem: Problem, found: Candidate) -> bool:
    """Whether no other options cost less apart from cloth, or have fewer shades."""
    return all(
        taken.option is not None
        and taken.option.cost == min(option.cost for option in kind.options)
        and taken.option.shades == min(option.shades for option in kind.options)
        for kind, row in zip(problem.kinds, found.chosen, strict=True)
        for taken, _ in row
    )


@dataclass(frozen=True)
class _LayingRules:
    """What every attempt begins from."""

    problem: Problem
    lines: Sequence[Supply]
    forgone: Forgone
    clock: Clock
    known: dict[tuple[Option, str, Ticks], Option] = field(default_factory=dict)

    def moved(self, option: Option, roll: Roll, by: Ticks) -> Option:
        """An option whose faces lie further on along a roll; worked out once."""
        key = option, roll.name, by
        if key not in self.known:
            self.known[key] = with_rows_moved(option, roll, by)
        return self.known[key]

    def attempt(self, draw: random.Random, number: int) -> _Laying:
        """An attempt; the first few go through the lines, and hold to rule."""
        few = number < len(self.lines)
        supply = self.lines[number] if few else draw.choice(self.lines)
        problem = self.problem
        said = {}
        for topic, values in common_topics(problem.kinds).items():
            if values and number:
                said[topic] = draw.choice(list(values))
        lots: dict[str, str | None] = {}
        if supply.lots == "job":
            # Those that are begun leave no choice.
            begun = {roll: lot for kept in supply.kept.values() for roll, lot in kept.items()}
            names = [roll.name for roll in problem.rolls]
            lots = {
                name: draw.choice(supply.lots_of(name)) if number else supply.lot_of_bolt(name)
                for name in names
            } | begun
        noise = 0.0 if few else draw.choice((0.0, 0.3, 1.0))
        style = number % 2 if few else draw.randrange(STYLES)
        rule = Rule(style, 1 if few else draw.choice((1, 1, -1)))
        rooms, sparing = rooms_of(problem, supply), number % 2 == 1
        return _Laying(self, number, supply, rooms, draw, lots, said, noise, rule, sparing)


@dataclass(frozen=True)
class _Laying:
    """One go at all openings.

    Attributes:
        number: the first is made even where no time is left.
        lots: that everything is cut from, where the job asks for one of each roll.
        noise: how far the order of openings departs from their size.
        rule: which places are good.
        sparing: whether cloth alone counts, and not what shades cost.
    """

    table: _LayingRules
    number: int
    supply: Supply
    rooms: tuple[Room, ...]
    draw: random.Random
    lots: Mapping[str, str | None]
    said: _Said
    noise: float
    rule: Rule
    sparing: bool

    def run(self, first: int | None) -> tuple[Candidate | None, int | None]:
        """A candidate, and the place of the first kind that finds no room on hand; no candidate
        where that may neither be bought nor left out.

        Args:
            first: a kind that found none before, and is better laid first.
        """
        kinds, clock = self.table.problem.kinds, self.table.clock
        filled = tuple(room.empty for room in self.rooms)
        chosen: list[dict[Taken, int]] = [{} for _ in kinds]
        said = dict(self.said)
        looks, homeless = Looks(), None
        effort, once = clock.effort, self.number == 0
        for k in self._order(first):
            spent = looks.count * effort.seconds_a_look
            if clock.over and not (once and spent <= effort.laid_once):
                return None, first
            kept = {**self.lots, **self.supply.kept.get(k, {})}
            before = looks.count
            found = min(
                self._ways(k, said, kept, filled, looks), key=lambda way: way[0], default=None
            )
            clock.spend_seconds((looks.count - before) * effort.seconds_a_look)
            if found is None:
                if self.table.forgone.leaving is None:
                    return None, k
                taken, homeless = Taken(None), k if homeless is None else homeless
            else:
                cost, taken, filled = found
                if cost[1] and homeless is None:
                    homeless = k
                said |= dict(taken.option.agreed) if taken.option else {}
            chosen[k][taken] = chosen[k].get(taken, 0) + 1
        rows = tuple(tuple(row.items()) for row in chosen)
        return Candidate(rows, parts_of(self.rooms, filled)), homeless

    def _order(self, first: int | None) -> list[int]:
        """Kinds by their place, one for each copy: large ones before small."""
        kinds = self.table.problem.kinds
        copies = [k for k, kind in enumerate(kinds) for _ in range(kind.copies)]
        large = {k: min(option.area for option in kind.options) for k, kind in enumerate(kinds)}
        factor = {k: 1 + self.noise * self.draw.random() for k in large}
        order = sorted(copies, key=lambda k: -large[k] * factor[k])
        if first is not None and self.draw.random() < 0.5:
            order.sort(key=lambda k: k != first)
        return order

    def _ways(
        self,
        k: int,
        said: _Said,
        kept: Mapping[str, str | None],
        filled: tuple[Filling, ...],
        looks: Looks,
    ) -> Iterator[tuple[_Cost, Taken, tuple[Filling, ...]]]:
        """Ways to cut one copy of a kind, each with what it costs."""
        least: tuple[int, Ticks] | None = None
        for option in self._options(k, said):
            for taken in ways_to_take(option, self.supply, kept):
                for moved in self._moved(taken, filled):
                    gives = len(option.gives_up)
                    most = least[1] if least is not None and least[0] <= gives else None
                    found = self._with_all(moved, filled, looks, most)
                    if found is None:
                        continue
                    bought, used, after = found
                    least = min(least or (gives, bought), (gives, bought))
                    cost = Fraction(0) if self.sparing else option.cost
                    size = option.area
                    yield (gives, bought, cost, used, size), moved, after

    def _moved(self, taken: Taken, filled: Sequence[Filling]) -> Iterator[Taken]:
        """What is taken, and the same with its rows moved to where clean cloth begins, where the
        job lets each opening have rows of its own."""
        yield taken
        option = taken.option
        if option is None:
            return
        for roll in self.table.problem.rolls:
            faces = [r for r in option.rects if r.roll == roll.name and not r.plain]
            if not roll.own_rows or not faces:
                continue
            longest = max(faces, key=lambda r: (r.along, r.across))
            phase = self.draw.choice(longest.phases)
            by = rows_to_begins(roll, self.rooms, filled, phase)
            most = self.table.clock.effort.laid_rows
            for distance in self.draw.sample(by, min(len(by), most)):
                yield replace(taken, option=self.table.moved(option, roll, distance))

    def _options(self, k: int, said: _Said) -> list[Option]:
        """A few options of a kind: those of least cloth, and some that are drawn."""
        most = self.table.clock.effort.laid_options
        if any(roll.own_rows for roll in self.table.problem.rolls):
            # Each of them is tried with several starts of its rows.
            most = -(-most // 2)
        these = [o for o in self.table.problem.kinds[k].options if agrees(o, said)]
        these.sort(key=lambda o: (len(o.gives_up), o.area, o.shades))
        few = these[: most // 2]
        rest = these[most // 2 :]
        return few + self.draw.sample(rest, min(len(rest), most - len(few)))

    def _with_all(
        self, taken: Taken, filled: tuple[Filling, ...], looks: Looks, most: Ticks | None
    ) -> tuple[Ticks, Ticks, tuple[Filling, ...]] | None:
        """All rectangles of an option laid, with what more is bought and used on hand; None if one
        finds no room.

        Args:
            most: that may be bought, so that nothing else is better.
        """
        assert taken.option is not None
        after = list(filled)
        bought = used = 0
        lots = None if self.supply.lots == "none" else dict(taken.lots)
        for rect in self._rects(taken.option):
            best = best_berth(self.rooms, after, rect, lots, self.rule, looks)
            if best is None:
                return None
            i, way = best
            after[i] = way.filled
            if self.rooms[i].stretch.bought:
                bought += way.growth
                if most is not None and bought > most:
                    return None
            else:
                used += way.growth
        return bought, used, tuple(after)

    def _rects(self, option: Option) -> list[Rect]:
        """Rectangles in the order they are laid: long ones first, wide ones, or as it falls."""
        how = self.draw.choice(("long", "wide", "any")) if self.noise else "long"
        if how == "any":
            return self.draw.sample(option.rects, len(option.rects))
        if how == "wide":
            return sorted(option.rects, key=lambda r: (-r.across, -r.along))
        return sorted(option.rects, key=lambda r: (-r.along, -r.across))
