"""Reading jobs: both forms, every default, every problem at its place, and the starter."""

from __future__ import annotations

import copy
import datetime
import math
import re
import tomllib
from collections.abc import Callable
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st
from openpyxl import Workbook, load_workbook

from shadewright.job.giving_up import Fit
from shadewright.job.model import Cloth, Flaw, Job, Make, MatchRule, Opening, Piece, Prices, Stock
from shadewright.job.problems import FileProblem, JobError
from shadewright.job.read import build_job, read_job
from shadewright.job.sheet_keys import PAIR_SHEETS, ROW_SHEETS
from shadewright.job.source import Source
from shadewright.job.starter import starter_toml, write_starter_xlsx
from shadewright.job.woods import UNNAMED_GRAVITY, WOODS, Timber
from shadewright.measure import TICKS, parse_length
from shadewright.planning.concessions import settings as settings_of
from shadewright.trade.counts import counts

INCH, MM = TICKS["in"], TICKS["mm"]


def ticks(text: str) -> int:
    return parse_length(text, "in")


def written(
    tmp_path: Path,
    top: str = 'title = "Porch"',
    cloth: str = "[cloth.stripe]\nwidth = 54",
    rest: str = "",
    opening: str = '[[opening]]\nname = "West bay"\nwidth = 60\nheight = 78',
) -> Path:
    path = tmp_path / "porch.toml"
    path.write_text("\n".join([top, cloth, rest, opening]), encoding="utf-8")
    return path


def problems_of(path: Path) -> list[str]:
    with pytest.raises(JobError) as caught:
        read_job(path)
    lines = str(caught.value).splitlines()
    assert lines == [problem.of(str(path)) for problem in caught.value.problems]
    return [str(problem) for problem in caught.value.problems]


# --- what a job means -------------------------------------------------------------------------


def test_the_least_job_takes_the_inch_defaults(tmp_path: Path) -> None:
    assert read_job(written(tmp_path)) == Job(
        title="Porch",
        units="in",
        step=INCH // 16,
        cloths=(
            Cloth(
                name="stripe",
                width=54 * INCH,
                selvedge=0,
                repeat_down=None,
                repeat_across=None,
                column_shift=0,
                motif_at=0,
                runs="either",
                start="any",
                price=None,
                sold_in=ticks("4 1/2 in"),
                can_buy=True,
                weight=None,
                thickness=None,
                outdoor=None,
                shrink_down=Fraction(0),
                shrink_across=Fraction(0),
            ),
        ),
        make=Make(
            side_fold=INCH,
            side_folds=2,
            lining=None,
            seam=ticks("1/2 in"),
            board=ticks("3/4 in"),
            rod=ticks("5/8 in"),
            board_pocket=ticks("1 3/4 in"),
            rod_pocket=ticks("1 1/2 in"),
            turn_under=ticks("1/2 in"),
            take_up="computed",
            square_up=INCH,
            stick_short=ticks("1/4 in"),
            lift_inset=None,
            guide_inset=INCH,
            hook_drop=INCH,
            tail=18 * INCH,
            knot=3 * INCH,
            tail_reach=None,
            cord_reel=3600 * INCH,
            tassels=False,
            eye_shank=None,
            hook_opening=None,
            most_sag=INCH // 4,
            wet_factor=Fraction(2),
            wood=WOODS["eastern white pine"],
            stock=Stock(board=(96 * INCH,), rod=(36 * INCH, 48 * INCH, 72 * INCH)),
            kerf=ticks("1/8 in"),
            extra_shade=36 * INCH,
            shade_cost=None,
        ),
        match=MatchRule(strategy=None, centre_on="motif", across="job", anchor="head"),
        openings=(
            Opening(
                name="West bay",
                width=60 * INCH,
                height=78 * INCH,
                copies=1,
                cloth="stripe",
                mount="inside",
                clearance=ticks("1/4 in"),
                overlap=0,
                shades=None,
                gap=(ticks("1/4 in"), ticks("1/2 in")),
                widths="equal",
                narrowest=18 * INCH,
                widest=72 * INCH,
                head=0,
                draw="auto",
                head_above_floor=None,
                depth=None,
            ),
        ),
    )


@pytest.mark.parametrize(("unit", "size"), [("mm", 1), ("cm", 10), ("m", 1000)])
def test_metric_jobs_take_round_metric_defaults(tmp_path: Path, unit: str, size: int) -> None:
    job = read_job(
        written(
            tmp_path,
            f'title = "Porch"\nunits = "{unit}"',
            f"[cloth.stripe]\nwidth = {1370 / size}",
            opening=f'[[opening]]\nname = "Bay"\nwidth = {1500 / size}\nheight = {2000 / size}',
        )
    )
    assert job.metric
    assert job.step == MM
    assert job.price_unit == 1000 * MM
    cloth, make, opening = job.cloths[0], job.make, job.openings[0]
    assert cloth.width == 1370 * MM
    assert cloth.sold_in == 100 * MM
    lengths = {
        "side_fold": 25, "seam": 12, "board": 20, "rod": 16, "board_pocket": 45, "rod_pocket": 38,
        "turn_under": 12, "square_up": 25, "stick_short": 6, "guide_inset": 25,
        "tail": 450, "knot": 75, "kerf": 3, "most_sag": 6, "cord_reel": 100_000,
    }  # fmt: skip
    assert {key: getattr(make, key) for key in lengths} == {
        key: size * MM for key, size in lengths.items()
    }
    assert make.stock == Stock(board=(2400 * MM,), rod=(900 * MM, 1200 * MM, 1800 * MM))
    assert (opening.width, opening.height) == (1500 * MM, 2000 * MM)
    assert (opening.clearance, opening.gap) == (6 * MM, (6 * MM, 12 * MM))
    assert (opening.narrowest, opening.widest) == (450 * MM, 1800 * MM)


FULL = """
title = "Sleeping porch"
units = "in"
step = "1/8 in"

[cloth.stripe]
width = 54
selvedge = 0.5
repeat_down = "64 cm"
repeat_across = 13.5
column_shift = "half"
motif_at = 6
runs = "railroaded"
start = "3 in"
price = 38.5
sold_in = "1/4 yd"
can_buy = false
bolt = "60 yd"
spare = "1 panel"
weight = "9.25 oz/yd^2"
thickness = "0.022 in"
outdoor = true
shrink_down = 0.03
shrink_across = 0.015

[[cloth.stripe.piece]]
name = "shelf roll"
length = "7 yd 12 in"
start = "3 in"
lot = "A"
flaws = [
    { from = "2 yd 4 in", to = "2 yd 7 in" },
    { from = 200, to = 201.5, left = 10, right = 12 },
]

[[cloth.stripe.piece]]
name = "remnant"
length = "2 m"

[cloth.sheet]
width = "150 cm"

[make]
side_fold = 0.75
side_folds = 1
lining = "sheet"
seam = "1 cm"
board = 1
rod = 0.5
board_pocket = 2.25
rod_pocket = 1.25
turn_under = 0.25
take_up = 1.5
square_up = 1.01
stick_short = 0.5
lift_inset = 4
guide_inset = 1.5
hook_drop = 0.8
tail = "2 ft"
tail_reach = 40
knot = 2
cord_reel = "50 yd"
tassels = true
eye_shank = "3/8 in"
hook_opening = 1.25
most_sag = "2 mm"
wet_factor = 1.5
table = "9 ft"
wood = "8.5 GPa"
stock = { board = 72, rod = ["4 ft", "2 m"] }
kerf = "3 mm"
extra_shade = "2 yd"
shade_cost = 12.35

[prices]
hook = 0.6
board = 4.5
rod = { "4 ft" = 2.5 }
minutes = 45

[match]
strategy = "continuous"
lots = "job"
centre_on = "between"
across = "opening"
anchor = "wall"
alternate = true
motif_below = "4 1/2"

[fit]
gaps = 7
mirrored = false
alike = 2
free = 5
overlap = 4
hem = 9
single = false
alternate = 3
match = 8
railroad = 6
lining = 3
leave_out = 50
widest_gap = "2 cm"
least_fold = 0.5
least_overlap = 1
other_lining = "stripe"

[[opening]]
name = "West bay"
width = 142
height = "6 ft 6 in"
copies = 3
cloth = "stripe"
mount = "outside"
clearance = 0
overlap = 2
overlap_bottom = 1.01
shades = [2, 5]
gap = ["1 cm", "2 cm"]
widths = "mirrored"
narrowest = "50 cm"
widest = "5 ft"
head = -12
draw = "centre"
head_above_floor = "8 ft"
depth = 3
alike = false
like = "Door"
runs = "railroaded"

[[opening]]
name = "Door"
width = 36
height = 80
cloth = "sheet"
sill_gap = "1/2 in"
shades = 1
gap = 0.5
head_above_floor = 84
"""

