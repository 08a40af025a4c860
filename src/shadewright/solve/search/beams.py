"""Drops of a whole candidate, or of a neighbourhood, by beams (`shadewright.solve.packing.beam`):
with options that are taken or drawn, and led by guides that are drawn."""

from __future__ import annotations

import random
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from shadewright.solve.packing.beam import GUIDES, Beam, Guide
from shadewright.solve.packing.grid import Grid
from shadewright.solve.problem.kinds import Option, Problem, Topic, Value
from shadewright.solve.problem.supply import Supply
from shadewright.solve.run import Clock
from shadewright.solve.search.candidate import (
    Candidate,
    options_taken,
    placed_part,
    score,
    taken_rects,
)
from shadewright.solve.search.goals import Goal, goal_order

_NOISES = (0.0, 0.02, 0.05, 0.1, 0.2)
"""Of what guides a beam; one of these is drawn."""
_CHANGED = 0.7
"""How often an opening takes another option before its neighbourhood is packed by beams."""


def for_beams(problem: Problem) -> bool:
    """Whether all rectangles may lie anywhere."""
    return all(
        len(roll.nodes) == 1 and all(rect.anywhere for rect in problem.rects(roll))
        for roll in problem.rolls
    )


def many_across(problem: Problem, least: float) -> bool:
    """Whether so many mean rectangles lie side by side on all rolls."""
    return all(
        roll.usable * len(rects) >= least * sum(rect.across for rect in rects)
        for roll in problem.rolls
        for rects in [problem.rects(roll)]
    )


def by_beams(  # noqa: PLR0917
    problem: Problem,
    supply: Supply,
    start: Candidate,
    clock: Clock,
    draw: random.Random,
    held: Mapping[Goal, int],
) -> Candidate | None:
    """An answer that is no worse, of the options there are and of some that are drawn instead."""
    effort = clock.effort
    first = goal_order(problem)[0]
    best, value = None, score(problem, supply, start)[first]
    chosen = [[(t.option, n) for t, n in row if t.option is not None] for row in start.chosen]
    several = [i for i, kind in enumerate(problem.kinds) if len(kind.options) > 1]
    for turn in range(effort.beams if several else effort.beams_alike):
        if clock.over:
            break
        these = list(chosen)
        if several and turn and draw.random() < _CHANGED:
            kind = draw.choice(several)
            these[kind] = [(draw.choice(problem.kinds[kind].options), problem.kinds[kind].copies)]
            if not _all_agree(option for row in these for option, _ in row):
                continue
        packed = _packed(problem, supply, these, clock, _drawn_lead(problem, draw, clock))
        if packed is None:
            continue
        reached = score(problem, supply, packed)
        if any(reached[goal] > most for goal, most in held.items()):
            continue
        if reached[first] <= value:
            best, value, chosen = packed, reached[first], these
    return best


def _all_agree(options: Iterable[Option]) -> bool:
    """Whether options say the same of all topics that they speak of."""
    settled: dict[Topic, Value] = {}
    return all(
        settled.setdefault(topic, value) == value
        for option in options
        for topic, value in option.agreed
    )


def beamed(
    problem: Problem, supply: Supply, candidate: Candidate, clock: Clock
) -> Iterator[Candidate]:
    """What beams cut for all that a candidate takes, as long as that takes little time."""
    chosen = [[(t.option, n) for t, n in row if t.option is not None] for row in candidate.chosen]
    for guide in GUIDES:
        packed = _packed(problem, supply, chosen, clock, _Lead(guide, clock.effort.beam[0]))
        if packed is None:
            return
        yield packed


@dataclass(frozen=True)
class _Lead:
    """What beams are led by, and how many states they have."""

    guide: Guide
    states: int
    seed: int = 0
    noise: float = 0.0


def _drawn_lead(problem: Problem, draw: random.Random, clock: Clock) -> _Lead:
    effort = clock.effort
    number = sum(kind.copies * max(len(o.rects) for o in kind.options) for kind in problem.kinds)
    fits = [n for n in effort.beam if n * number**2 <= effort.beam_moves] or effort.beam[:1]
    return _Lead(
        draw.choice(GUIDES), draw.choice(fits), draw.randrange(1 << 30), draw.choice(_NOISES)
    )


def _packed(
    problem: Problem,
    supply: Supply,
    chosen: Sequence[Sequence[tuple[Option, int]]],
    clock: Clock,
    lead: _Lead,
) -> Candidate | None:
    """What beams cut for the options chosen; None where that takes more than there is time for."""
    parts = []
    for roll in problem.rolls:
        asked = taken_rects((each for row in chosen for each in row), roll.name)
        if not asked:
            continue
        beam = Beam(Grid.of(roll, problem.rects(roll)), asked)
        seconds = beam.work * lead.states * clock.effort.seconds_a_move
        seconds += sum(asked.values()) * clock.effort.seconds_a_level
        if not clock.can_spend(clock.effort.beams_in_time * seconds):
            return None
        clock.spend_seconds(seconds)
        drops = beam.drops(lead.states, lead.guide, lead.seed, lead.noise)
        if not drops:
            return None
        parts.append(placed_part(supply, roll, supply.stretches[roll.name][0], drops))
    return Candidate(options_taken(chosen, supply), tuple(parts))
