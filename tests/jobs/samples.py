"""Jobs and plans made by hand, for tests of everything that reads a plan.

The packer here is as plain as can be: it lays drops one after another as it is told, so it shares
nothing with the solver.
"""

from __future__ import annotations

from fractions import Fraction
from math import gcd
from typing import Any

from shadewright.cloth.plan import (
    Drop,
    Goal,
    Panel,
    PieceUse,
    Plan,
    Proof,
    Shade,
    Totals,
    shade_id,
)
from shadewright.job.model import Cloth, Job, Make, MatchRule, Opening, Stock
from shadewright.job.woods import WOODS
from shadewright.measure import TICKS, Ticks
from shadewright.solve.answer.workshop import making, wood
from shadewright.solve.run import Clock
from shadewright.trade import sizes
from shadewright.trade.buying import bought_length, cloth_cost, start_allowance
from shadewright.trade.cords import draw_of

INCH = TICKS["in"]
YARD = TICKS["yd"]
CM = TICKS["cm"]

Columns = list[list[tuple[str, str]]]
"""A drop as strips from the near edge on, each the (shade id, part) stacked in it."""


def inches(value: float) -> Ticks:
    return round(value * INCH)


def cloth(name: str = "sailcloth", **over: Any) -> Cloth:
    facts: dict[str, Any] = {
        "name": name,
        "width": 54 * INCH,
        "selvedge": INCH // 2,
        "repeat_down": None,
        "repeat_across": None,
        "column_shift": 0,
        "motif_at": 0,
        "runs": "either",
        "start": "any",
        "price": Fraction("38.5"),
        "sold_in": YARD // 8,
        "can_buy": True,
        "weight": None,
        "thickness": None,
        "outdoor": None,
        "shrink_down": Fraction(0),
        "shrink_across": Fraction(0),
    }
    return Cloth(**{**facts, **over})


def striped(**over: Any) -> Cloth:
    """A half-drop of 27 in, so rows come every 13 1/2 in."""
    facts: dict[str, Any] = {
        "name": "stripe",
        "repeat_down": 27 * INCH,
        "repeat_across": inches(13.5),
        "column_shift": inches(13.5),
        "motif_at": inches(6.75),
        "runs": "up the bolt",
    }
    return cloth(**{**facts, **over})


def make(**over: Any) -> Make:
    facts: dict[str, Any] = {
        "side_fold": INCH,
        "side_folds": 2,
        "lining": None,
        "seam": INCH // 2,
        "board": inches(0.75),
        "rod": inches(0.625),
        "board_pocket": inches(1.75),
        "rod_pocket": inches(1.5),
        "turn_under": INCH // 2,
        "take_up": "computed",
        "square_up": INCH,
        "stick_short": INCH // 4,
        "lift_inset": 3 * INCH,
        "guide_inset": INCH,
        "tail": 18 * INCH,
        "knot": 3 * INCH,
        "tail_reach": None,
        "cord_reel": 3600 * INCH,
        "tassels": False,
        "eye_shank": None,
        "hook_opening": None,
        "most_sag": INCH // 8,
        "wet_factor": Fraction(2),
        "wood": WOODS["eastern white pine"],
        "stock": Stock(board=(96 * INCH,), rod=(36 * INCH, 72 * INCH)),
        "kerf": INCH // 8,
        "extra_shade": 0,
        "shade_cost": Fraction(0),
    }
    return Make(**{**facts, **over})