# The same in the workbook's sheets, with what people do there: texts for numbers, headings in
# plain words, blank lines, notes, sheets of their own.
FULL_SHEETS: dict[str, list[list[object]]] = {
    "My own notes": [["buy thread"]],
    "Job": [
        ["key", "value", "note"],
        ["title", "Sleeping porch", "=1+"],
        ["units", "in"],
        ["step", "1/8 in"],
    ],
    "Cloth": [
        [
            "name", "width", "selvedge", "repeat down", "repeat_across", "column_shift", "motif_at",
            "Runs", "start", "price", "sold_in", "can_buy", "weight", "thickness", "outdoor",
            "shrink_down", "shrink_across", "bolt", "spare", "note",
        ],
        [
            "stripe", "54", 0.5, "64 cm", 13.5, "half", 6.0,
            "railroaded", "3 in", "38.5", "1/4 yd", "no", "9.25 oz/yd^2", "0.022 in", True,
            0.03, "0.015", "60 yd", "1 panel", "blue",
        ],
        [],
        ["sheet", "150 cm"],
    ],
    "Pieces": [
        ["cloth", "name", "length", "start", "lot", "flaws"],
        [
            "stripe", "shelf roll", "7 yd 12 in", "3 in", "A",
            "2 yd 4 in to 2 yd 7 in; 200 to 201.5 at 10 to 12",
        ],
        ["stripe", "remnant", "2 m"],
    ],
    "Make": [
        ["key", "value"],
        ["side_fold", 0.75], ["side_folds", "1"], ["lining", "sheet"], ["seam", "1 cm"],
        ["board", 1], ["rod", 0.5], ["board_pocket", 2.25], ["rod_pocket", 1.25],
        ["Cords", None],
        ["turn_under", 0.25], ["take_up", 1.5], ["square_up", 1.01], ["stick_short", 0.5],
        ["lift_inset", 4], ["guide_inset", 1.5], ["hook_drop", 0.8], ["tail", "2 ft"], ["knot", 2],
        ["tail_reach", 40], ["cord_reel", "50 yd"], ["tassels", "yes"], ["eye_shank", "3/8 in"],
        ["hook_opening", 1.25], ["most_sag", "2 mm"], ["wet_factor", 1.5], ["table", "9 ft"],
        ["wood", "8.5 GPa"], ["stock.board", 72], ["stock.rod", "4 ft; 2 m"], ["kerf", "3 mm"],
        ["extra_shade", "2 yd"], ["shade_cost", 12.35],
    ],
    "Prices": [["hook", 0.6], ["board", 4.5], ["rod", "4 ft = 2.5"], ["minutes", 45]],
    "Match": [
        ["strategy", "continuous"], ["centre_on", "between"], ["across", "opening"],
        ["anchor", "wall"], ["lots", "job"], ["alternate", "yes"], ["motif_below", "4 1/2"],
    ],
    "Fit": [
        ["gaps", 7], ["mirrored", "no"], ["free", 5], ["alike", 2], ["overlap", 4], ["hem", 9],
        ["single", "no"],
        ["alternate", 3], ["match", 8], ["railroad", 6], ["lining", 3], ["leave_out", 50],
        ["widest_gap", "2 cm"],
        ["least_fold", 0.5], ["least_overlap", 1], ["other_lining", "stripe"],
    ],
    "Openings": [
        [
            "width", "name", "height", "copies", "cloth", "mount", "clearance", "overlap", "shades",
            "gap", "widths", "narrowest", "widest", "head", "draw", "head_above_floor", "depth",
            "alike", "like", "runs",
            "overlap_bottom", "sill gap",
        ],
        [
            142, " West bay ", "6 ft 6 in", 3.0, "stripe", "outside", 0, 2, "2 to 5",
            "1 cm to 2 cm", "mirrored", "50 cm", "5 ft", -12, "centre", "8 ft", 3,
            "no", "Door", "Railroaded",
            1.01,
        ],
        [36, "Door", 80, None, "sheet", None, None, " ", 1, 0.5, *[None] * 5, 84, *[None] * 5, 0.5],
    ],
}  # fmt: skip


def workbook(path: Path, sheets: dict[str, list[list[Any]]]) -> Path:
    book = Workbook()
    for title, rows in sheets.items():
        sheet = book.create_sheet(title)
        for number, row in enumerate(rows, start=1):
            for column, value in enumerate(row, start=1):
                sheet.cell(number, column, value)
    del book["Sheet"]
    book.save(path)
    return path


