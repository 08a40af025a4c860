"""Shadewright: cutting plans for roll-up fabric shades, with a proof of how good they are.

What stands in `__all__` is public, and nothing else of the package is. It is loaded when it is
first asked for, so that importing the package costs next to nothing.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from shadewright.python.calls import check, compare, fit, go_on, load, plan
    from shadewright.python.errors import ShadewrightError, Trouble
    from shadewright.python.results import (
        CheckResult,
        CompareResult,
        FitResult,
        GoalResult,
        JobData,
        PlanResult,
        ProofResult,
        RemedyResult,
    )

__all__ = [
    "CheckResult",
    "CompareResult",
    "FitResult",
    "GoalResult",
    "JobData",
    "PlanResult",
    "ProofResult",
    "RemedyResult",
    "ShadewrightError",
    "Trouble",
    "check",
    "compare",
    "fit",
    "go_on",
    "load",
    "plan",
]

_ERRORS = {"Trouble", "ShadewrightError"}


if not TYPE_CHECKING:  # where types are looked at, no other name is there

    def __getattr__(name: str) -> object:
        if name not in __all__:
            raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
        from importlib import import_module  # noqa: PLC0415 - only where something is asked for

        where = "errors" if name in _ERRORS else "results" if name[0].isupper() else "calls"
        return getattr(import_module(f"shadewright.python.{where}"), name)


def __dir__() -> list[str]:
    return sorted(__all__)
