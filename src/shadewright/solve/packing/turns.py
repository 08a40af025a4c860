"""What every plan of a roll with several phases must pass: a relaxation that bounds its length.

Wind the roll on a circle as long as its period. A rectangle of one phase covers the same part of
the circle wherever it lies, and the roll passes each point of it a whole number of times, its
*turns* there. What is cut at one passing must fit side by side. So, just after each node, the turns
cut by a template are at least what any lane of it holds there. Coverage only rises at nodes, so no
other point asks for more. This is the counting rule of a cutting order (`shadewright.cloth.order`)
with lanes in place of drops; that lanes of one drop must end together is what it leaves out.

So where all that a template cuts is one long drop, as drops of a roll of one phase are joined,
hardly anything is lost to that: a solution is a plan, a little longer than it says (`TurnPacking`).

Which node a roll begins at makes a constraint for each pair of nodes, if each is looked at. With 81
of them, nothing was found for 15 openings on a railroaded print; with what is left of the last turn
told instead (`_end_anywhere`) they are solved to the end in 3 s.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from ortools.sat.python import cp_model

from shadewright.measure import Ticks, ceil_to
from shadewright.solve.packing.drops import CutDrop
from shadewright.solve.packing.joint_drops import RectInPhase, joint_drops
from shadewright.solve.packing.packing import Demand, Packing
from shadewright.solve.packing.templates import Template
from shadewright.solve.problem.kinds import Rect, Roll
from shadewright.solve.sums import total


@dataclass(frozen=True, order=True)
class PhasedRect:
    """Rectangles that no lane tells apart in one phase: as long as each other, held alike.

    Attributes:
        lanes: place of the template and of the lane in it, of all that hold them.
    """

    along: Ticks
    phase: Ticks
    lanes: frozenset[tuple[int, int]]


Kind = tuple[PhasedRect, ...]
"""What a rectangle is in each of its phases."""


def phased(templates: list[Template], rect: Rect) -> Kind:
    """What a rectangle is in each of its phases."""
    found = []
    for phase in sorted({slot.phase for slot in rect.slots}):
        lanes = frozenset(
            (t, place)
            for t, template in enumerate(templates)
            for place, lane in enumerate(template)
            if lane.holds(rect, phase)
        )
        if lanes:
            found.append(PhasedRect(rect.along, phase, lanes))
    return tuple(found)


@dataclass
class Choices:
    """Rectangles of a roll by kind: what they are in each of their phases.

    Attributes:
        asked: of each kind the rectangles, which are alike but for their places.
        most: of each kind the number that any plan needs.
    """

    asked: dict[Kind, list[Rect]]
    most: dict[Kind, int]

    @classmethod
    def of(cls, templates: list[Template], most: Mapping[Rect, int]) -> Choices:
        asked: dict[Kind, list[Rect]] = {}
        number: dict[Kind, int] = {}
        for rect, count in most.items():
            kind = phased(templates, rect)
            asked.setdefault(kind, []).append(rect)
            number[kind] = number.get(kind, 0) + count
        return cls(asked, number)

    def waiting(self, rects: Mapping[Rect, int]) -> dict[Kind, list[Rect]]:
        """As many rectangles of each kind as are asked for."""
        return {
            kind: [rect for rect in these for _ in range(rects.get(rect, 0))]
            for kind, these in self.asked.items()
        }


Cut = dict[tuple[int, int], list[tuple[Kind, PhasedRect, cp_model.IntVar]]]
"""How many rectangles of a kind, in one of its phases, lie in a lane, by the place of its template
and its own in it."""


@dataclass
class TurnPacking(Packing):
    """Variables of a roll whose turns are counted.

    Attributes:
        choices: what there is to cut.
        cut: what is cut.
    """

    roll: Roll
    choices: Choices
    cut: Cut

    def cut_drops(self, value: Sequence[int], rects: Mapping[Rect, int]) -> list[CutDrop]:
        """What a solution cuts with each template, taken apart wherever no lane is in the way; not
        yet in an order, and rather longer in all than the solution says.

        Args:
            value: of each variable, by its index.
            rects: what the options taken ask of this roll.
        """
        waiting = self.choices.waiting(rects)
        return cut_together(self.roll, self.cut, value, waiting)


def cut_together(
    roll: Roll, cut: Cut, value: Sequence[int], waiting: Mapping[Kind, list[Rect]]
) -> list[CutDrop]:
    """What a solution cuts with each template.

    Args:
        value: of each variable, by its index.
        waiting: rectangles of each kind, of which those that are cut are taken.
    """
    templates: dict[int, list[list[RectInPhase]]] = {}
    for (t, _), held in sorted(cut.items()):
        lane = [
            RectInPhase(waiting[kind].pop(), one.phase)
            for kind, one, count in held
            for _ in range(value[count.index])
        ]
        if lane:
            templates.setdefault(t, []).append(lane)
    return [drop for lanes in templates.values() for drop in joint_drops(roll, lanes)]


def to_node(roll: Roll, start: Ticks, end: Ticks) -> Ticks:
    """Length from a start at this phase to the first node at or after `end`."""
    return min(end + (node - start - end) % roll.period for node in roll.nodes)


def passes(roll: Roll, along: Ticks, phase: Ticks, node: Ticks) -> int:
    """How often a stretch of this length and phase covers the point just after a node."""
    return max(ceil_to(along - (node - phase) % roll.period, roll.period) // roll.period, 0)


def add_turns(  # noqa: PLR0917
    model: cp_model.CpModel,
    roll: Roll,
    templates: list[Template],
    demand: Demand,
    most: Mapping[Rect, int],
    few_begins: int,
    *,
    empty: cp_model.IntVar | None = None,
) -> TurnPacking:
    """Add variables and constraints that hold a roll's length above what `demand` asks of it.

    Args:
        demand: of each rectangle, as terms of a sum.
        most: that any plan needs of each.
        few_begins: nodes up to which each that it may begin at is looked at by itself.
        empty: whether nothing is cut from it; None where something always is.
    """
    choices = Choices.of(templates, most)
    longest = sum((ceil_to(rect.along, roll.period) + roll.period) * n for rect, n in most.items())
    most_turns = longest // roll.period + 1
    turns = [{node: model.new_int_var(0, most_turns, "") for node in roll.nodes} for _ in templates]
    cut: Cut = {}
    for kind, rects in choices.asked.items():
        these = []
        for one in kind:
            for lane in sorted(one.lanes):
                count = model.new_int_var(0, choices.most[kind], "")
                cut.setdefault(lane, []).append((kind, one, count))
                these.append((1, count))
        model.add(total(these) == total(term for rect in rects for term in demand[rect]))
    for (t, _), held in sorted(cut.items()):
        for node in roll.nodes:
            covering = ((passes(roll, one.along, one.phase, node), count) for _, one, count in held)
            model.add(total(covering) <= turns[t][node])
    length = model.new_int_var(0, longest, f"{roll.name} length")
    passed = {node: total((1, each[node]) for each in turns) for node in roll.nodes}
    rests = {node: _least_rest(roll, choices.asked, node) for node in roll.nodes}
    if roll.origin is None and len(roll.nodes) > few_begins:
        _end_anywhere(model, roll, length, passed, rests, most_turns)
    else:
        _begin_somewhere(model, roll, length, passed, rests, empty)
    return TurnPacking(1 * length, longest, roll, choices, cut)


def _begin_somewhere(  # noqa: PLR0917
    model: cp_model.CpModel,
    roll: Roll,
    length: cp_model.IntVar,
    passed: Mapping[Ticks, cp_model.LinearExpr],
    rests: Mapping[Ticks, Ticks],
    empty: cp_model.IntVar | None,
) -> None:
    """Hold a length above what passings of nodes ask, from each phase that it may begin at.

    Args:
        rests: what follows the last passing of each node at least.
    """
    begins = _beginnings(model, roll, empty)
    for node in roll.nodes:
        beyond = {
            start: ahead + min(rests[node], roll.period - ahead) - roll.period
            for start in begins
            for ahead in [(node - start) % roll.period]
        }
        # Wherever it begins: a linear relaxation knows nothing of what holds only if it is so.
        model.add(length >= roll.period * passed[node] + min(beyond.values()))
        for start, begin in begins.items():
            bound = model.add(length >= roll.period * passed[node] + beyond[start])
            if begin is not None:
                bound.only_enforce_if(begin)
            elif empty is not None:
                bound.only_enforce_if(~empty)


def _end_anywhere(  # noqa: PLR0917
    model: cp_model.CpModel,
    roll: Roll,
    length: cp_model.IntVar,
    passed: Mapping[Ticks, cp_model.LinearExpr],
    rests: Mapping[Ticks, Ticks],
    most_turns: int,
) -> None:
    """The same where it may begin at any of many nodes, in proportion to their number and not to
    its square, and hardly weaker: behind all whole turns comes a part of one, which is any arc of
    the circle. It ends once, as far behind its last node as something that passes that does.
    """
    after = dict(zip(roll.nodes, (*roll.nodes[1:], roll.nodes[0]), strict=True))
    arcs = {node: (after[node] - node) % roll.period for node in roll.nodes}
    whole = model.new_int_var(0, most_turns, "")
    part = {node: model.new_bool_var("") for node in roll.nodes}
    ends = {node: model.new_bool_var("") for node in roll.nodes}
    model.add_at_most_one(*ends.values())
    for node in roll.nodes:
        model.add(passed[node] <= whole + part[node])
        model.add_implication(ends[node], part[node])
        model.add_implication(ends[node], ~part[after[node]])
    saved = total((arcs[node] - min(rests[node], arcs[node]), ends[node]) for node in roll.nodes)
    in_part = total((arcs[node], part[node]) for node in roll.nodes)
    model.add(length >= roll.period * whole + in_part - saved)


def _beginnings(
    model: cp_model.CpModel, roll: Roll, empty: cp_model.IntVar | None
) -> dict[Ticks, cp_model.IntVar | None]:
    """Phases at which the first drop may begin to wait for its own, and which of them is taken."""
    if roll.origin is not None:
        return {roll.origin: None}
    begins = {node: model.new_bool_var("") for node in roll.nodes}
    model.add_exactly_one(*begins.values(), *([] if empty is None else [empty]))
    return dict(begins)


def _least_rest(roll: Roll, kinds: Iterable[Kind], node: Ticks) -> Ticks:
    """The least that follows the last passing of a node within any stretch that covers it."""
    rests = [
        one.along - (node - one.phase) % roll.period - (n - 1) * roll.period
        for kind in kinds
        for one in kind
        if (n := passes(roll, one.along, one.phase, node))
    ]
    return min(rests, default=0)
