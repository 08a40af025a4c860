"""Numbers of panels: in the order of work, and kept by a plan that goes on."""

from __future__ import annotations

import samples
from shadewright.cloth.numbering import panel_numbers, remembered
from shadewright.cloth.plan import PanelNumber


def test_numbers_count_in_the_order_of_work() -> None:
    _, plan = samples.mixed()
    numbers = panel_numbers(plan)
    assert sorted(numbers.values()) == list(range(1, len(plan.panels) + 1))
    by_place = sorted(plan.panels, key=lambda p: (p.drop, p.x, p.y))
    assert [numbers[p.shade, p.part] for p in by_place] == list(range(1, len(plan.panels) + 1))


def test_what_is_known_is_kept_and_new_panels_count_on() -> None:
    _, plan = samples.mixed()
    first, second = plan.panels[:2]
    known = [
        PanelNumber(shade=first.shade, part="face", number=7),
        PanelNumber(shade="Gone 1, 1 of 1", part="face", number=9),
    ]
    numbers = panel_numbers(plan.model_copy(update={"numbers": known}))
    assert numbers[first.shade, "face"] == 7
    assert numbers[second.shade, "face"] > 9
    assert len(set(numbers.values())) == len(numbers)


def test_a_plan_remembers_only_what_it_would_not_come_to_by_itself() -> None:
    _, plan = samples.mixed()
    assert remembered(plan, plan) == []
    one, other = plan.panels[0], plan.panels[-1]
    swapped = [
        one.model_copy(update={"shade": other.shade}),
        *plan.panels[1:-1],
        other.model_copy(update={"shade": one.shade}),
    ]
    moved = plan.model_copy(update={"panels": swapped})
    moved = moved.model_copy(update={"numbers": remembered(plan, moved)})
    assert panel_numbers(moved) == panel_numbers(plan)
