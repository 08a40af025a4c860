"""What a plan chose, and what its figures count, in words."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import pytest
from openpyxl import load_workbook

from jobs import inches, job_of
from shadewright.job.model import Job, Prices
from shadewright.planning.make import make_plan
from shadewright.planning.possible import possible
from shadewright.report.sheets.workbook import write_workbook
from shadewright.report.text.check import said_back
from shadewright.report.text.summary import summary
from shadewright.report.work.account import Account
from shadewright.report.work.choices import lays_said
from shadewright.report.work.words import counted_for_shades, goal_called

STRIPES = """
title = "porch"
[cloth.a]
width = 54
repeat_across = 9
{cloth}
[match]
strategy = "plain"
[[opening]]
name = "Bay"
width = 48
height = 45
[[opening]]
name = "Door"
width = 30
height = 40
{door}
"""


def job(cloth: str = "", door: str = "") -> Job:
    return job_of(STRIPES.format(cloth=cloth, door=door))


def checked(asked: Job) -> str:
    return " ".join(said_back(asked, possible(asked)).split())


def test_a_print_that_a_plan_turns_on_its_side_is_told_with_the_lay() -> None:
    asked = job('runs = "either"')
    lengthwise = asked.with_cloths(lambda _: {"runs": "up the bolt"})
    across = asked.with_cloths(lambda _: {"runs": "railroaded"})
    upright, turned = (make_plan(each, 3).plan for each in (lengthwise, across))
    assert lays_said(asked, upright) == ["a: every panel lies up the bolt."]
    assert lays_said(asked, turned) == [
        "a: every panel lies railroaded.",
        "The stripes of a lie sideways on the shades laid railroaded.",
    ]
    # A print that stands so on its bolt is not turned, and nothing was left open.
    assert lays_said(across, turned) == []


def test_an_opening_that_lies_apart_is_told_by_check_and_plan() -> None:
    asked = job('runs = "up the bolt"', 'runs = "railroaded"')
    said = lays_said(asked, make_plan(asked, 3).plan)
    assert said == [
        "a lies railroaded in Door, and up the bolt in all others.",
        "The stripes of a lie sideways on the shades laid railroaded.",
    ]
    told = checked(asked)
    assert "cut up the bolt, but where an opening has a lay of its own; sold by" in told
    assert '1 shade, 29 1/2" wide finished; cut 33 1/2" x 45", railroaded' in told
    assert '1 shade, 47 1/2" wide finished; cut 51 1/2" x 50"' in told


def test_what_the_first_goal_counts_for_shades_is_said_with_it() -> None:
    asked = job()
    assert goal_called(asked, "bought") == (
        "Cloth bought, with 1 yd of cloth counted for each shade"
    )
    assert goal_called(asked, "shades") == "Number of shades"
    assert counted_for_shades(asked.made(extra_shade=0)) == ""
    priced = job("price = 9")
    assert counted_for_shades(priced.made(extra_shade=inches(18))).startswith("with 1/2 yd of")
    # What a shade costs is money like any other.
    assert counted_for_shades(priced.made(shade_cost=Fraction(5))) == ""
    assert counted_for_shades(priced.model_copy(update={"prices": Prices()})) == ""


def test_what_whole_sticks_and_reels_add_is_said_beside_the_cost(tmp_path: Path) -> None:
    prices = Prices(
        hook=Fraction(1, 2),
        eye=Fraction(1, 4),
        cleat=Fraction(2),
        cord=Fraction(1),
        board=((inches(96), Fraction(5)),),
        rod=((inches(48), Fraction(3)), (inches(72), Fraction(4))),
        hour=Fraction(20),
        minutes=Fraction(30),
    )
    asked = job("price = 9").model_copy(update={"prices": prices})
    answer = make_plan(asked, 3)
    account = Account(asked, answer.plan, answer.naive, answer.wood)
    need = account.supplies
    sticks = sum(
        n * dict(prices.board if kind == "board" else prices.rod).get(stock, Fraction(0))
        for (kind, stock), n in need.sticks.items()
    )
    by_hand = sum(piece.cost for piece in answer.plan.pieces) + float(sticks) + 100 * need.reels
    by_hand += need.hooks / 2 + need.eyes / 4 + 2 * need.cleats + 20 * len(answer.plan.shades) / 2
    said = f"with whole sticks and reels, as on the Buy sheet, it is {by_hand:,.2f}."
    assert said in " ".join(summary(account).split())
    file = tmp_path / "plan.xlsx"
    write_workbook(file, account)
    book = load_workbook(file, data_only=True)
    first = " ".join(str(c.value) for row in book["Read first"].iter_rows() for c in row)
    assert said in first
    buy = [[cell.value for cell in row] for row in book["Buy"].iter_rows()]
    (paid,) = [row[4] for row in buy if row[0] == "In all"]
    assert paid == pytest.approx(by_hand)
    # Where nothing besides cloth has a price there is nothing to say.
    bare = make_plan(job("price = 9"), 3).plan
    assert "whole sticks" not in summary(Account(job("price = 9"), bare))
