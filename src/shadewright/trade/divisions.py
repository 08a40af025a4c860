"""How an opening can be split into shades.

Source: the identity `2 clearance + sum(widths) + sum(gaps) = opening width` for an inside mount
(an outside mount covers the overlap at each side instead); common practice for the rest: no seams,
so no shade is wider than its cloth allows, and gaps as even as the cutting step lets them be.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from shadewright.job.defaults import default_length
from shadewright.job.model import Cloth, Job, Make, Opening, Runs
from shadewright.measure import Ticks, ceil_to, floor_to
from shadewright.trade.sizes import PanelSize, panel

Part = Literal["face", "lining"]


@dataclass(frozen=True)
class Way:
    """How a shade's cloths lie on their rolls: up the bolt or railroaded, face and lining."""

    face: bool
    lining: bool | None


@dataclass(frozen=True)
class Limits:
    """What a finished shade of an opening must keep to when it lies one way on its cloth.

    Attributes:
        narrowest: where the opening is divided.
        least: that can be hung and drawn at all, divided or not.
    """

    way: Way
    narrowest: Ticks
    widest: Ticks
    least: Ticks


def clear_width(opening: Opening) -> Ticks:
    """What shades and gaps must fill: inside the clearances, or out to the overlaps."""
    if opening.mount == "inside":
        return opening.width - 2 * opening.clearance
    return opening.width + 2 * opening.overlap


def top_above_head(make: Make, opening: Opening) -> Ticks:
    """How far the top of a shade hangs above its opening's head; below it, an inside mount's.

    Source: common practice. Inside, an eye in the board hangs on a hook in the head, and both take
    their length; outside, the shade covers an overlap.
    """
    return -make.hook_drop if opening.mount == "inside" else opening.overlap


def below_sill(opening: Opening) -> Ticks:
    """How far a shade reaches below its opening; less than 0 where it stays clear of the sill."""
    return -opening.sill_gap if opening.mount == "inside" else opening.overlap_bottom


def finished_length(make: Make, opening: Opening) -> Ticks:
    """Finished length of every shade, from where it hangs to where it ends; no more than 0 where
    hooks and sill leave it no room."""
    return opening.height + top_above_head(make, opening) + below_sill(opening)


def first_left(opening: Opening) -> Ticks:
    """Left edge of the first shade from the opening's left edge."""
    return opening.clearance if opening.mount == "inside" else -opening.overlap


def cloths_of(job: Job, opening: Opening) -> tuple[Cloth, Cloth | None]:
    """The cloth of an opening's faces, and of their lining if there is one."""
    face = job.cloth(opening.cloth)
    return face, job.cloth(job.make.lining) if job.make.lining else None


def panels(job: Job, opening: Opening, way: Way, width: Ticks) -> dict[Part, PanelSize]:
    """The panels of one shade of finished `width`, by part: its face, and its lining if any."""
    face, lining = cloths_of(job, opening)
    length = finished_length(job.make, opening)
    parts: dict[Part, PanelSize] = {"face": panel(job, face, width, length, way.face)}
    if lining is not None:
        parts["lining"] = panel(job, lining, width, length, bool(way.lining))
    return parts


def ways(job: Job, opening: Opening) -> list[Way]:
    """Every way the opening's cloths may lie.

    What an opening says of its own cloth holds for a lining of that cloth as well, and the two lie
    alike, as they do where all of the cloth lies one way.
    """
    face, lining = cloths_of(job, opening)
    its = opening.runs or face.runs
    if lining is face and (opening.runs is not None or one_lay(opening, face)):
        return [Way(turned, turned) for turned in turns(its)]
    return [
        Way(turned, turned_lining)
        for turned in turns(its)
        for turned_lining in (turns(lining.runs) if lining else [None])
    ]


def one_lay(opening: Opening, cloth: Cloth) -> bool:
    """Whether an opening's panels of a cloth must lie as all others of it do.

    Source: common practice; the grain of cloth shows, and so does a porch whose cloth lies in two
    directions.
    """
    own = opening.runs is not None and cloth.name == opening.cloth
    return cloth.runs == "either" and not own


def turns(runs: Runs) -> list[bool]:
    """Whether cloth that runs so may lie railroaded, each way that it may."""
    return {"up the bolt": [False], "railroaded": [True]}.get(runs, [False, True])


def tied(job: Job, named: Mapping[str, str]) -> dict[str, str]:
    """Openings that must have as many shades as one another: by name, the first of them.

    Args:
        named: for openings that are copies of others, the name of these.
    """
    names = {opening.name: named.get(opening.name, opening.name) for opening in job.openings}
    first = {name: name for name in names.values()}
    for opening in job.openings:
        if opening.like is not None:
            one, other = first[names[opening.name]], first[opening.like]
            first = {name: one if of == other else of for name, of in first.items()}
    sizes = Counter(first.values())
    return {name: first[of] for name, of in names.items() if sizes[first[of]] > 1}


