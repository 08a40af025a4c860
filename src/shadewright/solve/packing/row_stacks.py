"""What the lanes of a row may hold: stacks of rectangles, each in one of its phases.

All that could be of use are listed where there are few of them; where not, those of few rectangles.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from functools import cached_property

from shadewright.measure import Ticks
from shadewright.solve.packing.drops import CutLane
from shadewright.solve.packing.templates import Template
from shadewright.solve.packing.turns import Choices, Kind, PhasedRect
from shadewright.solve.problem.kinds import Rect, Roll
from shadewright.solve.run import Clock


@dataclass(frozen=True)
class Stack:
    """Rectangles one after the other in a lane, each of a kind and in one of its phases.

    Attributes:
        lanes: that hold them all.
    """

    members: tuple[tuple[Kind, PhasedRect], ...]
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
        members: number of rectangles up to which all are listed.
        complete: whether no other could be of use.
        bounded: whether rows of those that are not listed are bounded, so that none is left out.
    """

    templates: list[Template]
    choices: Choices
    listed: list[Stack]
    members: int
    complete: bool
    bounded: bool = False

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
        return replace(self, choices=Choices(asked, number), listed=listed)

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
    members: int | None = None,
) -> Stacks:
    """List stacks, those of few rectangles first, at most `limit` beyond single rectangles; it
    ends where it has taken its share of the clock.

    Args:
        most: that any plan needs of each rectangle.
        longest: no plan worth finding is longer, so no stack need be.
        members: rectangles of one; None where the clock's effort says how many.
    """
    choices = Choices.of(templates, most)
    # In a lane of its own, a rectangle after another can as well be a row of its own.
    beside = frozenset(t for t, template in enumerate(templates) if len(template) > 1)
    listed = [Stack(((kind, one),), one.lanes) for kind in choices.asked for one in kind]
    singles = [stack for stack in listed if any(t in beside for t, _ in stack.lanes)]
    layer = singles
    room = limit + len(listed)
    effort, some = clock.effort, clock.part(clock.effort.listing)
    most_members = members or effort.members
    for held in range(1, most_members):
        longer: dict[tuple[frozenset[tuple[Kind, int]], PhasedRect, PhasedRect], Stack] = {}
        for stack in layer:
            if some.over:
                return Stacks(templates, choices, listed, held, False)
            some.spend_seconds(len(singles) * effort.seconds_a_stack)
            for single in singles:
                if len(listed) + len(longer) > room:
                    return Stacks(templates, choices, listed, held, False)
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
            return Stacks(templates, choices, listed, held, True)
    return Stacks(templates, choices, listed, most_members, False)


def _joined(most: Mapping[Kind, int], stack: Stack, single: Stack) -> Stack | None:
    """A stack with one more rectangle; None if there are not as many."""
    ((kind, _),) = single.members
    if stack.counts.get(kind, 0) >= most[kind]:
        return None
    return Stack((*stack.members, *single.members), stack.lanes & single.lanes)
