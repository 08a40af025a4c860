"""Words and figures that the terminal and the workbook share."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Mapping, Sequence
from decimal import ROUND_HALF_UP, Decimal
from itertools import pairwise
from typing import TYPE_CHECKING, TypeAlias
from unicodedata import east_asian_width

from shadewright.measure import TICKS, Tape, Ticks, ceil_to, floor_to
from shadewright.trade.buying import spare_length

if TYPE_CHECKING:
    from shadewright.cloth.plan import Goal, Panel, PieceUse, Plan, Shade
    from shadewright.job.model import Job

# What XML 1.0 cannot hold, and what would steer a terminal.
_UNPRINTABLE = re.compile(r"[\x00-\x1f\x7f-\x9f\u2028\u2029\ud800-\udfff\ufffe\uffff]+")

# Copies, and then the place in an opening or the piece of a cloth, and whether it is a lining.
_NAMES_END = re.compile(r"( \d+( to \d+| and \d+|, \d+)*)?(, [^,]{1,16})?( lining)?$")

_CENT = Decimal("0.01")
_MONEY_TOLERANCE = 1e-6


def clean(text: str) -> str:
    """A text of the job on one line, without characters that steer terminals or spoil files."""
    return " ".join(_UNPRINTABLE.sub(" ", text).split())


def brief(text: str, most: int) -> str:
    """The text, cut to `most` signs."""
    return text if len(text) <= most else text[: most - 1].rstrip() + "…"


def brief_name(text: str, most: int) -> str:
    """The name cut to `most` signs, before the end that tells it from the next one."""
    name, end = parted_name(text)
    return brief(name, most - len(end)) + end if len(end) < most else brief(text, most)


def parted_name(text: str) -> tuple[str, str]:
    """A name, and the end that tells it from the next one: ``West bay`` and `` 1, 2 of 3``."""
    end = _NAMES_END.search(text)
    return (text, "") if end is None else (text[: end.start()], end.group())


def capital(text: str) -> str:
    """The text, begun with a capital letter."""
    return text[:1].upper() + text[1:]


def full_width(sign: str) -> bool:
    """Whether a sign is as wide as it is high, as those of East Asia are."""
    return east_asian_width(sign) in "WF"


def money(amount: float) -> str:
    """``1,234.50``; a job has no currency. Half a cent is rounded up, as spreadsheets do."""
    return f"{Decimal(repr(amount)).quantize(_CENT, ROUND_HALF_UP):,.2f}"


def count(number: int, word: str) -> str:
    """``1 shade``, ``3 shades``."""
    return f"{number} {word}" if number == 1 else f"{number} {word}s"


def listed(these: Sequence[str]) -> str:
    """Things one after the other, the last of them after an "and"."""
    *others, last = these
    return f"{', '.join(others)} and {last}" if others else last


def numbers_said(numbers: Iterable[int]) -> str:
    """Ascending numbers: ``5``, ``1 and 2``, ``1 to 4 and 6``; of none, nothing."""
    runs: list[list[int]] = []
    for number in numbers:
        if runs and number == runs[-1][-1] + 1:
            runs[-1].append(number)
        else:
            runs.append([number])
    said = [
        part
        for run in runs
        for part in ([f"{run[0]} to {run[-1]}"] if len(run) > 2 else map(str, run))
    ]
    return listed(said) if said else ""


def cut_size(tape: Tape, panel: Panel) -> str:
    """Width by length of the shade's panel, whichever way it lies."""
    sides = (panel.along, panel.across) if panel.railroaded else (panel.across, panel.along)
    return " × ".join(tape.short(side) for side in sides)


def piece_called(use: PieceUse) -> str:
    """Cloth and piece."""
    return f"{clean(use.cloth)}, {clean(use.piece)}"


def used_of(tape: Tape, use: PieceUse) -> str:
    """How much of a piece on hand is used, and how much is left."""
    used, left = tape.long(use.used), tape.long(use.length - use.used)
    return f"{used} of {tape.long(use.length)} used, {left} left at its end"


