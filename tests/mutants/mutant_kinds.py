"""Mutants: a command line with damaged files to give it, of four kinds.

A mutant follows from a seed and its number alone, given the material: sound jobs, plans and
workbooks that the program wrote itself.
"""

from __future__ import annotations

import io
import json
import random
import tomllib
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from openpyxl import load_workbook
from openpyxl.worksheet.worksheet import Worksheet
from typer.testing import CliRunner

from mutating import (
    LENGTHS,
    MARKS,
    TEXTS,
    WORDS,
    as_json,
    as_toml,
    damaged_text,
    damaged_tree,
    number,
    value,
)
from mutating_books import (
    BOOK_DAMAGES,
    cell_value,
    column_gone,
    column_moved,
    damaged_xml,
    damaged_zip,
    filled,
    put,
    row_gone,
    row_twice,
    rows_sorted,
    saved,
    steady,
)
from shadewright.cli.app import app
from shadewright.job.sheet_keys import PAIR_SHEETS, ROW_SHEETS
from shadewright.job.starter import starter_toml, write_starter_xlsx

EXAMPLES = Path(__file__).parents[2] / "examples"
SECONDS = 0.3
"""Of search, where a mutant is planned."""

_READING = 2.0
_SLACK, _MORE = 1.25, 2.0
_COMPARED = 4.0
"""Of search, where ways are compared: the processes that plan them start within it."""


@dataclass(frozen=True)
class Mutant:
    """Files, and a command line that is given them.

    Attributes:
        files: what the command reads, by name.
        words: of the command line; file names are without folders.
        writes: files that are there afterwards if, and only if, the command ends well.
        seconds: that it may take; a bad input takes two, a plan 1.25 times its search and two more
            (once again for every thousand shades that the plan has).
        then: a second command line, that must end well if the first one does.
    """

    kind: str
    number: int
    how: str
    files: Mapping[str, bytes]
    words: tuple[str, ...]
    writes: tuple[str, ...]
    seconds: float
    then: tuple[str, ...] = ()


@dataclass(frozen=True)
class Material:
    """What mutants are made from.

    Attributes:
        jobs: TOML texts by name.
        books: workbooks of jobs by name.
        plans: plan files by the name of their job.
        ticked: workbooks written with those plans.
    """

    jobs: Mapping[str, str]
    books: Mapping[str, bytes]
    plans: Mapping[str, str]
    ticked: Mapping[str, bytes]

    def store(self, folder: Path) -> None:
        """Keep it for other processes."""
        for job, text in self.jobs.items():
            (folder / f"{job}.toml").write_text(text, encoding="utf-8")
        for job, text in self.plans.items():
            (folder / f"{job}.json").write_text(text, encoding="utf-8")
        for ending, books in (("book", self.books), ("ticked", self.ticked)):
            for job, data in books.items():
                (folder / f"{job}.{ending}").write_bytes(data)

    @classmethod
    def stored(cls, folder: Path) -> Material:
        """What another process has kept."""

        def named(ending: str) -> list[Path]:
            return sorted(folder.glob(f"*.{ending}"))

        return cls(
            {file.stem: file.read_text(encoding="utf-8") for file in named("toml")},
            {file.stem: file.read_bytes() for file in named("book")},
            {file.stem: file.read_text(encoding="utf-8") for file in named("json")},
            {file.stem: file.read_bytes() for file in named("ticked")},
        )


def material(folder: Path, planned: tuple[str, ...]) -> Material:
    """The starter and all examples, and plans of some of them.

    Args:
        folder: to work in.
        planned: examples to plan.
    """
    jobs = {file.stem: file.read_text(encoding="utf-8") for file in EXAMPLES.glob("*.toml")}
    short = EXAMPLES / "fit"
    jobs |= {f"{f.stem}-fit": f.read_text(encoding="utf-8") for f in short.glob("*.toml")}
    jobs = {"starter": starter_toml(), **dict(sorted(jobs.items()))}
    empty = folder / "starter.xlsx"
    write_starter_xlsx(empty)
    books = {"starter": steady(empty.read_bytes())}
    for name in ("attic", "attic-fit", "landing", "sunroom", "veranda"):
        books[name] = filled(books["starter"], tomllib.loads(jobs[name]))
    plans: dict[str, str] = {}
    ticked: dict[str, bytes] = {}
    for name in planned:
        job, plan, book = (folder / f"{name}{end}" for end in (".toml", ".json", ".xlsx"))
        job.write_text(jobs[name], encoding="utf-8")
        words = ["plan", job, "--seconds", SECONDS, "--json", plan, "--out", book]
        ended = CliRunner().invoke(app, list(map(str, words)))
        assert ended.exit_code == 0, ended.output
        data = json.loads(plan.read_text(encoding="utf-8"))
        data["proof"]["seconds"] = SECONDS
        plans[name] = json.dumps(data, indent=1, ensure_ascii=False) + "\n"
        ticked[name] = steady(book.read_bytes())
    return Material(jobs, books, plans, ticked)


