"""Damage for texts, bytes and trees of data: what people, programs and disks do to files.

Everything is drawn from a generator with a seed, and nothing here knows what the files mean.
"""

from __future__ import annotations

import json
import random
from collections.abc import Callable, Iterator, Mapping
from typing import Any


class Raw(str):
    """A value that is written into a file as it stands, whatever the format makes of it."""

    __slots__ = ()


NUMBERS: tuple[float, ...] = (
    0, 1, 2, -1, -0.0, 0.1, 0.5, 3.7, 13, 54, 1000, 1001, 65536, 2**31, 2**63, 10**18,
    10**30, -(2**63), 1e-9, 5e-324, 1e9, 1e16, 1e308, -1e308, 0.1 + 0.2, 12345.678901234567,
    float("nan"), float("inf"), float("-inf"),
)  # fmt: skip

LENGTHS = (
    "5' 2-3/8\"", "62 3/8", "62 3/8 in", "5 ft 2 3/8 in", "1.58 m", "158 cm", "1 580 mm",
    "2 yd 4 in", "0 in", "-3 in", "1/0 in", "0/4", "1 1/2 1/2", "3/8/2", "5 furlong", "1e5 ft",
    "1000 m", "1001 m", "0.0000001 mm", "1/64 in", "1/63 in", "½ in", "62½", "62 3⁄8", "٣ in",
    "5’ 2”", "5''", "in", "5 in in", "3 m 2 in", "+4 in", "4,5 cm", "1_000 mm", "0x1F in",
    "nan in", "inf", "9" * 300, "2 to 5", "5 to 2", "2-5", "2 - 5 in", "to", "1 to",
    "1 to 1 to 1", "-1 to 2", "0 to 0", "3 in to 1 m",
)  # fmt: skip

WORDS = (
    "in", "ft", "yd", "mm", "cm", "m", "up the bolt", "railroaded", "either", "half", "any",
    "motif", "between", "plain", "level", "centred", "continuous", "alternate", "job", "opening",
    "none", "head", "sill", "wall", "inside", "outside", "equal", "mirrored", "free", "left",
    "right", "centre", "auto", "computed", "bolt", "yes", "no", "oak", "white oak", "7 oz/yd^2",
    "200 g/m^2", "1e9 kg/m^2", "0.018 in", "9 GPa", "1.2e6 psi", "3 m/s", "1/0 oz/yd^2", "oz",
    "Level", " LEVEL ", "midle",
)  # fmt: skip

TEXTS = (
    "", " ", "\t", "\n", "a\nb", "\r", "\x00", "\x07", "\x1b[31mred", "\x7f", "\x85", "\u2028",
    "\u200b", "na\u200bme", "\u202egnitsil", "\u2066x", "\ufeff", "\u00ad", "\u3164", "\ufe0f",
    "\ue000", "\uffff", "\U000e0041", "🪟", "👩\u200d🔧", "e\u0301\u0301", "ﬁ", "İ", "ß", "שלום",
    "日本", "a" * 200, "a" * 201, "x" * 40_000, "é" * 200, "=1+1", "+1", "-1", "@A1",
    "=HYPERLINK(\"x\")", "'", '"', '"""', "\\", "\\u0000", "%s %d %(a)s", "{0} {x}", "{",
    "<b>&amp;</b>", "]]>", "#eval(1)", "$x$", "*b* _i_", "../../up", "a/b", "a,b", "a;b", "a:b",
    "bolt", "Cloth row 2", "[[opening]]", "cloth.leaf", "null", "true", "1", "1.0",
)  # fmt: skip

MARKS = (
    "x", "X", "✓", "✔\ufe0f", "yes", "no", "-", "?", "maybe", "x?", "xx", "1", "0", "2", "done",
    "N", "",
)  # fmt: skip

_LETTERS = "\"'[]{}(),.:;=#-+/\\ \t\n0123456789eEaZ_\u200b\u202e\x00é½’”\ufeff"


def number(draw: random.Random) -> float:
    """A number: odd, or of the size that lengths have."""
    roll = draw.random()
    if roll < 0.4:
        return draw.choice(NUMBERS)
    if roll < 0.7:
        return draw.randint(0, 150)
    return round(draw.uniform(0, 150), draw.randint(1, 4))


