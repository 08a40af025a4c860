"""Reading a job file into a `Job`, or saying everything that is wrong with it at once.

A TOML file and a workbook come down to the same nested tables (`Source`), which are read here:
each table on its own first, so that no problem hides another, then what must agree between them.
"""

from __future__ import annotations

import contextlib
import re
from collections.abc import Callable
from dataclasses import dataclass, field
from fractions import Fraction
from pathlib import Path
from typing import Literal, get_args

from shadewright.job.defaults import default_length, default_lengths, default_texts
from shadewright.job.files import bytes_of, refused
from shadewright.job.limits import (
    LARGEST_JOB,
    LARGEST_STEP,
    MOST_COPIES,
    MOST_COST,
    MOST_MONEY,
    MOST_SHADES,
)
from shadewright.job.model import (
    BOLT,
    Cloth,
    Fit,
    Flaw,
    Job,
    Lots,
    Make,
    MatchRule,
    Opening,
    Piece,
    Runs,
    Stock,
    Strategy,
)
from shadewright.job.places import Places
from shadewright.job.problems import FileProblem, JobError, did_you_mean, one_of
from shadewright.job.sheets import workbook_source
from shadewright.job.table import PLAIN_NAME, EnoughError, Reading, Source, TableReader, is_name
from shadewright.job.toml import toml_source
from shadewright.job.woods import UNNAMED_GRAVITY, WOODS, Timber
from shadewright.measure import (
    METRIC_UNITS,
    LengthError,
    Tape,
    Ticks,
    Unit,
    ceil_to,
    floor_to,
    nearest_to,
    parse_quantity,
)

NO_LINING = "none"

# From balsa to the stiffest there is, in MPa.
_LEAST_STIFF, _MOST_STIFF = 1_000, 40_000

_HALF: tuple[Literal["half"]] = ("half",)


def read_job(path: Path) -> Job:
    """Read a job file, TOML or workbook by its suffix.

    Raises:
        JobError: the file cannot be read, or is no good job; carries every problem found.
    """
    return read_placed(path)[0]


def read_placed(path: Path) -> tuple[Job, Places]:
    """Read a job file, and tell where in it things stand, for what is found wrong with it later.

    Raises:
        JobError: as `read_job`.
    """
    match path.suffix.lower():
        case ".toml":
            source = toml_source(bytes_of(path, LARGEST_JOB, "a job file"), str(path))
        case ".xlsx":
            source = workbook_source(path)
        case _:
            bytes_of(path, LARGEST_JOB, "a job file")  # a file that is not there says so first
            raise refused(path, "a job file's name must end in .toml or .xlsx")
    job = build_job(source, str(path))
    if path.suffix.lower() == ".toml":
        return job, Places()
    return job, Places(path.name, source.place, job)


@dataclass
class _Facts:
    """What every table is read by, and the notes that reading leaves."""

    unit: Unit
    step: Ticks
    notes: list[str] = field(default_factory=list)

    @property
    def metric(self) -> bool:
        return self.unit in METRIC_UNITS

    @property
    def tape(self) -> Tape:
        return Tape(self.metric, self.step)

    def length(self, key: str) -> Ticks:
        """The default of a key that holds one length."""
        return default_length(key, self.metric)

    def lengths(self, key: str) -> tuple[Ticks, ...]:
        """The default of a key that holds several."""
        return default_lengths(key, self.metric)

    def note(self, table: TableReader, key: str, whose: str, became: str, *taken: Ticks) -> None:
        """Tell the maker what became of a stated length that is off the cutting step."""
        if not table.given(key):
            return
        stated = table.raw(key)
        ends = stated if isinstance(stated, list) else [stated]
        said = " to ".join(end if isinstance(end, str) else f"{end} {self.unit}" for end in ends)
        now = " to ".join(dict.fromkeys(self.tape.short(length) for length in taken))
        step = self.tape.short(self.step)
        self.notes.append(f"{whose} {key}: {said} {became} {now}, as the cutting step is {step}")


