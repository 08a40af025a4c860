"""Random jobs on little more cloth than they take, as text, from a seed."""

from __future__ import annotations

import random
from dataclasses import dataclass, replace


@dataclass(frozen=True)
class _Tape:
    """Inches of the job in its own unit."""

    metric: bool

    def say(self, inches: float) -> float:
        return round(inches * 2.54, 1) if self.metric else round(inches * 16) / 16


@dataclass(frozen=True)
class _Bay:
    """An opening to be drawn: inches."""

    width: float
    height: float
    copies: int


def long_piece_job(seed: int) -> str:
    """Railroaded or unbroken prints, all cut from one long piece."""
    draw = random.Random(f"long {seed}")
    tape = _Tape(draw.random() < 0.5)
    bays = [_bay(draw) for _ in range(draw.randint(1, 3))]
    runs = draw.choice(("up the bolt", "railroaded", "railroaded"))
    strategy = draw.choice(("continuous", "continuous", "centred", "level"))
    if runs == "up the bolt":
        strategy = draw.choice(("continuous", "continuous", "centred"))
    cloth, usable, down = _cloth(draw, tape, "a", runs, printed=True)
    bays = [_lower(bay, usable - 8) if runs == "railroaded" else bay for bay in bays]
    need = sum(_need(bay, usable, runs, down) for bay in bays)
    piece = _piece(draw, tape, 0, need * draw.choice((1, 1.1, 1.25, 1.5)) + 2, printed=True)
    lines = [*_head(draw, tape, f"long {seed}"), *cloth, *piece]
    lines += _match(draw, strategy)
    for k, bay in enumerate(bays):
        lines += _opening(draw, tape, k, bay, "a")
    return "\n".join(lines)


def pieces_job(seed: int) -> str:
    """One to three pieces of plain or printed cloth, two to four openings, now and then lined."""
    draw = random.Random(f"pieces {seed}")
    tape = _Tape(draw.random() < 0.5)
    bays = [_bay(draw) for _ in range(draw.randint(2, 4))]
    printed = draw.random() < 0.5
    runs = draw.choice(("up the bolt", "up the bolt", "railroaded"))
    runs = runs if printed or draw.random() < 0.4 else "either"
    lining = draw.choice(("", "", "", "", "a", "b"))
    lines = _head(draw, tape, f"pieces {seed}")
    for name in ("a", "b") if lining == "b" else ("a",):
        shown = printed and name == "a"
        lies = runs if name == "a" else "either"
        cloth, usable, down = _cloth(draw, tape, name, lies, printed=shown)
        bays = [_lower(bay, usable - 8) if lies == "railroaded" else bay for bay in bays]
        need = sum(_need(bay, usable, lies, down) for bay in bays)
        need *= draw.choice((1, 1.1, 1.25, 1.5)) * (2 if lining == name == "a" else 1)
        lines += cloth
        count = draw.randint(1, 3)
        shares = [draw.uniform(0.5, 1.5) for _ in range(count)]
        for k, share in enumerate(shares):
            length = need * share / sum(shares) + 3
            lines += _piece(draw, tape, k, length, printed=shown, name=name)
    if lining:
        lines.append(f'[make]\nlining = "{lining}"')
    lines += _match(draw, draw.choice(("level", "level", "centred", "continuous")), printed)
    for k, bay in enumerate(bays):
        lines += _opening(draw, tape, k, bay, "a")
    return "\n".join(lines)


def mirrored_job(seed: int) -> str:
    """An unbroken print over four or five mirrored shades, on a coarse step: few divisions."""
    draw = random.Random(f"mirrored {seed}")
    step = draw.choice((4, 5, 6))
    down, height = draw.choice((6, 8, 10, 14)), draw.choice((14, 20, 24))
    count = draw.choice((4, 4, 5))
    length = draw.choice((2, 3, 4)) * (height + 10)
    return f"""
        title = "mirrored {seed}"
        step = "{step} in"
        [cloth.a]
        width = {draw.choice((36, 40, 45, 48, 54, 60))}
        runs = "{draw.choice(("up the bolt", "up the bolt", "railroaded"))}"
        can_buy = {draw.choice(("true", "false"))}
        repeat_down = {down}
        repeat_across = {draw.choice((9, 12, 15, 18, 20))}
        column_shift = {draw.choice(("0", '"half"', "2"))}
        start = "motif"
        sold_in = "1 in"
        [[cloth.a.piece]]
        name = "piece"
        length = {length}
        start = 0
        [make]
        take_up = 0.5
        square_up = 0
        [match]
        strategy = "continuous"
        centre_on = "{draw.choice(("motif", "between"))}"
        [[opening]]
        name = "bay"
        width = {step * draw.choice((10, 12, 14))}
        height = {height}
        clearance = 0
        gap = 0
        narrowest = 8
        shades = {count}
        widths = "mirrored"
        """


def _bay(draw: random.Random) -> _Bay:
    return _Bay(
        draw.choice((24, 31.5, 40, 48, 62.25, 75, 96)),
        draw.choice((20, 27.5, 36, 42, 54)),
        draw.choice((1, 1, 1, 2)),
    )


