"""Boards and rods from stock lengths: the least length bought, then the fewest sticks, proved.

The cutting stock problem of Gilmore and Gomory: a *pattern* says how many pieces of each length one
stick yields. With a kerf k, n pieces take their lengths and n - 1 cuts, so a piece counts as l + k
on a stick of S + k; nothing is lost after a piece that ends the stick.

Patterns are listed where they are few, and then the model is exact. Where they are many the linear
relaxation is solved by column generation, whose bound (rounded up to what stock lengths can add up
to) is nearly always what a plan reaches, and a plan is made of the patterns found and of those that
filling the longest first meets.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from math import ceil, gcd

from ortools.sat.python import cp_model

from shadewright.cloth.stick_plan import Stick, Sticks
from shadewright.measure import Ticks, ceil_to
from shadewright.solve.run import Clock, linear_programme, optimise, run
from shadewright.solve.sticks.knapsack import Knapsack
from shadewright.solve.sums import Terms, total

_PLENTY = 1e-6


@dataclass(frozen=True, order=True)
class _Pattern:
    """How many pieces of each length a stick yields, and what the stick is cut from."""

    stock: Ticks
    counts: tuple[int, ...]


def cut_sticks(
    pieces: Iterable[Ticks], stock: Iterable[Ticks], kerf: Ticks, clock: Clock, seed: int = 0
) -> Sticks:
    """Cut pieces from sticks of the stock lengths, as many of each as it takes.

    Args:
        kerf: lost to each cut between two pieces.
        clock: of the whole command; a plan is made even where it has run out.

    Raises:
        ValueError: a piece is longer than every stick.
    """
    asked = Counter(pieces)
    lengths = sorted(asked, reverse=True)
    sticks = sorted(set(stock))
    if not lengths:
        return Sticks((), 0, 0)
    if not sticks or lengths[0] > sticks[-1]:
        raise ValueError(f"no stick holds {lengths[0]}")
    demand = [asked[length] for length in lengths]
    wood = _Wood(lengths, demand, sticks, kerf)
    first = _longest_first(wood)
    patterns = _all_patterns(wood, clock)
    if patterns is None:
        patterns, relaxed = _generated(wood, first, clock)
        bound = max(_round_up(relaxed, sticks), _least(wood))
        exact = False
    else:
        bound, exact = _least(wood), True
    model = _PatternModel(wood, patterns, exact, clock, seed)
    used, lower, fewest = model.fewest(first, bound)
    return Sticks(tuple(_laid(used, lengths, demand)), lower, fewest)


@dataclass(frozen=True)
class _Wood:
    """What is asked for, longest first, and what it is cut from, shortest first."""

    lengths: Sequence[Ticks]
    demand: Sequence[int]
    sticks: Sequence[Ticks]
    kerf: Ticks

    def shortest(self, counts: Sequence[int]) -> Ticks:
        """The shortest stick that yields these pieces."""
        taken = sum((n + self.kerf) * by for n, by in zip(self.lengths, counts, strict=True) if by)
        return next(stick for stick in self.sticks if taken <= stick + self.kerf)


def _least(wood: _Wood) -> Ticks:
    """What the pieces and their cuts come to, rounded up to what sticks can add up to.

    A stick of S with n pieces holds n kerfs in S + kerf, so S is at least
    S / (S + kerf) times what it yields; the least such factor is the shortest stick's.
    """
    taken = sum((n + wood.kerf) * by for n, by in zip(wood.lengths, wood.demand, strict=True))
    shortest, unit = wood.sticks[0], gcd(*wood.sticks)
    return ceil_to(-(-taken * shortest // (shortest + wood.kerf)), unit)


def _longest_first(wood: _Wood) -> Counter[_Pattern]:
    """A first plan: each stick, of every length in turn, filled with the longest pieces that fit;
    the length of stick that does best."""
    best: Counter[_Pattern] | None = None
    for longest in wood.sticks:
        if wood.lengths[0] > longest:
            continue
        left = list(wood.demand)
        first = 0
        plan: Counter[_Pattern] = Counter()
        while any(left[first:]):
            while not left[first]:
                first += 1
            counts = [0] * len(left)
            room = longest + wood.kerf
            for i in range(first, len(left)):
                counts[i] = min(left[i], room // (wood.lengths[i] + wood.kerf))
                room -= counts[i] * (wood.lengths[i] + wood.kerf)
            times = min(n // c for n, c in zip(left, counts, strict=True) if c)
            plan[_Pattern(wood.shortest(counts), tuple(counts))] += times
            left = [n - times * c for n, c in zip(left, counts, strict=True)]
        if best is None or _cost(plan) < _cost(best):
            best = plan
    assert best is not None, "the longest stick holds the longest piece"
    return best


def _cost(plan: Mapping[_Pattern, int]) -> tuple[Ticks, int]:
    return sum(p.stock * n for p, n in plan.items()), sum(plan.values())


def _all_patterns(wood: _Wood, clock: Clock) -> list[_Pattern] | None:
    """Every pattern to which no piece can be added on its stick; None if there are too many.

    A plan may then yield more pieces than asked for, and those are not cut.
    """
    if len(wood.lengths) > clock.effort.listed_lengths:
        return None
    found: list[_Pattern] = []
    each = [length + wood.kerf for length in wood.lengths]
    last = len(each) - 1
    for stick in wood.sticks:
        # Patterns begun: how many of each length so far, and the room left.
        begun: list[tuple[tuple[int, ...], Ticks]] = [((), stick + wood.kerf)]
        while begun:
            counts, room = begun.pop()
            i = len(counts)
            if i > last:
                full = all(
                    one > room or n >= most
                    for one, n, most in zip(each, counts, wood.demand, strict=True)
                )
                if full and any(counts):
                    found.append(_Pattern(stick, counts))
                    if len(found) > clock.effort.listed_patterns:
                        return None
                continue
            most = min(wood.demand[i], room // each[i])
            # Of the shortest length, as many as fit: a pattern with fewer is not full.
            fewest = most if i == last else 0
            begun += [((*counts, n), room - n * each[i]) for n in range(fewest, most + 1)]
    clock.spend_seconds(len(found) * len(each) * clock.effort.seconds_to_list)
    return found


def _generated(
    wood: _Wood, first: Iterable[_Pattern], clock: Clock
) -> tuple[list[_Pattern], float]:
    """Patterns by column generation, and the relaxation's least length."""
    programme = linear_programme()
    rows = [programme.Constraint(n, programme.infinity()) for n in wood.demand]
    objective = programme.Objective()
    objective.SetMinimization()
    patterns: dict[_Pattern, None] = {}

    def add(pattern: _Pattern) -> None:
        if pattern in patterns:
            return
        patterns[pattern] = None
        column = programme.NumVar(0, programme.infinity(), "")
        objective.SetCoefficient(column, pattern.stock)
        for row, n in zip(rows, pattern.counts, strict=True):
            if n:
                row.SetCoefficient(column, n)

    for pattern in first:
        add(pattern)
    bound = 0.0
    while not clock.over and optimise(programme, clock):
        duals = [max(row.dual_value(), 0.0) for row in rows]
        knapsack = Knapsack.of(wood.lengths, wood.demand, duals, wood.sticks[-1], wood.kerf)
        clock.spend_seconds(knapsack.work * clock.effort.seconds_to_fill)
        worth, found = 0.0, []
        for stick in wood.sticks:
            value, most, counts = knapsack.best(stick)
            worth = max(worth, most / stick)
            if value > stick * (1 + _PLENTY):
                found.append(_Pattern(wood.shortest(counts), counts))
        # Duals scaled until no pattern is worth more than its stick bound every plan (Farley).
        priced = sum(n * dual for n, dual in zip(wood.demand, duals, strict=True))
        bound = max(bound, priced / max(worth, 1.0))
        if not any(pattern not in patterns for pattern in found):
            break
        for pattern in found:
            add(pattern)
    return list(patterns), bound


