"""Tables and bolts against oracles that try every drop and every way to share panels out."""

from __future__ import annotations

import random

import pytest
from test_brute_force import tiny
from test_brute_repeats import tiny as tiny_repeat

import brute_force
import brute_repeats
from jobs import inches, job_of, mostly_slow
from shadewright.cloth.plan import Plan
from shadewright.job.model import Job
from shadewright.planning.make import make_plan
from shadewright.solve.problem.bolts import Joining, bolts_of
from shadewright.solve.problem.menu import problem
from shadewright.trade.buying import to_buy
from shadewright.trade.refusal import CannotMeetError
from stored_seeds import stored


def tried(text: str, seed: int) -> Job:
    """A tiny job on a short table, from short bolts, with cloth to spare, or some of these.

    Its copies and its lays are free, as the oracles have them.
    """
    draw = random.Random(seed)
    asked = draw.choice(("table", "bolt", "bolt", "both"))
    if asked != "bolt":
        text = text.replace(
            "[make]", f"[make]\ntable = {draw.choice((18, 22, 26, 30, 34, 44, 60))}"
        )
    first, *cloths = text.split("[cloth.")
    for place, cloth in enumerate(cloths):
        lines = []
        if asked != "table":
            lines.append(f"bolt = {draw.choice((40, 55, 70, 90))}")
            lines.append(f"spare = {draw.choice((0, 0, 4, 9, chr(34) + '1 panel' + chr(34)))}")
        own = cloth.split("[make]", maxsplit=1)[0]
        if "runs" not in own and "repeat_down" not in own:
            lines.append('runs = "mixed"')
        cloths[place] = cloth.replace("]", "\n".join(["]", *lines]), 1)
    job = job_of("[cloth.".join([first, *cloths]))
    free = job.made(extra_shade=0)
    return free.with_openings(o.model_copy(update={"alike": False}) for o in job.openings)


def made(job: Job) -> Plan | None:
    """A plan that the judge finds clean, and that keeps to the table and the bolts; None where the
    job is refused."""
    try:
        planned = make_plan(job, seconds=20)
    except CannotMeetError:
        return None
    assert planned.faults == ()
    plan = planned.plan
    table = job.make.table
    assert table is None or all(drop.end - drop.start <= table for drop in plan.drops)
    for piece in plan.pieces:
        longest = job.cloth(piece.cloth).bolt
        assert longest is None or piece.length <= longest
    return plan


@pytest.mark.parametrize("seed", mostly_slow(stored("force")[:140], most=18))
def test_bolts_and_tables_are_cut_as_well_as_by_trying_everything(seed: int) -> None:
    job = tried(tiny(seed), seed)
    plan = made(job)
    if plan is None:
        with pytest.raises(ValueError, match="longer than"):
            brute_force.best(job, 400)
        return
    answer = brute_force.best(job, 400)
    assert answer is not None
    (first, *rest), least = answer
    assert plan.proof.goals[0].value == pytest.approx(float(first), abs=1e-6)
    assert [goal.value for goal in plan.proof.goals[1:]] == rest
    assert plan.proof.used_bound <= least


LONG = (26, 8, 3, 21, 16)
"""Seeds whose oracles take long."""


@pytest.mark.parametrize(
    "seed", mostly_slow([*sorted(set(stored("repeats")[:61]) - {12, *LONG}), *LONG], most=5)
)
def test_the_same_on_cloth_with_a_repeat(seed: int) -> None:
    job = tried(tiny_repeat(seed), seed)
    plan = made(job)
    answer = brute_repeats.best(job)
    if plan is None:
        assert answer is None
        return
    assert answer is not None
    if brute_repeats.level_all_around(job) and job.match.strategy != "continuous":
        # Only rows of columns next to one another are looked at.
        assert plan.proof.goals[0].value >= answer[0]
        return
    values = [goal.value for goal in plan.proof.goals[:3]]
    assert values == list(answer) or (values > list(answer) and plan.proof.status == "gap")
    assert plan.proof.goals[0].bound <= answer[0]
    assert plan.proof.used_bound <= answer[2]


