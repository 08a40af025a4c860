"""Rolls of several phases, cut row by row: drops as arcs from node to node of the repeat circle.

A *row* is a drop of one template that starts at a node. Each of its lanes holds one *stack*: a few
rectangles one after the other, each in one of its phases, begun as soon as its phase allows. A row
leads from its node to the first node at or after its end; cloth skipped leads from a node to the
next. The roll is then a walk along these arcs: as often into a node as out of it, from where it
begins to the row that ends it, and all nodes that rows start at joined (a spanning tree of arcs
that are walked sees to that). A walk that uses every arc once exists exactly then (Euler).

Stacks and ends: a stack goes into any row of its template and node that is long enough. So for
every length there must be as many rows at least as long as there are stacks at least as long in any
one lane: counted from the longest down, rows left over are never below none. Then the longest
stacks go into the longest rows.

The model is exact if all stacks that could be cut are listed. If not, rows of others are bounded
(`long_rows`): then it leaves nothing out, and a solution without such rows is as exact.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby

from ortools.sat.python import cp_model

from shadewright.measure import Ticks
from shadewright.solve.packing.drops import CutDrop, CutLane
from shadewright.solve.packing.long_rows import LongRows, add_long_rows
from shadewright.solve.packing.packing import Demand, Packing
from shadewright.solve.packing.row_stacks import Stack, Stacks
from shadewright.solve.packing.turns import Kind, cut_together, to_node
from shadewright.solve.problem.kinds import Rect, Roll
from shadewright.solve.sums import Terms, total


@dataclass
class RowPacking(Packing):
    """Variables of a roll packed row by row.

    Attributes:
        stacks: number of each stack, by template, node, lane and place in the list.
        rows: number of rows by template, node and length to their node.
        last: whether a row of this template, node and length ends the roll.
        skips: how often cloth is skipped from a node to the next.
        begins: whether the walk begins at a node.
        long: rows that no listed stacks make.
    """

    roll: Roll
    of: Stacks
    stacks: dict[tuple[int, Ticks, int, int], cp_model.IntVar]
    rows: dict[tuple[int, Ticks, Ticks], cp_model.IntVar]
    last: dict[tuple[int, Ticks, Ticks], cp_model.IntVar]
    skips: dict[Ticks, cp_model.IntVar]
    begins: dict[Ticks, cp_model.IntVar]
    long: LongRows

    def cut_drops(self, value: Sequence[int], rects: Mapping[Rect, int]) -> list[CutDrop]:
        """The rows of a solution as drops, not yet in an order.

        Args:
            value: of each variable, by its index.
            rects: what the options taken ask of this roll.
        """
        waiting = self.of.choices.waiting(rects)
        heaps: dict[tuple[int, Ticks], dict[int, list[Stack]]] = {}
        for (t, node, place, s), var in self.stacks.items():
            lanes = heaps.setdefault((t, node), {})
            lanes.setdefault(place, []).extend([self.of.listed[s]] * value[var.index])
        drops = []
        for (_, node), lanes in sorted(heaps.items()):
            for stacks in lanes.values():
                stacks.sort(key=lambda stack: -stack.end(self.roll, node))
            for row in range(max(map(len, lanes.values()))):
                cut = [
                    CutLane(
                        tuple(waiting[kind].pop() for kind, _ in stacks[row].members),
                        tuple(one.phase for _, one in stacks[row].members),
                    )
                    for _, stacks in sorted(lanes.items())
                    if row < len(stacks)
                ]
                drops.append(_begun(self.roll, tuple(cut), node))
        return drops + cut_together(self.roll, self.long.cut, value, waiting)


def _begun(roll: Roll, lanes: tuple[CutLane, ...], node: Ticks) -> CutDrop:
    """A drop of a row from a node on, begun where the first of its lanes begins."""
    wait = min((lane.phases[0] - node) % roll.period for lane in lanes)
    return CutDrop(lanes, (node + wait) % roll.period)


def add_rows(
    model: cp_model.CpModel,
    roll: Roll,
    stacks: Stacks,
    demand: Demand,
    longest: Ticks,
    *,
    empty: cp_model.IntVar | None = None,
) -> RowPacking:
    """Add variables and constraints that cut `demand` from a roll row by row.

    Args:
        demand: of each rectangle, as terms of a sum.
        longest: no plan worth finding is longer.
        empty: whether nothing is cut from it; None where something always is.
    """
    length = 1 * model.new_int_var(0, longest, f"{roll.name} length")
    long = add_long_rows(model, roll, stacks, longest) if stacks.bounded else LongRows()
    packing = RowPacking(length, longest, roll, stacks, {}, {}, {}, {}, {}, long)
    most = stacks.choices.most
    most_of_a_row = longest if roll.table is None else min(longest, roll.table)
    cut: dict[Kind, Terms] = {kind: [] for kind in most}
    for held in long.cut.values():
        for kind, _, count in held:
            cut[kind].append((1, count))
    for (t, node), lanes in _by_start(stacks, roll).items():
        ends = {s: stacks.listed[s].end(roll, node) for these in lanes.values() for s in these}
        ends = {s: end for s, end in ends.items() if end <= most_of_a_row}
        rows: list[tuple[Ticks, cp_model.IntVar]] = []
        for reach in sorted({to_node(roll, node, end) for end in ends.values()}):
            var = packing.rows[t, node, reach] = model.new_int_var(0, sum(most.values()), "")
            rows.append((reach, var))
        for end in sorted(set(ends.values())):
            var = packing.last[t, node, end] = model.new_bool_var("")
            rows.append((end, var))
        rows.sort(key=lambda row: -row[0])
        for place, these in lanes.items():
            reaching = {s: ends[s] for s in these if s in ends}
            for s, var in _add_lane(model, stacks, rows, reaching).items():
                packing.stacks[t, node, place, s] = var
                for kind, n in stacks.listed[s].counts.items():
                    cut[kind].append((n, var))
    for kind, rects in stacks.choices.asked.items():
        model.add(total(cut[kind]) == total(term for rect in rects for term in demand[rect]))
    _add_walk(model, packing, empty)
    return packing


def _add_lane(
    model: cp_model.CpModel,
    stacks: Stacks,
    rows: Sequence[tuple[Ticks, cp_model.IntVar]],
    ends: Mapping[int, Ticks],
) -> dict[int, cp_model.IntVar]:
    """How many of each stack lie in one lane of rows that start at one node, each in a row that is
    long enough.

    Args:
        rows: how many there are of each length, the longest first.
        ends: of each stack that the lane may hold, by its place in the list.
    """
    most = stacks.choices.most
    found: dict[int, cp_model.IntVar] = {}
    # From the longest down: rows not yet taken in this lane, as each length comes in.
    spare: Terms = []
    waiting = iter([*rows, (-1, None)])
    row = next(waiting)
    for end, alike in groupby(sorted(ends, key=lambda s: -ends[s]), key=lambda s: ends[s]):
        terms = spare
        while row[0] >= end and row[1] is not None:
            terms.append((1, row[1]))
            row = next(waiting)
        for s in alike:
            number = min(most[kind] // n for kind, n in stacks.listed[s].counts.items())
            found[s] = model.new_int_var(0, number, "")
            terms.append((-1, found[s]))
        left = model.new_int_var(0, 2 * sum(most.values()), "")
        model.add(total(terms) == left)
        spare = [(1, left)]
    return found


def _by_start(stacks: Stacks, roll: Roll) -> dict[tuple[int, Ticks], dict[int, list[int]]]:
    """For each template and node, the stacks of each lane, by their place in the list.

    One of a row's lanes starts at its node; the others may wait for theirs.
    """
    found: dict[tuple[int, Ticks], dict[int, list[int]]] = {}
    for s, stack in enumerate(stacks.listed):
        for t, place in sorted(stack.lanes):
            for node in roll.nodes:
                found.setdefault((t, node), {}).setdefault(place, []).append(s)
    return dict(sorted(found.items()))


def _add_walk(model: cp_model.CpModel, packing: RowPacking, empty: cp_model.IntVar | None) -> None:
    """The rows are the arcs of one walk, and the roll is as long as it."""
    roll = packing.roll
    nodes = roll.nodes
    room = 1 + sum(packing.of.choices.most.values())
    around = roll.period
    begins = packing.begins = {node: model.new_bool_var("") for node in nodes}
    nothing = [] if empty is None else [empty]
    model.add_exactly_one(*begins.values(), *nothing)
    model.add_exactly_one(*packing.last.values(), *packing.long.last.values(), *nothing)
    if empty is not None:
        model.add(packing.length == 0).only_enforce_if(empty)
    last = [*packing.last.items(), *packing.long.last.items()]
    following = {node: nodes[(i + 1) % len(nodes)] for i, node in enumerate(nodes)}
    skips = packing.skips = {node: model.new_int_var(0, room, "") for node in nodes}
    arcs: dict[tuple[Ticks, Ticks], Terms] = {}
    for (_, node, length), var in packing.rows.items():
        arcs.setdefault((node, (node + length) % around), []).append((1, var))
    for (_, node, to), var in packing.long.leads.items():
        arcs.setdefault((node, to), []).append((1, var))
    for node, var in skips.items():
        arcs.setdefault((node, following[node]), []).append((1, var))
    for node in nodes:
        model.add(
            total(term for (_, to), terms in arcs.items() if to == node for term in terms)
            + begins[node]
            == total(term for (from_, _), terms in arcs.items() if from_ == node for term in terms)
            + total((1, var) for (_, n, _), var in last if n == node)
        )
    _join(model, packing, begins, arcs)
    waits = [
        (0 if roll.origin is None else (node - roll.origin) % around, var)
        for node, var in begins.items()
    ]
    model.add(
        packing.length
        == total((length, var) for (_, _, length), var in packing.rows.items())
        + total((length, var) for (_, _, length), var in packing.last.items())
        + total(((following[node] - node) % around or around, var) for node, var in skips.items())
        + total(packing.long.lengths)
        + total(waits)
    )


def _join(
    model: cp_model.CpModel,
    packing: RowPacking,
    begins: Mapping[Ticks, cp_model.IntVar],
    arcs: Mapping[tuple[Ticks, Ticks], Terms],
) -> None:
    """Every node that a row starts at is reached from the first by arcs that are walked."""
    nodes = packing.roll.nodes
    if len(nodes) == 1:
        return
    tree = {(a, b): model.new_bool_var("") for a, b in arcs if a != b}
    rank = {node: model.new_int_var(0, len(nodes) - 1, "") for node in nodes}
    for (a, b), var in tree.items():
        model.add(var <= total(arcs[a, b]))
        model.add(rank[b] >= rank[a] + 1).only_enforce_if(var)
    reached = {
        node: total((1, var) for (_, b), var in tree.items() if b == node) + begins[node]
        for node in nodes
    }
    for node in nodes:
        model.add(reached[node] <= 1)
    for (a, _), var in tree.items():
        model.add(var <= reached[a])
    room = 1 + sum(packing.of.choices.most.values())
    for node in nodes:
        used = model.new_bool_var("")
        starting = total(
            (1, var)
            for rows in (packing.rows, packing.last, packing.long.leads, packing.long.last)
            for (_, n, _), var in rows.items()
            if n == node
        )
        model.add(starting <= room * used)
        model.add(reached[node] >= used)
