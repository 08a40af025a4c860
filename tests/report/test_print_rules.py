"""Rules of the print by hand, from job to plan, judge and pages: linings, walls, odd columns."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from jobs import inches, job_of, mostly_slow
from shadewright.answers import PlanAnswer, Since
from shadewright.cloth import lattice
from shadewright.cloth.plan import Plan
from shadewright.job.model import Job
from shadewright.job.read import read_job
from shadewright.judge.replay import judge
from shadewright.planning.go_on import go_on
from shadewright.planning.make import make_plan
from shadewright.planning.possible import possible
from shadewright.report.pages.drawing import MOTIF
from shadewright.report.pages.rendering import svg
from shadewright.report.pages.roll_map import draw_roll
from shadewright.report.text.check import said_back
from shadewright.report.text.summary import summary
from shadewright.report.work.account import Account
from shadewright.report.work.cuts import cuts_by_drop
from shadewright.report.work.laying import beginning
from shadewright.report.work.lays import lay_out

EXAMPLES = Path(__file__).parents[2] / "examples"

# Take-up is stated, so a panel is 1 3/4 + 1 1/2 + 1 + 1/2 = 4 3/4 longer than its shade, and its
# finished top 2 1/2 below its own.
PRINTED = """
title = "printed"
[cloth.leaf]
width = 54
selvedge = 0.5
repeat_down = {down}
repeat_across = {across}
column_shift = {shift}
{cloth}
[make]
take_up = 0.5
{make}
[match]
{match}
"""
OPENING = """
[[opening]]
name = "{name}"
width = {width}
height = {height}
shades = 1
{rest}
"""


def told_of(job: Job) -> str:
    """What check says, on one line."""
    return " ".join(said_back(job, possible(job)).split())


def printed(
    *openings: str, down: object = 20, shift: object = 0, across: float = 13.5, **facts: str
) -> Job:
    facts = {"cloth": "", "make": "", "match": ""} | facts
    head = PRINTED.format(down=down, shift=shift, across=across, **facts)
    return job_of(head + "".join(openings))


def opening(name: str, width: float = 45, height: float = 50, rest: str = "") -> str:
    return OPENING.format(name=name, width=width, height=height, rest=rest)


def planned(job: Job, seconds: float = 5) -> PlanAnswer:
    found = make_plan(job, seconds=seconds)
    assert found.faults == ()
    return found


def moved(plan: Plan, shade: str, by: int) -> dict[str, object]:
    """The plan file with a shade's panel further along, and the drop it ends with it."""
    data = plan.model_dump(mode="json", by_alias=True)
    for panel in data["panels"]:
        if panel["shade"] == shade:
            panel["y"] += by
            drop = next(d for d in data["drops"] if d["number"] == panel["drop"])
            drop["start"] += by
            drop["end"] += by
    return data


# --- Linings --------------------------------------------------------------------------------------

LINED = """
title = "lined"
[cloth.canvas]
width = 54
[cloth.dots]
width = 54
repeat_down = 27
repeat_across = 9
[make]
take_up = 0.5
lining = "dots"
[[opening]]
name = "bay"
cloth = "canvas"
width = 45
height = 50
copies = 3
shades = 1
"""


def test_a_lining_with_a_print_is_laid_plain() -> None:
    job = job_of(LINED)
    found = planned(job)
    plan = found.plan
    # Three of 54 3/4 behind 1 in to square up; nothing is skipped, no repeat is bought.
    assert {p.cloth: p.used for p in plan.pieces} == dict.fromkeys(
        ("canvas", "dots"), inches(1 + 3 * 54.75)
    )
    assert plan.totals.bought["dots"] == plan.totals.bought["canvas"]
    assert plan.proof.status == "proved"
    assert found.naive is not None
    assert found.naive.bought["dots"] == found.naive.bought["canvas"]


def test_nothing_is_said_of_a_linings_print() -> None:
    job = job_of(LINED)
    lays = lay_out(job, planned(job).plan)
    said = [cut.what for lay in lays for _, cuts in cuts_by_drop(job, lay) for cut in cuts]
    assert not [what for what in said if "motif" in what or "print" in what]
    told = told_of(job)
    assert "dots: " in told
    assert "a lining, laid plain: nothing of its print is matched or bought" in told
    assert "one repeat is added" not in told
    assert MOTIF not in svg(list(draw_roll(Account(job, planned(job).plan))))


