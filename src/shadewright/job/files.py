"""Reading a file whole, within a limit, or saying why it cannot be."""

from __future__ import annotations

import errno
import os
import stat
from pathlib import Path

from shadewright.job.problems import FileProblem, JobError


def bytes_of(path: Path, most: int, kind: str) -> bytes:
    """Everything in a file.

    Args:
        most: bytes; a file of more is not read.
        kind: what the file should be, as in "a job file".

    Raises:
        JobError: it is not there, no plain file, larger, or cannot be read.
    """
    try:
        # A pipe without a writer would be waited for without end, so nothing else is opened.
        mode = path.stat().st_mode
        if stat.S_ISDIR(mode):
            raise refused(path, f"this is a folder, not {kind}")
        if not stat.S_ISREG(mode):
            raise refused(path, f"this is a device or a pipe, not {kind}")
        with path.open("rb") as stream:
            data = stream.read(most + 1)
    except FileNotFoundError:
        raise refused(path, "there is no such file") from None
    except (OSError, ValueError) as why:
        raise refused(path, f"the file cannot be read: {reason(why)}") from why
    if len(data) > most:
        raise refused(path, f"this is too large for {kind}, which has at most {most:,} bytes")
    return data


def refused(path: Path, wanted: str) -> JobError:
    """The whole file is refused."""
    return JobError(str(path), [FileProblem("", "", wanted)])


def reason(why: OSError | ValueError) -> str:
    """What stands in the way of a file, in plain words and without its name."""
    if isinstance(why, ValueError):  # a name with a NUL in it, or one the system has no letters for
        return "no file can have such a name"
    if why.errno == errno.ELOOP:
        return "its links lead round in a circle"
    if why.errno is None:
        return str(why)
    return os.strerror(why.errno)
