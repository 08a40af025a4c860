"""What openings must have in common: one lay, as many shades as one another; and an opening's own
lay, for faces and linings of its cloth."""

from __future__ import annotations

import json
import random
from collections.abc import Sequence
from itertools import product

import pytest

from jobs import job_of
from shadewright.job.model import Job
from shadewright.judge.replay import judge
from shadewright.planning.make import make_plan
from shadewright.planning.possible import possible, ready
from shadewright.report.text.check import said_back
from shadewright.report.work.choices import lays_said
from shadewright.solve.problem.agreement import can_agree, with_common_values
from shadewright.solve.problem.kinds import Agreed, Kind, Option, Topic, Value
from shadewright.trade.divisions import Way
from shadewright.trade.refusal import CannotMeetError


def kind(*said: Agreed) -> Kind:
    """A kind with an option for each thing said."""
    options = (Option((1,), Way(False, None), (), 0, frozenset(), agreed) for agreed in said)
    return Kind(1, tuple(options))


SHADES, LAY = ("shades", "a"), ("lay", "c")


def test_what_one_topic_rules_out_may_be_all_that_another_had() -> None:
    kinds = [
        kind(((SHADES, 1), (LAY, True)), ((SHADES, 2), (LAY, False))),
        kind(((SHADES, 1),)),
        kind(((LAY, True),), ((LAY, False),)),
    ]
    kept = with_common_values(kinds)
    assert [len(each.options) for each in kept] == [1, 1, 1]
    assert can_agree(kinds)
    # The third must lie up the bolt; the first could only with two shades.
    kinds[2] = kind(((LAY, False),))
    assert not can_agree(kinds)
    assert can_agree(kinds, ("lay",))
    assert can_agree(kinds, ("shades",))


def test_what_goes_two_by_two_may_not_go_together() -> None:
    other = ("lay", "d")
    kinds = [
        kind(((LAY, True), (other, True)), ((LAY, False), (other, False))),
        kind(((LAY, True), (other, False)), ((LAY, False), (other, True))),
    ]
    assert [len(each.options) for each in with_common_values(kinds)] == [2, 2]
    assert not can_agree(kinds)
    assert can_agree([*kinds[:1], kind(())])


@pytest.mark.parametrize("seed", range(30))
def test_what_can_agree_is_what_some_choice_of_options_does(seed: int) -> None:
    draw = random.Random(seed)
    for _ in range(20):
        kinds = []
        for _ in range(draw.randint(1, 4)):
            said = [draw.sample("abc", draw.randint(0, 3)) for _ in range(draw.randint(1, 3))]
            kinds.append(
                kind(*(tuple(((what, what), draw.randint(0, 1)) for what in one) for one in said))
            )
        possible_at_all = some_choice_agrees(kinds)
        assert can_agree(kinds) == possible_at_all
        if possible_at_all:
            assert some_choice_agrees(with_common_values(kinds))


def some_choice_agrees(kinds: Sequence[Kind]) -> bool:
    """By trying every choice of options."""
    for chosen in product(*(each.options for each in kinds)):
        settled: dict[Topic, Value] = {}
        said = (one for option in chosen for one in option.agreed)
        if all(settled.setdefault(topic, value) == value for topic, value in said):
            return True
    return False


def test_very_many_ties_are_no_trouble() -> None:
    """More than calls can go deep: two thousand pairs of openings."""
    ties = [(("shades", str(n)), n) for n in range(2000)]
    kinds = [kind((tie,), ()) if n % 3 else kind((tie,)) for n, tie in enumerate(ties)] * 2
    assert can_agree(kinds)
    assert not can_agree([*kinds, kind(((ties[0][0], 7),))])


BOTH_WAYS = """
title = "both ways"
[cloth.a]
width = 44
runs = "{runs}"
[[opening]]
name = "Wide"
width = 62
height = 36
shades = [1, 4]
[[opening]]
name = "Narrow"
width = 34
height = 24
like = "Wide"
[[opening]]
name = "Tall"
width = 80
height = 54
"""


def test_openings_that_cannot_all_agree_are_refused_with_what_would_do() -> None:
    """Narrow has one shade, so Wide has one as well, and lies railroaded; Tall is too high to."""
    with pytest.raises(CannotMeetError) as refused:
        ready(job_of(BOTH_WAYS.format(runs="either")))
    (why,) = refused.value.refusals
    assert why.where == '[[opening]] "Narrow" like'
    assert "all cloth laid one way" in why.reason
    assert "as many shades as another opening" in why.reason
    assert 'runs = "mixed"' in why.nearest
    assert "no like" in why.nearest
    ready(job_of(BOTH_WAYS.format(runs="mixed")))
    ready(job_of(BOTH_WAYS.format(runs="either").replace('like = "Wide"', "")))


def test_numbers_of_shades_that_nothing_has_in_common_are_told() -> None:
    text = BOTH_WAYS.format(runs="mixed").replace("shades = [1, 4]", "shades = [2, 3]")
    with pytest.raises(CannotMeetError) as refused:
        ready(job_of(text))
    (why,) = refused.value.refusals
    assert why.where == '[[opening]] "Narrow" like'
    assert "Wide takes 2 to 3, Narrow takes 1" in why.reason


