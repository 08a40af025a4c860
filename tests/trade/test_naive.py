"""The notepad way with bolts that have a longest length, worked out by hand."""

from __future__ import annotations

import pytest

from jobs import inches, job_of
from shadewright.trade.naive import naive

# Four drops of 50 in: a shade of 45 in, pockets of 4 in and 1 in of take-up.
JOB = """
title = "bolts"
step = 1
[cloth.a]
width = 40
runs = "up the bolt"
sold_in = "10 in"
{cloth}
[make]
take_up = 1
side_fold = 0.5
square_up = 2
board_pocket = 2
rod_pocket = 2
turn_under = 0
[[opening]]
name = "o"
width = 36
height = 45
copies = 4
clearance = 0
gap = 0
shades = 1
"""


@pytest.mark.parametrize(
    ("cloth", "bought"),
    [
        # 2 + 4 x 50 = 202.
        ("", 210),
        # Two on each: 2 + 100 = 102, twice.
        ("bolt = 120", 220),
        # The last part step of a bolt is never sold: 105 in are 100, which one drop fits on.
        ("bolt = 105", 4 * 60),
        # What is spare goes with a bolt that has room for it, at 102 + 15 = 117.
        ("bolt = 120\nspare = 15", 120 + 110),
        # Else it is a bolt of its own.
        ("bolt = 110\nspare = 15", 2 * 110 + 20),
        ('bolt = 110\nspare = "1 panel"', 2 * 110 + 50),
        # Each bolt has a repeat of its own to find its first motif in: 102 + 25, and 202 + 25.
        ("bolt = 130\nrepeat_down = 25", 2 * 130),
        ("repeat_down = 25", 230),
    ],
)
def test_each_bolt_is_cut_until_the_next_drop_finds_no_room(cloth: str, bought: int) -> None:
    found = naive(job_of(JOB.format(cloth=cloth)))
    assert found is not None
    assert found.bought == {"a": inches(bought)}
