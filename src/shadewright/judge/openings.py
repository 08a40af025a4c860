"""The judge's rules for shades in their openings: how many, how wide, where, and of what cloth."""

from __future__ import annotations

from itertools import pairwise, product

from shadewright.cloth.plan import Shade
from shadewright.job.model import Cloth, Job, Opening
from shadewright.judge import saying as say
from shadewright.judge.making import narrowest_hung
from shadewright.judge.sizes import finished_length, side, size, turns
from shadewright.judge.trial import Faults, Trial
from shadewright.measure import Ticks, ceil_to, floor_to

_COUNTS_BY_DEFAULT = 2  # more shades than the fewest that fit, where a job does not say how many


def openings_are_covered(trial: Trial) -> Faults:
    """Every copy of every opening has its shades, places 1 to n of n, each named after its place;
    and there are no others."""
    asked = {(row.opening.name, row.copy) for row in trial.rows}
    for shade in trial.plan.shades:
        if (shade.opening, shade.copy_) not in asked:
            yield (
                f"{say.shade(shade.id)}: the job has no opening "
                f'"{say.name(shade.opening)}" copy {shade.copy_}'
            )
        named = f"{shade.opening} {shade.copy_}, {shade.place} of {shade.of}"
        if shade.id != named:
            yield f'{say.shade(shade.id)}: its place makes its name "{say.name(named)}"'
    for row in trial.rows:
        places = [(shade.place, shade.of) for shade in row.shades]
        count = len(places)
        if not places:
            yield f"{row.name}: has no shade"
        elif places != [(place, count) for place in range(1, count + 1)]:
            found = ", ".join(f"{place} of {of}" for place, of in places)
            yield f"{row.name}: its {count} shades have the places {found}"


def counts_are_asked_for(trial: Trial) -> Faults:
    """Each opening has as many shades as the job asks; where it does not say, the fewest that any
    division needs, or up to two more."""
    asked = {opening.name: _counts(trial, opening) for opening in trial.job.openings}
    for row in trial.rows:
        count, counts = len(row.shades), asked[row.opening.name]
        if counts is None:
            yield f"{row.name}: no number of shades fits it"
        elif count and not counts[0] <= count <= counts[1]:
            low, high = counts
            yield f"{row.name}: has {count} shades, but may have {low} to {high}"


def _counts(trial: Trial, opening: Opening) -> tuple[int, int] | None:
    """The fewest and the most shades that the opening may have; None if no number fits it."""
    if opening.shades is not None:
        return opening.shades
    fewest = _fewest(trial, opening)
    return None if fewest is None else (fewest, fewest + _COUNTS_BY_DEFAULT)


