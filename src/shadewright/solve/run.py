"""One run of the solver: within a time, from a hint, and stoppable by the user.

The only place that talks to the solver about time, seeds and threads.
"""

from __future__ import annotations

import threading
import time
from collections.abc import Callable
from dataclasses import dataclass

from ortools.sat.python import cp_model

# Work that the solver counts in a second: rather less than any machine of today does. The count,
# unlike a clock, comes out the same every time, so that a plan does not depend on how busy the
# machine is. Only where it is very busy does the clock end a search, at so many times the seconds.
_WORK_PER_SECOND = 0.3
_PATIENCE = 2.0
# Seconds taken to build a variable or a constraint of a model, rather more than it takes.
_SECONDS_TO_BUILD = 5e-5


class Clock:
    """Time left for a search, in the solver's own deterministic count and on the wall."""

    def __init__(self, seconds: float) -> None:
        self._began = time.monotonic()
        self._seconds = seconds
        self._work = seconds * _WORK_PER_SECOND
        self.stopped = False
        """Whether the user has asked to stop and keep the best."""

    @property
    def elapsed(self) -> float:
        """Seconds since the search began."""
        return time.monotonic() - self._began

    @property
    def work(self) -> float:
        """Deterministic work left."""
        return self._work

    @property
    def seconds(self) -> float:
        """Seconds left on the wall."""
        return max(_PATIENCE * self._seconds - self.elapsed, 0.0)

    @property
    def over(self) -> bool:
        return self.stopped or self._work <= 0 or self.seconds <= 0

    def spend(self, work: float) -> None:
        self._work -= work


class InfeasibleError(RuntimeError):
    """A model has no solution."""


@dataclass(frozen=True)
class Outcome:
    """What a run found.

    Attributes:
        value: of each variable, by its index; None if no solution was found.
        bound: no solution has a lower objective; None if the run proved none.
    """

    value: list[int] | None
    bound: int | None


def run(
    cp: cp_model.CpModel,
    clock: Clock,
    share: float,
    seed: int,
    report: Callable[[float | None, float], None] | None = None,
) -> Outcome:
    """Solve a model within a share of the time left.

    Args:
        share: of the work left on the clock, from 0 to 1.
        report: called now and then with the best objective so far, None before there is one, and
            its bound.

    Raises:
        InfeasibleError: the model has no solution.
        RuntimeError: the model is invalid, which no model built here should be.
    """
    solver = cp_model.CpSolver()
    parameters = solver.parameters
    parameters.num_workers = 1
    parameters.random_seed = seed
    # The relaxation is what tells here: half the time of the default in the porch benchmark.
    parameters.linearization_level = 2
    parameters.max_deterministic_time = max(clock.work * share, 1e-3)
    parameters.max_time_in_seconds = max(clock.seconds, 1e-3)
    parameters.catch_sigint_signal = False
    status = _solve(solver, cp, clock, report)
    size = len(cp.proto.variables) + len(cp.proto.constraints)
    built = size * _SECONDS_TO_BUILD * _WORK_PER_SECOND
    clock.spend(solver.response_proto.deterministic_time + built)
    if status == cp_model.UNKNOWN:
        return Outcome(None, None)
    if status == cp_model.INFEASIBLE:
        raise InfeasibleError
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        raise RuntimeError(f"the model came out {solver.status_name(status)}")
    # The bound of an integer objective is whole; what is not is on its way up to the next.
    bound = round(solver.best_objective_bound)
    return Outcome(list(solver.response_proto.solution), bound)


def _solve(
    solver: cp_model.CpSolver,
    cp: cp_model.CpModel,
    clock: Clock,
    report: Callable[[float | None, float], None] | None,
) -> cp_model.CpSolverStatus:
    """Solve in a thread of its own, so that Ctrl-C reaches this one and stops the search."""
    done = threading.Event()
    result: list[cp_model.CpSolverStatus] = []
    state = _State()
    solver.best_bound_callback = state.on_bound

    def work() -> None:
        try:
            result.append(solver.solve(cp, state))
        finally:
            done.set()

    thread = threading.Thread(target=work, daemon=True)
    thread.start()
    while not done.is_set():
        try:
            done.wait(0.2)
            if report and not done.is_set():
                report(state.best, state.bound)
        except KeyboardInterrupt:
            clock.stopped = True
            solver.stop_search()
    thread.join()
    if not result:
        raise RuntimeError("the solver stopped without a status")
    return result[0]


class _State(cp_model.CpSolverSolutionCallback):
    """Where a search stands: its best objective, None before there is one, and its bound."""

    def __init__(self) -> None:
        super().__init__()
        self.best: float | None = None
        self.bound = 0.0

    def on_solution_callback(self) -> None:
        self.best = self.objective_value

    def on_bound(self, bound: float) -> None:
        self.bound = bound
