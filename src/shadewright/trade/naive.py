"""What the same openings would cost, worked out with pencil and paper."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from fractions import Fraction
from functools import partial
from itertools import product

from shadewright.job.model import Cloth, Job, Opening
from shadewright.measure import Ticks, ceil_to, floor_to
from shadewright.trade import divisions
from shadewright.trade.buying import (
    bought_length,
    cloth_cost,
    repeat_along,
    spare_length,
    start_allowance,
    to_buy,
    whole_repeats,
)
from shadewright.trade.cords import draw_of
from shadewright.trade.counts import counts
from shadewright.trade.refusal import CannotMeetError
from shadewright.trade.worth import cost_of_shade


@dataclass(frozen=True)
class Naive:
    """What the notepad way would buy: see `naive`."""

    shades: int
    bought: dict[str, Ticks]
    """Per cloth."""
    cost: float
    """Cloth, and what every shade costs apart from it; 0 when a cloth has no price."""


def naive(job: Job) -> Naive | None:
    """The notepad way: fewest equal shades, and a full drop for each.

    Panels of one opening share a drop where two or more fit side by side. On matched cloth every
    drop is cut to whole repeats, and one repeat is added for the start (`whole_repeats`), and what
    the job buys to spare. Where bolts have a longest length, each is cut until the next drop finds
    no room on it. Cloth that lies one way throughout does so here too, whichever costs less. None
    where an opening has no equal division, or some of the cloth cannot be bought.
    """
    if not all(job.cloth(name).can_buy for name in _cloths(job)):
        return None
    found = []
    for lay in _lays(job):
        # Cloth that lies so may be too narrow for some opening.
        with suppress(CannotMeetError):
            found += [each for each in [_in_one_lay(lay)] if each is not None]
    return min(found, key=lambda each: (each.cost, sum(each.bought.values())), default=None)


def _lays(job: Job) -> Iterator[Job]:
    """The job with each way that cloth may lie which lies one way throughout."""
    some = [cloth for cloth in job.cloths if cloth.runs == "either" and cloth.name in _cloths(job)]
    for runs in product(("up the bolt", "railroaded"), repeat=len(some)):
        so = {cloth.name: {"runs": each} for cloth, each in zip(some, runs, strict=True)}
        yield job.with_cloths(partial(_said_of, so))


def _said_of(said: Mapping[str, Mapping[str, object]], cloth: Cloth) -> Mapping[str, object]:
    return said.get(cloth.name, {})


def _in_one_lay(job: Job) -> Naive | None:
    """None where an opening has no equal division that lies so."""
    shades, spent = 0, Fraction(0)
    drops: dict[str, list[Ticks]] = {}
    railroaded: dict[str, bool] = {}
    ties = divisions.tied(job, {})
    alike: dict[str, list[Opening]] = {}
    longest: dict[str, Ticks] = {}
    for opening in job.openings:
        alike.setdefault(ties.get(opening.name, opening.name), []).append(opening)
    for opening in job.openings:
        simple = _simplest(job, opening, alike[ties.get(opening.name, opening.name)])
        if simple is None:
            return None
        count, way, width = simple
        shades += count * opening.copies
        draws = [draw_of(opening, place, count) for place in range(1, count + 1)]
        spent += opening.copies * sum(cost_of_shade(job, opening, width, draw) for draw in draws)
        face, lining = divisions.cloths_of(job, opening)
        for part, size in divisions.panels(job, opening, way, width).items():
            cloth = face if part == "face" or lining is None else lining
            beside = cloth.usable // size.across
            rows = -(-count // beside)
            length = _drop(job, cloth, size.along, part == "lining")
            drops.setdefault(cloth.name, []).extend([length] * (rows * opening.copies))
            railroaded[cloth.name] = size.railroaded
            longest[cloth.name] = max(longest.get(cloth.name, 0), size.along)
    bought = {
        name: _bought(job, job.cloth(name), these, railroaded[name], longest[name])
        for name, these in drops.items()
    }
    money = spent + sum(
        (cloth_cost(job, job.cloth(name), length) for name, length in bought.items()), Fraction(0)
    )
    priced = all(job.cloth(name).price is not None for name in bought)
    return Naive(shades, bought, float(money) if priced else 0.0)


def _bought(
    job: Job, cloth: Cloth, drops: Sequence[Ticks], railroaded: bool, longest: Ticks
) -> Ticks:
    """All that is bought of a cloth for drops cut one behind the other.

    Args:
        longest: of its panels, along the roll.
    """
    lead = ceil_to(job.make.square_up, job.step)
    allowance, spare = start_allowance(job, cloth, railroaded), spare_length(cloth, longest)
    if cloth.bolt is None:
        return bought_length(lead + sum(drops), allowance + spare, cloth.sold_in)
    most = floor_to(cloth.bolt, cloth.sold_in)
    ends: list[Ticks] = []
    for drop in drops:
        if ends and bought_length(ends[-1] + drop, allowance, cloth.sold_in) <= most:
            ends[-1] += drop
        else:
            ends.append(lead + drop)
    lengths = to_buy(ends, allowance, spare, cloth.sold_in, most)
    if lengths is None:
        # What is spare finds no room on any of them.
        lengths = [bought_length(end, allowance, cloth.sold_in) for end in ends]
        lengths.append(bought_length(spare, 0, cloth.sold_in))
    return sum(lengths)


def _cloths(job: Job) -> set[str]:
    """The cloths that the job's openings are made of."""
    lining = {job.make.lining} if job.make.lining else set()
    return {opening.cloth for opening in job.openings} | lining


def _simplest(
    job: Job, opening: Opening, alike: Sequence[Opening]
) -> tuple[int, divisions.Way, Ticks] | None:
    """Fewest equal shades: how many, how the cloth lies, and how wide.

    Args:
        alike: openings that have as many shades, this one among them.
    """
    ways = {each.name: _equal(job, each) for each in alike}
    for count in counts(job, opening):
        if all(count in these for these in ways.values()):
            way, width = ways[opening.name][count]
            return count, way, width
    return None


def _equal(job: Job, opening: Opening) -> dict[int, tuple[divisions.Way, Ticks]]:
    """How an opening can be divided into equal shades: for each number of them the way that its
    cloth lies, and how wide they are."""
    equal = opening.model_copy(update={"widths": "equal"})
    found: dict[int, tuple[divisions.Way, Ticks]] = {}
    allowed = divisions.all_limits(job, equal)
    for count in counts(job, opening):
        for limit in allowed:
            widths = divisions.equal_widths(job, equal, limit, count)
            if widths:
                found.setdefault(count, (limit.way, widths[-1]))
    return found


def _drop(job: Job, cloth: Cloth, along: Ticks, lining: bool) -> Ticks:
    repeat = None if lining else repeat_along(job, cloth, cloth.runs == "railroaded")
    return along if repeat is None else whole_repeats(along, repeat)
