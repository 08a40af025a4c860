"""First plans on limited cloth, by simple rules: openings one after the other, each wherever its
rectangles fit on what is on hand, and else on the bolt.

A rectangle goes where its stretch ends soonest with it: beside the lanes of a drop, after one of
them, or in a drop of its own. Several orders of openings and of their options are tried. Where
openings are very many, drops of a plan on the bolt alone are moved to pieces instead.
"""

from __future__ import annotations

import random
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import product

from shadewright.cloth.stretches import Stretch
from shadewright.measure import Ticks, ceil_to
from shadewright.solve.effort import Effort
from shadewright.solve.packing.drops import CutDrop, CutLane, fit
from shadewright.solve.packing.grid import Grid
from shadewright.solve.packing.lay import lay_out, length_of, shortest_end, too_long
from shadewright.solve.problem.agreement import agrees, settlements
from shadewright.solve.problem.kinds import Option, Problem, Rect, Roll, Topic, Value
from shadewright.solve.problem.supply import Span, Supply, beside, spots_of
from shadewright.solve.run import Clock
from shadewright.solve.search.candidate import (
    Candidate,
    CutPart,
    Forgone,
    Taken,
    cut_in_turn,
    in_order,
    ways_to_take,
)


@dataclass(frozen=True)
class _Strip:
    """Part of a stretch to be filled from its start, on its whole width or on the widest that a
    flaw leaves of it.

    Attributes:
        number: of the part in its stretch, as the model counts them.
        end: of it; None on the bolt.
        spans: what a flaw beside leaves of the width; empty for the whole width.
    """

    stretch: Stretch
    number: int
    grid: Grid
    end: Ticks | None
    effort: Effort
    spans: tuple[Span, ...] = ()

    @property
    def roll(self) -> Roll:
        return self.grid.roll

    def cut(self, drops: Sequence[CutDrop], usable: Ticks) -> CutPart:
        """The part as it is cut.

        Args:
            usable: width of the whole roll.
        """
        roll = replace(self.roll, usable=usable)
        return CutPart(self.stretch, self.number, roll, self.spans, self.ordered(drops))

    @property
    def phased(self) -> bool:
        return len(self.roll.nodes) > 1

    def ordered(self, drops: Sequence[CutDrop]) -> tuple[CutDrop, ...]:
        """Drops in the order that ends soonest."""
        if self.phased:
            return in_order(self.roll, drops)
        return shortest_end(self.roll, drops)

    def reach(self, drops: Sequence[CutDrop]) -> Ticks:
        """Where the last of these drops ends."""
        return max(laid.end for laid in lay_out(self.roll, self.ordered(drops)))

    def put(self, drops: tuple[CutDrop, ...], rect: Rect) -> tuple[CutDrop, ...] | None:
        """The drops with one rectangle more, in the first that gets no longer by it, else where
        they reach least; None if there is no room for it."""
        if self.end is not None:
            cut = sum(r.across * r.along for d in drops for lane in d.lanes for r in lane.rects)
            room = self.roll.usable * (self.end - self.roll.lead) - cut
            if rect.across * rect.along > room:
                return None
        longer: list[tuple[CutDrop, ...]] = []
        first = max(len(drops) - self.effort.filled_drops, 0)
        for i, drop in enumerate(drops[first:], first):
            for larger in self._with(drop, rect):
                if too_long(self.roll, larger):
                    continue
                more = (*drops[:i], larger, *drops[i + 1 :])
                if length_of(self.roll, larger) <= length_of(self.roll, drop):
                    return more
                longer.append(more)
        for phase in sorted({slot.phase for slot in rect.slots}) if self.phased else [0]:
            lane = CutLane((rect,), (phase,) if self.phased else ())
            if fit(self.grid, [lane]):
                longer.append((*drops, CutDrop((lane,), phase)))
        # In the order they come in first, which is quick and mostly tells enough.
        reached = [max(laid.end for laid in lay_out(self.roll, more)) for more in longer]
        some = sorted(range(len(longer)), key=lambda i: (reached[i], i))[: self.effort.filled_ways]
        for i in some:
            if self.end is None or reached[i] <= self.end:
                return longer[i]
            # Another order saves less than each drop may wait.
            waits = len(longer[i]) * self.roll.period
            if reached[i] - waits <= self.end and self.reach(longer[i]) <= self.end:
                return longer[i]
        return None

    def _with(self, drop: CutDrop, rect: Rect) -> Iterator[CutDrop]:
        """The drop with a rectangle after one of its lanes, or beside them."""
        for phase in sorted({slot.phase for slot in rect.slots}) if self.phased else [0]:
            more = (phase,) if self.phased else ()
            for i, lane in enumerate(drop.lanes):
                if lane.width < rect.across:
                    continue
                longer = CutLane((*lane.rects, rect), (*lane.phases, *more))
                lanes = (*drop.lanes[:i], longer, *drop.lanes[i + 1 :])
                if rect.anywhere or fit(self.grid, lanes):
                    yield replace(drop, lanes=lanes)
            lanes = (*drop.lanes, CutLane((rect,), more))
            if fit(self.grid, lanes):
                yield replace(drop, lanes=lanes)