# --- command lines ------------------------------------------------------------------------------


@dataclass(frozen=True)
class _Line:
    words: tuple[str, ...]
    seconds: float
    writes: tuple[str, ...] = ()
    then: tuple[str, ...] = ()


def _planning(seconds: float = SECONDS) -> float:
    return _SLACK * seconds + _MORE


def _plan_line(job: str, *more: str) -> _Line:
    """A plan, judged again from its file."""
    words = ("plan", job, "--seconds", str(SECONDS), *more, "--json", "made.json")
    return _Line(words, _planning(), ("made.json",), ("replay", job, "made.json"))


def _job_line(draw: random.Random, job: str, likely: bool = False) -> _Line:
    """What a job is given to: mostly to be read, often to be planned, now and then more.

    Args:
        likely: whether the job can well be planned; it then mostly is.
    """
    roll = draw.random() * (0.5 if likely else 1) + (0.5 if likely else 0)
    if roll < 0.58:
        return _Line(("check", job), _READING)
    if roll < 0.86:
        return _plan_line(job)
    if roll < 0.91:
        made = ("--out", "made.xlsx", "--picture", draw.choice(("made.svg", "made.png")))
        line = _plan_line(job, *made)
        # Pages of a large job are drawn after its search.
        return _Line(line.words, 3 * _planning(), ("made.json", made[1], made[3]), line.then)
    if roll < 0.97:
        return _Line(
            ("fit", job, "--seconds", "1", "--json", "made.json"), _planning(1), ("made.json",)
        )
    words = ("compare", job, "--seconds", str(_COMPARED), "--workers", "1")
    words += ("--choice", "strategies", "--json", "made.json")
    return _Line(words, _planning(_COMPARED), ("made.json",))


def _mutant(kind: str, numbered: int, how: str, files: Mapping[str, bytes], line: _Line) -> Mutant:
    return Mutant(kind, numbered, how, files, line.words, line.writes, line.seconds, line.then)


# --- jobs in TOML -------------------------------------------------------------------------------

