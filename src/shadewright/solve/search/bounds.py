"""Bounds of goals: what is known of one without a search, and under what it was found."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import replace

from shadewright.measure import Ticks
from shadewright.solve.packing.grid import Grid
from shadewright.solve.packing.worths import Pricing, Worth, price
from shadewright.solve.problem.bolts import Joining
from shadewright.solve.problem.kinds import Kind, Option, Problem, Rect, Roll
from shadewright.solve.problem.supply import Supply
from shadewright.solve.run import Clock
from shadewright.solve.search.goals import ABOVE_ALL, Goal, goal_order, spent
from shadewright.solve.search.parts import bounding_grid

_PRICES = 8
"""Of a shade, that are tried to bound what shades cost at most."""


class Bounds:
    """Bounds of one goal, each with the values of earlier goals that it was found under."""

    def __init__(self) -> None:
        self._found: list[tuple[dict[Goal, int], int]] = [({}, 0)]

    def add(self, held: Mapping[Goal, int], bound: int) -> None:
        self._found.append((dict(held), bound))

    def given(self, held: Mapping[Goal, int]) -> int:
        """The best bound while earlier goals are held at these values.

        A bound found under looser values holds under tighter ones, but not the other way about:
        when an earlier goal gets better, one between may get worse.
        """
        return max(
            bound
            for under, bound in self._found
            if all(goal in held and held[goal] <= most for goal, most in under.items())
        )


class Knowledge:
    """Bounds of all goals of a search.

    Attributes:
        used: least length used by any plan that makes everything.
    """

    def __init__(
        self, problem: Problem, supply: Supply, order: Iterable[Goal], *, leaving: bool
    ) -> None:
        """Nothing is known but that no goal is below 0.

        Args:
            leaving: whether openings may be left out.
        """
        self._problem = problem
        self._supply = supply
        self._bounds = {goal: Bounds() for goal in order}
        # What is learned of plans that make everything says nothing of others.
        self._made: dict[Goal, int] = {"left": 0} if leaving else {}
        self.used = 0
        self._most_costs: dict[int, int] = {}

    def bound(self, goal: Goal, held: Mapping[Goal, int]) -> int:
        """The best bound of a goal while earlier ones are held at these values."""
        bound = self._bounds[goal].given(held)
        first = goal_order(self._problem)[0]
        if goal == "used" and "shades" in held and not self._made:
            least = self._bounds[first].given(held) - self._most_cost(held["shades"])
            bound = max(bound, used_at_least(self._problem, self._supply, least))
        return bound

    def _most_cost(self, shades: int) -> int:
        """What plans of no more than so many shades cost at most apart from cloth."""
        if shades not in self._most_costs:
            self._most_costs[shades] = most_cost(self._problem, shades)
        return self._most_costs[shades]

    def add(self, goal: Goal, held: Mapping[Goal, int], bound: int) -> None:
        """A bound of a goal that was found while earlier ones were held at these values."""
        self._bounds[goal].add(held, bound)

    def learn(self, least_used: Mapping[str, int], held: Mapping[Goal, int] | None = None) -> None:
        """Bounds that follow from the least length used of each roll where all are made.

        Args:
            held: what goals are held at for that; nothing if None.
        """
        if held is None:
            self.used = max(self.used, sum(least_used.values()))
        for goal, bounds in self._bounds.items():
            if goal not in self._made:
                least = plain_bound(self._problem, self._supply, goal, least_used)
                bounds.add({**self._made, **(held or {})}, least)

    def learn_used(self, least: int, rolls: Iterable[str]) -> None:
        """The same from the least length used of all these rolls together."""
        self.used = max(self.used, least)
        names = list(rolls)
        if len(names) == 1 and not self._supply.on_hand:
            self.learn(dict.fromkeys(names, self.used))

    def is_of_all_bolts(self, goal: Goal, held: Mapping[Goal, int]) -> bool:
        """Whether more bolts than are looked at could not make a goal better."""
        joining, first = self._supply.joining, goal_order(self._problem)[0]
        if goal in (*ABOVE_ALL, first, "shades"):
            return joining >= Joining.BOUGHT
        return joining >= (Joining.USED_OF_BOUGHT if first in held else Joining.ALL)


def used_at_least(problem: Problem, supply: Supply, least: int) -> int:
    """The least length used where so much at least is spent on cloth, which is bought in steps; 0
    where it may lie on several bolts, or on hand, or where not all divisions are listed."""
    if len(problem.rolls) != 1 or supply.on_hand:
        return 0
    (roll,) = problem.rolls
    step = problem.step_cost(roll)
    if not step or roll.bolt is not None or not all(kind.complete for kind in problem.kinds):
        return 0
    spare = roll.spare
    if roll.spare_panel:
        spare = max([spare, *(rect.along for rect in problem.rects(roll))])
    steps = -(-least // step)
    return max((steps - 1) * roll.sold_in + 1 - roll.allowance - spare, 0)


def most_cost(problem: Problem, shades: int) -> int:
    """What options of no more than so many shades cost at most, of all that are listed.

    A price of a shade is taken off each option and put on again for all shades there may be; any
    price bounds, and some are tried that lie between what shades cost more by opening.
    """
    of_kinds = [
        sorted({(option.shades, problem.option_cost(option)) for option in kind.options})
        for kind in problem.kinds
    ]
    prices = {0}
    for these in of_kinds:
        (fewest, least), (most, cost) = these[0], these[-1]
        if fewest < most:
            prices.add(max((cost - least) // (most - fewest), 0))
    ranked = sorted(prices)
    return min(
        price * shades
        + sum(
            kind.copies * max(cost - price * n for n, cost in these)
            for kind, these in zip(problem.kinds, of_kinds, strict=True)
        )
        for price in {*ranked[:: -(-len(ranked) // _PRICES)], ranked[-1]}
    )


def plain_bound(problem: Problem, supply: Supply, goal: Goal, least_used: Mapping[str, int]) -> int:
    """A bound of a goal that needs no search.

    Args:
        least_used: of each roll, in any plan.
    """
    by_option: dict[Goal, Callable[[Option], int]] = {
        "shades": lambda option: option.shades,
        "gaps": lambda option: option.gaps,
    }
    if goal in by_option:
        of = by_option[goal]
        return sum(kind.copies * min(map(of, kind.bounding)) for kind in problem.kinds)
    if goal == "used":
        return sum(least_used.values())
    if goal == "widths":
        return 1
    if goal in ("left", "remnant"):
        return 0
    bolts: dict[str, list[Ticks]] = {roll.name: [] for roll in problem.rolls}
    for name, least in least_used.items():
        these = supply.stretches[name]
        on_hand = sum(s.end - s.start for s in these if s.end is not None and not s.bought)
        beyond = least - on_hand
        bolts[name] = [beyond] if beyond > 0 else [] if on_hand else [least]
    if goal == "short":
        return sum(sum(bolts[name]) for name in supply.unbought)
    costs = sum(
        kind.copies * min(map(problem.option_cost, kind.bounding)) for kind in problem.kinds
    )
    # All in one bolt, however long, is bought for no more than in several.
    whole = replace(problem, rolls=tuple(replace(roll, bolt=None) for roll in problem.rolls))
    return spent(whole, bolts, {roll.name: roll.spare for roll in problem.rolls}, costs)


def lengths_at_least(
    problem: Problem, supply: Supply, worths: Mapping[str, list[Worth]]
) -> dict[str, int]:
    """Lengths that no plan goes below: what the cheapest options are worth, roll by roll, and never
    less than their area.

    Each stretch that is used may leave a tail unused; that of the bolt has a lead.

    Args:
        worths: of rolls; where there are none, the area alone tells.
    """
    bounded = problem.bounding()
    lengths: dict[str, int] = {}
    for roll in bounded.rolls:
        rects = bounded.rects(roll)
        if not rects:
            continue
        stretches = supply.stretches[roll.name]
        lead = roll.lead if roll.name in supply.whole else min(s.start for s in stretches)
        least = -(-_least_area(problem, roll) // roll.usable)
        if worths.get(roll.name):
            grid = bounding_grid(roll, rects)
            units = max(
                -(
                    -sum(kind.copies * _least_worth(kind, worth, grid) for kind in problem.kinds)
                    // worth.kappa(grid)
                )
                for worth in worths[roll.name]
            )
            tails = max(len(stretches), supply.most.get(roll.name, 0)) * max(map(grid.tail, rects))
            least = max(least, grid.unit * units - tails)
        lengths[roll.name] = lead + least
    return lengths


def _least_area(problem: Problem, roll: Roll) -> int:
    """What all openings ask for of a roll at least, across times along."""

    def area(option: Option) -> int:
        if len(problem.rolls) == 1:
            return option.area
        return sum(r.across * r.along for r in option.rects if r.roll == roll.name)

    return sum(kind.copies * min(map(area, kind.bounding)) for kind in problem.kinds)


def _least_worth(kind: Kind, worth: Worth, grid: Grid) -> int:
    """What each copy of a kind is worth at least, by what its roll's rectangles are."""
    name = grid.roll.name

    def value(rect: Rect) -> float:
        return float(worth.of(grid, rect)) if rect.roll == name else 0.0

    if kind.families:
        return int(min(family.cheapest(value) for family in kind.families))
    return min(worth.of_option(grid, option) for option in kind.bounding)


