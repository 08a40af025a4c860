"""Runs a mutant in this process, and says what is wrong with how it ended."""

from __future__ import annotations

import contextlib
import io
import json
import re
import sys
import tempfile
import time
import traceback
import zipfile
from dataclasses import dataclass
from pathlib import Path

from mutant_kinds import Mutant
from shadewright.cli.app import run as command_line
from shadewright.cloth.plan import Plan
from shadewright.cloth.plan_file import plan_data
from shadewright.job.problems import JobError
from shadewright.job.read import read_job
from shadewright.report.sheets.ticks import boxes

ENDS = (0, 2, 3, 4)

_READING = 2.0
"""Seconds of work that reading a file may take."""

# What stands behind a file's name in a message: where in it something is wrong.
_PLACE = re.compile(
    r"""^[:,]\ (
        line\ \d+ | end\ of\ document
        | \[\[?[^\]]+\]                         # a table of a job
        | sheet\ .+?(,\ (cell|row|column)|:)    # a cell, or a sheet as a whole
        | Cutting\ order(![A-Z]+\d+|,\ row|:)
        | [\w.\[\]"\\-]+(\ \d+)?:\ .            # a key
        | "
    )""",
    re.VERBOSE,
)

# What is said of a file as a whole.
_WHOLE = re.compile(
    r"this is no workbook|this workbook has no sheet|this is too large for|bytes unpacked, wanted"
    r"|packs more parts|elements, which stand for|found brackets within brackets"
    r"|found faults, wanted a clean plan|lists and objects, wanted at most"
    r"|found sheets .* wanted one|there is no such file|there is more to put right"
    r"|^: (found )?\d[\d,]* entries"
)

# A table of the job, or its sheet, that stands in the way.
_TABLE = re.compile(r"^\s*(\[\[?\w|\S+\.xlsx, sheet )", re.MULTILINE)

_SHADES = 1_000
"""Shades for which a mutant may take its time once more: they are read, judged and told one by one,
beside the search."""

_PAGE = 0.02
"""Seconds more for each shade where a workbook is written: rows, and a card with a picture."""

_STEERS = re.compile("[\x00-\x08\x0b-\x1f\x7f-\x9f\u200b\u202a-\u202e\u2066-\u2069\ufeff]")


@dataclass(frozen=True)
class Ended:
    """How a mutant ended.

    Attributes:
        code: of exit; None if it did not end by itself.
        took: seconds on the clock.
        worked: seconds of the processor.
        wrong: what should not be, nothing if all is well.
    """

    kind: str
    number: int
    how: str
    command: str
    code: int | None
    took: float
    worked: float
    wrong: tuple[str, ...]
    said: str


@dataclass(frozen=True)
class _Ran:
    code: int | None
    out: str
    err: str
    took: float
    worked: float
    crash: str = ""


def run(mutant: Mutant, slack: float) -> Ended:
    """Run a mutant in a folder of its own.

    Args:
        slack: times longer that it may take on the clock than on the processor, on a machine that
            does other things.
    """
    ran, wrong = _once(mutant, slack)
    if any(each.startswith("took") for each in wrong):
        # Something else may have kept the machine: only what is slow twice is slow.
        ran, wrong = _once(mutant, slack)
    return Ended(
        mutant.kind,
        mutant.number,
        mutant.how,
        mutant.words[0],
        ran.code,
        ran.took,
        ran.worked,
        tuple(wrong),
        (ran.out[-2000:] + ran.err[-4000:] + ran.crash[-4000:]) if wrong else "",
    )


def _once(mutant: Mutant, slack: float) -> tuple[_Ran, list[str]]:
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place)
        for name, data in mutant.files.items():
            (folder / name).write_bytes(data)
        with contextlib.chdir(folder):
            ran = _command(mutant.words)
            wrong = [*_streams(mutant, ran), *_left(mutant, ran, folder)]
            shades = _shades(folder)
            allowed = mutant.seconds * (1 + shades / _SHADES)
            allowed += _PAGE * shades * ("--out" in mutant.words)
            if ran.code == 0 and mutant.then and (again := _command(mutant.then)).code != 0:
                wrong.append(f"{' '.join(mutant.then)} ended with {again.code}: {again.out[:500]}")
    if ran.worked > allowed or ran.took > slack * allowed:
        wrong.append(f"took {ran.took:.1f} s, {ran.worked:.1f} s of work; {allowed:.1f} allowed")
    return ran, wrong


def _shades(folder: Path) -> int:
    """How many shades the plan that was made has."""
    made = folder / "made.json"
    with contextlib.suppress(OSError, ValueError, KeyError, TypeError):
        return len(json.loads(made.read_text(encoding="utf-8"))["shades"])
    return 0


