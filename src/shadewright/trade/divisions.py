"""How an opening can be split into shades.

Source: the identity `2 clearance + sum(widths) + sum(gaps) = opening width` for an inside mount
(an outside mount covers the overlap at each side instead); common practice for the rest: no seams,
so no shade is wider than its cloth allows, and gaps as even as the cutting step lets them be.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from shadewright.job.defaults import default_length
from shadewright.job.model import Cloth, Job, Opening
from shadewright.measure import Ticks, ceil_to, floor_to
from shadewright.trade.refusal import CannotMeetError, Refusal
from shadewright.trade.sizes import PanelSize, panel

Part = Literal["face", "lining"]

# More shades than anybody hangs in one opening: where none of these counts fits, none will.
_MOST_SHADES = 60
_EXTRA_SHADES = 2


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


def finished_length(opening: Opening) -> Ticks:
    """Finished length of every shade: the height, and an outside mount's overlap at the top."""
    return opening.height + (opening.overlap if opening.mount == "outside" else 0)


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
    length = finished_length(opening)
    parts: dict[Part, PanelSize] = {"face": panel(job, face, width, length, way.face)}
    if lining is not None:
        parts["lining"] = panel(job, lining, width, length, bool(way.lining))
    return parts


def ways(job: Job, opening: Opening) -> list[Way]:
    """Every way the opening's cloths may lie."""
    face, lining = cloths_of(job, opening)
    return [
        Way(turned, turned_lining)
        for turned in _turns(face)
        for turned_lining in (_turns(lining) if lining else [None])
    ]


def _turns(cloth: Cloth) -> list[bool]:
    return {"up the bolt": [False], "railroaded": [True], "either": [False, True]}[cloth.runs]


def limits(job: Job, opening: Opening, way: Way) -> Limits | None:
    """Narrowest and widest finished shade when the cloth lies this way; None if none fits at all.

    Up the bolt the cut width must lie within the usable width; railroaded it is the cut length
    that must, and the shade may be as wide as the opening asks.
    """
    face, lining = cloths_of(job, opening)
    widest = floor_to(opening.widest, job.step)
    sides = [(face, way.face)] + ([(lining, bool(way.lining))] if lining else [])
    length = finished_length(opening)
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


def counts(job: Job, opening: Opening) -> list[int]:
    """The numbers of shades the opening may have, fewest first.

    Stated by the job, or from the fewest that fit, whichever way the cloth lies, to two more.

    Raises:
        CannotMeetError: none fits; says what stands in the way and the nearest that would do.
    """
    allowed = [limit for way in ways(job, opening) if (limit := limits(job, opening, way))]
    if opening.shades is not None:
        asked: Iterator[int] | range = range(opening.shades[0], opening.shades[1] + 1)
    else:
        fewest = next(
            (
                n
                for n in range(1, _MOST_SHADES + 1)
                if any(divisible(job, opening, limit, n) for limit in allowed)
            ),
            _MOST_SHADES + 1,
        )
        asked = range(fewest, fewest + _EXTRA_SHADES + 1)
    found = [n for n in asked if any(divisible(job, opening, limit, n) for limit in allowed)]
    if not found:
        raise CannotMeetError(_why_none(job, opening, allowed))
    return found


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


def _why_none(job: Job, opening: Opening, allowed: list[Limits]) -> Refusal:
    """What stands in the way of every division, and the smallest change that works."""
    tape = job.tape
    where = f'[[opening]] "{opening.name}"'
    if clear_width(opening) <= 0:
        return Refusal(
            f"{where} width",
            f"{tape.short(opening.width)} leaves nothing between clearances of "
            f"{tape.short(opening.clearance)} each side",
            f"it must be more than {tape.short(2 * opening.clearance)}",
        )
    why = _why_too_narrow(job, opening) if allowed else _why_no_cloth(job, opening, where)
    if why is not None:
        return why
    widest = max(limit.widest for limit in allowed)
    narrowest = allowed[0].narrowest
    if narrowest > widest and clear_width(opening) > widest:
        return Refusal(
            f"{where} narrowest",
            f"shades at least {tape.short(narrowest)} wide do not fit the cloth, which allows "
            f"{tape.short(widest)} finished",
            _narrowest_that_works(job, opening, allowed),
        )
    possible = [
        n
        for n in range(1, _MOST_SHADES + 1)
        if any(divisible(job, opening, limit, n) for limit in allowed)
    ]
    if opening.shades is not None and possible:
        asked = opening.shades
        nearest = min(possible, key=lambda n: min(abs(n - asked[0]), abs(n - asked[1])))
        clear = tape.short(clear_width(opening))
        return Refusal(
            f"{where} shades",
            f"{_span(asked)} do not fit {clear} with shades of "
            f"{tape.short(narrowest)} to {tape.short(widest)} finished and these gaps",
            f"{_shades(nearest)} would do",
        )
    asked_counts = (
        range(opening.shades[0], opening.shades[1] + 1)
        if opening.shades
        else range(1, _MOST_SHADES + 1)
    )
    loosened = _nearest_gap(job, opening, allowed, asked_counts)
    if loosened is not None:
        count, gap = loosened
        return Refusal(
            f"{where} gap",
            f"no gap of {_range(job, opening.gap)} lets {opening.widths} shades fill "
            f"{tape.short(clear_width(opening))} on the cutting step",
            f"gap = [{tape.short(gap[0])}, {tape.short(gap[1])}] would do, with {_shades(count)}",
        )
    return Refusal(
        f"{where} width",
        f"{tape.short(clear_width(opening))} cannot be filled by shades of "
        f"{tape.short(narrowest)} to {tape.short(widest)} finished",
        "a smaller narrowest, or a larger widest, would do",
    )


