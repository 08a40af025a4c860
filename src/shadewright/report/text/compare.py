"""The same job made in several ways: a table for the terminal, a file for programs."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from shadewright.answers import Choice
from shadewright.measure import TICKS
from shadewright.report.text.wrapping import COMPARISON, has_room, wrapped
from shadewright.report.work.cautions import CHILDREN, SHORT_CAUTION, first_of_all
from shadewright.report.work.comparison import Comparison, bought, proof
from shadewright.report.work.ways import HEADINGS
from shadewright.report.work.words import clean, has_prices, money
from shadewright.trade.naive import naive

COMPARE_FORMAT = "shadewright-compare/1"


def table(comparison: Comparison, *, stopped: bool = False) -> str:
    """The comparison as text, choice by choice, and what it comes to."""
    job = comparison.job
    first = [_wrapped(said, "") for said in first_of_all(job)]
    parts = [*first, clean(job.title)]
    for choice in comparison.by_choice:
        parts.append("\n".join([HEADINGS[choice], *_rows(comparison, choice)]))
    if not job.patterned and comparison.base:
        parts.append(_wrapped("No cloth of this job has a repeat, so there is nothing to match."))
    said = comparison.conclusions
    if said:
        parts.append("\n".join(["What it comes to", *(_wrapped(line) for line in said)]))
    if stopped:
        parts.append("Stopped early: cases that were not planned yet say so.")
    parts.append("\n".join(SHORT_CAUTION))
    return "\n\n".join(parts) + "\n"


def _wrapped(text: str, indent: str = "  ") -> str:
    return wrapped(text, indent, COMPARISON)


def _rows(comparison: Comparison, choice: Choice) -> list[str]:
    """Aligned rows under their headings, or, where those have no room, each told as a list; a case
    without a plan has its reason below its name."""
    job, found = comparison.job, comparison.by_choice[choice]
    per = job.tape.cloth_unit
    priced = any(a.plan and has_prices(job, a.plan) for a in found)
    heads = ["", "buy", "use", *(["money"] if priced else []), "shades", "waste"]
    heads += ["more than plain"] if comparison.base else []
    heads.append("best?")
    cells: list[list[str] | str] = [heads]
    for answer in found:
        plan = answer.plan
        if plan is None:
            cells.append(_wrapped(comparison.unmade(answer)))
            continue
        used = f"{plan.proof.used / TICKS[per]:.2f} {per}"
        row = [comparison.named(answer), job.tape.cloth(bought(plan)), used]
        row += [money(plan.totals.cost)] if priced else []
        row += [str(plan.totals.shades), f"{100 * plan.totals.waste:.1f} %"]
        more = comparison.more_than_plain(plan)
        if more is not None:
            sign = "-" if more < 0 else ""
            row.append(f"{sign}{job.tape.cloth(abs(more))}" if more else "none")
        cells.append([*row, proof(plan)])
        cells += [_wrapped(said, "    ") for said in comparison.remarks(answer)]
    full = [row for row in cells if not isinstance(row, str)]
    widths = [max(len(row[i]) for row in full) for i in range(len(heads))]
    if not has_room(len(_aligned(["-" * width for width in widths], widths))):
        return [row if isinstance(row, str) else _listed(heads, row) for row in cells[1:]]
    return [row if isinstance(row, str) else _aligned(row, widths) for row in cells]


def _aligned(row: list[str], widths: list[int]) -> str:
    """The first and the last text at the left of their columns, figures at the right."""
    figures = [text.rjust(width) for text, width in zip(row[1:-1], widths[1:-1], strict=True)]
    return "  ".join(["", row[0].ljust(widths[0]), *figures, row[-1]]).rstrip()


def _listed(heads: Sequence[str], row: Sequence[str]) -> str:
    """A row in words: every figure behind its heading."""
    figures = [f"{head} {text}" for head, text in zip(heads[1:-1], row[1:-1], strict=True)]
    return _wrapped(f"{row[0]}: {', '.join([*figures, row[-1]])}")


def as_data(comparison: Comparison) -> dict[str, Any]:
    """The comparison for programs; lengths in ticks."""
    job = comparison.job
    cases = []
    for answer in comparison.answers:
        row: dict[str, Any] = {"choice": answer.choice, "name": answer.name}
        row["as_asked"] = comparison.is_yours(answer)
        if answer.most_shades is not None:
            row["most_shades"] = answer.most_shades
        plan = answer.plan
        if plan is None:
            cases.append({**row, "why_not": answer.why_not})
            continue
        first = plan.proof.goals[0]
        remarks = comparison.remarks(answer)
        row |= {"remarks": remarks} if remarks else {}
        row |= {
            "bought": bought(plan),
            "used": plan.proof.used,
            "cost": plan.totals.cost,
            "shades": plan.totals.shades,
            "waste": plan.totals.waste,
            "more_than_plain": comparison.more_than_plain(plan),
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
