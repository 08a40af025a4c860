"""Reading what is wished of the print and what may be given up, the tables [match] and [fit]."""

from __future__ import annotations

import re
from typing import get_args

from shadewright.job.facts import Facts
from shadewright.job.giving_up import COSTS, Fit
from shadewright.job.limits import MOST_COST
from shadewright.job.model import Lots, MatchRule, Strategy
from shadewright.job.table import TableReader
from shadewright.measure import ceil_to, floor_to


def read_match(table: TableReader) -> MatchRule:
    """How a motif must fall."""
    strategy: Strategy = table.choice("strategy", get_args(Strategy), "level")
    match = MatchRule(
        strategy=strategy if table.given("strategy") else None,
        centre_on=table.choice("centre_on", ("motif", "between"), "motif"),
        across=table.choice("across", ("job", "opening"), "job"),
        anchor=table.choice("anchor", ("head", "sill", "wall"), "head"),
        lots=table.choice("lots", get_args(Lots), "opening"),
        alternate=bool(table.flag("alternate")),
        motif_below=table.length_or_none("motif_below"),
    )
    table.finish()
    return match


def read_fit(table: TableReader, cloths: list[str], facts: Facts) -> Fit:
    """What may be given up; `cloths` are the names of those there are."""
    fit = Fit(
        **{key: _cost(table, key, default) for key, default in COSTS.items()},
        widest_gap=floor_to(table.length("widest_gap", facts.length("widest_gap")), facts.step),
        least_fold=table.length("least_fold", facts.length("least_fold")),
        least_overlap=ceil_to(table.length("least_overlap", 0), facts.step),
        other_lining=table.name_of("other_lining", cloths),
    )
    table.finish()
    return fit


def _cost(table: TableReader, key: str, default: int) -> int | None:
    """What giving something up costs; None where it is forbidden."""
    value = table.raw(key)
    if value is None:
        return default
    if value is False or (isinstance(value, str) and value.strip().casefold() in ("no", "false")):
        return None
    if isinstance(value, str) and re.fullmatch(r"\d{1,9}", value, re.ASCII):
        value = int(value)  # a workbook's cell for a lining is a text
    if isinstance(value, int) and not isinstance(value, bool) and 1 <= value <= MOST_COST:
        return value
    table.refuse(key, f"a whole number from 1 to {MOST_COST}, or false to forbid it")
    return default
