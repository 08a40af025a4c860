"""Options that another one beats on every roll, so that no plan needs them."""

from __future__ import annotations

from collections.abc import Collection, Hashable, Iterable, Iterator
from dataclasses import replace
from operator import le

from shadewright.measure import Ticks
from shadewright.solve.problem.agreement import common_topics
from shadewright.solve.problem.kinds import Agreed, Kind, Option, Topic


def narrowest_options(kinds: Iterable[Kind]) -> tuple[Kind, ...]:
    """Leave out options that another one beats on every roll.

    Of two options with as many shades, the one whose rectangles are all no larger, matched in
    order, fits wherever the other fits. So money, shades and length used lose nothing by leaving
    the larger out; numbers of widths and gaps may, and are decided on all options.

    Where the copies of a kind must agree among themselves, all that can be taken together is left
    out only if something else that can is better throughout.
    """
    these = tuple(kinds)
    shared = common_topics(these).keys()
    return tuple(
        replace(
            kind,
            options=_undominated(kind.options, shared),
            floors=_undominated(kind.floors, shared),
        )
        for kind in these
    )


def _undominated(options: tuple[Option, ...], shared: Collection[Topic]) -> tuple[Option, ...]:
    together: dict[Agreed, _Undominated] = {}
    # By total size, so that what beats an option is met before it.
    for option in sorted(options, key=_size):
        own = tuple(each for each in option.agreed if each[0] not in shared)
        these = together.setdefault(own, _Undominated(shared))
        if not these.beat(option):
            these.add(option)
    kept: list[_Undominated] = []
    for these in together.values():
        if not any(all(map(others.beat, these.options)) for others in kept):
            kept.append(these)
    chosen = {id(option) for these in kept for option in these.options}
    return tuple(option for option in options if id(option) in chosen)


class _Undominated:
    """Options none of which beats another.

    What beats an option has as many shades, says the same, and has a place for its first rectangle
    that is not plain in each phase of that: there may be very many options, and few are compared.
    """

    def __init__(self, shared: Collection[Topic]) -> None:
        self.options: list[Option] = []
        self._shared = shared
        # By place of the first rectangle that is not plain, and by its phases.
        self._alike: dict[int, dict[Hashable, list[tuple[list[Ticks], Option]]]] = {}

    def add(self, option: Option) -> None:
        self.options.append(option)
        place = _first_bound(option)
        phases: Iterable[Ticks | None] = option.rects[place].phases if place >= 0 else (None,)
        alike, sized = self._alike.setdefault(place, {}), (_sizes(option), option)
        for key in self._keys(option, phases):
            alike.setdefault(key, []).append(sized)

    def beat(self, option: Option) -> bool:
        """Whether one of them beats an option."""
        place = _first_bound(option)
        phase, sizes = option.rects[place].phases[0] if place >= 0 else None, _sizes(option)
        return any(
            all(map(le, its, sizes)) and beats(one, option, self._shared)
            for where, alike in self._alike.items()
            for these in (
                [alike.get(key, []) for key in self._keys(option, [phase])]
                if where == place
                else alike.values()
            )
            for its, one in these
        )

    def _keys(self, option: Option, phases: Iterable[Ticks | None]) -> Iterator[Hashable]:
        """What options have in common that are compared, one for each phase."""
        same = option.shades, _said(option, self._shared)
        return ((*same, phase) for phase in phases)


def _sizes(option: Option) -> list[Ticks]:
    return [size for rect in option.rects for size in (rect.across, rect.along)]


def _first_bound(option: Option) -> int:
    """The place of the first rectangle that is not plain; -1 if there is none."""
    return next((i for i, rect in enumerate(option.rects) if not rect.plain), -1)


def _size(option: Option) -> tuple[Ticks, int]:
    return sum((r.across + r.along) * n for r, n in option.demand), option.shades


def beats(one: Option, other: Option, shared: Collection[Topic]) -> bool:
    """Whether `one` has as many shades as `other` and rectangles that all do for its.

    Args:
        shared: topics that they must say the same of.
    """
    return (
        one.shades == other.shades
        and one.gives_up <= other.gives_up
        and len(one.rects) == len(other.rects)
        and all(a.is_no_larger(b) for a, b in zip(one.rects, other.rects, strict=True))
        and (one.agreed == other.agreed or _said(one, shared) == _said(other, shared))
        and all(a.does_for(b) for a, b in zip(one.rects, other.rects, strict=True))
    )


def _said(option: Option, shared: Collection[Topic]) -> Agreed:
    return tuple(each for each in option.agreed if each[0] in shared)
