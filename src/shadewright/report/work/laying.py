"""How a piece is laid for cutting, and where cuts lie by its print, in words."""

from __future__ import annotations

from shadewright.cloth import lattice
from shadewright.cloth.printed import is_banded, is_striped, is_tied
from shadewright.job.model import Job
from shadewright.measure import Ticks, nearest_to
from shadewright.report.work.lays import PieceLay
from shadewright.trade.buying import start_allowance


def beginning(job: Job, lay: PieceLay) -> str:
    """How a piece is laid, where zero of the tape lies on it, what to see before panels are cut out
    of it, and where its flaws are, in words."""
    return _zero(job, lay) + _centred(job, lay) + flaws_said(job, lay)


def _zero(job: Job, lay: PieceLay) -> str:
    tape, said = job.tape, _tops(job, lay)
    if lay.begun:
        return said + _zero_as_before(job, lay)
    if lay.motif is None:
        return f"{said}Zero of the tape is the cut end of the piece."
    kind, spare = _looked_for(job, lay), allowance(job, lay)
    if spare and lay.motif:
        return said + (
            f"Zero of the tape lies {tape.short(lay.motif)} before a {kind}: the first place like "
            f"that is within {tape.short(spare)} of the cut end, and so much was bought to spare."
        )
    if spare:
        said += (
            f"Zero of the tape is the first {kind}: it lies within {tape.short(spare)} of the cut "
            "end, and so much was bought to spare."
        )
        if is_tied(job, lay.cloth):
            return said
        return said + (
            " Another height of the print will do as well, if everything is measured from there."
        )
    place = f"{tape.short(lay.motif)} from the cut end" if lay.motif else "at the cut end"
    return said + (
        f"Zero of the tape is the cut end of the piece. Its first {kind} must lie {place}: look "
        "before the first cut."
    )


def _centred(job: Job, lay: PieceLay) -> str:
    """What must lie on the middle of each panel, as a sentence; empty where nothing must."""
    cloth = lay.cloth
    faces = any(numbered.panel.part == "face" for numbered in lay.panels)
    if not faces or not cloth.repeat_across or job.strategy(cloth) != "centred":
        return ""
    what = "stripe" if is_striped(cloth) else "motif"
    middle = f"two {what}s" if job.match.centre_on == "between" else f"a {what}"
    where = "the middle between" if job.match.centre_on == "between" else "the middle of"
    cut = "across" if cloth.runs == "railroaded" else "lengthwise"
    return f" Before you cut {cut}, see that {where} {middle} lies on the middle of the panel."


def _zero_as_before(job: Job, lay: PieceLay) -> str:
    """Where zero of the tape lies on a piece that is begun."""
    stays = "Zero of the tape stays where it was when this piece was whole"
    if lay.motif is None or not allowance(job, lay):
        return f"{stays}: at its cut end of then."
    kind = _looked_for(job, lay)
    if lay.motif:
        return f"{stays}: {job.tape.short(lay.motif)} before a {kind}."
    return f"{stays}: at its first {kind}."


def _tops(job: Job, lay: PieceLay) -> str:
    """Which edge the tops of a railroaded print lie at, as a sentence; stripes have none."""
    cloth = lay.cloth
    turned = cloth.runs == "railroaded" and job.strategy(cloth) != "plain"
    if not turned or cloth.repeat_down is None:
        return ""
    what = "bands" if is_banded(cloth) else "motifs"
    return f"Lay this cloth right side up, with the tops of its {what} towards the far edge. "


def _looked_for(job: Job, lay: PieceLay) -> str:
    """What is looked for along a piece."""
    cloth = lay.cloth
    if cloth.runs == "railroaded":
        return "stripe" if is_striped(cloth) else "motif"
    if is_banded(cloth):
        return "band"
    if is_tied(job, cloth) and lattice.points(job, cloth).shift:
        column = job.tape.short(cloth.motif_at + cloth.selvedge)
        return f"motif in the column {column} from the near edge"
    return "motif row"


def allowance(job: Job, lay: PieceLay) -> Ticks:
    """How far from its cut end this piece may be begun: the repeat that was bought to spare."""
    faces = [p.panel for p in lay.panels if p.panel.part == "face"]
    if not lay.use.bought or not faces:
        return 0
    return start_allowance(job, lay.cloth, faces[0].railroaded)


def zero_inside(job: Job, lay: PieceLay) -> bool:
    """Whether zero of the tape lies at a place of the print, and not at the piece's cut end: nobody
    knows then how much comes off before the first cut."""
    return lay.motif is not None and allowance(job, lay) > 0


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
    cloth, level = lay.cloth, lattice.level(lay.cloth)
    if lay.motif is None:
        return ""
    name, every = _looked_for(job, lay), cloth.repeat_across or 0
    if cloth.runs != "railroaded" and level is not None:
        every = level.rows
        if len(level.heights) > 1:
            column = job.tape.short(cloth.motif_at + cloth.selvedge)
            name = f"motif in the column {column} from the near edge"
        elif level.rows != cloth.repeat_down:
            name = "motif row"
    if not every:
        return ""
    past = (at - lay.motif) % every
    beyond, before = nearest_to(past, job.step), nearest_to(every - past, job.step)
    if not beyond or not before:
        return f" By the print: at a {name}."
    if past <= every - past:
        return f" By the print: {job.tape.short(past)} past a {name}."
    return f" By the print: {job.tape.short(every - past)} before a {name}."
