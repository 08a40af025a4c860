"""The roll map: every piece of cloth to scale, with what is cut from it.

The roll runs to the right from its start; the near edge, from which positions across are measured,
is at the bottom. Long pieces go on in further rows. Everything is drawn in inches of paper, so that
a label's size and the room for it can be compared.
"""

from __future__ import annotations

import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from io import BytesIO
from itertools import pairwise
from pathlib import Path
from typing import Any
from unicodedata import east_asian_width

import matplotlib as mpl
from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.backends.backend_pdf import PdfPages
from matplotlib.figure import Figure
from matplotlib.patches import Rectangle

from shadewright.cloth.plan import Plan, Shade
from shadewright.job.model import Job
from shadewright.measure import TICKS, Ticks
from shadewright.report.cuts import Numbered, PieceLay, lay_out
from shadewright.report.words import brief, clean

PAGE_WIDTH = 10.0
PAGE_HEIGHT = 6.3
"""Inches of paper: what a landscape sheet of either common size leaves inside its margins."""

_LEFT, _RIGHT = 0.3, 0.15
_ROOM = PAGE_WIDTH - _LEFT - _RIGHT
_TITLE, _CAPTION, _TAPE, _FOOT, _GAP = 0.3, 0.42, 0.24, 0.18, 0.14
_KEY_LINE = 0.14
_WIDEST_CLOTH, _NARROWEST_CLOTH = 2.6, 1.3
"""How wide a cloth may be drawn, in inches of paper."""

_FACE, _LINING, _SELVEDGE = "#f4ead8", "#e3ebef", "#d5d5d5"
_INK, _FAINT, _ROWS = "#222222", "#6a6a6a", "#b7653f"

# DejaVu Sans, taken a little wide: a label judged to fit does fit.
_EM = 0.64


@dataclass(frozen=True)
class _Row:
    """One row of a piece: from `start` to `end` along it, at `scale` inches of paper a tick."""

    lay: PieceLay
    start: Ticks
    end: Ticks
    scale: float

    @property
    def first(self) -> bool:
        return self.start == 0

    @property
    def height(self) -> float:
        caption = _CAPTION if self.first else 0
        return caption + _TAPE + self.lay.cloth.width * self.scale + _FOOT + _GAP

    @property
    def panels(self) -> list[Numbered]:
        return [p for p in self.lay.panels if self.start <= p.panel.y < self.end]


def draw_roll(job: Job, plan: Plan) -> list[Figure]:
    """The roll map as figures of one printed page each; a new piece begins a new page."""
    pages = [page for lay in lay_out(job, plan) for page in _pages(job, _rows(job, lay))]
    return [
        _figure(job, plan, page, f"page {i} of {len(pages)}" if len(pages) > 1 else "")
        for i, page in enumerate(pages, 1)
    ]


def save_pictures(path: Path, job: Job, plan: Plan) -> list[Path]:
    """Write the roll map to one file: a PDF of pages, or one tall SVG or PNG.

    The same plan gives the same bytes.

    Raises:
        ValueError: the suffix is none of .svg, .pdf and .png.
        OSError: the file cannot be written.
    """
    suffix = path.suffix.lower()
    if suffix not in (".svg", ".pdf", ".png"):
        raise ValueError(f"{path.name}: a picture ends in .svg, .pdf or .png")
    with _plain_drawing():
        if suffix == ".pdf":
            with PdfPages(path, metadata={"CreationDate": None}) as pdf:
                for page in draw_roll(job, plan):
                    pdf.savefig(page)
            return [path]
        rows = [row for lay in lay_out(job, plan) for row in _rows(job, lay)]
        figure = _figure(job, plan, rows, "")
        if suffix == ".svg":
            figure.savefig(path, format="svg", metadata={"Date": None})
        else:
            figure.savefig(path, format="png", dpi=_dpi(figure))
    return [path]


def png_bytes(figure: Figure, dpi: int = 200) -> bytes:
    """A figure as a PNG."""
    held = BytesIO()
    with _plain_drawing():
        figure.savefig(held, format="png", dpi=dpi)
    return held.getvalue()


