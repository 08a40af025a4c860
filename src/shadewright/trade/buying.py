"""What a length of cloth means at the counter: repeats, buying steps, money."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from shadewright.job.model import Cloth, Job
from shadewright.measure import Ticks, ceil_to


def whole_repeats(need: Ticks, repeat: Ticks) -> Ticks:
    """A cut length taken up to whole repeats, so that every cut starts at the same motif row.

    Source: the rule `cut = ceil(need / repeat) * repeat` of "Figuring Pattern Repeats",
    diyideas.com, and of *Workroom Threads*, August 2011.
    """
    return ceil_to(need, repeat)


def repeat_along(job: Job, cloth: Cloth, railroaded: bool) -> Ticks | None:
    """The repeat that says where along the roll faces may begin; None where they may anywhere.

    Up the bolt it is that of rows, whatever the strategy; railroaded that of columns, which are
    only looked at where motifs must lie on a centre line.
    """
    strategy = job.strategy(cloth)
    if strategy == "plain":
        return None
    if not railroaded:
        return cloth.repeat_down
    return cloth.repeat_across if strategy in ("centred", "continuous") else None


def start_allowance(job: Job, cloth: Cloth, railroaded: bool) -> Ticks:
    """Cloth bought so that the first motif can be found when the bolt's start is unknown.

    One repeat along the roll, once for the whole order. Source: "Figuring Pattern Repeats",
    diyideas.com. Where faces may begin anywhere along the roll, none is needed.
    """
    return 0 if cloth.start != "any" else repeat_along(job, cloth, railroaded) or 0


def bought_length(used: Ticks, allowance: Ticks, sold_in: Ticks) -> Ticks:
    """The length to buy: what is used and the start's allowance, up to the buying step.

    Source: common practice; shops sell by a step (an eighth or a quarter of a yard, 10 cm).
    """
    return ceil_to(used + allowance, sold_in)


def spare_length(cloth: Cloth, longest: Ticks) -> Ticks:
    """What is bought of a cloth for mistakes, beyond what is used, where its longest panel is so
    long along the roll."""
    return longest if cloth.spare == "1 panel" else cloth.spare


def to_buy(
    ends: Sequence[Ticks], allowance: Ticks, spare: Ticks, sold_in: Ticks, bolt: Ticks | None
) -> list[Ticks] | None:
    """What to buy of each bolt, the spare with the one where it costs least, the first of such.

    Args:
        ends: of what is used of each.
        allowance: bought with each, for its start.
        spare: bought once.
        bolt: the most that is sold in one piece; None: no limit.

    Returns:
        The lengths; None where no bolt has room for the spare.
    """
    bought = [bought_length(end, allowance, sold_in) for end in ends]
    spared = [bought_length(end, allowance + spare, sold_in) for end in ends]
    room = [i for i, length in enumerate(spared) if bolt is None or length <= bolt]
    if not ends:
        return []
    if not room:
        return None
    with_it = min(room, key=lambda i: spared[i] - bought[i])
    return [*bought[:with_it], spared[with_it], *bought[with_it + 1 :]]


def cloth_cost(job: Job, cloth: Cloth, length: Ticks) -> Fraction:
    """Money for a length of cloth; nothing where the cloth has no price."""
    return (cloth.price or Fraction(0)) * length / job.price_unit
