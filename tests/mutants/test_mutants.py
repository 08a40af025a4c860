"""A small sample of damaged inputs; `benchmarks/mutants.py` tries thousands."""

from __future__ import annotations

import sys
import time
from collections import Counter
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

import mutant_runs
from grown import grow
from jobs import mostly_slow
from mutant_kinds import KINDS, Material, Mutant, material, mutant
from mutant_runs import misread, run

# On a machine that runs other tests, the clock says little.
SLACK = 30.0
PLANNED = ("sunroom",)


@pytest.fixture(scope="session")
def stuff(tmp_path_factory: pytest.TempPathFactory) -> Material:
    return material(tmp_path_factory.mktemp("material"), PLANNED)


READ = {0: 250, 1: 16, 2: 228, 3: 6}
"""Mutants that are read, 500 in all: fewer of what takes long to make."""
RUN = {0: 6, 1: 2, 2: 6, 3: 2}
"""Those whose commands are run to their ends as well."""
GROW = {"TOML job": 40, "workbook job": 6, "plan file": 50, "ticked workbook": 2}


def numbers(kind: int, first: int, last: int) -> range:
    """The numbers of mutants of a kind."""
    return range(kind + len(KINDS) * first, kind + len(KINDS) * last, len(KINDS))


@pytest.mark.parametrize("kind", mostly_slow(range(len(KINDS)), 2))
def test_damaged_inputs_are_read_or_refused_with_their_places(kind: int, stuff: Material) -> None:
    wrong = [misread(mutant(8, number, stuff)) for number in numbers(kind, 0, READ[kind])]
    assert [each for each in wrong if each] == []


@pytest.mark.parametrize("kind", range(len(KINDS)))
def test_damaged_inputs_are_refused_or_used_and_never_crash(kind: int, stuff: Material) -> None:
    ended = [run(mutant(8, number, stuff), SLACK) for number in numbers(kind, 0, RUN[kind])]
    assert [each for each in ended if each.wrong] == []


@pytest.mark.slow
@pytest.mark.thorough
@pytest.mark.parametrize("kind", range(len(KINDS)))
def test_all_of_500_are_refused_or_used_and_never_crash(kind: int, stuff: Material) -> None:
    numbered = numbers(kind, RUN[kind], READ[kind])
    ended = [run(mutant(8, number, stuff), SLACK) for number in numbered]
    assert [each for each in ended if each.wrong] == []
    # Else nothing was damaged, or nothing went in undamaged enough to be looked at.
    assert len(Counter(each.code for each in ended)) > 1


@pytest.mark.parametrize("kind", GROW)
def test_grown_inputs_are_read_or_refused_with_their_places(kind: str, stuff: Material) -> None:
    def see(asked: Mutant) -> None:
        assert misread(asked) == []

    grow(kind, stuff, GROW[kind], 8, see)


@pytest.mark.slow
@pytest.mark.thorough
@pytest.mark.parametrize("kind", GROW)
def test_grown_inputs_are_refused_or_used_and_never_crash(kind: str, stuff: Material) -> None:
    def see(asked: Mutant) -> None:
        assert run(asked, SLACK).wrong == ()

    grow(kind, stuff, 10 * GROW[kind], 9, see)


# --- that the sample would tell -----------------------------------------------------------------

SOUND = Mutant("sound", 0, "not at all", {"job.toml": b""}, ("check", "job.toml"), (), 2.0)


def crashes() -> None:
    raise KeyError("x")


def ends(code: int, out: str = "", err: str = "") -> None:
    print(out, end="")
    print(err, end="", file=sys.stderr)
    sys.exit(code)


def leaves(name: str, code: int) -> None:
    Path(name).write_text("{", encoding="utf-8")
    ends(code, err="job.toml: title: left out")


WRONG: dict[str, tuple[Callable[[], object], str]] = {
    "a crash": (crashes, "traceback: KeyError: 'x'"),
    "a crash that is printed": (lambda: ends(4, err="Traceback (most"), "traceback"),
    "the code of a crash": (lambda: ends(1, err="x"), "exit code 1"),
    "no message": (lambda: ends(4), "no message"),
    "a fault of a plan": (lambda: ends(4, err="This is a bug."), "a plan with faults"),
    "no place": (lambda: ends(2, err="job.toml: is not good"), "does not say where"),
    "no file": (lambda: ends(2, err="[make] rod: is not good"), "does not say where"),
    "a result": (lambda: ends(2, "All is well.", "job.toml: title: left out"), "a result of a bad"),
    "what steers": (lambda: ends(3, err="\x1b[2J"), "printed '\\x1b'"),
    "a leftover": (lambda: leaves(".shadewright-1.json", 2), "left ['.shadewright-1.json']"),
    "half an output": (lambda: leaves("made.json", 0), "which is no such file"),
    "an output of nothing": (lambda: leaves("made.json", 3), "left ['made.json'], wanted []"),
    "an input": (lambda: leaves("job.toml", 2), "changed job.toml"),
    "time": (lambda: time.sleep(0.3), "took"),
}


@pytest.mark.parametrize("name", WRONG)
def test_what_is_wrong_is_told(monkeypatch: pytest.MonkeyPatch, name: str) -> None:
    does, says = WRONG[name]
    monkeypatch.setattr(mutant_runs, "command_line", does)
    seconds = 0.1 if name == "time" else 2.0
    wrong = run(replace(SOUND, seconds=seconds), 1.0).wrong
    assert any(says in each for each in wrong), wrong


@pytest.mark.slow
def test_a_mutant_follows_from_its_number(stuff: Material, tmp_path: Path) -> None:
    stuff.store(tmp_path)
    again = Material.stored(tmp_path)
    for numbered in range(40):
        assert mutant(3, numbered, stuff) == mutant(3, numbered, again)
    assert mutant(3, 0, stuff) != mutant(4, 0, stuff)
