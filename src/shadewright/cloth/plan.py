"""A cutting plan as frozen data, in the shape of the plan file (format ``shadewright-plan/1``).

Every length is in ticks (1/8128 in). x runs across the cloth from its left usable edge, y along
it from the start of its piece.
"""

from __future__ import annotations

import hashlib
import json
from functools import cached_property
from typing import Literal

from pydantic import BaseModel, ConfigDict, Field, SerializerFunctionWrapHandler, model_serializer

from shadewright.job.model import Draw
from shadewright.measure import Ticks

FORMAT: Literal["shadewright-plan/1"] = "shadewright-plan/1"


class PlanData(BaseModel):
    """Base of all plan data: frozen, no unknown key, and no silent conversion on reading."""

    model_config = ConfigDict(frozen=True, extra="forbid", strict=True)


GoalName = Literal["money", "bought", "shades", "used", "widths", "gaps"]
"""A goal that stands in a plan's proof: money, or length bought where a cloth has no price, counts
what shades cost, or are worth, as well."""


class Goal(PlanData):
    """What one goal reached, and what no plan can beat given the goals before it."""

    goal: GoalName
    value: int | float
    bound: int | float


class Proof(PlanData):
    """How good the plan is known to be."""

    status: Literal["proved", "gap"]
    seconds: int | float
    goals: list[Goal]
    used: Ticks
    """Sum over all pieces."""
    used_bound: Ticks
    """No plan of the job uses less."""


class Shade(PlanData):
    """One finished shade."""

    id: str
    """See `shade_id`."""
    opening: str
    copy_: int = Field(alias="copy")
    place: int
    of: int
    left: Ticks
    """Finished left edge from the opening's left edge."""
    finished_width: Ticks
    finished_length: Ticks
    draw: Draw
    cloth: str


def shade_id(opening: str, copy: int, place: int, of: int) -> str:
    """What a plan calls a shade: ``West bay 1, 2 of 3`` is the second of three in the first copy.

    No two shades of a plan share one, whatever their openings are called.
    """
    return f"{opening} {copy}, {place} of {of}"


class Panel(PlanData):
    """The rectangle of cloth cut for one shade."""

    shade: str
    part: Literal["face", "lining"]
    cloth: str
    piece: str
    drop: int
    x: Ticks
    y: Ticks
    across: Ticks
    along: Ticks
    railroaded: bool
    hem_left: Ticks
    """Panel's edge to finished face, at the shade's side."""
    hem_top: Ticks
    """Panel's edge to finished face, at the shade's top."""


class Drop(PlanData):
    """A full-width length cut off a piece."""

    cloth: str
    piece: str
    number: int
    start: Ticks
    end: Ticks


class PieceUse(PlanData):
    """A piece of cloth that the plan cuts or buys."""

    cloth: str
    piece: str
    bought: bool
    length: Ticks
    used: Ticks
    """End of its last drop, square-up included."""
    cost: int | float


class Making(PlanData):
    """What one shade takes besides cloth. Positions are from the board's left end."""

    shade: str
    board: Ticks
    """Its length, as that of the rod."""
    rod: Ticks
    lift_lines: list[Ticks]
    """Left, then right."""
    guide: Ticks
    """Of the draw."""
    hooks: list[Ticks]
    """Left to right."""
    cords: list[Ticks]
    """Length of each, in the order of the lift lines."""
    raised_diameter: Ticks
    """Of the roll when the shade is up."""


class StickCut(PlanData):
    """A piece of a stick."""

    shade: str
    length: Ticks


class StickUse(PlanData):
    """A board or rod as bought, and what it yields, in order."""

    stick: Literal["board", "rod"]
    stock: Ticks
    cuts: list[StickCut]


class Totals(PlanData):
    """Sums over the plan."""

    shades: int
    bought: dict[str, Ticks]
    cost: int | float
    waste: float
    """1 - panel area / (usable width x used)."""


class PastDrop(PlanData):
    """A drop of the plan that was cut before the plan was made."""

    cloth: str
    piece: str
    number: int


class Gone(PlanData):
    """Part of a piece that nothing may be cut from any more: it is off the roll without holding a
    panel that counts, or it has a flaw that was found since."""

    cloth: str
    piece: str
    start: Ticks
    end: Ticks


class PanelNumber(PlanData):
    """The number that a panel went by in the plan before, where this plan's order is another."""

    shade: str
    part: Literal["face", "lining"]
    number: int


_IF_ANY = ("cut", "gone", "numbers")
"""What a plan that begins with whole cloth does not speak of."""


class Plan(PlanData):
    """A whole plan; `cut`, `gone` and `numbers` only stand in one that goes on from another."""

    format: Literal["shadewright-plan/1"] = FORMAT
    job: str
    tick_per_inch: Literal[8128] = 8128
    proof: Proof
    shades: list[Shade]
    panels: list[Panel]
    drops: list[Drop]
    pieces: list[PieceUse]
    making: list[Making]
    wood: list[StickUse]
    totals: Totals
    cut: list[PastDrop] = Field(default_factory=list)
    gone: list[Gone] = Field(default_factory=list)
    numbers: list[PanelNumber] = Field(default_factory=list)

    @cached_property
    def _by_id(self) -> dict[str, Shade]:
        return {shade.id: shade for shade in self.shades}

    def shade(self, name: str) -> Shade:
        """The shade of this id.

        Raises:
            KeyError: the plan has no such shade.
        """
        return self._by_id[name]

    @model_serializer(mode="wrap")
    def _without_what_is_not(self, write: SerializerFunctionWrapHandler) -> dict[str, object]:
        """A plan that begins with whole cloth does not speak of what is cut or gone."""
        data: dict[str, object] = write(self)
        return {key: each for key, each in data.items() if each or key not in _IF_ANY}


_MARK = 20


def mark(plan: Plan) -> str:
    """A short text that two plans share only if they cut and make the same.

    It is the same for a plan and for what is read back from its file. How well the plan is proved,
    and how long that took, does not count.
    """
    data = plan.model_dump(mode="json", by_alias=True, exclude={"proof"})
    # Nothing else in a plan may be written as 3 or as 3.0, and to look takes its time.
    data |= {key: _canonical(data[key]) for key in ("pieces", "totals")}
    text = json.dumps(data, sort_keys=True, separators=(",", ":"))
    return hashlib.sha256(text.encode("ascii")).hexdigest()[:_MARK]


def _canonical(value: object) -> object:
    """The same data with whole numbers written one way, as other programs may write 3 for 3.0."""
    if isinstance(value, dict):
        return {key: _canonical(each) for key, each in value.items()}
    if isinstance(value, list):
        return [_canonical(each) for each in value]
    if isinstance(value, float) and value.is_integer():
        return int(value)
    return value
