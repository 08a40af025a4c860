"""The wall view: every opening to scale as one stands before it, with the print it will show.

A lozenge with a stem stands for each motif, its stem up, and a bar for a stripe or a band. Where
they fall on a face is worked out from where its panel lies on the roll (`faces`), so the picture
shows the plan and not the wish: motifs level or not, on the centre lines or beside them, running on
behind the gaps or broken.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import groupby

from shadewright.cloth.plan import Plan
from shadewright.job.model import Cloth, Job, Opening
from shadewright.measure import Ticks
from shadewright.report.pages.drawing import (
    FACE,
    FAINT,
    LEFT,
    MOTIF,
    PAGE_HEIGHT,
    PAGE_WIDTH,
    RIGHT,
    ROOM,
    STRIPE,
    Drawing,
    Point,
    Tags,
    blank,
    footed,
    text_width,
)
from shadewright.report.pages.faces import Face, is_barred, marks, radius_of, starts
from shadewright.report.pages.roll_motifs import bars_show
from shadewright.report.work.account import Account
from shadewright.report.work.words import brief, clean, count, division, listed
from shadewright.trade.divisions import below_sill, top_above_head

_TITLE, _NOTE, _UNDER, _BETWEEN = 0.3, 0.22, 0.52, 0.35
_TALLEST = 2.3
"""How high an opening may be drawn, in inches of paper."""


@dataclass(frozen=True)
class HungOpening:
    """An opening with its shades, and which copies of it look like this.

    Attributes:
        above_head: how far the shades' tops hang above its head; below it, where less than 0.
        stands_for: for each face, the shades that it shows, by their numbers in the plan from 1.
    """

    opening: Opening
    above_head: Ticks
    called: str
    told: str
    faces: tuple[Face, ...]
    strategy: str
    head: str
    stands_for: tuple[str, ...]

    @property
    def below(self) -> Ticks:
        """How far shades reach below the opening; 0 where they do not."""
        return max(below_sill(self.opening), 0)


@dataclass(frozen=True)
class WallRow:
    """Openings side by side at `scale` inches of paper a tick; `heads` where heads differ."""

    hung: tuple[HungOpening, ...]
    scale: float
    heads: bool
    note: str

    @property
    def top(self) -> Ticks:
        return max(h.opening.head + max(h.above_head, 0) for h in self.hung)

    @property
    def height(self) -> float:
        low = min(h.opening.head - h.opening.height - h.below for h in self.hung)
        return (self.top - low) * self.scale + _UNDER + 0.15


def draw_wall(account: Account, foot: str = "") -> Iterator[Drawing]:
    """The wall view as drawings of one printed page each.

    Args:
        foot: what stands below each page.
    """
    pages: list[list[WallRow]] = [[]]
    for row in all_rows(account):
        if pages[-1] and height_of([*pages[-1], row]) > PAGE_HEIGHT:
            pages.append([])
        pages[-1].append(row)
    for i, rows in enumerate(pages, 1):
        drawing = footed(height_of(rows), foot)
        page = f"page {i} of {len(pages)}" if len(pages) > 1 else ""
        _put_wall(drawing, account.plan, rows, page)
        yield drawing


def draw_whole_wall(account: Account) -> Drawing:
    """The wall view as one tall picture."""
    rows = all_rows(account)
    drawing = blank(height_of(rows))
    _put_wall(drawing, account.plan, rows)
    return drawing


def height_of(rows: list[WallRow]) -> float:
    """Inches of paper that these rows take with their title."""
    return _TITLE + _NOTE + sum(row.height for row in rows)


def all_rows(account: Account) -> list[WallRow]:
    """Every opening, all at one scale, in rows as wide as the page."""
    job, plan = account.job, account.plan
    covered = {shade.opening for shade in plan.shades}
    openings = [opening for opening in job.openings if opening.name in covered]
    widest = max(opening.width + 2 * _beside(opening) for opening in openings)
    tallest = max(
        opening.height + max(top_above_head(job.make, opening), 0) + max(below_sill(opening), 0)
        for opening in openings
    )
    scale = min(ROOM / widest, _TALLEST / tallest)
    hung = list(_hung(account, scale))
    heads = len({h.opening.head for h in hung}) > 1
    note = _note(job, plan)
    rows: list[list[HungOpening]] = [[]]
    room = ROOM
    for each in hung:
        wide = _width(each, scale, heads)
        if rows[-1] and wide > room:
            rows.append([])
            room = ROOM
        rows[-1].append(each)
        room -= wide + _BETWEEN
    return [WallRow(tuple(row), scale, heads, note) for row in rows]


def _note(job: Job, plan: Plan) -> str:
    patterned = {piece.cloth for piece in plan.pieces if job.cloth(piece.cloth).patterned}
    if not patterned:
        return "To scale."
    barred = {name for name in patterned if is_barred(job.cloth(name))}
    said = "To scale."
    if patterned - barred:
        said += " Each lozenge is a motif, its stem up."
    if barred:
        shows = listed(list(dict.fromkeys(bars_show(job.cloth(name)) for name in barred)))
        said += f" Bars: {shows}."
    strategies = {_strategy(job, job.cloth(name)) for name in patterned}
    if patterned - barred and strategies & {"level", "centred", "continuous"}:
        said += " Dashed: a motif row."
    if strategies & {"centred", "continuous"}:
        said += " Dash and dot: the line that the print is centred on."
    return said


def _strategy(job: Job, cloth: Cloth) -> str:
    """How its faces are matched; of bands, nothing is centred."""
    strategy = job.strategy(cloth)
    return strategy if strategy == "plain" or cloth.repeat_across else "level"


def _hung(account: Account, scale: float) -> Iterator[HungOpening]:
    """Openings in the order of the job; copies that look alike together."""
    job, plan, begin = account.job, account.plan, starts(account.lays)
    faces = {p.shade: p for p in plan.panels if p.part == "face"}
    numbers = {shade.id: str(number) for number, shade in enumerate(plan.shades, 1)}
    for opening in job.openings:
        looks = []
        for copy in range(1, opening.copies + 1):
            shades = account.by_copy.get((opening.name, copy), [])
            if shades:
                shown = tuple(marks(job, plan, faces[shade.id], begin, scale) for shade in shades)
                look = [
                    (f.shade.left, f.shade.finished_width, f.marks, f.rows, f.middles)
                    for f in shown
                ]
                looks.append((look, copy, shown))
        looks.sort(key=lambda each: str(each[0]))
        grouped = [list(alike) for _, alike in groupby(looks, key=lambda each: each[0])]
        for alike in sorted(grouped, key=lambda these: these[0][1]):
            called = clean(opening.name)
            if len(grouped) > 1:
                called += f" ({', '.join(str(copy) for _, copy, _ in alike)})"
            elif opening.copies > 1:
                called += f" × {opening.copies}"
            shown = alike[0][2]
            told = division(job, [face.shade for face in shown])
            strategy = _strategy(job, job.cloth(opening.cloth))
            above = top_above_head(job.make, opening)
            every = zip(*(hung for _, _, hung in alike), strict=True)
            stands_for = tuple(" ".join(numbers[f.shade.id] for f in these) for these in every)
            head = job.tape.short(opening.head)
            yield HungOpening(opening, above, called, told, shown, strategy, head, stands_for)


def _beside(opening: Opening) -> Ticks:
    """How far an outside mount hangs beyond its opening at each side."""
    return opening.overlap if opening.mount == "outside" else 0


def _width(hung: HungOpening, scale: float, heads: bool) -> float:
    opening = hung.opening
    return max(
        (opening.width + 2 * _beside(opening)) * scale,
        text_width(hung.called, 8.5, bold=True),
        text_width(_below(hung), 7.5),
        text_width(_head(hung), 7.5) if heads else 0,
    )


def _below(hung: HungOpening) -> str:
    """What is said of an opening under its name, short enough to stand there."""
    faces = hung.faces
    return f"{count(len(faces), 'shade')}, {hung.told.split(', ', 1)[1].split(' wide')[0]} wide"


def _head(hung: HungOpening) -> str:
    return f"head {hung.head} above the common line"


def _put_wall(drawing: Drawing, plan: Plan, rows: list[WallRow], page: str = "") -> None:
    """Draw rows of the wall view over the whole of a page."""
    top = drawing.height - _TITLE
    title = brief(f"Wall view: {clean(plan.job)}", 90)
    drawing.text(LEFT, top + 0.12, title, 10, bold=True)
    drawing.text(PAGE_WIDTH - RIGHT, top + 0.12, page, 8, ha="right", color=FAINT)
    drawing.text(LEFT, top - 0.04, rows[0].note, 7, color=FAINT)
    top -= _NOTE
    for row in rows:
        left = LEFT
        for hung in row.hung:
            at = left + _beside(hung.opening) * row.scale
            head = top - (row.top - hung.opening.head) * row.scale
            _draw(drawing, hung, row, at, head)
            left += _width(hung, row.scale, row.heads) + _BETWEEN
        top -= row.height


def _draw(drawing: Drawing, hung: HungOpening, row: WallRow, left: float, head: float) -> None:
    """One opening with its left edge and its head at this place of the page."""
    opening, scale = hung.opening, row.scale
    bottom = head - opening.height * scale
    wide, high = opening.width * scale, opening.height * scale
    drawing.rectangle((left, bottom), wide, high, edge=FAINT, lw=0.8)
    upper = head + hung.above_head * scale
    for face, shades in zip(hung.faces, hung.stands_for, strict=True):
        tags = (("shade", shades),)
        _draw_face(drawing, face, scale, (left + face.shade.left * scale, upper), tags)
    _draw_lines(drawing, hung, scale, left, upper)
    bottom -= hung.below * scale
    drawing.text(left, bottom - 0.12, hung.called, 8.5, bold=True)
    drawing.text(left, bottom - 0.25, _below(hung), 7.5)
    if row.heads:
        drawing.text(left, bottom - 0.38, _head(hung), 7.5, color=FAINT)


def _draw_face(drawing: Drawing, face: Face, scale: float, corner: Point, tags: Tags) -> None:
    """A face with its upper left corner there."""
    left, top = corner
    wide, long = face.shade.finished_width * scale, face.shade.finished_length * scale
    cloth = drawing.rectangle((left, top - long), wide, long, fill=FACE, lw=0.9, tags=tags)
    radius = radius_of(face.reach, scale)
    if not radius:
        return
    if face.marks:
        motifs = [
            _lozenge(left + float(c) * scale, top - float(r) * scale, radius) for c, r in face.marks
        ]
        drawing.shapes(motifs, cloth, MOTIF, 0.5)
    if face.middles:
        drawing.shapes(_bars(face, scale, left, top), cloth, STRIPE, 0)
    for r in face.rows:
        y = top - float(r) * scale
        drawing.line((left, y), (left + wide, y), color=MOTIF, lw=0.5, alpha=0.7)


def _bars(face: Face, scale: float, left: float, top: float) -> Iterator[tuple[Point, ...]]:
    """Stripes or bands of a face; how wide they are nobody says, so a third of their repeat."""
    wide, long = face.shade.finished_width * scale, face.shade.finished_length * scale
    half = face.reach * scale / 3
    for middle in face.middles:
        at = float(middle) * scale
        if face.striped:
            low, high, lowest, highest = left + at - half, left + at + half, top - long, top
        else:
            low, high, lowest, highest = left, left + wide, top - at - half, top - at + half
        yield (low, lowest), (high, lowest), (high, highest), (low, highest), (low, lowest)


def _lozenge(x: float, y: float, radius: float) -> tuple[Point, ...]:
    """A motif: a lozenge around its centre, and a stem that shows which way is up."""
    half = radius * 0.6
    top = (x, y + radius)
    return top, (x + half, y), (x, y - radius), (x - half, y), top, (x, y + 1.7 * radius)


def _draw_lines(drawing: Drawing, hung: HungOpening, scale: float, left: float, top: float) -> None:
    """A motif row across the opening, and the lines that the print is centred on."""
    first, last = hung.faces[0].shade, hung.faces[-1].shade
    heights = [r for _, r in hung.faces[0].marks if 0 <= r <= first.finished_length]
    if hung.strategy != "plain" and heights:
        y = top - float(min(heights)) * scale
        ends = (first.left, last.left + last.finished_width)
        drawing.line(*((left + end * scale, y) for end in ends), lw=0.5, dashes=(4, 3))
    middles: list[float] = []
    if hung.strategy == "centred":
        middles = [f.shade.left + f.shade.finished_width / 2 for f in hung.faces]
    elif hung.strategy == "continuous":
        middles = [hung.opening.width / 2]
    for middle in middles:
        x = left + middle * scale
        # A little beyond the cloth, for it may lie in a gap.
        bottom = top - first.finished_length * scale
        drawing.line((x, bottom - 0.05), (x, top + 0.07), lw=0.5, dashes=(6, 2, 1, 2))
