"""What the cutting cards of the booklet are given: for drops that are cut alike, their picture, the
steps, and where each lies."""

from __future__ import annotations

from typing import Any

from shadewright.measure import Ticks
from shadewright.report.pages.drawing import Drawing, printed_width
from shadewright.report.pages.drop_picture import draw_drop, is_long
from shadewright.report.pages.rendering import svg
from shadewright.report.pages.typesetting import breakable
from shadewright.report.work.account import Account
from shadewright.report.work.alike import DropRun, drop_runs
from shadewright.report.work.cut_steps import CutStep, DropSteps, squares_up
from shadewright.report.work.going_on import starts_now
from shadewright.report.work.laying import beginning
from shadewright.report.work.lays import PieceLay
from shadewright.report.work.words import brief, clean, count, listed, numbers_said

_WHOLE, _PART = 7.1, 2.75
"""Inches: the width of a page between its margins, and of a picture beside the steps."""

_FEW, _HALF, _BESIDE = 2, 3.45, 1.0
"""Drops that are listed in one column; inches of each of two columns, and what of that boxes,
numbers of drops and gaps take."""

_MANY = 3
"""Semicolons in a list of panels that is not given a line for each."""


def piece_data(account: Account, lay: PieceLay, most: int) -> dict[str, Any]:
    """A piece with its cards, as many as there may be at most."""
    job, tape, use = account.job, account.job.tape, lay.use
    length = tape.cloth(use.length) if use.bought else tape.long(use.length)
    name = brief(f"{clean(use.cloth)}, {clean(use.piece)}", 60)
    wide = f"It is {tape.short(lay.cloth.width)} wide and {length} long"
    if lay.lot:
        wide += f", of dye lot {clean(lay.lot)}"
    holds = f"{count(len(lay.drops), 'drop')} and {count(len(lay.panels), 'panel')} come off it"
    laid = [f"{wide}; {holds}."]
    if lay.begun:
        laid += [
            f"{starts_now(job, lay)} Do not square it up again. Beside figures from zero of the "
            "tape stand those from the end it has now.",
        ]
    laid.append(clean(beginning(job, lay)))
    runs = drop_runs(job, lay, account.going_on)
    return {
        "name": breakable(f"Cutting {name}"),
        "laid": [breakable(said) for said in laid],
        "begin": _begin(account, lay, runs),
        "cards": [_card(account, run) for run in runs[:most]],
        "more": _left_out(runs[most:]),
    }


def _left_out(runs: list[DropRun]) -> str:
    """That some cards are not on paper, as a sentence; nothing where there are none."""
    if not runs:
        return ""
    number = runs[0].first.lay.drop.number
    return f"The Cutting order of the workbook of this plan goes on with drop {number}."


def drawing_data(drawing: Drawing) -> dict[str, Any]:
    """A drawing as a template puts it on paper."""
    return {"svg": svg([drawing]), "width": drawing.width, "height": drawing.height}


def _begin(account: Account, lay: PieceLay, runs: list[DropRun]) -> list[dict[str, str]]:
    """The step that squares up a piece, where its cards do not tell it."""
    first = runs[0].first
    if lay.begun or lay.by_print or not squares_up(account.job, first):
        return []
    figure = account.job.tape.short(first.lay.drop.start)
    words = "Square up: cut this much off the end, straight across."
    said = {"figure": figure, "from": "from the end of the piece", "words": words}
    return [{**said, "zero": "", "print": "", "frees": ""}]


def _card(account: Account, run: DropRun) -> dict[str, Any]:
    number = len(run.drops)
    drops = numbers_said([each.lay.drop.number for each in run.drops])
    panels = sorted(panel.number for panel in run.panels)
    called = f"panel{'' if len(panels) == 1 else 's'} {numbers_said(panels)}"
    if run.mark == "done":
        verb = "is" if number == 1 else "are"
        said = f"Drop{'' if number == 1 else 's'} {drops} {verb} cut, with {called}."
        return {"done": True, "words": said}
    several, long = number > 1, is_long(run)
    picture = draw_drop(account.job, account.plan, run, _WHOLE if long else _PART)
    return {
        "done": False,
        "name": f"Drop{'s' if several else ''} {drops}",
        "times": f"{_times(number)}{called}.",
        "mark": run.mark,
        "long": long,
        "picture": drawing_data(picture),
        "steps": [_step(account, run, step) for step in run.steps],
        **(_list(account, run) if several else {"drops": []}),
    }


def _list(account: Account, run: DropRun) -> dict[str, Any]:
    """The list of drops that are cut alike, with where each lies."""
    figures = [_figures(account, run, each) for each in run.drops]
    names = [_panels(run, each) for each in run.drops]
    narrow = len(figures[0]) == 1 and _wide(names, figures) <= _HALF - _BESIDE
    return {
        "heads": list(figures[0]),
        "panels_head": "Panels" if run.letters else "Panel",
        "columns": 2 if narrow and len(names) > _FEW else 1,
        "drops": [
            {
                "number": str(each.lay.drop.number),
                "panels": breakable(
                    name if name.count("; ") > _MANY else name.replace("; ", ";\n")
                ),
                "figures": list(these.values()),
            }
            for each, name, these in zip(run.drops, names, figures, strict=True)
        ],
    }


def _wide(names: list[str], figures: list[dict[str, str]]) -> float:
    """Inches that the names of panels take, and the figures beside them."""
    told = max(printed_width(name, 10) for name in names)
    return told + max(printed_width(f, 11, bold=True) for each in figures for f in each.values())


def _times(number: int) -> str:
    if number == 1:
        return "It gives "
    return f"Do this {'twice' if number == 2 else f'{number} times'}: it gives "


def _panels(run: DropRun, drop: DropSteps) -> str:
    letters = run.letters.values() or [""]
    return "; ".join(
        f"{letter} {panel.number}: {panel.called}".strip()
        for letter, panel in zip(letters, drop.lay.panels, strict=True)
    )


def _figures(account: Account, run: DropRun, drop: DropSteps) -> dict[str, str]:
    """Where a drop of several lies, by the headings of the list."""
    tape, laid = account.job.tape, drop.lay.drop
    found, now = {}, "From the end\nit has now"
    if any(step.opens for step in run.steps):
        if len(set(run.left_out)) > 1:
            found["Leave\nout"] = tape.short(laid.start - drop.before)
        found["Step 1\nfrom zero"] = tape.long(laid.start)
        found["Step 2\nfrom zero"] = tape.long(laid.end)
        now = "Step 2 from the\nend it has now"
    else:
        found["From zero"] = tape.long(laid.end)
    if run.lay.begun:
        found[now] = tape.long(laid.end - run.lay.begun)
    return found


def _step(account: Account, run: DropRun, step: CutStep) -> dict[str, str]:
    tape = account.job.tape
    figure, zero = tape.short(step.at), ""
    if step.opens and len(set(run.left_out)) > 1:
        figure = "as listed"
    if len(run.drops) == 1 and step.zero is not None:
        zero = _zero(account, run.lay, step.zero)
    return {
        "figure": figure,
        "from": step.measured_from,
        "words": breakable(step.words),
        "zero": breakable(zero),
        "print": breakable(step.by_print),
        "frees": step.frees,
    }


def _zero(account: Account, lay: PieceLay, at: Ticks) -> str:
    """Where a cut lies from zero, and of a piece that is begun from the end it has now."""
    tape = account.job.tape
    places = [f"{tape.long(at)} from zero of the tape"]
    if lay.begun:
        places.append(f"{tape.long(at - lay.begun)} from the end that the cloth has now")
    return f"Check: it is {listed(places)}."