def test_the_judge_lets_a_lining_lie_anywhere_and_wants_no_repeat_bought() -> None:
    job = job_of(LINED)
    data = planned(job).plan.model_dump(mode="json", by_alias=True)
    dots = next(piece for piece in data["pieces"] if piece["cloth"] == "dots")
    dots["length"] += inches(27)
    dots["length"] -= dots["length"] % job.cloth("dots").sold_in
    assert any("more than needed" in fault for fault in judge(job, data))


def test_a_lining_on_hand_takes_its_place_anywhere() -> None:
    # Two fit between the flaw and the end only if nothing of the print is skipped.
    piece = """
    [[cloth.dots.piece]]
    name = "rest"
    length = 112
    start = 5
    flaws = [ { from = 0, to = 2 } ]
    """
    job = job_of(LINED.replace("[make]", piece + "[make]"))
    plan = planned(job).plan
    on_hand = [p for p in plan.panels if p.piece == "rest"]
    assert len(on_hand) == 2


@pytest.mark.slow
def test_on_the_cloth_of_faces_these_are_matched_and_linings_laid_plain() -> None:
    job = printed(opening("a"), opening("b"), make='lining = "leaf"')
    plan = planned(job).plan
    laid = sorted(plan.panels, key=lambda p: p.y)
    assert [p.part for p in laid] == ["face", "face", "lining", "lining"]
    # Two faces three repeats of 20 apart, and both linings right behind them.
    places = [1, 61, 61 + 54.75, 61 + 2 * 54.75]
    assert [p.y for p in laid] == [inches(place) for place in places]
    assert plan.proof.used == inches(61 + 3 * 54.75)
    assert "a lining of it is laid plain" in told_of(job)


@pytest.mark.slow
@pytest.mark.parametrize("match", mostly_slow(['strategy = "centred"', 'anchor = "sill"', ""], 3))
@pytest.mark.parametrize("shift", mostly_slow(['"half"', "0", "3.5"], 3, 2))
def test_cloth_that_lines_itself_is_judged_clean(match: str, shift: str) -> None:
    sizes = ((20, 31, 2), (32, 50, 1), (24, 44, 3))
    openings = [
        opening(f"o{i}", width, height, f"copies = {copies}")
        for i, (width, height, copies) in enumerate(sizes)
    ]
    job = printed(*openings, make='lining = "leaf"', match=match, shift=shift)
    planned(job, 1)
    piece = '[[cloth.leaf.piece]]\nname = "rest"\nlength = 260\nstart = 3'
    planned(printed(*openings, make='lining = "leaf"', match=match, shift=shift, cloth=piece), 1)


# --- The wall -------------------------------------------------------------------------------------

OUTSIDE = 'mount = "outside"\noverlap = 2\nhead = 10'


@pytest.mark.parametrize("runs", ["up the bolt", "railroaded"])
def test_level_on_the_wall_counts_what_hangs_above_a_head(runs: str) -> None:
    job = printed(
        opening("in", height=36, rest="head = 10"),
        opening("out", width=41, height=34, rest=OUTSIDE),
        match='anchor = "wall"',
        cloth=f'runs = "{runs}"',
    )
    plan = planned(job).plan
    rows = {}
    for panel in plan.panels:
        shade = next(shade for shade in plan.shades if shade.id == panel.shade)
        far = job.cloth("leaf").usable - panel.x - panel.across
        top = (far if panel.railroaded else panel.y) + panel.hem_top
        # Outside, the shade's top hangs 2 in above the head, which is 10 above the line.
        rows[shade.opening] = (top + inches(12 if shade.opening == "out" else 10)) % inches(20)
    assert rows["in"] == rows["out"]


