"""How a piece is laid for cutting, and where cuts lie by its print, in words."""

from __future__ import annotations

from shadewright.cloth import lattice
from shadewright.job.model import Job
from shadewright.measure import Ticks, nearest_to
from shadewright.report.work.lays import PieceLay
from shadewright.trade.buying import start_allowance


def beginning(job: Job, lay: PieceLay) -> str:
    """How a piece is laid, where zero of the tape lies on it, and where its flaws are, in words."""
    return _zero(job, lay) + flaws_said(job, lay)


def _zero(job: Job, lay: PieceLay) -> str:
    tape = job.tape
    if lay.motif is None:
        return "Zero of the tape is the cut end of the piece."
    kind = "motif row"
    said = ""
    if lay.cloth.runs == "railroaded":
        kind = "motif"
        said = "Lay this cloth with the tops of its motifs towards the near edge. "
        if job.strategy(lay.cloth) == "continuous":
            said = (
                "Lay this cloth wrong side up, with the tops of its motifs towards the near edge, "
                "so that the print runs on from shade to shade. "
            )
    spare = allowance(job, lay)
    if spare and lay.motif:
        return said + (
            f"Zero of the tape lies {tape.short(lay.motif)} before a {kind}: the first place like "
            f"that is within {tape.short(spare)} of the cut end, and so much was bought to spare."
        )
    if spare:
        return said + (
            f"Zero of the tape is the first {kind}: it lies within {tape.short(spare)} of the cut "
            "end, and so much was bought to spare. Another height of the print will do as well, if "
            "everything is measured from there."
        )
    place = f"{tape.short(lay.motif)} from the cut end" if lay.motif else "at the cut end"
    return said + (
        f"Zero of the tape is the cut end of the piece. Its first {kind} must lie {place}: look "
        "before the first cut."
    )


def allowance(job: Job, lay: PieceLay) -> Ticks:
    """How far from its cut end this piece may be begun: the repeat that was bought to spare."""
    faces = [p.panel for p in lay.panels if p.panel.part == "face"]
    if not lay.use.bought or not faces:
        return 0
    return start_allowance(job, lay.cloth, faces[0].railroaded)


def flaws_said(job: Job, lay: PieceLay) -> str:
    """Where the flaws of a piece lie, as a sentence; empty where it has none."""
    tape = job.tape
    if not lay.flaws:
        return ""
    said = []
    for flaw in lay.flaws:
        where = f"{tape.long(flaw.start)} to {tape.long(flaw.end)}"
        if flaw.left is not None and flaw.right is not None:
            where += f", {tape.short(flaw.left)} to {tape.short(flaw.right)} from the near edge"
        said.append(where)
    return f" Flaws that no panel touches: {'; '.join(said)}."


def by_the_print(job: Job, lay: PieceLay, at: Ticks) -> str:
    """Where a cut across the piece lies by the print, as a sentence; empty on cloth cut plain.

    Rows count in whichever column their motif is; where columns stand at many heights, in one.
    """
    cloth = lay.cloth
    railroaded = cloth.runs == "railroaded"
    if railroaded and job.strategy(cloth) == "level":
        return ""
    level = lattice.level(cloth)
    if lay.motif is None or level is None:
        return ""
    name, every = "motif row", level.rows
    if railroaded:
        name, every = "motif", cloth.repeat_across or 0
    elif len(level.heights) > 1:
        column = job.tape.short(cloth.motif_at + cloth.selvedge)
        name = f"motif in the column {column} from the near edge"
    if not every:
        return ""
    past = (at - lay.motif) % every
    beyond, before = nearest_to(past, job.step), nearest_to(every - past, job.step)
    if not beyond or not before:
        return f" By the print: at a {name}."
    if past <= every - past:
        return f" By the print: {job.tape.short(past)} past a {name}."
    return f" By the print: {job.tape.short(every - past)} before a {name}."
