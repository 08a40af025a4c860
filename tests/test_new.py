"""The command new: it asks nothing, explains every key, and writes any example that is shipped."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

import pytest
from typer.testing import CliRunner, Result

from shadewright.cli.app import app
from shadewright.job.examples import example_names, example_text
from shadewright.job.model import Cloth, Job, Make, MatchRule, Opening, Piece, Prices
from shadewright.job.starter import starter_toml

EXAMPLES = Path(__file__).parents[1] / "examples"


def run(*words: str) -> Result:
    return CliRunner().invoke(app, list(words), input="")


@pytest.fixture(autouse=True)
def _in_a_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)


def test_it_asks_nothing(tmp_path: Path) -> None:
    assert run("new").exit_code == 0
    assert (tmp_path / "job.toml").read_text("utf-8") == starter_toml()
    again = run("new")
    assert again.exit_code == 2
    assert "job.toml: exists already" in again.stderr


# Made of tables of their own, or filled in by what is read.
UNSAID = {"cloths", "openings", "pieces", "make", "match", "fit", "prices", "notes"}


def test_it_explains_every_key() -> None:
    text = starter_toml()
    keyed = [line.strip("#") for line in text.splitlines() if "=" in line]
    said = {re.split(r"[.=]", line)[0].strip() for line in keyed}
    for table in (Job, Cloth, Piece, Make, Prices, MatchRule, Opening):
        wanted = set(table.model_fields) - UNSAID
        assert wanted <= said, table
    keys = [line for line in text.splitlines() if " = " in line and not line.startswith("# ")]
    first = [line for line in keys if "#" in line.lstrip("#")]
    # Only openings after the first, where each key was explained, stand without a word.
    assert all(line in text.split("[[opening]]", 2)[2] for line in keys if line not in first)


def test_every_example_can_be_written(tmp_path: Path) -> None:
    shipped = {f.relative_to(EXAMPLES).with_suffix("").as_posix() for f in EXAMPLES.rglob("*.toml")}
    assert set(example_names()) == shipped
    for name in example_names():
        assert run("new", "--example", name, f"{name.replace('/', '-')}.toml").exit_code == 0
        written = (tmp_path / f"{name.replace('/', '-')}.toml").read_text("utf-8")
        assert written == (EXAMPLES / f"{name}.toml").read_text("utf-8") == example_text(name)
        tomllib.loads(written)


def test_an_example_has_its_own_name(tmp_path: Path) -> None:
    said = run("new", "--example", "fit/attic")
    assert said.stdout.startswith("Wrote attic.toml.")
    assert (tmp_path / "attic.toml").exists()
    assert run("check", "attic.toml").exit_code == 0


@pytest.mark.parametrize(
    ("name", "typed"),
    [
        ("porch.xlsx", "porch.xlsx"),
        ("my porch.toml", '"my porch.toml"'),
        ("Ann's $1 porch.toml", "'Ann'\"'\"'s $1 porch.toml'"),
    ],
)
def test_each_step_says_the_next_as_it_is_typed(name: str, typed: str) -> None:
    assert run("new", name).stdout == (
        f"Wrote {name}. Change it to your own, then: shadewright check {typed}\n"
    )
    checked = run("check", name)
    assert checked.stderr == (
        "If that is what you mean, plan it, with the paper for the workroom:\n"
        f"  shadewright plan {typed} --booklet paper.pdf\n"
    )
    assert "shadewright plan" not in checked.stdout


def test_a_wrong_name_lists_them_all(tmp_path: Path) -> None:
    said = run("new", "--example", "prch")
    assert said.exit_code == 2
    assert all(name in said.stderr for name in example_names())
    assert said.stderr.endswith("did you mean porch?\n")
    assert "wanted .toml\n" in run("new", "--example", "porch", "porch.xlsx").stderr
    assert list(tmp_path.iterdir()) == []
