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

The model is exact if all stacks that could be cut are listed.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import groupby

from ortools.sat.python import cp_model

from shadewright.measure import Ticks
from shadewright.solve.packing.drops import CutDrop, CutLane
from shadewright.solve.packing.lanes import Packing, total
from shadewright.solve.packing.templates import Template
from shadewright.solve.packing.turns import Choices, Phased
from shadewright.solve.problem.kinds import Rect, Roll
from shadewright.solve.run import Clock

Kind = tuple[Phased, ...]


@dataclass(frozen=True)
class Stack:
    """Rectangles one after the other in a lane, each of a kind and in one of its phases.

    Attributes:
        lanes: that hold them all.
    """

    members: tuple[tuple[Kind, Phased], ...]
    lanes: frozenset[tuple[int, int]]

    def end(self, roll: Roll, start: Ticks) -> Ticks:
        """Where it ends, from a start at this phase."""
        at = 0
        for _, one in self.members:
            at += (one.phase - start - at) % roll.period + one.along
        return at

    @cached_property
    def counts(self) -> dict[Kind, int]:
        """How many rectangles of each kind it holds."""
        found: dict[Kind, int] = {}
        for kind, _ in self.members:
            found[kind] = found.get(kind, 0) + 1
        return found


@dataclass(frozen=True)
class Stacks:
    """Stacks that may be cut from a roll.

    Attributes:
        complete: whether no other could be of use.
    """

    templates: list[Template]
    choices: Choices
    listed: list[Stack]
    complete: bool

    @cached_property
    def _places(self) -> dict[tuple[tuple[Kind, Ticks], ...], int]:
        return {
            tuple((kind, one.phase) for kind, one in stack.members): s
            for s, stack in enumerate(self.listed)
        }

    @cached_property
    def _kinds(self) -> dict[Rect, Kind]:
        return {rect: kind for kind, rects in self.choices.asked.items() for rect in rects}

    def place(self, lane: CutLane) -> int | None:
        """Where the stack of a lane is in the list."""
        if any(rect not in self._kinds for rect in lane.rects):
            return None
        return self._places.get(tuple((self._kinds[rect], phase) for rect, phase in lane.phased))

    def of(self, most: Mapping[Rect, int]) -> Stacks:
        """Those of fewer rectangles."""
        asked = {
            kind: kept
            for kind, rects in self.choices.asked.items()
            if (kept := [rect for rect in rects if rect in most])
        }
        number = {kind: sum(most[rect] for rect in rects) for kind, rects in asked.items()}
        listed = [s for s in self.listed if all(kind in asked for kind, _ in s.members)]
        return Stacks(self.templates, Choices(asked, number), listed, self.complete)

    def also(self, lanes: Iterable[CutLane]) -> Stacks:
        """The stacks, with those of these lanes among them where rectangles are of a known kind."""
        listed = list(self.listed)
        for lane in dict.fromkeys(lanes):
            if self.place(lane) is None and all(rect in self._kinds for rect in lane.rects):
                members = tuple(
                    (kind, next(one for one in kind if one.phase == phase))
                    for rect, phase in lane.phased
                    for kind in (self._kinds[rect],)
                )
                held = frozenset.intersection(*(one.lanes for _, one in members))
                listed.append(Stack(members, held))
        return replace(self, listed=listed)


