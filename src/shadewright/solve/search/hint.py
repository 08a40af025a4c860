"""Tell a model a candidate it can start from."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from ortools.sat.python import cp_model

from shadewright.measure import Ticks
from shadewright.solve.packing.drops import CutDrop, CutLane
from shadewright.solve.packing.lanes import Group, LanePacking
from shadewright.solve.packing.lay import length_of
from shadewright.solve.packing.rows import RowPacking
from shadewright.solve.packing.templates import Template, matching
from shadewright.solve.packing.turns import to_node
from shadewright.solve.search.candidate import Candidate, counted
from shadewright.solve.search.model import Model


def add_hint(model: Model, candidate: Candidate) -> None:
    """Hint what the candidate takes, and how its drops fill the templates of the model.

    The solver completes what is left open, and drops what does not fit.
    """
    for row, vars_, chosen in zip(model.taken, model.choice, candidate.chosen, strict=True):
        copies = counted(chosen)
        for taken, var in zip(row, vars_, strict=True):
            model.cp.add_hint(var, copies[taken])
    drops = {part.key: part.drops for part in candidate.parts}
    for part in model.parts:
        here = drops.get(part.key, ())
        if part.empty is not None:
            model.cp.add_hint(part.empty, not here)
        if part.counts is not None:
            rects = Counter(rect for drop in here for lane in drop.lanes for rect in lane.rects)
            for rect, var in part.counts.items():
                model.cp.add_hint(var, rects[rect])
        if isinstance(part.packing, LanePacking):
            _hint_lanes(model.cp, part.packing, here)
        elif isinstance(part.packing, RowPacking):
            _hint_rows(model.cp, part.packing, here)


def _hint_lanes(cp: cp_model.CpModel, packing: LanePacking, drops: tuple[CutDrop, ...]) -> None:
    """Hint how drops fill the templates of a packing, if they do."""
    filled: dict[tuple[int, int, Group], int] = {}
    for drop in drops:
        lanes = sorted(drop.lanes, key=lambda lane: -lane.width)
        found = _template_for(packing.templates, lanes)
        if found is None:
            return
        t, places = found
        if any(rect not in packing.groups for lane in lanes for rect in lane.rects):
            return
        for place, lane in zip(places, lanes, strict=True):
            for rect in lane.rects:
                key = t, place, packing.groups[rect]
                filled[key] = filled.get(key, 0) + 1
    for key, var in packing.counts.items():
        cp.add_hint(var, filled.get(key, 0))


def _template_for(
    templates: list[Template], lanes: Sequence[CutLane]
) -> tuple[int, list[int]] | None:
    """The first template that holds all lanes, and the place in it of each."""
    for t, template in enumerate(templates):
        places = matching(lanes, template, CutLane.fits)
        if places is not None:
            return t, places
    return None


def _hint_rows(cp: cp_model.CpModel, packing: RowPacking, drops: Sequence[CutDrop]) -> None:
    """Hint the stacks of each lane, the rows they make, and the walk along these."""
    roll = packing.roll
    stacks: dict[tuple[int, Ticks, int, int], int] = {}
    rows: dict[tuple[int, Ticks, Ticks], int] = {}
    skips: dict[Ticks, int] = {}
    last: tuple[int, Ticks, Ticks] | None = None
    first = drops[0].phase if drops else None
    at = first or 0
    for drop in drops:
        while at != drop.phase:
            skips[at] = skips.get(at, 0) + 1
            at = next((node for node in roll.nodes if node > at), roll.nodes[0])
        found = _template_for(packing.of.templates, drop.lanes)
        if found is None:
            return
        t, places = found
        for place, lane in zip(places, drop.lanes, strict=True):
            s = packing.of.place(lane)
            if s is not None:
                key = t, at, place, s
                stacks[key] = stacks.get(key, 0) + 1
        length = length_of(roll, drop)
        last = t, at, length
        row = t, at, to_node(roll, at, length)
        if drop is not drops[-1]:
            rows[row] = rows.get(row, 0) + 1
        at = (at + row[2]) % roll.period
    for stack, var in packing.stacks.items():
        cp.add_hint(var, stacks.get(stack, 0))
    for key_, var in packing.rows.items():
        cp.add_hint(var, rows.get(key_, 0))
    for key_, var in packing.last.items():
        cp.add_hint(var, key_ == last)
    for node, var in packing.skips.items():
        cp.add_hint(var, skips.get(node, 0))
    for var in packing.long.variables:
        cp.add_hint(var, 0)
    for node, var in packing.begins.items():
        cp.add_hint(var, node == first)
