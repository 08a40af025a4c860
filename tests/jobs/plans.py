"""Jobs and plans made by hand, arithmetic beside them, to judge the judge by.

Lengths are in inches or millimetres of the drawings and turned into ticks by `inch` and `mm`.
"""

from __future__ import annotations

from fractions import Fraction
from math import pi, sqrt
from typing import Any

from shadewright.job.model import Cloth, Job, Make, MatchRule, Opening, Stock
from shadewright.job.woods import WOODS

Json = dict[str, Any]


def inch(length: float) -> int:
    """Ticks; only for lengths that are whole ticks."""
    ticks = Fraction(length) * 8128
    assert ticks.denominator == 1
    return int(ticks)


def mm(length: float) -> int:
    ticks = Fraction(length) * 320
    assert ticks.denominator == 1
    return int(ticks)


STEP = inch(1 / 16)


def cloth(name: str, **facts: Any) -> Cloth:
    """54 in plain cloth, 53 in of it usable, up the bolt, sold by the eighth of a yard."""
    plain: Json = {
        "width": inch(54),
        "selvedge": inch(0.5),
        "repeat_down": None,
        "repeat_across": None,
        "column_shift": 0,
        "motif_at": 0,
        "runs": "up the bolt",
        "start": "any",
        "price": None,
        "sold_in": inch(4.5),
        "can_buy": True,
        "weight": None,
        "thickness": None,
        "outdoor": None,
        "shrink_down": Fraction(0),
        "shrink_across": Fraction(0),
    }
    return Cloth(name=name, **{**plain, **facts})


def make(**facts: Any) -> Make:
    """Unlined, double 1 in hems (2 in a side), a take-up of 1/2 in stated.

    So a panel is 4 in wider than its shade, and longer by 1 3/4 + 1 1/2 for the pockets, 2 x 1/2
    turned under and 1/2 of take-up: 4 3/4 in. Its top hem is 1/2 + 1 3/4 + half of 1/2: 2 1/2 in.
    """
    common: Json = {
        "side_fold": inch(1),
        "side_folds": 2,
        "lining": None,
        "seam": inch(0.5),
        "board": inch(0.75),
        "rod": inch(0.625),
        "board_pocket": inch(1.75),
        "rod_pocket": inch(1.5),
        "turn_under": inch(0.5),
        "take_up": inch(0.5),
        "square_up": inch(1),
        "stick_short": inch(0.25),
        "lift_inset": inch(2),
        "guide_inset": inch(1),
        "tail": inch(18),
        "knot": inch(3),
        "tail_reach": None,
        "cord_reel": inch(3600),
        "tassels": False,
        "eye_shank": None,
        "hook_opening": None,
        "most_sag": inch(0.125),
        "wet_factor": Fraction(2),
        "wood": WOODS["eastern white pine"],
        "stock": Stock(board=(inch(96),), rod=(inch(72),)),
        "kerf": inch(0.125),
        "extra_shade": 0,
        "shade_cost": Fraction(0),
    }
    return Make(**{**common, **facts})


def opening(name: str, width: int, height: int, cloth_name: str, **facts: Any) -> Opening:
    """Inside mount, 1/4 in clearance, gaps of 1/4 to 1/2 in, shades of 18 to 72 in, any count."""
    common: Json = {
        "copies": 1,
        "mount": "inside",
        "clearance": inch(0.25),
        "overlap": 0,
        "shades": None,
        "gap": (inch(0.25), inch(0.5)),
        "widths": "equal",
        "narrowest": inch(18),
        "widest": inch(72),
        "head": 0,
        "draw": "auto",
        "head_above_floor": None,
        "depth": None,
    }
    return Opening(name=name, width=width, height=height, cloth=cloth_name, **{**common, **facts})


def job(cloths: list[Cloth], openings: list[Opening], **facts: Any) -> Job:
    """An inch job cut to 1/16 in."""
    common: Json = {
        "title": "Heron Cottage",
        "units": "in",
        "step": STEP,
        "make": make(),
        "match": MatchRule(strategy=None, centre_on="motif", across="job", anchor="head"),
    }
    return Job(cloths=tuple(cloths), openings=tuple(openings), **{**common, **facts})


# --- rows of a plan file ----------------------------------------------------------------------


