"""Rows in which some lane holds more than any stack that is listed: bounded, not cut.

Where there are too many stacks to list, a model of rows leaves none out all the same: what is not
listed is held above what any row must pass. A row leads from a node to a node, so that it turns as
often past one as past any other, but once more past those between the two. What each lane holds is
turned past by the rows of its template (see `turns`). At least one lane of such a row holds a
rectangle more than listed stacks do, and there is another beside it, or it could be taken apart.

A solution that uses them is a plan a little longer than it says: they are cut as joint drops.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from itertools import product

from ortools.sat.python import cp_model

from shadewright.measure import Ticks
from shadewright.solve.packing.row_stacks import Stacks
from shadewright.solve.packing.turns import Cut, Kind, PhasedRect, passes, to_node
from shadewright.solve.problem.kinds import Roll
from shadewright.solve.sums import Terms, total

_Counted = tuple[Kind, PhasedRect, cp_model.IntVar]

_Lead = tuple[int, Ticks, Ticks]
"""A template, the node where a row of it starts, and the one where what follows it may."""


@dataclass
class LongRows:
    """Variables of rows that no listed stacks make.

    Attributes:
        cut: from them.
        leads: how many lead from a node to a node.
        last: whether one that does ends the roll.
        turns: whole turns of all rows of a template, beyond the ways from node to node.
        lengths: of them all, as terms of a sum.
    """

    cut: Cut = field(default_factory=dict)
    leads: dict[_Lead, cp_model.IntVar] = field(default_factory=dict)
    last: dict[_Lead, cp_model.IntVar] = field(default_factory=dict)
    turns: list[cp_model.IntVar] = field(default_factory=list)
    lengths: Terms = field(default_factory=list)

    @property
    def variables(self) -> list[cp_model.IntVar]:
        """All of them; none is above 0 where no such row is cut."""
        counts = [count for held in self.cut.values() for _, _, count in held]
        return [*counts, *self.leads.values(), *self.last.values(), *self.turns]


def add_long_rows(model: cp_model.CpModel, roll: Roll, stacks: Stacks, longest: Ticks) -> LongRows:
    """Add what bounds the rows that no listed stacks make.

    Args:
        longest: no plan worth finding is longer.
    """
    long = LongRows()
    for t, template in enumerate(stacks.templates):
        if len(template) > 1:
            _add_template(model, roll, stacks, t, longest // roll.period + 1, long)
    return long


def _add_template(  # noqa: PLR0917
    model: cp_model.CpModel, roll: Roll, stacks: Stacks, t: int, most_turns: int, long: LongRows
) -> None:
    most = stacks.choices.most
    lanes: dict[int, list[_Counted]] = {}
    for kind in most:
        for one in kind:
            for _, place in sorted(lane for lane in one.lanes if lane[0] == t):
                count = model.new_int_var(0, most[kind], "")
                lanes.setdefault(place, []).append((kind, one, count))
    held = [each for lane in lanes.values() for each in lane]
    least, number = stacks.members + 2, sum(most[kind] for kind in {kind for kind, _, _ in held})
    if len(lanes) < 2 or number < least:
        return
    rows = _RowTerms.of(roll, model.new_int_var(0, most_turns, ""))
    rests = _rests(roll, (one for _, one, _ in held))
    for node, to in product(roll.nodes, roll.nodes):
        lead = long.leads[t, node, to] = model.new_int_var(0, number // least, "")
        rows.add(roll, node, to, lead, 0)
        if to in rests:
            last = long.last[t, node, to] = model.new_bool_var("")
            rows.add(roll, node, to, last, rests[to])
    for lane in lanes.values():
        _add_lane(model, roll, rows, lane)
    counts = total((1, count) for _, _, count in held)
    model.add(counts >= total((least * n, var) for n, var in rows.all))
    model.add(counts <= total((number * n, var) for n, var in rows.all))
    # What leads back to its node goes around at least once.
    model.add(rows.turns >= total(rows.around))
    model.add(rows.turns <= total((most_turns * n, var) for n, var in rows.all))
    long.cut |= {(t, place): lane for place, lane in lanes.items()}
    long.turns.append(rows.turns)
    long.lengths += rows.lengths


@dataclass
class _RowTerms:
    """Rows of a template, as terms of sums.

    Attributes:
        turns: whole turns of them, beyond their ways.
        all: how many there are.
        around: those that lead back to their node.
        starts: those that start at each node.
        ends: those that lead to each.
        past: how often they turn past each.
        lengths: of them all.
    """

    turns: cp_model.IntVar
    all: Terms
    around: Terms
    starts: dict[Ticks, Terms]
    ends: dict[Ticks, Terms]
    past: dict[Ticks, Terms]
    lengths: Terms

    @classmethod
    def of(cls, roll: Roll, turns: cp_model.IntVar) -> _RowTerms:
        """None so far."""
        starts: dict[Ticks, Terms] = {node: [] for node in roll.nodes}
        ends: dict[Ticks, Terms] = {node: [] for node in roll.nodes}
        past: dict[Ticks, Terms] = {node: [(1, turns)] for node in roll.nodes}
        return cls(turns, [], [], starts, ends, past, [(roll.period, turns)])

    def add(self, roll: Roll, node: Ticks, to: Ticks, number: cp_model.IntVar, rest: Ticks) -> None:
        """Some that lead from a node to a node, and end by so much before."""
        way = (to - node) % roll.period
        self.all.append((1, number))
        self.lengths.append((way - rest, number))
        self.starts[node].append((1, number))
        self.ends[to].append((1, number))
        if not way:
            self.around.append((1, number))
        for between in roll.nodes:
            if (between - node) % roll.period < way:
                self.past[between].append((1, number))


def _add_lane(
    model: cp_model.CpModel, roll: Roll, rows: _RowTerms, held: Sequence[_Counted]
) -> None:
    """What a lane holds is turned past by the rows; and so is what lies idle in it where a row
    starts or ends and no rectangle does."""
    for before, node in zip((roll.nodes[-1], *roll.nodes), roll.nodes, strict=False):
        here = [(passes(roll, one.along, one.phase, node), count) for _, one, count in held]
        model.add(total(here) <= total(rows.past[node]))
        begun = [(-1, count) for _, one, count in held if one.phase == node]
        model.add(total([*here, *rows.starts[node], *begun]) <= total(rows.past[node]))
        there = [(passes(roll, one.along, one.phase, before), count) for _, one, count in held]
        ended = [
            (-1, count)
            for _, one, count in held
            if (one.phase + to_node(roll, one.phase, one.along)) % roll.period == node
        ]
        model.add(total([*there, *rows.ends[node], *ended]) <= total(rows.past[before]))


def _rests(roll: Roll, ones: Iterable[PhasedRect]) -> dict[Ticks, Ticks]:
    """The most that is left to a node from the end of any rectangle that ends since the node
    before; none where no rectangle does."""
    rests: dict[Ticks, Ticks] = {}
    for one in ones:
        end = one.phase + one.along
        rest, node = min(((node - end) % roll.period, node) for node in roll.nodes)
        rests[node] = max(rests.get(node, 0), rest)
    return rests
