"""An account as tables of pandas: a row a thing, and units in the names of columns.

Sizes and places are in the unit of the job's tape (`_in` or `_cm`), cloth that is bought or used in
the unit it is sold by (`_yd` or `_m`). What a table tells is what sheets and pictures tell.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import TYPE_CHECKING

from shadewright.job.model import Job
from shadewright.measure import TICKS, Ticks, Unit
from shadewright.report.work.account import Account
from shadewright.report.work.comparison import Comparison, bought
from shadewright.report.work.cuts import cuts_by_drop
from shadewright.report.work.makings import cord_cuts
from shadewright.report.work.words import gap

if TYPE_CHECKING:
    import pandas as pd

Row = Mapping[str, object]


def small_unit(job: Job) -> Unit:
    """The unit of sizes and places."""
    return "cm" if job.metric else "in"


_NONE = float("nan")
"""What stands for a number that there is none of."""


def lengths(unit: Unit, **of: Ticks | None) -> dict[str, float]:
    """Lengths in a unit, under names that end in it."""
    return {
        f"{name}_{unit}": _NONE if length is None else length / TICKS[unit]
        for name, length in of.items()
    }


def shades(account: Account) -> pd.DataFrame:
    """A row for each finished shade: where it hangs, its size, its stick, eyes and cords as cut.
    Places are from the left end of its board, `left` from the left edge of its opening."""
    return _frame(_shade_rows(account))


def _shade_rows(account: Account) -> Iterator[Row]:
    job, unit = account.job, small_unit(account.job)
    making_of = {making.shade: making for making in account.plan.making}
    for shade in account.plan.shades:
        making = making_of[shade.id]
        left_cord, right_cord = cord_cuts(job, making)
        left_line, right_line = making.lift_lines
        yield {
            "shade": account.names.of(shade.id),
            "opening": shade.opening,
            "copy": shade.copy_,
            "place": shade.place,
            "of": shade.of,
            "cloth": shade.cloth,
            "draw": shade.draw,
            **lengths(
                unit,
                left=shade.left,
                finished_width=shade.finished_width,
                finished_length=shade.finished_length,
                board=making.board,
                rod=making.rod,
                left_lift_line=left_line,
                right_lift_line=right_line,
                draw_guide=making.guide,
                left_cord=left_cord,
                right_cord=right_cord,
                raised_diameter=making.raised_diameter,
            ),
            "hooks": len(making.hooks),
        }


def panels(account: Account) -> pd.DataFrame:
    """A row for each rectangle of cloth, by the number it has in the cutting order. Its place is
    that of the corner next to the start of the piece and the near edge, selvedge counted."""
    unit = small_unit(account.job)
    return _frame(
        {
            "panel": numbered.number,
            "shade": numbered.shade,
            "part": numbered.panel.part,
            "cloth": numbered.panel.cloth,
            "piece": numbered.panel.piece,
            "drop": numbered.panel.drop,
            "railroaded": numbered.panel.railroaded,
            **lengths(
                unit,
                from_start=numbered.panel.y,
                from_near_edge=numbered.panel.x + lay.cloth.selvedge,
                across=numbered.panel.across,
                along=numbered.panel.along,
            ),
        }
        for lay in account.lays
        for numbered in lay.panels
    )


def drops(account: Account) -> pd.DataFrame:
    """A row for each full-width length cut off a piece, from the start of the piece on."""
    unit = small_unit(account.job)
    return _frame(
        {
            "cloth": each.drop.cloth,
            "piece": each.drop.piece,
            "drop": each.drop.number,
            **lengths(
                unit,
                start=each.drop.start,
                end=each.drop.end,
                length=each.drop.end - each.drop.start,
            ),
            "panels": len(each.panels),
        }
        for lay in account.lays
        for each in lay.drops
    )


def cuts(account: Account) -> pd.DataFrame:
    """A row for each cut in the order of work, as the cutting order has them."""
    unit = small_unit(account.job)
    made = (
        (drop, cut)
        for lay in account.lays
        for drop, these in cuts_by_drop(account.job, lay)
        for cut in these
    )
    return _frame(
        {
            "step": step,
            "cloth": drop.cloth,
            "piece": drop.piece,
            "drop": drop.number,
            "kind": cut.kind,
            "what": cut.what,
            "measured_from": cut.measured_from,
            **lengths(unit, at=cut.at),
            "comes_free": "; ".join(f"{each.number}: {each.called}" for each in cut.makes),
        }
        for step, (drop, cut) in enumerate(made, 1)
    )


def wood(account: Account) -> pd.DataFrame:
    """A row for each board and rod, with the stick of stock that yields it, in order."""
    unit = small_unit(account.job)
    return _frame(
        {
            "stick": number,
            "kind": stick.stick,
            **lengths(unit, stock=stick.stock),
            "cut": place,
            **lengths(unit, length=cut.length),
            "shade": account.names.of(cut.shade),
        }
        for number, stick in enumerate(account.plan.wood, 1)
        for place, cut in enumerate(stick.cuts, 1)
    )


def buy(account: Account) -> pd.DataFrame:
    """A row for each thing to buy: a number of it, each so long where that matters, or a length.
    Cloth has a row for each piece bought, with its cost where it has a price."""
    return _frame(_buy_rows(account))


def _buy_rows(account: Account) -> Iterator[Row]:
    job, need = account.job, account.supplies
    small, large = small_unit(job), job.tape.cloth_unit

    def row(  # what is bought, by number, length or both
        what: str,
        *,
        name: str = "",
        number: int | None = None,
        each: Ticks | None = None,
        length: Ticks | None = None,
        cost: float = _NONE,
    ) -> Row:
        counted = {"what": what, "name": name, "number": number}
        return {**counted, **lengths(small, each=each), **lengths(large, length=length)} | {
            "cost": cost
        }

    for use in account.plan.pieces:
        if use.bought:
            priced = job.cloth(use.cloth).price is not None
            name = f"{use.cloth}, {use.piece}"
            yield row("cloth", name=name, length=use.length, cost=use.cost if priced else _NONE)
    for (kind, stock), number in need.sticks.items():
        yield row(kind, number=number, each=stock)
    yield row("lift cord, reels", number=need.reels, each=job.make.cord_reel)
    yield row("cup hook", number=need.hooks)
    yield row("screw eye", number=need.eyes)
    yield row("cleat", number=need.cleats)
    if need.tassels:
        yield row("tassel", number=need.tassels)
    yield row("thread", length=need.thread)


def cases(comparison: Comparison) -> pd.DataFrame:
    """A row for each way that a job was made; one without a plan says why there is none."""
    return _frame(_case_rows(comparison))


def _case_rows(comparison: Comparison) -> Iterator[Row]:
    unit = comparison.job.tape.cloth_unit
    for answer in comparison.answers:
        plan = answer.plan
        yield {
            "choice": answer.choice,
            "case": answer.name,
            "as_asked": comparison.is_yours(answer),
            "most_shades": answer.most_shades,
            **lengths(
                unit,
                bought=None if plan is None else bought(plan),
                used=None if plan is None else plan.proof.used,
                more_than_plain=None if plan is None else comparison.more_than_plain(plan),
            ),
            "cost": _NONE if plan is None else plan.totals.cost,
            "shades": None if plan is None else plan.totals.shades,
            "waste_share": _NONE if plan is None else plan.totals.waste,
            "gap_share": _NONE if plan is None else gap(plan.proof.goals[0]),
            "why_not": answer.why_not,
        }


_WHOLE = ("number", "most_shades", "shades")
"""Columns of whole numbers where some rows have none."""


def _frame(rows: Iterable[Row]) -> pd.DataFrame:
    import pandas as pd  # noqa: PLC0415 - only who asks for a table waits for it

    found = pd.DataFrame(list(rows))
    return found.astype({name: "Int64" for name in _WHOLE if name in found})
