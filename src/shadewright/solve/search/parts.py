"""Parts of stretches in the model: a roll's rectangles shared out between them, and packed."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from itertools import product
from math import gcd

from ortools.sat.python import cp_model

from shadewright.cloth.stretches import Stretch
from shadewright.measure import Ticks, ceil_to
from shadewright.solve.packing.grid import Grid
from shadewright.solve.packing.lanes import add_lanes
from shadewright.solve.packing.packing import Demand, Packing
from shadewright.solve.packing.rows import add_rows
from shadewright.solve.packing.stacks import add_stacks
from shadewright.solve.packing.templates import Lane, Template, list_templates
from shadewright.solve.packing.turns import add_turns
from shadewright.solve.packing.worths import Worth
from shadewright.solve.problem.kinds import Problem, Rect, Roll
from shadewright.solve.problem.supply import Span, Supply, beside, spots_of
from shadewright.solve.run import Clock
from shadewright.solve.search.candidate import Taken
from shadewright.solve.search.model import Formulation, Part, Place
from shadewright.solve.sums import Terms, total


@dataclass(frozen=True)
class PartBuilder:
    """Adds the parts of rolls to a model.

    Attributes:
        taken: for each kind what may be taken.
        choice: how many copies take each of these.
    """

    problem: Problem
    supply: Supply
    cutting: Formulation
    cp: cp_model.CpModel
    taken: list[list[Taken]]
    choice: list[list[cp_model.IntVar]]
    clock: Clock

    def add(self, roll: Roll) -> list[Part]:
        """Share a roll's rectangles out between its stretches, and pack each of these."""
        most = self.problem.rects(roll)
        asked = {lot: self._asked(roll, lot, most) for lot in self.supply.lots_of(roll.name)}
        these = self.supply.stretches[roll.name]
        if len(these) == 1 and not these[0].spots and these[0].end is None and self._used(roll):
            (stretch,), (demand,) = these, asked.values()
            here = self._placed(roll, stretch)
            packing = self._pack(here, demand, most, (), None)
            end = packing.length + here.lead
            return [Part(stretch, 0, here, (), packing, None, here.lead, end, None)]
        by_stretch = [
            self._add_stretch(self._placed(roll, stretch), stretch, most) for stretch in these
        ]
        for lot, demand in asked.items():
            sources = [p for i in self.supply.of_lot(roll.name, lot) for p in by_stretch[i]]
            for rect, terms in demand.items():
                given = total(
                    (1, part.counts[rect])
                    for part in sources
                    if part.counts and rect in part.counts
                )
                self.cp.add(given == total(terms))
        return [part for parts in by_stretch for part in parts]

    def _asked(self, roll: Roll, lot: str | None, most: Mapping[Rect, int]) -> Demand:
        """What is asked of a dye lot of a roll, as terms of a sum."""
        asked: dict[Rect, Terms] = {rect: [] for rect in most}
        for row, vars_ in zip(self.taken, self.choice, strict=True):
            for each, var in zip(row, vars_, strict=True):
                for rect, count in each.option.demand if each.option else ():
                    if rect.roll == roll.name and each.lot(roll.name) == lot:
                        asked[rect].append((count, var))
        return asked

    def _used(self, roll: Roll) -> bool:
        """Whether something is cut from a roll whatever is taken."""
        return any(
            all(
                each.option is not None and any(r.roll == roll.name for r, _ in each.option.demand)
                for each in row
            )
            for row in self.taken
        )

    def _placed(self, roll: Roll, stretch: Stretch) -> Roll:
        if roll.name in self.cutting.worths and not roll.exact:
            # Bounded without its print, so that no drop waits for it.
            return replace(roll, lead=stretch.start, origin=None)
        return self.supply.placed(roll, stretch)

    def _add_stretch(self, roll: Roll, stretch: Stretch, most: Mapping[Rect, int]) -> list[Part]:
        """The parts of one stretch, cut one after the other."""
        cp = self.cp
        end = self.supply.endless(self.problem, roll) if stretch.end is None else stretch.end
        fits = {r: n for r, n in most.items() if roll.lead + r.along <= end}
        spots = spots_of(roll, stretch)
        limits = [*(spot.start for spot in spots), end]
        parts: list[Part] = []

        def add(spans: tuple[Span, ...], start: Place, limit: Ticks) -> None:
            part = self._add_part(roll, stretch, len(parts), fits, spans, start)
            assert part.empty is not None
            cp.add(part.end <= limit).only_enforce_if(~part.empty)
            if stretch.end is not None or spots:
                part.limit = limit
            parts.append(part)

        at: Place = roll.lead
        for number, limit in enumerate(limits):
            if number:
                at = self._next_start(roll, at, spots[number - 1].end, end)
            add((), at, limit)
            if number == len(spots):
                break
            at = self._whole_end(parts[-1], end)
            spans = beside(roll, spots[number])
            if spans:
                add(spans, at, limits[number + 1])
                at = self._whole_end(parts[-1], end)
        return parts

    def _next_start(self, roll: Roll, at: Place, after: Ticks, end: Ticks) -> cp_model.IntVar:
        """Where a part may begin that follows `at` and lies behind `after`: on the roll's pace."""
        first = roll.lead + ceil_to(max(after - roll.lead, 0), roll.period)
        most = max(end, first) + roll.period
        start = self.cp.new_int_var(0, most, "")
        periods = self.cp.new_int_var(0, most // roll.period, "")
        self.cp.add(start == roll.lead + roll.period * periods)
        self.cp.add(start >= at)
        self.cp.add(start >= first)
        return start

    def _whole_end(self, part: Part, end: Ticks) -> cp_model.IntVar:
        """Where the next part may begin: on the roll's own pace behind this one."""
        whole = part.packing.length if part.packing.whole is None else part.packing.whole
        here = self.cp.new_int_var(0, end + part.packing.longest + part.roll.period, "")
        self.cp.add(here == whole + part.start)
        return here

    def _add_part(  # noqa: PLR0917
        self,
        roll: Roll,
        stretch: Stretch,
        number: int,
        most: Mapping[Rect, int],
        spans: tuple[Span, ...],
        start: Place,
    ) -> Part:
        empty = self.cp.new_bool_var("")
        fits = {
            r: n for r, n in most.items() if not spans or any(r.lies_within(a, b) for a, b in spans)
        }
        counts = {rect: self.cp.new_int_var(0, n, "") for rect, n in fits.items()}
        held = total((1, count) for count in counts.values())
        self.cp.add(held == 0).only_enforce_if(empty)
        self.cp.add(held >= 1).only_enforce_if(~empty)
        packing = Packing(total(()), 0, whole=total(()))
        if fits:
            demand = {rect: [(1, var)] for rect, var in counts.items()}
            packing = self._pack(roll, demand, fits, spans, empty, stretch.end)
        end = packing.length + start
        return Part(stretch, number, roll, spans, packing, counts, start, end, empty)

    def _pack(  # noqa: PLR0917
        self,
        roll: Roll,
        demand: Demand,
        most: Mapping[Rect, int],
        spans: tuple[Span, ...],
        empty: cp_model.IntVar | None,
        end: Ticks | None = None,
    ) -> Packing:
        """Pack what is asked of a part.

        Args:
            end: of its stretch.
        """
        cp, cutting, name = self.cp, self.cutting, roll.name
        if name in cutting.worths:
            grid = bounding_grid(roll, most)
            return _add_worths(cp, grid, cutting.worths[name], demand, most, empty)
        if name in cutting.turns:
            few = self.clock.effort.few_begins
            return add_turns(cp, roll, cutting.turns[name], demand, most, few, empty=empty)
        if name in cutting.rows:
            stacks, longest = cutting.rows[name]
            if end is not None:
                longest = min(longest, end - roll.lead)
            return add_rows(cp, roll, stacks.of(most), demand, longest, empty=empty)
        grid = Grid.of(roll, most)
        if spans:
            return add_lanes(
                cp, grid, _within(roll, most, spans, self.clock), demand, most, empty=empty
            )
        if name in cutting.stacks:
            return add_stacks(cp, grid, demand, most, empty=empty)
        return add_lanes(cp, grid, cutting.templates[name], demand, most, empty=empty)


def _within(
    roll: Roll, rects: Iterable[Rect], spans: tuple[Span, ...], clock: Clock
) -> list[Template]:
    """Templates whose lanes lie within these spans."""
    these = list(rects)
    listed: list[list[Template]] = []
    for left, right in spans:
        narrow = Grid.of(replace(roll, usable=right - left), these)
        within = [_from(rect, left) for rect in these if rect.lies_within(left, right)]
        found, _ = list_templates(narrow, within, clock) if within else ([()], True)
        listed.append(
            [tuple(Lane(lane.left + left, lane.right + left) for lane in t) for t in found]
        )
    return [
        tuple(lane for template in together for lane in template) for together in product(*listed)
    ]


def _from(rect: Rect, left: Ticks) -> Rect:
    """A rectangle with its places counted from `left` on."""
    if rect.anywhere:
        return rect
    return replace(rect, slots=tuple(s._replace(first=s.from_(left) - left) for s in rect.slots))


def _add_worths(  # noqa: PLR0917
    cp: cp_model.CpModel,
    grid: Grid,
    worths: list[Worth],
    demand: Demand,
    most: Mapping[Rect, int],
    empty: cp_model.IntVar | None,
) -> Packing:
    """Hold a part's length above what its rectangles are worth."""
    longest = sum(grid.units(rect) * n for rect, n in most.items())
    units = cp.new_int_var(0, longest, f"{grid.roll.name} length")
    for worth in worths:
        asked = (
            (worth.of(grid, rect) * by, var) for rect, terms in demand.items() for by, var in terms
        )
        cp.add(worth.kappa(grid) * units >= total(asked))
    if empty is not None:
        cp.add(units == 0).only_enforce_if(empty)
    return Packing(grid.unit * units - max(map(grid.tail, demand)), grid.unit * longest)


def bounding_grid(roll: Roll, rects: Mapping[Rect, object]) -> Grid:
    """The grid to bound a roll by: without its period where that does not say all.

    Where there are several phases, all starts lie a common divisor of their distances apart.
    """
    if not roll.exact:
        return Grid.of(Roll(roll.name, roll.usable, lead=roll.lead), rects)
    pace = gcd(roll.period, *(node - roll.nodes[0] for node in roll.nodes))
    return Grid.of(replace(roll, period=pace, nodes=(0,)), rects)
