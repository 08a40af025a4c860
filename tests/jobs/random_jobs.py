"""Random jobs of every sort, as text, from a seed."""

from __future__ import annotations

import random
import re


def random_job(seed: int) -> str:
    """A job file: inch or metric, one cloth or two, plain and matched, up to six openings."""
    draw = random.Random(seed)
    metric = draw.random() < 0.3
    lines = [f'title = "Random {seed}"', f'units = "{"cm" if metric else "in"}"']
    if draw.random() < 0.3:
        steps = ("2 mm", "5 mm", "1 cm") if metric else ("1/8 in", "1/4 in", "1/2 in")
        lines.append(f'step = "{draw.choice(steps)}"')
    names = draw.choice((("a",), ("a",), ("a", "b")))
    for name in names:
        lines += _cloth(draw, name, metric)
    lines += _make(draw, names, metric)
    for k in range(draw.randint(1, 6)):
        lines += _opening(draw, k, draw.choice(names), metric)
    return "\n".join(lines)


def _length(inches: float, metric: bool) -> float:
    return round(inches * 2.54, 1) if metric else inches


def _cloth(draw: random.Random, name: str, metric: bool) -> list[str]:
    lines = [
        f"[cloth.{name}]",
        f"width = {_length(draw.choice((45, 54, 54, 60, 72, 118)), metric)}",
    ]
    if draw.random() < 0.7:
        lines.append(f"selvedge = {_length(draw.choice((0.25, 0.5, 1)), metric)}")
    if draw.random() < 0.5:
        lines.append(f"repeat_down = {_length(draw.choice((4.5, 9, 13.5, 25.25, 27)), metric)}")
        if draw.random() < 0.7:
            lines.append(f"repeat_across = {_length(draw.choice((6, 9, 13.5)), metric)}")
        if draw.random() < 0.5:
            lines.append(f"column_shift = {draw.choice((chr(34) + 'half' + chr(34), '2', '0'))}")
        if draw.random() < 0.15:
            lines.append('runs = "railroaded"')
        start = draw.choice(('"any"', '"motif"', str(_length(3, metric))))
        lines.append(f"start = {start}")
    elif draw.random() < 0.3:
        lines.append('runs = "up the bolt"')
    if draw.random() < 0.7:
        lines.append(f"price = {draw.choice((10, 18.75, 33.33))}")
    if draw.random() < 0.2:
        lines.append("shrink_down = 0.03\nshrink_across = 0.015")
    if draw.random() < 0.3:
        lines.append(f'sold_in = "{draw.choice(("1/4 yd", "1 yd", "0.5 m"))}"')
    return lines


def _make(draw: random.Random, names: tuple[str, ...], metric: bool) -> list[str]:
    lines = ["[make]"]
    if len(names) == 2 and draw.random() < 0.4:
        lines.append(f'lining = "{draw.choice(names)}"')
    if draw.random() < 0.3:
        lines.append("side_folds = 1")
    if draw.random() < 0.3:
        lines.append(f"shade_cost = {draw.choice((1, 4.5, 12))}")
    if draw.random() < 0.2:
        lines.append(f"take_up = {_length(1, metric)}")
    if draw.random() < 0.2:
        lines.append(f"square_up = {_length(draw.choice((0, 2)), metric)}")
    if draw.random() < 0.3:
        lines.append("[match]")
        lines.append(draw.choice(('across = "opening"', 'strategy = "plain"', 'anchor = "head"')))
    return lines


def _opening(draw: random.Random, k: int, cloth: str, metric: bool) -> list[str]:
    width = _length(draw.choice((20, 34.5, 48, 62.3, 75, 96, 118.375, 142, 200)), metric)
    height = _length(draw.choice((24, 36, 42.5, 54, 70, 78)), metric)
    lines = ["[[opening]]", f'name = "opening {k}"', f"width = {width}", f"height = {height}"]
    lines.append(f'cloth = "{cloth}"')
    if draw.random() < 0.3:
        lines.append(f"copies = {draw.randint(1, 3)}")
    if draw.random() < 0.3:
        lines.append(f'mount = "outside"\noverlap = {_length(draw.choice((1, 2.5)), metric)}')
    if draw.random() < 0.2:
        lines.append(f'widths = "{draw.choice(("mirrored", "free"))}"')
    if draw.random() < 0.1:
        lines.append(f"shades = [1, {draw.randint(3, 6)}]")
    if draw.random() < 0.1:
        lines.append(f"gap = {_length(draw.choice((0.25, 0.5)), metric)}")
    if draw.random() < 0.1:
        lines.append('draw = "centre"')
    return lines