def test_a_list_of_draws_says_nothing_of_other_numbers_of_shades() -> None:
    """With prices, a refusal once looked for the draw of a fourth shade in a list of three."""
    text = """
title = "draws"
[cloth.a]
width = 54
repeat_down = 9
repeat_across = 13.5
price = 10
[prices]
hook = 1
[match]
strategy = "continuous"
centre_on = "between"
[[opening]]
name = "Row"
width = 142
height = 36
draw = ["left", "centre", "right"]
"""
    with pytest.raises(CannotMeetError) as refused:
        ready(job_of(text))
    (why,) = refused.value.refusals
    assert why.where == '[[opening]] "Row" draw'
    assert "draws, for as many shades, would do" in why.nearest


LINED = """
title = "lined"
[cloth.a]
width = 60
runs = "either"
[make]
lining = "a"
[[opening]]
name = "Own"
width = 62
height = 30
runs = "{runs}"
[[opening]]
name = "Other"
width = 80
height = 60
"""


@pytest.mark.parametrize("runs", ["railroaded", "up the bolt", "either"])
def test_an_openings_own_lay_holds_for_a_lining_of_its_cloth(runs: str) -> None:
    job = job_of(LINED.format(runs=runs))
    answer = make_plan(job, 2)
    assert answer.faults == ()
    lies = {
        opening: {p.railroaded for p in answer.plan.panels if p.shade.startswith(opening)}
        for opening in ("Own", "Other")
    }
    assert lies["Other"] == {False}  # higher than the cloth is wide
    assert len(lies["Own"]) == 1
    if runs != "either":
        assert lies["Own"] == {runs == "railroaded"}


def test_the_judge_finds_a_lining_that_lies_another_way_than_its_opening() -> None:
    plan = make_plan(job_of(LINED.format(runs="either")), 2).plan
    lies = any(p.railroaded for p in plan.panels if p.shade.startswith("Own"))
    data = json.loads(plan.model_dump_json(by_alias=True))
    # The same plan, of a job whose opening lies the other way.
    wanted = "up the bolt" if lies else "railroaded"
    faults = judge(job_of(LINED.format(runs=wanted)), data)
    for part in ("face", "lining"):
        assert any(f.startswith(part) and f"runs {wanted}" in f for f in faults)
    # Faces one way and linings the other are no one lay.
    for panel in data["panels"]:
        if panel["shade"].startswith("Own") and panel["part"] == "lining":
            panel["railroaded"] = not panel["railroaded"]
            panel["across"], panel["along"] = panel["along"], panel["across"]
    faults = judge(job_of(LINED.format(runs="either")), data)
    assert any(f.startswith("lining") and "but face" in f for f in faults)


def told(job: Job) -> str:
    return " ".join(said_back(job, possible(job)).split())


def test_what_other_openings_rule_out_is_not_laid_to_the_print() -> None:
    """Plain cloth has no print, and a table is no print either."""
    said = told(job_of(BOTH_WAYS.format(runs="mixed")))
    assert "print" not in said
    assert "Wide: " in said
    many = "not every opening that is to have as many shades can have so many"
    assert said.count(many) > 0
    # Alone, as many as fit may be had.
    assert many not in told(job_of(BOTH_WAYS.format(runs="mixed").replace('like = "Wide"', "")))
    lay = told(job_of(BOTH_WAYS.format(runs="either").replace('like = "Wide"', "")))
    assert "railroaded; but not all of the cloth can lie so" in lay
    table = BOTH_WAYS.format(runs="mixed").replace('like = "Wide"', "") + "[make]\ntable = 60"
    assert "railroaded; but the table is too short for these" in told(job_of(table))


def test_an_opening_that_lies_its_own_way_and_is_too_high_is_told_so() -> None:
    text = BOTH_WAYS.format(runs="mixed").replace('like = "Wide"', "") + 'runs = "railroaded"'
    with pytest.raises(CannotMeetError) as refused:
        ready(job_of(text))
    (why,) = refused.value.refusals
    assert why.where == '[[opening]] "Tall" height'
    assert why.reason.startswith("railroaded, its cut length of 59")
    assert why.nearest.startswith("runs of its own left out, or cloth at least")


def test_which_openings_lie_railroaded_is_said() -> None:
    job = job_of(BOTH_WAYS.format(runs="mixed").replace('like = "Wide"', "") + "copies = 2")
    lies = {"Wide": {True}, "Narrow": {False, True}, "Tall": {False}}
    plan = make_plan(job, 3).plan
    panels = []
    for panel in plan.panels:
        ways = lies[next(name for name in lies if panel.shade.startswith(name))]
        turns = [panel.model_copy(update={"railroaded": way}) for way in ways]
        panels += turns
    (said,) = lays_said(job, plan.model_copy(update={"panels": panels}))
    assert said == (
        "a lies railroaded in Wide and some panels of Narrow, and up the bolt in all others."
    )
