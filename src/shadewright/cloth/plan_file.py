"""Reading a plan file: JSON in which every key stands once and every number is one.

What it says is for the judge; here it is only seen that there is one way to read it.
"""

from __future__ import annotations

import json
import math
from collections.abc import Iterator
from pathlib import Path

from shadewright.job.files import bytes_of
from shadewright.job.limits import LARGEST_PLAN
from shadewright.job.problems import JobError, Problem, shown

_WANTED = "a plan written by --json"


def plan_data(file: Path) -> object:
    """The JSON of a plan file.

    Raises:
        JobError: it cannot be read, is too large, is no JSON, or has a key more than once; then
            all of them are told.
    """
    data = bytes_of(file, LARGEST_PLAN, "a plan file")
    try:
        read: object = json.loads(
            data.decode("utf-8"),
            object_pairs_hook=_Pairs,
            parse_constant=_number,
            parse_float=_number,
        )
    except (ValueError, RecursionError) as why:
        said = "it is nested too deeply" if isinstance(why, RecursionError) else str(why)
        raise JobError(str(file), [Problem("", f"no JSON ({said})", _WANTED)]) from why
    repeated = list(_repeated(read))
    if repeated:
        raise JobError(str(file), repeated)
    return read


class _Pairs(dict[str, object]):
    """A JSON object that remembers which keys it was given more than once."""

    def __init__(self, pairs: list[tuple[str, object]]) -> None:
        super().__init__(pairs)
        self.repeated: list[str] = []
        if len(self) < len(pairs):
            seen: set[str] = set()
            for key, _ in pairs:
                if key in seen and key not in self.repeated:
                    self.repeated.append(key)
                seen.add(key)


def _number(text: str) -> float:
    number = float(text)
    if not math.isfinite(number):
        raise ValueError(f"{text} is no JSON number that can be reckoned with")
    return number


def _repeated(read: object) -> Iterator[Problem]:
    """Every key that stands more than once in its object, and where that is."""
    todo: list[tuple[str, object]] = [("", read)]
    while todo:
        where, value = todo.pop(0)
        if isinstance(value, _Pairs):
            for key in value.repeated:
                yield Problem(where, f"the key {shown(key)} more than once", "every key once")
            todo += [(f"{where}.{key}" if where else key, each) for key, each in value.items()]
        elif isinstance(value, list):
            todo += [(f"{where}[{i}]", each) for i, each in enumerate(value)]
