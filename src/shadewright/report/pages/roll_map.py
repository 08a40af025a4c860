"""The roll map: every piece of cloth to scale, with what is cut from it.

The roll runs to the right from its start; the near edge, from which positions across are measured,
is at the bottom. Long pieces go on in further rows. Everything is drawn in inches of paper, so that
a label's size and the room for it can be compared.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import pairwise
from typing import Any

from shadewright.cloth import lattice
from shadewright.cloth.lattice import Points
from shadewright.cloth.plan import Plan
from shadewright.cloth.printed import a_motif, anchored, is_banded, is_striped, is_tied
from shadewright.job.model import Job
from shadewright.measure import TICKS, Tape, Ticks
from shadewright.report.pages.drawing import (
    FACE,
    FAINT,
    INK,
    LEFT,
    LINING,
    MOTIF,
    PAGE_HEIGHT,
    PAGE_WIDTH,
    RIGHT,
    ROOM,
    SELVEDGE,
    Drawing,
    blank,
    text_width,
)
from shadewright.report.work.account import Account
from shadewright.report.work.lays import NumberedPanel, PieceLay
from shadewright.report.work.words import brief, clean, cut_size

_TITLE, _CAPTION, _TAPE, _FOOT, _GAP = 0.3, 0.42, 0.24, 0.18, 0.14
_KEY_LINE = 0.14
_WIDEST_CLOTH, _NARROWEST_CLOTH = 2.6, 1.3
"""How wide a cloth may be drawn, in inches of paper."""


@dataclass(frozen=True)
class Row:
    """One row of a piece: from `start` to `end` along it, at `scale` inches of paper a tick.

    Attributes:
        motifs: of the whole piece.
    """

    tape: Tape
    lay: PieceLay
    start: Ticks
    end: Ticks
    scale: float
    motifs: _MotifRows | None = None

    @property
    def first(self) -> bool:
        return self.start == 0

    @property
    def height(self) -> float:
        caption = _CAPTION if self.first else 0
        return caption + _TAPE + self.lay.cloth.width * self.scale + _FOOT + _GAP

    @cached_property
    def panels(self) -> tuple[NumberedPanel, ...]:
        drops = (d for d in self.lay.drops if self.start <= d.drop.start < self.end)
        return tuple(panel for drop in drops for panel in drop.panels)

    @cached_property
    def key(self) -> tuple[str, ...]:
        """What the key to this row tells: panels too small for their labels."""
        return tuple(
            brief(f"{p.number}   {p.called}, {cut_size(self.tape, p.panel)}", 130)
            for p in self.panels
            if not _fitting(self, p).full
        )


def draw_roll(account: Account) -> list[Drawing]:
    """The roll map as drawings of one printed page each; a new piece begins a new page."""
    pages = [page for rows in _pieces(account) for page in _pages(rows)]
    return [
        _drawing(account, page, f"page {i} of {len(pages)}" if len(pages) > 1 else "")
        for i, page in enumerate(pages, 1)
    ]


def all_rows(account: Account) -> list[Row]:
    """The rows of all pieces, for one tall picture."""
    return [row for rows in _pieces(account) for row in rows]


def _pieces(account: Account) -> Iterator[list[Row]]:
    """The rows of each piece."""
    for lay in account.lays:
        motifs = _rows_of_motifs(account.job, account.plan, lay)
        yield [replace(row, motifs=motifs) for row in _rows(account.job, lay)]


def _rows(job: Job, lay: PieceLay) -> list[Row]:
    """Cut a piece into rows at drop ends: on one page if that is legible, as large as it goes.

    A fifth of the size is given up gladly where that saves a row.
    """
    width = lay.cloth.width
    shown = min(lay.use.length, lay.use.used + width)
    # A drop is never drawn in two parts.
    most = min([_WIDEST_CLOTH / width, *(ROOM / length for length in _steps(lay))])
    least = min(_NARROWEST_CLOTH / width, most)
    best = _split(job.tape, lay, shown, least)
    if height_of(best) > PAGE_HEIGHT:
        return best
    for i in range(24):
        rows = _split(job.tape, lay, shown, most * (least / most) ** (i / 24))
        if height_of(rows) <= PAGE_HEIGHT and _worth(rows) > _worth(best):
            best = rows
    return best


def _worth(rows: list[Row]) -> float:
    return rows[0].scale * 0.8 ** len(rows)


def _steps(lay: PieceLay) -> list[Ticks]:
    ends = [0, *(d.drop.end for d in lay.drops)]
    return [b - a for a, b in pairwise(ends)]


def _split(tape: Tape, lay: PieceLay, shown: Ticks, scale: float) -> list[Row]:
    longest = int(ROOM / scale)
    rows = []
    start = end = 0
    for drop in lay.drops:
        if drop.drop.end - start > longest and end > start:
            rows.append(Row(tape, lay, start, end, scale))
            start = end
        end = drop.drop.end
    return [*rows, Row(tape, lay, start, min(shown, max(start + longest, end)), scale)]


def _pages(rows: list[Row]) -> list[list[Row]]:
    pages: list[list[Row]] = [[]]
    for row in rows:
        if pages[-1] and height_of([*pages[-1], row]) > PAGE_HEIGHT:
            pages.append([])
        pages[-1].append(row)
    return pages


def height_of(rows: list[Row]) -> float:
    """Inches of paper that these rows take with their title and key."""
    return _TITLE + sum(row.height for row in rows) + _KEY_LINE * len(_key(rows))


def _drawing(account: Account, rows: list[Row], page: str) -> Drawing:
    height = height_of(rows)
    drawing = blank(height)
    put_rolls(drawing, account.job, account.plan, rows, height, page)
    return drawing


def put_rolls(  # noqa: PLR0917
    drawing: Drawing, job: Job, plan: Plan, rows: list[Row], top: float, page: str = ""
) -> None:
    """Draw rows of the roll map below a height of the page."""
    top -= _TITLE
    title = brief(f"Roll map: {clean(plan.job)}", 90)
    drawing.text(LEFT, top + 0.12, title, 10, bold=True)
    drawing.text(PAGE_WIDTH - RIGHT, top + 0.12, page, 7, ha="right", color=FAINT)
    for row in rows:
        _draw_row(drawing, job, plan, row, top)
        top -= row.height
    for i, line in enumerate(_key(rows)):
        for x, entry in line:
            drawing.text(LEFT + x, top - _KEY_LINE * (i + 0.4), entry, 6.5)


@dataclass(frozen=True)
class _Canvas:
    """A row of a piece on paper; `bottom` is the height of the cloth's near edge."""

    drawing: Drawing
    job: Job
    plan: Plan
    row: Row
    bottom: float

    def at(self, x: Ticks, y: Ticks) -> tuple[float, float]:
        """Paper position of a point of the cloth: x across from the left usable edge."""
        across = (x + self.row.lay.cloth.selvedge) * self.row.scale
        return LEFT + (y - self.row.start) * self.row.scale, self.bottom + across

    def box(self, x: Ticks, y: Ticks, across: Ticks, along: Ticks, **look: Any) -> None:
        """A rectangle of the cloth."""
        scale = self.row.scale
        self.drawing.rectangle(self.at(x, y), along * scale, across * scale, **look)

    def line(self, start: tuple[Ticks, Ticks], end: tuple[Ticks, Ticks], **look: Any) -> None:
        """A line between two points of the cloth."""
        self.drawing.line(self.at(*start), self.at(*end), **look)


