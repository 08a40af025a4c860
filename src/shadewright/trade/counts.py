"""How many shades an opening may have, and what would do where none can be hung."""

from __future__ import annotations

from bisect import bisect_left
from dataclasses import replace

from shadewright.job.limits import MOST_SHADES
from shadewright.job.model import Cloth, Job, Opening
from shadewright.measure import Ticks, ceil_to, floor_to
from shadewright.trade.divisions import (
    Limits,
    all_limits,
    any_divides,
    clear_width,
    cloths_of,
    finished_length,
    least_width,
    lift_inset,
    turns,
)
from shadewright.trade.refusal import CannotMeetError, Refusal
from shadewright.trade.sizes import panel

_EXTRA_SHADES = 2


def counts(job: Job, opening: Opening) -> list[int]:
    """The numbers of shades the opening may have, fewest first.

    Stated by the job, or from the fewest that fit, whichever way the cloth lies, to two more.

    Raises:
        CannotMeetError: none fits; says what stands in the way and the nearest that would do.
    """
    allowed = all_limits(job, opening)
    fewest = next((n for n in _asked(opening) if any_divides(job, opening, allowed, n)), None)
    if fewest is None:
        raise CannotMeetError(_why_none(job, opening, allowed))
    most = opening.shades[1] if opening.shades else fewest + _EXTRA_SHADES
    return [n for n in range(fewest, most + 1) if any_divides(job, opening, allowed, n)]


def _asked(opening: Opening) -> range:
    """The numbers of shades that the job asks for; else all there can be, for where none of those
    fits, none will."""
    low, high = opening.shades or (1, MOST_SHADES)
    return range(low, high + 1)


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
    why = _why_no_length(job, opening, where) or (
        _why_too_narrow(job, opening) if allowed else _why_no_cloth(job, opening, where)
    )
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
    possible = [n for n in range(1, MOST_SHADES + 1) if any_divides(job, opening, allowed, n)]
    if opening.shades is not None and possible:
        asked = opening.shades
        nearest = min(possible, key=lambda n: min(abs(n - asked[0]), abs(n - asked[1])))
        clear = tape.short(clear_width(opening))
        return Refusal(
            f"{where} {'shades' if isinstance(opening.draw, str) else 'draw'}",
            f"{_span(asked)} {'does' if asked[1] == 1 else 'do'} not fit {clear} with shades of "
            f"{tape.short(narrowest)} to {tape.short(widest)} finished and these gaps",
            f"{_shades(nearest)} would do",
        )
    loosened = _nearest_gap(job, opening, allowed)
    if loosened is not None:
        count, gap = loosened
        return Refusal(
            f"{where} gap",
            f"no gap of {tape.between(*opening.gap)} lets {opening.widths} shades fill "
            f"{tape.short(clear_width(opening))} on the cutting step",
            f"gap = [{tape.short(gap[0])}, {tape.short(gap[1])}] would do, with {_shades(count)}",
        )
    return Refusal(
        f"{where} width",
        f"{tape.short(clear_width(opening))} cannot be filled by shades of "
        f"{tape.short(narrowest)} to {tape.short(widest)} finished",
        "a smaller narrowest, or a larger widest, would do",
    )


def _why_no_length(job: Job, opening: Opening, where: str) -> Refusal | None:
    """Hooks and sill that leave an opening's shades no length; None where they do."""
    if finished_length(job.make, opening) > 0:
        return None
    short = job.tape.short
    return Refusal(
        f"{where} height",
        f"{short(opening.height)} leaves a shade no length, with its board hung "
        f"{short(job.make.hook_drop)} below the head (hook_drop) and {short(opening.sill_gap)} "
        "free above the sill (sill_gap)",
        f"it must be more than {short(job.make.hook_drop + opening.sill_gap)}",
    )


def _why_too_narrow(job: Job, opening: Opening) -> Refusal | None:
    """What asks for a wider shade than the opening has, and what would do; None if nothing does."""
    _, key = least_width(job, divided=False)
    stated: Ticks = lift_inset(job) if key == "lift_inset" else getattr(job.make, key)

    def works(steps: int) -> bool:
        smaller = job.made(**{key: steps * job.step})
        allowed = all_limits(smaller, opening)
        return any(any_divides(smaller, opening, allowed, n) for n in _asked(opening))

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
        return any(any_divides(job, opening, looser, n) for n in range(1, MOST_SHADES + 1))

    widest = max(limit.widest for limit in allowed) // job.step
    largest = bisect_left(range(1, widest + 1), True, key=lambda steps: not works(steps))
    if not largest:
        return "a wider range of gaps as well would do"
    return f"a narrowest of {job.tape.short(largest * job.step)} or less would do"


def _why_no_cloth(job: Job, opening: Opening, where: str) -> Refusal:
    tape = job.tape
    length = finished_length(job.make, opening)
    cloths = [cloth for cloth in cloths_of(job, opening) if cloth]
    cloth = next((c for c in cloths if not _holds_any(job, opening, c, length)), cloths[0])
    own = opening.runs if cloth.name == opening.cloth else None
    railroaded = turns(own or cloth.runs) == [True]
    probe = panel(job, cloth, job.step, length, railroaded)
    if railroaded:
        over = probe.cut_length - cloth.usable
        wider = f"cloth at least {tape.short(ceil_to(cloth.width + over, job.step))} wide would do"
        return Refusal(
            f"{where} height",
            f"railroaded, its cut length of {tape.short(probe.cut_length)} must lie across "
            f"{cloth.name}, of which {tape.short(cloth.usable)} is usable",
            wider if own is None else f"runs of its own left out, or {wider}",
        )
    least = probe.cut_width
    return Refusal(
        f"[cloth.{cloth.name}] width",
        f"{tape.short(cloth.usable)} usable leaves nothing for a shade of {opening.name} "
        "once its side hems are taken",
        f"it must be more than {tape.short(least + 2 * cloth.selvedge)} wide",
    )


def _holds_any(job: Job, opening: Opening, cloth: Cloth, length: Ticks) -> bool:
    """Whether any shade of this finished length, however narrow, can be cut from the cloth."""
    own = opening.runs if cloth.name == opening.cloth else None
    return any(
        panel(job, cloth, job.step, length, turned).across <= cloth.usable
        for turned in turns(own or cloth.runs)
    )


def _nearest_gap(
    job: Job, opening: Opening, allowed: list[Limits]
) -> tuple[int, tuple[Ticks, Ticks]] | None:
    """The range of gaps nearest to the one asked for that lets one of the counts divide."""
    low, high = opening.gap
    for more in range(1, 65):
        for wider in ((low, high + more * job.step), (max(low - more * job.step, 0), high)):
            loose = opening.model_copy(update={"gap": wider})
            for n in _asked(opening):
                if n > 1 and any_divides(job, loose, allowed, n):
                    return n, wider
    return None


def _shades(count: int) -> str:
    return "1 shade" if count == 1 else f"{count} shades"


def _span(asked: tuple[int, int]) -> str:
    return _shades(asked[0]) if asked[0] == asked[1] else f"{asked[0]} to {asked[1]} shades"
