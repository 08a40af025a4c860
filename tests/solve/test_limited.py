"""Cloth on hand: random jobs judged clean, tiny ones by trying everything; lots and flaws."""

from __future__ import annotations

import contextlib
import json
import random
from collections.abc import Callable, Iterator
from itertools import chain, product
from math import gcd, prod
from typing import Any

import pytest

import brute_force
from jobs import inches, job_of, mostly_slow
from random_jobs import limited_job
from shadewright.answers import NoPlanError, PlanAnswer
from shadewright.cloth.plan import Plan
from shadewright.job.model import Cloth, Job
from shadewright.judge.replay import judge
from shadewright.measure import TICKS
from shadewright.planning.make import make_plan
from shadewright.solve.search import building
from shadewright.solve.search.building import build
from shadewright.solve.search.model import Model
from shadewright.trade.refusal import CannotMeetError

INCH = TICKS["in"]

RANDOM = 30
_ENDLESS = 10**12  # no table is so long


@pytest.mark.parametrize("seed", mostly_slow(range(RANDOM), most=8))
def test_a_random_job_with_cloth_on_hand_is_judged_clean(seed: int) -> None:
    job = job_of(limited_job(seed))
    refused: CannotMeetError | NoPlanError
    try:
        planned = make_plan(job, seconds=0.3, seed=1)
    except (CannotMeetError, NoPlanError) as why:
        refused = why
    else:
        _check_plan(job, planned)
        return
    if isinstance(refused, NoPlanError):
        assert "in the time given" in str(refused)
    else:
        for refusal in refused.refusals:
            assert refusal.where.startswith("[")
            assert refusal.nearest


def _check_plan(job: Job, planned: PlanAnswer) -> None:
    assert planned.faults == ()
    plan = planned.plan
    assert judge(job, json.loads(plan.model_dump_json(by_alias=True))) == []
    check_flaws_and_lots(job, plan)
    for goal in plan.proof.goals:
        assert 0 <= goal.bound <= goal.value


def check_flaws_and_lots(job: Job, plan: Plan) -> None:
    """Once more, and apart from the judge: no panel on a flaw, no two lots where one is asked."""
    for panel in plan.panels:
        for piece in job.cloth(panel.cloth).pieces:
            if piece.name != panel.piece:
                continue
            assert panel.y + panel.along <= piece.length
            for flaw in piece.flaws:
                clear = panel.y >= flaw.end or panel.y + panel.along <= flaw.start
                if flaw.left is not None and flaw.right is not None:
                    x = panel.x + job.cloth(panel.cloth).selvedge
                    clear = clear or x >= flaw.right or x + panel.across <= flaw.left
                assert clear
    if job.match.lots == "none":
        return
    copies = {shade.id: (shade.opening, shade.copy_) for shade in plan.shades}
    found: dict[object, set[str | None]] = {}
    for panel in plan.panels:
        lots = {p.name: p.lot for p in job.cloth(panel.cloth).pieces}
        whose = copies[panel.shade] if job.match.lots == "opening" else None
        found.setdefault((panel.cloth, whose), set()).add(lots.get(panel.piece))
    assert all(len(lots) == 1 for lots in found.values())


def test_no_length_that_a_job_may_ask_for_is_taken_for_endless() -> None:
    """More than a milliard ticks, which once stood for a length that nothing reaches."""
    job = job_of(
        'title = "long"\n[cloth.a]\nwidth = 54\n[[cloth.a.piece]]\nname = "p"\nlength = "20 yd"\n'
        '[[opening]]\nname = "o"\nwidth = 50\nheight = 450\nshades = 1\ncopies = 300'
    )
    planned = make_plan(job, seconds=2)
    assert planned.faults == ()
    assert planned.plan.proof.used > 10**9
    assert {piece.piece for piece in planned.plan.pieces} == {"p", "bolt"}


# --- tiny jobs by trying everything --------------------------------------------------------------