_FITTING: dict[str, tuple[Any, ...]] = {
    "units": ("in", "cm", "mm", "m", "ft"),
    "step": ("1/8 in", "1 mm", "1/64 in", "1 in", "1 ft"),
    "children": (True, False),
    "outdoors": (True, False),
    "can_buy": (True, False),
    "outdoor": (True, False),
    "tassels": (True, False),
    "column_shift": (0, "half", 3, 4.5),
    "runs": ("up the bolt", "railroaded", "either"),
    "start": ("any", "motif", 0, 3),
    "price": (0, 0.01, 24.5, 10**9),
    "shrink_down": (0, 0.03, 0.3, 0.9),
    "shrink_across": (0, 0.03, 0.3),
    "side_folds": (1, 2),
    "lining": ("none", "leaf", "sateen"),
    "take_up": ("computed", 0, 1, 40),
    "wood": ("eastern white pine", "oak", "9 GPa", "1e3 psi", "1 GPa"),
    "strategy": ("plain", "level", "centred", "continuous"),
    "centre_on": ("motif", "between", "alternate"),
    "across": ("job", "opening"),
    "anchor": ("head", "sill", "wall"),
    "lots": ("opening", "job", "none"),
    "copies": (1, 2, 12, 60, 1000),
    "mount": ("inside", "outside"),
    "shades": (1, 2, 5, [1, 6], "2 to 4", 60, [1, 60]),
    "gap": ([0.5, 2], "1/2 in to 3 in", 0, 6),
    "widths": ("equal", "mirrored", "free"),
    "draw": ("left", "right", "centre", "auto"),
    "flaws": ([], [{"from": 3, "to": 4}], [{"from": 0, "to": 40, "left": 1, "right": 9}]),
    "repeat_down": (1, 9, 25.25, "13 1/7 in", "0.1 mm", 200),
    "repeat_across": (1, 9, 13.5, 27, 54, "0.1 mm"),
    "stock": ({"board": [60, 72]}, {"rod": ["8 ft"]}, {"board": 96, "rod": [36, 48]}),
    "name": ("a", "b", "bolt", "a" * 200),
    "title": ("t", "", "=1", "t" * 200),
    "cloth": ("leaf", "canvas", "none"),
    "lot": ("A", "B", "1"),
    "length": (40, "7 yd 12 in", "20 m", 1),
    "weight": ("7 oz/yd^2", "200 g/m^2", "9 kg/m^2"),
    "thickness": ("0.018 in", "1 mm", "1 in"),
    "eye_shank": ("5/8 in", "2 in"),
    "stock.board": (60, 4000),
    "stock.rod": (60, 1),
    "wet_factor": (1, 2, 9.5, 100),
    "shade_cost": (0, 4.5, 10**6),
    "narrowest": (1, 12, 30, 50),
    "widest": (20, 48, 53, 500),
    "head_above_floor": ("84 in", 0, 1000),
    "other_lining": ("leaf", "sateen"),
    "width": (24, 54, 118, "3 m", 300, 1, 4000),
    "height": (20, 64, "2 m", 300, 1, 4000),
}
"""Values that keys can have, so that some mutants are planned."""


def fitting_values(key: str) -> tuple[Any, ...]:
    """Values that a key can well have; none where any length or number will do."""
    return _FITTING.get(key, ())


_TABLES = {"make": "Make", "match": "Match", "fit": "Fit"}


def _damaged_job(draw: random.Random, text: str) -> bytes:
    """A job with some values that are others, or of keys that it did not have."""
    tree = tomllib.loads(text)
    for _ in range(draw.choice((1, 1, 2, 3))):
        if draw.random() < 0.5:
            damaged_tree(draw, tree)
        else:
            _one_more_key(draw, tree, 0.8)
    return as_toml(tree).encode("utf-8", "surrogatepass")


def _other_job(draw: random.Random, text: str) -> bytes:
    """A job with values that some job may have, though not all of them together."""
    tree = tomllib.loads(text)
    for _ in range(draw.choice((1, 2, 3, 5))):
        _one_more_key(draw, tree, 1.0)
    return as_toml(tree).encode("utf-8", "surrogatepass")


def _one_more_key(draw: random.Random, tree: dict[str, Any], fitting: float) -> None:
    """Give some key of a job a value.

    Args:
        fitting: how often one of the right kind, of 1.
    """
    cloths = [each for each in _tables(tree.get("cloth")) if isinstance(each, dict)]
    pieces = [piece for cloth in cloths for piece in _tables(cloth.get("piece"))]
    openings = _tables(tree.get("opening"))
    choices: list[tuple[Any, tuple[str, ...]]] = [(tree, PAIR_SHEETS["Job"])]
    choices += [(tree.setdefault(key, {}), PAIR_SHEETS[_TABLES[key]]) for key in _TABLES]
    choices += [(each, ROW_SHEETS["Cloth"][1:]) for each in cloths[:1]]
    choices += [(each, ROW_SHEETS["Openings"][1:]) for each in openings[:3]]
    choices += [(each, ROW_SHEETS["Pieces"][1:]) for each in pieces[:2]]
    table, keys = draw.choice(choices)
    if isinstance(table, dict):
        key = draw.choice(keys)
        likely = draw.choice(_FITTING[key]) if key in _FITTING else _likely(draw, fitting)
        table[key] = likely if draw.random() < fitting else value(draw)


def _tables(held: Any) -> list[Any]:
    if isinstance(held, dict):
        return list(held.values())
    return [each for each in held if isinstance(each, dict)] if isinstance(held, list) else []


