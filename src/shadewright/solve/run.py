"""Solvers: the only place that makes and runs them, and the clock that all of them spend from.

Work is counted rather than timed, so that a plan comes out the same however busy the machine is:
the solver counts its own, and what is done in Python beside it (listing, building, pricing) is
charged by its size. Only where a machine is very slow does the wall clock end a search.
"""

from __future__ import annotations

import threading
import time
from collections.abc import Callable
from dataclasses import dataclass

from ortools.linear_solver import pywraplp
from ortools.sat.python import cp_model

from shadewright import stopping
from shadewright.solve.effort import USUAL, Effort

# How long a wait for a solver may keep this thread from hearing of anything else.
_SECONDS_DEAF = 0.1


class Clock:
    """Time left for all that a command does, in counted work and on the wall.

    Args:
        seconds: asked for.
        effort: the limits of everything that spends from it.
    """

    def __init__(self, seconds: float, effort: Effort = USUAL) -> None:
        self.effort = effort
        self._began = time.monotonic()
        self._seconds = seconds
        self._spent = 0.0
        self._work = seconds * self.effort.work_per_second
        self._wall = self.effort.wall * seconds + self.effort.grace
        self._interrupted = False
        self._parent: Clock | None = None

    def leaving(self, share: float) -> Clock:
        """This clock for a part of the command that leaves a share of all the time to what follows.

        What the part spends is spent here as well, and what it leaves is left.
        """
        part = Clock(self._seconds, self.effort)
        part._began = self._began
        part._parent = self
        part._work = max(self.work - share * self._seconds * self.effort.work_per_second, 0.0)
        part._wall = self._wall - share * self.effort.wall * self._seconds
        return part

    def part(self, share: float, least: float = 0.0) -> Clock:
        """The same for a part that may take a share of what is left now.

        Args:
            least: seconds that it may take in any case.
        """
        part = self.leaving(0.0)
        part._work = max(self.work * share, least * self.effort.work_per_second)
        part._wall = self.elapsed + max(self.seconds * share, least)
        return part

    @property
    def asked(self) -> float:
        """The seconds that the command was given."""
        return self._seconds

    def reserve(self, seconds: float) -> None:
        """Keep so many seconds of the wall clock for what is not search."""
        self._wall = max(self._wall - seconds, 0.0)

    @property
    def stopped(self) -> bool:
        """Whether the user has asked to stop and keep the best."""
        if self._parent is not None:
            return self._parent.stopped
        return self._interrupted or stopping.asked()

    def stop(self) -> None:
        """The user has asked, and nothing else may have heard it."""
        if self._parent is not None:
            self._parent.stop()
        self._interrupted = True

    @property
    def elapsed(self) -> float:
        """Seconds since the search began."""
        return time.monotonic() - self._began

    @property
    def work(self) -> float:
        """Counted work left."""
        return self._work - self._spent

    @property
    def seconds(self) -> float:
        """Seconds left on the wall."""
        return max(self._wall - self.elapsed, 0.0)

    @property
    def over(self) -> bool:
        return self.stopped or self.work <= 0 or self.seconds <= 0

    def spend(self, work: float) -> None:
        """Charge counted work."""
        self._spent += work
        if self._parent is not None:
            self._parent.spend(work)

    def spend_seconds(self, seconds: float) -> None:
        """Charge work that is not the solver's, as the seconds that its size takes, rather more."""
        self.spend(seconds * self.effort.work_per_second)

    def can_spend(self, seconds: float) -> bool:
        """Whether so many seconds are left, by counted work and on the wall."""
        return seconds * self.effort.work_per_second <= self.work and seconds <= self.seconds

    def can_build(self, size: float) -> bool:
        """Whether a model of so many variables and constraints is built within what is left."""
        return self.can_spend(size * self.effort.seconds_to_build)


class InfeasibleError(RuntimeError):
    """A model has no solution."""


@dataclass(frozen=True)
class Outcome:
    """What a run found.

    Attributes:
        value: of each variable, by its index; None if no solution was found.
        bound: no solution has a lower objective; None if the run proved none.
        best: whether the solution is known to be a best one.
    """

    value: list[int] | None
    bound: int | None
    best: bool = False


def run(
    cp: cp_model.CpModel,
    clock: Clock,
    share: float,
    seed: int,
    report: Callable[[float | None, float], None] | None = None,
    *,
    every_way: bool = False,
) -> Outcome:
    """Solve a model within a share of the time left.

    Args:
        share: of the work left on the clock, from 0 to 1.
        report: called now and then with the best objective so far, None before there is one, and
            its bound.
        every_way: whether all of the solver's ways to search take turns, and not one way alone is
            gone. They go by turns of counted work, so that the same is found however busy the
            machine is; with little of it none gets far.

    Raises:
        InfeasibleError: the model has no solution.
        RuntimeError: the model is invalid, which no model built here should be.
    """
    size = len(cp.proto.variables) + len(cp.proto.constraints)
    clock.spend_seconds(size * clock.effort.seconds_to_build)
    if clock.stopped:
        return Outcome(None, None)
    solver = cp_model.CpSolver()
    parameters = solver.parameters
    # Ways that take turns on two cores, or the one that minds symmetry, now and then end the whole
    # process where a model comes out to have no solution while they load it.
    parameters.num_workers = 1
    if every_way and clock.work * share >= clock.effort.every_way:
        parameters.interleave_batch_size = 1
        parameters.interleave_search = True
        parameters.ignore_subsolvers.append("max_lp_sym")
    parameters.random_seed = seed
    # The relaxation is what tells here: half the time of the default in the porch benchmark.
    parameters.linearization_level = 2
    parameters.max_deterministic_time = max(clock.work * share, 1e-3)
    parameters.max_time_in_seconds = max(clock.seconds, 1e-3)
    # Its own handler would leave the system's default behind: Ctrl-C is heard in one place.
    parameters.catch_sigint_signal = False
    status = _solve(solver, cp, clock, report)
    clock.spend(solver.response_proto.deterministic_time)
    if status == cp_model.UNKNOWN:
        return Outcome(None, None)
    if status == cp_model.INFEASIBLE:
        raise InfeasibleError
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        raise RuntimeError(f"the model came out {solver.status_name(status)}")
    # The bound of an integer objective is whole; what is not is on its way up to the next.
    bound = round(solver.best_objective_bound)
    return Outcome(list(solver.response_proto.solution), bound, status == cp_model.OPTIMAL)


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
    try:
        while not done.is_set():
            try:
                done.wait(_SECONDS_DEAF)
                if clock.stopped:
                    solver.stop_search()
                elif report and not done.is_set():
                    report(state.best, state.bound)
            except KeyboardInterrupt:
                clock.stop()
                solver.stop_search()
    finally:
        # Whatever ends the wait, no search is left running.
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


def linear_programme() -> pywraplp.Solver:
    """An empty linear programme, to be solved by `optimise`."""
    programme = pywraplp.Solver.CreateSolver("GLOP")
    # Its prices are rounded before anything rests on them: hardly optimal will do.
    programme.SetSolverSpecificParametersAsString("change_status_to_imprecise: false")
    return programme


def optimise(programme: pywraplp.Solver, clock: Clock) -> bool:
    """Solve a linear programme; whether its optimum was found.

    Its limit of time is a second rail: what it does is charged by its iterations.
    """
    programme.SetTimeLimit(max(round(1000 * clock.seconds), 1))
    status = programme.Solve()
    pivots = max(programme.iterations(), 1)
    clock.spend_seconds(pivots * programme.NumConstraints() * clock.effort.seconds_to_pivot)
    return bool(status == pywraplp.Solver.OPTIMAL)
