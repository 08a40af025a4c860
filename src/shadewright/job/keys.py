"""The keys of one table: which are there, which were asked for, and which hold something wrong."""

from __future__ import annotations

from collections.abc import Mapping

from shadewright.job.problems import FileProblem, no_such_key, shown
from shadewright.job.sheet_keys import tables_with
from shadewright.job.source import REPORTED, KeyPath, Reading


class Keys:
    """The keys of a table that is being read, and the problems found with them."""

    def __init__(self, raw: Mapping[str, object], path: KeyPath, reading: Reading) -> None:
        self._raw = raw
        self._path = path
        self._reading = reading
        self._asked: dict[str, None] = {}
        self._bad: set[str] = set()

    def ok(self, *keys: str) -> bool:
        """Whether these keys, read before, held nothing wrong."""
        return self._bad.isdisjoint(keys)

    def given(self, key: str) -> bool:
        """Whether the job states this key."""
        return key in self._raw

    @property
    def in_cells(self) -> bool:
        """Whether its values stand in the cells of a workbook."""
        return self._reading.source.in_cells

    def raw(self, key: str) -> object:
        """The value as it stands in the file; None where it is left out or past reading."""
        self._asked[key] = None
        value = self._raw.get(key)
        if value is REPORTED:
            self._bad.add(key)
            return None
        return value

    def refuse(self, key: str, wanted: str, found: str | None = None) -> None:
        """Note a problem with the value of `key`."""
        self._bad.add(key)
        place = self._reading.source.place((*self._path, key))
        self._reading.add(
            FileProblem(place, shown(self._raw.get(key)) if found is None else found, wanted)
        )

    def finish(self) -> None:
        """Note a problem for every key that nothing asked for."""
        for key in self._raw:
            if key not in self._asked:
                place = self._reading.source.place((*self._path, key))
                self._reading.add(no_such_key(place, key, self._asked, tables_with(key)))
