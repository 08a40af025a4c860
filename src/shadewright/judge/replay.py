"""The judge of cutting plans: cuts a plan on an imaginary roll and says what is wrong with it.

A second opinion, which is why it shares nothing with the code that makes plans: it knows the job
and the shape of a plan file, and works out cut sizes, hems, take-up, lengths to buy and money from
the job's facts by itself. Each rule is one function that yields one line a fault; the rule book is
`RULES`, at the end. Arithmetic is on whole ticks and fractions; only take-up begins as a float.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from itertools import pairwise, product
from math import acos, pi, sqrt

from pydantic import ValidationError

from shadewright.cloth.plan import Drop, Panel, Plan, Shade
from shadewright.job.model import Cloth, Job, Make, Opening
from shadewright.judge import saying as say
from shadewright.judge.begun import BEGUN_RULES
from shadewright.judge.making import MAKING_RULES, narrowest_hung
from shadewright.judge.overlaps import Area, overlapping, side_by_side
from shadewright.measure import Tape, Ticks, ceil_to, floor_to, nearest

Faults = Iterator[str]
Rule = Callable[[Job, Plan], Faults]

BOLT = "bolt"
"""What a plan calls the piece it buys of a cloth."""

_COUNTS_BY_DEFAULT = 2  # more shades than the fewest that fit, where a job does not say how many
_HAIR = Fraction(1, 1_000_000)  # of a tick, or of a unit of money: what a float may be out by
_RELATIVE = Fraction(1, 1_000_000_000)
_AT_ONCE = 100  # items of each list of a plan whose shape is looked at together
_MOST_PAIRS = 500  # panels in each other's way that are told of, for each piece or column
_LARGEST = 10**12  # no number of a plan is larger; as ticks it is 3000 km of cloth


def judge(job: Job, plan: object) -> list[str]:
    """Everything that is wrong with a plan for a job, in plain words; nothing if it is clean.

    Args:
        plan: the JSON of a plan file, whatever it says; no value makes this raise.
    """
    if unmakeable := list(_pockets_too_small(job)):
        return unmakeable
    read = _read(plan)
    if not isinstance(read, Plan):
        return read
    unread = [*_unstated(read), *_unreal(read)]
    if unread:
        return unread
    return [fault for rule in RULES for fault in rule(job, read)]


# --- the plan file ----------------------------------------------------------------------------


def _read(plan: object) -> Plan | list[str]:
    """The plan, or what is wrong with its shape.

    Long lists are looked at some items at a time, and only as far as there is a fault: each item of
    another shape has as many as a part of a plan has keys.
    """
    start = 0
    try:
        if isinstance(plan, dict):
            longest = max((len(v) for v in plan.values() if isinstance(v, list)), default=0)
            for start in range(0, longest, _AT_ONCE):
                Plan.model_validate(
                    {
                        key: value[start : start + _AT_ONCE] if isinstance(value, list) else value
                        for key, value in plan.items()
                    }
                )
            start = 0
        return Plan.model_validate(plan)
    except ValidationError as why:
        return _misshapen(why, start)


def _misshapen(why: ValidationError, start: int) -> list[str]:
    """One line for each place where the file has another shape than a plan's.

    Args:
        start: the place in the plan's lists that was looked at from.
    """
    faults: dict[str, str] = {}
    for error in why.errors(include_url=False, include_context=False, include_input=False):
        at = error["loc"]
        if len(at) > 1 and isinstance(at[1], int):
            at = (at[0], at[1] + start, *at[2:])
        if error["type"] == "extra_forbidden":
            faults[_path(at)] = "is no part of a plan"
        elif error["type"] == "missing":
            faults[_path(at)] = "is missing"
        elif error["type"] in ("model_type", "dict_type"):
            faults[_path(at)] = "should be an object, names with values"
        else:
            # A number that need not be whole is refused twice, once as each kind of number.
            at = at[:-1] if at and at[-1] in ("int", "float") else at
            faults[_path(at)] = error["msg"].replace("Input should", "should", 1)
    return [f"plan file{where}: {what}" for where, what in faults.items()]


def _path(at: tuple[int | str, ...]) -> str:
    return "".join(f" {key + 1}" if isinstance(key, int) else f" {say.name(key)}" for key in at)


def _unstated(read: Plan) -> Faults:
    """What a plan made in memory need not state, but a plan file must."""
    for key, field in type(read).model_fields.items():
        if key not in read.model_fields_set and field.default_factory is None:
            yield f"plan file {key}: is missing"


def _unreal(read: Plan) -> Faults:
    """Numbers that no cloth has and nothing can be reckoned with."""
    for at in _too_large(read.model_dump(by_alias=True)):
        yield f"plan file{_path(at)}: should be a number of a sensible size"


def _too_large(value: object) -> list[tuple[int | str, ...]]:
    """Where in a plan's data such numbers stand."""
    if isinstance(value, (int, float)):
        return [] if abs(value) <= _LARGEST else [()]
    inside: Iterable[tuple[int | str, object]] = ()
    if isinstance(value, dict):
        inside = value.items()
    elif isinstance(value, (list, tuple)):
        inside = enumerate(value)
    return [(key, *at) for key, inner in inside for at in _too_large(inner)]


def title_is_the_jobs(job: Job, plan: Plan) -> Faults:
    """The plan is for this job."""
    if plan.job != job.title:
        yield f'the plan is for the job "{say.name(plan.job)}", not for "{say.name(job.title)}"'


# --- shades in their openings -----------------------------------------------------------------


@dataclass(frozen=True)
class _Row:
    """The shades of one copy of an opening, left to right."""

    opening: Opening
    copy: int
    shades: list[Shade]

    @property
    def name(self) -> str:
        return f'opening "{say.name(self.opening.name)}" copy {self.copy}'

    @property
    def edges(self) -> tuple[Ticks, Ticks]:
        """Where the first shade begins and the last one ends, from the opening's left edge."""
        opening = self.opening
        inset = opening.clearance if opening.mount == "inside" else -opening.overlap
        return inset, opening.width - inset


def _rows(job: Job, plan: Plan) -> Iterator[_Row]:
    shades = defaultdict(list)
    for shade in sorted(plan.shades, key=lambda shade: shade.place):
        shades[shade.opening, shade.copy_].append(shade)
    for opening in job.openings:
        for copy in range(1, opening.copies + 1):
            yield _Row(opening, copy, shades[opening.name, copy])


