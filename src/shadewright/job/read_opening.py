"""Reading the tables of openings."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from shadewright.job.defaults import default_texts
from shadewright.job.facts import Facts
from shadewright.job.limits import MOST_COPIES, MOST_SHADES
from shadewright.job.model import DrawRule, Opening, Runs
from shadewright.job.problems import did_you_mean, one_of
from shadewright.job.table import TableReader
from shadewright.job.values import plain
from shadewright.measure import Ticks, ceil_to, floor_to, nearest_to

DRAWS: tuple[DrawRule, ...] = ("left", "right", "centre", "auto")


def read_opening(table: TableReader, cloths: list[str], facts: Facts) -> Opening:
    """An opening, rounded to the cutting step; `cloths` are the names of those there are."""
    name = table.text("name")
    whose = name or "an opening"

    def rounded(key: str, length: Ticks, to_step: Callable[[Ticks, Ticks], Ticks]) -> Ticks:
        taken = to_step(length, facts.step)
        if taken != length:
            way = "down" if taken < length else "up"
            facts.note(table, key, whose, f"is rounded {way} to", taken)
        return taken

    # A measured opening is never taken larger than it is, room to hang never smaller.
    width = rounded("width", table.length("width", above=0), floor_to)
    height = rounded("height", table.length("height", above=0), floor_to)
    head = rounded("head", table.length("head", 0, above=None), floor_to)
    clearance = rounded("clearance", table.length("clearance", facts.length("clearance")), ceil_to)
    overlap, overlap_bottom, sill_gap = (
        rounded(key, table.length(key, 0), ceil_to)
        for key in ("overlap", "overlap_bottom", "sill_gap")
    )
    narrowest = table.length("narrowest", facts.length("narrowest"), above=0)
    narrowest = rounded("narrowest", narrowest, ceil_to)
    widest = rounded("widest", table.length("widest", facts.length("widest"), above=0), floor_to)
    _refuse_nothing(table, {"width": width, "height": height, "widest": widest}, facts)
    _refuse_crossed(table, narrowest, widest, facts)
    mount = table.choice("mount", ("inside", "outside"), "inside")
    others = (
        {"overlap": overlap, "overlap_bottom": overlap_bottom}
        if mount == "inside"
        else {"clearance": clearance, "sill_gap": sill_gap}
    )
    for unused, by in others.items():
        if by and table.given(unused):
            facts.notes.append(f"{whose} {unused}: not used, as the mount is {mount}")
    shades = table.count_range("shades", 1, MOST_SHADES)
    draw = table.word_or_words("draw", DRAWS, "auto", MOST_SHADES)
    if not isinstance(draw, str):
        shades = _as_many_as(table, draw, shades)
    opening = Opening(
        name=name,
        width=width,
        height=height,
        copies=table.count("copies", 1, 1, MOST_COPIES),
        cloth=_cloth_of(table, cloths),
        mount=mount,
        clearance=clearance,
        overlap=overlap,
        overlap_bottom=overlap_bottom,
        sill_gap=sill_gap,
        shades=shades,
        gap=_gap(table, whose, facts),
        widths=table.choice("widths", ("equal", "mirrored", "free"), "equal"),
        narrowest=narrowest,
        widest=widest,
        head=head,
        draw=draw,
        head_above_floor=table.length_or_none("head_above_floor", above=0),
        depth=table.length_or_none("depth", above=0),
        alike=table.flag("alike") is not False,
        like=table.text_or_none("like"),
        runs=_own_lay(table),
    )
    table.finish()
    return opening


def _refuse_nothing(table: TableReader, lengths: Mapping[str, Ticks], facts: Facts) -> None:
    """Refuse lengths of which rounding leaves nothing."""
    for key, length in lengths.items():
        if table.ok(key) and not length:
            table.refuse(key, f"at least one cutting step, {facts.tape.short(facts.step)}")


def _refuse_crossed(table: TableReader, narrowest: Ticks, widest: Ticks, facts: Facts) -> None:
    """Refuse a least width above the greatest, whichever of them the job states."""
    if not table.ok("narrowest", "widest") or narrowest <= widest:
        return
    short = facts.tape.short
    if table.given("narrowest"):
        table.refuse("narrowest", f"at most the widest, which is {short(widest)}")
    else:
        table.refuse("widest", f"at least the narrowest, which is {short(narrowest)}")


def _own_lay(table: TableReader) -> Runs | None:
    """How an opening's own cloth lies; None where it lies as all of its cloth does."""
    if not table.given("runs"):
        table.raw("runs")
        return None
    own: tuple[Runs, ...] = ("up the bolt", "railroaded", "either")
    return table.choice("runs", own, "either")


def tied(tables: Sequence[TableReader], openings: Sequence[Opening]) -> list[Opening]:
    """Openings with the names that they are like as these are written; likes that are no other
    opening are refused."""
    names = [opening.name for opening in openings]
    found = []
    for table, opening in zip(tables, openings, strict=True):
        others = [name for name in names if name != opening.name]
        like = opening.like
        if like is not None and like not in others:
            alike = [name for name in others if plain(name) == plain(like)]
            if len(alike) == 1:
                like = alike[0]
            elif table.ok("like"):
                wanted = one_of(others) if others else "none, as there is no other opening"
                table.refuse("like", wanted + did_you_mean(like, others))
        found.append(opening.model_copy(update={"like": like}))
    return found


def _as_many_as(
    table: TableReader, draws: tuple[DrawRule, ...], shades: tuple[int, int] | None
) -> tuple[int, int]:
    """The number of shades that a list of draws, one for each, leaves."""
    number = len(draws)
    if shades is not None and not shades[0] <= number <= shades[1]:
        low, high = shades
        wanted = f"{low}" if low == high else f"{low} to {high}"
        table.refuse("draw", f"one draw for each shade, {wanted}", f"{number} draws")
    return number, number


def _cloth_of(table: TableReader, cloths: list[str]) -> str:
    name = table.name_of("cloth", cloths)
    if name is None and len(cloths) == 1:
        return cloths[0]
    if name is None and cloths and table.ok("cloth"):
        table.refuse("cloth", f"{one_of(cloths)}, as there is more than one cloth")
    return name or ""


def _gap(table: TableReader, whose: str, facts: Facts) -> tuple[Ticks, Ticks]:
    """The range of gaps, narrowed to the cutting step; a single gap goes to the nearest step."""
    low, high = table.length_range("gap", facts.lengths("gap"))
    if not table.ok("gap"):
        return low, high
    taken = (
        (nearest_to(low, facts.step), nearest_to(high, facts.step))
        if low == high
        else (ceil_to(low, facts.step), floor_to(high, facts.step))
    )
    if taken[0] > taken[1]:
        found = None
        if not table.given("gap"):
            found = " to ".join(default_texts("gap", facts.metric)) + ", the default"
        step = facts.tape.short(facts.step)
        table.refuse("gap", f"a range that holds a whole number of cutting steps of {step}", found)
    elif taken != (low, high):
        facts.note(table, "gap", whose, "becomes", *taken)
    return taken
