"""What shades take besides cloth: by hand, by published values, and in an office program."""

from __future__ import annotations

import itertools
import random
import shutil
import subprocess
from collections import Counter
from dataclasses import replace
from functools import cache
from itertools import product
from math import pi, sqrt
from pathlib import Path
from typing import Any

import pytest
from openpyxl import load_workbook
from openpyxl.workbook import Workbook
from ortools.sat.python import cp_model

from jobs import inches, job_of, mostly_slow
from published import PUBLISHED
from shadewright.answers import PlanAnswer
from shadewright.cloth.stick_plan import Sticks
from shadewright.job.model import Draw, Job
from shadewright.job.read import read_job
from shadewright.job.woods import WOODS
from shadewright.measure import TICKS, parse_length
from shadewright.planning.make import make_plan
from shadewright.planning.possible import ready
from shadewright.report.pages.making_card import steps
from shadewright.report.sheets.workbook import write_workbook
from shadewright.report.text.summary import summary
from shadewright.report.work import hanging
from shadewright.report.work.account import Account
from shadewright.report.work.makings import Card
from shadewright.solve.run import Clock
from shadewright.solve.sticks.cutting import cut_sticks
from shadewright.solve.sticks.knapsack import Knapsack
from shadewright.trade import beams, cords, rolled
from shadewright.trade.making import CLEAT_HEIGHT, made
from shadewright.trade.refusal import CannotMeetError

INCH, MM = TICKS["in"], TICKS["mm"]
PORCH = Path(__file__).parents[2] / "examples" / "porch.toml"


# --- published ----------------------------------------------------------------------------------


@pytest.mark.parametrize("case", PUBLISHED["sticks"], ids=lambda case: case["name"])
def test_published_stick_cutting(case: dict[str, Any]) -> None:
    pieces = [length for length, number in case["demand"] for _ in range(number)]
    found = cut_sticks(pieces, [case["stock"]], case.get("kerf", 0), Clock(20))
    check_sticks(found, pieces, [case["stock"]], case.get("kerf", 0))
    assert found.proved
    assert len(found.sticks) == case["optimum"]
    if "without_kerf" in case:
        assert len(cut_sticks(pieces, [case["stock"]], 0, Clock(20)).sticks) == case["without_kerf"]


@pytest.mark.parametrize("case", PUBLISHED["roll"], ids=lambda case: case["source"][:20])
def test_published_rolls(case: dict[str, Any]) -> None:
    found = rolled.roll_diameter(case["core"], case["length"], case["thickness"])
    assert found == pytest.approx(case["diameter"], rel=1e-5)
    ring = pi * (found**2 - case["core"] ** 2) / 4
    assert ring / case["thickness"] == pytest.approx(case["length"], rel=1e-9)


@pytest.mark.parametrize("case", PUBLISHED["beam"], ids=lambda case: str(case["span"]))
def test_published_beams(case: dict[str, Any]) -> None:
    args = (case["load"], case["span"], case["stiffness"], case["section"])
    assert beams.sag_of_one_span(*args) == pytest.approx(case["sag"], rel=3e-4)
    back = beams.span_for_sag(case["load"], beams.sag_of_one_span(*args), *args[2:])
    assert back == pytest.approx(case["span"], rel=1e-12)


def test_a_hook_in_the_middle_leaves_a_38th_of_the_sag() -> None:
    one = beams.sag_of_one_span(1, 48, 1.24e6, beams.square_section(0.75))
    two = beams.sag_of_two_spans(1, 24, 1.24e6, beams.square_section(0.75))
    assert one / two == pytest.approx(PUBLISHED["two_spans"]["less_sag"], abs=0.001)
    printed = PUBLISHED["two_spans"]["printed"]
    handbook = 24**4 / (printed * 1.24e6 * beams.square_section(0.75))
    assert two == pytest.approx(handbook, rel=0.003)
    # A pound a foot on 3/4 in of eastern white pine, four feet long: computed here.
    assert one / 12 == pytest.approx(0.17617, abs=1e-5)
    assert two / 12 == pytest.approx(0.00458, abs=1e-5)


def test_the_coefficient_of_two_spans_by_integration() -> None:
    # The outer support carries 3/8 w l; the beam's slope is 0 over the middle one. Sag along the
    # span, for w = l = E I = 1: (3 x l^2 ... ) integrated twice from the moment 3/8 x - x^2 / 2.
    def sag(x: float) -> float:
        return x / 48 - x**3 / 16 + x**4 / 24

    most = max(sag(i / 100_000) for i in range(100_001))
    assert beams.sag_of_two_spans(1, 1, 1, 1) == pytest.approx(most, rel=1e-5)


def test_sections() -> None:
    assert beams.square_section(0.75) == pytest.approx(0.0263672, abs=1e-7)
    assert beams.round_section(0.75) == pytest.approx(0.0155316, abs=1e-7)


@pytest.mark.parametrize("name", WOODS)
def test_woods_agree_in_both_units(name: str) -> None:
    psi = PUBLISHED["wood"]["million_psi"][name] * 1e6
    assert WOODS[name].stiffness == pytest.approx(psi * 6.894757e-3, rel=0.01)


