"""What a maker should hear about this job before she cuts: advice, none of which stands in the way.

Source: common practice, and the figures of `shadewright.trade`.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator

from shadewright.cloth.plan import Plan
from shadewright.job.model import Cloth, Job
from shadewright.measure import TICKS, Ticks
from shadewright.report.cautions import CHILDREN
from shadewright.report.makings import Card, cards, end_above_floor, hangs_when_up
from shadewright.report.words import brief, clean, count
from shadewright.trade import beams
from shadewright.trade.making import CLEAT_HEIGHT, depth_short, hook_needed, hook_short, shank
from shadewright.trade.rolled import ASSUMED_THICKNESS


def advice(job: Job, plan: Plan) -> list[str]:
    """Everything to be said of the job and its shades, the caution about children first."""
    said = [CHILDREN] if job.children else []
    said += _cloth(job)
    said += _cords(job, plan)
    said += _sticks(job, plan)
    said += _hardware(job, plan)
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


def _cords(job: Job, plan: Plan) -> Iterator[str]:
    tape = job.tape
    found = cards(job, plan)
    longest = max(found, key=hangs_when_up)
    hanging = hangs_when_up(longest)
    said = (
        f"When a shade is up its cords hang down: up to {tape.short(hanging)} below the guide "
        f"({_named(longest)}), unless they are wound on the cleat."
    )
    lowest = [(h, card) for card in found if (h := end_above_floor(card, up=True)) is not None]
    reach = tape.short(CLEAT_HEIGHT)
    if lowest:
        height, card = min(lowest, key=lambda each: each[0])
        where = (
            f"come down to {tape.short(height)} above the floor" if height else "lie on the floor"
        )
        said += f" The ends of {_named(card)} then {where}"
        said += f", within a child's reach (below {reach})." if height < CLEAT_HEIGHT else "."
    else:
        said += f" Anything that ends less than {reach} above the floor is within a child's reach."
    yield said
    low = [
        (h, card)
        for card in found
        if (h := end_above_floor(card, up=False)) is not None and h < CLEAT_HEIGHT
    ]
    if low:
        height, card = min(low, key=lambda each: each[0])
        yield (
            f"Even with the shade down the cords of {_named(card)} end {tape.short(height)} above "
            f"the floor, within a child's reach (below {reach}): wind up the tail, or cut it "
            "shorter."
        )
    too_high = [
        card
        for card in found
        if (head := card.opening.head_above_floor) is not None and head < CLEAT_HEIGHT
    ]
    if too_high:
        yield (
            f"The head of {_named(too_high[0])} is lower than a cleat should be ({reach}): there "
            "is no place for its cords out of a child's reach."
        )


def _sticks(job: Job, plan: Plan) -> Iterator[str]:
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
        (beams.rod_sag(job, card.opening, right - left), card)
        for card in cards(job, plan)
        for left, right in [card.making.lift_lines]
    ]
    sag, card = max(sags, key=lambda each: each[0])
    if sag > make.most_sag / TICKS["mm"]:
        widest = beams.widest_for_rod(job, card.opening)
        yield (
            f"A rod of {tape.short(make.rod)} in {_named(card)} sags {_mm(job, sag)} between its "
            f"cords when the wet shade is rolled up, more than the {tape.short(make.most_sag)} "
            f"asked for; it keeps to that up to a shade {tape.short(widest)} wide. A thicker or "
            "stiffer rod helps most; a crooked roll is what it saves you."
        )


def _hardware(job: Job, plan: Plan) -> Iterator[str]:
    make, tape = job.make, job.tape
    found = cards(job, plan)
    if make.guide_inset < make.board:
        yield (
            f"The draw guide is {tape.short(make.guide_inset)} from the end of the board, less "
            f"than the board's own {tape.short(make.board)}: drill for it first, or the board may "
            "split."
        )
    if make.eye_shank is not None and 2 * shank(make) > make.board:
        yield (
            f"Eyes above and below stand exactly opposite each other, and two threads of "
            f"{tape.short(shank(make))} are longer than the board is thick "
            f"({tape.short(make.board)}): drill first, and set the lower eye just beside the upper "
            "one's point."
        )
    needed = max((hook_needed(make, card.made.raised) for card in found), default=0)
    short = max(hook_short(make, card.made.raised) for card in found)
    if short:
        yield (
            f"A hook opening of {tape.short(make.hook_opening or 0)} does not pass the board and "
            f"the raised roll: hooks that open {_up(job, needed)} or more would."
        )
    for card in {card.opening.name: card for card in found}.values():
        opening, up = card.opening, card.made.raised
        if opening.depth is None or opening.mount != "inside":
            continue
        name, needs = clean(opening.name), _up(job, up.depth)
        lacking = depth_short(opening, up)
        if lacking:
            yield (
                f"{name}: when up a shade needs {needs} from front to back, and its recess is "
                f"{tape.short(opening.depth)} deep: it stands out by {_up(job, lacking)}, so hang "
                "its hooks further forward or mount it outside."
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


def _named(card: Card) -> str:
    """A card's first shade, and how many more there are."""
    more = len(card.shades) - 1
    name = brief(clean(card.shade.id), 40)
    return name if not more else f"{name} and {count(more, 'other')}"


def _up(job: Job, length: Ticks) -> str:
    """A length up to the cutting step, for what must not be less."""
    return job.tape.short(-(-length // job.step) * job.step)


def _mm(job: Job, millimetres: float) -> str:
    """A small distance as the job measures."""
    if job.metric:
        return f"{millimetres:.1f} mm"
    return f'{millimetres / 25.4:.2f}"'
