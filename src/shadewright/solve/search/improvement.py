"""The search: a first plan at once, then one goal after the other, each with its bound.

1. First plans by simple rules, so that there mostly is one.
2. A look at the least length used by any plan at all, whatever it costs: a bound of it is
   `used_bound`, and mostly settles what must be bought.
3. What is asked for and cannot be had, and what is left out or given up, where a job lets it.
4. Money (or length bought), number of shades, length used, on the narrowest options only: no other
   option can do better on these (`narrowest_options`).
5. Number of cut widths, and gaps, on all options; the largest remnant of what is on hand.
6. What is left goes to laying everything once more and again, where something is not proved.

Where cloth may lie several ways, each is searched by itself; and where widths may be unequal, rows
of each opening its own, or bolts have an end, there is a look at the job without that first, whose
plan the search starts from.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from shadewright import stopping
from shadewright.solve.problem.agreement import in_lay, lays
from shadewright.solve.problem.kinds import Option, Problem
from shadewright.solve.problem.supply import Supply
from shadewright.solve.run import Clock
from shadewright.solve.search.beams import for_beams
from shadewright.solve.search.candidate import Candidate, Taken, made_first
from shadewright.solve.search.dividing import with_cheap_divisions
from shadewright.solve.search.found import Extent, Found, Reached, Wish
from shadewright.solve.search.goals import ABOVE_ALL, in_proof
from shadewright.solve.search.passes import Passes, Report, reached_by


def search(  # noqa: PLR0917
    problem: Problem,
    supply: Supply,
    clock: Clock,
    seed: int = 0,
    report: Report | None = None,
    wish: Wish | None = None,
    stricter: Problem | None = None,
) -> Found | None:
    """Find the best candidate within a time; None if there is none, or none was found.

    Args:
        clock: what is left of it; even where nothing is, there mostly is a first candidate.
        seed: the same problem, seconds and seed give the same candidate.
        report: called now and then with a goal, its value so far and its bound.
        stricter: the same, asked for more: the best found of it in part of the time is where the
            search starts.

    Raises:
        KeyboardInterrupt: the user stopped it before there was a candidate.
    """
    wish = wish or Wish()
    with stopping.ends_soon():
        first = None
        if stricter is not None:
            some = clock.part(clock.effort.stricter)
            its = _searches(stricter, supply, some, seed, _of_another(report), wish)
            first = its[-1].best
            first = None if first is None else _as_options_of(problem, first)
        searches = _searches(problem, supply, clock, seed, report, wish, first)
        if not _all_proved(searches):
            _at_last(searches[-1], clock)
    return _found(searches, clock)


def _searches(  # noqa: PLR0917
    problem: Problem,
    supply: Supply,
    clock: Clock,
    seed: int,
    report: Report | None,
    wish: Wish,
    first: Candidate | None = None,
) -> list[Passes]:
    """A search of each way that cloth may lie, the last of which has the best of all.

    Args:
        first: where they start; there is no look at equal widths then.
    """
    searches: list[Passes] = []
    lays = _by_lay(problem)
    for number, each in enumerate(lays, 1):
        start = searches[-1].best if searches else first
        if searches and clock.over and start is not None:
            searches.append(Passes(each, supply, clock, seed, report, wish, start))
            continue
        # As much as each is left for that which turns out best.
        part = clock.part(1 / (len(lays) - number + 1 + (len(lays) > 1)))
        strict = _of_equal_widths(each) if first is None else None
        each = _with_divisions(each, part)  # noqa: PLW2901
        own = None
        if strict is not None:
            effort = clock.effort
            share = effort.strict_on_hand if supply.on_hand else effort.strict
            some = part.part(share)
            told = _of_another(report)
            look = Passes(strict, supply, some, seed, told, wish, for_a_plan=True)
            own = _improved(look, some).best
        drawn = None
        if supply.several and not supply.on_hand:
            drawn = _drawn(each, part, clock.effort.endless_bolts, seed, wish)
        one = Passes(each, supply, part, seed, report, wish, start, own)
        if supply.on_hand and not supply.unbought and one.incumbent.bought:
            share = clock.effort.endless_beams if for_beams(each) else clock.effort.endless
            drawn = _drawn(each, part, share * one.incumbent.bought, seed, wish)
        if drawn is not None:
            one.share_out(drawn)
        searches.append(_improved(one, part))
    if len(searches) > 1:
        _once_more(searches, clock)
    return searches


def _all_proved(searches: Sequence[Passes]) -> bool:
    """Whether every goal of a proof is."""
    if searches[-1].best is None:
        return False
    reached = reached_by(searches, searches[-1].proof)
    return all(each.value == each.bound for each in reached.values())


def _at_last(search: Passes, clock: Clock) -> None:
    try:
        search.lay_again(clock)
    except KeyboardInterrupt:
        clock.stop()


def _of_another(report: Report | None) -> Report | None:
    """A report of a problem whose bounds are not those of the one that is told of."""
    if report is None:
        return None
    return lambda goal, value, _: report(goal, value, 0.0)


def _as_options_of(problem: Problem, candidate: Candidate) -> Candidate:
    """A candidate whose options are the same but for what they agree on."""
    rows = []
    for kind, row in zip(problem.kinds, candidate.chosen, strict=True):
        same = {replace(option, agreed=()): option for option in kind.options}

        def named(taken: Taken, same: dict[Option, Option] = same) -> Taken:
            if taken.option is None:
                return taken
            option = same.get(replace(taken.option, agreed=()), taken.option)
            return replace(taken, option=option)

        rows.append(tuple((named(taken), copies) for taken, copies in row))
    return replace(candidate, chosen=tuple(rows))


def _with_divisions(problem: Problem, clock: Clock) -> Problem:
    """The problem with more divisions; as it is where the user stops that."""
    try:
        return with_cheap_divisions(problem, clock)
    except KeyboardInterrupt:
        clock.stop()
        return problem


def _once_more(searches: list[Passes], clock: Clock) -> None:
    """Whatever the other lays have left goes to the most promising one, which comes last then."""
    best = searches[-1].best
    its = None if best is None else _most_promising(searches)
    if best is None or its is None or clock.over or _all_proved(searches):
        return
    rest = clock.part(1.0)
    its.go_on(best, rest)
    searches.remove(its)
    searches.append(_improved(its, rest))


def _most_promising(searches: Sequence[Passes]) -> Passes | None:
    """The search that found the best of all; where less money is not possible there, another one
    that might still do with least."""
    best = searches[-1].best
    its = next((search for search in searches if search.incumbent.takes_options(best)), None)
    if its is None or not its.first_proved:
        return its
    others = [search for search in searches if search.least_of_first < its.least_of_first]
    return min(others, key=lambda search: search.least_of_first, default=its)


def _drawn(problem: Problem, clock: Clock, share: float, seed: int, wish: Wish) -> Candidate | None:
    """The best found in a share of the time from bolts without an end and nothing else; None where
    openings may be left out."""
    if wish.forgone.leaving is not None:
        return None
    part = clock.part(share)
    bolts = Supply.bolts(problem)
    look = Passes(problem, bolts, part, seed, None, wish, for_a_plan=True)
    return _improved(look, part).best


def _by_lay(problem: Problem) -> list[Problem]:
    """The problem with each way that cloth may lie which lies one way throughout; first those whose
    options take least cloth."""
    ways = [problem.having(in_lay(problem.kinds, lay)) for lay in lays(problem.kinds)]
    ways = [way for way in ways if all(kind.options for kind in way.kinds)]
    if len(ways) == 1:
        return ways
    return sorted(
        ways,
        key=lambda way: sum(k.copies * min(option.area for option in k.options) for k in way.kinds),
    )


def _of_equal_widths(problem: Problem) -> Problem | None:
    """The problem whose openings have equal widths, where others are allowed; None if they are
    not, or if equal widths are not possible everywhere."""
    kinds = tuple(
        replace(kind, options=tuple(o for o in kind.options if len(set(o.widths)) <= 1), floors=())
        for kind in problem.kinds
    )
    fewer = sum(len(kind.options) for kind in kinds) < sum(len(k.options) for k in problem.kinds)
    if not fewer or not all(kind.options for kind in kinds):
        return None
    return problem.having(replace(kind, complete=True, families=()) for kind in kinds)


def _improved(search: Passes, clock: Clock) -> Passes:
    """The search when its time is over, or when it is asked to stop."""
    if search.best is not None:
        stopping.keep()
    try:
        search.improve()
    except KeyboardInterrupt:
        clock.stop()
    return search


def _found(searches: Sequence[Passes], clock: Clock) -> Found | None:
    """Where searches stand that each began with the best of the one before."""
    last = searches[-1]
    if last.best is None:
        return None
    reached = reached_by(searches, last.proof)
    order = [goal for goal in last.proof if goal not in ABOVE_ALL]
    return Found(
        candidate=replace(last.best, chosen=made_first(last.best.chosen)),
        goals=tuple(
            Reached(reached[g].value, reached[g].bound, name)
            for g in order
            if (name := in_proof(g)) is not None
        ),
        short=reached.get("short", Extent(0, 0)),
        left=reached.get("left", Extent(0, 0)),
        scale=last.scale,
        used_bound=min(*(each.used_bound for each in searches), last.incumbent.scored["used"]),
        seconds=clock.elapsed,
        stopped=clock.stopped,
    )
