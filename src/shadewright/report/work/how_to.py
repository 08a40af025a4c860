"""How to go about the cutting, in sentences, for whoever has never cut by such a plan."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from shadewright.report.work.account import Account
from shadewright.report.work.as_one_goes import goes_along
from shadewright.report.work.going_on import Mark

_MARKS: dict[Mark, str] = {
    "cut again": "for a panel that was cut and is spoilt",
    "changed": "other panels lie there, or lie otherwise",
    "new place": "cut as before, elsewhere on the cloth",
}


def how_to_cut(account: Account, drawn: Iterable[str]) -> list[str]:
    """What holds for every card, in the order it is needed.

    Args:
        drawn: what pictures show of a print, in sentences.
    """
    pictures = (
        "In the pictures a heavy line inside a panel is the top of the shade, dashes are its "
        "finished edge, grey is the selvedge, and hatched cloth is left over."
    )
    said = [
        "Lay the cloth right side up with the start of the piece at your left hand. The edge next "
        "to you is the near edge. Figures count the selvedge in, also of what is left over.",
        "Cut in the order of the cards, and tick each box when its work is done. Where a card is "
        "done several times, take all of its steps for one drop, tick that drop, and go on.",
        "The large figure is where to cut, measured from what is named beside it. The figure from "
        "zero of the tape is there to check by, so that small errors do not add up.",
        " ".join([pictures, *drawn]),
        "Cut out the slips, behind the cards, first; pin each on its panel as soon as it is free.",
    ]
    if any(goes_along(drop) for lay in account.lays for drop in lay.drops):
        said.append(
            "A long drop is cut as one goes: each strip is cut lengthwise only as far as its next "
            "panel, which comes off measured from that strip's own last cut."
        )
    return [*said, account.flat, *_marks_said(account)]


def _marks_said(account: Account) -> Iterator[str]:
    """What the marks of cards mean, of those that there are, as one sentence."""
    going_on = account.going_on
    found = {going_on.mark_of_drop(lay, drop) for lay in account.lays for drop in lay.drops}
    said = [f"“{mark}”: {means}" for mark, means in _MARKS.items() if mark in found]
    if said:
        yield f"What is marked on a card compares it with the plan before. {'; '.join(said)}."
