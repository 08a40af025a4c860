"""A job as frozen data: openings, cloth, and how the shades are made.

Every length is in ticks (see `shadewright.measure`), already defaulted and rounded as the job's
cutting step asks. Nothing here computes: what follows from these facts is in `shadewright.trade`.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from fractions import Fraction
from functools import cached_property
from typing import Any, Literal, Self

from shadewright.job.frozen import Frozen
from shadewright.job.giving_up import Fit
from shadewright.job.woods import Timber
from shadewright.measure import TICKS, Tape, Ticks, Unit

Strategy = Literal["plain", "level", "centred", "continuous"]
Runs = Literal["up the bolt", "railroaded", "either", "mixed"]
Lots = Literal["opening", "job", "none"]
Draw = Literal["left", "right", "centre"]
DrawRule = Literal["left", "right", "centre", "auto"]


class Flaw(Frozen):
    """Part of a piece that no panel may touch, `start` to `end` from the piece's start."""

    start: Ticks
    end: Ticks
    left: Ticks | None = None
    """From the cloth's left edge, selvedge counted; None where it goes over the full width."""
    right: Ticks | None = None


class Piece(Frozen):
    """A length of cloth on hand."""

    name: str
    length: Ticks
    start: Ticks | None = None
    """From its cut end to the first motif row; None where the cloth has no repeat to place."""
    lot: str | None = None
    flaws: tuple[Flaw, ...] = ()


class Cloth(Frozen):
    """One fabric as it is sold."""

    name: str
    width: Ticks
    """Selvedge to selvedge."""
    selvedge: Ticks
    """Unusable at each edge."""
    repeat_down: Ticks | None
    """Along the motif's own vertical; None for plain cloth, and for stripes along that vertical."""
    repeat_across: Ticks | None
    """Sideways of it; None for plain cloth, and for bands that lie sideways."""
    column_shift: Ticks
    """How far the next motif column sits lower; 0 is a straight match, half of `repeat_down` a
    half-drop."""
    motif_at: Ticks
    """From the left usable edge to a motif centre."""
    runs: Runs
    start: Literal["any", "motif"] | Ticks
    """Where the bolt's cut end falls in the repeat: unknown, at a motif row, or this far before
    the first one."""
    price: Fraction | None
    """Money per yard, or per metre in a metric job."""
    sold_in: Ticks
    """The buying step."""
    can_buy: bool
    bolt: Ticks | None = None
    """The longest length sold in one piece; None: no limit."""
    spare: Literal["1 panel"] | Ticks = 0
    """Bought beyond what a plan uses, if anything is: a length, or that of its longest panel."""
    weight: float | None
    """Grams per square metre."""
    thickness: float | None
    """Millimetres."""
    outdoor: bool | None
    """Rated for outdoor use; None where the job does not say."""
    shrink_down: Fraction
    """Fraction lost along the bolt when washed before making up."""
    shrink_across: Fraction
    pieces: tuple[Piece, ...] = ()

    @property
    def usable(self) -> Ticks:
        """The width panels may lie in: x runs from 0 to here."""
        return self.width - 2 * self.selvedge

    @property
    def patterned(self) -> bool:
        """Whether it has a repeat, along the motif's vertical, sideways, or both."""
        return self.repeat_down is not None or self.repeat_across is not None

    @property
    def shifted(self) -> bool:
        """Whether columns of motifs stand higher than those beside them."""
        if self.repeat_down is None or self.repeat_across is None:
            return False
        return self.column_shift % self.repeat_down != 0

    @property
    def print_called(self) -> str:
        """What its print shows, in a word."""
        if self.repeat_down is None:
            return "stripes"
        return "bands" if self.repeat_across is None else "motifs"


class Stock(Frozen):
    """Stick lengths sold."""

    board: tuple[Ticks, ...]
    rod: tuple[Ticks, ...]


