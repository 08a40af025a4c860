"""The cutting companion: a plan as a page to have beside the table, and to tick cuts in."""

from __future__ import annotations

from pathlib import Path

from shadewright.report.pages.rendering import inline
from shadewright.report.pages.roll_map import draw_whole_roll
from shadewright.report.pages.wall_view import draw_whole_wall
from shadewright.report.screen.shell import embedded, page, save
from shadewright.report.screen.told import companion_data
from shadewright.report.work.account import Account
from shadewright.report.work.words import clean

_SCRIPTS = (
    "told.js",
    "ticks.js",
    "lights.js",
    "hand.js",
    "pointing.js",
    "order.js",
    "back.js",
    "page.js",
)
"""In the order that they build on one another."""


def save_companion(path: Path, account: Account) -> None:
    """Write the page. The same plan gives the same bytes.

    Raises:
        OSError: the file cannot be written.
    """
    save(path, companion(account))


def companion(account: Account) -> str:
    """The page, whole in itself."""
    return page(
        "page.html",
        f"Cutting: {clean(account.plan.job)}",
        scripts=_SCRIPTS,
        markup={
            "data": embedded(companion_data(account)),
            "roll": inline(draw_whole_roll(account), "roll"),
            "wall": inline(draw_whole_wall(account), "wall"),
        },
    )
