"""The sheets of a job's workbook, and which key of the job stands where in them."""

from __future__ import annotations

from shadewright.job.giving_up import Fit
from shadewright.job.model import Cloth, Make, MatchRule, Opening, Piece, Prices

PAIR_SHEETS: dict[str, tuple[str, ...]] = {
    "Job": ("title", "units", "step", "children", "outdoors"),
    "Make": tuple(
        key
        for field_ in Make.model_fields
        for key in (("stock.board", "stock.rod") if field_ == "stock" else (field_,))
    ),
    "Prices": tuple(Prices.model_fields),
    "Match": tuple(MatchRule.model_fields),
    "Fit": tuple(Fit.model_fields),
}
"""Sheets of keys and values, and their keys."""

ROW_SHEETS: dict[str, tuple[str, ...]] = {
    "Cloth": tuple(key for key in Cloth.model_fields if key != "pieces"),
    "Pieces": ("cloth", *Piece.model_fields),
    "Openings": tuple(Opening.model_fields),
}
"""Sheets of headings and rows, and their headings."""

NOTES = ("note", "notes")
"""Headings of columns for people only."""

LISTS = {"stock.board", "stock.rod"}
"""Keys that hold a list, written with ``;`` between."""

_TABLES = {
    "Job": "the top of the file",
    "Make": "[make]",
    "Prices": "[prices]",
    "Match": "[match]",
    "Fit": "[fit]",
    "Cloth": "[cloth.NAME]",
    "Pieces": "[[cloth.NAME.piece]]",
    "Openings": "[[opening]]",
}
"""What the sheets are in a job file."""


def tables_with(key: str) -> list[str]:
    """The tables of a job file that have a key."""
    return [_TABLES[sheet] for sheet in _sheets_with(key)]


def sheets_with(key: str) -> list[str]:
    """The sheets of a job's workbook that have a key."""
    return [f"sheet {sheet}" for sheet in _sheets_with(key)]


def _sheets_with(key: str) -> list[str]:
    return [sheet for sheet, keys in {**PAIR_SHEETS, **ROW_SHEETS}.items() if key in keys]