def value(draw: random.Random, depth: int = 0) -> Any:
    """Any value at all."""
    makers: tuple[Callable[[], Any], ...] = (
        lambda: number(draw),
        lambda: number(draw),
        lambda: draw.choice(LENGTHS),
        lambda: draw.choice(LENGTHS),
        lambda: draw.choice(WORDS),
        lambda: draw.choice(TEXTS),
        lambda: draw.choice((True, False)),
        lambda: Raw("9" * draw.choice((20, 390, 401, 4400))),
        lambda: deep(draw),
        lambda: [value(draw, depth + 1) for _ in range(draw.choice((0, 1, 2, 2, 3, 70)))],
        lambda: {draw.choice(TEXTS): value(draw, depth + 1) for _ in range(draw.randint(0, 3))},
    )
    return draw.choice(makers if depth < 2 else makers[:6])()


def deep(draw: random.Random) -> Raw:
    """Brackets within brackets, closed or not."""
    levels = draw.choice((3, 31, 33, 900, 3000))
    opened, closed = draw.choice((("[", "]"), ('{"a":', "}"), ("{a=", "}")))
    return Raw(opened * levels + "1" + closed * draw.choice((0, levels)))


# --- texts and bytes ----------------------------------------------------------------------------


def damaged_text(draw: random.Random, text: str) -> bytes:
    """A text with some letters or lines changed, and now and then bytes that are no UTF-8."""
    for _ in range(draw.choice((1, 1, 1, 2, 5))):
        text = draw.choice(_TEXT_DAMAGES)(draw, text)
    data = text.encode("utf-8", "surrogatepass")
    if draw.random() < 0.1:
        at = draw.randint(0, len(data))
        data = data[:at] + draw.choice((b"\xff", b"\xc3", b"\xed\xa0\x80", b"\x80abc")) + data[at:]
    return data


def _span(draw: random.Random, text: str) -> tuple[int, int]:
    """Somewhere in a text, mostly short."""
    start = draw.randint(0, len(text))
    return start, min(len(text), start + draw.choice((1, 1, 2, 5, 20, 200)))


def _cut_out(draw: random.Random, text: str) -> str:
    start, end = _span(draw, text)
    return text[:start] + text[end:]


def _put_in(draw: random.Random, text: str) -> str:
    at = draw.randint(0, len(text))
    new = draw.choice((draw.choice(_LETTERS), draw.choice(TEXTS), draw.choice(LENGTHS)))
    return text[:at] + new + text[at:]


def _put_over(draw: random.Random, text: str) -> str:
    start, end = _span(draw, text)
    return text[:start] + "".join(draw.choices(_LETTERS, k=end - start)) + text[end:]


def _twice(draw: random.Random, text: str) -> str:
    start, end = _span(draw, text)
    return text[:end] + text[start:end] * draw.choice((1, 1, 2, 50)) + text[end:]


def _elsewhere(draw: random.Random, text: str) -> str:
    start, end = _span(draw, text)
    rest = text[:start] + text[end:]
    at = draw.randint(0, len(rest))
    return rest[:at] + text[start:end] + rest[at:]


def _cut_off(draw: random.Random, text: str) -> str:
    return text[: draw.randint(0, len(text))]


def _lines(change: Callable[[random.Random, list[str]], object]) -> Callable[..., str]:
    def changed(draw: random.Random, text: str) -> str:
        lines = text.splitlines(keepends=True) or [""]
        change(draw, lines)
        return "".join(lines)

    return changed


def _line_twice(draw: random.Random, lines: list[str]) -> None:
    lines.insert(draw.randint(0, len(lines)), draw.choice(lines))


def _line_gone(draw: random.Random, lines: list[str]) -> None:
    del lines[draw.randrange(len(lines))]


def _lines_swapped(draw: random.Random, lines: list[str]) -> None:
    one, other = draw.randrange(len(lines)), draw.randrange(len(lines))
    lines[one], lines[other] = lines[other], lines[one]


def _part_twice(draw: random.Random, lines: list[str]) -> None:
    start = draw.randrange(len(lines))
    part = lines[start : start + draw.randint(1, 12)]
    at = draw.randint(0, len(lines))
    lines[at:at] = part * draw.choice((1, 1, 3, 40))


_TEXT_DAMAGES = (
    _cut_out,
    _put_in,
    _put_over,
    _twice,
    _elsewhere,
    _cut_off,
    _lines(_line_twice),
    _lines(_line_gone),
    _lines(_lines_swapped),
    _lines(_part_twice),
)


