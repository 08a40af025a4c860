"""The search where cloth is limited: one goal after the other over the model of its stretches.

Where rows of a print start matters when pieces begin at known heights of it. Of the starts worth
trying (`starts_of_rows`) each makes a model of its own; a goal is minimised over all of them that
may still hold the best plan, and its bound is the least of theirs.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import product

from shadewright import stopping
from shadewright.job.model import BOLT
from shadewright.measure import Ticks
from shadewright.solve.first import first_candidate
from shadewright.solve.formulate import formulate, phased_size, size_of
from shadewright.solve.hint import hint_lanes
from shadewright.solve.lanes import CutDrop, LanePacking
from shadewright.solve.lay import length_of
from shadewright.solve.limited import (
    CutPart,
    Forgone,
    GivenUp,
    LimitedGoal,
    LimitedModel,
    Supply,
    Taken,
    build_limited,
    placed,
    starts_of_rows,
)
from shadewright.solve.model import (
    Formulation,
    GoalName,
    bought_value,
    goal_order,
    in_order,
    money_scale,
    score,
    taken_rects,
)
from shadewright.solve.problem import Option, Problem, Roll, narrowest_options
from shadewright.solve.run import Clock, InfeasibleError, run
from shadewright.solve.search import Reached

_MOST_BASES = 8
# Phases of rectangles times lanes times nodes, of all stretches.
_MOST_ROWS = 20_000
_SHARE = 0.5
# Variables and constraints of a model that is built even where no time is left.
_SMALL = 3_000

Report = Callable[[LimitedGoal, float, float], None]


@dataclass(frozen=True)
class Shared:
    """The best plan found on limited cloth.

    Attributes:
        chosen: for each kind, what its copies take.
        parts: what is cut from each stretch.
        short: length of cloth that would have to be bought and cannot; 0 if there is enough.
        short_bound: no plan asks for less.
        left: what openings left out, and all that is given up, cost.
        left_bound: no plan costs less.
    """

    chosen: list[list[tuple[Taken, int]]]
    parts: list[CutPart]
    goals: tuple[Reached, ...]
    money_scale: int
    used_bound: int
    seconds: float
    stopped: bool
    short: Ticks
    short_bound: Ticks
    left: int
    left_bound: int

    @property
    def gives_up(self) -> frozenset[str]:
        """All that the options taken give up."""
        return frozenset(name for row in self.chosen for taken, _ in row for name in taken.gives_up)

    @property
    def proved(self) -> bool:
        return all(reached.value == reached.bound for reached in self.goals)


class _Search:
    def __init__(
        self,
        problem: Problem,
        supply: Supply,
        clock: Clock,
        seed: int,
        forgone: Forgone,
    ) -> None:
        self.formulations: dict[int, tuple[Formulation, bool]] = {}
        if forgone.given_up is None:
            narrow = replace(problem, kinds=narrowest_options(problem.kinds))
            self.narrow, whole, formulation = _thinned(narrow, supply, clock)
            self.formulations[id(self.narrow)] = formulation
            self.full = problem if whole else self.narrow
        else:
            # Options stand beside what they give up, and must all stay.
            self.narrow = self.full = problem
            whole = True
        self.clock = clock
        self.seed = seed
        self.forgone = forgone
        supplies, complete = _with_bases(self.narrow, supply)
        self.lines = supplies
        self.complete = complete and whole
        # What flaws over part of the width take is modelled a little too large; without them
        # nothing is lost that a plan could have.
        self.spotted = any(
            stretch.spots for roll in problem.rolls for stretch in supply.stretches[roll.name]
        )

    def formulation(self, problem: Problem) -> tuple[Formulation, bool]:
        if id(problem) not in self.formulations:
            self.formulations[id(problem)] = formulate(problem, self.clock)
        return self.formulations[id(problem)]

    def exact(self, problem: Problem) -> bool:
        phased = any(len(roll.nodes) > 1 for roll in problem.rolls)
        return self.complete and self.formulation(problem)[1] and not phased

    def minimise(
        self,
        goal: LimitedGoal,
        held: Mapping[LimitedGoal, int],
        best: tuple[LimitedModel, list[int]] | None,
        report: Report | None = None,
    ) -> tuple[tuple[LimitedModel, list[int]] | None, int | None, int]:
        """The best solution of any line, its value, and the least bound of all lines."""
        late: frozenset[LimitedGoal] = frozenset({"widths", "gaps"})
        problem = self.full if goal in late else self.narrow
        value: int | None = None
        bounds = []
        lines = list(self.lines)
        for number, line in enumerate(lines):
            # Without any time the first line is tried all the same, for there to be some plan.
            tried = best is not None or number > 0
            if (self.clock.over and tried) or not self._can_build(problem, line):
                bounds.append(0)
                break
            model = self._model(problem, line, goal, held)
            if value is not None:
                model.cp.add(model.goals[goal] <= value)
            if best is not None:
                _hint(model, *best)
            else:
                _hint_simplest(model)
            share = _SHARE / (len(lines) - number) if len(lines) > 1 else _SHARE
            tell = None
            if report is not None:
                tell = _teller(report, goal, value)
            try:
                outcome = run(model.cp, self.clock, share, self.seed, tell)
            except InfeasibleError:
                # Nothing on this line keeps to the goals before.
                self.lines.remove(line)
                continue
            bounds.append(outcome.bound or 0)
            if outcome.value is not None:
                reached = _evaluated(model, goal, outcome.value)
                if value is None or reached < value:
                    value, best = reached, (model, outcome.value)
        bound = min(bounds, default=0)
        if not self.exact(problem):
            bound = 0
        elif self.spotted and (value is None or bound > 0):
            bound = min(bound, self._without_spots(problem, goal, held))
        return best, value, bound

    def _can_build(self, problem: Problem, supply: Supply) -> bool:
        """Whether there is time to build a model: small ones are built even when there is none."""
        cloths = max((len(these) for these in supply.stretches.values()), default=0)
        size = size_of(problem, self.formulation(problem)[0]) * cloths
        return size <= _SMALL or self.clock.can_build(size)

    def _model(
        self, problem: Problem, supply: Supply, goal: LimitedGoal, held: Mapping[LimitedGoal, int]
    ) -> LimitedModel:
        model = build_limited(problem, supply, self.formulation(problem)[0], self.forgone)
        for earlier, most in held.items():
            model.cp.add(model.goals[earlier] <= most)
        model.cp.minimize(model.goals[goal])
        return model

    def _without_spots(
        self, problem: Problem, goal: LimitedGoal, held: Mapping[LimitedGoal, int]
    ) -> int:
        """A bound of the goal on cloth without those flaws."""
        bounds = []
        for line in self.lines:
            if self.clock.over or not self._can_build(problem, line):
                return 0
            model = self._model(problem, _without_spots(line), goal, held)
            outcome = run(model.cp, self.clock, _SHARE / len(self.lines), self.seed)
            bounds.append(outcome.bound or 0)
        return min(bounds, default=0)


def share_out(
    problem: Problem,
    supply: Supply,
    clock: Clock,
    *,
    seed: int = 0,
    report: Report | None = None,
    limits: Mapping[LimitedGoal, int] | None = None,
    leaving: Sequence[int] | None = None,
    given_up: GivenUp | None = None,
    remnant_first: bool = False,
    enough: bool = False,
) -> Shared | None:
    """Find the best plan on limited cloth within a time; None if there is none, or none was found.

    Cloth that cannot be bought may be asked for, at a cost above all else: see `Shared.short`.

    Args:
        clock: what is left of it.
        limits: that goals must keep within.
        leaving: what leaving out a copy of each kind costs; None where none may be left out.
        given_up: what options give up, if any do.
        remnant_first: whether one large remnant comes before using little.
        enough: whether a plan that asks for cloth which cannot be had may be left as it is.
    """
    order = goal_order(problem)
    goals: list[LimitedGoal] = ["short", *order, "remnant"]
    if leaving is not None or given_up is not None:
        goals.insert(1, "left")
    if remnant_first:
        goals.remove("remnant")
        goals.insert(goals.index("used"), "remnant")
    held: dict[LimitedGoal, int] = dict(limits or {})
    best: tuple[LimitedModel, list[int]] | None = None
    values: dict[LimitedGoal, int] = {}
    bounds: dict[LimitedGoal, int] = {}
    least = _least(problem, supply, goals)
    try:
        with stopping.ends_soon():
            search = _Search(problem, supply, clock, seed, Forgone(leaving, given_up))
            for goal in goals:
                found, value, bound = search.minimise(goal, held, best, report)
                if found is None:
                    break
                if value is None:
                    # The time was too short for this goal; what there is stands.
                    value = _evaluated(found[0], goal, found[1])
                best = found
                stopping.keep()
                values[goal] = value
                bounds[goal] = min(max(bound, least.get(goal, 0)), value)
                held[goal] = min(value, held.get(goal, value))
                if enough and goal == "short" and value:
                    break
    except KeyboardInterrupt:
        clock.stop()
    if best is None:
        return _simplest(problem, supply, clock) if leaving is None and not limits else None
    model, solution = best
    scores = {goal: _evaluated(model, goal, solution) for goal in order}
    reached = tuple(
        Reached(goal, scores[goal], min(bounds.get(goal, 0), scores[goal])) for goal in order
    )
    if remnant_first:
        # Bounds found below the remnant's goal only hold where it comes first.
        loose = order.index("used")
        reached = tuple(
            replace(each, bound=min(each.bound, least.get(each.goal, 0))) if i >= loose else each
            for i, each in enumerate(reached)
        )
    return Shared(
        chosen=model.chosen(solution),
        parts=model.cut(solution),
        goals=reached,
        money_scale=money_scale(problem),
        used_bound=min(least["used"], scores["used"]),
        seconds=clock.elapsed,
        stopped=clock.stopped,
        short=_evaluated(model, "short", solution),
        short_bound=bounds.get("short", 0),
        left=values.get("left", 0),
        left_bound=bounds.get("left", 0),
    )


def _hint_simplest(model: LimitedModel) -> None:
    """Let a model start from leaving everything out, where it may, or else from the bolt alone."""
    may_leave = any(taken.option is None for row in model.taken for taken in row)
    chosen = first_candidate(model.problem)
    for kind, row, vars_, options in zip(
        model.problem.kinds, model.taken, model.choice, chosen.chosen, strict=True
    ):
        copies = dict(options)
        for taken, var in zip(row, vars_, strict=True):
            if may_leave:
                model.cp.add_hint(var, kind.copies if taken.option is None else 0)
            elif taken.option in copies and all(lot is None for _, lot in taken.lots):
                model.cp.add_hint(var, copies.pop(taken.option))
            else:
                model.cp.add_hint(var, 0)
    last = {part.stretch.cloth: part for part in model.parts if part.stretch.end is None}
    for part in model.parts:
        bolt = last.get(part.stretch.cloth) is part and not may_leave
        asked = taken_rects(chosen.chosen, part.stretch.cloth) if bolt else {}
        model.cp.add_hint(part.empty, not asked)
        for rect, var in part.counts.items():
            model.cp.add_hint(var, asked.get(rect, 0))
        if asked and isinstance(part.packing, LanePacking):
            hint_lanes(model.cp, part.packing, chosen.drops[part.stretch.cloth])


def _simplest(problem: Problem, supply: Supply, clock: Clock) -> Shared | None:
    """A plan by a simple rule: drops of a first candidate as many as fit on each piece, and the
    rest on the bolt. None where no more can be bought, or dye lots must be minded."""
    lots: set[str | None] = {None}
    if supply.lots != "none":
        lots = {stretch.lot for these in supply.stretches.values() for stretch in these}
    if supply.unbought or len(lots) > 1 or any(supply.kept.values()):
        return None
    candidate = first_candidate(problem)
    parts = [
        part
        for roll in problem.rolls
        for part in _cut_in_turn(roll, supply, candidate.drops[roll.name])
    ]
    lot = next(iter(lots))
    taken = [
        [
            (Taken(o, tuple((name, lot) for name in sorted({r.roll for r in o.rects}))), n)
            for o, n in row
        ]
        for row in candidate.chosen
    ]
    ends: dict[tuple[str, str], Ticks] = {}
    for part in parts:
        key = part.stretch.cloth, part.stretch.piece
        ends[key] = max(ends.get(key, 0), part.end)
    scored = score(problem, candidate)
    # A bolt that nothing is cut from needs no allowance for its start.
    used = {roll.name: ends.get((roll.name, BOLT), -roll.allowance) for roll in problem.rolls}
    values: dict[GoalName, int] = {**scored, "used": sum(ends.values())}
    for goal in ("money", "bought"):
        values[goal] = bought_value(problem, goal, used, scored["shades"])
    return Shared(
        chosen=taken,
        parts=parts,
        goals=tuple(Reached(goal, values[goal], 0) for goal in goal_order(problem)),
        money_scale=money_scale(problem),
        used_bound=0,
        seconds=clock.elapsed,
        stopped=clock.stopped,
        short=0,
        short_bound=0,
        left=0,
        left_bound=0,
    )


def _cut_in_turn(roll: Roll, supply: Supply, drops: Sequence[CutDrop]) -> Iterator[CutPart]:
    """The drops, longest first, each on the first stretch with room for it."""
    left = sorted(drops, key=lambda drop: -length_of(roll, drop))
    for stretch in supply.stretches[roll.name]:
        here = placed(roll, stretch, supply.base.get(roll.name, 0))
        phased = len(roll.nodes) > 1
        mine: list[CutDrop] = []
        if stretch.end is None:
            mine, left = left, []
        elif not stretch.spots:
            at, rest = here.lead, []
            for drop in left:
                # What a drop may wait for its phase is less than a period.
                long = length_of(here, drop) + (roll.period if phased or roll.period > 1 else 0)
                if at + long <= stretch.end:
                    mine.append(drop)
                    at += long
                else:
                    rest.append(drop)
            left = rest
        if mine:
            yield CutPart(stretch, here, (), in_order(here, mine) if phased else tuple(mine))


def _evaluated(model: LimitedModel, goal: LimitedGoal, value: list[int]) -> int:
    """What a solution reaches, counted from what it takes and cuts: the model may hold a goal that
    is not minimised yet above that."""
    if goal in ("left", "remnant"):
        return model.evaluate(goal, value)
    taken = [(t.option, n) for row in model.chosen(value) for t, n in row if t.option]
    by_option: dict[LimitedGoal, int] = {
        "shades": sum(option.shades * n for option, n in taken),
        "widths": len({width for option, _ in taken for width in option.cut_widths}),
        "gaps": sum(option.gaps * n for option, n in taken),
    }
    if goal in by_option:
        return by_option[goal]
    ends: dict[tuple[str, str], int] = {}
    for cut in model.cut(value):
        key = cut.stretch.cloth, cut.stretch.piece
        ends[key] = max(ends.get(key, 0), cut.end)
    if goal == "used":
        return sum(ends.values())
    rolls = model.problem.rolls
    if goal == "short":
        return sum(ends.get((r.name, BOLT), 0) for r in rolls if r.name in model.unbought)
    # A bolt that nothing is cut from needs no allowance for its start.
    used = {roll.name: ends.get((roll.name, BOLT), -roll.allowance) for roll in rolls}
    first: GoalName = "money" if goal == "money" else "bought"
    return bought_value(model.problem, first, used, by_option["shades"])


def _thinned(
    problem: Problem, supply: Supply, clock: Clock
) -> tuple[Problem, bool, tuple[Formulation, bool]]:
    """The problem with no more options, and if need be slots, than its rolls of several phases can
    take, whether those are all, and how to cut it."""
    formulation = formulate(problem, clock)
    cutting = formulation[0]
    every, slots = 1, 1
    while True:
        kinds = tuple(replace(k, options=k.options[::every]) for k in problem.kinds)
        some = _fewer_slots(replace(problem, kinds=kinds), slots)
        size = sum(
            len(supply.stretches[roll.name]) * phased_size(some, roll, cutting)
            for roll in some.rolls
            if len(roll.nodes) > 1
        )
        counts = (len(r.slots) for k in kinds for o in k.options for r in o.rects)
        most = max(counts, default=0)
        if size <= _MOST_ROWS or slots > most:
            if every == slots == 1:
                return problem, True, formulation
            return some, False, formulate(some, clock)
        if every < max(len(kind.options) for kind in problem.kinds):
            every *= 2
        else:
            slots *= 2


def _fewer_slots(problem: Problem, every: int) -> Problem:
    """The problem with only every so many of the slots of each rectangle."""
    if every == 1:
        return problem

    def fewer(option: Option) -> Option:
        cut = tuple(
            tuple(replace(rect, slots=rect.slots[::every]) for rect in shade)
            for shade in option.cut
        )
        return replace(option, cut=cut)

    kinds = tuple(replace(kind, options=tuple(map(fewer, kind.options))) for kind in problem.kinds)
    some = replace(problem, kinds=kinds)
    rolls = []
    for roll in problem.rolls:
        if len(roll.nodes) == 1:
            rolls.append(roll)
            continue
        phases = {slot.phase for rect in some.rects(roll) for slot in rect.slots}
        # A roll of several phases stays one.
        nodes = sorted(phases | set(roll.nodes[: max(2 - len(phases), 0)]))
        rolls.append(replace(roll, nodes=tuple(nodes)))
    return replace(some, rolls=tuple(rolls))


def _with_bases(problem: Problem, supply: Supply) -> tuple[list[Supply], bool]:
    """The supply with each start of rows worth trying, and whether those are all."""
    complete = True
    choices: list[list[tuple[str, Ticks]]] = []
    for roll in problem.rolls:
        if roll.name in supply.base or not _free_rows(roll, supply):
            continue
        found = starts_of_rows(problem, supply, roll)
        complete = complete and len(found) <= _MOST_BASES
        choices.append([(roll.name, base) for base in found[:_MOST_BASES]])
    return [replace(supply, base={**supply.base, **dict(bases)}) for bases in product(*choices)][
        : 2 * _MOST_BASES
    ], complete


def _free_rows(roll: Roll, supply: Supply) -> bool:
    """Whether rows may start anywhere, and some piece begins at a known height of the print."""
    known = [s for s in supply.stretches[roll.name] if s.zero is not None]
    return roll.period > 1 and roll.origin is None and bool(known)


def _without_spots(supply: Supply) -> Supply:
    clean = {
        name: [replace(stretch, spots=()) for stretch in these]
        for name, these in supply.stretches.items()
    }
    return replace(supply, stretches=clean)


def _least(
    problem: Problem, supply: Supply, goals: Sequence[LimitedGoal]
) -> dict[LimitedGoal, int]:
    """Bounds that need no search: cloth is at least as large as its panels."""
    lengths: dict[str, int] = {}
    for roll in problem.rolls:
        area = sum(
            kind.copies
            * min(
                sum(r.across * r.along * n for r, n in option.demand if r.roll == roll.name)
                for option in kind.bounding
            )
            for kind in problem.kinds
        )
        lengths[roll.name] = -(-area // roll.usable)
    fewest = sum(kind.copies * min(o.shades for o in kind.bounding) for kind in problem.kinds)
    needed = {
        name: length - sum(s.end - s.start for s in supply.stretches[name] if s.end is not None)
        for name, length in lengths.items()
    }
    if "left" in goals:
        return {"used": 0}
    rolls = {roll.name: roll for roll in problem.rolls}
    least = {
        name: (length if length > 0 else -rolls[name].allowance) for name, length in needed.items()
    }
    return {
        "short": sum(max(needed[name], 0) for name in supply.unbought),
        "used": sum(lengths.values()),
        "shades": fewest,
        "money": bought_value(problem, "money", least, fewest),
        "bought": bought_value(problem, "bought", least, fewest),
    }


def _teller(
    report: Report, goal: LimitedGoal, value: int | None
) -> Callable[[float | None, float], None]:
    def tell(objective: float | None, lower: float) -> None:
        so_far = objective if value is None else min(value, objective or value)
        if so_far is not None:
            report(goal, so_far, max(lower, 0))

    return tell


def _hint(model: LimitedModel, other: LimitedModel, value: list[int]) -> None:
    """Let a model start from a solution of another, as far as both have the same variables."""
    if other.problem is model.problem and len(other.cp.proto.variables) <= len(
        model.cp.proto.variables
    ):
        for index, held in enumerate(value[: len(other.cp.proto.variables)]):
            model.cp.add_hint(model.cp.get_int_var_from_proto_index(index), held)