def build_job(source: Source, file: str) -> Job:
    """Turn the tables of a job file into a job; `file` is named in the error.

    Raises:
        JobError: carries every problem found.
    """
    reading = Reading(source, problems=list(source.problems))
    try:
        return _job(source, reading)
    except EnoughError:
        raise JobError(file, reading.problems) from None


def _job(source: Source, reading: Reading) -> Job:
    """The job, if nothing is wrong with it.

    Raises:
        EnoughError: something is; the problems are in `reading`.
    """
    top = TableReader(source.tables, (), reading)
    title = top.text("title")
    reading.unit = top.choice("units", get_args(Unit), "in")
    default_step = default_length("step", reading.unit in METRIC_UNITS)
    step = top.length("step", default_step, above=0)
    if step > LARGEST_STEP:
        top.refuse("step", "a step of at most 1 ft")
    facts = _Facts(reading.unit, step if top.ok("step") else default_step)
    children = top.flag("children") is True
    outdoors = top.flag("outdoors") is True

    cloth_tables = top.named_tables("cloth", "at least one cloth, by name, with its width")
    names = list(cloth_tables)
    cloths = [_cloth(table, name, facts) for name, table in cloth_tables.items()]
    reading.problems += _bad_names(source, names)
    make = _make(top.table("make"), names, facts)
    fit_table = top.table("fit")
    fit = _fit(fit_table, names, facts)
    match_table = top.table("match")
    match = _match(match_table)
    opening_tables = top.tables("opening")
    if not opening_tables and top.ok("opening"):
        top.refuse("opening", "at least one opening with its name, width and height")
    openings = [_opening(table, names, facts) for table in opening_tables]
    top.finish()

    _refuse_same_names(opening_tables, [opening.name for opening in openings], "opening")
    if make.tail_reach is not None:
        for table, opening in zip(opening_tables, openings, strict=True):
            _refuse_no_reach(table, opening, make.tail_reach, facts)
    if match.strategy != "plain" and match_table.ok("strategy"):
        for table, cloth in zip(cloth_tables.values(), cloths, strict=True):
            _refuse_turning(table, cloth)
    if reading.problems:
        raise EnoughError
    return Job(
        title=title,
        units=facts.unit,
        step=facts.step,
        cloths=tuple(cloths),
        make=make,
        match=match,
        openings=tuple(openings),
        fit=fit if any(map(fit_table.given, Fit.model_fields)) else None,
        children=children,
        outdoors=outdoors,
        notes=tuple(facts.notes),
    )


def _bad_names(source: Source, names: list[str]) -> list[FileProblem]:
    """Problems with the names of cloths, which TOML allows to be anything."""
    return [
        FileProblem(
            source.place(("cloth", name)),
            "",
            "this names no cloth: it means a shade without lining"
            if name.strip().casefold() == NO_LINING
            else f"a cloth's name must be a text {PLAIN_NAME}",
        )
        for name in names
        if name.strip().casefold() == NO_LINING or not is_name(name)
    ]


def _refuse_same_names(tables: list[TableReader], names: list[str], kind: str) -> None:
    for i, (table, name) in enumerate(zip(tables, names, strict=True)):
        if table.ok("name") and name in names[:i]:
            table.refuse("name", f"a name of its own; {kind} {names.index(name) + 1} has this one")


def _refuse_no_reach(table: TableReader, opening: Opening, reach: Ticks, facts: _Facts) -> None:
    """Where a cord ends above the floor can only be told from where it begins."""
    key, said = "head_above_floor", facts.tape.short(reach)
    if opening.head_above_floor is None and table.ok(key):
        table.refuse(key, f"a length, as tail_reach asks for cords that end {said} above the floor")
    elif opening.head_above_floor is not None and opening.head_above_floor <= reach:
        table.refuse(key, f"more than tail_reach, which is {said}")


def _refuse_turning(table: TableReader, cloth: Cloth) -> None:
    """A motif must keep one way up, unless it is cut without regard to it."""
    if cloth.runs == "either" and (cloth.repeat_down or cloth.repeat_across):
        wanted = one_of(["up the bolt", "railroaded"])
        table.refuse(
            "runs", f'{wanted} on cloth with a repeat, unless the match strategy is "plain"'
        )


