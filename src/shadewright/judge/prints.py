"""The judge's rules for the print: rows that are level, motifs on centre lines, cloth that runs on.

Heights are along the motif's own vertical, whichever way that lies on the roll.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from fractions import Fraction
from itertools import pairwise

from shadewright.job.model import Cloth
from shadewright.judge import saying as say
from shadewright.judge.sizes import above_head
from shadewright.judge.trial import CutPanel, Faults, Trial
from shadewright.measure import Ticks, nearest


def dictated(trial: Trial, cloth: Cloth) -> str:
    """The directions on the roll in which a cloth's motifs dictate positions: of x and y.

    A lining is laid plain, but on the cloth of faces it follows on from them.
    """
    rows, columns = ("x", "y") if cloth.runs == "railroaded" else ("y", "x")
    strategy = trial.strategies[cloth.name]
    by_rows = cloth.repeat_down is not None and strategy != "plain"
    by_columns = cloth.repeat_across is not None and strategy in ("centred", "continuous")
    return rows * by_rows + columns * by_columns


def _matched(trial: Trial) -> Iterator[CutPanel]:
    """The faces of cloth that is not cut plain."""
    for cut in trial.cuts:
        if cut.panel.part == "face" and trial.strategies[cut.cloth.name] != "plain":
            yield cut


def _unbroken(trial: Trial, cloth: Cloth) -> bool:
    """Whether the print runs on from shade to shade in columns a known way apart."""
    return trial.strategies[cloth.name] == "continuous" and bool(cloth.repeat_across)


def _same_picture(trial: Trial, cloth: Cloth) -> bool:
    """Whether the motif on each face's centre line must stand as high as on every other's."""
    centred = trial.strategies[cloth.name] == "centred" and bool(cloth.repeat_across)
    return centred and not trial.job.match.alternate


# --- rows -----------------------------------------------------------------------------------------


def motifs_are_level(trial: Trial) -> Faults:
    """On matched cloth any two faces show the same motif row at their anchors, to the tick,
    throughout the job or within each copy of an opening, in some column that both can show."""
    groups = defaultdict(list)
    for cut in _matched(trial):
        if cut.cloth.repeat_down is None:
            continue  # stripes are as high everywhere
        row = cut.row if trial.job.match.across == "opening" else None
        # Railroaded, rows lie across the cloth and are the same on every piece; but which column
        # a face is cut from is only known where a motif is.
        by_column = _unbroken(trial, cut.cloth) or _same_picture(trial, cut.cloth)
        apart = "" if cut.panel.railroaded and not by_column else cut.apart
        groups[cut.cloth.name, row, apart].append(cut)
    for (name, *_), cuts in groups.items():
        yield from _uneven(trial, trial.cloths[name], cuts)


def _uneven(trial: Trial, cloth: Cloth, cuts: list[CutPanel]) -> Faults:
    """Rows of faces that are not level with those of most others."""
    down = cloth.repeat_down or 1
    heights: dict[Ticks, list[CutPanel]] = defaultdict(list)
    for cut, height in zip(cuts, _heights(trial, cloth, cuts), strict=True):
        heights[height % down].append(cut)
    allowed = [0] if _same_picture(trial, cloth) else _level_by(cloth)
    models: list[tuple[Ticks, CutPanel]] = []
    for height, these in sorted(heights.items(), key=lambda item: -len(item[1])):
        misses = ((_off(height - other, allowed, down), cut) for other, cut in models)
        out, model = next((miss for miss in misses if miss[0]), (0, None))
        if model is None:
            models.append((height, these[0]))
            continue
        by, way = say.exact(trial.tape, abs(out)), "high" if out > 0 else "low"
        for cut in these:
            yield (
                f"{say.panel(cut.panel)}: its motif rows lie {by} too {way} at "
                f"the {trial.job.match.anchor}, against {say.panel(model.panel)}"
            )


def _level_by(cloth: Cloth) -> list[Ticks]:
    """What level rows may be apart by, within one repeat.

    The motif stands k D lower k columns on, and both columns must lie on one face. A face is no
    wider than the usable width, which holds so many whole columns; where nobody says how far apart
    they are, the next one counts.
    """
    down, shift = cloth.repeat_down or 1, cloth.column_shift
    most = cloth.usable // cloth.repeat_across if cloth.repeat_across else 1
    return sorted({sign * k * shift % down for k in range(most + 1) for sign in (1, -1)})


def _off(apart: Ticks, allowed: list[Ticks], down: Ticks) -> Ticks:
    """By how much rows this far apart miss the nearest allowed; positive if further down."""
    misses = ((apart - each + down // 2) % down - down // 2 for each in allowed)
    return min(misses, key=abs)


def _heights(trial: Trial, cloth: Cloth, cuts: list[CutPanel]) -> list[Ticks]:
    """Of each face's anchor, to compare within one repeat.

    Where the print of faces is unbroken, as it would be in the column that motifs are counted from,
    were the opening's centre line there, which is the same for all faces of an opening; were the
    face's own there, where all show the same picture.
    """
    anchors = [_anchor(trial, cut) for cut in cuts]
    if not _unbroken(trial, cloth) and not _same_picture(trial, cloth):
        return anchors
    across = cloth.repeat_across or 1
    lines = [_centre_line(trial, cut) for cut in cuts]
    first = _a_column(trial, cloth)
    if cloth.runs == "railroaded" and any(cut.apart for cut in cuts):
        first = lines[0]
    return [
        anchor - _columns(line - first, across)[0] * cloth.column_shift
        for anchor, line in zip(anchors, lines, strict=True)
    ]


def _centre_line(trial: Trial, cut: CutPanel) -> Fraction:
    """That which the print is centred on: the opening's, or the face's own."""
    if trial.strategies[cut.cloth.name] == "centred":
        return cut.side + Fraction(cut.shade.finished_width, 2) / cut.size.keep_width
    return cut.centre


def _anchor(trial: Trial, cut: CutPanel) -> Ticks:
    """Where the height that rows are matched at lies along the motif's vertical on the roll."""
    below_top = {
        "head": 0,
        "sill": cut.shade.finished_length,
        # Down to the line that heads are measured from; a top hangs below its head inside, and
        # above it outside.
        "wall": cut.opening.head + above_head(trial.job.make, cut.opening),
    }[trial.job.match.anchor]
    return cut.top + nearest(below_top / cut.size.keep_length)


