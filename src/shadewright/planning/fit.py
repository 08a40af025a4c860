"""Is the cloth on hand enough, and if not, what is the least to give up?

What is given up is decided by the model: options of every opening are made as asked and with wider
gaps, less overlap or unequal widths, each marked with what it gives up, and openings may be left
out; the least total cost is minimised. What changes every panel or the print (hems, match, lay,
lining) makes a model of its own, and so does leaving openings out, which is dear: these are tried
in order of cost until none can be cheaper than the sets found.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from itertools import product

from shadewright.answers import FitAnswer, NoPlanError, Remedy
from shadewright.job.model import Job, Opening
from shadewright.measure import Ticks
from shadewright.planning.attempts import SHAPES, Attempt, attempts, in_turn
from shadewright.planning.concessions import (
    Concession,
    concessions,
    of_openings,
    with_all,
)
from shadewright.planning.make import (
    copies_made,
    judged,
    lacking,
    menu_seconds,
    openings_that_can_be_made,
    posed,
)
from shadewright.solve.answer.layout import to_plan
from shadewright.solve.problem.menu import problem, varied_problem
from shadewright.solve.problem.supply import Supply
from shadewright.solve.run import Clock
from shadewright.solve.search.candidate import Forgone
from shadewright.solve.search.found import Found, Wish
from shadewright.solve.search.improvement import search
from shadewright.trade.refusal import CannotMeetError, Refusal

TrialReport = Callable[[str], None]
"""Hears what is tried next, in words."""

SETS = 3
"""Sets of concessions that are looked for."""


def fit(
    job: Job, seconds: float = 20.0, seed: int = 0, report: TrialReport | None = None
) -> FitAnswer:
    """See whether the cloth on hand is enough for a job, and what the least to give up is.

    Raises:
        CannotMeetError: no cloth is on hand, or the job cannot be made of any length of cloth.
        NoPlanError: the user stopped it before anything was known.
    """
    tell = report or (lambda _: None)
    clock = Clock(seconds)
    closed = _closed(job)
    (asked, groups), supply = posed(closed, clock)
    if not supply.unbought:
        raise CannotMeetError(
            Refusal(
                "[[cloth.NAME.piece]]",
                "no cloth is on hand to fit the job to",
                "list the pieces there are, or use plan to see what to buy",
            )
        )
    tell("as asked")
    wish = Wish(remnant_first=True)
    found = search(asked, supply, clock.part(clock.effort.as_asked), seed, wish=wish)
    if found is not None and not found.short.value:
        made = judged(closed, to_plan(closed, asked, groups, found), clock, seed)
        used = made.plan.proof.used
        return FitAnswer(made.plan, made.faults, "", used, (), (), "", True, clock.stopped)
    if found is None and clock.stopped:
        raise NoPlanError("Stopped before anything was known")
    short = lacking(closed, supply, found) if found is not None else "an unknown length"
    used = _used(found) if found is not None else 0
    remedies, complete = _remedies(closed, clock.leaving(clock.effort.after_ways), seed, tell)
    most = 0 if found is None else found.short.value
    alone = clock.leaving(clock.effort.after_singles)
    singles = tuple(
        (concession.said, _still_lacking(concession.apply(closed), alone, seed, most, short))
        for concession in concessions(closed)
        if concession.apply(closed) != closed
        and not any(
            remedy.names == {concession.name} and not remedy.left_out for remedy in remedies
        )
        and alone.can_spend(menu_seconds(asked, clock.effort))
    )
    can_be_made = openings_that_can_be_made(closed, (asked, groups), supply, clock, seed)
    return FitAnswer(None, (), short, used, remedies, singles, can_be_made, complete, clock.stopped)


def _closed(job: Job) -> Job:
    """The job with no more of any cloth to be bought that is on hand."""
    return job.with_cloths(lambda cloth: {"can_buy": cloth.can_buy and not cloth.pieces})


def _used(found: Found) -> Ticks:
    return next(reached.value for reached in found.goals if reached.goal == "used")


def _still_lacking(job: Job, clock: Clock, seed: int, most: Ticks, said: str) -> str:
    """What is lacking of a job's cloth, in words; empty if nothing is.

    Args:
        most: lacking without the concession, which is always good for as much; `said` in words.
    """
    try:
        asked, _ = problem(job)
    except CannotMeetError:
        return "no division fits"
    clock.spend_seconds(menu_seconds(asked, clock.effort))
    supply = Supply.of(job, asked)
    found = search(asked, supply, clock.part(clock.effort.a_single), seed, wish=Wish(enough=True))
    if found is None or found.short.value >= most:
        return said
    return lacking(job, supply, found)


def _remedies(
    job: Job, clock: Clock, seed: int, tell: TrialReport
) -> tuple[tuple[Remedy, ...], bool]:
    """The cheapest sets of concessions that are enough, and whether none can have been missed that
    is cheaper than the first."""
    found: list[Remedy] = []
    missed: list[int] = []
    ruled_out: list[Attempt] = []
    first = clock.leaving(clock.effort.after_cheap)

    def is_enough(attempt: Attempt) -> bool:
        return any(not other.left_out and other.names <= attempt.names for other in found)

    def least() -> float:
        return found[0].cost if found else 0

    for attempt in in_turn(attempts(job), least, is_enough):
        if len(found) >= SETS and attempt.cost >= found[SETS - 1].cost:
            continue
        # Whatever is enough here gives up all that another set does, and more; and where a looser
        # job has not enough, there is not enough here.
        if is_enough(attempt) or any(other.is_looser_than(attempt) for other in ruled_out):
            continue
        within = clock if attempt.turn else first
        if within.over:
            missed.append(attempt.cost)
            continue
        tell(attempt.said)
        outcome = list(_remedies_within(job, attempt, tuple(found), within, seed))
        if not outcome and not attempt.shapes:
            ruled_out.append(attempt)
        for remedy, floor in outcome:
            if remedy is None or floor < remedy.cost:
                missed.append(floor)
            if remedy is not None and not any(_includes(remedy, other) for other in found):
                found = [other for other in found if not _includes(other, remedy)]
                found.append(remedy)
                found.sort(key=lambda each: (each.cost, each.used))
    complete = not missed or (bool(found) and min(missed) >= found[0].cost)
    return tuple(found[:SETS]), complete


def _includes(remedy: Remedy, other: Remedy) -> bool:
    """Whether a set gives up all that another does."""
    return other.names <= remedy.names and all(
        remedy.left_out.get(name, 0) >= copies for name, copies in other.left_out.items()
    )


def _remedies_within(
    asked_for: Job, attempt: Attempt, before: Sequence[Remedy], clock: Clock, seed: int
) -> Iterator[tuple[Remedy | None, int]]:
    """The cheapest sets of what openings may give up, on top of what all have, each with what no
    set there is cheaper than; None where a search came to nothing.

    Args:
        before: what is known to be enough.
    """
    job = with_all(asked_for, attempt.wholesale)
    single = of_openings(job)
    costs = {c.name: c.cost for c in single}
    sets = sorted(_sets(single, attempt.shapes), key=lambda chosen: sum(c.cost for c in chosen))
    variants = [(frozenset(c.name for c in these), with_all(job, these)) for these in sets]
    try:
        asked, groups = varied_problem(variants)
    except CannotMeetError:
        return
    # Of what each variant may have of options, only some are kept.
    made = len(variants) * len(asked.kinds) * clock.effort.giving
    clock.spend_seconds(made * clock.effort.seconds_an_option)
    supply = Supply.of(job, asked)
    leaving = None if attempt.leave_out is None else [attempt.leave_out] * len(asked.kinds)
    # What is enough already is not looked for again.
    given = [other.names - attempt.names for other in before if not other.left_out]
    nobody = (0,) * len(asked.kinds)
    known = tuple((names, nobody) for names in given if names <= costs.keys())
    forgone = Forgone(leaving, costs, known)
    for _ in range(SETS):
        if clock.over:
            yield None, attempt.cost
            return
        part = clock.part(clock.effort.a_set * attempt.share)
        found = search(asked, supply, part, seed, wish=Wish({"short": 0}, forgone))
        if found is None:
            if attempt.shapes or part.over:
                yield None, attempt.cost
            return
        names = _given_up(found)
        left_out = _left_out(groups, found)
        if sum(left_out.values()) == sum(o.copies for o in job.openings):
            return
        as_made = _as_made(job, groups, found, single)
        with_wood = judged(as_made, to_plan(as_made, asked, groups, found), clock, seed)
        if with_wood.faults:
            # Copies that are alike take different overlaps, which no job file can say.
            return
        said = [c.said for c in attempt.wholesale] + [c.said for c in single if c.name in names]
        yield (
            Remedy(
                tuple(said),
                frozenset(names) | attempt.names,
                left_out,
                attempt.base + found.left.value,
                _used(found),
                with_wood.plan,
                job,
            ),
            max(attempt.base + found.left.bound, attempt.cost),
        )
        here = (frozenset(names), _left_by_kind(found))
        forgone = replace(forgone, known=(*forgone.known, here))


def _as_made(
    job: Job,
    groups: Sequence[Sequence[Opening]],
    found: Found,
    these: Sequence[Concession],
) -> Job:
    """The job with what each opening gives up, and without what is left out."""
    openings = []
    left = _left_out(groups, found)
    for group, row in zip(groups, found.candidate.chosen, strict=True):
        names = {name for taken, _ in row for name in taken.gives_up}
        for opening in group:
            copies = opening.copies - left.get(opening.name, 0)
            if not copies:
                continue
            given_up = (concession for concession in these if concession.name in names)
            alone = with_all(job.with_openings([opening]), given_up)
            openings.append(alone.openings[0].model_copy(update={"copies": copies}))
    order = [opening.name for opening in job.openings]
    openings.sort(key=lambda opening: order.index(opening.name))
    return job.with_openings(openings)


def _sets(
    single: Sequence[Concession], shapes: Sequence[Concession]
) -> Iterator[tuple[Concession, ...]]:
    """What one opening may give up together: any of what is no shape, and one shape at most."""
    others = [c for c in single if c.name not in SHAPES]
    for keep in product((False, True), repeat=len(others)):
        some = tuple(c for c, kept in zip(others, keep, strict=True) if kept)
        yield from (some, *((*some, shape) for shape in shapes))


def _given_up(found: Found) -> frozenset[str]:
    """All that the options taken give up."""
    rows = found.candidate.chosen
    return frozenset(name for row in rows for taken, _ in row for name in taken.gives_up)


def _left_by_kind(found: Found) -> tuple[int, ...]:
    rows = found.candidate.chosen
    return tuple(sum(count for taken, count in row if taken.option is None) for row in rows)


def _left_out(groups: Sequence[Sequence[Opening]], found: Found) -> dict[str, int]:
    """Copies of each opening that are left out."""
    made = copies_made(groups, found)
    return {opening.name: opening.copies - n for opening, n in made if n < opening.copies}
