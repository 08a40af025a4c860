"""Files that are written whole or not at all, and never over what was not meant.

What is written goes to a temporary file beside its place first; all take their real names together,
once each is whole. Only plain files are written over, and only with `--force`: one keeps its mode,
and where it is named by a link, what the link leads to is written and the link stays. A folder, a
pipe, a device, a file that may not be written and a link to nothing are refused, and so is a file
that the same command reads, by whatever name.

A run that is killed leaves its temporary file behind. It holds a lock on it for as long as it
lives, so the next run in that folder tells what is left over from what is in use.
"""

from __future__ import annotations

import contextlib
import json
import os
import stat
import sys
import tempfile
import traceback
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from shadewright import stopping
from shadewright.job.files import reason
from shadewright.job.problems import printable

try:
    import fcntl
except ImportError:  # Windows, where a file that is open cannot be removed: that is the lock
    fcntl = None  # type: ignore[assignment]

_PREFIX = ".shadewright-"
_WRITABLE = 0o222


class OutputError(Exception):
    """Files cannot be written; a line for each."""


@dataclass(frozen=True)
class _Place:
    """Where an output goes.

    Attributes:
        named: the file as it was asked for.
        file: what that leads to, where links have been followed.
        mode: of the file written over; None where there is none.
        identity: of the file written over.
    """

    named: Path
    file: Path
    mode: int | None
    identity: tuple[int, int] | None


class Writing:
    """Outputs being written."""

    def __init__(self, parts: Mapping[Path, Path]) -> None:
        self._parts = parts

    def write(self, file: Path, writer: Callable[[Path], object]) -> None:
        """Let `writer` write an output, to the name it is given for the time being.

        Raises:
            OutputError: it could not.
        """
        try:
            writer(self._parts[file])
            _settle(self._parts[file])
        except Exception as why:
            failed = _failure(why)
            if failed is None:
                raise
            _forget(why)
            raise _unwritten(file, failed) from None

    def text(self, file: Path, text: str) -> None:
        """Write a text; raises as `write` does."""
        self.write(file, lambda part: part.write_text(text, encoding="utf-8"))

    def data(self, file: Path, data: object) -> None:
        """Write data as JSON; raises as `write` does."""
        self.text(file, json.dumps(data, indent=1, ensure_ascii=False) + "\n")


@contextlib.contextmanager
def outputs(
    files: Sequence[Path], force: bool, reads: Mapping[str, Path | None]
) -> Iterator[Writing]:
    """Outputs that take their names together when the work inside is done.

    Args:
        reads: what else the command reads, by what it is ("the job"); never written over.

    Raises:
        OutputError: before the work, if one cannot be written there; after it, if one could not
            take its name.
    """
    places = _places(files, force, reads)
    held: dict[Path, int] = {}
    parts: dict[Path, Path] = {}
    try:
        for folder in {place.file.parent for place in places}:
            _clear_leftovers(folder)
        for place in places:
            try:
                with stopping.carried_through():
                    parts[place.named], held[place.named] = _temporary(place.file)
            except OSError as why:
                raise _unwritten(place.named, why) from None
        with _no_second_traceback():
            yield Writing(parts)
        with stopping.carried_through():
            for place in places:
                try:
                    _take_name(parts[place.named], place, force)
                except OSError as why:
                    raise _unwritten(place.named, why) from None
    finally:
        with stopping.carried_through():
            for handle in held.values():
                os.close(handle)
            for part in parts.values():
                with contextlib.suppress(OSError):
                    part.unlink(missing_ok=True)


def _unwritten(file: Path, why: OSError) -> OutputError:
    return OutputError(f"{printable(str(file))}: cannot be written: {reason(why)}")


# --- before anything is written -----------------------------------------------------------------


def _places(files: Sequence[Path], force: bool, reads: Mapping[str, Path | None]) -> list[_Place]:
    """Where each output goes; every problem is told at once."""
    read = {identity: what for what, file in reads.items() if (identity := _identity(file))}
    places: list[_Place] = []
    problems: list[str] = []
    for file in files:
        try:
            place = _place(file)
            problem = _problem(place, places, read, force)
        except (OSError, ValueError) as why:
            problem = f"{printable(str(file))}: cannot be written: {reason(why)}"
        if problem:
            problems.append(problem)
        else:
            places.append(place)
    if problems:
        raise OutputError("\n".join(problems))
    return places


def _identity(file: Path | None) -> tuple[int, int] | None:
    """What tells a file from every other, under whatever name; None where there is none."""
    if file is None:
        return None
    try:
        found = file.stat()
    except (OSError, ValueError):
        return None
    return found.st_dev, found.st_ino


