"""The same job made in several ways: a table for the terminal, a file for programs."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, get_args

from shadewright.answers import CaseAnswer, Choice
from shadewright.cloth.plan import Plan
from shadewright.job.model import Job
from shadewright.measure import TICKS
from shadewright.report.text.wrapping import COMPARISON, wrapped
from shadewright.report.work.cautions import CHILDREN, SHORT_CAUTION, first_of_all
from shadewright.report.work.words import clean, has_prices, met, money
from shadewright.trade.naive import naive

CHOICES: tuple[Choice, ...] = get_args(Choice)

COMPARE_FORMAT = "shadewright-compare/1"
HEADINGS: dict[Choice, str] = {
    "strategies": "Matching the repeat",
    "hems": "Side hems",
    "lay": "How the cloth lies",
    "shades": "Cloth against number of shades",
}
STRATEGY_WORDS = {
    "plain": "plain, no matching",
    "level": "level",
    "centred": "centred on a motif",
    "centred-between": "centred between motifs",
    "continuous": "continuous print",
}


def bought(plan: Plan) -> int:
    """All cloth bought, in ticks."""
    return sum(plan.totals.bought.values())


def base_of(found: Sequence[CaseAnswer]) -> Plan | None:
    """The plan that extra cloth is counted against: the plain one."""
    for compared in found:
        if compared.choice == "strategies" and compared.name == "plain":
            return compared.plan
    return None


def called(compared: CaseAnswer) -> str:
    """The case in words."""
    return STRATEGY_WORDS.get(compared.name, compared.name)


def unmade_said(compared: CaseAnswer) -> str:
    """Why a case has no plan."""
    return f"{called(compared)}: cannot be made. {clean(compared.why_not)}"


def proof(plan: Plan) -> str:
    """How good a plan is known to be, in a word or two."""
    first = plan.proof.goals[0]
    if met(first):
        return "proved"
    return f"within {100 * (first.value - first.bound) / first.value:.1f} %"


def worth_having(found: Sequence[CaseAnswer]) -> list[CaseAnswer]:
    """All cases, but of numbers of shades only those that none of fewer shades beats."""
    points = [_point(c.plan) for c in found if c.choice == "shades" and c.plan]
    kept: list[CaseAnswer] = []
    seen: set[tuple[int, float]] = set()
    for compared in found:
        if compared.choice == "shades" and compared.plan:
            here = _point(compared.plan)
            beaten = any(p != here and p[0] <= here[0] and p[1] <= here[1] for p in points)
            if beaten or here in seen:
                continue
            seen.add(here)
        kept.append(compared)
    return kept


def _point(plan: Plan) -> tuple[int, float]:
    return plan.totals.shades, _cost(plan)


def _cost(plan: Plan) -> float:
    """The first goal: money, or cloth bought where there are no prices."""
    return plan.proof.goals[0].value


def table(job: Job, found: Sequence[CaseAnswer], *, stopped: bool = False) -> str:
    """The comparison as text, choice by choice, and what it comes to."""
    found = worth_having(found)
    first = [_wrapped(said, "") for said in first_of_all(job)]
    parts = [*first, clean(job.title)]
    for choice, heading in HEADINGS.items():
        these = [compared for compared in found if compared.choice == choice]
        if these:
            parts.append("\n".join([heading, *_rows(job, these, base_of(found))]))
    if not job.patterned and base_of(found):
        parts.append(_wrapped("No cloth of this job has a repeat, so there is nothing to match."))
    said = conclusions(job, found)
    if said:
        parts.append("\n".join(["What it comes to", *(_wrapped(line) for line in said)]))
    if stopped:
        parts.append("Stopped early: cases that were not planned yet say so.")
    parts.append("\n".join(SHORT_CAUTION))
    return "\n\n".join(parts) + "\n"


def _wrapped(text: str, indent: str = "  ") -> str:
    return wrapped(text, indent, COMPARISON)


def _rows(job: Job, found: Sequence[CaseAnswer], base: Plan | None) -> list[str]:
    """Aligned rows under their headings; a case without a plan has its reason below its name."""
    per = job.tape.cloth_unit
    priced = any(c.plan and has_prices(job, c.plan) for c in found)
    heads = ["", "buy", "use", *(["money"] if priced else []), "shades", "waste"]
    heads += ["more than plain"] if base else []
    heads.append("best?")
    cells: list[list[str] | str] = [heads]
    for compared in found:
        if compared.plan is None:
            cells.append(_wrapped(unmade_said(compared)))
            continue
        plan = compared.plan
        row = [
            called(compared),
            job.tape.cloth(bought(plan)),
            f"{plan.proof.used / TICKS[per]:.2f} {per}",
        ]
        row += [money(plan.totals.cost)] if priced else []
        row += [str(plan.totals.shades), f"{100 * plan.totals.waste:.1f} %"]
        row += [_more(job, bought(plan) - bought(base))] if base else []
        cells.append([*row, proof(plan)])
    full = [row for row in cells if not isinstance(row, str)]
    widths = [max(len(row[i]) for row in full) for i in range(len(heads))]
    return [
        row
        if isinstance(row, str)
        else "  "
        + "  ".join(
            text.ljust(width) if i in (0, len(row) - 1) else text.rjust(width)
            for i, (text, width) in enumerate(zip(row, widths, strict=True))
        ).rstrip()
        for row in cells
    ]


def _more(job: Job, more: int) -> str:
    return f"{'-' if more < 0 else ''}{job.tape.cloth(abs(more))}" if more else "none"


def conclusions(job: Job, found: Sequence[CaseAnswer]) -> list[str]:
    """What the comparison shows, in sentences."""
    said = []
    base = base_of(found)
    for compared in found:
        if compared.choice == "strategies" and compared.plan and base:
            more = bought(compared.plan) - bought(base)
            if compared.name != "plain":
                name = called(compared)
                cloth = job.tape.cloth(abs(more))
                how = "as much as" if not more else f"{cloth} {'more' if more > 0 else 'less'} than"
                said.append(f"{name[0].upper()}{name[1:]} buys {how} plain.")
    for choice in ("hems", "lay"):
        plans = [(c, c.plan) for c in found if c.choice == choice and c.plan]
        if len(plans) > 1:
            best = min(plans, key=lambda pair: _cost(pair[1]))
            worst = max(plans, key=lambda pair: _cost(pair[1]))
            spared = bought(worst[1]) - bought(best[1])
            if spared > 0:
                said.append(
                    f"Cloth cut with {called(best[0])} takes {job.tape.cloth(spared)} less than "
                    f"with {called(worst[0])}."
                    if choice == "hems"
                    else f"Of the ways to lay the cloth, {called(best[0])} takes "
                    f"{job.tape.cloth(spared)} less than {called(worst[0])}."
                )
            else:
                said.append(f"{HEADINGS[choice]} make no difference to what is bought.")
    points = [c.plan for c in found if c.choice == "shades" and c.plan]
    if len(points) > 1:
        most, fewest = points[0], points[-1]
        said.append(
            f"{most.totals.shades - fewest.totals.shades} shades fewer to sew "
            f"({fewest.totals.shades} rather than {most.totals.shades}) take "
            f"{job.tape.cloth(bought(fewest) - bought(most))} more cloth."
        )
    elif points:
        said.append("The cheapest plan has the fewest shades there can be.")
    return said


def as_data(job: Job, found: Sequence[CaseAnswer]) -> dict[str, Any]:
    """The comparison for programs; lengths in ticks."""
    base = base_of(found)
    cases = []
    for compared in found:
        row: dict[str, Any] = {"choice": compared.choice, "name": compared.name}
        if compared.most_shades is not None:
            row["most_shades"] = compared.most_shades
        if compared.plan is None:
            cases.append({**row, "why_not": compared.why_not})
            continue
        plan = compared.plan
        first = plan.proof.goals[0]
        row |= {
            "bought": bought(plan),
            "used": plan.proof.used,
            "cost": plan.totals.cost,
            "shades": plan.totals.shades,
            "waste": plan.totals.waste,
            "more_than_plain": bought(plan) - bought(base) if base else None,
            "proof": {
                "status": plan.proof.status,
                "goal": first.goal,
                "value": first.value,
                "bound": first.bound,
                "used_bound": plan.proof.used_bound,
            },
        }
        cases.append(row)
    notepad = naive(job)
    return {
        "format": COMPARE_FORMAT,
        **({"caution": CHILDREN} if job.children else {}),
        "job": job.title,
        "tick_per_inch": 8128,
        "notepad": sum(notepad.bought.values()) if notepad else None,
        "cases": cases,
    }