def motifs_lie_below_anchors(trial: Trial) -> Faults:
    """Where the job says how far a motif centre lies below every anchor, or above where these are
    bottom edges, one does, to the tick, in some column that a face can show; in that of its centre
    line where all faces show the same picture.

    Motif centres lie where the job says: across the roll, and along each piece; along a bolt that
    may begin anywhere from zero of the tape.
    """
    below = trial.job.match.motif_below
    if below is None:
        return
    way = -1 if trial.job.match.anchor == "sill" else 1
    for cut in _matched(trial):
        cloth = cut.cloth
        if cloth.repeat_down is None:
            continue
        (height,) = _heights(trial, cloth, [cut])
        motif = cloth.usable - cloth.motif_at if cloth.runs == "railroaded" else 0
        motif -= way * nearest(below / cut.size.keep_length)
        allowed = [0] if _same_picture(trial, cloth) else _level_by(cloth)
        out = _off(height - motif, allowed, cloth.repeat_down)
        if out:
            by, where = say.exact(trial.tape, abs(out)), "above" if way < 0 else "below"
            yield (
                f"{say.panel(cut.panel)}: no motif lies {say.exact(trial.tape, below)} {where} the "
                f"{trial.job.match.anchor}; the nearest is {by} off"
            )


# --- columns --------------------------------------------------------------------------------------