def _draw_row(drawing: Drawing, job: Job, plan: Plan, row: Row, top: float) -> None:
    cloth = row.lay.cloth
    if row.first:
        _caption(drawing, job, row, top)
        top -= _CAPTION
    canvas = _Canvas(drawing, job, plan, row, top - _TAPE - cloth.width * row.scale)
    long = row.end - row.start
    canvas.box(0, row.start, cloth.usable, long, fill="white", edge="#c4c4c4", hatch="rising")
    for edge in (-cloth.selvedge, cloth.usable):
        if cloth.selvedge:
            canvas.box(edge, row.start, cloth.selvedge, long, fill=SELVEDGE)
    _tape_marks(canvas)
    for numbered in row.panels:
        panel = numbered.panel
        fill = FACE if panel.part == "face" else LINING
        canvas.box(panel.x, panel.y, panel.across, panel.along, fill=fill, lw=0.7)
    _motif_rows(canvas)
    _flaws(canvas)
    for numbered in row.panels:
        _finished(canvas, numbered)
        _label(canvas, numbered)
    canvas.box(-cloth.selvedge, row.start, cloth.width, long, lw=0.9)
    _drops(canvas)


def _caption(drawing: Drawing, job: Job, row: Row, top: float) -> None:
    tape, lay, use = job.tape, row.lay, row.lay.use
    come = "to buy" if use.bought else "on hand"
    said = (
        f"{clean(use.cloth)}, {clean(use.piece)}: {tape.short(lay.cloth.width)} wide, "
        f"{tape.cloth(use.length) if use.bought else tape.long(use.length)} {come}, "
        f"{tape.long(use.used)} used"
    )
    drawing.text(LEFT, top - 0.1, said, 8.5)
    note = (
        "Start of the piece at left, near edge below.  "
        "Dashed: finished face, heavy line at its top.  Hatched: left over."
    )
    if lay.flaws:
        note += "  Crossed: flaws."
    if row.motifs is not None:
        bars = "Bars: stripes or bands, however wide these are."
        faint = "Faint lines: the same place of the motif again."
        note += f"  {bars if row.motifs.bars else faint}"
    drawing.text(LEFT, top - 0.27, note, 6.5, color=FAINT)


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
        canvas.drawing.line((x, top), (x, top + (0.09 if main else 0.05)), lw=0.6)
        if main and big * row.scale > 0.3:
            said = f"{y // big} {job.tape.cloth_unit}"
            canvas.drawing.text(x, top + 0.15, said, 6, ha="center", color=FAINT)


