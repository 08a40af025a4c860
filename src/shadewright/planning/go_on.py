"""Going on after a mishap: drops that are cut stay cut, and the rest is planned again.

Copies of openings that have good panels keep their division; what is cut of a piece is gone, and
the rest of it, with the phase of its print, is cloth on hand. Without a mishap the old plan is
still as good as any, so it is only given up for a better one.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass, replace

from shadewright.answers import NewFlaw, PlanAnswer, Since, cut_before
from shadewright.cloth import lattice
from shadewright.cloth.plan import Drop, Gone, Panel, PastDrop, Plan, Shade
from shadewright.cloth.stretches import zero_of
from shadewright.job.model import BOLT, Cloth, Job, Opening
from shadewright.measure import Ticks
from shadewright.planning.make import GoalReport, NoPlanError, judged, lacking, telling
from shadewright.solve.answer.layout import Kept, to_plan
from shadewright.solve.answer.reached import reached
from shadewright.solve.problem.menu import Begun, varied_problem
from shadewright.solve.problem.slots import Match
from shadewright.solve.problem.supply import Supply
from shadewright.solve.run import Clock
from shadewright.solve.search.improvement import search
from shadewright.trade.divisions import Way
from shadewright.trade.refusal import CannotMeetError, Refusal


def go_on(
    job: Job,
    before: Plan,
    since: Since,
    *,
    seconds: float = 20.0,
    seed: int = 0,
    report: GoalReport | None = None,
) -> PlanAnswer:
    """Plan the rest of a job again.

    Args:
        before: a plan for the job, judged clean.
        report: called now and then, as by `make_plan`.

    Raises:
        CannotMeetError: what is left of the cloth cannot do.
        NoPlanError: no plan was found in the time given.
    """
    job = _with_flaws(job, since.flaws)
    since = replace(since, done=since.done | cut_before(before))
    untouched = not since.lost and not since.flaws
    clock = Clock(seconds)
    plan = _again(job, before, since, _Terms(clock, seed, report))
    if plan is None or (untouched and _worth(before) <= _worth(plan)):
        if not untouched:
            raise NoPlanError("no plan was found in the time given for what is left of the cloth")
        plan = before
    return judged(job, plan, clock, seed)


@dataclass(frozen=True)
class _Terms:
    """How long to search, from which seed, and whom to tell."""

    clock: Clock
    seed: int
    report: GoalReport | None


def _worth(plan: Plan) -> list[float]:
    return [goal.value for goal in plan.proof.goals]


def _with_flaws(job: Job, flaws: Sequence[NewFlaw]) -> Job:
    """The job with flaws found since in its pieces on hand."""
    cloths = []
    for cloth in job.cloths:
        pieces = tuple(
            piece.model_copy(
                update={
                    "flaws": (
                        *piece.flaws,
                        *(f.flaw for f in flaws if (f.cloth, f.piece) == (cloth.name, piece.name)),
                    )
                }
            )
            for piece in cloth.pieces
        )
        cloths.append(cloth.model_copy(update={"pieces": pieces}))
    return job.model_copy(update={"cloths": tuple(cloths)})


def _again(job: Job, before: Plan, since: Since, effort: _Terms) -> Plan | None:
    stands = StandingPlan(job, before, since)
    whole = stands.by_copy
    begun = stands.begun(whole)
    asked, groups = varied_problem([(frozenset(), whole)], begun)
    # What is cut is off the roll, and so is all that lay before it.
    gone = {where: [(0, end)] for where, end in since.reach(before).items()}
    for part in before.gone:
        gone.setdefault((part.cloth, part.piece), []).append((part.start, part.end))
    for each in since.flaws:
        if each.piece == BOLT:
            gone.setdefault((each.cloth, BOLT), []).append((each.flaw.start, each.flaw.end))
    bolts = {name: rows.bolt for name, rows in stands.rows.items() if rows.bolt is not None}
    supply = Supply.of(whole, asked, gone, bolts)
    base = {
        name: rows.base if job.match.across == "job" else 0
        for name, rows in stands.rows.items()
        if rows.base is not None and job.cloth(name).runs != "railroaded"
    }
    first = len(groups) - len(begun)
    lots = {first + i: stands.lots(each) for i, each in enumerate(begun)}
    if job.match.lots == "job":
        every = {roll: lot for these in lots.values() for roll, lot in these.items()}
        lots = dict.fromkeys(range(len(groups)), every)
    supply = replace(supply, base={**supply.base, **base}, kept=lots)
    clock, tell = effort.clock.leaving(effort.clock.effort.sticks), telling(asked, effort.report)
    found = search(asked, supply, clock, effort.seed, tell)
    if found is not None and found.short.bound:
        amount = lacking(whole, supply, found)
        raise CannotMeetError(
            Refusal(
                "--after",
                f"what is left of the cloth is short by {amount}",
                f"{amount} more in one piece would do",
            )
        )
    if found is None or found.short.value:
        return None
    plan = to_plan(whole, asked, groups, found, stands.kept)
    return _bounded(before, _remembering(before, since, _renamed(job, plan)))


# --- what stands --------------------------------------------------------------------------------


@dataclass(frozen=True)
class _RowOrigins:
    """Where rows start on a cloth that is begun.

    Attributes:
        base: as a point's row, along the roll up the bolt and across it railroaded.
        bolt: from the bolt's zero of the tape to a motif, where its start was not known.
    """

    base: Ticks | None = None
    bolt: Ticks | None = None


def _good_part(drop: Drop, good: Sequence[Panel], cut: Collection[Panel]) -> Iterator[Drop]:
    """A drop as far as its good panels reach where some are spoilt; nothing where all are."""
    where = drop.cloth, drop.piece, drop.number
    left = [p for p in good if (p.cloth, p.piece, p.drop) == where]
    if len(left) == sum((p.cloth, p.piece, p.drop) == where for p in cut):
        yield drop
    elif left:
        start, end = min(p.y for p in left), max(p.y + p.along for p in left)
        yield drop.model_copy(update={"start": start, "end": end})


_COPY = "\N{SYMBOL FOR UNIT SEPARATOR}"


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
        self.kept = Kept([d for drop in drops for d in _good_part(drop, good, cut)], good)
        self.shades = {shade.id: shade for shade in before.shades}
        # Cloth was cut off before these as their rows ask, so a bolt begins where they say.
        opened = [
            p
            for p in before.panels
            if (p.cloth, p.piece, p.drop) in since.opened
            or any((p.cloth, p.piece) == (gone.cloth, gone.piece) for gone in before.gone)
            if p.piece == BOLT and job.cloth(p.cloth).start == "any"
        ]
        self.rows = {cloth.name: self._rows(cloth, [*cut, *opened]) for cloth in job.cloths}

    @property
    def by_copy(self) -> Job:
        """The job with every copy an opening of its own."""
        openings = tuple(
            opening.model_copy(update={"name": f"{opening.name}{_COPY}{copy}", "copies": 1})
            for opening in self.job.openings
            for copy in range(1, opening.copies + 1)
        )
        return self.job.model_copy(update={"openings": openings})

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
        name, _, copy = opening.name.partition(_COPY)
        shades = (s for s in self.before.shades if (s.opening, s.copy_) == (name, int(copy)))
        return sorted(shades, key=lambda shade: shade.place)

    def _begun(self, opening: Opening, shades: Sequence[Shade]) -> Begun:
        places = {shade.id: place for place, shade in enumerate(shades)}
        turned = {p.part: p.railroaded for p in self.before.panels if p.shade in places}
        mine = [panel for panel in self.kept.panels if panel.shade in places]
        faces = [panel for panel in mine if panel.part == "face"]
        cloth = self.job.cloth(opening.cloth)
        row = None
        if faces and self.job.strategy(cloth) != "plain":
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
        """Where places along each piece are counted from, if that is known."""
        names = [piece.name for piece in cloth.pieces]
        names += [] if cloth.start == "any" else [BOLT]
        return {name: zero_of(cloth, name) for name in names}

    def _zero(self, cloth: Cloth, panel: Panel, bolt: Ticks | None) -> Ticks:
        """Where places along a face's piece are counted from."""
        return self._starts(cloth).get(panel.piece, bolt or 0)

    def _rows(self, cloth: Cloth, cut: Collection[Panel]) -> _RowOrigins:
        """Where rows start: if those cut leave several places, where the whole plan has them."""
        if self.job.strategy(cloth) == "plain":
            return _RowOrigins()
        whole = self._rows_of(cloth, self.before.panels, _RowOrigins())
        return self._rows_of(cloth, cut, whole)

    def _rows_of(self, cloth: Cloth, panels: Collection[Panel], liked: _RowOrigins) -> _RowOrigins:
        faces = [p for p in panels if p.part == "face" and p.cloth == cloth.name]
        if not faces:
            return _RowOrigins()
        starts = self._starts(cloth)
        on_bolt = [p for p in faces if p.piece == BOLT and BOLT not in starts]
        first, then = liked.base or 0, liked.bolt or 0
        if cloth.runs == "railroaded":
            bolt = self._column(cloth, on_bolt[0]) if on_bolt else None
            rows = [self._row(cloth, face, self._zero(cloth, face, bolt)) for face in faces]
            bases = [row for _, row in Match(self.job, cloth).bases]
            return _RowOrigins(self._start(cloth, rows, first, *bases), bolt)
        known = [self._row(cloth, p) - starts[p.piece] for p in faces if p.piece in starts]
        if not known:
            return _RowOrigins(
                self._start(cloth, [self._row(cloth, face) for face in faces], first), 0
            )
        base = self._start(cloth, known, first)
        rows = [self._row(cloth, face) - base for face in on_bolt]
        return _RowOrigins(base, self._start(cloth, rows, then) if rows else None)

    def _start(self, cloth: Cloth, rows: Sequence[Ticks], *liked: Ticks) -> Ticks:
        """Where points start that faces lie on at these rows; the first of the rows where each
        opening has points of its own."""
        points = lattice.points(self.job, cloth)
        start = points.start_of(rows, liked)
        return rows[0] if start is None else start

    def _anchor(self, cloth: Cloth, panel: Panel) -> lattice.Anchor:
        shade = self.shades[panel.shade]
        opening = next(o for o in self.job.openings if o.name == shade.opening)
        size = shade.finished_width, shade.finished_length
        return lattice.anchor(self.job, cloth, opening, shade.left, size)

    def _row(self, cloth: Cloth, panel: Panel, zero: Ticks = 0) -> Ticks:
        """The row of a face's anchor: along its piece up the bolt, across it railroaded.

        Where columns are shifted it is the row in the column that all are counted from.

        Args:
            zero: from the start of a railroaded piece to where its columns are counted from.
        """
        anchor = self._anchor(cloth, panel)
        row = (panel.x if panel.railroaded else panel.y) + panel.hem_top + anchor.row
        points = lattice.points(self.job, cloth)
        if not points.columns or not points.shift:
            return row
        at = (panel.y - zero if panel.railroaded else panel.x) + panel.hem_left + anchor.column
        columns = round((at - lattice.base_column(self.job, cloth)) / points.columns)
        return row - columns * points.shift

    def _column(self, cloth: Cloth, panel: Panel) -> Ticks:
        """From the start of a railroaded piece to a column that motifs lie on."""
        at = panel.y + panel.hem_left + self._anchor(cloth, panel).column
        return at - lattice.base_column(self.job, cloth)

    def _own_row(self, cloth: Cloth, faces: Sequence[Panel]) -> Ticks:
        """Where the rows of one copy start, against the base that all start from."""
        rows = self.rows[cloth.name]
        base = rows.base or 0 if self.job.match.across == "job" else 0
        found = []
        for face in faces:
            zero = self._zero(cloth, face, rows.bolt)
            row = self._row(cloth, face, zero)
            found.append(row if cloth.runs == "railroaded" else row - zero - base)
        return self._start(cloth, found, rows.base or 0 if cloth.runs == "railroaded" else 0)


