"""Where rectangles are laid one after the other on limited cloth: the stretches with what lies on
them, and the best place of all for one rectangle more."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from shadewright.measure import Ticks
from shadewright.solve.packing.room import Berth, Filling, Looks, Room
from shadewright.solve.problem.kinds import Option, Problem, Rect, Roll
from shadewright.solve.problem.supply import Supply
from shadewright.solve.search.candidate import CutPart, in_order

STYLES = 3
"""Rules that tell good places from bad."""


@dataclass(frozen=True)
class Rule:
    """Which of several places is best.

    Attributes:
        style: by how much further a stretch is used, the stretch, or the place along it, from 0.
        side: 1 where left is better than right, else -1.
    """

    style: int
    side: int

    def key(self, number: int, room: Room, way: Berth) -> tuple[object, ...]:
        """What is least of the best way; nothing is bought where there is room on hand.

        Args:
            number: of the stretch.
        """
        stretch = room.stretch
        rest = 0 if stretch.end is None else stretch.end - way.filled.used
        match self.style:
            case 0:
                rule = way.growth, rest, way.y
            case 1:
                rule = number, way.growth, way.y
            case _:
                rule = way.y, way.growth, rest
        return (stretch.bought, *rule, self.side * way.x)


def rooms_of(problem: Problem, supply: Supply) -> tuple[Room, ...]:
    """All stretches of a supply, those on hand first."""
    return tuple(
        Room.of(supply.placed(roll, stretch), stretch, free=_is_free(supply, roll, i))
        for roll in problem.rolls
        for i, stretch in enumerate(supply.stretches[roll.name])
    )


def _is_free(supply: Supply, roll: Roll, place: int) -> bool:
    """Whether no place of the print is known before something is cut from a stretch."""
    whole = roll.name in supply.whole
    return not whole and roll.period > 1 and supply.stretches[roll.name][place].zero is None


def best_berth(  # noqa: PLR0917
    rooms: Sequence[Room],
    filled: Sequence[Filling],
    rect: Rect,
    lots: Mapping[str, str | None] | None,
    rule: Rule,
    looks: Looks,
) -> tuple[int, Berth] | None:
    """The best place for a rectangle on all stretches, and which of them it is on; None if there
    is no room.

    Args:
        lots: of each roll, that it has to be cut from; any if None.
    """
    best: tuple[tuple[object, ...], int, Berth] | None = None
    for i, room in enumerate(rooms):
        here = room.stretch
        if here.cloth != rect.roll or (lots is not None and here.lot != lots[rect.roll]):
            continue
        # Those bought come last, and nothing is bought where there is room on hand.
        if here.bought and best is not None and not best[0][0]:
            break
        for way in room.ways(filled[i], rect, rule.side, looks):
            key = rule.key(i, room, way)
            if best is None or key < best[0]:
                best = key, i, way
    return None if best is None else best[1:]


def parts_of(rooms: Sequence[Room], filled: Sequence[Filling]) -> tuple[CutPart, ...]:
    """What is cut from all stretches."""
    return tuple(
        _part_of(room, each) for room, each in zip(rooms, filled, strict=True) if each.drops
    )


def _part_of(room: Room, filled: Filling) -> CutPart:
    """What is cut from a stretch; only with all its places where else they would be lost."""
    laid = room.laid(filled)
    drops = tuple(each.drop for each in laid)
    roll = room.roll
    loose = roll.own_rows or any(
        rect.plain for drop in drops for lane in drop.lanes for rect in lane.rects
    )
    if room.flaws or loose:
        return CutPart(room.stretch, 0, roll, (), drops, laid)
    if room.stretch.bought and len(roll.nodes) > 1:
        drops = in_order(roll, drops)
    return CutPart(room.stretch, 0, roll, (), drops)


def rows_to_begins(
    roll: Roll, rooms: Sequence[Room], filled: Sequence[Filling], phase: Ticks
) -> list[Ticks]:
    """How much further along a roll the rows of an opening have to lie so that a face of a phase
    begins where clean cloth does, wherever that is."""
    by: dict[Ticks, None] = {}
    for room, here in zip(rooms, filled, strict=True):
        if room.stretch.cloth == roll.name and here.zero is not None:
            for at in room.begins(here):
                by[(at - here.zero - phase) % roll.period] = None
    return [distance for distance in by if distance]


def with_rows_moved(option: Option, roll: Roll, by: Ticks) -> Option:
    """An option whose faces lie further on along a roll."""

    def moved(rect: Rect) -> Rect:
        if rect.roll != roll.name or rect.plain:
            return rect
        slots = (s._replace(phase=(s.phase + by) % roll.period) for s in rect.slots)
        return replace(rect, slots=tuple(sorted(slots)))

    return replace(option, cut=tuple(tuple(map(moved, shade)) for shade in option.cut))
