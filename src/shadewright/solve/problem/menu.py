"""From a job to the problem the model solves: each opening's options, each cloth's roll."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import cached_property
from itertools import islice

from shadewright.cloth.lattice import Slot
from shadewright.job.model import Job, Opening
from shadewright.measure import Ticks
from shadewright.solve.effort import USUAL
from shadewright.solve.problem.agreement import LAY, can_agree, common_topics, with_common_values
from shadewright.solve.problem.kinds import (
    CUT_ALREADY,
    Agreed,
    Kind,
    Option,
    Problem,
    Rect,
    Topic,
    Value,
)
from shadewright.solve.problem.reach import (
    TooLongError,
    longest_refused,
    no_room_to_spare,
    short_enough,
)
from shadewright.solve.problem.slots import MOST_TURNS, Match, settled
from shadewright.solve.problem.widths import divisions, floor_widths, in_all_orders, promising
from shadewright.trade.counts import counts
from shadewright.trade.divisions import (
    Part,
    Way,
    clear_width,
    cloths_of,
    divisible,
    equal_widths,
    lefts,
    limits,
    one_lay,
    panels,
    tied,
    ways,
)
from shadewright.trade.making import unmakeable
from shadewright.trade.refusal import CannotMeetError, Refusal
from shadewright.trade.sizes import PanelSize
from shadewright.trade.worth import worth_of_shades

JobProblem = tuple[Problem, tuple[tuple[Opening, ...], ...]]
"""A job's problem, and which openings each of its kinds stands for."""


def problem(job: Job) -> JobProblem:
    """The problem of a job, and which openings each of its kinds stands for.

    Raises:
        CannotMeetError: openings that cannot be divided or matched as asked, all of them at once.
    """
    return varied_problem([(frozenset(), job)])


Gives = frozenset[str]
"""What an option gives up of what a job asks for."""


@dataclass(frozen=True)
class Begun:
    """A copy of an opening whose division stands, since some of its panels are cut.

    Attributes:
        opening: this copy alone.
        widths: finished, left to right.
        there: panels that are cut, each the place of its shade from 0 on and its part.
        row: where its rows start, as a point's row (`Match.slots`); None where any start will do.
    """

    opening: Opening
    widths: tuple[Ticks, ...]
    way: Way
    there: frozenset[tuple[int, str]]
    row: Ticks | None


def varied_problem(
    variants: Sequence[tuple[Gives, Job]],
    begun: Sequence[Begun] = (),
    named: Mapping[str, str] | None = None,
) -> JobProblem:
    """The problem of a job whose openings may also be made as variants of it say.

    Args:
        variants: the job, and others of it that differ in nothing but facts of their openings,
            those that give up least first; each with what it gives up.
        begun: openings of the job, one copy each, that are begun already.
        named: for openings that are copies of others, the name of these.

    Returns:
        The problem, and which openings each of its kinds stands for.

    Raises:
        CannotMeetError: openings that cannot be divided or matched in any variant; the reasons are
            those of the first.
    """
    ties = _Ties.of(variants[0][1], begun, named or {})
    told = [_Variant(gives, job, ties) for gives, job in variants]
    job, matches = told[0].job, told[0].matches
    refusals: list[Refusal] = [*unmakeable(job.make, job.tape), *_unplanned(job, matches)]
    alike: dict[tuple[Opening, str | None], list[Opening]] = {}
    kinds: list[Kind] = []
    too_long: list[TooLongError] = []
    standing = {each.opening.name for each in begun}
    for opening in job.openings:
        if opening.name not in standing:
            key = _told_by(job, opening), ties.told_by(opening)
            alike.setdefault(key, []).append(opening)
    for group in alike.values():
        try:
            if not refusals:
                copies = sum(opening.copies for opening in group)
                kinds.append(_varied_kind(told, group[0].name, copies))
            else:
                counts(job, group[0])
        except CannotMeetError as why:
            refusals += why.refusals
        except TooLongError as why:
            too_long.append(why)
    refusals += longest_refused(job, too_long)
    refusals += no_room_to_spare(job, kinds)
    kinds += [_begun_kind(job, matches, ties, each) for each in begun]
    groups = (*map(tuple, alike.values()), *((each.opening,) for each in begun))
    if not refusals:
        refusals += _disagreements(job, kinds, groups)
    kinds = with_common_values(kinds)
    if refusals:
        raise CannotMeetError(*dict.fromkeys(refusals))
    used = {rect.roll for kind in kinds for option in kind.options for rect in option.rects}
    settled_kinds = tuple(kinds)
    rolls = []
    for cloth in job.cloths:
        if cloth.name in used:
            roll, settled_kinds = settled(matches[cloth.name].roll(), settled_kinds)
            rolls.append(roll)
    return Problem(settled_kinds, tuple(rolls)), groups


