"""Reading how every shade is made, the table [make]."""

from __future__ import annotations

import contextlib
from fractions import Fraction

from shadewright.job.facts import Facts
from shadewright.job.model import Make, Prices, Stock
from shadewright.job.problems import did_you_mean, one_of
from shadewright.job.table import TableReader
from shadewright.job.woods import UNNAMED_GRAVITY, WOODS, Timber
from shadewright.measure import LengthError, Ticks, ceil_to, parse_quantity

NO_LINING = "none"
"""What a job says of shades without lining; no cloth can be named so."""

# From balsa to the stiffest there is, in MPa.
_LEAST_STIFF, _MOST_STIFF = 1_000, 40_000


def read_make(table: TableReader, cloths: list[str], facts: Facts) -> Make:
    """How shades are made; `cloths` are the names of those there are."""

    def length(key: str, above: Ticks = -1) -> Ticks:
        return table.length(key, facts.length(key), above)

    def rounded(key: str) -> Ticks:
        stated = length(key)
        taken = ceil_to(stated, facts.step)
        if taken != stated:
            facts.note(table, key, "make", "is rounded up to", taken)
        return taken

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
        square_up=rounded("square_up"),
        stick_short=length("stick_short"),
        lift_inset=table.length_or_none("lift_inset"),
        guide_inset=length("guide_inset"),
        hook_drop=rounded("hook_drop"),
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
        shade_cost=table.money("shade_cost"),
        extra_shade=length("extra_shade"),
        table=table.length_or_none("table", above=0),
    )
    table.finish()
    return make


def read_prices(table: TableReader, stock: Stock, facts: Facts) -> Prices | None:
    """What hardware and work cost; None where the job says nothing of it.

    Args:
        stock: the lengths that sticks are sold in.
    """
    prices = Prices(
        hook=table.money("hook"),
        eye=table.money("eye"),
        cleat=table.money("cleat"),
        cord=table.money("cord"),
        board=table.prices("board", stock.board, facts.tape),
        rod=table.prices("rod", stock.rod, facts.tape),
        hour=table.money("hour"),
        minutes=table.number("minutes", "minutes from 1 to 10,000", lambda n: 1 <= n <= 10_000)
        or Fraction(60),
    )
    given = any(table.given(key) for key in Prices.model_fields if key != "minutes")
    if table.given("minutes") and not given:
        # Time alone costs nothing, and what one more shade must save still counts.
        facts.notes.append("prices minutes: not used, as no price is given")
    table.finish()
    return prices if given else None


def _wood(table: TableReader, facts: Facts) -> Timber:
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
    hint = did_you_mean(value, WOODS)
    table.refuse(
        "wood", f'{one_of(list(WOODS))}, or a stiffness such as "8500 MPa" or "1240 ksi"{hint}'
    )
    return pine


def _stock(table: TableReader, facts: Facts) -> Stock:
    stock = Stock(
        board=table.lengths("board", facts.lengths("stock.board")),
        rod=table.lengths("rod", facts.lengths("stock.rod")),
    )
    table.finish()
    return stock