def _dpi(figure: Figure) -> float:
    """150 dots an inch, or what keeps a very tall picture within what a PNG canvas can hold."""
    return min(150.0, 60_000 / float(figure.get_size_inches()[1]))


@contextmanager
def _plain_drawing() -> Iterator[None]:
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


def _rows(job: Job, lay: PieceLay) -> list[_Row]:
    """Cut a piece into rows at drop ends: on one page if that is legible, as large as it goes.

    A fifth of the size is given up gladly where that saves a row.
    """
    width = lay.cloth.width
    shown = min(lay.use.length, lay.use.used + width)
    # A drop is never drawn in two parts.
    most = min([_WIDEST_CLOTH / width, *(_ROOM / length for length in _steps(lay))])
    least = min(_NARROWEST_CLOTH / width, most)
    best = _split(lay, shown, least)
    if _page_height(job, best) > PAGE_HEIGHT:
        return best
    for i in range(24):
        rows = _split(lay, shown, most * (least / most) ** (i / 24))
        if _page_height(job, rows) <= PAGE_HEIGHT and _worth(rows) > _worth(best):
            best = rows
    return best


def _worth(rows: list[_Row]) -> float:
    return rows[0].scale * 0.8 ** len(rows)


def _steps(lay: PieceLay) -> list[Ticks]:
    ends = [0, *(d.drop.end for d in lay.drops)]
    return [b - a for a, b in pairwise(ends)]


def _split(lay: PieceLay, shown: Ticks, scale: float) -> list[_Row]:
    longest = int(_ROOM / scale)
    rows = []
    start = end = 0
    for drop in lay.drops:
        if drop.drop.end - start > longest and end > start:
            rows.append(_Row(lay, start, end, scale))
            start = end
        end = drop.drop.end
    return [*rows, _Row(lay, start, min(shown, max(start + longest, end)), scale)]


def _pages(job: Job, rows: list[_Row]) -> list[list[_Row]]:
    pages: list[list[_Row]] = [[]]
    for row in rows:
        if pages[-1] and _page_height(job, [*pages[-1], row]) > PAGE_HEIGHT:
            pages.append([])
        pages[-1].append(row)
    return pages


def _page_height(job: Job, rows: list[_Row]) -> float:
    return _TITLE + sum(row.height for row in rows) + _KEY_LINE * len(_key(job, rows))


def _figure(job: Job, plan: Plan, rows: list[_Row], page: str) -> Figure:
    height = _page_height(job, rows)
    figure = Figure(figsize=(PAGE_WIDTH, height))
    FigureCanvasAgg(figure)
    axes = figure.add_axes((0, 0, 1, 1))
    axes.set_axis_off()
    axes.set_xlim(0, PAGE_WIDTH)
    axes.set_ylim(0, height)
    top = height - _TITLE
    title = brief(f"Roll map: {clean(plan.job)}", 90)
    _text(axes, _LEFT, top + 0.12, title, 10, weight="bold")
    _text(axes, PAGE_WIDTH - _RIGHT, top + 0.12, page, 7, ha="right", color=_FAINT)
    for row in rows:
        _draw_row(axes, job, plan, row, top)
        top -= row.height
    for i, line in enumerate(_key(job, rows)):
        for x, entry in line:
            _text(axes, _LEFT + x, top - _KEY_LINE * (i + 0.4), entry, 6.5)
    return figure