def _flaws(canvas: _Canvas) -> None:
    """Cross out the flaws of a piece on hand."""
    lay, row = canvas.row.lay, canvas.row
    for flaw in lay.flaws:
        start, end = max(flaw.start, row.start), min(flaw.end, row.end)
        if start >= end:
            continue
        left, right = -lay.cloth.selvedge, lay.cloth.usable + lay.cloth.selvedge
        if flaw.left is not None and flaw.right is not None:
            left, right = flaw.left - lay.cloth.selvedge, flaw.right - lay.cloth.selvedge
        look = {"edge": MOTIF, "hatch": "crossed", "lw": 0.8}
        canvas.box(left, start, right - left, end - start, **look)
        if (end - start) * row.scale > text_width("flaw", 5.5):
            x, y = canvas.at((left + right) // 2, (start + end) // 2)
            canvas.drawing.text(x, y, "flaw", 5.5, ha="center", color=MOTIF, behind="white")


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
            canvas.line((near - tail, y), (far, y), color=INK, lw=1.4)
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
        if text_width(name, 6.5) <= room:
            middle = canvas.at(0, (start + end) // 2)[0]
            canvas.drawing.text(middle, canvas.bottom - 0.1, name, 6.5, ha="center")
            return


def _finished(canvas: _Canvas, numbered: NumberedPanel) -> None:
    """Dash the finished face inside a panel, its top heavy."""
    panel, cloth = numbered.panel, canvas.row.lay.cloth
    shrink = cloth.shrink_across if panel.railroaded else cloth.shrink_down
    length = round(canvas.plan.shade(panel.shade).finished_length / (1 - shrink))
    if panel.railroaded:
        across, along = length, panel.along - 2 * panel.hem_left
        top, y = panel.x + panel.across - panel.hem_top, panel.y + panel.hem_left
        x = top - length
        start, end = (top, y), (top, y + along)
    else:
        x, y = panel.x + panel.hem_left, panel.y + panel.hem_top
        across, along = panel.across - 2 * panel.hem_left, length
        start, end = (x, y), (x + across, y)
    dashed = {"edge": FAINT, "lw": 0.6, "dashes": (4, 3)}
    canvas.box(x, y, across, along, **dashed)
    canvas.line(start, end, color=INK, lw=1.3)


@dataclass(frozen=True)
class _Label:
    """What is written on a panel; `full` where it tells all, so that the key need not."""

    lines: list[str]
    size: float
    upright: bool
    full: bool


def _label(canvas: _Canvas, numbered: NumberedPanel) -> None:
    panel, scale = numbered.panel, canvas.row.scale
    x, y = canvas.at(panel.x, panel.y)
    middle, centre = x + panel.along * scale / 2, y + panel.across * scale / 2
    label = _fitting(canvas.row, numbered)
    pitch = 1.3 * label.size / 72
    fill = FACE if panel.part == "face" else LINING
    for i, line in enumerate(label.lines):
        off = pitch * ((len(label.lines) - 1) / 2 - i)
        place = (middle - off, centre) if label.upright else (middle, centre + off)
        canvas.drawing.text(
            *place,
            line,
            label.size,
            ha="center",
            bold=i == 0,
            upright=label.upright,
            behind=fill,
        )


def _fitting(row: Row, numbered: NumberedPanel) -> _Label:
    """The panel's label in the largest size that fits, along the roll or across it."""
    panel = numbered.panel
    name, size = numbered.called, cut_size(row.tape, panel)
    high, wide = panel.across * row.scale - 0.08, panel.along * row.scale - 0.12
    for points in (8.0, 7.0, 6.0):
        for lines in (
            [str(numbered.number), name, size],
            [f"{numbered.number}   {name}", size],
            [f"{numbered.number}   {name}   {size}"],
        ):
            deep = len(lines) * 1.3 * points / 72
            long = max(text_width(line, points, bold=True) for line in lines)
            if deep <= high and long <= wide:
                return _Label(lines, points, upright=False, full=True)
            if deep <= wide and long <= high:
                return _Label(lines, points, upright=True, full=True)
    short = [str(numbered.number), size]
    fits = high >= 2 * 1.3 * 7.0 / 72 and wide >= text_width(size, 7.0)
    return _Label(short if fits else short[:1], 7.0, upright=False, full=False)


def _key(rows: list[Row]) -> list[list[tuple[float, str]]]:
    """Lines of the key to panels too small for their labels: each entry with its place."""
    entries = [entry for row in rows for entry in row.key]
    if not entries:
        return []
    column = max(text_width(entry, 6.5) for entry in entries) + 0.2
    columns = max(1, int(ROOM / column))
    return [
        [(i * column, entry) for i, entry in enumerate(entries[at : at + columns])]
        for at in range(0, len(entries), columns)
    ]


@dataclass(frozen=True)
class _MotifRows:
    """Where the cloth's motif rows lie.

    Attributes:
        turned: whether they run along the piece.
        first: one place that carries the same place of the motif as the panels' anchors.
        heights: of the rows from there on; they come again after `every`.
        bars: whether they are stripes or bands, and drawn as such: a third of `every` wide.
    """

    turned: bool
    first: Ticks
    heights: tuple[Ticks, ...]
    every: Ticks
    bars: bool = False

    def within(self, low: Ticks, high: Ticks) -> list[Ticks]:
        """All rows from one place to another."""
        return [
            at
            for height in self.heights
            for at in range(low + (self.first + height - low) % self.every, high + 1, self.every)
        ]


def _rows_of_motifs(job: Job, plan: Plan, lay: PieceLay) -> _MotifRows | None:
    """The rows of a piece; of stripes and bands these themselves.

    A piece whose motifs are known to bear on where faces lie shows the rows themselves; otherwise
    the heights that carry the same place of the motif as the panels' anchors. None for cloth cut
    plain, and where the anchors do not share one set of rows.
    """
    cloth, level = lay.cloth, lattice.level(lay.cloth)
    faces = [p.panel for p in lay.panels if p.panel.part == "face"]
    if job.strategy(cloth) == "plain" or not faces:
        return None
    turned = cloth.runs == "railroaded"
    if is_striped(cloth) or is_banded(cloth):
        every = cloth.repeat_across or cloth.repeat_down or 1
        across = turned == is_banded(cloth)
        first = cloth.motif_at if across else lay.first_motif
        return _MotifRows(across, first, (0,), every, bars=True)
    if level is None:
        return None
    if is_tied(job, cloth) or (not turned and lay.use.bought and cloth.start != "any"):
        start: Ticks | None = a_motif(cloth, turned)[1] + (0 if turned else lay.first_motif)
    else:
        anchors = [anchored(job, face, plan.shade(face.shade))[1] for face in faces]
        start = Points(None, level.rows, heights=level.heights).start_of(anchors)
    if start is None:
        return None
    if not turned:
        return _MotifRows(turned, start, level.heights, level.rows)
    heights = tuple(-height % level.rows for height in level.heights)
    return _MotifRows(turned, cloth.usable - start, heights, level.rows)


def _motif_rows(canvas: _Canvas) -> None:
    row = canvas.row
    cloth = row.lay.cloth
    found = row.motifs
    if found is None or found.every * row.scale < 0.06 * len(found.heights):
        return
    low, high = (0, cloth.usable) if found.turned else (row.start, row.end)
    if found.bars:
        half = found.every // 6
        for at in found.within(low - half, high + half):
            near, far = max(at - half, low), min(at + half, high)
            place = (near, row.start) if found.turned else (0, near)
            along = row.end - row.start
            size = (far - near, along) if found.turned else (cloth.usable, far - near)
            canvas.box(*place, *size, fill=MOTIF, alpha=0.25)
        return
    look: dict[str, Any] = {"color": MOTIF, "lw": 0.5, "alpha": 0.55}
    for at in found.within(low, high):
        ends = ((at, row.start), (at, row.end)) if found.turned else ((0, at), (cloth.usable, at))
        canvas.line(*ends, **look)
