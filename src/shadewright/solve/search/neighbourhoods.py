"""Improvement by neighbourhoods: a few drops are taken apart, and what was cut from them is decided
anew, while the rest of a candidate stays as it is.

A large job is too much for one model, but most of what is wasted in a plan of it is wasted in a few
drops. Openings all of whose rectangles come from the drops taken apart may take any option again;
rectangles of other openings only have to be cut. That is a problem of the same form, on a bolt of
its own, and the model of such a problem is exact and quickly solved: large-neighbourhood search
(Shaw 1998, "Using constraint programming and local search methods to solve vehicle routing
problems").

Length counts by the tick here, not by the buying step, so that small savings add up.
"""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from shadewright.solve.packing.drops import CutDrop
from shadewright.solve.packing.lay import length_of
from shadewright.solve.problem.agreement import agrees
from shadewright.solve.problem.kinds import Kind, Option, Problem, Rect, Roll
from shadewright.solve.problem.supply import Supply
from shadewright.solve.run import Clock
from shadewright.solve.search.beams import by_beams, for_beams
from shadewright.solve.search.bounds import worths_of
from shadewright.solve.search.candidate import (
    Candidate,
    Forgone,
    options_taken,
    placed_part,
    score,
)
from shadewright.solve.search.goals import Goal, goal_order
from shadewright.solve.search.stage import Stage

Where = tuple[str, int]
"""A drop of a candidate: its roll, and its place among the roll's drops."""

Choice = tuple[tuple[tuple[Option, int], ...], ...]
"""For each kind the options taken, and by how many copies."""


_TRIALS = 1
"""Of each solver before they are chosen by what they gain."""
_AT_RANDOM = 0.2
"""How often they are not."""
_MEMORY = 0.9
"""What counts of a trial after the next."""


@dataclass(frozen=True)
class Neighbourhood:
    """What is decided anew, and what stays.

    Attributes:
        problem: of what is decided anew: first the openings of `kinds`, then, if any are left, the
            rectangles of others that come from the same drops.
        kinds: places of the kinds that openings are freed of.
        start: the candidate's own answer to it.
        kept_options: what the other openings take, for each kind.
        kept_drops: drops that stay, by roll.
    """

    problem: Problem
    kinds: tuple[int, ...]
    start: Candidate
    kept_options: Choice
    kept_drops: dict[str, tuple[CutDrop, ...]]

    @property
    def supply(self) -> Supply:
        return Supply.bolts(self.problem)

    def whole(self, problem: Problem, supply: Supply, part: Candidate) -> Candidate:
        """A candidate of all with an answer to what is decided anew."""
        chosen: list[Counter[Option]] = [Counter(dict(row)) for row in self.kept_options]
        for kind, row in zip(self.kinds, part.chosen, strict=False):
            for taken, copies in row:
                assert taken.option is not None
                chosen[kind][taken.option] += copies
        parts = []
        for roll in problem.rolls:
            drops = (*self.kept_drops[roll.name], *part.drops(roll.name))
            if drops:
                bolt = supply.stretches[roll.name][-1]
                parts.append(placed_part(supply, roll, bolt, drops))
        rows = [list(row.items()) for row in chosen]
        return Candidate(options_taken(rows, supply), tuple(parts))


@dataclass
class _Solver:
    """A way to answer a neighbourhood, and how it has done.

    Attributes:
        size: rectangles in the drops that are taken apart for it, about.
        grows: whether there are as many as can be answered in the time for one; else at most so
            many.
        gained: of the first goal, what is long ago counting less.
        spent: work, counted likewise.
    """

    solve: Callable[[Neighbourhood, Clock, random.Random, Mapping[Goal, int]], Candidate | None]
    size: int
    grows: bool = False
    tried: int = 0
    gained: float = 0.0
    spent: float = 0.0

    @property
    def rate(self) -> float:
        """What it gains for its work."""
        return self.gained / max(self.spent, 1e-9)

    def learn(self, spent: float, gained: float) -> None:
        self.tried += 1
        self.gained = _MEMORY * self.gained + gained
        self.spent = _MEMORY * self.spent + spent