def damaged_bytes(draw: random.Random, data: bytes) -> bytes:
    """Bytes flipped, cut off, overwritten or put in."""
    held = bytearray(data)
    match draw.randrange(4):
        case 0:
            for _ in range(draw.choice((1, 1, 3, 30))):
                held[draw.randrange(len(held))] ^= 1 << draw.randrange(8)
        case 1:
            del held[draw.randint(0, len(held)) :]
        case 2:
            start = draw.randrange(len(held))
            more = draw.choice((1, 4, 100))
            held[start : start + more] = draw.randbytes(more)
        case _:
            start = draw.randint(0, len(held))
            held[start:start] = draw.randbytes(draw.choice((1, 10, 1000)))
    return bytes(held)


# --- trees --------------------------------------------------------------------------------------


def spots(tree: Any) -> Iterator[tuple[Any, Any]]:
    """Every place in a tree of mappings and lists, as what holds it and its key there."""
    keys: Any = list(tree) if isinstance(tree, dict) else range(len(tree))
    for key in keys:
        yield tree, key
        if isinstance(tree[key], (dict, list)):
            yield from spots(tree[key])


def damaged_tree(draw: random.Random, tree: Any) -> None:
    """Change one thing somewhere in a tree."""
    every = list(spots(tree))
    if not every:
        return
    # As likely at the top, where there are few things, as far down, where there are many.
    depth = draw.random()
    held, key = draw.choice(every[: max(1, int(len(every) * depth))])
    here = held[key]
    match draw.randrange(9):
        case 0 | 1:
            held[key] = value(draw)
        case 2 | 3 if isinstance(here, (int, float)):
            held[key] = _near(draw, here)
        case 4:
            del held[key]
        case 5 if isinstance(held, list):
            held[key:key] = [held[key]] * draw.choice((1, 1, 2, 100))
        case 6 if isinstance(held, list):
            draw.shuffle(held)
        case 7 if isinstance(held, dict):
            held[draw.choice(TEXTS)] = held.pop(key)
        case _:
            other, there = draw.choice(every)
            if there in other if isinstance(other, dict) else there < len(other):
                held[key] = _copy(other[there])


def _near(draw: random.Random, here: float) -> float:
    """Another number, often one that could be meant."""
    return draw.choice(
        (
            here + 1, here - 1, -here, 0, here * 2, here * 10, here / 2, here // 2, here / 10,
            here * 0.999, float(here), here * 10**6, here + 0.015625, number(draw),
        )
    )  # fmt: skip


def _copy(tree: Any) -> Any:
    if isinstance(tree, dict):
        return {key: _copy(each) for key, each in tree.items()}
    return [_copy(each) for each in tree] if isinstance(tree, list) else tree


# --- trees as files -----------------------------------------------------------------------------


def as_toml(tree: Mapping[str, Any], head: str = "") -> str:
    """A tree as TOML, with headings for its tables."""
    lines: list[str] = []
    for key, each in sorted(tree.items(), key=lambda pair: _is_tables(pair[1])):
        if not _is_tables(each):
            lines.append(f"{_key(key)} = {_literal(each)}\n")
            continue
        path = head + _key(key)
        for table in each if isinstance(each, list) else [each]:
            lines.append(f"\n[[{path}]]\n" if isinstance(each, list) else f"\n[{path}]\n")
            lines.append(as_toml(table, f"{path}."))
    return "".join(lines)


def _is_tables(each: object) -> bool:
    if isinstance(each, list):
        return bool(each) and all(isinstance(item, dict) for item in each)
    return isinstance(each, dict)


def _key(key: object) -> str:
    text = str(key)
    bare = text.replace("_", "").isalnum() and text.isascii()
    return text if bare else json.dumps(text, ensure_ascii=False)


def _literal(each: Any) -> str:
    match each:
        case Raw():
            return str(each)
        case dict():
            inner = ", ".join(f"{_key(key)} = {_literal(item)}" for key, item in each.items())
            return f"{{{inner}}}"
        case list():
            return f"[{', '.join(map(_literal, each))}]"
        case float() | int():
            return repr(each).lower()
        case _:
            return json.dumps(str(each), ensure_ascii=False)


def as_json(tree: Any) -> str:
    """A tree as JSON; what is raw stands in it as it is."""
    raws: list[str] = []

    def marked(each: Any) -> Any:
        if isinstance(each, Raw):
            raws.append(str(each))
            return f"raw value {len(raws) - 1}."
        if isinstance(each, dict):
            return {key: marked(item) for key, item in each.items()}
        return [marked(item) for item in each] if isinstance(each, list) else each

    text = json.dumps(marked(tree), indent=1, ensure_ascii=False)
    for i, raw in enumerate(raws):
        text = text.replace(f'"raw value {i}."', raw)
    return text
