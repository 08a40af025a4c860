"""The pictures of a plan: the roll map, the wall view and the making cards."""

from __future__ import annotations

from collections.abc import Iterator

from shadewright.report.pages.making_card import draw_cards
from shadewright.report.pages.rendering import PicturePart, pdf, png, svg
from shadewright.report.pages.roll_map import draw_roll
from shadewright.report.pages.wall_view import draw_wall
from shadewright.report.work.account import Account
from shadewright.report.work.cautions import ON_EVERY_PAGE
from shadewright.report.work.words import brief_name


def pictures_of(account: Account, suffix: str) -> list[bytes]:
    """The pictures as files: one PDF with a bookmark for each part, or an SVG or PNG a page.

    The same plan gives the same bytes.

    Raises:
        ValueError: the suffix is none of .svg, .pdf and .png.
    """
    parts = list(_parts(account))
    drawings = [drawing for part in parts for drawing in part.drawings]
    match suffix.lower():
        case ".pdf":
            return [pdf(parts)]
        case ".svg":
            return [svg([drawing]).encode() for drawing in drawings]
        case ".png":
            return png(drawings)
        case _:
            raise ValueError(f"found {suffix}: a picture ends in .svg, .pdf or .png")


def _parts(account: Account) -> Iterator[PicturePart]:
    """Everything on paper of a printed page's size, with its bookmarks."""
    yield PicturePart("Roll map", 1, list(draw_roll(account, ON_EVERY_PAGE)))
    yield PicturePart("Wall view", 1, list(draw_wall(account, ON_EVERY_PAGE)))
    yield PicturePart("Making cards", 1, [])
    for card, drawing in zip(account.cards, draw_cards(account), strict=True):
        yield PicturePart(brief_name(card.called, 90), 2, [drawing])
