"""What the starter workbook offers in a list beside a cell, where few words may stand there.

Lists only offer: whatever else a key takes can be typed all the same.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from types import MappingProxyType
from typing import get_args

from openpyxl.worksheet.datavalidation import DataValidation
from openpyxl.worksheet.worksheet import Worksheet

from shadewright.job.model import DrawRule, Lots, Runs, Strategy
from shadewright.job.woods import WOODS
from shadewright.measure import Unit

_YES_NO = ("yes", "no")
_LONGEST = 255
"""Signs that a list may have which stands in the cell's own rule."""

_OFFERED: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "units": get_args(Unit),
        "children": _YES_NO,
        "outdoors": _YES_NO,
        "runs": get_args(Runs),
        "start": ("any", "motif"),
        "column_shift": ("0", "half"),
        "can_buy": _YES_NO,
        "outdoor": _YES_NO,
        "side_folds": ("1", "2"),
        "take_up": ("computed",),
        "tassels": _YES_NO,
        "wood": tuple(WOODS),
        "strategy": get_args(Strategy),
        "centre_on": ("motif", "between"),
        "across": ("job", "opening"),
        "anchor": ("head", "sill", "wall"),
        "alternate": _YES_NO,
        "lots": get_args(Lots),
        "alike": _YES_NO,
        "mount": ("inside", "outside"),
        "widths": ("equal", "mirrored", "free"),
        "draw": get_args(DrawRule),
    }
)
_OF_OPENINGS = MappingProxyType({"runs": ("up the bolt", "railroaded", "either")})
_NAMES = MappingProxyType({"cloth": "Cloth", "like": "Openings"})
"""Keys that hold the name of a row of a sheet, whose first column has the names."""

OFFERED_ON = frozenset(("Job", "Cloth", "Pieces", "Make", "Match", "Openings"))
"""Sheets whose cells have lists. A key of another that is called the same costs something there."""


def offer(sheet: Worksheet, key: str, cells: Iterable[str], rows: int) -> None:
    """Offer what a key may be in a list beside each of some cells.

    Args:
        rows: of the sheets whose names are offered.
    """
    offered = {**_OFFERED, **_OF_OPENINGS} if sheet.title == "Openings" else _OFFERED
    # A piece on hand has a start too, and it is a length.
    words = "" if sheet.title == "Pieces" else ",".join(offered.get(key, ()))
    if key in _NAMES and sheet.title != _NAMES[key]:
        formula = f"{_NAMES[key]}!$A$2:$A${rows}"
    elif key in _NAMES:
        formula = f"$A$2:$A${rows}"
    elif words and len(words) <= _LONGEST:
        formula = f'"{words}"'
    else:
        return
    rule = DataValidation(type="list", formula1=formula, allow_blank=True, showErrorMessage=False)
    for cell in cells:
        rule.add(cell)
    sheet.add_data_validation(rule)
