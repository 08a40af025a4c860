"""What a job says of its cloth, in plain words: its print, and what that asks of the cuts."""

from __future__ import annotations

from collections.abc import Iterator

from shadewright.cloth import lattice
from shadewright.cloth.printed import is_banded, is_striped
from shadewright.job.model import Cloth, Job
from shadewright.report.work.words import clean, count
from shadewright.trade.buying import repeat_along

# Heights of rows that are named one by one.
_MOST_HEIGHTS = 6


def cloth_said(job: Job, cloth: Cloth) -> Iterator[str]:
    """Everything of one cloth, a line each."""
    tape = job.tape
    runs = {
        "either": "up the bolt or railroaded, all of it one way",
        "mixed": "up the bolt or railroaded, each opening its own way",
    }.get(cloth.runs, cloth.runs)
    if any(o.runs is not None for o in job.openings if o.cloth == cloth.name):
        runs += ", but where an opening has a lay of its own"
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
    if not cloth.can_buy:
        return said
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
        return f"cut without regard to its {cloth.print_called}"
    if repeat_along(job, cloth, cloth.runs == "railroaded") is None:
        return "cut anywhere along the bolt, whatever its start"
    if cloth.start == "any":
        return "start of the bolt unknown: one repeat is added to what is bought"
    if cloth.start == "motif":
        return f"the shop cuts at a {_along(cloth)}"
    return f"first {_along(cloth)} {job.tape.short(cloth.start)} from the cut end"
