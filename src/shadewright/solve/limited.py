"""The model of limited cloth: which rectangle comes from which clean length of which piece.

Each *stretch* of cloth (`shadewright.cloth.stretches`) is packed like a roll of its own, but no
further than it is long, and may stay empty. The bolt is the last of them and has no end. Rectangles
of a cloth are shared out between its stretches; where a job asks for one dye lot, an opening takes
an option together with the lots it is cut from.

A flaw over part of the width splits its stretch into three parts cut one after the other: before
the flaw, beside it (no lane lies across it), and behind it. Any of them may be empty.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import product
from typing import Literal

from ortools.sat.python import cp_model

from shadewright.cloth.stretches import Gone, Spot, Stretch, stretches
from shadewright.job.model import Job, Lots
from shadewright.measure import Ticks, ceil_to
from shadewright.solve.formulate import phased_size, size_of
from shadewright.solve.grid import Grid
from shadewright.solve.lanes import (
    CutDrop,
    Lane,
    LanePacking,
    Packing,
    Template,
    add_lanes,
    list_templates,
    total,
)
from shadewright.solve.lay import lay_out
from shadewright.solve.model import (
    Formulation,
    GoalName,
    add_bases,
    distinct_widths,
    in_order,
    money_terms,
    weighted,
)
from shadewright.solve.problem import Kind, Option, Problem, Rect, Roll
from shadewright.solve.rows import RowPacking, add_rows, list_stacks
from shadewright.solve.stacks import StackPacking, add_stacks
from shadewright.trade.divisions import Way

Span = tuple[Ticks, Ticks]
"""Usable width between two places across."""

_MOST_STACKS = 3_000
# Stacks that a rectangle makes with others, about.
_STACKS_OF_ONE = 30
_MOST_TEMPLATES = 400

LimitedGoal = GoalName | Literal["short", "left", "remnant"]
"""A goal of `shadewright.solve.model`, or "short": cloth that is asked for and cannot be bought;
"left": what openings left out are worth; "remnant": what the largest remnant falls short of."""


@dataclass(frozen=True)
class Supply:
    """The cloth there is.

    Attributes:
        stretches: of each roll, those on hand first.
        lots: what must be cut from one dye lot.
        unbought: rolls of which no more can be bought.
        base: for each roll whose rows may start anywhere, where they do: added to every phase.
        kept: for kinds by their place, the dye lot of rolls that they are begun from.
    """

    stretches: Mapping[str, Sequence[Stretch]]
    lots: Lots
    unbought: frozenset[str] = frozenset()
    base: Mapping[str, Ticks] = field(default_factory=dict)
    kept: Mapping[int, Mapping[str, str | None]] = field(default_factory=dict)

    @classmethod
    def of(
        cls,
        job: Job,
        problem: Problem,
        gone: Gone | None = None,
        bolts: Mapping[str, Ticks] | None = None,
    ) -> Supply:
        """What a job has and may buy of every roll of its problem.

        Args:
            gone: stretches that are cut already.
            bolts: zero of bolts that are begun, where it was not known before.
        """
        cloths = [job.cloth(roll.name) for roll in problem.rolls]
        return cls(
            {c.name: stretches(job, c, gone, (bolts or {}).get(c.name)) for c in cloths},
            job.match.lots,
            frozenset(cloth.name for cloth in cloths if not cloth.can_buy),
            # Railroaded, it is columns that follow one another along a piece, and their places are
            # not ours to choose.
            {cloth.name: 0 for cloth in cloths if cloth.runs == "railroaded"},
        )

    def lots_of(self, roll: str) -> list[str | None]:
        """The dye lots of a roll; one that stands for all where no rule asks."""
        if self.lots == "none":
            return [None]
        return list(dict.fromkeys(stretch.lot for stretch in self.stretches[roll]))

    def of_lot(self, roll: str, lot: str | None) -> list[int]:
        """Which stretches of a roll are of a lot."""
        return [
            i
            for i, stretch in enumerate(self.stretches[roll])
            if self.lots == "none" or stretch.lot == lot
        ]


@dataclass(frozen=True)
class GivenUp:
    """What options give up, at what cost.

    Attributes:
        costs: of everything that may be given up, paid once however many options give it up.
        by_option: of each kind, what each of its options gives up.
        known: sets that are known already, and how many copies of each kind they leave out;
            nothing that gives up all of one of these is looked for.
    """

    costs: Mapping[str, int]
    by_option: tuple[tuple[frozenset[str], ...], ...]
    known: tuple[tuple[frozenset[str], tuple[int, ...]], ...] = ()


@dataclass(frozen=True)
class Taken:
    """An option as it is taken: with the dye lot of each roll it is cut from.

    Attributes:
        option: None where the opening is left out.
        gives_up: what was asked for and is given up.
    """

    option: Option | None
    lots: tuple[tuple[str, str | None], ...]
    gives_up: frozenset[str] = frozenset()

    def lot(self, roll: str) -> str | None:
        return dict(self.lots)[roll]


@dataclass(frozen=True)
class CutPart:
    """Part of a stretch as it is cut.

    Attributes:
        roll: the roll with its lead at the start of this part.
        spans: places across that lanes may lie in; the whole usable width if empty.
    """

    stretch: Stretch
    roll: Roll
    spans: tuple[Span, ...]
    drops: tuple[CutDrop, ...]

    @property
    def end(self) -> Ticks:
        """Where its last drop ends."""
        return max(laid.end for laid in lay_out(self.roll, self.drops))


_Place = int | cp_model.IntVar


@dataclass
class _Part:
    """The variables of a part: its packing, where it starts and ends, and whether it is empty."""

    stretch: Stretch
    roll: Roll
    spans: tuple[Span, ...]
    packing: Packing
    counts: dict[Rect, cp_model.IntVar]
    start: _Place
    end: cp_model.LinearExpr
    empty: cp_model.IntVar


@dataclass
class LimitedModel:
    """A CP-SAT model of limited cloth with its goals.

    Attributes:
        choice: for each kind, how many copies take each of `taken`.
    """

    problem: Problem
    cp: cp_model.CpModel
    taken: list[list[Taken]]
    choice: list[list[cp_model.IntVar]]
    parts: list[_Part]
    goals: dict[LimitedGoal, cp_model.IntVar]
    unbought: frozenset[str]

    def evaluate(self, goal: LimitedGoal, value: Sequence[int]) -> int:
        """What a goal's expression comes to in a solution."""
        return value[self.goals[goal].index]

    def chosen(self, value: Sequence[int]) -> list[list[tuple[Taken, int]]]:
        """What each kind takes in a solution, and by how many copies."""
        return [
            [(taken, value[var.index]) for taken, var in zip(row, vars_, strict=True)
             if value[var.index]]
            for row, vars_ in zip(self.taken, self.choice, strict=True)
        ]  # fmt: skip

    def cut(self, value: Sequence[int]) -> list[CutPart]:
        """The parts that a solution cuts, with their drops."""
        found = []
        for part in self.parts:
            if value[part.empty.index]:
                continue
            asked = {r: value[v.index] for r, v in part.counts.items() if value[v.index]}
            lead = _value_of(part.start, value)
            roll = replace(part.roll, lead=lead)
            match part.packing:
                case LanePacking():
                    drops = tuple(part.packing.cut_drops(value, asked))
                case StackPacking():
                    drops = tuple(part.packing.cut_drops(value))
                case RowPacking():
                    drops = in_order(roll, part.packing.cut_drops(value, asked))
                case _:
                    raise TypeError("a part that is packed by nothing known")
            found.append(CutPart(part.stretch, roll, part.spans, drops))
        return found