def at_least(job: Job, length: Ticks) -> str:
    """A length up to the cutting step, for what must not be less."""
    return job.tape.short(ceil_to(length, job.step))


_WITHIN_LENGTH = re.compile(
    r"(?<=[0-9]) (?=[0-9]+/[0-9]|yd\b|m\b|cm\b|mm\b|in\b)|(?<=[0-9] yd) (?=[0-9])"
)
"""What parts a number from its fraction or its unit, and yards from the inches behind them."""


_PLACES = re.compile(r"\b[0-9]+(?: (?:to|and) [0-9]+)? of [0-9]+\b")
_LONGEST_PLACE = 14


def unparted(text: str) -> str:
    """A text in which no line ends within a length, as between 39 and 3/4, nor within the place of
    a shade, as in 1 and 2 of 2."""
    return _PLACES.sub(_whole_place, _WITHIN_LENGTH.sub("\u00a0", text))


def _whole_place(found: re.Match[str]) -> str:
    """A place of a shade as one word, if that is no longer than a line has room for."""
    said = found.group()
    return said.replace(" ", "\u00a0") if len(said) <= _LONGEST_PLACE else said


def small(job: Job, millimetres: float) -> str:
    """A small distance as the job measures."""
    figure = small_figure(job, millimetres)
    return f"{figure:.1f} mm" if job.metric else f'{figure:.2f}"'


def small_figure(job: Job, millimetres: float) -> float:
    """The figure of a small distance, as fine as it is printed."""
    return round(millimetres, 1) if job.metric else round(millimetres / 25.4, 2)


def small_limit(job: Job, length: Ticks) -> str:
    """A small distance that was asked for, in the unit that `small` has."""
    return f"{length / TICKS['mm']:g} mm" if job.metric else job.tape.short(length)


def has_prices(job: Job, plan: Plan) -> bool:
    """Whether every cloth the plan cuts has a price."""
    return all(job.cloth(piece.cloth).price is not None for piece in plan.pieces)


GOALS: dict[str, str] = {
    "money": "Money",
    "bought": "Cloth bought",
    "shades": "Number of shades",
    "used": "Cloth used",
    "widths": "Different cut widths",
    "gaps": "Gaps, added up",
}


def goal_called(job: Job, goal: str) -> str:
    """A goal in words; what a shade must save is counted in the first, and said with it."""
    said = GOALS[goal]
    counted = counted_for_shades(job) if goal in ("money", "bought") else ""
    return f"{said}, {counted}" if counted else said


def counted_for_shades(job: Job) -> str:
    """That the first goal counts cloth for each shade that is not bought; empty where it does not,
    or counts what a shade costs."""
    known = job.prices is not None or job.make.shade_cost is not None
    if not job.make.extra_shade or (job.priced and known):
        return ""
    return f"with {job.tape.cloth(job.make.extra_shade)} of cloth counted for each shade"


def goal_value(job: Job, goal: str, value: float) -> str:
    """A goal's value as people say it."""
    match goal:
        case "money":
            return money(value)
        case "bought":
            return job.tape.cloth(round(value))
        case "used":
            return job.tape.long(round(value))
        case "gaps":
            return job.tape.short(round(value))
        case _:
            return str(round(value))


def met(goal: Goal) -> bool:
    """Whether nothing can beat this goal, given the ones before it."""
    if goal.goal == "money":
        return goal.value - goal.bound <= _MONEY_TOLERANCE
    return goal.value <= goal.bound


def gap(goal: Goal) -> float:
    """The share of a goal's value that could at most still be saved; 0 where it is met."""
    return 0.0 if met(goal) else (goal.value - goal.bound) / goal.value


def goal_bound(job: Job, goal: Goal) -> str:
    """What no plan can beat. Where that is not reached it is rounded down, so it stays true."""
    if met(goal):
        return goal_value(job, goal.goal, goal.value)
    match goal.goal:
        case "money":
            return money(math.floor(goal.bound * 100) / 100)
        case "used" | "gaps":
            return goal_value(job, goal.goal, floor_to(math.floor(goal.bound), job.step))
        case _:
            return goal_value(job, goal.goal, math.floor(goal.bound))


