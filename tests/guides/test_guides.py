"""What the pages in examples say holds: blocks run, figures and pictures are the program's."""

from __future__ import annotations

import io
import re
import shlex
from fractions import Fraction
from pathlib import Path

import pytest
from guide_pictures import pictures
from guides import printed
from PIL import Image, ImageChops, ImageStat
from typer.testing import CliRunner

from shadewright.cli.app import app
from shadewright.job.examples import example_names
from shadewright.job.read import read_job, read_text

ROOT = Path(__file__).parents[2]
PAGES = sorted([*ROOT.glob("*.md"), *(ROOT / "examples").rglob("*.md")])
HANGING = (ROOT / "examples" / "guide" / "measuring-to-hanging.md").read_text("utf-8")
README = (ROOT / "README.md").read_text("utf-8")
SUNROOM = ROOT / "examples" / "sunroom.toml"


def blocks(text: str, language: str) -> list[str]:
    return re.findall(rf"^```{language}\n(.*?)^```", text, re.MULTILINE | re.DOTALL)


@pytest.mark.slow
def test_python_prints_what_its_guide_says(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(ROOT)
    found = list(printed(ROOT / "examples" / "python-guide.md"))
    assert len(found) == 7
    for out, said in found:
        assert out == said


def test_the_job_and_the_figures_of_the_guide_are_the_programs() -> None:
    (job,) = blocks(HANGING, "toml")
    assert read_text(job) == read_job(SUNROOM)
    planned = CliRunner().invoke(app, ["plan", str(SUNROOM)]).stdout
    said = blocks(HANGING, "text")
    assert len(said) == 3
    assert all(part in planned for part in said)


@pytest.mark.slow
def test_the_pictures_are_what_is_drawn() -> None:
    for file, data in pictures().items():
        with Image.open(file) as there, Image.open(io.BytesIO(data)) as drawn:
            assert there.size == drawn.size
            apart = ImageChops.difference(there.convert("L"), drawn.convert("L"))
            # Another version of what draws lines may soften their edges.
            assert ImageStat.Stat(apart).mean[0] < 0.5, file


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.name)
def test_links_lead_somewhere(page: Path) -> None:
    text = re.sub(r"```.*?```", "", page.read_text("utf-8"), flags=re.DOTALL)
    for target in re.findall(r"\]\(([^)#]+)\)", text):
        assert (page.parent / target).exists(), target


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.name)
def test_commands_that_are_shown_have_these_options(page: Path) -> None:
    lines = [line for part in blocks(page.read_text("utf-8"), "sh") for line in part.splitlines()]
    for line in lines:
        found = re.match(r"(?:\$ )?shadewright (\w+)(.*)", line.split("#")[0])
        if found:
            told = CliRunner().invoke(app, [found[1], "--help"]).stdout
            for option in re.findall(r"--[\w-]+", found[2]):
                assert option in told, line


@pytest.mark.slow
def test_the_commands_of_the_readme_can_be_typed_one_after_the_other(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    (block,) = (b for b in blocks(README, "sh") if "shadewright new" in b)
    names = [type_in(line) for line in block.splitlines()]
    assert {"new", "check", "plan", "compare", "fit", "replay"} == set(names)


@pytest.mark.slow
def test_the_commands_of_the_guide_lead_from_measuring_to_a_mishap(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    first, *others = [line for block in blocks(HANGING, "sh") for line in block.splitlines()]
    assert type_in(first) == "new"
    (tmp_path / "sunroom.toml").write_text(blocks(HANGING, "toml")[0], encoding="utf-8")
    assert [type_in(line) for line in others] == ["check", "plan", "plan"]
    for name in re.findall(r"`(sunroom\.(?:xlsx|pdf|html|json))`", HANGING):
        assert (tmp_path / name).exists(), name


def type_in(line: str) -> str:
    """Type a command, which must do what it says; gives its name."""
    _, name, *words = shlex.split(line, comments=True)
    # `fit` tries sets as long as it may.
    seconds = {"plan": 60, "compare": 60, "fit": 5}
    given = ["--seconds", str(seconds[name])] if name in seconds else []
    ended = CliRunner().invoke(app, [name, *words, *given])
    assert ended.exit_code == 0, (line, ended.stderr)
    return name


@pytest.mark.slow
def test_the_figures_of_the_readme_are_the_programs(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(ROOT)
    fenced = re.findall(r"^```(\w*)\n(.*?)^```$", README, re.MULTILINE | re.DOTALL)
    shown = [block for language, block in fenced if not language]
    (choice,) = (block for block in shown if block.startswith("Shades against cloth"))
    assert choice in CliRunner().invoke(app, ["plan", "examples/porch.toml"]).stdout
    (compared,) = (block for block in shown if block.startswith("$ shadewright compare"))
    line, _, table = compared.partition("\n")
    assert table in CliRunner().invoke(app, [*shlex.split(line)[2:], "--seconds", "60"]).stdout


@pytest.mark.slow
def test_the_figures_of_the_examples_are_the_programs(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(ROOT / "examples")
    told = (ROOT / "examples" / "README.md").read_text("utf-8")
    listed = set(re.findall(r"^\| `([\w/-]+)\.toml` \|", told, re.MULTILINE))
    assert listed == set(example_names())
    porch = CliRunner().invoke(app, ["plan", "porch.toml"]).stdout
    bays = sum(opening.copies for opening in read_job(Path("porch.toml")).openings)
    assert bays == 14
    assert "fourteen bays, 33 shades" in told
    assert "Make 33 shades" in porch
    ways = ["compare", "parlour.toml", "--choice", "strategies", "--seconds", "60"]
    dear = dict(
        re.findall(
            r"^  (level|continuous print)(?: \(your job\))? +(\S+ \S+) yd ", typed(ways), re.M
        )
    )
    assert yards(dear["continuous print"]) - yards(dear["level"]) == yards("6 1/4")
    assert "An unbroken print that costs 6 1/4 yd more than level rows." in told
    short = " ".join(typed(["fit", "fit/attic.toml", "--seconds", "10"]).split())
    assert "it is short by 2 yd 15 3/4" in short
    for figure in ("5 yd 24 3/4", "7 shades", "single side hems"):
        assert figure in short
    assert "the seven shades take 5 yd 24 3/4 in" in " ".join(told.split())


def typed(words: list[str]) -> str:
    return CliRunner().invoke(app, words).stdout


def yards(text: str) -> Fraction:
    return sum(map(Fraction, text.split()), Fraction(0))


def test_the_glossary_is_in_order_and_each_word_stands_once() -> None:
    text = (ROOT / "examples" / "glossary.md").read_text("utf-8")
    words = [word.casefold() for word in re.findall(r"^\| ([^|]+?) \|", text, re.MULTILINE)][1:]
    assert len(words) > 40
    assert words == sorted(set(words), key=lambda word: word.replace(",", ""))


def test_pages_for_people_carry_the_cautions() -> None:
    for name in ("guide/measuring-to-hanging.md", "how-it-works.md", "python-guide.md"):
        text = " ".join((ROOT / "examples" / name).read_text("utf-8").split())
        assert "Cords can strangle children" in text, name
        assert "can fall" in text, name
        assert re.search(r"[Ll]ocal codes, product standards", text), name
