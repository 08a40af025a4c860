"""What neighbourhoods start from: good plans from bolts alone, shared out over what is on hand."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping

from shadewright.solve.packing.templates import Template
from shadewright.solve.problem.kinds import Problem
from shadewright.solve.problem.supply import Supply
from shadewright.solve.run import Clock
from shadewright.solve.search.beams import beamed, for_beams
from shadewright.solve.search.candidate import Candidate
from shadewright.solve.search.first import in_turn
from shadewright.solve.search.rounding import rounded


def have_room(problem: Problem, supply: Supply) -> bool:
    """Whether neighbourhoods can do anything: on one bolt of each roll, beside what is on hand.

    Not where the order of drops matters, since what a few of them save may be lost to it; nor where
    dye lots must be minded.
    """
    lots = {stretch.lot for these in supply.stretches.values() for stretch in these}
    told = supply.lots != "none" and len(lots) > 1
    if told or supply.several or supply.unbought or any(supply.kept.values()):
        return False
    return all(len(roll.nodes) == 1 for roll in problem.rolls)


def lies_on(supply: Supply, candidate: Candidate) -> bool:
    """Whether rows of a candidate start where those of a line of the supply do."""
    return all(
        part.roll.lead == supply.placed(part.roll, part.stretch).lead for part in candidate.parts
    )


def best_start(  # noqa: PLR0917
    problem: Problem,
    supply: Supply,
    start: Candidate,
    templates: Callable[[], Mapping[str, list[Template]]],
    clock: Clock,
    is_better: Callable[[Candidate, Candidate], bool],
) -> Candidate:
    """The best of a candidate and those that take more than a simple rule, while there is time."""
    for again in range(2):
        if for_beams(problem):
            for found in _shared_out(problem, supply, beamed(problem, supply, start, clock)):
                start = found if is_better(found, start) else start
        if not again:
            for found in _shared_out(problem, supply, rounded(problem, supply, templates(), clock)):
                start = found if is_better(found, start) else start
    return start


def _shared_out(
    problem: Problem, supply: Supply, found: Iterable[Candidate]
) -> Iterator[Candidate]:
    """Candidates from bolts, and what of them fits on what is on hand cut there."""
    for candidate in found:
        shared = in_turn(problem, supply, candidate) if supply.on_hand else None
        yield candidate if shared is None else shared
