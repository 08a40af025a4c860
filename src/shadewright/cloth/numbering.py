"""The numbers that panels go by in the workroom, on slips, in sheets and on drawings.

They count in the order of work. A plan that goes on from another keeps the numbers of that one, for
they stand on slips that are pinned on already, and counts on from the highest.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Literal

from shadewright.cloth.plan import Panel, PanelNumber, Plan

PanelNumbers = dict[tuple[str, Literal["face", "lining"]], int]
"""The numbers of panels, by shade and part."""


def panel_numbers(plan: Plan) -> PanelNumbers:
    """The number of every panel of a plan; those it remembers of panels that are no more come
    too."""
    found = {(each.shade, each.part): each.number for each in plan.numbers}
    last = max(found.values(), default=0)
    for panel in _in_order(plan):
        if (panel.shade, panel.part) not in found:
            last += 1
            found[panel.shade, panel.part] = last
    return found


def remembered(before: Plan, plan: Plan) -> list[PanelNumber]:
    """The numbers that a plan has to remember of the one it goes on from; none where its panels
    come to the same numbers by themselves."""
    old = panel_numbers(before)
    if old == panel_numbers(plan.model_copy(update={"numbers": []})):
        return []
    return [PanelNumber(shade=shade, part=part, number=n) for (shade, part), n in old.items()]


def strips(panels: Sequence[Panel]) -> list[list[Panel]]:
    """A drop's panels grouped by connected overlap across the cloth, from the near edge on."""
    groups: list[list[Panel]] = []
    reach = 0
    for panel in sorted(panels, key=lambda p: (p.x, p.y)):
        if groups and panel.x < reach:
            groups[-1].append(panel)
        else:
            groups.append([panel])
        reach = max(reach, panel.x + panel.across)
    return [sorted(group, key=lambda p: p.y) for group in groups]


def _in_order(plan: Plan) -> Iterator[Panel]:
    """The panels in the order of work: by piece, drop and strip."""
    by_drop: dict[tuple[str, str, int], list[Panel]] = {}
    for panel in plan.panels:
        by_drop.setdefault((panel.cloth, panel.piece, panel.drop), []).append(panel)
    for use in plan.pieces:
        here = (d for d in plan.drops if (d.cloth, d.piece) == (use.cloth, use.piece))
        for drop in sorted(here, key=lambda drop: drop.start):
            for strip in strips(by_drop.get((use.cloth, use.piece, drop.number), [])):
                yield from strip
