"""What people call the shades of a plan, in every text, sheet and picture.

A plan knows a shade by its id, ``West bay 1, 2 of 3``. Printed, a number that tells nothing is left
out: that of the copy where an opening has one copy, the place where it has one shade.
"""

from __future__ import annotations

from collections.abc import Iterable
from itertools import groupby
from typing import TYPE_CHECKING

from shadewright.job.model import Job
from shadewright.report.work.words import clean, numbers_said

if TYPE_CHECKING:
    from shadewright.cloth.plan import Shade


class ShadeNames:
    """The names of a plan's shades.

    Args:
        shades: of the whole plan. Should two of them come to one name, as a "Bay" of several copies
            and an opening called "Bay 1" would, all go by their ids.
    """

    def __init__(self, job: Job, shades: Iterable[Shade]) -> None:
        self._copies = {opening.name: opening.copies for opening in job.openings}
        short = {shade.id: self._together([shade]) for shade in shades}
        self._short = len(set(map(_plain, short.values()))) == len(short)
        self._names = short if self._short else {id_: clean(id_) for id_ in short}

    def of(self, shade: str) -> str:
        """The name of a shade, by its id."""
        return self._names[shade]

    def together(self, shades: Iterable[Shade]) -> str:
        """Shades in the order of the plan: ``Lake bay 1 to 3, 1 and 3 of 3; Front bay 5``."""
        if not self._short:
            return "; ".join(self.of(shade.id) for shade in shades)
        return self._together(shades)

    def matching(self, text: str) -> list[str]:
        """The ids of the shades that a text may mean, by id or by name, in letters of any case."""
        both = [(id_, name) for id_, name in self._names.items() if text in (id_, name)]
        if len(both) != 1:
            both = [
                (id_, name)
                for id_, name in self._names.items()
                if _plain(text) in (_plain(id_), _plain(name))
            ]
        return [id_ for id_, _ in both]

    def _together(self, shades: Iterable[Shade]) -> str:
        said = []
        for opening, here in groupby(shades, key=lambda shade: shade.opening):
            by_copy: dict[int, list[Shade]] = {}
            for shade in here:
                by_copy.setdefault(shade.copy_, []).append(shade)
            alike: dict[tuple[int, tuple[int, ...]], list[int]] = {}
            for copy, these in by_copy.items():
                where = these[0].of, tuple(shade.place for shade in these)
                alike.setdefault(where, []).append(copy)
            for (of, places), copies in alike.items():
                name = clean(opening)
                if self._copies.get(opening, 1) > 1:
                    name += f" {numbers_said(copies)}"
                said.append(name if of == 1 else f"{name}, {numbers_said(places)} of {of}")
        return "; ".join(said)


def _plain(text: str) -> str:
    """A name without regard to letter case and blanks."""
    return " ".join(text.split()).casefold()