WIDE = """
    title = "by hand"
    step = 1
    [cloth.a]
    width = 40
    runs = "up the bolt"
    sold_in = "1 in"
    {cloth}
    [make]
    take_up = 1
    side_fold = 0.5
    {make}
    [[opening]]
    name = "o"
    width = 30
    height = 20
    copies = 3
    clearance = 0
    gap = 0
    shades = 1
    """


def test_bolts_by_hand() -> None:
    # Three panels of 26 and 1 to square up: 79 in one, of which 60 holds two, 1 + 52.
    plan = made(job_of(WIDE.format(cloth="bolt = 60", make="")))
    assert plan is not None
    assert [(p.piece, p.length, p.used) for p in plan.pieces] == [
        ("bolt 1", inches(53), inches(53)),
        ("bolt 2", inches(27), inches(27)),
    ]
    assert {(d.piece, d.number) for d in plan.drops} == {
        ("bolt 1", 1),
        ("bolt 1", 2),
        ("bolt 2", 1),
    }
    assert plan.totals.bought == {"a": inches(80)}
    # With 26 to spare the second bolt has 53; a spare inch more needs no other either.
    spared = made(job_of(WIDE.format(cloth='bolt = 60\nspare = "1 panel"', make="")))
    assert spared is not None
    assert sorted(p.length for p in spared.pieces) == [inches(53), inches(53)]
    long = made(job_of(WIDE.format(cloth='bolt = 100\nspare = "2 in"', make="")))
    assert long is not None
    assert [(p.piece, p.length, p.used) for p in long.pieces] == [("bolt", inches(81), inches(79))]


@pytest.mark.parametrize(
    ("cloth", "make", "says"),
    [
        (
            "",
            "table = 25",
            '[make] table: no drop may be longer than 25", and a panel of o is 26" long however it '
            'is divided; table = 26" would do',
        ),
        (
            "bolt = 26",
            "",
            "[cloth.a] bolt: none is longer than 0.722 yd, and a panel of o takes one of 3/4 yd, "
            "squared up and with what its start asks for, however it is divided; bolt = 3/4 yd "
            "would do",
        ),
        (
            "bolt = 30\nspare = 4",
            "",
            '[cloth.a] spare: 4" of it is more than a bolt of 0.833 yd has room for beside any '
            "panel; bolt = 0.861 yd would do",
        ),
    ],
)
def test_a_panel_that_is_too_long_is_refused(cloth: str, make: str, says: str) -> None:
    with pytest.raises(CannotMeetError) as refused:
        make_plan(job_of(WIDE.format(cloth=cloth, make=make)), seconds=5)
    assert str(refused.value) == says


def test_the_spare_comes_with_the_bolt_where_it_costs_least() -> None:
    # Steps of 10: 5 more take none with 24, which makes 29, and one with 27 or 30.
    assert to_buy([27, 24, 30], 0, 5, 10, None) == [30, 30, 30]
    assert to_buy([27, 30], 0, 5, 10, None) == [40, 30]
    assert to_buy([27, 22], 2, 9, 10, 40) == [40, 30]
    assert to_buy([27], 0, 9, 10, 30) is None
    assert to_buy([], 3, 9, 10, 30) == []


def test_one_bolt_does_where_everything_fits_on_it() -> None:
    asked, _ = problem(job_of(WIDE.format(cloth="bolt = 90", make="")))
    found = bolts_of(asked, asked.rolls[0])
    assert found is not None
    assert found.ends == {}
    assert found.joining is Joining.ALL
    asked, _ = problem(job_of(WIDE.format(cloth="bolt = 40", make="")))
    short = bolts_of(asked, asked.rolls[0])
    assert short is not None
    assert len(short.ends) == short.most == 3


def test_a_long_table_changes_nothing_and_joint_drops_are_taken_apart() -> None:
    text = WIDE.replace("copies = 3", "copies = 9")
    free = made(job_of(text.format(cloth="", make="")))
    table = made(job_of(text.format(cloth="", make="table = 26")))
    assert free is not None
    assert table is not None
    assert [g.value for g in free.proof.goals] == [g.value for g in table.proof.goals]
    assert table.proof.status == "proved"
    assert len(table.drops) == 9
