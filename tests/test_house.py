"""The rooms of the house as DEVELOPERS.md draws them: what the code imports is what is drawn."""

from __future__ import annotations

import ast
import re
import sys
import tomllib
from collections import Counter
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
PACKAGE = ROOT / "src" / "shadewright"
FILES = sorted(PACKAGE.rglob("*.py"))

LIBRARIES = {
    "numpy": {"cloth", "solve/problem", "solve/packing", "solve/sticks"},
    "openpyxl": {"job", "report/sheets"},
    "ortools": {"solve", "solve/packing", "solve/search", "solve/sticks"},
    "pandas": {"report/tables", "python"},
    "PIL": {"report/pages"},
    "pint": {"measure"},
    "pydantic": {"job", "cloth", "judge"},
    "typer": {"cli"},
    "typst": {"report/pages"},
}
"""The rooms that may import each library."""


def modules_imported(tree: ast.AST) -> set[str]:
    """The modules a file names, those that are only for types too; a name from a package that is a
    module of its own counts as that module."""
    found = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, "imports are written out in full"
            assert node.module is not None
            for alias in node.names:
                whole = f"{node.module}.{alias.name}"
                found.add(whole if file_of(whole) else node.module)
    return found


def file_of(module: str) -> Path | None:
    place = ROOT / "src" / Path(*module.split("."))
    return next((f for f in (place.with_suffix(".py"), place / "__init__.py") if f.exists()), None)


def room_of(file: Path) -> str:
    """The folder a file lies in; a file right in the package is a room of its own."""
    inner = file.relative_to(PACKAGE)
    return inner.stem if len(inner.parts) == 1 else inner.parent.as_posix()


IMPORTS = {file: modules_imported(ast.parse(file.read_text("utf-8"))) for file in FILES}


def arrows() -> dict[str, set[str]]:
    """The rooms that each room imports from."""
    found: dict[str, set[str]] = {room_of(file): set() for file in FILES}
    for file, modules in IMPORTS.items():
        for module in modules:
            to = file_of(module)
            if to is not None and room_of(to) != room_of(file):
                found[room_of(file)].add(room_of(to))
    # The package itself and a folder of rooms hold a docstring and no more.
    return {room: to for room, to in found.items() if room not in ("__init__", "report")}


def drawn() -> dict[str, set[str]]:
    """The rooms and their arrows as DEVELOPERS.md has them, in its order."""
    text = (ROOT / "DEVELOPERS.md").read_text("utf-8")
    lines = re.findall(r"^    ([\w/]+) +->(.*)$", text, re.MULTILINE)
    assert len(lines) == len({room for room, _ in lines})
    return {room: set(to.split()) for room, to in lines}


def test_rooms_import_what_is_drawn_and_no_more() -> None:
    assert arrows() == drawn()


def test_no_arrow_leads_back() -> None:
    above: set[str] = set()
    for room, to in drawn().items():
        assert to <= above, f"{room} imports from rooms drawn below it"
        above.add(room)


def test_the_judge_knows_a_plan_and_nothing_of_how_it_was_made() -> None:
    for file in FILES:
        if room_of(file) == "judge":
            of_cloth = {m for m in IMPORTS[file] if m.startswith("shadewright.cloth")}
            assert of_cloth <= {"shadewright.cloth.plan"}, file


@pytest.mark.parametrize("library", LIBRARIES)
def test_only_its_rooms_import_a_library(library: str) -> None:
    rooms = {room_of(f) for f, all_ in IMPORTS.items() if any(top(m) == library for m in all_)}
    assert rooms == LIBRARIES[library]


def test_every_library_has_its_rooms() -> None:
    tops = {top(module) for modules in IMPORTS.values() for module in modules}
    assert tops - set(sys.stdlib_module_names) - {"shadewright"} == set(LIBRARIES)


def top(module: str) -> str:
    return module.split(".", 1)[0]


def test_no_two_classes_have_one_name() -> None:
    names = Counter(
        node.name.lstrip("_")
        for file in FILES
        for node in ast.walk(ast.parse(file.read_text("utf-8")))
        if isinstance(node, ast.ClassDef)
    )
    assert [name for name, number in names.items() if number > 1] == []


def test_the_wheel_has_every_package_and_the_examples() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))
    listed = set(project["tool"]["setuptools"]["packages"])
    there = {".".join(f.parent.relative_to(ROOT / "src").parts) for f in FILES}
    assert listed == there | {"shadewright.examples"}


def test_the_oldest_libraries_are_those_the_project_asks_for() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]
    asked = [*project["dependencies"], *project["optional-dependencies"]["test"]]
    wanted = {
        name.lower(): least for name, least in (each.split(">=") for each in asked if ">=" in each)
    }
    oldest = (ROOT / ".ci" / "oldest.txt").read_text("utf-8")
    tried = dict(line.split("==") for line in oldest.splitlines() if "==" in line)
    for name, version in tried.items():
        assert f"{version}.".startswith(f"{wanted[name]}."), name
    assert set(wanted) - set(tried) == {"ruff", "mypy"}


def named_in_the_guide() -> list[str]:
    """What DEVELOPERS.md names by a path or by dots, of files and of what stands in them."""
    text = (ROOT / "DEVELOPERS.md").read_text("utf-8")
    names = re.findall(r"`(?:src/shadewright/)?([a-z_]+(?:[./][\w.]+)+)`", text)
    rooms = {room.split("/")[0] for room in drawn()} | {"tests", "benchmarks"}
    return sorted({name for name in names if re.split(r"[./]", name)[0] in rooms})


@pytest.mark.parametrize("name", named_in_the_guide())
def test_the_guide_names_what_is_there(name: str) -> None:
    parts = name.removesuffix(".py").replace("/", ".").split(".")
    where = ROOT if parts[0] in ("tests", "benchmarks") else PACKAGE
    for number in range(len(parts), 0, -1):
        place = where.joinpath(*parts[:number])
        file = place.with_suffix(".py")
        if number == len(parts) and place.is_dir():
            return
        if file.exists():
            text = file.read_text("utf-8")
            assert all(re.search(rf"\b{part.rstrip('_')}", text) for part in parts[number:])
            return
    pytest.fail(f"there is no {name}")
