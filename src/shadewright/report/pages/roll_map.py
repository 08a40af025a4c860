"""The roll map: every piece of cloth to scale, with what is cut from it.

The roll runs to the right from its start; the near edge, from which positions across are measured,
is at the bottom. Long pieces go on in further rows. Everything is drawn in inches of paper, so that
a label's size and the room for it can be compared.
"""

from __future__ import annotations

from collections.abc import Iterator

from shadewright.cloth.plan import Plan
from shadewright.job.model import Job
from shadewright.measure import TICKS, Ticks
from shadewright.report.pages.drawing import (
    FAINT,
    INK,
    LEFT,
    PAGE_WIDTH,
    RIGHT,
    Drawing,
    blank,
    footed,
    text_width,
)
from shadewright.report.pages.roll_canvas import Canvas, fill_of, put_cloth
from shadewright.report.pages.roll_rows import (
    KEY_LINE,
    KEY_SIZE,
    TITLE,
    Row,
    height_of,
    key_of,
    label_of,
    pages_of,
    rows_of_pieces,
)
from shadewright.report.work.account import Account
from shadewright.report.work.lays import NumberedPanel
from shadewright.report.work.words import brief, clean


def draw_roll(account: Account, foot: str = "") -> Iterator[Drawing]:
    """The roll map as drawings of one printed page each; a new piece begins a new page.

    Args:
        foot: what stands below each page.
    """
    pages = [page for rows in rows_of_pieces(account) for page in pages_of(rows)]
    for number, page in enumerate(pages, 1):
        drawing = footed(height_of(page), foot)
        said = f"page {number} of {len(pages)}" if len(pages) > 1 else ""
        _put_rolls(drawing, account.job, account.plan, page, said)
        yield drawing


def draw_whole_roll(account: Account) -> Drawing:
    """The roll map as one tall picture."""
    rows = [row for rows in rows_of_pieces(account) for row in rows]
    drawing = blank(height_of(rows))
    _put_rolls(drawing, account.job, account.plan, rows)
    return drawing


def _put_rolls(drawing: Drawing, job: Job, plan: Plan, rows: list[Row], page: str = "") -> None:
    """Draw rows of the roll map over the whole of a page."""
    top = drawing.height - TITLE
    title = brief(f"Roll map: {clean(plan.job)}", 90)
    drawing.text(LEFT, top + 0.12, title, 10, bold=True)
    drawing.text(PAGE_WIDTH - RIGHT, top + 0.12, page, 8, ha="right", color=FAINT)
    for row in rows:
        _draw_row(drawing, job, plan, row, top)
        top -= row.height
    for i, line in enumerate(key_of(rows)):
        for x, entry in line:
            drawing.text(LEFT + x, top - KEY_LINE * (i + 0.4), entry, KEY_SIZE)


def _draw_row(drawing: Drawing, job: Job, plan: Plan, row: Row, top: float) -> None:
    if row.first:
        _caption(drawing, job, row, top)
    canvas = Canvas(drawing, job, plan, row, row.near_edge(top))
    put_cloth(canvas)
    _tape_marks(canvas)
    for numbered in row.panels:
        _label(canvas, numbered)
    _drops(canvas)


def _caption(drawing: Drawing, job: Job, row: Row, top: float) -> None:
    tape, lay, use = job.tape, row.lay, row.lay.use
    come = "to buy" if use.bought else "on hand"
    said = (
        f"{clean(use.cloth)}, {clean(use.piece)}: {tape.short(lay.cloth.width)} wide, "
        f"{tape.cloth(use.length) if use.bought else tape.long(use.length)} {come}, "
        f"{tape.long(use.used)} used"
    )
    drawing.text(LEFT, top - 0.1, said, 9)
    note = (
        "Start of the piece at left, near edge below.  "
        "Dashed: finished face, heavy line at its top.  Hatched: left over."
    )
    if lay.flaws:
        note += "  Crossed: flaws."
    if lay.done:
        note += "  Grey: cut already."
    if row.motifs is not None:
        note += f"  {': '.join(row.motifs.said)}."
    drawing.text(LEFT, top - 0.27, note, 7, color=FAINT)


def _tape_marks(canvas: Canvas) -> None:
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
            canvas.drawing.text(x, top + 0.15, said, 7, ha="center", color=FAINT)


def _drops(canvas: Canvas) -> None:
    """Heavy lines where the piece is cut across, and what each drop is called."""
    job, row = canvas.job, canvas.row
    far, near = row.lay.cloth.usable + row.lay.cloth.selvedge, -row.lay.cloth.selvedge
    tail = round(0.05 / row.scale)
    for lay in row.drops:
        drop = lay.drop
        for y in (drop.start, drop.end):
            canvas.line((near - tail, y), (far, y), color=INK, lw=1.4)
        length = job.tape.short(drop.end - drop.start)
        names = [f"drop {drop.number}: {length}", str(drop.number)]
        _below(canvas, drop.start, drop.end, names)
    use = row.lay.use
    if row.end > use.used >= row.start:
        _below(canvas, use.used, row.end, [f"left over: {job.tape.short(use.length - use.used)}"])


def _below(canvas: Canvas, start: Ticks, end: Ticks, names: list[str]) -> None:
    """Write under a stretch of the piece the first of its names that fits."""
    room = (end - start) * canvas.row.scale
    for name in names:
        if text_width(name, 7.5) <= room:
            middle = canvas.at(0, (start + end) // 2)[0]
            canvas.drawing.text(middle, canvas.bottom - 0.1, name, 7.5, ha="center")
            return


def _label(canvas: Canvas, numbered: NumberedPanel) -> None:
    panel, scale = numbered.panel, canvas.row.scale
    x, y = canvas.at(panel.x, panel.y)
    middle, centre = x + panel.along * scale / 2, y + panel.across * scale / 2
    label = label_of(canvas.row, numbered)
    pitch = 1.3 * label.size / 72
    fill = fill_of(canvas.row, numbered)
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
