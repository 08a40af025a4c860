"""Freeing part of a candidate: a few drops, what was cut from them, and cloth to cut it from anew.

Openings all of whose rectangles come from drops that are freed may take any option again;
rectangles of other openings only have to be cut. What they are cut from is a bolt of its own, and
on each piece on hand what the drops that stay leave of it: these lie first.
"""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from shadewright.cloth.stretches import Stretch
from shadewright.job.bolts import BOLT
from shadewright.measure import Ticks
from shadewright.solve.packing.drops import CutDrop
from shadewright.solve.packing.lay import length_of
from shadewright.solve.problem.agreement import agrees
from shadewright.solve.problem.kinds import Kind, Option, Problem, Rect, Roll
from shadewright.solve.problem.supply import Supply
from shadewright.solve.search.candidate import (
    Candidate,
    CutPart,
    counted,
    options_taken,
    placed_part,
)

Where = tuple[int, int]
"""A drop of a candidate: its part, and its place in it."""

Choice = tuple[tuple[tuple[Option, int], ...], ...]
"""For each kind the options taken, and by how many copies."""

Piece = tuple[str, str, Ticks | None]
"""A stretch by what stays the same however much of its start is cut: cloth, piece and end."""


@dataclass(frozen=True)
class Neighbourhood:
    """What is decided anew, and what stays.

    Attributes:
        problem: of what is decided anew: first the openings of `kinds`, then, if any are left, the
            rectangles of others that come from the same drops.
        supply: what it is cut from.
        kinds: places of the kinds that openings are freed of.
        start: the candidate's own answer to it.
        kept_options: what the other openings take, for each kind.
        kept_parts: parts that stay as they are.
        kept_drops: drops that stay on the others.
    """

    problem: Problem
    supply: Supply
    kinds: tuple[int, ...]
    start: Candidate
    kept_options: Choice
    kept_parts: tuple[CutPart, ...]
    kept_drops: Mapping[Piece, tuple[CutDrop, ...]]

    def whole(self, problem: Problem, supply: Supply, answer: Candidate) -> Candidate:
        """A candidate of all with an answer to what is decided anew."""
        chosen: list[Counter[Option]] = [counted(row) for row in self.kept_options]
        for kind, row in zip(self.kinds, answer.chosen, strict=False):
            for taken, copies in row:
                assert taken.option is not None
                chosen[kind][taken.option] += copies
        anew = {_piece(part.stretch): part.drops for part in answer.parts}
        parts = list(self.kept_parts)
        for roll in problem.rolls:
            for stretch in supply.stretches[roll.name]:
                piece = _piece(stretch)
                drops = (*self.kept_drops.get(piece, ()), *anew.get(piece, ()))
                if drops:
                    parts.append(placed_part(supply, roll, stretch, drops))
        rows = [list(row.items()) for row in chosen]
        return Candidate(options_taken(rows, supply), tuple(parts))


def _piece(stretch: Stretch) -> Piece:
    # There is one bolt of a roll, which here and there has another name.
    return stretch.cloth, stretch.piece if stretch.end is not None else BOLT, stretch.end


def neighbourhood(  # noqa: PLR0917
    problem: Problem,
    supply: Supply,
    candidate: Candidate,
    draw: random.Random,
    size: int,
    most: int,
    *,
    bolts_only: bool = False,
) -> Neighbourhood:
    """Some drops of a candidate with much waste, and drops that share openings with them.

    Args:
        size: rectangles that the drops hold together, about.
        most: options of an opening that are looked at; of more, some are drawn.
        bolts_only: whether nothing on hand is cut anew.
    """
    loose = [
        number
        for number, part in enumerate(candidate.parts)
        if part.stretch.end is None or (not bolts_only and _may_be_moved(part.roll, part.stretch))
    ]
    freed = set(_chosen_drops(candidate, loose, draw, size))
    left = Counter(rect for p, i in freed for rect in candidate.parts[p].drops[i].rects)
    kinds, choice, kept = _freed_openings(candidate, left, draw)
    settled = {topic: value for row in kept for option, _ in row for topic, value in option.agreed}
    these = [
        Kind(
            sum(n for _, n in row),
            _some([o for o in problem.kinds[kind].options if agrees(o, settled)], row, draw, most),
        )
        for kind, row in zip(kinds, choice, strict=True)
    ]
    rest = tuple(left.elements())
    if rest:
        some = candidate.options[0][0]
        only = Option((), some.way, (rest,), 0, frozenset())
        these.append(Kind(1, (only,)))
        choice = (*choice, ((only, 1),))
    used = {candidate.parts[p].stretch.cloth for p, _ in freed}
    sub = replace(
        problem.having(these), rolls=tuple(roll for roll in problem.rolls if roll.name in used)
    )
    kept_drops = {
        _piece(candidate.parts[p].stretch): tuple(
            drop for i, drop in enumerate(candidate.parts[p].drops) if (p, i) not in freed
        )
        for p in loose
    }
    cloth = _left_of(sub, supply, kept_drops, bolts_only=bolts_only)
    parts = []
    for p in loose:
        part = candidate.parts[p]
        drops = [part.drops[i] for i in range(len(part.drops)) if (p, i) in freed]
        if drops:
            (roll,) = (roll for roll in sub.rolls if roll.name == part.stretch.cloth)
            (here,) = (s for s in cloth.stretches[roll.name] if _piece(s) == _piece(part.stretch))
            parts.append(placed_part(cloth, roll, here, drops))
    return Neighbourhood(
        sub,
        cloth,
        kinds,
        Candidate(options_taken(choice, cloth), tuple(parts)),
        kept,
        tuple(part for p, part in enumerate(candidate.parts) if p not in loose),
        kept_drops,
    )


