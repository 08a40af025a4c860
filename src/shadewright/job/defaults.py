"""Lengths a job may leave out, in inch and in metric jobs.

Source: common practice, in the round numbers of either tape.
"""

from __future__ import annotations

from functools import cache

from shadewright.measure import Ticks, parse_length

# Key, then an inch job's length and a metric job's; a range or a list has more than one.
_LENGTHS: dict[str, tuple[tuple[str, ...], tuple[str, ...]]] = {
    "step": (("1/16 in",), ("1 mm",)),
    "sold_in": (("1/8 yd",), ("0.1 m",)),
    "side_fold": (("1 in",), ("25 mm",)),
    "seam": (("1/2 in",), ("12 mm",)),
    "board": (("3/4 in",), ("20 mm",)),
    "rod": (("5/8 in",), ("16 mm",)),
    "board_pocket": (("1 3/4 in",), ("45 mm",)),
    "rod_pocket": (("1 1/2 in",), ("38 mm",)),
    "turn_under": (("1/2 in",), ("12 mm",)),
    "square_up": (("1 in",), ("25 mm",)),
    "stick_short": (("1/4 in",), ("6 mm",)),
    "lift_inset": (("5 in",), ("125 mm",)),
    "guide_inset": (("1 in",), ("25 mm",)),
    "hook_drop": (("1 in",), ("25 mm",)),
    "tail": (("18 in",), ("450 mm",)),
    "knot": (("3 in",), ("75 mm",)),
    "stock.board": (("96 in",), ("2400 mm",)),
    "stock.rod": (("36 in", "48 in", "72 in"), ("900 mm", "1200 mm", "1800 mm")),
    "kerf": (("1/8 in",), ("3 mm",)),
    "cord_reel": (("100 yd",), ("100 m",)),
    "most_sag": (("1/4 in",), ("6 mm",)),
    "extra_shade": (("1 yd",), ("1 m",)),
    "clearance": (("1/4 in",), ("6 mm",)),
    "gap": (("1/4 in", "1/2 in"), ("6 mm", "12 mm")),
    "widest_gap": (("1 in",), ("25 mm",)),
    "least_fold": (("1/2 in",), ("12 mm",)),
    "narrowest": (("18 in",), ("450 mm",)),
    "widest": (("72 in",), ("1800 mm",)),
}


def default_texts(key: str, metric: bool) -> tuple[str, ...]:
    """The default of a key as a person would write it; more than one for a range or a list."""
    return _LENGTHS[key][metric]


@cache
def default_lengths(key: str, metric: bool) -> tuple[Ticks, ...]:
    """The default of a key that holds a range or a list of lengths."""
    return tuple(parse_length(text, "in") for text in default_texts(key, metric))


def default_length(key: str, metric: bool) -> Ticks:
    """The default of a key that holds one length."""
    return default_lengths(key, metric)[0]