def _fewest(trial: Trial, opening: Opening) -> int | None:
    """The fewest shades that the opening can be divided into, however the cloths may lie."""
    job = trial.job
    face, *lining = trial.cloths_of(opening)
    ways = [[(face, turned) for turned in turns(opening.runs or face.runs)]]
    ways += [[(cloth, turned) for turned in turns(cloth.runs)] for cloth in lining]
    together = [each for each in product(*ways) if not _torn(opening, each)]
    most = max(_widest_shade(job, opening, *each) or 0 for each in together)
    left, right = _edges(opening)
    counts = range(1, (right - left) // job.step + 1)
    return next((n for n in counts if _divides(job, opening, right - left, most, n)), None)


def _torn(opening: Opening, ways: tuple[tuple[Cloth, bool], ...]) -> bool:
    """Whether cloth that must lie one way, and lines itself, lies both ways."""
    (face, turned), *lining = ways
    one_way = face.runs == "either" and opening.runs is None
    return one_way and any(cloth == face and way != turned for cloth, way in lining)


def _divides(job: Job, opening: Opening, clear: Ticks, widest: Ticks, count: int) -> bool:
    """Whether `count` shades up to `widest` can fill `clear`.

    The widths' sum may be anything that leaves the gaps their range. Of the sums between the least
    and the most, equal shades reach the multiples of their count, mirrored pairs the even ones,
    and all other shades every one.
    """
    low, high = opening.gap
    least = max(clear - (count - 1) * high, count * _narrowest(job, opening, count > 1))
    most = min(clear - (count - 1) * low, count * widest)
    pace = {"equal": count, "mirrored": 1 if count % 2 else 2, "free": 1}[opening.widths]
    return ceil_to(least, pace * job.step) <= most


def _narrowest(job: Job, opening: Opening, divided: bool) -> Ticks:
    """The narrowest finished shade."""
    hung = narrowest_hung(job, divided)
    return max(opening.narrowest, hung) if divided else hung


def _widest_shade(job: Job, opening: Opening, *ways: tuple[Cloth, bool]) -> Ticks | None:
    """The widest finished shade whose panels fit their cloths; None if none does."""
    widest = floor_to(opening.widest, job.step)
    length = finished_length(job.make, opening)
    if length <= 0:
        return None
    for cloth, railroaded in ways:
        if railroaded:
            turned = size(job, cloth, job.step, length, railroaded)
            if turned.across > cloth.usable:
                return None
        else:
            room = floor_to(cloth.usable, job.step) * (1 - cloth.shrink_across)
            widest = min(widest, floor_to(int(room) - 2 * side(job.make), job.step))
    return widest if widest > 0 else None


def widths_are_allowed(trial: Trial) -> Faults:
    """Finished widths lie on the cutting step, between the narrowest and the widest asked; the
    narrowest binds only where an opening is divided."""
    for row in trial.rows:
        least = _narrowest(trial.job, row.opening, len(row.shades) > 1)
        for shade in row.shades:
            width = shade.finished_width
            if width % trial.job.step:
                yield f"{say.shade(shade.id)}: its width {say.off(trial.tape, width)}"
            if width < least:
                a, b = say.two(trial.tape, width, least)
                yield f"{say.shade(shade.id)}: its width {a} is below the narrowest, {b}"
            if width > row.opening.widest:
                a, b = say.two(trial.tape, width, row.opening.widest)
                yield f"{say.shade(shade.id)}: its width {a} is above the widest, {b}"


def widths_match(trial: Trial) -> Faults:
    """Widths within an opening are equal, or the same from either side, where the job asks it."""
    for row in trial.rows:
        widths = [shade.finished_width for shade in row.shades]
        other = {"equal": widths[:1] * len(widths), "mirrored": widths[::-1], "free": widths}
        for shade, wanted in zip(row.shades, other[row.opening.widths], strict=True):
            if shade.finished_width != wanted:
                a, b = say.two(trial.tape, shade.finished_width, wanted)
                yield (
                    f"{say.shade(shade.id)}: its width {a} should be {b}, "
                    f"for {row.opening.widths} widths"
                )
                break


def copies_are_alike(trial: Trial) -> Faults:
    """All copies of an opening have the same widths, unless the job lets them differ, or those that
    are begun do already."""
    cut = {(drop.cloth, drop.piece, drop.number) for drop in trial.plan.cut}
    begun = {c.row for c in trial.cuts if (c.cloth.name, c.panel.piece, c.panel.drop) in cut}
    for opening in trial.job.openings:
        rows = [row for row in trial.rows if row.opening.name == opening.name and row.shades]
        stand = {row.widths for row in rows if (opening.name, row.copy) in begun}
        if not opening.alike or len(stand) > 1:
            continue
        for row in rows[1:]:
            if row.widths != rows[0].widths:
                yield f"{row.name}: is not divided as copy {rows[0].copy} is"


def tied_openings_have_as_many(trial: Trial) -> Faults:
    """An opening that is like another one has as many shades."""
    counts = {(row.opening.name, row.copy): len(row.shades) for row in trial.rows}
    for row in trial.rows:
        like, count = row.opening.like, len(row.shades)
        if like is None or not count:
            continue
        for (name, copy), other in counts.items():
            if name == like and other not in (0, count):
                yield (
                    f"{row.name}: has {count} shades, but its like, "
                    f'"{say.name(name)}" copy {copy}, has {other}'
                )


def gaps_are_allowed(trial: Trial) -> Faults:
    """Gaps lie in the opening's range and on the cutting step, and the larger ones, by one step at
    most, come first; no shade overlaps the next."""
    for row in trial.rows:
        low, high = row.opening.gap
        gaps = list(zip(row.gaps, pairwise(row.shades), strict=True))
        for gap, pair in gaps:
            if gap < 0:
                yield f"{_between(pair)}: they overlap by {say.long(trial.tape, -gap)}"
            elif not low <= gap <= high:
                what, limit = ("below the least", low) if gap < low else ("above the most", high)
                a, b = say.two(trial.tape, gap, limit)
                yield f"{_between(pair)}: the gap {a} is {what}, {b}"
            elif gap % trial.job.step:
                yield f"{_between(pair)}: the gap {say.off(trial.tape, gap)}"
        for (gap, _), (following, pair) in pairwise(gaps):
            if following > gap:
                a, b = say.two(trial.tape, following, gap)
                yield f"{_between(pair)}: the gap {a} is larger than the one on its left, {b}"
        if gaps and gaps[0][0] - gaps[-1][0] > trial.job.step:
            a, b = say.two(trial.tape, gaps[0][0], gaps[-1][0])
            yield f"{row.name}: its gaps, {a} to {b}, differ by more than a step"


def _between(pair: tuple[Shade, Shade]) -> str:
    return f"{say.shade(pair[0].id)} and {say.shade(pair[1].id)}"


def edges_fill_openings(trial: Trial) -> Faults:
    """The first shade begins, and the last one ends, exactly where the mount puts them."""
    for row in trial.rows:
        if not row.shades:
            continue
        first, last = row.shades[0], row.shades[-1]
        ends = (first.left, last.left + last.finished_width)
        for shade, edge, found, wanted in zip(
            (first, last), ("left", "right"), ends, _edges(row.opening), strict=True
        ):
            if found != wanted:
                a, b = say.two(trial.tape, found, wanted)
                yield (
                    f"{say.shade(shade.id)}: its {edge} edge lies at {a} from the opening's left "
                    f"edge, not at {b}"
                )


def _edges(opening: Opening) -> tuple[Ticks, Ticks]:
    """Where the first shade begins and the last one ends, from the opening's left edge."""
    inset = opening.clearance if opening.mount == "inside" else -opening.overlap
    return inset, opening.width - inset


def lengths_cover_openings(trial: Trial) -> Faults:
    """Every shade is as long as its opening is high, less its hooks and what is free at the sill,
    or with what an outside mount covers above and below."""
    for row in trial.rows:
        wanted = finished_length(trial.job.make, row.opening)
        for shade in row.shades:
            if shade.finished_length != wanted:
                a, b = say.two(trial.tape, shade.finished_length, wanted)
                yield f"{say.shade(shade.id)}: its finished length is {a}, not {b}"


def draws_are_asked_for(trial: Trial) -> Faults:
    """Every shade draws to the side asked of it, and there are as many as draws are listed; left to
    themselves, the first draws left, the last, or one alone, right, and all others to the centre.
    """
    for row in trial.rows:
        count, asked = len(row.shades), row.opening.draw
        if not isinstance(asked, str) and count not in (0, len(asked)):
            yield f"{row.name}: has {count} shades, but {len(asked)} draws are listed"
            continue
        for at, shade in enumerate(row.shades, 1):
            wanted = asked if isinstance(asked, str) else asked[at - 1]
            if wanted == "auto":
                wanted = "right" if at == count else "left" if at == 1 else "centre"
            if shade.draw != wanted:
                yield f"{say.shade(shade.id)}: draws {shade.draw}, not {wanted}"


def shades_are_of_their_cloth(trial: Trial) -> Faults:
    """Every shade is of its opening's cloth."""
    for row in trial.rows:
        for shade in row.shades:
            if shade.cloth != row.opening.cloth:
                yield (
                    f'{say.shade(shade.id)}: its cloth is "{say.name(shade.cloth)}", not '
                    f'"{say.name(row.opening.cloth)}"'
                )
