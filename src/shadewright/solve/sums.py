"""Sums in models."""

from __future__ import annotations

from collections.abc import Iterable

from ortools.sat.python import cp_model

Terms = list[tuple[int, cp_model.IntVar]]
"""Of a sum: a coefficient and a variable each."""


def total(terms: Iterable[tuple[int, cp_model.IntVar]]) -> cp_model.LinearExpr:
    """The sum of coefficient times variable."""
    pairs = list(terms)
    return cp_model.LinearExpr.weighted_sum([var for _, var in pairs], [by for by, _ in pairs])
