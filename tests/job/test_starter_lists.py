"""The lists that the starter workbook offers: every word in them may be taken."""

from __future__ import annotations

from pathlib import Path

import pytest
from openpyxl import load_workbook

from shadewright.job.problems import JobError
from shadewright.job.read import read_job
from shadewright.job.starter import write_starter_xlsx


@pytest.fixture
def starter(tmp_path: Path) -> Path:
    path = tmp_path / "job.xlsx"
    write_starter_xlsx(path)
    return path


def offered(path: Path) -> list[tuple[str, str, str]]:
    """Sheet, first cell and word, of every word that a list offers."""
    return [
        (sheet.title, str(rule.sqref).split(":", maxsplit=1)[0], word)
        for sheet in load_workbook(path).worksheets
        for rule in sheet.data_validations.dataValidation
        if str(rule.formula1).startswith('"')
        for word in str(rule.formula1).strip('"').split(",")
    ]


def test_words_with_few_values_are_offered(starter: Path) -> None:
    words = {word for _, _, word in offered(starter)}
    assert words >= {"continuous", "railroaded", "outside", "mirrored", "centre", "yes", "mm"}
    book = load_workbook(starter)
    names = [str(r.formula1) for r in book["Openings"].data_validations.dataValidation]
    assert "Cloth!$A$2:$A$40" in names
    assert {r.showErrorMessage for r in book["Openings"].data_validations.dataValidation} == {False}


@pytest.mark.slow
@pytest.mark.thorough
def test_each_word_is_taken_in_capitals_too(starter: Path) -> None:
    """One at a time, in the first row of its sheet: no word is one that reading does not know."""
    tried, refused = 0, set()
    for title, cell, word in offered(starter):
        book = load_workbook(starter)
        book[title][cell] = word.upper()
        book.save(starter.with_name("tried.xlsx"))
        try:
            read_job(starter.with_name("tried.xlsx"))
        except JobError:
            refused.add((title, word))
        tried += 1
    assert tried > 40
    # The starter's cloth has a repeat, and only plain cloth may lie either way.
    either = {("Cloth", "either"), ("Cloth", "mixed")}
    assert refused == either | {("Openings", "either"), ("Openings", "railroaded")}


def test_ranges_may_be_typed_either_way(starter: Path) -> None:
    for typed in ("2-3", "2 to 3", "2 – 3"):
        book = load_workbook(starter)
        headings = {cell.value: cell.column for cell in book["Openings"][1]}
        book["Openings"].cell(2, headings["shades"]).value = typed
        book.save(starter)
        assert read_job(starter).openings[0].shades == (2, 3)
