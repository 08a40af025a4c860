"""A greedy packer for limited cloth, to find plans where the planner says that there are none.

It shares no code with `solve`, `trade` or `cloth.lattice`. Openings are cut one after the other,
each in the best of some divisions, every panel where a simple rule likes it best; that is begun
again and again with other orders, rules, and rows of the print, all drawn from a seed. What comes
of it is a plan, and only one that the judge's rules find nothing wrong with is handed back; but for
sticks, cords and hooks, which are left out.
"""

from __future__ import annotations

import random
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import product

from packed import PANELS, Copy, cut_plan, faults, reached
from shadewright.cloth.plan import Plan
from shadewright.job.model import Cloth, Job
from shelves import Drops, Put, Source, sources, used, ways_to_put
from spots import bases_at, bases_level_with, spots, starts_at
from wanted import Division, Wanted, divisions, strategy

_DIVISIONS = 4  # tried for each copy in one go
_BASES = 6  # the same of rows that an opening of its own rows may start at
_STYLES = 3

Lots = Mapping[str, str | None]


@dataclass(frozen=True)
class State:
    """What is cut so far: of each source, and each copy's division by its place."""

    drops: tuple[Drops, ...]
    chosen: Mapping[int, Division]


Cost = tuple[int, int, int]
"""How much more is used of bolts, and of pieces, and the area of the panels."""


def pack(job: Job, tries: int = 60, seed: int = 0, *, buying: bool = False) -> Plan | None:
    """A plan of the job; None if none is found, which does not say that there is none.

    Args:
        tries: how often it is begun again.
        buying: whether cloth may be bought; if so, the best plan of all tries is taken.
    """
    if any(_unplanned(job, cloth) for cloth in job.cloths):
        return None
    menus = {opening.name: divisions(job, opening, seed) for opening in job.openings}
    if not all(menus.values()) or (not buying and _too_much(job, menus)):
        return None
    best: Plan | None = None
    first: int | None = None
    for number in range(tries):
        draw = random.Random(f"{seed} {number}")
        attempt = _Attempt.drawn(job, menus, draw, buying)
        found = attempt.run(first)
        if isinstance(found, int):
            first = found
            continue
        plan = cut_plan(job, attempt.copies, attempt.sources, found.drops, found.chosen)
        if faults(job, plan):
            continue
        if not buying:
            return plan
        if best is None or reached(job, plan) < reached(job, best):
            best = plan
    return best


def _unplanned(job: Job, cloth: Cloth) -> bool:
    """Whether no plan is made for a cloth, for nobody says how far apart its columns are."""
    return strategy(job, cloth) in ("centred", "continuous") and not cloth.repeat_across


def _too_much(job: Job, menus: Mapping[str, Sequence[Division]]) -> bool:
    """Whether more area is asked for of a cloth than there is on hand, however it is cut."""
    for cloth in job.cloths:
        asked = 0
        for opening in job.openings:
            areas = [
                sum(p.across * p.along for p in each.panels if p.cloth == cloth.name)
                for each in menus[opening.name]
            ]
            asked += opening.copies * min(areas)
        if asked > cloth.usable * sum(piece.length for piece in cloth.pieces):
            return True
    return False


