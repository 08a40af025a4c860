"""The judge's rules for where panels and drops lie on the roll."""

from __future__ import annotations

from collections import defaultdict

from shadewright.cloth.plan import Panel
from shadewright.judge import saying as say
from shadewright.judge.overlaps import Area, overlapping, side_by_side
from shadewright.judge.prints import dictated
from shadewright.judge.trial import Faults, Trial
from shadewright.measure import Ticks

_MOST_PAIRS = 500  # panels in each other's way that are told of, for each piece or column


def panels_lie_in_their_drops(trial: Trial) -> Faults:
    """Every panel lies within its drop and within the usable width of its cloth."""
    drops = {(drop.cloth, drop.piece, drop.number): drop for drop in trial.plan.drops}
    usable = {name: cloth.usable for name, cloth in trial.cloths.items()}
    for panel in trial.plan.panels:
        right, end = panel.x + panel.across, panel.y + panel.along
        width = usable.get(panel.cloth)
        if panel.x < 0:
            before = say.long(trial.tape, -panel.x)
            yield f"{say.panel(panel)}: begins {before} left of the usable width"
        if width is not None and right > width:
            a, b = say.two(trial.tape, right, width)
            yield f"{say.panel(panel)}: reaches to {a} across, beyond the usable width, {b}"
        drop = drops.get((panel.cloth, panel.piece, panel.drop))
        if drop is None:
            yield f"{say.panel(panel)}: there is no drop {panel.drop} of its piece"
            continue
        if panel.y < drop.start:
            a, b = say.two(trial.tape, panel.y, drop.start)
            yield f"{say.panel(panel)}: begins at {a}, before its drop {drop.number} does, at {b}"
        if end > drop.end:
            a, b = say.two(trial.tape, end, drop.end)
            yield f"{say.panel(panel)}: ends at {a}, after its drop {drop.number} does, at {b}"


def panels_do_not_overlap(trial: Trial) -> Faults:
    """No two panels take the same cloth."""
    pieces = defaultdict(list)
    for panel in trial.plan.panels:
        pieces[panel.cloth, panel.piece].append(panel)
    for panels in pieces.values():
        areas = [_area(panel) for panel in panels]
        for one, other in overlapping(areas, _MOST_PAIRS):
            across, along = areas[one].shared(areas[other])
            by = f"{say.long(trial.tape, across)} across and {say.long(trial.tape, along)} along"
            yield f"{say.panel(panels[one])} and {say.panel(panels[other])}: they overlap by {by}"


def _area(panel: Panel) -> Area:
    return Area(panel.x, panel.y, panel.across, panel.along)


def drops_are_cut_in_three_stages(trial: Trial) -> Faults:
    """A drop falls into panels by cutting it lengthwise into columns, and each column across."""
    drops = defaultdict(list)
    for panel in trial.plan.panels:
        drops[panel.cloth, panel.piece, panel.drop].append(panel)
    for panels in drops.values():
        for column in _columns(panels):
            areas = [_area(panel) for panel in column]
            # Each of these pairs is a fault: those that overlap as well are told of as such.
            for one, other in side_by_side(areas, _MOST_PAIRS):
                across, along = areas[one].shared(areas[other])
                if across <= 0:
                    yield (
                        f"{say.panel(column[one])} and {say.panel(column[other])}: no lengthwise "
                        f"cut parts them, and a cut across goes through one, for "
                        f"{say.long(trial.tape, along)} of both lies side by side"
                    )


def _columns(panels: list[Panel]) -> list[list[Panel]]:
    """Panels of a drop that no lengthwise cut parts from one another."""
    columns: list[list[Panel]] = []
    edge: Ticks = 0
    for panel in sorted(panels, key=lambda panel: panel.x):
        if not columns or panel.x >= edge:
            columns.append([])
            edge = panel.x
        columns[-1].append(panel)
        edge = max(edge, panel.x + panel.across)
    return columns


def drops_follow_one_another(trial: Trial) -> Faults:
    """Drops are numbered from 1 in cutting order, with gaps only where cloth of the piece is gone;
    they begin after the square-up, do not overlap, end within their piece, and each has panels."""
    lengths = {(piece.cloth, piece.piece): piece.length for piece in trial.plan.pieces}
    filled = {(panel.cloth, panel.piece, panel.drop) for panel in trial.plan.panels}
    gone = {(part.cloth, part.piece) for part in trial.plan.gone}
    for key, drops in trial.drops.items():
        free, before, last = trial.job.make.square_up, "the square-up", 0
        for number, drop in enumerate(drops, 1):
            # A drop of which nothing is left took its number with it.
            wrong = drop.number <= last if key in gone else drop.number != number
            last = drop.number
            if wrong:
                yield f"{say.drop(drop)}: is cut in place {number} of its piece"
            if drop.start < free:
                a, b = say.two(trial.tape, drop.start, free)
                yield f"{say.drop(drop)}: begins at {a}, before the end of {before}, at {b}"
            if drop.end > lengths.get(key, drop.end):
                a, b = say.two(trial.tape, drop.end, lengths[key])
                yield f"{say.drop(drop)}: ends at {a}, beyond its piece, which ends at {b}"
            if (*key, drop.number) not in filled:
                yield f"{say.drop(drop)}: is empty"
            free, before = max(free, drop.end), f"drop {drop.number}"


def drops_keep_to_the_table(trial: Trial) -> Faults:
    """No drop is longer than the table it is laid on, where the job states one."""
    table = trial.job.make.table
    for drop in trial.plan.drops:
        long = drop.end - drop.start
        if table is not None and long > table:
            a, b = say.two(trial.tape, long, table)
            yield f"{say.drop(drop)}: is {a} long, longer than the table, {b}"


def positions_lie_on_the_step(trial: Trial) -> Faults:
    """Whatever a repeat does not dictate lies on the cutting step.

    Motif rows dictate where panels lie along the motif's vertical, and motif columns where they
    lie across it; what is dictated along the roll dictates where drops begin and end, too.
    """
    step = trial.job.step
    axes = {name: dictated(trial, cloth) for name, cloth in trial.cloths.items()}
    for panel in trial.plan.panels:
        for axis, position, words in (("x", panel.x, "across"), ("y", panel.y, "along")):
            if position % step and axis not in axes.get(panel.cloth, ""):
                off = say.off(trial.tape, position)
                yield f"{say.panel(panel)}: its position {words} the roll {off}"
    reached: dict[tuple[str, str, int], set[Ticks]] = defaultdict(set)
    for panel in trial.plan.panels:
        reached[panel.cloth, panel.piece, panel.drop] |= {panel.y, panel.y + panel.along}
    for drop in trial.plan.drops:
        dictates = "y" in axes.get(drop.cloth, "")
        for end, position in (("start", drop.start), ("end", drop.end)):
            if dictates and position not in reached[drop.cloth, drop.piece, drop.number]:
                yield f"{say.drop(drop)}: no panel of it has its {end} there, and motifs dictate it"
            elif not dictates and position % step:
                yield f"{say.drop(drop)}: its {end} {say.off(trial.tape, position)}"
