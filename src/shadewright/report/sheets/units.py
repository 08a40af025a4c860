"""Lengths and areas that sheets reckon with, in the job's unit."""

from __future__ import annotations

from functools import lru_cache

from shadewright.job.model import Job
from shadewright.measure import TICKS, Ticks, nearest_to
from shadewright.report.sheets import looks
from shadewright.report.sheets.sheet import Value

_FINEST = 64
"""Of an inch: steps down to this are told as fractions."""


def name(job: Job) -> str:
    return "cm" if job.metric else "in"


def number(job: Job, length: Ticks) -> float:
    return length / TICKS["cm" if job.metric else "in"]


def shown(job: Job) -> str:
    """How lengths are shown, as they stand on the job's tape."""
    return _shown(job.metric, job.step)


@lru_cache
def _shown(metric: bool, step: Ticks) -> str:
    if metric:
        return looks.METRIC
    parts = TICKS["in"] / step
    whole = parts.is_integer() and _FINEST % parts == 0
    return looks.FRACTION if whole or step % TICKS["in"] == 0 else looks.DECIMAL


def length(job: Job, ticks: Ticks) -> Value:
    """A length to the nearest mark of the tape."""
    return Value(number(job, nearest_to(ticks, job.step)), shown(job))


def area(job: Job) -> tuple[str, int]:
    """The unit of area, and how many square inches (or centimetres) it holds."""
    return ("m²", 10_000) if job.metric else ("sq yd", 1296)
