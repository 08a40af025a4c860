"""What a search starts from, and what its neighbourhoods do: plans that need no model."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence

from shadewright.solve.packing.templates import Template
from shadewright.solve.problem.kinds import Problem
from shadewright.solve.problem.supply import Supply
from shadewright.solve.run import Clock
from shadewright.solve.search.beams import beamed, for_beams, many_across
from shadewright.solve.search.candidate import Candidate, Taken
from shadewright.solve.search.first import first_candidates, in_turn, over_bolts
from shadewright.solve.search.found import Wish
from shadewright.solve.search.laying import layings
from shadewright.solve.search.rounding import rounded


def first_plans(
    problem: Problem,
    lines: Sequence[Supply],
    wish: Wish,
    clock: Clock,
    seed: int,
    *,
    fewest: bool,
) -> Iterator[Candidate]:
    """First candidates, by simple rules.

    Args:
        fewest: whether only the fewest shades will do.
    """
    supply = lines[0]
    if wish.forgone.leaving is not None:
        yield Candidate(tuple(((Taken(None), k.copies),) for k in problem.kinds), ())
    bolts = all(these[-1].bought for these in supply.stretches.values())
    lots = any(supply.kept.values()) and supply.lots != "none"
    if bolts and not wish.forgone.leaving and not lots:
        for first in first_candidates(problem, supply, clock.effort, fewest=fewest):
            yield first
            if supply.on_hand:
                turned = in_turn(problem, supply, first)
                if turned is not None:
                    yield turned
    if supply.on_hand or supply.several or wish.forgone.leaving is not None:
        yield from layings(problem, lines, wish.forgone, clock, seed)


def shared_out(problem: Problem, supply: Supply, drawn: Candidate) -> Iterator[Candidate]:
    """A candidate from bolts without an end, shared out over what there is."""
    for share_out in (over_bolts, in_turn):
        shared = share_out(problem, supply, drawn)
        if shared is not None:
            yield shared


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
    """The best of a candidate and those that take more than a simple rule, while there is time.

    Rounding decides on options, and beams cut better for them where many lie side by side.
    """
    alone = all(len(kind.options) == 1 for kind in problem.kinds)
    beams_do = alone and for_beams(problem) and many_across(problem, clock.effort.beams_across)
    for again in range(1 if beams_do else 2):
        packed = beamed(problem, supply, start, clock) if for_beams(problem) else ()
        for found in _on_hand_too(problem, supply, packed):
            start = found if is_better(found, start) else start
        dived = () if again or beams_do else rounded(problem, supply, templates(), clock)
        for found in _on_hand_too(problem, supply, dived):
            start = found if is_better(found, start) else start
    return start


def _on_hand_too(
    problem: Problem, supply: Supply, found: Iterable[Candidate]
) -> Iterator[Candidate]:
    """Candidates from bolts, and what of them fits on what is on hand cut there."""
    for candidate in found:
        shared = in_turn(problem, supply, candidate) if supply.on_hand else None
        yield candidate if shared is None else shared