@pytest.mark.parametrize("anchor", ["wall", "sill"])
def test_hooks_and_sills_count_in_where_rows_are_level(anchor: str) -> None:
    job = printed(
        opening("in", height=36, rest="head = 10\nsill_gap = 0.75"),
        opening("out", width=41, height=34, rest=f"{OUTSIDE}\noverlap_bottom = 1.5"),
        match=f'anchor = "{anchor}"',
        make="hook_drop = 1.25",
    )
    plan = planned(job).plan
    rows = {}
    for panel in plan.panels:
        name = "in" if panel.shade.startswith("in") else "out"
        # Down to the line: 10 less 1 1/4 inside, 10 and 2 outside. Down to the sill: 36 less 1 1/4
        # and 3/4, and 34 with 2 and 1 1/2.
        below = {
            "wall": {"in": 8.75, "out": 12},
            "sill": {"in": 34, "out": 37.5},
        }[anchor][name]
        rows[name] = (panel.y + panel.hem_top + inches(below)) % inches(20)
    assert rows["in"] == rows["out"]


def test_the_judge_counts_hooks_on_the_wall() -> None:
    openings = opening("in", rest="head = 10"), opening("out", width=41, rest=OUTSIDE)
    job = printed(*openings, match='anchor = "wall"', make="hook_drop = 1.25")
    plan = planned(job).plan
    drops = {p.shade: p.drop for p in plan.panels}
    later = max(drops, key=lambda shade: drops[shade])
    # As if the hooks were forgotten.
    by = inches(1.25) if later.startswith("out") else -inches(1.25)
    faults = judge(job, moved(plan, later, by))
    assert any('motif rows lie 1 1/4"' in fault and "at the wall" in fault for fault in faults)


def test_the_judge_wants_rows_level_on_the_wall() -> None:
    inside = opening("in", rest="head = 10")
    level = printed(inside, opening("out", width=41, rest=OUTSIDE), match='anchor = "wall"')
    plan = planned(level).plan
    drops = {p.shade: p.drop for p in plan.panels}
    assert len(set(drops.values())) == 2
    later = max(drops, key=lambda shade: drops[shade])
    # As if the overlap were forgotten.
    faults = judge(level, moved(plan, later, -inches(2) if later.startswith("out") else inches(2)))
    assert any('motif rows lie 2"' in fault and "at the wall" in fault for fault in faults)


def test_check_says_how_high_shades_hang_on_the_wall() -> None:
    job = printed(opening("out", rest=OUTSIDE), match='anchor = "wall"')
    told = told_of(job)
    assert "matched level at one height on the wall" in told
    assert "its shades' tops 12\" above the common line" in told


# --- Shifted columns ------------------------------------------------------------------------------

# 53 usable hold three columns of 13 1/2: rows are level 0, 5, 10 and 15 - 12.1 = 2.9 apart.
ODD = {"down": 12.1, "shift": 5}


def test_a_shift_that_never_comes_level_asks_for_rows_all_the_same() -> None:
    job = printed(opening("a"), opening("b", height=41), opening("c", height=33), **ODD)
    plan = planned(job).plan
    down, shift = job.cloth("leaf").repeat_down or 1, job.cloth("leaf").column_shift
    rows = [panel.y + panel.hem_top for panel in plan.panels]
    apart = {k * shift % down for k in range(-3, 4)}
    assert {(a - b) % down for a in rows for b in rows} <= apart
    assert plan.proof.status == "proved"


def test_the_judge_knows_rows_that_no_column_on_the_cloth_makes_level() -> None:
    job = printed(opening("a"), opening("b"), **ODD)
    plan = planned(job).plan
    down, shift = job.cloth("leaf").repeat_down or 1, job.cloth("leaf").column_shift
    first, last = sorted(plan.panels, key=lambda p: p.y)
    now = (last.y - first.y) % down
    for k in range(-8, 9):
        data = moved(plan, last.shade, (k * shift - now) % down + down)
        told = [fault for fault in judge(job, data) if "motif rows lie" in fault]
        # 8 columns on, the motif is nowhere near as high in any of those between.
        assert bool(told) == (abs(k) > 3)


def test_check_names_the_heights_of_level_rows() -> None:
    job = printed(opening("a"), down=12, shift=5)
    told = told_of(job)
    assert 'so cuts fall every 12", or 3", 5" or 10" below that' in told
    many = printed(opening("a"), down=30.1, shift=7.3, across=2)
    assert 'at any of 27 heights in every 30 1/8"' in told_of(many)


