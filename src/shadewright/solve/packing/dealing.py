"""Which drops of a roll come off which of its bolts, so that what belongs together stays so.

That matters to no goal but by the lengths that are bought and used, so it is decided when these
are, with neither any longer.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

from ortools.sat.python import cp_model

from shadewright.measure import Ticks, ceil_to
from shadewright.solve.packing.drops import CutDrop
from shadewright.solve.packing.lay import length_of, shortest_end
from shadewright.solve.problem.kinds import Rect, Roll
from shadewright.solve.run import Clock, InfeasibleError, run
from shadewright.solve.sums import Terms, total

Owner = tuple[str, int]
"""Whose rectangles belong together."""


@dataclass(frozen=True)
class RollOnBolts:
    """Bolts of a roll as they are cut.

    Attributes:
        drops: of each.
        ends: of what is used of each.
        wanted: how many of each rectangle every owner has, of all of these bolts or less.
        spare: what is bought to spare.
        free: whether a drop may lie on any of them as well as on its own.
    """

    roll: Roll
    drops: Sequence[Sequence[CutDrop]]
    ends: Sequence[Ticks]
    wanted: Mapping[Owner, Sequence[tuple[Rect, int]]]
    spare: Ticks
    free: bool

    @cached_property
    def kinds(self) -> list[tuple[CutDrop, list[int]]]:
        """Drops that are cut alike, and how many of them lie on each bolt."""
        found: dict[object, tuple[CutDrop, list[int]]] = {}
        for bolt, drops in enumerate(self.drops):
            for drop in drops:
                like = Counter(lane.rects for lane in drop.lanes)
                key = frozenset(like.items()), None if self.free else bolt
                found.setdefault(key, (drop, [0] * len(self.drops)))[1][bolt] += 1
        return list(found.values())

    @property
    def size(self) -> int:
        """About how many variables a model of them has."""
        asked = sum(1 + len(rects) for rects in self.wanted.values())
        return (asked + 2 * len(self.kinds)) * len(self.drops)


Dealt = list[tuple[tuple[CutDrop, ...], Mapping[Rect, Counter[Owner]]]]
"""For each bolt its drops, and for whom its rectangles are."""

_Given = Mapping[Owner, Mapping[Rect, Sequence[cp_model.IntVar]]]
"""How many of each rectangle every owner has from each bolt."""


def dealt_out(bolts: RollOnBolts, clock: Clock, seed: int) -> Dealt:
    """The drops dealt out so that the fewest owners have rectangles from several bolts; empty where
    no time is left for it."""
    model = cp_model.CpModel()
    every = range(len(bolts.ends))
    lies = [[model.new_int_var(0, sum(counts), "") for _ in every] for _, counts in bolts.kinds]
    for (_, counts), here in zip(bolts.kinds, lies, strict=True):
        model.add(sum(here) == sum(counts))
        for var, count in zip(here, counts, strict=True):
            if bolts.free:
                model.add_hint(var, count)
            else:
                model.add(var == count)
    if bolts.free:
        _no_longer(model, bolts, lies)
    given = _for_whom(model, bolts, lies)
    homes = []
    for of_owner in given.values():
        for at in every:
            home = model.new_bool_var("")
            for these in of_owner.values():
                model.add(these[at] == 0).only_enforce_if(~home)
            homes.append(home)
    model.minimize(sum(homes))
    try:
        outcome = run(model, clock, clock.effort.gathering, seed)
    except InfeasibleError:
        return []
    return [] if outcome.value is None else _read(bolts, lies, given, outcome.value)


def _read(
    bolts: RollOnBolts,
    lies: Sequence[Sequence[cp_model.IntVar]],
    given: _Given,
    value: Sequence[int],
) -> Dealt:
    """What each bolt has, by the values of a model."""
    dealt: Dealt = []
    for at in range(len(bolts.ends)):
        drops = [
            drop
            for (drop, _), here in zip(bolts.kinds, lies, strict=True)
            for _ in range(value[here[at].index])
        ]
        homes: dict[Rect, Counter[Owner]] = {}
        for owner, of_owner in given.items():
            for rect, counts in of_owner.items():
                homes.setdefault(rect, Counter())[owner] = value[counts[at].index]
        dealt.append((shortest_end(bolts.roll, drops) if bolts.free else (), homes))
    if bolts.free:
        # The first owners from the first bolts.
        order = {owner: place for place, owner in enumerate(bolts.wanted)}
        dealt.sort(key=lambda bolt: min(order[o] for owners in bolt[1].values() for o in +owners))
    return dealt


def _for_whom(
    model: cp_model.CpModel, bolts: RollOnBolts, lies: Sequence[Sequence[cp_model.IntVar]]
) -> _Given:
    """Variables for what each owner has from each bolt."""
    every = range(len(bolts.ends))
    given: dict[Owner, dict[Rect, list[cp_model.IntVar]]] = {}
    of_rect: dict[Rect, list[list[cp_model.IntVar]]] = {}
    for owner, rects in bolts.wanted.items():
        for rect, wanted in rects:
            counts = [model.new_int_var(0, wanted, "") for _ in every]
            model.add(sum(counts) <= wanted)
            given.setdefault(owner, {})[rect] = counts
            of_rect.setdefault(rect, []).append(counts)
    held = [Counter(drop.rects) for drop, _ in bolts.kinds]
    for rect, these in of_rect.items():
        for at in every:
            cut: Terms = [
                (n, here[at]) for each, here in zip(held, lies, strict=True) if (n := each[rect])
            ]
            model.add(sum(counts[at] for counts in these) == total(cut))
    return given


def _no_longer(
    model: cp_model.CpModel, bolts: RollOnBolts, lies: Sequence[Sequence[cp_model.IntVar]]
) -> None:
    """Bolts that are bought and used no longer than they are, all told."""
    roll, every = bolts.roll, range(len(bolts.ends))
    whole = [ceil_to(length_of(roll, drop), roll.period) for drop, _ in bolts.kinds]
    unused = [n - length_of(roll, drop) for n, (drop, _) in zip(whole, bolts.kinds, strict=True)]
    now = roll.to_buy(bolts.ends, bolts.spare)
    steps_now = sum(now or ()) // roll.sold_in
    most = (roll.bolt or sum(now or ())) // roll.sold_in
    ends, steps = [], []
    spared = [model.new_bool_var("") for _ in every]
    model.add_exactly_one(spared)
    for at in every:
        load: Terms = [(n, here[at]) for n, here in zip(whole, lies, strict=True)]
        end = roll.lead + total(load)
        if roll.period > 1:
            last = [model.new_bool_var("") for _ in lies]
            model.add_exactly_one(last)
            for var, here in zip(last, lies, strict=True):
                model.add(here[at] >= var)
            end -= total(list(zip(unused, last, strict=True)))
        else:
            model.add(sum(here[at] for here in lies) >= 1)
        step = model.new_int_var(0, most, "")
        model.add(roll.sold_in * step >= end + roll.allowance + bolts.spare * spared[at])
        ends.append(end)
        steps.append(step)
    model.add(sum(steps) <= steps_now)
    model.add(sum(ends) <= sum(bolts.ends))
