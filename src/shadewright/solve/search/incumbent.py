"""The best candidate that a search has so far, and what may take its place."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import cached_property

from shadewright.job.bolts import is_bolt
from shadewright.solve.problem.kinds import Option, Problem
from shadewright.solve.problem.supply import Supply
from shadewright.solve.search.candidate import Candidate, has_room_to_spare, score
from shadewright.solve.search.found import Wish
from shadewright.solve.search.goals import Goal


class Incumbent:
    """The best candidate so far, by the goals of a search in their order.

    Attributes:
        best: None as long as there is none.
        leanest: the best of those that take none but the narrowest options.
    """

    def __init__(self, problem: Problem, narrow: Problem, supply: Supply, wish: Wish) -> None:
        self._problem = problem
        self._supply = supply
        self._wish = wish
        self._order = wish.order(problem, supply)
        self._narrow = narrow
        self.best: Candidate | None = None
        self.leanest: Candidate | None = None

    @property
    def first(self) -> Goal:
        """The goal that comes first."""
        return self._order[0]

    @property
    def scored(self) -> dict[Goal, int]:
        """What the best candidate reaches."""
        assert self.best is not None
        return self.score(self.best)

    def score(self, candidate: Candidate) -> dict[Goal, int]:
        """What a candidate reaches."""
        return score(self._problem, self._supply, candidate, self._wish.forgone)

    def is_better(self, one: Candidate, other: Candidate) -> bool:
        """Whether one candidate comes before another."""
        mine, its = self.score(one), self.score(other)
        return [mine[goal] for goal in self._order] < [its[goal] for goal in self._order]

    def value(self, candidate: Candidate) -> list[int] | None:
        """What a candidate reaches, in the order of the goals; None where it may not be taken."""
        scored = self.score(candidate)
        fits = self._fits(candidate, scored, self._wish.limits)
        return [scored[goal] for goal in self._order] if fits else None

    def keep(self, candidate: Candidate, held: Mapping[Goal, int]) -> None:
        """Take a candidate if it keeps what is held and is better than the best so far."""
        if not self._fits(candidate, self.score(candidate), {**self._wish.limits, **held}):
            return
        if self.best is None or self.is_better(candidate, self.best):
            self.best = candidate
            self._keep_lean(candidate)

    def _keep_lean(self, candidate: Candidate) -> None:
        better = self.leanest is None or self.is_better(candidate, self.leanest)
        if better and _takes_options(candidate, self._narrowest):
            self.leanest = candidate

    def _fits(
        self, candidate: Candidate, scored: Mapping[Goal, int], held: Mapping[Goal, int]
    ) -> bool:
        if any(scored[goal] > most for goal, most in held.items()):
            return False
        room = has_room_to_spare(self._problem, self._supply, candidate)
        return room and not self._is_known(candidate)

    def _is_known(self, candidate: Candidate) -> bool:
        """Whether it gives up all of a set that is known already."""
        gone = {name for row in candidate.chosen for taken, _ in row for name in taken.gives_up}
        out = [sum(n for t, n in row if t.option is None) for row in candidate.chosen]
        return any(
            names <= gone and all(a >= b for a, b in zip(out, left, strict=True))
            for names, left in self._wish.forgone.known
        )

    @property
    def bought(self) -> float:
        """What share of the cloth that the best candidate uses is bought; all if there is none."""
        if self.best is None:
            return 1.0
        ends = self.best.ends()
        bought = sum(end for (_, piece), end in ends.items() if is_bolt(piece))
        return bought / max(sum(ends.values()), 1)

    def takes_options(self, candidate: Candidate | None) -> bool:
        """Whether a candidate takes nothing but options of this problem: what another search found,
        or first plans with rows of their own, may take others."""
        return candidate is not None and _takes_options(candidate, self._options)

    def for_options(self, problem: Problem) -> Candidate | None:
        """The best candidate that takes nothing but options of a problem, of those that are known;
        None if it is not known."""
        options = _options_of(problem)
        for candidate in (self.best, self.leanest):
            if candidate is not None and _takes_options(candidate, options):
                return candidate
        return None

    @cached_property
    def _options(self) -> list[frozenset[Option]]:
        return _options_of(self._problem)

    @cached_property
    def _narrowest(self) -> list[frozenset[Option]]:
        return _options_of(self._narrow)


def _options_of(problem: Problem) -> list[frozenset[Option]]:
    return [frozenset(kind.options) for kind in problem.kinds]


def _takes_options(candidate: Candidate, options: Sequence[frozenset[Option]]) -> bool:
    return all(
        taken.option is None or taken.option in these
        for row, these in zip(candidate.chosen, options, strict=True)
        for taken, _ in row
    )
