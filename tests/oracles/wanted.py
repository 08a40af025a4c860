"""What a job asks to be cut, for the packer: some divisions of each opening, and their panels.

It shares no code with `solve`, `trade` or `cloth.lattice`: sizes, hems and numbers of shades are
worked out once more from the job's facts. Not every division is found; those that are, are allowed.
"""

from __future__ import annotations

import random
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from itertools import pairwise, product
from math import acos, pi, sqrt
from typing import Literal

from shadewright.job.model import Cloth, Job, Make, Opening
from shadewright.judge.making import narrowest_hung
from shadewright.measure import ceil_to, floor_to, nearest

_HAIR = Fraction(1, 1_000_000)  # of a tick: what take-up may be out by, which begins as a float
_BY_DEFAULT = 2  # more shades than the fewest that fit, where a job does not say how many
_SHIFTED = 6  # divisions of a kind with widths that differ, for each number of shades

Part = Literal["face", "lining"]
Way = tuple[tuple[Part, Cloth, bool], ...]
"""For each part of a shade its cloth, and whether that lies railroaded."""


@dataclass(frozen=True)
class Wanted:
    """A panel to be cut.

    Attributes:
        place: of its shade in the opening, from 0 on.
        line: across the motif's vertical from the panel's corner to the line that columns are
            counted at; None where they do not matter.
        row: along it, from the corner to the height that rows are counted at; None where rows do
            not matter.
    """

    place: int
    part: Part
    cloth: str
    railroaded: bool
    across: int
    along: int
    hem_left: int
    hem_top: int
    line: Fraction | None
    row: int | None


@dataclass(frozen=True)
class Division:
    """One way to make a copy of an opening: finished left edges and widths, and the panels."""

    lefts: tuple[int, ...]
    widths: tuple[int, ...]
    panels: tuple[Wanted, ...]

    @property
    def area(self) -> int:
        return sum(panel.across * panel.along for panel in self.panels)


def clear(opening: Opening) -> int:
    """What shades and gaps fill."""
    if opening.mount == "inside":
        return opening.width - 2 * opening.clearance
    return opening.width + 2 * opening.overlap


def above_head(job: Job, opening: Opening) -> int:
    """How far above the head shades begin; hooks hold them below it inside."""
    return opening.overlap if opening.mount == "outside" else -job.make.hook_drop


def finished_length(job: Job, opening: Opening) -> int:
    under = opening.overlap_bottom if opening.mount == "outside" else -opening.sill_gap
    return opening.height + above_head(job, opening) + under


def strategy(job: Job, cloth: Cloth) -> str:
    """How faces are matched on a cloth; plain where it is no face's, or has no repeat."""
    if cloth.repeat_down is None or cloth.name not in {o.cloth for o in job.openings}:
        return "plain"
    return job.match.strategy or "level"


@cache
def divisions(job: Job, opening: Opening, seed: int) -> tuple[Division, ...]:
    """Some ways to make one copy, those that take least cloth first; equal widths among them."""
    draw = random.Random(f"{seed} {opening.name}")
    found: dict[Division, None] = {}
    for way in _ways(job, opening):
        most = _widest(job, opening, way)
        for count in _counts(job, opening) if most else ():
            for widths in _widths(job, opening, count, most, draw):
                found[_division(job, opening, way, widths)] = None
    return tuple(sorted(found, key=lambda each: (each.area, len(each.widths))))


def _ways(job: Job, opening: Opening) -> list[Way]:
    parts: list[list[tuple[Part, Cloth, bool]]] = []
    names: list[tuple[Part, str]] = [("face", opening.cloth)]
    if job.make.lining:
        names.append(("lining", job.make.lining))
    for part, name in names:
        cloth = job.cloth(name)
        turns = {"up the bolt": (False,), "railroaded": (True,), "either": (False, True)}
        parts.append([(part, cloth, turned) for turned in turns[cloth.runs]])
    return list(product(*parts))


def _widest(job: Job, opening: Opening, way: Way) -> int:
    """The widest finished shade that can be cut; 0 if none can."""
    most = floor_to(opening.widest, job.step)
    for _, cloth, turned in way:
        if turned:
            if _cut(job, cloth, turned, job.step, finished_length(job, opening))[0] > cloth.usable:
                return 0
        else:
            room = int(floor_to(cloth.usable, job.step) * (1 - cloth.shrink_across))
            most = min(most, floor_to(room - 2 * _side(job.make), job.step))
    return max(most, 0)


def _bounds(job: Job, opening: Opening, count: int, most: int) -> tuple[int, int, int]:
    """The narrowest shade, and the least and the greatest sum of widths."""
    least = narrowest_hung(job, count > 1)
    if count > 1:
        least = max(least, opening.narrowest)
    low, high = opening.gap
    sums = clear(opening) - (count - 1) * high, clear(opening) - (count - 1) * low
    return least, max(sums[0], count * least), min(sums[1], count * most)


