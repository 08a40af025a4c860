"""Pages set by typst: a template of the package, data, and the type that travels with it.

A template is given data and nothing else. Whatever a job says goes in as a text, which a template
puts on paper as it is, so that nothing in it is ever taken for a command.
"""

from __future__ import annotations

import json
from functools import lru_cache
from pathlib import Path
from typing import Any

import typst

from shadewright.report.pages.drawing import FONTS
from shadewright.report.work.words import unparted

TEMPLATES = Path(__file__).with_name("templates")

_LONGEST_WORD = 14
_BREAK = "\u200b"


def typeset(
    template: str, data: Any, kind: typst.OutputFormat, dpi: float | None = None
) -> bytes | list[bytes]:
    """The pages that a template makes of data; they bear no date.

    Args:
        template: the name of its file.
        data: what JSON can hold.
        dpi: dots an inch of a PNG.

    Returns:
        One file, or of several pages that are not a PDF one each.
    """
    made = typst.compile(
        TEMPLATES / template,
        root=TEMPLATES,
        format=kind,
        ppi=dpi,
        font_paths=_fonts(),
        sys_inputs={"data": json.dumps(data, ensure_ascii=False)},
    )
    assert made is not None
    return made


def breakable(text: str) -> str:
    """The text with places to break a word that is too long for any line, and none within a
    length."""
    return " ".join(map(_broken, unparted(text).split(" ")))


def _broken(word: str) -> str:
    if len(word) <= _LONGEST_WORD:
        return word
    parts = (word[i : i + _LONGEST_WORD] for i in range(0, len(word), _LONGEST_WORD))
    return _BREAK.join(parts)


@lru_cache(maxsize=1)
def _fonts() -> typst.Fonts:
    return typst.Fonts(
        include_system_fonts=False, include_embedded_fonts=False, font_paths=[str(FONTS)]
    )