def tiny(seed: int) -> str:
    """One or two openings of plain cloth, one to three pieces, flaws over the full width."""
    draw = random.Random(seed)
    lines = [
        f'title = "tiny {seed}"',
        'step = "1/2 in"',
        "[cloth.a]",
        f"width = {draw.choice((45, 54, 60))}",
        'runs = "up the bolt"',
        "price = 10",
        "[make]",
        "extra_shade = 0",
        "take_up = 0.5",
        f"square_up = {draw.choice((0, 1))}",
        "[match]",
        f'lots = "{draw.choice(("opening", "job", "none"))}"',
    ]
    for k in range(draw.randint(1, 2)):
        lines += [
            "[[opening]]",
            f'name = "{k}"',
            f"width = {draw.choice((20, 34, 50, 62))}",
            f"height = {draw.choice((24, 30, 41))}",
            f"shades = {draw.choice(('[1, 2]', '2'))}",
            "gap = [0.5, 1]",
            "narrowest = 9",
        ]
    for k in range(draw.randint(1, 3)):
        length = draw.choice((30, 36, 48, 75, 100))
        lines += ["[[cloth.a.piece]]", f'name = "p{k}"', f"length = {length}"]
        if draw.random() < 0.5:
            lines.append(f'lot = "{draw.choice("AB")}"')
        if draw.random() < 0.5:
            at = draw.randint(1, length - 4)
            lines.append(f"flaws = [{{ from = {at}, to = {at + 2} }}]")
    return "\n".join(lines)