@dataclass(frozen=True)
class _Canvas:
    """A row of a piece on paper; `bottom` is the height of the cloth's near edge."""

    axes: Axes
    job: Job
    plan: Plan
    row: _Row
    bottom: float

    def at(self, x: Ticks, y: Ticks) -> tuple[float, float]:
        """Paper position of a point of the cloth: x across from the left usable edge."""
        across = (x + self.row.lay.cloth.selvedge) * self.row.scale
        return _LEFT + (y - self.row.start) * self.row.scale, self.bottom + across

    def box(self, x: Ticks, y: Ticks, across: Ticks, along: Ticks, **look: Any) -> None:
        """A rectangle of the cloth."""
        scale = self.row.scale
        self.axes.add_patch(Rectangle(self.at(x, y), along * scale, across * scale, **look))

    def line(self, start: tuple[Ticks, Ticks], end: tuple[Ticks, Ticks], **look: Any) -> None:
        """A line between two points of the cloth."""
        (x0, y0), (x1, y1) = self.at(*start), self.at(*end)
        self.axes.plot([x0, x1], [y0, y1], **look)


def _draw_row(axes: Axes, job: Job, plan: Plan, row: _Row, top: float) -> None:
    cloth = row.lay.cloth
    if row.first:
        _caption(axes, job, plan, row.lay, top)
        top -= _CAPTION
    canvas = _Canvas(axes, job, plan, row, top - _TAPE - cloth.width * row.scale)
    long = row.end - row.start
    canvas.box(0, row.start, cloth.usable, long, fc="white", ec="#c4c4c4", hatch="////", lw=0)
    for edge in (-cloth.selvedge, cloth.usable):
        if cloth.selvedge:
            canvas.box(edge, row.start, cloth.selvedge, long, fc=_SELVEDGE, ec="none")
    _tape_marks(canvas)
    for numbered in row.panels:
        panel = numbered.panel
        fill = _FACE if panel.part == "face" else _LINING
        canvas.box(panel.x, panel.y, panel.across, panel.along, fc=fill, ec=_INK, lw=0.7)
    _motif_rows(canvas)
    for numbered in row.panels:
        _finished(canvas, numbered)
        _label(canvas, numbered)
    canvas.box(-cloth.selvedge, row.start, cloth.width, long, fill=False, ec=_INK, lw=0.9)
    _drops(canvas)


def _caption(axes: Axes, job: Job, plan: Plan, lay: PieceLay, top: float) -> None:
    tape, use = job.tape, lay.use
    come = "to buy" if use.bought else "on hand"
    said = (
        f"{clean(use.cloth)}, {clean(use.piece)}: {tape.short(lay.cloth.width)} wide, "
        f"{tape.cloth(use.length) if use.bought else tape.long(use.length)} {come}, "
        f"{tape.long(use.used)} used"
    )
    _text(axes, _LEFT, top - 0.1, said, 8.5)
    note = (
        "Start of the piece at left, near edge below.  "
        "Dashed: finished face, heavy line at its top.  Hatched: left over."
    )
    if _row_phase(job, plan, lay) is not None:
        note += "  Faint lines: the same place of the motif again."
    _text(axes, _LEFT, top - 0.27, note, 6.5, color=_FAINT)