def _likely(draw: random.Random, fitting: float) -> Any:
    """A value that some key could well have, and many have if it is to fit."""
    length = f"{draw.randint(0, 9)} {draw.randint(1, 15)}/16 in"
    if fitting == 1.0:
        return draw.choice((length, draw.choice((0, 0.5, 1, 2, 3, 12, 60))))
    return draw.choice(
        (
            length,
            draw.choice(LENGTHS[:9]),
            f"{draw.randint(1, 90)} {draw.choice(('in', 'cm', 'ft', 'mm'))}",
            draw.choice(WORDS),
            draw.choice((0, 1, 2, 3, 4, 6, 10, 60, 0.5, 0.03, 0.9, 1.5, 99)),
            number(draw),
            [draw.randint(0, 6), draw.randint(0, 9)],
            draw.choice((True, False)),
        )
    )


def toml_mutant(draw: random.Random, numbered: int, stuff: Material) -> Mutant:
    """A job in TOML, damaged as text or by its values, or another that may be as good."""
    text = stuff.jobs[draw.choice(sorted(stuff.jobs))]
    how, change = draw.choice(
        (("text", damaged_text), ("values", _damaged_job), ("other", _other_job))
    )
    data = change(draw, text)
    line = _job_line(draw, "job.toml", how == "other")
    return _mutant("TOML job", numbered, how, {"job.toml": data}, line)


# --- jobs in workbooks --------------------------------------------------------------------------


def book_mutant(draw: random.Random, numbered: int, stuff: Material) -> Mutant:
    """A job in a workbook, damaged in its cells, its sheets, its XML or its zip."""
    data = stuff.books[draw.choice(sorted(stuff.books))]
    how = draw.choice(list(BOOK_DAMAGES))
    line = _job_line(draw, "job.xlsx")
    return _mutant("workbook job", numbered, how, {"job.xlsx": BOOK_DAMAGES[how](draw, data)}, line)


# --- plan files ---------------------------------------------------------------------------------

_DROPS = (
    "1",
    "2",
    "1,2",
    "1-2",
    "2,1",
    "0",
    "-1",
    "1,1",
    "99",
    "a",
    "bolt/1",
    "canvas/bolt/1",
    "",
    ",",
)
_FLAWS = ("bolt:4 yd to 4 yd 3 in", "bolt:3 to 2", "bolt:", ":", "roll end:90 to 93", "no:1 to 2")


def _damaged_plan(draw: random.Random, text: str) -> tuple[str, bytes]:
    """A plan file, and how it is damaged; one in six not at all."""
    how = draw.choice(("values", "values", "values", "names", "text", "words"))
    if how == "text":
        return how, damaged_text(draw, text)
    tree = json.loads(text)
    if how == "values":
        for _ in range(draw.choice((1, 1, 2, 4))):
            damaged_tree(draw, tree)
    elif how == "names":
        part = draw.choice((tree["shades"], tree["pieces"], tree["drops"]))
        before = draw.choice([held for held in draw.choice(part).values() if held != ""])
        after = draw.choice((*TEXTS, *LENGTHS)) if isinstance(before, str) else number(draw)
        tree = _all_replaced(tree, before, after)
    return how, as_json(tree).encode("utf-8", "surrogatepass")


def _all_replaced(tree: Any, before: object, after: object) -> Any:
    """A tree in which one value is another wherever it stands."""
    if isinstance(tree, dict):
        return {key: _all_replaced(each, before, after) for key, each in tree.items()}
    if isinstance(tree, list):
        return [_all_replaced(each, before, after) for each in tree]
    return after if type(tree) is type(before) and tree == before else tree


def _told(draw: random.Random) -> list[str]:
    """Odd words about what has become of a plan."""
    told: list[tuple[str, str]] = []
    if draw.random() < 0.7:
        told.append(("--done", draw.choice((*_DROPS, draw.choice(TEXTS[5:])))))
    if draw.random() < 0.3:
        lost = draw.choice(("garden SIDE, 1 of 2", "Garden side 1, 1 of 2", *TEXTS[5:]))
        told.append(("--lost", lost))
    if draw.random() < 0.3:
        flaw = draw.choice(_FLAWS).replace("3", draw.choice(("3", *LENGTHS)))
        told.append(("--flaw", flaw))
    told = [(option, word) for option, word in told if "\x00" not in word and not _lone(word)]
    return [word for pair in told or [("--done", "1")] for word in pair]


