"""From a job to the problem the model solves: each opening's options, each cloth's roll."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from itertools import combinations_with_replacement, islice

from shadewright.job.model import Cloth, Job, Opening
from shadewright.measure import Ticks, ceil_to, floor_to
from shadewright.solve.problem import Kind, Option, Problem, Rect, Roll
from shadewright.trade.buying import start_allowance
from shadewright.trade.divisions import (
    Limits,
    Way,
    clear_width,
    cloths_of,
    counts,
    equal_widths,
    limits,
    panels,
    ways,
    width_sum,
)
from shadewright.trade.refusal import CannotMeetError, Refusal

# Divisions of one opening into one number of shades that are all put to the model. Beyond this
# the promising ones are, and what is left out is bounded.
_ALL_DIVISIONS = 150
_SOME_DIVISIONS = 30


def problem(job: Job) -> tuple[Problem, tuple[tuple[Opening, ...], ...]]:
    """The problem of a job, and which openings each of its kinds stands for.

    Raises:
        CannotMeetError: openings that cannot be divided or matched as asked, all of them at once.
    """
    refusals: list[Refusal] = [*_unplanned(job)]
    alike: dict[Opening, list[Opening]] = {}
    kinds: list[Kind] = []
    for opening in job.openings:
        blank = opening.model_copy(update={"name": "", "copies": 1, "head": 0, "draw": "auto"})
        alike.setdefault(blank, []).append(opening)
    for group in alike.values():
        try:
            kinds.append(_kind(job, group[0], sum(opening.copies for opening in group)))
        except CannotMeetError as why:
            refusals += why.refusals
    if refusals:
        raise CannotMeetError(*dict.fromkeys(refusals))
    used = {rect.roll for kind in kinds for option in kind.options for rect, _ in option.demand}
    rolls = tuple(_roll(job, cloth) for cloth in job.cloths if cloth.name in used)
    return Problem(tuple(kinds), rolls, job.make.shade_cost), tuple(map(tuple, alike.values()))


def _unplanned(job: Job) -> Iterator[Refusal]:
    """What a job may say that no plan can be made for yet."""
    used = {o.cloth for o in job.openings} | ({job.make.lining} if job.make.lining else set())
    for cloth in job.cloths:
        if cloth.name not in used:
            continue
        strategy = job.strategy(cloth)
        if strategy in ("centred", "continuous"):
            yield Refusal(
                "[match] strategy",
                f"{strategy} is not planned by this version",
                'strategy = "level" or "plain" is',
            )
        if cloth.pieces:
            yield Refusal(
                f"[cloth.{cloth.name}] piece",
                "cloth on hand is not planned by this version",
                "leave the pieces out, and the plan says what the whole job needs",
            )
        if not cloth.can_buy:
            yield Refusal(
                f"[cloth.{cloth.name}] can_buy",
                "false leaves no cloth to plan with",
                "can_buy = true says what the whole job needs",
            )
        faces = [o for o in job.openings if o.cloth == cloth.name]
        if strategy == "level" and job.match.anchor != "head" and not _one_phase(job, faces):
            yield Refusal(
                "[match] anchor",
                f'"{job.match.anchor}" with openings of different '
                f"{'heads' if job.match.anchor == 'wall' else 'lengths'} is not planned by this "
                "version",
                'anchor = "head" is',
            )


def _one_phase(job: Job, openings: list[Opening]) -> bool:
    """Whether all anchors fall at the same distance from the top of their panels."""
    if job.match.anchor == "wall":
        return len({opening.head for opening in openings}) <= 1
    return len({(o.height, o.overlap if o.mount == "outside" else 0) for o in openings}) <= 1


def _roll(job: Job, cloth: Cloth) -> Roll:
    spacing = cloth.row_spacing
    level = job.strategy(cloth) == "level" and any(o.cloth == cloth.name for o in job.openings)
    railroaded = cloth.runs == "railroaded"
    lead = ceil_to(job.make.square_up, job.step)
    faces = [opening for opening in job.openings if opening.cloth == cloth.name]
    # A row kept through the whole job also keeps it within each opening, and a lining cut by the
    # face's rows is as good as any; but a plan that does without might use less.
    exact = not level or (
        (job.match.across == "job" or len(faces) == sum(o.copies for o in faces) == 1)
        and job.make.lining != cloth.name
    )
    return Roll(
        name=cloth.name,
        usable=cloth.usable,
        lead=lead,
        period=spacing if level and spacing and not railroaded else 1,
        period_across=spacing if level and spacing and railroaded else 1,
        exact=exact,
        allowance=start_allowance(job, cloth, railroaded) if level else 0,
        sold_in=cloth.sold_in,
        price=None if cloth.price is None else cloth.price / job.price_unit,
    )


def _kind(job: Job, opening: Opening, copies: int) -> Kind:
    options: dict[Option, None] = {}
    floors: dict[Option, None] = {}
    complete = True
    for count in counts(job, opening):
        for way in ways(job, opening):
            limit = limits(job, opening, way)
            if limit is None:
                continue
            found = list(islice(_divisions(job, opening, limit, count), _ALL_DIVISIONS + 1))
            if len(found) > _ALL_DIVISIONS and opening.widths != "equal":
                complete = False
                found = list(islice(_promising(job, opening, limit, count), _SOME_DIVISIONS))
                for floor in _floor_widths(job, opening, limit, count):
                    floors[_floor(job, opening, way, floor)] = None
            elif found:
                floors.update(dict.fromkeys(_option(job, opening, way, w) for w in found))
            options.update(dict.fromkeys(_option(job, opening, way, w) for w in found))
    return Kind(copies, tuple(options), complete, () if complete else tuple(floors))


def _option(job: Job, opening: Opening, way: Way, widths: tuple[Ticks, ...]) -> Option:
    face, lining = cloths_of(job, opening)
    demand: Counter[Rect] = Counter()
    cut_widths = set()
    for width in widths:
        for part, cut in panels(job, opening, way, width).items():
            cloth = face if part == "face" or lining is None else lining
            demand[Rect(cloth.name, cut.across, cut.along)] += 1
            cut_widths.add(cut.cut_width)
    return Option(
        widths=widths,
        way=way,
        demand=tuple(sorted(demand.items())),
        gaps=clear_width(opening) - sum(widths),
        cut_widths=frozenset(cut_widths),
    )


def _floor(job: Job, opening: Opening, way: Way, widths: tuple[Ticks, ...]) -> Option:
    """An option that bounds a family of divisions: small panels, least gaps, no width counted."""
    gaps = (len(widths) - 1) * opening.gap[0]
    return replace(_option(job, opening, way, widths), gaps=gaps, cut_widths=frozenset())


def _divisions(
    job: Job, opening: Opening, limit: Limits, count: int
) -> Iterator[tuple[Ticks, ...]]:
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


def _promising(
    job: Job, opening: Opening, limit: Limits, count: int
) -> Iterator[tuple[Ticks, ...]]:
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


def _floor_widths(
    job: Job, opening: Opening, limit: Limits, count: int
) -> Iterator[tuple[Ticks, ...]]:
    """Optimistic divisions: every division takes at least the cloth of one of these.

    Widths are cut into bands; a division's shades, each taken at the lower end of its band, form
    one of these. Only bands whose upper ends reach the least sum can hold a division.
    """
    step = job.step
    least, most = width_sum(opening, count)
    if limit.way.face and limit.way.lining is not False:
        # All lie railroaded, where only the sum of the widths tells how much cloth they take.
        yield (floor_to(least // count, step),) * count
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
