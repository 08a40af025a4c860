"""What pieces are called that are bought."""

from __future__ import annotations

import re
from functools import lru_cache

BOLT = "bolt"
"""What a plan calls the piece that is bought; where there are several, "bolt 1", "bolt 2" and so
on. No piece on hand can be named so."""

_BOLTS = re.compile(rf"{BOLT}( [1-9][0-9]*)?", re.ASCII)


@lru_cache(maxsize=1024)
def is_bolt(piece: str) -> bool:
    """Whether a piece of this name is one that is bought."""
    return _BOLTS.fullmatch(piece) is not None


def number_of(bolt: str) -> int:
    """The number of a bolt, by its name; that of one that has none is 1."""
    return int(bolt.removeprefix(BOLT) or 1)


def nth_bolt(number: int) -> str:
    """The name of one of several bolts."""
    return f"{BOLT} {number}"
