"""Building the constraint model: what is taken, what is bought, and the goals.

How a roll's rectangles are shared out between its stretches, and packed there, is in `parts`.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from ortools.sat.python import cp_model

from shadewright.measure import Ticks
from shadewright.solve.problem.kinds import NOTHING, Kind, Option, Problem, Roll, Topic, Value
from shadewright.solve.problem.supply import Supply
from shadewright.solve.run import Clock
from shadewright.solve.search.candidate import (
    AREA_UNIT,
    LARGEST_AREA,
    Forgone,
    Taken,
    lengths_on_hand,
    ways_to_take,
)
from shadewright.solve.search.goals import Goal, goal_order
from shadewright.solve.search.model import Formulation, Model, Part
from shadewright.solve.search.parts import PartBuilder
from shadewright.solve.sums import Terms, total


def build(
    problem: Problem,
    supply: Supply,
    cutting: Formulation,
    clock: Clock,
    forgone: Forgone | None = None,
) -> Model:
    """Build the model of a problem; where it only bounds, kinds take their bounding options.

    Args:
        cutting: templates and stacks of each roll.
    """
    if cutting.bounding:
        problem = problem.bounding()
    return _Builder(problem, supply, cutting, clock, forgone or Forgone()).build()


def minimising(  # noqa: PLR0917
    problem: Problem,
    supply: Supply,
    cutting: Formulation,
    clock: Clock,
    forgone: Forgone,
    goal: Goal,
    held: Mapping[Goal, int],
) -> Model:
    """The model of a problem that minimises a goal, with others held."""
    model = build(problem, supply, cutting, clock, forgone)
    for earlier, most in held.items():
        model.hold(earlier, most)
    model.cp.minimize(model.goals[goal])
    return model


@dataclass(frozen=True)
class Buying:
    """A bolt that is bought: how many steps of it, where what is used of it ends, and whether
    anything is cut from it, None where something always is."""

    steps: cp_model.IntVar
    end: cp_model.LinearExpr | cp_model.IntVar
    used: cp_model.IntVar | None


class _Builder:
    """Builds one model; what all its parts share."""

    def __init__(
        self,
        problem: Problem,
        supply: Supply,
        cutting: Formulation,
        clock: Clock,
        forgone: Forgone,
    ) -> None:
        self.problem = problem
        self.supply = supply
        self.cutting = cutting
        self.clock = clock
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
        options = [[each.option or NOTHING for each in row] for row in self.taken]
        add_agreement(cp, problem.kinds, options, choice)
        if supply.lots == "job":
            self._one_lot()
        builder = PartBuilder(problem, supply, self.cutting, cp, self.taken, choice, self.clock)
        parts: list[Part] = []
        used: list[cp_model.LinearExpr | cp_model.IntVar] = []
        asked: list[cp_model.LinearExpr | cp_model.IntVar] = []
        steps: Terms = []
        spare: list[cp_model.LinearExpr] = []
        for roll in problem.rolls:
            here = builder.add(roll)
            parts += here
            by_piece: dict[str, list[Part]] = {}
            for part in here:
                by_piece.setdefault(part.stretch.piece, []).append(part)
            endless = supply.endless(problem, roll)
            if here[-1].empty is None:
                endless = here[-1].roll.lead + here[-1].packing.longest
            extra = self._spare_of(roll)
            fresh: list[Buying] = []
            on_hand = lengths_on_hand(supply, roll.name)
            for piece, these in by_piece.items():
                end = self._end_of_piece(these, endless)
                used.append(end)
                if these[-1].stretch.bought:
                    buying = self._buy(roll, these, end, extra)
                    extra = 0
                    fresh += [buying] if these[0].stretch.start == roll.lead else []
                    steps.append((problem.step_cost(roll), buying.steps))
                    if roll.name in supply.unbought:
                        asked.append(end)
                else:
                    across = roll.usable // AREA_UNIT
                    spare.append(across * on_hand[piece] - across * end)
            self._order(fresh, roll)
        shades = weighted(choice, [[o.shades for o in row] for row in options])
        costs = [[problem.option_cost(o) for o in row] for row in options]
        goals: dict[Goal, cp_model.LinearExpr] = {
            "short": cp_model.LinearExpr.sum(asked),
            "left": self._left_out(),
            goal_order(problem)[0]: total(steps) + weighted(choice, costs),
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
        spare: cp_model.IntVar | int,
    ) -> Buying:
        """Enough steps of a bolt are bought, if anything is cut from it.

        Args:
            spare: bought with this one.
        """
        cp = self.cp
        furthest = self.supply.endless(self.problem, roll)
        if parts[-1].empty is None:
            furthest = parts[-1].roll.lead + parts[-1].packing.longest
        most_spare = roll.spare
        if roll.spare_panel:
            most_spare += max((rect.along for rect in self.problem.rects(roll)), default=0)
        most = -(-(furthest + roll.allowance + most_spare) // roll.sold_in)
        if roll.name in self.supply.several and roll.bolt is not None:
            most = roll.bolt // roll.sold_in
        steps = cp.new_int_var(0, most, f"{roll.name} steps")
        enough = cp.add(roll.sold_in * steps >= end + roll.allowance + spare)
        if any(part.empty is None for part in parts):
            return Buying(steps, end, None)
        used = cp.new_bool_var("")
        cut = [~part.empty for part in parts if part.empty is not None]
        for each in cut:
            cp.add_implication(each, used)
        # Nothing is bought to spare with a bolt that nothing is cut from.
        cp.add_bool_or(cut).only_enforce_if(used)
        enough.only_enforce_if(used)
        return Buying(steps, end, used)

    def _spare_of(self, roll: Roll) -> cp_model.IntVar | int:
        """What is bought of a roll to spare: a length, or that of the longest rectangle taken."""
        if not roll.spare_panel:
            return roll.spare
        rows = list(zip(self.problem.kinds, self.taken, self.choice, strict=True))
        most = max((rect.along for rect in self.problem.rects(roll)), default=0)
        spare = self.cp.new_int_var(roll.spare, max(most, roll.spare), f"{roll.name} spare")
        taken: dict[Ticks, cp_model.IntVar] = {}
        for kind, row, vars_ in rows:
            for each, var in zip(row, vars_, strict=True):
                along = roll.spare_with([each.option] if each.option else [])
                if along not in taken:
                    taken[along] = self.cp.new_bool_var("")
                    self.cp.add(spare >= along).only_enforce_if(taken[along])
                self.cp.add(var <= kind.copies * taken[along])
        return spare

    def _order(self, bolts: Sequence[Buying], roll: Roll) -> None:
        """Of bolts that nothing is cut from yet, any may be the one that is used furthest; it is
        the first of those that differ in nothing. The first of all comes with what is spare."""
        for before, after in pairwise(bolts):
            if before.used is not None and after.used is not None:
                self.cp.add_implication(after.used, before.used)
        alike = bolts if not (roll.spare or roll.spare_panel) else bolts[1:]
        for before, after in pairwise(alike):
            self.cp.add(before.end >= after.end)

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


def _ways_to_take(
    kind: Kind, supply: Supply, kept: Mapping[str, str | None], may_leave: bool
) -> list[Taken]:
    """Every option with every choice of dye lots, and where that may be nothing at all."""
    found = [taken for option in kind.options for taken in ways_to_take(option, supply, kept)]
    if may_leave:
        found.append(Taken(None))
    return found


def add_agreement(
    cp: cp_model.CpModel,
    kinds: Iterable[Kind],
    options: Sequence[Sequence[Option]],
    choice: list[list[cp_model.IntVar]],
) -> None:
    """All options taken say the same of every topic that they speak of."""
    said: dict[Topic, dict[Value, cp_model.IntVar]] = {}
    for kind, these, row in zip(kinds, options, choice, strict=True):
        speaking: dict[tuple[Topic, Value], list[cp_model.IntVar]] = {}
        for option, var in zip(these, row, strict=True):
            for each in option.agreed:
                speaking.setdefault(each, []).append(var)
        for (topic, value), alike in speaking.items():
            here = said.setdefault(topic, {})
            if value not in here:
                here[value] = cp.new_bool_var(f"{topic}: {value}")
            cp.add(total((1, var) for var in alike) <= kind.copies * here[value])
    for values in said.values():
        cp.add_exactly_one(values.values())


def weighted(choice: list[list[cp_model.IntVar]], weights: list[list[int]]) -> cp_model.LinearExpr:
    return total(
        (weight, var)
        for row, these in zip(choice, weights, strict=True)
        for var, weight in zip(row, these, strict=True)
    )


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
