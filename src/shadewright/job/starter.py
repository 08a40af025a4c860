"""A commented job to start from, as text and as a workbook; both say the same."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path

from openpyxl import Workbook
from openpyxl.comments import Comment
from openpyxl.styles import Alignment, Font, NamedStyle, PatternFill
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.properties import PageSetupProperties
from openpyxl.worksheet.worksheet import Worksheet

from shadewright.job import starter_keys as keys
from shadewright.job.sheet_keys import LISTS
from shadewright.job.starter_keys import StarterKey, StarterValue
from shadewright.job.starter_lists import OFFERED_ON, offer

_HEADER = """\
# A job for Shadewright: the cloth, how the shades are made, and the openings to cover.
#
# Change it to suit, then see what it means:   shadewright check THIS-FILE
# and have it laid out:                        shadewright plan THIS-FILE
#
# A line with a # in front is not read. A key with a # in front shows what is used without it;
# take the # away to change it. (Shown are an inch job's defaults; a metric job has round metric
# ones.)
# A length is a bare number, in `units`, or a text such as "62 3/8 in", "5 ft 2 3/8 in", "1.58 m".
"""


_SECTIONS = (
    (
        "One table for each cloth; the word after the point is its short name.",
        f"[cloth.{keys.CLOTH_NAME}]",
        keys.CLOTH,
    ),
    (
        "Cloth on hand, used before any is bought: one table for each piece.",
        f"#[[cloth.{keys.CLOTH_NAME}.piece]]",
        keys.PIECE,
    ),
    ("How every shade is made.", "[make]", keys.MAKE),
    (
        "What hardware and work cost: money then counts them, shade by shade.",
        "[prices]",
        keys.PRICES,
    ),
    ("How the motif falls from shade to shade.", "[match]", keys.MATCH),
    ("What may be given up where cloth on hand is short, for the command fit.", "[fit]", keys.FIT),
    ("One table for each opening.", "[[opening]]", keys.OPENING),
)


def starter_toml() -> str:
    """The starter as a TOML file."""
    lines = [_HEADER, *_toml_lines(keys.JOB), ""]
    for comment, heading, section in _SECTIONS:
        lines += [f"# {comment}", heading, *_toml_lines(section), ""]
    for opening in keys.MORE_OPENINGS:
        lines += ["[[opening]]", *(f"{key} = {_toml(value)}" for key, value in opening.items()), ""]
    return "\n".join(lines)


def _toml_lines(lines: Iterable[StarterKey]) -> list[str]:
    return [
        f"{'' if line.stated else '#'}{line.key} = {_toml_value(line)}".ljust(37)
        + f" # {line.says}"
        for line in lines
    ]


def _toml_value(line: StarterKey) -> str:
    if line.key == "flaws":
        start, end = str(line.value).split(" to ")
        return f"[{{ from = {_toml(start)}, to = {_toml(end)} }}]"
    return _toml(line.value)


def _toml(value: StarterValue) -> str:
    # The starter's plain texts, numbers and lists are written alike in JSON and TOML.
    return json.dumps(value)


_INSTRUCTIONS = (
    "The sheets that follow hold a small job, which can be planned as it stands. Put yours in its "
    "place:",
    "  1. Sheet Job: a title, and the unit of numbers that you type without one.",
    "  2. Sheet Cloth: a row for each cloth, its name and width at least. For plain cloth, empty "
    "repeat_down and repeat_across.",
    "  3. Sheet Openings: a row for each opening, its name, width and height at least. Empty what "
    "is left of the example.",
    "Headings of what must be filled in are darker. All else may stay as it is: a blank cell takes "
    "its usual value.",
    "The usual values named here are an inch job's; a metric job has its own.",
    "Then save this file (as .xlsx) and type, in the window where you type commands:",
    "  shadewright check THIS-FILE.xlsx",
    "  shadewright plan THIS-FILE.xlsx --booklet paper.pdf",
    "",
    "A length is a bare number, in the units of sheet Job, or 62 3/8 in, 5 ft 2 3/8 in, 1.58 m.",
    "A range is written 2 to 5 or 2-5, and a list 36 in; 48 in; 72 in.",
    "Where few words will do, a cell offers them in a list; capitals make no difference.",
    "Columns and rows may stand in any order, and a column headed note is yours.",
)


# Enough empty rows, formatted as text, for a large house.
_READY_ROWS = 40


_HEADING, _NEEDED = "Column heading", "Must be filled in"
"""Names of the styles of headings."""
_FILLS = {_HEADING: "FFECE7DC", _NEEDED: "FFCDBB92"}

_MUST = "must be filled in"


def _heading(name: str) -> NamedStyle:
    """A style of headings; a workbook keeps it for itself."""
    font = Font(name="Calibri", size=11, bold=True)
    return NamedStyle(name=name, font=font, fill=PatternFill("solid", fgColor=_FILLS[name]))


_WRAPPED = Alignment(wrap_text=True, vertical="top")


def write_starter_xlsx(path: Path) -> None:
    """Write the starter as a workbook, over whatever is at `path`.

    Raises:
        OSError: the file cannot be written.
    """
    workbook = Workbook()
    for name in _FILLS:
        workbook.add_named_style(_heading(name))
    first = workbook.active
    assert isinstance(first, Worksheet)
    first.title = "Instructions"
    explained = {
        "Cloth": keys.CLOTH_COLUMNS,
        "Pieces": keys.PIECE_COLUMNS,
        "Openings": keys.OPENING,
    }
    _write_instructions(first, explained)
    cloth = {line.key: line.value for line in keys.CLOTH_COLUMNS if line.stated}
    opening = {line.key: line.value for line in keys.OPENING if line.stated}
    _write_pairs(workbook.create_sheet("Job"), keys.JOB)
    _write_rows(workbook.create_sheet("Cloth"), explained["Cloth"], [cloth])
    _write_rows(workbook.create_sheet("Pieces"), explained["Pieces"], [])
    _write_pairs(workbook.create_sheet("Make"), keys.MAKE)
    _write_pairs(workbook.create_sheet("Prices"), keys.PRICES)
    _write_pairs(workbook.create_sheet("Match"), keys.MATCH)
    _write_pairs(workbook.create_sheet("Fit"), keys.FIT)
    _write_rows(
        workbook.create_sheet("Openings"), explained["Openings"], [opening, *keys.MORE_OPENINGS]
    )
    workbook.save(path)


def _write_instructions(sheet: Worksheet, explained: Mapping[str, Sequence[StarterKey]]) -> None:
    for text in _INSTRUCTIONS:
        sheet.append([text])
    sheet.append([])
    sheet.append(["sheet", "column", "meaning", "left blank"])
    for cell in sheet[sheet.max_row]:
        cell.style = _HEADING
    for title, lines in explained.items():
        for line in lines:
            sheet.append([title, line.key, line.says_in_book, _blank_means(title, line)])
    _lay_out(sheet, (14, 16, 76, 22))


def _blank_means(sheet: str, line: StarterKey) -> str:
    """The default, where a key has one and it is no example; or that it must be there."""
    if line.needed:
        return _MUST
    return (
        "" if line.stated or line.example or sheet == "Pieces" else str(_cell(line.key, line.value))
    )


def _meaning(sheet: str, line: StarterKey) -> str:
    """What a key means, and what holds where its cell is blank."""
    blank = _blank_means(sheet, line)
    if line.needed:
        return f"{line.says_in_book}; {blank}"
    return line.says_in_book + (blank and f" (left blank: {blank})")


def _write_pairs(sheet: Worksheet, lines: Sequence[StarterKey]) -> None:
    sheet.append(["key", "value", "note"])
    for line in lines:
        value = _cell(line.key, line.value) if line.stated else None
        sheet.append([line.key, value, _meaning(sheet.title, line)])
        if line.needed:
            sheet.cell(sheet.max_row, 1).style = _NEEDED
        # A cell of text keeps 3/8 as it is typed, where others make a date of it.
        sheet.cell(sheet.max_row, 2).number_format = "@"
        sheet.cell(sheet.max_row, 3).alignment = _WRAPPED
        if sheet.title in OFFERED_ON:
            offer(sheet, line.key, [f"B{sheet.max_row}"], _READY_ROWS)
    _finish(sheet, (16, 26, 84))


def _write_rows(
    sheet: Worksheet, lines: Sequence[StarterKey], rows: Sequence[dict[str, StarterValue]]
) -> None:
    sheet.append([line.key for line in lines])
    for cell, line in zip(sheet[1], lines, strict=True):
        cell.comment = Comment(_meaning(sheet.title, line), "Shadewright")
    for row in rows:
        sheet.append(
            [_cell(line.key, row[line.key]) if line.key in row else None for line in lines]
        )
    for cells in sheet.iter_rows(min_row=2, max_row=_READY_ROWS, max_col=len(lines)):
        for cell in cells:
            cell.number_format = "@"
    for column, line in enumerate(lines, 1):
        letter = get_column_letter(column)
        offer(sheet, line.key, [f"{letter}2:{letter}{_READY_ROWS}"], _READY_ROWS)
    _finish(sheet, [max(14, len(line.key) + 3) for line in lines])
    for cell, line in zip(sheet[1], lines, strict=True):
        if line.needed:
            cell.style = _NEEDED


def _finish(sheet: Worksheet, widths: Sequence[float]) -> None:
    for cell in sheet[1]:
        cell.style = _HEADING
    sheet.freeze_panes = "A2"
    sheet.print_title_rows = "1:1"
    _lay_out(sheet, widths)


def _lay_out(sheet: Worksheet, widths: Sequence[float]) -> None:
    sheet.page_setup.orientation = "landscape"
    sheet.page_setup.fitToHeight = 0
    sheet.sheet_properties.pageSetUpPr = PageSetupProperties(fitToPage=True)
    for at, width in enumerate(widths, start=1):
        sheet.column_dimensions[get_column_letter(at)].width = width


def _cell(key: str, value: StarterValue) -> str | int | float:
    """A value as a cell holds it."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, list):
        return ("; " if key in LISTS else " to ").join(str(item) for item in value)
    return value
