"""Reading a plan file: JSON in which every key stands once and every number is one.

What it says is for the judge; here it is only seen that there is one way to read it.
"""

from __future__ import annotations

import json
import math
import re
from collections import deque
from collections.abc import Iterator
from itertools import islice
from pathlib import Path

from shadewright.job.files import bytes_of
from shadewright.job.limits import (
    LARGEST_PLAN,
    MOST_BRACKETS,
    MOST_ITEMS,
    MOST_PROBLEMS,
    MOST_TABLES,
)
from shadewright.job.problems import FileProblem, JobError, shown

_WANTED = "a plan written by --json"

_NUMBER = re.compile(r'"(?:[^"\\]|\\.)*+"?|(?P<number>-?(?:NaN|Infinity|\d[\d.eE+-]*+))', re.DOTALL)
"""What looks like a number, and is in no text."""

_MOST_DIGITS = 4_000
"""Of a number; the longest that means anything is far shorter, and reading one takes the square of
its digits."""

_LISTS = 1
"""How deep the lists of a plan lie whose length goes with the number of shades."""


def plan_data(file: Path) -> object:
    """The JSON of a plan file.

    Raises:
        JobError: it cannot be read, is too large, is no JSON, or has a key more than once; then
            all of them are told.
    """
    data = bytes_of(file, LARGEST_PLAN, "a plan file")
    brackets = data.count(b"{") + data.count(b"[")
    if brackets > MOST_BRACKETS:
        found = f"{brackets:,} lists and objects"
        raise JobError(
            str(file), [FileProblem("", found, f"at most {MOST_BRACKETS:,} in a plan file")]
        )
    try:
        read: object = json.loads(
            data.decode("utf-8-sig"),
            object_pairs_hook=_Pairs,
            parse_constant=_decimal,
            parse_float=_decimal,
            parse_int=_whole,
        )
    except (ValueError, RecursionError) as why:
        raise JobError(str(file), [_no_json(data, why)]) from why
    problems = list(islice(_misgiven(read), MOST_PROBLEMS + 1))
    if problems:
        raise JobError(str(file), problems)
    return read


class _NumberError(ValueError):
    """A number that cannot be reckoned with, as it stands in the file."""


def _no_json(data: bytes, why: ValueError | RecursionError) -> FileProblem:
    """Why this is none, and where."""
    match why:
        case RecursionError():
            return FileProblem("", "brackets within brackets without end", _WANTED)
        case UnicodeDecodeError():
            line = data.count(b"\n", 0, why.start) + 1
            return FileProblem(f"line {line}", "no UTF-8 text", _WANTED)
        case json.JSONDecodeError():
            where = f"line {why.lineno}, column {why.colno}"
            return FileProblem(where, f"no JSON ({why.msg})", _WANTED)
        case _NumberError():
            return _no_number(data.decode("utf-8-sig"), str(why))
    return FileProblem("", f"no JSON ({why})", _WANTED)


def _no_number(text: str, number: str) -> FileProblem:
    """A number that cannot be reckoned with: the first of its kind, as reading ended there."""
    tokens = (token for token in _NUMBER.finditer(text) if token["number"])
    at = next(token.start() for token in tokens if token["number"].startswith(number))
    line, column = text.count("\n", 0, at) + 1, at - text.rfind("\n", 0, at)
    found = f"no JSON ({shown(number)} is no number that can be reckoned with)"
    if len(number) > _MOST_DIGITS:
        found = f"a number of {sum(map(str.isdigit, number)):,} digits"
    return FileProblem(f"line {line}, column {column}", found, _WANTED)


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


def _decimal(text: str) -> float:
    number = float(text)
    if len(text) > _MOST_DIGITS or not math.isfinite(number):
        raise _NumberError(text)
    return number


def _whole(text: str) -> int:
    if len(text) > _MOST_DIGITS:
        raise _NumberError(text)
    return int(text)


def _misgiven(read: object) -> Iterator[FileProblem]:
    """Keys that stand more than once in their object, and more of anything than a plan has; each
    with where that is."""
    todo: deque[tuple[str, object, int]] = deque([("", read, 0)])
    while todo:
        where, value, depth = todo.popleft()
        if not isinstance(value, (_Pairs, list)):
            continue
        most = MOST_ITEMS if depth <= _LISTS else MOST_TABLES
        if len(value) > most:
            yield FileProblem(where, f"{len(value):,} entries", f"at most {most:,}")
            return
        if isinstance(value, _Pairs):
            for key in value.repeated:
                at = f"{where}.{shown(key)}" if where else shown(key)
                yield FileProblem(at, "this key more than once", "every key once")
            todo += [
                (f"{where}.{key}" if where else key, each, depth + 1) for key, each in value.items()
            ]
        elif isinstance(value, list):
            todo += [(f"{where}[{i}]", each, depth + 1) for i, each in enumerate(value)]
