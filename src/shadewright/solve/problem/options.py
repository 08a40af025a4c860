"""The options of one opening: its divisions, each with the rectangles that are cut for it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import cached_property
from itertools import islice

from shadewright.cloth.lattice import Slot
from shadewright.job.model import Job, Opening
from shadewright.measure import Ticks
from shadewright.solve.effort import Effort
from shadewright.solve.problem.agreement import ROWS
from shadewright.solve.problem.kinds import CUT_ALREADY, Agreed, Kind, Option, Rect
from shadewright.solve.problem.reach import short_enough
from shadewright.solve.problem.slots import Match
from shadewright.solve.problem.ties import Begun, Ties
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
    panels,
    ways,
)
from shadewright.trade.refusal import CannotMeetError, Refusal
from shadewright.trade.sizes import PanelSize
from shadewright.trade.worth import worth_of_shades


def kind_of(menu: Menu, copies: int) -> Kind:
    """The kind of an opening, with so many copies.

    Raises:
        CannotMeetError: no division of it suits the print.
        TooLongError: none is short enough for the cloth there is.
    """
    job, opening, effort = menu.job, menu.opening, menu.effort
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
            found = list(islice(every, effort.divisions + 1))
            # Free widths come in one order only, which says all unless places matter.
            some = opening.widths == "free" and count > 1 and menu.match.order_matters
            if some or (len(found) > effort.divisions and opening.widths != "equal"):
                complete = False
                if len(found) > effort.divisions:
                    # Equal widths are always there, so that more freedom is never worse.
                    equal = ((w,) * count for w in equal_widths(job, opening, limit, count))
                    packing_well = promising(job, opening, limit, count)
                    some_of_them = islice(packing_well, effort.some_divisions)
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


def begun_kind(menu: Menu, begun: Begun) -> Kind:
    """The kind of a copy whose division stands: what is still to be cut of it."""
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
class Menu:
    """Makes the options of one opening from its divisions."""

    job: Job
    matches: Mapping[str, Match]
    ties: Ties
    opening: Opening
    effort: Effort

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

    def division(self, way: Way, widths: tuple[Ticks, ...]) -> Option:
        """The option of a division on cloth without a print, whose linings are still to be settled
        on their roll."""
        return next(self.options(way, (widths,)))

    def shade(self, way: Way, width: Ticks) -> tuple[Rect, ...]:
        """The rectangles of one shade on cloth without a print: its face, and its lining."""
        face, lining = cloths_of(self.job, self.opening)
        return tuple(
            Rect((face if part == "face" or lining is None else lining).name, s.across, s.along)
            for part, s in self._sizes(way, width).items()
        )

    def rows(self, base: Ticks) -> Agreed:
        """What is agreed on by options whose motif rows lie from one of several bases."""
        if len(self.match.bases) == 1 or self.match.own_rows:
            return ()
        return (((ROWS, self.match.cloth.name), base),)

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
                every = divisions(self.job, opening, limit, count)
                some = islice(every, self.effort.divisions)
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