def _counts(job: Job, opening: Opening) -> range:
    if opening.shades:
        return range(opening.shades[0], opening.shades[1] + 1)
    most = max(_widest(job, opening, way) for way in _ways(job, opening))
    for count in range(1, clear(opening) // job.step + 1):
        _, low, high = _bounds(job, opening, count, most)
        pace = {"equal": count, "mirrored": 1 if count % 2 else 2, "free": 1}[opening.widths]
        if ceil_to(low, pace * job.step) <= high:
            return range(count, count + _BY_DEFAULT + 1)
    return range(0)


def _widths(
    job: Job, opening: Opening, count: int, most: int, draw: random.Random
) -> Iterator[tuple[int, ...]]:
    """Some finished widths of so many shades, left to right."""
    least, low, high = _bounds(job, opening, count, most)
    step = job.step
    if count == 1:
        if low <= clear(opening) <= high:
            yield (clear(opening),)
        return
    first, last = ceil_to(low, count * step) // count, floor_to(high, count * step) // count
    steps = (last - first) // step
    equal = sorted({first + steps * i // 4 * step for i in range(5)}) if steps >= 0 else []
    yield from ((width,) * count for width in equal)
    if opening.widths == "equal":
        return
    for _ in range(_SHIFTED):
        widths = _differing(opening, count, (least, most, low, high), step, draw)
        if widths is not None:
            yield widths


def _differing(
    opening: Opening,
    count: int,
    limits: tuple[int, int, int, int],
    step: int,
    draw: random.Random,
) -> tuple[int, ...] | None:
    """Widths drawn one by one, each left so much room that the others can still be made."""
    least, most, low, high = limits
    mirrored = opening.widths == "mirrored"
    times = [2] * (count // 2) + [1] * (count % 2) if mirrored else [1] * count
    found: list[int] = []
    left = count
    for by in times:
        left -= by
        lowest = max(least, ceil_to(-(-(low - left * most) // by), step))
        highest = min(most, floor_to((high - left * least) // by, step))
        if lowest > highest:
            return None
        # The narrowest and the widest are the likeliest to be of use.
        width = draw.choice(
            (lowest, highest, lowest + step * draw.randint(0, (highest - lowest) // step))
        )
        found.append(width)
        low, high = low - by * width, high - by * width
    if mirrored:
        pairs = found[: count // 2]
        return (*pairs, *found[count // 2 :], *reversed(pairs))
    draw.shuffle(found)
    return tuple(found)


def _division(job: Job, opening: Opening, way: Way, widths: tuple[int, ...]) -> Division:
    left = opening.clearance if opening.mount == "inside" else -opening.overlap
    gaps, larger = divmod((clear(opening) - sum(widths)) // job.step, max(len(widths) - 1, 1))
    lefts = [left]
    for place, (width, _) in enumerate(pairwise(widths)):
        lefts.append(lefts[-1] + width + (gaps + (place < larger)) * job.step)
    panels = [
        _panel(job, opening, (place, left, width), each)
        for place, (left, width) in enumerate(zip(lefts, widths, strict=True))
        for each in way
    ]
    return Division(tuple(lefts), widths, tuple(panels))


def _panel(
    job: Job, opening: Opening, shade: tuple[int, int, int], way: tuple[Part, Cloth, bool]
) -> Wanted:
    """The panel of a shade of a place, left edge and width."""
    place, left, width = shade
    part, cloth, turned = way
    length = finished_length(job, opening)
    across, along = _cut(job, cloth, turned, width, length)
    keep_width, keep_length = _kept(cloth, turned)
    hem_left = nearest(_side(job.make) / keep_width)
    hem_top = nearest(_ends(job.make)[0] / keep_length)
    line: Fraction | None = None
    row: int | None = None
    how = strategy(job, cloth) if part == "face" else "plain"
    if how != "plain":
        wall = opening.head + above_head(job, opening)
        below = {"head": 0, "sill": length, "wall": wall}[job.match.anchor]
        row = hem_top + nearest(below / keep_length)
    if how in ("centred", "continuous"):
        twice = width if how == "centred" else opening.width - 2 * left
        line = hem_left + Fraction(twice, 2) / keep_width
    return Wanted(place, part, cloth.name, turned, across, along, hem_left, hem_top, line, row)


def _kept(cloth: Cloth, turned: bool) -> tuple[Fraction, Fraction]:
    """What washing leaves of a finished width and of a finished length."""
    across, along = 1 - cloth.shrink_across, 1 - cloth.shrink_down
    return (along, across) if turned else (across, along)


def _cut(job: Job, cloth: Cloth, turned: bool, width: int, length: int) -> tuple[int, int]:
    """A panel's size across the roll and along it."""
    keep_width, keep_length = _kept(cloth, turned)
    wide = ceil_to((width + 2 * _side(job.make)) / keep_width - _HAIR, job.step)
    long = ceil_to((length + sum(_ends(job.make))) / keep_length - _HAIR, job.step)
    return (long, wide) if turned else (wide, long)


def _side(make: Make) -> int:
    return make.seam if make.lining else make.side_folds * make.side_fold


@cache
def _ends(make: Make) -> tuple[Fraction, Fraction]:
    """What pockets, turn-unders and take-up add at the top and at the bottom."""
    if make.take_up == "computed":
        board, rod = Fraction(_square(make)), Fraction(_round(make))
    else:
        board = rod = Fraction(make.take_up, 2)
    return make.turn_under + make.board_pocket + board, make.turn_under + make.rod_pocket + rod


def _square(make: Make) -> float:
    """What a square board takes up: two legs run from its lower edges to the seam below."""
    leg = make.board_pocket - 1.5 * make.board
    return make.board_pocket - make.board - sqrt(leg * leg - make.board**2 / 4)


def _round(make: Make) -> float:
    """What a round rod takes up: a taut loop around it and the seam below, found by halving."""
    radius = make.rod / 2
    low, high = radius, make.rod_pocket - radius
    for _ in range(200):
        seam = (low + high) / 2
        angle = acos(min(radius / seam, 1.0))
        loop = 2 * (sqrt(max(seam * seam - radius * radius, 0.0)) + radius * (pi - angle))
        low, high = (seam, high) if loop < 2 * make.rod_pocket else (low, seam)
    return make.rod_pocket - (high + radius)
