"""What of a plan stands when some of its drops are cut: panels, divisions, rows of the print."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import islice, product

from shadewright.answers import Since
from shadewright.cloth import lattice
from shadewright.cloth.plan import Drop, Panel, Plan, Shade
from shadewright.cloth.printed import anchored, base, first_motif, is_tied, row_in_base
from shadewright.job.bolts import is_bolt
from shadewright.job.model import Cloth, Job, Opening
from shadewright.measure import Ticks
from shadewright.solve.answer.layout import Kept
from shadewright.solve.problem.slots import Match
from shadewright.solve.problem.ties import Begun
from shadewright.trade.divisions import Way

_MOST_TRIED = 500  # ways that bolts may begin together

COPY = "\N{SYMBOL FOR UNIT SEPARATOR}"
"""Stands between the name of an opening and the number of its copy."""


@dataclass(frozen=True)
class _RowOrigins:
    """Where rows start on a cloth that is begun.

    Attributes:
        base: as a point's row, along the roll up the bolt and across it railroaded.
        bolts: first motif of each bolt, where it was not known before.
    """

    base: Ticks | None = None
    bolts: Mapping[str, Ticks] = field(default_factory=dict)


def _good_part(drop: Drop, good: Sequence[Panel], cut: Collection[Panel]) -> Iterator[Drop]:
    """A drop as far as its good panels reach where some are spoilt; nothing where all are."""
    where = drop.cloth, drop.piece, drop.number
    left = [p for p in good if (p.cloth, p.piece, p.drop) == where]
    if len(left) == sum((p.cloth, p.piece, p.drop) == where for p in cut):
        yield drop
    elif left:
        start, end = min(p.y for p in left), max(p.y + p.along for p in left)
        yield drop.model_copy(update={"start": start, "end": end})


def _counted(before: Plan, done: Collection[Drop]) -> dict[tuple[str, str], int]:
    """The highest number of a drop that is cut, on each piece; where one was cut before of which
    nothing is left, it stands before the first that is not."""
    found: dict[tuple[str, str], int] = {}
    for drop in sorted(before.drops, key=lambda drop: -drop.number):
        where = drop.cloth, drop.piece
        if drop in done:
            found[where] = max(found.get(where, 0), drop.number)
        else:
            found[where] = drop.number - 1
    return found


class StandingPlan:
    """What of a plan stands, now that some of its drops are cut.

    Attributes:
        kept: drops that are cut, as far as their good panels reach, and those panels.
        rows: where rows start, by cloth.
    """

    def __init__(self, job: Job, before: Plan, since: Since) -> None:
        self.job = job
        self.before = before
        drops = [d for d in before.drops if (d.cloth, d.piece, d.number) in since.done]
        cut = [p for p in before.panels if (p.cloth, p.piece, p.drop) in since.done]
        good = [p for p in cut if p.shade not in since.lost]
        # Of a drop whose panels are spoilt what is good counts; its cloth is gone all the same.
        kept = [d for drop in drops for d in _good_part(drop, good, cut)]
        self.kept = Kept(kept, good, _counted(before, drops))
        # Cloth was cut off before these as their rows ask, so a bolt begins where they say.
        opened = [
            p
            for p in before.panels
            if (p.cloth, p.piece, p.drop) in since.opened
            or any((p.cloth, p.piece) == (gone.cloth, gone.piece) for gone in before.gone)
            if is_bolt(p.piece) and job.cloth(p.cloth).start == "any"
        ]
        self.rows = {cloth.name: self._rows(cloth, [*cut, *opened]) for cloth in job.cloths}

    @property
    def by_copy(self) -> Job:
        """The job with every copy an opening of its own."""
        return self.job.with_openings(
            opening.model_copy(update={"name": f"{opening.name}{COPY}{copy}", "copies": 1})
            for opening in self.job.openings
            for copy in range(1, opening.copies + 1)
        )

    def begun(self, whole: Job) -> list[Begun]:
        """The copies that have good panels: their division stands."""
        found = []
        for opening in whole.openings:
            mine = self._shades_of(opening)
            ids = {shade.id for shade in mine}
            if any(panel.shade in ids for panel in self.kept.panels):
                found.append(self._begun(opening, mine))
        return found

    def _shades_of(self, opening: Opening) -> list[Shade]:
        name, _, copy = opening.name.partition(COPY)
        shades = (s for s in self.before.shades if (s.opening, s.copy_) == (name, int(copy)))
        return sorted(shades, key=lambda shade: shade.place)

    def _begun(self, opening: Opening, shades: Sequence[Shade]) -> Begun:
        places = {shade.id: place for place, shade in enumerate(shades)}
        turned = {p.part: p.railroaded for p in self.before.panels if p.shade in places}
        mine = [panel for panel in self.kept.panels if panel.shade in places]
        faces = [panel for panel in mine if panel.part == "face"]
        cloth = self.job.cloth(opening.cloth)
        row = None
        if faces and lattice.points(self.job, cloth).rows is not None:
            row = self._own_row(cloth, faces)
        return Begun(
            opening,
            tuple(shade.finished_width for shade in shades),
            Way(turned["face"], turned.get("lining")),
            frozenset((places[panel.shade], panel.part) for panel in mine),
            row,
        )

    def lots(self, begun: Begun) -> dict[str, str | None]:
        """The dye lots that a copy is begun from."""
        ids = {shade.id for shade in self._shades_of(begun.opening)}
        lots = {(c.name, p.name): p.lot for c in self.job.cloths for p in c.pieces}
        return {
            panel.cloth: lots.get((panel.cloth, panel.piece))
            for panel in self.kept.panels
            if panel.shade in ids
        }

    def _starts(self, cloth: Cloth) -> dict[str, Ticks]:
        """The first motif of each piece, if that is known."""
        bought = (p.piece for p in self.before.pieces if p.bought and p.cloth == cloth.name)
        names = (*(piece.name for piece in cloth.pieces), *bought)
        found = {name: first_motif(self.job, cloth, name) for name in names}
        return {name: first for name, first in found.items() if first is not None}

    def _rows(self, cloth: Cloth, cut: Collection[Panel]) -> _RowOrigins:
        """Where rows start: if those cut leave several places, where the whole plan has them."""
        if lattice.points(self.job, cloth).rows is None:
            return _RowOrigins()
        whole = self._rows_of(cloth, self.before.panels, _RowOrigins())
        return self._rows_of(cloth, cut, whole)

    def _rows_of(self, cloth: Cloth, panels: Collection[Panel], liked: _RowOrigins) -> _RowOrigins:
        faces = [p for p in panels if p.part == "face" and p.cloth == cloth.name]
        if not faces:
            return _RowOrigins()
        starts = self._starts(cloth)
        on_bolt: dict[str, list[Panel]] = {}
        for face in faces:
            if is_bolt(face.piece) and face.piece not in starts:
                on_bolt.setdefault(face.piece, []).append(face)
        first = liked.base or 0
        if cloth.runs == "railroaded":
            return self._across(cloth, faces, on_bolt, first)
        if is_tied(self.job, cloth):
            return _RowOrigins(0)
        known = [self._row(p, starts[p.piece]) for p in faces if p.piece in starts]
        firsts: dict[str, Ticks] = {}
        if not known:
            # Rows are counted from one of the bolts.
            name, these = next(iter(on_bolt.items()))
            known, firsts[name] = [self._row(face) for face in these], 0
        row = self._start(cloth, known, first)
        for name, these in on_bolt.items():
            if name not in firsts:
                rows = [self._row(face) - row for face in these]
                firsts[name] = self._start(cloth, rows, liked.bolts.get(name, 0))
        return _RowOrigins(row, firsts)

    def _across(
        self,
        cloth: Cloth,
        faces: Sequence[Panel],
        on_bolt: Mapping[str, Sequence[Panel]],
        liked: Ticks,
    ) -> _RowOrigins:
        """Where rows start across railroaded cloth: at a base that is tried, if each bolt begins at
        one of the columns that its faces tell; in shifted ones rows start elsewhere."""
        match = Match(self.job, cloth, begun=True)
        starts, bases = self._starts(cloth), [row for _, row in match.bases]
        columns = [self._columns(cloth, these) for these in on_bolt.values()]
        found = []
        for tried in islice(product(*columns), _MOST_TRIED):
            bolts = dict(zip(on_bolt, tried, strict=True))
            rows = [
                self._row(face, starts.get(face.piece, bolts.get(face.piece, 0))) for face in faces
            ]
            found.append(_RowOrigins(self._start(cloth, rows, liked, *bases), bolts))
        return next((each for each in found if each.base in bases), found[0])

    def _start(self, cloth: Cloth, rows: Sequence[Ticks], *liked: Ticks) -> Ticks:
        """Where points start that faces lie on at these rows; the first of the rows where each
        opening has points of its own."""
        points = lattice.points(self.job, cloth)
        start = points.start_of(rows, liked)
        return rows[0] if start is None else start

    def _row(self, panel: Panel, first: Ticks = 0) -> Ticks:
        """The row of a face's anchor, in the base's column where columns are shifted.

        Args:
            first: first motif of its piece.
        """
        return row_in_base(self.job, panel, self.before.shade(panel.shade), first)

    def _columns(self, cloth: Cloth, faces: Sequence[Panel]) -> list[Ticks]:
        """From the start of a railroaded piece to motif columns, one of each height."""
        column, _ = anchored(self.job, faces[0], self.before.shade(faces[0].shade))
        points = lattice.points(self.job, cloth)
        apart, turns = points.columns or 0, points.turns if points.columns else 1
        return [column - base(self.job, cloth)[0] + i * apart for i in range(turns)]

    def _own_row(self, cloth: Cloth, faces: Sequence[Panel]) -> Ticks:
        """Where the rows of one copy start, against the base that all start from."""
        rows, starts = self.rows[cloth.name], self._starts(cloth)
        found = [
            self._row(face, starts.get(face.piece, rows.bolts.get(face.piece, 0))) for face in faces
        ]
        liked = rows.base or 0
        if cloth.runs != "railroaded":
            moved = liked if self.job.match.across == "job" else 0
            found = [row - moved for row in found]
            liked = base(self.job, cloth)[1] if is_tied(self.job, cloth) else 0
        return self._start(cloth, found, liked)
