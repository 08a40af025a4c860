"""First plans on limited cloth, by simple rules: openings one after the other, each wherever its
rectangles fit on what is on hand, and else on the bolt.

A rectangle goes where its stretch ends soonest with it: beside the lanes of a drop, after one of
them, or in a drop of its own. Several orders of openings and of their options are tried. Where
openings are very many, drops of a plan on the bolt alone are moved to pieces instead.
"""

from __future__ import annotations

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
from shadewright.solve.problem.supply import Supply, beside, spots_of
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
    """Part of a stretch that has its whole width, to be filled from its start.

    Attributes:
        number: of the part in its stretch, as the model counts them.
        end: of it; None on the bolt.
    """

    stretch: Stretch
    number: int
    grid: Grid
    end: Ticks | None
    effort: Effort

    @property
    def roll(self) -> Roll:
        return self.grid.roll

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
    problem: Problem, supply: Supply, forgone: Forgone, clock: Clock
) -> Iterator[Candidate]:
    """First plans on limited cloth: openings that find no room are left out where they may be.

    Where no time is left only one is made.
    """
    if sum(kind.copies for kind in problem.kinds) > clock.effort.filled_copies:
        return
    effort = clock.effort
    every = [strip for r in problem.rolls for strip in _strips(problem, supply, r, effort)]
    large = [_area(min(kind.options, key=_area)) for kind in problem.kinds]
    long = [
        max(rect.along for o in kind.options for rect, _ in o.demand)
        if any(o.demand for o in kind.options)
        else 0
        for kind in problem.kinds
    ]
    places = range(len(problem.kinds))
    orders = [
        sorted(places, key=lambda k: -large[k]),
        sorted(places, key=lambda k: (-long[k], -large[k])),
    ]
    keys: list[Callable[[Option], tuple[int, int, int]]] = [
        lambda option: (len(option.gives_up), _area(option), option.shades),
        lambda option: (len(option.gives_up), option.shades, _area(option)),
    ]
    ways = product(settlements(problem.kinds, effort.settlements), orders, keys)
    for n, (settled, order, key) in enumerate(ways):
        if n and clock.over:
            return
        looks = sum(kind.copies * min(len(kind.options), 4) for kind in problem.kinds)
        clock.spend_seconds(looks * len(every) * clock.effort.seconds_to_put)
        found = _filled(problem, supply, forgone, every, order, key, settled, clock.effort)
        if found is not None:
            yield found


def _area(option: Option) -> int:
    return sum(rect.across * rect.along * count for rect, count in option.demand)


def _strips(problem: Problem, supply: Supply, roll: Roll, effort: Effort) -> Iterator[_Strip]:
    """The parts of all stretches of a roll, those beside flaws left out."""
    rects = problem.rects(roll)
    anywhere = all(rect.anywhere for rect in rects)
    for stretch in supply.stretches[roll.name]:
        here = supply.placed(roll, stretch)
        spots = spots_of(roll, stretch, anywhere)
        ends = [*(spot.start for spot in spots), stretch.end]
        number, lead = 0, here.lead
        for i, end in enumerate(ends):
            if i:
                number += 1 + bool(beside(roll, spots[i - 1]))
                behind = max(spots[i - 1].end - here.lead, 0)
                lead = here.lead + ceil_to(behind, here.period)
            grid = Grid.of(replace(here, lead=lead), rects)
            if end is None or end > lead:
                yield _Strip(stretch, number, grid, end, effort)


def _filled(  # noqa: PLR0917
    problem: Problem,
    supply: Supply,
    forgone: Forgone,
    strips: Sequence[_Strip],
    order: Sequence[int],
    key: Callable[[Option], tuple[int, int, int]],
    settled: Mapping[Topic, Value],
    effort: Effort,
) -> Candidate | None:
    """One plan; None if an opening finds no room and may not be left out."""
    state: _State = {}
    chosen: list[dict[Taken, int]] = [{} for _ in problem.kinds]
    lots: dict[str, str | None] = {}
    said = dict(settled)
    for k in order:
        kind = problem.kinds[k]
        every = sorted(kind.options, key=key)
        for _ in range(kind.copies):
            options = [o for o in every if agrees(o, said)][: effort.filled_options]
            found = _taken(supply, strips, state, options, {**supply.kept.get(k, {}), **lots})
            if found is None:
                if forgone.leaving is None:
                    return None
                taken = Taken(None)
            else:
                taken, state = found
                said |= dict(taken.option.agreed) if taken.option else {}
            if supply.lots == "job":
                lots.update(taken.lots)
            chosen[k][taken] = chosen[k].get(taken, 0) + 1
    parts = []
    for i, strip in enumerate(strips):
        if state.get(i):
            drops = strip.ordered(state[i])
            parts.append(CutPart(strip.stretch, strip.number, strip.roll, (), drops))
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
