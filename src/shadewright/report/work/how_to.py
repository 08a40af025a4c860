"""How to go about the cutting, in sentences, for whoever has never cut by such a plan."""

from __future__ import annotations

from shadewright.report.work.account import Account
from shadewright.report.work.as_one_goes import goes_along


def how_to_cut(account: Account) -> list[str]:
    """What holds for every card, in the order it is needed."""
    said = [
        "Lay the cloth right side up with the start of the piece at your left hand. The edge next "
        "to you is the near edge, and figures from it count the selvedge in.",
        "Cut in the order of the cards, and tick each box when its work is done. Where a card says "
        "to do the same several times, take all of its steps for one drop of its list, tick that "
        "drop, and go on to the next.",
        "The large figure is where to cut, measured from what is named beside it. The figure from "
        "zero of the tape is there to check by, so that small errors do not add up.",
        "In the pictures a heavy line inside a panel is the top of the shade, dashes are its "
        "finished edge, grey is the selvedge, and hatched cloth is left over.",
        "Pin its slip on each panel as soon as the panel is free.",
    ]
    if any(goes_along(drop) for lay in account.lays for drop in lay.drops):
        said.append(
            "A long drop is cut as one goes: each strip is cut lengthwise only as far as its next "
            "panel, which comes off measured from that strip's own last cut."
        )
    return [*said, account.flat]