def _may_be_moved(roll: Roll, stretch: Stretch) -> bool:
    """Whether drops of a stretch on hand may change places without any getting longer."""
    return roll.period == 1 and not stretch.spots


def _left_of(
    problem: Problem,
    supply: Supply,
    kept: Mapping[Piece, tuple[CutDrop, ...]],
    *,
    bolts_only: bool,
) -> Supply:
    """A bolt of each roll, and what is left of the pieces on hand behind the drops that stay."""
    bolts = Supply.bolts(problem)
    if bolts_only or not supply.on_hand:
        return bolts
    stretches: dict[str, list[Stretch]] = {}
    for roll in problem.rolls:
        shortest = min((rect.along for rect in problem.rects(roll)), default=0)
        stretches[roll.name] = []
        for stretch in supply.stretches[roll.name]:
            if stretch.end is None or not _may_be_moved(roll, stretch):
                continue
            drops = kept.get(_piece(stretch), ())
            start = placed_part(supply, roll, stretch, drops).end if drops else stretch.start
            if start + shortest <= stretch.end:
                stretches[roll.name].append(replace(stretch, start=start))
        stretches[roll.name] += bolts.stretches[roll.name]
    whole = frozenset(name for name, these in stretches.items() if len(these) == 1)
    return Supply(stretches, whole=whole, base=supply.base)


def _some(
    options: Sequence[Option],
    taken: Sequence[tuple[Option, int]],
    draw: random.Random,
    most: int,
) -> tuple[Option, ...]:
    """What is taken, and of the other options as many as there may be."""
    if len(options) <= most:
        # What is taken need not be among them: it may come from a search with more options.
        return tuple(dict.fromkeys([*options, *(option for option, _ in taken)]))
    return tuple(dict.fromkeys([*(option for option, _ in taken), *draw.sample(options, most)]))


def _waste(part: CutPart, place: int) -> int:
    """What a drop wastes; the last one of a piece on hand what is behind it as well."""
    drop, long = part.drops[place], length_of(part.roll, part.drops[place])
    if part.stretch.end is not None and place == len(part.drops) - 1:
        long += max(part.stretch.end - part.end, 0)
    return part.roll.usable * long - sum(r.across * r.along for r in drop.rects)


def _chosen_drops(
    candidate: Candidate, loose: Sequence[int], draw: random.Random, size: int
) -> Iterator[Where]:
    """Drops to take apart: one that wastes much, then those it shares openings with.

    Args:
        loose: parts whose drops may be taken.
    """
    parts = candidate.parts
    open_ = {(p, i): None for p in loose for i in range(len(parts[p].drops))}
    wasted = {(p, i): _waste(parts[p], i) for p, i in open_}
    holding: dict[Rect, list[Where]] = {}
    for p, i in open_:
        for rect in parts[p].drops[i].rects:
            holding.setdefault(rect, []).append((p, i))
    partners: dict[Rect, list[Option]] = {}
    for option, _ in candidate.options:
        for rect, _ in option.demand:
            partners.setdefault(rect, []).append(option)
    held = 0
    seen: list[Rect] = []
    while open_ and held < size:
        where = None
        if seen and draw.random() < 0.7:
            rect = draw.choice(seen)
            option = draw.choice(partners[rect])
            other = draw.choice(option.rects)
            near = [w for w in holding.get(other, ()) if w in open_]
            where = draw.choice(near) if near else None
        if where is None:
            some = list(open_)
            (where,) = draw.choices(some, [wasted[w] + 1 for w in some])
        del open_[where]
        here = list(parts[where[0]].drops[where[1]].rects)
        held += len(here)
        seen += here
        yield where


def _freed_openings(
    candidate: Candidate, left: Counter[Rect], draw: random.Random
) -> tuple[tuple[int, ...], Choice, Choice]:
    """Openings whose rectangles are all among some: their kinds, what they take, and what the
    others take; what is left of the rectangles is left in `left`."""
    rows = [[(t.option, n) for t, n in row if t.option is not None] for row in candidate.chosen]
    freed: dict[int, list[tuple[Option, int]]] = {}
    kept: list[tuple[tuple[Option, int], ...]] = [()] * len(rows)
    order = list(range(len(rows)))
    draw.shuffle(order)
    for kind in order:
        stays = []
        for option, copies in rows[kind]:
            free = min((left[rect] // n for rect, n in option.demand), default=0)
            free = min(free, copies)
            if free:
                for rect, n in option.demand:
                    left[rect] -= n * free
                freed.setdefault(kind, []).append((option, free))
            if free < copies:
                stays.append((option, copies - free))
        kept[kind] = tuple(stays)
    kinds = tuple(sorted(freed))
    return kinds, tuple(tuple(freed[kind]) for kind in kinds), tuple(kept)