def _why_too_narrow(job: Job, opening: Opening) -> Refusal | None:
    """What asks for a wider shade than the opening has, and what would do; None if nothing does."""
    _, key = least_width(job, divided=False)
    stated: Ticks = lift_inset(job) if key == "lift_inset" else getattr(job.make, key)

    def works(steps: int) -> bool:
        smaller = job.model_copy(
            update={"make": job.make.model_copy(update={key: steps * job.step})}
        )
        allowed = [limit for way in ways(job, opening) if (limit := limits(smaller, opening, way))]
        asked = opening.shades or (1, _MOST_SHADES)
        return any(
            divisible(smaller, opening, limit, n)
            for n in range(asked[0], asked[1] + 1)
            for limit in allowed
        )

    most = floor_to(stated, job.step) // job.step
    largest = bisect_left(range(most), True, key=lambda steps: not works(steps))
    if not largest:
        return None
    fits = job.tape.short((largest - 1) * job.step)
    said = {
        "lift_inset": "lift lines {0} in from each edge do not stand apart",
        "guide_inset": "a draw guide {0} in from the end is not on its half of the board",
        "stick_short": "a board {0} shorter than the shade has no length",
    }[key].format(job.tape.short(stated))
    return Refusal(
        f"[make] {key}",
        f"{said} on any shade of {opening.name}, {job.tape.short(opening.width)} wide",
        f"{key} = {fits} or less would do",
    )


def _narrowest_that_works(job: Job, opening: Opening, allowed: list[Limits]) -> str:
    """The largest narrowest that leaves a division; smaller ones do as well."""

    def works(steps: int) -> bool:
        looser = [replace(limit, narrowest=steps * job.step) for limit in allowed]
        return any(
            divisible(job, opening, limit, n)
            for n in range(1, _MOST_SHADES + 1)
            for limit in looser
        )

    widest = max(limit.widest for limit in allowed) // job.step
    largest = bisect_left(range(1, widest + 1), True, key=lambda steps: not works(steps))
    if not largest:
        return "a wider range of gaps as well would do"
    return f"a narrowest of {job.tape.short(largest * job.step)} or less would do"


def _why_no_cloth(job: Job, opening: Opening, where: str) -> Refusal:
    tape = job.tape
    length = finished_length(opening)
    cloths = [cloth for cloth in cloths_of(job, opening) if cloth]
    cloth = next((cloth for cloth in cloths if not _holds_any(job, cloth, length)), cloths[0])
    probe = panel(job, cloth, job.step, length, cloth.runs == "railroaded")
    if cloth.runs == "railroaded":
        over = probe.cut_length - cloth.usable
        return Refusal(
            f"{where} height",
            f"railroaded, its cut length of {tape.short(probe.cut_length)} must lie across "
            f"{cloth.name}, of which {tape.short(cloth.usable)} is usable",
            f"cloth at least {tape.short(ceil_to(cloth.width + over, job.step))} wide would do",
        )
    least = probe.cut_width
    return Refusal(
        f"[cloth.{cloth.name}] width",
        f"{tape.short(cloth.usable)} usable leaves nothing for a shade of {opening.name} "
        "once its side hems are taken",
        f"it must be more than {tape.short(least + 2 * cloth.selvedge)} wide",
    )


def _holds_any(job: Job, cloth: Cloth, length: Ticks) -> bool:
    """Whether any shade of this finished length, however narrow, can be cut from the cloth."""
    return any(
        panel(job, cloth, job.step, length, turned).across <= cloth.usable
        for turned in _turns(cloth)
    )


def _nearest_gap(
    job: Job, opening: Opening, allowed: list[Limits], asked: range
) -> tuple[int, tuple[Ticks, Ticks]] | None:
    """The range of gaps nearest to the one asked for that lets one of the counts divide."""
    low, high = opening.gap
    for more in range(1, 65):
        for wider in (
            (low, high + more * job.step),
            (max(low - more * job.step, 0), high),
        ):
            loose = opening.model_copy(update={"gap": wider})
            for n in asked:
                if n > 1 and any(divisible(job, loose, limit, n) for limit in allowed):
                    return n, wider
    return None


def _shades(count: int) -> str:
    return "1 shade" if count == 1 else f"{count} shades"


def _span(asked: tuple[int, int]) -> str:
    return _shades(asked[0]) if asked[0] == asked[1] else f"{asked[0]} to {asked[1]} shades"


def _range(job: Job, gap: tuple[Ticks, Ticks]) -> str:
    low, high = (job.tape.short(end) for end in gap)
    return low if low == high else f"{low} to {high}"
