"""A job said back in plain words, before anything is solved."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from shadewright.answers import Possible
from shadewright.cloth import lattice
from shadewright.cloth.printed import is_banded, is_striped
from shadewright.job.model import Cloth, Job, Opening
from shadewright.measure import Ticks
from shadewright.report.text.wrapping import JOB_SAID_BACK, wrapped
from shadewright.report.work.advice import lines_close
from shadewright.report.work.cautions import first_of_all
from shadewright.report.work.choices import why_so_many
from shadewright.report.work.hanging import below_head
from shadewright.report.work.words import clean, count
from shadewright.trade import divisions, sizes
from shadewright.trade.buying import repeat_along
from shadewright.trade.counts import counts
from shadewright.trade.divisions import Limits, Way

# Heights of rows that are named one by one.
_MOST_HEIGHTS = 6


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
        lines += [_wrapped(line) for line in _cloth(job, cloth)]
    lines += ["", "How every shade is made", *(_wrapped(line) for line in _make(job))]
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


def _cloth(job: Job, cloth: Cloth) -> Iterator[str]:
    tape = job.tape
    runs = {
        "either": "up the bolt or railroaded, all of it one way",
        "mixed": "up the bolt or railroaded, each opening its own way",
    }.get(cloth.runs, cloth.runs)
    yield (
        f"{clean(cloth.name)}: {tape.short(cloth.width)} wide, {tape.short(cloth.usable)} of it "
        f"usable; cut {runs}; sold by {tape.cloth(cloth.sold_in)}{_bolts(job, cloth)}"
    )
    if cloth.patterned:
        yield f"  {_print(job, cloth)}; {_matched(job, cloth)}"
        if cloth.can_buy and _is_face(job, cloth):
            yield f"  {_start(job, cloth)}"
        if job.strategy(cloth) != "plain":
            yield from _motif_at(job, cloth)
    for piece in cloth.pieces:
        lot = f", lot {clean(piece.lot)}" if piece.lot is not None else ""
        motif = ""
        if repeat_along(job, cloth, cloth.runs == "railroaded"):
            what = _along(cloth)
            motif = f", first {what} {tape.short(piece.start or 0)} from its start"
        flaws = f", {count(len(piece.flaws), 'flaw')}" if piece.flaws else ""
        yield f"  on hand: {clean(piece.name)}, {tape.long(piece.length)}{lot}{motif}{flaws}"
    if not cloth.can_buy:
        yield "  no more of it can be bought"
    if cloth.shrink_down or cloth.shrink_across:
        yield (
            f"  cut larger, to shrink {float(cloth.shrink_down):.1%} along and "
            f"{float(cloth.shrink_across):.1%} across"
        )


def _print(job: Job, cloth: Cloth) -> str:
    """The repeats of a print, and how stripes and bands run."""
    short, turned = job.tape.short, cloth.runs == "railroaded"
    if is_striped(cloth):
        way = "across" if turned else "along"
        return f"stripes every {short(cloth.repeat_across or 0)}, {way} the bolt, down every shade"
    if is_banded(cloth):
        way = "along" if turned else "across"
        return f"bands every {short(cloth.repeat_down or 0)}, {way} the bolt, across every shade"
    across = f" and {short(cloth.repeat_across)} across" if cloth.repeat_across else ""
    return f"repeat {short(cloth.repeat_down or 0)} down{across}, {_columns(job, cloth)}"


def _motif_at(job: Job, cloth: Cloth) -> Iterator[str]:
    """Where a motif lies across the bolt, unless there is none there to be looked for."""
    lies_across = cloth.repeat_down if cloth.runs == "railroaded" else cloth.repeat_across
    if lies_across is None:
        return
    what = "stripe's middle" if is_striped(cloth) else "band's middle"
    what = what if is_striped(cloth) or is_banded(cloth) else "motif's centre"
    said = f"  a {what} {job.tape.short(cloth.motif_at)} from the left usable edge"
    if cloth.motif_at == (cloth.repeat_across or cloth.repeat_down or 0) // 2:
        said += ": half the repeat, as is assumed where motif_at is not stated"
    yield said


def _along(cloth: Cloth) -> str:
    """What is looked for along a bolt."""
    if is_striped(cloth):
        return "stripe"
    if is_banded(cloth):
        return "band"
    return "motif column" if cloth.runs == "railroaded" else "motif row"


def _bolts(job: Job, cloth: Cloth) -> str:
    """How long bolts are, and what is bought to spare."""
    tape, said = job.tape, ""
    if cloth.bolt is not None:
        said += f" in bolts of up to {tape.cloth(cloth.bolt)}"
    if cloth.spare == "1 panel":
        said += "; as much as its longest panel is bought to spare"
    elif cloth.spare:
        said += f"; {tape.cloth(cloth.spare)} is bought to spare"
    return said


def _columns(job: Job, cloth: Cloth) -> str:
    if not cloth.column_shift:
        return "straight match"
    if cloth.repeat_down is not None and 2 * cloth.column_shift == cloth.repeat_down:
        return "half-drop"
    return f"each column {job.tape.short(cloth.column_shift)} lower than the one before"


def _centre(job: Job, cloth: Cloth) -> str:
    of = {"centred": "each shade", "continuous": "each opening"}.get(job.strategy(cloth))
    if of is None or not cloth.repeat_across:
        return ""
    what = "stripe" if is_striped(cloth) else "motif"
    on = f"a {what}" if job.match.centre_on == "motif" else f"the middle between {what}s"
    said = f", {on} on the middle of {of}"
    if cloth.column_shift and job.strategy(cloth) == "centred":
        alternate = "standing higher on some than on others"
        said += f", {alternate if job.match.alternate else 'as high on every one'}"
    return said


def _below(job: Job, cloth: Cloth) -> str:
    """How far a motif lies below the height that rows are matched at."""
    below = job.match.motif_below
    if below is None:
        return ""
    what = "band's middle" if is_banded(cloth) else "motif's centre"
    way = "above" if job.match.anchor == "sill" else "below"
    return f", a {what} {job.tape.short(below)} {way} it"


def _is_face(job: Job, cloth: Cloth) -> bool:
    return any(opening.cloth == cloth.name for opening in job.openings)


def _matched(job: Job, cloth: Cloth) -> str:
    """How the print must fall, and what follows for the cuts."""
    if not _is_face(job, cloth):
        return "a lining, laid plain: nothing of its print is matched or bought"
    strategy = job.strategy(cloth)
    if strategy == "plain":
        return "matched plain"
    at = {"head": "the head", "sill": "the bottom edge", "wall": "one height on the wall"}
    said = f"matched {strategy}"
    if is_striped(cloth):
        said += _centre(job, cloth) or ", which lets stripes fall as they may"
    else:
        rows = _rows(job, cloth)
        said += f" at {at[job.match.anchor]}{_below(job, cloth)}{_centre(job, cloth)}{rows}"
    if cloth.name == job.make.lining:
        said += "; a lining of it is laid plain"
    return said


def _rows(job: Job, cloth: Cloth) -> str:
    level, points = lattice.level(cloth), lattice.points(job, cloth)
    if level is None:
        return ""
    short = job.tape.short
    fall = "tops lie" if cloth.runs == "railroaded" else "cuts fall"
    if len(level.heights) == 1:
        return f", so {fall} every {short(level.rows)}"
    if points.columns and points.shift:
        return ""
    if len(level.heights) > _MOST_HEIGHTS:
        return f", so {fall} at any of {len(level.heights)} heights in every {short(level.rows)}"
    below = [short(height) for height in sorted(level.heights[1:])]
    at = " or ".join([", ".join(below[:-1]), below[-1]] if len(below) > 1 else below)
    return f", so {fall} every {short(level.rows)}, or {at} below that"


def _start(job: Job, cloth: Cloth) -> str:
    if job.strategy(cloth) == "plain":
        return "cut without regard to its motif"
    if repeat_along(job, cloth, cloth.runs == "railroaded") is None:
        return "cut anywhere along the bolt, whatever its start"
    if cloth.start == "any":
        return "start of the bolt unknown: one repeat is added to what is bought"
    if cloth.start == "motif":
        return f"the shop cuts at a {_along(cloth)}"
    return f"first {_along(cloth)} {job.tape.short(cloth.start)} from the cut end"


def _make(job: Job) -> Iterator[str]:
    make, tape = job.make, job.tape
    top, bottom = sizes.take_up(make, tape)
    if make.lining:
        seam = tape.short(make.seam)
        yield f"lined with {clean(make.lining)}, knife edges, a seam of {seam} a side"
    else:
        hem = "double" if make.side_folds == 2 else "single"
        yield (
            f"{hem} side hems of {tape.short(make.side_fold)}: "
            f"{tape.short(2 * sizes.side_allowance(make))} of width in all"
        )
    yield (
        f"board {tape.short(make.board)} square in a pocket {tape.short(make.board_pocket)} deep, "
        f"rod {tape.short(make.rod)} across in a pocket {tape.short(make.rod_pocket)} deep, "
        f"{tape.short(make.turn_under)} turned under at each"
    )
    added = make.board_pocket + make.rod_pocket + 2 * make.turn_under
    yield (
        f"take-up {tape.short(round(top))} at the board and {tape.short(round(bottom))} at the "
        f"rod ({'computed' if make.take_up == 'computed' else 'as the job says'}); length gains "
        f"{tape.short(round(added + top + bottom))} in all"
    )
    yield (
        f"boards and rods {tape.short(make.stick_short)} shorter than the shade; "
        f"{tape.short(make.square_up)} trimmed off the cloth's end to start square"
    )
    hangs = below_head(job)
    if hangs is not None:
        yield hangs
    if any("auto" in _draws(opening) for opening in job.openings):
        yield (
            "outer shades draw to their own side, those between to the centre, a single one to the "
            "right, where the job does not say"
        )
    if make.table is not None:
        yield f"no drop longer than the table, {tape.short(make.table)}"
    tail = (
        f"ends {tape.short(make.tail_reach)} above the floor"
        if make.tail_reach is not None
        else f"hangs {tape.short(make.tail)} below the guide"
    )
    yield (
        f"lift lines {tape.short(divisions.lift_inset(job))} in from the edges, draw guide "
        f"{tape.short(make.guide_inset)} in from the board's end; when the shade is down the cord "
        f"{tail}; {tape.short(make.knot)} for each knot, cord on reels of "
        f"{tape.cloth(make.cord_reel)}{', a tassel on each' if make.tassels else ''}"
    )
    boards, rods = (" or ".join(map(tape.short, s)) for s in (make.stock.board, make.stock.rod))
    yield (
        f"{clean(make.wood.name)}, {make.wood.stiffness:,.0f} MPa, boards of {boards}, rods of "
        f"{rods}, {tape.short(make.kerf)} lost to each saw cut; hooked up so that the board sags "
        f"no more than {tape.short(make.most_sag)} under cloth "
        f"{float(make.wet_factor):g} times as heavy as dry"
    )


def _opening(job: Job, opening: Opening, found: Possible) -> list[str]:
    tape = job.tape
    margin = _margin(job, opening)
    if job.match.anchor == "wall" and job.strategy(job.cloth(opening.cloth)) != "plain":
        top = opening.head + divisions.top_above_head(job.make, opening)
        side = "above" if top >= 0 else "below"
        margin += f", its shades' tops {tape.short(abs(top))} {side} the common line"
    copies = f", {opening.copies} of them" if opening.copies > 1 else ""
    drawn = "" if opening.draw == "auto" else f", drawn {', '.join(_draws(opening))}"
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


def _draws(opening: Opening) -> tuple[str, ...]:
    """The draws that the job asks of an opening: one of all its shades, or of each."""
    return (opening.draw,) if isinstance(opening.draw, str) else opening.draw


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
    if len(divisions.turns(opening.runs or face.runs)) > 1:
        parts.append("railroaded" if way.face else "up the bolt")
    if lining is not None and len(divisions.turns(lining.runs)) > 1:
        parts.append(f"lining {'railroaded' if way.lining else 'up the bolt'}")
    return f", {', '.join(parts)}" if parts else ""


def _wrapped(text: str, indent: str = "  ") -> str:
    return wrapped(text, indent, JOB_SAID_BACK)
