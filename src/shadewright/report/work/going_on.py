"""What is told of a plan that goes on from another: what is cut, what changed, what to buy more."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from shadewright.cloth.numbers import panel_numbers
from shadewright.cloth.plan import Drop, Panel, Plan
from shadewright.job.model import Job
from shadewright.measure import Ticks, ceil_to
from shadewright.report.work.lays import PieceLay
from shadewright.report.work.names import ShadeNames, numbers_said
from shadewright.report.work.words import clean, piece_called, shades_by_copy
from shadewright.trade.buying import start_allowance

_DropName = tuple[str, str, int]


def since_said(
    job: Job, plan: Plan, before: Plan | None, lays: Sequence[PieceLay], names: ShadeNames
) -> list[str]:
    """Sentences on what is cut already and what has changed."""
    return [
        *_cut_said(job, lays),
        *(_cut_again(plan, before, names) if before is not None else ()),
        *(_divided_otherwise(plan, before) if before is not None else ()),
    ]


def _cut_said(job: Job, lays: Sequence[PieceLay]) -> Iterator[str]:
    for lay in lays:
        cut = [drop.drop.number for drop in lay.drops if drop.cut]
        if not lay.begun_to:
            continue
        start = job.tape.long(lay.begun_to)
        verb = "is" if len(cut) == 1 else "are"
        done = f"{_drops(cut).lower()} {verb} cut, and ticked. The" if cut else "the"
        yield (
            f"{piece_called(lay.use)}: {done} cloth that is left starts at {start}, and all "
            "distances still run from the old zero. Its edge is cut already, so it is not squared "
            "up again."
        )


def starts_now(job: Job, lay: PieceLay) -> str:
    """The line between what of a piece is cut and what follows."""
    return (
        f"Cut so far. The cloth that is left starts at {job.tape.long(lay.begun_to)} from zero; go "
        "on from here."
    )


def _cut_again(plan: Plan, before: Plan, names: ShadeNames) -> Iterator[str]:
    old, new = panel_numbers(before), panel_numbers(plan)
    there = {shade for shade, _ in old}
    for panel in plan.panels:
        name = panel.shade, panel.part
        if panel.shade in there and name in old and old[name] != new[name]:
            part = " lining" if panel.part == "lining" else ""
            yield (
                f"{names.of(panel.shade)}{part} is cut again, as panel {new[name]} in drop "
                f"{panel.drop}; panel {old[name]} is spoilt."
            )


def _divided_otherwise(plan: Plan, before: Plan) -> Iterator[str]:
    was, now = shades_by_copy(before), shades_by_copy(plan)
    for (opening, copy), shades in now.items():
        old = was.get((opening, copy), [])
        if [s.finished_width for s in old] != [s.finished_width for s in shades]:
            yield (
                f"{clean(opening)}, copy {copy}, is divided otherwise: it has {len(shades)} shades "
                f"now and had {len(old)}."
            )


def drops_changed(plan: Plan, before: Plan) -> frozenset[_DropName]:
    """Drops that are not cut already, and that the plan before does not cut just so."""
    old = {shape for _, shape in _shapes(before)}
    cut = {(drop.cloth, drop.piece, drop.number) for drop in plan.cut}
    return frozenset(name for name, shape in _shapes(plan) if name not in cut and shape not in old)


def _shapes(plan: Plan) -> Iterator[tuple[_DropName, object]]:
    """Each drop with all there is to cutting it."""
    panels: dict[_DropName, list[Panel]] = {}
    for panel in plan.panels:
        panels.setdefault((panel.cloth, panel.piece, panel.drop), []).append(panel)
    for drop in plan.drops:
        name = drop.cloth, drop.piece, drop.number
        held = ((p.shade, p.part, p.x, p.y, p.across, p.along) for p in panels.get(name, ()))
        yield name, (drop.cloth, drop.piece, drop.start, drop.end, tuple(sorted(held)))


def bought_more(job: Job, plan: Plan, before: Plan) -> list[str]:
    """What must be bought beyond what the plan before bought, and of which bolt it may be."""
    had = {(use.cloth, use.piece): use.length for use in before.pieces if use.bought}
    said = []
    for use in plan.pieces:
        old = had.get((use.cloth, use.piece), 0)
        if not use.bought or use.length <= old:
            continue
        more = job.tape.cloth(use.length - old)
        if not old:
            said.append(f"Buy {more} more of {clean(use.cloth)}, as another piece: {use.piece}.")
            continue
        said.append(_longer_bolt(job, plan, use.cloth, use.piece, old, more))
    for cloth, length in before.totals.bought.items():
        now = plan.totals.bought.get(cloth, 0)
        if now < length:
            spared = job.tape.cloth(length - now)
            said.append(f"{spared} of {clean(cloth)} that was to be bought is not needed any more.")
    return said


def _longer_bolt(  # noqa: PLR0917 - what is told of
    job: Job, plan: Plan, cloth: str, piece: str, old: Ticks, more: str
) -> str:
    """That more of a bolt is wanted, and what to buy where it has no more."""
    beyond = sorted(
        (d for d in plan.drops if (d.cloth, d.piece) == (cloth, piece) and d.end > old),
        key=lambda drop: drop.start,
    )
    name = clean(cloth)
    said = (
        f"Buy {more} more of {name}. The plan takes it for the end of the bolt that was bought, in "
        "one piece with it: it can be so only where the shop has not cut that bolt off yet."
    )
    if not beyond:
        return said
    apart = job.tape.cloth(_apart(job, plan, beyond))
    return (
        f"{said} Otherwise buy {apart} of it instead, off any bolt of the same dye lot, and cut "
        f"{_drops([drop.number for drop in beyond]).lower()} from that."
    )


def _apart(job: Job, plan: Plan, drops: Sequence[Drop]) -> Ticks:
    """What must be bought for some drops in a piece of their own."""
    cloth = job.cloth(drops[0].cloth)
    here = {drop.number for drop in drops}
    faces = [
        p
        for p in plan.panels
        if p.cloth == cloth.name and p.drop in here and p.piece == drops[0].piece
    ]
    spare = start_allowance(job, cloth, faces[0].railroaded) if faces else 0
    length = drops[-1].end - drops[0].start + job.make.square_up + spare
    return ceil_to(length, cloth.sold_in)


def _drops(numbers: Sequence[int]) -> str:
    """``Drop 3``, ``Drops 1 to 4``."""
    return f"{'Drop' if len(numbers) == 1 else 'Drops'} {numbers_said(numbers)}"
