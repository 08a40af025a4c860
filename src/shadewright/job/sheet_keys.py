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
