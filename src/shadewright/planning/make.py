"""From a job to a plan that both the search and the judge stand behind."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import replace

from shadewright import stopping
from shadewright.answers import NoPlanError, PlanAnswer
from shadewright.cloth.plan import GoalName, Plan
from shadewright.job.model import Job, Opening
from shadewright.judge.replay import judge
from shadewright.measure import Ticks, ceil_to, floor_to
from shadewright.planning.centring import otherwise_centred
from shadewright.planning.frontier import frontier
from shadewright.solve.answer.bolts import named
from shadewright.solve.answer.together import plan_of
from shadewright.solve.answer.workshop import wood
from shadewright.solve.effort import USUAL, Effort
from shadewright.solve.problem.kinds import Problem
from shadewright.solve.problem.menu import JobProblem, of_common_rows, problem
from shadewright.solve.problem.supply import Supply
from shadewright.solve.run import Clock
from shadewright.solve.search.candidate import Forgone
from shadewright.solve.search.found import Found, Wish
from shadewright.solve.search.goals import Goal, goal_order
from shadewright.solve.search.improvement import search
from shadewright.trade.naive import naive
from shadewright.trade.refusal import CannotMeetError, Refusal

GoalReport = Callable[[GoalName, float, float], None]


def make_plan(  # noqa: PLR0917
    job: Job,
    seconds: float = 20.0,
    seed: int = 0,
    report: GoalReport | None = None,
    most_shades: int | None = None,
    effort: Effort = USUAL,
    *,
    with_others: bool = False,
    writing: bool = False,
) -> PlanAnswer:
    """Divide, lay out and order the cuts of a job, and have the judge cut the plan again.

    Args:
        seconds: of search; it ends sooner when everything is proved.
        seed: the same job, seconds and seed give the same plan.
        report: called now and then with a goal, its value so far and its bound (money in units of
            money, lengths in ticks).
        most_shades: that the plan may have, at least the fewest of `shade_range`; no limit if None.
        effort: limits of the search.
        with_others: whether the plan is set against fewer shades and more, and against the other
            thing on centre lines, in the time left.
        writing: whether time is kept for writing the plan into files.

    Raises:
        CannotMeetError: the job cannot be made as asked.
        NoPlanError: cloth on hand does not do, which is not proved.
    """
    clock = Clock(seconds, effort)
    (asked, groups), supply = posed(job, clock, writing=writing)
    cloth, tell = clock.leaving(effort.sticks), telling(asked, report)
    limits: dict[Goal, int] = {} if most_shades is None else {"shades": most_shades}
    stricter = of_common_rows(job, asked, effort)
    if stricter is not None:
        cloth.spend_seconds(menu_seconds(stricter, effort))
    wish = Wish(limits, enough=True)
    found = search(asked, supply, cloth, seed, tell, wish, stricter)
    if found is None or found.short.value:
        found = _of_all_openings(job, (asked, groups), supply, found, clock, seed, limits)
    answer = judged(job, plan_of(job, (asked, groups), found, clock, seed), clock, seed)
    if with_others and not answer.faults:
        answer = _with_others(job, answer, (asked, groups), supply, clock, seed)
    return answer


def _with_others(  # noqa: PLR0917
    job: Job, answer: PlanAnswer, posed: JobProblem, supply: Supply, clock: Clock, seed: int
) -> PlanAnswer:
    """The answer with what the job takes made otherwise, as far as there is time to look."""
    options = sum(len(kind.options) for kind in posed[0].kinds)
    try:
        answer = replace(answer, otherwise=otherwise_centred(job, options, clock, seed))
        points = frontier(job, posed, supply, answer.plan, clock, seed)
        return replace(answer, frontier=points)
    except KeyboardInterrupt:
        return answer


def _of_all_openings(  # noqa: PLR0917
    job: Job,
    asked: JobProblem,
    supply: Supply,
    found: Found | None,
    clock: Clock,
    seed: int,
    limits: Mapping[Goal, int],
) -> Found:
    """A plan of all openings that is come upon where some might be left out.

    Args:
        found: what has been found, which asks for cloth that cannot be had.

    Raises:
        CannotMeetError: there is none, and what is found shows why.
        NoPlanError: none is found.
    """
    made = None
    if not clock.stopped:
        made = as_many_as_can_be_made(job, asked, supply, clock, seed, limits)
    if made is None or made.left.value:
        raise not_enough(job, asked[1], supply, found, made, clock)
    return made


def posed(job: Job, clock: Clock, *, writing: bool = False) -> tuple[JobProblem, Supply]:
    """A job's problem and what cloth there is for it, with the time that goes to other things
    than search charged to the clock.

    Raises:
        CannotMeetError: the job cannot be made as asked.
    """
    asked, groups = problem(job, clock.effort)
    charge(clock, asked, writing=writing)
    return (asked, groups), Supply.of(job, asked, effort=clock.effort)


def charge(clock: Clock, asked: Problem, *, writing: bool = False) -> None:
    """Charge to a clock what it took to make a problem's menu and what finishing its plan takes."""
    effort = clock.effort
    clock.spend_seconds(menu_seconds(asked, effort))
    copies = sum(kind.copies for kind in asked.kinds)
    clock.reserve(min(copies * effort.seconds_to_finish, effort.finishing * clock.asked))
    if writing:
        clock.reserve(min(copies * effort.seconds_to_write, effort.writing * clock.asked))


