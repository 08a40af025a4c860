"""What the calls give back: frozen data, what was found out in words, and tables of pandas.

Lengths are floats in the unit that the name or `unit` says; nothing here is worked out that a page
does not tell as well.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import TYPE_CHECKING, Any

from shadewright.cloth.plan import Goal, Proof
from shadewright.job.model import Job
from shadewright.measure import TICKS, Unit
from shadewright.report.work.account import Account
from shadewright.report.work.comparison import Comparison
from shadewright.report.work.words import gap

if TYPE_CHECKING:
    import pandas as pd


@dataclass(frozen=True)
class JobData:
    """A job that is read and good.

    Attributes:
        title: of the job.
        unit: of sizes in tables, "in" or "cm".
        cloth_unit: of cloth that is bought or used, "yd" or "m".
        cloths: names.
        openings: names.
        notes: what reading changed, in plain words (a measurement rounded down, say).
    """

    title: str
    unit: str
    cloth_unit: str
    cloths: tuple[str, ...]
    openings: tuple[str, ...]
    notes: tuple[str, ...]
    _job: Job = field(repr=False)

    @classmethod
    def _of(cls, job: Job) -> JobData:
        return cls(
            job.title,
            "cm" if job.metric else "in",
            job.tape.cloth_unit,
            tuple(cloth.name for cloth in job.cloths),
            tuple(opening.name for opening in job.openings),
            job.notes,
            job,
        )


@dataclass(frozen=True)
class CheckResult:
    """What a job means, before anything is solved.

    Attributes:
        possible: by opening, the numbers of shades it may be divided into.
        text: the job said back, as the command `check` prints it.
    """

    job: JobData
    possible: Mapping[str, tuple[int, ...]]
    text: str

    @property
    def notes(self) -> tuple[str, ...]:
        """What reading the job changed."""
        return self.job.notes

    def __str__(self) -> str:
        return self.text


@dataclass(frozen=True)
class GoalResult:
    """What one goal reached, and what no plan can beat given the goals before it.

    Attributes:
        goal: "money", "bought", "shades", "used", "widths" or "gaps".
        unit: of value and bound: "yd" or "m" of cloth, "in" or "cm" of gaps; else empty.
        gap: the share of the value that could at most still be saved; 0 where it is proved.
    """

    goal: str
    value: float
    bound: float
    unit: str
    gap: float


@dataclass(frozen=True)
class ProofResult:
    """How good a plan is known to be.

    Attributes:
        proved: whether every goal is.
        goals: in their order; each counts only among plans that are as good in those before it.
        seconds: that it took.
    """

    proved: bool
    goals: tuple[GoalResult, ...]
    seconds: float

    @property
    def gap(self) -> float:
        """That of the first goal, which is money or the length bought."""
        return self.goals[0].gap

    @classmethod
    def _of(cls, job: Job, proof: Proof) -> ProofResult:
        goals = tuple(_goal(job, goal) for goal in proof.goals)
        return cls(proof.status == "proved", goals, float(proof.seconds))


def _goal(job: Job, goal: Goal) -> GoalResult:
    unit: Unit | None = None
    if goal.goal in ("bought", "used"):
        unit = job.tape.cloth_unit
    elif goal.goal == "gaps":
        unit = "cm" if job.metric else "in"
    by = TICKS[unit] if unit else 1
    return GoalResult(goal.goal, goal.value / by, goal.bound / by, unit or "", gap(goal))


@dataclass(frozen=True)
class PlanResult:
    """A plan that the judge has found clean.

    Attributes:
        stopped: whether the user stopped the search; the plan is the best found until then.
    """

    job: JobData
    stopped: bool
    _account: Account = field(repr=False)

    @cached_property
    def proof(self) -> ProofResult:
        """How good it is known to be."""
        return ProofResult._of(self._account.job, self._account.plan.proof)

    @property
    def cost(self) -> float:
        """Money for cloth, and for shades where they have a price; 0 where nothing has."""
        return float(self._account.plan.totals.cost)

    @property
    def bought(self) -> Mapping[str, float]:
        """Length to buy by cloth, in the job's `cloth_unit`."""
        by = TICKS[self._account.job.tape.cloth_unit]
        return {cloth: n / by for cloth, n in self._account.plan.totals.bought.items()}

    @property
    def number_of_shades(self) -> int:
        """Shades to make."""
        return self._account.plan.totals.shades

    @property
    def waste_share(self) -> float:
        """The share of the usable cloth cut into that is no panel."""
        return self._account.plan.totals.waste

    @property
    def notes(self) -> tuple[str, ...]:
        """What reading the job changed, how the cloth lies, and what other choices would take."""
        account = self._account
        return (*self.job.notes, *account.lay, *account.centring, *account.against_shades)

    @property
    def advice(self) -> tuple[str, ...]:
        """What to hear before anything is cut, cautions about children first."""
        return self._account.advice

    @property
    def text(self) -> str:
        """What the command `plan` prints."""
        from shadewright.report.text.summary import summary  # noqa: PLC0415 - only who reads it

        return summary(self._account)

    def data(self) -> dict[str, Any]:
        """The plan as a plan file has it (format shadewright-plan/1, lengths in ticks): written
        as JSON, the commands `replay` and `plan --after` read it."""
        return self._account.plan.model_dump(mode="json", by_alias=True)

    @property
    def shades(self) -> pd.DataFrame:
        """A row for each finished shade: where it hangs, its size, its sticks, eyes and cords."""
        return self._table("shades")

    @property
    def panels(self) -> pd.DataFrame:
        """A row for each rectangle of cloth, and where it lies."""
        return self._table("panels")

    @property
    def drops(self) -> pd.DataFrame:
        """A row for each full-width length cut off a piece."""
        return self._table("drops")

    @property
    def cuts(self) -> pd.DataFrame:
        """A row for each cut in the order of work."""
        return self._table("cuts")

    @property
    def wood(self) -> pd.DataFrame:
        """A row for each board and rod, with the stick that yields it."""
        return self._table("wood")

    @property
    def buy(self) -> pd.DataFrame:
        """A row for each thing to buy."""
        return self._table("buy")

    def _table(self, name: str) -> pd.DataFrame:
        from shadewright.report.tables import frames  # noqa: PLC0415 - only who asks for a table

        found: pd.DataFrame = getattr(frames, name)(self._account)
        return found

    def __str__(self) -> str:
        return self.text


