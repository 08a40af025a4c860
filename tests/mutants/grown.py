"""Inputs that are grown instead of damaged: files of each kind made up from nothing by hypothesis,
which also makes what fails as small as it can be."""

from __future__ import annotations

import io
import json
from collections.abc import Callable
from functools import cache
from typing import Any

from hypothesis import HealthCheck, Phase, given, seed, settings
from hypothesis import strategies as st
from openpyxl import Workbook, load_workbook
from openpyxl.cell.cell import Cell
from openpyxl.utils.exceptions import IllegalCharacterError

from mutant_kinds import SECONDS, Material, Mutant, fitting_values
from mutating import LENGTHS, MARKS, TEXTS, WORDS, as_toml
from mutating_books import saved
from shadewright.job.sheet_keys import PAIR_SHEETS, ROW_SHEETS

_READING = 2.0
_PLANNING = 1.25 * SECONDS + 2.0

# What TOML and JSON can say, halves of surrogate pairs apart, which no file in UTF-8 holds.
_letters = st.characters(exclude_categories=("Cs",))
_short = tuple(text for text in TEXTS if len(text) <= 201)
_texts = st.one_of(st.text(_letters, max_size=12), st.sampled_from(_short))
_numbers = st.one_of(st.integers(), st.integers(0, 150), st.floats(), st.floats(0, 150))
_plain = st.one_of(_numbers, st.booleans(), _texts, st.sampled_from((*LENGTHS, *WORDS)))
_anything = st.recursive(
    _plain,
    lambda inner: st.one_of(
        st.lists(inner, max_size=4), st.dictionaries(_texts, inner, max_size=4)
    ),
    max_leaves=8,
)


def _table(keys: tuple[str, ...], *must: str) -> st.SearchStrategy[dict[str, Any]]:
    """A table in which some keys have values, mostly of the right kind."""
    fitting = {
        key: st.sampled_from(fitting_values(key)) if fitting_values(key) else _plain
        for key in keys
        if "." not in key
    }
    some = st.fixed_dictionaries(
        {key: fitting[key] for key in must},
        optional={key: each for key, each in fitting.items() if key not in must},
    )
    odd = st.dictionaries(st.one_of(_texts, st.sampled_from(keys)), _anything, max_size=2)
    return st.builds(lambda known, more: {**known, **more}, some, st.one_of(st.just({}), odd))


@cache
def _jobs() -> st.SearchStrategy[dict[str, Any]]:
    cloth = _table(ROW_SHEETS["Cloth"][1:], "width")
    piece = _table(ROW_SHEETS["Pieces"][1:], "length")
    opening = _table(ROW_SHEETS["Openings"], "name", "width", "height")
    cloths = st.builds(
        lambda table, pieces: table | ({"piece": pieces} if pieces else {}),
        cloth,
        st.lists(piece, max_size=2),
    )
    return st.fixed_dictionaries(
        {
            "title": st.one_of(st.just("t"), _texts),
            "cloth": st.dictionaries(
                st.sampled_from(("leaf", "canvas", "c")), cloths, min_size=1, max_size=2
            ),
            "opening": st.lists(opening, min_size=1, max_size=3),
        },
        optional={
            "make": _table(PAIR_SHEETS["Make"]),
            "match": _table(PAIR_SHEETS["Match"]),
            "prices": _table(PAIR_SHEETS["Prices"]),
            "fit": _table(PAIR_SHEETS["Fit"]),
            "units": st.sampled_from(("in", "cm", "mm", "m", "ft", "yd")),
            "step": st.sampled_from(fitting_values("step")),
        },
    )


def _lines(job: str) -> st.SearchStrategy[tuple[tuple[str, ...], float]]:
    """A job is checked, or planned now and then."""
    plan = ("plan", job, "--seconds", str(SECONDS), "--json", "made.json")
    check = (("check", job), _READING)
    return st.sampled_from((check, check, check, (plan, _PLANNING)))


def _mutant(kind: str, files: dict[str, bytes], line: tuple[tuple[str, ...], float]) -> Mutant:
    words, seconds = line
    writes = ("made.json",) if "made.json" in words else ()
    return Mutant(kind, -1, "grown", files, words, writes, seconds)


def _toml(_: Material) -> st.SearchStrategy[Mutant]:
    texts = st.one_of(
        _jobs().map(lambda tree: as_toml(tree).encode("utf-8", "surrogatepass")),
        st.text(_letters).map(str.encode),
        st.binary(),
    )
    return st.builds(
        lambda data, line: _mutant("TOML job", {"job.toml": data}, line), texts, _lines("job.toml")
    )