def opening(name: str, width: float, height: float, **over: Any) -> Opening:
    """An opening; width and height in inches."""
    facts: dict[str, Any] = {
        "name": name,
        "width": inches(width),
        "height": inches(height),
        "copies": 1,
        "cloth": "sailcloth",
        "mount": "inside",
        "clearance": INCH // 4,
        "overlap": 0,
        "shades": None,
        "gap": (INCH // 4, INCH // 2),
        "widths": "free",
        "narrowest": 6 * INCH,
        "widest": 72 * INCH,
        "head": 0,
        "draw": "auto",
        "head_above_floor": None,
        "depth": None,
    }
    return Opening(**{**facts, **over})


def job(openings: list[Opening], cloths: list[Cloth], **over: Any) -> Job:
    facts: dict[str, Any] = {
        "title": "Heron Cottage",
        "units": "in",
        "step": INCH // 16,
        "cloths": tuple(cloths),
        "make": make(),
        "match": MatchRule(strategy=None, centre_on="motif", across="job", anchor="head"),
        "openings": tuple(openings),
    }
    return Job(**{**facts, **over})


def shades(job: Job, name: str, widths: list[Ticks], gap: Ticks, copy: int = 1) -> list[Shade]:
    """One copy of an opening divided into these finished widths."""
    hung = next(o for o in job.openings if o.name == name)
    outside = hung.mount == "outside"
    left = -hung.overlap if outside else hung.clearance
    found = []
    for place, width in enumerate(widths, 1):
        found.append(
            Shade(
                id=shade_id(name, copy, place, len(widths)),
                opening=name,
                copy=copy,
                place=place,
                of=len(widths),
                left=left,
                finished_width=width,
                finished_length=hung.height
                + (hung.overlap + hung.overlap_bottom if outside else -hung.sill_gap)
                - (0 if outside else job.make.hook_drop),
                draw=draw_of(hung, place, len(widths)),
                cloth=hung.cloth,
            )
        )
        left += width + gap
    return found


def plan(
    job: Job,
    hung: list[Shade],
    drops: dict[str, list[Columns]],
    *,
    railroaded: tuple[str, ...] = (),
    **over: Any,
) -> Plan:
    """A plan that cuts these drops from each cloth's bolt, one after another.

    On level cloth every face's top comes to the row of the first; `railroaded` names the
    cloths whose panels lie so.
    """
    panels: list[Panel] = []
    cut: list[Drop] = []
    pieces: list[PieceUse] = []
    for name, columns in drops.items():
        found = _Bolt(job, hung, job.cloth(name), name in railroaded)
        for column in columns:
            found.lay(column)
        panels += found.panels
        cut += found.drops
        pieces.append(found.use())
    used = sum(piece.used for piece in pieces)
    area = sum(panel.across * panel.along for panel in panels)
    within = sum(job.cloth(piece.cloth).usable * piece.used for piece in pieces)
    cost = sum(piece.cost for piece in pieces) + float(job.make.shade_cost * len(hung))
    totals = Totals(
        shades=len(hung),
        bought={piece.cloth: piece.length for piece in pieces},
        cost=cost,
        waste=float(1 - Fraction(area, within)),
    )
    priced = all(job.cloth(piece.cloth).price is not None for piece in pieces)
    first = (
        Goal(goal="money", value=cost, bound=cost)
        if priced
        else Goal(
            goal="bought", value=sum(totals.bought.values()), bound=sum(totals.bought.values())
        )
    )
    rest = [
        Goal(goal="shades", value=len(hung), bound=len(hung)),
        Goal(goal="used", value=used, bound=used),
        Goal(goal="widths", value=1, bound=1),
        Goal(goal="gaps", value=2 * INCH, bound=2 * INCH),
    ]
    facts: dict[str, Any] = {
        "job": job.title,
        "proof": Proof(
            status="proved", seconds=0.5, goals=[first, *rest], used=used, used_bound=used
        ),
        "shades": hung,
        "panels": panels,
        "drops": cut,
        "pieces": pieces,
        "making": making(job, hung),
        "wood": wood(job, making(job, hung), Clock(20)).sticks,
        "totals": totals,
    }
    return Plan(**{**facts, **over})


class _Bolt:
    """One cloth's bolt while drops are laid on it."""

    def __init__(self, job: Job, hung: list[Shade], cloth: Cloth, railroaded: bool):
        self.job, self.cloth, self.railroaded = job, cloth, railroaded
        self.hung = {shade.id: shade for shade in hung}
        self.panels: list[Panel] = []
        self.drops: list[Drop] = []
        self.end = job.make.square_up
        self.phase: Ticks | None = None

    def lay(self, columns: Columns) -> None:
        number = len(self.drops) + 1
        laid: list[Panel] = []
        x = 0
        for column in columns:
            y = self.end
            widest = 0
            for shade, part in column:
                size = sizes.panel(
                    self.job,
                    self.cloth,
                    self.hung[shade].finished_width,
                    self.hung[shade].finished_length,
                    self.railroaded,
                )
                y = self._to_the_row(y, size, part)
                laid.append(
                    Panel(
                        shade=shade,
                        part="face" if part == "face" else "lining",
                        cloth=self.cloth.name,
                        piece="bolt",
                        drop=number,
                        x=x,
                        y=y,
                        across=size.across,
                        along=size.along,
                        railroaded=size.railroaded,
                        hem_left=size.hem_left,
                        hem_top=size.hem_top,
                    )
                )
                y += size.along
                widest = max(widest, size.across)
            x += widest
        assert x <= self.cloth.usable, "the drop does not fit its cloth"
        start = min(panel.y for panel in laid)
        self.end = max(panel.y + panel.along for panel in laid)
        self.panels += laid
        self.drops.append(
            Drop(cloth=self.cloth.name, piece="bolt", number=number, start=start, end=self.end)
        )

    def _to_the_row(self, y: Ticks, size: sizes.PanelSize, part: str) -> Ticks:
        if self.cloth.repeat_down is None or part != "face" or size.railroaded:
            return y
        spacing = gcd(self.cloth.repeat_down, self.cloth.column_shift)
        if self.phase is None:
            self.phase = (y + size.hem_top) % spacing
        return y + (self.phase - y - size.hem_top) % spacing

    def use(self) -> PieceUse:
        spare = start_allowance(self.job, self.cloth, self.railroaded)
        length = bought_length(self.end, spare, self.cloth.sold_in)
        cost = float(cloth_cost(self.job, self.cloth, length))
        return PieceUse(
            cloth=self.cloth.name,
            piece="bolt",
            bought=True,
            length=length,
            used=self.end,
            cost=cost,
        )


# --- Whole samples ------------------------------------------------------------------------------


def three_shades() -> tuple[Job, Plan]:
    """Plain cloth, three equal shades, each a drop of its own."""
    asked = job([opening("West bay", 142, 78)], [cloth()])
    # 142 less 1/2 of clearance and two gaps of 1/4 leaves three times 47.
    hung = shades(asked, "West bay", [47 * INCH] * 3, INCH // 4)
    return asked, plan(asked, hung, {"sailcloth": [[[(s.id, "face")]] for s in hung]})


def mixed() -> tuple[Job, Plan]:
    """Level cloth; panels side by side, stacked with a trim, and a shade that stands alone."""
    asked = job(
        [
            opening("Door", 40.5, 80, cloth="stripe"),
            opening("Side lights", 19, 80, cloth="stripe", copies=2),
            opening("Transom", 49.5, 12, cloth="stripe"),
        ],
        [striped(start="motif")],
        title="Back porch & stairs",
        make=make(shade_cost=Fraction("6.25")),
        notes=('[[opening]] "Door" height 80 1/32" was rounded down to 80".',),
    )
    hung = [
        *shades(asked, "Door", [40 * INCH], 0),
        *shades(asked, "Side lights", [inches(18.5)], 0, 1),
        *shades(asked, "Side lights", [inches(18.5)], 0, 2),
        *shades(asked, "Transom", [inches(26.75), inches(22)], INCH // 4),
    ]
    door, left, right, wide, narrow = [s.id for s in hung]
    drops: list[Columns] = [
        [[(door, "face")]],
        [[(left, "face")], [(right, "face")]],
        [[(wide, "face"), (narrow, "face")]],
    ]
    return asked, plan(asked, hung, {"stripe": drops})


def lined_metric() -> tuple[Job, Plan]:
    """A metric job with linings on a cloth of their own, railroaded, and no prices."""
    face = cloth(
        "linen",
        width=140 * CM,
        selvedge=CM,
        price=None,
        sold_in=10 * CM,
        shrink_down=Fraction(3, 100),
    )
    lining = cloth("cotton", width=150 * CM, selvedge=CM, price=None, sold_in=10 * CM)
    asked = job(
        [opening("Bay", 200 * CM / INCH, 130 * CM / INCH, cloth="linen", clearance=CM)],
        [face, lining],
        title="Küche",
        units="cm",
        step=TICKS["mm"],
        make=make(
            lining="cotton",
            seam=CM,
            board=2 * CM,
            rod=round(1.6 * CM),
            board_pocket=5 * CM,
            rod_pocket=4 * CM,
            turn_under=CM,
            square_up=2 * CM,
            stick_short=CM // 2,
        ),
    )
    hung = shades(asked, "Bay", [round(98.5 * CM)] * 2, CM)
    first, second = [s.id for s in hung]
    drops: dict[str, list[Columns]] = {
        "linen": [[[(s.id, "face")]] for s in hung],
        "cotton": [[[(first, "lining")]], [[(second, "lining")]]],
    }
    return asked, plan(asked, hung, drops, railroaded=("cotton",))


def porch(count: int = 50) -> tuple[Job, Plan]:
    """A long porch of `count` narrow and wide shades on level cloth, from an unknown start."""
    names = [f"Bay {i}" for i in range(1, count // 2 + 1)]
    asked = job([opening(n, 47.5, 75, cloth="stripe") for n in names], [striped()], title="Porch")
    hung: list[Shade] = []
    for name in names:
        hung += shades(asked, name, [inches(38.75), 8 * INCH], INCH // 4)
    wide, narrow = hung[::2], hung[1::2]
    drops: list[Columns] = [[[(s.id, "face")]] for s in wide]
    drops += [[[(s.id, "face")] for s in narrow[i : i + 4]] for i in range(0, len(narrow), 4)]
    return asked, plan(asked, hung, {"stripe": drops})
