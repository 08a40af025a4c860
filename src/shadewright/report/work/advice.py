"""What a maker should hear about this job before she cuts: advice, none of which stands in the way.

Source: common practice, and the figures of `shadewright.trade`.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import TYPE_CHECKING

from shadewright.job.model import Cloth, Job
from shadewright.measure import TICKS, Ticks, floor_to
from shadewright.report.work.cautions import first_of_all
from shadewright.report.work.from_bolts import from_several_bolts
from shadewright.report.work.hanging import CORD_RUN, LOWER_EYES, STARTER_HOLE
from shadewright.report.work.makings import Card, end_above_floor, hangs_when_up
from shadewright.report.work.words import (
    at_least,
    brief,
    brief_name,
    clean,
    listed,
    small,
    small_figure,
    small_limit,
)
from shadewright.trade import beams, cords
from shadewright.trade.divisions import clear_width
from shadewright.trade.making import CLEAT_HEIGHT, depth_short, hook_needed, hook_short, shank
from shadewright.trade.rolled import ASSUMED_THICKNESS

if TYPE_CHECKING:
    from shadewright.cloth.plan import Plan


_MOST_NAMED = 5
"""Openings that one sentence names."""


def advice(job: Job, plan: Plan, found: Sequence[Card]) -> list[str]:
    """Everything to be said of a job and its shades, the caution about children first.

    Args:
        found: the cards of the plan.
    """
    said = first_of_all(job)
    said += _cloth(job)
    said += _bare_edges(job)
    said += from_several_bolts(job, plan)
    said += _cords(job, plan, found)
    said += _sticks(job, plan, found)
    said += lines_close(job, _narrowest(found))
    said += _hardware(job, found)
    said += _assumed(job, plan)
    return said


def _cloth(job: Job) -> Iterator[str]:
    faces = [cloth for cloth in job.cloths if any(o.cloth == cloth.name for o in job.openings)]
    for cloth in faces:
        if job.outdoors and not cloth.outdoor:
            known = "is not" if cloth.outdoor is False else "is not said to be"
            yield (
                f"{clean(cloth.name)} {known} rated for outdoor use, and this job hangs outdoors: "
                "sun will fade and weaken it and damp may spot it. Solution-dyed acrylic stands "
                "both better, and resists mould better than polyester."
            )
        elif cloth.outdoor is False:
            yield (
                f"{clean(cloth.name)} is not rated for outdoor use: hang it where neither sun nor "
                "weather reaches it for long."
            )
    lining = job.cloth(job.make.lining) if job.make.lining else None
    if lining is not None:
        yield from _lining(job, faces, lining)


def _lining(job: Job, faces: list[Cloth], lining: Cloth) -> Iterator[str]:
    name = clean(lining.name)
    if all(face.name == lining.name for face in faces):
        yield (
            f"Each shade is lined with its own cloth, {name}, so both sides look alike, up or down."
        )
    else:
        yield (
            f"The lining, {name}, shows outside while a shade is down, and inside, on the roll, "
            "while it is up: see that its colour pleases on both."
        )
    if lining.outdoor is True:
        return
    if job.outdoors or any(face.outdoor for face in faces):
        yield (
            f"Lining is not rated for outdoors unless its maker says so, and {name} is not said to "
            "be: outside it is the lining that meets sun and weather first. Leave such shades "
            "unlined, or line them with a cloth that is rated."
        )
    else:
        yield (
            f"The lining faces the window: strong sun will fade and weaken {name}. Expect to renew "
            "it before the face."
        )


def _bare_edges(job: Job) -> Iterator[str]:
    """Outside mounts that lap over nothing, which is seldom meant."""
    bare = [o.name for o in job.openings if o.mount == "outside" and not o.overlap]
    if not bare:
        return
    names = [brief(clean(name), 30) for name in bare[:_MOST_NAMED]]
    more = [f"{len(bare) - _MOST_NAMED} more"] if len(bare) > _MOST_NAMED else []
    cover = "hangs outside and covers" if len(bare) == 1 else "hang outside and cover"
    yield (
        f"{listed([*names, *more])} {cover} no more than the opening itself, so that light comes "
        "in at the sides: overlap says how far a shade laps over."
    )


def _cords(job: Job, plan: Plan, found: Sequence[Card]) -> Iterator[str]:
    tape = job.tape
    hanging = max(map(hangs_when_up, found))
    longest = [card for card in found if hangs_when_up(card) == hanging]
    said = (
        f"When a shade is up its cords hang down: up to {tape.short(hanging)} below the guide on "
        f"{shades_named(plan, longest)}, unless they are wound on the cleat."
    )
    reach = tape.short(CLEAT_HEIGHT)
    ends = [(h, card) for card in found if (h := end_above_floor(job, card, up=True)) is not None]
    if ends:
        said += _ends_when_up(job, plan, ends)
    if len(ends) < len(found):
        said += f" Anything that ends less than {reach} above the floor is within a child's reach."
    yield said
    low = [
        (h, card)
        for card in found
        if (h := end_above_floor(job, card, up=False)) is not None and h < CLEAT_HEIGHT
    ]
    if low:
        height = min(h for h, _ in low)
        at = "" if all(h == height for h, _ in low) else "as low as "
        yield (
            f"Even with the shade down the cords of {shades_named(plan, [c for _, c in low])} end "
            f"{at}{tape.short(height)} above the floor, within a child's reach (below {reach}): "
            "wind up the tail, or cut it shorter."
        )
    too_high = [
        card
        for card in found
        if (head := card.opening.head_above_floor) is not None and head < CLEAT_HEIGHT
    ]
    if too_high:
        yield (
            f"The head over {shades_named(plan, too_high)} is lower than a cleat should be "
            f"({reach}): there is no place for these cords out of a child's reach."
        )


def _ends_when_up(job: Job, plan: Plan, ends: Sequence[tuple[Ticks, Card]]) -> str:
    """Where the cords of shades that are up end: the lowest of all, and all within reach."""
    reach = job.tape.short(CLEAT_HEIGHT)
    height = min(h for h, _ in ends)
    lowest = [card for h, card in ends if h == height]
    others = [card for h, card in ends if height < h < CLEAT_HEIGHT]
    where = (
        f"come down to {job.tape.short(height)} above the floor" if height else "lie on the floor"
    )
    said = f" The ends of {shades_named(plan, lowest)} then {where}"
    if height >= CLEAT_HEIGHT:
        return said + "."
    said += f", within a child's reach (below {reach})."
    if others:
        said += f" Those of {shades_named(plan, others)} end within it too."
    return said


def _sticks(job: Job, plan: Plan, found: Sequence[Card]) -> Iterator[str]:
    make, tape = job.make, job.tape
    ordered = {
        s.stick: s.stock
        for s in plan.wood
        if s.stock not in (make.stock.board if s.stick == "board" else make.stock.rod)
    }
    for kind, length in ordered.items():
        yield (
            f"No stock length holds the longest {kind}: have one of {tape.short(length)} cut to "
            "order, or join two with a long scarf over a cord's lift line."
        )
    sags = [
        (sag, card)
        for card in found
        for left, right in [card.making.lift_lines]
        # What is printed as it was asked for is not called more than that.
        if small_figure(job, sag := beams.rod_sag(job, card.opening, right - left))
        > small_figure(job, make.most_sag / TICKS["mm"])
    ]
    if sags:
        sag, worst = max(sags, key=lambda each: each[0])
        widest = floor_to(beams.widest_for_rod(job, worst.opening), job.step)
        up_to = "" if all(small(job, each) == small(job, sag) for each, _ in sags) else "up to "
        yield (
            f"A rod of {tape.short(make.rod)} in {shades_named(plan, [c for _, c in sags])} sags "
            f"{up_to}{small(job, sag)} between its cords when the wet shade is rolled up, more "
            f"than the {small_limit(job, make.most_sag)} asked for; it keeps to that up to a shade "
            f"{tape.short(widest)} wide. A thicker or stiffer rod helps most; a crooked roll is "
            "what it saves you."
        )


def _narrowest(found: Sequence[Card]) -> dict[str, Ticks]:
    """The least finished width of each opening's shades."""
    least: dict[str, Ticks] = {}
    for card in found:
        for shade in card.shades:
            width = shade.finished_width
            least[shade.opening] = min(least.get(shade.opening, width), width)
    return least