@dataclass(frozen=True)
class _Ties:
    """What openings have in common by the job's own word.

    Attributes:
        alike: openings whose copies are divided alike, by name: the name of what they are told by.
        like: openings with as many shades as others, by name: the first of them.
    """

    alike: Mapping[str, str]
    like: Mapping[str, str]

    @classmethod
    def of(cls, job: Job, begun: Sequence[Begun], named: Mapping[str, str]) -> _Ties:
        """The ties of a job.

        Copies that are begun in different ways are tied to nothing: what is cut is cut.
        """
        copies: Counter[str] = Counter()
        for opening in job.openings:
            copies[named.get(opening.name, opening.name)] += opening.copies
        widths: dict[str, set[tuple[Ticks, ...]]] = {}
        for each in begun:
            name = named.get(each.opening.name, each.opening.name)
            widths.setdefault(name, set()).add(each.widths)
        names = {o.name: named.get(o.name, o.name) for o in job.openings}
        return cls(
            {
                o.name: names[o.name]
                for o in job.openings
                if o.alike and copies[names[o.name]] > 1 and len(widths.get(names[o.name], ())) < 2
            },
            tied(job, named),
        )

    def told_by(self, opening: Opening) -> str | None:
        """What tells an opening from others of its size."""
        return self.alike.get(opening.name)

    def agreed(self, job: Job, opening: Opening, way: Way, widths: tuple[Ticks, ...]) -> Agreed:
        """What a division of an opening says of all that must be agreed on."""
        found: list[tuple[Topic, Value]] = []
        if opening.name in self.alike and opening.alike:
            found.append((("division", self.alike[opening.name]), widths))
        if opening.name in self.like:
            found.append((("shades", self.like[opening.name]), len(widths)))
        face, lining = cloths_of(job, opening)
        for cloth, turned in ((face, way.face), (lining, way.lining)):
            if cloth is not None and one_lay(opening, cloth):
                found.append(((LAY, cloth.name), turned))
        return tuple(dict.fromkeys(found))


def _begun_kind(job: Job, matches: Mapping[str, Match], ties: _Ties, begun: Begun) -> Kind:
    """The kind of a copy whose division stands: what is still to be cut of it."""
    menu = _Menu(job, matches, ties, begun.opening)
    found: dict[Option, None] = {}
    match = menu.match
    points = [((column, row + start), row) for column, row in match.bases for start in match.starts]
    if begun.row is not None:
        point = match.bases[0][0], begun.row
        points = [(point, base) for base in match.bases_of(begun.row)]
    for point, base in points:
        option = menu.begun(begun, point)
        if option is not None:
            found[replace(option, agreed=(*option.agreed, *menu.rows(base)))] = None
    return Kind(1, tuple(found))


@dataclass(frozen=True)
class _Variant:
    """A job, and what it gives up of the one that was asked for."""

    gives: Gives
    job: Job
    ties: _Ties

    @cached_property
    def matches(self) -> dict[str, Match]:
        """How each of its cloths is matched."""
        return {cloth.name: Match(self.job, cloth) for cloth in self.job.cloths}

    @cached_property
    def openings(self) -> dict[str, Opening]:
        """Its openings by name."""
        return {opening.name: opening for opening in self.job.openings}

    def kind(self, name: str, copies: int) -> Kind:
        """The kind of one of its openings."""
        menu = _Menu(self.job, self.matches, self.ties, self.openings[name])
        return _kind(menu, copies)