@dataclass(frozen=True)
class _Attempt:
    """One go at all openings.

    Attributes:
        bases: of each cloth with a print.
        lots: that all openings are cut from, where the job asks for one.
        style: which rule tells good places from bad.
        side: 1 where left is better than right, else -1.
    """

    job: Job
    menus: Mapping[str, Sequence[Division]]
    draw: random.Random
    copies: tuple[Copy, ...]
    sources: tuple[Source, ...]
    bases: Mapping[str, int]
    lots: Lots
    style: int
    side: int

    @classmethod
    def drawn(
        cls, job: Job, menus: Mapping[str, Sequence[Division]], draw: random.Random, buying: bool
    ) -> _Attempt:
        """An attempt with everything that is left open drawn."""
        bases: dict[str, int] = {}
        lots: dict[str, str | None] = {}
        there: list[Source] = []
        for cloth in job.cloths:
            faces = [
                panel
                for menu in menus.values()
                for division in menu
                for panel in division.panels
                if panel.cloth == cloth.name and panel.row is not None
            ]
            bolt: int | None = None
            if buying and cloth.can_buy:
                bolt = cloth.start if isinstance(cloth.start, int) else 0
            known = sources(job, cloth, bolt)
            some: set[int] = set()
            for face, source in product(draw.sample(faces, min(len(faces), 8)), known):
                for y, x in product(source.heads(), (0, cloth.usable - face.across)):
                    some |= bases_at(job, cloth, face, source.start, (x, y))
            bases[cloth.name] = draw.choice(sorted(some)) if some else 0
            if bolt is not None and cloth.start == "any" and faces:
                base, face = bases[cloth.name], draw.choice(faces)
                starts = starts_at(job, cloth, face, base, job.make.square_up)
                known = sources(job, cloth, draw.choice(sorted(starts)))
            if job.match.lots == "job" and known:
                lots[cloth.name] = draw.choice(known).lot
            there += known
        copies = tuple((o, number) for o in job.openings for number in range(1, o.copies + 1))
        return cls(
            job,
            menus,
            draw,
            copies,
            tuple(there),
            bases,
            lots,
            draw.randrange(_STYLES),
            draw.choice((1, 1, -1)),
        )

    def run(self, first: int | None) -> State | int:
        """Everything cut, or which copy finds no room.

        Args:
            first: a copy that found none before, and is better cut first.
        """
        state = State(tuple(() for _ in self.sources), {})
        noise = self.draw.choice((0.0, 0.2, 1.0))
        order = sorted(
            range(len(self.copies)),
            key=lambda i: (
                -self.menus[self.copies[i][0].name][0].area * (1 + noise * self.draw.random())
            ),
        )
        if first is not None and self.draw.random() < 0.5:
            order = [first, *(i for i in order if i != first)]
        for i in order:
            found = min(self._ways(state, i), key=lambda way: way[0], default=None)
            if found is None:
                return i
            state = found[1]
        return state

    def _ways(self, state: State, copy: int) -> Iterator[tuple[Cost, State]]:
        """Ways to cut one copy more, each with what it costs."""
        menu = self.menus[self.copies[copy][0].name]
        few = list(menu[: _DIVISIONS // 2])
        few += self.draw.sample(menu, min(len(menu), _DIVISIONS - len(few)))
        for division in dict.fromkeys(few):
            for lots in self._lots(division):
                for bases in self._bases(state, division):
                    found = self._with_all(state, copy, division, lots, bases)
                    if found is not None:
                        yield found

    def _lots(self, division: Division) -> Iterator[Lots | None]:
        """Dye lots that an opening may be cut from; None where they do not matter."""
        if self.job.match.lots == "none":
            yield None
            return
        names = sorted({panel.cloth for panel in division.panels})
        of = [
            [self.lots[name]]
            if name in self.lots
            else list(dict.fromkeys(s.lot for s in self.sources if s.cloth.name == name))
            for name in names
        ]
        for lots in product(*of):
            yield dict(zip(names, lots, strict=True))

    def _bases(self, state: State, division: Division) -> Iterator[Mapping[str, int]]:
        """Rows that an opening's anchors may lie on: those of the whole job, or its own."""
        face = next(panel for panel in division.panels if panel.part == "face")
        cloth = self.job.cloth(face.cloth)
        if face.row is None:
            yield self.bases
            return
        if self.job.match.across == "job":
            found = set(bases_level_with(self.job, cloth, self.bases[cloth.name]))
        else:
            found = {self.bases[cloth.name]}
            for source, drops in zip(self.sources, state.drops, strict=True):
                if source.cloth.name != cloth.name:
                    continue
                laid = [each for drop in drops for column in drop for each in column]
                for y in {*source.heads(), *(each.y + each.along for each in laid)}:
                    for x in {0, *(each.x + each.across for each in laid)}:
                        found |= bases_at(self.job, cloth, face, source.start, (x, y))
        some = sorted(found)
        for base in self.draw.sample(some, min(len(some), _BASES)):
            yield {**self.bases, cloth.name: base}

    def _with_all(
        self,
        state: State,
        copy: int,
        division: Division,
        lots: Lots | None,
        bases: Mapping[str, int],
    ) -> tuple[Cost, State] | None:
        """All panels of a division put somewhere; None if one finds no room."""
        drops = list(state.drops)
        bought = longer = 0
        for number in self._order(division):
            wanted = division.panels[number]
            ways = self._put(drops, copy * PANELS + number, wanted, lots, bases[wanted.cloth])
            found = min(ways, key=self._rule(), default=None)
            if found is None:
                return None
            at, put = found
            drops[at] = put.drops
            if self.sources[at].bought:
                bought += put.growth
            else:
                longer += put.growth
        chosen = {**state.chosen, copy: division}
        return (bought, longer, division.area), State(tuple(drops), chosen)

    def _order(self, division: Division) -> list[int]:
        """Which panel is put first, and so on: long ones, wide ones, or any."""
        panels = division.panels
        rule = self.draw.choice(("long", "long", "wide", "any"))
        keys = {
            "long": [(p.along, p.across) for p in panels],
            "wide": [(p.across, p.along) for p in panels],
            "any": [(self.draw.randrange(100), 0) for _ in panels],
        }[rule]
        return sorted(range(len(panels)), key=lambda i: keys[i], reverse=True)

    def _put(
        self, drops: Sequence[Drops], key: int, wanted: Wanted, lots: Lots | None, base: int
    ) -> Iterator[tuple[int, Put]]:
        size = wanted.across, wanted.along
        for at, source in enumerate(self.sources):
            if source.cloth.name != wanted.cloth:
                continue
            if lots is not None and source.lot != lots[wanted.cloth]:
                continue
            places = spots(self.job, source.cloth, wanted, source.start, base)
            for put in ways_to_put(source, drops[at], key, size, places):
                yield at, put

    def _rule(self) -> Callable[[tuple[int, Put]], tuple[object, ...]]:
        """What is least at the best place."""

        def least(way: tuple[int, Put]) -> tuple[object, ...]:
            at, put = way
            source = self.sources[at]
            left = (source.end or 0) - used(put.drops)
            of_style = (
                (put.growth, left, put.y),
                (put.y, put.growth, left),
                (at, put.growth, put.y),
            )
            return (source.bought, *of_style[self.style], self.side * put.x)

        return least