def menu_seconds(asked: Problem, effort: Effort) -> float:
    """About how long it takes to make a problem's options, and to see which of them matter."""
    options = [option for kind in asked.kinds for option in kind.options]
    # Plain rectangles have all places of their roll in common.
    places = sum(len(r.slots) for option in options for r in option.rects if not r.plain)
    pairs = sum(len(kind.options) ** 2 for kind in asked.kinds)
    return (
        effort.seconds_an_option * len(options)
        + effort.seconds_a_place * places
        + effort.seconds_a_pair * pairs
    )


def telling(asked: Problem, report: GoalReport | None) -> Callable[[GoalName, float, float], None]:
    """A search's report as one in units of money; of its goals those that stand in a proof."""
    first = goal_order(asked)[0]

    def tell(goal: GoalName, value: float, bound: float) -> None:
        if report:
            by = asked.scale if goal == first else 1
            report(goal, value / by, bound / by)

    return tell


def judged(job: Job, plan: Plan, clock: Clock, seed: int) -> PlanAnswer:
    """The plan with its boards and rods cut from sticks, and its bolts called as they are in the
    end, as the judge finds it."""
    with stopping.ends_soon():
        try:
            sticks = wood(job, plan.making, clock, seed)
        except KeyboardInterrupt:
            clock.stop()
            sticks = wood(job, plan.making, clock, seed)
    plan = named(plan.model_copy(update={"wood": sticks.sticks}))
    faults = judge(job, plan.model_dump(mode="json", by_alias=True))
    return PlanAnswer(plan, tuple(faults), naive(job), clock.stopped, sticks)


def not_enough(  # noqa: PLR0917
    job: Job,
    groups: Sequence[Sequence[Opening]],
    supply: Supply,
    found: Found | None,
    made: Found | None,
    clock: Clock,
) -> CannotMeetError | NoPlanError:
    """Why the cloth on hand does not do: the shortfall, and which openings can be made from it.

    That it cannot do is only said where it is proved. Lengths are told to the step: what would do
    is rounded up, and what is proved to lack down, so that both stay true.

    Args:
        made: as many openings as can be made.
    """
    if clock.stopped:
        return NoPlanError("Stopped before there was a plan that the cloth on hand is enough for")
    if found is None:
        return NoPlanError("No plan was found in the time given that the cloth on hand does for")
    amount = lacking(job, supply, found)
    some = (made and _names_of_made(groups, made)) or "none of the openings"
    if not found.short.bound:
        return NoPlanError(
            "No plan was found in the time given that the cloth on hand does for, nor is it proved "
            f"that there is none. The best one found is short by {amount}; what there is makes "
            f"{some}"
        )
    names = " and ".join(sorted(supply.unbought))
    said = f"the cloth on hand is short by {amount}, and no more can be bought"
    if found.short.bound < found.short.value:
        least = floor_to(found.short.bound, job.tape.step)
        said = (
            "the cloth on hand is not enough, and no more can be bought: the best plan found is "
            f"short by {amount}"
        )
        if least:
            said += f", and every plan by {job.tape.long(least)} or more"
    would = f"{amount} more in one piece would do; what there is makes {some}"
    return CannotMeetError(Refusal(f"[cloth.{names}] piece", said, would))


def lacking(job: Job, supply: Supply, found: Found) -> str:
    """How much of each cloth is taken from a bolt that cannot be had, rounded up to the step."""
    taken: dict[str, Ticks] = {}
    for part in found.candidate.parts:
        if part.stretch.bought and part.stretch.cloth in supply.unbought:
            name = part.stretch.cloth
            taken[name] = max(taken.get(name, 0), part.end)
    return " and ".join(
        f"{job.tape.long(ceil_to(n, job.tape.step))} of {name}" for name, n in taken.items()
    )


def openings_that_can_be_made(
    job: Job, asked: JobProblem, supply: Supply, clock: Clock, seed: int
) -> str:
    """As many openings as the cloth on hand makes, larger ones before smaller; empty if none."""
    found = as_many_as_can_be_made(job, asked, supply, clock, seed)
    return "" if found is None else _names_of_made(asked[1], found)


def as_many_as_can_be_made(  # noqa: PLR0917
    job: Job,
    asked: JobProblem,
    supply: Supply,
    clock: Clock,
    seed: int,
    limits: Mapping[Goal, int] | None = None,
) -> Found | None:
    """A plan of as many openings as the cloth on hand makes, larger ones before smaller.

    Args:
        limits: that goals must keep within.
    """
    wanted, groups = asked
    largest = max(o.width * o.height for o in job.openings)
    # An opening more counts above all; of as many, the larger ones.
    worth = [
        1_000 + 9 * group[0].width * group[0].height * 100 // (largest * len(job.openings) * 10)
        for group in groups
    ]
    wish = Wish({**(limits or {}), "short": 0}, Forgone(worth))
    return search(wanted, supply, clock, seed, wish=wish)


def _names_of_made(groups: Iterable[Iterable[Opening]], found: Found) -> str:
    return ", ".join(
        f"{opening.name} ({copies} of {opening.copies})" if opening.copies > 1 else opening.name
        for opening, copies in copies_made(groups, found)
        if copies
    )


def copies_made(groups: Iterable[Iterable[Opening]], found: Found) -> Iterator[tuple[Opening, int]]:
    """How many copies of each opening are made; of those that are alike the last are left out."""
    for group, row in zip(groups, found.candidate.chosen, strict=True):
        made = iter(taken.option is not None for taken, count in row for _ in range(count))
        for opening in group:
            yield opening, sum(next(made) for _ in range(opening.copies))
