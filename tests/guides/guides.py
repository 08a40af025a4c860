"""The blocks of a guide, run as a reader would paste them."""

from __future__ import annotations

import contextlib
import io
import re
from collections.abc import Iterator
from pathlib import Path

_BLOCKS = re.compile(
    r"^```python\n(.*?)^```\n(?:\n```text\n(.*?)^```\n)?", re.MULTILINE | re.DOTALL
)


def printed(guide: Path) -> Iterator[tuple[str, str]]:
    """What each block prints, and what the guide says that it prints."""
    names: dict[str, object] = {"__name__": "__main__"}
    for found in _BLOCKS.finditer(guide.read_text("utf-8")):
        out = io.StringIO()
        with contextlib.redirect_stdout(out):
            exec(compile(found[1], guide.name, "exec"), names)
        yield _trimmed(out.getvalue()), found[2] or ""


def _trimmed(text: str) -> str:
    """A text without the blanks that end its lines, as files keep none."""
    return re.sub(r" +$", "", text, flags=re.MULTILINE)
