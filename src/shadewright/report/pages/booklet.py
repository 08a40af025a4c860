"""The booklet: the paper that goes to the workroom, from what to buy to the cleat on the wall."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import islice
from pathlib import Path
from typing import Any

from shadewright.report.pages.cutting_cards import piece_data
from shadewright.report.pages.front_page import front_data
from shadewright.report.pages.roll_motifs import rows_of_motifs
from shadewright.report.pages.typesetting import breakable, typeset
from shadewright.report.pages.workroom import buying_data, making_data, slips_data, wood_data
from shadewright.report.work.account import Account
from shadewright.report.work.cautions import ON_EVERY_PAGE
from shadewright.report.work.how_to import how_to_cut
from shadewright.report.work.words import brief, clean, count

_LONGEST_TITLE = 75
"""Signs of a title that stand on one line of every page."""

_MOST_DROPS, _MOST_SLIPS, _MOST_KINDS = 60, 360, 60
"""Cards of one piece, slips, and kinds of shade that a booklet tells of. A thousand openings have
hundreds: nobody leafs through so much paper, and setting it takes longer than finding the plan."""


def save_booklet(path: Path, account: Account) -> None:
    """Write the booklet as a PDF, on the paper that the job's units go with.

    The same plan gives the same bytes.

    Raises:
        OSError: the file cannot be written.
    """
    made = typeset("booklet.typ", booklet_data(account), "pdf")
    assert isinstance(made, bytes)
    path.write_bytes(made)


def _left_out(account: Account) -> dict[str, str]:
    """What is not on paper because there is so much of it, as sentences; nothing where all is."""
    panels = sum(len(lay.panels) for lay in account.lays)
    told = "The workbook of this plan tells of"
    kinds = count(len(account.cards) - _MOST_KINDS, "more kind") + " of shade"
    return {
        "slips": f"{told} {panels - _MOST_SLIPS} more panels." if panels > _MOST_SLIPS else "",
        "making": f"{told} {kinds}." if len(account.cards) > _MOST_KINDS else "",
    }


def _prints_drawn(account: Account) -> Iterable[str]:
    """What the pictures of cutting cards show of the prints, in sentences."""
    found = (rows_of_motifs(account.job, account.plan, lay) for lay in account.lays)
    return dict.fromkeys(f"{rows.said[0]} show {rows.said[1]}." for rows in found if rows)


def booklet_data(account: Account) -> dict[str, Any]:
    """All that the template of the booklet is given."""
    return {
        "paper": "a4" if account.job.metric else "us-letter",
        "title": breakable(brief(clean(account.job.title), _LONGEST_TITLE)),
        "caution": ON_EVERY_PAGE,
        "front": front_data(account),
        "how_to": how_to_cut(account, _prints_drawn(account)),
        "pieces": [piece_data(account, lay, _MOST_DROPS) for lay in account.lays],
        "slips": list(islice(slips_data(account), _MOST_SLIPS)),
        "making": list(islice(making_data(account), _MOST_KINDS)),
        "more": _left_out(account),
        "wood": wood_data(account),
        "buying": buying_data(account),
    }
