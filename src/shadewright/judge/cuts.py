"""The judge's rules for the panels that shades are made of: which there are, their cut sizes and
hems, and the way they lie on their cloth."""

from __future__ import annotations

from collections import Counter
from fractions import Fraction

from shadewright.cloth.plan import Panel
from shadewright.job.model import Runs
from shadewright.judge import saying as say
from shadewright.judge.floats import HAIR
from shadewright.judge.sizes import turns
from shadewright.judge.trial import CutPanel, Faults, Trial
from shadewright.measure import nearest


def panels_are_complete(trial: Trial) -> Faults:
    """Every shade has one face, and one lining where shades are lined, each of the right cloth;
    and there are no others."""
    parts = {"face": 1, **({"lining": 1} if trial.job.make.lining else {})}
    found = Counter((panel.shade, panel.part) for panel in trial.plan.panels)
    for shade in trial.plan.shades:
        for part in ("face", "lining"):
            count, wanted = found[shade.id, part], parts.get(part, 0)
            if count != wanted:
                yield f"{say.shade(shade.id)}: has {count} {part} panels, not {wanted}"
    for panel in trial.plan.panels:
        if panel.shade not in trial.shades:
            yield f"{say.panel(panel)}: the plan has no such shade"
    for cut in trial.cuts:
        if cut.panel.cloth != cut.cloth.name:
            yield (
                f'{say.panel(cut.panel)}: its cloth is "{say.name(cut.panel.cloth)}", not '
                f'"{say.name(cut.cloth.name)}"'
            )


def panels_are_cut_to_size(trial: Trial) -> Faults:
    """Every panel is exactly as large as its shade asks, the way it lies."""
    for cut in trial.cuts:
        panel, size = cut.panel, cut.size
        for side, found, wanted in (
            ("across the roll", panel.across, size.across),
            ("along the roll", panel.along, size.along),
        ):
            if found != wanted:
                a, b = say.two(trial.tape, found, wanted)
                yield f"{say.panel(panel)}: is cut {a} {side}, not {b}"


def hems_are_exact(trial: Trial) -> Faults:
    """Hems are what the making takes, to the nearest tick."""
    for cut in trial.cuts:
        panel, size = cut.panel, cut.size
        for hem, found, wanted in (
            ("side", panel.hem_left, size.hem_left),
            ("top", panel.hem_top, size.hem_top),
        ):
            right = nearest(wanted)
            # The other whole tick of two that are about as near will do as well.
            if found != right and abs(found - wanted) > Fraction(1, 2) + HAIR:
                a, b = say.two(trial.tape, found, right)
                yield f"{say.panel(panel)}: its {hem} hem is {a}, not {b}"


def panels_lie_as_cloth_runs(trial: Trial) -> Faults:
    """Every panel lies the way its cloth, or its opening, may run, and all of one part of an
    opening alike; where an opening says how its cloth lies, faces and linings of it are one."""
    first: dict[tuple[tuple[str, int], str], Panel] = {}
    for cut in trial.cuts:
        panel = cut.panel
        runs = _runs(cut)
        if panel.railroaded not in turns(runs):
            yield (
                f'{say.panel(panel)}: lies {_way(panel)}, but "{say.name(cut.cloth.name)}" runs '
                f"{runs}"
            )
        other = first.setdefault((cut.row, "face" if _own(cut) else panel.part), panel)
        if panel.railroaded != other.railroaded:
            yield (
                f"{say.panel(panel)}: lies {_way(panel)}, but {say.panel(other)} lies {_way(other)}"
            )


def cloth_lies_one_way(trial: Trial) -> Faults:
    """Cloth that may run either way lies one way in the whole job; openings that say how their own
    lies apart."""
    first: dict[str, Panel] = {}
    for cut in trial.cuts:
        if cut.cloth.runs != "either" or _own(cut) is not None:
            continue
        other = first.setdefault(cut.cloth.name, cut.panel)
        if cut.panel.railroaded != other.railroaded:
            yield (
                f"{say.panel(cut.panel)}: lies {_way(cut.panel)}, but {say.panel(other)}, of the "
                f"same cloth, lies {_way(other)}"
            )


def _runs(cut: CutPanel) -> Runs:
    return _own(cut) or cut.cloth.runs


def _own(cut: CutPanel) -> Runs | None:
    """What the panel's opening says of how its cloth lies; None where it says nothing, or the panel
    is a lining of another cloth."""
    return cut.opening.runs if cut.cloth.name == cut.opening.cloth else None


def _way(panel: Panel) -> str:
    return "railroaded" if panel.railroaded else "up the bolt"
