"""Jobs for tests, read by the product's own reader from short texts."""

from __future__ import annotations

import tempfile
from collections.abc import Iterable
from pathlib import Path

import pytest

from shadewright.job.model import Job
from shadewright.job.read import read_job
from shadewright.measure import parse_length

TWO_BAYS = """
title = "two bays"
[cloth.canvas]
width = 54
price = 20
[[opening]]
name = "wide"
width = 120
height = 61
[[opening]]
name = "narrow"
width = 41
height = 58
"""


def job_of(text: str) -> Job:
    """The job that a TOML text says.

    Boards hang right at the head unless the text has a `hook_drop`: what most tests reckon with are
    lengths as they stand in the text.
    """
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "job.toml"
        file.write_text(text, encoding="utf-8")
        job = read_job(file)
    return job if "hook_drop" in text else job.made(hook_drop=0)


def inches(text: str | float) -> int:
    """A length in inches, in ticks."""
    return parse_length(text, "in")


def mostly_slow(values: Iterable[object], every: int = 10, most: int | None = None) -> list[object]:
    """Parameters of which only some are tried where slow tests are left out.

    Args:
        most: that are tried at all but where thorough tests are asked for; all if None.
    """
    found: list[object] = []
    for place, value in enumerate(values):
        if most is not None and place >= most:
            found.append(pytest.param(value, marks=[pytest.mark.slow, pytest.mark.thorough]))
        elif place % every:
            found.append(pytest.param(value, marks=pytest.mark.slow))
        else:
            found.append(value)
    return found