def test_the_rule_of_the_cord() -> None:
    rule = PUBLISHED["cord"]
    # Lift lines 36 in apart; the guide beside the near one, and no knot.
    job = shade(
        f"tail = {rule['tail']}\nknot = 0\nlift_inset = 6\nguide_inset = 5.875",
        width=rule["across"] + 12.5,
        height=rule["long"],
    )
    found = made(job, job.openings[0], (rule["across"] + 12) * INCH, "right").cords
    assert found.lengths[0] == rule["cord"] * INCH
    assert found.lengths[1] == (rule["cord"] - rule["across"]) * INCH
    level = made(job, job.openings[0], (rule["across"] + 12) * INCH, "centre").cords
    assert level.lengths[0] == level.lengths[1]


def test_the_cleat_is_as_high_as_the_strictest_rule_in_print() -> None:
    assert PUBLISHED["cleat"]["least_mm"] * MM == CLEAT_HEIGHT


# --- sticks -------------------------------------------------------------------------------------


def check_sticks(found: Sticks, pieces: list[int], stock: list[int], kerf: int) -> None:
    cut = sorted(itertools.chain.from_iterable(stick.pieces for stick in found.sticks))
    assert cut == sorted(pieces)
    for stick in found.sticks:
        assert stick.stock in stock
        assert sum(stick.pieces) + kerf * (len(stick.pieces) - 1) <= stick.stock
    assert found.bound <= found.bought


def random_sticks(seed: int) -> tuple[list[int], list[int], int]:
    """Pieces and stock in sixteenths of an inch."""
    draw = random.Random(seed)
    stock = draw.choice([[1536], [576, 768, 1152], [1536, 1920, 2304], [1152, 1536]])
    kinds = [draw.randint(288, 1152) for _ in range(draw.randint(1, 25))]
    return [draw.choice(kinds) for _ in range(draw.choice([3, 8, 20, 40, 60]))], stock, 2


RANDOM_SETS = 200


@cache
def random_found(seed: int) -> Sticks:
    return cut_sticks(*random_sticks(seed), Clock(20))