def lines_close(job: Job, narrowest: Mapping[str, Ticks]) -> Iterator[str]:
    """Openings whose shades are so narrow that lift lines stand too close together.

    Args:
        narrowest: finished width of the narrowest shade that each opening has, or could have.
    """
    close: dict[tuple[Ticks, bool], list[str]] = {}
    for name, width in narrowest.items():
        if cords.lines_apart(job, width) < cords.least_apart(job):
            alone = width == clear_width(job.opening(name))
            close.setdefault((width, alone), []).append(brief(clean(name), 30))
    short = job.tape.short
    for (width, alone), names in close.items():
        helps = "a smaller lift_inset sets" if alone else _FEWER_SHADES
        apart, least = short(cords.lines_apart(job, width)), short(cords.least_apart(job))
        yield (
            f"{', '.join(names)}: lift lines of a shade {short(width)} wide stand only {apart} "
            f"apart. Closer than {least} a shade rolls up crooked easily; {helps} them further "
            "apart."
        )


_FEWER_SHADES = "fewer and wider shades, or a smaller lift_inset, set"


def _hardware(job: Job, found: Sequence[Card]) -> Iterator[str]:
    make, tape = job.make, job.tape
    if make.guide_inset < make.board:
        yield (
            f"The draw guide is {tape.short(make.guide_inset)} from the end of the board, less "
            f"than the board's own {tape.short(make.board)}: without its starter hole the board "
            "may split."
        )
    if make.eye_shank is not None and 2 * shank(make) > make.board:
        yield (
            f"Two threads of {tape.short(shank(make))} are longer than the board is thick "
            f"({tape.short(make.board)}), so the points of eyes above and below pass each other."
        )
    yield f"{STARTER_HOLE} {LOWER_EYES} {CORD_RUN}"
    needed = max((hook_needed(make, card.made.raised) for card in found), default=0)
    short = max(hook_short(make, card.made.raised) for card in found)
    if short:
        yield (
            f"A hook opening of {tape.short(make.hook_opening or 0)} does not pass the board and "
            f"the raised roll: hooks that open {at_least(job, needed)} or more would."
        )
    for opening in job.openings:
        if opening.depth is None or opening.mount != "inside":
            continue
        here = [c for c in found if any(s.opening == opening.name for s in c.shades)]
        up = max((card.made.raised for card in here), key=lambda raised: raised.depth)
        name, needs = clean(opening.name), at_least(job, up.depth)
        lacking = depth_short(opening, up)
        if lacking:
            yield (
                f"{name}: when up a shade needs {needs} from front to back, and its recess is "
                f"{tape.short(opening.depth)} deep: it stands out by {at_least(job, lacking)}, so "
                "hang its hooks further forward or mount it outside."
            )
        else:
            yield (
                f"{name}: when up a shade fits its recess, {tape.short(opening.depth)} deep; it "
                f"needs {needs}."
            )


