"""The constraint model: one choice of option for every opening, and a packing of every stretch.

Variables: how many copies of each kind of opening take each option (and from which dye lots, where
a job asks for one), how many of each rectangle come from each part of each stretch, and for each
part what its packing needs: lanes, stacks, or rows. A model may instead *bound* its rolls: then a
part's length is only held above what its rectangles are worth, or what its turns are, and every
plan of the problem satisfies the model.

Goals are expressions, minimised one after the other, each with those before it held.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

from ortools.sat.python import cp_model

from shadewright.cloth.stretches import Stretch
from shadewright.measure import Ticks
from shadewright.solve.packing.drops import CutDrop
from shadewright.solve.packing.lanes import LanePacking
from shadewright.solve.packing.lay import too_long
from shadewright.solve.packing.packing import Packing
from shadewright.solve.packing.row_stacks import Stacks
from shadewright.solve.packing.rows import RowPacking
from shadewright.solve.packing.rows_apart import within_table
from shadewright.solve.packing.stacks import StackPacking
from shadewright.solve.packing.templates import Template
from shadewright.solve.packing.turns import TurnPacking
from shadewright.solve.packing.worths import Worth
from shadewright.solve.problem.kinds import Problem, Rect, Roll
from shadewright.solve.problem.supply import Span
from shadewright.solve.search.candidate import (
    Candidate,
    Chosen,
    CutPart,
    Taken,
    in_order,
    taken_rects,
)
from shadewright.solve.search.goals import Goal


@dataclass(frozen=True)
class Formulation:
    """How each roll is modelled: by listed templates, as stacks, row by row, or only bounded.

    Attributes:
        rows: what may be cut from rolls of several phases, with the most they may use.
        turns: templates of rolls whose turns are bounded.
        worths: of rolls that are bounded by what their rectangles are worth.
        bounding: whether kinds take their bounding options.
    """

    templates: Mapping[str, list[Template]] = field(default_factory=dict)
    stacks: frozenset[str] = frozenset()
    rows: Mapping[str, tuple[Stacks, Ticks]] = field(default_factory=dict)
    turns: Mapping[str, list[Template]] = field(default_factory=dict)
    worths: Mapping[str, list[Worth]] = field(default_factory=dict)
    bounding: bool = False


Place = int | cp_model.IntVar


@dataclass
class Part:
    """The variables of a part of a stretch.

    Attributes:
        counts: how many of each rectangle come from it; None where all of its roll do.
        start: where it begins.
        end: of its last drop.
        empty: whether nothing is cut from it; None where something always is.
        limit: that it may not reach beyond; None on the bolt.
    """

    stretch: Stretch
    number: int
    roll: Roll
    spans: tuple[Span, ...]
    packing: Packing
    counts: dict[Rect, cp_model.IntVar] | None
    start: Place
    end: cp_model.LinearExpr
    empty: cp_model.IntVar | None
    limit: Ticks | None = None

    @property
    def key(self) -> tuple[str, str, Ticks, int]:
        """As `CutPart.key`."""
        return self.stretch.cloth, self.stretch.piece, self.stretch.start, self.number


@dataclass
class Model:
    """A CP-SAT model with its goals, and how to read a candidate.

    Attributes:
        choice: for each kind, how many copies take each of `taken`.
    """

    problem: Problem
    cp: cp_model.CpModel
    taken: list[list[Taken]]
    choice: list[list[cp_model.IntVar]]
    parts: list[Part]
    goals: dict[Goal, cp_model.LinearExpr]

    def hold(self, goal: Goal, most: int) -> None:
        """Keep a goal at or below a value."""
        self.cp.add(self.goals[goal] <= most)

    def avoid(self, chosen: Chosen) -> None:
        """Take at least one copy an option that none takes here."""
        taken = [{each.option for each, _ in row} for row in chosen]
        again = [
            var
            for row, vars_, here in zip(self.taken, self.choice, taken, strict=True)
            for each, var in zip(row, vars_, strict=True)
            if each.option in here
        ]
        copies = sum(kind.copies for kind in self.problem.kinds)
        self.cp.add(cp_model.LinearExpr.sum(again) <= copies - 1)

    def chosen(self, value: Sequence[int]) -> Chosen:
        """What a solution takes: the value of each variable, by its index."""
        return tuple(
            tuple(
                (taken, value[var.index])
                for taken, var in zip(row, vars_, strict=True)
                if value[var.index]
            )
            for row, vars_ in zip(self.taken, self.choice, strict=True)
        )

    def candidate(self, value: Sequence[int]) -> Candidate | None:
        """Read a solution: the value of each variable, by its index.

        None where its drops are joint and cut up find no room, or are still longer than the table.
        """
        found = Candidate(self.chosen(value), ())
        parts = []
        for part in self.parts:
            if part.empty is not None and value[part.empty.index]:
                continue
            if part.counts is None:
                asked = taken_rects(found.options, part.roll.name)
            else:
                asked = {r: value[v.index] for r, v in part.counts.items() if value[v.index]}
            lead = part.start if isinstance(part.start, int) else value[part.start.index]
            roll = replace(part.roll, lead=lead)
            drops = _drops(part.packing, roll, value, asked)
            cut = CutPart(part.stretch, part.number, roll, part.spans, drops)
            if part.limit is not None and cut.end > part.limit:
                return None
            if any(too_long(roll, drop) for drop in drops):
                return None
            parts.append(cut)
        return replace(found, parts=tuple(parts))


def _drops(
    packing: Packing, roll: Roll, value: Sequence[int], asked: Mapping[Rect, int]
) -> tuple[CutDrop, ...]:
    match packing:
        case LanePacking():
            return within_table(packing.grid, packing.cut_drops(value, asked))
        case StackPacking():
            return tuple(packing.cut_drops(value))
        case RowPacking() | TurnPacking():
            return in_order(roll, packing.cut_drops(value, asked))
        case _:
            raise TypeError(f"{roll.name} is bounded, not packed")
