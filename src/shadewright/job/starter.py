"""A commented job to start from, as text and as a workbook; both say the same."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from openpyxl import Workbook
from openpyxl.comments import Comment
from openpyxl.styles import Alignment, Font
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.properties import PageSetupProperties
from openpyxl.worksheet.worksheet import Worksheet

from shadewright.job.defaults import default_texts
from shadewright.job.sheets import LISTS

StarterValue = str | int | float | bool | list[int] | list[str]


@dataclass(frozen=True)
class _StarterKey:
    """A key of the starter.

    Attributes:
        key: as in the job file.
        value: what the starter states, or the default it shows.
        says: what the key means.
        stated: False where the key is left out, so that its default holds.
        example: whether the value shown is no default: without the key there is none.
    """

    key: str
    value: StarterValue
    says: str
    stated: bool = True
    example: bool = False


def _default(key: str, value: StarterValue, says: str) -> _StarterKey:
    return _StarterKey(key, value, says, stated=False)


def _example(key: str, value: StarterValue, says: str) -> _StarterKey:
    return _StarterKey(key, value, f"{says}; may be left out", stated=False, example=True)


def _usual(key: str, says: str) -> _StarterKey:
    """A key left out whose default is a length, or several."""
    texts = default_texts(key, metric=False)
    return _default(key, list(texts) if len(texts) > 1 else texts[0], says)


_JOB = (
    _StarterKey("title", "Garden room by the pond", "what the plan is headed with"),
    _StarterKey("units", "in", "unit of bare numbers: in, ft, yd, mm, cm or m"),
    _usual("step", "cutting precision: sizes are whole numbers of these"),
    _default("children", False, "true (in a workbook, yes): small children live or visit"),
    _default("outdoors", False, "true (in a workbook, yes): sun or weather reaches them"),
)

_CLOTH_NAME = "leaf"
_CLOTH = (
    _StarterKey("width", 54, "selvedge to selvedge, as sold"),
    _StarterKey("selvedge", "1/2 in", "unusable at each edge; 0 if left out"),
    _StarterKey("repeat_down", 13.5, "motif to motif up and down; left out for plain cloth"),
    _StarterKey("repeat_across", 9, "motif to motif sideways; left out for plain cloth"),
    _default("column_shift", 0, '0 (straight match), "half" (half-drop), or a length'),
    _default("motif_at", 4.5, "usable edge to a motif's centre: here half the repeat"),
    _default("runs", "up the bolt", '"up the bolt" or "railroaded"; plain cloth also "either"'),
    _default("start", "any", 'the bolt begins anywhere, at a "motif", or a length before'),
    _StarterKey("price", 24.5, "money per yard (per metre in a metric job)"),
    _usual("sold_in", "the shop sells whole numbers of these"),
    _default("can_buy", True, "false (in a workbook, no): use only pieces on hand"),
    _StarterKey("weight", "7 oz/yd^2", "of an area; may be left out"),
    _StarterKey("thickness", "0.018 in", "may be left out"),
    _StarterKey("outdoor", True, "rated for outdoor use; may be left out"),
    _default("shrink_down", 0, "lost along the bolt in a first wash: 0.03 is 3 in 100"),
    _default("shrink_across", 0, "lost across the bolt"),
)

_PIECE = (
    _default("name", "shelf roll", "any name but bolt"),
    _default("length", "7 yd 12 in", "cut end to cut end"),
    _default("start", "3 in", "its cut end to the first motif row"),
    _default("lot", "A", "dye lot, if it matters"),
    _default("flaws", "2 yd 4 in to 2 yd 7 in", "stretches to keep clear of, from its start"),
)

_MAKE = (
    _usual("side_fold", "depth of one fold of a side hem"),
    _default("side_folds", 2, "2 is a double hem, 1 a single one"),
    _default("lining", "none", "none, or the name of a cloth above"),
    _usual("seam", "seam at each side of a lined shade, which has no side hems"),
    _usual("board", "side of the square top board"),
    _usual("rod", "diameter of the bottom rod"),
    _usual("board_pocket", "depth of the top pocket, laid flat"),
    _usual("rod_pocket", "depth of the bottom pocket, laid flat"),
    _usual("turn_under", "raw edge turned in at each pocket"),
    _default("take_up", "computed", "length lost to open pockets: computed, or a length in all"),
    _usual("square_up", "trimmed off each piece of cloth so that it starts square"),
    _usual("stick_short", "boards and rods are this much shorter than the shade"),
    _usual("lift_inset", "lift lines in from each side edge"),
    _usual("guide_inset", "draw guide in from the end of the board"),
    _usual("tail", "cord below the guide when the shade is down"),
    _example("tail_reach", "48 in", "instead of tail: height above the floor"),
    _usual("knot", "cord spent on tying it to its eye"),
    _usual("cord_reel", "length of cord on a reel as sold"),
    _default("tassels", False, "true (in a workbook, yes): a tassel on every cord"),
    _example("eye_shank", "5/8 in", "of a screw eye's thread, to be checked"),
    _example("hook_opening", "2 in", "clear opening of a cup hook, to be checked"),
    _default("wood", "eastern white pine", "of boards and rods: a wood, or its stiffness"),
    _usual("stock.board", "lengths that boards are sold in"),
    _usual("stock.rod", "lengths that rods are sold in"),
    _usual("kerf", "wood lost to each saw cut"),
    _usual("most_sag", "that a board or rod may sag between its supports"),
    _default("wet_factor", 2, "times heavier that cloth is reckoned to be when wet"),
    _default("shade_cost", 0, "money each shade costs besides cloth"),
)

_MATCH = (
    _StarterKey("strategy", "level", "plain, level, centred or continuous"),
    _default("centre_on", "motif", "motif or between (two motifs): what falls on the centre line"),
    _default("across", "job", "job or opening: how far the motif stays at one height"),
    _default("anchor", "head", "head, sill or wall: where the motif is at one height"),
    _default("lots", "opening", "opening, job or none: what is cut from one dye lot"),
)

_FIT = (
    _default("gaps", 1, "cost of wider gaps; false, here and below, forbids it"),
    _default("mirrored", 2, "of widths equal from either side only"),
    _default("free", 3, "of any widths"),
    _default("overlap", 2, "of less overlap, outside mounts"),
    _default("hem", 3, "of narrower folds of the side hems"),
    _default("single", 4, "of single side hems"),
    _default("match", 4, "of each step to a weaker match"),
    _default("railroad", 5, "of cloth laid railroaded"),
    _default("lining", 3, "of another lining"),
    _default("leave_out", 20, "of each opening left out"),
    _usual("widest_gap", "that a gap may grow to"),
    _usual("least_fold", "that a fold of a side hem may shrink to"),
    _default("least_overlap", 0, "that an overlap may shrink to"),
    _example("other_lining", "leaf", "a cloth above, to line with instead"),
)

_OPENING = (
    _StarterKey("name", "North windows", "each opening has its own"),
    _StarterKey("width", "10 ft 8 3/8 in", "of the opening itself, not of the shades"),
    _StarterKey("height", 64, "of the opening itself"),
    _default("copies", 1, "how many openings are just like this"),
    _StarterKey("cloth", _CLOTH_NAME, "may be left out where there is one cloth"),
    _default("mount", "inside", "inside, or outside (over the wall around it)"),
    _usual("clearance", "left free at each side, inside mount"),
    _default("overlap", 0, "covered beyond each side and the top, outside mount"),
    _StarterKey("shades", [3, 4], "or one number; left out: the fewest that fit to two more"),
    _usual("gap", "least and most between neighbouring shades, or one length"),
    _default("widths", "equal", "equal, mirrored or free"),
    _usual("narrowest", "finished shade, where the opening is divided"),
    _usual("widest", "finished shade"),
    _default("head", 0, 'height of its top above a common line, for the anchor "wall"'),
    _default("draw", "auto", "left, right, centre, or auto: to its own side"),
    _example("head_above_floor", "84 in", "height of its top above the floor"),
    _example("depth", "3 in", "of the recess, inside mount"),
)

_MORE_OPENINGS: tuple[dict[str, StarterValue], ...] = (
    {"name": "Garden door", "width": 61.5, "height": "6 ft 10 in", "cloth": _CLOTH_NAME},
    {"name": "East window", "width": 40, "height": 58.25, "copies": 2, "cloth": _CLOTH_NAME},
)

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


def starter_toml() -> str:
    """The starter as a TOML file."""
    return "\n".join(
        [
            _HEADER,
            *_toml_lines(_JOB),
            "",
            "# One table for each cloth; the word after the point is its short name.",
            f"[cloth.{_CLOTH_NAME}]",
            *_toml_lines(_CLOTH),
            "",
            "# Cloth on hand, used before any is bought: one table for each piece.",
            f"#[[cloth.{_CLOTH_NAME}.piece]]",
            *_toml_lines(_PIECE),
            "",
            "# How every shade is made.",
            "[make]",
            *_toml_lines(_MAKE),
            "",
            "# How the motif falls from shade to shade.",
            "[match]",
            *_toml_lines(_MATCH),
            "",
            "# What may be given up where cloth on hand is short, for the command fit.",
            "[fit]",
            *_toml_lines(_FIT),
            "",
            "# One table for each opening.",
            "[[opening]]",
            *_toml_lines(_OPENING),
            *(
                line
                for opening in _MORE_OPENINGS
                for line in (
                    "",
                    "[[opening]]",
                    *(f"{key} = {_toml(value)}" for key, value in opening.items()),
                )
            ),
            "",
        ]
    )


def _toml_lines(lines: Iterable[_StarterKey]) -> list[str]:
    return [
        f"{'' if line.stated else '#'}{line.key} = {_toml_value(line)}".ljust(37)
        + f" # {line.says}"
        for line in lines
    ]


def _toml_value(line: _StarterKey) -> str:
    if line.key == "flaws":
        start, end = str(line.value).split(" to ")
        return f"[{{ from = {_toml(start)}, to = {_toml(end)} }}]"
    return _toml(line.value)


def _toml(value: StarterValue) -> str:
    # The starter's plain texts, numbers and lists are written alike in JSON and TOML.
    return json.dumps(value)


_INSTRUCTIONS = (
    "The sheets that follow hold a job that can be planned as it stands. Change it to suit.",
    "See what it means: shadewright check THIS-FILE. Have it laid out: shadewright plan THIS-FILE.",
    "A length is a bare number, in the units of sheet Job, or 62 3/8 in, 5 ft 2 3/8 in, 1.58 m.",
    "A range is written 2 to 5, and a list 36 in; 48 in; 72 in.",
    "A blank cell takes its default; those named here are an inch job's, a metric job has its own.",
    "Columns and rows may stand in any order, and a column headed note is yours.",
)

# Enough empty rows, formatted as text, for a large house.
_READY_ROWS = 40

_BOLD = Font(name="Calibri", size=11, bold=True)
_WRAPPED = Alignment(wrap_text=True, vertical="top")


def write_starter_xlsx(path: Path) -> None:
    """Write the starter as a workbook, over whatever is at `path`.

    Raises:
        OSError: the file cannot be written.
    """
    workbook = Workbook()
    first = workbook.active
    assert isinstance(first, Worksheet)
    first.title = "Instructions"
    explained = {"Cloth": _cloth_columns(), "Pieces": _piece_columns(), "Openings": _OPENING}
    _write_instructions(first, explained)
    cloth = {line.key: line.value for line in _cloth_columns() if line.stated}
    opening = {line.key: line.value for line in _OPENING if line.stated}
    _write_pairs(workbook.create_sheet("Job"), _JOB)
    _write_rows(workbook.create_sheet("Cloth"), explained["Cloth"], [cloth])
    _write_rows(workbook.create_sheet("Pieces"), explained["Pieces"], [])
    _write_pairs(workbook.create_sheet("Make"), _MAKE)
    _write_pairs(workbook.create_sheet("Match"), _MATCH)
    _write_pairs(workbook.create_sheet("Fit"), _FIT)
    _write_rows(
        workbook.create_sheet("Openings"), explained["Openings"], [opening, *_MORE_OPENINGS]
    )
    workbook.save(path)


def _cloth_columns() -> tuple[_StarterKey, ...]:
    return (_StarterKey("name", _CLOTH_NAME, "its short name"), *_CLOTH)


def _piece_columns() -> tuple[_StarterKey, ...]:
    examples = (replace(line, says=f"{line.says}, such as {line.value}") for line in _PIECE)
    return (_default("cloth", _CLOTH_NAME, "may be left out where there is one cloth"), *examples)


def _write_instructions(sheet: Worksheet, explained: Mapping[str, Sequence[_StarterKey]]) -> None:
    for text in _INSTRUCTIONS:
        sheet.append([text])
    sheet.append([])
    sheet.append(["sheet", "column", "meaning", "left blank"])
    for cell in sheet[sheet.max_row]:
        cell.font = _BOLD
    for title, lines in explained.items():
        for line in lines:
            sheet.append([title, line.key, line.says, _blank_means(title, line)])
    _lay_out(sheet, (14, 16, 76, 22))


def _blank_means(sheet: str, line: _StarterKey) -> str:
    """The default, where a key has one and it is no example."""
    return (
        "" if line.stated or line.example or sheet == "Pieces" else str(_cell(line.key, line.value))
    )


def _write_pairs(sheet: Worksheet, lines: Sequence[_StarterKey]) -> None:
    sheet.append(["key", "value", "note"])
    for line in lines:
        default = _blank_means(sheet.title, line)
        default = default and f" (left blank: {default})"
        sheet.append(
            [line.key, _cell(line.key, line.value) if line.stated else None, line.says + default]
        )
        # A cell of text keeps 3/8 as it is typed, where others make a date of it.
        sheet.cell(sheet.max_row, 2).number_format = "@"
        sheet.cell(sheet.max_row, 3).alignment = _WRAPPED
    _finish(sheet, (16, 26, 84))


def _write_rows(
    sheet: Worksheet, lines: Sequence[_StarterKey], rows: Sequence[dict[str, StarterValue]]
) -> None:
    sheet.append([line.key for line in lines])
    for cell, line in zip(sheet[1], lines, strict=True):
        default = _blank_means(sheet.title, line)
        cell.comment = Comment(
            f"{line.says}{default and f' (left blank: {default})'}", "Shadewright"
        )
    for row in rows:
        sheet.append(
            [_cell(line.key, row[line.key]) if line.key in row else None for line in lines]
        )
    for cells in sheet.iter_rows(min_row=2, max_row=_READY_ROWS, max_col=len(lines)):
        for cell in cells:
            cell.number_format = "@"
    _finish(sheet, [max(14, len(line.key) + 3) for line in lines])


def _finish(sheet: Worksheet, widths: Sequence[float]) -> None:
    for cell in sheet[1]:
        cell.font = _BOLD
    sheet.freeze_panes = "A2"
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
