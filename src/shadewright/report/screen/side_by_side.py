"""One job made in several ways, side by side on a page: figures, and each roll to one scale."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from html import escape
from pathlib import Path

from shadewright.answers import CaseAnswer, Choice
from shadewright.report.pages.rendering import inline
from shadewright.report.pages.roll_strip import roll_strip
from shadewright.report.screen.shell import page, save
from shadewright.report.work.cautions import CAUTIONS, SHORT_CAUTION, first_of_all
from shadewright.report.work.comparison import YOURS, Comparison, bought, called
from shadewright.report.work.ways import HEADINGS
from shadewright.report.work.words import capital, clean, unparted


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
        cards = []
        for answer in answers:
            number += 1
            cards.append(_case_card(comparison, choice, answer, f"roll{number}"))
        yield _section(choice, cards)


def _section(choice: Choice, cards: Sequence[str]) -> str:
    name = f"choice-{choice}"
    return (
        f'<section aria-labelledby="{name}"><h2 id="{name}">{escape(HEADINGS[choice])}</h2>'
        f'<ul class="ways">{"".join(cards)}</ul></section>'
    )


def _case_card(comparison: Comparison, choice: Choice, answer: CaseAnswer, name: str) -> str:
    """One way to make the job, as a card of the page.

    Args:
        name: of its drawing.
    """
    job, plan, title = comparison.job, answer.plan, escape(capital(called(answer)))
    if comparison.is_yours(answer):
        title += f' <span class="badge">{YOURS}</span>'
    if plan is None:
        why = escape(comparison.unmade(answer))
        return f'<li class="way unmade"><h3>{title}</h3><p>{why}</p></li>'
    least = comparison.buys_least(choice, plan)
    badge = ' <span class="badge">least of these</span>' if least else ""
    figures = "".join(
        f"<dt>{escape(figure)}</dt><dd>{escape(unparted(value))}</dd>"
        for figure, value in comparison.figures(plan)
    )
    remarks = "".join(
        f'<p class="aside">{escape(unparted(text))}</p>' for text in comparison.remarks(answer)
    )
    cloth = escape(unparted(job.tape.cloth(bought(plan))))
    drawing = inline(roll_strip(job, plan, comparison.longest(choice)), name)
    label = escape(f"The roll of {called(answer)}, to the scale of the others", quote=True)
    return (
        f'<li class="way"><h3>{title}</h3>'
        f'<p class="tape"><span>{cloth}</span></p><p class="from">to buy{badge}</p>'
        f'<div class="strip" role="img" aria-label="{label}">{drawing}</div>'
        f"<dl>{figures}</dl>{remarks}</li>"
    )
