"""Trade arithmetic against published examples; each value stands with its source in shared/."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

import pytest

from jobs import inches, job_of
from published import PUBLISHED
from shadewright.judge.replay import judge
from shadewright.measure import TICKS, Tape, parse_length
from shadewright.planning.make import make_plan
from shadewright.trade.buying import bought_length, start_allowance, whole_repeats
from shadewright.trade.naive import naive


@pytest.mark.parametrize("case", PUBLISHED["cut_length"], ids=lambda case: case["source"][:30])
def test_cut_lengths_go_up_to_whole_repeats(case: dict[str, Any]) -> None:
    cut = whole_repeats(inches(case["need"]), inches(case["repeat"]))
    assert cut == inches(case["cut"]) == case["repeats"] * inches(case["repeat"])
    if "waste" in case:
        assert cut - inches(case["need"]) == inches(case["waste"])
    if "total" in case:
        assert case["cuts"] * cut == inches(case["total"])


def test_adding_a_repeat_to_every_cut_is_not_the_rule() -> None:
    (case,) = [c for c in PUBLISHED["cut_length"] if "naive_total" in c]
    naive_total = case["cuts"] * (inches(case["need"]) + inches(case["repeat"]))
    assert naive_total == inches(case["naive_total"]) == 7 * TICKS["yd"]
    assert naive_total > case["cuts"] * whole_repeats(inches(case["need"]), inches(case["repeat"]))


def test_a_half_drop_with_half_a_repeat_to_spare_needs_no_more() -> None:
    case = PUBLISHED["half_drop"]
    need, repeat = (parse_length(case[key], "cm") for key in ("need_cm", "repeat_cm"))
    cut = whole_repeats(need, repeat)
    assert cut == case["repeats"] * repeat == parse_length(case["cut_cm"], "cm")
    assert cut - need == parse_length(case["spare_cm"], "cm") >= repeat // 2
    # By the lattice: cuts of a half-drop may start every half repeat, and this one still fits.
    assert whole_repeats(need, repeat // 2) <= cut


@pytest.mark.parametrize("shift", ["0", '"half"'])
def test_an_order_gains_one_whole_repeat_and_not_one_a_cut(shift: str) -> None:
    case = PUBLISHED["half_drop_order"]
    job = job_of(f"""
        title = "order"
        units = "cm"
        [cloth.c]
        width = 140
        repeat_down = {case["repeat_cm"]}
        column_shift = {shift}
        [[opening]]
        name = "o"
        width = 100
        height = 100
        """)
    allowance = start_allowance(job, job.cloths[0], railroaded=False)
    assert parse_length(case["before_cm"], "cm") + allowance == parse_length(case["order_cm"], "cm")


@pytest.mark.parametrize("case", PUBLISHED["widths"], ids=lambda case: case["source"][:30])
def test_widths_of_cloth_side_by_side(case: dict[str, Any]) -> None:
    across, cloth = Fraction(str(case["across"])), case["cloth"]
    assert -(-across // cloth) == case["widths"]
    if "total" in case:
        assert case["widths"] * inches(case["cut"]) == inches(case["total"])


@pytest.mark.parametrize("case", PUBLISHED["buying"], ids=lambda case: str(case["inches"]))
def test_lengths_go_up_to_the_buying_step(case: dict[str, Any]) -> None:
    tape = Tape(metric=False, step=inches("1/16"))
    for step, expected in (("1/8 yd", case["eighth"]), ("1/4 yd", case["quarter"])):
        bought = bought_length(inches(case["inches"]), 0, parse_length(step, "in"))
        assert tape.cloth(bought) == f"{expected} yd"


def test_two_roman_shades_do_not_lie_side_by_side() -> None:
    # 27 + 2 x 3 = 33 in wide: the hem of 3 in is stated as one fold. 58 + 4 + 6 = 68 in long: two
    # pockets of 4 in and 6 in whose take-up and turned edges are stated to be nothing.
    case = PUBLISHED["two_shades"]
    text = """
        title = "two shades"
        [cloth.c]
        width = 55
        runs = "up the bolt"
        sold_in = "1/4 yd"
        [make]
        side_fold = 3
        side_folds = 1
        board_pocket = 4
        rod_pocket = 6
        turn_under = 0
        take_up = 0
        square_up = 0
        [[opening]]
        name = "window"
        width = 27
        height = 58
        clearance = 0
        copies = 2
        shades = 1
        """
    job = job_of(text)
    planned = make_plan(job)
    assert [(p.across, p.along) for p in planned.plan.panels] == [
        (inches(case["cut"][0]), inches(case["cut"][1]))
    ] * 2
    assert planned.plan.proof.used == planned.plan.proof.used_bound == inches(case["used"])
    assert planned.plan.totals.bought == {"c": case["bought_yd"] * TICKS["yd"]}
    assert planned.plan.proof.status == "proved"
    notepad = naive(job)
    assert notepad is not None
    assert notepad.bought == planned.plan.totals.bought


def test_drops_of_matched_cloth_are_the_published_cuts() -> None:
    # Three widths of 108 in need on a 25 in repeat: 3 x 125 = 375 in, of which the last cut's spare
    # of 17 in is never cut off; one repeat more is bought for the start.
    case = next(c for c in PUBLISHED["cut_length"] if c.get("total") == 375)
    job = job_of(f"""
        title = "three widths"
        [cloth.c]
        width = 54
        repeat_down = {case["repeat"]}
        [make]
        take_up = 0
        square_up = 0
        board_pocket = 8
        rod_pocket = 8
        turn_under = 1
        [[opening]]
        name = "w"
        width = 48
        height = 90
        clearance = 0
        shades = 1
        copies = 3
        """)
    planned = make_plan(job)
    assert {panel.along for panel in planned.plan.panels} == {inches(case["need"])}
    spare = inches(case["cut"]) - inches(case["need"])
    assert planned.plan.proof.used == inches(case["total"]) - spare
    assert planned.plan.proof.status == "proved"
    assert [drop.start for drop in planned.plan.drops] == [0, inches(125), inches(250)]
    allowance = inches(case["repeat"])
    assert planned.plan.totals.bought["c"] == bought_length(
        planned.plan.proof.used, allowance, parse_length("1/8 yd", "in")
    )
    assert judge(job, planned.plan.model_dump(mode="json", by_alias=True)) == []


def test_a_yard_is_0_9144_m() -> None:
    # NIST Handbook 44, Appendix C; the value from memory, and universal.
    assert Fraction(TICKS["yd"], TICKS["m"]) == Fraction("0.9144")
