"""Which divisions of an opening are put to the model: all of them, or those that pack well, with
optimistic ones that bound the rest."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace
from itertools import combinations_with_replacement, permutations

from shadewright.job.model import Job, Opening
from shadewright.measure import Ticks, ceil_to, floor_to
from shadewright.trade.divisions import Limits, cloths_of, equal_widths, panels, width_sum


def divisions(job: Job, opening: Opening, limit: Limits, count: int) -> Iterator[tuple[Ticks, ...]]:
    """Every division into `count` shades, as finished widths left to right.

    Free widths come in one order only, narrowest first: which shade hangs where changes no cut.
    """
    if opening.widths == "equal" or count == 1:
        yield from ((w,) * count for w in equal_widths(job, opening, limit, count))
        return
    step = job.step
    least, most = width_sum(opening, count)
    if opening.widths == "free":
        yield from _sorted_sums(count, limit, (least, most), step)
        return
    half = count // 2
    if count % 2 == 0:
        for left in _sorted_sums(half, limit, (-(-least // 2), most // 2), step):
            yield left + left[::-1]
        return
    for middle in range(limit.narrowest, limit.widest + 1, step):
        rest = -(-(least - middle) // 2), (most - middle) // 2
        for left in _sorted_sums(half, limit, rest, step):
            yield (*left, middle, *left[::-1])


def _sorted_sums(
    count: int, limit: Limits, sums: tuple[Ticks, Ticks], step: Ticks
) -> Iterator[tuple[Ticks, ...]]:
    """Every ascending tuple of `count` widths within the limits that adds up to within `sums`."""
    least, most = sums
    if count == 0:
        if least <= 0 <= most:
            yield ()
        return
    low = max(limit.narrowest, ceil_to(least - (count - 1) * limit.widest, step))
    high = min(limit.widest, floor_to(most // count, step))
    for first in range(low, high + 1, step):
        beyond = replace(limit, narrowest=first)
        for rest in _sorted_sums(count - 1, beyond, (least - first, most - first), step):
            yield (first, *rest)


def in_all_orders(mirrored: Iterable[tuple[Ticks, ...]]) -> Iterator[tuple[Ticks, ...]]:
    """Mirrored divisions with the widths of their halves in every order."""
    for widths in mirrored:
        half = len(widths) // 2
        middle = widths[half : len(widths) - half]
        for left in dict.fromkeys(permutations(widths[:half])):
            yield (*left, *middle, *left[::-1])


def promising(job: Job, opening: Opening, limit: Limits, count: int) -> Iterator[tuple[Ticks, ...]]:
    """Divisions worth trying where there are too many to try all.

    All but one width is taken from widths that pack well: as wide as the cloth allows, as narrow
    as the job allows, an equal share of the bolt for two or more panels side by side, and an
    equal share of the opening. The last takes what remains, with the gaps at their widest.
    """
    step = job.step
    least, most = width_sum(opening, count)
    mean = ceil_to(-(-least // count), step)
    wanted = dict.fromkeys([mean, limit.widest, *_shares(job, opening, limit), limit.narrowest])
    marks = [w for w in wanted if limit.narrowest <= w <= limit.widest]
    complete = _complete_mirrored if opening.widths == "mirrored" else _complete_free
    seen = set()
    for widths in complete(marks, count, least, step):
        fits = least <= sum(widths) <= most and all(
            limit.narrowest <= w <= limit.widest for w in widths
        )
        if fits and widths not in seen:
            seen.add(widths)
            yield widths


def _shares(job: Job, opening: Opening, limit: Limits) -> list[Ticks]:
    """Widest finished widths of which two, three and more lie side by side on the bolt."""
    face, _ = cloths_of(job, opening)
    hems = panels(job, opening, limit.way, job.step)["face"].cut_width - job.step
    return [floor_to(face.usable // n, job.step) - hems for n in range(2, 6)]


def _complete_free(
    marks: list[Ticks], count: int, least: Ticks, step: Ticks
) -> Iterator[tuple[Ticks, ...]]:
    """All widths but one from `marks`; the last makes the sum."""
    for chosen in combinations_with_replacement(marks, count - 1):
        yield tuple(sorted((*chosen, ceil_to(least - sum(chosen), step))))


def _complete_mirrored(
    marks: list[Ticks], count: int, least: Ticks, step: Ticks
) -> Iterator[tuple[Ticks, ...]]:
    """The same, left and right alike; in an odd count the middle one may be marked or make up."""
    half, odd = divmod(count, 2)
    for middle in marks if odd else [0]:
        for chosen in combinations_with_replacement(marks, half - 1):
            rest = ceil_to(-(-(least - middle) // 2) - sum(chosen), step)
            left = tuple(sorted((*chosen, rest)))
            yield (*left, *([middle] if odd else []), *left[::-1])
    if odd:
        for left in combinations_with_replacement(sorted(marks), half):
            yield (*left, ceil_to(least - 2 * sum(left), step), *left[::-1])


def floor_widths(
    job: Job, opening: Opening, limit: Limits, count: int
) -> Iterator[tuple[Ticks, ...]]:
    """Optimistic divisions: every division takes at least the cloth of one of these.

    Widths are cut into bands; a division's shades, each taken at the lower end of its band, form
    one of these. Only bands whose upper ends reach the least sum can hold a division.
    """
    step = job.step
    least, most = width_sum(opening, count)
    if limit.way.face and limit.way.lining is not False:
        # All lie railroaded, where only the sum of the widths tells how much cloth they take. What
        # shrinks is rounded up once it is cut larger, and unequal widths may lose less to that:
        # never a step more each.
        shrinks = any(cloth.shrink_down for cloth in cloths_of(job, opening) if cloth)
        mean = floor_to(least // count, step)
        yield (max(mean - step, 0) if shrinks else mean,) * count
        return
    shares = (share + step for share in _shares(job, opening, limit))
    ends = sorted(
        {
            *_band_ends(limit, step, count),
            *(w for w in shares if limit.narrowest < w <= limit.widest),
        }
    )
    bands = list(zip(ends, [*(e - step for e in ends[1:]), limit.widest], strict=True))
    for chosen in combinations_with_replacement(bands, count):
        if sum(low for low, _ in chosen) <= most and sum(high for _, high in chosen) >= least:
            yield tuple(low for low, _ in chosen)


def _band_ends(limit: Limits, step: Ticks, count: int) -> range:
    """Lower ends of bands of equal width: many for few shades, few for many."""
    bands = {2: 40, 3: 16, 4: 9, 5: 7}.get(count, 4)
    span = limit.widest - limit.narrowest + step
    width = max(ceil_to(-(-span // bands), step), step)
    return range(limit.narrowest, limit.widest + 1, width)
