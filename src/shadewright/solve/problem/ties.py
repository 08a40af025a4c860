"""What openings of a job have in common by its own word, and copies whose division stands."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from shadewright.job.model import Job, Opening
from shadewright.measure import Ticks
from shadewright.solve.problem.agreement import LAY
from shadewright.solve.problem.kinds import Agreed, Topic, Value
from shadewright.trade.divisions import Way, cloths_of, one_lay, tied


@dataclass(frozen=True)
class Begun:
    """A copy of an opening whose division stands, since some of its panels are cut.

    Attributes:
        opening: this copy alone.
        widths: finished, left to right.
        there: panels that are cut, each the place of its shade from 0 on and its part.
        row: where its rows start, as a point's row (`Match.slots`); None where any start will do.
    """

    opening: Opening
    widths: tuple[Ticks, ...]
    way: Way
    there: frozenset[tuple[int, str]]
    row: Ticks | None


@dataclass(frozen=True)
class Ties:
    """What openings have in common by the job's own word.

    Attributes:
        alike: openings whose copies are divided alike, by name: the name of what they are told by.
        like: openings with as many shades as others, by name: the first of them.
    """

    alike: Mapping[str, str]
    like: Mapping[str, str]

    @classmethod
    def of(cls, job: Job, begun: Sequence[Begun], named: Mapping[str, str]) -> Ties:
        """The ties of a job.

        Copies that are begun in different ways are tied to nothing: what is cut is cut.
        """
        copies: Counter[str] = Counter()
        for opening in job.openings:
            copies[named.get(opening.name, opening.name)] += opening.copies
        widths: dict[str, set[tuple[Ticks, ...]]] = {}
        for each in begun:
            name = named.get(each.opening.name, each.opening.name)
            widths.setdefault(name, set()).add(each.widths)
        names = {o.name: named.get(o.name, o.name) for o in job.openings}
        return cls(
            {
                o.name: names[o.name]
                for o in job.openings
                if o.alike and copies[names[o.name]] > 1 and len(widths.get(names[o.name], ())) < 2
            },
            tied(job, named),
        )

    def told_by(self, opening: Opening) -> str | None:
        """What tells an opening from others of its size."""
        return self.alike.get(opening.name)

    def agreed(self, job: Job, opening: Opening, way: Way, widths: tuple[Ticks, ...]) -> Agreed:
        """What a division of an opening says of all that must be agreed on."""
        found: list[tuple[Topic, Value]] = []
        if opening.name in self.alike and opening.alike:
            found.append((("division", self.alike[opening.name]), widths))
        if opening.name in self.like:
            found.append((("shades", self.like[opening.name]), len(widths)))
        face, lining = cloths_of(job, opening)
        for cloth, turned in ((face, way.face), (lining, way.lining)):
            if cloth is not None and one_lay(opening, cloth):
                found.append(((LAY, cloth.name), turned))
        return tuple(dict.fromkeys(found))
