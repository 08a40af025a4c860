"""Tables of benchmarks, as Markdown."""

from __future__ import annotations

import math
from pathlib import Path

import pandas as pd


def write(file: Path | None, table: pd.DataFrame, said: str) -> None:
    """Write a table and what is said of it, if a file is asked for."""
    if file is not None:
        file.write_text(f"{as_markdown(table)}\n\n{said}\n", encoding="utf-8")


def as_markdown(table: pd.DataFrame) -> str:
    """A table as Markdown, without a library of its own for that."""
    lines = [list(table.columns), ["---"] * len(table.columns)]
    lines += [[_said(value) for value in row] for row in table.itertuples(index=False)]
    return "\n".join(f"| {' | '.join(line)} |" for line in lines)


def _said(value: object) -> str:
    if value is None or (isinstance(value, float) and math.isnan(value)):
        return "-"
    return f"{value:.3f}".rstrip("0").rstrip(".") if isinstance(value, float) else str(value)
