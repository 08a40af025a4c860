"""Options that another one beats on every roll, so that no plan needs them."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import replace

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
    together: dict[Agreed, list[Option]] = {}
    # By total size, so that what beats an option is met before it.
    for option in sorted(options, key=_size):
        own = tuple(each for each in option.agreed if each[0] not in shared)
        these = together.setdefault(own, [])
        if not any(beats(other, option, shared) for other in these):
            these.append(option)
    kept: list[Sequence[Option]] = []
    for these in together.values():
        if not any(_all_beaten(others, these, shared) for others in kept):
            kept.append(these)
    chosen = {id(option) for these in kept for option in these}
    return tuple(option for option in options if id(option) in chosen)


def _all_beaten(
    others: Sequence[Option], these: Sequence[Option], shared: Collection[Topic]
) -> bool:
    return all(any(beats(other, option, shared) for other in others) for option in these)


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
