"""What the companion tells of a plan, as data that stands in its page: every text is ready to be
shown, in the units of the job, so that the page reckons no length."""

from __future__ import annotations

import re
import shlex
from collections import Counter
from collections.abc import Iterator, Sequence
from typing import Any

from shadewright.answers import DropName, cut_before, drop_name
from shadewright.cloth.plan import Plan, mark
from shadewright.report.screen.alike import alike_said
from shadewright.report.screen.places import CutPicture, cut_pictures
from shadewright.report.work.account import Account
from shadewright.report.work.cautions import CAUTIONS, SHORT_CAUTION, first_of_all
from shadewright.report.work.lays import PieceLay
from shadewright.report.work.saved import SAVED_FORMAT
from shadewright.report.work.steps import Step, heading_of, steps
from shadewright.report.work.words import clean, cut_size, piece_called, unparted

_PLAIN = re.compile(r"[\w./+-]+")
_BLANKS_TOO = re.compile(r"[\w./+ -]+")

_LONGEST_NAME = 40


def companion_data(account: Account) -> dict[str, Any]:
    """Everything the page shows but its drawings. Steps go by their numbers in the order of work,
    panels by those on their slips, which a plan that goes on keeps, shades by theirs in the plan,
    drops and pieces by their places in these lists."""
    plan = account.plan
    order = list(steps(account.job, account.lays))
    of_drop = {
        drop_name(drop.drop): [panel.number for panel in drop.panels]
        for lay in account.lays
        for drop in lay.drops
    }
    return {
        "mark": mark(plan),
        "format": SAVED_FORMAT,
        "job": clean(plan.job),
        "file": _file_name(plan.job),
        "first": first_of_all(account.job),
        "short": SHORT_CAUTION,
        "cautions": CAUTIONS,
        "advice": [
            unparted(clean(text))
            for text in (*account.going_on.said, *account.advice[int(account.job.children) :])
        ],
        "pieces": [_piece(account, lay) for lay in account.lays],
        "drops": list(_drops(account, order)),
        "steps": [
            _step(account, step, picture, of_drop[drop_name(step.drop)])
            for step, picture in zip(order, cut_pictures(account, order), strict=True)
        ],
        "panels": list(_panels(account)),
        "shades": [account.names.of(shade.id) for shade in plan.shades],
    }


def _piece(account: Account, lay: PieceLay) -> dict[str, Any]:
    heading, laid = heading_of(account.job, lay)
    return {
        "name": piece_called(lay.use),
        "heading": unparted(heading),
        "laid": unparted(laid),
        "length": unparted(account.job.tape.long(lay.use.length)),
    }


def _drops(account: Account, order: Sequence[Step]) -> Iterator[dict[str, Any]]:
    """The drops in the order of work, each with its steps."""
    before, typed = cut_before(account.plan), _typed(account.plan)
    by_drop: dict[DropName, list[int]] = {}
    for step in order:
        by_drop.setdefault(drop_name(step.drop), []).append(step.number)
    for place, lay in enumerate(account.lays):
        alike = alike_said(lay)
        for drop in lay.drops:
            name = drop_name(drop.drop)
            yield {
                "piece": place,
                "number": drop.drop.number,
                "length": unparted(account.job.tape.short(drop.drop.end - drop.drop.start)),
                "name": clean("/".join(map(str, name))),
                "typed": typed[name][0],
                "listed": typed[name][1],
                "steps": by_drop[name],
                "before": name in before,
                "alike": alike.get(drop.drop.number, ""),
            }


def _typed(plan: Plan) -> dict[DropName, tuple[str, bool]]:
    """What names each drop after `--done`: the shortest that no other drop goes by, and whether it
    may stand in a list with others."""
    names = [drop_name(drop) for drop in plan.drops]
    numbers = Counter(number for _, _, number in names)
    pieces = Counter((piece, number) for _, piece, number in names)
    found = {}
    for cloth, piece, number in names:
        text = f"{cloth}/{piece}/{number}"
        if numbers[number] == 1:
            text = f"{number}"
        elif pieces[piece, number] == 1:
            text = f"{piece}/{number}"
        listed = _PLAIN.fullmatch(text) is not None
        if not listed:
            # Double quotes hold blanks in any shell; what else needs quoting is quoted as on Unix.
            text = f'"{text}"' if _BLANKS_TOO.fullmatch(text) else shlex.quote(text)
        found[cloth, piece, number] = text, listed
    return found


def _step(
    account: Account, step: Step, picture: CutPicture, of_drop: Sequence[int]
) -> dict[str, Any]:
    """A step.

    Args:
        of_drop: the panels of its drop, which are in hand where it touches none.
    """
    tape, cut, lay = account.job.tape, step.cut, step.lay
    along = cut.kind == "across the piece"
    found: dict[str, Any] = {
        "key": step.key,
        "role": cut.role,
        "what": unparted(clean(cut.what)),
        "from": _with_article(clean(cut.measured_from)),
        "at": unparted(tape.long(cut.at) if along else tape.short(cut.at)),
        "makes": [panel.number for panel in cut.makes],
        "touches": cut.touches or of_drop,
        "view": _rounded(picture.view),
        "cut": _rounded(picture.cut),
        "measure": _rounded(picture.measure),
        "whole": picture.whole,
    }
    if along:
        length = lay.use.length
        found["off"] = {
            "cut": unparted(tape.long(cut.at)),
            "left": unparted(tape.long(length - cut.at)),
            "share": round(cut.at / length, 4),
        }
    return found


def _rounded(ends: Sequence[float]) -> list[float]:
    return [round(value, 2) for value in ends]


def _panels(account: Account) -> Iterator[dict[str, Any]]:
    """The panels in the order of work."""
    plan, tape = account.plan, account.job.tape
    numbers = {shade.id: number for number, shade in enumerate(plan.shades, 1)}
    for lay in account.lays:
        for numbered in lay.panels:
            panel, shade = numbered.panel, plan.shade(numbered.panel.shade)
            wide, long = tape.short(shade.finished_width), tape.short(shade.finished_length)
            yield {
                "number": numbered.number,
                "called": numbered.called,
                "shade": numbers[shade.id],
                "part": panel.part,
                "size": unparted(cut_size(tape, panel)),
                "finished": unparted(f"{wide} wide and {long} long"),
                "lies": "railroaded" if panel.railroaded else "up the bolt",
            }


def _file_name(title: str) -> str:
    """What the page's file of ticks is called, in letters that every system takes."""
    words = re.findall(r"[a-z0-9]+", clean(title).casefold())
    return "-".join([*words, "ticks"])[-_LONGEST_NAME:].lstrip("-") + ".json"


def _with_article(place: str) -> str:
    """A place that is measured from, as it follows "from"."""
    return place if place.startswith(("this ", "zero ")) else f"the {place}"
