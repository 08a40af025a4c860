"""A drop to scale, for the card that tells how it is cut: the cloth as it lies on the table, its
start at the left hand and the near edge below."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from shadewright.cloth.plan import Plan
from shadewright.job.model import Job
from shadewright.measure import Ticks
from shadewright.report.pages.drawing import (
    FACE,
    FAINT,
    INK,
    LINING,
    POINTS,
    Drawing,
    printed_width,
    text_width,
)
from shadewright.report.pages.roll_canvas import Canvas, put_cloth
from shadewright.report.pages.roll_motifs import rows_of_motifs
from shadewright.report.pages.roll_rows import Row
from shadewright.report.work.alike import DropRun
from shadewright.report.work.lays import NumberedPanel
from shadewright.report.work.words import brief_name, cut_size

_SMALL, _LARGE = 10.0, 17.0
"""Points: nothing on paper for the workroom is smaller, and panels are called by large numbers."""

_LINE = 1.35 * _SMALL / POINTS
_ABOVE, _BELOW, _RIGHT = 0.06, 0.36, 0.08
_BETWEEN = 0.12
_NARROWEST, _TALLEST = 1.15, 1.8
"""Inches that the cloth is drawn wide."""
_BESIDE = 0.12
"""Inches that text on a panel keeps from its edges, both together."""


@dataclass(frozen=True)
class _Layout:
    """Where a drop is drawn, in inches: the room for figures at the left, and the scale a tick."""

    left: float
    scale: float
    ends: tuple[tuple[Ticks, Ticks], ...]


def is_long(run: DropRun) -> bool:
    """Whether a drop wants the whole width of the page."""
    drop = run.first.lay.drop
    return drop.end - drop.start > 2 * run.lay.cloth.width


def draw_drop(job: Job, plan: Plan, run: DropRun, wide: float) -> Drawing:
    """The first drop of a run, which stands for all of them; a very long one in several rows.

    Args:
        wide: of the picture, in inches.
    """
    place, cloth = _place(job, run, wide), run.lay.cloth
    each = _ABOVE + cloth.width * place.scale + _BETWEEN
    height = each * len(place.ends) - _BETWEEN + _BELOW
    drawing = Drawing(wide, height)
    motifs = rows_of_motifs(job, plan, run.lay)
    for i, (start, end) in enumerate(place.ends):
        row = Row(job.tape, run.lay, start, end, place.scale, (run.first.lay,), motifs)
        bottom = height - each * (i + 1) + _BETWEEN
        canvas = Canvas(drawing, job, plan, row, bottom, place.left, _SMALL)
        put_cloth(canvas)
        _cut_ends(canvas, run)
        for numbered in row.panels:
            _name(canvas, run, numbered)
        _figures_across(canvas, run)
        if i == len(place.ends) - 1:
            _length(canvas, run)
    return drawing


def _place(job: Job, run: DropRun, wide: float) -> _Layout:
    drop, cloth = run.first.lay.drop, run.lay.cloth
    figures = [job.tape.short(at) for at in _cuts_across(run)]
    left = 0.12 + max((text_width(figure, _SMALL) for figure in figures), default=0.0)
    room, long = wide - left - _RIGHT, drop.end - drop.start
    scale = min(room / long, _TALLEST / cloth.width)
    least = min(_NARROWEST / cloth.width, _TALLEST / cloth.width)
    if scale >= least:
        return _Layout(left, scale, ((drop.start, drop.end),))
    rows = -(-long // int(room / least))
    each = -(-long // rows)
    ends = tuple(
        (drop.start + i * each, min(drop.start + (i + 1) * each, drop.end)) for i in range(rows)
    )
    return _Layout(left, room / each, ends)


def _cuts_across(run: DropRun) -> list[Ticks]:
    """The lengthwise cuts, from the near edge."""
    return sorted({cut.at for cut in run.first.cuts if cut.kind == "lengthwise"})


def _cut_ends(canvas: Canvas, run: DropRun) -> None:
    """Heavy lines where the cloth is cut across."""
    cloth, drop = run.lay.cloth, run.first.lay.drop
    for y in (drop.start, drop.end):
        canvas.line((-cloth.selvedge, y), (cloth.usable + cloth.selvedge, y), color=INK, lw=1.6)


def _name(canvas: Canvas, run: DropRun, numbered: NumberedPanel) -> None:
    """Write on a panel what it is called and how large it is cut, as far as there is room."""
    panel, row = numbered.panel, canvas.row
    start, end = max(panel.y, row.start), min(panel.y + panel.along, row.end)
    # In a drop of several rows a panel is called by name where most of it lies.
    if 2 * (end - start) < panel.along:
        return
    x, y = canvas.at(panel.x, start)
    wide, high = (end - start) * row.scale, panel.across * row.scale
    lines = [(_called(run, numbered), _LARGE, True)]
    if not run.letters and len(run.drops) == 1:
        lines.append((numbered.called, _SMALL, False))
    size = cut_size(canvas.job.tape, panel)
    if printed_width(size, _SMALL) < wide - _BESIDE:
        lines.append((size, _SMALL, False))
    else:
        first, second = size.split(" × ")
        sides = f"{first} ×", second
        if max(printed_width(side, _SMALL) for side in sides) < wide - _BESIDE:
            lines += [(side, _SMALL, False) for side in sides]
    fitting = [
        line for line in lines if printed_width(line[0], line[1], bold=line[2]) < wide - _BESIDE
    ] or [(_called(run, numbered), _SMALL, True)]
    shown = fitting
    # Half a size alone would be taken for something else.
    while len(shown) > 1 and (_tall(shown) > high or shown[-1][0].endswith(" ×")):
        shown = shown[:-1]
    middle, centre = x + wide / 2, y + high / 2
    fill = FACE if panel.part == "face" else LINING
    heights = [1.3 * size / POINTS for _, size, _ in shown]
    at = centre + sum(heights) / 2
    for (said, points, bold), tall in zip(shown, heights, strict=True):
        at -= tall / 2
        text = brief_name(said, 60)
        canvas.drawing.text(middle, at, text, points, ha="center", bold=bold, behind=fill)
        at -= tall / 2


def _tall(lines: Sequence[tuple[str, float, bool]]) -> float:
    """Inches that some lines take, one below the other."""
    return sum(1.3 * size / POINTS for _, size, _ in lines)


def _called(run: DropRun, numbered: NumberedPanel) -> str:
    if run.letters:
        return run.letters[numbered.number]
    return str(numbered.number) if len(run.drops) == 1 else "panel"


def _figures_across(canvas: Canvas, run: DropRun) -> None:
    """Where it is cut lengthwise, from the near edge, at the left of the cloth."""
    job, scale = canvas.job, canvas.row.scale
    at = canvas.bottom - _LINE
    for cut in _cuts_across(run):
        y = canvas.bottom + cut * scale
        at = max(at + _LINE, y)
        x = canvas.left
        canvas.drawing.line((x - 0.08, at), (x, y), color=FAINT, lw=0.6)
        canvas.drawing.text(x - 0.1, at, job.tape.short(cut), _SMALL, ha="right")


def _length(canvas: Canvas, run: DropRun) -> None:
    """How long it is, below it."""
    drop, row = run.first.lay.drop, canvas.row
    y = canvas.bottom - 0.2
    start, end = canvas.at(0, row.start)[0], canvas.at(0, row.end)[0]
    said = canvas.job.tape.short(drop.end - drop.start)
    if (row.start, row.end) != (drop.start, drop.end):
        canvas.drawing.text(end, y, f"{said} in all", _SMALL, ha="right")
        return
    canvas.drawing.double_arrow((start, y), (end, y), FAINT, 0.6)
    canvas.drawing.text((start + end) / 2, y, said, _SMALL, ha="center", behind="white", bold=True)
