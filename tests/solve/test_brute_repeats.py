"""Matching strategies and cutting orders against an oracle that tries everything."""

from __future__ import annotations

import random
import re
from collections.abc import Callable

import pytest

import brute_repeats
from jobs import job_of, mostly_slow
from shadewright.job.model import Job
from shadewright.planning.make import make_plan
from shadewright.trade.refusal import CannotMeetError
from stored_seeds import Answer, answers, stored

JOBS = 90
SHIFTS = ("0", '"half"', "1.5", "2")
COLUMNS = (4, 5, 6)
SHIFTED = 110
PRINTED = 120
_MOST_TRIED = 100
_MOST = 24
# Jobs that pass all this, and keep the oracle or the search busy for long.
_TOO_LONG = {62, 81}


def tiny(seed: int, shifts: tuple[str, ...] = SHIFTS, columns: tuple[int, ...] = COLUMNS) -> str:
    """A job of a few panels on one cloth with a repeat, its heads at up to three heights.

    Args:
        shifts: of columns.
        columns: how far apart they may be.
    """
    draw = random.Random(seed)
    railroaded = draw.random() < 0.25
    strategy = draw.choice(("level", "level", "centred", "continuous"))
    repeat = draw.choice((4, 5, 6, 7.5, 9))
    lines = [
        f'title = "tiny {seed}"\nstep = 1',
        f"[cloth.a]\nwidth = {draw.choice((28, 34, 40, 46))}\nselvedge = {draw.choice((0, 0.5))}",
        f"repeat_down = {repeat}\nrepeat_across = {draw.choice(columns)}",
        f"column_shift = {draw.choice(shifts)}",
        f"start = {draw.choice((chr(34) + 'any' + chr(34), '1', '2.5'))}",
        f"motif_at = {draw.choice((0, 1, 2.5))}",
        f'sold_in = "{draw.choice(("1/8 yd", "1/4 in"))}"',
        "[make]\nextra_shade = 0\nside_fold = 0.5\ntake_up = 1\nsquare_up = "
        + draw.choice(("0", "1")),
        f'[match]\nstrategy = "{strategy}"\nanchor = "{draw.choice(("head", "sill", "wall"))}"',
        f'centre_on = "{draw.choice(("motif", "between"))}"\nalternate = true',
    ]
    if railroaded:
        lines.insert(2, 'runs = "railroaded"')
    heads = draw.sample((0, 1, 2, 3.5, 5), 3)
    for k in range(draw.randint(1, 3)):
        lines.append(f'[[opening]]\nname = "{k}"\nwidth = {draw.choice((14, 20, 26, 31, 44))}')
        lines.append(f"height = {draw.choice((10, 11, 14.5, 20))}\nhead = {heads[k]}")
        lines.append(f"clearance = 0\ngap = {draw.choice(('[0, 1]', '1', '0'))}\nnarrowest = 6")
        lines.append(
            "alike = false\n"
            f"copies = {draw.choice((1, 1, 2))}\nshades = {draw.choice(('[1, 2]', '[1, 3]', '2'))}"
        )
    return "\n".join(lines)


def compared(make: Callable[[int], str], number: int) -> list[int]:
    """Seeds of jobs small enough to try everything."""
    seeds: list[int] = []
    seed = 0
    while len(seeds) < number:
        job = job_of(make(seed))
        few = 1 < brute_repeats.panels(job) <= 6 and brute_repeats.combinations(job) <= _MOST
        if few and seed not in _TOO_LONG:
            seeds.append(seed)
        seed += 1
    return seeds


def shifted_and_compared() -> list[int]:
    """Seeds of jobs that can be divided, and whose rows are not level with all that have motifs."""
    seeds = []
    for seed in compared(shifted, SHIFTED):
        job = job_of(shifted(seed))
        tried = brute_repeats.combinations(job) * brute_repeats.sets_of_rows(job)
        if job.cloths[0].runs == "railroaded" and job.match.strategy != "level":
            tried *= 10  # places along the roll count as well
        few = brute_repeats.panels(job) <= 4 and tried <= _MOST_TRIED
        if few and brute_repeats.shows_some_rows_only(job):
            seeds.append(seed)
    return seeds


@pytest.mark.parametrize("seed", mostly_slow(stored("repeats")[:40], most=8))
def test_the_solver_finds_what_trying_everything_finds(seed: int) -> None:
    check(job_of(tiny(seed)), answers("repeats").get(seed))


def shifted(seed: int) -> str:
    """The same with columns far apart, that come level again only after more of them than lie on
    the cloth, and some openings covered from outside."""
    text = tiny(seed, ("1.5", "2", "2.5", "3.5"), (9, 13, 19))
    over = random.Random(seed).choice((0, 1, 2))
    return text.replace("clearance = 0", f'mount = "outside"\noverlap = {over}', 1)


@pytest.mark.parametrize("seed", mostly_slow(stored("shifted"), 10, 14))
def test_of_shifted_columns_only_those_on_the_cloth_count(seed: int) -> None:
    check(job_of(shifted(seed)), answers("shifted").get(seed))


def printed(seed: int) -> str:
    """The same on stripes and on bands, with one picture on all shades, and with motifs so far
    below all anchors; columns straight or half-drop."""
    draw = random.Random(seed)
    text = tiny(seed, ("0", '"half"', '"half"'))
    sort = draw.choice(("stripes", "bands", "half-drop", "half-drop"))
    dropped = {"stripes": "repeat_down|column_shift", "bands": "repeat_across|column_shift"}
    if sort in dropped:
        text = re.sub(f"^({dropped[sort]}) = .*\n", "", text, flags=re.MULTILINE)
    if draw.random() < 0.7:
        text = text.replace("alternate = true\n", "")
    if draw.random() < 0.5:
        text = text.replace("[match]", f"[match]\nmotif_below = {draw.choice((0, 1, 2.5, 4))}")
    return text


@pytest.mark.parametrize("seed", mostly_slow(stored("printed")[:60], 8, 20))
def test_stripes_bands_and_tied_motifs_lie_as_trying_everything_finds(seed: int) -> None:
    check(job_of(printed(seed)), answers("printed").get(seed))


def check(job: Job, answer: Answer | None) -> None:
    """The plan against trying everything, which is done here unless its answer is stored."""
    assert 1 < brute_repeats.panels(job) <= 6
    assert brute_repeats.combinations(job) <= _MOST
    answer = brute_repeats.best(job) if answer is None else answer or None
    try:
        planned = make_plan(job, seconds=30)
    except CannotMeetError:
        assert answer is None
        return
    assert planned.faults == ()
    values = {goal.goal: goal.value for goal in planned.plan.proof.goals}
    if brute_repeats.level_all_around(job) and job.match.strategy != "continuous":
        # Only rows of columns next to one another are looked at.
        assert answer is not None
        assert values["bought"] >= answer[0]
        return
    assert (values["bought"], values["shades"], values["used"]) == answer
    assert planned.plan.proof.status == "proved"
