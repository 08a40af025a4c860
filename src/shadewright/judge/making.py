"""The judge's rules for what a shade takes besides cloth: sticks, cords, hooks, and the stock."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from fractions import Fraction
from itertools import pairwise
from math import pi, sqrt

from shadewright.cloth.plan import Making, Shade
from shadewright.job.model import Job, Make, Opening
from shadewright.judge import saying as say
from shadewright.judge.sizes import above_head, finished_length, side
from shadewright.judge.trial import Faults, Trial
from shadewright.measure import TICKS, Ticks, ceil_to

_TWO_HOOKS = 42 * TICKS["in"]
_THICKNESS = Fraction(1, 2)  # mm, of a cloth that the job does not say it of
_WEIGHT = 310  # g/m2, likewise
_FALL = 9.80665e-3  # N a gram
_FULLER = 24 * TICKS["in"]  # width that the side hems' weight is spread over
_SLACK = 1e-9  # relative: what two orders of the same sums may differ by


def narrowest_hung(job: Job, divided: bool) -> Ticks:
    """The narrowest shade whose lift lines stand apart and whose draw guide is on the board.

    Where the job does not say where lift lines stand, those of a divided opening may move in.
    """
    make = job.make
    parts = [make.stick_short + 2 * make.guide_inset, make.stick_short]
    if make.lift_inset is not None:
        parts.append(2 * make.lift_inset)
    elif not divided:
        parts.append(2 * _usual_inset(job))
    return ceil_to(max(parts) + job.step, job.step)


def _usual_inset(job: Job) -> Ticks:
    """Source: common practice."""
    return 125 * TICKS["mm"] if job.metric else 5 * TICKS["in"]


def _inset(job: Job, shade: Shade) -> Ticks:
    """Lift lines in from the board's ends: from the shade's edges less what the board is short."""
    make = job.make
    inset = make.lift_inset
    if inset is None:
        inset = _usual_inset(job)
        if 2 * inset + job.step > shade.finished_width:
            quarter = shade.finished_width // 4
            inset = quarter - quarter % job.step
    return inset - make.stick_short // 2


def every_shade_is_made_up(trial: Trial) -> Faults:
    """There is one making for each shade, and for nothing else."""
    made = Counter(making.shade for making in trial.plan.making)
    for shade in trial.plan.shades:
        if made[shade.id] != 1:
            yield f"{say.shade(shade.id)}: is made up {made[shade.id]} times, not once"
    for name in made:
        if name not in trial.shades:
            yield f"making: the plan has no {say.shade(name)}"


def _each(trial: Trial) -> Iterator[tuple[Opening, Shade, Making]]:
    """Makings with the shade and the opening they are for, where there are such."""
    for making in trial.plan.making:
        shade = trial.shades.get(making.shade)
        if shade is not None and shade.opening in trial.openings:
            yield trial.openings[shade.opening], shade, making


def _differs(trial: Trial, shade: Shade, what: str, found: Ticks, wanted: Ticks) -> Faults:
    if found != wanted:
        a, b = say.two(trial.tape, found, wanted)
        yield f"{say.shade(shade.id)}: {what} {a}, not {b}"


def sticks_suit_the_shade(trial: Trial) -> Faults:
    """Board and rod are as much shorter than the finished width as the job says."""
    for _, shade, making in _each(trial):
        wanted = shade.finished_width - trial.job.make.stick_short
        yield from _differs(trial, shade, "its board is", making.board, wanted)
        yield from _differs(trial, shade, "its rod is", making.rod, wanted)


def lift_lines_stand_in(trial: Trial) -> Faults:
    """There are two lift lines, as far in from the shade's edges as the job says, left first."""
    for _, shade, making in _each(trial):
        inset = _inset(trial.job, shade)
        wanted = [inset, shade.finished_width - trial.job.make.stick_short - inset]
        if len(making.lift_lines) != 2:
            yield f"{say.shade(shade.id)}: has {len(making.lift_lines)} lift lines, not 2"
            continue
        for end, found, at in zip(("left", "right"), making.lift_lines, wanted, strict=True):
            yield from _differs(trial, shade, f"its {end} lift line is at", found, at)


