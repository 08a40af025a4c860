"""Standard output and error that never end a run with a traceback.

A letter that the terminal cannot show is replaced. A reader that stops reading (`| head`) is no
error. Any other failure to print the result is told once at the end, with exit code 2; where
messages cannot be printed there is nobody to tell.
"""

from __future__ import annotations

import contextlib
import errno
import os
import sys
from collections.abc import Iterator
from typing import TextIO

from shadewright.job.files import reason


class _Stream:
    """A stream that keeps the first failure to itself, and prints nothing from then on."""

    def __init__(self, stream: TextIO) -> None:
        self._stream = stream
        self.failed: OSError | None = None

    def write(self, text: str) -> int:
        if self.failed is None:
            try:
                return self._stream.write(text)
            except OSError as why:
                self._give_up(why)
        return len(text)

    def flush(self) -> None:
        if self.failed is None:
            try:
                self._stream.flush()
            except OSError as why:
                self._give_up(why)

    def replace(self, errors: str) -> None:
        """Put something in the place of letters that the stream cannot show."""
        with contextlib.suppress(AttributeError, ValueError):
            self._stream.reconfigure(errors=errors)  # type: ignore[attr-defined] # most have it

    def _give_up(self, why: OSError) -> None:
        self.failed = why
        # What is left to flush would fail again while the interpreter shuts down.
        with contextlib.suppress(OSError):
            os.dup2(os.open(os.devnull, os.O_WRONLY), self._stream.fileno())

    def __getattr__(self, name: str) -> object:
        return getattr(self._stream, name)


@contextlib.contextmanager
def safe_streams(bad_output: int) -> Iterator[None]:
    """Print through streams that do not fail.

    Args:
        bad_output: exit code where the result could not be printed.
    """
    streams = [_Stream(each) for each in (sys.stdout, sys.stderr) if each is not None]
    if len(streams) < 2:  # one of them is closed, and prints nowhere
        yield
        return
    out, err = streams
    out.replace("replace")
    err.replace("backslashreplace")
    sys.stdout, sys.stderr = out, err
    code: str | int | None = None
    try:
        yield
    except SystemExit as end:
        code = end.code
    except OSError as why:
        print(f"{why.filename or 'a file'}: {reason(why)}", file=err)
        code = bad_output
    out.flush()
    if out.failed is not None and out.failed.errno != errno.EPIPE:
        print(f"the result cannot be printed: {reason(out.failed)}", file=err)
        code = code or bad_output
    err.flush()
    sys.exit(code)
