"""Random jobs that mix all a job may say of its shades, its print, its shop and its table, as text,
from a seed."""

from __future__ import annotations

import random
from dataclasses import dataclass

_DRAWS = ("left", "right", "centre", "auto")


@dataclass(frozen=True)
class _Drawn:
    """What is drawn from, and whether the job is metric."""

    draw: random.Random
    metric: bool

    def one(self, *values: float) -> float:
        """One of some lengths in inches, in the job's own unit."""
        inches = self.draw.choice(values)
        return round(inches * 2.54, 1) if self.metric else inches

    def chance(self, likely: float) -> bool:
        return self.draw.random() < likely

    def flag(self) -> str:
        return self.draw.choice(("true", "false"))


def mixed_job(seed: int) -> str:
    """One to four openings of one cloth or two, with every key that changes what is cut: copies
    that are or are not alike, openings like others, lays of the whole job and of one opening, what
    a shade must save or costs, stripes, bands and prints of both ways, motifs that alternate or lie
    so far below heads, hooks, sills and overlaps, lists of draws, a table, bolts of a length, cloth
    to spare, and cloth on hand."""
    draw = random.Random(f"mixed {seed}")
    drawn = _Drawn(draw, draw.random() < 0.3)
    lines = [f'title = "Mixed {seed}"', f'units = "{"cm" if drawn.metric else "in"}"']
    if drawn.chance(0.3):
        lines.append(f'step = "{"5 mm" if drawn.metric else "1/4 in"}"')
    names = draw.choice((("a",), ("a",), ("a",), ("a", "b")))
    prints = {name: draw.choice(("plain", "stripes", "bands", "both", "both")) for name in names}
    for name in names:
        lines += _cloth(drawn, name, prints[name])
    lines += _make(drawn, names)
    if drawn.chance(0.3):
        lines += _prices(drawn)
    if any(sort != "plain" for sort in prints.values()):
        lines += _match(drawn)
    count = draw.randint(1, 4)
    for k in range(count):
        name = draw.choice(names)
        lines += _opening(drawn, k, name, plain=prints[name] == "plain")
    return "\n".join(lines)


def _cloth(drawn: _Drawn, name: str, sort: str) -> list[str]:
    draw = drawn.draw
    lines = [
        f"[cloth.{name}]",
        f"width = {drawn.one(45, 54, 54, 60, 72, 118)}",
        f"selvedge = {drawn.one(0, 0.5, 1)}",
    ]
    lines += _print(drawn, sort)
    if drawn.chance(0.7):
        lines.append(f"price = {draw.choice((10, 18.75, 33.33))}")
    if drawn.chance(0.25):
        lines.append(f'sold_in = "{draw.choice(("1/4 yd", "1 yd", "0.5 m"))}"')
    if drawn.chance(0.3):
        lines.append(f'bolt = "{draw.choice(("4 yd", "6 yd", "10 yd", "30 yd"))}"')
    if drawn.chance(0.3):
        lines.append(f'spare = "{draw.choice(("1 panel", "1 panel", "1/2 yd", "30 cm"))}"')
    if drawn.chance(0.1):
        lines.append("shrink_down = 0.03\nshrink_across = 0.015")
    if drawn.chance(0.35):
        if drawn.chance(0.1):
            lines.append("can_buy = false")
        for k in range(draw.randint(1, 3)):
            lines += _piece(drawn, name, k)
    return lines


def _print(drawn: _Drawn, sort: str) -> list[str]:
    draw, lines = drawn.draw, []
    if sort == "plain":
        ways = ("up the bolt", "railroaded", "either", "mixed", "mixed")
        return [f'runs = "{draw.choice(ways)}"'] if drawn.chance(0.8) else []
    if sort in ("bands", "both"):
        lines.append(f"repeat_down = {drawn.one(4.5, 9, 12.5, 18, 25.25)}")
    if sort in ("stripes", "both"):
        lines.append(f"repeat_across = {drawn.one(4.5, 6, 9, 13.5)}")
    if sort == "both" and drawn.chance(0.6):
        shift = draw.choice(('"half"', "2", "3"))
        lines.append(f"column_shift = {shift}")
    if drawn.chance(0.3):
        lines.append(f"motif_at = {drawn.one(0, 2, 3.3)}")
    if drawn.chance(0.25):
        lines.append('runs = "railroaded"')
    start = draw.choice(('"any"', '"motif"', "2.5"))
    return [*lines, f"start = {start}"]