def _lone(word: str) -> bool:
    """Whether no command line can have this word."""
    return any("\ud800" <= sign <= "\udfff" for sign in word)


def plan_mutant(draw: random.Random, numbered: int, stuff: Material) -> Mutant:
    """A plan file, damaged, and judged or gone on from; or gone on from in odd words."""
    name = draw.choice(sorted(stuff.plans))
    how, data = _damaged_plan(draw, stuff.plans[name])
    job = stuff.jobs[name].encode("utf-8")
    if how == "words" and draw.random() < 0.3:
        how, job = "job", _damaged_job(draw, stuff.jobs[name])
    if how == "words":
        line = _plan_line("job.toml", "--after", "plan.json", *_told(draw))
    elif draw.random() < 0.3:
        line = _plan_line("job.toml", "--after", "plan.json", "--done", "1")
    else:
        line = _Line(("replay", "job.toml", "plan.json"), _READING)
    return _mutant("plan file", numbered, how, {"job.toml": job, "plan.json": data}, line)


# --- ticked workbooks ---------------------------------------------------------------------------

_ORDER = "Cutting order"


def _boxes(sheet: Worksheet) -> list[int]:
    """The rows with a step."""
    return [row for row in range(1, sheet.max_row + 1) if isinstance(sheet.cell(row, 2).value, int)]


def _ticks(draw: random.Random, sheet: Worksheet) -> None:
    """Tick from the first step on, so that it can be gone on from; now and then otherwise."""
    rows = _boxes(sheet)
    for row in rows[: draw.randint(0, len(rows))]:
        put(sheet, row, 1, "x")


def _odd_marks(draw: random.Random, sheet: Worksheet) -> None:
    for _ in range(draw.choice((1, 2, 5))):
        row = draw.choice((*_boxes(sheet), draw.randint(1, sheet.max_row)))
        put(sheet, row, 1, draw.choice((*MARKS, cell_value(draw))))


def _odd_cells(draw: random.Random, sheet: Worksheet) -> None:
    row, column = draw.randint(1, sheet.max_row + 1), draw.randint(1, sheet.max_column + 1)
    put(sheet, row, column, cell_value(draw))


_ORDER_DAMAGES: dict[str, Callable[[random.Random, Worksheet], object]] = {
    "ticks": _ticks,
    "marks": _odd_marks,
    "texts": _odd_cells,
    "column moved": column_moved,
    "column gone": column_gone,
    "rows sorted": rows_sorted,
    "row gone": row_gone,
    "row twice": row_twice,
}


def ticked_mutant(draw: random.Random, numbered: int, stuff: Material) -> Mutant:
    """The workbook of a plan with ticks, damaged, and gone on from."""
    name = draw.choice(sorted(stuff.ticked))
    data = stuff.ticked[name]
    how = draw.choice((*_ORDER_DAMAGES, "XML", "zip"))
    if how in _ORDER_DAMAGES:
        book = load_workbook(io.BytesIO(data))
        # What is not read is left out, so that thousands of them take minutes.
        for title in set(book.sheetnames) - {_ORDER, "Panels", "Read first"}:
            del book[title]
        _ticks(draw, book[_ORDER])
        _ORDER_DAMAGES[how](draw, book[_ORDER])
        data = saved(book)
    else:
        data = (damaged_xml if how == "XML" else damaged_zip)(draw, data)
    files = {
        "job.toml": stuff.jobs[name].encode("utf-8"),
        "plan.json": stuff.plans[name].encode("utf-8"),
        "ticked.xlsx": data,
    }
    line = _plan_line("job.toml", "--after", "plan.json", "--done-from", "ticked.xlsx")
    return _mutant("ticked workbook", numbered, how, files, line)


KINDS = (toml_mutant, book_mutant, plan_mutant, ticked_mutant)


def mutant(seed: int, numbered: int, stuff: Material) -> Mutant:
    """The mutant of a number; kinds take turns."""
    draw = random.Random(f"{seed} {numbered}")
    return KINDS[numbered % len(KINDS)](draw, numbered, stuff)
