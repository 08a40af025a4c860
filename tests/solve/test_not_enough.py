"""That cloth on hand is not enough, and by how much, against an oracle that tries everything."""

from __future__ import annotations

import random
import re

import pytest

import brute_pieces
from jobs import job_of, mostly_slow
from packer import pack
from shadewright.answers import NoPlanError
from shadewright.job.model import Job
from shadewright.measure import TICKS, ceil_to, parse_length
from shadewright.planning.make import make_plan
from shadewright.trade.refusal import CannotMeetError
from stored_seeds import answers, stored

INCH = TICKS["in"]
JOBS = 150
_MOST = 5_000


def tiny(seed: int) -> str:
    """One or two openings, and one or two pieces of about as much cloth as they take."""
    draw = random.Random(seed)
    printed = draw.random() < 0.6
    strategy = draw.choice(("level", "level", "centred", "continuous")) if printed else "plain"
    runs = draw.choice(("up the bolt", "up the bolt", "railroaded"))
    if not printed and draw.random() < 0.4:
        runs = "mixed"
    lines = [
        f'title = "not enough {seed}"\nstep = "1/2 in"',
        f"[cloth.a]\nwidth = {draw.choice((36, 40, 45, 54))}",
        f'runs = "{runs}"\ncan_buy = {draw.choice(("true", "false", "false", "false"))}',
    ]
    if printed:
        down = draw.choice((6, 8, 9))
        shift = draw.choice(("0", "0", '"half"', "2"))
        lines += [
            f"repeat_down = {down}\nrepeat_across = {draw.choice((6, 8))}",
            f'column_shift = {shift}\nstart = "motif"',
        ]
    lines.append(f"[make]\nextra_shade = 0\ntake_up = 0.5\nsquare_up = {draw.choice((0, 1))}")
    lines.append(f'[match]\nalternate = true\nlots = "{draw.choice(("opening", "job", "none"))}"')
    lines.append(f'strategy = "{strategy}"')
    long = 0.0
    for k in range(draw.randint(1, 2)):
        width, height = draw.choice((20, 26, 34, 41)), draw.choice((12, 17, 24))
        lines += [
            f'[[opening]]\nname = "{k}"\nwidth = {width}\nheight = {height}',
            f"shades = {draw.choice(('[1, 2]', '2', '1'))}",
            "clearance = 0\ngap = [0.5, 1]\nnarrowest = 9",
        ]
        long += width + 8 if runs == "railroaded" else (height + 5) * (1 + (width > 30))
    pieces = draw.randint(1, 2)
    for k in range(pieces):
        length = round(2 * max(long * draw.choice((0.5, 0.8, 1, 1.1)) / pieces, 12)) / 2
        lines.append(f'[[cloth.a.piece]]\nname = "piece {k}"\nlength = {length}')
        if draw.random() < 0.5:
            lines.append(f"start = {draw.choice((0, 2, 3.5))}")
        if draw.random() < 0.3:
            lines.append(f'lot = "{draw.choice("AB")}"')
        if draw.random() < 0.4:
            at, left = draw.randint(1, int(length) - 3), draw.randint(0, 30)
            across = f", left = {left}, right = {left + 3}" if draw.random() < 0.6 else ""
            lines.append(f"flaws = [{{ from = {at}, to = {at + 1}{across} }}]")
    return "\n".join(lines)


def compared() -> list[int]:
    """Seeds of jobs that are small enough to try everything: what is stored."""
    seeds: list[int] = []
    seed = 0
    while len(seeds) < JOBS:
        if 0 < brute_pieces.work(job_of(tiny(seed))) <= _MOST:
            seeds.append(seed)
        seed += 1
    return seeds


def expected(seed: int) -> int | None:
    """What lacks, by trying everything; None where the job cannot be made from any length."""
    answer = answers("not_enough").get(seed)
    if answer is not None:
        return answer[0] if answer else None
    return brute_pieces.shortfall(job_of(tiny(seed)))


@pytest.mark.parametrize(
    "seed", mostly_slow(sorted(stored("not_enough")[:60], key=(10, 11).count), most=9)
)
def test_what_lacks_is_what_trying_everything_finds(seed: int) -> None:
    job = job_of(tiny(seed))
    (cloth,) = job.cloths
    least = expected(seed)
    try:
        plan = make_plan(job, seconds=20).plan
    except CannotMeetError as why:
        _check_refusal(job, why, least)
    except NoPlanError as why:
        # Beside flaws over part of the width it is not cut in every way there is; on other cloth a
        # plan is found where there is one. What is said to lack is never less than it is.
        assert least is not None
        assert least or any(f.left is not None for piece in cloth.pieces for f in piece.flaws)
        (found,) = _lengths(str(why))
        assert found >= least
    else:
        first = plan.proof.goals[0]
        assert least is not None
        bought = ceil_to(least, cloth.sold_in)
        assert first.bound <= bought <= first.value
        assert bought == 0 or cloth.can_buy