class Make(Frozen):
    """How every shade of the job is made."""

    side_fold: Ticks
    side_folds: Literal[1, 2]
    lining: str | None
    """Name of the lining's cloth; None for an unlined shade."""
    seam: Ticks
    board: Ticks
    rod: Ticks
    board_pocket: Ticks
    rod_pocket: Ticks
    turn_under: Ticks
    take_up: Literal["computed"] | Ticks
    square_up: Ticks
    stick_short: Ticks
    lift_inset: Ticks | None
    """Lift lines in from the shade's edges; None: the usual, less in a divided opening's narrow
    shades."""
    guide_inset: Ticks
    hook_drop: Ticks = 0
    """How far eye and hook hold the board's top below the head of an inside mount."""
    tail: Ticks
    """Cord below the draw guide when the shade is down."""
    tail_reach: Ticks | None
    """Height above the floor that the cord's end reaches; where stated, `tail` is not used."""
    knot: Ticks
    cord_reel: Ticks
    """Length of cord on a reel as sold."""
    tassels: bool
    """Whether every cord ends in one."""
    eye_shank: Ticks | None
    """Length of a screw eye's threaded shank; None where the job leaves it open."""
    hook_opening: Ticks | None
    """Clear opening of a cup hook; None where the job leaves it open."""
    wood: Timber
    stock: Stock
    kerf: Ticks
    most_sag: Ticks
    """That a board or a rod may sag between its supports."""
    wet_factor: Fraction
    """How many times heavier cloth is reckoned to be when wet."""
    table: Ticks | None = None
    """The longest drop that can be laid out; None: no limit."""
    extra_shade: Ticks = 0
    """Cloth that one more shade must save at least; where what a shade costs is known, and every
    cloth has a price, that is counted instead."""
    shade_cost: Fraction | None
    """Money a shade costs apart from cloth; None where the job does not say."""


class Prices(Frozen):
    """What hardware and work cost, in money; None where the job does not say."""

    hook: Fraction | None = None
    eye: Fraction | None = None
    cleat: Fraction | None = None
    cord: Fraction | None = None
    """Per yard, or per metre in a metric job."""
    board: tuple[tuple[Ticks, Fraction], ...] = ()
    """Of each length sold."""
    rod: tuple[tuple[Ticks, Fraction], ...] = ()
    hour: Fraction | None = None
    minutes: Fraction = Fraction(60)
    """That a shade takes."""


class MatchRule(Frozen):
    """How a motif must fall from shade to shade."""

    strategy: Strategy | None
    """None: level on cloth with a repeat, plain on cloth without."""
    centre_on: Literal["motif", "between"]
    across: Literal["job", "opening"]
    anchor: Literal["head", "sill", "wall"]
    alternate: bool = False
    """Centred on shifted columns: whether the motif on the centre line may stand higher on one
    shade than on the next."""
    motif_below: Ticks | None = None
    """How far a motif centre lies below every anchor, above it where these are sills; None where
    any place of the print will do."""
    lots: Lots = "opening"
    """What must be cut from one dye lot."""


class Opening(Frozen):
    """A gap in a wall to be covered by one or more shades side by side."""

    name: str
    width: Ticks
    height: Ticks
    copies: int
    cloth: str
    mount: Literal["inside", "outside"]
    clearance: Ticks
    """Left free at each side of an inside mount."""
    overlap: Ticks
    """Covered beyond each side and the top by an outside mount."""
    overlap_bottom: Ticks = 0
    """Covered below the opening by an outside mount."""
    sill_gap: Ticks = 0
    """Left free between the rod and the sill of an inside mount."""
    shades: tuple[int, int] | None
    """Fewest and most; None: from the fewest that fit to two more. Where draws are listed, as many
    as those."""
    gap: tuple[Ticks, Ticks]
    widths: Literal["equal", "mirrored", "free"]
    narrowest: Ticks
    """Finished; binds only where the opening is divided."""
    widest: Ticks
    head: Ticks
    draw: DrawRule | tuple[DrawRule, ...]
    """The side that every shade draws to, or of each from the left; "auto": outer shades to their
    own side, those between to the centre, a single one to the right."""
    head_above_floor: Ticks | None
    """Height of its head above the floor; None where the job does not say."""
    depth: Ticks | None
    """Of the recess an inside mount hangs in; None where the job does not say."""
    alike: bool = True
    """Whether all copies are divided alike."""
    like: str | None = None
    """An opening that it has as many shades as; None where it is tied to none."""
    runs: Runs | None = None
    """Its own lay; None: as its cloth runs."""

    @property
    def draws(self) -> tuple[DrawRule, ...]:
        """The draws that are asked for: one of all its shades, or of each."""
        return (self.draw,) if isinstance(self.draw, str) else self.draw


