"""Linings on the cloth of faces: where a print tells the faces where to lie, and linings nothing.

The model lets such a lining begin where a face may, which takes whole periods of the roll. Here it
is laid plain. Linings and faces that are cut alike change places, so that some drops hold linings
only; these come last, each right behind the one before. On a roll of one phase that is never
longer: such a drop gives back what it left unused of its last period.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import replace

from shadewright.measure import Ticks
from shadewright.solve.packing.drops import CutDrop, CutLane
from shadewright.solve.packing.lay import DropOnRoll, lay_out, length_of
from shadewright.solve.problem.kinds import Rect, Roll
from shadewright.solve.search.candidate import in_order


def laid_plain(roll: Roll, drops: Sequence[CutDrop]) -> list[DropOnRoll]:
    """Drops of a roll with their linings laid plain, if that is shorter."""
    as_found = lay_out(roll, drops)
    if not any(rect.plain for rect in _rects(drops)):
        return as_found
    faces, linings = _apart(roll, drops)
    if faces and len(roll.nodes) > 1:
        faces = list(in_order(roll, faces))
    laid = lay_out(roll, faces)
    end = laid[-1].end if laid else roll.lead
    for drop in linings:
        laid.append(_one_after_the_other(drop, end))
        end = laid[-1].end
    return laid if end < as_found[-1].end else as_found


def _rects(drops: Iterable[CutDrop]) -> list[Rect]:
    return [rect for drop in drops for lane in drop.lanes for rect in lane.rects]


def _apart(roll: Roll, drops: Sequence[CutDrop]) -> tuple[list[CutDrop], list[CutDrop]]:
    """The drops with panels that are cut alike exchanged: those with faces, and those without.

    Drops that leave most of their last period unused are the first to be filled with linings.
    """
    linings = Counter(_alike(rect) for rect in _rects(drops) if rect.plain)
    without: set[int] = set()
    unused = [-length_of(roll, drop) % roll.period for drop in drops]
    for place in sorted(range(len(drops)), key=lambda i: (-unused[i], i)):
        asked = Counter(map(_alike, _rects([drops[place]])))
        if unused[place] and asked <= linings:
            linings -= asked
            without.add(place)
    faces = []
    for place, drop in enumerate(drops):
        if place not in without:
            faces.append(_filled(drop, linings))
    return faces, [_all_linings(drops[place]) for place in sorted(without)]


def _alike(rect: Rect) -> Rect:
    """What a lining and a face have in common that can change places."""
    return replace(rect, plain=False)


def _filled(drop: CutDrop, linings: Counter[Rect]) -> CutDrop:
    """The drop with linings as long as there are any, and faces for the rest."""

    def one(rect: Rect) -> Rect:
        alike = _alike(rect)
        plain = linings[alike] > 0
        linings[alike] -= plain
        return replace(alike, plain=plain)

    return CutDrop(tuple(_lane(map(one, lane.rects), lane) for lane in drop.lanes), drop.phase)


def _all_linings(drop: CutDrop) -> CutDrop:
    return CutDrop(
        tuple(_lane((replace(r, plain=True) for r in lane.rects), lane) for lane in drop.lanes),
        drop.phase,
    )


def _lane(rects: Iterable[Rect], like: CutLane) -> CutLane:
    return CutLane(tuple(rects), like.phases)


def _one_after_the_other(drop: CutDrop, start: Ticks) -> DropOnRoll:
    """A drop of linings from a place on, nothing left out in its lanes."""
    places = []
    end = start
    for lane in drop.lanes:
        at = start
        lies = []
        for rect in lane.rects:
            lies.append(at)
            at += rect.along
        places.append(tuple(lies))
        end = max(end, at)
    return DropOnRoll(drop, start, end, tuple(places))
