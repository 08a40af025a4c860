"""One picture file: the roll map, the wall view and the making cards."""

from __future__ import annotations

from pathlib import Path

from matplotlib.backends.backend_pdf import PdfPages

from shadewright.cloth.plan import Plan
from shadewright.job.model import Job
from shadewright.report import making_card, roll_map, wall_view
from shadewright.report.drawing import blank, dpi_of, plain_drawing
from shadewright.report.makings import cards


def save_pictures(path: Path, job: Job, plan: Plan) -> None:
    """Write the roll map, the wall view and the cards: a PDF of pages, or one tall SVG or PNG.

    The same plan gives the same bytes.

    Raises:
        ValueError: the suffix is none of .svg, .pdf and .png.
        OSError: the file cannot be written.
    """
    suffix = path.suffix.lower()
    if suffix not in (".svg", ".pdf", ".png"):
        raise ValueError(f"{path.name}: a picture ends in .svg, .pdf or .png")
    with plain_drawing():
        if suffix == ".pdf":
            with PdfPages(path, metadata={"CreationDate": None}) as pdf:
                for page in (
                    *roll_map.draw_roll(job, plan),
                    *wall_view.draw_wall(job, plan),
                    *making_card.draw_cards(job, plan),
                ):
                    pdf.savefig(page)
            return
        made = cards(job, plan)
        rolls, wall = roll_map.all_rows(job, plan), wall_view.all_rows(job, plan)
        last = making_card.CARD_HEIGHT * len(made)
        below = wall_view.height_of(wall) + last
        height = roll_map.height_of(job, rolls) + below
        figure, axes = blank(height)
        roll_map.put_rolls(axes, job, plan, rolls, height)
        wall_view.put_wall(axes, plan, wall, below)
        for i, card in enumerate(made):
            making_card.put_card(axes, job, card, last - i * making_card.CARD_HEIGHT)
        if suffix == ".svg":
            figure.savefig(path, format="svg", metadata={"Date": None})
        else:
            figure.savefig(path, format="png", dpi=dpi_of(figure))
