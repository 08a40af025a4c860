"""A making card: one shade from front and back, with all that is measured off on it.

Shades that are made alike share a card. Positions run from the left as one stands before the shade
in the room; on the back view, which is seen from the window, left and right change places.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from textwrap import wrap

from shadewright.job.model import Job
from shadewright.measure import Ticks
from shadewright.report.pages.drawing import (
    EM,
    FACE,
    FAINT,
    LEFT,
    LINING,
    MOTIF,
    PAGE_WIDTH,
    RIGHT,
    Drawing,
    Point,
    blank,
    text_width,
)
from shadewright.report.work.account import Account
from shadewright.report.work.hanging import CORD_RUN, LOWER_EYES, STARTER_HOLE, hung
from shadewright.report.work.makings import Card, cord_cuts, cord_names, hangs_when_up
from shadewright.report.work.words import at_least, brief, clean, count, cut_size
from shadewright.trade.making import CLEAT_HEIGHT, shank
from shadewright.trade.sizes import board_hanging_depth, rod_hanging_depth

CARD_HEIGHT = 6.1
_VIEW_WIDTH, _VIEW_HEIGHT = 2.3, 3.6
_TEXT_LEFT = 6.0
_WOOD, _ROD = "#d8c3a0", "#c9b08a"
_SMALL = 6.5


def draw_cards(account: Account) -> Iterator[Drawing]:
    """The cards as drawings of one printed page each."""
    for card in account.cards:
        drawing = blank(CARD_HEIGHT)
        put_card(drawing, account.job, card, CARD_HEIGHT)
        yield drawing


@dataclass(frozen=True)
class _View:
    """A shade drawn at `scale` inches of paper a tick, its top left corner at (left, top)."""

    card: Card
    left: float
    top: float
    scale: float
    back: bool

    @property
    def width(self) -> float:
        return self.card.shade.finished_width * self.scale

    @property
    def height(self) -> float:
        return self.card.shade.finished_length * self.scale

    def across(self, from_left: float) -> float:
        """Where on paper something is that lies so far from the shade's left edge."""
        x = from_left * self.scale
        return self.left + (self.width - x if self.back else x)

    def down(self, from_top: float) -> float:
        return self.top - from_top * self.scale


def put_card(drawing: Drawing, job: Job, card: Card, top: float) -> None:
    """Draw a card below `top`, in inches of paper."""
    title = brief(card.called, 95)
    drawing.text(LEFT, top - 0.16, title, 10, bold=True)
    shade, tape = card.shade, job.tape
    size = f"{tape.short(shade.finished_width)} wide and {tape.short(shade.finished_length)} long"
    said = f"{count(len(card.shades), 'shade')}, finished {size}, of {clean(shade.cloth)}"
    drawing.text(LEFT, top - 0.38, brief(said, 110), 7, color=FAINT)
    scale = min(_VIEW_WIDTH / shade.finished_width, _VIEW_HEIGHT / shade.finished_length)
    for number, (name, back) in enumerate((("Front", False), ("Back", True))):
        left = LEFT + 0.3 + number * (_VIEW_WIDTH + 0.45)
        view = _View(card, left, top - 1.3, scale, back)
        drawing.text(left, top - 0.62, name, 8, bold=True)
        _draw_shade(drawing, job, view)
        _draw_cords(drawing, job, view)
        _draw_marks(drawing, job, view)
    _dimension_length(drawing, job, card, top - 1.3, scale)
    _put_steps(drawing, job, card, top - 0.62)