def by_trying(job: Job) -> tuple[object, ...]:
    """The best money, shades and use of all divisions, starts of rows, and ways to share out."""
    (cloth,) = job.cloths
    menus = []
    for opening in job.openings:
        menus += [(brute_force.choices(job, opening))] * opening.copies
    best: tuple[object, ...] | None = None
    for combination in product(*menus):
        shades = sum(choice.shades for choice in combination)
        spacing = gcd(cloth.repeat_down or job.step, cloth.column_shift)
        for used, bought in chain.from_iterable(
            shared(job, cloth, [c.panels for c in combination], row)
            for row in range(0, spacing, job.step)
        ):
            steps = -(-bought // cloth.sold_in)
            money = (cloth.price or 0) * steps * cloth.sold_in / job.price_unit
            key = (money, shades, used)
            best = key if best is None else min(best, key)
    assert best is not None
    return best


Panels = tuple[tuple[str, tuple[int, int]], ...]


def shared(job: Job, cloth: Cloth, openings: list[Panels], row: int) -> Iterator[tuple[int, int]]:
    """Length used in all and on the bolt, for every way to share panels out to clean lengths.

    Args:
        row: from a motif row down to the heads of all faces, on cloth with a repeat.
    """
    spacing = gcd(cloth.repeat_down or 1, cloth.column_shift)

    def first(after: int, zero: int) -> int:
        """Where a panel may begin at or behind a place, so that its head lies on the row."""
        if cloth.repeat_down is None:
            return after
        top = job.make.turn_under + job.make.board_pocket + inches(0.25)  # half the take-up
        return after + (zero + row - top - after) % spacing

    sources: list[tuple[str, str | None, int, int | None]] = []
    for piece in cloth.pieces:
        at, zero = job.make.square_up, piece.start or 0
        for flaw in sorted(piece.flaws, key=lambda flaw: flaw.start):
            sources.append((piece.name, piece.lot, first(at, zero), max(flaw.start, at)))
            at = max(at, flaw.end)
        sources.append((piece.name, piece.lot, first(at, zero), piece.length))
    sources.append(("bolt", None, first(job.make.square_up, 0), None))
    usable = cloth.width - 2 * cloth.selvedge
    panels = [(i, size) for i, opening in enumerate(openings) for _, size in opening]
    for where in product(range(len(sources)), repeat=len(panels)):
        lots: dict[int, set[str | None]] = {}
        for (i, _), at in zip(panels, where, strict=True):
            whose = i if job.match.lots == "opening" else 0
            lots.setdefault(whose, set()).add(sources[at][1])
        if job.match.lots != "none" and any(len(these) > 1 for these in lots.values()):
            continue
        ends: dict[str, int] = {}
        for number, (name, _, start, end) in enumerate(sources):
            here = tuple(
                sorted(s for (_, s), at in zip(panels, where, strict=True) if at == number)
            )
            if not here:
                continue
            last = start + brute_force._roll(here, usable, spacing, 1, _ENDLESS)
            if end is not None and last > end:
                break
            ends[name] = last
        else:
            yield sum(ends.values()), ends.get("bolt", 0)


def level(seed: int) -> str:
    """The same on cloth with a repeat, whose pieces begin at different heights of it."""
    draw = random.Random(seed + 1000)
    repeat = f'repeat_down = {draw.choice((6, 9, 10))}\nstart = "motif"'
    lines = []
    for line in tiny(seed).replace('runs = "up the bolt"', repeat).splitlines():
        lines.append(line)
        if line.startswith("length"):
            lines.append(f"start = {draw.choice((0, 2, 3.5, 5))}")
    return "\n".join(lines)


TINY = 50


@pytest.mark.parametrize("seed", mostly_slow(range(TINY), most=8))
@pytest.mark.parametrize("make", [tiny, level])
@pytest.mark.slow
def test_tiny_jobs_equal_trying_everything(make: Callable[[int], str], seed: int) -> None:
    job = job_of(make(seed))
    try:
        plan = make_plan(job, seconds=20).plan
    except CannotMeetError:
        assert not all(brute_force.choices(job, opening) for opening in job.openings)
        return
    if make is level and prod(len(brute_force.choices(job, o)) for o in job.openings) > 12:
        pytest.skip("too many divisions to try with every start of rows")
    money, shades, used = (goal.value for goal in plan.proof.goals[:3])
    assert plan.proof.status == "proved"
    expected = by_trying(job)
    assert (money, shades, used) == (pytest.approx(expected[0]), *expected[1:])


# --- one at a time ------------------------------------------------------------------------------

ON_HAND = """
title = "on hand"
[cloth.canvas]
width = 54
selvedge = 0.5
price = 10
{cloth}
[[cloth.canvas.piece]]
name = "shelf"
length = {shelf}
{shelf_more}
[[cloth.canvas.piece]]
name = "end"
length = {end}
{end_more}
{rest}
[[opening]]
name = "bay"
width = 96
height = 50
shades = 2
"""


def on_hand(
    shelf: float = 60,
    end: float = 60,
    *,
    cloth: str = "",
    shelf_more: str = "",
    end_more: str = "",
    rest: str = "",
) -> Job:
    return job_of(
        ON_HAND.format(
            shelf=shelf, end=end, cloth=cloth, shelf_more=shelf_more, end_more=end_more, rest=rest
        )
    )


def test_cloth_on_hand_comes_before_any_is_bought() -> None:
    # Two shades of 47 1/2 take 51 1/2 of 53, and 50 + 4.98 up to 55 in: one from each piece.
    plan = make_plan(on_hand()).plan
    assert {panel.piece for panel in plan.panels} == {"shelf", "end"}
    assert plan.totals.bought == {}
    assert plan.totals.cost == 0
    assert [(p.bought, p.length, p.used) for p in plan.pieces] == [
        (False, 60 * INCH, 56 * INCH)
    ] * 2
    assert plan.proof.status == "proved"


def test_what_is_lacking_is_bought() -> None:
    plan = make_plan(on_hand(end=40)).plan
    assert {panel.piece for panel in plan.panels} == {"shelf", "bolt"}
    assert plan.totals.bought == {"canvas": inches(58.5)}


def test_an_opening_is_cut_from_one_lot() -> None:
    lots: dict[str, Any] = {"shelf_more": 'lot = "A"', "end_more": 'lot = "B"'}
    plan = make_plan(on_hand(**lots)).plan
    # Neither lot makes both shades, so both are bought.
    assert {panel.piece for panel in plan.panels} == {"bolt"}
    free = make_plan(on_hand(**lots, rest='[match]\nlots = "none"')).plan
    assert {panel.piece for panel in free.panels} == {"shelf", "end"}


@pytest.mark.slow
def test_a_flaw_between_two_distances_leaves_the_rest_of_the_width() -> None:
    text = """
        title = "spot"
        [cloth.canvas]
        width = 54
        can_buy = false
        [[cloth.canvas.piece]]
        name = "shelf"
        length = 56
        flaws = [{{ from = 20, to = 22, left = {left}, right = {right} }}]
        [[opening]]
        name = "bay"
        width = 40.5
        height = 50
        """
    # Cut 44 of 54 wide: a flaw 6 in wide at either edge leaves room, one in the middle does not.
    for left, right, x in ((0, 6, 6), (48, 54, 0)):
        plan = make_plan(job_of(text.format(left=left, right=right))).plan
        assert [panel.x for panel in plan.panels] == [x * INCH]
        assert plan.proof.goals[0].value == plan.proof.goals[0].bound
    with pytest.raises(CannotMeetError):
        make_plan(job_of(text.format(left=20, right=26)))


def test_panels_lie_on_the_rows_that_a_piece_has() -> None:
    job = job_of("""
        title = "rows"
        [cloth.leaf]
        width = 54
        repeat_down = 20
        repeat_across = 9
        can_buy = false
        [[cloth.leaf.piece]]
        name = "one"
        length = 80
        start = 3
        [[cloth.leaf.piece]]
        name = "two"
        length = 80
        start = 11
        [[opening]]
        name = "bay"
        width = 96
        height = 50
        shades = 2
        """)
    plan = make_plan(job).plan
    heads = {
        p.piece: (p.y + p.hem_top - {"one": 3, "two": 11}[p.piece] * INCH) % (20 * INCH)
        for p in plan.panels
    }
    assert set(heads) == {"one", "two"}
    assert len(set(heads.values())) == 1
    # One begins right behind its square-up, the other where its rows let it.
    assert min(p.y for p in plan.panels) == INCH


def test_one_large_remnant_comes_before_two_small_ones() -> None:
    job = job_of("""
        title = "remnant"
        [cloth.canvas]
        width = 54
        price = 10
        [[cloth.canvas.piece]]
        name = "long"
        length = 200
        [[cloth.canvas.piece]]
        name = "short"
        length = 60
        [[opening]]
        name = "bay"
        width = 48
        height = 50
        """)
    plan = make_plan(job).plan
    # From either piece 56 in are used; from the short one 200 in stay whole.
    assert {panel.piece for panel in plan.panels} == {"short"}


def test_not_enough_says_by_how_much_and_what_can_be_made() -> None:
    job = job_of("""
        title = "short"
        [cloth.canvas]
        width = 54
        can_buy = false
        [[cloth.canvas.piece]]
        name = "shelf"
        length = 120
        [[opening]]
        name = "bay"
        width = 48
        height = 50
        copies = 3
        [[opening]]
        name = "slit"
        width = 20
        height = 30
        """)
    with pytest.raises(CannotMeetError) as caught:
        make_plan(job)
    said = str(caught.value)
    # 2 drops of 55 fit into 119; the third takes 1 + 55, and the slit lies beside none of them.
    assert "short by" in said
    assert "bay (2 of 3)" in said or "bay (1 of 3), slit" in said


def test_without_time_one_start_is_tried_and_not_all(monkeypatch: pytest.MonkeyPatch) -> None:
    # Rows may start at eight heights of this print, and each is a model of its own.
    job = job_of("""
        title = "attic"
        [cloth.c]
        width = 54
        repeat_down = 12.5
        repeat_across = 13.25
        column_shift = 3
        can_buy = false
        [[cloth.c.piece]]
        name = "roll end"
        length = "5 yd 8 in"
        start = 4
        [[cloth.c.piece]]
        name = "sample"
        length = "3 yd 4 in"
        start = 3
        [[opening]]
        name = "Dormer"
        width = "48 1/2"
        height = 39
        copies = 3
        shades = 2
        """)
    built: list[object] = []

    def counted(*given: Any) -> Model:
        built.append(given[1])
        return build(*given)

    monkeypatch.setattr(building, "build", counted)
    with contextlib.suppress(CannotMeetError, NoPlanError):
        make_plan(job, seconds=0)
    # One for the plan and one for the openings that can be made; all eight took seconds each time.
    assert len(built) <= 2