def _command(words: tuple[str, ...]) -> _Ran:
    """The program as it is started, but for its process."""
    streams = [io.TextIOWrapper(io.BytesIO(), encoding="utf-8") for _ in range(2)]
    before = sys.argv, sys.stdout, sys.stderr
    sys.argv = ["shadewright", *words]
    sys.stdout, sys.stderr = streams
    code: int | None = 0
    crash = ""
    took, worked = time.perf_counter(), time.process_time()
    try:
        command_line()
    except SystemExit as end:
        code = end.code if isinstance(end.code, int) else 0
    except Exception:
        code, crash = 1, traceback.format_exc()
    finally:
        took, worked = time.perf_counter() - took, time.process_time() - worked
        sys.argv, sys.stdout, sys.stderr = before
    texts = []
    for stream in streams:
        stream.flush()
        texts.append(stream.buffer.getvalue().decode("utf-8"))
    return _Ran(code, *texts, took, worked, crash)


def misread(mutant: Mutant) -> list[str]:
    """What is wrong with how the files of a mutant are read, and no more than read: each is good,
    or refused with every place that is bad."""
    wrong: list[str] = []
    with tempfile.TemporaryDirectory() as place, contextlib.chdir(place):
        for name, data in mutant.files.items():
            Path(name).write_bytes(data)
        for name in mutant.files:
            worked = time.process_time()
            try:
                _read(Path(name))
            except (JobError, ValueError) as why:
                wrong += [
                    f"does not say where: {line[:300]}" for line in _nowhere(mutant, str(why))
                ]
            except Exception:
                wrong.append(f"traceback: {traceback.format_exc()[-1000:]}")
            worked = time.process_time() - worked
            if worked > _READING:
                wrong.append(f"took {worked:.1f} s of work to read {name}")
        if set(mutant.files) != {file.name for file in Path().iterdir()}:
            wrong.append("reading left a file")
    return wrong


def _read(file: Path) -> None:
    if file.name == "plan.json":
        plan_data(file)
    elif file.name == "ticked.xlsx":
        plan = Plan.model_validate(plan_data(Path("plan.json")))
        boxes(read_job(Path("job.toml")), plan, file)
    else:
        read_job(file)


def _streams(mutant: Mutant, ran: _Ran) -> list[str]:
    """What is wrong with what was printed."""
    wrong: list[str] = []
    if ran.crash or "Traceback" in ran.err or "Exception ignored" in ran.err:
        wrong.append(f"traceback: {(ran.crash or ran.err).strip().splitlines()[-1][:300]}")
    elif ran.code not in ENDS:
        wrong.append(f"exit code {ran.code}")
    if "bug" in ran.err:
        wrong.append("a plan with faults")
    if ran.code and not ran.err.strip():
        wrong.append("no message")
    if found := _STEERS.search(ran.out + ran.err):
        wrong.append(f"printed {found[0]!r}")
    if ran.code == 2:
        wrong += [f"does not say where: {line[:300]}" for line in _nowhere(mutant, ran.err)]
        if ran.out:
            wrong.append("a result of a bad input")
    if ran.code == 3 and not (mutant.words[0] == "fit" or _TABLE.search(ran.err)):
        wrong.append(f"does not say where: {ran.err[:300]}")
    if max(map(len, (ran.out + ran.err).splitlines()), default=0) > 2000:
        wrong.append("a very long line")
    return wrong


def _nowhere(mutant: Mutant, err: str) -> list[str]:
    """Lines of messages that do not tell where to look."""
    lines = []
    for line in err.splitlines():
        if line.startswith((" ", "--done: ", "--lost: ", "--flaw: ", "Usage:")):
            continue
        rest = line.removeprefix("--done-from: ")
        name = next((name for name in mutant.files if rest.startswith(name)), None)
        rest = rest.removeprefix(name or "")
        if name is None or not (_PLACE.search(rest) or _WHOLE.search(rest)):
            lines.append(line)
    return lines


_OF_A_PAGE = re.compile(r"-\d+(?=\.(svg|png)$)")


def _left(mutant: Mutant, ran: _Ran, folder: Path) -> list[str]:
    """What is wrong with the files that there are now."""
    wrong: list[str] = []
    there = {file.name for file in folder.iterdir()}
    # A picture of several pages is a file a page.
    found = there - set(mutant.files)
    made = {_OF_A_PAGE.sub("", name) for name in found}
    wanted = set(mutant.writes) if ran.code == 0 else set()
    # The answer of `fit` can be that the cloth is not enough.
    if made != wanted and not (mutant.words[0] == "fit" and ran.code == 3):
        wrong.append(f"left {sorted(made)}, wanted {sorted(wanted)}")
    for name, data in mutant.files.items():
        if name not in there or (folder / name).read_bytes() != data:
            wrong.append(f"changed {name}")
    for name in found:
        try:
            _open(folder / name)
        except Exception as why:
            wrong.append(f"wrote {name}, which is no such file: {why}")
    return wrong


def _open(file: Path) -> None:
    if file.suffix == ".json":
        json.loads(file.read_text(encoding="utf-8"))
    elif file.suffix == ".xlsx":
        with zipfile.ZipFile(file) as archive:
            assert archive.testzip() is None
