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

from ortools.linear_solver import pywraplp
from ortools.sat.python import cp_model

from shadewright.measure import Ticks
from shadewright.solve.lanes import total

_MOST_LISTED = 6_000
_MOST_ROUNDS = 400
# Deterministic work of the solver for one model; of seconds, about as many.
_WORK = 4.0
_PLENTY = 1e-6


@dataclass(frozen=True)
class Stick:
    """One stick bought, and the lengths of its pieces in the order they are cut."""

    stock: Ticks
    pieces: tuple[Ticks, ...]


@dataclass(frozen=True)
class Sticks:
    """A cutting plan of sticks.

    Attributes:
        sticks: the longest pieces first.
        bound: no plan buys less length.
        fewest: no plan that buys so much length has fewer sticks.
    """

    sticks: tuple[Stick, ...]
    bound: Ticks
    fewest: int

    @property
    def bought(self) -> Ticks:
        """Length of all sticks."""
        return sum(stick.stock for stick in self.sticks)

    @property
    def proved(self) -> bool:
        return self.bound == self.bought and self.fewest == len(self.sticks)


@dataclass(frozen=True, order=True)
class _Pattern:
    """How many pieces of each length a stick yields, and what the stick is cut from."""

    stock: Ticks
    counts: tuple[int, ...]


def cut_sticks(pieces: Iterable[Ticks], stock: Iterable[Ticks], kerf: Ticks) -> Sticks:
    """Cut pieces from sticks of the stock lengths, as many of each as it takes.

    Args:
        kerf: lost to each cut between two pieces.

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
    first = _longest_first(lengths, demand, sticks, kerf)
    patterns = _all_patterns(lengths, demand, sticks, kerf)
    if patterns is None:
        patterns, relaxed = _generated(lengths, demand, sticks, kerf, first)
        bound = _round_up(relaxed, sticks)
        exact = False
    else:
        bound, exact = 0, True
    used, lower, fewest = _fewest(patterns, demand, first, bound, exact)
    return Sticks(tuple(_laid(used, lengths, demand)), lower, fewest)


def _holds(lengths: Sequence[Ticks], counts: Sequence[int], stick: Ticks, kerf: Ticks) -> bool:
    return _taken(lengths, counts, kerf) <= stick + kerf


def _taken(lengths: Sequence[Ticks], counts: Sequence[int], kerf: Ticks) -> Ticks:
    return sum((length + kerf) * n for length, n in zip(lengths, counts, strict=True))


def _shortest(
    lengths: Sequence[Ticks], counts: Sequence[int], sticks: list[Ticks], kerf: Ticks
) -> Ticks:
    """The shortest stick that yields these pieces."""
    return next(stick for stick in sticks if _holds(lengths, counts, stick, kerf))


def _longest_first(
    lengths: Sequence[Ticks], demand: Sequence[int], sticks: list[Ticks], kerf: Ticks
) -> Counter[_Pattern]:
    """A first plan: each stick, of every length in turn, filled with the longest pieces that fit;
    the length of stick that does best."""
    best: Counter[_Pattern] | None = None
    for longest in sticks:
        if not _holds(lengths[:1], [1], longest, kerf):
            continue
        left = list(demand)
        plan: Counter[_Pattern] = Counter()
        while any(left):
            counts = []
            room = longest + kerf
            for length, n in zip(lengths, left, strict=True):
                counts.append(min(n, room // (length + kerf)))
                room -= counts[-1] * (length + kerf)
            times = min(n // c for n, c in zip(left, counts, strict=True) if c)
            plan[_Pattern(_shortest(lengths, counts, sticks, kerf), tuple(counts))] += times
            left = [n - times * c for n, c in zip(left, counts, strict=True)]
        if best is None or _cost(plan) < _cost(best):
            best = plan
    assert best is not None, "the longest stick holds the longest piece"
    return best


def _cost(plan: Mapping[_Pattern, int]) -> tuple[Ticks, int]:
    return sum(p.stock * n for p, n in plan.items()), sum(plan.values())


def _all_patterns(
    lengths: Sequence[Ticks], demand: Sequence[int], sticks: list[Ticks], kerf: Ticks
) -> list[_Pattern] | None:
    """Every pattern to which no piece can be added on its stick; None if there are too many.

    A plan may then yield more pieces than asked for, and those are not cut.
    """
    found: list[_Pattern] = []

    def extend(stick: Ticks, counts: tuple[int, ...], room: Ticks) -> bool:
        i = len(counts)
        if len(found) > _MOST_LISTED:
            return False
        if i == len(lengths):
            full = all(
                length + kerf > room or n >= most
                for length, n, most in zip(lengths, counts, demand, strict=True)
            )
            if full and any(counts):
                found.append(_Pattern(stick, counts))
            return True
        each = lengths[i] + kerf
        most = min(demand[i], room // each)
        # Of the shortest length, as many as fit: a pattern with fewer is not full.
        fewest = most if i == len(lengths) - 1 else 0
        return all(
            extend(stick, (*counts, n), room - n * each) for n in range(most, fewest - 1, -1)
        )

    if not all(extend(stick, (), stick + kerf) for stick in sticks):
        return None
    return found


def _generated(
    lengths: Sequence[Ticks],
    demand: Sequence[int],
    sticks: list[Ticks],
    kerf: Ticks,
    first: Iterable[_Pattern],
) -> tuple[list[_Pattern], float]:
    """Patterns by column generation, and the relaxation's least length."""
    solver = pywraplp.Solver.CreateSolver("GLOP")
    rows = [solver.Constraint(n, solver.infinity()) for n in demand]
    objective = solver.Objective()
    objective.SetMinimization()
    patterns: dict[_Pattern, None] = {}

    def add(pattern: _Pattern) -> None:
        if pattern in patterns:
            return
        patterns[pattern] = None
        column = solver.NumVar(0, solver.infinity(), "")
        objective.SetCoefficient(column, pattern.stock)
        for row, n in zip(rows, pattern.counts, strict=True):
            row.SetCoefficient(column, n)

    for pattern in first:
        add(pattern)
    bound = 0.0
    for _ in range(_MOST_ROUNDS):
        solver.Solve()
        duals = [max(row.dual_value(), 0.0) for row in rows]
        worth, found = 0.0, []
        for stick in sticks:
            value, counts = _worthiest(lengths, demand, duals, stick, kerf)
            worth = max(worth, value / stick)
            if value > stick * (1 + _PLENTY):
                found.append(_Pattern(_shortest(lengths, counts, sticks, kerf), counts))
        # Duals scaled until no pattern is worth more than its stick bound every plan (Farley).
        priced = sum(n * dual for n, dual in zip(demand, duals, strict=True))
        bound = max(bound, priced / max(worth, 1.0))
        if not found:
            break
        for pattern in found:
            add(pattern)
    return list(patterns), bound