def verdict(job: Job, plan: Plan) -> str:
    """How good the plan is known to be, in one sentence or two."""
    first = plan.proof.goals[0]
    better = "costs less" if first.goal == "money" else "buys less cloth"
    counted = counted_for_shades(job)
    # Else a plan of more shades and less cloth would seem to cost less than one that is proved.
    proved = f"Proved: no plan for this job {better}{f', {counted}' if counted else ''}."
    if plan.proof.status == "proved":
        return proved
    if met(first):
        return f"{proved} Not every lesser goal is proved."
    return (
        f"Not proved best. No plan for this job can do better than "
        f"{goal_bound(job, first)}{f' {counted}' if counted else ''}, so at most "
        f"{100 * gap(first):.1f}% could still be saved."
    )


def division(job: Job, shades: list[Shade]) -> str:
    """How one opening is divided: ``3 shades, each 47" wide and 78" long, gaps 1/4"``."""
    tape = job.tape
    widths = [s.finished_width for s in shades]
    length = tape.short(shades[0].finished_length)
    if len(shades) == 1:
        return f"1 shade, {tape.short(widths[0])} wide and {length} long"
    if len(set(widths)) == 1:
        sizes = f"each {tape.short(widths[0])} wide and {length} long"
    else:
        sizes = f"{', '.join(map(tape.short, widths))} wide (left to right), {length} long"
    gaps = {b.left - a.left - a.finished_width for a, b in pairwise(shades)}
    told = " and ".join(tape.short(gap) for gap in sorted(gaps))
    return f"{len(shades)} shades, {sizes}, {'gap' if len(shades) == 2 else 'gaps'} {told}"


ShadesByCopy: TypeAlias = "Mapping[tuple[str, int], list[Shade]]"
"""The shades of a plan, left to right, by opening and number of its copy."""


def shades_by_copy(plan: Plan) -> ShadesByCopy:
    """The shades of every copy of every opening, left to right."""
    found: dict[tuple[str, int], list[Shade]] = {}
    for shade in sorted(plan.shades, key=lambda shade: shade.place):
        found.setdefault((shade.opening, shade.copy_), []).append(shade)
    return found


def divisions(job: Job, hung: ShadesByCopy) -> list[tuple[str, str]]:
    """Every opening with the way it is divided; what is divided alike shares a line."""
    alike: dict[str, list[str]] = {}
    for opening in job.openings:
        copies: dict[str, list[int]] = {}
        for copy in range(1, opening.copies + 1):
            shades = hung.get((opening.name, copy), [])
            if shades:
                copies.setdefault(division(job, shades), []).append(copy)
        name = clean(opening.name)
        for told, which in copies.items():
            called = name
            if opening.copies > 1:
                every = len(which) == opening.copies
                called += f" ({_all(opening.copies) if every else _some(which)})"
            alike.setdefault(told, []).append(called)
    return [
        (names[0] if len(names) == 1 else f"{', '.join(names)}, each", told)
        for told, names in alike.items()
    ]


def _all(copies: int) -> str:
    return "both copies" if copies == 2 else f"all {copies} copies"


def _some(copies: list[int]) -> str:
    if len(copies) == 1:
        return f"copy {copies[0]}"
    return f"copies {', '.join(map(str, copies[:-1]))} and {copies[-1]}"


def bolts_said(job: Job, plan: Plan, cloth: str) -> str:
    """What is bought of each bolt of a cloth where there are several, and what is bought to spare;
    empty where there is nothing to say."""
    tape = job.tape
    bolts = [piece for piece in plan.pieces if piece.bought and piece.cloth == cloth]
    said = []
    if len(bolts) > 1:
        said += [f"{bolt.piece} of {tape.cloth(bolt.length)}" for bolt in bolts]
    longest = max((p.along for p in plan.panels if p.cloth == cloth), default=0)
    spare = spare_length(job.cloth(cloth), longest)
    if bolts and spare:
        said.append(f"{tape.long(spare)} of it to spare")
    return ", ".join(said)
