"""The pictures of the guide from measuring to hanging, drawn anew.

    python tests/guides/guide_pictures.py

writes them where the guide has them; a test sees that they are still what the program draws.
"""

from __future__ import annotations

from pathlib import Path

from shadewright.job.read import read_job
from shadewright.planning.make import make_plan
from shadewright.report.pages import making_card, roll_map, wall_view
from shadewright.report.pages.drawing import Drawing
from shadewright.report.pages.rendering import png_pages
from shadewright.report.work.account import Account

EXAMPLES = Path(__file__).parents[2] / "examples"
GUIDE = EXAMPLES / "guide"
JOB = EXAMPLES / "sunroom.toml"
DPI = 110.0


def pictures() -> dict[Path, bytes]:
    """Each picture by its file."""
    job = read_job(JOB)
    account = Account(job, make_plan(job).plan)
    return {
        EXAMPLES / "sunroom-roll.png": drawn(roll_map.draw_whole_roll(account)),
        GUIDE / "sunroom-wall.png": drawn(wall_view.draw_whole_wall(account)),
        GUIDE / "sunroom-card.png": drawn(next(iter(making_card.draw_cards(account)))),
    }


def drawn(drawing: Drawing) -> bytes:
    """A PNG of it."""
    (page,) = png_pages([drawing], DPI)
    assert page is not None
    return page


if __name__ == "__main__":
    for file, data in pictures().items():
        file.write_bytes(data)