def improve(  # noqa: PLR0917
    problem: Problem,
    supply: Supply,
    clock: Clock,
    seed: int,
    best: Candidate,
    limits: Mapping[Goal, int],
    keep: Callable[[Candidate], bool],
    tell: Callable[[], None] = lambda: None,
) -> Candidate:
    """Better candidates from neighbourhoods of the best, until the time is over or many in turn
    have come to nothing.

    Args:
        supply: bolts alone, and of each roll only one.
        limits: that goals must keep within.
        keep: is given each better candidate; whether it is as good as any can be.
        tell: called now and then.
    """
    draw = random.Random(seed)
    fine = _by_the_tick(problem)
    effort = clock.effort
    solvers = [_Solver(_by_model, effort.freed, grows=True)]
    if for_beams(fine):
        solvers.append(_Solver(_by_beams, effort.freed_by_beams))
    reached = _reached(fine, supply, best)
    idle = 0
    while idle < effort.idle and not clock.over and clock.can_spend(effort.a_neighbourhood / 4):
        tell()
        drops = sum(len(part.drops) for part in best.parts)
        clock.spend_seconds(drops * effort.seconds_a_drop)
        solver = _chosen_solver(solvers, draw)
        size = solver.size if solver.grows else draw.randint(solver.size // 2, solver.size)
        around = neighbourhood(fine, best, draw, size, effort.freed_options)
        share = min(
            effort.share_of_one, effort.a_neighbourhood * effort.work_per_second / clock.work
        )
        part = clock.part(share)
        before = part.work
        found = solver.solve(around, part, draw, _held(around, limits))
        gained = 0
        idle += 1
        if found is not None:
            whole = around.whole(fine, supply, found)
            value = _reached(fine, supply, whole)
            better = value < reached
            gained = max(reached[0] - value[0], 0)
            if value <= reached:
                best, reached = whole, value
            if better:
                idle = 0
                if keep(best):
                    return best
        solver.learn(before - part.work, gained)
        if solver.grows and part.work <= 0:
            solver.size = max(effort.freed_least, solver.size * 8 // 10)
        elif solver.grows and part.work > before / 2:
            solver.size = min(solver.size * 11 // 10, effort.freed_most)
    return best


def neighbourhood(
    problem: Problem, candidate: Candidate, draw: random.Random, size: int, most: int
) -> Neighbourhood:
    """Some drops of a candidate with much waste, and drops that share openings with them.

    Args:
        size: rectangles that the drops hold together, about.
        most: options of an opening that are looked at; of more, some are drawn.
    """
    rolls = {roll.name: roll for roll in problem.rolls}
    drops = {name: candidate.drops(name) for name in rolls}
    freed = set(_chosen_drops(rolls, drops, candidate, draw, size))
    left = Counter(rect for name, i in freed for rect in _rects(drops[name][i]))
    kinds, choice, kept = _freed_openings(candidate, left, draw)
    settled = {topic: value for row in kept for option, _ in row for topic, value in option.agreed}
    these = [
        Kind(
            sum(n for _, n in row),
            _some([o for o in problem.kinds[kind].options if agrees(o, settled)], row, draw, most),
        )
        for kind, row in zip(kinds, choice, strict=True)
    ]
    rest = tuple(left.elements())
    if rest:
        some = candidate.options[0][0]
        only = Option((), some.way, (rest,), 0, frozenset())
        these.append(Kind(1, (only,)))
        choice = (*choice, ((only, 1),))
    used = {name for name, _ in freed}
    sub = replace(
        problem.having(these), rolls=tuple(roll for roll in problem.rolls if roll.name in used)
    )
    supply = Supply.bolts(sub)
    parts = tuple(
        placed_part(
            supply,
            roll,
            supply.stretches[roll.name][0],
            [drops[roll.name][i] for name, i in sorted(freed) if name == roll.name],
        )
        for roll in sub.rolls
    )
    return Neighbourhood(
        sub,
        kinds,
        Candidate(options_taken(choice, supply), parts),
        kept,
        {
            name: tuple(drop for i, drop in enumerate(here) if (name, i) not in freed)
            for name, here in drops.items()
        },
    )


def _some(
    options: Sequence[Option],
    taken: Sequence[tuple[Option, int]],
    draw: random.Random,
    most: int,
) -> tuple[Option, ...]:
    """What is taken, and of the other options as many as there may be."""
    if len(options) <= most:
        # What is taken need not be among them: it may come from a search with more options.
        return tuple(dict.fromkeys([*options, *(option for option, _ in taken)]))
    return tuple(dict.fromkeys([*(option for option, _ in taken), *draw.sample(options, most)]))


def _by_the_tick(problem: Problem) -> Problem:
    """The problem, with cloth sold by the tick and nothing to spare."""
    rolls = tuple(
        replace(roll, sold_in=1, allowance=0, spare=0, spare_panel=False) for roll in problem.rolls
    )
    return replace(problem, rolls=rolls, units=None)


def _reached(problem: Problem, supply: Supply, candidate: Candidate) -> tuple[int, ...]:
    reached = score(problem, supply, candidate)
    return tuple(reached[goal] for goal in goal_order(problem))


def _rects(drop: CutDrop) -> Iterator[Rect]:
    return (rect for lane in drop.lanes for rect in lane.rects)


def _waste(roll: Roll, drop: CutDrop) -> int:
    return roll.usable * length_of(roll, drop) - sum(r.across * r.along for r in _rects(drop))


def _chosen_drops(
    rolls: dict[str, Roll],
    drops: dict[str, list[CutDrop]],
    candidate: Candidate,
    draw: random.Random,
    size: int,
) -> Iterator[Where]:
    """Drops to take apart: one that wastes much, then those it shares openings with."""
    open_ = {(name, i): None for name, here in drops.items() for i in range(len(here))}
    wasted = {where: _waste(rolls[where[0]], drops[where[0]][where[1]]) for where in open_}
    holding: dict[Rect, list[Where]] = {}
    for name, i in open_:
        for rect in _rects(drops[name][i]):
            holding.setdefault(rect, []).append((name, i))
    partners: dict[Rect, list[Option]] = {}
    for option, _ in candidate.options:
        for rect, _ in option.demand:
            partners.setdefault(rect, []).append(option)
    held = 0
    seen: list[Rect] = []
    while open_ and held < size:
        where = None
        if seen and draw.random() < 0.7:
            rect = draw.choice(seen)
            option = draw.choice(partners[rect])
            other = draw.choice(option.rects)
            near = [w for w in holding.get(other, ()) if w in open_]
            where = draw.choice(near) if near else None
        if where is None:
            some = list(open_)
            (where,) = draw.choices(some, [wasted[w] + 1 for w in some])
        del open_[where]
        here = list(_rects(drops[where[0]][where[1]]))
        held += len(here)
        seen += here
        yield where


def _freed_openings(
    candidate: Candidate, left: Counter[Rect], draw: random.Random
) -> tuple[tuple[int, ...], Choice, Choice]:
    """Openings whose rectangles are all among some: their kinds, what they take, and what the
    others take; what is left of the rectangles is left in `left`."""
    rows = [[(t.option, n) for t, n in row if t.option is not None] for row in candidate.chosen]
    freed: dict[int, list[tuple[Option, int]]] = {}
    kept: list[tuple[tuple[Option, int], ...]] = [()] * len(rows)
    order = list(range(len(rows)))
    draw.shuffle(order)
    for kind in order:
        stays = []
        for option, copies in rows[kind]:
            free = min((left[rect] // n for rect, n in option.demand), default=0)
            free = min(free, copies)
            if free:
                for rect, n in option.demand:
                    left[rect] -= n * free
                freed.setdefault(kind, []).append((option, free))
            if free < copies:
                stays.append((option, copies - free))
        kept[kind] = tuple(stays)
    kinds = tuple(sorted(freed))
    return kinds, tuple(tuple(freed[kind]) for kind in kinds), tuple(kept)


def _held(around: Neighbourhood, limits: Mapping[Goal, int]) -> dict[Goal, int]:
    """What an answer to it must keep within, so that the whole does."""
    if "shades" not in limits:
        return {}
    others = sum(o.shades * n for row in around.kept_options for o, n in row)
    return {"shades": limits["shades"] - others}


def _chosen_solver(solvers: Sequence[_Solver], draw: random.Random) -> _Solver:
    """Mostly the one that gained most for its work of late."""
    fewest = min(solvers, key=lambda solver: solver.tried)
    if fewest.tried < _TRIALS:
        return fewest
    if draw.random() < _AT_RANDOM or not any(solver.gained for solver in solvers):
        return draw.choice(solvers)
    return max(solvers, key=lambda solver: solver.rate)


def _by_model(
    around: Neighbourhood, clock: Clock, draw: random.Random, held: Mapping[Goal, int]
) -> Candidate | None:
    """The best answer that the model finds, if it finds one that is no worse."""
    supply, problem = around.supply, around.problem
    first, seed = goal_order(problem)[0], draw.randrange(1 << 30)
    stage = Stage(problem, [supply], clock, seed, lambda: worths_of(problem, clock), Forgone())
    value = score(problem, supply, around.start)[first]
    found = stage.minimise(supply, first, (around.start, value), held, 1.0, lambda *_: None)
    if found is None or not found[0]:
        return None
    return found[0][-1]


def _by_beams(
    around: Neighbourhood, clock: Clock, draw: random.Random, held: Mapping[Goal, int]
) -> Candidate | None:
    """An answer that is no worse, of the options there are and of some that are drawn instead."""
    return by_beams(around.problem, around.supply, around.start, clock, draw, held)
