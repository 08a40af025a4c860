"""How a shade is strung and hung: the sentences that cards, sheets and texts share.

Source: common practice.
"""

from __future__ import annotations

from shadewright.job.model import Job, Opening

STARTER_HOLE = (
    "Punch a starter hole for every eye with an awl and a hammer; a drill winds the cloth's "
    "threads."
)

LOWER_EYES = (
    "The lower eyes stand exactly opposite those on top, each just beside the point of the upper."
)

CORD_RUN = (
    "Tie each cord to the eye on top of the board; it runs down the back, under the rod and up the "
    "front."
)


COMES_DOWN = {"left": "at the left", "right": "at the right", "centre": "in the middle"}
"""Where the cords of a shade come down, by its draw."""


def below_head(job: Job) -> str | None:
    """How far boards of inside mounts hang below the head, and what that does to lengths; None
    where nothing is mounted inside."""
    if all(opening.mount == "outside" for opening in job.openings):
        return None
    drop = job.make.hook_drop
    if not drop:
        return (
            "hook_drop is 0: finished lengths of inside mounts do not count in the eyes and hooks "
            "that their boards hang by"
        )
    return (
        f"boards hang {job.tape.short(drop)} below the head of an inside mount, by their eyes and "
        "hooks: finished lengths are so much less"
    )


def hung(job: Job, opening: Opening) -> str:
    """Where an opening's shades begin and end."""
    short = job.tape.short
    if opening.mount == "inside":
        drop, gap = short(job.make.hook_drop), short(opening.sill_gap)
        return f"board's top {drop} below the head, rod {gap} above the sill"
    over, under = short(opening.overlap), short(opening.overlap_bottom)
    return f"board's top {over} above the head, rod {under} below the sill"


def hangs(job: Job, opening: Opening) -> str:
    """Where its boards hang, as a sentence."""
    short = job.tape.short
    if opening.mount == "inside":
        drop = job.make.hook_drop
        where = f"{short(drop)} below the head" if drop else "right at the head"
    else:
        where = f"{short(opening.overlap)} above the head" if opening.overlap else "at the head"
    return f"The board's top hangs {where}."