def _check_refusal(job: Job, why: CannotMeetError, least: int | None) -> None:
    """A refusal for want of cloth is right, and so is what it says of how much lacks."""
    (refusal,) = why.refusals
    (cloth,) = job.cloths
    if least is None:
        # No division lies on the print, whatever length of cloth there is.
        assert not refusal.where.endswith(" piece")
        return
    assert least > 0
    assert not cloth.can_buy
    assert refusal.where == "[cloth.a] piece"
    found, *proved = _lengths(refusal.reason)
    if not proved:
        assert f"short by {job.tape.long(ceil_to(least, job.step))} of a" in refusal.reason
    else:
        # What is proved to lack is rounded down to the step, and what would do is rounded up.
        assert proved[0] <= least <= found


def _lengths(said: str) -> list[int]:
    """The lengths by which a text says that something lacks."""
    found = re.findall(r'(?:short by|every plan by) (\d[^a-z]*?"|\d+ yd(?: \d[^a-z]*?")?)', said)
    return [parse_length(text, "in") for text in found]


def test_the_oracle_itself_on_a_job_done_by_hand() -> None:
    # Two shades of 20 and one of 26 1/2, cut 4 wider and 5 longer: 24 x 17 twice and 30 1/2 x 29.
    # On 45 in cloth no two lie side by side. After 1 in of square-up 17 + 17 + 29 = 63 make 64; of
    # 50 the flaw leaves 1 to 30 and 31 to 50, 29 and 19 long: one of 17 lacks, with its square-up.
    text = """
        title = "by hand"
        step = "1/2 in"
        [cloth.a]
        width = 45
        runs = "up the bolt"
        can_buy = false
        [[cloth.a.piece]]
        name = "p"
        length = 50
        flaws = [{{ from = 30, to = 31{across} }}]
        [make]
        take_up = 0.5
        [[opening]]
        name = "low"
        width = 20
        height = 12
        copies = 2
        clearance = 0
        [[opening]]
        name = "high"
        width = 26.5
        height = 24
        clearance = 0
        """
    assert brute_pieces.shortfall(job_of(text.format(across=""))) == 18 * INCH
    # 3 in at the left edge leave 42 beside: a flaw there is in nobody's way, but 50 is too short.
    beside = text.format(across=", left = 0, right = 3")
    assert brute_pieces.shortfall(job_of(beside)) == 18 * INCH
    assert brute_pieces.shortfall(job_of(beside.replace("= 50", "= 64"))) == 0
    assert brute_pieces.shortfall(job_of(beside.replace("= 50", "= 63"))) == 18 * INCH
    # One in the middle leaves 20 and 22, too little for any: 64 do not do.
    middle = text.format(across=", left = 20, right = 23").replace("= 50", "= 64")
    assert brute_pieces.shortfall(job_of(middle)) == 18 * INCH


def test_mirrored_shades_of_an_unbroken_print_hang_either_way() -> None:
    # Shades of 18, 12, 12, 18 begin 0, 18, 30, 42 in from the left, and are cut 24, 18, 18, 24 wide
    # and 18 long. Middles between motif columns lie 18 in apart; with the opening's middle on one
    # of them, panels lie at 4, 4, 16, 10 modulo 18. So the first fits at 22, right beside the next
    # one at 4: two columns apart, on one row of a half-drop of 8. Three drops of 18, each at the
    # next multiple of 4, end at 58 in. Of 12, 18, 18, 12 no two lie side by side.
    job = job_of("""
        title = "either way"
        step = "6 in"
        [cloth.a]
        width = 48
        runs = "up the bolt"
        can_buy = false
        repeat_down = 8
        repeat_across = 18
        column_shift = "half"
        [[cloth.a.piece]]
        name = "p"
        length = 58
        start = 0
        [make]
        extra_shade = 0
        take_up = 0.5
        square_up = 0
        [match]
        strategy = "continuous"
        centre_on = "between"
        [[opening]]
        name = "o"
        width = 60
        height = 14
        clearance = 0
        gap = 0
        narrowest = 8
        shades = 4
        widths = "mirrored"
        """)
    assert pack(job) is not None
    plan = make_plan(job).plan
    assert [shade.finished_width // INCH for shade in plan.shades] == [18, 12, 12, 18]
