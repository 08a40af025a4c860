"""Files that are written whole or not at all, and never over what was not meant.

What is written goes to a temporary file beside its place first; all take their real names together,
once each is whole. Only plain files are written over, and only with `--force`: one keeps its mode,
and where it is named by a link, what the link leads to is written and the link stays. A folder, a
pipe, a device, a file that may not be written and a link to nothing are refused, and so is a file
that the same command reads, by whatever name.
"""

from __future__ import annotations

import contextlib
import json
import os
import stat
import sys
import traceback
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from pathlib import Path

from shadewright import stopping
from shadewright.job.files import reason
from shadewright.job.problems import printable
from shadewright.temporary import clear_leftovers, settle, temporary

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

    def __init__(self, targets: _Targets) -> None:
        self._targets = targets

    def write(self, file: Path, writer: Callable[[Path], object]) -> None:
        """Let `writer` write an output, to the name it is given for the time being.

        Raises:
            OutputError: it could not.
        """
        try:
            part = self._targets.parts[file]
            writer(part)
            settle(part)
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

    def pages(self, file: Path, pages: Sequence[bytes]) -> list[Path]:
        """Write an output that may come out as several files: one alone under the name that was
        asked for, several under that name and their numbers. Raises as `write` does.

        Returns:
            The files.
        """
        files = [file]
        if len(pages) > 1:
            files = [_numbered(file, number) for number in range(1, len(pages) + 1)]
            self._targets.give_up(file)
            self._targets.add(files)
        for name, page in zip(files, pages, strict=True):
            self.write(name, partial(_put_bytes, page))
        return files


@contextlib.contextmanager
def outputs(
    files: Sequence[Path],
    force: bool,
    reads: Mapping[str, Path | None],
    paged: Sequence[Path] = (),
) -> Iterator[Writing]:
    """Outputs that take their names together when the work inside is done.

    Args:
        reads: what else the command reads, by what it is ("the job"); never written over.
        paged: those that may come out as several files (`Writing.pages`).

    Raises:
        OutputError: before the work, if one cannot be written there; after it, if one could not
            take its name.
    """
    targets = _Targets(force, reads)
    try:
        targets.add(files, [_numbered(file, 1) for file in paged])
        with _no_second_traceback():
            yield Writing(targets)
        with stopping.carried_through():
            targets.take_names()
    finally:
        with stopping.carried_through():
            targets.clear()


def _put_bytes(held: bytes, part: Path) -> None:
    part.write_bytes(held)


class _Targets:
    """Where outputs go, with the temporary files that stand for them meanwhile.

    Attributes:
        parts: the temporary files, by the names that were asked for.
    """

    def __init__(self, force: bool, reads: Mapping[str, Path | None]) -> None:
        self._force = force
        self._reads = reads
        self._places: list[_Place] = []
        self._held: list[int] = []
        self._given_up: list[Path] = []
        self.parts: dict[Path, Path] = {}

    def add(self, files: Sequence[Path], likely: Sequence[Path] = ()) -> None:
        """Begin outputs.

        Args:
            likely: names that may follow, so that what speaks against them is told now.

        Raises:
            OutputError: something speaks against one of them.
        """
        found = _places([*files, *likely], self._force, self._reads, self._places)[: len(files)]
        for folder in {place.file.parent for place in found}:
            clear_leftovers(folder)
        for place in found:
            try:
                with stopping.carried_through():
                    self.parts[place.named], handle = temporary(place.file)
                    self._held.append(handle)
            except OSError as why:
                raise _unwritten(place.named, why) from None
        self._places += found

    def give_up(self, file: Path) -> None:
        """Leave out an output that was begun."""
        self._places = [place for place in self._places if place.named != file]
        self._given_up.append(self.parts.pop(file))

    def take_names(self) -> None:
        """Give all outputs the names that were asked for."""
        for place in self._places:
            try:
                _take_name(self.parts[place.named], place, self._force)
            except OSError as why:
                raise _unwritten(place.named, why) from None

    def clear(self) -> None:
        """Remove what is left of temporary files."""
        for handle in self._held:
            os.close(handle)
        for part in [*self.parts.values(), *self._given_up]:
            with contextlib.suppress(OSError):
                part.unlink(missing_ok=True)


def _numbered(file: Path, number: int) -> Path:
    """``roll-1.png``, the first of several files for ``roll.png``."""
    return file.with_name(f"{file.stem}-{number}{file.suffix}")


def _unwritten(file: Path, why: OSError) -> OutputError:
    return OutputError(f"{printable(str(file))}: cannot be written: {reason(why)}")


# --- before anything is written -----------------------------------------------------------------


def _places(
    files: Sequence[Path],
    force: bool,
    reads: Mapping[str, Path | None],
    others: Sequence[_Place],
) -> list[_Place]:
    """Where each output goes; every problem is told at once.

    Args:
        others: outputs that are begun already.
    """
    read = {identity: what for what, file in reads.items() if (identity := _identity(file))}
    places: list[_Place] = []
    problems: list[str] = []
    for file in files:
        try:
            place = _place(file)
            problem = _problem(place, [*others, *places], read, force)
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


# --- when all is written ------------------------------------------------------------------------


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
