"""A making card: one shade from front and back, with all that is measured off on it.

Shades that are made alike share a card. Positions run from the left as one stands before the shade
in the room; on the back view, which is seen from the window, left and right change places.
"""

from __future__ import annotations

from collections.abc import Iterator
from textwrap import wrap

from shadewright.job.model import Job
from shadewright.measure import Ticks
from shadewright.report.pages.drawing import (
    EM,
    FAINT,
    LEFT,
    PAGE_HEIGHT,
    PAGE_WIDTH,
    RIGHT,
    Drawing,
    blank,
)
from shadewright.report.pages.shade_views import ViewRoom, put_views
from shadewright.report.work.account import Account
from shadewright.report.work.hanging import (
    COMES_DOWN,
    CORD_RUN,
    LOWER_EYES,
    STARTER_HOLE,
    hung,
)
from shadewright.report.work.makings import Card, cord_cuts, cord_names, hangs_when_up
from shadewright.report.work.words import at_least, brief, brief_name, clean, count, cut_size
from shadewright.trade.making import CLEAT_HEIGHT, shank

CARD_HEIGHT = PAGE_HEIGHT
_VIEW = ViewRoom(2.2, 3.6, 8)
_TEXT_LEFT = 5.75
_SIZE, _LINE = 8.5, 0.158
"""Of the text: points, and inches from line to line."""


def draw_cards(account: Account) -> Iterator[Drawing]:
    """The cards as drawings of one printed page each."""
    for card in account.cards:
        drawing = blank(CARD_HEIGHT)
        put_card(drawing, account.job, card, CARD_HEIGHT)
        yield drawing


def put_card(drawing: Drawing, job: Job, card: Card, top: float) -> None:
    """Draw a card below `top`, in inches of paper."""
    title = brief_name(card.called, 95)
    drawing.text(LEFT, top - 0.16, title, 10, bold=True)
    shade, tape = card.shade, job.tape
    size = f"{tape.short(shade.finished_width)} wide and {tape.short(shade.finished_length)} long"
    said = f"{count(len(card.shades), 'shade')}, finished {size}, of {clean(shade.cloth)}"
    drawing.text(LEFT, top - 0.38, brief(said, 100), _SIZE, color=FAINT)
    put_views(drawing, job, card, (LEFT + 0.3, top - 0.62), _VIEW)
    _put_steps(drawing, job, card, top - 0.62)


def _put_steps(drawing: Drawing, job: Job, card: Card, top: float) -> None:
    """What to do, in the order of work."""
    room = int((PAGE_WIDTH - _TEXT_LEFT - RIGHT) * 72 / (_SIZE * EM) * 1.12)
    y = top
    for heading, lines in steps(job, card):
        drawing.text(_TEXT_LEFT, y, heading, _SIZE + 0.5, bold=True)
        y -= _LINE + 0.015
        for line in lines:
            for part in wrap(line, room):
                drawing.text(_TEXT_LEFT, y, part, _SIZE)
                y -= _LINE
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
        f"draw guide below, {COMES_DOWN[card.shade.draw]}: {tape.short(making.guide)}",
        f"screws of eyes no longer than {tape.short(shank(job.make))}",
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
