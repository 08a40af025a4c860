"""A comparison's account: what its table, its sheet and its file tell, each worked out once."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property

from shadewright.answers import CaseAnswer, Choice
from shadewright.cloth.plan import Plan
from shadewright.job.model import Job
from shadewright.measure import TICKS, Ticks
from shadewright.report.work.account import Account
from shadewright.report.work.choices import sideways_said
from shadewright.report.work.ways import HEADINGS, STRATEGY_WORDS
from shadewright.report.work.words import (
    capital,
    clean,
    count,
    gap,
    has_prices,
    listed,
    met,
    money,
)

YOURS = "your job"
"""What marks, of the ways to make a job, the one that it asks for."""

_NOT_ALL_PROVED = (
    "Not all of these plans are proved best: a longer search may change what is said here."
)

_TWO_WAYS: tuple[Choice, ...] = ("hems", "lay")


@dataclass(frozen=True)
class Comparison:
    """A job made in several ways, and what that comes to for whoever reads of it.

    Attributes:
        answers: what came of each case, in order.
    """

    job: Job
    answers: Sequence[CaseAnswer]

    @cached_property
    def base(self) -> Plan | None:
        """The plan that extra cloth is counted against: the plain one."""
        plain = (a.plan for a in self.answers if (a.choice, a.name) == ("strategies", "plain"))
        return next(plain, None)

    @cached_property
    def by_choice(self) -> dict[Choice, list[CaseAnswer]]:
        """The answers worth having, of each choice that has any."""
        found = worth_having(self.answers)
        every = {choice: [a for a in found if a.choice == choice] for choice in HEADINGS}
        # Numbers of shades from the fewest up.
        every["shades"].reverse()
        return {choice: these for choice, these in every.items() if these}

    @cached_property
    def _asked(self) -> Plan | None:
        """The plan of the job as it is."""
        return next((a.plan for a in self.answers if a.as_asked and a.plan), None)

    def is_yours(self, answer: CaseAnswer) -> bool:
        """Whether a way is the one that the job asks for, or has the number of shades that comes of
        it."""
        plan, asked = answer.plan, self._asked
        if answer.choice == "shades" and plan and asked and not answer.as_asked:
            return plan.totals.shades == asked.totals.shades and bought(plan) == bought(asked)
        return answer.as_asked

    def named(self, answer: CaseAnswer) -> str:
        """The case in words, and whether it is the job's own."""
        return called(answer) + (f" ({YOURS})" if self.is_yours(answer) else "")

    def unmade(self, answer: CaseAnswer) -> str:
        """Why a case has no plan."""
        name = self.named(answer)
        if answer.unfinished:
            return f"{name}: {answer.why_not}."
        return f"{name}: cannot be made. {capital(clean(answer.why_not))}"

    @cached_property
    def conclusions(self) -> list[str]:
        """What it shows, in sentences."""
        either = (said for choice in _TWO_WAYS for said in self._of(choice))
        of_two = [*self._of_alike(), *self._of_table()]
        proofs = [plan for choice in self.by_choice for _, plan in self._plans(choice)]
        open_ = [] if all(met(plan.proof.goals[0]) for plan in proofs) else [_NOT_ALL_PROVED]
        return [*self._of_matching(), *either, *of_two, *self._of_shades(), *open_]

    def remarks(self, answer: CaseAnswer) -> list[str]:
        """What is to be known of a case beside its figures, in sentences: a print that comes to lie
        on its side, motifs that stand higher on some shades."""
        found = []
        if answer.name.endswith("alternate"):
            found.append("The motif may stand higher on one shade than on the next.")
        if answer.choice in ("strategies", "lay") and answer.plan is not None:
            found += sideways_said(answer.plan, self.job.faces)
        return found

    def figures(self, plan: Plan) -> Iterator[tuple[str, str]]:
        """What a page says of a plan beside what it buys, name by name."""
        job, tape = self.job, self.job.tape
        per = tape.cloth_unit
        yield "Used", f"{plan.proof.used / TICKS[per]:.2f} {per}"
        left = sum(use.length - use.used for use in plan.pieces)
        yield "Left at the end", tape.long(left) if left else "nothing"
        for offcut in Account(job, plan).offcuts[:1]:
            yield "Largest left over", f"{tape.short(offcut.across)} × {tape.short(offcut.along)}"
        if has_prices(job, plan):
            yield "Money", money(plan.totals.cost)
        yield "Shades", str(plan.totals.shades)
        yield "Waste", f"{100 * plan.totals.waste:.1f} %"
        more = self.more_than_plain(plan)
        if more is not None:
            sign = "-" if more < 0 else ""
            yield "More than plain", f"{sign}{tape.cloth(abs(more))}" if more else "none"
        yield "Best?", f"✓ {proof(plan)}" if met(plan.proof.goals[0]) else proof(plan)

    def buys_least(self, choice: Choice, plan: Plan) -> bool:
        """Whether no way of a choice buys less than this plan, and some buy more."""
        lengths = [bought(each) for _, each in self._plans(choice)]
        return bought(plan) == min(lengths) < max(lengths)

    def longest(self, choice: Choice) -> Ticks:
        """What the way of a choice uses that uses most, piece behind piece, in ticks."""
        return max((used(plan) for _, plan in self._plans(choice)), default=0)

    def more_than_plain(self, plan: Plan) -> int | None:
        """Cloth that a plan buys beyond the plain one, in ticks."""
        return bought(plan) - bought(self.base) if self.base else None

    def _plans(self, choice: Choice) -> list[tuple[str, Plan]]:
        return [(called(a), a.plan) for a in self.by_choice.get(choice, ()) if a.plan]

    def _of_matching(self) -> Iterator[str]:
        for name, plan in self._plans("strategies"):
            more = self.more_than_plain(plan)
            if more is not None and name != STRATEGY_WORDS["plain"]:
                cloth = self.job.tape.cloth(abs(more))
                how = f"{cloth} {'more' if more > 0 else 'less'} than" if more else "as much as"
                comma = "," if "," in name else ""
                yield f"{name[0].upper()}{name[1:]}{comma} buys {how} plain."

    def _of(self, choice: Choice) -> Iterator[str]:
        plans = self._plans(choice)
        if len(plans) < 2:
            return
        best, worst = (by(plans, key=lambda each: _cost(each[1])) for by in (min, max))
        spared = bought(worst[1]) - bought(best[1])
        cloth = self.job.tape.cloth(spared)
        if spared <= 0:
            makes = "makes" if choice == "lay" else "make"
            yield f"{HEADINGS[choice]} {makes} no difference to what is bought."
        elif choice == "hems":
            yield f"Cloth cut with {best[0]} takes {cloth} less than with {worst[0]}."
        else:
            found = next(a for a in self.by_choice[choice] if a.plan is best[1])
            but = "".join(f", but {r[0].lower()}{r[1:-1]}" for r in self.remarks(found))
            yield (
                f"Of the ways to lay the cloth, {best[0]} takes {cloth} less than {worst[0]}{but}."
            )
        apart = [clean(opening.name) for opening in self.job.openings if opening.runs is not None]
        if choice == "lay" and apart:
            keeps = "keeps a lay of its own" if len(apart) == 1 else "keep lays of their own"
            yield f"In each of them {listed(apart)} {keeps}."

    def _of_alike(self) -> Iterator[str]:
        plans = [plan for _, plan in self._plans("alike")]
        if len(plans) == 2:
            more = bought(plans[0]) - bought(plans[1])
            cloth = self.job.tape.cloth(abs(more))
            yield (
                f"To divide copies alike takes {cloth} more cloth than to let them differ."
                if more > 0
                else "To divide copies alike takes no more cloth than to let them differ."
            )

    def _of_table(self) -> Iterator[str]:
        plans = [plan for _, plan in self._plans("table")]
        if len(plans) == 2:
            more = bought(plans[0]) - bought(plans[1])
            cloth = self.job.tape.cloth(abs(more))
            takes = f"{cloth} {'more' if more > 0 else 'less'}" if more else "no more"
            yield f"Keeping drops to the table takes {takes} cloth."

    def _of_shades(self) -> Iterator[str]:
        plans = [plan for _, plan in self._plans("shades")]
        unplanned = any(a.choice == "shades" and a.plan is None for a in self.answers)
        if len(plans) == 1 and not unplanned:
            proved = met(plans[0].proof.goals[0])
            least = "The plan that buys" if proved else "Of the plans that were found, the one with"
            yield f"{least} least cloth has the fewest shades there can be."
        elif len(plans) > 1:
            fewest, most = plans[0], plans[-1]
            more = self.job.tape.cloth(bought(fewest) - bought(most))
            fewer = most.totals.shades - fewest.totals.shades
            yield (
                f"{count(fewer, 'shade')} fewer to sew ({fewest.totals.shades} rather than "
                f"{most.totals.shades}) {'takes' if fewer == 1 else 'take'} {more} more cloth."
            )