def _cloth(table: TableReader, name: str, facts: _Facts) -> Cloth:
    width = table.length("width", above=0)
    selvedge = table.length("selvedge", 0)
    if table.ok("width", "selvedge") and 2 * selvedge >= width:
        half = facts.tape.short(width)
        table.refuse("selvedge", f"less than half of the width, which is {half}")
    # Half of one tick is none: a repeat must be longer than that to be halved.
    repeat_down = table.length_or_none("repeat_down", above=1)
    repeat_across = table.length_or_none("repeat_across", above=0)
    shift = table.length_or_word("column_shift", _HALF, 0)
    if shift == "half":
        # An odd repeat gives way by a tick, 1/8128 in, so that its half is exact.
        if repeat_down:
            repeat_down -= repeat_down % 2
        column_shift = (repeat_down or 0) // 2
    else:
        column_shift = shift
    if shift and not repeat_down and table.ok("repeat_down", "column_shift"):
        table.refuse("column_shift", "none, or a repeat_down as well")
    patterned = bool(repeat_down or repeat_across)
    bare_weight = "g/m^2" if facts.metric else "oz/yd^2"
    cloth = Cloth(
        name=name,
        width=width,
        selvedge=selvedge,
        repeat_down=repeat_down,
        repeat_across=repeat_across,
        column_shift=column_shift,
        motif_at=table.length("motif_at", (repeat_across or 0) // 2),
        runs=table.choice("runs", get_args(Runs), "up the bolt" if patterned else "either"),
        start=table.length_or_word("start", ("any", "motif"), "any"),
        price=_money(table, "price"),
        sold_in=table.length("sold_in", facts.length("sold_in"), above=0),
        can_buy=table.flag("can_buy") is not False,
        weight=table.quantity(
            "weight", "g/m^2", bare_weight, 'a weight such as "9.25 oz/yd^2" or "313 g/m^2"'
        ),
        thickness=table.millimetres("thickness"),
        outdoor=table.flag("outdoor"),
        shrink_down=_shrink(table, "shrink_down"),
        shrink_across=_shrink(table, "shrink_across"),
        pieces=_pieces(table.tables("piece"), width if table.ok("width") else None),
    )
    table.finish()
    return cloth


def _money(table: TableReader, key: str) -> Fraction | None:
    wanted = "an amount of money, 0 or more, such as 38.5"
    return table.number(key, wanted, lambda amount: 0 <= amount <= MOST_MONEY)


def _shrink(table: TableReader, key: str) -> Fraction:
    wanted = "a fraction from 0 to below 1, such as 0.03"
    return table.number(key, wanted, lambda lost: 0 <= lost < 1) or Fraction(0)


def _pieces(tables: list[TableReader], width: Ticks | None) -> tuple[Piece, ...]:
    pieces = [_piece(table, width) for table in tables]
    _refuse_same_names(tables, [piece.name for piece in pieces], "piece")
    return tuple(pieces)


def _piece(table: TableReader, width: Ticks | None) -> Piece:
    name = table.text("name")
    if name == BOLT:
        table.refuse("name", "another name; this one is the bought cloth's in every plan")
    length = table.length("length", above=0)
    piece = Piece(
        name=name,
        length=length,
        start=table.length_or_none("start"),
        lot=table.text_or_none("lot"),
        flaws=tuple(
            _flaw(flaw, length if table.ok("length") else None, width)
            for flaw in table.tables("flaws")
        ),
    )
    table.finish()
    return piece


def _flaw(table: TableReader, length: Ticks | None, width: Ticks | None) -> Flaw:
    flaw = Flaw(
        start=table.length("from"),
        end=table.length("to"),
        left=table.length_or_none("left"),
        right=table.length_or_none("right"),
    )
    if (flaw.left is None) != (flaw.right is None):
        missing = "left" if flaw.left is None else "right"
        if table.ok("left", "right"):
            table.refuse(missing, "a length from the cloth's left edge, or neither left nor right")
    elif flaw.left is not None and flaw.right is not None and table.ok("left", "right"):
        if flaw.right <= flaw.left:
            table.refuse("right", "a length more than left")
        elif width is not None and flaw.right > width:
            table.refuse("right", "at most the width of the cloth")
    if table.ok("from", "to") and flaw.end <= flaw.start:
        table.refuse("to", "a length more than where the flaw begins")
    if table.ok("to") and length is not None and flaw.end > length:
        table.refuse("to", "at most the length of the piece")
    table.finish()
    return flaw


def _make(table: TableReader, cloths: list[str], facts: _Facts) -> Make:
    def length(key: str, above: Ticks = -1) -> Ticks:
        return table.length(key, facts.length(key), above)

    square_up = length("square_up")
    rounded = ceil_to(square_up, facts.step)
    if rounded != square_up:
        facts.note(table, "square_up", "make", "is rounded up to", rounded)
    lining = table.name_of("lining", [NO_LINING, *cloths] if cloths else [])
    make = Make(
        side_fold=length("side_fold"),
        side_folds=1 if table.count("side_folds", 2, 1, 2) == 1 else 2,
        lining=None if lining == NO_LINING else lining,
        seam=length("seam"),
        board=length("board", above=0),
        rod=length("rod", above=0),
        board_pocket=length("board_pocket"),
        rod_pocket=length("rod_pocket"),
        turn_under=length("turn_under"),
        take_up=table.length_or_word("take_up", ("computed",), "computed"),
        square_up=rounded,
        stick_short=length("stick_short"),
        lift_inset=table.length_or_none("lift_inset"),
        guide_inset=length("guide_inset"),
        tail=length("tail"),
        tail_reach=table.length_or_none("tail_reach"),
        knot=length("knot"),
        cord_reel=length("cord_reel", above=0),
        tassels=table.flag("tassels") is True,
        eye_shank=table.length_or_none("eye_shank", above=0),
        hook_opening=table.length_or_none("hook_opening", above=0),
        wood=_wood(table, facts),
        stock=_stock(table.table("stock"), facts),
        kerf=length("kerf"),
        most_sag=length("most_sag", above=0),
        wet_factor=table.number("wet_factor", "a number from 1 to 10", lambda n: 1 <= n <= 10)
        or Fraction(2),
        shade_cost=_money(table, "shade_cost") or Fraction(0),
    )
    table.finish()
    return make


def _wood(table: TableReader, facts: _Facts) -> Timber:
    """A wood by its name, or by its stiffness."""
    pine = WOODS["eastern white pine"]
    value = table.raw("wood")
    if value is None:
        return pine
    if isinstance(value, str) and value.strip().casefold() in WOODS:
        return WOODS[value.strip().casefold()]
    if isinstance(value, (str, int, float)):
        with contextlib.suppress(LengthError):
            stiffness = parse_quantity(value, "MPa", "MPa" if facts.metric else "psi")
            if _LEAST_STIFF <= stiffness <= _MOST_STIFF:
                return Timber(f"wood of {stiffness:.4g} MPa", stiffness, UNNAMED_GRAVITY)
    hint = did_you_mean(value, WOODS) if isinstance(value, str) else ""
    table.refuse(
        "wood", f'{one_of(list(WOODS))}, or a stiffness such as "8500 MPa" or "1240 ksi"{hint}'
    )
    return pine


def _stock(table: TableReader, facts: _Facts) -> Stock:
    stock = Stock(
        board=table.lengths("board", facts.lengths("stock.board")),
        rod=table.lengths("rod", facts.lengths("stock.rod")),
    )
    table.finish()
    return stock


def _fit(table: TableReader, cloths: list[str], facts: _Facts) -> Fit:
    costs = {
        key: _cost(table, key, default)
        for key, default in (
            ("gaps", 1),
            ("mirrored", 2),
            ("free", 3),
            ("overlap", 2),
            ("hem", 3),
            ("single", 4),
            ("match", 4),
            ("railroad", 5),
            ("lining", 3),
            ("leave_out", 20),
        )
    }
    fit = Fit(
        **costs,
        widest_gap=floor_to(table.length("widest_gap", facts.length("widest_gap")), facts.step),
        least_fold=table.length("least_fold", facts.length("least_fold")),
        least_overlap=ceil_to(table.length("least_overlap", 0), facts.step),
        other_lining=table.name_of("other_lining", cloths),
    )
    table.finish()
    return fit


def _cost(table: TableReader, key: str, default: int) -> int | None:
    """What giving something up costs; None where it is forbidden."""
    value = table.raw(key)
    if value is None:
        return default
    if value is False or (isinstance(value, str) and value.strip().casefold() in ("no", "false")):
        return None
    if isinstance(value, str) and re.fullmatch(r"\d{1,9}", value, re.ASCII):
        value = int(value)  # a workbook's cell for a lining is a text
    if isinstance(value, int) and not isinstance(value, bool) and 1 <= value <= MOST_COST:
        return value
    table.refuse(key, f"a whole number from 1 to {MOST_COST}, or false to forbid it")
    return default


def _match(table: TableReader) -> MatchRule:
    strategy: Strategy = table.choice("strategy", get_args(Strategy), "level")
    match = MatchRule(
        strategy=strategy if table.given("strategy") else None,
        centre_on=table.choice("centre_on", ("motif", "between"), "motif"),
        across=table.choice("across", ("job", "opening"), "job"),
        anchor=table.choice("anchor", ("head", "sill", "wall"), "head"),
        lots=table.choice("lots", get_args(Lots), "opening"),
    )
    table.finish()
    return match


def _opening(table: TableReader, cloths: list[str], facts: _Facts) -> Opening:
    name = table.text("name")
    whose = name or "an opening"
    step = facts.tape.short(facts.step)

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
    overlap = rounded("overlap", table.length("overlap", 0), ceil_to)
    narrowest = table.length("narrowest", facts.length("narrowest"), above=0)
    narrowest = rounded("narrowest", narrowest, ceil_to)
    widest = rounded("widest", table.length("widest", facts.length("widest"), above=0), floor_to)
    for key, length in (("width", width), ("height", height), ("widest", widest)):
        if table.ok(key) and not length:
            table.refuse(key, f"at least one cutting step, {step}")
    if table.ok("narrowest", "widest") and narrowest > widest:
        if table.given("narrowest"):
            table.refuse("narrowest", f"at most the widest, which is {facts.tape.short(widest)}")
        else:
            low = facts.tape.short(narrowest)
            table.refuse("widest", f"at least the narrowest, which is {low}")
    mount = table.choice("mount", ("inside", "outside"), "inside")
    unused, by = ("overlap", overlap) if mount == "inside" else ("clearance", clearance)
    if by and table.given(unused):
        facts.notes.append(f"{whose} {unused}: not used, as the mount is {mount}")
    opening = Opening(
        name=name,
        width=width,
        height=height,
        copies=table.count("copies", 1, 1, MOST_COPIES),
        cloth=_cloth_of(table, cloths),
        mount=mount,
        clearance=clearance,
        overlap=overlap,
        shades=table.count_range("shades", 1, MOST_SHADES),
        gap=_gap(table, whose, facts),
        widths=table.choice("widths", ("equal", "mirrored", "free"), "equal"),
        narrowest=narrowest,
        widest=widest,
        head=head,
        draw=table.choice("draw", ("left", "right", "centre", "auto"), "auto"),
        head_above_floor=table.length_or_none("head_above_floor", above=0),
        depth=table.length_or_none("depth", above=0),
    )
    table.finish()
    return opening


def _cloth_of(table: TableReader, cloths: list[str]) -> str:
    name = table.name_of("cloth", cloths)
    if name is None and len(cloths) == 1:
        return cloths[0]
    if name is None and cloths and table.ok("cloth"):
        table.refuse("cloth", f"{one_of(cloths)}, as there is more than one cloth")
    return name or ""


def _gap(table: TableReader, whose: str, facts: _Facts) -> tuple[Ticks, Ticks]:
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
