"""A plan's account: what texts, sheets and pictures all tell of it, each worked out once."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property

from shadewright.answers import Centring, FrontierPoint
from shadewright.cloth.plan import Plan, Shade
from shadewright.cloth.stick_plan import StickPlan
from shadewright.job.model import Job
from shadewright.report.work.advice import advice
from shadewright.report.work.as_one_goes import longest_reach
from shadewright.report.work.choices import centring_said, frontier_said, lays_said
from shadewright.report.work.going_on import GoingOn
from shadewright.report.work.lays import PieceLay, lay_out
from shadewright.report.work.makings import Card, Supplies, cards, supplies
from shadewright.report.work.names import ShadeNames
from shadewright.report.work.offcuts import Offcut, offcuts
from shadewright.report.work.words import ShadesByCopy, divisions, shades_by_copy
from shadewright.trade.naive import Naive


@dataclass(frozen=True)
class Account:
    """A job, its plan, and what follows from them for whoever reads of it.

    Attributes:
        naive: what the notepad way would buy; None where it cannot be worked out.
        sticks: how good the cutting of boards and rods is known to be; None if it is not told.
        frontier: the job with fewer shades and with more; empty if it is not told.
        otherwise: the job with the other thing on centre lines; None if it is not told.
        before: the plan that this one goes on from; None where it is made anew, or not told.
    """

    job: Job
    plan: Plan
    naive: Naive | None = None
    sticks: StickPlan | None = None
    frontier: tuple[FrontierPoint, ...] = ()
    otherwise: Centring | None = None
    before: Plan | None = None

    @cached_property
    def names(self) -> ShadeNames:
        """What its shades are called."""
        return ShadeNames(self.job, self.plan.shades)

    def in_order(self, shades: Iterable[str]) -> list[Shade]:
        """Shades by their ids, in the order of the plan."""
        wanted = set(shades)
        return sorted(map(self.plan.shade, wanted), key=lambda shade: self._places[shade.id])

    @cached_property
    def _places(self) -> dict[str, int]:
        return {shade.id: place for place, shade in enumerate(self.plan.shades)}

    @cached_property
    def lays(self) -> list[PieceLay]:
        """The pieces with their drops, strips and panels, in the order of work."""
        return lay_out(self.job, self.plan)

    @cached_property
    def going_on(self) -> GoingOn:
        """What is done of it already, and what has changed since the plan before."""
        return GoingOn(self.job, self.before, self.plan, self.lays)

    @cached_property
    def offcuts(self) -> list[Offcut]:
        """What is left in rectangles worth keeping, largest first."""
        return offcuts(self.job, self.lays)

    @cached_property
    def cards(self) -> tuple[Card, ...]:
        """A card for each kind of shade."""
        return cards(self.job, self.plan)

    @cached_property
    def supplies(self) -> Supplies:
        """What to buy besides cloth."""
        return supplies(self.job, self.plan, self.cards)

    @cached_property
    def advice(self) -> tuple[str, ...]:
        """What to hear before anything is cut, the caution about children first."""
        return *advice(self.job, self.plan, self.cards), self.flat

    @property
    def flat(self) -> str:
        """How much cloth must lie flat at one time, in a sentence."""
        longest = longest_reach([drop for lay in self.lays for drop in lay.drops])
        return (
            f"Cut in the order given, no more than {self.job.tape.long(longest)} of cloth need lie "
            "flat at one time."
        )

    @cached_property
    def by_copy(self) -> ShadesByCopy:
        """The shades of each copy of each opening, left to right."""
        return shades_by_copy(self.plan)

    @cached_property
    def divisions(self) -> list[tuple[str, str]]:
        """Every opening with the way it is divided."""
        return divisions(self.job, self.by_copy)

    @cached_property
    def against_shades(self) -> list[str]:
        """What fewer shades would take, and what more would save, a line for each number."""
        return frontier_said(self.job, self.plan, self.frontier)

    @cached_property
    def centring(self) -> list[str]:
        """What it would save to centre on the other thing, where that is much."""
        return centring_said(self.job, self.plan, self.otherwise)

    @cached_property
    def lay(self) -> list[str]:
        """Which way each plain cloth lies that was free to lie either way."""
        return lays_said(self.job, self.plan)
