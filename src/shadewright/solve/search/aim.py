"""What a look at one goal aims at: a plan that is no worse than the best, others held."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from shadewright.solve.problem.kinds import Problem
from shadewright.solve.problem.supply import Supply
from shadewright.solve.search.candidate import Candidate, Forgone, score
from shadewright.solve.search.goals import Goal


@dataclass(frozen=True)
class Aim:
    """A goal to be minimised with those before it held.

    Attributes:
        value: that is reached already; None where nothing is.
    """

    goal: Goal
    held: Mapping[Goal, int]
    value: int | None

    def met(self, bound: int) -> bool:
        """Whether no plan above a bound is better than what is reached."""
        return self.value is not None and self.value <= bound

    def after(
        self, problem: Problem, line: Supply, candidate: Candidate | None, forgone: Forgone
    ) -> Aim | None:
        """The same once a candidate is reached; None where that does not keep what is held, or is
        worse."""
        if candidate is None:
            return None
        scored = score(problem, line, candidate, forgone)
        keeps = all(scored[goal] <= most for goal, most in self.held.items())
        if not keeps or (self.value is not None and scored[self.goal] > self.value):
            return None
        return replace(self, value=scored[self.goal])
