"""Goals that only look at options: choose options by a small model, then see if they can be cut.

The number of cut widths and the sum of gaps are decided among all options, with money, shades and
length used held. Packing variables for every option would make a large model whose relaxation says
little. Instead (logic-based Benders decomposition, Hooker and Ottosson 2003):

* a master chooses options alone, minimising the goal, under cuts that every plan satisfies;
* what it chose is cut from the rolls with its goals held. If that can be done, it is optimal;
* if not, the master learns a cut. Where cross-sections alone show that the cloth is too short, the
  cut is their worth (`shadewright.solve.pricing`), which speaks of all options. Otherwise it says
  that something chosen must be replaced by an option that is not larger.

The master's optimum is a bound all along.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace

from ortools.sat.python import cp_model

from shadewright.solve.grid import Grid
from shadewright.solve.lanes import total
from shadewright.solve.model import (
    Candidate,
    Formulation,
    GoalName,
    Model,
    build,
    used_most,
)
from shadewright.solve.pricing import Worth, price, worth_of
from shadewright.solve.problem import Kind, Option, Problem, beats
from shadewright.solve.run import Clock, Outcome, run

_MOST_LOAD = 100_000
# The load only chooses among equals, so it need not be least.
_LOAD_WORK = 0.05
# Goals that depend on how rolls are cut; the others are the master's alone.
_CUTTING: frozenset[GoalName] = frozenset({"money", "bought", "used"})

_Chosen = tuple[tuple[tuple[int, int], ...], ...]


@dataclass(frozen=True)
class Refined:
    """What the decomposition came to.

    Attributes:
        candidate: the optimum, if it was found.
        bound: of the goal; no candidate reaches less.
    """

    candidate: Candidate | None
    bound: int


class Refiner:
    """The master with what it has learnt, kept from one goal to the next.

    What it learns holds while later goals are minimised, since the goals it was learnt under are
    held then too.
    """

    def __init__(
        self,
        problem: Problem,
        worths: Mapping[str, list[Worth]],
        formulate: Callable[[Problem], Formulation],
        seed: int,
    ) -> None:
        """Start from worths of each roll.

        Args:
            formulate: how to model a problem's rolls exactly.
        """
        self._problem = problem
        self._formulate = formulate
        self._seed = seed
        self._master = build(problem, Formulation(worths=worths))
        self._held: dict[GoalName, int] = {}

    def minimise(
        self,
        goal: GoalName,
        held: Mapping[GoalName, int],
        good: int,
        clock: Clock,
        share: float,
        report: Callable[[int], None],
    ) -> Refined:
        """Minimise a goal over options, with earlier goals held.

        Args:
            good: what a known candidate reaches; a bound that meets it ends the search.
            share: of the work left that this may take.
            report: called with every better bound.
        """
        for earlier, most in held.items():
            if self._held.get(earlier) != most:
                self._master.hold(earlier, most)
        self._held |= held
        until = clock.work * (1 - share)
        bound = 0
        while clock.work > until and not clock.over:
            self._master.cp.minimize(self._master.goals[goal])
            outcome = run(self._master.cp, clock, share, self._seed)
            if outcome.bound is not None and outcome.bound > bound:
                bound = outcome.bound
                report(bound)
            if bound >= good or outcome.value is None or not outcome.optimal:
                break
            chosen = self._lightest(goal, bound, outcome.value, clock)
            found, learnt = self._check(chosen, held, clock, share)
            if found is not None:
                return Refined(found, bound)
            if not learnt:
                break
        return Refined(None, bound)

    def _lightest(self, goal: GoalName, value: int, known: list[int], clock: Clock) -> _Chosen:
        """Of the choices that reach a goal's value, one of little cloth: likelier to be cut."""
        cp = self._master.cp.clone()
        cp.add(self._master.goals[goal] <= value)
        cp.minimize(_load(self._master))
        cp.clear_hints()
        for row in self._master.choice:
            for var in row:
                cp.add_hint(var, known[var.index])
        outcome = run(cp, clock, min(_LOAD_WORK / clock.work, 1.0), self._seed)
        return _chosen(self._master, outcome.value or known)

    def _check(
        self, chosen: _Chosen, held: Mapping[GoalName, int], clock: Clock, share: float
    ) -> tuple[Candidate | None, bool]:
        """Cut what was chosen; if that cannot be done, learn why. Says whether it learnt."""
        problem = self._problem
        cuts = _too_short(problem, chosen, held)
        if cuts:
            for name, worth in cuts.items():
                _add_worth(self._master, problem, name, worth)
            return None, True
        outcome, model = self._cut(chosen, held, clock, share)
        if outcome.value is not None:
            return _ungroup(chosen, model.candidate(outcome.value)), False
        if not outcome.infeasible:
            return None, False
        _forbid(self._master, problem, self._least(chosen, held, clock, share))
        return None, True

    def _cut(
        self, chosen: _Chosen, held: Mapping[GoalName, int], clock: Clock, share: float
    ) -> tuple[Outcome, Model]:
        fixed = _only(self._problem, chosen)
        model = build(fixed, self._formulate(fixed))
        for earlier, most in held.items():
            if earlier in _CUTTING:
                model.hold(earlier, most)
        return run(model.cp, clock, share, self._seed), model

    def _least(
        self, chosen: _Chosen, held: Mapping[GoalName, int], clock: Clock, share: float
    ) -> _Chosen:
        """Make what cannot be cut as small as it can be and still not be cut: it forbids more."""
        for k, kind in enumerate(self._problem.kinds):
            if len(chosen[k]) != 1:
                continue
            ((o, copies),) = chosen[k]
            smaller = sorted(
                (
                    other
                    for other, option in enumerate(kind.options)
                    if other != o and beats(option, kind.options[o])
                ),
                key=lambda other, kind=kind: sum(  # type: ignore[misc]
                    r.across + r.along for r in kind.options[other].rects
                ),
            )
            for other in smaller:
                trial = (*chosen[:k], ((other, copies),), *chosen[k + 1 :])
                if self._cut(trial, held, clock, share)[0].infeasible:
                    chosen = trial
                    break
        return chosen


