"""Reading the tables of cloth: each as it is sold, and its pieces on hand with their flaws."""

from __future__ import annotations

from fractions import Fraction
from typing import Literal, get_args

from shadewright.job.bolts import is_bolt
from shadewright.job.facts import Facts
from shadewright.job.model import Cloth, Flaw, Piece, Runs
from shadewright.job.problems import shown
from shadewright.job.table import TableReader
from shadewright.job.values import plain
from shadewright.measure import Ticks

_PANEL: tuple[Literal["1 panel"]] = ("1 panel",)
_HALF: tuple[Literal["half"]] = ("half",)


def read_cloth(table: TableReader, name: str, facts: Facts) -> Cloth:
    """A cloth, with its pieces on hand."""
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
    motif_at = table.length("motif_at", (repeat_across or repeat_down or 0) // 2)
    known = table.ok("repeat_down", "repeat_across", "motif_at")
    if table.given("motif_at") and not patterned and known:
        table.refuse("motif_at", "none, or a repeat as well")
    bare_weight = "g/m^2" if facts.metric else "oz/yd^2"
    sold_in = table.length("sold_in", facts.length("sold_in"), above=0)
    cloth = Cloth(
        name=name,
        width=width,
        selvedge=selvedge,
        repeat_down=repeat_down,
        repeat_across=repeat_across,
        column_shift=column_shift,
        motif_at=motif_at,
        runs=table.choice("runs", get_args(Runs), "up the bolt" if patterned else "either"),
        start=table.length_or_word("start", ("any", "motif"), "any"),
        price=table.money("price"),
        sold_in=sold_in,
        can_buy=table.flag("can_buy") is not False,
        bolt=_bolt(table, sold_in, facts),
        spare=table.length_or_word("spare", _PANEL, 0),
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


def _bolt(table: TableReader, sold_in: Ticks, facts: Facts) -> Ticks | None:
    """The longest length sold in one piece, of which the last part step is never sold."""
    bolt = table.length_or_none("bolt", above=0)
    if bolt is not None and table.ok("bolt", "sold_in") and bolt < sold_in:
        table.refuse("bolt", f"at least the buying step, {facts.tape.cloth(sold_in)}")
    return bolt


def _shrink(table: TableReader, key: str) -> Fraction:
    wanted = "a fraction from 0 to below 1, such as 0.03"
    return table.number(key, wanted, lambda lost: 0 <= lost < 1) or Fraction(0)


def _pieces(tables: list[TableReader], width: Ticks | None) -> tuple[Piece, ...]:
    pieces = [_piece(table, width) for table in tables]
    refuse_same_names(tables, [piece.name for piece in pieces], "piece")
    return tuple(pieces)


def _piece(table: TableReader, width: Ticks | None) -> Piece:
    name = table.text("name")
    if is_bolt(name):
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


def refuse_same_names(tables: list[TableReader], names: list[str], kind: str) -> None:
    """Refuse a name that one before it has, or that differs from it in capitals and blanks alone:
    people would take one for the other."""
    first: dict[str, int] = {}
    for i, (table, name) in enumerate(zip(tables, names, strict=True)):
        at = first.setdefault(plain(name), i)
        if at < i and table.ok("name"):
            has = "has this one" if names[at] == name else f"is called {shown(names[at])}"
            table.refuse("name", f"a name of its own; {kind} {at + 1} {has}")