def _tape_marks(canvas: _Canvas) -> None:
    """Marks each foot and named yards, or each 10 cm and named metres."""
    job, row = canvas.job, canvas.row
    small, big = (TICKS["cm"] * 10, TICKS["m"]) if job.metric else (TICKS["ft"], TICKS["yd"])
    if small * row.scale < 0.04:
        small = big
    top = canvas.bottom + row.lay.cloth.width * row.scale
    for mark in range(-(-row.start // small), row.end // small + 1):
        y = mark * small
        x = canvas.at(0, y)[0]
        main = y % big == 0
        canvas.axes.plot([x, x], [top, top + (0.09 if main else 0.05)], color=_INK, lw=0.6)
        if main and big * row.scale > 0.3:
            said = f"{y // big} {job.tape.cloth_unit}"
            _text(canvas.axes, x, top + 0.15, said, 6, ha="center", color=_FAINT)


def _drops(canvas: _Canvas) -> None:
    """Heavy lines where the piece is cut across, and what each drop is called."""
    job, row = canvas.job, canvas.row
    far, near = row.lay.cloth.usable + row.lay.cloth.selvedge, -row.lay.cloth.selvedge
    tail = round(0.05 / row.scale)
    for lay in row.lay.drops:
        drop = lay.drop
        if not row.start <= drop.start < row.end:
            continue
        for y in (drop.start, drop.end):
            canvas.line((near - tail, y), (far, y), color=_INK, lw=1.4)
        length = job.tape.short(drop.end - drop.start)
        names = [f"drop {drop.number}: {length}", str(drop.number)]
        _below(canvas, drop.start, drop.end, names)
    use = row.lay.use
    if row.end > use.used >= row.start:
        _below(canvas, use.used, row.end, [f"left over: {job.tape.short(use.length - use.used)}"])


def _below(canvas: _Canvas, start: Ticks, end: Ticks, names: list[str]) -> None:
    """Write under a stretch of the piece the first of its names that fits."""
    room = (end - start) * canvas.row.scale
    for name in names:
        if _width(name, 6.5) <= room:
            middle = canvas.at(0, (start + end) // 2)[0]
            _text(canvas.axes, middle, canvas.bottom - 0.1, name, 6.5, ha="center")
            return


def _finished(canvas: _Canvas, numbered: Numbered) -> None:
    """Dash the finished face inside a panel, its top heavy."""
    panel, cloth = numbered.panel, canvas.row.lay.cloth
    shrink = cloth.shrink_across if panel.railroaded else cloth.shrink_down
    length = round(_shade(canvas.plan, numbered).finished_length / (1 - shrink))
    if panel.railroaded:
        x, y = panel.x + panel.hem_top, panel.y + panel.hem_left
        across, along = length, panel.along - 2 * panel.hem_left
        end = (x, y + along)
    else:
        x, y = panel.x + panel.hem_left, panel.y + panel.hem_top
        across, along = panel.across - 2 * panel.hem_left, length
        end = (x + across, y)
    dashed = {"fill": False, "ec": _FAINT, "lw": 0.6, "linestyle": (0, (4, 3))}
    canvas.box(x, y, across, along, **dashed)
    canvas.line((x, y), end, color=_INK, lw=1.3)


@dataclass(frozen=True)
class _Label:
    """What is written on a panel; `full` where it tells all, so that the key need not."""

    lines: list[str]
    size: float
    upright: bool
    full: bool


def _label(canvas: _Canvas, numbered: Numbered) -> None:
    panel, scale = numbered.panel, canvas.row.scale
    x, y = canvas.at(panel.x, panel.y)
    middle, centre = x + panel.along * scale / 2, y + panel.across * scale / 2
    label = _fitting(canvas.job, canvas.row, numbered)
    pitch = 1.3 * label.size / 72
    fill = _FACE if panel.part == "face" else _LINING
    for i, line in enumerate(label.lines):
        off = pitch * ((len(label.lines) - 1) / 2 - i)
        place = (middle - off, centre) if label.upright else (middle, centre + off)
        _text(
            canvas.axes,
            *place,
            line,
            label.size,
            ha="center",
            weight="bold" if i == 0 else "normal",
            upright=label.upright,
            behind=fill,
        )


def _fitting(job: Job, row: _Row, numbered: Numbered) -> _Label:
    """The panel's label in the largest size that fits, along the roll or across it."""
    panel = numbered.panel
    name, size = _called(numbered), _cut_size(job, numbered)
    high, wide = panel.across * row.scale - 0.08, panel.along * row.scale - 0.12
    for points in (8.0, 7.0, 6.0):
        for lines in (
            [str(numbered.number), name, size],
            [f"{numbered.number}   {name}", size],
            [f"{numbered.number}   {name}   {size}"],
        ):
            deep = len(lines) * 1.3 * points / 72
            long = max(_width(line, points, bold=True) for line in lines)
            if deep <= high and long <= wide:
                return _Label(lines, points, upright=False, full=True)
            if deep <= wide and long <= high:
                return _Label(lines, points, upright=True, full=True)
    short = [str(numbered.number), size]
    fits = high >= 2 * 1.3 * 7.0 / 72 and wide >= _width(size, 7.0)
    return _Label(short if fits else short[:1], 7.0, upright=False, full=False)


def _called(numbered: Numbered) -> str:
    lining = " lining" if numbered.panel.part == "lining" else ""
    return clean(numbered.panel.shade) + lining


def _cut_size(job: Job, numbered: Numbered) -> str:
    """Width by length of the shade's panel, whichever way it lies."""
    panel = numbered.panel
    sides = (panel.along, panel.across) if panel.railroaded else (panel.across, panel.along)
    return " × ".join(job.tape.short(side) for side in sides)


def _key(job: Job, rows: list[_Row]) -> list[list[tuple[float, str]]]:
    """Lines of the key to panels too small for their labels: each entry with its place."""
    entries = [
        brief(f"{p.number}   {_called(p)}, {_cut_size(job, p)}", 130)
        for row in rows
        for p in row.panels
        if not _fitting(job, row, p).full
    ]
    if not entries:
        return []
    column = max(_width(entry, 6.5) for entry in entries) + 0.2
    columns = max(1, int(_ROOM / column))
    return [
        [(i * column, entry) for i, entry in enumerate(entries[at : at + columns])]
        for at in range(0, len(entries), columns)
    ]


def _row_phase(job: Job, plan: Plan, lay: PieceLay) -> tuple[bool, Ticks] | None:
    """Where the cloth's motif rows lie: whether along x, and one of them.

    A piece whose start is known shows the rows themselves; otherwise the heights that carry the
    same place of the motif as the panels' anchors. None for plain cloth, and where the anchors do
    not share one phase.
    """
    spacing = lay.cloth.row_spacing
    faces = [p for p in lay.panels if p.panel.part == "face"]
    if spacing is None or job.strategy(lay.cloth) == "plain" or not faces:
        return None
    turned = faces[0].panel.railroaded
    if not turned and lay.use.bought and lay.cloth.start != "any":
        return False, (0 if lay.cloth.start == "motif" else lay.cloth.start)
    anchors = [_anchor(job, plan, lay, face) for face in faces]
    off = [(a - anchors[0] + spacing // 2) % spacing - spacing // 2 for a in anchors]
    return (turned, anchors[0]) if max(map(abs, off)) <= job.step // 2 else None


def _anchor(job: Job, plan: Plan, lay: PieceLay, face: Numbered) -> Ticks:
    panel, shade = face.panel, _shade(plan, face)
    top = (panel.x if panel.railroaded else panel.y) + panel.hem_top
    if job.match.anchor == "sill":
        shrink = lay.cloth.shrink_across if panel.railroaded else lay.cloth.shrink_down
        return top + round(shade.finished_length / (1 - shrink))
    if job.match.anchor == "wall":
        return top + next(o.head for o in job.openings if o.name == shade.opening)
    return top


def _motif_rows(canvas: _Canvas) -> None:
    row = canvas.row
    cloth = row.lay.cloth
    found, spacing = _row_phase(canvas.job, canvas.plan, row.lay), cloth.row_spacing
    if found is None or spacing is None or spacing * row.scale < 0.06:
        return
    turned, phase = found
    look = {"color": _ROWS, "lw": 0.5, "alpha": 0.55}
    low, high = (0, cloth.usable) if turned else (row.start, row.end)
    for at in range(low + (phase - low) % spacing, high + 1, spacing):
        if turned:
            canvas.line((at, row.start), (at, row.end), **look)
        else:
            canvas.line((0, at), (cloth.usable, at), **look)


def _shade(plan: Plan, numbered: Numbered) -> Shade:
    return next(s for s in plan.shades if s.id == numbered.panel.shade)


def _width(text: str, points: float, *, bold: bool = False) -> float:
    """About how wide a text prints, in inches of paper; never too little for Latin script."""
    ems = sum(1.05 if east_asian_width(c) in "WF" else _EM for c in text)
    return ems * points / 72 * (1.1 if bold else 1)


def _text(
    axes: Axes,
    x: float,
    y: float,
    text: str,
    size: float,
    *,
    ha: str = "left",
    color: str = _INK,
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