def guides_are_at_their_side(trial: Trial) -> Faults:
    """The draw guide is in from the end that the shade draws to, or in the middle."""
    for _, shade, making in _each(trial):
        wanted = _guide(trial.job.make, shade)
        yield from _differs(trial, shade, "its draw guide is at", making.guide, wanted)


def _guide(make: Make, shade: Shade) -> Ticks:
    """Where the draw guide is, from the board's left end."""
    board, inset = shade.finished_width - make.stick_short, make.guide_inset
    return {"left": inset, "right": board - inset}.get(shade.draw, board // 2)


def cords_reach(trial: Trial) -> Faults:
    """Each cord runs down, up, along to the guide, and leaves its tail and its knot; both of a
    centre draw are equal."""
    make = trial.job.make
    for opening, shade, making in _each(trial):
        inset, guide = _inset(trial.job, shade), _guide(make, shade)
        tail = make.tail
        if make.tail_reach is not None and opening.head_above_floor is not None:
            tail = opening.head_above_floor + above_head(make, opening) - make.tail_reach
        board = shade.finished_width - make.stick_short
        ways = [abs(guide - line) for line in (inset, board - inset)]
        if shade.draw == "centre":
            # From line to line by way of the middle, which a tick may split.
            ways = [(board - 2 * inset + 1) // 2] * 2
        lengths = [2 * finished_length(make, opening) + way + tail + make.knot for way in ways]
        if len(making.cords) != 2:
            yield f"{say.shade(shade.id)}: has {len(making.cords)} cords, not 2"
            continue
        for end, found, wanted in zip(("left", "right"), making.cords, lengths, strict=True):
            yield from _differs(trial, shade, f"its {end} cord is", found, wanted)


def hooks_hold_the_board(trial: Trial) -> Faults:
    """Hooks stand at the lift lines and evenly between: two up to 42 in, three beyond, and more
    where the wet shade would bend the board further than the job allows."""
    make = trial.job.make
    most = _mm(make.most_sag) * (1 + _SLACK)
    for opening, shade, making in _each(trial):
        inset = _inset(trial.job, shade)
        span = shade.finished_width - make.stick_short - 2 * inset
        number = 2 if shade.finished_width <= _TWO_HOOKS else 3
        # What bends too far asks for one more, and what is only just enough may be called either.
        while number < 12 and _bend(trial, opening, span, number) > most:
            number += 1
        wanted = [inset + span * i // (number - 1) for i in range(number)]
        if making.hooks != wanted:
            found, asked = (", ".join(map(trial.tape.short, at)) for at in (making.hooks, wanted))
            yield f"{say.shade(shade.id)}: its hooks are at {found or 'none'}, not at {asked}"


def _bend(trial: Trial, opening: Opening, between: Ticks, hooks: int) -> float:
    """Millimetres that a board bends under a wet shade, on so many hooks.

    A beam on two supports bends 5 w l^4 / (384 E I); over two spans or more, w l^4 / (184.634 E I).
    Source: any handbook of beams.
    """
    make = trial.job.make
    pockets = make.board_pocket + make.rod_pocket + 2 * make.turn_under
    length = finished_length(make, opening) + pockets
    grams = sum(_WEIGHT if c.weight is None else c.weight for c in trial.cloths_of(opening))
    cloth = float(make.wet_factor) * grams / 1e6 * _mm(length) * (1 + 2 * side(make) / _FULLER)
    wood = make.wood.gravity / 1e3 * (_mm(make.board) ** 2 + pi / 4 * _mm(make.rod) ** 2)
    span = _mm(between) / (hooks - 1)
    by = 5 / 384 if hooks == 2 else 1 / 184.634
    section = _mm(make.board) ** 4 / 12
    return by * (cloth + wood) * _FALL * span**4 / (make.wood.stiffness * section)


def _mm(length: Ticks) -> float:
    return length / TICKS["mm"]


def raised_rolls_are_as_thick(trial: Trial) -> Faults:
    """The raised roll's ring holds the edge of all its cloth: D^2 = d^2 + 4 L t / pi."""
    for opening, shade, making in _each(trial):
        thick = sum(
            float(_THICKNESS) if cloth.thickness is None else cloth.thickness
            for cloth in trial.cloths_of(opening)
        )
        # A job that cannot be made may leave a shade less than no length.
        edge = max(finished_length(trial.job.make, opening), 0) * thick * TICKS["mm"]
        exact = sqrt(trial.job.make.rod**2 + 4 * edge / pi)
        if abs(making.raised_diameter - exact) > 0.5 + _SLACK * exact:
            a, b = say.two(trial.tape, making.raised_diameter, round(exact))
            yield f"{say.shade(shade.id)}: its raised roll is {a} thick, not {b}"


def sticks_are_cut_for_every_shade(trial: Trial) -> Faults:
    """Stock yields one board and one rod for each shade, as long as it takes, and no more."""
    plan, shades = trial.plan, trial.shades
    cut = Counter((stick.stick, piece.shade) for stick in plan.wood for piece in stick.cuts)
    for shade in plan.shades:
        for kind in ("board", "rod"):
            if cut[kind, shade.id] != 1:
                yield f"{say.shade(shade.id)}: its {kind} is cut {cut[kind, shade.id]} times"
    for number, stick in enumerate(plan.wood, 1):
        for piece in stick.cuts:
            if piece.shade not in shades:
                yield f"stick {number}: the plan has no {say.shade(piece.shade)}"
                continue
            wanted = shades[piece.shade].finished_width - trial.job.make.stick_short
            if piece.length != wanted:
                a, b = say.two(trial.tape, piece.length, wanted)
                whose = f"the {stick.stick} of {say.shade(piece.shade)}"
                yield f"stick {number}: {whose} is {a}, not {b}"


def sticks_hold_their_cuts(trial: Trial) -> Faults:
    """The pieces of a stick, with a kerf between each two, are no longer than it."""
    for number, stick in enumerate(trial.plan.wood, 1):
        taken = sum(piece.length for piece in stick.cuts)
        taken += trial.job.make.kerf * sum(1 for _ in pairwise(stick.cuts))
        if not stick.cuts:
            yield f"stick {number}: nothing is cut from it"
        elif taken > stick.stock:
            a, b = say.two(trial.tape, taken, stick.stock)
            yield f"stick {number}: its cuts take {a} of a {stick.stick} {b} long"


def sticks_are_sold(trial: Trial) -> Faults:
    """Every stick has a length that is sold; one longer than all of them is cut to order, up to a
    whole foot or 10 cm."""
    unit = TICKS["cm"] * 10 if trial.job.metric else TICKS["ft"]
    longest_of: dict[str, Ticks] = {}
    for stick in trial.plan.wood:
        lengths = [longest_of.get(stick.stick, 0), *(cut.length for cut in stick.cuts)]
        longest_of[stick.stick] = max(lengths)
    for number, stick in enumerate(trial.plan.wood, 1):
        sold = trial.job.make.stock.board if stick.stick == "board" else trial.job.make.stock.rod
        longest = longest_of[stick.stick]
        to_order = {ceil_to(longest, unit)} if longest > max(sold) else set()
        if stick.stock not in {*sold, *to_order}:
            which = " or ".join(map(trial.tape.short, (*sold, *to_order)))
            stock = trial.tape.short(stick.stock)
            yield f"stick {number}: a {stick.stick} {stock} long is not sold, only {which}"