def worths_of(problem: Problem, clock: Clock) -> dict[str, list[Worth]]:
    """What every plan satisfies, by the prices of widths."""
    return worths_by(pricings_of(problem, clock))


def worths_by(pricings: Iterable[Pricing]) -> dict[str, list[Worth]]:
    """What pricings say that rectangles are worth, roll by roll."""
    found: dict[str, dict[Worth, None]] = {}
    for pricing in pricings:
        for name, worth in pricing.worths.items():
            found.setdefault(name, {})[worth] = None
    return {name: list(worths) for name, worths in found.items()}


def pricings_of(problem: Problem, clock: Clock) -> list[Pricing]:
    """Prices by all bounding options, for length alone and for what it costs; and by the options
    there are, where what bounds is in no list."""
    bounded = problem.bounding()
    grids = {roll.name: bounding_grid(roll, bounded.rects(roll)) for roll in bounded.rolls}
    costs = any(option.cost for kind in bounded.kinds for option in kind.options)
    found = [
        price(bounded.kinds, grids, clock, costs=by_cost)
        for by_cost in ((False, True) if costs else (False,))
    ]
    if any(kind.families for kind in problem.kinds):
        of_options = {roll.name: Grid.of(roll, problem.rects(roll)) for roll in problem.rolls}
        found.append(price(problem.kinds, of_options, clock))
    return found
