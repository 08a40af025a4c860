"""Plans made better without a model: everything is laid once more, a little otherwise.

What openings take and the order in which rectangles are laid, each where it costs least
(`berths`), make a plan. Two rectangles change places in it, one goes elsewhere, an opening takes
another option: what comes out no worse is where it goes on from, and where nothing got better for
long it begins again with what the best of all plans takes. That is local search over sequences.

Models know little of places beside flaws, of linings between faces and of rows of their own, their
bounds are weak on cloth that ends, and on rolls of many phases they are too large. Of the first 199
pairs of `benchmarks/on_hand.py`, given 5 s, 75 plans got better by it, 26 of them in money and by
up to a seventh, and none worse. Taking what is a little worse now and then, or going on from the
best sequence instead of what the best plan takes, found no more in the same time.
"""

from __future__ import annotations

import random
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import accumulate
from operator import ge
from typing import NamedTuple

from shadewright.measure import Ticks
from shadewright.solve.effort import Effort
from shadewright.solve.packing.room import Filling, Looks, Room
from shadewright.solve.problem.agreement import agrees
from shadewright.solve.problem.kinds import Option, Problem, Rect, Topic, Value
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
from shadewright.solve.search.candidate import Candidate, Taken, ways_to_take
from shadewright.solve.search.incumbent import Incumbent


def relayings(  # noqa: PLR0917
    problem: Problem,
    lines: Sequence[Supply],
    incumbent: Incumbent,
    clock: Clock,
    seed: int,
    most_idle: int,
) -> Iterator[Candidate]:
    """Lay the best plan once more and again, until the time is over; gives each that is better than
    the best, which has taken its place by then.

    Args:
        most_idle: plans laid since one got better, after which it ends.
    """
    assert incumbent.best is not None
    effort = clock.effort
    laying = _Relaying(problem, lines, random.Random(f"again {seed}"), effort)
    top = incumbent.value(incumbent.best)
    here: _Laid | None = None
    reached: list[int] | None = None
    idle = stale = 0
    while not clock.over and idle < most_idle:
        idle, stale = idle + 1, stale + 1
        before = laying.looks.count
        if here is None or stale > effort.relaid_stale:
            sequence: _Sequence | None = laying.begun(incumbent.best)
            here, reached, stale = None, None, 0
        else:
            sequence = laying.changed(here)
        laid = None if sequence is None else laying.laid(sequence, here)
        looks = laying.looks.count - before
        clock.spend_seconds(looks * effort.seconds_a_look + effort.seconds_a_plan)
        if laid is None:
            continue
        told = None if here is None else laying.compared(laid, here)
        if told is not None:
            # It is known without counting what it comes to.
            here = laid if told else here
            continue
        candidate = laying.candidate(laid)
        value = incumbent.value(candidate)
        if reached is not None and (value is None or value > reached):
            continue
        if reached is not None and value is not None and value < reached:
            stale = 0
        here, reached = laid, value
        if value is not None and (top is None or value < top):
            incumbent.keep(candidate, {})
            top, idle = value, 0
            yield candidate


class _Turn(NamedTuple):
    """A rectangle in the order of laying.

    Attributes:
        weight: what is least is laid first.
        copy: of all openings, which it is of.
    """

    weight: float
    copy: int
    rect: Rect


@dataclass(frozen=True)
class _Sequence:
    """What makes a plan.

    Attributes:
        line: of the supply, by its number.
        taken: by each copy of all openings.
        turns: in their order.
    """

    line: int
    rule: Rule
    taken: tuple[Taken, ...]
    turns: tuple[_Turn, ...]


@dataclass(frozen=True)
class _Laid:
    """A sequence and what it comes to.

    Attributes:
        filled: the stretches before each turn, and after the last.
    """

    sequence: _Sequence
    filled: Sequence[tuple[Filling, ...]]

    @property
    def ends(self) -> list[Ticks]:
        """Where each stretch is used to."""
        return [each.used for each in self.filled[-1]]


