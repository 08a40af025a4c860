"""An oracle for tiny jobs: every division of every opening, every way to cut, by plain enumeration.

It shares no code with `solve` or `trade`: sizes, divisions, cutting and money are worked out here
once more, from the job's facts. Take-up must be stated as a length, so that no geometry is needed.

Cutting is in three stages. A drop is a partition of its panels into columns that fit side by side;
a column is a stack. On level cloth a face starts only at whole row spacings (`grid`) after the
start of its drop (up the bolt), or from the left usable edge (railroaded), and so does every drop
with a face after the first. A lining starts anywhere.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from itertools import product
from math import ceil

from shadewright.job.model import Cloth, Job, Opening
from shadewright.measure import TICKS

_ENDLESS = 1 << 60
Size = tuple[int, int, bool]  # across, along, and whether its print counts
Key = tuple[Fraction, int, int, int, int]


@dataclass(frozen=True)
class Choice:
    """One way to make one copy of an opening."""

    shades: int
    gaps: int
    cut_widths: frozenset[int]
    panels: tuple[tuple[str, Size], ...]
    widths: tuple[int, ...]  # finished, left to right
    lays: tuple[tuple[str, bool], ...] = ()  # cloths that lie one way in all the job, and which


def best(job: Job, most: int) -> tuple[Key, int] | None:
    """The best values of all goals in their order, and the least length that any plan uses.

    None if there are more than `most` combinations of choices.

    Raises:
        ValueError: no way to make the job keeps to its table and its bolts.
    """
    menus: list[tuple[Choice, ...]] = []
    for opening in job.openings:
        menus += [choices(job, opening)] * opening.copies
    if not all(menus):
        raise ValueError("an opening has no choice")
    sizes = 1
    for menu in menus:
        sizes *= len(menu)
    if sizes > most:
        return None
    found: list[Key] = []
    least = None
    for combination in product(*menus):
        if not agree(job, combination):
            continue
        used = 0
        money = worth(job, combination, priced=True)
        bought = 0
        priced = True
        all_made = True
        for cloth in job.cloths:
            panels = tuple(
                sorted(s for c in combination for name, s in c.panels if name == cloth.name)
            )
            if not panels:
                continue
            from_bolts = least_bought(job, cloth, panels)
            all_made = all_made and from_bolts is not None
            buy, length = from_bolts or (0, 0)
            used += length
            bought += buy
            priced = priced and cloth.price is not None
            money += (cloth.price or 0) * Fraction(buy, job.price_unit)
        if not all_made:
            continue
        least = used if least is None else min(least, used)
        found.append(
            (
                money if priced else bought + worth(job, combination, priced=False),
                sum(choice.shades for choice in combination),
                used,
                len({w for choice in combination for w in choice.cut_widths}),
                sum(choice.gaps for choice in combination),
            )
        )
    if least is None:
        raise ValueError("a panel is longer than the table or a bolt")
    return min(found), least


def agree(job: Job, combination: Sequence[Choice]) -> bool:
    """Whether copies are divided alike, tied openings have as many shades, and cloth lies one way.

    Args:
        combination: a choice for each copy of each opening, in the job's order.
    """
    copies = iter(combination)
    taken = {o.name: [next(copies) for _ in range(o.copies)] for o in job.openings}
    for opening in job.openings:
        mine = taken[opening.name]
        if opening.alike and len({choice.widths for choice in mine}) > 1:
            return False
        others = taken[opening.like] if opening.like else []
        if others and len({choice.shades for choice in (*mine, *others)}) > 1:
            return False
    ways: dict[str, set[bool]] = {}
    for choice in combination:
        for name, turned in choice.lays:
            ways.setdefault(name, set()).add(turned)
    return all(len(turned) == 1 for turned in ways.values())


def worth(job: Job, combination: Sequence[Choice], *, priced: bool) -> Fraction:
    """What the shades cost, or the cloth that each must be worth: money, or ticks."""
    shades = sum(choice.shades for choice in combination)
    if not priced:
        return Fraction(job.make.extra_shade * shades)
    if job.make.shade_cost is not None:
        return job.make.shade_cost * shades
    copies = iter(combination)
    total = Fraction(0)
    for opening in job.openings:
        price = job.cloth(opening.cloth).price or Fraction(0)
        for _ in range(opening.copies):
            total += next(copies).shades * price * job.make.extra_shade / job.price_unit
    return total


def matched(job: Job, cloth: Cloth) -> bool:
    faces = any(opening.cloth == cloth.name for opening in job.openings)
    return faces and cloth.repeat_down is not None and job.match.strategy != "plain"


def start_allowance(job: Job, cloth: Cloth) -> int:
    faces = any(opening.cloth == cloth.name for opening in job.openings)
    if cloth.start != "any" or job.match.strategy == "plain" or not faces:
        return 0
    if cloth.runs != "railroaded":
        return cloth.repeat_down or 0
    by_columns = job.match.strategy in ("centred", "continuous")
    return cloth.repeat_across or 0 if by_columns else 0


@cache
def choices(job: Job, opening: Opening) -> tuple[Choice, ...]:
    """Every choice for one copy; those that differ in nothing that counts come once."""
    counts = range(1, 9)
    fewest = next((n for n in counts if any(True for _ in _choices(job, opening, n))), None)
    if fewest is None:
        return ()
    low, high = opening.shades or (fewest, fewest + 2)
    return tuple(dict.fromkeys(c for n in range(low, high + 1) for c in _choices(job, opening, n)))


def _choices(job: Job, opening: Opening, count: int) -> Iterator[Choice]:
    clear = (
        opening.width - 2 * opening.clearance
        if opening.mount == "inside"
        else opening.width + 2 * opening.overlap
    )
    length = (
        opening.height - job.make.hook_drop - opening.sill_gap
        if opening.mount == "inside"
        else opening.height + opening.overlap + opening.overlap_bottom
    )
    steps = clear // job.step
    # One shade alone has lift lines 5 in (125 mm) in from its edges, which stand apart.
    alone = 2 * (TICKS["mm"] * 125 if job.metric else TICKS["in"] * 5) + job.step
    low = -(-(opening.narrowest if count > 1 else alone) // job.step)
    least = -(-(clear - (count - 1) * opening.gap[1]) // job.step)
    for widths in _widths(opening.widths, count, low, (least, steps)):
        total = sum(widths) * job.step
        gaps = clear - total
        if count == 1 and gaps:
            continue
        if not (count - 1) * opening.gap[0] <= gaps <= (count - 1) * opening.gap[1]:
            continue
        if max(widths) * job.step > opening.widest:
            continue
        finished = [w * job.step for w in widths]
        face = job.cloth(opening.cloth)
        lining = job.cloth(job.make.lining) if job.make.lining else None
        of = [c for c in (face, lining) if c]
        runs = [opening.runs or face.runs, *([lining.runs] if lining else [])]
        for turns in product(*map(_turns, runs)):
            own = [opening.runs is not None, *([False] if lining else [])]
            lays = tuple(
                (cloth.name, turned)
                for cloth, turned, apart in zip(of, turns, own, strict=True)
                if cloth.runs == "either" and not apart
            )
            made = _panels(job, of, turns, finished, length)
            if made is not None:
                yield Choice(count, gaps, frozenset(made[1]), made[0], tuple(finished), lays)


def _widths(rule: str, count: int, low: int, sums: tuple[int, int]) -> Iterator[tuple[int, ...]]:
    """Widths in steps, none below `low`, that add up to within `sums`."""
    if rule == "equal" or count == 1:
        yield from ((w,) * count for w in range(low, sums[1] // count + 1) if w * count >= sums[0])
    elif rule == "free":
        yield from _ascending(count, low, sums)
    else:
        middles = range(low, sums[1] + 1) if count % 2 else [0]
        for middle in middles:
            rest = -(-(sums[0] - middle) // 2), (sums[1] - middle) // 2
            for left in _ascending(count // 2, low, rest):
                yield (*left, *([middle] if count % 2 else []), *reversed(left))


def _ascending(count: int, low: int, sums: tuple[int, int]) -> Iterator[tuple[int, ...]]:
    if count == 0:
        if sums[0] <= 0 <= sums[1]:
            yield ()
        return
    for first in range(low, sums[1] // count + 1):
        for rest in _ascending(count - 1, first, (sums[0] - first, sums[1] - first)):
            yield (first, *rest)


def _turns(runs: str) -> tuple[bool, ...]:
    return {"up the bolt": (False,), "railroaded": (True,)}.get(runs, (False, True))


def _panels(
    job: Job, cloths: list[Cloth], turns: tuple[bool, ...], finished: list[int], length: int
) -> tuple[tuple[tuple[str, Size], ...], set[int]] | None:
    make = job.make
    assert make.take_up != "computed"
    side = 2 * make.seam if make.lining else 2 * make.side_folds * make.side_fold
    ends = make.take_up + make.board_pocket + make.rod_pocket + 2 * make.turn_under
    panels: list[tuple[str, Size]] = []
    cut_widths: set[int] = set()
    for cloth, turned in zip(cloths, turns, strict=True):
        for width in finished:
            lost = (cloth.shrink_down, cloth.shrink_across)
            down, across = lost if turned else lost[::-1]
            cut_width = ceil((width + side) / (1 - down) / job.step) * job.step
            cut_length = ceil((length + ends) / (1 - across) / job.step) * job.step
            cut_widths.add(cut_width)
            size = (cut_length, cut_width) if turned else (cut_width, cut_length)
            if size[0] > cloth.width - 2 * cloth.selvedge:
                return None
            panels.append((cloth.name, (*size, len(panels) < len(finished))))
    return tuple(sorted(panels)), cut_widths


def least_bought(job: Job, cloth: Cloth, panels: tuple[Size, ...]) -> tuple[int, int] | None:
    """The least that is bought of a cloth, and the least of that which is used.

    Where bolts have a length, panels are shared out over them in every way.
    """

    def used(part: int) -> int:
        return least_used(job, cloth, tuple(p for i, p in enumerate(panels) if part >> i & 1))

    return shared_out(cloth, len(panels), used, start_allowance(job, cloth), panels)


def shared_out(
    cloth: Cloth,
    count: int,
    used: Callable[[int], int],
    allowance: int,
    panels: Sequence[tuple[int, int, object]],
) -> tuple[int, int] | None:
    """The least bought and used of all ways to share panels out over bolts, the spare with one.

    Args:
        used: of a bolt that these are cut from, as bits.
    """
    spare = max(p[1] for p in panels) if cloth.spare == "1 panel" else cloth.spare
    everything = (1 << count) - 1
    best: dict[tuple[int, bool], tuple[int, int]] = {(0, False): (0, 0)}
    for cut in range(everything):
        rest = everything ^ cut
        for part in _parts(rest):
            if not part & rest & -rest or (cloth.bolt is None and part != everything):
                continue
            length = used(part)
            for spared in (False, True):
                if (cut, spared) not in best or length >= _ENDLESS:
                    continue
                bought, before = best[cut, spared]
                for more in (False, True) if not spared else (False,):
                    need = length + allowance + spare * more
                    buy = -(-need // cloth.sold_in) * cloth.sold_in
                    if cloth.bolt is None or buy <= cloth.bolt:
                        key, now = (cut | part, spared or more), (bought + buy, before + length)
                        best[key] = min(best.get(key, now), now)
    return best.get((everything, True))


def least_used(job: Job, cloth: Cloth, panels: tuple[Size, ...]) -> int:
    """Where the last drop ends, square-up included, at the least."""
    level = matched(job, cloth)
    spacing = _spacing(cloth) if level else 1
    railroaded = cloth.runs == "railroaded"
    usable = cloth.width - 2 * cloth.selvedge
    grids = (1, spacing) if railroaded else (spacing, 1)
    return job.make.square_up + _roll(panels, usable, *grids, job.make.table or _ENDLESS)


def _spacing(cloth: Cloth) -> int:
    """The least distance at which a row of motifs comes again, by stepping through the columns."""
    repeat = cloth.repeat_down
    assert repeat is not None
    height, heights = 0, {0}
    while (height := (height + cloth.column_shift) % repeat) not in heights:
        heights.add(height)
    return min((h for h in heights if h), default=repeat)


@cache
def _roll(panels: tuple[Size, ...], usable: int, grid: int, grid_across: int, table: int) -> int:
    """Least length of all drops, none longer than the table: linings alone come last, behind the
    end of the last face."""
    n = len(panels)
    whole = [0] * (1 << n)
    ending = [0] * (1 << n)
    for chosen in range(1, 1 << n):
        lowest = chosen & -chosen
        drop = {
            s: _drop(tuple(panels[i] for i in range(n) if s >> i & 1), usable, grid, grid_across)
            for s in _parts(chosen)
        }
        drop = {s: length for s, length in drop.items() if length is not None and length <= table}
        faces = {s: any(panels[i][2] for i in range(n) if s >> i & 1) for s in drop}
        whole[chosen] = min(
            (
                (-(-length // grid) * grid if faces[s] else length) + whole[chosen ^ s]
                for s, length in drop.items()
                if s & lowest
            ),
            default=_ENDLESS,
        )
        ending[chosen] = min(
            (length + whole[chosen ^ s] for s, length in drop.items()), default=_ENDLESS
        )
    return ending[-1]


def _parts(chosen: int) -> Iterator[int]:
    part = chosen
    while part:
        yield part
        part = (part - 1) & chosen


@cache
def _drop(panels: tuple[Size, ...], usable: int, grid: int, grid_across: int) -> int | None:
    """Least length of one drop that holds these panels, to the end of its last panel.

    None if they do not fit side by side however they are stacked.
    """
    least: int | None = None
    for columns in _partitions(panels):
        across = [max(a for a, _, _ in column) for column in columns]
        level = [any(face for _, _, face in column) for column in columns]
        if _end(zip(across, level, strict=True), grid_across) > usable:
            continue
        ends = max(_end(((along, face) for _, along, face in c), grid) for c in columns)
        least = ends if least is None else min(least, ends)
    return least


def _end(lengths: Iterable[tuple[int, bool]], grid: int) -> int:
    """Where things laid one after the other end, if those that are marked start on the grid only.

    The marked ones come first, and the one that leaves most to the next row comes last of them.
    """
    up = [(-(-length // grid) * grid if marked else length, length) for length, marked in lengths]
    return sum(a for a, _ in up) - max(a - b for a, b in up)


def _partitions(panels: tuple[Size, ...]) -> Iterator[list[list[Size]]]:
    if not panels:
        yield []
        return
    first, rest = panels[0], panels[1:]
    for columns in _partitions(rest):
        yield [[first], *columns]
        for i, column in enumerate(columns):
            yield [*columns[:i], [first, *column], *columns[i + 1 :]]
