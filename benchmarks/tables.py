"""Tables of benchmarks, as Markdown, and the mean of ratios."""

from __future__ import annotations

import math
import statistics
from collections.abc import Iterable, Sequence
from pathlib import Path

import pandas as pd


def write(file: Path | None, tables: pd.DataFrame | Sequence[pd.DataFrame], said: str) -> None:
    """Write a table or several and what is said of them, if a file is asked for."""
    if file is not None:
        every = [tables] if isinstance(tables, pd.DataFrame) else tables
        text = "\n\n".join([*map(as_markdown, every), said])
        file.write_text(f"{text}\n", encoding="utf-8")


def as_markdown(table: pd.DataFrame) -> str:
    """A table as Markdown, without a library of its own for that."""
    lines = [list(table.columns), ["---"] * len(table.columns)]
    lines += [[_said(value) for value in row] for row in table.itertuples(index=False)]
    return "\n".join(f"| {' | '.join(line)} |" for line in lines)


def geometric_mean(ratios: Iterable[float]) -> float:
    """The mean of ratios by their product.

    Raises:
        statistics.StatisticsError: there are none, or one is not above 0.
    """
    return statistics.geometric_mean(ratios)


def _said(value: object) -> str:
    if value is None or (isinstance(value, float) and math.isnan(value)):
        return "-"
    return f"{value:.3f}".rstrip("0").rstrip(".") if isinstance(value, float) else str(value)
