"""The last goals settled without a model: openings take other options in the places they have.

What is bought and used is mostly decided long before the number of cut widths and the gaps are, and
a model of all options may be too large, or the time too short, for these. But a lane is rarely
filled to the last tick: where a drop has room for panels a little wider, an opening can do with
smaller gaps, and where it has room for those that another opening has, the two need no widths of
their own. So rectangles are swapped for those of other options where they lie, as long as no drop
gets longer.

Measured on random jobs with pieces whose gaps were not proved: of four, all had as small gaps as
the same job with fewer options, which none had before.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from shadewright.measure import Ticks
from shadewright.solve.problem.kinds import Option, Problem, Rect, Topic, Value
from shadewright.solve.problem.supply import Supply
from shadewright.solve.run import Clock
from shadewright.solve.search.candidate import Candidate, Taken, counted, rolls_of
from shadewright.solve.search.swaps import Swaps


def settled(problem: Problem, supply: Supply, candidate: Candidate, clock: Clock) -> Candidate:
    """A candidate that spends and uses no more, with no more cut widths and, if there are no fewer
    of them, no larger gaps."""
    drops = Swaps(candidate.parts, clock)
    standing = _Settlement(problem, supply, candidate, drops)
    while (standing.fewer_widths() or standing.smaller_gaps()) and not clock.over:
        pass
    chosen = tuple(tuple((t, n) for t, n in row.items() if n) for row in standing.rows)
    return Candidate(chosen, drops.parts())


@dataclass(frozen=True)
class _Change:
    """So many copies of a kind that take one option instead of another."""

    kind: int
    before: Taken
    after: Taken
    copies: int


class _Settlement:
    """What openings take, and what they may take instead."""

    def __init__(
        self, problem: Problem, supply: Supply, candidate: Candidate, drops: Swaps
    ) -> None:
        self.rows = [counted(row) for row in candidate.chosen]
        self._drops = drops
        self._lots = supply.lots != "none"
        # By gaps, so that the first that finds room is the best.
        self._options = [sorted(kind.options, key=_gaps_and_widths) for kind in problem.kinds]
        self._widths: Counter[Ticks] = Counter()
        self._said: dict[Topic, Counter[Value]] = {}
        self._changed: list[_Change] = []
        for row in self.rows:
            for taken in row:
                self._count(taken, 1)

    def fewer_widths(self) -> bool:
        """Do without a cut width, if there is one that can be done without."""
        return any(self._instead(width, ()) for width in self._by_users())

    def smaller_gaps(self) -> bool:
        """Let openings have smaller gaps, one by one and all that have a width in common; whether
        any has."""
        tried = [
            self._with_smaller_gaps(kind, taken)
            for kind, row in enumerate(self.rows)
            for taken in list(row)
        ]
        tried += [self._with_another(width) for width in self._by_users()]
        return any(tried)

    def _by_users(self) -> list[Ticks]:
        """Cut widths, first those that fewest have."""
        return sorted(self._widths, key=lambda width: (self._widths[width], width))

    def _users(self, width: Ticks) -> list[tuple[int, Taken]]:
        return [
            (kind, taken)
            for kind, row in enumerate(self.rows)
            for taken in row
            if taken.option is not None and width in taken.option.cut_widths
        ]

    def _instead(self, width: Ticks, others: Sequence[Ticks]) -> bool:
        """Let all that have a cut width do with those there are beside it, and others; whether they
        can, and have smaller gaps where there are as many widths as before."""
        widths = frozenset(self._widths) - {width} | {*others}
        users, before = self._users(width), self._gaps
        if not all(self._within(kind, taken, widths) for kind, taken in users) or (
            others and self._gaps >= before
        ):
            self._undo()
            return False
        self._keep()
        return True

    def _with_another(self, width: Ticks) -> bool:
        """Let all that have a cut width have another one and smaller gaps."""
        users = self._users(width)
        if len(users) < 2:  # What one alone can have is looked at before.
            return False
        kind, taken = users[0]
        assert taken.option is not None
        there = frozenset(self._widths)
        others = dict.fromkeys(
            other
            for option in self._options[kind]
            if option.gaps < taken.option.gaps and len(option.cut_widths - there) == 1
            for other in option.cut_widths - there
        )
        most = self._drops.clock.effort.settling_widths
        return any(self._instead(width, (other,)) for other in list(others)[:most])

    @property
    def _gaps(self) -> Ticks:
        """The gaps of all openings."""
        return sum(
            taken.option.gaps * copies
            for row in self.rows
            for taken, copies in row.items()
            if taken.option is not None
        )

    def _within(self, kind: int, taken: Taken, widths: frozenset[Ticks]) -> bool:
        """Give all copies an option with no cut widths but these."""
        return any(
            option.cut_widths <= widths and self._take(kind, taken, option, self.rows[kind][taken])
            for option in self._options[kind]
        )

    def _with_smaller_gaps(self, kind: int, taken: Taken) -> bool:
        """The same with smaller gaps, and no cut width more in all; else one copy."""
        every = self.rows[kind][taken]
        for option in self._options[kind]:
            if taken.option is None or option.gaps >= taken.option.gaps or self._drops.clock.over:
                break
            for copies in dict.fromkeys((every, 1)):
                only = taken.option.cut_widths if copies == every else ()
                left = {w for w, n in self._widths.items() if n > 1 or w not in only}
                fewer = len(left | option.cut_widths) <= len(self._widths)
                if fewer and self._take(kind, taken, option, copies):
                    self._keep()
                    return True
                self._undo()
        return False

    def _take(self, kind: int, taken: Taken, option: Option, copies: int) -> bool:
        """Let copies take an option instead, if there is room for it; what has been swapped for it
        stays swapped where there is not."""
        old = taken.option
        if old is None or option == old or rolls_of(option) != rolls_of(old):
            return False
        alone = copies == self.rows[kind][taken]
        if (
            (option.shades, option.gives_up) != (old.shades, old.gives_up)
            or option.cost > old.cost
            or not self._agrees(option, old if alone else None)
        ):
            return False
        mark = self._drops.mark
        for before, after in _swaps(old, option):
            lots = [taken.lot(before.roll)] if self._lots else None
            for _ in range(copies):
                if not self._drops.swap(before, after, lots):
                    self._drops.undo(mark)
                    return False
        self._change(_Change(kind, taken, Taken(option, taken.lots), copies))
        return True

    def _agrees(self, option: Option, instead: Option | None) -> bool:
        """Whether an option says nothing else than the others, one of which it takes the place
        of."""
        own = Counter(() if instead is None else instead.agreed)
        return all(
            n <= own[topic, said]
            for topic, value in option.agreed
            for said, n in self._said.get(topic, {}).items()
            if said != value
        )

    def _change(self, change: _Change) -> None:
        self._changed.append(change)
        self._move(change.kind, change.before, change.after, change.copies)

    def _move(self, kind: int, before: Taken, after: Taken, copies: int) -> None:
        row = self.rows[kind]
        if not row[after]:
            self._count(after, 1)
        row[after] += copies
        row[before] -= copies
        if not row[before]:
            del row[before]
            self._count(before, -1)

    def _count(self, taken: Taken, by: int) -> None:
        """Take note of what an option says, and of its widths."""
        if taken.option is None:
            return
        for width in taken.option.cut_widths:
            self._widths[width] += by
            if not self._widths[width]:
                del self._widths[width]
        for topic, value in taken.option.agreed:
            said = self._said.setdefault(topic, Counter())
            said[value] += by

    def _keep(self) -> None:
        self._changed.clear()
        self._drops.keep()

    def _undo(self) -> None:
        while self._changed:
            last = self._changed.pop()
            self._move(last.kind, last.after, last.before, last.copies)
        self._drops.undo(0)


def _swaps(old: Option, new: Option) -> list[tuple[Rect, Rect]]:
    """Rectangles of an option that another has not, each with one that it has instead; such as
    are most alike."""
    mine, its = Counter(old.rects), Counter(new.rects)
    gone, come = (mine - its).elements(), (its - mine).elements()
    pairs = zip(sorted(gone, key=_size), sorted(come, key=_size), strict=True)
    return [(before, after) for before, after in pairs]


def _gaps_and_widths(option: Option) -> tuple[Ticks, int]:
    return option.gaps, len(option.cut_widths)


def _size(rect: Rect) -> tuple[str, bool, Ticks, Ticks]:
    return rect.roll, rect.plain, rect.across, rect.along
