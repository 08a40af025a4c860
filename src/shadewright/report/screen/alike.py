"""Drops of a piece that are cut alike, one after the other."""

from __future__ import annotations

from itertools import groupby

from shadewright.report.work.lays import DropLay, PieceLay


def alike_said(lay: PieceLay) -> dict[int, str]:
    """A sentence for each drop, by its number, that is cut as the one before it or behind it."""
    said = {}
    for _, run in groupby(lay.drops, key=_cut_as):
        numbers = [drop.drop.number for drop in run]
        if len(numbers) > 1:
            link = "and" if len(numbers) == 2 else "to"
            for number in numbers:
                said[number] = f"Drops {numbers[0]} {link} {numbers[-1]} are cut alike."
    return said


def _cut_as(drop: DropLay) -> tuple[object, ...]:
    """What two drops share that are cut alike: length, and size and place of every panel."""
    start = drop.drop.start
    panels = sorted(
        (p.x, p.y - start, p.across, p.along, p.part, p.railroaded)
        for p in (numbered.panel for numbered in drop.panels)
    )
    return drop.drop.end - start, *panels