def openings_are_covered(job: Job, plan: Plan) -> Faults:
    """Every copy of every opening has its shades, places 1 to n of n, each named after its place;
    and there are no others."""
    asked = {(opening.name, copy) for opening in job.openings for copy in _copies(opening)}
    for shade in plan.shades:
        if (shade.opening, shade.copy_) not in asked:
            yield (
                f"{say.shade(shade.id)}: the job has no opening "
                f'"{say.name(shade.opening)}" copy {shade.copy_}'
            )
        named = f"{shade.opening} {shade.copy_}.{shade.place}/{shade.of}"
        if shade.id != named:
            yield f'{say.shade(shade.id)}: its place makes its name "{say.name(named)}"'
    for row in _rows(job, plan):
        places = [(shade.place, shade.of) for shade in row.shades]
        count = len(places)
        if not places:
            yield f"{row.name}: has no shade"
        elif places != [(place, count) for place in range(1, count + 1)]:
            found = ", ".join(f"{place}/{of}" for place, of in places)
            yield f"{row.name}: its {count} shades have the places {found}"


def counts_are_asked_for(job: Job, plan: Plan) -> Faults:
    """Each opening has as many shades as the job asks; where it does not say, the fewest that any
    division needs, or up to two more."""
    for row in _rows(job, plan):
        count = len(row.shades)
        if row.opening.shades is not None:
            low, high = row.opening.shades
        else:
            fewest = _fewest(job, row.opening)
            if fewest is None:
                yield f"{row.name}: no number of shades fits it"
                continue
            low, high = fewest, fewest + _COUNTS_BY_DEFAULT
        if count and not low <= count <= high:
            yield f"{row.name}: has {count} shades, but may have {low} to {high}"


