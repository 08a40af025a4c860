"""A job's tables as a program gives them, made into what TOML would have come to.

A program may give tuples for lists and numbers of other libraries, and anything else by mistake.
"""

from __future__ import annotations

import contextlib
from collections.abc import Mapping
from datetime import date, time
from decimal import Decimal
from numbers import Integral, Real

from shadewright.job.limits import DEEPEST, MOST_PROBLEMS
from shadewright.job.problems import FileProblem, JobError, shown

_MOST_DIGITS = 300
"""Of a number: within what a float holds, and shorter than what any reader balks at."""

_HUGE = 10**_MOST_DIGITS


def plain_tables(given: Mapping[object, object], file: str) -> dict[str, object]:
    """The same tables as dicts, lists, texts, numbers and flags.

    Raises:
        JobError: something in them is of another kind, or they lie too deep; every such thing is
            told.
    """
    problems: list[FileProblem] = []
    tables = _table(given, (), problems)
    if problems:
        raise JobError(file, problems)
    return tables


def _table(
    given: Mapping[object, object], where: tuple[object, ...], problems: list[FileProblem]
) -> dict[str, object]:
    found: dict[str, object] = {}
    for key, value in given.items():
        if isinstance(key, str):
            found[key] = _value(value, (*where, key), problems)
        else:
            _refuse(problems, where, f"a key of {type(key).__name__}", "a text for every key")
    return found


def _value(value: object, where: tuple[object, ...], problems: list[FileProblem]) -> object:
    room = len(where) <= DEEPEST
    if getattr(value, "ndim", None) == 0 and hasattr(value, "item"):
        value = value.item()  # a single value of numpy, such as a truth, which is no number
    match value:
        case bool() | str() | date() | time():
            return value
        case Integral() if abs(int(value)) < _HUGE:
            return int(value)
        case Real() | Decimal() if not isinstance(value, Integral):
            with contextlib.suppress(OverflowError, ValueError):
                return float(value)
        case Mapping() if room:
            return _table(value, where, problems)
        case list() | tuple() if room:
            return [_value(each, (*where, i), problems) for i, each in enumerate(value, 1)]
    if isinstance(value, Real):
        _refuse(problems, where, "more", f"a number of at most {_MOST_DIGITS} digits")
    elif value is None:
        _refuse(
            problems, where, "None", "a value, or no such key: it is left out by leaving it out"
        )
    elif room:
        found = type(value).__name__
        _refuse(problems, where, found, "a text, a number, a list or a table")
    else:
        _refuse(problems, where[:3], "more", f"at most {DEEPEST} tables within tables")
    return None


def _refuse(
    problems: list[FileProblem], where: tuple[object, ...], found: str, wanted: str
) -> None:
    if len(problems) <= MOST_PROBLEMS:
        path = ".".join(each if isinstance(each, str) else shown(each) for each in where)
        problems.append(FileProblem(path, found, wanted))