@pytest.mark.parametrize(
    ("shift", "across", "every"),
    [
        (0, 13.5, 20),
        ('"half"', 13.5, 10),
        ('"half"', 53, 10),
        # No face shows two columns: a half-drop is none.
        ('"half"', 54, 20),
        # Three columns beside one another are all that a third asks for.
        (5, 13.5, 5),
        (4, 20, 4),
    ],
)
def test_rows_of_few_columns_are_as_far_apart_as_all_of_them(
    shift: object, across: float, every: float
) -> None:
    job = printed(opening("a"), shift=shift, across=across)
    assert lattice.level(job.cloth("leaf")) == lattice.Level(inches(every), (0,), True)


def test_many_columns_keep_the_model_small() -> None:
    """27 heights of level rows: no more than are worth trying are put to the model."""
    job = printed(*(opening(name) for name in "abcd"), down=30.1, shift=7.3, across=2)
    plan = planned(job).plan
    assert len(plan.shades) == 4


@pytest.mark.parametrize(
    ("facts", "match"),
    [
        (ODD, ""),
        ({"shift": '"half"'}, 'strategy = "centred"'),
        ({"shift": '"half"'}, 'strategy = "centred"\nmotif_below = 3'),
        ({"shift": '"half"'}, 'strategy = "continuous"\nmotif_below = 3\nacross = "opening"'),
    ],
)
def test_going_on_keeps_to_the_rows_that_are_cut(facts: dict[str, Any], match: str) -> None:
    for runs, height in (("up the bolt", 50), ("railroaded", 28)):
        sizes = zip("abc", (height, height - 5, height - 9), strict=True)
        openings = [opening(name, width=35, height=size) for name, size in sizes]
        job = printed(*openings, cloth=f'runs = "{runs}"', match=match, **facts)
        before = planned(job).plan
        for drop in before.drops:
            done = frozenset({(d.cloth, d.piece, d.number) for d in before.drops[: drop.number]})
            lost = next(p.shade for p in before.panels if p.drop == drop.number)
            again = go_on(job, before, Since(done, frozenset([lost])), seconds=2)
            assert again.faults == ()


# --- Stripes, bands, and motifs so far below heads ------------------------------------------------


def plain_or_one(repeat: str, match: str, cloth: str = "") -> Job:
    """Two openings on cloth with one repeat."""
    text = PRINTED.format(down=20, shift=0, across=6, cloth=cloth, make="", match=match)
    lines = [line for line in text.splitlines() if not line.startswith(("repeat_", "column_"))]
    text = "\n".join(lines).replace("[cloth.leaf]", f"[cloth.leaf]\n{repeat}")
    return job_of(text + opening("a", 30, 34) + opening("b", 41, 26))


@pytest.mark.parametrize(
    ("repeat", "match", "cloth", "said"),
    [
        (
            "repeat_across = 6",
            'strategy = "centred"',
            "",
            'stripes every 6", along the bolt, down every shade; matched centred, a stripe on the '
            "middle of each shade cut anywhere along the bolt, whatever its start a stripe's "
            'middle 3" from the left usable edge: half the repeat, as is assumed where motif_at '
            "is not stated",
        ),
        (
            "repeat_across = 6",
            'strategy = "continuous"\ncentre_on = "between"',
            'runs = "railroaded"',
            'stripes every 6", across the bolt, down every shade; matched continuous, the middle '
            "between stripes on the middle of each opening start of the bolt unknown: one repeat "
            "is added to what is bought",
        ),
        (
            "repeat_across = 6",
            "",
            "motif_at = 2",
            "matched level, which lets stripes fall as they may cut anywhere along the bolt, "
            "whatever its start a stripe's middle 2\" from the left usable edge",
        ),
        (
            "repeat_down = 9",
            'anchor = "sill"\nmotif_below = 4',
            "start = 3",
            'bands every 9", across the bolt, across every shade; matched level at the bottom '
            'edge, a band\'s middle 4" above it, so cuts fall every 9" first band 3" from the cut '
            "end",
        ),
        (
            "repeat_down = 9",
            'strategy = "centred"',
            'runs = "railroaded"',
            'bands every 9", along the bolt, across every shade; matched centred at the head, so '
            'tops lie every 9" cut anywhere along the bolt',
        ),
    ],
)
def test_check_says_how_stripes_and_bands_lie(
    repeat: str, match: str, cloth: str, said: str
) -> None:
    assert said in told_of(plain_or_one(repeat, match, cloth))