def test_every_section_is_read(tmp_path: Path) -> None:
    path = tmp_path / "full.toml"
    path.write_text(FULL, encoding="utf-8")
    job = read_job(path)
    step = INCH // 8
    assert (job.title, job.units, job.step) == ("Sleeping porch", "in", step)
    stripe, sheet = job.cloths
    assert stripe == Cloth(
        name="stripe",
        width=54 * INCH,
        selvedge=INCH // 2,
        repeat_down=640 * MM,
        repeat_across=ticks("13 1/2 in"),
        column_shift=320 * MM,
        motif_at=6 * INCH,
        runs="railroaded",
        start=3 * INCH,
        price=Fraction("38.5"),
        sold_in=9 * INCH,
        can_buy=False,
        bolt=60 * 36 * INCH,
        spare="1 panel",
        weight=stripe.weight,
        thickness=stripe.thickness,
        outdoor=True,
        shrink_down=Fraction(3, 100),
        shrink_across=Fraction(15, 1000),
        pieces=(
            Piece(
                name="shelf roll",
                length=ticks("264 in"),
                start=3 * INCH,
                lot="A",
                flaws=(
                    Flaw(start=76 * INCH, end=79 * INCH),
                    Flaw(
                        start=200 * INCH,
                        end=ticks("201 1/2 in"),
                        left=10 * INCH,
                        right=12 * INCH,
                    ),
                ),
            ),
            Piece(name="remnant", length=2000 * MM),
        ),
    )
    assert stripe.weight == pytest.approx(313.628, abs=0.001)
    assert stripe.thickness == pytest.approx(0.022 * 25.4, rel=1e-12)
    assert (sheet.width, sheet.runs) == (1500 * MM, "either")
    assert job.make == Make(
        side_fold=ticks("3/4 in"),
        side_folds=1,
        lining="sheet",
        seam=10 * MM,
        board=INCH,
        rod=INCH // 2,
        board_pocket=ticks("2 1/4 in"),
        rod_pocket=ticks("1 1/4 in"),
        turn_under=INCH // 4,
        take_up=ticks("1 1/2 in"),
        square_up=9 * step,  # 1.01 in, up to the step
        stick_short=INCH // 2,
        lift_inset=4 * INCH,
        guide_inset=ticks("1 1/2 in"),
        hook_drop=7 * step,  # 0.8 in, up to the step
        tail=24 * INCH,
        knot=2 * INCH,
        tail_reach=40 * INCH,
        cord_reel=1800 * INCH,
        tassels=True,
        eye_shank=ticks("3/8 in"),
        hook_opening=ticks("1 1/4 in"),
        most_sag=2 * MM,
        wet_factor=Fraction(3, 2),
        table=108 * INCH,
        wood=Timber("wood of 8500 MPa", 8500.0, UNNAMED_GRAVITY),
        stock=Stock(board=(72 * INCH,), rod=(48 * INCH, 2000 * MM)),
        kerf=3 * MM,
        extra_shade=72 * INCH,
        shade_cost=Fraction("12.35"),
    )
    assert job.prices == Prices(
        hook=Fraction("0.6"),
        board=((72 * INCH, Fraction("4.5")),),
        rod=((48 * INCH, Fraction("2.5")),),
        minutes=Fraction(45),
    )
    assert job.match == MatchRule(
        strategy="continuous",
        centre_on="between",
        across="opening",
        anchor="wall",
        lots="job",
        alternate=True,
        motif_below=9 * INCH // 2,
    )
    assert job.fit == Fit(
        gaps=7,
        mirrored=None,
        free=5,
        alike=2,
        overlap=4,
        hem=9,
        single=None,
        alternate=3,
        match=8,
        railroad=6,
        lining=3,
        leave_out=50,
        widest_gap=6 * step,  # 6.3 eighths, down to the step
        least_fold=INCH // 2,
        least_overlap=INCH,
        other_lining="stripe",
    )
    bay, door = job.openings
    assert bay == Opening(
        name="West bay",
        width=142 * INCH,
        height=78 * INCH,
        copies=3,
        cloth="stripe",
        mount="outside",
        clearance=0,
        overlap=2 * INCH,
        overlap_bottom=9 * step,  # 1.01 in, up to the step
        shades=(2, 5),
        # 1 cm and 2 cm are 3.15 and 6.30 eighths: the low end goes up, the high end down.
        gap=(4 * step, 6 * step),
        widths="mirrored",
        narrowest=158 * step,  # 50 cm is 157.48 eighths
        widest=60 * INCH,
        head=-12 * INCH,
        draw="centre",
        head_above_floor=96 * INCH,
        depth=3 * INCH,
        alike=False,
        like="Door",
        runs="railroaded",
    )
    assert (door.shades, door.gap, door.cloth) == ((1, 1), (4 * step, 4 * step), "sheet")
    assert (bay.sill_gap, door.sill_gap, door.overlap_bottom) == (0, INCH // 2, 0)
    assert job.strategy(sheet) == "plain"


def test_a_draw_for_each_shade_is_a_list_or_words_with_commas(tmp_path: Path) -> None:
    head = ["name", "width", "height", "draw"]
    sheets = least_sheets()
    sheets["Openings"] = [head, ["West bay", 60, 78, "left, Centre ,right"]]
    from_sheet = read_job(workbook(tmp_path / "draws.xlsx", sheets)).openings[0]
    assert from_sheet.draw == ("left", "centre", "right")
    for stated in ('["left", "centre", "right"]', '"left, centre, right"'):
        opening = read_job(written(tmp_path, opening=f"{OPENING}\ndraw = {stated}")).openings[0]
        assert opening.draw == ("left", "centre", "right")
        assert opening.shades == (3, 3)
    single = read_job(written(tmp_path, opening=f'{OPENING}\ndraw = ["left"]')).openings[0]
    assert (single.draw, single.shades) == (("left",), (1, 1))


@pytest.mark.parametrize(
    ("lines", "told"),
    [
        ('draw = ["left", "right"]\nshades = [3, 5]', "found 2 draws, wanted one draw for each "),
        ('draw = ["left", "right"]\nshades = 3', "one draw for each shade, 3"),
        ("draw = []", 'wanted "left", "right", "centre" or "auto", or a list'),
        ('draw = ["left", "rihgt"]', "did you mean right?"),
        ('draw = ["left", 3]', "or a list of at most 60 of them"),
    ],
)
def test_draws_that_do_not_suit_are_told_with_their_place(
    tmp_path: Path, lines: str, told: str
) -> None:
    (problem,) = problems_of(written(tmp_path, opening=f"{OPENING}\n{lines}"))
    assert problem.startswith(f"{IN_BAY} draw: ")
    assert told in problem


def test_listed_draws_within_the_range_of_shades_settle_it(tmp_path: Path) -> None:
    opening = f'{OPENING}\ndraw = ["left", "right"]\nshades = [1, 4]'
    assert read_job(written(tmp_path, opening=opening)).openings[0].shades == (2, 2)


def test_a_workbook_says_the_same_as_a_text(tmp_path: Path) -> None:
    toml = tmp_path / "full.toml"
    toml.write_text(FULL, encoding="utf-8")
    from_sheets = read_job(workbook(tmp_path / "full.xlsx", FULL_SHEETS))
    from_text = read_job(toml)
    assert from_sheets == from_text


def test_the_workbooks_sheets_have_every_key_of_a_job() -> None:
    raw = tomllib.loads(FULL)
    make = raw["make"]
    make |= {f"stock.{stick}": length for stick, length in make.pop("stock").items()}
    assert set(make) == set(PAIR_SHEETS["Make"])
    assert set(raw["match"]) == set(PAIR_SHEETS["Match"])
    assert set(raw["fit"]) == set(PAIR_SHEETS["Fit"])
    assert {"title", "units", "step", "children", "outdoors"} == set(PAIR_SHEETS["Job"])
    cloth = raw["cloth"]["stripe"]
    assert {"name", "cloth", *cloth["piece"][0]} == set(ROW_SHEETS["Pieces"])
    assert {"name", *cloth} - {"piece"} == set(ROW_SHEETS["Cloth"])
    assert set().union(*raw["opening"]) == set(ROW_SHEETS["Openings"])


def test_bare_numbers_are_in_the_jobs_unit(tmp_path: Path) -> None:
    cloth = "[cloth.stripe]\nwidth = 1.5\nweight = {}\nthickness = 0.001"
    metric = read_job(
        written(
            tmp_path,
            'title = "Porch"\nunits = "m"',
            cloth.format(300),
            opening='[[opening]]\nname = "Bay"\nwidth = "60 in"\nheight = 2',
        )
    )
    assert metric.cloths[0].width == 1500 * MM
    assert metric.cloths[0].weight == 300
    assert metric.cloths[0].thickness == pytest.approx(1)
    assert metric.openings[0].width == 1524 * MM  # an inch length in a metric job
    inch = read_job(
        written(
            tmp_path,
            'title = "Porch"\nunits = "yd"',
            cloth.format(9.25),
            opening='[[opening]]\nname = "Bay"\nwidth = "152.4 cm"\nheight = 2',
        )
    )
    assert inch.cloths[0].width == 54 * INCH
    assert inch.cloths[0].weight == pytest.approx(313.628, abs=0.001)
    assert inch.cloths[0].thickness == pytest.approx(0.9144)
    assert inch.openings[0].width == 60 * INCH


@pytest.mark.parametrize("price", ["38.1", "0.1", "19.99", "12"])
def test_money_is_exact(tmp_path: Path, price: str) -> None:
    job = read_job(written(tmp_path, cloth=f"[cloth.stripe]\nwidth = 54\nprice = {price}"))
    assert job.cloths[0].price == Fraction(price)


def test_a_half_drop_of_an_odd_repeat_is_exact(tmp_path: Path) -> None:
    odd = 100_001
    cloth = f'[cloth.stripe]\nwidth = 54\nrepeat_down = "{odd / 320} mm"\ncolumn_shift = '
    half = read_job(written(tmp_path, cloth=cloth + '"half"')).cloths[0]
    assert (half.repeat_down, half.column_shift) == (odd - 1, (odd - 1) // 2)
    assert half.repeat_down == 2 * half.column_shift
    assert read_job(written(tmp_path, cloth=cloth + "0")).cloths[0].repeat_down == odd


def test_defaults_that_follow_from_a_repeat(tmp_path: Path) -> None:
    cloth = "[cloth.stripe]\nwidth = 54\nrepeat_down = 27\nrepeat_across = 13.5"
    job = read_job(written(tmp_path, cloth=cloth))
    assert job.cloths[0].runs == "up the bolt"
    assert job.cloths[0].motif_at == ticks("6 3/4 in")
    assert job.strategy(job.cloths[0]) == "level"
    # Stripes along the bolt have no vertical repeat, yet must not be turned.
    stripes = read_job(written(tmp_path, cloth="[cloth.s]\nwidth = 54\nrepeat_across = 4"))
    assert stripes.cloths[0].runs == "up the bolt"


def test_cloth_with_a_repeat_may_run_either_way_if_cut_plain(tmp_path: Path) -> None:
    cloth = '[cloth.stripe]\nwidth = 54\nrepeat_down = 27\nruns = "either"'
    job = read_job(written(tmp_path, cloth=cloth, rest='[match]\nstrategy = "plain"'))
    assert job.cloths[0].runs == "either"


def test_measured_openings_go_down_to_the_step_and_it_is_said(tmp_path: Path) -> None:
    opening = (
        '[[opening]]\nname = "Bay"\nwidth = 142.03\nheight = "6 ft 6.1 in"\nhead = 1.04\n'
        "clearance = 0.26\noverlap = 0\ngap = [0.3, 0.45]\nnarrowest = 18.01\nwidest = 40.99"
    )
    job = read_job(written(tmp_path, opening=opening))
    bay = job.openings[0]
    assert bay.width == 142 * INCH
    assert bay.height == ticks("78 1/16 in")
    assert bay.head == INCH
    assert bay.clearance == ticks("5/16 in")
    assert bay.gap == (ticks("5/16 in"), ticks("7/16 in"))
    assert bay.narrowest == ticks("18 1/16 in")
    assert bay.widest == ticks("40 15/16 in")
    assert job.notes == (
        'Bay width: 142.03 in is rounded down to 142", as the cutting step is 1/16"',
        'Bay height: 6 ft 6.1 in is rounded down to 78 1/16", as the cutting step is 1/16"',
        'Bay head: 1.04 in is rounded down to 1", as the cutting step is 1/16"',
        'Bay clearance: 0.26 in is rounded up to 5/16", as the cutting step is 1/16"',
        'Bay narrowest: 18.01 in is rounded up to 18 1/16", as the cutting step is 1/16"',
        'Bay widest: 40.99 in is rounded down to 40 15/16", as the cutting step is 1/16"',
        'Bay gap: 0.3 in to 0.45 in becomes 5/16" to 7/16", as the cutting step is 1/16"',
    )


def test_one_gap_off_the_step_goes_to_the_nearest(tmp_path: Path) -> None:
    opening = '[[opening]]\nname = "Bay"\nwidth = 60\nheight = 70\ngap = {}'
    for stated, taken in (("0.3", "5/16 in"), ("0.27", "1/4 in"), ("0", "0 in")):
        job = read_job(written(tmp_path, opening=opening.format(stated)))
        assert job.openings[0].gap == (ticks(taken), ticks(taken))


@pytest.mark.parametrize(
    ("mount", "unused", "used"),
    [
        ("inside", "overlap", "clearance"),
        ("inside", "overlap_bottom", "sill_gap"),
        ("outside", "clearance", "overlap"),
        ("outside", "sill_gap", "overlap_bottom"),
    ],
)
def test_a_length_that_the_mount_has_no_use_for_is_noted(
    tmp_path: Path, mount: str, unused: str, used: str
) -> None:
    opening = '[[opening]]\nname = "Bay"\nwidth = 60\nheight = 70\nmount = "{}"\n{} = 1'
    assert read_job(written(tmp_path, opening=opening.format(mount, used))).notes == ()
    assert read_job(written(tmp_path, opening=opening.format(mount, unused))).notes == (
        f"Bay {unused}: not used, as the mount is {mount}",
    )


def test_what_later_versions_plan_is_read(tmp_path: Path) -> None:
    for strategy in ("centred", "continuous"):
        rest = f'[match]\nstrategy = "{strategy}"'
        assert read_job(written(tmp_path, rest=rest)).match.strategy == strategy


def test_a_byte_order_mark_and_windows_line_ends_are_no_trouble(tmp_path: Path) -> None:
    path = written(tmp_path)
    plain = read_job(path)
    path.write_bytes(b"\xef\xbb\xbf" + path.read_bytes().replace(b"\n", b"\r\n"))
    assert read_job(path) == plain


# --- one problem at a time, at its place --------------------------------------------------------

LENGTHS = "write it like 62 3/8 in, 5 ft 2 3/8 in, 1.58 m or 158 cm"
OPENING = '[[opening]]\nname = "West bay"\nwidth = 60\nheight = 78'
CLOTH = "[cloth.stripe]\nwidth = 54"
PIECE = f'{CLOTH}\n[[cloth.stripe.piece]]\nname = "shelf roll"\nlength = "7 yd"'
TWO = f"{CLOTH}\n[cloth.sheet]\nwidth = 60"
IN_BAY = '[[opening]] 1 "West bay"'
IN_PIECE = '[[cloth.stripe.piece]] 1 "shelf roll"'
UNIT_WORDS = '"in", "ft", "yd", "mm", "cm" or "m"'
GAPS = "wanted one length of 0 or more, or two, the lesser first"
COUNTS = "wanted one whole number from 1 to 60, or two, the lesser first"
NAME = "on one line of at most 200 letters, each of which can be seen"
MONEY = "wanted an amount of money, 0 or more, such as 38.5"
WEIGHT = 'wanted a weight such as "9.25 oz/yd^2" or "313 g/m^2"'

BAD: list[tuple[dict[str, str], str]] = [
    # The top of the file.
    ({"top": ""}, "title: found nothing, wanted a text"),
    ({"top": 'title = " "'}, 'title: found " ", wanted a text'),
    ({"top": "title = 3"}, "title: found 3, wanted a text"),
    (
        {"top": 'title = "a\\nb"'},
        f'title: found "a\\nb", wanted a text {NAME}',
    ),
    ({"top": 'title = "P"\ntitel = 1'}, "titel: no such key; did you mean title?"),
    ({"top": 'title = "P"\n[openings]'}, "[openings]: no such key; did you mean opening?"),
    ({"top": 'title = "P"\n[[made]]'}, "[[made]]: no such key; did you mean make?"),
    (
        {"top": 'title = "P"\n"a b" = 1'},
        '"a b": no such key; of title, units, step, children, outdoors, cloth, make, '
        "prices, fit, match, "
        "opening the nearest is make",
    ),
    ({"top": 'title = "P"\nunits = "ells"'}, f'units: found "ells", wanted {UNIT_WORDS}'),
    (
        {"top": 'title = "P"\nunits = "inch"'},
        f'units: found "inch", wanted {UNIT_WORDS}; did you mean in?',
    ),
    ({"top": 'title = "P"\nstep = 0'}, "step: found 0, wanted a length more than 0"),
    ({"top": 'title = "P"\nstep = "1 yd"'}, 'step: found "1 yd", wanted a step of at most 1 ft'),
    ({"top": 'title = "P"\nmake = 3'}, "[make]: found 3, wanted a table"),
    # Cloth.
    (
        {"cloth": "", "opening": OPENING},
        "[cloth]: found nothing, wanted at least one cloth, by name, with its width",
    ),
    (
        {"top": 'title = "P"\ncloth = 3', "cloth": ""},
        "[cloth]: found 3, wanted at least one cloth, by name, with its width",
    ),
    (
        {"cloth": "[cloth]\nwidth = 54"},
        "[cloth] width: found 54, wanted at least one cloth, by name, with its width",
    ),
    (
        {"cloth": "[cloth.stripe]"},
        "[cloth.stripe] width: found nothing, wanted a length more than 0",
    ),
    (
        {"cloth": '[cloth.stripe]\nwidth = "wide"'},
        f'[cloth.stripe] width: found "wide", wanted a length more than 0; {LENGTHS}',
    ),
    (
        {"cloth": '[cloth.stripe]\nwidth = "5 furlongs"'},
        '[cloth.stripe] width: found "5 furlongs", wanted a length more than 0; '
        "'furlongs' is no unit of length; use in, ft, yd, mm, cm or m",
    ),
    (
        {"cloth": "[cloth.stripe]\nwidth = true"},
        "[cloth.stripe] width: found true, wanted a length more than 0",
    ),
    (
        {"cloth": "[cloth.stripe]\nwidth = [54]"},
        "[cloth.stripe] width: found [54], wanted a length more than 0",
    ),
    (
        {"cloth": "[cloth.stripe]\nwidth = 2024-03-08"},
        "[cloth.stripe] width: found the date or time 2024-03-08, wanted a length more than 0",
    ),
    (
        {"cloth": "[cloth.stripe]\nwidth = 1e300"},
        "[cloth.stripe] width: found 1e+300, wanted a length of at most 1 km",
    ),
    (
        {"cloth": "[cloth.stripe]\nwidth = inf"},
        f"[cloth.stripe] width: found inf, wanted a length more than 0; {LENGTHS}",
    ),
    ({"cloth": f"{CLOTH}\nwidht = 5"}, "[cloth.stripe] widht: no such key; did you mean width?"),
    (
        {"cloth": '[cloth."a b"]\nwidth = 54\nwidht = 5'},
        '[cloth."a b"] widht: no such key; did you mean width?',
    ),
    (
        {"cloth": '[cloth." "]\nwidth = 54'},
        f'[cloth." "]: a cloth\'s name must be a text {NAME}',
    ),
    (
        {"cloth": "[cloth.none]\nwidth = 54"},
        "[cloth.none]: this names no cloth: it means a shade without lining",
    ),
    (
        {"cloth": f"{CLOTH}\nselvedge = 27"},
        '[cloth.stripe] selvedge: found 27, wanted less than half of the width, which is 54"',
    ),
    (
        {"cloth": f"{CLOTH}\nselvedge = -1"},
        "[cloth.stripe] selvedge: found -1, wanted a length of 0 or more",
    ),
    (
        {"cloth": f"{CLOTH}\nrepeat_down = 0"},
        "[cloth.stripe] repeat_down: found 0, wanted a length more than 0",
    ),
    (
        {"cloth": f'{CLOTH}\nrepeat_down = 27\ncolumn_shift = "halve"'},
        '[cloth.stripe] column_shift: found "halve", wanted "half", or a length of 0 or more; '
        "did you mean half?",
    ),
    (
        {"cloth": f"{CLOTH}\nrepeat_down = 27\ncolumn_shift = -1"},
        '[cloth.stripe] column_shift: found -1, wanted "half", or a length of 0 or more',
    ),
    (
        {"cloth": f'{CLOTH}\ncolumn_shift = "half"'},
        '[cloth.stripe] column_shift: found "half", wanted none, or a repeat_down as well',
    ),
    (
        {"cloth": f'{CLOTH}\nrepeat_across = 9\ncolumn_shift = "half"'},
        '[cloth.stripe] column_shift: found "half", wanted none, or a repeat_down as well',
    ),
    (
        {"cloth": f"{CLOTH}\nmotif_at = 3"},
        "[cloth.stripe] motif_at: found 3, wanted none, or a repeat as well",
    ),
    (
        {"cloth": f'{CLOTH}\nruns = "up the blot"'},
        '[cloth.stripe] runs: found "up the blot", wanted "up the bolt", "railroaded", '
        '"either" or "mixed"; '
        "did you mean up the bolt?",
    ),
    (
        {"cloth": f'{CLOTH}\nrepeat_down = 27\nruns = "either"'},
        '[cloth.stripe] runs: found "either", wanted "up the bolt" or "railroaded" on cloth with a '
        'repeat, unless the match strategy is "plain"',
    ),
    (
        {"cloth": f'{CLOTH}\nstart = "anywhere"'},
        '[cloth.stripe] start: found "anywhere", wanted "any" or "motif", or a length of 0 or '
        "more; did you mean any?",
    ),
    ({"cloth": f'{CLOTH}\nprice = "38.5"'}, f'[cloth.stripe] price: found "38.5", {MONEY}'),
    ({"cloth": f"{CLOTH}\nprice = -1"}, f"[cloth.stripe] price: found -1, {MONEY}"),
    ({"cloth": f"{CLOTH}\nprice = nan"}, f"[cloth.stripe] price: found nan, {MONEY}"),
    (
        {"cloth": f"{CLOTH}\nsold_in = 0"},
        "[cloth.stripe] sold_in: found 0, wanted a length more than 0",
    ),
    (
        {"cloth": f'{CLOTH}\ncan_buy = "perhaps"'},
        '[cloth.stripe] can_buy: found "perhaps", wanted true or false',
    ),
    ({"cloth": f'{CLOTH}\nweight = "9 oz"'}, f'[cloth.stripe] weight: found "9 oz", {WEIGHT}'),
    ({"cloth": f"{CLOTH}\nweight = 0"}, f"[cloth.stripe] weight: found 0, {WEIGHT}"),
    (
        {"cloth": f"{CLOTH}\nthickness = -0.01"},
        "[cloth.stripe] thickness: found -0.01, wanted a length more than 0",
    ),
    (
        {"cloth": f"{CLOTH}\nshrink_down = 1"},
        "[cloth.stripe] shrink_down: found 1, wanted a fraction from 0 to below 1, such as 0.03",
    ),
    (
        {"cloth": f"{CLOTH}\nshrink_across = -0.1"},
        "[cloth.stripe] shrink_across: found -0.1, wanted a fraction from 0 to below 1, such as "
        "0.03",
    ),
    # Pieces on hand.
    (
        {"cloth": f"{CLOTH}\npiece = 3"},
        "[cloth.stripe] piece: found 3, wanted tables, each under its own [[ ]]",
    ),
    (
        {"cloth": f'{CLOTH}\n[[cloth.stripe.piece]]\nlength = "7 yd"'},
        "[[cloth.stripe.piece]] 1 name: found nothing, wanted a text",
    ),
    (
        {"cloth": f'{PIECE}\n[[cloth.stripe.piece]]\nname = "shelf roll"\nlength = 9'},
        '[[cloth.stripe.piece]] 2 "shelf roll" name: found "shelf roll", wanted a name of its own; '
        "piece 1 has this one",
    ),
    (
        {"cloth": PIECE.replace("shelf roll", "bolt")},
        '[[cloth.stripe.piece]] 1 "bolt" name: found "bolt", wanted another name; this one is the '
        "bought cloth's in every plan",
    ),
    ({"cloth": f'{PIECE}\nlto = "A"'}, f"{IN_PIECE} lto: no such key; did you mean lot?"),
    (
        {"cloth": f"{PIECE}\nflaws = [{{ from = 4, to = 2 }}]"},
        f"{IN_PIECE} flaws 1 to: found 2, wanted a length more than where the flaw begins",
    ),
    (
        {"cloth": f'{PIECE}\nflaws = [{{ from = 4, to = "8 yd" }}]'},
        f'{IN_PIECE} flaws 1 to: found "8 yd", wanted at most the length of the piece',
    ),
    (
        {"cloth": f"{PIECE}\nflaws = [{{ from = 4 }}]"},
        f"{IN_PIECE} flaws 1 to: found nothing, wanted a length of 0 or more",
    ),
    # How shades are made.
    ({"rest": "[make]\nrods = 1"}, "[make] rods: no such key; did you mean rod?"),
    ({"rest": "[make]\nrod = 0"}, "[make] rod: found 0, wanted a length more than 0"),
    (
        {"rest": "[make]\nside_folds = 3"},
        "[make] side_folds: found 3, wanted a whole number from 1 to 2",
    ),
    (
        {"rest": "[make]\nside_folds = true"},
        "[make] side_folds: found true, wanted a whole number from 1 to 2",
    ),
    (
        {"rest": '[make]\nlining = "strip"'},
        '[make] lining: found "strip", wanted "none" or "stripe"; did you mean stripe?',
    ),
    (
        {"rest": '[make]\ntake_up = "compute"'},
        '[make] take_up: found "compute", wanted "computed", or a length of 0 or more; '
        "did you mean computed?",
    ),
    (
        {"rest": "[make]\nwood = 9"},
        '[make] wood: found 9, wanted "eastern white pine", "loblolly pine", "northern red oak", '
        '"ponderosa pine", "red pine", "shortleaf pine", "slash pine", "sugar maple", '
        '"sugar pine", "western white pine", "white oak" or "yellow-poplar", or a stiffness such '
        'as "8500 MPa" or "1240 ksi"',
    ),
    (
        {"rest": '[make]\nwood = "red pyne"'},
        '[make] wood: found "red pyne", wanted "eastern white pine", "loblolly pine", "northern '
        'red oak", "ponderosa pine", "red pine", "shortleaf pine", "slash pine", "sugar maple", '
        '"sugar pine", "western white pine", "white oak" or "yellow-poplar", or a stiffness such '
        'as "8500 MPa" or "1240 ksi"; did you mean red pine?',
    ),
    (
        {"rest": "[make]\nwet_factor = 0"},
        "[make] wet_factor: found 0, wanted a number from 1 to 10",
    ),
    (
        {"rest": "[make]\ntail_reach = 48"},
        '[[opening]] 1 "West bay" head_above_floor: found nothing, wanted a length, as tail_reach '
        'asks for cords that end 48" above the floor',
    ),
    (
        {"rest": "[make]\nstock.rod = [36, 0]"},
        "[make] stock.rod: found 0, wanted one length more than 0, or a list of them",
    ),
    (
        {"rest": "[make]\nstock.board = []"},
        "[make] stock.board: found [], wanted one length more than 0, or a list of them",
    ),
    ({"rest": "[make]\nstock.rood = 3"}, "[make] stock.rood: no such key; did you mean rod?"),
    # Match.
    (
        {"rest": '[match]\nstrategy = "centered"'},
        '[match] strategy: found "centered", wanted "plain", "level", "centred" or "continuous"; '
        "did you mean centred?",
    ),
    (
        {"rest": "[match]\nanchor = 1"},
        '[match] anchor: found 1, wanted "head", "sill" or "wall"',
    ),
    (
        {"rest": '[match]\nalternate = "sometimes"'},
        '[match] alternate: found "sometimes", wanted true or false',
    ),
    (
        {"rest": "[match]\nalternates = true"},
        "[match] alternates: no such key; did you mean alternate?",
    ),
    (
        {"rest": "[match]\nmotif_below = -1"},
        "[match] motif_below: found -1, wanted a length of 0 or more",
    ),
    (
        {"rest": "[match]\nmotif_blow = 1"},
        "[match] motif_blow: no such key; did you mean motif_below?",
    ),
    # Openings.
    (
        {"opening": ""},
        "[[opening]]: found nothing, wanted at least one opening with its name, width and height",
    ),
    (
        {"opening": OPENING.replace("[[opening]]", "[opening]")},
        "[opening]: found a table, wanted tables, each under its own [[ ]]",
    ),
    (
        {"opening": OPENING.replace('name = "West bay"', "")},
        "[[opening]] 1 name: found nothing, wanted a text",
    ),
    (
        {"opening": OPENING.replace("width = 60", "")},
        f"{IN_BAY} width: found nothing, wanted a length more than 0",
    ),
    (
        {"opening": OPENING.replace("60", "0.01")},
        f'{IN_BAY} width: found 0.01, wanted at least one cutting step, 1/16"',
    ),
    (
        {"opening": OPENING.replace("78", '"tall"')},
        f'{IN_BAY} height: found "tall", wanted a length more than 0; {LENGTHS}',
    ),
    (
        {"opening": f"{OPENING}\n{OPENING}"},
        '[[opening]] 2 "West bay" name: found "West bay", wanted a name of its own; opening 1 has '
        "this one",
    ),
    (
        {"opening": f"{OPENING}\ncopies = 0"},
        f"{IN_BAY} copies: found 0, wanted a whole number from 1 to 1000",
    ),
    (
        {"opening": f"{OPENING}\ncopies = 1.0"},
        f"{IN_BAY} copies: found 1.0, wanted a whole number from 1 to 1000",
    ),
    (
        {"opening": f'{OPENING}\ncloth = "Strype"'},
        f'{IN_BAY} cloth: found "Strype", wanted "stripe"; did you mean stripe?',
    ),
    (
        {"cloth": TWO},
        f'{IN_BAY} cloth: found nothing, wanted "stripe" or "sheet", as there is more than one '
        "cloth",
    ),
    (
        {"opening": f'{OPENING}\nmount = "outsde"'},
        f'{IN_BAY} mount: found "outsde", wanted "inside" or "outside"; did you mean outside?',
    ),
    (
        {"opening": f"{OPENING}\nclearance = -1"},
        f"{IN_BAY} clearance: found -1, wanted a length of 0 or more",
    ),
    ({"opening": f"{OPENING}\nshades = [5, 2]"}, f"{IN_BAY} shades: found [5, 2], {COUNTS}"),
    ({"opening": f"{OPENING}\nshades = 0"}, f"{IN_BAY} shades: found 0, {COUNTS}"),
    ({"opening": f"{OPENING}\nshades = [1, 2, 3]"}, f"{IN_BAY} shades: found [1, 2, 3], {COUNTS}"),
    ({"opening": f"{OPENING}\nshades = 1000000"}, f"{IN_BAY} shades: found 1000000, {COUNTS}"),
    ({"opening": f"{OPENING}\ngap = -0.25"}, f"{IN_BAY} gap: found -0.25, {GAPS}"),
    ({"opening": f"{OPENING}\ngap = [0.5, 0.25]"}, f"{IN_BAY} gap: found [0.5, 0.25], {GAPS}"),
    ({"opening": f"{OPENING}\ngap = [0.25]"}, f"{IN_BAY} gap: found [0.25], {GAPS}"),
    (
        {"opening": f'{OPENING}\ngap = [0, "x"]'},
        f'{IN_BAY} gap: found "x", {GAPS}; {LENGTHS}',
    ),
    (
        {"opening": f"{OPENING}\ngap = [0.26, 0.3]"},
        f"{IN_BAY} gap: found [0.26, 0.3], wanted a range that holds a whole number of cutting "
        'steps of 1/16"',
    ),
    (
        {"top": 'title = "P"\nstep = 1'},
        f"{IN_BAY} gap: found 1/4 in to 1/2 in, the default, wanted a range that holds a whole "
        'number of cutting steps of 1"',
    ),
    (
        {"opening": f"{OPENING}\nnarrowest = 80"},
        f'{IN_BAY} narrowest: found 80, wanted at most the widest, which is 72"',
    ),
    (
        {"opening": f"{OPENING}\nwidest = 12"},
        f'{IN_BAY} widest: found 12, wanted at least the narrowest, which is 18"',
    ),
    (
        {"opening": f'{OPENING}\nwidths = "mirored"'},
        f'{IN_BAY} widths: found "mirored", wanted "equal", "mirrored" or "free"; did you mean '
        "mirrored?",
    ),
    (
        {"opening": f'{OPENING}\ndraw = "center"'},
        f'{IN_BAY} draw: found "center", wanted "left", "right", "centre" or "auto", or a list of '
        "at most 60 of them; did you mean centre?",
    ),
    (
        {"opening": f"{OPENING}\nhieght = 3"},
        f"{IN_BAY} hieght: no such key; did you mean height?",
    ),
]


@pytest.mark.parametrize(("parts", "problem"), BAD, ids=[problem[:40] for _, problem in BAD])
def test_a_problem_is_told_with_its_place(
    tmp_path: Path, parts: dict[str, str], problem: str
) -> None:
    assert problems_of(written(tmp_path, **parts)) == [problem]


def test_every_problem_is_told_at_once(tmp_path: Path) -> None:
    path = tmp_path / "bad.toml"
    path.write_text(
        """
        units = "furlong"
        step = -1
        [cloth.stripe]
        widht = 54
        selvedge = 1
        repeat_down = "long"
        [cloth.sheet]
        width = 10
        selvedge = 5
        [make]
        lining = "shet"
        rod = "thick"
        stock.rood = 3
        [match]
        strategy = "levle"
        anchors = "head"
        [[opening]]
        name = "West bay"
        width = 0
        cloth = "sheet"
        [[opening]]
        name = "West bay"
        width = 60
        height = 70
        gap = -1
        cloth = "strpe"
        """,
        encoding="utf-8",
    )
    places = [line.split(": ")[0] for line in problems_of(path)]
    assert sorted(places) == sorted(
        [
            "title", "units", "step", "[cloth.stripe] width", "[cloth.stripe] widht",
            "[cloth.stripe] repeat_down", "[cloth.sheet] selvedge", "[make] lining", "[make] rod",
            "[make] stock.rood", "[match] strategy", "[match] anchors",
            '[[opening]] 1 "West bay" width', '[[opening]] 1 "West bay" height',
            '[[opening]] 2 "West bay" name', '[[opening]] 2 "West bay" gap',
            '[[opening]] 2 "West bay" cloth',
        ]
    )  # fmt: skip


def test_problems_read_as_one_line_each() -> None:
    assert str(FileProblem("[make] rod", "0", "more")) == "[make] rod: found 0, wanted more"
    assert str(FileProblem("[make] rood", "", "no such key")) == "[make] rood: no such key"
    assert str(FileProblem("", "", "no such file")) == "no such file"
    error = JobError("p.toml", [FileProblem("a", "", "b"), FileProblem("c\x1b[31m", "", "d\ne")])
    assert str(error) == "p.toml: a: b\np.toml: c\\u001b[31m: d\\u000ae"


# --- files that are no job at all ---------------------------------------------------------------


@pytest.mark.parametrize(
    ("name", "content", "line"),
    [
        ("a.toml", b"title = 'x'\n[cloth\n", "line 2, column 7: this is no TOML: "),
        ("a.toml", b"title = 'x'\nwidth = 62 3/8\n", "line 2, column 12: this is no TOML: "),
        ("a.toml", b"a = 1\na = 2\n", "line 2, column 6: this is no TOML: "),
        ("a.toml", b"title = [", "end of document: this is no TOML: "),
        ("a.toml", b"a = " + b"[" * 20_000, "line 1, column 37: wanted at most 32 brackets"),
        ("a.toml", b"a = " + b"9" * 5_000, "line 1, column 5: wanted a key or a number of at"),
        ("a.toml", b"title = 'x'\nb = 'caf\xe9'\n", "line 2: this is no UTF-8 text"),
        ("a.toml", b"\x00" * 10_000_001, "this is too large for a job file"),
        ("a.txt", b"title = 'x'\n", "a job file's name must end in .toml or .xlsx"),
        (
            "a.ODS",
            b"PK\x03\x04",
            "a job file's name must end in .toml or .xlsx; have your spreadsheet program save it "
            "as .xlsx (Save As)",
        ),
        ("a.xlsx", b"title = 'x'\n", "this is no workbook (.xlsx) that can be read"),
        ("a.xlsx", b"", "this is no workbook (.xlsx) that can be read"),
        ("a.xlsx", b"PK\x03\x04 and then nothing", "this is no workbook (.xlsx) that can be read"),
    ],
)
def test_a_file_that_is_no_job_is_told_in_one_line(
    tmp_path: Path, name: str, content: bytes, line: str
) -> None:
    path = tmp_path / name
    path.write_bytes(content)
    (problem,) = problems_of(path)
    assert problem.startswith(line)


def test_a_missing_file_and_a_folder(tmp_path: Path) -> None:
    assert problems_of(tmp_path / "none.toml") == ["there is no such file"]
    assert problems_of(tmp_path / "none") == ["there is no such file"]
    (tmp_path / "none.xlsx").touch()
    assert problems_of(tmp_path / "none") == ['there is no such file; did you mean "none.xlsx"?']
    assert problems_of(tmp_path) == ["this is a folder, not a job file"]
    assert problems_of(tmp_path / "a\0b") == [
        "the file cannot be read: no file can have such a name"
    ]
    (tmp_path / "file").touch()
    (problem,) = problems_of(tmp_path / "file" / "a.toml")
    assert problem == "the file cannot be read: Not a directory"


def test_a_workbook_that_unpacks_without_end_is_not_unpacked(tmp_path: Path) -> None:
    import zipfile

    path = tmp_path / "bomb.xlsx"
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("xl/workbook.xml", b" " * 100_000_001)
    assert problems_of(path) == [
        "the sheets to be read, and the texts of the workbook, take 100,000,001 bytes unpacked, "
        "wanted at most 24,000,000; keep other sheets in another file"
    ]


# --- problems in workbooks name sheet and cell --------------------------------------------------


def least_sheets() -> dict[str, list[list[Any]]]:
    return {
        "Job": [["key", "value"], ["title", "Porch"], ["units", None]],
        "Cloth": [["name", "width", "selvedge"], ["stripe", 54, None]],
        "Pieces": [["cloth", "name", "length", "flaws"], [None, "shelf roll", "7 yd", None]],
        "Make": [["key", "value"], ["rod", 0.625]],
        "Match": [["key", "value"], ["strategy", None]],
        "Openings": [["name", "width", "height", "shades", "gap"], ["West bay", 60, 78]],
    }


def cells(**changes: object) -> Callable[[dict[str, list[list[Any]]]], None]:
    """Change cells named as in ``Openings_C2``, growing the sheet where need be."""

    def change(sheets: dict[str, list[list[Any]]]) -> None:
        for name, value in changes.items():
            named = re.fullmatch(r"(\w+)_([A-Z])(\d+)", name)
            assert named is not None
            sheet, column, row = named.groups()
            rows = sheets[sheet]
            rows.extend([] for _ in range(int(row) - len(rows)))
            cells = rows[int(row) - 1]
            at = ord(column) - ord("A")
            cells.extend([None] * (at + 1 - len(cells)))
            cells[at] = value

    return change


# The places are written short: Openings!B2 for sheet Openings, cell B2.
BAD_CELLS: list[tuple[dict[str, object], list[str]]] = [
    ({"Job_B2": None}, ["Job!B2 (title): found nothing, wanted a text"]),
    (
        {"Job_B3": "inch"},
        [f'Job!B3 (units): found "inch", wanted {UNIT_WORDS}; did you mean in?'],
    ),
    (
        {"Job_A4": "cloth", "Job_B4": "stripe"},
        [
            "Job!A4 (cloth): no such key here; sheet Pieces and sheet Openings have it",
        ],
    ),
    (
        {"Job_B4": 3},
        ["Job!A4 (key): found nothing, wanted the key of the value beside it"],
    ),
    (
        {"Job_A4": "Title", "Job_B4": "Again"},
        ['Job!A4 (title): found "Title", wanted each key once; cell A2 has it already'],
    ),
    (
        {"Cloth_B2": "54 x"},
        [
            'Cloth!B2 (width): found "54 x", wanted a length more than 0; '
            "'x' is no unit of length; use in, ft, yd, mm, cm or m"
        ],
    ),
    (
        {"Cloth_B2": None},
        ["Cloth!B2 (width): found nothing, wanted a length more than 0"],
    ),
    (
        {"Cloth_A2": None, "Cloth_C2": 30},
        [
            "Cloth!A2 (name): found nothing, wanted a name that no other cloth has",
            'Cloth!C2 (selvedge): found 30, wanted less than half of the width, which is 54"',
        ],
    ),
    (
        {"Cloth_A3": "stripe", "Cloth_B3": 60},
        [
            'Cloth!A3 (name): found "stripe", wanted a name that no other cloth has',
        ],
    ),
    (
        {"Cloth_A3": " Stripe", "Cloth_B3": "wide", "Pieces_A2": "x", "Openings_F1": "cloth"},
        [
            'Cloth!A3 (name): found "Stripe", wanted a name that no other cloth has',
            f'Cloth!B3 (width): found "wide", wanted a length more than 0; {LENGTHS}',
        ],
    ),
    (
        {"Pieces_A2": "strip"},
        ['Pieces!A2 (cloth): found "strip", wanted "stripe"; did you mean stripe?'],
    ),
    (
        {"Pieces_C2": "long"},
        [f'Pieces!C2 (length): found "long", wanted a length more than 0; {LENGTHS}'],
    ),
    (
        {"Pieces_D2": "2 yd to 3 yd; 4 yd"},
        [
            'Pieces!D2 (flaws): found "2 yd to 3 yd; 4 yd", wanted stretches such as '
            '"2 yd 4 in to 2 yd 7 in", or "90 to 93 at 10 to 14" between two distances from the '
            "left edge, with ; between"
        ],
    ),
    (
        {"Pieces_D2": "2 yd to 1 yd"},
        ['Pieces!D2 (flaws): found "1 yd", wanted a length more than where the flaw begins'],
    ),
    ({"Make_B2": 0}, ["Make!B2 (rod): found 0, wanted a length more than 0"]),
    (
        {"Openings_A1": "=1", "Make_A2": "=1"},
        [
            f"{place}: found a formula without its value, wanted a value; save the workbook in a "
            "spreadsheet program, which works formulas out"
            for place in ("Make!A2 (key)", "Openings!A1 (heading)")
        ],
    ),
    (
        {"Openings_A1": None, "Openings_A2": None, "Openings_A3": None, "Openings_B3": 50},
        [
            "sheet Openings, row 1: found no heading name, wanted one, as each row of this sheet "
            "needs its name",
            "Openings!C3 (height): found nothing, wanted a length more than 0",
        ],
    ),
    (
        {"Openings_A1": "My openings", **{f"Openings_{c}1": None for c in "BCDE"}},
        [
            'sheet Openings, row 1: found "My openings", wanted the headings of its columns: name, '
            "width, height and others"
        ],
    ),
    (
        {"Cloth_A1": None, "Cloth_B1": None, "Cloth_C1": None},
        [
            "sheet Cloth, row 1: found nothing, wanted the headings of its columns: name, width "
            "and others"
        ],
    ),
    (
        {"Openings_F1": "alike", "Openings_F2": "perhaps"},
        ['Openings!F2 (alike): found "perhaps", wanted yes or no'],
    ),
    (
        {"Openings_A3": " west  Bay", "Openings_B3": 40, "Openings_C3": 50},
        [
            'Openings!A3 (name): found "west  Bay", wanted a name of its own; opening 1 is called '
            '"West bay"'
        ],
    ),
    ({"Make_A2": "rood"}, ["Make!A2 (rood): no such key; did you mean rod?"]),
    (
        {"Make_A3": "stock.rod", "Make_B3": "36 in; thin"},
        [
            'Make!B3 (stock.rod): found "thin", wanted one length more than 0, or a list of them; '
            f"{LENGTHS}"
        ],
    ),
    (
        {"Match_B2": "levle"},
        [
            'Match!B2 (strategy): found "levle", wanted "plain", "level", "centred" or '
            '"continuous"; did you mean level?'
        ],
    ),
    (
        {"Openings_C2": None},
        ["Openings!C2 (height): found nothing, wanted a length more than 0"],
    ),
    (
        {"Openings_C1": "hight"},
        [
            "Openings!C1 (hight): no such key; did you mean height?",
        ],
    ),
    (
        {"Openings_F1": "Width"},
        ['Openings!F1 (width): found "Width", wanted each heading once; cell B1 has it already'],
    ),
    (
        {"Openings_F2": "tall"},
        ["Openings!F1 (heading): found nothing, wanted a heading, as cells below it are filled"],
    ),
    ({"Openings_D2": "5 to 2"}, [f'Openings!D2 (shades): found "5 to 2", {COUNTS}']),
    ({"Openings_E2": "-0.25"}, [f"Openings!E2 (gap): found -0.25, {GAPS}"]),
    (
        {"Openings_B2": datetime.datetime(2024, 3, 8)},
        [
            "Openings!B2 (width): found the date or time 2024-03-08 00:00:00, wanted a number or "
            "text; format the cell as text, so that 3/8 stays as it is typed"
        ],
    ),
    (
        {"Openings_B2": "=30*2"},
        [
            "Openings!B2 (width): found a formula without its value, wanted a value; save the "
            "workbook in a spreadsheet program, which works formulas out"
        ],
    ),
    (
        {"Openings_B2": "#REF!"},
        ["Openings!B2 (width): found #REF!, wanted a value; the formula here is in error"],
    ),
    (
        {"Openings_A3": "West bay", "Openings_B3": "x", "Job_B2": None, "Make_B2": "thick"},
        [
            "Job!B2 (title): found nothing, wanted a text",
            f'Make!B2 (rod): found "thick", wanted a length more than 0; {LENGTHS}',
            f'Openings!B3 (width): found "x", wanted a length more than 0; {LENGTHS}',
            "Openings!C3 (height): found nothing, wanted a length more than 0",
            'Openings!A3 (name): found "West bay", wanted a name of its own; opening 1 has this '
            "one",
        ],
    ),
]


@pytest.mark.parametrize(
    ("changes", "problems"), BAD_CELLS, ids=[problems[0][:40] for _, problems in BAD_CELLS]
)
def test_a_problem_in_a_workbook_names_its_cell(
    tmp_path: Path, changes: dict[str, object], problems: list[str]
) -> None:
    sheets = least_sheets()
    cells(**changes)(sheets)
    long = [re.sub(r"\b([A-Z]\w+)!([A-Z]\d)", r"sheet \1, cell \2", told) for told in problems]
    long = [told.replace("Openings row", "sheet Openings, row") for told in long]
    assert problems_of(workbook(tmp_path / "porch.xlsx", sheets)) == long


def test_a_unit_at_the_end_of_a_flaw_is_meant_for_both(tmp_path: Path) -> None:
    sheets = least_sheets()
    cells(Pieces_D2="30 to 40 cm at 5 to 10 cm")(sheets)
    (flaw,) = read_job(workbook(tmp_path / "porch.xlsx", sheets)).cloths[0].pieces[0].flaws
    assert (flaw.start, flaw.end) == (300 * MM, 400 * MM)
    assert (flaw.left, flaw.right) == (50 * MM, 100 * MM)


@pytest.mark.parametrize(
    ("typed", "mm"),
    [
        ("90; 120; 180 cm", [900, 1200, 1800]),
        ("90 cm; 120 cm", [900, 1200]),
        ("1.2 m", [1200]),
        (" ; ", []),
    ],
)
def test_a_unit_at_the_end_of_a_list_is_meant_for_all(
    tmp_path: Path, typed: str, mm: list[int]
) -> None:
    sheets = least_sheets()
    cells(Make_A3="stock.rod", Make_B3=typed)(sheets)
    path = workbook(tmp_path / "porch.xlsx", sheets)
    if mm:
        assert read_job(path).make.stock.rod == tuple(each * MM for each in mm)
    else:
        assert "wanted one length more than 0, or a list of them" in problems_of(path)[0]


def test_the_least_workbook_is_a_job(tmp_path: Path) -> None:
    job = read_job(workbook(tmp_path / "porch.xlsx", least_sheets()))
    assert job.cloths[0].pieces == (Piece(name="shelf roll", length=ticks("7 yd")),)
    assert job.openings[0].width == 60 * INCH


def test_sheets_that_are_missing_or_misnamed(tmp_path: Path) -> None:
    sheets = least_sheets()
    for name in ("Pieces", "Make", "Match"):
        del sheets[name]
    assert read_job(workbook(tmp_path / "a.xlsx", sheets)).title == "Porch"
    sheets["Opening"] = sheets.pop("Openings")
    assert problems_of(workbook(tmp_path / "b.xlsx", sheets)) == [
        "sheet Opening: no such sheet; did you mean Openings?",
    ]
    sheets["Windows"] = sheets.pop("Opening")
    del sheets["Job"]
    assert problems_of(workbook(tmp_path / "e.xlsx", sheets)) == [
        "sheet Job: found no such sheet, wanted one with the title of the job",
        "sheet Openings: found no such sheet, wanted one with a row for each opening",
    ]
    sheets = least_sheets() | {"openings ": [["name"]]}
    assert problems_of(workbook(tmp_path / "f.xlsx", sheets)) == [
        'sheet "openings ": only one sheet may be called so, and there is "Openings"'
    ]
    sheets = {"Cloth": [], "Job": []}
    assert problems_of(workbook(tmp_path / "c.xlsx", sheets)) == [
        "sheet Openings: found no such sheet, wanted one with a row for each opening",
        "sheet Job (title): found nothing, wanted a text",
        "sheet Cloth: found nothing, wanted at least one cloth, by name, with its width",
    ]
    assert problems_of(workbook(tmp_path / "d.xlsx", {"Stock": [["x"]]})) == [
        'this workbook has no sheet named "Job", "Make", "Prices", "Match", "Fit", "Cloth", '
        '"Pieces" or "Openings"'
    ]


@pytest.mark.parametrize(
    ("title", "ranges", "told"),
    [
        # A blank cell that others cover would be taken for one that is left out.
        ("Openings", ["B2:B3"], ["cell B3 (width): found a part of the merged cells B2:B3"]),
        ("Openings", ["A2:B3"], ["cell B2 (width): found a part of the merged cells A2:B3"]),
        ("Openings", ["B1:C1"], ["cell C1 (heading): found a part of the merged cells B1:C1"]),
        ("Make", ["B2:B3"], ["cell B3 (seam): found a part of the merged cells B2:B3"]),
        # What covers no value of the job is the maker's own affair.
        ("Openings", ["A4:E5", "G1:Z9"], []),
        ("Make", ["A1:B1", "C2:C9", "A5:C5"], []),
    ],
)
def test_merged_cells_are_told_where_a_value_is_covered(
    tmp_path: Path, title: str, ranges: list[str], told: list[str]
) -> None:
    sheets = least_sheets()
    cells(Openings_A3="East", Openings_B3=40, Openings_C3=50, Openings_A7="End", Openings_B7=9)(
        sheets
    )
    cells(Openings_C7=50, Make_A3="seam", Make_B3=1, Make_A5="below: as usual")(sheets)
    path = workbook(tmp_path / "merged.xlsx", sheets)
    book = load_workbook(path)
    for each in ranges:
        book[title].merge_cells(each)
    book.save(path)
    if not told:
        assert len(read_job(path).openings) == 3
        return
    wanted = ", wanted each cell by itself; unmerge them and fill in each"
    first, *others = problems_of(path)
    assert [first] == [f"sheet {title}, {each}{wanted}" for each in told]
    assert all("merged" not in other for other in others)


def test_a_cell_far_out_is_told_and_not_searched_for(tmp_path: Path) -> None:
    path = workbook(tmp_path / "a.xlsx", least_sheets())
    book = load_workbook(path)
    book["Openings"]["XFD1048576"] = "stray"
    book.save(path)
    assert problems_of(path) == [
        "sheet Openings: found something as far out as XFD1048576, wanted at most 1000 rows and 50 "
        "columns in use; delete what lies beyond"
    ]
    book["Openings"]["XFD1"] = "stray"
    book.save(path)
    (only,) = problems_of(path)
    assert "as far out as XFD1," in only


def test_a_formula_counts_as_the_value_it_was_saved_with(tmp_path: Path) -> None:
    import zipfile

    # openpyxl saves formulas without values, so a value is put in as a spreadsheet program would.
    sheets = least_sheets()
    cells(Openings_B2="=30*2")(sheets)
    plain = workbook(tmp_path / "plain.xlsx", sheets)
    path = tmp_path / "worked.xlsx"
    with zipfile.ZipFile(plain) as old, zipfile.ZipFile(path, "w") as new:
        for part in old.infolist():
            content = old.read(part)
            new.writestr(part, re.sub(rb"(<f>30\*2</f>)<v\s*/>", rb"\1<v>60</v>", content))
    assert read_job(path).openings[0].width == 60 * INCH


# --- the starter --------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def starters(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Path]:
    folder = tmp_path_factory.mktemp("starter")
    toml, xlsx = folder / "starter.toml", folder / "starter.xlsx"
    toml.write_text(starter_toml(), encoding="utf-8")
    write_starter_xlsx(xlsx)
    return toml, xlsx


def uncommented() -> str:
    """The starter with every key that it leaves out put in."""
    return re.sub(r"^#(?=[a-z\[])", "", starter_toml(), flags=re.MULTILINE)


def test_both_starters_are_the_same_job(starters: tuple[Path, Path]) -> None:
    toml, xlsx = (read_job(path) for path in starters)
    assert toml == xlsx
    assert toml.notes == ()
    assert 2 <= len(toml.openings) <= 3
    (cloth,) = toml.cloths
    assert cloth.price
    assert toml.strategy(cloth) == "level"
    assert cloth.column_shift == 0
    assert all(counts(toml, opening) for opening in toml.openings)


def test_the_starter_shows_every_key_and_its_true_default(
    starters: tuple[Path, Path], tmp_path: Path
) -> None:
    path = tmp_path / "all.toml"
    # A height that cords reach asks for one more key of every opening, and another lining is only
    # an example.
    text = re.sub("^(tail_reach|other_lining) = .*\n", "", uncommented(), flags=re.MULTILINE)
    path.write_text(text, encoding="utf-8")
    raw = tomllib.loads(uncommented())
    (cloth,) = raw["cloth"].values()
    assert set(raw["opening"][0]) == set(Opening.model_fields)
    assert set(raw["make"]) == set(Make.model_fields)
    assert set(raw["match"]) == set(MatchRule.model_fields)
    assert set(raw["prices"]) == set(Prices.model_fields)
    assert set(raw["fit"]) == set(Fit.model_fields)
    assert {"name", "pieces", *cloth} - {"piece"} == set(Cloth.model_fields)
    assert set(cloth["piece"][0]) == set(Piece.model_fields)
    stated, left_out = read_job(path), read_job(starters[0])
    assert len(stated.cloths[0].pieces) == 1
    silent = {"weight": None, "thickness": None, "outdoor": None, "bolt": None, "spare": 0}
    unpieced = stated.cloths[0].model_copy(update={**silent, "pieces": ()})
    # What the starter only shows an example of, for there is no default.
    silent = {"lift_inset": None, "tail_reach": None, "eye_shank": None, "hook_opening": None}
    silent |= {"shade_cost": None, "table": None}
    first, *others = stated.openings
    assert (first.head_above_floor, first.depth) == (84 * INCH, 3 * INCH)
    assert (first.like, first.runs) == ("East window", "up the bolt")
    assert first.shades == (3, 4)
    blank = {"head_above_floor": None, "depth": None, "like": None, "runs": None, "shades": None}
    first = first.model_copy(update=blank)
    expected = {
        "cloths": (unpieced,),
        "make": stated.make.model_copy(update=silent),
        "openings": (first, *others),
        "prices": None,
        "match": stated.match.model_copy(update={"motif_below": None}),
        # Some of what it states changes nothing where the rest is as it is.
        "notes": (),
    }
    assert stated.fit is not None
    assert stated.fit == settings_of(left_out)
    assert stated.model_copy(update={**expected, "fit": None}) == left_out


def test_every_key_of_the_starter_is_explained() -> None:
    first_openings = starter_toml().split("[[opening]]")[:2]
    for line in "".join(first_openings).splitlines():
        if re.match(r"#?[a-z_.]+ = ", line):
            assert re.search(r" # \S+", line), line
        assert len(line) <= 100


def test_the_starter_workbook_is_easy_to_fill_in(starters: tuple[Path, Path]) -> None:
    book = load_workbook(starters[1])
    assert book.sheetnames[0] == "Instructions"
    assert set(book.sheetnames[1:]) == {*PAIR_SHEETS, *ROW_SHEETS}
    for title in book.sheetnames[1:]:
        sheet = book[title]
        assert sheet.freeze_panes == "A2"
        assert all(cell.font.bold for cell in sheet[1])
        for cell in sheet[1]:
            assert sheet.column_dimensions[cell.column_letter].width > len(cell.value)
    for title, keys in PAIR_SHEETS.items():
        assert [row[0].value for row in book[title].iter_rows(min_row=2)] == list(keys)
        assert all(row[2].value for row in book[title].iter_rows(min_row=2))
    explained = {
        (row[0], row[1]): row[2] for row in book["Instructions"].values if row[1] is not None
    }
    for title, keys in ROW_SHEETS.items():
        assert {cell.value for cell in book[title][1]} == set(keys)
        assert all(explained[title, key] for key in keys)


def test_a_workbook_speaks_of_its_own_cells(starters: tuple[Path, Path]) -> None:
    told = " ".join(
        str(text)
        for sheet in load_workbook(starters[1]).worksheets
        for row in sheet.iter_rows()
        for cell in row
        for text in (cell.value, cell.comment and cell.comment.text)
        if text
    )
    assert not re.search(r"\b(true|false)\b|[{}]", told)
    assert "yes: small children live or visit" in told
    assert "true: small children live or visit" in starter_toml()


def own_job(path: Path, starter: Path, openings: list[tuple[str, str, str]]) -> None:
    """What a maker types who follows the instructions: only what must be filled in."""
    book = load_workbook(starter)
    book["Job"]["B2"] = "Heron Cottage"
    for sheet, rows in (("Cloth", [("sand duck", "60")]), ("Openings", openings)):
        at = {cell.value: cell.column for cell in book[sheet][1]}
        for row, values in enumerate(rows, start=2):
            for key, value in zip(("name", "width", "height"), values, strict=False):
                book[sheet].cell(row, at[key]).value = value
    for key in ("repeat_down", "repeat_across"):
        book["Cloth"].cell(2, [cell.value for cell in book["Cloth"][1]].index(key) + 1).value = None
    book.save(path)


def test_nothing_of_the_example_is_left_in_a_makers_own_job(
    starters: tuple[Path, Path], tmp_path: Path
) -> None:
    path = tmp_path / "own.xlsx"
    own_job(path, starters[1], [(f"Bay {n}", f"{90 + n} 3/8", "6 ft 8 in") for n in range(10)])
    job = read_job(path)
    (cloth,) = job.cloths
    assert (cloth.repeat_down, cloth.repeat_across, job.strategy(cloth)) == (None, None, "plain")
    assert (cloth.weight, cloth.thickness, cloth.outdoor) == (None, None, None)
    assert [o.name for o in job.openings] == [f"Bay {n}" for n in range(10)]
    assert all((o.copies, o.shades, o.cloth) == (1, None, "sand duck") for o in job.openings)


def test_headings_of_what_must_be_filled_in_are_marked(
    starters: tuple[Path, Path], tmp_path: Path
) -> None:
    """Whatever is marked, and nothing else that the starter fills in, is missed where it is not."""
    book = load_workbook(starters[1])
    marked = {
        (sheet.title, cell.value)
        for sheet in book.worksheets
        for cell in (*sheet[1], *sheet["A"])
        if cell.style == "Must be filled in"
    }
    assert {title for title, _ in marked} == {"Job", "Cloth", "Pieces", "Openings"}
    for title in ("Cloth", "Openings"):
        for heading in book[title][1]:
            was = book[title].cell(2, heading.column).value
            if was is None:
                continue
            book[title].cell(2, heading.column).value = None
            book.save(tmp_path / "less.xlsx")
            book[title].cell(2, heading.column).value = was
            if (title, heading.value) in marked:
                with pytest.raises(JobError, match=rf"sheet {title}.*\({heading.value}\)"):
                    read_job(tmp_path / "less.xlsx")
            else:
                read_job(tmp_path / "less.xlsx")


@pytest.mark.parametrize("typed", ["96 = 4.5", "{ 96 = 4.5 }", "8 ft = 4.50"])
def test_prices_by_length_may_stand_in_a_cell(
    starters: tuple[Path, Path], tmp_path: Path, typed: str
) -> None:
    book = load_workbook(starters[1])
    (cell,) = (row[1] for row in book["Prices"].iter_rows() if row[0].value == "board")
    cell.value = typed
    book.save(tmp_path / "priced.xlsx")
    prices = read_job(tmp_path / "priced.xlsx").prices
    assert prices is not None
    assert prices.board == ((96 * INCH, Fraction("4.5")),)
    cell.value = "96 = 4,5"
    book.save(tmp_path / "priced.xlsx")
    with pytest.raises(JobError, match=r"one for each length sold, such as 96 in = 4\.5; 48"):
        read_job(tmp_path / "priced.xlsx")


# --- whatever a file holds, a job or a JobError comes of it ---------------------------------

SCALARS = st.one_of(
    st.none(),
    st.booleans(),
    st.integers(-(10**20), 10**20),
    st.integers(-3, 100),
    st.floats(),
    st.text(max_size=8),
    st.dates(),
    st.sampled_from(
        [
            "half", "any", "none", "plain", "either", "computed", "mm", "cm", "stripe", "sheet",
            "West bay", "5 ft 2 in", "0.00001 in", "9**9**9", "9e9", "1/0", 1e300, 10**400, 1e-9,
        ]
    ),
)  # fmt: skip
KEYS = st.sampled_from(["name", "width", "from", "stock", "stripe", "piece", "", "x.y"])
VALUES = st.recursive(
    SCALARS,
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(KEYS, inner, max_size=3),
    max_leaves=6,
)


def places_in(raw: Any, path: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
    """The path of everything within nested tables and lists."""
    items = raw.items() if isinstance(raw, dict) else enumerate(raw)
    found = []
    for key, value in items:
        found.append((*path, key))
        if isinstance(value, (dict, list)):
            found += places_in(value, (*path, key))
    return found


@st.composite
def edited_jobs(draw: st.DrawFn) -> dict[str, Any]:
    """A good job with some values replaced, removed or added."""
    raw = copy.deepcopy(draw(st.sampled_from(GOOD)))
    for _ in range(draw(st.integers(1, 4))):
        paths = places_in(raw)
        if not paths:
            break
        *path, key = draw(st.sampled_from(paths))
        inner: Any = raw
        for part in path:
            inner = inner[part]
        what = draw(st.sampled_from(["replace", "replace", "remove", "add"]))
        if what == "remove":
            del inner[key]
        elif what == "replace" or isinstance(inner, list):
            inner[key] = draw(VALUES)
        else:
            inner[draw(KEYS)] = draw(VALUES)
    return raw


GOOD: list[dict[str, Any]] = [tomllib.loads(FULL), tomllib.loads(uncommented())]


def judged(read: Callable[[], Job]) -> None:
    """Reading gives a sound job, or says what is wrong in lines for people."""
    try:
        job = read()
    except JobError as error:
        lines = str(error).splitlines()
        if not lines or len(lines) != len(error.problems) or not all(map(str.isprintable, lines)):
            raise AssertionError(lines) from error
        return
    for cloth in job.cloths:
        assert cloth.usable > 0
        assert 0 <= cloth.shrink_down < 1
    for opening in job.openings:
        assert job.cloth(opening.cloth)
        low, high = opening.gap
        assert 0 <= low <= high
        lengths = (opening.width, opening.height, opening.clearance, low, high, opening.widest)
        assert all(length >= 0 and length % job.step == 0 for length in lengths)
        assert min(opening.width, opening.height, opening.narrowest, opening.widest) > 0
    assert all(cloth.weight is None or 0 < cloth.weight < math.inf for cloth in job.cloths)


def place_of(path: tuple[str | int, ...]) -> str:
    return "/".join(map(str, path))


@pytest.mark.slow
@settings(max_examples=300, deadline=None)
@given(raw=edited_jobs())
@example(raw={})
def test_any_tables_are_a_job_or_a_job_error(raw: dict[str, Any]) -> None:
    judged(lambda: build_job(Source(raw, place_of), "edited"))


@st.composite
def spoiled(draw: st.DrawFn, data: bytes) -> bytes:
    """Bytes with some changed, cut out or put in."""
    for _ in range(draw(st.integers(1, 5))):
        at = draw(st.integers(0, len(data)))
        cut = draw(st.integers(0, 20))
        data = data[:at] + draw(st.binary(max_size=8)) + data[at + cut :]
    return data


QUICK = settings(
    max_examples=200,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)


@QUICK
@given(data=spoiled(starter_toml().encode()))
def test_any_text_file_is_a_job_or_a_job_error(tmp_path: Path, data: bytes) -> None:
    path = tmp_path / "spoiled.toml"
    path.write_bytes(data)
    judged(lambda: read_job(path))


@settings(QUICK, max_examples=40)
@given(data=st.data())
def test_any_workbook_file_is_a_job_or_a_job_error(
    tmp_path: Path, starters: tuple[Path, Path], data: st.DataObject
) -> None:
    path = tmp_path / "spoiled.xlsx"
    path.write_bytes(data.draw(spoiled(starters[1].read_bytes())))
    judged(lambda: read_job(path))


@pytest.mark.slow
@settings(QUICK, max_examples=60)
@given(
    changes=st.dictionaries(
        st.tuples(
            st.sampled_from(["Job", "Cloth", "Pieces", "Make", "Match", "Openings"]),
            st.integers(0, 3),
            st.integers(0, 5),
        ),
        st.one_of(
            st.none(),
            st.booleans(),
            st.integers(-3, 10**18),
            st.floats(allow_nan=False, allow_infinity=False),
            st.dates(datetime.date(1950, 1, 1)),
            st.sampled_from(
                ["name", "width", "stock.rod", "note", "2 to 5", "1 to 2; 3", "=1", "x"]
            ),
        ),
        min_size=1,
        max_size=6,
    )
)
def test_any_cells_are_a_job_or_a_job_error(
    tmp_path: Path, changes: dict[tuple[str, int, int], Any]
) -> None:
    sheets = least_sheets()
    for (title, row, column), value in changes.items():
        cells(**{f"{title}_{chr(ord('A') + column)}{row + 1}": value})(sheets)
    path = workbook(tmp_path / "changed.xlsx", sheets)
    judged(lambda: read_job(path))