def _put(book: Workbook, title: str, row: int, column: int, held: Any) -> None:
    """Type into a cell, where a workbook can hold that."""
    if isinstance(held, list | dict):
        held = json.dumps(held)
    if isinstance(held, int) and not isinstance(held, bool) and abs(held) > 1e300:
        held = str(held)
    cell = book[title].cell(row, column)
    if isinstance(cell, Cell):  # others are covered by one they are merged with
        try:
            cell.value = held
        except (IllegalCharacterError, ValueError):
            cell.value = "\ufffd"


def _as_book(tree: dict[str, Any]) -> bytes:
    """A job as a workbook: as many of its values as cells can hold."""
    book = Workbook()
    for title, keys in PAIR_SHEETS.items():
        sheet = book.create_sheet(title)
        sheet.append(["key", "value"])
        table = tree if title == "Job" else tree.get(title.lower(), {})
        for row, key in enumerate([key for key in keys if key in table], 2):
            _put(book, title, row, 1, key)
            _put(book, title, row, 2, table[key])
    cloths = [{"name": name, **each} for name, each in tree["cloth"].items()]
    pieces = [{"cloth": c["name"], **p} for c in cloths for p in c.get("piece", [])]
    held = {"Cloth": cloths, "Pieces": pieces, "Openings": tree["opening"]}
    for title, rows in held.items():
        book.create_sheet(title)
        keys = list(dict.fromkeys(key for row in rows for key in row if key != "piece"))
        for column, key in enumerate(keys[:40], 1):
            _put(book, title, 1, column, key)
            for at, row in enumerate(rows, 2):
                if key in row:
                    _put(book, title, at, column, row[key])
    return saved(book)


def _book(_: Material) -> st.SearchStrategy[Mutant]:
    data = st.one_of(_jobs().map(_as_book), _jobs().map(_as_book), st.binary())
    return st.builds(
        lambda book, line: _mutant("workbook job", {"job.xlsx": book}, line),
        data,
        _lines("job.xlsx"),
    )


def _plan(stuff: Material) -> st.SearchStrategy[Mutant]:
    name = min(stuff.plans)
    keys = tuple(json.loads(stuff.plans[name]))
    trees = st.one_of(
        st.dictionaries(st.one_of(st.sampled_from(keys), _texts), _anything),
        st.builds(
            lambda key, held: {**json.loads(stuff.plans[name]), key: held},
            st.sampled_from(keys),
            _anything,
        ),
        _anything,
    )
    data = st.one_of(
        trees.map(lambda tree: json.dumps(tree).encode()),
        st.text(_letters).map(str.encode),
        st.binary(),
    )
    job = stuff.jobs[name].encode()
    line = (("replay", "job.toml", "plan.json"), _READING)
    return data.map(lambda plan: _mutant("plan file", {"job.toml": job, "plan.json": plan}, line))


def _ticked(stuff: Material) -> st.SearchStrategy[Mutant]:
    name = min(stuff.ticked)
    files = {"job.toml": stuff.jobs[name].encode(), "plan.json": stuff.plans[name].encode()}
    words = ("plan", "job.toml", "--seconds", str(SECONDS), "--json", "made.json")
    line = ((*words, "--after", "plan.json", "--done-from", "ticked.xlsx"), _PLANNING)
    marks = st.one_of(st.sampled_from(MARKS), _plain)

    def ticked(typed: dict[tuple[int, int], Any]) -> Mutant:
        book = load_workbook(io.BytesIO(stuff.ticked[name]))
        for title in set(book.sheetnames) - {"Cutting order"}:
            del book[title]
        for (row, column), held in typed.items():
            _put(book, "Cutting order", row, column, held)
        return _mutant("ticked workbook", {**files, "ticked.xlsx": saved(book)}, line)

    boxes = st.dictionaries(st.tuples(st.integers(4, 40), st.just(1)), marks, max_size=8)
    others = st.dictionaries(
        st.tuples(st.integers(1, 40), st.integers(1, 12)), _plain, min_size=1, max_size=3
    )
    return st.one_of(boxes, boxes, others).map(ticked)


GROWN: dict[str, Callable[[Material], st.SearchStrategy[Mutant]]] = {
    "TOML job": _toml,
    "workbook job": _book,
    "plan file": _plan,
    "ticked workbook": _ticked,
}


def grow(
    kind: str, stuff: Material, number: int, from_seed: int, see: Callable[[Mutant], None]
) -> None:
    """Have so many inputs of a kind seen.

    Args:
        see: raises where something is wrong; then it is shown smaller and smaller ones, and the
            smallest that is wrong is raised last.
    """

    @seed(from_seed)
    @settings(
        max_examples=number,
        deadline=None,
        database=None,
        phases=[Phase.generate, Phase.shrink],
        suppress_health_check=list(HealthCheck),
    )
    @given(GROWN[kind](stuff))
    def seen(asked: Mutant) -> None:
        see(asked)

    seen()
