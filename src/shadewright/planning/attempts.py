"""What fit tries together, and in which order: everything that is cheap to give up before what is
dear, and nothing that is known not to be enough."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import combinations

from shadewright.job.model import Job
from shadewright.planning.concessions import (
    Concession,
    of_all,
    of_openings,
    settings,
    with_all,
)

SHAPES = ("mirrored", "free")
"""What the widths of an opening may give up."""

# Of what all shades may give up, what makes panels narrower and nothing else.
_NARROWER = frozenset({"hem", "single"})


@dataclass(frozen=True)
class Attempt:
    """What is tried together in one model.

    Attributes:
        wholesale: what all shades give up.
        shapes: what the widths of an opening may give up; without, the same has been tried.
        leave_out: what an opening left out costs; None where none may be.
        print_: the strategy then, and whether the motif may stand higher on one shade than on the
            next.
        scouts: whether it is tried for what it rules out, before what is cheaper.
    """

    wholesale: tuple[Concession, ...]
    shapes: tuple[Concession, ...]
    leave_out: int | None
    print_: tuple[str, bool]
    scouts: bool = False

    @property
    def names(self) -> frozenset[str]:
        """Of what all shades give up."""
        return frozenset(concession.name for concession in self.wholesale)

    @property
    def base(self) -> int:
        """What all shades give up costs so much."""
        return sum(concession.cost for concession in self.wholesale)

    @property
    def cost(self) -> int:
        """Nothing that is first tried here costs less."""
        shape = min((concession.cost for concession in self.shapes), default=0)
        return self.base + shape + (self.leave_out or 0)

    @property
    def turn(self) -> int:
        """0 for what is cheap to try, 1 for nothing but openings left out, 2 for these on top of
        what all shades give up, and 3 for unequal widths on top of either, which make by far the
        largest models."""
        if self.shapes and (self.wholesale or self.leave_out is not None):
            return 3
        if self.leave_out is None:
            return 0
        return 2 if self.wholesale else 1

    @property
    def share(self) -> float:
        """Of the time that is left: what is dear to give up waits for what is cheap."""
        return 1 / (4 if self.scouts else 1 + self.base)

    @property
    def said(self) -> str:
        """What is tried, in words."""
        some = [c.said for c in self.wholesale] or ["without changing every panel"]
        if self.leave_out is not None:
            some.append("with openings left out")
        return ", ".join([*some, *(["unequal widths"] if self.shapes else [])])

    def is_looser_than(self, other: Attempt) -> bool:
        """Whether all that can be made of the other job can be made of this one as well, with
        widths as they are asked for."""
        if other.shapes or (other.leave_out is not None and self.leave_out is None):
            return False
        mine, its = self._others, other._others
        return mine == its and other._hems <= self._hems and self._print_allows(other.print_)

    @property
    def _others(self) -> frozenset[str]:
        """What may as well ask for more cloth: another lay, another lining."""
        return frozenset(c.name for c in self.wholesale if not c.weaker_print) - _NARROWER

    @property
    def _hems(self) -> frozenset[str]:
        return self.names & _NARROWER

    def _print_allows(self, other: tuple[str, bool]) -> bool:
        """Whether whatever another print allows is allowed by this one. (A print that runs on is
        level, but not centred on every shade.)"""
        strategy, alternate = self.print_
        if strategy == other[0]:
            return alternate or not other[1]
        return strategy == "plain" or (strategy == "level" and other[0] != "plain")


def attempts(job: Job) -> list[Attempt]:
    """Everything there is to try.

    First the loosest prints and hems of all, with every opening, then each weaker print by itself,
    weakest first: quickly told, and where one is not enough nothing stricter is, where it is
    nothing that gives up more is looked at. Then cheapest first; openings are left out once all
    that is cheap to try has been tried.
    """
    leave_out = settings(job).leave_out
    found = []
    for wholesale in _wholesale(of_all(job)):
        changed = with_all(job, wholesale)
        if any(with_all(job, (c for c in wholesale if c != one)) == changed for one in wholesale):
            # Some of it is nothing given up: matched cloth, say, is not laid another way.
            continue
        match = changed.match
        print_ = match.strategy or "level", match.alternate
        widths = tuple(c for c in of_openings(changed) if c.name in SHAPES)
        for leaving in (None, *([] if leave_out is None else [leave_out])):
            found += [
                Attempt(wholesale, these, leaving, print_) for these in dict.fromkeys([(), widths])
            ]
    found.sort(key=lambda each: (each.turn, each.cost, bool(each.shapes), len(each.wholesale)))
    whole = [each for each in found if not each.shapes and each.leave_out is None]
    loosest = [
        each
        for each in whole
        if not any(other.is_looser_than(each) and not each.is_looser_than(other) for other in whole)
    ]
    prints = [each for each in whole if [c.weaker_print for c in each.wholesale] == [True]]
    scouts = list(dict.fromkeys([*loosest, *reversed(prints)]))
    return [
        *(replace(each, scouts=True) for each in scouts),
        *(each for each in found if each not in scouts),
    ]


def in_turn(
    every: Sequence[Attempt], least: Callable[[], float], is_enough: Callable[[Attempt], bool]
) -> Iterator[Attempt]:
    """Attempts in the order they are made, which what came of those before decides.

    Scouts come first. Where they found something, what costs less is halved by its cost for as long
    as that tells which half to look at: what is enough is quickly found, and what is not takes time
    to be ruled out. Then comes all the rest, cheapest first.

    Args:
        least: the cost of the cheapest set found so far; 0 if none is.
        is_enough: whether what an attempt gives up is known to be enough.
    """
    yield from (each for each in every if each.scouts)
    rest = [each for each in every if not each.scouts]
    between = [each for each in rest if not each.turn and not each.shapes]
    low, high = 0, sum(each.cost < least() for each in between)
    while low < high:
        middle, cost = (low + high) // 2, least()
        tried = between[middle]
        rest.remove(tried)
        yield replace(tried, scouts=True)
        if is_enough(tried) or least() < cost:
            high = middle
        else:
            low = middle + 1
    yield from rest


def _wholesale(these: Sequence[Concession]) -> Iterator[tuple[Concession, ...]]:
    """Every set of concessions that can be made together, cheapest first."""
    sets = [
        chosen
        for n in range(len(these) + 1)
        for chosen in combinations(these, n)
        if sum(c.weaker_print for c in chosen) <= 1
    ]
    yield from sorted(sets, key=lambda chosen: (sum(c.cost for c in chosen), len(chosen)))
