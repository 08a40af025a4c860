"""From a job to the problem the model solves: each opening's options, each cloth's roll."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

from shadewright.job.model import Job, Opening
from shadewright.solve.effort import USUAL, Effort
from shadewright.solve.problem.agreement import (
    LAY,
    ROWS,
    can_agree,
    common_topics,
    with_common_values,
)
from shadewright.solve.problem.families import families
from shadewright.solve.problem.kinds import Kind, Option, Problem
from shadewright.solve.problem.options import Menu, begun_kind, kind_of
from shadewright.solve.problem.reach import (
    TooLongError,
    longest_refused,
    no_room_to_spare,
)
from shadewright.solve.problem.slots import MOST_TURNS, Match, settled
from shadewright.solve.problem.ties import Begun, Ties
from shadewright.trade.counts import counts
from shadewright.trade.divisions import tied
from shadewright.trade.making import unmakeable
from shadewright.trade.refusal import CannotMeetError, Refusal

JobProblem = tuple[Problem, tuple[tuple[Opening, ...], ...]]
"""A job's problem, and which openings each of its kinds stands for."""


def problem(job: Job, effort: Effort = USUAL) -> JobProblem:
    """The problem of a job, and which openings each of its kinds stands for.

    Raises:
        CannotMeetError: openings that cannot be divided or matched as asked, all of them at once.
    """
    return varied_problem([(frozenset(), job)], effort=effort)


def of_common_rows(job: Job, asked: Problem, effort: Effort = USUAL) -> Problem | None:
    """The problem of a job whose openings may each have rows of their own, without that; None where
    they may not, or where it says nothing.

    Args:
        asked: the job's problem. All plans of the other one are plans of the job.
    """
    if job.match.across != "opening" or not any(cloth.repeat_down for cloth in job.cloths):
        return None
    match = job.match.model_copy(update={"across": "job"})
    try:
        common, _ = problem(job.model_copy(update={"match": match}), effort)
    except CannotMeetError:
        return None
    # Places are told from the same point of the print.
    if [(r.name, r.zero) for r in common.rolls] != [(r.name, r.zero) for r in asked.rolls]:
        return None
    return common


Gives = frozenset[str]
"""What an option gives up of what a job asks for."""


def varied_problem(
    variants: Sequence[tuple[Gives, Job]],
    begun: Sequence[Begun] = (),
    named: Mapping[str, str] | None = None,
    effort: Effort = USUAL,
) -> JobProblem:
    """The problem of a job whose openings may also be made as variants of it say.

    Args:
        variants: the job, and others of it that differ in nothing but facts of their openings,
            those that give up least first; each with what it gives up.
        begun: openings of the job, one copy each, that are begun already.
        named: for openings that are copies of others, the name of these.
        effort: how many options are looked at.

    Returns:
        The problem, and which openings each of its kinds stands for.

    Raises:
        CannotMeetError: openings that cannot be divided or matched in any variant; the reasons are
            those of the first.
    """
    ties = Ties.of(variants[0][1], begun, named or {})
    told = [_Variant(gives, job, ties, effort, bool(begun)) for gives, job in variants]
    job, matches = told[0].job, told[0].matches
    refusals: list[Refusal] = [*unmakeable(job.make, job.tape), *_unplanned(job, matches)]
    alike: dict[tuple[Opening, str | None], list[Opening]] = {}
    kinds: list[Kind] = []
    too_long: list[TooLongError] = []
    standing = {each.opening.name for each in begun}
    for opening in job.openings:
        if opening.name not in standing:
            key = _told_by(job, opening), ties.told_by(opening)
            alike.setdefault(key, []).append(opening)
    for group in alike.values():
        try:
            if not refusals:
                copies = sum(opening.copies for opening in group)
                kinds.append(_varied_kind(told, group[0].name, copies))
            else:
                counts(job, group[0])
        except CannotMeetError as why:
            refusals += why.refusals
        except TooLongError as why:
            too_long.append(why)
    refusals += longest_refused(job, too_long)
    refusals += no_room_to_spare(job, kinds)
    kinds += [begun_kind(told[0].menu(each.opening), each) for each in begun]
    groups = (*map(tuple, alike.values()), *((each.opening,) for each in begun))
    if not refusals:
        refusals += _disagreements(job, kinds, groups)
    kinds = with_common_values(kinds)
    if refusals:
        raise CannotMeetError(*dict.fromkeys(refusals))
    used = {rect.roll for kind in kinds for option in kind.options for rect in option.rects}
    settled_kinds = tuple(kinds)
    rolls = []
    for cloth in job.cloths:
        if cloth.name in used:
            roll, settled_kinds = settled(matches[cloth.name].roll(), settled_kinds)
            rolls.append(roll)
    return Problem(settled_kinds, tuple(rolls)), groups


@dataclass(frozen=True)
class _Variant:
    """A job, and what it gives up of the one that was asked for."""

    gives: Gives
    job: Job
    ties: Ties
    effort: Effort
    begun: bool

    @cached_property
    def matches(self) -> dict[str, Match]:
        """How each of its cloths is matched."""
        return {
            cloth.name: Match(self.job, cloth, self.effort, self.begun) for cloth in self.job.cloths
        }

    @cached_property
    def openings(self) -> dict[str, Opening]:
        """Its openings by name."""
        return {opening.name: opening for opening in self.job.openings}

    def kind(self, name: str, copies: int) -> Kind:
        """The kind of one of its openings, with all its divisions where not all are listed."""
        menu = self.menu(self.openings[name])
        kind = kind_of(menu, copies)
        return kind if kind.complete else replace(kind, families=tuple(families(menu)))

    def menu(self, opening: Opening) -> Menu:
        """What makes the options of an opening."""
        return Menu(self.job, self.matches, self.ties, opening, self.effort)