def _piece(drawn: _Drawn, name: str, k: int) -> list[str]:
    draw = drawn.draw
    lines = [
        f'[[cloth.{name}.piece]]\nname = "piece {k}"',
        f"length = {drawn.one(40, 60, 90, 140, 200, 300)}",
    ]
    if drawn.chance(0.7):
        lines.append(f"start = {drawn.one(0, 2, 5.5)}")
    if drawn.chance(0.4):
        lines.append(f'lot = "{draw.choice("AB")}"')
    if drawn.chance(0.4):
        start = drawn.one(3, 10, 22)
        flaw = f"from = {start}, to = {start + drawn.one(1, 3)}"
        if drawn.chance(0.5):
            left = drawn.one(0, 10, 30)
            flaw += f", left = {left}, right = {left + drawn.one(1, 4)}"
        lines.append(f"flaws = [{{ {flaw} }}]")
    return lines


def _make(drawn: _Drawn, names: tuple[str, ...]) -> list[str]:
    draw = drawn.draw
    lines = ["[make]", f"hook_drop = {drawn.one(0, 0.5, 1, 1.5)}"]
    if drawn.chance(0.15):
        lines.append(f'lining = "{draw.choice(names)}"')
    if drawn.chance(0.3):
        lines.append("side_folds = 1")
    if drawn.chance(0.35):
        lines.append(f'table = "{draw.choice(("7 ft", "8 ft", "3 m"))}"')
    if drawn.chance(0.6):
        lines.append(f"extra_shade = {drawn.one(0, 9, 36, 72)}")
    if drawn.chance(0.2):
        lines.append(f"shade_cost = {draw.choice((1, 4.5, 12))}")
    if drawn.chance(0.2):
        lines.append(f"square_up = {drawn.one(0, 2)}")
    return lines


def _prices(drawn: _Drawn) -> list[str]:
    every = ("hook = 0.6", "eye = 0.15", "cleat = 1.2", "cord = 0.35", "board = 4.5", "rod = 2.1")
    some = [line for line in every if drawn.chance(0.6)]
    if drawn.chance(0.5) or not some:
        some.append(f"hour = 20\nminutes = {drawn.draw.choice((20, 45, 90))}")
    return ["[prices]", *some]


def _match(drawn: _Drawn) -> list[str]:
    draw = drawn.draw
    lines = [
        "[match]",
        f'strategy = "{draw.choice(("plain", "level", "centred", "centred", "continuous"))}"',
        f'centre_on = "{draw.choice(("motif", "between"))}"',
        f'anchor = "{draw.choice(("head", "head", "sill", "wall"))}"',
        f'across = "{draw.choice(("job", "job", "opening"))}"',
        f"alternate = {drawn.flag()}",
    ]
    if drawn.chance(0.4):
        lines.append(f"motif_below = {drawn.one(0, 4, 6.5)}")
    if drawn.chance(0.4):
        lines.append(f'lots = "{draw.choice(("opening", "job", "none"))}"')
    return lines


def _opening(drawn: _Drawn, k: int, cloth: str, *, plain: bool) -> list[str]:
    draw = drawn.draw
    width = drawn.one(20, 34.5, 48, 62.25, 75, 96, 118.375, 142)
    # As many shades as may well fit, each some 26 in wide.
    about = max(round(width / drawn.one(26)), 1)
    lines = [
        f'[[opening]]\nname = "{k}"\ncloth = "{cloth}"',
        f"width = {width}",
        f"height = {drawn.one(20, 24, 30, 36, 42.5, 54)}",
        f"copies = {draw.choice((1, 1, 2, 3))}",
        f"alike = {drawn.flag()}",
        f'widths = "{draw.choice(("equal", "equal", "equal", "mirrored", "free"))}"',
        f"head = {drawn.one(0, 0, 7, 82.25)}",
    ]
    if plain and drawn.chance(0.25):
        lines.append(f'runs = "{draw.choice(("up the bolt", "railroaded", "either"))}"')
    if k and drawn.chance(0.3):
        lines.append(f'like = "{draw.randrange(k)}"')
    if drawn.chance(0.35):
        lines.append(f'mount = "outside"\noverlap = {drawn.one(1, 2.5)}')
        lines.append(f"overlap_bottom = {drawn.one(0, 1, 3)}")
    elif drawn.chance(0.5):
        lines.append(f"sill_gap = {drawn.one(0.25, 1)}")
    if drawn.chance(0.2):
        words = [draw.choice(_DRAWS) for _ in range(about)]
        lines.append("draw = [" + ", ".join(f'"{word}"' for word in words) + "]")
        lines.append(f"narrowest = {drawn.one(6)}")
    elif drawn.chance(0.6):
        lines.append(f"shades = [1, {about + draw.randint(1, 2)}]\nnarrowest = {drawn.one(8)}")
    if drawn.chance(0.15):
        lines.append(f"gap = [{drawn.one(0.25)}, {drawn.one(1)}]")
    return lines