class _Relaying:
    """Sequences of one problem, as they are drawn and laid."""

    def __init__(
        self, problem: Problem, lines: Sequence[Supply], draw: random.Random, effort: Effort
    ) -> None:
        self._effort = effort
        self._problem = problem
        self._lines = lines
        self._draw = draw
        self._rooms: list[tuple[Room, ...]] = [rooms_of(problem, line) for line in lines]
        self._kinds = [k for k, kind in enumerate(problem.kinds) for _ in range(kind.copies)]
        self._options = [sorted(kind.options, key=_size) for kind in problem.kinds]
        # Rolls of several phases are bought in another order than they are laid in.
        self._reordered = any(
            len(room.roll.nodes) > 1 and room.stretch.bought for room in self._rooms[0]
        )
        self.looks = Looks()

    def laid(self, sequence: _Sequence, before: _Laid | None) -> _Laid | None:
        """A sequence laid; None where something finds no room.

        Args:
            before: another one, laid; what both begin with is not laid again.
        """
        rooms, supply = self._rooms[sequence.line], self._lines[sequence.line]
        filled = [tuple(room.empty for room in rooms)]
        same = 0 if before is None else _same_turns(sequence, before.sequence)
        if before is not None and same:
            filled = list(before.filled[: same + 1])
        for turn in sequence.turns[same:]:
            lots = None if supply.lots == "none" else dict(sequence.taken[turn.copy].lots)
            best = best_berth(rooms, filled[-1], turn.rect, lots, sequence.rule, self.looks)
            if best is None:
                return None
            i, way = best
            filled.append((*filled[-1][:i], way.filled, *filled[-1][i + 1 :]))
        return _Laid(sequence, filled)

    def compared(self, laid: _Laid, other: _Laid) -> bool | None:
        """Whether a plan that takes the same as another is as good; None where that is not plain
        from where stretches are used to, or it may be better."""
        if laid.sequence.taken is not other.sequence.taken or self._reordered:
            return None
        ends, others = laid.ends, other.ends
        if ends == others:
            return True
        return False if all(map(ge, ends, others)) else None

    def candidate(self, laid: _Laid) -> Candidate:
        """The plan."""
        sequence = laid.sequence
        parts = parts_of(self._rooms[sequence.line], laid.filled[-1])
        chosen: list[dict[Taken, int]] = [{} for _ in self._problem.kinds]
        for k, taken in zip(self._kinds, sequence.taken, strict=True):
            chosen[k][taken] = chosen[k].get(taken, 0) + 1
        return Candidate(tuple(tuple(row.items()) for row in chosen), parts)

    def begun(self, best: Candidate) -> _Sequence:
        """What a plan takes, in an order of its own: long rectangles first, more or less."""
        taken = tuple(each for row in best.chosen for each, copies in row for _ in range(copies))
        noise = self._draw.choice(self._effort.relaid_noise)
        turns = [t for copy, each in enumerate(taken) for t in self._turns(copy, each, noise)]
        return _Sequence(*self._drawn_rule(), taken, tuple(sorted(turns, key=_weight)))

    def _drawn_rule(self) -> tuple[int, Rule]:
        line = self._draw.randrange(len(self._lines))
        return line, Rule(self._draw.randrange(STYLES), self._draw.choice((1, 1, -1)))

    def _turns(self, copy: int, taken: Taken, noise: float) -> list[_Turn]:
        """The rectangles of what a copy takes."""
        rects = () if taken.option is None else taken.option.rects
        return [
            _Turn(-rect.along * (1 + noise * self._draw.random()), copy, rect) for rect in rects
        ]

    def changed(self, laid: _Laid) -> _Sequence | None:
        """A sequence a little otherwise; None where what is drawn cannot be."""
        how, sequence = self._draw.random(), laid.sequence
        swaps, moves, options = accumulate(self._effort.relaid_moves)
        if how < swaps and len(sequence.turns) > 1:
            return self._swapped(sequence)
        if how < moves:
            return self._elsewhere(sequence)
        if how < options:
            return self._with_another_option(laid)
        line, rule = self._drawn_rule()
        return replace(sequence, line=line, rule=rule)

    def _swapped(self, sequence: _Sequence) -> _Sequence:
        turns = list(sequence.turns)
        a, b = self._draw.sample(range(len(turns)), 2)
        one, other = turns[a], turns[b]
        turns[a] = other._replace(weight=one.weight)
        turns[b] = one._replace(weight=other.weight)
        return replace(sequence, turns=tuple(turns))

    def _elsewhere(self, sequence: _Sequence) -> _Sequence:
        turns = list(sequence.turns)
        one = turns.pop(self._draw.randrange(len(turns)))
        place = self._draw.randrange(len(turns) + 1)
        beside = turns[min(place, len(turns) - 1)] if turns else one
        turns.insert(place, one._replace(weight=beside.weight))
        return replace(sequence, turns=tuple(turns))

    def _with_another_option(self, laid: _Laid) -> _Sequence | None:
        """One opening takes another option, and others what agrees with it."""
        sequence = laid.sequence
        copy = self._draw.randrange(len(sequence.taken))
        taken = list(sequence.taken)
        kept = self._lots_of_others(sequence, copy)
        options = [o for o in self._options[self._kinds[copy]] if o != taken[copy].option]
        new = self._drawn(options, sequence.line, copy, kept, laid.filled[-1])
        if new is None or new.option is None:
            return None
        taken[copy] = new
        said: dict[Topic, Value] = dict(new.option.agreed)
        changed = [copy]
        for other, each in enumerate(taken):
            if each.option is None or other == copy:
                continue
            if not agrees(each.option, said):
                options = [o for o in self._options[self._kinds[other]] if agrees(o, said)]
                found = self._drawn(options, sequence.line, other, kept, laid.filled[-1])
                if found is None:
                    return None
                taken[other] = each = found  # noqa: PLW2901
                changed.append(other)
            said |= dict(each.option.agreed) if each.option is not None else {}
        turns = [turn for turn in sequence.turns if turn.copy not in changed]
        for each_changed in changed:
            turns += self._turns(
                each_changed, taken[each_changed], self._effort.relaid_noise_changed
            )
        turns.sort(key=_weight)
        return replace(sequence, taken=tuple(taken), turns=tuple(turns))

    def _lots_of_others(self, sequence: _Sequence, copy: int) -> dict[str, str | None]:
        """Lots that leave no choice, where everything is cut from one of each roll."""
        if self._lines[sequence.line].lots != "job":
            return {}
        others = (each for other, each in enumerate(sequence.taken) if other != copy)
        return {roll: lot for each in others for roll, lot in each.lots}

    def _drawn(
        self,
        options: Sequence[Option],
        line: int,
        copy: int,
        kept: Mapping[str, str | None],
        filled: Sequence[Filling],
    ) -> Taken | None:
        """One of some options, with its lots, and its rows where clean cloth begins; those of
        little cloth come more often."""
        if not options:
            return None
        place = int(self._draw.expovariate(1 / self._effort.relaid_further))
        sizes = list(dict.fromkeys(map(_size, options)))
        size = sizes[place] if place < len(sizes) else self._draw.choice(sizes)
        option = self._draw.choice([each for each in options if _size(each) == size])
        supply = self._lines[line]
        kept = {**kept, **supply.kept.get(self._kinds[copy], {})}
        taken = self._draw.choice(list(ways_to_take(option, supply, kept)))
        for roll in self._problem.rolls:
            faces = [r for r in option.rects if r.roll == roll.name and not r.plain]
            if not roll.own_rows or not faces or self._draw.random() >= self._effort.relaid_rows:
                continue
            longest = max(faces, key=lambda r: (r.along, r.across))
            phase = self._draw.choice(longest.phases)
            by = rows_to_begins(roll, self._rooms[line], filled, phase)
            if by:
                option = with_rows_moved(option, roll, self._draw.choice(by))
        return replace(taken, option=option)


def _weight(turn: _Turn) -> float:
    return turn.weight


def _size(option: Option) -> tuple[int, int, int]:
    return len(option.gives_up), option.area, option.shades


def _same_turns(one: _Sequence, other: _Sequence) -> int:
    """How many turns both begin with, laid by the same rule."""
    if one.line != other.line or one.rule != other.rule:
        return 0
    same = 0
    for a, b in zip(one.turns, other.turns, strict=False):
        if a is not b:
            break
        same += 1
    return same
