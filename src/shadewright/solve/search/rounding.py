"""A first plan for large jobs: a linear programme over priced templates, rounded step by step.

    min  sum_t c L_t + sum_o c_o y_o
    s.t. sum_r l_r x_rtk <= L_t            for each lane k of each template t
         sum_tk x_rtk = sum_o d_ro y_o     for each rectangle r
         sum_o y_o = copies                for each kind

with y_o copies that take option o, which asks for d_ro of rectangle r, and x_rtk of them in a lane.
All drops of a template are joined, so that what is lost to the ends of lanes is lost once a
template. At its optimum nearly all y and x are whole. What is whole is kept, some of the rest is
rounded, and the programme is solved again: a dive, as solvers of mixed-integer programmes make them
(Berthold 2006, "Primal heuristics for mixed integer programs"). Options come first, then lanes.

Measured on 80 and 200 openings on 60 in cloth: 1.9 and 1.6 % above the bound of length, where the
longest rectangles first in the first drop with room for them leave 17 %.
"""

from __future__ import annotations

from bisect import bisect_left
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from ortools.linear_solver import pywraplp

from shadewright.solve.packing.drops import CutDrop, CutLane
from shadewright.solve.packing.grid import Grid
from shadewright.solve.packing.rows_apart import apart, within_table
from shadewright.solve.packing.templates import Template
from shadewright.solve.packing.worths import LENGTH_SCALE
from shadewright.solve.problem.agreement import agrees
from shadewright.solve.problem.kinds import Kind, Option, Problem, Rect, Roll, Topic, Value
from shadewright.solve.problem.supply import Supply
from shadewright.solve.run import Clock, linear_programme, optimise
from shadewright.solve.search.candidate import Candidate, options_taken, placed_part

_WHOLE = 1e-6

Taken = list[tuple[Option, int]]
"""Options taken of a kind, and by how many copies."""


@dataclass(frozen=True)
class Dive:
    """How a dive goes.

    Attributes:
        lanes: the tightest that a rectangle may lie in.
        steps: of what is not whole, one in so many is rounded at a time.
    """

    lanes: int
    steps: int


DIVES = (Dive(8, 5), Dive(16, 30), Dive(32, 10), Dive(8, 20))
"""None is best for all."""


def rounded(
    problem: Problem, supply: Supply, templates: Mapping[str, list[Template]], clock: Clock
) -> Iterator[Candidate]:
    """Candidates from bolts alone, of rolls of one phase: one for each way to dive, while there is
    time.

    Args:
        templates: that cut well, roll by roll.
    """
    grids = {roll.name: Grid.of(roll, problem.rects(roll)) for roll in problem.rolls}
    rects = sum(len(problem.rects(roll)) for roll in problem.rolls)
    for dive in DIVES:
        if not clock.can_build(rects * dive.lanes):
            return
        clock.spend_seconds(rects * dive.lanes * clock.effort.seconds_to_build)
        programme = _Programme(problem, grids, templates, dive, clock)
        found = _dived(problem, supply, grids, programme)
        if found is not None:
            yield found


def _dived(
    problem: Problem, supply: Supply, grids: dict[str, Grid], programme: _Programme
) -> Candidate | None:
    """None where what is rounded leaves something no way, or where the time is over."""
    chosen = programme.round_options()
    filled = None if chosen is None else programme.round_lanes(chosen)
    if chosen is None or filled is None:
        return None
    parts = []
    for roll in problem.rolls:
        joint = filled[roll.name]
        if joint:
            grid = grids[roll.name]
            drops = apart(grid, joint) if roll.table is None else within_table(grid, joint)
            parts.append(placed_part(supply, roll, supply.stretches[roll.name][-1], drops))
    return Candidate(options_taken(chosen, supply), tuple(parts))


@dataclass(frozen=True)
class _InLane:
    """A lane of a template that a rectangle may lie in, and how many copies of it do."""

    template: int
    lane: int
    count: pywraplp.Variable


