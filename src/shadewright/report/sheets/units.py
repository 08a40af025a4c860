"""Lengths and areas that sheets reckon with, in the job's unit."""

from __future__ import annotations

from shadewright.job.model import Job
from shadewright.measure import TICKS, Ticks
from shadewright.report.sheets import looks
from shadewright.report.sheets.cells import Value


def name(job: Job) -> str:
    return "cm" if job.metric else "in"


def number(job: Job, length: Ticks) -> float:
    return length / TICKS["cm" if job.metric else "in"]


def length(job: Job, ticks: Ticks) -> Value:
    return Value(number(job, ticks), looks.LENGTH)


def area(job: Job) -> tuple[str, int]:
    """The unit of area, and how many square inches (or centimetres) it holds."""
    return ("m²", 10_000) if job.metric else ("sq yd", 1296)