def _varied_kind(variants: Sequence[_Variant], name: str, copies: int) -> Kind:
    """The kind of an opening with the options of all variants, each marked with the least that it
    gives up."""
    first, *others = variants
    if not others:
        return first.kind(name, copies)
    marked: dict[Option, Gives] = {}
    floors: dict[Option, None] = {}
    complete = True
    why: CannotMeetError | TooLongError | None = None
    for variant in variants:
        gives = variant.gives
        try:
            kind = variant.kind(name, copies)
        except (CannotMeetError, TooLongError) as reason:
            why = why or reason
            continue
        every = -(-len(kind.options) // first.effort.giving) if gives else 1
        for option in kind.options[::every]:
            marked.setdefault(option, gives)
        floors.update(dict.fromkeys(kind.bounding))
        complete = complete and kind.complete and every == 1
    if not marked:
        assert why is not None
        raise why
    options = tuple(replace(option, gives_up=gives) for option, gives in marked.items())
    return Kind(copies, options, complete, () if complete else tuple(floors))


def _disagreements(
    job: Job, kinds: Sequence[Kind], groups: Sequence[Sequence[Opening]]
) -> Iterator[Refusal]:
    """Topics that openings have no common value of, or none that goes with those of the others."""
    empty = [topic for topic, values in common_topics(kinds).items() if not values]
    for what, name in empty:
        if what == ROWS:
            yield Refusal(
                "[match] anchor",
                f"railroaded, no rows across {name} suit every opening at the {job.match.anchor}",
                'anchor = "head", or across = "opening", would do',
            )
        elif what == LAY:
            yield Refusal(
                f"[cloth.{name}] runs",
                "all of it lies one way, and no one way suits every opening",
                'runs = "mixed" would do',
            )
        else:
            yield _no_number_in_common(job, kinds, groups, name)
    if empty or can_agree(with_common_values(kinds)):
        return
    topics = dict.fromkeys(what for what, _ in common_topics(kinds))
    would = {
        "shades": "no like",
        LAY: 'runs = "mixed" for its cloth',
        ROWS: 'across = "opening"',
        "division": "alike = false",
    }
    enough = [would[what] for what in topics if can_agree(kinds, (what,))]
    tied_to = next((o.name for o in job.openings if o.like is not None), job.openings[0].name)
    yield Refusal(
        f'[[opening]] "{tied_to}" {"like" if "shades" in topics else "runs"}',
        f"each by itself may be had, but not together: {_in_common(topics)}",
        f"{' or '.join(enough or would.values())} would do",
    )


def _in_common(topics: Iterable[str]) -> str:
    """What openings must have in common, in words."""
    words = {
        "shades": "as many shades as another opening (like)",
        LAY: "all cloth laid one way (runs)",
        ROWS: "motifs at one height (across)",
        "division": "copies divided alike (alike)",
    }
    return " and ".join(words[what] for what in topics)


def _no_number_in_common(
    job: Job, kinds: Sequence[Kind], groups: Sequence[Sequence[Opening]], name: str
) -> Refusal:
    """Why openings that are to have as many shades as one another have none in common."""
    ties = tied(job, {})
    said = []
    for kind, group in zip(kinds, groups, strict=True):
        numbers = sorted({option.shades for option in kind.options})
        which = f"{numbers[0]}" if len(numbers) == 1 else f"{numbers[0]} to {numbers[-1]}"
        said += [
            f"{opening.name} takes {which}" for opening in group if ties.get(opening.name) == name
        ]
    asking = next(o.name for o in job.openings if o.like is not None and ties.get(o.name) == name)
    return Refusal(
        f'[[opening]] "{asking}" like',
        f"no number of shades suits all that are to have as many: {', '.join(said)}",
        "shades that leave them a number in common, or no like, would do",
    )


def _told_by(job: Job, opening: Opening) -> Opening:
    """What tells openings apart: all that bears on their cuts, and nothing else."""
    blank = {"name": "", "copies": 1, "draw": "auto", "alike": True}
    if job.match.anchor != "wall":
        blank["head"] = 0
    return opening.model_copy(update=blank)


def _unplanned(job: Job, matches: Mapping[str, Match]) -> Iterator[Refusal]:
    """What a job may say that no plan can be made for."""
    used = {o.cloth for o in job.openings} | ({job.make.lining} if job.make.lining else set())
    for cloth in job.cloths:
        if cloth.name not in used:
            continue
        match = matches[cloth.name]
        if match.railroaded and match.points.columns and match.points.turns > MOST_TURNS:
            yield Refusal(
                f"[cloth.{cloth.name}] column_shift",
                f"columns shifted by {job.tape.short(cloth.column_shift)} come level again only "
                f"after {match.points.turns} of them",
                f"a shift that comes level again within {MOST_TURNS} columns would do",
            )
