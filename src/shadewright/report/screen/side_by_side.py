"""One job made in several ways, side by side on a page: figures, and each roll to one scale."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from html import escape
from pathlib import Path

from shadewright.answers import CaseAnswer, Choice
from shadewright.cloth.plan import Plan
from shadewright.job.model import Job
from shadewright.measure import TICKS, Ticks
from shadewright.report.pages.drawing import FACE, INK, LINING, PAGE_WIDTH, Drawing
from shadewright.report.pages.rendering import inline
from shadewright.report.screen.shell import page, save
from shadewright.report.work.cautions import CAUTIONS, SHORT_CAUTION, first_of_all
from shadewright.report.work.comparison import Comparison, bought, called, proof, unmade
from shadewright.report.work.ways import HEADINGS
from shadewright.report.work.words import clean, has_prices, met, money, unparted

_ROWS = 5
"""So many rows the longest roll is drawn in."""

_ROW_GAP = 0.06
"""Inches of paper between rows."""


def save_side_by_side(path: Path, comparison: Comparison, *, stopped: bool = False) -> None:
    """Write the page. The same comparison gives the same bytes.

    Raises:
        OSError: the file cannot be written.
    """
    save(path, side_by_side(comparison, stopped=stopped))


def side_by_side(comparison: Comparison, *, stopped: bool = False) -> str:
    """The page, whole in itself. It runs no script.

    Args:
        stopped: whether some cases were not planned because somebody stopped it.
    """
    job = comparison.job
    said = [*comparison.conclusions]
    if stopped:
        said.append("Stopped early: ways that were not planned yet say so.")
    return page(
        "compare.html",
        f"Compared: {clean(job.title)}",
        markup={
            "job": escape(clean(job.title)),
            "first": "".join(f'<p class="notice">{escape(text)}</p>' for text in first_of_all(job)),
            "short": escape(" ".join(SHORT_CAUTION)),
            "said": _listed(said),
            "choices": "\n".join(_choices(comparison)),
            "cautions": "".join(f"<p>{escape(text)}</p>" for text in CAUTIONS),
        },
    )


def _listed(texts: Sequence[str]) -> str:
    return "".join(f"<li>{escape(unparted(text))}</li>" for text in texts)


def _choices(comparison: Comparison) -> Iterator[str]:
    """A section for each choice: a case beside the other."""
    number = 0
    for choice, answers in comparison.by_choice.items():
        plans = [answer.plan for answer in answers if answer.plan]
        least = min((bought(plan) for plan in plans), default=0)
        most = max((bought(plan) for plan in plans), default=0)
        longest = max((_length(plan) for plan in plans), default=0)
        cards = []
        for answer in answers:
            number += 1
            cards.append(_CaseCard(comparison, answer, f"roll{number}", longest).html(least, most))
        yield _section(choice, cards)


def _section(choice: Choice, cards: Sequence[str]) -> str:
    name = f"choice-{choice}"
    return (
        f'<section aria-labelledby="{name}"><h2 id="{name}">{escape(HEADINGS[choice])}</h2>'
        f'<ul class="ways">{"".join(cards)}</ul></section>'
    )


class _CaseCard:
    """One way to make the job, as a card of the page.

    Args:
        name: of its drawing.
        longest: what the longest roll of its choice uses.
    """

    def __init__(
        self, comparison: Comparison, answer: CaseAnswer, name: str, longest: Ticks
    ) -> None:
        self._comparison = comparison
        self._answer = answer
        self._name = name
        self._longest = longest

    def html(self, least: Ticks, most: Ticks) -> str:
        """The card.

        Args:
            least: what the way of this choice buys that buys least.
            most: what the one buys that buys most.
        """
        plan, title = self._answer.plan, escape(_capital(called(self._answer)))
        if plan is None:
            why = escape(unmade(self._answer))
            return f'<li class="way unmade"><h3>{title}</h3><p>{why}</p></li>'
        here = bought(plan)
        badge = ' <span class="badge">least of these</span>' if here == least < most else ""
        figures = "".join(
            f"<dt>{escape(name)}</dt><dd>{escape(unparted(value))}</dd>"
            for name, value in self._figures(plan)
        )
        remarks = "".join(
            f'<p class="aside">{escape(unparted(text))}</p>'
            for text in self._comparison.remarks(self._answer)
        )
        cloth = escape(unparted(self._comparison.job.tape.cloth(here)))
        drawing = inline(roll_strip(self._comparison.job, plan, self._longest), self._name)
        label = escape(
            f"The roll of {called(self._answer)}, to the scale of the others", quote=True
        )
        return (
            f'<li class="way"><h3>{title}</h3>'
            f'<p class="tape"><span>{cloth}</span></p><p class="from">to buy{badge}</p>'
            f'<div class="strip" role="img" aria-label="{label}">{drawing}</div>'
            f"<dl>{figures}</dl>{remarks}</li>"
        )

    def _figures(self, plan: Plan) -> Iterator[tuple[str, str]]:
        """What a row of the terminal's table says, name by name."""
        job = self._comparison.job
        per = job.tape.cloth_unit
        yield "Used", f"{plan.proof.used / TICKS[per]:.2f} {per}"
        if has_prices(job, plan):
            yield "Money", money(plan.totals.cost)
        yield "Shades", str(plan.totals.shades)
        yield "Waste", f"{100 * plan.totals.waste:.1f} %"
        more = self._comparison.more_than_plain(plan)
        if more is not None:
            sign = "-" if more < 0 else ""
            yield "More than plain", f"{sign}{job.tape.cloth(abs(more))}" if more else "none"
        yield "Best?", f"✓ {proof(plan)}" if met(plan.proof.goals[0]) else proof(plan)


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def _length(plan: Plan) -> Ticks:
    """What is used of all pieces, one behind the other."""
    return sum(use.used for use in plan.pieces)


def roll_strip(job: Job, plan: Plan, longest: Ticks) -> Drawing:
    """Every piece of a plan with its panels, to scale, without a word.

    Args:
        longest: the length that fills all rows; plans that are drawn with one length are drawn to
            one scale.
    """
    row = max(-(-longest // _ROWS), 1)
    scale = PAGE_WIDTH / row
    parts = [
        (use.cloth, use.piece, start, min(start + row, use.used))
        for use in plan.pieces
        for start in range(0, use.used, row)
    ]
    height = sum(job.cloth(cloth).usable * scale + _ROW_GAP for cloth, *_ in parts)
    drawing, top = Drawing(PAGE_WIDTH, height), height
    for cloth, piece, start, end in parts:
        wide = job.cloth(cloth).usable * scale
        bottom = top - wide
        drawing.rectangle((0, bottom), (end - start) * scale, wide, edge=INK, lw=0.6)
        for panel in plan.panels:
            low, high = max(panel.y, start), min(panel.y + panel.along, end)
            if (panel.cloth, panel.piece) != (cloth, piece) or low >= high:
                continue
            fill = FACE if panel.part == "face" else LINING
            corner = (low - start) * scale, bottom + panel.x * scale
            drawing.rectangle(corner, (high - low) * scale, panel.across * scale, fill=fill, lw=1)
        top = bottom - _ROW_GAP
    return drawing