def shade(at: str, left: int, size: tuple[int, int], draw: str, cloth_name: str = "plain") -> Json:
    """A shade by its id, such as ``Row 1, 2 of 3``."""
    row, _, place = at.rpartition(", ")
    name, _, copy = row.rpartition(" ")
    number, _, of = place.partition(" of ")
    return {
        "id": at,
        "opening": name,
        "copy": int(copy),
        "place": int(number),
        "of": int(of),
        "left": left,
        "finished_width": size[0],
        "finished_length": size[1],
        "draw": draw,
        "cloth": cloth_name,
    }


def panel(
    of: str,
    drop: int,
    corner: tuple[int, int],
    size: tuple[int, int],
    *,
    cloth_name: str = "plain",
    part: str = "face",
    railroaded: bool = False,
    hems: tuple[int, int] = (inch(2), inch(2.5)),
) -> Json:
    return {
        "shade": of,
        "part": part,
        "cloth": cloth_name,
        "piece": "bolt",
        "drop": drop,
        "x": corner[0],
        "y": corner[1],
        "across": size[0],
        "along": size[1],
        "railroaded": railroaded,
        "hem_left": hems[0],
        "hem_top": hems[1],
    }


def drops(ends: list[tuple[int, int]], cloth_name: str = "plain") -> list[Json]:
    return [
        {"cloth": cloth_name, "piece": "bolt", "number": number, "start": start, "end": end}
        for number, (start, end) in enumerate(ends, 1)
    ]


def piece(length: int, used: int, cost: float, cloth_name: str = "plain") -> Json:
    return {
        "cloth": cloth_name,
        "piece": "bolt",
        "bought": True,
        "length": length,
        "used": used,
        "cost": cost,
    }


def proof(status: str, goals: list[tuple[str, float, float]], used: int, used_bound: int) -> Json:
    return {
        "status": status,
        "seconds": 0.25,
        "goals": [{"goal": goal, "value": value, "bound": bound} for goal, value, bound in goals],
        "used": used,
        "used_bound": used_bound,
    }


