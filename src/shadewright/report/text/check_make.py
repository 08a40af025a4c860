"""How every shade of a job is made, in plain words."""

from __future__ import annotations

from collections.abc import Iterator

from shadewright.job.model import Job
from shadewright.report.work.hanging import below_head
from shadewright.report.work.words import clean
from shadewright.trade import divisions, sizes


def make_said(job: Job) -> Iterator[str]:
    """How they are sewn, hung and drawn, a line each."""
    yield from _sewn(job)
    hangs = below_head(job)
    if hangs is not None:
        yield hangs
    if any("auto" in opening.draws for opening in job.openings):
        yield (
            "outer shades draw to their own side, those between to the centre, a single one to the "
            "right, where the job does not say"
        )
    if job.make.table is not None:
        yield f"no drop longer than the table, {job.tape.short(job.make.table)}"
    yield _corded(job)
    yield _sticks(job)


def _sewn(job: Job) -> Iterator[str]:
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


def _corded(job: Job) -> str:
    make, tape = job.make, job.tape
    tail = (
        f"ends {tape.short(make.tail_reach)} above the floor"
        if make.tail_reach is not None
        else f"hangs {tape.short(make.tail)} below the guide"
    )
    return (
        f"lift lines {tape.short(divisions.lift_inset(job))} in from the edges, draw guide "
        f"{tape.short(make.guide_inset)} in from the board's end; when the shade is down the cord "
        f"{tail}; {tape.short(make.knot)} for each knot, cord on reels of "
        f"{tape.cloth(make.cord_reel)}{', a tassel on each' if make.tassels else ''}"
    )


def _sticks(job: Job) -> str:
    make, tape = job.make, job.tape
    boards, rods = (" or ".join(map(tape.short, s)) for s in (make.stock.board, make.stock.rod))
    return (
        f"{clean(make.wood.name)}, {make.wood.stiffness:,.0f} MPa, boards of {boards}, rods of "
        f"{rods}, {tape.short(make.kerf)} lost to each saw cut; hooked up so that the board sags "
        f"no more than {tape.short(make.most_sag)} under cloth "
        f"{float(make.wet_factor):g} times as heavy as dry"
    )