def _lower(bay: _Bay, most: float) -> _Bay:
    """The opening no higher than its panels can be across a railroaded bolt."""
    return replace(bay, height=min(bay.height, int(most)))


def _head(draw: random.Random, tape: _Tape, title: str) -> list[str]:
    lines = [f'title = "{title}"', f'units = "{"cm" if tape.metric else "in"}"']
    if draw.random() < 0.3:
        lines.append(f'step = "{"5 mm" if tape.metric else "1/4 in"}"')
    return lines


def _cloth(
    draw: random.Random, tape: _Tape, name: str, runs: str, *, printed: bool
) -> tuple[list[str], float, float]:
    """Lines of a cloth, what is usable of its width, and its repeat; these two in inches."""
    width = draw.choice((118, 137, 140, 150, 152) if tape.metric else (45, 48, 54, 54, 60))
    selvedge = draw.choice((0, 0.5, 1))
    down = draw.choice((6, 9, 12.5, 18, 25.25)) if printed else 0
    lines = [
        f"[cloth.{name}]",
        f"width = {width}",
        f"selvedge = {tape.say(selvedge)}",
        f'runs = "{runs}"',
        f"can_buy = {draw.choice(('true', 'false'))}",
    ]
    if draw.random() < 0.7:
        lines.append(f"price = {draw.choice((10, 18.75))}")
    if printed:
        shift = draw.choice(("0", "0", '"half"', '"half"', str(tape.say(down / 3)), "3"))
        lines += [
            f"repeat_down = {tape.say(down)}",
            f"repeat_across = {tape.say(draw.choice((4.5, 6, 9, 13.5)))}",
            f"column_shift = {shift}",
            f"start = {draw.choice((chr(34) + 'any' + chr(34), chr(34) + 'motif' + chr(34), '2'))}",
        ]
    if draw.random() < 0.1:
        lines.append("shrink_down = 0.03\nshrink_across = 0.015")
    return lines, width / (2.54 if tape.metric else 1) - 2 * selvedge, down


def _need(bay: _Bay, usable: float, runs: str, down: float) -> float:
    """About how much of a roll an opening takes, in inches, with shades as wide as they may be."""
    most = min(usable - 4, 71)
    shades = -(-bay.width // most)
    wide, long = bay.width / shades + 4, bay.height + 5.2
    if runs == "railroaded" or (runs == "either" and bay.width > usable > long):
        return bay.copies * shades * wide / max(usable // long, 1)
    rows = -(-bay.copies * shades // max(usable // wide, 1))
    return rows * (-(-long // down) * down if down else long)


def _piece(
    draw: random.Random, tape: _Tape, k: int, length: float, *, printed: bool, name: str = "a"
) -> list[str]:
    length = max(round(length * 2) / 2, 12)
    lines = [f'[[cloth.{name}.piece]]\nname = "piece {k}"', f"length = {tape.say(length)}"]
    if printed and draw.random() < 0.8:
        lines.append(f"start = {tape.say(draw.choice((0, 1.5, 4, 7.25)))}")
    if draw.random() < 0.3:
        lines.append(f'lot = "{draw.choice("AB")}"')
    flaws = []
    for _ in range(draw.choice((0, 0, 0, 1, 2))):
        at, long = draw.randint(0, int(length) - 4), draw.randint(1, 3)
        said = f"from = {tape.say(at)}, to = {tape.say(at + long)}"
        if draw.random() < 0.6:
            left = draw.randint(0, 38)
            said += f", left = {tape.say(left)}, right = {tape.say(left + draw.randint(1, 6))}"
        flaws.append(f"{{ {said} }}")
    if flaws:
        lines.append(f"flaws = [{', '.join(flaws)}]")
    return lines


def _match(draw: random.Random, strategy: str, printed: bool = True) -> list[str]:
    lines = ["[match]", f'lots = "{draw.choice(("opening", "opening", "job", "none"))}"']
    if printed:
        lines += [
            f'strategy = "{strategy}"',
            f'centre_on = "{draw.choice(("motif", "between"))}"',
            f'anchor = "{draw.choice(("head", "head", "sill", "wall"))}"',
            f'across = "{draw.choice(("job", "job", "opening"))}"',
        ]
    return lines


def _opening(draw: random.Random, tape: _Tape, k: int, bay: _Bay, cloth: str) -> list[str]:
    lines = [
        f'[[opening]]\nname = "{k}"\ncloth = "{cloth}"',
        f"width = {tape.say(bay.width)}\nheight = {tape.say(bay.height)}",
        f"head = {tape.say(draw.choice((0, 0, 7, 82.25)))}\ncopies = {bay.copies}",
        f'widths = "{draw.choice(("equal", "equal", "equal", "mirrored", "free"))}"',
    ]
    if draw.random() < 0.3:
        lines.append(f"shades = {draw.choice(('[1, 3]', '2', '[1, 4]'))}\nnarrowest = 10")
    if draw.random() < 0.2:
        lines.append(f"gap = [{tape.say(0.25)}, {tape.say(1)}]")
    if draw.random() < 0.15:
        lines.append(f'mount = "outside"\noverlap = {tape.say(draw.choice((1, 2)))}')
    return lines