def _assumed(job: Job, plan: Plan) -> Iterator[str]:
    used = dict.fromkeys(piece.cloth for piece in plan.pieces)
    known: tuple[tuple[str, str, Callable[[Cloth], object]], ...] = (
        ("weight", f"{beams.ASSUMED_WEIGHT:.0f} g/m² (9 oz/yd²)", lambda cloth: cloth.weight),
        ("thickness", f"{ASSUMED_THICKNESS} mm (0.02 in)", lambda cloth: cloth.thickness),
    )
    for what, taken, of in known:
        names = [clean(name) for name in used if of(job.cloth(name)) is None]
        if names:
            yield f"The {what} of {' and '.join(names)} is not given; {taken} is assumed."


def shades_named(plan: Plan, found: Sequence[Card]) -> str:
    """How many shades these cards are for, copies counted, and which they are."""
    shades = [shade for card in found for shade in card.shades]
    if len(shades) == 1:
        return brief_name(found[0].called, 40)
    if len(shades) == len(plan.shades):
        return "both shades" if len(shades) == 2 else f"all {len(shades)} shades"
    here = Counter(shade.opening for shade in shades)
    of = Counter(shade.opening for shade in plan.shades)
    names = [
        brief(clean(name), 30) if number == of[name] else f"{number} of {of[name]} in {clean(name)}"
        for name, number in here.items()
    ]
    said = " and ".join([", ".join(names[:-1]), names[-1]] if names[1:] else names)
    return f"{len(shades)} shades ({said})"