class Job(Frozen):
    """Everything that is asked for."""

    title: str
    units: Unit
    step: Ticks
    """Cutting precision."""
    cloths: tuple[Cloth, ...]
    make: Make
    match: MatchRule
    openings: tuple[Opening, ...]
    fit: Fit | None = None
    """None where the job does not say: the defaults."""
    prices: Prices | None = None
    """None where the job does not say."""
    children: bool = False
    """Whether small children live or visit where the shades hang."""
    outdoors: bool = False
    """Whether the shades hang where sun or weather reaches them."""
    notes: tuple[str, ...] = ()
    """What reading the job changed, in plain words (a measurement rounded down, say)."""

    @property
    def metric(self) -> bool:
        """Whether bare numbers are metric; it decides defaults, and yards or metres."""
        return self.units in ("mm", "cm", "m")

    @property
    def tape(self) -> Tape:
        return Tape(metric=self.metric, step=self.step)

    @property
    def price_unit(self) -> Ticks:
        """The length a cloth's price is for."""
        return TICKS[self.tape.cloth_unit]

    @property
    def patterned(self) -> bool:
        """Whether any face is of cloth with a repeat."""
        return any(self.cloth(opening.cloth).patterned for opening in self.openings)

    @property
    def faces(self) -> tuple[Cloth, ...]:
        """The cloths that faces are cut from."""
        names = {opening.cloth for opening in self.openings}
        return tuple(cloth for cloth in self.cloths if cloth.name in names)

    def made(self, **facts: object) -> Job:
        """The job with its shades made another way."""
        return self.model_copy(update={"make": self.make.model_copy(update=facts)})

    def matched(self, **facts: object) -> Job:
        """The job with its motifs matched another way."""
        return self.model_copy(update={"match": self.match.model_copy(update=facts)})

    def with_cloths(self, change: Callable[[Cloth], Mapping[str, object]]) -> Job:
        """The job with facts of each cloth changed."""
        cloths = tuple(cloth.model_copy(update=change(cloth)) for cloth in self.cloths)
        return self.model_copy(update={"cloths": cloths})

    def with_openings(self, openings: Iterable[Opening]) -> Job:
        """The job with other openings."""
        return self.model_copy(update={"openings": tuple(openings)})

    def cloth(self, name: str) -> Cloth:
        """The cloth of this name.

        Raises:
            KeyError: the job has no such cloth; reading a job rules that out.
        """
        for cloth in self.cloths:
            if cloth.name == name:
                return cloth
        raise KeyError(name)

    @cached_property
    def _by_name(self) -> dict[str, Opening]:
        return {opening.name: opening for opening in self.openings}

    def model_copy(self, *, update: Mapping[str, Any] | None = None, deep: bool = False) -> Self:
        """As of every model; what was worked out from its facts is not taken along."""
        copied = super().model_copy(update=update, deep=deep)
        copied.__dict__.pop("_by_name", None)
        return copied

    @property
    def priced(self) -> bool:
        """Whether every cloth that is needed has a price, so that money can be counted."""
        lining = {self.make.lining} if self.make.lining else set()
        names = {opening.cloth for opening in self.openings} | lining
        return all(self.cloth(name).price is not None for name in names)

    def opening(self, name: str) -> Opening:
        """The opening of this name.

        Raises:
            KeyError: the job has no such opening.
        """
        return self._by_name[name]

    def strategy(self, cloth: Cloth) -> Strategy:
        """The match strategy this cloth is cut by: always plain without a repeat, and where no face
        is of it, for a lining is laid plain."""
        if not cloth.patterned or all(o.cloth != cloth.name for o in self.openings):
            return "plain"
        return self.match.strategy or "level"
