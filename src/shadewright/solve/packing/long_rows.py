"""Rows in which some lane holds more than any stack that is listed: bounded, not cut.

Where there are too many stacks to list, a model of rows leaves none out all the same: what is not
listed is held above what any row must pass. A row leads from a node to a node, so that it turns as
often past one as past any other, but once more past those between the two. What each lane holds is
turned past by the rows of its template (see `turns`). At least one lane of such a row holds a
rectangle more than listed stacks do, and there is another beside it, or it could be taken apart.

A solution that uses them is a plan a little longer than it says: they are cut as joint drops.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from itertools import product

from ortools.sat.python import cp_model

from shadewright.measure import Ticks
from shadewright.solve.packing.row_stacks import Stacks
from shadewright.solve.packing.turns import Cut, Kind, PhasedRect, passes
from shadewright.solve.problem.kinds import Roll
from shadewright.solve.sums import Terms, total

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
    lanes: dict[int, list[tuple[Kind, PhasedRect, cp_model.IntVar]]] = {}
    for kind in most:
        for one in kind:
            for _, place in sorted(lane for lane in one.lanes if lane[0] == t):
                count = model.new_int_var(0, most[kind], "")
                lanes.setdefault(place, []).append((kind, one, count))
    counts = [(1, count) for held in lanes.values() for _, _, count in held]
    least = stacks.members + 2
    number = sum(most[kind] for kind in {kind for held in lanes.values() for kind, _, _ in held})
    if len(lanes) < 2 or number < least:
        return
    long.cut |= {(t, place): held for place, held in lanes.items()}
    turns = model.new_int_var(0, most_turns, "")
    rows: Terms = []
    around: Terms = []
    lengths: Terms = [(roll.period, turns)]
    past: dict[Ticks, Terms] = {node: [(1, turns)] for node in roll.nodes}
    rests = _rests(roll, (one for held in lanes.values() for _, one, _ in held))
    for node, to in product(roll.nodes, roll.nodes):
        way = (to - node) % roll.period
        lead = long.leads[t, node, to] = model.new_int_var(0, number // least, "")
        these = [(way, lead)]
        if to in rests:
            last = long.last[t, node, to] = model.new_bool_var("")
            these.append((way - rests[to], last))
        lengths += these
        rows += [(1, var) for _, var in these]
        around += [(1, var) for _, var in these if not way]
        for between in roll.nodes:
            if (between - node) % roll.period < way:
                past[between] += [(1, var) for _, var in these]
    for held in lanes.values():
        for node in roll.nodes:
            passed = ((passes(roll, one.along, one.phase, node), count) for _, one, count in held)
            model.add(total(passed) <= total(past[node]))
    model.add(total(counts) >= total((least * n, var) for n, var in rows))
    model.add(total(counts) <= total((number * n, var) for n, var in rows))
    # What leads back to its node goes around at least once.
    model.add(turns >= total(around))
    model.add(turns <= total((most_turns * n, var) for n, var in rows))
    long.turns.append(turns)
    long.lengths += lengths


def _rests(roll: Roll, ones: Iterable[PhasedRect]) -> dict[Ticks, Ticks]:
    """The most that is left to a node from the end of any rectangle that ends since the node
    before; none where no rectangle does."""
    rests: dict[Ticks, Ticks] = {}
    for one in ones:
        end = one.phase + one.along
        rest, node = min(((node - end) % roll.period, node) for node in roll.nodes)
        rests[node] = max(rests.get(node, 0), rest)
    return rests