def test_check_says_whether_every_shade_shows_the_same_picture() -> None:
    centred = 'strategy = "centred"\n'
    told = [
        told_of(printed(opening("a", 30), shift='"half"', match=centred + more))
        for more in ("", "alternate = true", "motif_below = 4")
    ]
    assert "a motif on the middle of each shade, as high on every one" in told[0]
    assert "of each shade, standing higher on some than on others" in told[1]
    assert "at the head, a motif's centre 4\" below it, a motif on the middle" in told[2]


@pytest.mark.parametrize(
    ("repeat", "match", "cloth", "said", "cut"),
    [
        ("repeat_across = 6", 'strategy = "centred"', "", "Zero of the tape is the cut end", ""),
        (
            "repeat_across = 6",
            'strategy = "centred"',
            'runs = "railroaded"\nstart = 2',
            'Its first stripe must lie 2" from the cut end',
            "By the print: ",
        ),
        (
            "repeat_down = 9",
            "",
            'runs = "railroaded"',
            "Lay this cloth right side up, with the tops of its bands towards the far edge. Zero "
            "of the tape is the cut end",
            "",
        ),
        (
            "repeat_down = 9",
            "motif_below = 4",
            "",
            'Zero of the tape is the first band: it lies within 9" of the cut end, and so much was '
            "bought to spare.",
            "By the print: ",
        ),
    ],
)
def test_the_cutting_order_says_what_to_look_for(
    repeat: str, match: str, cloth: str, said: str, cut: str
) -> None:
    job = plain_or_one(repeat, match, cloth)
    (lay,) = lay_out(job, planned(job).plan)
    told = beginning(job, lay)
    assert told.startswith(said) or said in told
    assert "Another height" not in told
    whats = [line.what for _, cuts in cuts_by_drop(job, lay) for line in cuts]
    assert any("By the print" in what for what in whats) == bool(cut)


def test_bands_lie_so_far_below_every_head() -> None:
    job = plain_or_one("repeat_down = 9", "motif_below = 4", "start = 2.5")
    plan = planned(job).plan
    for panel in plan.panels:
        # The finished top is 2 1/2 below that of the panel; the first band 2 1/2 from the cut end.
        assert (panel.y + inches(2.5 + 4 - 2.5)) % inches(9) == 0


def test_where_columns_alternate_less_cloth_may_do() -> None:
    # All are so wide that only the middle column lies on their centre lines, and 47 3/4 long: the
    # next begins three repeats of 20 further along, or with the column beside in it, 50.
    openings = [opening(f"o{i}", 38 + i / 2, 43) for i in range(4)]
    centred, facts = 'strategy = "centred"\n', {"shift": '"half"', "cloth": "motif_at = 26.5"}
    same = printed(*openings, match=centred, **facts)
    free = printed(*openings, match=centred + "alternate = true", **facts)
    plans = [planned(job).plan for job in (same, free)]
    assert [p.proof.used for p in plans] == [inches(1 + 3 * by + 47.75) for by in (60, 50)]
    assert judge(same, plans[1].model_dump(mode="json", by_alias=True))


# --- Pages ----------------------------------------------------------------------------------------


def test_motif_rows_are_drawn_on_the_wall_and_where_cloth_shrinks() -> None:
    job = printed(
        opening("a", height=40, rest="head = 11.3"),
        opening("b", height=30, rest="head = 3.7"),
        match='anchor = "wall"',
        cloth="shrink_down = 0.03",
    )
    (drawing, *_) = draw_roll(Account(job, planned(job).plan))
    assert [line for line in drawing.lines if line.color == "#b7653f"]


def test_what_the_notepad_way_does_not_see_to_is_said_where_it_buys_less() -> None:
    """It cuts to whole repeats, and looks at no columns."""
    job = read_job(EXAMPLES / "parlour.toml")
    answer = make_plan(job, 5)
    said = " ".join(summary(Account(job, answer.plan, answer.naive)).split())
    assert "It would buy 9 3/4 yd of peony for 7 shades" in said
    assert "It keeps the print level, but does not let it run on behind the gaps." in said
    level = job.matched(strategy="level")
    answer = make_plan(level, 5)
    assert "It keeps the print" not in summary(Account(level, answer.plan, answer.naive))
