"""One table of a job file: each key read as what it must be, each misfit noted as a problem."""

from __future__ import annotations

import re
from collections.abc import Callable, Collection, Mapping, Sequence
from fractions import Fraction

from shadewright.job.keys import Keys
from shadewright.job.limits import LONGEST, MOST_MONEY, MOST_TABLES
from shadewright.job.problems import FileProblem, did_you_mean, one_of, shown
from shadewright.job.ranges import count_ends, is_length, length_ends, priced_ends
from shadewright.job.values import PLAIN_NAME, Word, exact, is_count, is_name, plain, which_word
from shadewright.measure import (
    TICKS,
    LengthError,
    Tape,
    Ticks,
    parse_exact,
    parse_length,
    parse_quantity,
)

_FLAGS = {"true": True, "yes": True, "false": False, "no": False}


class TableReader(Keys):
    """A table being read.

    Every method reads one key. A misfit adds a problem and a harmless stand-in is returned, so
    that one reading finds them all; `ok` tells real values from stand-ins.
    """

    def text(self, key: str) -> str:
        """A text that must be there."""
        value = self.text_or_none(key)
        if value is None and self.ok(key):
            self.refuse(key, "a text")
        return value or ""

    def text_or_none(self, key: str) -> str | None:
        """A text that may be left out."""
        return self._text(key, "a text")

    def _text(self, key: str, wanted: str) -> str | None:
        value = self.raw(key)
        if value is None:
            return None
        if not isinstance(value, str) or not value.strip():
            self.refuse(key, wanted)
        elif not is_name(value):
            self.refuse(key, f"{wanted} {PLAIN_NAME}")
        else:
            return value.strip()
        return None

    def name_of(self, key: str, names: Collection[str]) -> str | None:
        """A text that must be one of `names`, if there are any; None where it is left out."""
        value = self._text(key, one_of(names) if names else "a text")
        if value is None or not names or value in names:
            return value
        alike = [name for name in names if plain(name) == plain(value)]
        if len(alike) == 1:
            return alike[0]
        self.refuse(key, one_of(names) + did_you_mean(value, names))
        return None

    def choice(self, key: str, words: Sequence[Word], default: Word) -> Word:
        """One of some words."""
        value = self.raw(key)
        if value is None:
            return default
        word = which_word(value, words)
        if word is None:
            self.refuse(key, one_of(words) + did_you_mean(value, words))
        return word or default

    def word_or_words(
        self, key: str, words: Sequence[Word], default: Word, most: int
    ) -> Word | tuple[Word, ...]:
        """One of some words, or a list of at most `most` of them, in a text parted by commas."""
        value = self.raw(key)
        if value is None:
            return default
        if isinstance(value, str) and re.search("[,;]", value):
            value = re.split("[,;]", value)
        items = value if isinstance(value, list) else [value]
        read = [word for item in items if (word := which_word(item, words)) is not None]
        if len(read) < len(items) or not 1 <= len(items) <= most:
            odd = next((item for item in items if which_word(item, words) is None), None)
            self.refuse(
                key,
                f"{one_of(words)}, or a list of at most {most} of them" + did_you_mean(odd, words),
            )
            return default
        return tuple(read) if isinstance(value, list) else read[0]

    def flag(self, key: str) -> bool | None:
        """True or false, or yes or no; None where it is left out."""
        value = self.raw(key)
        if value is None or isinstance(value, bool):
            return value
        if isinstance(value, str) and plain(value) in _FLAGS:
            return _FLAGS[plain(value)]
        self.refuse(key, "yes or no" if self.in_cells else "true or false")
        return None

    def count(self, key: str, default: int, least: int, most: int) -> int:
        """A whole number."""
        value = self.raw(key)
        if value is None:
            return default
        if is_count(value) and least <= value <= most:
            return value
        self.refuse(key, f"a whole number from {least} to {most}")
        return default

    def count_range(self, key: str, least: int, most: int) -> tuple[int, int] | None:
        """One whole number, or the lesser and the greater; None where it is left out."""
        value = self.raw(key)
        if value is None:
            return None
        if isinstance(value, str):
            value = count_ends(value)
        ends = value if isinstance(value, list) else [value, value]
        wanted = f"one whole number from {least} to {most}, or two, the lesser first"
        if len(ends) == 2:
            low, high = ends
            if is_count(low) and is_count(high) and least <= low <= high <= most:
                return low, high
        self.refuse(key, wanted)
        return None

    def number(self, key: str, wanted: str, within: Callable[[Fraction], bool]) -> Fraction | None:
        """An exact number, the decimal that was written; None where it is left out."""
        value = self.raw(key)
        if value is None:
            return None
        number = exact(value)
        if number is None or not within(number):
            self.refuse(key, wanted)
            return None
        return number

    def money(self, key: str) -> Fraction | None:
        """An amount of money; None where it is left out."""
        wanted = "an amount of money, 0 or more, such as 38.5"
        return self.number(key, wanted, lambda amount: 0 <= amount <= MOST_MONEY)

    def prices(
        self, key: str, lengths: Sequence[Ticks], tape: Tape
    ) -> tuple[tuple[Ticks, Fraction], ...]:
        """What a stick of each length costs: one price for all, or one for each length.

        Args:
            lengths: that sticks are sold in; only these can have a price.
        """
        value = self.raw(key)
        if value is None:
            return ()
        if isinstance(value, str):
            value = priced_ends(value)
        each_length = "96 in = 4.5; 48 in = 2.5" if self.in_cells else "{ 96 = 4.5 }"
        wanted = f"a price for each stick, or one for each length sold, such as {each_length}"
        if not isinstance(value, Mapping):
            each = _money(value)
            if each is None:
                self.refuse(key, wanted)
            return () if each is None else tuple((length, each) for length in lengths)
        found: dict[Ticks, Fraction] = {}
        for name, amount in value.items():
            length = self._length(key, _as_written(name), 0, wanted)
            if length is None:
                return ()
            if lengths and length not in lengths:
                sold = " or ".join(tape.short(each) for each in lengths)
                self.refuse(key, f"only lengths that are sold: {sold}", shown(name))
                return ()
            price = _money(amount)
            if price is None:
                self.refuse(key, wanted, shown(amount))
                return ()
            found[length] = price
        return tuple(sorted(found.items()))

    def quantity(self, key: str, unit: str, bare: str, wanted: str) -> float | None:
        """A quantity more than 0, in `unit`; a bare number is in `bare`."""
        value = self.raw(key)
        if value is None:
            return None
        if isinstance(value, (str, int, float)):
            try:
                amount = parse_quantity(value, unit, bare)
            except LengthError:
                amount = 0.0
            if amount > 0:
                return amount
        self.refuse(key, wanted)
        return None

    def millimetres(self, key: str) -> float | None:
        """A length more than 0 too small to be rounded to ticks; None where it is left out."""
        value = self.raw(key)
        if value is None or self._length(key, value, None, _wanted(0)) is None:
            return None
        assert isinstance(value, (str, int, float))
        length = parse_exact(value, self._reading.unit) / TICKS["mm"]
        if length > 0:
            return float(length)
        self.refuse(key, _wanted(0))
        return None

    def length(self, key: str, default: Ticks | None = None, above: Ticks | None = -1) -> Ticks:
        """A length more than `above` (None: any); it must be there if there is no default."""
        length = self.length_or_none(key, above)
        if length is None and self.ok(key):
            if default is None:
                self.refuse(key, _wanted(above))
            length = default
        return length or 0

    def length_or_none(self, key: str, above: Ticks | None = -1) -> Ticks | None:
        """A length more than `above`; None where it is left out."""
        value = self.raw(key)
        return None if value is None else self._length(key, value, above, _wanted(above))

    def length_or_word(
        self, key: str, words: Sequence[Word], default: Word | Ticks
    ) -> Word | Ticks:
        """One of some words, or a length of 0 or more."""
        value = self.raw(key)
        if value is None:
            return default
        word = which_word(value, words)
        if word is not None:
            return word
        wanted = f"{one_of(words)}, or {_wanted(-1)}"
        # A length may look like one of the words: "1 in" is nearly "1 panel".
        length = isinstance(value, str) and is_length(value, self._reading.unit)
        if not length and (hint := did_you_mean(value, words)):
            self.refuse(key, wanted + hint)
            return default
        read = self._length(key, value, -1, wanted)
        return default if read is None else read

    def lengths(self, key: str, default: tuple[Ticks, ...]) -> tuple[Ticks, ...]:
        """One length or a list of them, each more than 0."""
        value = self.raw(key)
        if value is None:
            return default
        items = value if isinstance(value, list) else [value]
        wanted = "one length more than 0, or a list of them"
        if not items:
            self.refuse(key, wanted)
        read = [self._length(key, item, 0, wanted) for item in items]
        return tuple(length for length in read if length is not None)

    def length_range(self, key: str, default: tuple[Ticks, ...]) -> tuple[Ticks, Ticks]:
        """One length of 0 or more, or the lesser and the greater."""
        low, high = default
        value = self.raw(key)
        if value is None:
            return low, high
        if isinstance(value, str):
            value = length_ends(value, self._reading.unit)
        ends = value if isinstance(value, list) else [value, value]
        wanted = "one length of 0 or more, or two, the lesser first"
        if len(ends) != 2:
            self.refuse(key, wanted)
            return low, high
        # The same value twice is one problem, not two.
        first = self._length(key, ends[0], -1, wanted)
        second = self._length(key, ends[1], -1, wanted) if isinstance(value, list) else first
        if first is None or second is None:
            return low, high
        if first > second:
            self.refuse(key, wanted)
        return first, second

    def _length(self, key: str, value: object, above: Ticks | None, wanted: str) -> Ticks | None:
        if not isinstance(value, (str, int, float)):
            self.refuse(key, wanted, shown(value))
            return None
        try:
            length = parse_length(value, self._reading.unit)
        except LengthError as why:
            advice = "" if isinstance(value, bool) else f"; {why.advice}"
            self.refuse(key, wanted + advice, shown(value))
            return None
        if above is not None and length <= above:
            self.refuse(key, wanted, shown(value))
        elif abs(length) > LONGEST:
            self.refuse(key, "a length of at most 1 km", shown(value))
        else:
            return length
        return None

    def table(self, key: str) -> TableReader:
        """A table within this one; empty where it is left out."""
        value = self.raw(key)
        if value is not None and not isinstance(value, Mapping):
            self.refuse(key, "a table")
            value = None
        return TableReader(value or {}, (*self._path, key), self._reading)

    def tables(self, key: str) -> list[TableReader]:
        """A list of tables within this one; empty where it is left out."""
        value = self.raw(key)
        if value is None:
            return []
        if not isinstance(value, list) or not all(isinstance(item, Mapping) for item in value):
            self.refuse(key, "tables, each under its own [[ ]]")
            return []
        if len(value) > MOST_TABLES:
            self.refuse(key, f"at most {MOST_TABLES:,} of them", f"{len(value):,}")
            return []
        path = (*self._path, key)
        return [TableReader(item, (*path, i), self._reading) for i, item in enumerate(value)]

    def named_tables(self, key: str, wanted: str) -> dict[str, TableReader]:
        """Tables within this one, by name; at least one."""
        value = self.raw(key)
        if not isinstance(value, Mapping) or not value:
            if self.ok(key):
                self.refuse(key, wanted)
            return {}
        if len(value) > MOST_TABLES:
            self.refuse(key, f"at most {MOST_TABLES:,} of them", f"{len(value):,}")
            return {}
        path = (*self._path, key)
        tables = {}
        for name, item in value.items():
            if isinstance(item, Mapping):
                tables[name] = TableReader(item, (*path, name), self._reading)
            else:
                place = self._reading.source.place((*path, name))
                self._reading.add(FileProblem(place, shown(item), wanted))
        return tables


def _money(value: object) -> Fraction | None:
    number = exact(value)
    return number if number is not None and 0 <= number <= MOST_MONEY else None


def _as_written(name: object) -> object:
    """A key of a table as a length: a bare number stays one."""
    text = str(name)
    return float(text) if text.replace(".", "", 1).isdecimal() else text


def _wanted(above: Ticks | None) -> str:
    if above is None:
        return "a length"
    return "a length of 0 or more" if above < 0 else "a length more than 0"
