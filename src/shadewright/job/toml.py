"""A job's tables from TOML text, and where in it each stands."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Callable, Mapping
from typing import Any

from shadewright.job.limits import DEEPEST, LONGEST_WORD, MOST_KEY_PARTS
from shadewright.job.problems import FileProblem, JobError, shown
from shadewright.job.source import KeyPath, Source

# What TOML is made of, as far as it matters how much of it there is. Texts and comments are passed
# over. A text that does not end goes on to the end of its line or of the file, and no part of it is
# looked at twice: the reader will complain of it.
_TOKEN = re.compile(
    r'"""(?:[^"\\]|\\.|"(?!""))*+(?:""")?'
    r"|'''(?:[^']|'(?!''))*+(?:''')?"
    r'|"(?:[^"\\\n]|\\.)*+"?'
    r"|'[^'\n]*+'?"
    r"|#[^\n]*+"
    r"|(?P<open>[\[{])|(?P<close>[\]}])|(?P<end>[=,\n])|(?P<dot>\.)|(?P<word>[\w+-]++)|.",
    re.DOTALL,
)

_LONGEST_BARE_KEY = 60


def toml_source(data: bytes, file: str) -> Source:
    """Take a job's tables from TOML.

    Raises:
        JobError: it is no TOML, or more than any job needs.
    """
    try:
        text = data.decode("utf-8-sig")  # some editors begin a file with a byte order mark
    except UnicodeDecodeError as why:
        line = data.count(b"\n", 0, why.start) + 1
        raise _refused(file, "this is no UTF-8 text", f"line {line}") from None
    _see_measure(text, file)
    try:
        tables = tomllib.loads(text)
    except ValueError as why:  # TOMLDecodeError, and a date's own for a 31st of February
        said = re.fullmatch(r"(.*) \(at (.*)\)", str(why), re.DOTALL)
        reason, where = said.groups() if said else (str(why), "")
        raise _refused(file, f"this is no TOML: {reason}", where) from None
    return tables_source(tables)


def tables_source(tables: Mapping[str, object]) -> Source:
    """Take a job from tables such as TOML comes to."""
    return Source(tables, _places(tables))


def _refused(file: str, wanted: str, where: str = "") -> JobError:
    return JobError(file, [FileProblem(where, "", wanted)])


def _see_measure(text: str, file: str) -> None:
    """Refuse what the reader takes very long for, or more memory than there is."""
    depth = dots = 0
    for token in _TOKEN.finditer(text):
        match token.lastgroup:
            case "open":
                depth, dots = depth + 1, 0
            case "close":
                depth, dots = max(depth - 1, 0), 0
            case "end":
                dots = 0
            case "dot":
                dots += 1
        wanted = ""
        if depth > DEEPEST:
            wanted = f"at most {DEEPEST} brackets within brackets"
        elif dots >= MOST_KEY_PARTS:
            wanted = f"a key of at most {MOST_KEY_PARTS} parts with dots between"
        elif token["word"] and len(token["word"]) > LONGEST_WORD:
            wanted = f"a key or a number of at most {LONGEST_WORD} letters or digits"
        if wanted:
            line = text.count("\n", 0, token.start()) + 1
            column = token.start() - text.rfind("\n", 0, token.start())
            raise _refused(file, f"wanted {wanted}", f"line {line}, column {column}")


def _places(tables: Mapping[str, object]) -> Callable[[KeyPath], str]:
    def named(heading: str, path: KeyPath) -> str:
        """A heading that occurs more than once, with its number and, if it has one, its name."""
        table: Any = tables
        for part in path:
            table = table[part]
        name = table.get("name")
        said = f" {shown(name)}" if isinstance(name, str) else ""
        return f"{heading} {int(path[-1]) + 1}{said}"

    def place(path: KeyPath) -> str:
        match path:
            case ("opening", int(), *keys):
                head = named("[[opening]]", path[:2])
            case ("cloth", str(name), "piece", int(), *keys):
                head = named(f"[[cloth.{_key(name)}.piece]]", path[:4])
            case ("cloth", str(name), *keys) if _is_table(tables, path[:2]):
                head = f"[cloth.{_key(name)}]"
            case ("cloth" | "make" | "prices" | "match" | "fit" as table, *keys):
                head = f"[{table}]"
            case (str(key),) if _is_table(tables, path):
                head, keys = f"[{_key(key)}]", []
            case (str(key),) if key == "opening" or _is_list_of_tables(tables.get(key)):
                head, keys = f"[[{_key(key)}]]", []
            case _:
                head, keys = "", list(path)
        return f"{head} {_keys(keys)}".strip()

    return place


def _keys(keys: list[str | int]) -> str:
    """Dotted keys, and the items of lists by their number: ``stock.board``, ``flaws 1 from``."""
    text = ""
    for i, key in enumerate(keys):
        if isinstance(key, int):
            text += f" {key + 1}"
        else:
            text += ("" if i == 0 else " " if isinstance(keys[i - 1], int) else ".") + _key(key)
    return text


def _key(key: str) -> str:
    plain = len(key) <= _LONGEST_BARE_KEY and re.fullmatch(r"[A-Za-z0-9_-]+", key)
    return key if plain else shown(key)


def _is_table(tables: Mapping[str, object], path: KeyPath) -> bool:
    value: object = tables
    for part in path:
        value = value.get(str(part)) if isinstance(value, Mapping) else None
    return isinstance(value, Mapping)


def _is_list_of_tables(value: object) -> bool:
    return isinstance(value, list) and any(isinstance(item, Mapping) for item in value)
