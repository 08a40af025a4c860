"""The judge's rules for the pieces that cloth comes off: which there are, how far they are used,
their flaws and their dye lots."""

from __future__ import annotations

from collections import Counter, defaultdict

from shadewright.cloth.plan import Panel
from shadewright.job.bolts import BOLT, is_bolt
from shadewright.judge import saying as say
from shadewright.judge.overlaps import Area
from shadewright.judge.trial import Faults, Trial


def pieces_are_what_is_used(trial: Trial) -> Faults:
    """Every cloth used comes off pieces on hand, as long as they are, or bolts that are bought;
    nothing is listed that is not used, and nothing used that is not listed."""
    listed = Counter((piece.cloth, piece.piece) for piece in trial.plan.pieces)
    for piece in trial.plan.pieces:
        called = say.piece(piece.cloth, piece.piece)
        if piece.cloth not in trial.cloths:
            yield f'{called}: the job has no cloth "{say.name(piece.cloth)}"'
        on_hand = trial.pieces.get((piece.cloth, piece.piece))
        if piece.bought != is_bolt(piece.piece):
            what = "is bought" if piece.bought else "is not bought"
            yield f"{called}: {what}, and only the {BOLT} ever is"
        elif not piece.bought and on_hand is None:
            yield f"{called}: the job has no such cloth on hand"
        elif on_hand is not None and not piece.bought and piece.length != on_hand.length:
            a, b = say.two(trial.tape, piece.length, on_hand.length)
            yield f"{called}: is said to be {a} long, not {b}"
    for (cloth, name), count in listed.items():
        if count > 1:
            yield f"{say.piece(cloth, name)}: is listed {count} times"
    for cloth, name in sorted(listed.keys() - trial.drops.keys()):
        yield f"{say.piece(cloth, name)}: is listed, but nothing is cut from it"
    for cloth, name in sorted(trial.drops.keys() - listed.keys()):
        yield f"{say.piece(cloth, name)}: is cut, but not listed"


def used_is_the_last_drops_end(trial: Trial) -> Faults:
    """A piece is used up to the end of its last drop."""
    for piece in trial.plan.pieces:
        drops = trial.drops.get((piece.cloth, piece.piece), [])
        end = max((drop.end for drop in drops), default=None)
        if end is not None and piece.used != end:
            a, b = say.two(trial.tape, piece.used, end)
            yield f"{say.piece(piece.cloth, piece.piece)}: {a} is said to be used, not {b}"


def flaws_are_left_out(trial: Trial) -> Faults:
    """No panel lies over any part of a flaw."""
    for panel in trial.plan.panels:
        piece = trial.pieces.get((panel.cloth, panel.piece))
        if piece is None or not piece.flaws:
            continue
        cloth = trial.cloths[panel.cloth]
        # Flaws are measured from the cloth's edge, panels from where it is usable.
        area = Area(panel.x + cloth.selvedge, panel.y, panel.across, panel.along)
        for number, flaw in enumerate(piece.flaws, 1):
            left, right = 0, cloth.width
            if flaw.left is not None and flaw.right is not None:
                left, right = flaw.left, flaw.right
            bad = Area(left, flaw.start, right - left, flaw.end - flaw.start)
            across, along = area.shared(bad)
            if across > 0 and along > 0:
                yield (
                    f"{say.panel(panel)}: lies over {say.long(trial.tape, along)} of flaw {number} "
                    f"of {say.piece(panel.cloth, panel.piece)}"
                )


def lots_are_kept(trial: Trial) -> Faults:
    """The shades of each copy of an opening, or of the whole job, are cut from one dye lot of each
    cloth, unless the job has no such rule; cloth of no stated lot counts as one lot."""
    if trial.job.match.lots == "none":
        return
    lots = {names: piece.lot for names, piece in trial.pieces.items()}
    found: dict[tuple[str, tuple[str, int]], dict[str | None, Panel]] = defaultdict(dict)
    for cut in trial.cuts:
        panel = cut.panel
        whose = cut.row if trial.job.match.lots == "opening" else ("the job", 0)
        found[panel.cloth, whose].setdefault(lots.get((panel.cloth, panel.piece)), panel)
    for (cloth, whose), by_lot in found.items():
        if len(by_lot) > 1:
            names = ", ".join("none stated" if lot is None else say.name(lot) for lot in by_lot)
            one, other, *_ = by_lot.values()
            of = f'"{say.name(whose[0])}" copy {whose[1]}' if whose[1] else whose[0]
            yield (
                f'{of}: is cut from several dye lots of "{say.name(cloth)}" ({names}), as for '
                f"{say.panel(one)} and {say.panel(other)}"
            )