def _value_of(place: _Place, value: Sequence[int]) -> int:
    return place if isinstance(place, int) else value[place.index]


@dataclass(frozen=True)
class Forgone:
    """What a plan may do without.

    Attributes:
        leaving: what leaving out a copy of each kind costs; None where none may be left out.
        given_up: what options give up, if any do.
    """

    leaving: Sequence[int] | None = None
    given_up: GivenUp | None = None


def build_limited(
    problem: Problem, supply: Supply, cutting: Formulation, forgone: Forgone
) -> LimitedModel:
    """Build the model.

    Args:
        cutting: templates and stacks of each roll.
    """
    return _Builder(problem, supply, cutting, forgone).build()


def limited_size(problem: Problem, supply: Supply, cutting: Formulation) -> int:
    """About how many variables and constraints a model has, rather too many."""
    size = size_of(problem, cutting)
    for roll in problem.rolls:
        parts = sum(1 + 2 * len(stretch.spots) for stretch in supply.stretches[roll.name])
        if len(roll.nodes) == 1:
            size += (parts - 1) * size_of(problem, cutting)
            continue
        singles = phased_size(problem, roll, cutting)
        lanes = max(map(len, cutting.templates[roll.name]), default=1)
        size += parts * min(singles * _STACKS_OF_ONE, singles + 2 * lanes * _MOST_STACKS)
    return size


