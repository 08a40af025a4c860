"""Sums in models."""

from __future__ import annotations

from collections.abc import Iterable

from ortools.sat.python import cp_model


def total(terms: Iterable[tuple[int, cp_model.IntVar]]) -> cp_model.LinearExpr:
    """The sum of coefficient times variable."""
    pairs = list(terms)
    return cp_model.LinearExpr.weighted_sum([var for _, var in pairs], [by for by, _ in pairs])
