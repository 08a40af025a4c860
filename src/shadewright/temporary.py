"""Temporary files that stand for outputs while these are written.

A run that is killed leaves its temporary file behind. It holds a lock on it for as long as it
lives, so the next run in that folder tells what is left over from what is in use.
"""

from __future__ import annotations

import contextlib
import os
import stat
import tempfile
from pathlib import Path

try:
    import fcntl
except ImportError:  # Windows, where a file that is open cannot be removed: that is the lock
    fcntl = None  # type: ignore[assignment]

_PREFIX = ".shadewright-"


def temporary(file: Path) -> tuple[Path, int]:
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


def clear_leftovers(folder: Path) -> None:
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


def settle(part: Path) -> None:
    """Have what was written reach the disk, where it may turn out that there is no room."""
    handle = os.open(part, os.O_RDWR)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