def _worthiest(
    lengths: Sequence[Ticks],
    demand: Sequence[int],
    duals: Sequence[float],
    stick: Ticks,
    kerf: Ticks,
) -> tuple[float, tuple[int, ...]]:
    """The pattern of a stick that is worth most: a bounded knapsack over the room left."""
    best: dict[Ticks, tuple[float, tuple[int, ...]]] = {stick + kerf: (0.0, ())}
    for length, most, dual in zip(lengths, demand, duals, strict=True):
        each = length + kerf
        following: dict[Ticks, tuple[float, tuple[int, ...]]] = {}
        for room, (value, counts) in best.items():
            for n in range(min(most, room // each) + 1 if dual > 0 else 1):
                rest, worth = room - n * each, value + n * dual
                if rest not in following or following[rest][0] < worth:
                    following[rest] = worth, (*counts, n)
        best = _undominated(following)
    return max(best.values(), key=lambda each: each[0])


def _undominated(
    states: Mapping[Ticks, tuple[float, tuple[int, ...]]],
) -> dict[Ticks, tuple[float, tuple[int, ...]]]:
    """States that no other beats in both room and worth."""
    kept: dict[Ticks, tuple[float, tuple[int, ...]]] = {}
    most = -1.0
    for room, (value, counts) in sorted(states.items(), reverse=True):
        if value > most:
            kept[room] = value, counts
            most = value
    return kept


def _round_up(relaxed: float, sticks: list[Ticks]) -> Ticks:
    """The least length that sticks can add up to: a multiple of what divides them all."""
    unit = gcd(*sticks)
    return ceil(relaxed / unit - _PLENTY) * unit


def _fewest(
    patterns: list[_Pattern],
    demand: Sequence[int],
    first: Counter[_Pattern],
    bound: Ticks,
    exact: bool,
) -> tuple[Counter[_Pattern], Ticks, int]:
    """The best plan of these patterns, with bounds of its length and of its number of sticks."""
    best = first
    if exact or _cost(best)[0] > bound:
        best, lower = _solve(patterns, demand, best, None)
        bound = max(bound, lower) if exact else bound
    fewest = 1
    if len({pattern.stock for pattern in patterns}) == 1:
        fewest = -(-bound // patterns[0].stock)
    elif _cost(best)[0] == bound:
        best, lower = _solve(patterns, demand, best, _cost(best)[0])
        fewest = lower if exact else -(-bound // max(pattern.stock for pattern in patterns))
    return best, bound, fewest


def _solve(
    patterns: list[_Pattern],
    demand: Sequence[int],
    best: Counter[_Pattern],
    length: Ticks | None,
) -> tuple[Counter[_Pattern], int]:
    """Least length of these patterns, or fewest sticks of a length no longer than one given, and
    its bound."""
    model = cp_model.CpModel()
    times = [
        model.new_int_var(
            0, max(-(-n // c) for n, c in zip(demand, p.counts, strict=True) if c), ""
        )
        for p in patterns
    ]
    for i, n in enumerate(demand):
        model.add(total((p.counts[i], var) for p, var in zip(patterns, times, strict=True)) >= n)
    # In the stock's common unit, so that the solver's bound moves in whole sticks.
    unit = gcd(*(p.stock for p in patterns))
    bought = total((p.stock // unit, var) for p, var in zip(patterns, times, strict=True))
    if length is None:
        model.minimize(bought)
    else:
        model.add(bought <= length // unit)
        model.minimize(total((1, var) for var in times))
    for pattern, var in zip(patterns, times, strict=True):
        model.add_hint(var, best[pattern])
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.max_deterministic_time = _WORK
    solver.parameters.linearization_level = 2
    status = solver.solve(model)
    bound = round(solver.best_objective_bound) * (unit if length is None else 1)
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return best, max(bound, 0)
    found = Counter(
        {p: n for p, var in zip(patterns, times, strict=True) if (n := solver.value(var))}
    )
    return (found if _cost(found) < _cost(best) else best), bound


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