def _place(file: Path) -> _Place:
    try:
        found = file.stat()
    except FileNotFoundError:
        return _Place(file, file, None, None)
    return _Place(file, Path(os.path.realpath(file)), found.st_mode, (found.st_dev, found.st_ino))


def _problem(
    place: _Place, others: Sequence[_Place], read: Mapping[tuple[int, int], str], force: bool
) -> str:
    """What speaks against writing there, in a line; nothing if all is well."""
    said = ""
    if place.identity and place.identity in read:
        said = f"is {read[place.identity]} itself, wanted another name"
    elif other := next((other for other in others if _same(place, other)), None):
        said = f"is the same file as {other.named}, wanted another name"
    elif place.mode is None:
        if place.named.is_symlink():
            said = "is a link to nothing that is there, wanted a file name"
        elif not place.file.parent.is_dir():
            said = f"there is no folder {place.file.parent}"
    elif stat.S_ISDIR(place.mode):
        said = "is a folder, wanted a file name"
    elif not stat.S_ISREG(place.mode):
        said = "is a device or a pipe, wanted a plain file"
    elif not force:
        said = "exists already; --force writes over it"
    elif not (place.mode & _WRITABLE and os.access(place.file, os.W_OK)):
        said = "is read-only, wanted a file that may be written over"
    return printable(f"{place.named}: {said}") if said else ""


def _same(one: _Place, other: _Place) -> bool:
    """Whether two outputs are one file, there already or yet to come."""
    if one.identity or other.identity:
        return one.identity == other.identity
    names = [os.path.normcase(os.path.realpath(place.named)) for place in (one, other)]
    return names[0] == names[1]


# --- temporary files ----------------------------------------------------------------------------


def _temporary(file: Path) -> tuple[Path, int]:
    """A temporary file beside a place, and a handle that keeps it locked until it is closed."""
    while True:
        handle, name = tempfile.mkstemp(
            prefix=f"{_PREFIX}{os.getpid()}-", suffix=file.suffix.lower(), dir=file.parent
        )
        part = Path(name)
        if fcntl is None:
            return part, handle
        with contextlib.suppress(OSError):  # a file system without locks clears no leftovers
            fcntl.flock(handle, fcntl.LOCK_EX)
        if part.exists():  # else another run took it for a leftover before it was locked
            return part, handle
        os.close(handle)


def _clear_leftovers(folder: Path) -> None:
    """Remove temporary files of runs that are no more."""
    with contextlib.suppress(OSError):
        for part in folder.glob(f"{_PREFIX}*"):
            with contextlib.suppress(OSError):
                if stat.S_ISREG(part.lstat().st_mode):
                    _remove_if_left(part)


def _remove_if_left(part: Path) -> None:
    if fcntl is None:
        part.unlink()
        return
    handle = os.open(part, os.O_RDONLY | os.O_NOFOLLOW | os.O_NONBLOCK)
    try:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        part.unlink()
    finally:
        os.close(handle)


def _settle(part: Path) -> None:
    """Have what was written reach the disk, where it may turn out that there is no room."""
    handle = os.open(part, os.O_RDWR)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def _take_name(part: Path, place: _Place, force: bool) -> None:
    """Give a whole file its name."""
    if place.mode is None:
        umask = os.umask(0)
        os.umask(umask)
        part.chmod(0o666 & ~umask)
    else:
        part.chmod(stat.S_IMODE(place.mode))
    if force:
        part.replace(place.file)
        return
    # Unlike a new name, a further one is never given over a file that has come there meanwhile.
    try:
        os.link(part, place.file)
    except FileExistsError:
        raise
    except OSError:  # a file system without further names
        if os.path.lexists(place.file):
            raise
        part.replace(place.file)


# --- what writers leave behind when they fail ---------------------------------------------------


@contextlib.contextmanager
def _no_second_traceback() -> Iterator[None]:
    """Keep files that could not be written from complaining again as they are given up.

    An archive that is half written tries to finish when it is collected, and on a full disk fails
    once more, where nobody can catch it.
    """
    before = sys.unraisablehook

    def quiet(what: sys.UnraisableHookArgs) -> None:
        if not isinstance(what.exc_value, OSError):
            before(what)

    sys.unraisablehook = quiet
    try:
        yield
    finally:
        sys.unraisablehook = before


def _failure(why: BaseException | None) -> OSError | None:
    """What kept a file from being written, where a writer stumbled over something else after it."""
    while why is not None and not isinstance(why, OSError):
        why = why.__context__
    return why


def _forget(why: BaseException) -> None:
    """Let go of all that a failed writer held, now, while its complaints are kept quiet."""
    at: BaseException | None = why
    while at is not None:
        traceback.clear_frames(at.__traceback__)
        at.__traceback__ = None
        at = at.__context__
