"""A job said back in plain words, before anything is solved."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from shadewright.answers import Possible
from shadewright.job.model import Job, Opening
from shadewright.measure import Ticks
from shadewright.report.text.check_cloth import cloth_said
from shadewright.report.text.check_make import make_said
from shadewright.report.text.wrapping import JOB_SAID_BACK, wrapped
from shadewright.report.work.advice import lines_close
from shadewright.report.work.cautions import first_of_all
from shadewright.report.work.choices import why_so_many
from shadewright.report.work.words import clean, count
from shadewright.trade import divisions
from shadewright.trade.counts import counts
from shadewright.trade.divisions import Limits, Way


def said_back(job: Job, found: Mapping[str, Possible]) -> str:
    """What a job means: its cloth, how shades are made, how each opening could be divided and cut.

    Args:
        found: for each opening what it may be divided into.

    Raises:
        CannotMeetError: an opening cannot be divided or matched as asked, or a pocket holds no
            stick.
    """
    first = [line for said in first_of_all(job) for line in (_wrapped(said, ""), "")]
    lines = [*first, clean(job.title), "", "Cloth"]
    for cloth in job.cloths:
        lines += [_wrapped(line) for line in cloth_said(job, cloth)]
    lines += ["", "How every shade is made", *(_wrapped(line) for line in make_said(job))]
    lines += ["", "How many shades", _wrapped(why_so_many(job)), *map(_wrapped, _ties(job))]
    lines += ["", "Openings, and how each could be divided"]
    for opening in job.openings:
        lines += _opening(job, opening, found[opening.name])
    care = list(lines_close(job, _narrowest(job)))
    if care:
        lines += ["", "Before you begin", *(_wrapped(said) for said in care)]
    if job.notes:
        lines += ["", "Notes", *(_wrapped(clean(note)) for note in job.notes)]
    return "\n".join(lines) + "\n"


def _ties(job: Job) -> Iterator[str]:
    """What openings have in common."""
    several = [opening for opening in job.openings if opening.copies > 1]
    if several:
        free = [clean(opening.name) for opening in several if not opening.alike]
        apart = f", but for those of {' and '.join(free)}" if free else ""
        yield (
            "Copies of an opening may be divided differently."
            if len(free) == len(several)
            else f"Copies of an opening are divided alike{apart}."
        )
    for opening in job.openings:
        if opening.like is not None:
            yield f"{clean(opening.name)} has as many shades as {clean(opening.like)}."


def _opening(job: Job, opening: Opening, found: Possible) -> list[str]:
    tape = job.tape
    margin = _margin(job, opening)
    if job.match.anchor == "wall" and job.strategy(job.cloth(opening.cloth)) != "plain":
        top = opening.head + divisions.top_above_head(job.make, opening)
        side = "above" if top >= 0 else "below"
        margin += f", its shades' tops {tape.short(abs(top))} {side} the common line"
    copies = f", {opening.copies} of them" if opening.copies > 1 else ""
    drawn = "" if opening.draw == "auto" else f", drawn {', '.join(opening.draws)}"
    lines = [
        _wrapped(
            f"{clean(opening.name)}{copies}: {tape.short(opening.width)} wide, "
            f"{tape.short(opening.height)} high, {opening.mount} mount, {margin}, "
            f"gaps {tape.between(*opening.gap)}, {opening.widths} widths, "
            f"of {clean(opening.cloth)}{drawn}"
        )
    ]
    allowed = divisions.all_limits(job, opening)
    for number in counts(job, opening):
        for limit in allowed:
            if divisions.divisible(job, opening, limit, number):
                said = _division(job, opening, limit, number)
                but = _why_not(job, opening, limit, number, found)
                lines.append(_wrapped(f"{said}; but {but}" if but else said, "    "))
    return lines


def _why_not(job: Job, opening: Opening, limit: Limits, number: int, found: Possible) -> str:
    """Why a division is none of those a plan may have; nothing if it may."""
    if (number, limit.way) in found.agreed:
        return ""
    if (number, limit.way) not in found.placed:
        narrow, _ = _widths(job, opening, limit, number)
        longest = max(p.along for p in divisions.panels(job, opening, limit.way, narrow).values())
        table = job.make.table
        if table is not None and longest > table:
            return "the table is too short for these"
        return "the print has no place for these"
    if all(number != other for other, _ in found.agreed):
        return "not every opening that is to have as many shades can have so many"
    return "not all of the cloth can lie so"


def _margin(job: Job, opening: Opening) -> str:
    """What an opening's shades leave free or cover around it, and how long that makes them."""
    short = job.tape.short
    if opening.mount == "inside":
        margin = f"clearance {short(opening.clearance)} a side"
        if opening.sill_gap:
            margin += f", {short(opening.sill_gap)} free above the sill"
    else:
        margin = f"overlap {short(opening.overlap)} at each side and the top"
        if opening.overlap_bottom:
            margin += f" and {short(opening.overlap_bottom)} below"
    return f"{margin}, shades {short(divisions.finished_length(job.make, opening))} long finished"


def _division(job: Job, opening: Opening, limit: Limits, number: int) -> str:
    tape = job.tape
    narrow, wide = _widths(job, opening, limit, number)
    small, large = (divisions.panels(job, opening, limit.way, w)["face"] for w in (narrow, wide))
    each = "each " if number > 1 else ""
    return (
        f"{count(number, 'shade')}, {each}{tape.between(narrow, wide)} wide finished; cut "
        f"{tape.between(small.cut_width, large.cut_width)} x {tape.short(small.cut_length)}"
        f"{_lying(job, opening, limit.way)}"
    )


def _widths(job: Job, opening: Opening, limit: Limits, number: int) -> tuple[Ticks, Ticks]:
    """The least and the greatest finished width of a division into so many shades."""
    if opening.widths == "equal" or number == 1:
        widths = divisions.equal_widths(job, opening, limit, number)
        return widths[0], widths[-1]
    least, most = divisions.width_sum(opening, number)
    return (
        max(limit.narrowest, least - (number - 1) * limit.widest),
        min(limit.widest, most - (number - 1) * limit.narrowest),
    )


def _narrowest(job: Job) -> dict[str, Ticks]:
    """The narrowest shade that each opening could have."""
    return {
        opening.name: min(
            _widths(job, opening, limit, number)[0]
            for limit in divisions.all_limits(job, opening)
            for number in counts(job, opening)
            if divisions.divisible(job, opening, limit, number)
        )
        for opening in job.openings
    }


def _lying(job: Job, opening: Opening, way: Way) -> str:
    face, lining = divisions.cloths_of(job, opening)
    parts = []
    if opening.runs is not None or len(divisions.turns(face.runs)) > 1:
        parts.append("railroaded" if way.face else "up the bolt")
    if lining is not None and len(divisions.turns(lining.runs)) > 1:
        parts.append(f"lining {'railroaded' if way.lining else 'up the bolt'}")
    return f", {', '.join(parts)}" if parts else ""


def _wrapped(text: str, indent: str = "  ") -> str:
    return wrapped(text, indent, JOB_SAID_BACK)
