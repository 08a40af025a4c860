"""The program: hears Ctrl-C from the first moment on, and then runs the commands.

What it imports before it listens is little on purpose.
"""

from __future__ import annotations

import contextlib
import os
import sys
from typing import NoReturn

from shadewright import stopping

NOTHING_KEPT = 4
"""Exit code where a command is stopped before it has anything to keep."""


def main() -> None:
    """Run the command line; exit code 1 is left for a crash."""
    stopping.hear()
    try:
        from shadewright.cli.app import run  # noqa: PLC0415

        run()
        code: str | int | None = 0
    except SystemExit as end:
        code = end.code
    except BaseException:
        # An import that is broken into may come out as any error.
        if not stopping.asked() and not stopping.terminated():
            raise
        code = _nothing("Asked to terminate." if stopping.terminated() else "Stopped.")
    if stopping.terminated():
        code = NOTHING_KEPT
    # What is left to do is little, and nothing is gained by breaking into it.
    stopping.deaf()
    if stopping.asked() or stopping.terminated():
        _end(code)
    sys.exit(code)


def _end(code: str | int | None) -> NoReturn:
    """End with this code. Where a key has broken into what Python runs from a text, as it does for
    every dataclass, it would end as if killed by that key, though that was heard and answered."""
    for stream in (sys.stdout, sys.stderr):
        with contextlib.suppress(OSError, ValueError):
            stream.flush()
    os._exit(code if isinstance(code, int) else int(code is not None))


def _nothing(why: str) -> int:
    print(f"{why} Nothing was written.", file=sys.stderr)
    return NOTHING_KEPT


if __name__ == "__main__":
    main()
