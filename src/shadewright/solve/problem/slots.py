"""What a match strategy means to the model: slots of rectangles, and the roll they lie on.

Phases are settled in two steps. First every face gets the slots its strategy allows, counted from
one point of the cloth (`Match.slots`). When all options are known, the phases that occur become the
nodes of the roll (`settled`): one node makes a roll with a period and nothing more, and a lining
cut from the same cloth, which no rule binds, may begin at any of them; or right behind another,
once they are laid out (`shadewright.solve.answer.linings`).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import product

from shadewright.cloth import lattice, printed
from shadewright.cloth.lattice import ANYWHERE, Points, Slot
from shadewright.cloth.stretches import stretches
from shadewright.job.bolts import BOLT
from shadewright.job.model import Cloth, Job, Opening
from shadewright.measure import Ticks, ceil_to, floor_to
from shadewright.solve.effort import USUAL, Effort
from shadewright.solve.problem.kinds import Kind, Option, Rect, Roll
from shadewright.solve.problem.rows_across import FaceAcross, rows_that_pack
from shadewright.trade.buying import start_allowance
from shadewright.trade.divisions import finished_length, panels, ways
from shadewright.trade.sizes import PanelSize

MOST_TURNS = 500


@dataclass(frozen=True)
class Match:
    """How the faces of one cloth are matched with one another.

    Attributes:
        begun: whether faces are cut already, so that their rows must be among those tried.
    """

    job: Job
    cloth: Cloth
    effort: Effort = USUAL
    begun: bool = False

    @cached_property
    def points(self) -> Points:
        """Points that anchors of one opening must lie on: all there are, or enough of them."""
        every = lattice.points(self.job, self.cloth)
        return replace(every, heights=self._some(every.heights))

    @property
    def railroaded(self) -> bool:
        return self.cloth.runs == "railroaded"

    @cached_property
    def faces(self) -> list[Opening]:
        return [opening for opening in self.job.openings if opening.cloth == self.cloth.name]

    @cached_property
    def bases(self) -> list[tuple[Ticks, Ticks]]:
        """Column and row of a point that anchors lie on: one of these for the whole roll.

        Rows have no start of their own, unless the job ties them to motifs. Along the roll none is
        needed, for the first drop may begin at any row. Across a railroaded one everything can be
        pushed to the near usable edge until the faces of some opening end there, which leaves one
        base for each height of anchors, and of level rows; or right beside a flaw.
        """
        column, row = printed.base(self.job, self.cloth)
        rows = self.points.rows
        if rows is None or not self._pushed:
            return [(column, row if self.tied else 0)]
        near = [*self._near_tried]
        beside = {row % rows for face in self.faces for row in self._rows_beside_flaws(face)}
        if self.own_rows and self.copies > 1:
            # Each opening may as well lie at the far edge, or right beside another.
            beside |= {row % rows for face in self.faces for row in self._rows_beside(face)}
        near += self._few(sorted(beside - {*near}), self.effort.own_bases)
        return [(column, row) for row in near]

    @cached_property
    def _near(self) -> list[Ticks]:
        """Rows at which faces start that lie at the near edge: all that may be worth trying."""
        rows = self.points.rows
        assert rows is not None
        edges = product(map(self._edge_row, self.faces), self._some(self._heights))
        near = sorted({(edge - height) % rows for edge, height in edges})
        if self._packs_alone:
            usable, chains = self.cloth.usable, self.effort.chains
            near = rows_that_pack(near, self._lying, usable, rows, chains)
        return near

    @cached_property
    def _near_tried(self) -> list[Ticks]:
        """Those of them that are tried; all where there is cloth on hand, which is soon laid."""
        each = self.points.turns * len(self.starts) * max(len(self.faces), 1)
        most = self.effort.turns_of_all // each
        return self._near if self.cloth.pieces else _spread(self._near, most)

    @property
    def _packs_alone(self) -> bool:
        """Whether a row that all faces start from tells nothing but which of them lie side by side:
        nothing else lies on the roll, nor flaws."""
        flawed = any(stretch.spots for stretch in stretches(self.job, self.cloth))
        lined = self.job.make.lining == self.cloth.name
        return not (flawed or lined or self.own_rows or self.begun)

    @property
    def _lying(self) -> list[FaceAcross]:
        """How faces may lie across a railroaded roll: in each of its columns, at each height."""
        points = self.points
        ways = list(product(points.heights, range(points.turns), self.starts))
        return [
            FaceAcross(
                self._across(face),
                self._edge_row(face) - height - i * points.shift - start,
                (height, i, start),
            )
            for face in self.faces
            for height, i, start in ways
        ]

    @property
    def _pushed(self) -> bool:
        """Whether rows begin where faces pushed to the edge of a railroaded roll have them."""
        return self.railroaded and not self.tied

    @property
    def _heights(self) -> tuple[Ticks, ...]:
        """Heights that anchors may have above the base's row, across a railroaded roll.

        Where columns are shifted, faces at the edge may stand in any of them; if the first drop may
        begin in any column as well, it might as well be the base's.
        """
        points, rows = self.points, self.points.rows or 1
        anywhere = self._first_motif is None and not self.cloth.pieces
        if points.columns is None or anywhere or lattice.runs_on(self.job, self.cloth):
            return points.heights
        shifts = product(points.heights, range(points.turns))
        return tuple(dict.fromkeys((height + i * points.shift) % rows for height, i in shifts))

    @property
    def tied(self) -> bool:
        """Whether the job says how far below anchors motifs lie."""
        return printed.is_tied(self.job, self.cloth)

    @property
    def _first_motif(self) -> Ticks | None:
        return printed.first_motif(self.job, self.cloth, BOLT)

    def bases_of(self, row: Ticks) -> list[Ticks]:
        """The bases that points of an opening may start from at a row; the row itself if none."""
        rows = self.points.rows or 1
        starts = {start % rows for start in self.starts}
        return [base for _, base in self.bases if (row - base) % rows in starts] or [row]

    def _edge_row(self, opening: Opening) -> Ticks:
        """Row at which an opening's anchors lie when its panels end at the near usable edge."""
        assert self.points.rows is not None
        face = panels(self.job, opening, ways(self.job, opening)[0], self.job.step)["face"]
        size = self.job.step, finished_length(self.job.make, opening)
        anchor = lattice.anchor(self.job, self.cloth, opening, 0, size)
        top = self.cloth.usable - face.across + face.hem_top
        return (top + anchor.row) % self.points.rows

    def _rows_beside(self, opening: Opening) -> Iterator[Ticks]:
        """The same when they end at the far edge, or beside the panels of another opening that end
        at the near one."""
        near, mine = self._edge_row(opening), self._across(opening)
        room = self.cloth.usable - mine
        for left in (room, *map(self._across, self.faces)):
            if 0 <= left <= room:
                yield near - left

    def _rows_beside_flaws(self, opening: Opening) -> Iterator[Ticks]:
        """The same when they end beside a flaw over part of the width."""
        near, mine = self._edge_row(opening), self._across(opening)
        spots = (spot for each in stretches(self.job, self.cloth) for spot in each.spots)
        for spot in spots:
            for left in (spot.right, spot.left - mine):
                if 0 <= left <= self.cloth.usable - mine:
                    yield near - left

    def _across(self, opening: Opening) -> Ticks:
        """How much of a railroaded roll's width an opening's faces take."""
        way = ways(self.job, opening)[0]
        return panels(self.job, opening, way, self.job.step)["face"].across

    @cached_property
    def starts(self) -> list[Ticks]:
        """Rows at which the points of one opening may start, against those of another: all there
        are, or enough of them."""
        return list(self._some(lattice.starts(self.job, self.cloth)))

    def slots(
        self,
        opening: Opening,
        shade: tuple[Ticks, Ticks],
        panel: PanelSize,
        point: tuple[Ticks, Ticks],
    ) -> tuple[Slot, ...]:
        """Places for the face of one shade; empty where there is none.

        Args:
            shade: its finished left edge, from the opening's, and its finished width.
            point: one of `bases`, its row moved on by one of `starts`.
        """
        if self.points.rows is None:
            return (ANYWHERE,)
        left, width = shade
        size = width, finished_length(self.job.make, opening)
        anchor = lattice.anchor(self.job, self.cloth, opening, left, size)
        return lattice.slots(
            self.points,
            self.railroaded,
            point,
            (panel.hem_left + anchor.column, panel.hem_top + anchor.row),
            self.cloth.usable - panel.across,
        )

    @property
    def exact(self) -> bool:
        """Whether the slots, and one common start of rows, say all that the strategy asks.

        One start for the whole job also keeps rows level within each opening, and a lining cut by
        the faces' rows is as good as any; but a plan that does without might use less.
        """
        points, rows = self.points, lattice.level(self.cloth)
        if points.rows is None:
            return True
        if self.job.make.lining == self.cloth.name and self._period > 1:
            return False
        if rows is None:
            return True
        # Of one picture on all faces there is only one start, whichever rows are level.
        one_picture = points.shift and not lattice.runs_on(self.job, self.cloth)
        return (
            (rows.whole or bool(one_picture))
            and (self.tied or self.job.match.across == "job" or len(self.faces) == self.copies == 1)
            and points == lattice.points(self.job, self.cloth)
            and len(lattice.starts(self.job, self.cloth)) == len(self.starts)
            and (not self._pushed or self._tries_all_near)
        )

    @property
    def _tries_all_near(self) -> bool:
        """Whether no row that faces at the near edge may start at is left out."""
        heights = len(self._some(self._heights)) == len(self._heights)
        return heights and len(self._near_tried) == len(self._near)

    @property
    def own_rows(self) -> bool:
        """Whether rows need only be level within each opening."""
        across = self.job.match.across == "opening" and not self.tied
        return across and self.points.rows is not None

    @property
    def _period(self) -> Ticks:
        """Length along the roll after which places come again."""
        return lattice.circumference(self.points, self.railroaded)

    @property
    def copies(self) -> int:
        return sum(opening.copies for opening in self.faces)

    @property
    def order_matters(self) -> bool:
        """Whether it matters which shade of an opening hangs where."""
        return lattice.runs_on(self.job, self.cloth)

    def _some(self, heights: tuple[Ticks, ...]) -> tuple[Ticks, ...]:
        """No more heights than are tried, evenly spread over the columns that they are of."""
        return tuple(self._few(heights, self.effort.heights))

    def _few(self, these: Sequence[Ticks], most: int) -> list[Ticks]:
        """So many at most, evenly spread; fewer where the print turns so often that each of them
        takes long."""
        turns = lattice.points(self.job, self.cloth).turns if self.railroaded else 1
        return _spread(these, min(most, self.effort.turns_tried // turns))

    def roll(self) -> Roll:
        """The cloth's roll, its phases still to be settled."""
        job, cloth = self.job, self.cloth
        lead = ceil_to(job.make.square_up, job.step)
        # Only columns have a place that the cloth's start decides, and only railroaded do they
        # follow one another along the roll; and rows that are tied to motifs, up the bolt.
        first = self._first_motif
        placed = self.points.columns is not None if self.railroaded else self.tied
        origin = (lead - first) % self._period if placed and first is not None else None
        return Roll(
            name=cloth.name,
            usable=cloth.usable,
            lead=lead,
            period=self._period,
            origin=origin,
            exact=self.exact,
            own_rows=self.own_rows and not self.railroaded and self._period > 1,
            allowance=start_allowance(job, cloth, self.railroaded) if self.faces else 0,
            spare=0 if cloth.spare == "1 panel" else cloth.spare,
            spare_panel=cloth.spare == "1 panel",
            bolt=None if cloth.bolt is None else floor_to(cloth.bolt, cloth.sold_in),
            sold_in=cloth.sold_in,
            price=None if cloth.price is None else cloth.price / job.price_unit,
            table=job.make.table,
        )


def _spread(these: Sequence[Ticks], most: int) -> list[Ticks]:
    """So many at most, evenly spread, but one at least."""
    most = min(len(these), max(most, 1))
    return [these[i * len(these) // most] for i in range(most)]


def settled(roll: Roll, kinds: Iterable[Kind]) -> tuple[Roll, tuple[Kind, ...]]:
    """Give a roll its nodes, and let the rectangles without slots begin at any of them.

    The phase of the first node becomes 0, and a roll of one node starts there.
    """
    kinds = tuple(kinds)
    options = [option for kind in kinds for option in (*kind.options, *kind.floors)]
    rects = {rect for option in options for rect in option.rects if rect.roll == roll.name}
    nodes = sorted({slot.phase for rect in rects for slot in rect.slots}) or [0]
    zero = nodes[0]
    nodes = [(node - zero) % roll.period for node in nodes]
    roll = replace(roll, nodes=tuple(nodes), zero=zero)
    anywhere = _anywhere(roll)
    settle: dict[Rect, Rect] = {}
    for rect in rects:
        slots = tuple(Slot(s.first, s.pace, (s.phase - zero) % roll.period) for s in rect.slots)
        settle[rect] = replace(rect, slots=slots) if slots else _free(rect, roll, anywhere)
    if roll.origin is not None:
        origin = (roll.origin - zero) % roll.period
        roll = replace(roll, origin=origin)
        if len(nodes) == 1:
            roll = replace(roll, lead=roll.lead + -origin % roll.period, origin=None)
    return roll, tuple(
        replace(
            kind,
            options=tuple(_with(option, settle) for option in kind.options),
            floors=tuple(_with(option, settle) for option in kind.floors),
        )
        for kind in kinds
    )


def on_settled(rolls: Iterable[Roll], option: Option) -> Option:
    """An option that comes to settled rolls later: its rectangles without slots begin at any node
    too, as linings do."""
    settle: dict[Rect, Rect] = {}
    for roll in rolls:
        free = {rect for rect in option.rects if rect.roll == roll.name and not rect.slots}
        if free:
            anywhere = _anywhere(roll)
            settle |= {rect: _free(rect, roll, anywhere) for rect in free}
    return _with(option, settle)


def _anywhere(roll: Roll) -> tuple[Slot, ...]:
    """Any place across, at each of a roll's nodes, of which there may be very many."""
    return tuple(Slot(0, 1, node) for node in roll.nodes)


def _free(rect: Rect, roll: Roll, anywhere: tuple[Slot, ...]) -> Rect:
    """A rectangle without slots of its own, on a roll whose nodes are settled."""
    return replace(rect, slots=anywhere, plain=roll.period > 1)


def _with(option: Option, settle: Mapping[Rect, Rect]) -> Option:
    cut = tuple(tuple(settle.get(rect, rect) for rect in shade) for shade in option.cut)
    return replace(option, cut=cut)
