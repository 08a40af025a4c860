"""What every table of a job is read by, and the notes that reading leaves."""

from __future__ import annotations

from dataclasses import dataclass, field

from shadewright.job.defaults import default_length, default_lengths
from shadewright.job.table import TableReader
from shadewright.measure import METRIC_UNITS, Tape, Ticks, Unit


@dataclass
class Facts:
    """What every table is read by, and the notes that reading leaves."""

    unit: Unit
    step: Ticks
    notes: list[str] = field(default_factory=list)

    @property
    def metric(self) -> bool:
        return self.unit in METRIC_UNITS

    @property
    def tape(self) -> Tape:
        return Tape(self.metric, self.step)

    def length(self, key: str) -> Ticks:
        """The default of a key that holds one length."""
        return default_length(key, self.metric)

    def lengths(self, key: str) -> tuple[Ticks, ...]:
        """The default of a key that holds several."""
        return default_lengths(key, self.metric)

    def note(self, table: TableReader, key: str, whose: str, became: str, *taken: Ticks) -> None:
        """Tell the maker what became of a stated length that is off the cutting step."""
        if not table.given(key):
            return
        stated = table.raw(key)
        ends = stated if isinstance(stated, list) else [stated]
        said = " to ".join(end if isinstance(end, str) else f"{end} {self.unit}" for end in ends)
        now = " to ".join(dict.fromkeys(self.tape.short(length) for length in taken))
        step = self.tape.short(self.step)
        self.notes.append(f"{whose} {key}: {said} {became} {now}, as the cutting step is {step}")