# --- the plan -----------------------------------------------------------------------------------


def _renamed(job: Job, plan: Plan) -> Plan:
    """The plan with its copies called as the job does."""
    ids: dict[str, str] = {}
    shades = []
    for shade in plan.shades:
        name, _, copy = shade.opening.partition(_COPY)
        own = f"{name} {copy}.{shade.place}/{shade.of}"
        ids[shade.id] = own
        shades.append(shade.model_copy(update={"id": own, "opening": name, "copy_": int(copy)}))
    order = [opening.name for opening in job.openings]
    shades.sort(key=lambda shade: (order.index(shade.opening), shade.copy_, shade.place))

    def called(name: str) -> str:
        return ids.get(name, name)

    by_shade = {
        called(m.shade): m.model_copy(update={"shade": called(m.shade)}) for m in plan.making
    }
    making = [by_shade[shade.id] for shade in shades]
    return plan.model_copy(
        update={
            "job": job.title,
            "shades": shades,
            "panels": [p.model_copy(update={"shade": called(p.shade)}) for p in plan.panels],
            "making": making,
        }
    )


def _remembering(before: Plan, since: Since, plan: Plan) -> Plan:
    """The plan with what of it is cut already, and what of the cloth is gone, for the next time."""
    reach = since.reach(before)
    cut = [d for d in plan.drops if d.end <= reach.get((d.cloth, d.piece), 0)]
    gone = [*before.gone]
    for (cloth, piece), end in reach.items():
        at = 0
        for drop in [d for d in cut if (d.cloth, d.piece) == (cloth, piece)]:
            gone.append(Gone(cloth=cloth, piece=piece, start=at, end=drop.start))
            at = drop.end
        gone.append(Gone(cloth=cloth, piece=piece, start=at, end=end))
    gone += [
        Gone(cloth=found.cloth, piece=found.piece, start=found.flaw.start, end=found.flaw.end)
        for found in since.flaws
    ]
    return plan.model_copy(
        update={
            "cut": [PastDrop(cloth=d.cloth, piece=d.piece, number=d.number) for d in cut],
            "gone": [part for part in dict.fromkeys(gone) if part.start < part.end],
        }
    )


def _bounded(before: Plan, plan: Plan) -> Plan:
    """The plan with the goals of the whole job, where the rest may have no cloth without a price,
    and with those bounds that hold for any plan of the job, cut or not."""
    values = reached(plan.shades, plan.panels, plan.pieces, plan.totals)
    goals = [
        goal.model_copy(
            update={
                "value": values[goal.goal],
                "bound": 0 if number else min(goal.bound, values[goal.goal]),
            }
        )
        for number, goal in enumerate(before.proof.goals)
    ]
    proof = plan.proof.model_copy(
        update={
            "status": "gap",
            "goals": goals,
            "used_bound": min(before.proof.used_bound, plan.proof.used),
        }
    )
    return plan.model_copy(update={"proof": proof})
