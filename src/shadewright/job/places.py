"""Where in a job file the tables and keys stand that a message names.

What follows from a job knows nothing of its file: it names tables and keys as TOML does
(``[[opening]] "West bay" width``, ``[make] rod``). To somebody who keeps the job as a workbook that
says nothing, so such names give way to sheet and cell when a message is printed.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass

from shadewright.job.model import Job
from shadewright.job.source import KeyPath

_RANGE = re.compile(r"\b(gap|shades) = \[([^],]+), ([^]]+)\]")

_ANY_PIECE = "[[cloth.NAME.piece]]"


@dataclass(frozen=True)
class Places:
    """How to say where things are.

    Attributes:
        file: name of the workbook; empty for a job in TOML, whose own words messages use.
        place: where the value at a path stands.
    """

    file: str = ""
    place: Callable[[KeyPath], str] | None = None
    job: Job | None = None

    def said(self, text: str) -> str:
        """A message in the words of the file: a place that begins a line is told with the file,
        as in ``porch.xlsx, sheet Openings, cell B2 (width): ...``, others after their key, as in
        ``another strategy (sheet Match, cell B4)``.
        """
        if self.place is None or self.job is None:
            return text
        cloth = "|".join(re.escape(cloth.name) for cloth in self.job.cloths)
        text = re.sub(rf"\[cloth\.(?:{cloth})(?: and (?:{cloth}))+\] piece\b", _ANY_PIECE, text)
        paths = self._paths(self.job)
        heads = "|".join(re.escape(head) for head in sorted(paths, key=len, reverse=True))
        named = re.compile(rf"^(\s*)({heads})(?: (\w+)\b)?|({heads})(?: (\w+)\b)?", re.MULTILINE)

        def told(found: re.Match[str]) -> str:
            indent, head, key, inner_head, inner_key = found.groups()
            assert self.place is not None
            if head is not None:
                where = self.place((*paths[head], key) if key else paths[head])
                return f"{indent}{self.file}, {where}"
            if not inner_key:
                return self.place(paths[inner_head])
            where = self.place((*paths[inner_head], inner_key)).removesuffix(f" ({inner_key})")
            return f"{inner_key} ({where})"

        return _RANGE.sub(r"\1: \2 to \3", named.sub(told, text))

    @staticmethod
    def _paths(job: Job) -> dict[str, KeyPath]:
        """What each heading of TOML stands for."""
        paths: dict[str, KeyPath] = {
            f"[{name}]": (name,) for name in ("make", "prices", "match", "fit")
        }
        paths[_ANY_PIECE] = ("piece",)
        paths |= {f"[cloth.{cloth.name}]": ("cloth", cloth.name) for cloth in job.cloths}
        paths |= {
            f'[[opening]] "{opening.name}"': ("opening", i)
            for i, opening in enumerate(job.openings)
        }
        return paths