_State = Mapping[int, tuple[CutDrop, ...]]
"""What is cut from each strip so far, by its place."""


def fillings(
    problem: Problem, supply: Supply, forgone: Forgone, clock: Clock, seed: int
) -> Iterator[Candidate]:
    """First plans on limited cloth: openings that find no room are left out where they may be.

    First by a few orders that mostly do well; then, where there may be enough on hand and none of
    these made do with it, by orders and options that are drawn.

    Where no time is left only one is made.
    """
    if sum(kind.copies for kind in problem.kinds) > clock.effort.filled_copies:
        return
    effort = clock.effort
    every = [strip for r in problem.rolls for strip in _strips(problem, supply, r, effort)]
    made = [_Filling(problem, supply, forgone, every, effort)]
    if supply.spotted:
        narrow = [s for r in problem.rolls for s in _strips(problem, supply, r, effort, along=True)]
        made.append(_Filling(problem, supply, forgone, narrow, effort))
    looks = sum(kind.copies * min(len(kind.options), 4) for kind in problem.kinds)
    cost = looks * len(every) * effort.seconds_to_put
    agreed = list(settlements(problem.kinds, effort.settlements))
    enough = False
    ways = product(agreed, made, _orders(problem), _KEYS)
    for n, (settled, filling, order, key) in enumerate(ways):
        if n and clock.over:
            return
        clock.spend_seconds(cost)
        menus = [sorted(kind.options, key=key) for kind in problem.kinds]
        found = filling.made(order, menus, settled)
        if found is not None:
            yield found
            enough = enough or not any(part.stretch.bought for part in found.parts)
    if enough or forgone.leaving is not None or not _may_be_enough(problem, supply) or not agreed:
        return
    some = clock.part(effort.drawn_share)
    for n in range(effort.drawn):
        if some.over:
            return
        some.spend_seconds(cost)
        draw = random.Random(f"{seed} {n}")
        order = [k for k, kind in enumerate(problem.kinds) for _ in range(kind.copies)]
        draw.shuffle(order)
        few = [draw.sample(kind.options, min(len(kind.options), 12)) for kind in problem.kinds]
        menus = [sorted(these, key=draw.choice(_KEYS)) for these in few]
        found = draw.choice(made).made(order, menus, draw.choice(agreed))
        if found is not None:
            yield found
            if not any(part.stretch.bought for part in found.parts):
                return


_KEYS: list[Callable[[Option], tuple[int, int, int]]] = [
    lambda option: (len(option.gives_up), _area(option), option.shades),
    lambda option: (len(option.gives_up), option.shades, _area(option)),
]


def _orders(problem: Problem) -> list[list[int]]:
    """Kinds by their place, one for each copy: the largest first, and the longest."""
    large = [_area(min(kind.options, key=_area)) for kind in problem.kinds]
    long = [
        max((rect.along for o in kind.options for rect, _ in o.demand), default=0)
        for kind in problem.kinds
    ]
    places = range(len(problem.kinds))
    return [
        [k for k in sorted(places, key=key) for _ in range(problem.kinds[k].copies)]
        for key in (lambda k: (-large[k],), lambda k: (-long[k], -large[k]))
    ]


def _may_be_enough(problem: Problem, supply: Supply) -> bool:
    """Whether the area on hand is no less than what is asked for, of every roll."""
    for roll in problem.rolls:
        there = sum(
            (s.end - s.start) * roll.usable
            for s in supply.stretches[roll.name]
            if not s.bought and s.end is not None
        )
        asked = sum(
            kind.copies
            * min(
                sum(r.across * r.along * n for r, n in o.demand if r.roll == roll.name)
                for o in kind.options
            )
            for kind in problem.kinds
        )
        if asked > there:
            return False
    return True


def _area(option: Option) -> int:
    return sum(rect.across * rect.along * count for rect, count in option.demand)


