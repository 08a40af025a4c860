"""Going on after a mishap: drops that are cut stay cut, and the rest is planned again.

Copies of openings that have good panels keep their division; what is cut of a piece is gone, and
the rest of it, with the phase of its print, is cloth on hand. Without a mishap the old plan is
still as good as any, so it is only given up for a better one.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace

from shadewright.answers import NewFlaw, NoPlanError, PlanAnswer, Since, cut_before
from shadewright.cloth.numbering import remembered
from shadewright.cloth.plan import Gone, Panel, PastDrop, Plan, shade_id
from shadewright.job.bolts import is_bolt
from shadewright.job.model import Cloth, Job, Opening, Piece
from shadewright.planning.make import (
    GoalReport,
    as_many_as_can_be_made,
    charge,
    copies_made,
    judged,
    lacking,
    telling,
)
from shadewright.planning.standing import COPY, StandingPlan
from shadewright.solve.answer.bolts import named_as, numbered
from shadewright.solve.answer.layout import to_plan
from shadewright.solve.answer.reached import reached
from shadewright.solve.problem.kinds import Problem
from shadewright.solve.problem.menu import varied_problem
from shadewright.solve.problem.supply import Supply
from shadewright.solve.run import Clock
from shadewright.solve.search.found import Found
from shadewright.solve.search.improvement import search
from shadewright.trade.refusal import CannotMeetError, Refusal


def go_on(
    job: Job,
    before: Plan,
    since: Since,
    *,
    seconds: float = 20.0,
    seed: int = 0,
    report: GoalReport | None = None,
    writing: bool = False,
) -> PlanAnswer:
    """Plan the rest of a job again.

    Args:
        before: a plan for the job, judged clean.
        report: called now and then, as by `make_plan`.
        writing: whether time is kept for writing the plan into files.

    Raises:
        CannotMeetError: what is left of the cloth cannot do.
        NoPlanError: no plan was found in the time given.
    """
    before, since = numbered(before), _of_numbered(before, since)
    job = _with_flaws(job, since.flaws)
    since = replace(since, done=since.done | cut_before(before))
    untouched = not since.lost and not since.flaws
    clock = Clock(seconds)
    plan = _again(job, before, since, _Terms(clock, seed, report, writing))
    if plan is None or (untouched and _worth(before) <= _worth(plan)):
        if not untouched:
            raise NoPlanError("no plan was found in the time given for what is left of the cloth")
        plan = _remembering(before, since, before)
    answer = judged(job, plan, clock, seed)
    return replace(answer, before=named_as(plan, before))


def _of_numbered(before: Plan, since: Since) -> Since:
    """What has happened, with bolts called as in the numbered plan."""
    after = numbered(before)
    names = {(a.cloth, a.piece): b.piece for a, b in zip(before.pieces, after.pieces, strict=True)}
    names |= {(a.cloth, a.piece): b.piece for a, b in zip(before.gone, after.gone, strict=True)}

    def called(cloth: str, piece: str) -> str:
        return names.get((cloth, piece), piece)

    return replace(
        since,
        done=frozenset((c, called(c, p), n) for c, p, n in since.done),
        opened=frozenset((c, called(c, p), n) for c, p, n in since.opened),
        flaws=tuple(replace(f, piece=called(f.cloth, f.piece)) for f in since.flaws),
    )


@dataclass(frozen=True)
class _Terms:
    """How long to search, from which seed, whom to tell, and whether files are written after."""

    clock: Clock
    seed: int
    report: GoalReport | None
    writing: bool


def _worth(plan: Plan) -> list[float]:
    return [goal.value for goal in plan.proof.goals]


def _with_flaws(job: Job, flaws: Sequence[NewFlaw]) -> Job:
    """The job with flaws found since in its pieces on hand."""

    def flawed(cloth: Cloth, piece: Piece) -> Piece:
        more = [f.flaw for f in flaws if (f.cloth, f.piece) == (cloth.name, piece.name)]
        return piece.model_copy(update={"flaws": (*piece.flaws, *more)})

    return job.with_cloths(lambda c: {"pieces": tuple(flawed(c, piece) for piece in c.pieces)})


def _again(job: Job, before: Plan, since: Since, terms: _Terms) -> Plan | None:
    stands = StandingPlan(job, before, since)
    whole = stands.by_copy
    begun = stands.begun(whole)
    named = {opening.name: opening.name.partition(COPY)[0] for opening in whole.openings}
    asked, groups = varied_problem([(frozenset(), whole)], begun, named)
    asked = _sparing(asked, stands.kept.panels)
    # What is cut is off the roll, and so is all that lay before it.
    gone = {where: [(0, end)] for where, end in since.reach(before).items()}
    for part in before.gone:
        gone.setdefault((part.cloth, part.piece), []).append((part.start, part.end))
    for each in since.flaws:
        if is_bolt(each.piece):
            flawed = gone.setdefault((each.cloth, each.piece), [])
            flawed.append((each.flaw.start, each.flaw.end))
    zeros = {name: rows.bolts for name, rows in stands.rows.items()}
    supply = Supply.of(whole, asked, gone, zeros)
    base = {
        name: rows.base if job.match.across == "job" else 0
        for name, rows in stands.rows.items()
        if rows.base is not None and job.cloth(name).runs != "railroaded"
    }
    first = len(groups) - len(begun)
    lots = {first + i: stands.lots(each) for i, each in enumerate(begun)}
    if job.match.lots == "job":
        every = {roll: lot for these in lots.values() for roll, lot in these.items()}
        lots = dict.fromkeys(range(len(groups)), every)
    supply = replace(supply, base={**supply.base, **base}, kept=lots)
    charge(terms.clock, asked, writing=terms.writing)
    clock = terms.clock.leaving(terms.clock.effort.sticks)
    found = search(asked, supply, clock, terms.seed, telling(asked, terms.report))
    if found is not None and found.short.bound:
        amount = lacking(whole, supply, found)
        made = as_many_as_can_be_made(whole, (asked, groups), supply, terms.clock, terms.seed)
        some = _made(job, groups, made)
        raise CannotMeetError(
            Refusal(
                "what is left of the cloth",
                f"it is short by {amount}",
                f"{amount} more in one piece would do; what there is makes {some}",
            )
        )
    if found is None or found.short.value:
        return None
    plan = to_plan(whole, asked, groups, found, stands.kept)
    return _bounded(job, before, _remembering(before, since, _renamed(job, plan)))


def _made(job: Job, groups: Sequence[Sequence[Opening]], found: Found | None) -> str:
    """The copies of openings that can still be made, those that are begun among them."""
    each = [] if found is None else copies_made(groups, found)
    made = Counter(opening.name.partition(COPY)[0] for opening, copies in each if copies)
    names = [
        f"{name} ({number} of {job.opening(name).copies})" if job.opening(name).copies > 1 else name
        for name, number in made.items()
    ]
    return ", ".join(names) or "none of the openings"


def _sparing(asked: Problem, cut: Sequence[Panel]) -> Problem:
    """The problem, where as much as the longest panel is spare, with those that are cut."""
    longest = {panel.cloth: 0 for panel in cut}
    for panel in cut:
        longest[panel.cloth] = max(longest[panel.cloth], panel.along)
    rolls = (
        replace(roll, spare=longest.get(roll.name, 0)) if roll.spare_panel else roll
        for roll in asked.rolls
    )
    return replace(asked, rolls=tuple(rolls), units=asked.scale)


def _renamed(job: Job, plan: Plan) -> Plan:
    """The plan with its copies called as the job does."""
    ids: dict[str, str] = {}
    shades = []
    for shade in plan.shades:
        name, _, copy = shade.opening.partition(COPY)
        own = shade_id(name, int(copy), shade.place, shade.of)
        ids[shade.id] = own
        shades.append(shade.model_copy(update={"id": own, "opening": name, "copy_": int(copy)}))
    order = [opening.name for opening in job.openings]
    shades.sort(key=lambda shade: (order.index(shade.opening), shade.copy_, shade.place))

    def called(name: str) -> str:
        return ids.get(name, name)

    by_shade = {
        called(m.shade): m.model_copy(update={"shade": called(m.shade)}) for m in plan.making
    }
    making = [by_shade[shade.id] for shade in shades]
    return plan.model_copy(
        update={
            "job": job.title,
            "shades": shades,
            "panels": [p.model_copy(update={"shade": called(p.shade)}) for p in plan.panels],
            "making": making,
        }
    )


def _remembering(before: Plan, since: Since, plan: Plan) -> Plan:
    """The plan with what of it is cut already, and what of the cloth is gone, for the next time,
    and with the numbers that its panels go by."""
    reach = since.reach(before)
    cut = [d for d in plan.drops if d.end <= reach.get((d.cloth, d.piece), 0)]
    gone = [*before.gone]
    for (cloth, piece), end in reach.items():
        at = 0
        for drop in [d for d in cut if (d.cloth, d.piece) == (cloth, piece)]:
            gone.append(Gone(cloth=cloth, piece=piece, start=at, end=drop.start))
            at = drop.end
        gone.append(Gone(cloth=cloth, piece=piece, start=at, end=end))
    gone += [
        Gone(cloth=new.cloth, piece=new.piece, start=new.flaw.start, end=new.flaw.end)
        for new in since.flaws
    ]
    return plan.model_copy(
        update={
            "cut": [PastDrop(cloth=d.cloth, piece=d.piece, number=d.number) for d in cut],
            "gone": [part for part in dict.fromkeys(gone) if part.start < part.end],
            "numbers": remembered(before, plan),
        }
    )


def _bounded(job: Job, before: Plan, plan: Plan) -> Plan:
    """The plan with the goals of the whole job, where the rest may have no cloth without a price,
    and with those bounds that hold for any plan of the job, cut or not."""
    values = reached(job, plan.shades, plan.panels, plan.pieces)
    goals = [
        goal.model_copy(
            update={
                "value": values[goal.goal],
                "bound": 0 if number else min(goal.bound, values[goal.goal]),
            }
        )
        for number, goal in enumerate(before.proof.goals)
    ]
    proof = plan.proof.model_copy(
        update={
            "status": "gap",
            "goals": goals,
            "used_bound": min(before.proof.used_bound, plan.proof.used),
        }
    )
    return plan.model_copy(update={"proof": proof})
