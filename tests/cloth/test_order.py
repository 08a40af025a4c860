"""The cutting order on the repeat circle: published data, brute force, and a circuit model."""

from __future__ import annotations

import random
from itertools import permutations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from ortools.sat.python import cp_model

from published import PUBLISHED
from shadewright.cloth.order import Arc, Order, open_order

TAHA = PUBLISHED["cutting_order"]["taha"]
REPEAT = 1000  # of Taha's data, which has three decimals


def taha() -> list[Arc]:
    return [
        Arc(round(s * REPEAT), round(length * REPEAT))
        for s, length in zip(TAHA["start"], TAHA["length"], strict=True)
    ]


def wasted(arcs: list[Arc], around: int, order: tuple[int, ...], begin: int | None) -> int:
    """Cloth skipped before and between drops, straight from the definition."""
    at = arcs[order[0]].phase if begin is None else begin
    waste = 0
    for i in order:
        waste += (arcs[i].phase - at) % around
        at = arcs[i].phase + arcs[i].length
    return waste


def wasted_closed(arcs: list[Arc], around: int, order: tuple[int, ...]) -> int:
    last = arcs[order[-1]]
    back = (arcs[order[0]].phase - last.phase - last.length) % around
    return wasted(arcs, around, order, None) + back


def drops(draw: random.Random, around: int, number: int) -> list[Arc]:
    return [Arc(draw.randrange(around), draw.randint(1, 3 * around)) for _ in range(number)]


@pytest.mark.parametrize(
    ("begin", "key"), [(0, "used_from_repeat_line"), (None, "used_from_anywhere")]
)
def test_taha_with_the_tail_left_uncut(begin: int | None, key: str) -> None:
    found = open_order(taha(), REPEAT, begin)
    assert wasted(taha(), REPEAT, found.sequence, begin) == found.waste
    used = found.waste + sum(arc.length for arc in taha())
    assert used == round(TAHA[key] * REPEAT)


def test_the_nearest_drop_next_is_no_rule() -> None:
    # From sheet 4 it wastes a whole repeat more than need be, so it may not serve as an oracle.
    arcs, order = taha(), [3]
    while len(order) < len(arcs):
        end = arcs[order[-1]].phase + arcs[order[-1]].length
        rest = [i for i in range(len(arcs)) if i not in order]
        order.append(min(rest, key=lambda i, end=end: (arcs[i].phase - end) % REPEAT))
    assert wasted_closed(arcs, REPEAT, tuple(order)) == round(2.41 * REPEAT)


@given(
    st.integers(2, 40).flatmap(
        lambda around: st.tuples(
            st.just(around),
            st.lists(
                st.builds(Arc, st.integers(0, around - 1), st.integers(1, 4 * around)),
                min_size=1,
                max_size=30,
            ),
        )
    )
)
def test_a_tour_is_whole_turns(case: tuple[int, list[Arc]]) -> None:
    around, arcs = case
    for begin in (None, 0):
        found = open_order(arcs, around, begin)
        assert sorted(found.sequence) == list(range(len(arcs)))
        assert wasted(arcs, around, found.sequence, begin) == found.waste
        closed = wasted_closed(arcs, around, found.sequence)
        assert closed % around == -sum(arc.length for arc in arcs) % around


def best(arcs: list[Arc], around: int, begin: int | None) -> int:
    return min(wasted(arcs, around, p, begin) for p in permutations(range(len(arcs))))


@pytest.mark.parametrize("seed", range(8))
def test_small_orders_by_trying_all(seed: int) -> None:
    draw = random.Random(seed)
    for _ in range(60):
        around = draw.randint(2, 12)
        arcs = drops(draw, around, draw.randint(1, 6))
        for begin in (None, draw.randrange(around)):
            found = open_order(arcs, around, begin)
            assert found.waste == best(arcs, around, begin)
            assert wasted(arcs, around, found.sequence, begin) == found.waste


def test_one_turn_more_where_drops_do_not_hang_together() -> None:
    # Two drops of whole turns: each comes back to where it began, so that half a turn is skipped
    # from either to the other.
    arcs = [Arc(0, 10), Arc(5, 10)]
    assert open_order(arcs, 10, 0).waste == 5


def test_one_drop() -> None:
    assert open_order([Arc(3, 12)], 10, None) == Order((0,), 0)
    assert open_order([Arc(3, 12)], 10, 9) == Order((0,), 4)


def test_no_drop_has_no_order() -> None:
    with pytest.raises(ValueError, match="no drops"):
        open_order([], 5, 0)


def by_circuit(arcs: list[Arc], around: int, begin: int | None) -> int:
    """The same by a general model: a circuit through all drops and the roll's two ends."""
    model = cp_model.CpModel()
    n = len(arcs)
    costs, literals, links = [], [], []
    for i in range(n + 1):
        for j in range(n + 1):
            if i == j:
                continue
            literal = model.new_bool_var("")
            if j == n or (i == n and begin is None):
                cost = 0
            else:
                end = begin if i == n else arcs[i].phase + arcs[i].length
                assert end is not None
                cost = (arcs[j].phase - end) % around
            links.append((i, j, literal))
            costs.append(cost)
            literals.append(literal)
    model.add_circuit(links)
    model.minimize(cp_model.LinearExpr.weighted_sum(literals, costs))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    assert solver.solve(model) == cp_model.OPTIMAL
    return round(solver.objective_value)


@pytest.mark.parametrize("seed", range(10))
def test_larger_orders_against_a_circuit_model(seed: int) -> None:
    draw = random.Random(seed)
    for _ in range(20):
        around = draw.choice((9, 16, 27, 100))
        arcs = drops(draw, around, draw.randint(7, 11))
        begin = draw.choice((None, draw.randrange(around)))
        assert open_order(arcs, around, begin).waste == by_circuit(arcs, around, begin)


@pytest.mark.timeout(60)
@pytest.mark.parametrize("begin", [None, 7])
def test_a_thousand_drops_take_no_time(begin: int | None) -> None:
    draw = random.Random(1)
    around = 27 * 8128
    arcs = drops(draw, around, 1000)
    found = open_order(arcs, around, begin)
    assert wasted(arcs, around, found.sequence, begin) == found.waste
