"""What is wrong with a job file: where, what was found there, and what would do."""

from __future__ import annotations

import json
import re
import unicodedata
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, time
from difflib import get_close_matches

from shadewright.job.limits import MOST_PROBLEMS

_LONGEST_SHOWN = 60

# Control and format characters (of no width, or that turn the direction of what follows), halves of
# surrogate pairs, characters for private use, line ends.
_NOT_SEEN = {"Cc", "Cf", "Cs", "Co", "Zl", "Zp"}

# Others that show nothing though their kind says they do: joiners, fillers, selectors of variants.
_SHOWS_NOTHING = re.compile(
    "[\u034f\u115f\u1160\u17b4\u17b5\u180b-\u180f\u2800\u3164\ufe00-\ufe0f\uffa0\ufdd0-\ufdef"
    "\U000e0100-\U000e01ef]"
)


@dataclass(frozen=True)
class FileProblem:
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
        return printable(f"{self.where}: {said}" if self.where else said)

    def of(self, file: str) -> str:
        """With the name of its file: ``porch.toml: title: ...``, ``porch.xlsx, sheet Job, ...``."""
        joined = ", " if self.where.startswith("sheet ") else ": "
        return f"{printable(file)}{joined}{self}"


class JobError(Exception):
    """A file that cannot be read, or says no job; carries every problem in it."""

    def __init__(self, file: str, problems: Iterable[FileProblem]) -> None:
        self.file = file
        self.problems = tuple(problems)
        lines = [problem.of(file) for problem in self.problems[:MOST_PROBLEMS]]
        if len(self.problems) > MOST_PROBLEMS:
            lines.append(FileProblem("", "", "there is more to put right than this").of(file))
        super().__init__("\n".join(lines))


def shown(value: object) -> str:
    """A value of a job file as a message quotes it: on one line, not too long."""
    match value:
        case None:
            text = "nothing"
        case str():
            text = json.dumps(value[: _LONGEST_SHOWN + 1], ensure_ascii=False)
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


def printable(text: str) -> str:
    """A text on one line, without control characters, which could steer a terminal, and with what
    cannot be seen written out."""
    return "".join(
        f"\\u{ord(sign):04x}" if unseen(sign) or not sign.isprintable() else sign for sign in text
    )


def unseen(text: str) -> bool:
    """Whether a text has a character that shows nothing or spoils the line it stands on: two names
    could look the same, or a name like another text."""
    return (
        any(
            unicodedata.category(sign) in _NOT_SEEN or ord(sign) & 0xFFFE == 0xFFFE for sign in text
        )
        or _SHOWS_NOTHING.search(text) is not None
    )


def one_of(words: Iterable[str]) -> str:
    """``"left", "right" or "auto"``."""
    *others, last = (shown(word) for word in words)
    return f"{', '.join(others)} or {last}" if others else last


def did_you_mean(word: object, known: Iterable[str], likeness: float = 0.5) -> str:
    """``; did you mean width?`` where one of the known words is near; else nothing."""
    near = _nearest(word, known, likeness) if isinstance(word, str) else None
    return f"; did you mean {near}?" if near else ""


def _nearest(word: str, known: Iterable[str], likeness: float) -> str | None:
    word = word[:_LONGEST_SHOWN]  # what likeness costs goes with the length of both
    plain = {candidate.casefold(): candidate for candidate in known}
    near = get_close_matches(word.casefold(), plain, n=1, cutoff=likeness)
    return plain[near[0]] if near else None


def no_such_key(
    where: str, key: str, known: Iterable[str], elsewhere: Sequence[str] = ()
) -> FileProblem:
    """A key that no table of its kind has.

    Args:
        elsewhere: tables of other kinds that have it.
    """
    names = list(known)
    if elsewhere:
        has = "has" if len(elsewhere) == 1 else "have"
        return FileProblem(where, "", f"no such key here; {' and '.join(elsewhere)} {has} it")
    near = _nearest(key, names, 0.0)
    hint = did_you_mean(key, names) or f"; of {', '.join(names)} the nearest is {near}"
    return FileProblem(where, "", f"no such key{hint}")