def _draw_shade(drawing: Drawing, job: Job, view: _View) -> None:
    """Cloth, board and rod, and the stitching of the pockets."""
    make = job.make
    cloth = LINING if view.back and make.lining else FACE
    corner = view.left, view.down(view.card.shade.finished_length)
    drawing.rectangle(corner, view.width, view.height, fill=cloth, lw=0.8)
    board = board_hanging_depth(make.board_pocket, make.board)
    rod = rod_hanging_depth(make.rod_pocket, make.rod)
    length = view.card.shade.finished_length
    short = make.stick_short / 2
    for at, thick, colour in ((0.0, make.board, _WOOD), (length - make.rod, make.rod, _ROD)):
        x = view.left + short * view.scale
        y = view.down(at + thick)
        wide = view.width - 2 * short * view.scale
        drawing.rectangle(
            (x, y), wide, thick * view.scale, fill=colour, edge=FAINT, lw=0.4, alpha=0.8
        )
    for at in (board, length - rod):
        y = view.down(at)
        _dashed(drawing, (view.left, y), (view.left + view.width, y), (2, 1.5))
    if not make.lining:
        for fold in (make.side_fold, view.card.shade.finished_width - make.side_fold):
            x = view.across(fold)
            _dashed(drawing, (x, view.top), (x, corner[1]), (1, 2))


def _draw_cords(drawing: Drawing, job: Job, view: _View) -> None:
    """Down the back to the rod; up the front to the eyes, along the board and down from the
    guide."""
    card, short = view.card, job.make.stick_short / 2
    length = card.shade.finished_length
    lines = [short + line for line in card.making.lift_lines]
    guide = short + card.making.guide
    under = view.down(job.make.board) - 0.03
    for i, line in enumerate(lines):
        x = view.across(line)
        top = view.top if view.back else under
        drawing.line((x, top), (x, view.down(length)), color=MOTIF, lw=0.9)
        if view.back:
            drawing.text(x + 0.03, view.down(length / 2), cord_names(card.making)[i], 6)
            continue
        level = under - 0.03 * i
        tail = level - max(min(card.made.cords.tail * view.scale, view.height * 0.6), 0.2)
        side = view.across(guide) + (0.02 * i if card.shade.draw != "left" else -0.02 * i)
        drawing.line((x, level), (side, level), (side, tail), color=MOTIF, lw=0.9)


def _draw_marks(drawing: Drawing, job: Job, view: _View) -> None:
    """Eyes and hooks, each with its distance from the board's left end."""
    card, tape, short = view.card, job.tape, job.make.stick_short / 2
    above = card.making.hooks if view.back else []
    for at in above:
        x = view.across(short + at)
        drawing.circle((x, view.top + 0.05), 0.04, lw=0.8)
        hook = (x, view.top + 0.09), (x, view.top + 0.17), (x + 0.04, view.top + 0.2)
        drawing.line(*hook, lw=0.9)
    if not view.back:
        for at in (*card.making.lift_lines, card.making.guide):
            x = view.across(short + at)
            y = view.down(job.make.board) - 0.03
            drawing.circle((x, y), 0.03, fill="white", lw=0.8)
    marks = above if view.back else sorted({*card.making.lift_lines, card.making.guide})
    level = view.top + (0.3 if view.back else 0.14)
    ends: list[float] = []
    for x, at in sorted((view.across(short + at), at) for at in marks):
        # The lowest line of text on which the neighbours leave room.
        half = text_width(tape.short(at), _SMALL) / 2
        line = next((i for i, end in enumerate(ends) if end < x - half), len(ends))
        ends[line : line + 1] = [x + half + 0.04]
        y = level + 0.14 * line
        if not view.back:
            _dashed(drawing, (x, view.top), (x, y - 0.06), (1, 1))
        drawing.text(x, y, tape.short(at), _SMALL, ha="center", behind="white")


def _dimension_length(drawing: Drawing, job: Job, card: Card, top: float, scale: float) -> None:
    bottom = top - card.shade.finished_length * scale
    x = LEFT + 0.12
    drawing.double_arrow((x, top), (x, bottom), FAINT, 0.5)
    length = job.tape.short(card.shade.finished_length)
    drawing.text(x, (top + bottom) / 2, length, _SMALL, ha="center", upright=True, behind="white")
    y = bottom - 0.12
    right = LEFT + 0.3 + card.shade.finished_width * scale
    drawing.double_arrow((LEFT + 0.3, y), (right, y), FAINT, 0.5)
    width = job.tape.short(card.shade.finished_width)
    drawing.text((LEFT + 0.3 + right) / 2, y, width, _SMALL, ha="center", behind="white")


