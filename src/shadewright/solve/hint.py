"""Tell a model a candidate it can start from."""

from __future__ import annotations

from shadewright.solve.lanes import CutDrop, Group, LanePacking, holds
from shadewright.solve.model import Candidate, Model


def add_hint(model: Model, candidate: Candidate) -> None:
    """Hint the candidate's options, and how its drops fill the templates of the model.

    The solver completes what is left open, and drops what does not fit.
    """
    for kind, row, taken in zip(model.problem.kinds, model.choice, candidate.chosen, strict=True):
        copies = dict(taken)
        for option, var in zip(kind.options, row, strict=True):
            model.cp.add_hint(var, copies.get(option, 0))
    for name, packing in model.packings.items():
        if isinstance(packing, LanePacking):
            _hint_lanes(model, packing, candidate.drops[name])


def _hint_lanes(model: Model, packing: LanePacking, drops: tuple[CutDrop, ...]) -> None:
    filled: dict[tuple[int, int, Group], int] = {}
    for drop in drops:
        lanes = sorted(drop.lanes, key=lambda lane: -lane.width)
        widths = tuple(lane.width for lane in lanes)
        t = next((t for t, these in enumerate(packing.templates) if holds(these, widths)), None)
        if t is None:
            return
        for lane, cut in enumerate(lanes):
            for rect in cut.rects:
                key = t, lane, packing.group(rect)
                filled[key] = filled.get(key, 0) + 1
    for key, var in packing.counts.items():
        model.cp.add_hint(var, filled.get(key, 0))
