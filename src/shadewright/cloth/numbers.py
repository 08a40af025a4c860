"""What drops and panels are called: numbers in the order of work, that stay once they are given.

A plan that goes on from another keeps the numbers of what is cut, and of panels that are cut for
the same shade; slips are pinned on by them. What is cut again for a shade gets a new number.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence

from shadewright.cloth.plan import Drop, Panel, Plan
from shadewright.measure import Ticks

PanelName = tuple[str, str]
"""The shade and the part of it that a panel is cut for."""

_Place = tuple[str, str]


def panel_name(panel: Panel) -> PanelName:
    return panel.shade, panel.part


def strips(panels: Iterable[Panel]) -> list[list[Panel]]:
    """A drop's panels by strips, from the near edge on: connected overlap across the cloth."""
    groups: list[list[Panel]] = []
    reach: Ticks = 0
    for panel in sorted(panels, key=lambda p: (p.x, p.y)):
        if groups and panel.x < reach:
            groups[-1].append(panel)
        else:
            groups.append([panel])
        reach = max(reach, panel.x + panel.across)
    return [sorted(group, key=lambda p: p.y) for group in groups]


def in_order_of_work(plan: Plan) -> list[Panel]:
    """The panels of a plan, piece by piece, drop by drop and strip by strip."""
    by_drop: dict[tuple[str, str, int], list[Panel]] = {}
    for panel in plan.panels:
        by_drop.setdefault((panel.cloth, panel.piece, panel.drop), []).append(panel)
    drops: dict[_Place, list[Drop]] = {}
    for drop in sorted(plan.drops, key=lambda drop: drop.start):
        drops.setdefault((drop.cloth, drop.piece), []).append(drop)
    return [
        panel
        for use in plan.pieces
        for drop in drops.get((use.cloth, use.piece), ())
        for strip in strips(by_drop.get((drop.cloth, drop.piece, drop.number), ()))
        for panel in strip
    ]


def panel_numbers(plan: Plan) -> dict[PanelName, int]:
    """The number of each panel: as the plan says, or in the order of work."""
    if plan.numbers:
        pairs = zip(plan.panels, plan.numbers, strict=True)
        return {panel_name(panel): number for panel, number in pairs}
    return {panel_name(panel): n for n, panel in enumerate(in_order_of_work(plan), 1)}


def kept_numbers(before: Plan, after: Plan, spoilt: Collection[str]) -> list[int]:
    """Numbers for the panels of a plan that goes on from another, in the order it lists them.

    Args:
        spoilt: shades whose panels were cut, and are cut again.
    """
    old = panel_numbers(before)
    free = max(old.values(), default=0)
    found: dict[PanelName, int] = {}
    for panel in in_order_of_work(after):
        name = panel_name(panel)
        if name in old and panel.shade not in spoilt:
            found[name] = old[name]
        else:
            free += 1
            found[name] = free
    return [found[panel_name(panel)] for panel in after.panels]


def kept_drops(before: Plan, after: Plan, done: Collection[tuple[str, str, int]]) -> Plan:
    """A plan that goes on from another, its cut drops called as they were; the others go on from
    there.

    Args:
        done: cloth, piece and number of the drops that are cut.
    """
    cut: dict[_Place, list[Drop]] = {}
    ahead: dict[_Place, list[int]] = {}
    for drop in before.drops:
        here = drop.cloth, drop.piece
        if (*here, drop.number) in done:
            cut.setdefault(here, []).append(drop)
        else:
            ahead.setdefault(here, []).append(drop.number)
    called: dict[tuple[str, str, int], int] = {}
    following: dict[_Place, int] = {}
    for drop in sorted(after.drops, key=lambda drop: drop.start):
        here = drop.cloth, drop.piece
        old = _covering(cut.get(here, ()), drop)
        if old is None:
            first = _first_ahead(cut.get(here, ()), ahead.get(here, ()))
            following[here] = following.get(here, first - 1) + 1
        called[*here, drop.number] = old.number if old else following[here]
    drops = [
        drop.model_copy(update={"number": called[drop.cloth, drop.piece, drop.number]})
        for drop in after.drops
    ]
    panels = [
        panel.model_copy(update={"drop": called[panel.cloth, panel.piece, panel.drop]})
        for panel in after.panels
    ]
    return after.model_copy(update={"drops": drops, "panels": panels})


def _covering(cut: Sequence[Drop], drop: Drop) -> Drop | None:
    """The drop that was cut where this one lies."""
    return next((c for c in cut if c.start <= drop.start and drop.end <= c.end), None)


def _first_ahead(cut: Sequence[Drop], ahead: Sequence[int]) -> int:
    """The number that comes after all that are cut."""
    last = max((drop.number for drop in cut), default=0)
    return min((number for number in ahead if number > last), default=last + 1)
