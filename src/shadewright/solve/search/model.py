"""The constraint model: one choice of option for every opening, and a packing of every stretch.

Variables: how many copies of each kind of opening take each option (and from which dye lots, where
a job asks for one), how many of each rectangle come from each part of each stretch, and for each
part what its packing needs: lanes, stacks, or rows. A model may instead *bound* its rolls: then a
part's length is only held above what its rectangles are worth, or what its turns are, and every
plan of the problem satisfies the model.

Goals are expressions, minimised one after the other, each with those before it held.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import product

from ortools.sat.python import cp_model

from shadewright.cloth.stretches import Stretch
from shadewright.measure import Ticks, ceil_to
from shadewright.solve.effort import USUAL
from shadewright.solve.packing.grid import Grid
from shadewright.solve.packing.lanes import (
    CutDrop,
    Lane,
    LanePacking,
    Packing,
    Template,
    add_lanes,
    list_templates,
    total,
)
from shadewright.solve.packing.rows import RowPacking, Stacks, add_rows
from shadewright.solve.packing.stacks import StackPacking, add_stacks
from shadewright.solve.packing.turns import add_turns
from shadewright.solve.packing.worths import Worth
from shadewright.solve.problem.kinds import Kind, Option, Problem, Rect, Roll
from shadewright.solve.problem.supply import Span, Supply, beside, spots_of
from shadewright.solve.search.candidate import (
    AREA_UNIT,
    LARGEST_AREA,
    Candidate,
    Chosen,
    CutPart,
    Forgone,
    Taken,
    in_order,
    lengths_on_hand,
    taken_rects,
    ways_to_take,
)
from shadewright.solve.search.goals import Goal, money_terms
from shadewright.trade.divisions import Way

Demand = Mapping[Rect, list[tuple[int, cp_model.IntVar]]]


@dataclass(frozen=True)
class Formulation:
    """How each roll is modelled: by listed templates, as stacks, row by row, or only bounded.

    Attributes:
        rows: what may be cut from rolls of several phases, with the most they may use.
        turns: templates of rolls whose turns are bounded.
        worths: of rolls that are bounded by what their rectangles are worth.
        bounding: whether kinds take their bounding options.
    """

    templates: Mapping[str, list[Template]] = field(default_factory=dict)
    stacks: frozenset[str] = frozenset()
    rows: Mapping[str, tuple[Stacks, Ticks]] = field(default_factory=dict)
    turns: Mapping[str, list[Template]] = field(default_factory=dict)
    worths: Mapping[str, list[Worth]] = field(default_factory=dict)
    bounding: bool = False


_Place = int | cp_model.IntVar


@dataclass
class Part:
    """The variables of a part of a stretch.

    Attributes:
        counts: how many of each rectangle come from it; None where all of its roll do.
        start: where it begins.
        end: of its last drop.
        empty: whether nothing is cut from it; None where something always is.
    """

    stretch: Stretch
    number: int
    roll: Roll
    spans: tuple[Span, ...]
    packing: Packing
    counts: dict[Rect, cp_model.IntVar] | None
    start: _Place
    end: cp_model.LinearExpr
    empty: cp_model.IntVar | None

    @property
    def key(self) -> tuple[str, str, Ticks, int]:
        """As `CutPart.key`."""
        return self.stretch.cloth, self.stretch.piece, self.stretch.start, self.number


@dataclass
class Model:
    """A CP-SAT model with its goals, and how to read a candidate.

    Attributes:
        choice: for each kind, how many copies take each of `taken`.
    """

    problem: Problem
    cp: cp_model.CpModel
    taken: list[list[Taken]]
    choice: list[list[cp_model.IntVar]]
    parts: list[Part]
    goals: dict[Goal, cp_model.LinearExpr]

    def hold(self, goal: Goal, most: int) -> None:
        """Keep a goal at or below a value."""
        self.cp.add(self.goals[goal] <= most)

    def chosen(self, value: Sequence[int]) -> Chosen:
        """What a solution takes: the value of each variable, by its index."""
        return tuple(
            tuple(
                (taken, value[var.index])
                for taken, var in zip(row, vars_, strict=True)
                if value[var.index]
            )
            for row, vars_ in zip(self.taken, self.choice, strict=True)
        )

    def candidate(self, value: Sequence[int]) -> Candidate:
        """Read a solution: the value of each variable, by its index."""
        found = Candidate(self.chosen(value), ())
        parts = []
        for part in self.parts:
            if part.empty is not None and value[part.empty.index]:
                continue
            if part.counts is None:
                asked = taken_rects(found.options, part.roll.name)
            else:
                asked = {r: value[v.index] for r, v in part.counts.items() if value[v.index]}
            lead = part.start if isinstance(part.start, int) else value[part.start.index]
            roll = replace(part.roll, lead=lead)
            drops = _drops(part.packing, roll, value, asked)
            parts.append(CutPart(part.stretch, part.number, roll, part.spans, drops))
        return replace(found, parts=tuple(parts))


def _drops(
    packing: Packing, roll: Roll, value: Sequence[int], asked: Mapping[Rect, int]
) -> tuple[CutDrop, ...]:
    match packing:
        case LanePacking():
            return tuple(packing.cut_drops(value, asked))
        case StackPacking():
            return tuple(packing.cut_drops(value))
        case RowPacking():
            return in_order(roll, packing.cut_drops(value, asked))
        case _:
            raise TypeError(f"{roll.name} is bounded, not packed")


def build(
    problem: Problem, supply: Supply, cutting: Formulation, forgone: Forgone | None = None
) -> Model:
    """Build the model of a problem; where it only bounds, kinds take their bounding options.

    Args:
        cutting: templates and stacks of each roll.
    """
    if cutting.bounding:
        problem = problem.bounding()
    return _Builder(problem, supply, cutting, forgone or Forgone()).build()


_NOTHING = Option((), Way(False, None), (), 0, frozenset())


class _Builder:
    """Builds one model; what all its parts share."""

    def __init__(
        self, problem: Problem, supply: Supply, cutting: Formulation, forgone: Forgone
    ) -> None:
        self.problem = problem
        self.supply = supply
        self.cutting = cutting
        self.forgone = forgone
        self.cp = cp_model.CpModel()
        self.taken = [
            _ways_to_take(kind, supply, supply.kept.get(k, {}), forgone.leaving is not None)
            for k, kind in enumerate(problem.kinds)
        ]
        self.choice = [
            [self.cp.new_int_var(0, kind.copies, "") for _ in row]
            for kind, row in zip(problem.kinds, self.taken, strict=True)
        ]

    def build(self) -> Model:
        cp, problem, supply, choice = self.cp, self.problem, self.supply, self.choice
        for kind, row in zip(problem.kinds, choice, strict=True):
            cp.add(total((1, var) for var in row) == kind.copies)
        options = [[each.option or _NOTHING for each in row] for row in self.taken]
        add_bases(cp, problem.kinds, options, choice)
        if supply.lots == "job":
            self._one_lot()
        parts: list[Part] = []
        used: list[cp_model.LinearExpr | cp_model.IntVar] = []
        asked: list[cp_model.LinearExpr | cp_model.IntVar] = []
        steps: list[cp_model.IntVar] = []
        spare: list[cp_model.LinearExpr] = []
        for roll in problem.rolls:
            here = self._add_roll(roll)
            parts += here
            by_piece: dict[str, list[Part]] = {}
            for part in here:
                by_piece.setdefault(part.stretch.piece, []).append(part)
            endless = supply.endless(problem, roll)
            if here[-1].empty is None:
                endless = here[-1].roll.lead + here[-1].packing.longest
            most = -(-(endless + roll.allowance) // roll.sold_in)
            step = cp.new_int_var(0, most, f"{roll.name} steps")
            steps.append(step)
            on_hand = lengths_on_hand(supply, roll.name)
            for piece, these in by_piece.items():
                end = self._end_of_piece(these, endless)
                used.append(end)
                if these[-1].stretch.bought:
                    self._buy(roll, these, end, step)
                    if roll.name in supply.unbought:
                        asked.append(end)
                else:
                    across = roll.usable // AREA_UNIT
                    spare.append(across * on_hand[piece] - across * end)
        shades = weighted(choice, [[o.shades for o in row] for row in options])
        _, coefficients, shade_cost = money_terms(problem)
        goals: dict[Goal, cp_model.LinearExpr] = {
            "short": cp_model.LinearExpr.sum(asked),
            "left": self._left_out(),
            "money": total(zip(coefficients, steps, strict=True)) + shade_cost * shades,
            "bought": total((r.sold_in, s) for r, s in zip(problem.rolls, steps, strict=True)),
            "shades": shades,
            "used": cp_model.LinearExpr.sum(used),
            "widths": distinct_widths(cp, problem.kinds, options, choice),
            "gaps": weighted(choice, [[o.gaps for o in row] for row in options]),
            "remnant": self._remnant(spare),
        }
        return Model(problem, cp, self.taken, choice, parts, goals)

    def _end_of_piece(
        self, parts: Sequence[Part], endless: Ticks
    ) -> cp_model.LinearExpr | cp_model.IntVar:
        """Where the last drop of a piece ends; 0 where there is none."""
        if len(parts) == 1 and parts[0].empty is None:
            return parts[0].end
        end = self.cp.new_int_var(0, endless, "")
        for part in parts:
            bound = self.cp.add(end >= part.end)
            if part.empty is not None:
                bound.only_enforce_if(~part.empty)
        return end

    def _buy(
        self,
        roll: Roll,
        parts: Sequence[Part],
        end: cp_model.LinearExpr | cp_model.IntVar,
        step: cp_model.IntVar,
    ) -> None:
        """Enough steps are bought, if anything is cut from the bolt."""
        enough = self.cp.add(roll.sold_in * step >= end + roll.allowance)
        if all(part.empty is not None for part in parts):
            bought = self.cp.new_bool_var("")
            for part in parts:
                assert part.empty is not None
                self.cp.add_implication(~part.empty, bought)
            enough.only_enforce_if(bought)

    def _one_lot(self) -> None:
        """The whole job is cut from one lot of each roll."""
        for roll in self.problem.rolls:
            lots = self.supply.lots_of(roll.name)
            chosen = [self.cp.new_bool_var("") for _ in lots]
            self.cp.add_exactly_one(chosen)
            for kind, row, vars_ in zip(self.problem.kinds, self.taken, self.choice, strict=True):
                for each, var in zip(row, vars_, strict=True):
                    for name, lot in each.lots:
                        if name == roll.name:
                            self.cp.add(var <= kind.copies * chosen[lots.index(lot)])

    def _left_out(self) -> cp_model.LinearExpr:
        """What it costs to leave openings out, and to give up what options do."""
        costs, leaving = self.forgone.costs, self.forgone.leaving
        out = [
            var
            for row, vars_ in zip(self.taken, self.choice, strict=True)
            for each, var in zip(row, vars_, strict=True)
            if each.option is None
        ]
        terms = list(zip(leaving or (), out, strict=True)) if out else []
        gone = {name: self.cp.new_bool_var(name) for name in costs}
        for kind, row, vars_ in zip(self.problem.kinds, self.taken, self.choice, strict=True):
            for each, var in zip(row, vars_, strict=True):
                for name in sorted(each.gives_up):
                    self.cp.add(var <= kind.copies * gone[name])
        terms += [(cost, gone[name]) for name, cost in costs.items()]
        self._avoid(gone, out)
        return total(terms)

    def _avoid(self, gone: Mapping[str, cp_model.IntVar], out: Sequence[cp_model.IntVar]) -> None:
        """Nothing gives up all that a known set does."""
        for names, left in self.forgone.known:
            less: list[cp_model.LiteralT] = [~gone[name] for name in sorted(names)]
            for copies, var in zip(left, out, strict=False):
                if copies:
                    fewer = self.cp.new_bool_var("")
                    self.cp.add(var <= copies - 1).only_enforce_if(fewer)
                    less.append(fewer)
            self.cp.add_bool_or(less)

    def _remnant(self, spare: list[cp_model.LinearExpr]) -> cp_model.LinearExpr:
        """What the largest remnant falls short of more than any: less is better."""
        if not spare:
            return total(())
        largest = self.cp.new_int_var(0, LARGEST_AREA, "largest remnant")
        is_it = [self.cp.new_bool_var("") for _ in spare]
        self.cp.add_exactly_one(is_it)
        for left, this in zip(spare, is_it, strict=True):
            self.cp.add(largest <= left).only_enforce_if(this)
        return LARGEST_AREA - largest

    def _add_roll(self, roll: Roll) -> list[Part]:
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
        asked: dict[Rect, list[tuple[int, cp_model.IntVar]]] = {rect: [] for rect in most}
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
        spots = spots_of(roll, stretch, all(rect.anywhere for rect in most))
        limits = [*(spot.start for spot in spots), end]
        parts: list[Part] = []

        def add(spans: tuple[Span, ...], start: _Place, limit: Ticks) -> None:
            part = self._add_part(roll, stretch, len(parts), fits, spans, start)
            assert part.empty is not None
            cp.add(part.end <= limit).only_enforce_if(~part.empty)
            parts.append(part)

        at: _Place = roll.lead
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

    def _next_start(self, roll: Roll, at: _Place, after: Ticks, end: Ticks) -> cp_model.IntVar:
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
        start: _Place,
    ) -> Part:
        empty = self.cp.new_bool_var("")
        fits = {
            r: n for r, n in most.items() if not spans or any(b - a >= r.across for a, b in spans)
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
            return add_turns(cp, roll, cutting.turns[name], demand, most, empty=empty)
        if name in cutting.rows:
            stacks, longest = cutting.rows[name]
            if end is not None:
                longest = min(longest, end - roll.lead)
            return add_rows(cp, roll, stacks.of(most), demand, longest, empty=empty)
        grid = Grid.of(roll, most)
        if spans:
            return add_lanes(cp, grid, _within(roll, most, spans), demand, most, empty=empty)
        if name in cutting.stacks:
            return add_stacks(cp, grid, demand, most, empty=empty)
        return add_lanes(cp, grid, cutting.templates[name], demand, most, empty=empty)


def _ways_to_take(
    kind: Kind, supply: Supply, kept: Mapping[str, str | None], may_leave: bool
) -> list[Taken]:
    """Every option with every choice of dye lots, and where that may be nothing at all."""
    found = [taken for option in kind.options for taken in ways_to_take(option, supply, kept)]
    if may_leave:
        found.append(Taken(None))
    return found


def _within(roll: Roll, rects: Iterable[Rect], spans: tuple[Span, ...]) -> list[Template]:
    """Templates whose lanes lie within these spans."""
    these = list(rects)
    listed: list[list[Template]] = []
    for left, right in spans:
        narrow = Grid.of(replace(roll, usable=right - left), these)
        within = [rect for rect in these if rect.across <= right - left]
        found, _ = list_templates(narrow, within, USUAL.templates) if within else ([()], True)
        listed.append(
            [tuple(Lane(lane.left + left, lane.right + left) for lane in t) for t in found]
        )
    return [
        tuple(lane for template in together for lane in template) for together in product(*listed)
    ]


def add_bases(
    cp: cp_model.CpModel,
    kinds: Iterable[Kind],
    options: Sequence[Sequence[Option]],
    choice: list[list[cp_model.IntVar]],
) -> None:
    """All options taken of one cloth have the same base."""
    taken: dict[str, dict[Ticks, cp_model.IntVar]] = {}
    for kind, these, row in zip(kinds, options, choice, strict=True):
        by_base: dict[tuple[str, Ticks], list[cp_model.IntVar]] = {}
        for option, var in zip(these, row, strict=True):
            if option.base:
                by_base.setdefault(option.base, []).append(var)
        for (cloth, base), alike in sorted(by_base.items()):
            here = taken.setdefault(cloth, {})
            if base not in here:
                here[base] = cp.new_bool_var(f"{cloth} rows from {base}")
            cp.add(total((1, var) for var in alike) <= kind.copies * here[base])
    for bases in taken.values():
        cp.add_exactly_one(bases.values())


def weighted(choice: list[list[cp_model.IntVar]], weights: list[list[int]]) -> cp_model.LinearExpr:
    return total(
        (weight, var)
        for row, these in zip(choice, weights, strict=True)
        for var, weight in zip(row, these, strict=True)
    )


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
        cp.add(worth.kappa * units >= total(asked))
    if empty is not None:
        cp.add(units == 0).only_enforce_if(empty)
    return Packing(grid.unit * units - max(map(grid.tail, demand)), grid.unit * longest)


def bounding_grid(roll: Roll, rects: Mapping[Rect, object]) -> Grid:
    """The grid to bound a roll by: without its period where that does not say all."""
    if roll.exact and len(roll.nodes) == 1:
        return Grid.of(roll, rects)
    free = Roll(roll.name, roll.usable, lead=roll.lead)
    return Grid.of(free, rects)


def distinct_widths(
    cp: cp_model.CpModel,
    kinds: Iterable[Kind],
    options: Sequence[Sequence[Option]],
    choice: list[list[cp_model.IntVar]],
) -> cp_model.LinearExpr:
    """The number of different cut widths among the options taken."""
    taken: dict[Ticks, cp_model.IntVar] = {}
    for kind, these, row in zip(kinds, options, choice, strict=True):
        by_width: dict[Ticks, list[cp_model.IntVar]] = {}
        for option, var in zip(these, row, strict=True):
            for width in option.cut_widths:
                by_width.setdefault(width, []).append(var)
        for width, rows in sorted(by_width.items()):
            if width not in taken:
                taken[width] = cp.new_bool_var(f"width {width}")
            # All options of one kind that share the width, together: one row, and a tighter one.
            cp.add(total((1, var) for var in rows) <= kind.copies * taken[width])
    return total((1, var) for var in taken.values())