def list_stacks(  # noqa: PLR0917
    roll: Roll,
    templates: list[Template],
    most: Mapping[Rect, int],
    longest: Ticks,
    limit: int,
    clock: Clock,
) -> Stacks:
    """List stacks, those of few rectangles first, at most `limit` beyond single rectangles; it
    ends where it has taken its share of the clock.

    Args:
        most: that any plan needs of each rectangle.
        longest: no plan worth finding is longer, so no stack need be.
    """
    choices = Choices.of(templates, most)
    # In a lane of its own, a rectangle after another can as well be a row of its own.
    beside = frozenset(t for t, template in enumerate(templates) if len(template) > 1)
    listed = [Stack(((kind, one),), one.lanes) for kind in choices.asked for one in kind]
    singles = [stack for stack in listed if any(t in beside for t, _ in stack.lanes)]
    layer = singles
    room = limit + len(listed)
    effort, some = clock.effort, clock.part(clock.effort.listing)
    for _ in range(effort.members - 1):
        longer: dict[tuple[frozenset[tuple[Kind, int]], Phased, Phased], Stack] = {}
        for stack in layer:
            if some.over:
                return Stacks(templates, choices, listed, False)
            some.spend_seconds(len(singles) * effort.seconds_a_stack)
            for single in singles:
                if len(listed) + len(longer) > room:
                    return Stacks(templates, choices, listed, False)
                more = _joined(choices.most, stack, single)
                if more is None or not any(t in beside for t, _ in more.lanes):
                    continue
                # Of the same rectangles begun and ended alike, only the shortest matters.
                key = frozenset(more.counts.items()), more.members[0][1], more.members[-1][1]
                first = more.members[0][1].phase
                end = more.end(roll, first)
                if end <= longest and (key not in longer or end < longer[key].end(roll, first)):
                    longer[key] = more
        layer = list(longer.values())
        listed += layer
        if not layer:
            return Stacks(templates, choices, listed, True)
    return Stacks(templates, choices, listed, False)


def _joined(most: Mapping[Kind, int], stack: Stack, single: Stack) -> Stack | None:
    """A stack with one more rectangle; None if there are not as many."""
    ((kind, _),) = single.members
    if stack.counts.get(kind, 0) >= most[kind]:
        return None
    return Stack((*stack.members, *single.members), stack.lanes & single.lanes)


@dataclass
class RowPacking(Packing):
    """Variables of a roll packed row by row.

    Attributes:
        stacks: number of each stack, by template, node, lane and place in the list.
        rows: number of rows by template, node and length to their node.
        last: whether a row of this template, node and length ends the roll.
        skips: how often cloth is skipped from a node to the next.
        begins: whether the walk begins at a node.
    """

    roll: Roll
    of: Stacks
    stacks: dict[tuple[int, Ticks, int, int], cp_model.IntVar]
    rows: dict[tuple[int, Ticks, Ticks], cp_model.IntVar]
    last: dict[tuple[int, Ticks, Ticks], cp_model.IntVar]
    skips: dict[Ticks, cp_model.IntVar]
    begins: dict[Ticks, cp_model.IntVar]

    def cut_drops(self, value: Sequence[int], rects: Mapping[Rect, int]) -> list[CutDrop]:
        """The rows of a solution as drops, not yet in an order.

        Args:
            value: of each variable, by its index.
            rects: what the options taken ask of this roll.
        """
        waiting: dict[Kind, list[Rect]] = {}
        for kind, these in self.of.choices.asked.items():
            waiting[kind] = [rect for rect in these for _ in range(rects.get(rect, 0))]
        heaps: dict[tuple[int, Ticks], dict[int, list[Stack]]] = {}
        for (t, node, place, s), var in self.stacks.items():
            lanes = heaps.setdefault((t, node), {})
            lanes.setdefault(place, []).extend([self.of.listed[s]] * value[var.index])
        drops = []
        for (_, node), lanes in sorted(heaps.items()):
            for stacks in lanes.values():
                self._sort(stacks, node)
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
        return drops

    def _sort(self, stacks: list[Stack], node: Ticks) -> None:
        """Put stacks that start at a node in order, the longest first."""
        stacks.sort(key=lambda stack: -stack.end(self.roll, node))


def _begun(roll: Roll, lanes: tuple[CutLane, ...], node: Ticks) -> CutDrop:
    """A drop of a row from a node on, begun where the first of its lanes begins."""
    wait = min((lane.phases[0] - node) % roll.period for lane in lanes)
    return CutDrop(lanes, (node + wait) % roll.period)