def limits(job: Job, opening: Opening, way: Way) -> Limits | None:
    """Narrowest and widest finished shade when the cloth lies this way; None if none fits at all.

    Up the bolt the cut width must lie within the usable width; railroaded it is the cut length
    that must, and the shade may be as wide as the opening asks.
    """
    face, lining = cloths_of(job, opening)
    widest = floor_to(opening.widest, job.step)
    sides = [(face, way.face)] + ([(lining, bool(way.lining))] if lining else [])
    length = finished_length(job.make, opening)
    if length <= 0:
        return None
    for cloth, railroaded in sides:
        probe = panel(job, cloth, job.step, length, railroaded)
        if railroaded:
            if probe.cut_length > cloth.usable:
                return None
            continue
        # The cut width grows by at least one step with each step of finished width, so the widest
        # that fits is found by coming down from a width that surely does not.
        room = min(widest, floor_to(cloth.usable, job.step))
        while room > 0 and panel(job, cloth, room, length, railroaded).cut_width > cloth.usable:
            over = panel(job, cloth, room, length, railroaded).cut_width - cloth.usable
            room -= max(floor_to(int(over * (1 - cloth.shrink_across)), job.step), job.step)
        if room <= 0:
            return None
        widest = room
    least, narrowest = (
        ceil_to(least_width(job, divided)[0], job.step) for divided in (False, True)
    )
    return Limits(way, max(ceil_to(opening.narrowest, job.step), narrowest), widest, least)


def all_limits(job: Job, opening: Opening) -> list[Limits]:
    """The limits of every way that the cloth may lie and a shade then fit it."""
    return [limit for way in ways(job, opening) if (limit := limits(job, opening, way))]


def least_width(job: Job, divided: bool) -> tuple[Ticks, str]:
    """The narrowest finished shade that can be hung and drawn, and the key that makes it so.

    Source: common practice. Its lift lines stand apart, and its draw guide is on the board. Where
    the job leaves the lines to us, those of a divided opening's narrow shades move in.
    """
    make, step = job.make, job.step
    found = [
        (make.stick_short + 2 * make.guide_inset + step, "guide_inset"),
        (make.stick_short + step, "stick_short"),
    ]
    if make.lift_inset is not None or not divided:
        found.append((2 * lift_inset(job) + step, "lift_inset"))
    return max(found)


def lift_inset(job: Job, width: Ticks | None = None) -> Ticks:
    """How far lift lines stand in from the edges of a shade of finished `width`, or of most.

    Source: common practice, 4 to 6 in. Where the job does not say, it is 5 in (125 mm), or a
    quarter of a shade too narrow for that.
    """
    if job.make.lift_inset is not None:
        return job.make.lift_inset
    usual = default_length("lift_inset", job.metric)
    if width is not None and width < 2 * usual + job.step:
        return floor_to(width // 4, job.step)
    return usual


def width_sum(opening: Opening, count: int) -> tuple[Ticks, Ticks]:
    """Least and most that the finished widths of `count` shades may add up to."""
    clear = clear_width(opening)
    low, high = opening.gap
    return clear - (count - 1) * high, clear - (count - 1) * low


def equal_widths(job: Job, opening: Opening, limit: Limits, count: int) -> list[Ticks]:
    """Every width of `count` equal shades, narrowest first."""
    least, most = width_sum(opening, count)
    low = max(ceil_to(-(-least // count), job.step), limit.narrowest if count > 1 else limit.least)
    high = min(floor_to(most // count, job.step), limit.widest)
    return list(range(low, high + 1, job.step))


def divisible(job: Job, opening: Opening, limit: Limits, count: int) -> bool:
    """Whether any division into `count` shades exists under the opening's rule of widths."""
    if opening.widths == "equal" or count == 1:
        return bool(equal_widths(job, opening, limit, count))
    least, most = width_sum(opening, count)
    step = job.step
    low = max(least, count * limit.narrowest)
    high = min(most, count * limit.widest)
    if opening.widths == "mirrored" and count % 2 == 0:
        low, high = ceil_to(low, 2 * step), floor_to(high, 2 * step)
    return low <= high


def any_divides(job: Job, opening: Opening, allowed: Iterable[Limits], count: int) -> bool:
    """Whether the opening is divisible into `count` shades under any of these limits."""
    return any(divisible(job, opening, limit, count) for limit in allowed)


def split_gaps(total: Ticks, count: int, step: Ticks) -> tuple[Ticks, ...]:
    """Share `total` out over `count` gaps that differ by at most one step, larger ones first."""
    if not count:
        return ()
    each, left = divmod(total // step, count)
    return tuple((each + (i < left)) * step for i in range(count))


def lefts(opening: Opening, widths: Sequence[Ticks], step: Ticks) -> list[Ticks]:
    """Left edges of shades of these finished widths, from the opening's left edge."""
    gaps = split_gaps(clear_width(opening) - sum(widths), len(widths) - 1, step)
    edges = [first_left(opening)]
    for width, gap in zip(widths, gaps, strict=False):
        edges.append(edges[-1] + width + gap)
    return edges
