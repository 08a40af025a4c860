"""What is wrong with a job file: where, what was found there, and what would do."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, time
from difflib import get_close_matches

_LONGEST_SHOWN = 60


@dataclass(frozen=True)
class Problem:
    """One thing to put right.

    Attributes:
        where: table and key, or sheet and cell; empty where the whole file is meant.
        found: what stands there; empty where `where` shows it already (an unknown key).
        wanted: what is allowed.
    """

    where: str
    found: str
    wanted: str

    def __str__(self) -> str:
        said = f"found {self.found}, wanted {self.wanted}" if self.found else self.wanted
        return _printable(f"{self.where}: {said}" if self.where else said)


class JobError(Exception):
    """A job file that cannot be read; carries every problem in it."""

    def __init__(self, file: str, problems: Iterable[Problem]) -> None:
        self.file = file
        self.problems = tuple(problems)
        super().__init__("\n".join(f"{_printable(file)}: {problem}" for problem in self.problems))


def shown(value: object) -> str:
    """A value of a job file as a message quotes it: on one line, not too long."""
    match value:
        case None:
            text = "nothing"
        case str():
            text = json.dumps(value, ensure_ascii=False)
        case bool():
            text = str(value).lower()
        case date() | time():
            text = f"the date or time {value}"
        case Mapping():
            text = "a table"
        case list() if any(isinstance(item, (list, Mapping)) for item in value):
            text = "a list"
        case list():
            text = f"[{', '.join(shown(item) for item in value)}]"
        case _:
            text = str(value)
    return text if len(text) <= _LONGEST_SHOWN else text[:_LONGEST_SHOWN] + "…"


def _printable(text: str) -> str:
    """A text on one line, without control characters, which could steer a terminal."""
    return "".join(sign if sign.isprintable() else f"\\u{ord(sign):04x}" for sign in text)


def one_of(words: Iterable[str]) -> str:
    """``"left", "right" or "auto"``."""
    *others, last = (shown(word) for word in words)
    return f"{', '.join(others)} or {last}" if others else last


def did_you_mean(word: str, known: Iterable[str], likeness: float = 0.5) -> str:
    """``; did you mean width?`` where one of the known words is near; else nothing."""
    near = _nearest(word, known, likeness)
    return f"; did you mean {near}?" if near else ""


def _nearest(word: str, known: Iterable[str], likeness: float) -> str | None:
    plain = {candidate.casefold(): candidate for candidate in known}
    near = get_close_matches(word.casefold(), plain, n=1, cutoff=likeness)
    return plain[near[0]] if near else None


def no_such_key(where: str, key: str, known: Iterable[str]) -> Problem:
    """A key that no table of its kind has."""
    names = list(known)
    near = _nearest(key, names, 0.0)
    hint = did_you_mean(key, names) or f"; of {', '.join(names)} the nearest is {near}"
    return Problem(where, "", f"no such key{hint}")