_NOTHING = Option((), Way(False, None), (), 0, frozenset())
# Remnants are compared by area in units of so many square ticks, to keep numbers small.
_AREA_UNIT = 1 << 10
_LARGEST_AREA = 1 << 45
# What no goal comes to.
_LARGEST = 1 << 53


class _Builder:
    """Builds one model; what all its parts share."""

    def __init__(
        self,
        problem: Problem,
        supply: Supply,
        cutting: Formulation,
        forgone: Forgone,
    ) -> None:
        self.problem = problem
        self.supply = supply
        self.cutting = cutting
        self.forgone = forgone
        self.cp = cp_model.CpModel()
        given_up = forgone.given_up
        self.taken = [
            _ways_to_take(
                kind,
                supply,
                supply.kept.get(k, {}),
                given_up.by_option[k] if given_up else (frozenset(),) * len(kind.options),
                forgone.leaving is not None,
            )
            for k, kind in enumerate(problem.kinds)
        ]
        self.choice = [
            [self.cp.new_int_var(0, kind.copies, "") for _ in row]
            for kind, row in zip(problem.kinds, self.taken, strict=True)
        ]

    def build(self) -> LimitedModel:
        cp, problem, supply, choice = self.cp, self.problem, self.supply, self.choice
        for kind, row in zip(problem.kinds, choice, strict=True):
            cp.add(total((1, var) for var in row) == kind.copies)
        options = [[each.option or _NOTHING for each in row] for row in self.taken]
        add_bases(cp, problem.kinds, options, choice)
        if supply.lots == "job":
            self._one_lot()
        parts: list[_Part] = []
        used: list[cp_model.IntVar] = []
        asked: list[cp_model.IntVar] = []
        spare: list[cp_model.LinearExpr] = []
        steps: list[cp_model.IntVar] = []
        for roll in problem.rolls:
            here = self._add_roll(roll)
            parts += here
            endless = endless_length(problem, supply, roll)
            most_steps = -(-(endless + roll.allowance) // roll.sold_in)
            step = cp.new_int_var(0, most_steps, f"{roll.name} steps")
            steps.append(step)
            by_piece: dict[str, list[_Part]] = {}
            for part in here:
                by_piece.setdefault(part.stretch.piece, []).append(part)
            for these in by_piece.values():
                end = cp.new_int_var(0, endless, "")
                for part in these:
                    cp.add(end >= part.end).only_enforce_if(~part.empty)
                used.append(end)
                last = these[-1].stretch
                if last.bought:
                    if roll.name in supply.unbought:
                        asked.append(end)
                    bought = cp.new_bool_var("")
                    for part in these:
                        cp.add_implication(~part.empty, bought)
                    cp.add(roll.sold_in * step >= end + roll.allowance).only_enforce_if(bought)
                elif last.end is not None:
                    across = roll.usable // _AREA_UNIT
                    spare.append(across * last.end - across * end)
        shades = weighted(choice, [[o.shades for o in row] for row in options])
        _, coefficients, shade_cost = money_terms(problem)
        goals: dict[LimitedGoal, cp_model.LinearExpr] = {
            "short": total((1, end) for end in asked),
            "left": self._left_out(),
            "money": total(zip(coefficients, steps, strict=True)) + shade_cost * shades,
            "bought": total((r.sold_in, s) for r, s in zip(problem.rolls, steps, strict=True)),
            "shades": shades,
            "used": total((1, end) for end in used),
            "widths": distinct_widths(cp, problem.kinds, options, choice),
            "gaps": weighted(choice, [[o.gaps for o in row] for row in options]),
            "remnant": self._remnant(spare),
        }
        as_variables = {goal: self._variable(expr) for goal, expr in goals.items()}
        return LimitedModel(problem, cp, self.taken, choice, parts, as_variables, supply.unbought)

    def _variable(self, expr: cp_model.LinearExpr) -> cp_model.IntVar:
        variable = self.cp.new_int_var(0, _LARGEST, "")
        self.cp.add(variable == expr)
        return variable

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
        out = [
            var
            for row, vars_ in zip(self.taken, self.choice, strict=True)
            for each, var in zip(row, vars_, strict=True)
            if each.option is None
        ]
        terms = list(zip(self.forgone.leaving or (), out, strict=True)) if out else []
        given_up = self.forgone.given_up
        if given_up is not None:
            gone = {name: self.cp.new_bool_var(name) for name in given_up.costs}
            for kind, row, vars_ in zip(self.problem.kinds, self.taken, self.choice, strict=True):
                for each, var in zip(row, vars_, strict=True):
                    for name in each.gives_up:
                        self.cp.add(var <= kind.copies * gone[name])
            terms += [(cost, gone[name]) for name, cost in given_up.costs.items()]
            self._avoid(given_up, gone, out)
        return total(terms)

    def _avoid(
        self,
        given_up: GivenUp,
        gone: Mapping[str, cp_model.IntVar],
        out: Sequence[cp_model.IntVar],
    ) -> None:
        """Nothing gives up all that a known set does."""
        for names, left in given_up.known:
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
        largest = self.cp.new_int_var(0, _LARGEST_AREA, "largest remnant")
        is_it = [self.cp.new_bool_var("") for _ in spare]
        self.cp.add_exactly_one(is_it)
        for left, this in zip(spare, is_it, strict=True):
            self.cp.add(largest <= left).only_enforce_if(this)
        return _LARGEST_AREA - largest

    def _add_roll(self, roll: Roll) -> list[_Part]:
        """Share a roll's rectangles out between its stretches, and pack each of these."""
        most = self.problem.rects(roll)
        base = self.supply.base.get(roll.name, 0)
        by_stretch = [
            self._add_stretch(placed(roll, stretch, base), stretch, most)
            for stretch in self.supply.stretches[roll.name]
        ]
        for lot in self.supply.lots_of(roll.name):
            asked: dict[Rect, list[tuple[int, cp_model.IntVar]]] = {rect: [] for rect in most}
            for row, vars_ in zip(self.taken, self.choice, strict=True):
                for each, var in zip(row, vars_, strict=True):
                    for rect, count in each.option.demand if each.option else ():
                        if rect.roll == roll.name and each.lot(roll.name) == lot:
                            asked[rect].append((count, var))
            sources = [p for i in self.supply.of_lot(roll.name, lot) for p in by_stretch[i]]
            for rect, terms in asked.items():
                given = total((1, part.counts[rect]) for part in sources if rect in part.counts)
                self.cp.add(given == total(terms))
        return [part for parts in by_stretch for part in parts]

    def _add_stretch(self, roll: Roll, stretch: Stretch, most: Mapping[Rect, int]) -> list[_Part]:
        """The parts of one stretch, cut one after the other."""
        cp = self.cp
        end = (
            endless_length(self.problem, self.supply, roll) if stretch.end is None else stretch.end
        )
        fits = {r: n for r, n in most.items() if roll.lead + r.along <= end}
        spots = stretch.spots
        if len(roll.nodes) > 1 or not all(rect.anywhere for rect in most):
            # Where places across or several phases matter, such a flaw is taken to be as wide as
            # the cloth: no lane lies beside it.
            spots = tuple(replace(spot, left=0, right=roll.usable) for spot in spots)
        spots = _apart(spots)
        limits = [*(spot.start for spot in spots), end]
        parts: list[_Part] = []
        at: _Place = roll.lead
        for number, limit in enumerate(limits):
            if number:
                at = self._next_start(roll, at, spots[number - 1].end, end)
            parts.append(self._add_part(roll, stretch, fits, (), at))
            cp.add(parts[-1].end <= limit).only_enforce_if(~parts[-1].empty)
            if number == len(spots):
                break
            at = self._whole_end(parts[-1], end)
            spot = spots[number]
            beside = tuple(
                span for span in ((0, spot.left), (spot.right, roll.usable)) if span[1] > span[0]
            )
            if beside:
                parts.append(self._add_part(roll, stretch, fits, beside, at))
                cp.add(parts[-1].end <= limits[number + 1]).only_enforce_if(~parts[-1].empty)
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

    def _whole_end(self, part: _Part, end: Ticks) -> cp_model.IntVar:
        """Where the next part may begin: on the roll's own pace behind this one."""
        whole = part.packing.length if part.packing.whole is None else part.packing.whole
        here = self.cp.new_int_var(0, end + part.packing.longest + part.roll.period, "")
        self.cp.add(here == whole + part.start)
        return here

    def _add_part(
        self,
        roll: Roll,
        stretch: Stretch,
        most: Mapping[Rect, int],
        spans: tuple[Span, ...],
        start: _Place,
    ) -> _Part:
        empty = self.cp.new_bool_var("")
        fits = {
            r: n for r, n in most.items() if not spans or any(b - a >= r.across for a, b in spans)
        }
        counts = {rect: self.cp.new_int_var(0, n, "") for rect, n in fits.items()}
        held = total((1, count) for count in counts.values())
        self.cp.add(held == 0).only_enforce_if(empty)
        self.cp.add(held >= 1).only_enforce_if(~empty)
        if fits:
            packing = self._pack(roll, counts, fits, spans, empty)
        else:
            packing = Packing(total(()), 0, whole=total(()))
        return _Part(stretch, roll, spans, packing, counts, start, packing.length + start, empty)

    def _pack(
        self,
        roll: Roll,
        counts: Mapping[Rect, cp_model.IntVar],
        most: Mapping[Rect, int],
        spans: tuple[Span, ...],
        empty: cp_model.IntVar,
    ) -> Packing:
        cp, cutting = self.cp, self.cutting
        demand = {rect: [(1, var)] for rect, var in counts.items()}
        grid = Grid.of(roll, most)
        if spans:
            return add_lanes(cp, grid, _beside(roll, most, spans), demand, most, empty=empty)
        if len(roll.nodes) > 1:
            longest = sum((r.along + roll.period) * n for r, n in most.items()) + roll.period
            limit = _MOST_STACKS // len(roll.nodes)
            stacks = list_stacks(roll, cutting.templates[roll.name], most, longest, limit)
            return add_rows(cp, roll, stacks, demand, longest, empty=empty)
        if roll.name in cutting.stacks:
            return add_stacks(cp, grid, demand, most, empty=empty)
        return add_lanes(cp, grid, cutting.templates[roll.name], demand, most, empty=empty)


def _ways_to_take(
    kind: Kind,
    supply: Supply,
    kept: Mapping[str, str | None],
    given_up: Sequence[frozenset[str]],
    may_leave: bool,
) -> list[Taken]:
    found = []
    for option, gives_up in zip(kind.options, given_up, strict=True):
        rolls = sorted({rect.roll for rect in option.rects})
        told = supply.lots != "none"
        lots_of = [[kept[r]] if told and r in kept else supply.lots_of(r) for r in rolls]
        for lots in product(*lots_of):
            found.append(Taken(option, tuple(zip(rolls, lots, strict=True)), gives_up))
    if may_leave:
        found.append(Taken(None, ()))
    return found


def placed(roll: Roll, stretch: Stretch, base: Ticks) -> Roll:
    """The roll as a stretch of it: from where, and in which phase, its first drop may begin."""
    if roll.period == 1 or stretch.zero is None:
        # No rows to keep, or the first drop says where they are.
        return replace(roll, lead=stretch.start)
    phase = (stretch.start - stretch.zero - base - roll.zero) % roll.period
    if len(roll.nodes) > 1:
        return replace(roll, lead=stretch.start, origin=phase)
    return replace(roll, lead=stretch.start + -phase % roll.period, origin=None)


def _apart(spots: Iterable[Spot]) -> tuple[Spot, ...]:
    """Flaws that lie one after the other: those beside each other are taken together."""
    found: list[Spot] = []
    for spot in sorted(spots, key=lambda spot: spot.start):
        if found and spot.start < found[-1].end:
            last = found[-1]
            found[-1] = Spot(
                last.start,
                max(last.end, spot.end),
                min(last.left, spot.left),
                max(last.right, spot.right),
            )
        else:
            found.append(spot)
    return tuple(found)


def _beside(roll: Roll, rects: Iterable[Rect], spans: tuple[Span, ...]) -> list[Template]:
    """Templates whose lanes lie within these spans."""
    these = list(rects)
    listed: list[list[Template]] = []
    for left, right in spans:
        narrow = Grid.of(replace(roll, usable=right - left), these)
        within = [rect for rect in these if rect.across <= right - left]
        found, _ = list_templates(narrow, within, _MOST_TEMPLATES) if within else ([()], True)
        listed.append(
            [tuple(Lane(lane.left + left, lane.right + left) for lane in t) for t in found]
        )
    return [
        tuple(lane for template in together for lane in template) for together in product(*listed)
    ]


def endless_length(problem: Problem, supply: Supply, roll: Roll) -> Ticks:
    """A length that no plan reaches: all that may be asked of a roll, one after the other behind
    the end of its last stretch, each waiting for its phase."""
    behind = max(max(s.start, s.end or 0) for s in supply.stretches[roll.name])
    most = problem.rects(roll)
    waits = 2 * roll.period
    return behind + roll.lead + sum((rect.along + waits) * n for rect, n in most.items()) + waits


def starts_of_rows(problem: Problem, supply: Supply, roll: Roll) -> list[Ticks]:
    """Bases worth trying: those at which some rectangle begins right at the start of a stretch.

    Everything can be moved towards the starts of the pieces until one does.
    """
    phases = sorted({slot.phase for rect in problem.rects(roll) for slot in rect.slots})
    found: dict[Ticks, None] = {}
    known = [s for s in supply.stretches[roll.name] if s.zero is not None]
    known.sort(key=lambda s: (s.end is not None, s.start - (s.end or 0)))
    for stretch in known:
        begins = [stretch.start, *(spot.end for spot in stretch.spots)]
        for start, phase in product(begins, phases):
            assert stretch.zero is not None
            found[(start - stretch.zero - roll.zero - phase) % roll.period] = None
    return list(found) or [0]