def _dashed(drawing: Drawing, start: Point, end: Point, dashes: tuple[float, float]) -> None:
    drawing.line(start, end, color=FAINT, lw=0.5, dashes=dashes)


def _put_steps(drawing: Drawing, job: Job, card: Card, top: float) -> None:
    """What to do, in the order of work."""
    room = int((PAGE_WIDTH - _TEXT_LEFT - RIGHT) * 72 / (7 * EM) * 1.12)
    y = top
    for heading, lines in steps(job, card):
        drawing.text(_TEXT_LEFT, y, heading, 7.5, bold=True)
        y -= 0.155
        for line in lines:
            for part in wrap(line, room):
                drawing.text(_TEXT_LEFT, y, part, 7)
                y -= 0.135
        y -= 0.06


def steps(job: Job, card: Card) -> list[tuple[str, list[str]]]:
    """The work on a shade under headings, with every measure it takes."""
    make, tape, raised = job.make, job.tape, card.made.raised
    return [
        ("Panels", [f"{p.part}: cut {cut_size(tape, p)}" for p in card.panels]),
        ("Sides", [_sides(job)]),
        (
            "Pockets, from the cut edge",
            [_pocket(job, "top", make.board_pocket), _pocket(job, "bottom", make.rod_pocket)],
        ),
        (
            "Sticks",
            [
                f"board {tape.short(card.making.board)} long, {tape.short(make.board)} square; "
                f"rod {tape.short(card.making.rod)} long, {tape.short(make.rod)} across"
            ],
        ),
        ("From the board's left end", _along_the_board(job, card)),
        ("Cords", _corded(job, card)),
        ("Hung", [hung(job, card.opening)]),
        (
            "When up",
            [
                f"roll {tape.short(raised.diameter)} thick, {tape.short(raised.at_hems)} at the "
                f"sides; hides {tape.short(raised.hides)}; takes {at_least(job, raised.depth)} "
                "from front to back"
            ],
        ),
        (
            "Caution",
            [
                f"Cords can strangle a child. Cleat at least {tape.short(CLEAT_HEIGHT)} up; hooks "
                "into sound framing. Local codes come first."
            ],
        ),
    ]


def _sides(job: Job) -> str:
    make, tape = job.make, job.tape
    if make.lining:
        return f"face to lining, right sides in, a seam of {tape.short(make.seam)}; turn out"
    times = "twice" if make.side_folds == 2 else "once"
    return f"fold {tape.short(make.side_fold)} {times}, and stitch"


def _pocket(job: Job, end: str, depth: Ticks) -> str:
    short, under = job.tape.short, job.make.turn_under
    return (
        f"{end}: turn under {short(under)}, fold at {short(under + depth)}, "
        f"stitch at {short(under + 2 * depth)}"
    )


def _along_the_board(job: Job, card: Card) -> list[str]:
    """Eyes and guide, each from the board's left end."""
    tape, making = job.tape, card.making
    return [
        f"screw eyes above, for the hooks: {', '.join(map(tape.short, making.hooks))}",
        f"screw eyes below, at the lift lines: {' and '.join(map(tape.short, making.lift_lines))}",
        f"draw guide below, {card.shade.draw}: {tape.short(making.guide)}",
        f"threads of at most {tape.short(shank(job.make))}",
        STARTER_HOLE,
        LOWER_EYES,
    ]


def _corded(job: Job, card: Card) -> list[str]:
    """The cords: how long each is cut, how it runs, and what hangs of it."""
    short, making = job.tape.short, card.making
    lengths = dict(zip(cord_names(making), cord_cuts(job, making), strict=True))
    cut = ", ".join(f"{name} {short(length)}" for name, length in lengths.items())
    return [
        f"cut {cut}; {short(job.make.knot)} of each for its knot",
        CORD_RUN,
        f"tail {short(card.made.cords.tail)} below the guide when down; "
        f"{short(hangs_when_up(card))} when up, if not wound on the cleat",
    ]