def _fewest(job: Job, opening: Opening) -> int | None:
    """The fewest shades that the opening can be divided into, however the cloths may lie."""
    tops = [_widest_shade(job, opening, *ways) for ways in product(*_ways(job, opening))]
    most = max(top or 0 for top in tops)
    left, right = _Row(opening, 1, []).edges
    counts = range(1, (right - left) // job.step + 1)
    return next((n for n in counts if _divides(job, opening, right - left, most, n)), None)


def _divides(job: Job, opening: Opening, clear: Ticks, widest: Ticks, count: int) -> bool:
    """Whether `count` shades up to `widest` can fill `clear`.

    The widths' sum may be anything that leaves the gaps their range. Of the sums between the least
    and the most, equal shades reach the multiples of their count, mirrored pairs the even ones,
    and all other shades every one.
    """
    low, high = opening.gap
    hung = narrowest_hung(job, count > 1)
    narrowest = max(opening.narrowest, hung) if count > 1 else hung
    least = max(clear - (count - 1) * high, count * narrowest)
    most = min(clear - (count - 1) * low, count * widest)
    pace = {"equal": count, "mirrored": 1 if count % 2 else 2, "free": 1}[opening.widths]
    return ceil_to(least, pace * job.step) <= most


def _ways(job: Job, opening: Opening) -> list[list[tuple[Cloth, bool]]]:
    """For the opening's cloth, and its lining's if it has one: the ways the cloth may lie."""
    names = [opening.cloth, *([job.make.lining] if job.make.lining else [])]
    return [[(job.cloth(name), turned) for turned in _turns(job.cloth(name))] for name in names]


def _turns(cloth: Cloth) -> tuple[bool, ...]:
    """Whether panels of the cloth may lie railroaded: no, yes, or both."""
    return {"up the bolt": (False,), "railroaded": (True,), "either": (False, True)}[cloth.runs]


def _widest_shade(job: Job, opening: Opening, *ways: tuple[Cloth, bool]) -> Ticks | None:
    """The widest finished shade whose panels fit their cloths; None if none does."""
    widest = floor_to(opening.widest, job.step)
    for cloth, railroaded in ways:
        if railroaded:
            size = _size(job, cloth, job.step, _length(opening), railroaded)
            if size.across > cloth.usable:
                return None
        else:
            room = floor_to(cloth.usable, job.step) * (1 - cloth.shrink_across)
            widest = min(widest, floor_to(int(room) - 2 * _side(job.make), job.step))
    return widest if widest > 0 else None


def widths_are_allowed(job: Job, plan: Plan) -> Faults:
    """Finished widths lie on the cutting step, between the narrowest and the widest asked; the
    narrowest binds only where an opening is divided."""
    for row in _rows(job, plan):
        divided = len(row.shades) > 1
        hung = narrowest_hung(job, divided)
        least = max(row.opening.narrowest, hung) if divided else hung
        for shade in row.shades:
            width = shade.finished_width
            if width % job.step:
                yield f"{say.shade(shade.id)}: its width {say.off(job, width)}"
            if width < least:
                a, b = say.two(job.tape, width, least)
                yield f"{say.shade(shade.id)}: its width {a} is below the narrowest, {b}"
            if width > row.opening.widest:
                a, b = say.two(job.tape, width, row.opening.widest)
                yield f"{say.shade(shade.id)}: its width {a} is above the widest, {b}"


def widths_match(job: Job, plan: Plan) -> Faults:
    """Widths within an opening are equal, or the same from either side, where the job asks it."""
    for row in _rows(job, plan):
        widths = [shade.finished_width for shade in row.shades]
        other = {"equal": widths[:1] * len(widths), "mirrored": widths[::-1], "free": widths}
        for shade, wanted in zip(row.shades, other[row.opening.widths], strict=True):
            if shade.finished_width != wanted:
                a, b = say.two(job.tape, shade.finished_width, wanted)
                yield (
                    f"{say.shade(shade.id)}: its width {a} should be {b}, "
                    f"for {row.opening.widths} widths"
                )
                break


def gaps_are_allowed(job: Job, plan: Plan) -> Faults:
    """Gaps lie in the opening's range and on the cutting step, and the larger ones, by one step at
    most, come first; no shade overlaps the next."""
    for row in _rows(job, plan):
        low, high = row.opening.gap
        gaps = [(b.left - a.left - a.finished_width, a, b) for a, b in pairwise(row.shades)]
        for gap, before, after in gaps:
            between = f"{say.shade(before.id)} and {say.shade(after.id)}"
            if gap < 0:
                yield f"{between}: they overlap by {say.long(job.tape, -gap)}"
            elif not low <= gap <= high:
                what, limit = ("below the least", low) if gap < low else ("above the most", high)
                a, b = say.two(job.tape, gap, limit)
                yield f"{between}: the gap {a} is {what}, {b}"
            elif gap % job.step:
                yield f"{between}: the gap {say.off(job, gap)}"
        for (gap, *_), (following, before, after) in pairwise(gaps):
            if following > gap:
                a, b = say.two(job.tape, following, gap)
                yield (
                    f"{say.shade(before.id)} and {say.shade(after.id)}: the gap {a} is larger than "
                    f"the one on its left, {b}"
                )
        if gaps and gaps[0][0] - gaps[-1][0] > job.step:
            a, b = say.two(job.tape, gaps[0][0], gaps[-1][0])
            yield f"{row.name}: its gaps, {a} to {b}, differ by more than a step"


def edges_fill_openings(job: Job, plan: Plan) -> Faults:
    """The first shade begins, and the last one ends, exactly where the mount puts them."""
    for row in _rows(job, plan):
        if not row.shades:
            continue
        first, last = row.shades[0], row.shades[-1]
        ends = (first.left, last.left + last.finished_width)
        for shade, side, found, wanted in zip(
            (first, last), ("left", "right"), ends, row.edges, strict=True
        ):
            if found != wanted:
                a, b = say.two(job.tape, found, wanted)
                yield (
                    f"{say.shade(shade.id)}: its {side} edge lies at {a} from the opening's left "
                    f"edge, not at {b}"
                )


def lengths_cover_openings(job: Job, plan: Plan) -> Faults:
    """Every shade is as long as its opening is high, and an outside mount's overlap longer."""
    for row in _rows(job, plan):
        wanted = _length(row.opening)
        for shade in row.shades:
            if shade.finished_length != wanted:
                a, b = say.two(job.tape, shade.finished_length, wanted)
                yield f"{say.shade(shade.id)}: its finished length is {a}, not {b}"


def draws_are_asked_for(job: Job, plan: Plan) -> Faults:
    """Every shade draws to the side asked; left to itself, to the nearer end of its opening, and
    to the right where it is alone or in the middle."""
    for row in _rows(job, plan):
        for shade in row.shades:
            own = "left" if 2 * shade.place <= len(row.shades) else "right"
            wanted = own if row.opening.draw == "auto" else row.opening.draw
            if shade.draw != wanted:
                yield f"{say.shade(shade.id)}: draws {shade.draw}, not {wanted}"


def shades_are_of_their_cloth(job: Job, plan: Plan) -> Faults:
    """Every shade is of its opening's cloth."""
    for row in _rows(job, plan):
        for shade in row.shades:
            if shade.cloth != row.opening.cloth:
                yield (
                    f'{say.shade(shade.id)}: its cloth is "{say.name(shade.cloth)}", not '
                    f'"{say.name(row.opening.cloth)}"'
                )


def _copies(opening: Opening) -> range:
    return range(1, opening.copies + 1)


def _length(opening: Opening) -> Ticks:
    """Finished length of an opening's shades."""
    return opening.height + (opening.overlap if opening.mount == "outside" else 0)


# --- panels cut for the shades ----------------------------------------------------------------


@dataclass(frozen=True)
class _Size:
    """What a shade asks for of one cloth; hems are exact."""

    across: Ticks
    along: Ticks
    hem_left: Fraction
    hem_top: Fraction


def _size(job: Job, cloth: Cloth, width: Ticks, length: Ticks, railroaded: bool) -> _Size:
    """Cut size and hems of a panel.

    Side hems at both sides; both pockets, their take-up and a turn-under at each end. What shrinks
    by a fraction s is cut 1 / (1 - s) larger, and cut sizes go up to the step once. Source: common
    practice.
    """
    make = job.make
    keep_across, keep_along = 1 - cloth.shrink_across, 1 - cloth.shrink_down
    keep_width, keep_length = (keep_along, keep_across) if railroaded else (keep_across, keep_along)
    at_board, at_rod = _take_up(make)
    top = make.turn_under + make.board_pocket + at_board
    bottom = make.turn_under + make.rod_pocket + at_rod
    cut_width = _up(job, (width + 2 * _side(make)) / keep_width)
    cut_length = _up(job, (length + top + bottom) / keep_length)
    return _Size(
        across=cut_length if railroaded else cut_width,
        along=cut_width if railroaded else cut_length,
        hem_left=_side(make) / keep_width,
        hem_top=top / keep_length,
    )


def _up(job: Job, size: Fraction) -> Ticks:
    return ceil_to(size - _HAIR, job.step)


def _side(make: Make) -> Ticks:
    """What a shade takes at one side: its hem, or the seam of a lined one's knife edge."""
    return make.seam if make.lining else make.side_folds * make.side_fold


def _take_up(make: Make) -> tuple[Fraction, Fraction]:
    """Length lost at the board and at the rod; a stated take-up is shared evenly."""
    if make.take_up != "computed":
        return Fraction(make.take_up, 2), Fraction(make.take_up, 2)
    return (
        Fraction(_board_take_up(make.board_pocket, make.board)),
        Fraction(_rod_take_up(make.rod_pocket, make.rod)),
    )


@cache
def _board_take_up(pocket: Ticks, side: Ticks) -> float:
    """Ticks by which a square board shortens its pocket.

    Of the loop's 2p, the board's top and sides take 3s; the rest runs as two equal legs from its
    lower edges to the seam below its middle. Source: Pythagoras.
    """
    leg = pocket - 1.5 * side
    return pocket - side - sqrt(leg * leg - side * side / 4)


@cache
def _rod_take_up(pocket: Ticks, diameter: Ticks) -> float:
    """Ticks by which a round rod shortens its pocket.

    With h from the seam to the rod's middle, the loop is 2 sqrt(h^2 - r^2) + r (2 pi - 2 acos(r/h))
    long and grows with h; it is 2p at some h from r, where it is the rod's girth, to p - r, where
    the depth it hangs would be all of p. Found by halving. Source: a taut belt around a circle and
    a point.
    """
    radius = diameter / 2
    low, high = radius, pocket - radius
    while low < (middle := (low + high) / 2) < high:
        wrap = radius * (2 * pi - 2 * acos(radius / middle))
        loop = 2 * sqrt(middle * middle - radius * radius) + wrap
        low, high = (middle, high) if loop < 2 * pocket else (low, middle)
    return pocket - (high + radius)


def _pockets_too_small(job: Job) -> Faults:
    """Pockets that their stick does not go into, so that there is no take-up and no cut size."""
    make = job.make
    for pocket, stick, least in (
        (make.board_pocket, "board", 2 * make.board),
        (make.rod_pocket, "rod", pi * make.rod / 2),
    ):
        if pocket < least:
            yield (
                f"the job: no plan can be right, for its {stick} does not go into a pocket "
                f"{say.long(job.tape, pocket)} deep"
            )


@dataclass(frozen=True)
class _Cut:
    """A panel with the shade, opening and cloth it is for."""

    panel: Panel
    shade: Shade
    opening: Opening
    cloth: Cloth

    @property
    def row(self) -> tuple[str, int]:
        return self.opening.name, self.shade.copy_

    @property
    def start(self) -> Ticks | None:
        """From the start of its piece to a motif; None where the bolt may begin anywhere."""
        if self.panel.piece == BOLT:
            start = self.cloth.start
            return 0 if start == "motif" else start if isinstance(start, int) else None
        return next((p.start or 0 for p in self.cloth.pieces if p.name == self.panel.piece), 0)

    @property
    def _along(self) -> Ticks:
        """Where the panel begins along its piece, from a motif if one is known."""
        return self.panel.y - (self.start or 0)

    @property
    def apart(self) -> str:
        """What tells its print from that of other cuts: its piece, if no motif is known on it."""
        return self.panel.piece if self.start is None else ""

    @property
    def top(self) -> Ticks:
        """The face's top along the motif's vertical on the roll."""
        return (self.panel.x if self.panel.railroaded else self._along) + self.panel.hem_top

    @property
    def side(self) -> Ticks:
        """The face's left side across the motif's vertical on the roll."""
        return (self._along if self.panel.railroaded else self.panel.x) + self.panel.hem_left

    @property
    def keep_length(self) -> Fraction:
        """What shrinking leaves along the motif's vertical."""
        cloth = self.cloth
        return 1 - (cloth.shrink_across if self.panel.railroaded else cloth.shrink_down)

    @property
    def keep_width(self) -> Fraction:
        """What shrinking leaves across the motif's vertical."""
        cloth = self.cloth
        return 1 - (cloth.shrink_down if self.panel.railroaded else cloth.shrink_across)


def _cuts(job: Job, plan: Plan) -> Iterator[_Cut]:
    """The panels whose shade the job and the plan know."""
    shades = {shade.id: shade for shade in plan.shades}
    openings = {opening.name: opening for opening in job.openings}
    for panel in plan.panels:
        shade = shades.get(panel.shade)
        opening = openings.get(shade.opening) if shade else None
        name = opening.cloth if opening and panel.part == "face" else job.make.lining
        if shade and opening and name:
            yield _Cut(panel, shade, opening, job.cloth(name))


def panels_are_complete(job: Job, plan: Plan) -> Faults:
    """Every shade has one face, and one lining where shades are lined, each of the right cloth;
    and there are no others."""
    parts = {"face": 1, **({"lining": 1} if job.make.lining else {})}
    found = Counter((panel.shade, panel.part) for panel in plan.panels)
    for shade in plan.shades:
        for part in ("face", "lining"):
            count, wanted = found[shade.id, part], parts.get(part, 0)
            if count != wanted:
                yield f"{say.shade(shade.id)}: has {count} {part} panels, not {wanted}"
    ids = {shade.id for shade in plan.shades}
    for panel in plan.panels:
        if panel.shade not in ids:
            yield f"{say.panel(panel)}: the plan has no such shade"
    for cut in _cuts(job, plan):
        if cut.panel.cloth != cut.cloth.name:
            yield (
                f'{say.panel(cut.panel)}: its cloth is "{say.name(cut.panel.cloth)}", not '
                f'"{say.name(cut.cloth.name)}"'
            )


def panels_are_cut_to_size(job: Job, plan: Plan) -> Faults:
    """Every panel is exactly as large as its shade asks, the way it lies."""
    for cut in _cuts(job, plan):
        panel, shade = cut.panel, cut.shade
        width, length = shade.finished_width, shade.finished_length
        size = _size(job, cut.cloth, width, length, panel.railroaded)
        for side, found, wanted in (
            ("across the roll", panel.across, size.across),
            ("along the roll", panel.along, size.along),
        ):
            if found != wanted:
                a, b = say.two(job.tape, found, wanted)
                yield f"{say.panel(panel)}: is cut {a} {side}, not {b}"


def hems_are_exact(job: Job, plan: Plan) -> Faults:
    """Hems are what the making takes, to the nearest tick."""
    for cut in _cuts(job, plan):
        panel, shade = cut.panel, cut.shade
        width, length = shade.finished_width, shade.finished_length
        size = _size(job, cut.cloth, width, length, panel.railroaded)
        for hem, found, wanted in (
            ("side", panel.hem_left, size.hem_left),
            ("top", panel.hem_top, size.hem_top),
        ):
            if abs(found - wanted) > Fraction(1, 2) + _HAIR:
                a, b = say.two(job.tape, found, nearest(wanted))
                yield f"{say.panel(panel)}: its {hem} hem is {a}, not {b}"


def panels_lie_as_cloth_runs(job: Job, plan: Plan) -> Faults:
    """Every panel lies the way its cloth may run, and all of one part of an opening alike."""
    first: dict[tuple[tuple[str, int], str], Panel] = {}
    for cut in _cuts(job, plan):
        panel = cut.panel
        if panel.railroaded not in _turns(cut.cloth):
            yield (
                f'{say.panel(panel)}: lies {_way(panel)}, but "{say.name(cut.cloth.name)}" runs '
                f"{cut.cloth.runs}"
            )
        other = first.setdefault((cut.row, panel.part), panel)
        if panel.railroaded != other.railroaded:
            yield (
                f"{say.panel(panel)}: lies {_way(panel)}, but {say.panel(other)} lies {_way(other)}"
            )


def _way(panel: Panel) -> str:
    return "railroaded" if panel.railroaded else "up the bolt"


# --- where panels and drops lie ---------------------------------------------------------------


def panels_lie_in_their_drops(job: Job, plan: Plan) -> Faults:
    """Every panel lies within its drop and within the usable width of its cloth."""
    drops = {(drop.cloth, drop.piece, drop.number): drop for drop in plan.drops}
    usable = {cloth.name: cloth.usable for cloth in job.cloths}
    for panel in plan.panels:
        right, end = panel.x + panel.across, panel.y + panel.along
        width = usable.get(panel.cloth)
        if panel.x < 0:
            before = say.long(job.tape, -panel.x)
            yield f"{say.panel(panel)}: begins {before} left of the usable width"
        if width is not None and right > width:
            a, b = say.two(job.tape, right, width)
            yield f"{say.panel(panel)}: reaches to {a} across, beyond the usable width, {b}"
        drop = drops.get((panel.cloth, panel.piece, panel.drop))
        if drop is None:
            yield f"{say.panel(panel)}: there is no drop {panel.drop} of its piece"
            continue
        if panel.y < drop.start:
            a, b = say.two(job.tape, panel.y, drop.start)
            yield f"{say.panel(panel)}: begins at {a}, before its drop {drop.number} does, at {b}"
        if end > drop.end:
            a, b = say.two(job.tape, end, drop.end)
            yield f"{say.panel(panel)}: ends at {a}, after its drop {drop.number} does, at {b}"


def panels_do_not_overlap(job: Job, plan: Plan) -> Faults:
    """No two panels take the same cloth."""
    pieces = defaultdict(list)
    for panel in plan.panels:
        pieces[panel.cloth, panel.piece].append(panel)
    for panels in pieces.values():
        areas = [_area(panel) for panel in panels]
        for one, other in overlapping(areas, _MOST_PAIRS):
            across, along = areas[one].shared(areas[other])
            by = f"{say.long(job.tape, across)} across and {say.long(job.tape, along)} along"
            yield f"{say.panel(panels[one])} and {say.panel(panels[other])}: they overlap by {by}"


def _area(panel: Panel) -> Area:
    return Area(panel.x, panel.y, panel.across, panel.along)


def drops_are_cut_in_three_stages(job: Job, plan: Plan) -> Faults:
    """A drop falls into panels by cutting it lengthwise into columns, and each column across."""
    drops = defaultdict(list)
    for panel in plan.panels:
        drops[panel.cloth, panel.piece, panel.drop].append(panel)
    for panels in drops.values():
        for column in _columns(panels):
            areas = [_area(panel) for panel in column]
            # Each of these pairs is a fault: those that overlap as well are told of as such.
            for one, other in side_by_side(areas, _MOST_PAIRS):
                across, along = areas[one].shared(areas[other])
                if across <= 0:
                    yield (
                        f"{say.panel(column[one])} and {say.panel(column[other])}: no lengthwise "
                        f"cut parts them, and a cut across goes through one, for "
                        f"{say.long(job.tape, along)} of both lies side by side"
                    )


def _columns(panels: list[Panel]) -> list[list[Panel]]:
    """Panels of a drop that no lengthwise cut parts from one another."""
    columns: list[list[Panel]] = []
    edge: Ticks = 0
    for panel in sorted(panels, key=lambda panel: panel.x):
        if not columns or panel.x >= edge:
            columns.append([])
            edge = panel.x
        columns[-1].append(panel)
        edge = max(edge, panel.x + panel.across)
    return columns


def _shared(one: tuple[Ticks, Ticks], other: tuple[Ticks, Ticks]) -> Ticks:
    """Length that two stretches, each a start and a size, have in common; negative if apart."""
    return min(one[0] + one[1], other[0] + other[1]) - max(one[0], other[0])


def drops_follow_one_another(job: Job, plan: Plan) -> Faults:
    """Drops are numbered from 1 in cutting order, begin after the square-up, do not overlap, end
    within their piece, and each has panels."""
    lengths = {(piece.cloth, piece.piece): piece.length for piece in plan.pieces}
    filled = {(panel.cloth, panel.piece, panel.drop) for panel in plan.panels}
    for key, drops in _drops(plan).items():
        free, before = job.make.square_up, "the square-up"
        for number, drop in enumerate(drops, 1):
            if drop.number != number:
                yield f"{say.drop(drop)}: is cut in place {number} of its piece"
            if drop.start < free:
                a, b = say.two(job.tape, drop.start, free)
                yield f"{say.drop(drop)}: begins at {a}, before the end of {before}, at {b}"
            if drop.end > lengths.get(key, drop.end):
                a, b = say.two(job.tape, drop.end, lengths[key])
                yield f"{say.drop(drop)}: ends at {a}, beyond its piece, which ends at {b}"
            if (*key, drop.number) not in filled:
                yield f"{say.drop(drop)}: is empty"
            free, before = max(free, drop.end), f"drop {drop.number}"


def _drops(plan: Plan) -> dict[tuple[str, str], list[Drop]]:
    """Each piece's drops, in the plan's order."""
    pieces = defaultdict(list)
    for drop in plan.drops:
        pieces[drop.cloth, drop.piece].append(drop)
    return pieces


def positions_lie_on_the_step(job: Job, plan: Plan) -> Faults:
    """Whatever a repeat does not dictate lies on the cutting step.

    Motif rows dictate where panels lie along the motif's vertical, and motif columns where they
    lie across it; what is dictated along the roll dictates where drops begin and end, too.
    """
    dictated = {cloth.name: _dictated(job, cloth) for cloth in job.cloths}
    for panel in plan.panels:
        for axis, position, words in (("x", panel.x, "across"), ("y", panel.y, "along")):
            if position % job.step and axis not in dictated.get(panel.cloth, ""):
                yield f"{say.panel(panel)}: its position {words} the roll {say.off(job, position)}"
    reached: dict[tuple[str, str, int], set[Ticks]] = defaultdict(set)
    for panel in plan.panels:
        reached[panel.cloth, panel.piece, panel.drop] |= {panel.y, panel.y + panel.along}
    for drop in plan.drops:
        dictates = "y" in dictated.get(drop.cloth, "")
        for end, position in (("start", drop.start), ("end", drop.end)):
            if dictates and position not in reached[drop.cloth, drop.piece, drop.number]:
                yield f"{say.drop(drop)}: no panel of it has its {end} there, and motifs dictate it"
            elif not dictates and position % job.step:
                yield f"{say.drop(drop)}: its {end} {say.off(job, position)}"


def _dictated(job: Job, cloth: Cloth) -> str:
    """The directions on the roll in which a cloth's motifs dictate positions.

    A lining is laid plain, but on the cloth of faces it follows on from them.
    """
    rows, columns = ("x", "y") if cloth.runs == "railroaded" else ("y", "x")
    return {"plain": "", "level": rows}.get(_strategy(job, cloth), rows + columns)


def _strategy(job: Job, cloth: Cloth) -> str:
    """How the faces of a cloth are matched; plain where it has no print, or is no shade's face."""
    if cloth.repeat_down is None or all(o.cloth != cloth.name for o in job.openings):
        return "plain"
    return job.match.strategy or "level"


def motifs_are_level(job: Job, plan: Plan) -> Faults:
    """On matched cloth any two faces show the same motif row at their anchors, to the tick,
    throughout the job or within each copy of an opening, in some column that both can show."""
    groups = defaultdict(list)
    for cut in _matched(job, plan):
        row = cut.row if job.match.across == "opening" else None
        # Railroaded, rows lie across the cloth and are the same on every piece; but which column
        # an unbroken print is cut from is only known where a motif is.
        unbroken = _strategy(job, cut.cloth) == "continuous"
        apart = "" if cut.panel.railroaded and not unbroken else cut.apart
        groups[cut.cloth.name, row, apart].append(cut)
    for (name, *_), cuts in groups.items():
        cloth = job.cloth(name)
        down = cloth.repeat_down or 1
        if _strategy(job, cloth) == "continuous" and cloth.repeat_across:
            rows = _rows_at_centres(job, cloth, cuts)
        else:
            rows = [_anchor(job, cut) % down for cut in cuts]
        allowed = _level_by(cloth)
        models: list[tuple[Ticks, _Cut]] = []
        for usual, _ in Counter(rows).most_common():
            misses = [(_off(usual - height, allowed, down), cut) for height, cut in models]
            out, model = next((miss for miss in misses if miss[0]), (0, None))
            if model is None:
                models.append((usual, cuts[rows.index(usual)]))
                continue
            for cut, height in zip(cuts, rows, strict=True):
                if height == usual:
                    yield (
                        f"{say.panel(cut.panel)}: its motif rows lie "
                        f"{say.exact(job.tape, abs(out))} too {'high' if out > 0 else 'low'} at "
                        f"the {job.match.anchor}, against {say.panel(model.panel)}"
                    )


def _level_by(cloth: Cloth) -> set[Ticks]:
    """What level rows may be apart by, within one repeat.

    The motif stands k D lower k columns on, and both columns must lie on one face. A face is no
    wider than the usable width, which holds so many whole columns; where nobody says how far apart
    they are, the next one counts.
    """
    down, shift = cloth.repeat_down or 1, cloth.column_shift
    most = cloth.usable // cloth.repeat_across if cloth.repeat_across else 1
    return {sign * k * shift % down for k in range(most + 1) for sign in (1, -1)}


def _off(apart: Ticks, allowed: set[Ticks], down: Ticks) -> Ticks:
    """By how much rows this far apart miss the nearest allowed; positive if further down."""
    misses = ((apart - each + down // 2) % down - down // 2 for each in sorted(allowed))
    return min(misses, key=abs)


def _rows_at_centres(job: Job, cloth: Cloth, cuts: list[_Cut]) -> list[Ticks]:
    """Where the print of faces is unbroken: the height of each one's anchor as it would be in the
    column that motifs are counted from, were its opening's centre line there.

    That height is the same for all faces of an opening, whose print runs on.
    """
    across, down = cloth.repeat_across or 1, cloth.repeat_down or 1
    lines = [
        cut.side + (Fraction(cut.opening.width, 2) - cut.shade.left) / cut.keep_width
        for cut in cuts
    ]
    first = _a_column(job, cloth)
    if cloth.runs == "railroaded" and any(cut.apart for cut in cuts):
        first = lines[0]
    return [
        (_anchor(job, cut) - round((line - first) / across) * cloth.column_shift) % down
        for cut, line in zip(cuts, lines, strict=True)
    ]


def _matched(job: Job, plan: Plan) -> Iterator[_Cut]:
    """The faces of cloth that is not cut plain."""
    for cut in _cuts(job, plan):
        if cut.panel.part == "face" and _strategy(job, cut.cloth) != "plain":
            yield cut


def _anchor(job: Job, cut: _Cut) -> Ticks:
    """Where the height that rows are matched at lies along the motif's vertical on the roll."""
    opening = cut.opening
    overlap = opening.overlap if opening.mount == "outside" else 0
    below_top = {
        "head": 0,
        "sill": cut.shade.finished_length,
        # Down to the line that heads are measured from; outside, the top hangs above its head.
        "wall": opening.head + overlap,
    }[job.match.anchor]
    return cut.top + nearest(below_top / cut.keep_length)


def motifs_are_centred(job: Job, plan: Plan) -> Faults:
    """Where motifs are centred, one or the middle between two lies on each face's centre line, or
    on that of the opening where the print runs on from shade to shade; to the tick.

    Up the bolt, motif columns lie across the roll from where the job says one is. Railroaded they
    lie along the piece, from its start if that is known; if not, anywhere, but for all faces alike.
    """
    found = defaultdict(list)
    for cut in _matched(job, plan):
        strategy = _strategy(job, cut.cloth)
        if strategy == "level" or not cut.cloth.repeat_across:
            continue
        line = Fraction(cut.shade.finished_width, 2)
        if strategy == "continuous":
            line = Fraction(cut.opening.width, 2) - cut.shade.left
        found[cut.cloth.name, cut.apart].append((cut, cut.side + line / cut.keep_width))
    for (name, apart), lines in found.items():
        cloth = job.cloth(name)
        repeat = cloth.repeat_across or 1
        column = _a_column(job, cloth)
        if apart and cloth.runs == "railroaded":
            column = lines[0][1]
        for cut, line in lines:
            out = (line - column) % repeat
            out = min(out, out - repeat, key=abs)
            if abs(out) > _slack(line, column):
                of = "its" if _strategy(job, cloth) == "centred" else "its opening's"
                to = {"motif": "a motif", "between": "the middle between two motifs"}
                yield (
                    f"{say.panel(cut.panel)}: {of} centre line lies "
                    f"{say.exact(job.tape, nearest(abs(out)))} beside {to[job.match.centre_on]}"
                )


def _slack(*places: Fraction) -> Fraction:
    """What positions may be out by: half a tick for each place that is no whole tick."""
    return Fraction(sum(place.denominator > 1 for place in places), 2)


def _a_column(job: Job, cloth: Cloth) -> Fraction:
    """A motif column, or the middle between two, where centre lines may lie; along a piece it is
    counted from its first motif."""
    first = 0 if cloth.runs == "railroaded" else cloth.motif_at
    between = job.match.centre_on == "between"
    return first + (Fraction(cloth.repeat_across or 0, 2) if between else Fraction(0))


def print_runs_on(job: Job, plan: Plan) -> Faults:
    """Where the print is continuous, the faces of an opening show one cloth that runs on behind the
    gaps: what lies between two of them on the roll is what lies between them on the wall, and a
    whole number of columns, each that much lower, and of repeats."""
    rows = defaultdict(list)
    for cut in _matched(job, plan):
        if _strategy(job, cut.cloth) == "continuous" and cut.cloth.repeat_across:
            rows[cut.row].append(cut)
    for cuts in rows.values():
        cuts.sort(key=lambda cut: cut.shade.place)
        for before, after in pairwise(cuts):
            if before.apart != after.apart:
                continue  # nobody knows how the print of one piece lies to that of the other
            cloth = after.cloth
            across, down = cloth.repeat_across or 1, cloth.repeat_down or 1
            apart = Fraction(after.shade.left - before.shade.left) / after.keep_width
            beyond = after.side - before.side - apart
            columns = round(beyond / across)
            out = beyond - columns * Fraction(across)
            lower = (after.top - before.top - columns * cloth.column_shift) % down
            lower = min(lower, lower - down, key=abs)
            lines = (
                (Fraction(cut.opening.width, 2) - cut.shade.left) / cut.keep_width
                for cut in (before, after)
            )
            if abs(out) > _slack(*lines) or lower:
                by = [
                    f"{say.exact(job.tape, nearest(abs(off)))} {words[off < 0]}"
                    for off, words in ((out, ("left", "right")), (Fraction(lower), ("high", "low")))
                    if nearest(abs(off))
                ]
                yield (
                    f"{say.panel(after.panel)}: the print does not run on from "
                    f"{say.shade(before.shade.id)}; it lies {' and '.join(by)} of where it should"
                )


# --- cloth bought, and money ------------------------------------------------------------------


def pieces_are_what_is_used(job: Job, plan: Plan) -> Faults:
    """Every cloth used comes off pieces on hand, as long as they are, or one that is bought, the
    bolt; nothing is listed that is not used, and nothing used that is not listed."""
    known = {cloth.name for cloth in job.cloths}
    on_hand = {(cloth.name, p.name): p.length for cloth in job.cloths for p in cloth.pieces}
    listed = Counter((piece.cloth, piece.piece) for piece in plan.pieces)
    for piece in plan.pieces:
        if piece.cloth not in known:
            yield (
                f"{say.piece(piece.cloth, piece.piece)}: the job has no cloth "
                f'"{say.name(piece.cloth)}"'
            )
        length = on_hand.get((piece.cloth, piece.piece))
        if piece.bought != (piece.piece == BOLT):
            what = "is bought" if piece.bought else "is not bought"
            yield f"{say.piece(piece.cloth, piece.piece)}: {what}, and only the {BOLT} ever is"
        elif not piece.bought and length is None:
            yield f"{say.piece(piece.cloth, piece.piece)}: the job has no such cloth on hand"
        elif length is not None and not piece.bought and piece.length != length:
            a, b = say.two(job.tape, piece.length, length)
            yield f"{say.piece(piece.cloth, piece.piece)}: is said to be {a} long, not {b}"
    for (cloth, name), count in listed.items():
        if count > 1:
            yield f"{say.piece(cloth, name)}: is listed {count} times"
    drops = _drops(plan)
    for cloth, name in sorted(listed.keys() - drops.keys()):
        yield f"{say.piece(cloth, name)}: is listed, but nothing is cut from it"
    for cloth, name in sorted(drops.keys() - listed.keys()):
        yield f"{say.piece(cloth, name)}: is cut, but not listed"


def used_is_the_last_drops_end(job: Job, plan: Plan) -> Faults:
    """A piece is used up to the end of its last drop."""
    drops = _drops(plan)
    for piece in plan.pieces:
        end = max((drop.end for drop in drops.get((piece.cloth, piece.piece), [])), default=None)
        if end is not None and piece.used != end:
            a, b = say.two(job.tape, piece.used, end)
            yield f"{say.piece(piece.cloth, piece.piece)}: {a} is said to be used, not {b}"


def bought_is_just_enough(job: Job, plan: Plan) -> Faults:
    """What is bought is what is used, and one repeat where a bolt's start is unknown, up to the
    next buying step."""
    for piece in plan.pieces:
        cloth = _known(job, piece.cloth)
        if cloth is None or not piece.bought:
            continue
        need = piece.used + _start_allowance(job, cloth)
        wanted = ceil_to(need, cloth.sold_in)
        a, b = say.two(job.tape, piece.length, wanted, Tape.cloth)
        name = say.piece(piece.cloth, piece.piece)
        if piece.length % cloth.sold_in:
            sold = job.tape.cloth(cloth.sold_in)
            yield f"{name}: its length {a} is no whole number of buying steps of {sold}"
        elif piece.length < wanted:
            yield f"{name}: its length {a} is not enough; it takes {b}"
        elif piece.length > wanted:
            yield f"{name}: its length {a} is more than needed; {b} is enough"


def _start_allowance(job: Job, cloth: Cloth) -> Ticks:
    """Bought in addition where the bolt may begin anywhere in the repeat and faces are matched.

    One repeat along the roll, once. Source: "Figuring Pattern Repeats", diyideas.com.
    """
    if cloth.start != "any" or _strategy(job, cloth) == "plain":
        return 0
    return (cloth.repeat_across if cloth.runs == "railroaded" else cloth.repeat_down) or 0


def cloth_can_be_bought(job: Job, plan: Plan) -> Faults:
    """Nothing is bought of a cloth that cannot be."""
    for piece in plan.pieces:
        cloth = _known(job, piece.cloth)
        if cloth is not None and piece.bought and not cloth.can_buy:
            yield f"{say.piece(piece.cloth, piece.piece)}: no more of this cloth can be bought"


def flaws_are_left_out(job: Job, plan: Plan) -> Faults:
    """No panel lies over any part of a flaw."""
    pieces = {(c.name, p.name): (c, p) for c in job.cloths for p in c.pieces}
    for panel in plan.panels:
        cloth, piece = pieces.get((panel.cloth, panel.piece), (None, None))
        if cloth is None or piece is None:
            continue
        for number, flaw in enumerate(piece.flaws, 1):
            left, right = 0, cloth.width
            if flaw.left is not None and flaw.right is not None:
                left, right = flaw.left, flaw.right
            # Flaws are measured from the cloth's edge, panels from where it is usable.
            beside = _shared((panel.x + cloth.selvedge, panel.across), (left, right - left))
            along = _shared((panel.y, panel.along), (flaw.start, flaw.end - flaw.start))
            if beside > 0 and along > 0:
                yield (
                    f"{say.panel(panel)}: lies over {say.long(job.tape, along)} of flaw {number} "
                    f"of {say.piece(panel.cloth, panel.piece)}"
                )


def lots_are_kept(job: Job, plan: Plan) -> Faults:
    """The shades of each copy of an opening, or of the whole job, are cut from one dye lot of each
    cloth, unless the job has no such rule; cloth of no stated lot counts as one lot."""
    if job.match.lots == "none":
        return
    lots = {(c.name, p.name): p.lot for c in job.cloths for p in c.pieces}
    found: dict[tuple[str, tuple[str, int]], dict[str | None, Panel]] = defaultdict(dict)
    for cut in _cuts(job, plan):
        panel = cut.panel
        whose = cut.row if job.match.lots == "opening" else ("the job", 0)
        found[panel.cloth, whose].setdefault(lots.get((panel.cloth, panel.piece)), panel)
    for (cloth, whose), by_lot in found.items():
        if len(by_lot) > 1:
            names = ", ".join("none stated" if lot is None else say.name(lot) for lot in by_lot)
            one, other, *_ = by_lot.values()
            of = f'"{say.name(whose[0])}" copy {whose[1]}' if whose[1] else whose[0]
            yield (
                f'{of}: is cut from several dye lots of "{say.name(cloth)}" ({names}), as for '
                f"{say.panel(one)} and {say.panel(other)}"
            )


def costs_are_right(job: Job, plan: Plan) -> Faults:
    """Each piece costs its length at the cloth's price, nothing where the job states none; the
    whole costs the pieces, and what each shade costs apart from cloth."""
    total = (job.make.shade_cost or 0) * len(plan.shades)
    for piece in plan.pieces:
        total += Fraction(piece.cost)
        cloth = _known(job, piece.cloth)
        if cloth is None:
            continue
        cost = (cloth.price or Fraction(0)) * piece.length / job.price_unit if piece.bought else 0
        if not _same(piece.cost, cost):
            yield (
                f"{say.piece(piece.cloth, piece.piece)}: its cost is {say.number(piece.cost)}, not "
                f"{say.number(cost)}"
            )
    if not _same(plan.totals.cost, total):
        yield f"totals: the cost is {say.number(plan.totals.cost)}, not {say.number(total)}"


def totals_are_right(job: Job, plan: Plan) -> Faults:
    """Number of shades, length bought of each cloth, and waste as a fraction of usable cloth."""
    if plan.totals.shades != len(plan.shades):
        yield f"totals: {plan.totals.shades} shades are counted, not {len(plan.shades)}"
    bought: Counter[str] = Counter()
    for piece in plan.pieces:
        if piece.bought:
            bought[piece.cloth] += piece.length
    for name in sorted(bought.keys() | plan.totals.bought.keys()):
        if name not in plan.totals.bought:
            yield f'totals: what is bought of "{say.name(name)}" is missing'
        elif name not in bought:
            yield f'totals: nothing is bought of "{say.name(name)}", but it is listed'
        elif plan.totals.bought[name] != bought[name]:
            a, b = say.two(job.tape, plan.totals.bought[name], bought[name], Tape.cloth)
            yield f'totals: {a} of "{say.name(name)}" is said to be bought, not {b}'
    area = sum(panel.across * panel.along for panel in plan.panels)
    usable = {cloth.name: cloth.usable for cloth in job.cloths}
    cloth_used = sum(usable.get(piece.cloth, 0) * piece.used for piece in plan.pieces)
    waste = 1 - Fraction(area, cloth_used) if cloth_used else Fraction(0)
    if abs(Fraction(plan.totals.waste) - waste) > _RELATIVE:
        yield f"totals: the waste is {say.number(plan.totals.waste)}, not {say.number(waste)}"


# --- the proof --------------------------------------------------------------------------------


def goals_are_reached(job: Job, plan: Plan) -> Faults:
    """The proof's goals are those of the job, in their order, each with what the plan reaches."""
    needed = {opening.cloth for opening in job.openings} | {job.make.lining or ""}
    priced = all(cloth.price is not None for cloth in job.cloths if cloth.name in needed)
    widths = {p.along if p.railroaded else p.across for p in plan.panels}
    gaps = [
        after.left - before.left - before.finished_width
        for row in _rows(job, plan)
        for before, after in pairwise(row.shades)
    ]
    reached: dict[str, int | float] = {
        "money": plan.totals.cost,
        "bought": sum(piece.length for piece in plan.pieces if piece.bought),
        "shades": len(plan.shades),
        "used": sum(piece.used for piece in plan.pieces),
        "widths": len(widths),
        "gaps": sum(gaps),
    }
    order = ["money" if priced else "bought", "shades", "used", "widths", "gaps"]
    found = [goal.goal for goal in plan.proof.goals]
    if found != order:
        yield f"proof: the goals are {', '.join(found) or 'none'}, not {', '.join(order)}"
    for goal in plan.proof.goals:
        value = reached[goal.goal]
        if not (_same(goal.value, value) if goal.goal == "money" else goal.value == value):
            yield (
                f"proof: the goal {goal.goal} is said to reach {say.number(goal.value)}, not "
                f"{say.number(value)}"
            )


def bounds_hold(job: Job, plan: Plan) -> Faults:
    """No bound is below nothing, or above what the plan reaches; lengths used add up."""
    proof = plan.proof
    for goal in proof.goals:
        room = _HAIR if goal.goal == "money" else 0
        if goal.bound < 0:
            yield f"proof: the bound of {goal.goal}, {say.number(goal.bound)}, is below nothing"
        if Fraction(goal.bound) > Fraction(goal.value) + room:
            yield (
                f"proof: the bound of {goal.goal}, {say.number(goal.bound)}, is above what the "
                f"plan reaches, {say.number(goal.value)}"
            )
    used = sum(piece.used for piece in plan.pieces)
    if proof.used != used:
        a, b = say.two(job.tape, proof.used, used)
        yield f"proof: {a} is said to be used in all, not {b}"
    if not 0 <= proof.used_bound <= proof.used:
        a, b = say.two(job.tape, proof.used_bound, proof.used)
        yield f"proof: the bound of all that is used, {a}, is not between nothing and {b}"
    if proof.seconds < 0:
        yield f"proof: took {say.number(proof.seconds)} seconds, less than none"


def status_is_honest(_job: Job, plan: Plan) -> Faults:
    """A plan is proved if, and only if, every goal meets its bound."""
    open_goals = [
        goal.goal
        for goal in plan.proof.goals
        if abs(Fraction(goal.value) - Fraction(goal.bound)) > (_HAIR if goal.goal == "money" else 0)
    ]
    if plan.proof.status == "proved" and open_goals:
        yield f"proof: is called proved, but its bounds are not met for {', '.join(open_goals)}"
    if plan.proof.status == "gap" and not open_goals:
        yield "proof: is said to leave a gap, but every goal meets its bound"


def _known(job: Job, name: str) -> Cloth | None:
    return next((cloth for cloth in job.cloths if cloth.name == name), None)


def _same(found: float, wanted: float | Fraction) -> bool:
    """Whether two sums of money are the same but for what floats lose."""
    off = abs(Fraction(found) - Fraction(wanted))
    return off <= max(_HAIR, _RELATIVE * abs(Fraction(wanted)))


# --- the rule book ------------------------------------------------------------------------------


RULES: tuple[Rule, ...] = (
    title_is_the_jobs,
    openings_are_covered,
    counts_are_asked_for,
    widths_are_allowed,
    widths_match,
    gaps_are_allowed,
    edges_fill_openings,
    lengths_cover_openings,
    draws_are_asked_for,
    shades_are_of_their_cloth,
    panels_are_complete,
    panels_are_cut_to_size,
    hems_are_exact,
    panels_lie_as_cloth_runs,
    panels_lie_in_their_drops,
    panels_do_not_overlap,
    drops_are_cut_in_three_stages,
    drops_follow_one_another,
    positions_lie_on_the_step,
    motifs_are_level,
    motifs_are_centred,
    print_runs_on,
    pieces_are_what_is_used,
    used_is_the_last_drops_end,
    bought_is_just_enough,
    cloth_can_be_bought,
    flaws_are_left_out,
    lots_are_kept,
    costs_are_right,
    totals_are_right,
    goals_are_reached,
    bounds_hold,
    status_is_honest,
    *MAKING_RULES,
    *BEGUN_RULES,
)
"""The rule book. What each asks is in its docstring; all of them are asked of every plan whose
file has the shape of one."""
