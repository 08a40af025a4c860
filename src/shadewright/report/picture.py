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
from pathlib import Path
from textwrap import wrap
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
from shadewright.report.words import clean

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
_INK, _FAINT, _ROWS = "#222222", "#8a8a8a", "#b7653f"

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
    pages = [page for lay in lay_out(job, plan) for page in _pages(job, plan, _rows(lay))]
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
        rows = [row for lay in lay_out(job, plan) for row in _rows(lay)]
        figure = _figure(job, plan, rows, "")
        if suffix == ".svg":
            figure.savefig(path, format="svg", metadata={"Date": None})
        else:
            figure.savefig(path, format="png", dpi=_dpi(figure))
    return [path]


def png_bytes(figure: Figure, dpi: int = 200) -> bytes:
    """A figure as a PNG."""
    from io import BytesIO  # noqa: PLC0415

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
    settings = {
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


def _rows(lay: PieceLay) -> list[_Row]:
    """Cut a piece into rows at drop ends, as large as lets it fit one page, but never too small."""
    width = lay.cloth.width
    shown = min(lay.use.length, lay.use.used + width)
    scale = _WIDEST_CLOTH / width
    while True:
        # A drop is never drawn in two parts.
        scale = min([scale, *(_ROOM / d for d in _steps(lay))])
        rows = _split(lay, shown, scale)
        if _TITLE + sum(row.height for row in rows) <= PAGE_HEIGHT:
            return rows
        if scale * width <= _NARROWEST_CLOTH:
            return rows
        scale = max(scale * 0.96, _NARROWEST_CLOTH / width)


def _steps(lay: PieceLay) -> list[Ticks]:
    ends = [0, *(d.drop.end for d in lay.drops)]
    return [b - a for a, b in zip(ends, ends[1:], strict=False)]


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


def _pages(job: Job, plan: Plan, rows: list[_Row]) -> list[list[_Row]]:
    pages: list[list[_Row]] = [[]]
    for row in rows:
        if pages[-1] and _page_height(job, plan, [*pages[-1], row]) > PAGE_HEIGHT:
            pages.append([])
        pages[-1].append(row)
    return pages


def _page_height(job: Job, plan: Plan, rows: list[_Row]) -> float:
    return _TITLE + sum(row.height for row in rows) + _KEY_LINE * len(_key(job, plan, rows))


def _figure(job: Job, plan: Plan, rows: list[_Row], page: str) -> Figure:
    height = _page_height(job, plan, rows)
    figure = Figure(figsize=(PAGE_WIDTH, height))
    FigureCanvasAgg(figure)
    axes = figure.add_axes((0, 0, 1, 1))
    axes.set_axis_off()
    axes.set_xlim(0, PAGE_WIDTH)
    axes.set_ylim(0, height)
    top = height - _TITLE
    title = wrap(f"Roll map: {clean(plan.job)}", 90, max_lines=1, placeholder=" …")[0]
    _text(axes, _LEFT, top + 0.12, title, 10, weight="bold")
    _text(axes, PAGE_WIDTH - _RIGHT, top + 0.12, page, 7, ha="right", color=_FAINT)
    for row in rows:
        _draw_row(axes, job, plan, row, top)
        top -= row.height
    for i, line in enumerate(_key(job, plan, rows)):
        for x, entry in line:
            _text(axes, _LEFT + x, top - _KEY_LINE * (i + 0.4), entry, 6.5)
    return figure


def _draw_row(axes: Axes, job: Job, plan: Plan, row: _Row, top: float) -> None:
    cloth, scale = row.lay.cloth, row.scale
    if row.first:
        _caption(axes, job, plan, row.lay, top)
        top -= _CAPTION
    bottom = top - _TAPE - cloth.width * scale

    def at(x: Ticks, y: Ticks) -> tuple[float, float]:
        """Paper position of a point of the cloth (x across from the left usable edge)."""
        return _LEFT + (y - row.start) * scale, bottom + (x + cloth.selvedge) * scale

    def box(x: Ticks, y: Ticks, across: float, along: float, **look: object) -> None:
        axes.add_patch(Rectangle(at(x, y), along * scale, across * scale, **look))  # type: ignore[arg-type]

    long = row.end - row.start
    box(0, row.start, cloth.usable, long, fc="white", ec="#c4c4c4", hatch="////", lw=0)
    for edge in (-cloth.selvedge, cloth.usable):
        if cloth.selvedge:
            box(edge, row.start, cloth.selvedge, long, fc=_SELVEDGE, ec="none")
    _tape_marks(axes, job, row, bottom + cloth.width * scale)
    for numbered in row.panels:
        panel = numbered.panel
        fill = _FACE if panel.part == "face" else _LINING
        box(panel.x, panel.y, panel.across, panel.along, fc=fill, ec=_INK, lw=0.7)
    _motif_rows(axes, job, plan, row, bottom)
    for numbered in row.panels:
        _finished(axes, job, plan, row, numbered, at)
        _label(axes, job, plan, row, numbered, at)
    box(-cloth.selvedge, row.start, cloth.width, long, fill=False, ec=_INK, lw=0.9)
    for drop in row.lay.drops:
        if not row.start <= drop.drop.start < row.end:
            continue
        for y in (drop.drop.start, drop.drop.end):
            x0, y0 = at(-cloth.selvedge, y)
            axes.plot([x0, x0], [y0 - 0.05, y0 + cloth.width * scale], color=_INK, lw=1.4)
        middle = at(0, (drop.drop.start + drop.drop.end) // 2)[0]
        length = job.tape.short(drop.drop.end - drop.drop.start)
        room = (drop.drop.end - drop.drop.start) * scale
        words = [f"drop {drop.drop.number}: {length}", str(drop.drop.number)]
        said = next((w for w in words if _width(w, 6.5) <= room), words[-1])
        _text(axes, middle, bottom - 0.1, said, 6.5, ha="center")
    after = row.lay.use.length - row.lay.use.used
    if after and row.end > row.lay.use.used >= row.start:
        room = (row.end - row.lay.use.used) * scale
        said = f"left over: {job.tape.short(after)}"
        if _width(said, 6.5) <= room:
            middle = at(0, (row.lay.use.used + row.end) // 2)[0]
            _text(axes, middle, bottom - 0.1, said, 6.5, ha="center")


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
        "Start of the piece at left, near edge below.  Dashed: finished face, heavy line at its top.  "
        "Hatched: left over."
    )
    if _row_phase(job, plan, lay) is not None:
        note += "  Faint lines: the same place of the motif again."
    _text(axes, _LEFT, top - 0.27, note, 6.5, color=_FAINT)


def _tape_marks(axes: Axes, job: Job, row: _Row, top: float) -> None:
    """Marks each foot and named yards, or each 10 cm and named metres."""
    small, big = (TICKS["cm"] * 10, TICKS["m"]) if job.metric else (TICKS["ft"], TICKS["yd"])
    if small * row.scale < 0.04:
        small = big
    unit = job.tape.cloth_unit
    for mark in range(-(-row.start // small), row.end // small + 1):
        y = mark * small
        x = _LEFT + (y - row.start) * row.scale
        main = y % big == 0
        axes.plot([x, x], [top, top + (0.09 if main else 0.05)], color=_INK, lw=0.6)
        if main and big * row.scale > 0.3:
            _text(axes, x, top + 0.15, f"{y // big} {unit}", 6, ha="center", color=_FAINT)


def _finished(axes: Axes, job: Job, plan: Plan, row: _Row, numbered: Numbered, at: _At) -> None:
    """Dash the finished face inside a panel, its top heavy."""
    panel, cloth = numbered.panel, row.lay.cloth
    shade = _shade(plan, numbered)
    shrink = cloth.shrink_across if panel.railroaded else cloth.shrink_down
    length = round(shade.finished_length / (1 - shrink))
    if panel.railroaded:
        x, y = panel.x + panel.hem_top, panel.y + panel.hem_left
        across, along = length, panel.along - 2 * panel.hem_left
        top = [at(x, y), at(x, y + along)]
    else:
        x, y = panel.x + panel.hem_left, panel.y + panel.hem_top
        across, along = panel.across - 2 * panel.hem_left, length
        top = [at(x, y), at(x + across, y)]
    axes.add_patch(
        Rectangle(
            at(x, y),
            along * row.scale,
            across * row.scale,
            fill=False,
            ec=_FAINT,
            lw=0.6,
            linestyle=(0, (4, 3)),
        )
    )
    axes.plot([p[0] for p in top], [p[1] for p in top], color=_INK, lw=1.3)


def _label(axes: Axes, job: Job, plan: Plan, row: _Row, numbered: Numbered, at: _At) -> None:
    panel = numbered.panel
    x, y = at(panel.x, panel.y)
    middle, centre = x + panel.along * row.scale / 2, y + panel.across * row.scale / 2
    lines, size = _fitting(job, plan, row, numbered) or ([str(numbered.number)], 7.0)
    pitch = 1.3 * size / 72
    for i, line in enumerate(lines):
        up = centre + pitch * ((len(lines) - 1) / 2 - i)
        weight = "bold" if i == 0 else "normal"
        _text(axes, middle, up, line, size, ha="center", weight=weight)


def _fitting(
    job: Job, plan: Plan, row: _Row, numbered: Numbered
) -> tuple[list[str], float] | None:
    """The panel's full label in the largest size that fits it; None if it must go in the key."""
    panel = numbered.panel
    name, size = _called(numbered), _cut_size(job, numbered)
    high, wide = panel.across * row.scale - 0.08, panel.along * row.scale - 0.12
    for points in (8.0, 7.0, 6.0):
        for lines in (
            [str(numbered.number), name, size],
            [f"{numbered.number}   {name}", size],
            [f"{numbered.number}   {name}   {size}"],
        ):
            tall = len(lines) * 1.3 * points / 72
            if tall <= high and max(_width(line, points, bold=True) for line in lines) <= wide:
                return lines, points
    return None


def _called(numbered: Numbered) -> str:
    lining = " lining" if numbered.panel.part == "lining" else ""
    return clean(numbered.panel.shade) + lining


def _cut_size(job: Job, numbered: Numbered) -> str:
    """Width by length of the shade's panel, whichever way it lies."""
    panel = numbered.panel
    sides = (panel.along, panel.across) if panel.railroaded else (panel.across, panel.along)
    return " × ".join(job.tape.short(side) for side in sides)


def _key(job: Job, plan: Plan, rows: list[_Row]) -> list[list[tuple[float, str]]]:
    """Lines of the key to panels too small for their labels: each entry with its place."""
    entries = [
        wrap(f"{p.number}   {_called(p)}, {_cut_size(job, p)}", 130, max_lines=1)[0]
        for row in rows
        for p in row.panels
        if _fitting(job, plan, row, p) is None
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


def _motif_rows(axes: Axes, job: Job, plan: Plan, row: _Row, bottom: float) -> None:
    found, cloth = _row_phase(job, plan, row.lay), row.lay.cloth
    spacing = cloth.row_spacing
    if found is None or spacing is None or spacing * row.scale < 0.06:
        return
    across, phase = found
    look = {"color": _ROWS, "lw": 0.5, "alpha": 0.55}
    right = _LEFT + (row.end - row.start) * row.scale
    low, high = (0, cloth.usable) if across else (row.start, row.end)
    first = low + (phase - low) % spacing
    for at in range(first, high + 1, spacing):
        if across:
            y = bottom + (at + cloth.selvedge) * row.scale
            axes.plot([_LEFT, right], [y, y], **look)  # type: ignore[arg-type]
        else:
            x = _LEFT + (at - row.start) * row.scale
            edge = bottom + cloth.selvedge * row.scale
            axes.plot([x, x], [edge, edge + cloth.usable * row.scale], **look)  # type: ignore[arg-type]


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
        family="DejaVu Sans",
        parse_math=False,
    )