def bought(plan: Plan) -> int:
    """All cloth bought, in ticks."""
    return sum(plan.totals.bought.values())


def used(plan: Plan) -> Ticks:
    """What is used of all pieces, one behind the other."""
    return sum(use.used for use in plan.pieces)


def called(answer: CaseAnswer) -> str:
    """The case in words."""
    return STRATEGY_WORDS.get(answer.name, answer.name)


def proof(plan: Plan) -> str:
    """How good a plan is known to be, in a word or two."""
    first = plan.proof.goals[0]
    if met(first):
        return "proved"
    return f"within {100 * gap(first):.1f} %"


def worth_having(answers: Sequence[CaseAnswer]) -> list[CaseAnswer]:
    """All cases, but of numbers of shades only those that none of fewer shades beats; of several
    that come to the same, the one that asks for fewest."""
    points = [_point(a.plan) for a in answers if a.choice == "shades" and a.plan]
    kept: list[CaseAnswer] = []
    seen: set[tuple[int, float]] = set()
    # They come with fewer and fewer shades.
    for answer in reversed(answers):
        if answer.choice == "shades" and answer.plan:
            here = _point(answer.plan)
            beaten = any(p != here and p[0] <= here[0] and p[1] <= here[1] for p in points)
            if beaten or here in seen:
                continue
            seen.add(here)
        kept.append(answer)
    return kept[::-1]


def _point(plan: Plan) -> tuple[int, float]:
    return plan.totals.shades, _cost(plan)


def _cost(plan: Plan) -> float:
    """The first goal: money, or cloth bought where there are no prices."""
    return plan.proof.goals[0].value
