"""Tell a model a candidate it can start from."""

from __future__ import annotations

from shadewright.solve.lanes import CutDrop, CutLane, Group, LanePacking, matching
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
        found = _template_for(packing, lanes)
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
        model.cp.add_hint(var, filled.get(key, 0))


def _template_for(packing: LanePacking, lanes: list[CutLane]) -> tuple[int, list[int]] | None:
    """The first template that holds all lanes, and the place in it of each."""
    for t, template in enumerate(packing.templates):
        places = matching(lanes, template, CutLane.fits)
        if places is not None:
            return t, places
    return None
