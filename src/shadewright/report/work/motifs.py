"""Where the print lies on a plan's pieces."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from shadewright.cloth import lattice
from shadewright.cloth.plan import Panel, PieceUse, Plan
from shadewright.job.model import Cloth, Job
from shadewright.measure import Ticks, nearest


def first_motif(job: Job, plan: Plan, use: PieceUse) -> Ticks | None:
    """From zero of the tape to a motif along a piece, less than a repeat; None on cloth cut plain.

    Where the start of the bolt is unknown, zero is laid on a motif row. On railroaded cloth with
    motifs on centre lines it is the faces that say where motifs lie.
    """
    cloth = job.cloth(use.cloth)
    faces = [
        p for p in plan.panels if p.part == "face" and (p.cloth, p.piece) == (use.cloth, use.piece)
    ]
    strategy = job.strategy(cloth)
    if strategy == "plain" or not faces:
        return None
    if not use.bought:
        return next((piece.start or 0 for piece in cloth.pieces if piece.name == use.piece), 0)
    if cloth.start != "any":
        return 0 if cloth.start == "motif" else cloth.start
    if cloth.runs != "railroaded" or strategy == "level" or not cloth.repeat_across:
        return _first_row(job, plan, cloth, faces)
    face = faces[0]
    shade = plan.shade(face.shade)
    opening = job.opening(shade.opening)
    middle = Fraction(shade.finished_width, 2)
    if strategy == "continuous":
        middle = Fraction(opening.width, 2) - shade.left
    beside = Fraction(cloth.repeat_across, 2) if job.match.centre_on == "between" else 0
    return nearest(
        (face.y + face.hem_left + middle / (1 - cloth.shrink_down) - beside) % cloth.repeat_across
    )


def _first_row(job: Job, plan: Plan, cloth: Cloth, faces: Sequence[Panel]) -> Ticks:
    """The first motif row of a bolt whose start is unknown: at zero, unless rows must agree with
    those of pieces on hand, whose motifs are where they are."""
    level = lattice.level(cloth)
    if job.match.across == "opening" or level is None or cloth.runs == "railroaded":
        return 0
    starts = {piece.name: piece.start or 0 for piece in cloth.pieces}
    known = [
        p for p in plan.panels if p.part == "face" and p.cloth == cloth.name and p.piece in starts
    ]
    if not known:
        return 0
    points = lattice.points(job, cloth)
    there = [lattice.anchor_row(job, plan, p) - starts[p.piece] for p in known]
    here = [lattice.anchor_row(job, plan, p) for p in faces]
    base = points.start_of(there)
    first = points.start_of(here)
    if base is None or first is None:
        base, first = there[0], here[0]
    return (first - base) % level.rows