@dataclass(frozen=True)
class CompareResult:
    """One job made in several ways.

    Attributes:
        stopped: whether the user stopped it before all were planned.
    """

    job: JobData
    stopped: bool
    _comparison: Comparison = field(repr=False)

    @property
    def conclusions(self) -> tuple[str, ...]:
        """What it shows, in sentences."""
        return tuple(self._comparison.conclusions)

    @property
    def cases(self) -> pd.DataFrame:
        """A row for each way; one without a plan says why there is none."""
        from shadewright.report.tables.frames import cases  # noqa: PLC0415 - as for a plan's tables

        return cases(self._comparison)

    @property
    def text(self) -> str:
        """What the command `compare` prints."""
        from shadewright.report.text.compare import table  # noqa: PLC0415 - only who reads it

        return table(self._comparison, stopped=self.stopped)

    def __str__(self) -> str:
        return self.text


@dataclass(frozen=True)
class RemedyResult:
    """A set of things to give up that is enough.

    Attributes:
        given_up: in words.
        left_out: openings that are not made, each with how many of its copies.
        cost: of all that is given up, by the job's `[fit]`.
        used: length of cloth that it takes, in the job's `cloth_unit`.
        shades: that are made.
    """

    given_up: tuple[str, ...]
    left_out: Mapping[str, int]
    cost: int
    used: float
    shades: int


@dataclass(frozen=True)
class FitResult:
    """Whether the cloth on hand is enough.

    Attributes:
        plan: if it is enough as it stands; else None.
        short: in words, by how much there is too little; empty if there is enough.
        remedies: sets of things to give up that are enough, the least first.
        can_be_made: openings that can be made as asked, in words, where it is not enough.
        complete: whether no lesser set can have been missed.
        stopped: whether the user stopped it.
        text: what the command `fit` prints.
    """

    job: JobData
    plan: PlanResult | None
    short: str
    remedies: tuple[RemedyResult, ...]
    can_be_made: str
    complete: bool
    stopped: bool
    text: str

    @property
    def enough(self) -> bool:
        """Whether it is enough as the job stands."""
        return self.plan is not None

    def __str__(self) -> str:
        return self.text