def motifs_are_centred(trial: Trial) -> Faults:
    """Where motifs are centred, one or the middle between two lies on each face's centre line, or
    on that of the opening where the print runs on from shade to shade; to the tick.

    Up the bolt, motif columns lie across the roll from where the job says one is. Railroaded they
    lie along the piece, from its start if that is known; if not, anywhere, but for all faces alike.
    """
    found = defaultdict(list)
    for cut in _matched(trial):
        if trial.strategies[cut.cloth.name] == "level" or not cut.cloth.repeat_across:
            continue
        found[cut.cloth.name, cut.apart].append((cut, _centre_line(trial, cut)))
    for (name, apart), lines in found.items():
        cloth = trial.cloths[name]
        what = "stripe" if cloth.repeat_down is None else "motif"
        to = f"a {what}"
        if trial.job.match.centre_on == "between":
            to = f"the middle between two {what}s"
        across = cloth.repeat_across or 1
        column = _a_column(trial, cloth)
        if apart and cloth.runs == "railroaded":
            column = lines[0][1]
        of = "its" if trial.strategies[name] == "centred" else "its opening's"
        for cut, line in lines:
            _, out = _columns(line - column, across)
            if _misses(out, line, column):
                by = say.exact(trial.tape, nearest(abs(out)))
                yield f"{say.panel(cut.panel)}: {of} centre line lies {by} beside {to}"


def _columns(apart: Fraction, across: Ticks) -> tuple[int, Fraction]:
    """The whole number of columns nearest to a distance, and how much more it is."""
    number = round(apart / across)
    return number, apart - number * across


def _misses(out: Fraction, *places: Fraction) -> bool:
    """Whether places are out by more than they may: half a tick for each that is no whole tick."""
    return out != 0 and 2 * abs(out) > sum(place.denominator > 1 for place in places)


def _a_column(trial: Trial, cloth: Cloth) -> Fraction:
    """A motif column, or the middle between two, where centre lines may lie; along a piece it is
    counted from its first motif."""
    first = 0 if cloth.runs == "railroaded" else cloth.motif_at
    between = trial.job.match.centre_on == "between"
    return first + (Fraction(cloth.repeat_across or 0, 2) if between else Fraction(0))


# --- print that runs on ---------------------------------------------------------------------------


def print_runs_on(trial: Trial) -> Faults:
    """Where the print is continuous, the faces of an opening show one cloth that runs on behind the
    gaps: what lies between two of them on the roll is what lies between them on the wall, and a
    whole number of columns, each that much lower, and of repeats."""
    rows = defaultdict(list)
    for cut in _matched(trial):
        if _unbroken(trial, cut.cloth):
            rows[cut.row].append(cut)
    for cuts in rows.values():
        cuts.sort(key=lambda cut: cut.shade.place)
        for before, after in pairwise(cuts):
            if before.apart != after.apart:
                continue  # nobody knows how the print of one piece lies to that of the other
            beside, below = _broken(before, after)
            if below or _misses(beside, before.to_centre, after.to_centre):
                by = [
                    f"{say.exact(trial.tape, nearest(abs(off)))} {words[off < 0]}"
                    for off, words in (
                        (beside, ("left", "right")),
                        (Fraction(below), ("high", "low")),
                    )
                    if nearest(abs(off))
                ]
                yield (
                    f"{say.panel(after.panel)}: the print does not run on from "
                    f"{say.shade(before.shade.id)}; it lies {' and '.join(by)} of where it should"
                )


def _broken(before: CutPanel, after: CutPanel) -> tuple[Fraction, Ticks]:
    """By how much the print of a face lies left of where it runs on from the one before, and by how
    much too high; negative the other way."""
    cloth = after.cloth
    across, down = cloth.repeat_across or 1, cloth.repeat_down or 1
    apart = (after.shade.left - before.shade.left) / after.size.keep_width
    columns, beside = _columns(after.side - before.side - apart, across)
    lower = (after.top - before.top - columns * cloth.column_shift) % down
    return beside, min(lower, lower - down, key=abs)
