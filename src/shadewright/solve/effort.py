"""How much effort a search makes: every limit of it, in one place.

A limit says how much is looked at before the rest is left out, what its unit is, and how it was
chosen. Where something is left out the search knows it: the model is no longer exact, and bounds
come from a relaxation that leaves nothing out. Limits marked "measured" were set by timing the
examples and the random jobs of the tests on two cores, each the largest that kept their times;
those marked "judged" bind in hardly any of them.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Effort:
    """Limits of a search.

    Attributes:
        work_per_second: counted work in a second asked for; rather less than any machine of today
            does, so that the count and not the clock ends a search (measured).
        wall: seconds on the clock for each second asked for, a second rail (judged).
        grace: seconds on the clock beyond that.
        seconds_to_build: a variable or constraint of a model; rather too many, as all the following
            (measured).
        every_way: counted work from which the solver's ways to search take turns in later passes
            (measured).
        seconds_to_pivot: a row and an iteration of a linear programme.
        seconds_a_look: at a place for a rectangle, where panels are laid one by one.
        seconds_a_width: of a knapsack that prices a template.
        seconds_a_cell: of the same.
        seconds_to_list: a length of a pattern of sticks.
        seconds_to_fill: a cell of a knapsack that prices such a pattern.
        seconds_an_option: of a menu, to make it.
        seconds_a_pair: of options of one opening, to see whether one beats the other.
        seconds_a_place: that the print gives a panel of an option, to make it.
        seconds_a_slot: of all rectangles of a roll, to cut off a lane of a template.
        seconds_a_visit: of a listing of templates of which only widths matter.
        seconds_a_template: to see whether another one holds all that it does.
        seconds_a_stack: to put one rectangle more into a stack.
        seconds_to_finish: a copy of an opening once it is planned: layout, judge, printing.
        seconds_to_write: a copy of an opening into files: sheets and pictures.
        finishing: share of the seconds asked for that is kept for finishing at most (judged).
        writing: the same for writing.
        sticks: share of all the time that is left for boards and rods (judged).
        as_asked: of fit, share of what is left for the job as it is (judged), and so on for the
            five that follow.
        a_set: for a set of concessions.
        a_single: for a concession by itself.
        after_cheap: share of all the time left to sets that leave openings out, and to unequal
            widths on top of what all shades give up.
        after_ways: share of all the time left to what follows the sets.
        after_singles: the same for the concessions by themselves.
        divisions: of one opening into one number of shades that are all put to the model; beyond,
            `some_divisions` are, and what is left out is bounded (measured).
        some_divisions: see `divisions`.
        at_once: variables and constraints of a model up to which it is solved as it is; plans of
            larger ones are improved by neighbourhoods first (measured).
        by_neighbourhoods: share of the work left that these may take (measured).
        by_neighbourhoods_few: the same where sets of options come next (measured).
        by_neighbourhoods_again: the same after the first pass over the goals (measured).
        by_neighbourhoods_alone: the same, at first, where no options are to be decided (measured).
        option_sets: openings with several options up to which sets of these are looked at one after
            the other (judged).
        by_option_sets: share of the work left that this may take (measured).
        by_beams: share of the work left that neighbourhoods may take in smaller ones that are not
            proved at once, where rectangles may lie anywhere (measured).
        starts: share of what these may take for what they start from (judged).
        a_neighbourhood: seconds for one of them, which they grow and shrink to fill (judged).
        share_of_one: of the work left, that one of them may take at most (judged).
        idle: neighbourhoods in turn that come to nothing before there are no more (judged).
        beams_across: mean rectangles side by side from which beams start better than rounding does,
            where each opening has but one option (measured).
        beam: states of a beam; one of these is drawn (measured).
        beam_moves: states times the square of rectangles that a beam of a neighbourhood may have
            (measured).
        beams_in_time: that there must be time for where one is begun (judged).
        beams: of a neighbourhood, of the options taken and of some that are drawn (judged).
        beams_alike: the same where there is only one option for each opening (judged).
        seconds_a_move: of a state of a beam.
        seconds_a_level: of a beam, for each rectangle it puts.
        seconds_a_drop: of a plan, to take it apart and put it together again.
        freed: rectangles in the drops that are taken apart at first (judged).
        freed_by_beams: the same where beams pack them (measured).
        share_of_columns: of the work left, that an answer by columns of drops may take (measured).
        share_of_columns_whole: the same of an answer to all there is (measured).
        share_of_columns_alone: the same where each opening has but one option (measured).
        seconds_of_columns: that it may take at most (judged).
        columns_across: mean rectangles side by side from which there are such answers (measured).
        columns_at_once: different rectangles up to which all drops may be decided anew by them at
            once (measured).
        columns_at_once_alone: the same where each opening has but one option (measured).
        whole_by_columns: how often that is done (judged).
        freed_by_columns: as `freed`, for them (measured).
        column_rounds: of pricing at most (judged).
        column_rounds_settled: the same once options are settled (judged).
        column_gain: share of all that a round must gain, or it was idle (judged).
        column_idle: rounds in turn after which pricing ends (measured).
        column_smooth: first rounds whose prices are smoothed (measured).
        columns: lengths of drops that a round tries, states of a beam for each, and drops it gives;
            one of these is drawn (measured).
        columns_at_last: the same when the optimum is found, to list what is nearly as good
            (measured).
        column_slack: how much less such drops may be worth, in what could be saved (measured).
        column_choices: of options that drops are put together for, for each opening (judged).
        column_states: of a beam that does so (measured).
        seconds_a_price: a move of a beam that prices drops.
        bounding: share of the work left that a bound from whole drops may take, after
            neighbourhoods (measured).
        bounding_first_pass: the same after the first pass over the goals of smaller ones (judged).
        bounding_a_rect: seconds for each rectangle that there must be for such a bound (measured).
        bounding_rects: of a roll, of more of which there is none (measured).
        bounding_first: rounds of pricing drops that do exist, for it (measured).
        bounding_rounds: of pricing at most, for it (judged).
        bounding_reach: of the longest rectangle, up to which drops are looked at by length, for it
            (measured).
        column_reach: the same for drops that are cut (measured).
        column_looks: as `bounding_looks`, for these (measured).
        bounding_drops: that a round adds at most (measured).
        bounding_looks: numbers that one look for the most that drops hold may take (judged).
        seconds_a_cut: of these.
        seconds_a_column: of the programme over drops, to solve it once more.
        seconds_a_listed: a drop that is found, to list it.
        seconds_a_join: a way to go on with one drop more.
        freed_options: of an opening that is decided anew; of more, some are drawn (judged).
        freed_least: see `freed`; they get no fewer.
        freed_most: nor more.
        giving: options of each variant that gives something up, evenly spread; the rest is left
            out (measured).
        heights: of level rows, and starts of an opening's rows, that are tried; the rest is left
            out (judged).
        own_bases: starts of rows across a roll that are tried beyond those at its near edge, where
            each opening may have its own (judged).
        turns_tried: columns along a railroaded print before it stands as high again, times heights
            that are tried (measured).
        turns_of_all: the same times openings, and times rows across that are tried beyond one
            (measured).
        chains: faces in a chain across a railroaded roll that are tried, for all rows together that
            its print may start from (judged).
        few_counts: lanes times rectangles up to which a roll is cut by listed templates
            (measured).
        stacked: rectangles up to which it is else cut as stacks (measured).
        counts: lanes times rectangles up to which it is else cut by listed templates; beyond,
            templates are priced (measured).
        templates: that are listed; the rest is left out (measured).
        listing: share of the work left that one listing of templates may take (measured).
        visits: of a listing of templates before it ends (measured).
        looks: visits times slots, where rectangles have slots (measured).
        ordered: lanes side by side whose every order is tried; more keep the order they have, and
            only lie on cloth without slots (judged).
        seated: lanes that are seated one against another in every way; more take the first seat
            (judged).
        stacks: times templates times nodes of a roll of several phases; beyond, only those of fewer
            rectangles are listed, and rows of the rest are bounded (measured).
        row_sets: share of the work given to all sets of options cut row by row, that one look for
            the next may take (judged).
        a_row_set: the same for one look at one of them (judged).
        leads: templates times pairs of nodes of a roll of several phases, up to which rows of other
            stacks are bounded (judged).
        rows: the same of single rectangles, beyond which such a roll is not cut row by row
            (measured).
        turns: the same that a model of turns may have; beyond, worths bound (measured).
        few_begins: nodes up to which each that such a roll may begin at is looked at by itself in
            that model (measured).
        members: rectangles in the longest stack that is listed (measured).
        joined: rectangles one after the other in a lane of a row that is told from its joint drop
            (judged).
        lengths: of a lane's rectangles that such rows are made of; of more, every so many
            (measured).
        rounds: of pricing (judged).
        dividing: share of the work left that pricing of divisions may take (judged).
        dividing_gain: what a round of it must promise to gain, against all that cloth and options
            cost (measured).
        seconds_a_family: of divisions, to find the cheapest.
        patterns: that a round of pricing adds (measured).
        all_bolts: panels up to which each may have a bolt of its own, where joining bolts may cost
            length (measured).
        bases: starts of rows that are tried; the rest is left out (measured).
        lines: combinations of them over several cloths (judged).
        open_drops: the latest drops of a first plan that a rectangle is tried in (measured).
        open_with_slots: the same where places across matter, and a try costs more (measured).
        laid_copies: openings up to which panels are laid one by one (measured).
        laid_once: seconds that a first attempt at this has, where no time is left (judged).
        settlements: ways to agree on rows, lay and numbers of shades that first plans are made for
            (judged).
        laid: attempts to lay panels one by one (measured).
        laid_to_buy: the same where there is too little on hand anyway (judged).
        laid_on: the same once one makes do with what is on hand, and others might cost less
            (measured).
        laid_to_use_less: the same where none could cost less, but some may use less (measured).
        laid_options: of each opening that an attempt looks at (measured).
        laid_rows: starts of an opening's own rows that an attempt looks at (judged).
        laid_share: of the work left that these may take (measured).
        laid_least: seconds that they may take in any case (measured).
        relaid: share of the work left that laying everything once more and again may take before
            models (measured).
        relaid_in_phases: the same on cloth without an end, of whose many phases models tell little
            (measured).
        few_phases: of a roll, up to which models tell more, and come first (measured).
        relaid_at_last: the same behind them (measured).
        relaid_idle: plans laid since one got better, after which that ends (judged).
        relaid_idle_first: the same before models, which may prove the plan there is soon
            (measured).
        relaid_stale: the same after which it begins again with the best (judged).
        relaid_moves: chances that two rectangles change places, that one goes elsewhere, that an
            opening takes another option; else stretches are filled by another rule (measured).
        relaid_noise: shares by which the order may depart from that of lengths where it begins
            (judged).
        relaid_noise_changed: the same for an opening that takes another option (judged).
        relaid_further: how many sizes down the options of an opening, by their cloth, one that is
            drawn stands in the mean; from 2 to 12 as much is found (measured).
        relaid_rows: chance that an option's own rows are moved to where clean cloth begins
            (judged).
        seconds_a_plan: laid so, beside its looks.
        strict: share of the time that is left for a look at the job with equal widths, where others
            are allowed: its plan is where the search starts (measured).
        strict_on_hand: the same where there is cloth on hand (measured).
        stricter: the same for one at rows that all openings share, where each may have its own
            (measured).
        endless: the same for a look at bolts without an end, where a first plan buys all; where
            it uses what is on hand as well, as much less as it does (measured).
        endless_beams: the same where beams pack well, which know nothing of pieces (measured).
        endless_bolts: the same where those there are have an end (judged).
        shares: of the work left that one goal may take, in passes over all goals: easy ones are
            settled in the first, and what is left goes to the hard ones (measured).
        second_look: the same for a second look at money alone (measured).
        settling: of the work left that settling the last goals without a model may take (judged).
        settling_least: seconds that it may take in any case (judged).
        settling_widths: that openings with a width in common are tried with instead (judged).
        seconds_a_swap: of rectangles, to look at one (measured).
        share_above: the same of goals that come before those of a proof (judged).
        glance: the same for a look at the least length of all: buying steps are coarse, so money
            is mostly settled long before the last tick is (measured).
        frontier_points: numbers of shades that a plan is set against (judged).
        frontier_copies: openings up to which it is (judged).
        other_centring: seconds asked for that a look at the other thing on centre lines may take;
            it is mostly settled sooner (judged).
        small_model: variables and constraints of a model that is built even where no time is left,
            if there is no plan (judged).
        listed_patterns: of sticks that are all listed; beyond, patterns are priced (measured).
        listed_lengths: different lengths of stick beyond which none are listed (measured).
        stick_share: of the work left that one model of sticks may take (judged).
        gathering: of the work left that dealing drops out to bolts may take (judged).
        gathered: variables of a model of that which is still made (judged).
    """

    work_per_second: float = 0.5
    wall: float = 1.0
    grace: float = 0.4
    seconds_to_build: float = 3e-5
    every_way: float = 0.05
    seconds_to_pivot: float = 3e-7
    seconds_a_look: float = 2.8e-6
    seconds_a_width: float = 1e-5
    seconds_a_cell: float = 1.5e-9
    seconds_to_list: float = 1e-6
    seconds_to_fill: float = 1e-8
    seconds_an_option: float = 3e-4
    seconds_a_pair: float = 2.5e-7
    seconds_a_place: float = 3e-6
    seconds_a_slot: float = 6e-7
    seconds_a_visit: float = 3e-6
    seconds_a_template: float = 5e-6
    seconds_a_stack: float = 1e-5
    seconds_to_finish: float = 8e-3
    seconds_to_write: float = 6e-3
    finishing: float = 0.6
    writing: float = 0.6
    sticks: float = 0.1
    as_asked: float = 0.2
    a_set: float = 0.5
    a_single: float = 0.1
    after_cheap: float = 0.2
    after_ways: float = 0.4
    after_singles: float = 0.15
    divisions: int = 150
    some_divisions: int = 30
    at_once: int = 1_000
    by_neighbourhoods: float = 0.5
    by_neighbourhoods_few: float = 0.3
    by_neighbourhoods_again: float = 0.5
    by_neighbourhoods_alone: float = 0.9
    option_sets: int = 24
    by_option_sets: float = 0.7
    leads: int = 500
    row_sets: float = 0.8
    a_row_set: float = 0.4
    by_beams: float = 0.5
    starts: float = 0.3
    a_neighbourhood: float = 0.6
    share_of_one: float = 0.05
    idle: int = 300
    beams_across: float = 2.0
    beam: tuple[int, ...] = (60, 150, 400, 2_000)
    beam_moves: int = 300_000
    beams_in_time: int = 3
    beams: int = 12
    beams_alike: int = 2
    seconds_a_move: float = 4.5e-8
    seconds_a_level: float = 2e-4
    share_of_columns: float = 0.1
    share_of_columns_whole: float = 0.6
    share_of_columns_alone: float = 0.5
    seconds_of_columns: float = 2.0
    columns_across: float = 1.5
    columns_at_once: int = 80
    columns_at_once_alone: int = 26
    whole_by_columns: float = 0.2
    freed_by_columns: int = 30
    column_rounds: int = 150
    column_rounds_settled: int = 3
    column_gain: float = 3e-4
    column_idle: int = 5
    column_smooth: int = 4
    columns: tuple[tuple[int, int, int], ...] = ((30, 40, 80), (50, 60, 150))
    columns_at_last: tuple[int, int, int] = (80, 120, 6_000)
    column_slack: float = 1.0
    column_choices: int = 6
    column_states: int = 2_000
    seconds_a_price: float = 6.5e-8
    bounding: float = 0.15
    bounding_first_pass: float = 0.2
    bounding_rects: int = 800
    bounding_a_rect: float = 0.012
    bounding_first: int = 10
    bounding_rounds: int = 150
    bounding_reach: int = 6
    column_reach: int = 12
    column_looks: int = 20_000_000
    bounding_drops: int = 40
    bounding_looks: int = 100_000_000
    seconds_a_cut: float = 7e-9
    seconds_a_join: float = 3.5e-8
    seconds_a_column: float = 2e-6
    seconds_a_listed: float = 2.5e-5
    seconds_a_drop: float = 1e-4
    freed: int = 24
    freed_by_beams: int = 20
    freed_options: int = 20
    freed_least: int = 10
    freed_most: int = 60
    giving: int = 40
    heights: int = 6
    own_bases: int = 12
    turns_tried: int = 1_300
    turns_of_all: int = 500
    chains: int = 5_000_000
    few_counts: int = 1_500
    stacked: int = 40
    counts: int = 12_000
    templates: int = 400
    listing: float = 0.1
    visits: int = 20_000
    looks: int = 30_000_000
    ordered: int = 6
    seated: int = 40
    stacks: int = 2_000
    rows: int = 60_000
    turns: int = 200_000
    few_begins: int = 12
    members: int = 6
    joined: int = 3
    lengths: int = 40
    rounds: int = 200
    dividing: float = 0.15
    dividing_gain: float = 3e-4
    seconds_a_family: float = 3e-3
    patterns: int = 30
    all_bolts: int = 6
    bases: int = 8
    lines: int = 16
    open_drops: int = 60
    open_with_slots: int = 15
    laid_copies: int = 60
    laid_once: float = 0.2
    settlements: int = 4
    laid: int = 1_000
    laid_to_buy: int = 20
    laid_on: int = 60
    laid_to_use_less: int = 20
    laid_options: int = 4
    laid_rows: int = 3
    laid_share: float = 0.4
    laid_least: float = 0.4
    relaid: float = 0.3
    relaid_in_phases: float = 0.6
    few_phases: int = 4
    relaid_at_last: float = 1.0
    relaid_idle: int = 10_000
    relaid_idle_first: int = 500
    relaid_stale: int = 40
    relaid_moves: tuple[float, float, float] = (0.35, 0.2, 0.35)
    relaid_noise: tuple[float, ...] = (0.0, 0.3, 1.0)
    relaid_noise_changed: float = 0.2
    relaid_further: float = 3.0
    relaid_rows: float = 0.7
    seconds_a_plan: float = 1e-4
    strict: float = 0.35
    strict_on_hand: float = 0.5
    stricter: float = 0.7
    endless: float = 0.2
    endless_beams: float = 0.7
    endless_bolts: float = 0.6
    shares: tuple[float, ...] = (0.1, 0.3, 0.9)
    second_look: float = 0.2
    settling: float = 0.05
    settling_least: float = 0.1
    settling_widths: int = 20
    seconds_a_swap: float = 1e-4
    share_above: float = 0.5
    glance: float = 0.03
    frontier_points: int = 4
    frontier_copies: int = 100
    other_centring: float = 1.0
    small_model: int = 3_000
    listed_patterns: int = 6_000
    listed_lengths: int = 60
    stick_share: float = 0.5
    gathering: float = 0.3
    gathered: int = 4_000


USUAL = Effort()
"""What every command does."""