def _load(master: Model) -> cp_model.LinearExpr:
    """Area of all panels, in parts of the most it can be."""
    areas = [
        [sum(r.across * r.along * n for r, n in option.demand) for option in kind.options]
        for kind in master.problem.kinds
    ]
    most = sum(
        max(row) * kind.copies for row, kind in zip(areas, master.problem.kinds, strict=True)
    )
    return total(
        (area * _MOST_LOAD // most, var)
        for row, these in zip(master.choice, areas, strict=True)
        for var, area in zip(row, these, strict=True)
    )


def _chosen(master: Model, value: list[int]) -> _Chosen:
    """By kind, the options taken (by number) and how often."""
    return tuple(
        tuple((o, value[var.index]) for o, var in enumerate(row) if value[var.index])
        for row in master.choice
    )


def _only(problem: Problem, chosen: _Chosen) -> Problem:
    """The problem with its options taken: nothing is left to choose but how to cut."""
    kinds = tuple(
        Kind(copies, (kind.options[o],))
        for kind, taken in zip(problem.kinds, chosen, strict=True)
        for o, copies in taken
    )
    return replace(problem, kinds=kinds)


def _ungroup(chosen: _Chosen, found: Candidate) -> Candidate:
    """Back from one kind an option taken to one kind an opening."""
    options = iter(found.chosen)
    return Candidate(tuple(tuple(next(options)[0] for _ in taken) for taken in chosen), found.drops)


def _too_short(problem: Problem, chosen: _Chosen, held: Mapping[GoalName, int]) -> dict[str, Worth]:
    """Worths that show the cloth held to be too short for what is chosen; none if it may do."""
    fixed = _only(problem, chosen)
    grids = {roll.name: Grid.of(roll, fixed.rects(roll)) for roll in fixed.rolls}
    priced = price(fixed.kinds, grids)
    least = 0
    for roll in fixed.rolls:
        grid = grids[roll.name]
        worth = priced.worths[roll.name]
        asked = sum(worth.of(grid, rect) * n for rect, n in fixed.rects(roll).items())
        units = -(-asked // worth.kappa)
        tail = max(grid.tail(rect) for rect in fixed.rects(roll))
        least += roll.lead + grid.unit * units - tail
    if least <= used_most(problem, held):
        return {}
    cuts = {}
    for roll in problem.rolls:
        rects = problem.rects(roll)
        prices = priced.worths[roll.name].prices
        grid = Grid.of(roll, rects)
        cuts[roll.name] = worth_of(
            grid, {rect.across: float(prices.get(rect.across, 0)) for rect in rects}
        )
    return cuts


def _add_worth(master: Model, problem: Problem, name: str, worth: Worth) -> None:
    """Teach the master one more worth of a roll."""
    roll = next(roll for roll in problem.rolls if roll.name == name)
    grid = Grid.of(roll, problem.rects(roll))
    master.cp.add(
        worth.kappa * master.units[name]
        >= total(
            (worth.of(grid, rect) * count, var)
            for kind, row in zip(problem.kinds, master.choice, strict=True)
            for option, var in zip(kind.options, row, strict=True)
            for rect, count in option.demand
            if rect.roll == name
        )
    )


def _forbid(master: Model, problem: Problem, chosen: _Chosen) -> None:
    """Teach the master that what was chosen, or anything larger, cannot be cut."""
    ways_out: list[cp_model.IntVar] = []
    for kind, row, taken in zip(problem.kinds, master.choice, chosen, strict=True):
        options = [kind.options[o] for o, _ in taken]
        larger = [_larger(option, options) for option in kind.options]
        if all(larger[o] for o, _ in taken):
            # Out: a copy that takes an option no larger than those chosen.
            ways_out += [var for var, is_larger in zip(row, larger, strict=True) if not is_larger]
            continue
        for o, copies in taken:
            fewer = master.cp.new_bool_var("")
            master.cp.add(row[o] <= copies - 1).only_enforce_if(fewer)
            ways_out.append(fewer)
    master.cp.add(total((1, out) for out in ways_out) >= 1)


def _larger(option: Option, chosen: list[Option]) -> bool:
    """Whether an option asks for at least as much as every one of those chosen."""
    return all(other == option or beats(other, option) for other in chosen)
