"""Lengths of rolls of many phases bounded by their turns, against every order there is."""

from __future__ import annotations

import random
from dataclasses import replace
from itertools import permutations, product

import pytest
from ortools.sat.python import cp_model

from shadewright.cloth.lattice import Slot
from shadewright.solve.effort import USUAL
from shadewright.solve.packing.grid import Grid
from shadewright.solve.packing.templates import list_templates
from shadewright.solve.packing.turns import add_turns
from shadewright.solve.problem.kinds import Rect, Roll
from shadewright.solve.run import Clock

PERIOD = 40
NODES = tuple(range(0, PERIOD, 2))
WIDTH = 10


def least(rects: list[Rect]) -> int:
    """The least length that holds rectangles as wide as the roll, by trying every order."""
    found = []
    for order in permutations(rects):
        for phases in product(*(rect.phases for rect in order)):
            end = phases[0]
            for rect, phase in zip(order, phases, strict=True):
                end += (phase - end) % PERIOD + rect.along
            found.append(end - phases[0])
    return min(found)


def bound(rects: list[Rect], roll: Roll) -> int:
    """What turns say it is at least."""
    asked = {rect: rects.count(rect) for rect in rects}
    templates, _ = list_templates(
        Grid.of(roll, asked), asked, Clock(10, replace(USUAL, wall=100.0))
    )
    model = cp_model.CpModel()
    one = model.new_constant(1)
    demand = {rect: [(count, one)] for rect, count in asked.items()}
    packing = add_turns(model, roll, templates, demand, asked, USUAL.few_begins)
    model.minimize(packing.length)
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    assert solver.solve(model) == cp_model.OPTIMAL
    return round(solver.objective_value)


@pytest.mark.parametrize("seed", range(25))
@pytest.mark.parametrize("nodes", [NODES, None], ids=["many nodes", "few nodes"])
def test_turns_bound_every_order_and_hardly_less(seed: int, nodes: tuple[int, ...] | None) -> None:
    draw = random.Random(seed)
    rects = [
        Rect(
            "r",
            WIDTH,
            draw.randint(5, 60),
            tuple(
                Slot(0, 1, phase) for phase in sorted(draw.sample(NODES, draw.choice((1, 1, 2))))
            ),
        )
        for _ in range(draw.randint(1, 4))
    ]
    own = tuple(sorted({phase for rect in rects for phase in rect.phases}))
    roll = Roll("r", WIDTH, period=PERIOD, nodes=nodes or own)
    best = least(rects)
    assert bound(rects, roll) <= best
    # All that is left out is how parts of the circle hang together.
    assert bound(rects, roll) > best - PERIOD
