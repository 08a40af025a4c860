"""One picture file: the roll map and the wall view."""

from __future__ import annotations

from pathlib import Path

from matplotlib.backends.backend_pdf import PdfPages

from shadewright.cloth.plan import Plan
from shadewright.job.model import Job
from shadewright.report import roll_map, wall_view
from shadewright.report.drawing import blank, dpi_of, plain_drawing


def save_pictures(path: Path, job: Job, plan: Plan) -> None:
    """Write the roll map and the wall view: a PDF of pages, or one tall SVG or PNG.

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
                for page in (*roll_map.draw_roll(job, plan), *wall_view.draw_wall(job, plan)):
                    pdf.savefig(page)
            return
        rolls, wall = roll_map.all_rows(job, plan), wall_view.all_rows(job, plan)
        below = wall_view.height_of(wall)
        height = roll_map.height_of(job, rolls) + below
        figure, axes = blank(height)
        roll_map.put_rolls(axes, job, plan, rolls, height)
        wall_view.put_wall(axes, plan, wall, below)
        if suffix == ".svg":
            figure.savefig(path, format="svg", metadata={"Date": None})
        else:
            figure.savefig(path, format="png", dpi=dpi_of(figure))
