"""A job said back in plain words, before anything is solved."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from shadewright.cloth import lattice
from shadewright.job.model import Cloth, Job, Opening
from shadewright.report.text.wrapping import JOB_SAID_BACK, wrapped
from shadewright.report.work.cautions import first_of_all
from shadewright.report.work.words import clean, count
from shadewright.trade import divisions, sizes
from shadewright.trade.counts import counts
from shadewright.trade.divisions import Limits, Way

# Heights of rows that are named one by one.
_MOST_HEIGHTS = 6


def said_back(job: Job, placed: Mapping[str, set[int]]) -> str:
    """What a job means: its cloth, how shades are made, how each opening could be divided and cut.

    Args:
        placed: for each opening the numbers of shades that the print has a place for.

    Raises:
        CannotMeetError: an opening cannot be divided or matched as asked, or a pocket holds no
            stick.
    """
    first = [line for said in first_of_all(job) for line in (_wrapped(said, ""), "")]
    lines = [*first, clean(job.title), "", "Cloth"]
    for cloth in job.cloths:
        lines += [_wrapped(line) for line in _cloth(job, cloth)]
    lines += ["", "How every shade is made", *(_wrapped(line) for line in _make(job))]
    lines += ["", "Openings, and how each could be divided"]
    for opening in job.openings:
        lines += _opening(job, opening, placed[opening.name])
    if job.notes:
        lines += ["", "Notes", *(_wrapped(clean(note)) for note in job.notes)]
    return "\n".join(lines) + "\n"


def _cloth(job: Job, cloth: Cloth) -> Iterator[str]:
    tape = job.tape
    runs = cloth.runs if cloth.runs != "either" else "up the bolt or railroaded"
    yield (
        f"{clean(cloth.name)}: {tape.short(cloth.width)} wide, {tape.short(cloth.usable)} of it "
        f"usable; cut {runs}; sold by {tape.cloth(cloth.sold_in)}{_bolts(job, cloth)}"
    )
    if cloth.repeat_down is not None:
        across = (
            f" and {tape.short(cloth.repeat_across)} across"
            if cloth.repeat_across is not None
            else ""
        )
        yield (
            f"  repeat {tape.short(cloth.repeat_down)} down{across}, {_columns(job, cloth)}; "
            f"{_matched(job, cloth)}"
        )
        if cloth.can_buy and _is_face(job, cloth):
            yield f"  {_start(job, cloth)}"
    for piece in cloth.pieces:
        lot = f", lot {clean(piece.lot)}" if piece.lot is not None else ""
        motif = ""
        if job.strategy(cloth) != "plain":
            motif = f", first motif row {tape.short(piece.start or 0)} from its start"
        flaws = f", {count(len(piece.flaws), 'flaw')}" if piece.flaws else ""
        yield f"  on hand: {clean(piece.name)}, {tape.long(piece.length)}{lot}{motif}{flaws}"
    if not cloth.can_buy:
        yield "  no more of it can be bought"
    if cloth.shrink_down or cloth.shrink_across:
        yield (
            f"  cut larger, to shrink {float(cloth.shrink_down):.1%} along and "
            f"{float(cloth.shrink_across):.1%} across"
        )


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
    on = {"motif": "a motif", "between": "the middle between motifs"}[job.match.centre_on]
    of = {"centred": "each shade", "continuous": "each opening"}.get(job.strategy(cloth))
    return f", {on} on the middle of {of}" if of else ""


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
    said = f"matched {strategy} at {at[job.match.anchor]}{_centre(job, cloth)}{_rows(job, cloth)}"
    if cloth.name == job.make.lining:
        said += "; a lining of it is laid plain"
    return said


def _rows(job: Job, cloth: Cloth) -> str:
    level = lattice.level(cloth)
    if level is None:
        return ""
    short = job.tape.short
    if len(level.heights) == 1:
        return f", so cuts fall every {short(level.rows)}"
    if job.strategy(cloth) == "continuous":
        return ""
    if len(level.heights) > _MOST_HEIGHTS:
        return f", so cuts fall at any of {len(level.heights)} heights in every {short(level.rows)}"
    below = [short(height) for height in sorted(level.heights[1:])]
    at = " or ".join([", ".join(below[:-1]), below[-1]] if len(below) > 1 else below)
    return f", so cuts fall every {short(level.rows)}, or {at} below that"


def _start(job: Job, cloth: Cloth) -> str:
    if job.strategy(cloth) == "plain":
        return "cut without regard to its motif"
    if cloth.start == "any":
        return "start of the bolt unknown: one repeat is added to what is bought"
    if cloth.start == "motif":
        return "the shop cuts at a motif row"
    return f"first motif row {job.tape.short(cloth.start)} from the cut end"


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


def _opening(job: Job, opening: Opening, placed: set[int]) -> list[str]:
    tape = job.tape
    margin = (
        f"clearance {tape.short(opening.clearance)} a side"
        if opening.mount == "inside"
        else f"overlap {tape.short(opening.overlap)} at each side and the top"
    )
    if job.match.anchor == "wall" and job.strategy(job.cloth(opening.cloth)) != "plain":
        top = opening.head + lattice.top_above_head(opening)
        margin += f", its shades' tops {tape.short(top)} above the common line"
    copies = f", {opening.copies} of them" if opening.copies > 1 else ""
    lines = [
        _wrapped(
            f"{clean(opening.name)}{copies}: {tape.short(opening.width)} wide, "
            f"{tape.short(opening.height)} high, {opening.mount} mount, {margin}, "
            f"gaps {tape.between(*opening.gap)}, {opening.widths} widths, of {clean(opening.cloth)}"
        )
    ]
    allowed = divisions.all_limits(job, opening)
    for number in counts(job, opening):
        for limit in allowed:
            if divisions.divisible(job, opening, limit, number):
                said = _division(job, opening, limit, number)
                if number not in placed:
                    said += "; but the print has no place for these"
                lines.append(_wrapped(said, "    "))
    return lines


def _division(job: Job, opening: Opening, limit: Limits, number: int) -> str:
    tape = job.tape
    if opening.widths == "equal" or number == 1:
        widths = divisions.equal_widths(job, opening, limit, number)
        narrow, wide = widths[0], widths[-1]
    else:
        least, most = divisions.width_sum(opening, number)
        narrow = max(limit.narrowest, least - (number - 1) * limit.widest)
        wide = min(limit.widest, most - (number - 1) * limit.narrowest)
    small, large = (divisions.panels(job, opening, limit.way, w)["face"] for w in (narrow, wide))
    each = "each " if number > 1 else ""
    return (
        f"{count(number, 'shade')}, {each}{tape.between(narrow, wide)} wide finished; cut "
        f"{tape.between(small.cut_width, large.cut_width)} x {tape.short(small.cut_length)}"
        f"{_lying(job, opening, limit.way)}"
    )


def _lying(job: Job, opening: Opening, way: Way) -> str:
    face, lining = divisions.cloths_of(job, opening)
    parts = []
    if face.runs == "either":
        parts.append("railroaded" if way.face else "up the bolt")
    if lining is not None and lining.runs == "either":
        parts.append(f"lining {'railroaded' if way.lining else 'up the bolt'}")
    return f", {', '.join(parts)}" if parts else ""


def _wrapped(text: str, indent: str = "  ") -> str:
    return wrapped(text, indent, JOB_SAID_BACK)
