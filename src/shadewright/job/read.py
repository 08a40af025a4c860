"""Reading a job file into a `Job`, or saying everything that is wrong with it at once.

A TOML file and a workbook come down to the same nested tables (`Source`), which are read here:
each table on its own first, so that no problem hides another, then what must agree between them.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any, get_args

from shadewright.job.defaults import default_length
from shadewright.job.facts import Facts
from shadewright.job.files import bytes_of, refused
from shadewright.job.given import plain_tables
from shadewright.job.giving_up import Fit
from shadewright.job.limits import LARGEST_JOB, LARGEST_STEP
from shadewright.job.model import Cloth, Job, Make, Opening
from shadewright.job.places import Places
from shadewright.job.problems import FileProblem, JobError, one_of, shown
from shadewright.job.read_cloth import read_cloth, refuse_same_names
from shadewright.job.read_make import NO_LINING, read_make, read_prices
from shadewright.job.read_opening import read_opening, tied
from shadewright.job.read_wishes import read_fit, read_match
from shadewright.job.source import EnoughError, Reading, Source
from shadewright.job.table import TableReader
from shadewright.job.toml import tables_source, toml_source
from shadewright.job.unused import unused
from shadewright.job.values import PLAIN_NAME, is_name, plain
from shadewright.measure import METRIC_UNITS, Ticks, Unit


def read_job(path: Path) -> Job:
    """Read a job file, TOML or workbook by its suffix.

    Raises:
        JobError: the file cannot be read, or is no good job; carries every problem found.
    """
    return read_placed(path)[0]


def read_placed(path: Path) -> tuple[Job, Places]:
    """Read a job file, and tell where in it things stand, for what is found wrong with it later.

    Raises:
        JobError: as `read_job`.
    """
    match path.suffix.lower():
        case ".toml":
            source = toml_source(bytes_of(path, LARGEST_JOB, "a job file"), str(path))
        case ".xlsx":
            # Who keeps jobs in TOML does not wait for what reads workbooks.
            from shadewright.job.sheets import workbook_source  # noqa: PLC0415

            source = workbook_source(path)
        case _:
            raise _of_no_known_form(path)
    job = build_job(source, str(path))
    if path.suffix.lower() == ".toml":
        return job, Places()
    return job, Places(path.name, source.place, job)


_ENDINGS = (".toml", ".xlsx")
_OF_SHEETS = (".ods", ".xls", ".xlsm", ".xlsb", ".fods", ".csv", ".numbers")
"""Endings of what other spreadsheets are saved as."""


def _of_no_known_form(path: Path) -> JobError:
    """What is wrong with a file that is no job by its name."""
    beside = [path.with_name(path.name + ending) for ending in _ENDINGS if path.name]
    there = [each.name for each in beside if each.is_file()]
    if there and not path.exists():
        return refused(path, f"there is no such file; did you mean {one_of(there)}?")
    try:
        bytes_of(path, LARGEST_JOB, "a job file")  # a file that is not there says so first
    except JobError as why:
        return why
    said = f"a job file's name must end in {' or '.join(_ENDINGS)}"
    if path.suffix.lower() in _OF_SHEETS:
        said += "; have your spreadsheet program save it as .xlsx (Save As)"
    return refused(path, said)


def read_text(text: str) -> Job:
    """Read a job from the text of a job file in TOML.

    Raises:
        JobError: it is too long, or no good job; carries every problem found.
    """
    data = text.encode("utf-8", "surrogatepass")
    if len(data) > LARGEST_JOB:
        raise refused(Path(_NO_FILE), f"this is too long for a job, at most {LARGEST_JOB:,} bytes")
    return build_job(toml_source(data, _NO_FILE), _NO_FILE)


def read_tables(tables: Mapping[Any, object]) -> Job:
    """Read a job from tables as `tomllib` gives them, or a program makes them.

    Raises:
        JobError: it is no good job; carries every problem found.
    """
    return build_job(tables_source(plain_tables(tables, _NO_FILE)), _NO_FILE)


_NO_FILE = "the job"
"""What messages call a job that lies in no file."""


def build_job(source: Source, file: str) -> Job:
    """Turn the tables of a job file into a job; `file` is named in the error.

    Raises:
        JobError: carries every problem found.
    """
    reading = Reading(source, problems=list(source.problems))
    try:
        return _job(source, reading)
    except EnoughError:
        raise JobError(file, reading.problems) from None


def _job(source: Source, reading: Reading) -> Job:
    """The job, if nothing is wrong with it.

    Raises:
        EnoughError: something is; the problems are in `reading`.
    """
    top = TableReader(source.tables, (), reading)
    title = top.text("title")
    reading.unit = top.choice("units", get_args(Unit), "in")
    default_step = default_length("step", reading.unit in METRIC_UNITS)
    step = top.length("step", default_step, above=0)
    if step > LARGEST_STEP:
        top.refuse("step", "a step of at most 1 ft")
    facts = Facts(reading.unit, step if top.ok("step") else default_step)
    children = top.flag("children") is True
    outdoors = top.flag("outdoors") is True

    cloth_tables = top.named_tables("cloth", "at least one cloth, by name, with its width")
    names = list(cloth_tables)
    cloths = [read_cloth(table, name, facts) for name, table in cloth_tables.items()]
    reading.problems += _bad_names(source, names)
    # Of those that are named alike, which is told, any is meant.
    names = list({plain(name): name for name in reversed(names)}.values())[::-1]
    make_table = top.table("make")
    make = read_make(make_table, names, facts)
    prices = read_prices(top.table("prices"), make.stock, facts)
    fit_table = top.table("fit")
    fit = read_fit(fit_table, names, facts)
    match_table = top.table("match")
    match = read_match(match_table)
    opening_tables = top.tables("opening")
    if not opening_tables and top.ok("opening"):
        top.refuse("opening", "at least one opening with its name, width and height")
    openings = [read_opening(table, names, facts) for table in opening_tables]
    top.finish()

    refuse_same_names(opening_tables, [opening.name for opening in openings], "opening")
    openings = tied(opening_tables, openings)
    if make.tail_reach is not None:
        for table, opening in zip(opening_tables, openings, strict=True):
            _refuse_no_reach(table, opening, make, make.tail_reach, facts)
    if match.strategy != "plain" and match_table.ok("strategy"):
        for table, cloth in zip(cloth_tables.values(), cloths, strict=True):
            _refuse_turning(table, cloth)
        for table, opening in zip(opening_tables, openings, strict=True):
            _refuse_other_lay(table, opening, cloths)
    if reading.problems:
        raise EnoughError
    job = Job(
        title=title,
        units=facts.unit,
        step=facts.step,
        cloths=tuple(cloths),
        make=make,
        match=match,
        openings=tuple(openings),
        fit=fit if any(map(fit_table.given, Fit.model_fields)) else None,
        children=children,
        outdoors=outdoors,
        prices=prices,
    )
    notes = *facts.notes, *unused(job, match_table.given, make_table.given, cloth_tables)
    return job.model_copy(update={"notes": notes})


def _bad_names(source: Source, names: list[str]) -> list[FileProblem]:
    """Problems with the names of cloths, which TOML allows to be anything."""
    found = []
    first: dict[str, str] = {}
    for name in names:
        like = first.setdefault(plain(name), name)
        if plain(name) == NO_LINING:
            wrong = "this names no cloth: it means a shade without lining"
        elif not is_name(name):
            wrong = f"a cloth's name must be a text {PLAIN_NAME}"
        elif like != name:
            wrong = f"a cloth's name must be its own, and there is {shown(like)}"
        else:
            continue
        found.append(FileProblem(source.place(("cloth", name)), "", wrong))
    return found


def _refuse_no_reach(
    table: TableReader, opening: Opening, make: Make, reach: Ticks, facts: Facts
) -> None:
    """Where a cord ends above the floor can only be told from where it begins: at the board, which
    an inside mount hangs below the head."""
    key, said = "head_above_floor", facts.tape.short(reach)
    drop = make.hook_drop if opening.mount == "inside" else 0
    if opening.head_above_floor is None and table.ok(key):
        table.refuse(key, f"a length, as tail_reach asks for cords that end {said} above the floor")
    elif opening.head_above_floor is not None and opening.head_above_floor <= reach + drop:
        hung = f" and hook_drop, {facts.tape.short(drop)}" if drop else ""
        table.refuse(key, f"more than tail_reach, which is {said}{hung}")


def _refuse_turning(table: TableReader, cloth: Cloth) -> None:
    """A motif must keep one way up, unless it is cut without regard to it."""
    if cloth.runs in ("either", "mixed") and (cloth.repeat_down or cloth.repeat_across):
        wanted = one_of(["up the bolt", "railroaded"])
        table.refuse(
            "runs", f'{wanted} on cloth with a repeat, unless the match strategy is "plain"'
        )


def _refuse_other_lay(table: TableReader, opening: Opening, cloths: Sequence[Cloth]) -> None:
    """Cloth with a repeat lies one way, whatever an opening says."""
    printed = {c.name: c.runs for c in cloths if c.repeat_down or c.repeat_across}
    if table.ok("runs") and opening.runs not in (None, printed.get(opening.cloth, opening.runs)):
        table.refuse(
            "runs", "what its cloth has, as cloth with a repeat lies one way in all the job"
        )