@pytest.mark.parametrize("seed", mostly_slow(range(RANDOM_SETS), 16, RANDOM_SETS // 9))
def test_random_sticks_are_never_a_stick_above_the_bound(seed: int) -> None:
    pieces, stock, kerf = random_sticks(seed)
    found = random_found(seed)
    check_sticks(found, pieces, stock, kerf)
    assert found.bought - found.bound <= max(stock)
    assert len(found.sticks) - found.fewest <= 1 or not found.proved


@pytest.mark.slow
def test_random_sticks_are_nearly_all_proved() -> None:
    some = range(0, RANDOM_SETS, 2)
    proved = sum(random_found(seed).proved for seed in some)
    assert proved >= 0.95 * len(some)


def by_assignment(pieces: list[int], stock: list[int], kerf: int) -> int:
    """The least length of stock by a model of another kind: which piece comes from which stick."""
    model = cp_model.CpModel()
    sticks = range(len(pieces))
    takes = [[model.new_bool_var("") for _ in sticks] for _ in pieces]
    is_of = [[model.new_bool_var("") for _ in stock] for _ in sticks]
    for row in takes:
        model.add_exactly_one(row)
    for s in sticks:
        model.add_at_most_one(is_of[s])
        room = sum((length + kerf) * var for length, var in zip(stock, is_of[s], strict=True))
        model.add(sum((n + kerf) * row[s] for n, row in zip(pieces, takes, strict=True)) <= room)
    model.minimize(
        sum(length * var for s in sticks for length, var in zip(stock, is_of[s], strict=True))
    )
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    assert solver.solve(model) == cp_model.OPTIMAL
    return round(solver.objective_value)


@pytest.mark.parametrize("seed", range(30))
def test_a_few_sticks_by_another_model(seed: int) -> None:
    draw = random.Random(seed)
    stock = draw.choice([[96], [36, 48, 72], [50, 80]])
    pieces = [draw.randint(12, min(max(stock), 60)) for _ in range(draw.randint(1, 7))]
    kerf = draw.choice([0, 1, 3])
    found = cut_sticks(pieces, stock, kerf, Clock(20))
    check_sticks(found, pieces, stock, kerf)
    assert found.bought == found.bound == by_assignment(pieces, stock, kerf)


def test_no_stick_holds_it() -> None:
    with pytest.raises(ValueError, match="no stick holds 97"):
        cut_sticks([97], [96], 0, Clock(1))
    assert cut_sticks([], [96], 0, Clock(1)) == Sticks((), 0, 0)


def test_many_lengths_are_bounded_by_their_relaxation() -> None:
    # Too many patterns to list; every length occurs once.
    pieces = [300 + 7 * i for i in range(60)]
    found = cut_sticks(pieces, [1536], 2, Clock(20))
    check_sticks(found, pieces, [1536], 2)
    assert found.bought - found.bound <= 1536
    assert found.bound >= sum(pieces)


@pytest.mark.slow
@pytest.mark.timeout(60)
@pytest.mark.parametrize("stock", [[1536], [576, 768, 1152]])
def test_hundreds_of_lengths_are_cut_in_time(stock: list[int]) -> None:
    """From 12 in to 36 15/16 in, one of each: listing patterns once went too deep."""
    pieces = [192 + i for i in range(400)]
    clock = Clock(2.0)
    found = cut_sticks(pieces, stock, 2, clock)
    check_sticks(found, pieces, stock, 2)
    assert found.bought <= 1.05 * found.bound
    assert found.bound >= sum(pieces)


@pytest.mark.timeout(60)
def test_sticks_are_cut_though_no_time_is_left() -> None:
    pieces = [192 + i for i in range(400)]
    found = cut_sticks(pieces, [1536], 2, Clock(0.0))
    check_sticks(found, pieces, [1536], 2)
    assert found.bound >= sum(pieces)


@pytest.mark.parametrize("seed", range(40))
@pytest.mark.parametrize("cells", [20_000, 12])
def test_the_worthiest_pattern_by_trying_all(seed: int, cells: int) -> None:
    """Exact where cells are as fine as the pieces; with coarse ones, on either side of it."""
    draw = random.Random(seed)
    kerf, stick = draw.choice([0, 1, 3]), draw.randint(30, 90)
    lengths = sorted({draw.randint(7, stick) for _ in range(3)}, reverse=True)
    demand = [draw.randint(1, 4) for _ in lengths]
    prices = [draw.choice([0.0, draw.random(), 1.0]) for _ in lengths]
    knapsack = Knapsack.of(
        lengths, demand, prices, stick + draw.randint(0, 20), kerf, most_cells=cells
    )
    value, most, counts = knapsack.best(stick)
    best = max(
        sum(n * price for n, price in zip(each, prices, strict=True))
        for each in product(*(range(n + 1) for n in demand))
        if sum(n * (by + kerf) for n, by in zip(each, lengths, strict=True)) <= stick + kerf
    )
    assert value == pytest.approx(sum(n * p for n, p in zip(counts, prices, strict=True)))
    assert sum(n * (by + kerf) for n, by in zip(counts, lengths, strict=True)) <= stick + kerf
    assert all(n <= most_of for n, most_of in zip(counts, demand, strict=True))
    assert value - 1e-9 <= best <= most + 1e-9
    if cells > 100:
        assert value == pytest.approx(best)
        assert most == pytest.approx(best)


def test_reels_hold_whole_cords() -> None:
    assert cords.reels([60, 60, 60], 100) == 3
    assert cords.reels([60, 40, 60, 40], 100) == 2
    assert cords.reels([250], 100) == 3
    assert cords.cut_length(181 * INCH - 1, INCH) == 181 * INCH


# --- a shade at a time --------------------------------------------------------------------------


def shade(make: str = "", *, width: float = 40.5, height: float = 60, rest: str = "") -> Job:
    return job_of(f"""
        title = "one"
        [cloth.canvas]
        width = 60
        [make]
        {make}
        [[opening]]
        name = "bay"
        width = {width}
        height = {height}
        shades = 1
        {rest}
        """)


def test_draws_left_right_and_in_the_middle() -> None:
    # Finished 40, board 39 3/4, lift lines 4 7/8 and 34 7/8; 120 down and up, 18 tail, 3 knot.
    job = shade()
    expected: dict[Draw, tuple[float, float, float]] = {
        "left": (1.0, 141 + 3.875, 141 + 33.875),
        "right": (38.75, 141 + 33.875, 141 + 3.875),
        "centre": (19.875, 141 + 15.0, 141 + 15.0),
    }
    for draw, (guide, left, right) in expected.items():
        found = made(job, job.openings[0], 40 * INCH, draw).cords
        assert found.lift_lines == (inches(4.875), inches(34.875))
        assert found.guide == inches(guide)
        assert found.lengths == (inches(left), inches(right))


def test_a_tail_to_reach_a_height() -> None:
    inside = shade("tail_reach = 48", rest="head_above_floor = 84")
    assert cords.tail_of(inside.make, inside.openings[0]) == 36 * INCH
    outside = shade(
        "tail_reach = 48", rest='head_above_floor = 84\nmount = "outside"\noverlap = 2', width=36
    )
    assert cords.tail_of(outside.make, outside.openings[0]) == 38 * INCH


def test_cord_that_hangs_when_the_shade_is_up() -> None:
    # Two of cord for each of height; what stays hidden behind the roll is not pulled up.
    assert cords.hanging_when_up(18 * INCH, 78 * INCH, 4 * INCH) == (18 + 2 * 74) * INCH


@pytest.mark.parametrize(("width", "hooks"), [(42, 2), (42.0625, 3), (48, 3)])
def test_the_rule_of_widths_for_hooks(width: float, hooks: int) -> None:
    job = shade(width=width + 0.5)
    found = made(job, job.openings[0], inches(width), "right").held
    assert (found.by_rule, found.by_sag, len(found.hooks)) == (hooks, 2, hooks)


def test_a_limp_board_under_heavy_cloth_takes_more_hooks() -> None:
    job = job_of("""
        title = "heavy"
        [cloth.canvas]
        width = 120
        weight = "30 oz/yd^2"
        [make]
        wood = "1000000 psi"
        board = 0.5
        most_sag = "1/16 in"
        [[opening]]
        name = "bay"
        width = 100.5
        height = 96
        shades = 1
        widest = 110
        """)
    found = made(job, job.openings[0], 100 * INCH, "right").held
    # By hand: 30 oz/yd2 is 1017.17 g/m2, wet twice that; length 96 + 4 1/4 = 100 1/4 in (2546.35
    # mm), hems 1 + 4/24: 6043.5 g/m; 1/2 in square pine-like 0.7 wood 112.9 g/m; 5/8 in rod 138.6.
    load = (6043.5 + 112.9 + 138.6) * 9.80665e-6
    span, stiff, section = 90 * 25.4, 6894.757, 12.7**4 / 12
    sags = [load * (span / (n - 1)) ** 4 / (184.634 * stiff * section) for n in range(3, 9)]
    needed = next(n for n, sag in enumerate(sags, 3) if sag <= 25.4 / 16)
    assert found.by_rule == 3 < needed == found.by_sag == len(found.hooks)
    assert found.sag == pytest.approx(sags[needed - 3], rel=1e-4)
    gaps = {b - a for a, b in itertools.pairwise(found.hooks)}
    assert max(gaps) - min(gaps) <= 1


def test_the_widest_shade_a_rod_carries_just_keeps_the_sag() -> None:
    job = shade(width=50, height=80)
    widest = beams.widest_for_rod(job, job.openings[0])
    between = widest - 10 * INCH
    most = 25.4 / 4
    assert beams.rod_sag(job, job.openings[0], between) <= most
    assert beams.rod_sag(job, job.openings[0], between + 40 * MM) > most


def test_a_raised_roll_by_hand() -> None:
    # 72 in of cloth 0.02 in thick on a rod of 1 1/8 in: 1.76042 in across; at a double hem three
    # layers lie on each other: sqrt(1.265625 + 4 x 72 x 0.06 / pi) = 2.60116.
    job = job_of("""
        title = "roll"
        [cloth.canvas]
        width = 60
        thickness = "0.02 in"
        [make]
        rod = 1.125
        rod_pocket = 2.5
        [[opening]]
        name = "bay"
        width = 40.5
        height = 72
        depth = 2.5
        """)
    up = rolled.raised(job, job.openings[0])
    assert up.diameter / INCH == pytest.approx(1.76042, abs=1e-4)
    assert up.at_hems / INCH == pytest.approx(2.60116, abs=3e-4)
    # The board's pocket hangs 1 1/4 in down.
    assert up.hides / INCH == pytest.approx(3.85116, abs=4e-4)
    assert up.depth == up.at_hems
    said = " ".join(Account(job, make_plan(job).plan).advice)
    assert 'needs 2 5/8" from front to back' in said
    assert 'stands out by 1/8"' in said
    deep = job.model_copy(
        update={"openings": (job.openings[0].model_copy(update={"depth": 3 * INCH}),)}
    )
    assert "when up a shade fits its recess" in " ".join(Account(deep, make_plan(deep).plan).advice)


def test_narrow_shades_of_a_divided_opening_have_their_lines_nearer() -> None:
    job = job_of("""
        title = "narrow"
        [cloth.canvas]
        width = 60
        [[opening]]
        name = "bay"
        width = 17
        height = 40
        shades = 2
        narrowest = 6
        gap = 0.5
        """)
    plan = make_plan(job).plan
    # 17 less 1/2 and a gap of 1/2 is twice 8; lines a quarter in, 2, and 1/8 less from the board.
    assert [m.lift_lines for m in plan.making] == [[inches(1.875), inches(5.875)]] * 2


# --- three cards of the large porch, by hand ----------------------------------------------------


@pytest.fixture(scope="module")
def porch() -> tuple[Job, PlanAnswer]:
    job = read_job(PORCH).made(hook_drop=0)
    # As many shades as save any cloth, however it lies: the cards below are of those.
    make = job.make.model_copy(update={"extra_shade": 0})
    openings = [opening.model_copy(update={"alike": False}) for opening in job.openings]
    cloths = tuple(cloth.model_copy(update={"runs": "mixed"}) for cloth in job.cloths)
    job = job.model_copy(update={"make": make, "cloths": cloths}).with_openings(openings)
    return job, make_plan(job)


def card_of(job: Job, planned: PlanAnswer, width: float, draw: str) -> Card:
    found = [
        card
        for card in Account(job, planned.plan).cards
        if (card.shade.finished_width, card.shade.draw) == (inches(width), draw)
    ]
    assert len(found) == 1
    return found[0]


# Canvas is taken to be 0.5 mm thick, 0.019685 in, three times that at double hems. A rod of 5/8 in
# in a pocket 1 1/2 in deep takes up 0.229827 in, a board of 3/4 in in 1 3/4 in takes up 1/2 in.
# Length: 1 3/4 + 1 1/2 + 2 x 1/2 + 0.729827 = 4.979827 in more.
CARDS = {
    "Lake bay": (
        47,
        "right",
        {
            "Panels": ['face: cut 51" × 83"'],
            "Sides": ['fold 1" twice, and stitch'],
            "Pockets, from the cut edge": [
                'top: turn under 1/2", fold at 2 1/4", stitch at 4"',
                'bottom: turn under 1/2", fold at 2", stitch at 3 1/2"',
            ],
            "Sticks": ['board 46 3/4" long, 3/4" square; rod 46 3/4" long, 5/8" across'],
            "From the board's left end": [
                # 46 3/4 - 4 7/8 = 41 7/8; half of 46 3/4 is 23 3/8; 46 3/4 - 1 = 45 3/4.
                'screw eyes above, for the hooks: 4 7/8", 23 3/8", 41 7/8"',
                'screw eyes below, at the lift lines: 4 7/8" and 41 7/8"',
                'draw guide below, at the right: 45 3/4"',
                'screws of eyes no longer than 5/8"',
                hanging.STARTER_HOLE,
                hanging.LOWER_EYES,
            ],
            "Cords": [
                # 156 + 40 7/8 + 18 + 3 = 217 7/8; 156 + 3 7/8 + 18 + 3 = 180 7/8.
                'cut far 218", near 181"; 3" of each for its knot',
                hanging.CORD_RUN,
                # Hidden 1.25 + 2.5011: 18 + 2 x 74.2489 = 166.4978
                'tail 18" below the guide when down; 166 1/2" when up, if not wound on the cleat',
            ],
            "When up": [
                # sqrt(0.390625 + 4 x 78 x 0.019685 / pi) = 1.53153, and 2.50110 of three layers.
                'roll 1 9/16" thick, 2 1/2" at the sides; hides 3 3/4"; takes 2 9/16" from front '
                "to back"
            ],
        },
    ),
    "Screen door": (
        35.25,
        "right",
        {
            # 80 + 4.979827 up to 85
            "Panels": ['face: cut 39 1/4" × 85"'],
            "Sticks": ['board 35" long, 3/4" square; rod 35" long, 5/8" across'],
            "From the board's left end": [
                # 42 in or less: two hooks. 35 - 4 7/8 = 30 1/8.
                'screw eyes above, for the hooks: 4 7/8", 30 1/8"',
                'screw eyes below, at the lift lines: 4 7/8" and 30 1/8"',
                'draw guide below, at the right: 34"',
                'screws of eyes no longer than 5/8"',
                hanging.STARTER_HOLE,
                hanging.LOWER_EYES,
            ],
            "Cords": [
                # 160 + 29 1/8 + 21 = 210 1/8; 160 + 3 7/8 + 21 = 184 7/8.
                'cut far 211", near 185"; 3" of each for its knot',
                hanging.CORD_RUN,
                # Hidden 1.25 + 2.53115: 18 + 2 x 76.21885 = 170.4377
                'tail 18" below the guide when down; 170 7/16" when up, if not wound on the cleat',
            ],
            "When up": [
                # sqrt(0.390625 + 4 x 80 x 0.019685 / pi) = 1.54780; three layers 2.53115.
                'roll 1 9/16" thick, 2 1/2" at the sides; hides 3 3/4"; takes 2 9/16" from front '
                "to back"
            ],
        },
    ),
    "Kitchen pass": (
        36.75,
        "left",
        {
            # 42 + 4.979827 up to 47
            "Panels": ['face: cut 40 3/4" × 47"'],
            "Sticks": ['board 36 1/2" long, 3/4" square; rod 36 1/2" long, 5/8" across'],
            "From the board's left end": [
                'screw eyes above, for the hooks: 4 7/8", 31 5/8"',
                'screw eyes below, at the lift lines: 4 7/8" and 31 5/8"',
                'draw guide below, at the left: 1"',
                'screws of eyes no longer than 5/8"',
                hanging.STARTER_HOLE,
                hanging.LOWER_EYES,
            ],
            "Cords": [
                # 84 + 3 7/8 + 21 = 108 7/8; 84 + 30 5/8 + 21 = 135 5/8.
                'cut near 109", far 136"; 3" of each for its knot',
                hanging.CORD_RUN,
                # Hidden 1.25 + 1.88473: 18 + 2 x 38.86527 = 95.7305
                'tail 18" below the guide when down; 95 3/4" when up, if not wound on the cleat',
            ],
            "When up": [
                # sqrt(0.390625 + 4 x 42 x 0.019685 / pi) = 1.20153; three layers 1.88473.
                'roll 1 3/16" thick, 1 7/8" at the sides; hides 3 1/8"; takes 1 15/16" from front '
                "to back"
            ],
        },
    ),
}


@pytest.mark.parametrize("name", CARDS)
def test_a_card_of_the_porch_by_hand(porch: tuple[Job, PlanAnswer], name: str) -> None:
    width, draw, expected = CARDS[name]
    job, planned = porch
    card = card_of(job, planned, width, draw)
    assert card.shade.opening == name
    said = dict(steps(job, card))
    for heading, lines in expected.items():
        assert said[heading] == lines
    thick = 0.5 / 25.4
    length = card.shade.finished_length / INCH
    exact = sqrt(0.625**2 + 4 * length * thick / pi)
    assert card.making.raised_diameter == round(exact * INCH)


@pytest.fixture(scope="module")
def recalculated(
    porch: tuple[Job, PlanAnswer], tmp_path_factory: pytest.TempPathFactory
) -> Workbook:
    office = shutil.which("soffice") or shutil.which("libreoffice")
    if office is None:
        pytest.skip("no LibreOffice on this machine")
    folder = tmp_path_factory.mktemp("porch")
    job, planned = porch
    write_workbook(folder / "porch.xlsx", Account(job, planned.plan, planned.naive, planned.wood))
    book = load_workbook(folder / "porch.xlsx")
    prices(book["Buy"])
    book.save(folder / "porch.xlsx")
    subprocess.run(
        [
            office,
            f"-env:UserInstallation={(folder / 'profile').as_uri()}",
            "--headless",
            "--convert-to",
            "xlsx",
            "--outdir",
            str(folder / "done"),
            str(folder / "porch.xlsx"),
        ],
        check=True,
        capture_output=True,
        timeout=200,
    )
    return load_workbook(folder / "done" / "porch.xlsx", data_only=True)


def prices(sheet: Any) -> None:
    """Type a price of 2 for cleats, and no other."""
    for row in sheet.iter_rows():
        if row[0].value == "Cleats":
            row[3].value = 2


@pytest.mark.slow
def test_what_to_buy_by_live_sums(porch: tuple[Job, PlanAnswer], recalculated: Workbook) -> None:
    job, planned = porch
    plan, need = planned.plan, Account(job, planned.plan).supplies
    rows = {
        str(row[0]).replace("\xa0", " "): row
        for row in recalculated["Buy"].iter_rows(values_only=True)
    }
    assert rows["canvas"][2] * TICKS["yd"] == plan.totals.bought["canvas"]
    sticks = {
        (kind, length): sum((s.stick, s.stock) == (kind, length) for s in plan.wood)
        for kind, length in {(s.stick, s.stock) for s in plan.wood}
    }
    assert need.sticks == sticks
    for (kind, length), number in sticks.items():
        assert rows[f'{kind.capitalize()}s, {length // INCH}" long'][2] == number
    hooks = sum(len(making.hooks) for making in plan.making)
    assert rows["Cup hooks"][2] == need.hooks == hooks
    assert rows["Screw eyes"][2] == need.eyes == hooks + 3 * len(plan.shades)
    assert rows["Cleats"][2] == need.cleats == len(plan.shades)
    cut = sum(-(-cord // INCH) * INCH for making in plan.making for cord in making.cords)
    assert need.cord == cut
    assert rows["Lift cord, reels of 100 yd"][2] == need.reels == -(-cut // (3600 * INCH))
    seams = sum(2 * (s.finished_length + inches(3.25)) + 2 * s.finished_width for s in plan.shades)
    assert need.seams == seams
    assert (
        rows["Thread, yd"][2] == need.thread / TICKS["yd"] == -(-seams * 275 // (36 * INCH * 100))
    )
    # The plan's money, and what was typed in.
    (total,) = [row for name, row in rows.items() if str(name).startswith("In all")]
    assert total[4] == pytest.approx(plan.totals.cost + 2 * len(plan.shades), rel=1e-12)
    # The notepad way hangs a cleat for each shade as well.
    assert planned.naive is not None
    by_hand = planned.naive.cost + 2 * planned.naive.shades
    assert total[6] == pytest.approx(by_hand, rel=1e-12)
    assert total[8] == pytest.approx(by_hand - total[4], rel=1e-9)


@pytest.mark.slow
def test_what_sticks_yield_by_live_sums(
    porch: tuple[Job, PlanAnswer], recalculated: Workbook
) -> None:
    _, planned = porch
    rows = [
        row
        for row in recalculated["Wood"].iter_rows(values_only=True)
        if row[2] in ("board", "rod")
    ]
    alike = Counter(
        (stick.stick, stick.stock / INCH, *(cut.length for cut in stick.cuts))
        for stick in planned.plan.wood
    )
    assert [(row[1], row[2], row[3]) for row in rows] == [
        (number, stick, stock) for (stick, stock, *_), number in alike.items()
    ]
    assert sum(row[1] for row in rows) == len(planned.plan.wood)
    for row, (_, stock, *lengths) in zip(rows, alike, strict=True):
        pieces = sum(lengths) / INCH
        assert row[6] == pytest.approx(pieces, rel=1e-12)
        between = len(lengths) - 1
        cuts = between + (stock - pieces > between / 8)
        assert row[7] == cuts
        assert row[8] == pytest.approx(max(stock - pieces - cuts / 8, 0), abs=1e-9)
        told = row[4].replace("\xa0", " ").split(", then ")
        assert sum(int(part.split(" of ")[0]) for part in told) == len(lengths)
    said = " ".join(str(row[5]) for row in rows)
    for opening in {shade.opening for shade in planned.plan.shades}:
        assert opening in said


# --- advice -------------------------------------------------------------------------------------

LINED = """
title = "lined"
units = "cm"
{top}
[cloth.linen]
width = 150
weight = 280
thickness = "0.6 mm"
{face}
[cloth.calico]
width = 160
{lining}
[make]
lining = "{name}"
[[opening]]
name = "bay"
cloth = "linen"
width = 120
height = 150
"""


def lined(top: str = "", face: str = "", lining: str = "", name: str = "calico") -> Job:
    return job_of(LINED.format(top=top, face=face, lining=lining, name=name))


def test_a_lined_metric_job_hears_of_its_lining_and_is_planned() -> None:
    job = lined()
    planned = make_plan(job)
    assert planned.faults == ()
    said = " ".join(Account(job, planned.plan).advice)
    assert "calico, shows outside while a shade is down, and inside, on the roll" in said
    assert "sun will fade and weaken calico" in said
    # The lining has its own drops, is bought, and rolls up with the face.
    assert {drop.cloth for drop in planned.plan.drops} == {"linen", "calico"}
    assert planned.plan.totals.bought["calico"] > 0
    (making,) = planned.plan.making
    exact = sqrt(16**2 + 4 * 1500 * (0.6 + 0.5) / pi)
    assert making.raised_diameter == round(exact * MM)


def test_lining_outdoors_is_advised_against_and_not_blocked() -> None:
    for job in (lined(face="outdoor = true"), lined(top="outdoors = true")):
        said = " ".join(Account(job, make_plan(job).plan).advice)
        assert "not rated for outdoors" in said
        assert "Leave such shades unlined" in said
    rated = lined(face="outdoor = true", lining="outdoor = true")
    assert "Leave such shades" not in " ".join(Account(rated, make_plan(rated).plan).advice)


def test_a_shade_lined_with_itself() -> None:
    job = lined(name="linen")
    planned = make_plan(job)
    assert planned.faults == ()
    assert "lined with its own cloth" in " ".join(Account(job, planned.plan).advice)


def test_an_unrated_cloth_outdoors_hears_so_and_is_planned() -> None:
    text = """
        title = "porch"
        {top}
        [cloth.cotton]
        width = 54
        {rated}
        [[opening]]
        name = "bay"
        width = 40
        height = 60
        """
    for top, rated, words in (
        ("outdoors = true", "", "is not said to be rated for outdoor use"),
        ("outdoors = true", "outdoor = false", "is not rated for outdoor use"),
        ("", "outdoor = false", "is not rated for outdoor use"),
    ):
        job = job_of(text.format(top=top, rated=rated))
        planned = make_plan(job)
        assert planned.faults == ()
        assert words in " ".join(Account(job, planned.plan).advice)
    fine = job_of(text.format(top="outdoors = true", rated="outdoor = true"))
    assert "rated for outdoor" not in " ".join(Account(fine, make_plan(fine).plan).advice)


def test_children_come_first_and_cordless_ways_are_named() -> None:
    job = shade()
    job = job.model_copy(update={"children": True})
    planned = make_plan(job)
    text = summary(Account(job, planned.plan, planned.naive))
    assert text.startswith("Children live or visit here")
    assert "without cords" in " ".join(text.split())
    assert "spring roller" in " ".join(text.split())
    assert Account(job, planned.plan).advice[0].startswith("Children")
    assert "Children live" not in summary(Account(shade(), planned.plan, planned.naive))


def test_cord_ends_within_reach_are_told() -> None:
    low = shade(rest="head_above_floor = 80")
    said = " ".join(Account(low, make_plan(low).plan).advice)
    # 80 less 18 is 62, below 63; up, 18 and twice more than 56 hang down: on the floor.
    assert "end 62\" above the floor, within a child's reach" in said
    assert "come down to on the floor" not in said
    assert "on the floor, within a child's reach" in said
    high = shade(rest="head_above_floor = 100", height=30)
    said = " ".join(Account(high, make_plan(high).plan).advice)
    assert "Even with the shade down" not in said


YARD_SIDE = """
title = "many"
[cloth.canvas]
width = 60
[make]
rod = 0.375
{make}
[[opening]]
name = "Yard side"
width = 40.5
height = 60
copies = 3
shades = 1
head_above_floor = {floor}
[[opening]]
name = "Lake side"
width = 40.5
height = 60
copies = 9
shades = [1, 2]
head_above_floor = {floor}
[[opening]]
name = "Loft"
width = 40.5
height = 60
shades = 1
{loft}
"""


def test_every_shade_is_counted_in_what_is_said_of_cords_and_sag() -> None:
    job = job_of(YARD_SIDE.format(make="", floor=80, loft="head_above_floor = 80"))
    plan = make_plan(job).plan
    assert len(plan.shades) == 13
    said = " ".join(Account(job, plan).advice)
    assert "below the guide on all 13 shades, unless" in said
    assert "The ends of all 13 shades then lie on the floor, within a child's reach" in said
    assert 'Even with the shade down the cords of all 13 shades end 62" above the floor' in said
    assert "in all 13 shades sags" in said
    assert "other" not in said


def sagging(most: str) -> tuple[Job, str]:
    job = job_of(YARD_SIDE.format(make=f"most_sag = {most}", floor=80, loft=""))
    return job, " ".join(
        said for said in Account(job, make_plan(job).plan).advice if "sags" in said
    )


def test_a_sag_that_is_printed_as_it_was_asked_for_is_not_called_more() -> None:
    job, said = sagging("0.1")
    making = make_plan(job).plan.making[0]
    sag = beams.rod_sag(job, job.openings[0], making.lift_lines[1] - making.lift_lines[0]) / 25.4
    assert f'sags {sag:.2f}" between' in said
    # A hair less than the rod sags, and as it is printed the same.
    hair = f"{sag - 0.0005:.4f}"
    assert f"{float(hair):.2f}" == f"{sag:.2f}"
    assert sagging(hair)[1] == ""


def test_the_widest_shade_that_a_rod_holds_straight_is_rounded_down() -> None:
    for most in range(80, 130, 5):
        job, said = sagging(f"0.{most:03}")
        told = said.partition("up to a shade ")[2].partition(" wide")[0]
        widest = beams.widest_for_rod(job, job.openings[0])
        assert widest - TICKS["in"] // 16 < parse_length(told, "in") <= widest


def test_shades_within_reach_are_named_where_not_all_are() -> None:
    job = job_of(YARD_SIDE.format(make="", floor=80, loft="head_above_floor = 240"))
    said = " ".join(Account(job, make_plan(job).plan).advice)
    assert "The ends of 12 shades (Yard side and Lake side) then lie on the floor" in said
    assert "the cords of 12 shades (Yard side and Lake side) end 62" in said
    assert "Those of Loft" not in said
    unknown = job_of(YARD_SIDE.format(make="", floor=80, loft=""))
    said = " ".join(Account(unknown, make_plan(unknown).plan).advice)
    assert "The ends of 12 shades (Yard side and Lake side) then lie on the floor" in said
    # Of the loft nobody knows how high it is.
    assert "Anything that ends less than 63" in said
    low = job_of(YARD_SIDE.format(make="", floor=60, loft="head_above_floor = 100"))
    said = " ".join(Account(low, make_plan(low).plan).advice)
    assert "The head over 12 shades (Yard side and Lake side) is lower than a cleat" in said


def test_each_recess_is_told_of_though_shades_are_alike() -> None:
    text = YARD_SIDE.format(make="", floor=80, loft="head_above_floor = 80")
    job = job_of(text.replace("shades = 1\n", "shades = 1\ndepth = 3\n"))
    said = Account(job, make_plan(job).plan).advice
    assert [line.split(":")[0] for line in said if "recess" in line] == ["Yard side", "Loft"]


def test_a_hook_that_does_not_pass_the_roll_is_told() -> None:
    job = shade("hook_opening = 1")
    said = " ".join(Account(job, make_plan(job).plan).advice)
    assert 'hook opening of 1" does not pass' in said
    wide = shade("hook_opening = 3")
    assert "does not pass" not in " ".join(Account(wide, make_plan(wide).plan).advice)


def test_a_stick_longer_than_any_stock_is_ordered() -> None:
    job = shade("stock = { board = 36, rod = 48 }")
    planned = make_plan(job)
    assert planned.faults == ()
    assert [stick.stock for stick in planned.plan.wood] == [48 * INCH, 48 * INCH]
    assert 'have one of 48" cut to order' in " ".join(Account(job, planned.plan).advice)


# --- what cannot be made ------------------------------------------------------------------------


def refusal(job: Job) -> str:
    with pytest.raises(CannotMeetError) as caught:
        ready(job)
    return str(caught.value)


def test_a_rod_thicker_than_its_pocket() -> None:
    said = refusal(shade("rod = 1.25"))
    assert "[make] rod_pocket" in said
    # pi x 1.25 / 2 = 1.9635, up to the next sixteenth.
    assert 'smallest that works is 2"' in said
    ready(shade("rod = 1.25\nrod_pocket = 2"))


def test_an_eye_longer_than_the_board_is_thick() -> None:
    said = refusal(shade("eye_shank = 0.75"))
    assert "[make] eye_shank" in said
    assert 'eye_shank = 11/16" or less would do' in said
    ready(shade('eye_shank = "11/16 in"'))


@pytest.mark.parametrize(("width", "inset"), [(10.5, '4 15/16"'), (8, '3 11/16"')])
def test_a_shade_narrower_than_two_lift_lines_allow(width: float, inset: str) -> None:
    said = refusal(shade(width=width))
    assert "[make] lift_inset" in said
    assert f"lift_inset = {inset} or less would do" in said
    ready(shade(f"lift_inset = '{inset[:-1]} in'", width=width))
    # A sixteenth more is too much.
    more = inches(inset[:-1]) + INCH // 16
    job = shade(width=width)
    with pytest.raises(CannotMeetError):
        ready(job.model_copy(update={"make": job.make.model_copy(update={"lift_inset": more})}))


def test_lift_lines_asked_for_bind_divided_openings_too() -> None:
    text = """
        title = "inset"
        [cloth.canvas]
        width = 54
        [make]
        lift_inset = 15
        [[opening]]
        name = "bay"
        width = 60
        height = 40
        shades = 2
        """
    assert "lift_inset = 14" in refusal(job_of(text))


def test_a_guide_beyond_the_middle_of_the_board() -> None:
    said = refusal(shade("guide_inset = 21"))
    assert "[make] guide_inset" in said
    assert "or less would do" in said


def test_wood_is_replaced_by_what_the_job_says() -> None:
    stiff = shade('wood = "12 GPa"')
    assert stiff.make.wood.stiffness == pytest.approx(12_000)
    limp = replace(stiff.make.wood, stiffness=6_000)
    other = stiff.model_copy(update={"make": stiff.make.model_copy(update={"wood": limp})})
    between = 30 * INCH
    assert beams.rod_sag(other, other.openings[0], between) == pytest.approx(
        2 * beams.rod_sag(stiff, stiff.openings[0], between)
    )