def _varied_kind(variants: Sequence[_Variant], name: str, copies: int) -> Kind:
    """The kind of an opening with the options of all variants, each marked with the least that it
    gives up."""
    first, *others = variants
    if not others:
        return first.kind(name, copies)
    marked: dict[Option, Gives] = {}
    floors: dict[Option, None] = {}
    complete = True
    why: CannotMeetError | TooLongError | None = None
    for variant in variants:
        gives = variant.gives
        try:
            kind = variant.kind(name, copies)
        except (CannotMeetError, TooLongError) as reason:
            why = why or reason
            continue
        every = -(-len(kind.options) // USUAL.giving) if gives else 1
        for option in kind.options[::every]:
            marked.setdefault(option, gives)
        floors.update(dict.fromkeys(kind.bounding))
        complete = complete and kind.complete and every == 1
    if not marked:
        assert why is not None
        raise why
    options = tuple(replace(option, gives_up=gives) for option, gives in marked.items())
    return Kind(copies, options, complete, () if complete else tuple(floors))


def _disagreements(
    job: Job, kinds: Sequence[Kind], groups: Sequence[Sequence[Opening]]
) -> Iterator[Refusal]:
    """Topics that openings have no common value of, or none that goes with those of the others."""
    empty = [topic for topic, values in common_topics(kinds).items() if not values]
    for what, name in empty:
        if what == "rows":
            yield Refusal(
                "[match] anchor",
                f"railroaded, no rows across {name} suit every opening at the {job.match.anchor}",
                'anchor = "head", or across = "opening", would do',
            )
        elif what == LAY:
            yield Refusal(
                f"[cloth.{name}] runs",
                "all of it lies one way, and no one way suits every opening",
                'runs = "mixed" would do',
            )
        else:
            yield _no_number_in_common(job, kinds, groups, name)
    if empty or can_agree(with_common_values(kinds)):
        return
    topics = dict.fromkeys(what for what, _ in common_topics(kinds))
    would = {
        "shades": "no like",
        LAY: 'runs = "mixed" for its cloth',
        "rows": 'across = "opening"',
        "division": "alike = false",
    }
    enough = [would[what] for what in topics if can_agree(kinds, (what,))]
    tied_to = next((o.name for o in job.openings if o.like is not None), job.openings[0].name)
    yield Refusal(
        f'[[opening]] "{tied_to}" {"like" if "shades" in topics else "runs"}',
        f"each by itself may be had, but not together: {_in_common(topics)}",
        f"{' or '.join(enough or would.values())} would do",
    )


def _in_common(topics: Iterable[str]) -> str:
    """What openings must have in common, in words."""
    words = {
        "shades": "as many shades as another opening (like)",
        LAY: "all cloth laid one way (runs)",
        "rows": "motifs at one height (across)",
        "division": "copies divided alike (alike)",
    }
    return " and ".join(words[what] for what in topics)


def _no_number_in_common(
    job: Job, kinds: Sequence[Kind], groups: Sequence[Sequence[Opening]], name: str
) -> Refusal:
    """Why openings that are to have as many shades as one another have none in common."""
    ties = tied(job, {})
    said = []
    for kind, group in zip(kinds, groups, strict=True):
        numbers = sorted({option.shades for option in kind.options})
        which = f"{numbers[0]}" if len(numbers) == 1 else f"{numbers[0]} to {numbers[-1]}"
        said += [
            f"{opening.name} takes {which}" for opening in group if ties.get(opening.name) == name
        ]
    asking = next(o.name for o in job.openings if o.like is not None and ties.get(o.name) == name)
    return Refusal(
        f'[[opening]] "{asking}" like',
        f"no number of shades suits all that are to have as many: {', '.join(said)}",
        "shades that leave them a number in common, or no like, would do",
    )


def _told_by(job: Job, opening: Opening) -> Opening:
    """What tells openings apart: all that bears on their cuts, and nothing else."""
    blank = {"name": "", "copies": 1, "draw": "auto", "alike": True}
    if job.match.anchor != "wall":
        blank["head"] = 0
    return opening.model_copy(update=blank)


def _unplanned(job: Job, matches: Mapping[str, Match]) -> Iterator[Refusal]:
    """What a job may say that no plan can be made for."""
    used = {o.cloth for o in job.openings} | ({job.make.lining} if job.make.lining else set())
    for cloth in job.cloths:
        if cloth.name not in used:
            continue
        match = matches[cloth.name]
        if match.railroaded and match.points.columns and match.points.turns > MOST_TURNS:
            yield Refusal(
                f"[cloth.{cloth.name}] column_shift",
                f"columns shifted by {job.tape.short(cloth.column_shift)} come level again only "
                f"after {match.points.turns} of them",
                f"a shift that comes level again within {MOST_TURNS} columns would do",
            )


def _kind(menu: _Menu, copies: int) -> Kind:
    job, opening = menu.job, menu.opening
    options: dict[Option, None] = {}
    floors: dict[Option, None] = {}
    complete = True
    possible = [(way, limits(job, opening, way)) for way in ways(job, opening)]
    for count in counts(job, opening):
        for way, limit in possible:
            if limit is None:
                continue
            every = divisions(job, opening, limit, count)
            if opening.widths == "mirrored" and menu.match.order_matters:
                every = in_all_orders(every)
            found = list(islice(every, USUAL.divisions + 1))
            # Free widths come in one order only, which says all unless places matter.
            some = opening.widths == "free" and count > 1 and menu.match.order_matters
            if some or (len(found) > USUAL.divisions and opening.widths != "equal"):
                complete = False
                if len(found) > USUAL.divisions:
                    # Equal widths are always there, so that more freedom is never worse.
                    equal = ((w,) * count for w in equal_widths(job, opening, limit, count))
                    packing_well = promising(job, opening, limit, count)
                    some_of_them = islice(packing_well, USUAL.some_divisions)
                    found = list(dict.fromkeys((*equal, *some_of_them)))
                for floor in floor_widths(job, opening, limit, count):
                    floors[menu.floor(way, floor)] = None
                options.update(dict.fromkeys(menu.options(way, found)))
            else:
                made = dict.fromkeys(menu.options(way, found))
                options.update(made)
                floors.update(made)
    if not options:
        raise CannotMeetError(menu.why_none())
    fitting = short_enough(job, opening, options)
    return Kind(copies, fitting, complete, () if complete else tuple(floors))


@dataclass(frozen=True)
class _Menu:
    """Makes the options of one opening from its divisions."""

    job: Job
    matches: Mapping[str, Match]
    ties: _Ties
    opening: Opening

    @property
    def match(self) -> Match:
        """How the opening's faces are matched."""
        return self.matches[self.opening.cloth]

    def options(self, way: Way, divisions: Iterable[tuple[Ticks, ...]]) -> Iterator[Option]:
        """Options of these divisions: one a base and start of rows, none where a face has no
        slot."""
        points = [
            ((column, row + start), self.rows(row))
            for column, row in self.match.bases
            for start in self.match.starts
        ]
        for widths in divisions:
            for point, rows in points:
                option = self._option(way, widths, point, rows)
                if option is not None:
                    yield option

    def rows(self, base: Ticks) -> Agreed:
        """What is agreed on by options whose motif rows lie from one of several bases."""
        if len(self.match.bases) == 1:
            return ()
        return ((("rows", self.match.cloth.name), base),)

    def floor(self, way: Way, widths: tuple[Ticks, ...]) -> Option:
        """An option that bounds a family of divisions: small panels, anywhere, least gaps, no
        width counted."""
        option = self._option(way, widths, None)
        assert option is not None
        gaps = (len(widths) - 1) * self.opening.gap[0]
        return replace(option, gaps=gaps, cut_widths=frozenset())

    def begun(self, begun: Begun, point: tuple[Ticks, Ticks]) -> Option | None:
        """The option of a division that stands, without the panels that are there."""
        option = self._option(begun.way, begun.widths, point)
        if option is None:
            return None
        parts = tuple(panels(self.job, self.opening, begun.way, begun.widths[0]))
        cut = tuple(
            tuple(
                replace(rect, roll=CUT_ALREADY) if (place, part) in begun.there else rect
                for part, rect in zip(parts, shade, strict=True)
            )
            for place, shade in enumerate(option.cut)
        )
        return replace(option, cut=cut)

    def _option(
        self,
        way: Way,
        widths: tuple[Ticks, ...],
        point: tuple[Ticks, Ticks] | None,
        rows: Agreed = (),
    ) -> Option | None:
        """The option of a division whose anchors lie on this point; with no slots asked if None."""
        job, opening = self.job, self.opening
        face, lining = cloths_of(job, opening)
        cut: list[tuple[Rect, ...]] = []
        cut_widths = set()
        sized = {width: self._sizes(way, width) for width in set(widths)}
        for left, width in zip(lefts(opening, widths, job.step), widths, strict=True):
            shade = []
            for part, size in sized[width].items():
                cloth = face if part == "face" or lining is None else lining
                slots: tuple[Slot, ...] = ()
                if part == "face" and point is not None:
                    slots = self.match.slots(opening, (left, width), size, point)
                    if not slots:
                        return None
                shade.append(Rect(cloth.name, size.across, size.along, slots))
                cut_widths.add(size.cut_width)
            cut.append(tuple(shade))
        gaps = clear_width(opening) - sum(widths)
        cost = self._worth(widths)
        agreed = (*self.ties.agreed(job, opening, way, widths), *rows)
        return Option(widths, way, tuple(cut), gaps, frozenset(cut_widths), agreed, cost=cost)

    def _worth(self, widths: tuple[Ticks, ...]) -> Fraction:
        """What the shades of a division cost or are worth, worked out once for all points."""
        if widths not in self._worths:
            self._worths[widths] = worth_of_shades(self.job, self.opening, widths)
        return self._worths[widths]

    @cached_property
    def _worths(self) -> dict[tuple[Ticks, ...], Fraction]:
        return {}

    def _sizes(self, way: Way, width: Ticks) -> dict[Part, PanelSize]:
        """The panels of a shade, worked out once for all divisions and points."""
        if (way, width) not in self._known:
            self._known[way, width] = panels(self.job, self.opening, way, width)
        return self._known[way, width]

    @cached_property
    def _known(self) -> dict[tuple[Way, Ticks], dict[Part, PanelSize]]:
        return {}

    def why_none(self) -> Refusal:
        """Why no division lets every face fall as asked, and the nearest count that does."""
        job, opening = self.job, self.opening
        listed = not isinstance(opening.draw, str)
        where = f'[[opening]] "{opening.name}" {"draw" if listed else "shades"}'
        asked = counts(job, opening)
        said = "1 shade" if asked[-1] == 1 else f"{asked[-1]} shades"
        if len(asked) > 1:
            said = f"{asked[0]} to {said}"
        found = (
            f"with {said}, no division lets every shade lie {_asked_of(job, self.match)} within "
            f"the {job.tape.short(self.match.cloth.usable)} of usable {self.match.cloth.name}"
        )
        for count in (*range(asked[-1] + 1, asked[-1] + 20), *range(asked[0] - 1, 0, -1)):
            # A list of draws says nothing of other numbers of shades.
            other = replace(self, opening=opening.model_copy(update={"draw": "auto"}))
            if other._possible(count):
                would = f"{count} draws, for as many shades," if listed else f"shades = {count}"
                return Refusal(where, found, f"{would} would do")
        return Refusal(where, found, 'another [match] strategy, "level" say, would do')

    def _possible(self, count: int) -> bool:
        opening = self.opening
        for way in ways(self.job, opening):
            limit = limits(self.job, opening, way)
            if limit and divisible(self.job, opening, limit, count):
                some = islice(divisions(self.job, opening, limit, count), USUAL.divisions)
                if next(self.options(way, some), None) is not None:
                    return True
        return False


def _asked_of(job: Job, match: Match) -> str:
    what = "stripe" if match.cloth.repeat_down is None else "motif"
    on = f"a {what}" if job.match.centre_on == "motif" else f"the middle between {what}s"
    if match.points.columns is None:
        return "with its rows level"
    if job.match.strategy == "continuous":
        return f"in one unbroken print with {on} in the middle of the opening"
    return f"with {on} on its centre line"
