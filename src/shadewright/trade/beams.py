"""How far boards and rods sag, and how often they must be held up.

Forces are in N, lengths in mm, stiffnesses in MPa (N/mm2). Beam formulas: American Wood Council,
Design Aid No. 6, "Beam Design Formulas with Shear and Moment Diagrams"; sections: any handbook.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import floor, pi

from shadewright.job.model import Cloth, Job, Opening
from shadewright.job.woods import Timber
from shadewright.measure import TICKS, Ticks
from shadewright.trade.divisions import cloths_of, finished_length, lift_inset
from shadewright.trade.sizes import side_allowance

GRAVITY = 9.80665e-3
"""Weight of a gram, in N."""

ASSUMED_WEIGHT = 310.0
"""Of a cloth whose weight the job does not give, in g/m2: about 9 oz/yd2, an awning cloth. From
memory; no published figure."""

TWO_HOOKS_UP_TO: Ticks = 42 * TICKS["in"]
"""Finished width that two hooks carry; a wider shade has one in the middle too. Source: common
practice, which puts the turning point at 42 to 48 in; the lower is the safer."""

_MOST_HOOKS = 12


def square_section(side: float) -> float:
    """Second moment of area of a square section, side^4 / 12."""
    return side**4 / 12


def round_section(diameter: float) -> float:
    """Second moment of area of a round section, pi d^4 / 64."""
    return pi * diameter**4 / 64


def sag_of_one_span(load: float, span: float, stiffness: float, section: float) -> float:
    """Most sag of an evenly loaded beam on two supports: 5 w L^4 / (384 E I).

    Args:
        load: per unit of length.
    """
    return 5 * load * span**4 / (384 * stiffness * section)


def sag_of_two_spans(load: float, span: float, stiffness: float, section: float) -> float:
    """Most sag of an evenly loaded beam over two equal spans: w l^4 / (184.634 E I).

    At (1 + sqrt 33) / 16 of the span from the outer support; handbooks print 185. A support in the
    middle of a span of 2 l leaves 1 / 38.465 of its sag.

    Args:
        span: from the middle support to either outer one.
    """
    return load * span**4 / (184.634 * stiffness * section)


def span_for_sag(load: float, sag: float, stiffness: float, section: float) -> float:
    """The span on two supports that sags so far."""
    return float((384 * stiffness * section * sag / (5 * load)) ** 0.25)


@dataclass(frozen=True)
class Load:
    """What hangs on a board, or is rolled up on a rod, in N for each mm of its length."""

    cloth: float
    board: float
    rod: float

    @property
    def on_board(self) -> float:
        return self.cloth + self.board + self.rod

    @property
    def on_rod(self) -> float:
        return self.cloth + self.rod


def load(job: Job, opening: Opening) -> Load:
    """The load of a shade of an opening, its cloth wet.

    All its cloth counts, pockets and turn-unders too; side hems are spread over the width as on a
    shade two feet wide, which is narrower than most.
    """
    make, wood = job.make, job.make.wood
    ends = make.board_pocket + make.rod_pocket + 2 * make.turn_under
    length = finished_length(make, opening) + ends
    hems = 1 + 2 * side_allowance(make) / (24 * TICKS["in"])
    cloths = [cloth for cloth in cloths_of(job, opening) if cloth]
    weight = sum(_weight(cloth) for cloth in cloths)
    return Load(
        cloth=float(make.wet_factor) * weight * 1e-6 * _mm(length) * hems * GRAVITY,
        board=_of_stick(wood, _mm(make.board) ** 2),
        rod=_of_stick(wood, pi * _mm(make.rod) ** 2 / 4),
    )


def _weight(cloth: Cloth) -> float:
    return ASSUMED_WEIGHT if cloth.weight is None else cloth.weight


def _of_stick(wood: Timber, area: float) -> float:
    """Weight of a stick for each mm, of this cross-section in mm2; water weighs 1 mg/mm3."""
    return wood.gravity * 1e-3 * area * GRAVITY


@dataclass(frozen=True)
class Held:
    """How a board is held up.

    Attributes:
        hooks: positions from the board's left end.
        by_rule: how many the rule of widths asks for.
        by_sag: how many keep the sag within what the job allows.
        sag: of the board between them.
    """

    hooks: tuple[Ticks, ...]
    by_rule: int
    by_sag: int
    sag: float


def held(job: Job, opening: Opening, width: Ticks, lift_lines: tuple[Ticks, Ticks]) -> Held:
    """Hooks of a board: at the lift lines, and spread evenly between them; the safer of two rules.

    Args:
        width: finished.
    """
    load_ = load(job, opening).on_board
    first, last = lift_lines
    by_rule = 2 if width <= TWO_HOOKS_UP_TO else 3
    most = _mm(job.make.most_sag)
    by_sag = next(
        (n for n in range(2, _MOST_HOOKS) if board_sag(job, load_, last - first, n) <= most),
        _MOST_HOOKS,
    )
    count = max(by_rule, by_sag)
    hooks = tuple(first + (last - first) * i // (count - 1) for i in range(count))
    return Held(hooks, by_rule, by_sag, board_sag(job, load_, last - first, count))


def board_sag(job: Job, load_: float, between: Ticks, hooks: int) -> float:
    """Sag of the board between hooks, in mm; its ends beyond them, which lift it, are left out.

    Over three spans and more an outer one sags less than one of two, so that stands for them.
    """
    section = square_section(_mm(job.make.board))
    span = _mm(between) / (hooks - 1)
    rule = sag_of_one_span if hooks == 2 else sag_of_two_spans
    return rule(load_, span, job.make.wood.stiffness, section)


def rod_sag(job: Job, opening: Opening, between: Ticks) -> float:
    """Sag of the rod between the cords that lift it, the shade rolled up on it, in mm."""
    section = round_section(_mm(job.make.rod))
    on_rod = load(job, opening).on_rod
    return sag_of_one_span(on_rod, _mm(between), job.make.wood.stiffness, section)


def widest_for_rod(job: Job, opening: Opening) -> Ticks:
    """Finished width up to which the rod keeps within the sag that the job allows."""
    section = round_section(_mm(job.make.rod))
    on_rod = load(job, opening).on_rod
    span = span_for_sag(on_rod, _mm(job.make.most_sag), job.make.wood.stiffness, section)
    return floor(span * TICKS["mm"]) + 2 * lift_inset(job)


def _mm(length: Ticks) -> float:
    return length / TICKS["mm"]
