"""A plan's pieces with their drops, strips and panels, in the order of work."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

from shadewright.cloth.numbering import panel_numbers, strips
from shadewright.cloth.plan import Drop, Gone, Panel, PieceUse, Plan
from shadewright.cloth.printed import shown_first_motif
from shadewright.job.model import Cloth, Flaw, Job, Piece
from shadewright.measure import Ticks
from shadewright.report.work.names import ShadeNames
from shadewright.report.work.sections import Section, sections
from shadewright.trade.buying import repeat_along


@dataclass(frozen=True)
class NumberedPanel:
    """A panel and its number in the order of work, by which sheets and pictures call it.

    Attributes:
        shade: the name of the shade it is for.
    """

    number: int
    panel: Panel
    shade: str

    @property
    def called(self) -> str:
        """The shade that it is for, and whether it is its lining."""
        return self.shade + (" lining" if self.panel.part == "lining" else "")


@dataclass(frozen=True)
class StripLay:
    """Panels of one drop that hang together when it has been cut lengthwise."""

    left: Ticks
    right: Ticks
    panels: tuple[NumberedPanel, ...]

    @property
    def name(self) -> str:
        """``panel 4``, or ``panels 4, 5 and 6``."""
        *others, last = (str(p.number) for p in self.panels)
        return f"panels {', '.join(others)} and {last}" if others else f"panel {last}"

    def along(self, drop: Drop) -> list[Section[NumberedPanel]]:
        """Its panels and what is bare between them, from the start of its drop on."""
        ends = [(p.panel.y, p.panel.y + p.panel.along, p) for p in self.panels]
        return sections(drop.start, drop.end, ends)

    def across(self, numbered: NumberedPanel) -> list[Section[NumberedPanel]]:
        """One of its panels and what is bare beside it, from the near edge on."""
        panel = numbered.panel
        return sections(self.left, self.right, [(panel.x, panel.x + panel.across, numbered)])


@dataclass(frozen=True)
class DropLay:
    """A drop with its strips, from the near edge on."""

    drop: Drop
    strips: tuple[StripLay, ...]

    @cached_property
    def panels(self) -> tuple[NumberedPanel, ...]:
        return tuple(panel for strip in self.strips for panel in strip.panels)


@dataclass(frozen=True)
class PieceLay:
    """A piece of cloth with its drops in cutting order.

    Attributes:
        first_motif: from zero of the tape to the first motif along the piece.
        by_print: whether places along it are looked for by the print.
        done: the numbers of its drops that are cut already.
        gone: what nothing may be cut from any more: it is off the piece, or flawed.
    """

    cloth: Cloth
    use: PieceUse
    drops: tuple[DropLay, ...]
    first_motif: Ticks = 0
    by_print: bool = False
    done: frozenset[int] = frozenset()
    gone: tuple[Gone, ...] = ()

    def is_done(self, drop: DropLay) -> bool:
        """Whether a drop is cut already."""
        return drop.drop.number in self.done

    @cached_property
    def begun(self) -> Ticks:
        """How far it is cut off already, from zero: as far as what is cut or gone of it reaches."""
        reach = max((lay.drop.end for lay in self.drops if self.is_done(lay)), default=0)
        for part in sorted(self.gone, key=lambda part: part.start):
            if part.start <= reach:
                reach = max(reach, part.end)
        return reach

    @property
    def motif(self) -> Ticks | None:
        """The first motif, where places along the piece are looked for by the print."""
        return self.first_motif if self.by_print else None

    @property
    def flaws(self) -> tuple[Flaw, ...]:
        """Of a piece on hand; what is bought is taken to have none."""
        return () if self._on_hand is None else self._on_hand.flaws

    @property
    def lot(self) -> str | None:
        """The dye lot of a piece on hand, where it is told."""
        return None if self._on_hand is None else self._on_hand.lot

    @property
    def _on_hand(self) -> Piece | None:
        """What the job says of a piece on hand."""
        if self.use.bought:
            return None
        return next((p for p in self.cloth.pieces if p.name == self.use.piece), None)

    @cached_property
    def panels(self) -> tuple[NumberedPanel, ...]:
        return tuple(panel for drop in self.drops for panel in drop.panels)


def lay_out(job: Job, plan: Plan) -> list[PieceLay]:
    """The pieces of a plan, their drops, strips and panels, all in the order of work."""
    numbers = panel_numbers(plan)
    pieces = []
    names = ShadeNames(job, plan.shades)
    by_drop: dict[tuple[str, str, int], list[Panel]] = {}
    for panel in plan.panels:
        by_drop.setdefault((panel.cloth, panel.piece, panel.drop), []).append(panel)
    for use in plan.pieces:
        where = use.cloth, use.piece
        drops = []
        here = (drop for drop in plan.drops if (drop.cloth, drop.piece) == where)
        for drop in sorted(here, key=lambda drop: drop.start):
            lanes = []
            for group in strips(by_drop.get((*where, drop.number), [])):
                numbered = tuple(
                    NumberedPanel(numbers[p.shade, p.part], p, names.of(p.shade)) for p in group
                )
                left, right = min(p.x for p in group), max(p.x + p.across for p in group)
                lanes.append(StripLay(left, right, numbered))
            drops.append(DropLay(drop, tuple(lanes)))
        cloth = job.cloth(use.cloth)
        first = shown_first_motif(job, plan, use)
        done = frozenset(c.number for c in plan.cut if (c.cloth, c.piece) == where)
        gone = tuple(part for part in plan.gone if (part.cloth, part.piece) == where)
        by_print = _by_print(job, cloth, drops)
        pieces.append(PieceLay(cloth, use, tuple(drops), first, by_print, done, gone))
    return pieces


def _by_print(job: Job, cloth: Cloth, drops: list[DropLay]) -> bool:
    """Whether faces lie on a piece, and their places along it are looked for by the print."""
    faces = [p.panel for drop in drops for p in drop.panels if p.panel.part == "face"]
    return any(repeat_along(job, cloth, face.railroaded) for face in faces[:1])