def patterned_job(seed: int) -> str:
    """A job on cloth with a repeat: every strategy, anchor and column shift, heads that differ."""
    draw = random.Random(seed)
    metric = draw.random() < 0.25
    down, across = draw.choice((9, 12.5, 18, 25.25, 27)), draw.choice((6, 9, 13.5))
    shift = draw.choice(("0", '"half"', '"half"', "3", "4.5", str(round(down / 3, 2))))
    lines = [
        f'title = "Patterned {seed}"\nunits = "{"cm" if metric else "in"}"\n[cloth.a]',
        f"width = {_length(draw.choice((45, 54, 60, 72)), metric)}",
        f"selvedge = {_length(0.5, metric)}",
        f"repeat_down = {_length(down, metric)}\nrepeat_across = {_length(across, metric)}",
        f"column_shift = {shift}",
        f"start = {draw.choice((chr(34) + 'any' + chr(34), chr(34) + 'motif' + chr(34), '2.5'))}",
        "price = 10",
    ]
    if draw.random() < 0.3:
        lines.append('runs = "railroaded"')
    if draw.random() < 0.4:
        lines.append(f"motif_at = {_length(draw.choice((0, 2, 3.3)), metric)}")
    if draw.random() < 0.15:
        lines.append("shrink_down = 0.03\nshrink_across = 0.015")
    lines += [
        "[match]",
        f'strategy = "{draw.choice(("level", "centred", "continuous"))}"',
        f'centre_on = "{draw.choice(("motif", "between"))}"',
        f'anchor = "{draw.choice(("head", "sill", "wall"))}"',
        f'across = "{draw.choice(("job", "job", "opening"))}"',
        "alternate = true",
    ]
    if draw.random() < 0.1:
        lines.append('[make]\nlining = "a"')
    for k in range(draw.randint(1, 4)):
        width = _length(draw.randint(120, 560) / 4, metric)
        height = _length(draw.choice((20, 30, 36, 41.5, 60)), metric)
        lines.append(f'[[opening]]\nname = "{k}"\nwidth = {width}\nheight = {height}')
        lines.append(f"head = {_length(draw.choice((0, 7, 82.25)), metric)}")
        lines.append(f"copies = {draw.randint(1, 2)}")
        if draw.random() < 0.2:
            lines.append(f'widths = "{draw.choice(("mirrored", "free"))}"')
        if draw.random() < 0.2:
            lines.append(f'mount = "outside"\noverlap = {_length(draw.choice((1, 2.5)), metric)}')
    return "\n".join(lines)


def printed_job(seed: int) -> str:
    """A patterned job on stripes, on bands, with one picture on all shades, or with motifs so far
    below all anchors; every third with cloth on hand, and more to be had."""
    draw = random.Random(seed)
    text = limited_job(seed, patterned_job(seed)) if seed % 3 == 0 else patterned_job(seed)
    text = text.replace("can_buy = false\n", "")
    metric = 'units = "cm"' in text
    sort = draw.choice(("stripes", "bands", "both", "both"))
    dropped = {"stripes": "repeat_down|column_shift", "bands": "repeat_across|column_shift"}
    if sort in dropped:
        text = re.sub(f"^({dropped[sort]}) = .*\n", "", text, flags=re.MULTILINE)
    if draw.random() < 0.7:
        text = text.replace("alternate = true\n", "")
    if draw.random() < 0.5:
        below = _length(draw.choice((0, 4, 6.5)), metric)
        text = text.replace("[match]", f"[match]\nmotif_below = {below}")
    return text


def limited_job(seed: int, text: str | None = None) -> str:
    """A job with cloth on hand: pieces with flaws and dye lots; more may be bought, or not.

    Args:
        text: the job without it; a random one if None.
    """
    draw = random.Random(seed)
    if text is None:
        text = patterned_job(seed) if draw.random() < 0.5 else random_job(seed)
    metric = 'units = "cm"' in text
    names = ["a", "b"] if "[cloth.b]" in text else ["a"]
    lots = draw.choice(("opening", "opening", "job", "none"))
    rule = f'lots = "{lots}"'
    text = text.replace("[match]", f"[match]\n{rule}") if "[match]" in text else text
    lines = [text] if "[match]" in text else [text, "[match]", rule]
    if draw.random() < 0.3:
        lines = [part.replace("[cloth.a]", "[cloth.a]\ncan_buy = false") for part in lines]
    for name in names:
        for k in range(draw.randint(1 if name == "a" else 0, 3)):
            length = draw.choice((30, 60, 90, 140, 200, 300, 420))
            lines.append(f'[[cloth.{name}.piece]]\nname = "piece {k}"')
            lines.append(f"length = {_length(length, metric)}")
            if draw.random() < 0.7:
                lines.append(f"start = {_length(draw.choice((0, 2, 5.5)), metric)}")
            if draw.random() < 0.5:
                lines.append(f'lot = "{draw.choice("AB")}"')
            flaws = [_flaw(draw, length, metric) for _ in range(draw.choice((0, 0, 1, 1, 2)))]
            if flaws:
                lines.append(f"flaws = [{', '.join(flaws)}]")
    return "\n".join(lines)


def _flaw(draw: random.Random, length: int, metric: bool) -> str:
    start = draw.randint(0, length - 8)
    ends = f"from = {_length(start, metric)}, to = {_length(start + draw.randint(1, 8), metric)}"
    if draw.random() < 0.5:
        return f"{{ {ends} }}"
    left = draw.randint(0, 38)
    across = f"left = {_length(left, metric)}, right = {_length(left + draw.randint(1, 6), metric)}"
    return f"{{ {ends}, {across} }}"