def add_rows(
    model: cp_model.CpModel,
    roll: Roll,
    stacks: Stacks,
    demand: Mapping[Rect, list[tuple[int, cp_model.IntVar]]],
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
    packing = RowPacking(length, longest, roll, stacks, {}, {}, {}, {}, {})
    most = stacks.choices.most
    most_of_a_row = longest if roll.table is None else min(longest, roll.table)
    cut: dict[Kind, list[tuple[int, cp_model.IntVar]]] = {kind: [] for kind in most}
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
            # From the longest down: rows not yet taken in this lane, as each length comes in.
            spare: list[tuple[int, cp_model.IntVar]] = []
            waiting = iter([*rows, (-1, None)])
            row = next(waiting)
            by_end = sorted((s for s in these if s in ends), key=lambda s: -ends[s])
            for end, alike in groupby(by_end, key=lambda s: ends[s]):
                terms = spare
                while row[0] >= end and row[1] is not None:
                    terms.append((1, row[1]))
                    row = next(waiting)
                for s in alike:
                    counts = stacks.listed[s].counts
                    number = min(most[kind] // n for kind, n in counts.items())
                    var = packing.stacks[t, node, place, s] = model.new_int_var(0, number, "")
                    terms.append((-1, var))
                    for kind, n in counts.items():
                        cut[kind].append((n, var))
                left = model.new_int_var(0, 2 * sum(most.values()), "")
                model.add(total(terms) == left)
                spare = [(1, left)]
    for kind, rects in stacks.choices.asked.items():
        model.add(total(cut[kind]) == total(term for rect in rects for term in demand[rect]))
    _add_walk(model, packing, empty)
    return packing


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


def to_node(roll: Roll, start: Ticks, end: Ticks) -> Ticks:
    """Length from a start at this phase to the first node at or after `end`."""
    return min(end + (node - start - end) % roll.period for node in roll.nodes)


def _add_walk(model: cp_model.CpModel, packing: RowPacking, empty: cp_model.IntVar | None) -> None:
    """The rows are the arcs of one walk, and the roll is as long as it."""
    roll = packing.roll
    nodes = roll.nodes
    room = 1 + sum(packing.of.choices.most.values())
    around = roll.period
    begins = packing.begins = {node: model.new_bool_var("") for node in nodes}
    nothing = [] if empty is None else [empty]
    model.add_exactly_one(*begins.values(), *nothing)
    model.add_exactly_one(*packing.last.values(), *nothing)
    if empty is not None:
        model.add(packing.length == 0).only_enforce_if(empty)
    following = {node: nodes[(i + 1) % len(nodes)] for i, node in enumerate(nodes)}
    skips = packing.skips = {node: model.new_int_var(0, room, "") for node in nodes}
    arcs: dict[tuple[Ticks, Ticks], list[tuple[int, cp_model.IntVar]]] = {}
    for (_, node, length), var in packing.rows.items():
        arcs.setdefault((node, (node + length) % around), []).append((1, var))
    for node, var in skips.items():
        arcs.setdefault((node, following[node]), []).append((1, var))
    for node in nodes:
        model.add(
            total(term for (_, to), terms in arcs.items() if to == node for term in terms)
            + begins[node]
            == total(term for (from_, _), terms in arcs.items() if from_ == node for term in terms)
            + total((1, var) for (_, n, _), var in packing.last.items() if n == node)
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
        + total(waits)
    )


def _join(
    model: cp_model.CpModel,
    packing: RowPacking,
    begins: Mapping[Ticks, cp_model.IntVar],
    arcs: Mapping[tuple[Ticks, Ticks], list[tuple[int, cp_model.IntVar]]],
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
            for rows in (packing.rows, packing.last)
            for (_, n, _), var in rows.items()
            if n == node
        )
        model.add(starting <= room * used)
        model.add(reached[node] >= used)
