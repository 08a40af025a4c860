"""One picture file: the roll map, the wall view and the making cards."""

from __future__ import annotations

from pathlib import Path

from shadewright.report.pages import making_card, roll_map, wall_view
from shadewright.report.pages.drawing import Drawing
from shadewright.report.pages.rendering import pdf, png, svg
from shadewright.report.work.account import Account


def save_pictures(path: Path, account: Account) -> None:
    """Write the roll map, the wall view and the cards: a PDF of pages, or one tall SVG or PNG.

    The same plan gives the same bytes.

    Raises:
        ValueError: the suffix is none of .svg, .pdf and .png.
        OSError: the file cannot be written.
    """
    match path.suffix.lower():
        case ".pdf":
            held = pdf(_pages(account))
        case ".svg":
            held = svg(_parts(account)).encode()
        case ".png":
            held = png(_parts(account))
        case _:
            raise ValueError(f"{path.name}: a picture ends in .svg, .pdf or .png")
    path.write_bytes(held)


def _pages(account: Account) -> list[Drawing]:
    """Everything on paper of a printed page's size."""
    rolls, wall = roll_map.draw_roll(account), wall_view.draw_wall(account)
    return [*rolls, *wall, *making_card.draw_cards(account)]


def _parts(account: Account) -> list[Drawing]:
    """Everything for one tall picture: the roll and the wall are not broken into pages."""
    roll, wall = roll_map.draw_whole_roll(account), wall_view.draw_whole_wall(account)
    return [roll, wall, *making_card.draw_cards(account)]
