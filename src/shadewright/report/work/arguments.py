"""What has become of a plan is told by a command's options or by a call's arguments: a message
about it names those that its reader has."""

from __future__ import annotations

import json
from collections.abc import Iterable
from dataclasses import dataclass


@dataclass(frozen=True)
class Arguments:
    """Names of what tells which drops are cut, in which file that stands, what is found and lost.

    Attributes:
        each: whether every shade that is lost is told by an argument of its own, and not by a list.
    """

    done: str
    done_from: str
    flaw: str
    lost: str
    after: str
    each: bool

    def telling_lost(self, names: Iterable[str]) -> str:
        """What tells that these shades are lost, as it is typed."""
        if self.each:
            return " ".join(f"{self.lost} {_quoted(name)}" for name in names)
        return f"{self.lost}=[{', '.join(_quoted(name) for name in names)}]"


def _quoted(name: str) -> str:
    """The whole name: it is to be typed."""
    return json.dumps(name, ensure_ascii=False)


OPTIONS = Arguments("--done", "--done-from", "--flaw", "--lost", "--after", each=True)
OF_A_CALL = Arguments("done", "done_from", "flaws", "lost", "after", each=False)
