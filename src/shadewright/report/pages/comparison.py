"""The comparison on paper: one job made in several ways, side by side, with what each would buy,
what it leaves, and its roll in little."""

from __future__ import annotations

from typing import Any

from shadewright.answers import CaseAnswer, Choice
from shadewright.report.pages.cutting_cards import drawing_data
from shadewright.report.pages.rendering import FINEST
from shadewright.report.pages.roll_strip import roll_strip
from shadewright.report.pages.typesetting import breakable, typeset
from shadewright.report.work.cautions import CAUTIONS, ON_EVERY_PAGE, first_of_all
from shadewright.report.work.comparison import YOURS, Comparison, bought, called
from shadewright.report.work.ways import HEADINGS
from shadewright.report.work.words import brief, capital, clean

_LONGEST_TITLE = 75
"""Signs of a title that stand on one line of every page."""

_PICTURE = 3.3
"""Inches that a roll in little is wide."""

_STOPPED = "Stopped early: ways that were not planned yet say so."


def comparison_pages(comparison: Comparison, suffix: str, *, stopped: bool = False) -> list[bytes]:
    """The pages as files: one PDF with a bookmark for each way, or an SVG or PNG a page.

    The same comparison gives the same bytes.

    Args:
        stopped: whether some ways were not planned because somebody stopped it.

    Raises:
        ValueError: the suffix is none of .svg, .pdf and .png.
    """
    data = comparison_data(comparison, stopped=stopped)
    match suffix.lower():
        case ".pdf":
            made = typeset("comparison.typ", data, "pdf")
        case ".svg":
            made = typeset("comparison.typ", data, "svg")
        case ".png":
            made = typeset("comparison.typ", data, "png", FINEST)
        case _:
            raise ValueError(f"found {suffix}: a picture ends in .svg, .pdf or .png")
    return [made] if isinstance(made, bytes) else made


def comparison_data(comparison: Comparison, *, stopped: bool = False) -> dict[str, Any]:
    """All that the template is given."""
    job = comparison.job
    said = [*comparison.conclusions, *([_STOPPED] if stopped else [])]
    return {
        "paper": "a4" if job.metric else "us-letter",
        "title": breakable(brief(clean(job.title), _LONGEST_TITLE)),
        "caution": ON_EVERY_PAGE,
        "first": first_of_all(job),
        "said": [breakable(text) for text in said],
        "choices": [
            {
                "name": HEADINGS[choice],
                "ways": [_way(comparison, choice, answer) for answer in answers],
            }
            for choice, answers in comparison.by_choice.items()
        ],
        "cautions": list(CAUTIONS),
    }


def _way(comparison: Comparison, choice: Choice, answer: CaseAnswer) -> dict[str, Any]:
    """One way to make the job."""
    job, plan = comparison.job, answer.plan
    name = breakable(brief(capital(called(answer)), 60))
    yours = YOURS if comparison.is_yours(answer) else ""
    if plan is None:
        return {"name": name, "yours": yours, "why": breakable(capital(comparison.unmade(answer)))}
    strip = roll_strip(job, plan, comparison.longest(choice), _PICTURE)
    return {
        "name": name,
        "yours": yours,
        "why": "",
        "amount": job.tape.cloth(bought(plan)),
        "least": comparison.buys_least(choice, plan),
        "picture": drawing_data(strip),
        "figures": [
            {"name": figure, "value": breakable(value)}
            for figure, value in comparison.figures(plan)
        ],
        "remarks": [breakable(said) for said in comparison.remarks(answer)],
    }
