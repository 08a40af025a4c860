"""What a search is asked, and what it gives."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from shadewright.cloth.plan import GoalName
from shadewright.solve.problem.kinds import Problem
from shadewright.solve.problem.supply import Supply
from shadewright.solve.search.candidate import Candidate, Forgone
from shadewright.solve.search.goals import Goal, goal_order


@dataclass(frozen=True)
class Wish:
    """What a search is asked beyond the goals of its problem.

    Attributes:
        limits: that goals must keep within.
        forgone: what a plan may do without.
        remnant_first: whether one large remnant comes before using little.
        enough: whether a plan that asks for cloth which cannot be had may be left as it is.
    """

    limits: Mapping[Goal, int] = field(default_factory=dict)
    forgone: Forgone = field(default_factory=Forgone)
    remnant_first: bool = False
    enough: bool = False

    def order(self, problem: Problem, supply: Supply) -> tuple[Goal, ...]:
        """The goals of a search, most important first."""
        goals: list[Goal] = []
        if supply.unbought:
            goals.append("short")
        if self.forgone.something:
            goals.append("left")
        goals += goal_order(problem)
        if supply.on_hand:
            goals.insert(goals.index("used") if self.remnant_first else len(goals), "remnant")
        return tuple(goals)


@dataclass(frozen=True)
class Extent:
    """How far something is reached, and what no plan gets below."""

    value: int
    bound: int


@dataclass(frozen=True)
class Reached(Extent):
    """What a goal of a proof reached; money in units of the problem's money."""

    goal: GoalName


@dataclass(frozen=True)
class Found:
    """The best candidate, and how good it is known to be.

    Attributes:
        candidate: of each kind what is left out stands last.
        goals: those of a proof.
        short: cloth that would have to be bought and cannot.
        left: what openings left out, and all that is given up, cost.
        scale: the first goal is counted in whole units, so many to one of money or length.
        used_bound: least length used by any plan.
        stopped: whether the user stopped the search.
    """

    candidate: Candidate
    goals: tuple[Reached, ...]
    short: Extent
    left: Extent
    scale: int
    used_bound: int
    seconds: float
    stopped: bool