def _strips(
    problem: Problem, supply: Supply, roll: Roll, effort: Effort, *, along: bool = False
) -> Iterator[_Strip]:
    """The parts of all stretches of a roll: those before and behind flaws.

    Args:
        along: whether a flaw over part of the width is left aside all along its stretch instead, or
            as far as the next one.
    """
    rects = problem.rects(roll)
    anywhere = all(rect.anywhere for rect in rects)
    for stretch in supply.stretches[roll.name]:
        here = supply.placed(roll, stretch)
        spots = spots_of(roll, stretch, anywhere)
        aside = along and all(beside(roll, spot) for spot in spots)
        number = 0
        for i, spot in enumerate((*spots, None)):
            behind = max(spots[i - 1].end - here.lead, 0) if i else 0
            lead = here.lead + ceil_to(behind, here.period)
            spans = beside(roll, spot) if spot is not None else ()
            end = stretch.end if spot is None else spot.start
            if aside and spots:
                if spot is None:
                    break
                end = stretch.end if spot is spots[-1] else spot.end
                across = max(right - left for left, right in spans)
                grid = Grid.of(replace(here, lead=lead, usable=across), rects)
                if end is None or end > lead:
                    yield _Strip(stretch, number + 1, grid, end, effort, spans)
            elif end is None or end > lead:
                grid = Grid.of(replace(here, lead=lead), rects)
                yield _Strip(stretch, number, grid, end, effort)
            number += 1 + bool(spans)


@dataclass(frozen=True)
class _Filling:
    """Makes first plans of one problem."""

    problem: Problem
    supply: Supply
    forgone: Forgone
    strips: Sequence[_Strip]
    effort: Effort

    def made(
        self,
        order: Sequence[int],
        menus: Sequence[Sequence[Option]],
        settled: Mapping[Topic, Value],
    ) -> Candidate | None:
        """One plan; None if an opening finds no room and may not be left out.

        Args:
            order: of kinds by their place, one for each copy.
            menus: options of each kind, those liked best first.
        """
        state: _State = {}
        chosen: list[dict[Taken, int]] = [{} for _ in self.problem.kinds]
        lots: dict[str, str | None] = {}
        said = dict(settled)
        for k in order:
            options = [o for o in menus[k] if agrees(o, said)][: self.effort.filled_options]
            kept = {**self.supply.kept.get(k, {}), **lots}
            found = _taken(self.supply, self.strips, state, options, kept)
            if found is None:
                if self.forgone.leaving is None:
                    return None
                taken = Taken(None)
            else:
                taken, state = found
                said |= dict(taken.option.agreed) if taken.option else {}
            if self.supply.lots == "job":
                lots.update(taken.lots)
            chosen[k][taken] = chosen[k].get(taken, 0) + 1
        parts = []
        for i, strip in enumerate(self.strips):
            if state.get(i):
                usable = next(r.usable for r in self.problem.rolls if r.name == strip.roll.name)
                parts.append(strip.cut(state[i], usable))
        return Candidate(tuple(tuple(row.items()) for row in chosen), tuple(parts))


def _taken(
    supply: Supply,
    strips: Sequence[_Strip],
    state: _State,
    options: Iterable[Option],
    kept: Mapping[str, str | None],
) -> tuple[Taken, _State] | None:
    """The first option that finds room, on hand if it can."""
    on_bolt: tuple[Taken, _State] | None = None
    for option in options:
        for taken in ways_to_take(option, supply, kept):
            after = _with_all(supply, strips, state, taken)
            if after is None:
                continue
            if all(after.get(i) == state.get(i) for i, s in enumerate(strips) if s.stretch.bought):
                return taken, after
            on_bolt = on_bolt or (taken, after)
    return on_bolt


def _with_all(
    supply: Supply, strips: Sequence[_Strip], state: _State, taken: Taken
) -> _State | None:
    """Every rectangle of an option put where it goes; None if one finds no room."""
    assert taken.option is not None
    after = dict(state)
    for rect in sorted(taken.option.rects, key=lambda r: (-r.along, -r.across)):
        for i, strip in enumerate(strips):
            here = strip.stretch
            other_lot = supply.lots != "none" and here.lot != taken.lot(rect.roll)
            if here.cloth != rect.roll or other_lot:
                continue
            drops = strip.put(after.get(i, ()), rect)
            if drops is not None:
                after[i] = drops
                break
        else:
            return None
    return after


def in_turn(problem: Problem, supply: Supply, candidate: Candidate) -> Candidate | None:
    """A plan on the bolt alone with its drops, longest first, each on the first stretch with room
    for it. None where dye lots must be minded."""
    lots = {s.lot for these in supply.stretches.values() for s in these}
    if (supply.lots != "none" and len(lots) > 1) or any(supply.kept.values()):
        return None
    parts = [
        part
        for roll in problem.rolls
        for part in cut_in_turn(
            roll, supply, candidate.drops(roll.name), supply.stretches[roll.name]
        )
    ]
    if sum(len(p.drops) for p in parts) < sum(len(p.drops) for p in candidate.parts):
        return None
    return replace(candidate, parts=tuple(parts))
