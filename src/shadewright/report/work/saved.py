"""Reading the file of ticks that the companion saves, back as the boxes of a plan's steps.

Cloth is cut by what is read here, so a file of another plan, a step that the plan has not, or
anything else that the page would not have written is refused, with its place.
"""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

from shadewright.cloth.plan import Plan, mark
from shadewright.job.files import bytes_of
from shadewright.job.model import Job
from shadewright.job.problems import FileProblem, JobError, shown
from shadewright.report.work.arguments import OPTIONS, Arguments
from shadewright.report.work.lays import lay_out
from shadewright.report.work.steps import Box, Step, steps

SAVED_FORMAT = "shadewright-ticks/1"

_ENDING = ".json"
_LARGEST = 4_000_000
_MOST_TOLD = 40
_KEYS = ("format", "job", "plan", "ticked")
_A_FILE = "the file that the page of this plan saved"
_AGAIN = "the file saved from the page that plan --page wrote together with the plan"


def is_saved(file: Path | None) -> bool:
    """Whether ticks come in a file that a page saved, and not in a workbook."""
    return file is not None and file.suffix.lower() == _ENDING


def saved_boxes(job: Job, plan: Plan, file: Path, by: Arguments = OPTIONS) -> list[Box]:
    """The boxes of every step of a plan, as ticked in its page.

    Args:
        by: what tells the drops.

    Raises:
        ValueError: the file is none that the page of this plan saved; every problem is told, each
            on a line.
    """
    found = {step.key: step for step in steps(job, lay_out(job, plan))}
    try:
        data = _read(file)
        problems = list(_wrong(data, mark(plan), found, by))
        if problems:
            raise JobError(str(file), problems[:_MOST_TOLD])
    except JobError as why:
        raise ValueError(str(why)) from None
    ticked = set(_ticked(data))
    return [Box(step, f"step {step.number}", key in ticked) for key, step in found.items()]


def _read(file: Path) -> dict[str, object]:
    """The object that the file holds.

    Raises:
        JobError: it cannot be read, or holds none.
    """
    data = bytes_of(file, _LARGEST, "a file of ticks")

    def refused(where: str, found: str) -> JobError:
        return JobError(str(file), [FileProblem(where, found, _A_FILE)])

    try:
        read = json.loads(data.decode("utf-8-sig"), object_pairs_hook=_once)
    except UnicodeDecodeError as why:
        line = data.count(b"\n", 0, why.start) + 1
        raise refused(f"line {line}", "no UTF-8 text") from None
    except json.JSONDecodeError as why:
        where = f"line {why.lineno}, column {why.colno}"
        raise refused(where, f"no JSON ({why.msg})") from None
    except _RepeatedError as why:
        raise refused(str(why), "this key more than once") from None
    except (ValueError, RecursionError):
        raise refused("", "no JSON that can be read") from None
    if not isinstance(read, dict):
        raise refused("", shown(read))
    return read


class _RepeatedError(Exception):
    """A key that stands more than once."""


def _once(pairs: list[tuple[str, object]]) -> dict[str, object]:
    """An object, every key of which stands in it once."""
    for key, times in Counter(key for key, _ in pairs).items():
        if times > 1:
            raise _RepeatedError(key)
    return dict(pairs)


def _wrong(
    data: dict[str, object], wanted: str, known: dict[str, Step], by: Arguments
) -> Iterator[FileProblem]:
    """What speaks against the file; of one that is not this plan's, only that."""
    if data.get("format") != SAVED_FORMAT:
        yield FileProblem("format", shown(data.get("format")), shown(SAVED_FORMAT))
        return
    if data.get("plan") != wanted:
        found = f"the mark {shown(data.get('plan'))} of another plan"
        yield FileProblem("plan", found, f"{wanted}: {_AGAIN}; or name the drops with {by.done}")
        return
    for key in data:
        if key not in _KEYS:
            yield FileProblem(key, "a key that the page does not write", " or ".join(_KEYS))
    ticked = data.get("ticked")
    if not isinstance(ticked, list):
        yield FileProblem("ticked", shown(ticked), "a list of steps")
        return
    seen: set[object] = set()
    for place, key in enumerate(ticked, 1):
        where = f"ticked, entry {place}"
        if not isinstance(key, str) or key not in known:
            yield FileProblem(where, shown(key), f"a step of this plan, such as {_some(known)}")
        elif key in seen:
            yield FileProblem(where, f"{shown(key)} again", "every step once")
        else:
            seen.add(key)


def _some(known: dict[str, Step]) -> str:
    return shown(next(iter(known)))


def _ticked(data: dict[str, object]) -> Iterator[str]:
    ticked = data["ticked"]
    assert isinstance(ticked, list)
    return iter(ticked)