class _Programme:
    """The linear programme, tightened from one solution to the next."""

    def __init__(
        self,
        problem: Problem,
        grids: dict[str, Grid],
        templates: Mapping[str, list[Template]],
        dive: Dive,
        clock: Clock,
    ) -> None:
        self._kinds = problem.kinds
        self._dive = dive
        self._templates = templates
        self._clock = clock
        self._solver = linear_programme()
        self._objective = self._solver.Objective()
        self._objective.SetMinimization()
        self._places: dict[Rect, list[_InLane]] = {}
        for roll in problem.rolls:
            self._add_roll(problem, roll, grids[roll.name])
        self._options = self._add_options(problem)

    def _add_roll(self, problem: Problem, roll: Roll, grid: Grid) -> None:
        """Lanes of its templates, and the tightest of them that hold each rectangle."""
        solver, infinity = self._solver, self._solver.infinity()
        rate = max(float(roll.price or 0) * LENGTH_SCALE, 1e-6) if problem.priced else 1.0
        lanes = []
        for number, template in enumerate(self._templates[roll.name]):
            length = solver.NumVar(0, infinity, "")
            self._objective.SetCoefficient(length, rate)
            for place, lane in enumerate(template):
                load = solver.Constraint(-infinity, 0)
                load.SetCoefficient(length, -1)
                lanes.append((lane.width, number, place, lane, load))
        lanes.sort(key=lambda lane: lane[:3])
        for rect, most in problem.rects(roll).items():
            here = self._places.setdefault(rect, [])
            tightest = bisect_left(lanes, rect.across, key=lambda lane: lane[0])
            for _, number, place, lane, load in lanes[tightest:]:
                if lane.holds(rect):
                    count = solver.NumVar(0, most, "")
                    load.SetCoefficient(count, grid.units(rect) * grid.unit / LENGTH_SCALE)
                    here.append(_InLane(number, place, count))
                if len(here) == self._dive.lanes:
                    break

    def _add_options(self, problem: Problem) -> list[list[pywraplp.Variable]]:
        """How many copies of each kind take each option, and what these ask for."""
        solver = self._solver
        asked = {rect: solver.Constraint(0, 0) for rect in self._places}
        for rect, places in self._places.items():
            for place in places:
                asked[rect].SetCoefficient(place.count, 1)
        scale = 1.0 if problem.priced else LENGTH_SCALE
        options = []
        for kind in problem.kinds:
            choose = solver.Constraint(kind.copies, kind.copies)
            row = []
            for option in kind.options:
                taken = solver.NumVar(0, kind.copies, "")
                choose.SetCoefficient(taken, 1)
                self._objective.SetCoefficient(taken, float(option.cost) / scale)
                for rect, count in option.demand:
                    asked[rect].SetCoefficient(taken, -count)
                row.append(taken)
            options.append(row)
        return options

    def _solved(self) -> bool:
        return not self._clock.over and optimise(self._solver, self._clock)

    def round_options(self) -> list[Taken] | None:
        """What each kind takes; None where what is rounded leaves another kind nothing."""
        chosen: dict[int, Taken] = {}
        settled: dict[Topic, Value] = {}
        while len(chosen) < len(self._kinds):
            if not self._solved():
                return None
            left = [i for i in range(len(self._kinds)) if i not in chosen]
            value = {i: [var.solution_value() for var in self._options[i]] for i in left}
            largest = {i: max(value[i]) / self._kinds[i].copies for i in left}
            left.sort(key=lambda i: -largest[i])
            whole = sum(largest[i] > 1 - _WHOLE for i in left)
            some = -(-(len(left) - whole) // self._dive.steps)
            for i in left[: whole + some]:
                taken = _shared_out(self._kinds[i], value[i], settled)
                if taken is None:
                    return None
                chosen[i] = taken
                settled |= {topic: said for option, _ in taken for topic, said in option.agreed}
                copies = dict(taken)
                for option, var in zip(self._kinds[i].options, self._options[i], strict=True):
                    var.SetBounds(copies.get(option, 0), copies.get(option, 0))
            for i in left[whole + some :]:
                for option, var in zip(self._kinds[i].options, self._options[i], strict=True):
                    if not agrees(option, settled):
                        var.SetBounds(0, 0)
        return [chosen[i] for i in range(len(self._kinds))]

    def round_lanes(self, chosen: Sequence[Taken]) -> dict[str, list[CutDrop]] | None:
        """What is cut for these options: the joint drop of each template that is used."""
        asked: Counter[Rect] = Counter()
        for row in chosen:
            for option, copies in row:
                asked.update({rect: count * copies for rect, count in option.demand})
        left = sorted(asked, key=lambda rect: (-rect.along, rect.key))
        counts: dict[Rect, list[int]] = {}
        while left:
            if not self._solved():
                return None
            value = {rect: [p.count.solution_value() for p in self._places[rect]] for rect in left}
            broken = [rect for rect in left if any(abs(v - round(v)) > _WHOLE for v in value[rect])]
            first = set(broken[: -(-len(broken) // self._dive.steps)])
            kept = [rect for rect in left if rect in first or rect not in set(broken)]
            for rect in kept:
                counts[rect] = _whole(value[rect], asked[rect])
                for place, count in zip(self._places[rect], counts[rect], strict=True):
                    place.count.SetBounds(count, count)
            left = [rect for rect in broken if rect not in first]
        return {
            name: self._joint(name, {r: row for r, row in counts.items() if r.roll == name})
            for name in self._templates
        }

    def _joint(self, roll: str, counts: dict[Rect, list[int]]) -> list[CutDrop]:
        """One drop for each template that something is cut by."""
        filled: dict[tuple[int, int], list[Rect]] = {}
        for rect, row in counts.items():
            for place, count in zip(self._places[rect], row, strict=True):
                filled.setdefault((place.template, place.lane), []).extend([rect] * count)
        return [
            CutDrop(tuple(CutLane(tuple(rects)) for rects in lanes))
            for number, template in enumerate(self._templates[roll])
            if (lanes := [here for k in range(len(template)) if (here := filled.get((number, k)))])
        ]


def _shared_out(kind: Kind, value: Sequence[float], settled: dict[Topic, Value]) -> Taken | None:
    """The copies of a kind by option: one for all that must agree on something, else each as much
    as it has in the programme; None where no option agrees with what is settled."""
    if all(not option.agreed for option in kind.options):
        counts = _whole(value, kind.copies)
        return [(o, n) for o, n in zip(kind.options, counts, strict=True) if n]
    possible = [(v, -i) for i, v in enumerate(value) if agrees(kind.options[i], settled)]
    return [(kind.options[-max(possible)[1]], kind.copies)] if possible else None


def _whole(value: Iterable[float], total: int) -> list[int]:
    """Whole numbers of this sum, next to these values: the largest remainders are rounded up."""
    these = [max(v, 0.0) + _WHOLE for v in value]
    counts = [int(v) for v in these]
    order = sorted(range(len(these)), key=lambda i: (counts[i] - these[i], i))
    for i in order[: max(total - sum(counts), 0)]:
        counts[i] += 1
    return counts