def _round_up(relaxed: float, sticks: Sequence[Ticks]) -> Ticks:
    """The least length that sticks can add up to: a multiple of what divides them all."""
    unit = gcd(*sticks)
    return ceil(relaxed / unit - _PLENTY) * unit


@dataclass(frozen=True)
class _PatternModel:
    """The best plan of some patterns; `exact` where they are all that matter."""

    wood: _Wood
    patterns: list[_Pattern]
    exact: bool
    clock: Clock
    seed: int

    def fewest(
        self, first: Counter[_Pattern], bound: Ticks
    ) -> tuple[Counter[_Pattern], Ticks, int]:
        """The best plan, with bounds of its length and of its number of sticks."""
        best = first
        if _cost(best)[0] > bound:
            best, lower = self._solve(best, None)
            bound = max(bound, lower) if self.exact else bound
        longest = max(self.wood.sticks)
        fewest = -(-bound // longest)
        if len(self.wood.sticks) > 1 and _cost(best)[0] == bound and _cost(best)[1] > fewest:
            best, lower = self._solve(best, bound)
            fewest = max(fewest, lower) if self.exact else fewest
        return best, bound, fewest

    def _solve(
        self, best: Counter[_Pattern], length: Ticks | None
    ) -> tuple[Counter[_Pattern], int]:
        """Least length, or fewest sticks of a length no longer than one given, and its bound."""
        demand, patterns = self.wood.demand, self.patterns
        if not self.clock.can_build(len(patterns) + len(demand)):
            return best, 0
        model = cp_model.CpModel()
        times = [
            model.new_int_var(
                0, max(-(-n // c) for n, c in zip(demand, p.counts, strict=True) if c), ""
            )
            for p in patterns
        ]
        yields: list[Terms] = [[] for _ in demand]
        for pattern, var in zip(patterns, times, strict=True):
            for i, n in enumerate(pattern.counts):
                if n:
                    yields[i].append((n, var))
        for n, terms in zip(demand, yields, strict=True):
            model.add(total(terms) >= n)
        # In the stock's common unit, so that the solver's bound moves in whole sticks.
        unit = gcd(*self.wood.sticks)
        bought = total((p.stock // unit, var) for p, var in zip(patterns, times, strict=True))
        if length is None:
            model.minimize(bought)
        else:
            model.add(bought <= length // unit)
            model.minimize(total((1, var) for var in times))
        for pattern, var in zip(patterns, times, strict=True):
            model.add_hint(var, best[pattern])
        outcome = run(model, self.clock, self.clock.effort.stick_share, self.seed)
        lower = (outcome.bound or 0) * (unit if length is None else 1)
        if outcome.value is None:
            return best, lower
        found = Counter(
            {
                p: n
                for p, var in zip(patterns, times, strict=True)
                if (n := outcome.value[var.index])
            }
        )
        return (found if _cost(found) < _cost(best) else best), lower


def _laid(
    used: Mapping[_Pattern, int], lengths: Sequence[Ticks], demand: Sequence[int]
) -> Iterator[Stick]:
    """The sticks one by one, without pieces that nothing asks for."""
    left = list(demand)
    for pattern, times in sorted(used.items(), reverse=True):
        for _ in range(times):
            counts = [min(n, more) for n, more in zip(pattern.counts, left, strict=True)]
            left = [n - c for n, c in zip(left, counts, strict=True)]
            pieces = tuple(
                length for length, n in zip(lengths, counts, strict=True) for _ in range(n)
            )
            if pieces:
                yield Stick(pattern.stock, pieces)
