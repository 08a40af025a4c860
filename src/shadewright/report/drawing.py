"""What every picture is drawn with: the paper, a few colours, and text that keeps to its room.

Everything is drawn in inches of paper, so that a label's size and the room for it can be compared.
"""

from __future__ import annotations

import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from io import BytesIO
from typing import Any
from unicodedata import east_asian_width

import matplotlib as mpl
from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure

PAGE_WIDTH = 10.0
PAGE_HEIGHT = 6.3
"""Inches of paper: what a landscape sheet of either common size leaves inside its margins."""

LEFT, RIGHT = 0.3, 0.15
ROOM = PAGE_WIDTH - LEFT - RIGHT
FACE, LINING, SELVEDGE = "#f4ead8", "#e3ebef", "#d5d5d5"
INK, FAINT, MOTIF = "#222222", "#6a6a6a", "#b7653f"

# DejaVu Sans, taken a little wide: a label judged to fit does fit.
EM = 0.64


def blank(height: float) -> tuple[Figure, Axes]:
    """A figure one page wide, and axes over all of it in inches from its lower left corner."""
    figure = Figure(figsize=(PAGE_WIDTH, height))
    FigureCanvasAgg(figure)
    axes = figure.add_axes((0, 0, 1, 1))
    axes.set_axis_off()
    axes.set_xlim(0, PAGE_WIDTH)
    axes.set_ylim(0, height)
    return figure, axes


def png_bytes(figure: Figure, dpi: int = 200) -> bytes:
    """A figure as a PNG."""
    held = BytesIO()
    with plain_drawing():
        figure.savefig(held, format="png", dpi=dpi)
    return held.getvalue()


def dpi_of(figure: Figure) -> float:
    """150 dots an inch, or what keeps a very tall picture within what a PNG canvas can hold."""
    return min(150.0, 60_000 / float(figure.get_size_inches()[1]))


@contextmanager
def plain_drawing() -> Iterator[None]:
    """Drawing that depends on the plan alone, and takes any script a job may use.

    A name may hold signs that matplotlib's own font lacks; they come out as boxes, and the number
    beside them still tells the panel.
    """
    settings: dict[Any, Any] = {
        "svg.hashsalt": "shadewright",
        "svg.fonttype": "path",
        "pdf.fonttype": 42,
        "hatch.linewidth": 0.4,
        "text.usetex": False,
        "path.simplify": False,
    }
    with mpl.rc_context(settings), warnings.catch_warnings():
        warnings.filterwarnings("ignore", message="Glyph .* missing from font")
        yield


def text_width(text: str, points: float, *, bold: bool = False) -> float:
    """About how wide a text prints, in inches of paper; never too little for Latin script."""
    ems = sum(1.05 if east_asian_width(c) in "WF" else EM for c in text)
    return ems * points / 72 * (1.1 if bold else 1)


def put_text(
    axes: Axes,
    x: float,
    y: float,
    text: str,
    size: float,
    *,
    ha: str = "left",
    color: str = INK,
    weight: str = "normal",
    upright: bool = False,
    behind: str | None = None,
) -> None:
    # A job's text is text: a dollar sign in a name starts no formula.
    axes.text(
        x,
        y,
        text,
        fontsize=size,
        ha=ha,
        va="center",
        color=color,
        weight=weight,
        rotation=90 if upright else 0,
        bbox={"fc": behind, "ec": "none", "pad": 0.6} if behind else None,
        family="DejaVu Sans",
        parse_math=False,
    )
