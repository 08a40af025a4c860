"""The judge of cutting plans: cuts a plan on an imaginary roll and says what is wrong with it.

A second opinion, which is why it shares nothing with the code that makes plans: it knows the job
and the shape of a plan file, and works out cut sizes, hems, take-up, lengths to buy and money from
the job's facts by itself. Each rule is one function that yields one line a fault, in the file of
what it is about; the rule book is `RULES`. Arithmetic is on whole ticks and fractions; only take-up
begins as a float.
"""

from __future__ import annotations

from shadewright.job.model import Job
from shadewright.judge import (
    begun,
    buying,
    cuts,
    making,
    openings,
    pieces,
    prints,
    proof,
    roll,
    shape,
    sizes,
)
from shadewright.judge.trial import Rule, Trial


def judge(job: Job, plan: object) -> list[str]:
    """Everything that is wrong with a plan for a job, in plain words; nothing if it is clean.

    Args:
        plan: the JSON of a plan file, whatever it says; no value makes this raise.
    """
    if unmakeable := list(sizes.pockets_too_small(job)):
        return unmakeable
    read = shape.plan_in(plan)
    if isinstance(read, list):
        return read
    trial = Trial(job, read)
    return [fault for rule in RULES for fault in rule(trial)]


RULES: tuple[Rule, ...] = (
    shape.title_is_the_jobs,
    openings.openings_are_covered,
    openings.counts_are_asked_for,
    openings.widths_are_allowed,
    openings.widths_match,
    openings.copies_are_alike,
    openings.tied_openings_have_as_many,
    openings.gaps_are_allowed,
    openings.edges_fill_openings,
    openings.lengths_cover_openings,
    openings.draws_are_asked_for,
    openings.shades_are_of_their_cloth,
    cuts.panels_are_complete,
    cuts.panels_are_cut_to_size,
    cuts.hems_are_exact,
    cuts.panels_lie_as_cloth_runs,
    cuts.cloth_lies_one_way,
    roll.panels_lie_in_their_drops,
    roll.panels_do_not_overlap,
    roll.drops_are_cut_in_three_stages,
    roll.drops_follow_one_another,
    roll.drops_keep_to_the_table,
    roll.positions_lie_on_the_step,
    prints.motifs_are_level,
    prints.motifs_lie_below_anchors,
    prints.motifs_are_centred,
    prints.print_runs_on,
    pieces.pieces_are_what_is_used,
    pieces.used_is_the_last_drops_end,
    buying.bought_is_just_enough,
    buying.bolts_are_as_sold,
    buying.cloth_can_be_bought,
    pieces.flaws_are_left_out,
    pieces.lots_are_kept,
    buying.costs_are_right,
    buying.totals_are_right,
    proof.goals_are_reached,
    proof.bounds_hold,
    proof.status_is_honest,
    making.every_shade_is_made_up,
    making.sticks_suit_the_shade,
    making.lift_lines_stand_in,
    making.guides_are_at_their_side,
    making.cords_reach,
    making.hooks_hold_the_board,
    making.raised_rolls_are_as_thick,
    making.sticks_are_cut_for_every_shade,
    making.sticks_hold_their_cuts,
    making.sticks_are_sold,
    begun.cut_drops_come_first,
    begun.nothing_is_cut_from_what_is_gone,
    begun.numbers_are_given_once,
)
"""The rule book. What each asks is in its docstring; all of them are asked of every plan whose
file has the shape of one."""