def making(of: Json, asked: Job) -> Json:
    """What a shade takes, by `make` above: a board 1/4 in short, so each end stands 1/8 in inside
    the shade's edge; lift lines 2 in from the edges, 1 7/8 in from the board's ends; a draw guide
    1 in from its end; 18 in of tail and 3 in for the knot. Two hooks up to 42 in, three beyond.
    Cloth 0.5 mm thick, and lined twice that, on a rod as thick as the job has it."""
    width, length = of["finished_width"], of["finished_length"]
    board = width - inch(0.25)
    left, right = inch(1.875), board - inch(1.875)
    guide = {"left": inch(1), "right": board - inch(1), "centre": board // 2}[of["draw"]]
    layers = 2 if asked.make.lining else 1
    hooks = [left, right] if width <= inch(42) else [left, board // 2, right]
    if width == inch(120):
        # Each of two spans of 58 in (1473.2 mm) would bend too far: the load is 2 x 310 g/m2 x
        # 84 1/4 in x (1 + 4/24) = 1.548 g/mm and wood of 0.196, 0.0171 N/mm, on E I = 8500 x
        # 19.05^4 / 12: 0.0171 x 1473.2^4 / (184.634 E I) = 4.7 mm, above 1/8 in.
        hooks = [left, left + inch(116) // 3, left + inch(116) * 2 // 3, right]
    return {
        "shade": of["id"],
        "board": board,
        "rod": board,
        "lift_lines": [left, right],
        "guide": guide,
        "hooks": hooks,
        "cords": [2 * length + abs(guide - line) + inch(21) for line in (left, right)],
        "raised_diameter": round(sqrt(asked.make.rod**2 + 4 * length * layers * 160 / pi)),
    }


def sticks(shades: list[Json], asked: Job) -> list[Json]:
    """A board and a rod for each shade, each from a stick of its own: 96 in and 72 in are sold, and
    where some are longer, they all are cut from the next whole foot (10 cm) above the longest."""
    longest = max(of["finished_width"] for of in shades) - inch(0.25)
    foot = mm(100) if asked.metric else inch(12)
    lengths = {
        kind: sold if longest <= sold else -(-longest // foot) * foot
        for kind, sold in (("board", inch(96)), ("rod", inch(72)))
    }
    return [
        {
            "stick": kind,
            "stock": lengths[kind],
            "cuts": [{"shade": of["id"], "length": of["finished_width"] - inch(0.25)}],
        }
        for kind in ("board", "rod")
        for of in shades
    ]


def plan(
    asked: Job, proved: Json, shades: list[Json], panels: list[Json], cut: list[Json], **rest: Any
) -> Json:
    return {
        "format": "shadewright-plan/1",
        "job": "Heron Cottage",
        "tick_per_inch": 8128,
        "proof": proved,
        "shades": shades,
        "panels": panels,
        "drops": cut,
        "making": [making(of, asked) for of in shades],
        "wood": sticks(shades, asked),
        **rest,
    }


# --- plain: side by side, and stacked ---------------------------------------------------------


def plain() -> tuple[Job, Json]:
    """Three openings of 60 in cloth (59 usable), $10 a yard, sold by the half yard.

        y   1 +-----------------------+--------------+--+
              | Door 34 x 80          | Pair 24 x 40 |  |
           41 |                       +--------------+  |
              |                       | Pair 24 x 40 |  |
           81 +--------------+--------+-----+--------+--+
              | Row 22 x 40  | Row 24 x 40  |           |
          121 +--------------+--------------+-----------+
              | Row 22 x 40  |                          |
          161 +--------------+--------------------------+

    Door: 30 1/2 less 2 x 1/4 is 30 finished; 75 1/4 + 4 3/4 = 80 long.
    Pair: 40 3/4 less 1/2 is 20 + 1/4 + 20; 35 1/4 + 4 3/4 = 40 long.
    Row: 57 1/16 less 1/2 is 18 + 5/16 + 20 + 1/4 + 18 = 56 9/16. At most 55 is finished of 59, so
    the fewest is 2 (28 1/8 each, 5/16 between), and 2 to 4 are allowed.
    Used 161 in; the next half yard is 162 = 4 1/2 yd, $45; 6 shades at $2 make $57.
    Panels take 34 x 80 + 2 x 24 x 40 + (22 + 24 + 22) x 40 = 7360 of 59 x 161 = 9499.
    """
    asked = job(
        [
            cloth("plain", width=inch(60), price=Fraction(10), sold_in=inch(18)),
        ],
        [
            opening("Door", inch(30.5), inch(75.25), "plain"),
            opening("Pair", inch(40.75), inch(35.25), "plain", shades=(2, 2), widths="free"),
            opening("Row", inch(57.0625), inch(35.25), "plain", widths="mirrored"),
        ],
        make=make(shade_cost=Fraction(2)),
    )
    low = inch(35.25)
    made = plan(
        asked,
        proof(
            "gap",
            [
                ("money", 57.0, 50.0),
                ("shades", 6, 5),
                ("used", inch(161), inch(140)),
                ("widths", 3, 1),  # 34, 24, 22
                ("gaps", inch(0.8125), 0),  # 1/4 + 5/16 + 1/4
            ],
            inch(161),
            inch(140),
        ),
        [
            shade("Door 1, 1 of 1", inch(0.25), (inch(30), inch(75.25)), "right"),
            shade("Pair 1, 1 of 2", inch(0.25), (inch(20), low), "left"),
            shade("Pair 1, 2 of 2", inch(20.5), (inch(20), low), "right"),
            shade("Row 1, 1 of 3", inch(0.25), (inch(18), low), "left"),
            shade("Row 1, 2 of 3", inch(18.5625), (inch(20), low), "centre"),
            shade("Row 1, 3 of 3", inch(38.8125), (inch(18), low), "right"),
        ],
        [
            panel("Door 1, 1 of 1", 1, (0, inch(1)), (inch(34), inch(80))),
            panel("Pair 1, 1 of 2", 1, (inch(34), inch(1)), (inch(24), inch(40))),
            panel("Pair 1, 2 of 2", 1, (inch(34), inch(41)), (inch(24), inch(40))),
            panel("Row 1, 1 of 3", 2, (0, inch(81)), (inch(22), inch(40))),
            panel("Row 1, 2 of 3", 2, (inch(22), inch(81)), (inch(24), inch(40))),
            panel("Row 1, 3 of 3", 3, (0, inch(121)), (inch(22), inch(40))),
        ],
        drops([(inch(1), inch(81)), (inch(81), inch(121)), (inch(121), inch(161))]),
        pieces=[piece(inch(162), inch(161), 45.0)],
        totals={
            "shades": 6,
            "bought": {"plain": inch(162)},
            "cost": 57.0,
            "waste": 1 - 7360 / 9499,
        },
    )
    return asked, made


# --- level, on a half-drop --------------------------------------------------------------------


def level() -> tuple[Job, Json]:
    """Two openings of half-drop cloth: rows come every half of 25 1/4 in, 12 5/8.

    Take-up is computed: 1/2 in at the board exactly, 0.229827... in at the rod (mpmath). So a
    panel is longer than its shade by 1 3/4 + 1 1/2 + 1 + 0.7298 = 4.9798, up to 5 in as shades are
    on the step; the top hem is 1/2 + 1 3/4 + 1/2 = 2 3/4 in.
    West bay: 81 3/4 less 1/2 is 40 1/2 + 1/4 + 40 1/2; cut 44 1/2 x (78 + 5 = 83).
    Side: 5 less 1/2 is 4 1/2; cut 8 1/2 x (50 + 5 = 55); 44 1/2 + 8 1/2 = 53, all that is usable.
    First drop 1 to 84; 7 rows (88 3/8) on, the second is 89 3/8 to 172 3/8. Side begins a row
    below, at 102, and ends at 157.
    172 3/8 used + 25 1/4 for the start = 197 5/8, up to 44 eighths of a yard, 198 in = 5 1/2 yd,
    at $38.50: $211.75. Panels: 2 x 44 1/2 x 83 + 8 1/2 x 55 = 7854 1/2 of 53 x 172 3/8.
    """
    asked = job(
        [
            cloth(
                "leaf",
                repeat_down=inch(25.25),
                repeat_across=inch(13.5),
                column_shift=inch(12.625),
                price=Fraction("38.5"),
            )
        ],
        [
            opening("West bay", inch(81.75), inch(78), "leaf"),
            opening("Side", inch(5), inch(50), "leaf"),
        ],
        make=make(take_up="computed"),
    )
    used, hems = inch(172.375), (inch(2), inch(2.75))
    wide = (inch(44.5), inch(83))
    made = plan(
        asked,
        proof(
            "proved",
            [
                ("money", 211.75, 211.75),
                ("shades", 3, 3),
                ("used", used, used),
                ("widths", 2, 2),
                ("gaps", inch(0.25), inch(0.25)),
            ],
            used,
            inch(170),
        ),
        [
            shade("West bay 1, 1 of 2", inch(0.25), (inch(40.5), inch(78)), "left", "leaf"),
            shade("West bay 1, 2 of 2", inch(41), (inch(40.5), inch(78)), "right", "leaf"),
            shade("Side 1, 1 of 1", inch(0.25), (inch(4.5), inch(50)), "right", "leaf"),
        ],
        [
            panel("West bay 1, 1 of 2", 1, (0, inch(1)), wide, cloth_name="leaf", hems=hems),
            panel("West bay 1, 2 of 2", 2, (0, inch(89.375)), wide, cloth_name="leaf", hems=hems),
            panel(
                "Side 1, 1 of 1",
                2,
                (inch(44.5), inch(102)),
                (inch(8.5), inch(55)),
                cloth_name="leaf",
                hems=hems,
            ),
        ],
        drops([(inch(1), inch(84)), (inch(89.375), used)], "leaf"),
        pieces=[piece(inch(198), used, 211.75, "leaf")],
        totals={
            "shades": 3,
            "bought": {"leaf": inch(198)},
            "cost": 211.75,
            "waste": 1 - 7854.5 / (53 * 172.375),
        },
    )
    return asked, made


# --- railroaded -------------------------------------------------------------------------------


def railroaded() -> tuple[Job, Json]:
    """Wide cloth, 89 in usable, turned a quarter; no price, so the first goal is length bought.

    Long: 120 finished, 124 along the roll; 80 + 4 3/4 = 84 3/4 across.
    Low: 120 3/4 less 1/2 is 60 + 1/4 + 60; 64 along, 36 + 4 3/4 = 40 3/4 across, two side by side.
    Drops 1 to 125 and 125 to 189 = 42 eighths of a yard exactly. 3 shades at $5.
    Panels: 84 3/4 x 124 + 2 x 40 3/4 x 64 = 15725 of 89 x 189 = 16821.
    """
    asked = job(
        [cloth("plain", width=inch(90), runs="railroaded")],
        [
            opening("Long", inch(120.5), inch(80), "plain", widest=inch(144)),
            opening("Low", inch(120.75), inch(36), "plain", draw="centre"),
        ],
        make=make(shade_cost=Fraction(5)),
    )
    low = (inch(40.75), inch(64))
    made = plan(
        asked,
        proof(
            "gap",
            [
                ("bought", inch(189), inch(180)),
                ("shades", 3, 3),
                ("used", inch(189), inch(189)),
                ("widths", 2, 1),  # 124, 64
                ("gaps", inch(0.25), 0),
            ],
            inch(189),
            inch(180),
        ),
        [
            shade("Long 1, 1 of 1", inch(0.25), (inch(120), inch(80)), "right"),
            shade("Low 1, 1 of 2", inch(0.25), (inch(60), inch(36)), "centre"),
            shade("Low 1, 2 of 2", inch(60.5), (inch(60), inch(36)), "centre"),
        ],
        [
            panel("Long 1, 1 of 1", 1, (0, inch(1)), (inch(84.75), inch(124)), railroaded=True),
            panel("Low 1, 1 of 2", 2, (0, inch(125)), low, railroaded=True),
            panel("Low 1, 2 of 2", 2, (inch(40.75), inch(125)), low, railroaded=True),
        ],
        drops([(inch(1), inch(125)), (inch(125), inch(189))]),
        pieces=[piece(inch(189), inch(189), 0)],
        totals={
            "shades": 3,
            "bought": {"plain": inch(189)},
            "cost": 15,
            "waste": 1 - 15725 / 16821,
        },
    )
    return asked, made


def railroaded_level() -> tuple[Job, Json]:
    """A motif 25.5 cm (81600 ticks) high lies across the roll; it comes every 6 in along it.

    Low: 33 1/4 + 4 3/4 = 38 across, 64 along. The second column is 4 rows on, at 326400 ticks,
    off the cutting step. Used 1 to 65, and nothing for the start, for nothing of the print is asked
    along the roll: up to 67 1/2 in = 1 7/8 yd, $18.75.
    Panels: 2 x 38 x 64 = 4864 of 89 x 65 = 5785.
    """
    asked = job(
        [
            cloth(
                "leaf",
                width=inch(90),
                runs="railroaded",
                repeat_down=mm(255),
                repeat_across=inch(6),
                price=Fraction(10),
            )
        ],
        [opening("Low", inch(120.75), inch(33.25), "leaf")],
    )
    low = (inch(38), inch(64))
    made = plan(
        asked,
        proof(
            "gap",
            [
                ("money", 18.75, 18.75),
                ("shades", 2, 2),
                ("used", inch(65), inch(60)),
                ("widths", 1, 1),
                ("gaps", inch(0.25), inch(0.25)),
            ],
            inch(65),
            inch(60),
        ),
        [
            shade("Low 1, 1 of 2", inch(0.25), (inch(60), inch(33.25)), "left", "leaf"),
            shade("Low 1, 2 of 2", inch(60.5), (inch(60), inch(33.25)), "right", "leaf"),
        ],
        [
            panel("Low 1, 1 of 2", 1, (0, inch(1)), low, cloth_name="leaf", railroaded=True),
            panel("Low 1, 2 of 2", 1, (326_400, inch(1)), low, cloth_name="leaf", railroaded=True),
        ],
        drops([(inch(1), inch(65))], "leaf"),
        pieces=[piece(inch(67.5), inch(65), 18.75, "leaf")],
        totals={
            "shades": 2,
            "bought": {"leaf": inch(67.5)},
            "cost": 18.75,
            "waste": 1 - 4864 / 5785,
        },
    )
    return asked, made


# --- lined, outside mount, washed, metric -----------------------------------------------------


def lined() -> tuple[Job, Json]:
    """Two copies of a 900 x 1500 mm opening, covered 50 mm beyond each side and the top.

    Finished 1000 x 1550, first edge at -50. Knife edge: 12 mm a side, 1024. Lengths take 45 + 40
    for pockets, 2 x 12 turned under, 20 taken up: 129, 1679.
    The face shrinks 2 % across and 3 % down: 1024 / 0.98 = 1044.9, up to 1045; 1679 / 0.97 =
    1730.9, up to 1731. Its hems: 12 / 0.98 = 3918.37 ticks; (12 + 45 + 10) / 0.97 = 22103.09.
    Linen, 1380 mm usable: 25 to 1756, to 3487; 3.5 m at 20 a metre: 70.
    Calico, 2080 mm usable: two of 1024 side by side, 25 to 1704; 1.8 m, with no price.
    2 shades at 1.50 make 73. Used 3487 + 1704 = 5191, bought 3500 + 1800 = 5300.
    """
    asked = job(
        [
            cloth(
                "linen",
                width=mm(1400),
                selvedge=mm(10),
                price=Fraction(20),
                sold_in=mm(100),
                shrink_down=Fraction(3, 100),
                shrink_across=Fraction(2, 100),
            ),
            cloth("calico", width=mm(2100), selvedge=mm(10), sold_in=mm(100), runs="either"),
        ],
        [
            opening(
                "Studio",
                mm(900),
                mm(1500),
                "linen",
                copies=2,
                mount="outside",
                overlap=mm(50),
                gap=(mm(6), mm(12)),
                narrowest=mm(450),
                widest=mm(1800),
            )
        ],
        units="cm",
        step=mm(1),
        make=make(
            lining="calico",
            seam=mm(12),
            board=mm(18),
            rod=mm(16),
            board_pocket=mm(45),
            rod_pocket=mm(40),
            turn_under=mm(12),
            take_up=mm(20),
            square_up=mm(25),
            shade_cost=Fraction(3, 2),
        ),
    )
    face, lining = (mm(1045), mm(1731)), (mm(1024), mm(1679))
    one, two = "Studio 1, 1 of 1", "Studio 2, 1 of 1"
    size = (mm(1000), mm(1550))
    hems, lining_hems = (3918, 22103), (mm(12), mm(67))
    area = 2 * 1045 * 1731 + 2 * 1024 * 1679
    made = plan(
        asked,
        proof(
            "gap",
            [
                ("bought", mm(5300), mm(5300)),
                ("shades", 2, 2),
                ("used", mm(5191), mm(5000)),
                ("widths", 2, 2),  # 1045 and 1024
                ("gaps", 0, 0),
            ],
            mm(5191),
            mm(5000),
        ),
        [
            shade(one, mm(-50), size, "right", "linen"),
            shade(two, mm(-50), size, "right", "linen"),
        ],
        [
            panel(one, 1, (0, mm(25)), face, cloth_name="linen", hems=hems),
            panel(two, 2, (0, mm(1756)), face, cloth_name="linen", hems=hems),
            panel(
                one, 1, (0, mm(25)), lining, cloth_name="calico", part="lining", hems=lining_hems
            ),
            panel(
                two,
                1,
                (mm(1024), mm(25)),
                lining,
                cloth_name="calico",
                part="lining",
                hems=lining_hems,
            ),
        ],
        [
            *drops([(mm(25), mm(1756)), (mm(1756), mm(3487))], "linen"),
            *drops([(mm(25), mm(1704))], "calico"),
        ],
        pieces=[
            piece(mm(3500), mm(3487), 70.0, "linen"),
            piece(mm(1800), mm(1704), 0, "calico"),
        ],
        totals={
            "shades": 2,
            "bought": {"linen": mm(3500), "calico": mm(1800)},
            "cost": 73.0,
            "waste": 1 - area / (1380 * 3487 + 2080 * 1704),
        },
    )
    return asked, made


# --- level at the head, the sill, or a line on the wall ---------------------------------------

_BELOW = {"head": 0.0, "sill": 10.0, "wall": 9.5}


def anchored(anchor: str = "sill") -> tuple[Job, Json]:
    """A metric repeat, 64 cm = 204800 ticks, in an inch job, its rows level where `anchor` says.

    Tall, two copies: 30 finished, cut 34 x (60 + 4 3/4 = 64 3/4), heads 84 in up. Short: 10
    finished, cut 14 x (50 + 4 3/4 = 54 3/4), head 74 1/2 up. Beside the first Tall, Short begins
    at its height for level heads; 60 - 50 = 10 in below it for level sills; 84 - 74 1/2 = 9 1/2
    below it for a row level on the wall.
    The second Tall begins 3 repeats after the first, at 8128 + 614400 = 622528 ticks, and ends
    526288 (64 3/4 in) on, at 1148816. The shop cuts at a motif: 141.3 in used, 144 in = 4 yd
    bought. Panels: 2 x 34 x 64 3/4 + 14 x 54 3/4 = 5169 1/2 square inches.
    """
    asked = job(
        [cloth("leaf", repeat_down=mm(640), repeat_across=inch(9), start="motif")],
        [
            opening("Tall", inch(30.5), inch(60), "leaf", copies=2, head=inch(84)),
            opening("Short", inch(10.5), inch(50), "leaf", head=inch(74.5)),
        ],
        match=MatchRule.model_validate(
            {"strategy": "level", "centre_on": "motif", "across": "job", "anchor": anchor}
        ),
    )
    used = 1_148_816
    tall = (inch(34), inch(64.75))
    made = plan(
        asked,
        proof(
            "gap",
            [
                ("bought", inch(144), inch(144)),
                ("shades", 3, 3),
                ("used", used, inch(130)),
                ("widths", 2, 2),
                ("gaps", 0, 0),
            ],
            used,
            inch(130),
        ),
        [
            shade("Tall 1, 1 of 1", inch(0.25), (inch(30), inch(60)), "right", "leaf"),
            shade("Tall 2, 1 of 1", inch(0.25), (inch(30), inch(60)), "right", "leaf"),
            shade("Short 1, 1 of 1", inch(0.25), (inch(10), inch(50)), "right", "leaf"),
        ],
        [
            panel("Tall 1, 1 of 1", 1, (0, inch(1)), tall, cloth_name="leaf"),
            panel("Tall 2, 1 of 1", 2, (0, 622_528), tall, cloth_name="leaf"),
            panel(
                "Short 1, 1 of 1",
                1,
                (inch(34), inch(1 + _BELOW[anchor])),
                (inch(14), inch(54.75)),
                cloth_name="leaf",
            ),
        ],
        drops([(inch(1), inch(65.75)), (622_528, used)], "leaf"),
        pieces=[piece(inch(144), used, 0, "leaf")],
        totals={
            "shades": 3,
            "bought": {"leaf": inch(144)},
            "cost": 0,
            "waste": float(1 - Fraction(51695, 10) * 8128 / (53 * used)),
        },
    )
    return asked, made


# --- motifs on centre lines, and print that runs on -------------------------------------------


def pair(strategy: str) -> tuple[Job, Json]:
    """Two shades of one opening in half-drop cloth: V 20 in, H 10 in, columns at 5, 15, 25, ...

    48 less 1/2 is 23 5/8 + 1/4 + 23 5/8; cut 27 5/8 x (40 + 4 3/4 = 44 3/4): one above the other.
    The shades' left edges are at 1/4 and 24 1/8, the opening's middle at 24.
    Centred, a face's middle is 2 + 11 13/16 = 13 13/16 from its panel's edge: at x = 1 3/16 it lies
    at 15, at x = 11 3/16 at 25. Rows are level every 10 in, so the second begins at 1 + 50 = 51.
    Continuous, the opening's middle is 2 + 24 - 1/4 = 25 3/4 from the first panel's edge: at
    x = 9 1/4 it lies on the column at 35. It is 2 + 24 - 24 1/8 = 1 7/8 from the second's: at
    x = 3 1/8 it lies on the column at 5. Three columns to the left is 3 x 10 in higher up, 10 in
    after whole repeats of 20: the second begins at 1 + 10 + 2 x 20 = 51.
    51 + 44 3/4 = 95 3/4 used, and 20 for the start, is 115 3/4: 26 eighths of a yard, 117 in, at
    $38.50 a yard is $125.125. Panels: 2 x 27 5/8 x 44 3/4 of 53 x 95 3/4.
    """
    at = {"centred": (1.1875, 11.1875), "continuous": (9.25, 3.125)}[strategy]
    asked = job(
        [
            cloth(
                "leaf",
                repeat_down=inch(20),
                repeat_across=inch(10),
                column_shift=inch(10),
                motif_at=inch(5),
                price=Fraction("38.5"),
            )
        ],
        [opening("West bay", inch(48), inch(40), "leaf", gap=(inch(0.25), inch(0.25)))],
        match=MatchRule.model_validate(
            {"strategy": strategy, "centre_on": "motif", "across": "job", "anchor": "head"}
        ),
    )
    used, size, finished = inch(95.75), (inch(27.625), inch(44.75)), (inch(23.625), inch(40))
    made = plan(
        asked,
        _pair_proof(used, 125.125),
        [
            shade("West bay 1, 1 of 2", inch(0.25), finished, "left", "leaf"),
            shade("West bay 1, 2 of 2", inch(24.125), finished, "right", "leaf"),
        ],
        [
            panel("West bay 1, 1 of 2", 1, (inch(at[0]), inch(1)), size, cloth_name="leaf"),
            panel("West bay 1, 2 of 2", 2, (inch(at[1]), inch(51)), size, cloth_name="leaf"),
        ],
        drops([(inch(1), inch(45.75)), (inch(51), used)], "leaf"),
        pieces=[piece(inch(117), used, 125.125, "leaf")],
        totals={
            "shades": 2,
            "bought": {"leaf": inch(117)},
            "cost": 125.125,
            "waste": 1 - 2 * 27.625 * 44.75 / (53 * 95.75),
        },
    )
    return asked, made


def _pair_proof(used: int, cost: float) -> Json:
    goals = [
        ("money", cost, cost),
        ("shades", 2, 2),
        ("used", used, inch(60)),
        ("widths", 1, 1),
        ("gaps", inch(0.25), inch(0.25)),
    ]
    return proof("gap", goals, used, inch(60))


def railroaded_pair() -> tuple[Job, Json]:
    """The same two shades railroaded on straight cloth whose first column is 2 in from its end.

    Panels are 44 3/4 across and 27 5/8 along, their tops at the far edge; both at x = 0 have their
    heads at one row. Columns lie along the roll at 2, 12, 22, ...; a face's middle is 13 13/16 from
    its panel's start: at y = 8 3/16 it lies at 22, at y = 38 3/16 at 52. The drops end at 35 13/16
    and 65 13/16. Up to 15 eighths of a yard, 67 1/2 in = 1 7/8 yd, at $38.50: $72.1875.
    """
    asked, made = pair("centred")
    (leaf,) = asked.cloths
    facts = {"runs": "railroaded", "start": inch(2), "column_shift": 0}
    asked = asked.model_copy(update={"cloths": (leaf.model_copy(update=facts),)})
    used = inch(65.8125)
    for row, y in zip(made["panels"], (8.1875, 38.1875), strict=True):
        row |= {
            "x": 0,
            "y": inch(y),
            "across": inch(44.75),
            "along": inch(27.625),
            "railroaded": True,
        }
    made["drops"] = drops([(inch(8.1875), inch(35.8125)), (inch(38.1875), used)], "leaf")
    made["pieces"] = [piece(inch(67.5), used, 72.1875, "leaf")]
    made["proof"] = _pair_proof(used, 72.1875)
    made["totals"] = {
        "shades": 2,
        "bought": {"leaf": inch(67.5)},
        "cost": 72.1875,
        "waste": 1 - 2 * 27.625 * 44.75 / (53 * 65.8125),
    }
    return asked, made


def centred_below() -> tuple[Job, Json]:
    """The centred pair once more, a motif on each centre line 6 1/2 in below its head.

    The bolt may begin anywhere, so zero of the tape is a motif row in the columns at 5, 25, ...; in
    that at 15 a motif lies at 10, 6 1/2 below the first head at 1 + 2 1/2, and in that at 25 at 60,
    6 1/2 below the second at 51 + 2 1/2.
    """
    asked, made = pair("centred")
    return asked.matched(motif_below=inch(6.5)), made


CLEAN = {
    "plain": plain,
    "level": level,
    "railroaded": railroaded,
    "railroaded level": railroaded_level,
    "lined": lined,
    "level heads": lambda: anchored("head"),
    "level sills": lambda: anchored("sill"),
    "level on the wall": lambda: anchored("wall"),
    "centred": lambda: pair("centred"),
    "centred below": centred_below,
    "continuous": lambda: pair("continuous"),
    "railroaded centred": railroaded_pair,
}
