"""What the starter job states, and the defaults it shows, key by key."""

from __future__ import annotations

from dataclasses import dataclass, replace

from shadewright.job.defaults import default_texts
from shadewright.job.giving_up import COSTS

StarterValue = str | int | float | bool | list[int] | list[str]


@dataclass(frozen=True)
class StarterKey:
    """A key of the starter.

    Attributes:
        key: as in the job file.
        value: what the starter states, or the default it shows.
        says: what the key means.
        stated: False where the key is left out, so that its default holds.
        example: whether the value shown is no default: without the key there is none.
        in_book: what it means, where a workbook has other words for it.
        needed: whether a job cannot do without.
    """

    key: str
    value: StarterValue
    says: str
    stated: bool = True
    example: bool = False
    in_book: str = ""
    needed: bool = False

    @property
    def says_in_book(self) -> str:
        """What the key means, in the words of a workbook."""
        return self.in_book or self.says


def _default(key: str, value: StarterValue, says: str) -> StarterKey:
    return StarterKey(key, value, says, stated=False)


def _needed(key: str, value: StarterValue, says: str) -> StarterKey:
    return StarterKey(key, value, says, needed=True)


def _switch(key: str, value: bool, turned: str) -> StarterKey:
    """A key that is on or off, with what it means once it is turned."""
    toml, book = ("false", "no") if value else ("true", "yes")
    return StarterKey(key, value, f"{toml}: {turned}", stated=False, in_book=f"{book}: {turned}")


def _example(key: str, value: StarterValue, says: str) -> StarterKey:
    return StarterKey(key, value, f"{says}; may be left out", stated=False, example=True)


def _priced(key: str, value: float, says: str, toml: str, book: str) -> StarterKey:
    """What a stick costs: one price, or one for each length that is sold."""
    line = _example(key, value, f"{says}; or by length {toml}")
    return replace(line, in_book=line.says.replace(toml, book))


def _usual(key: str, says: str) -> StarterKey:
    """A key left out whose default is a length, or several."""
    texts = default_texts(key, metric=False)
    return _default(key, list(texts) if len(texts) > 1 else texts[0], says)


def _cost(key: str, says: str) -> StarterKey:
    """What giving something up costs by default."""
    return _default(key, COSTS[key], says)


JOB = (
    _needed("title", "Garden room by the pond", "what the plan is headed with"),
    StarterKey("units", "in", "unit of bare numbers: in, ft, yd, mm, cm or m"),
    _usual("step", "cutting precision: sizes are whole numbers of these"),
    _switch("children", False, "small children live or visit"),
    _switch("outdoors", False, "sun or weather reaches them"),
)

CLOTH_NAME = "leaf"
_ONE_CLOTH = "may be left out where there is one cloth"
_HALF = "usable edge to a motif's centre; left out: half the repeat"
CLOTH = (
    _needed("width", 54, "selvedge to selvedge, as sold"),
    StarterKey("selvedge", "1/2 in", "unusable at each edge; 0 if left out"),
    StarterKey("repeat_down", 13.5, "motif to motif up and down; alone for bands"),
    StarterKey("repeat_across", 9, "motif to motif sideways; alone for stripes; neither: plain"),
    _default("column_shift", 0, '0 (straight match), "half" (half-drop), or a length'),
    StarterKey("motif_at", 4.5, _HALF, stated=False, example=True),
    _default("runs", "up the bolt", 'or "railroaded"; plain: "either" if left out, or "mixed"'),
    _default("start", "any", 'the bolt begins anywhere, at a "motif", or a length before'),
    StarterKey("price", 24.5, "money per yard (per metre in a metric job)"),
    _usual("sold_in", "the shop sells whole numbers of these"),
    _switch("can_buy", True, "use only pieces on hand"),
    _example("bolt", "60 yd", "the longest length sold in one piece"),
    _default("spare", 0, 'bought for mistakes, on top: a length, or "1 panel"'),
    _example("weight", "7 oz/yd^2", "of an area, such as 7 oz/yd^2 or 240 g/m^2"),
    _example("thickness", "0.018 in", "of one layer, such as 0.018 in or 0.5 mm"),
    _example("outdoor", True, "whether it is rated for outdoor use"),
    _default("shrink_down", 0, "lost along the bolt in a first wash: 0.03 is 3 in 100"),
    _default("shrink_across", 0, "lost across the bolt"),
)

PIECE = (
    StarterKey(
        "name", "shelf roll", "any name but bolt, or bolt and a number", stated=False, needed=True
    ),
    StarterKey("length", "7 yd 12 in", "cut end to cut end", stated=False, needed=True),
    _default("start", "3 in", "its cut end to the first motif row"),
    _default("lot", "A", "dye lot, if it matters"),
    _default("flaws", "2 yd 4 in to 2 yd 7 in", "stretches to keep clear of, from its start"),
)

CLOTH_COLUMNS = (_needed("name", CLOTH_NAME, "its short name"), *CLOTH)

PIECE_COLUMNS = (
    _default("cloth", CLOTH_NAME, _ONE_CLOTH),
    *(replace(line, says=f"{line.says}, such as {line.value}") for line in PIECE),
)

MAKE = (
    _usual("side_fold", "depth of one fold of a side hem"),
    _default("side_folds", 2, "2 is a double hem, 1 a single one"),
    _default("lining", "none", "none, or the name of a cloth above"),
    _usual("seam", "seam at each side of a lined shade, which has no side hems"),
    _usual("board", "side of the square top board"),
    _usual("rod", "diameter of the bottom rod"),
    _usual("board_pocket", "depth of the top pocket, laid flat"),
    _usual("rod_pocket", "depth of the bottom pocket, laid flat"),
    _usual("turn_under", "raw edge turned in at each pocket"),
    _default("take_up", "computed", "length lost to open pockets: computed, or a length in all"),
    _usual("square_up", "trimmed off each piece of cloth so that it starts square"),
    _usual("stick_short", "boards and rods are this much shorter than the shade"),
    _usual("lift_inset", "lift lines in from each side edge"),
    _usual("guide_inset", "draw guide in from the end of the board"),
    _usual("hook_drop", "board's top below the head of an inside mount: eye and hook"),
    _usual("tail", "cord below the guide when the shade is down"),
    _example("tail_reach", "48 in", "instead of tail: height above the floor"),
    _usual("knot", "cord spent on tying it to its eye"),
    _usual("cord_reel", "length of cord on a reel as sold"),
    _switch("tassels", False, "a tassel on every cord"),
    _example("eye_shank", "5/8 in", "of a screw eye's thread, to be checked"),
    _example("hook_opening", "2 in", "clear opening of a cup hook, to be checked"),
    _default("wood", "eastern white pine", "of boards and rods: a wood, or its stiffness"),
    _usual("stock.board", "lengths that boards are sold in"),
    _usual("stock.rod", "lengths that rods are sold in"),
    _usual("kerf", "wood lost to each saw cut"),
    _usual("most_sag", "that a board or rod may sag between its supports"),
    _default("wet_factor", 2, "times heavier that cloth is reckoned to be when wet"),
    _example("table", "9 ft", "the longest drop that can be laid out flat"),
    _usual("extra_shade", "cloth that one more shade must save; 0: any saving will do"),
    _example("shade_cost", 12.5, "money a shade costs, instead of extra_shade"),
)

PRICES = (
    _example("hook", 0.6, "money for a cup hook"),
    _example("eye", 0.15, "for a screw eye"),
    _example("cleat", 1.2, "for a cleat"),
    _example("cord", 0.35, "for a yard of cord, or a metre"),
    _priced("board", 4.5, "for a stick", "{ 96 = 4.5 }", "96 in = 4.5"),
    _priced("rod", 2.1, "for a rod", "{ 36 = 1.2 }", "36 = 1.2; 48 = 1.6"),
    _example("hour", 20, "for an hour of work"),
    _default("minutes", 60, "of work that a shade takes"),
)

MATCH = (
    StarterKey("strategy", "level", "plain, level, centred or continuous"),
    _default("centre_on", "motif", "motif or between (two motifs): what falls on the centre line"),
    _default("across", "job", "job or opening: how far the motif stays at one height"),
    _default("anchor", "head", "head, sill or wall: where the motif is at one height"),
    _switch("alternate", False, "centred motifs may stand at two heights in turn"),
    _example("motif_below", "4 in", "so far below heads (above sills) is a motif"),
    _default("lots", "opening", "opening, job or none: what is cut from one dye lot"),
)

FIT = (
    replace(
        _cost("gaps", "cost of wider gaps; false, here and below, forbids it"),
        in_book="cost of wider gaps; no, here and below, forbids it",
    ),
    _cost("mirrored", "of widths equal from either side only"),
    _cost("free", "of any widths"),
    _cost("alike", "of copies divided differently"),
    _cost("overlap", "of less overlap, outside mounts"),
    _cost("hem", "of narrower folds of the side hems"),
    _cost("single", "of single side hems"),
    _cost("alternate", "of centred motifs higher on one shade than the next"),
    _cost("match", "of each step to a weaker match"),
    _cost("railroad", "of cloth laid railroaded"),
    _cost("lining", "of another lining"),
    _cost("leave_out", "of each opening left out"),
    _usual("widest_gap", "that a gap may grow to"),
    _usual("least_fold", "that a fold of a side hem may shrink to"),
    _default("least_overlap", 0, "that an overlap may shrink to"),
    _example("other_lining", "leaf", "a cloth above, to line with instead"),
)

_FEWEST = "or one number; left out: the fewest that fit to two more"
OPENING = (
    _needed("name", "North windows", "each opening has its own"),
    _needed("width", "10 ft 8 3/8 in", "of the opening itself, not of the shades"),
    _needed("height", 64, "of the opening itself"),
    _default("copies", 1, "how many openings are just like this"),
    _switch("alike", True, "copies may be divided differently"),
    _example("like", "East window", "an opening that it has as many shades as"),
    _example("runs", "up the bolt", "its own lay, if plain"),
    StarterKey("cloth", CLOTH_NAME, _ONE_CLOTH, stated=False, example=True),
    _default("mount", "inside", "inside, or outside (over the wall around it)"),
    _usual("clearance", "left free at each side, inside mount"),
    _default("overlap", 0, "covered beyond each side and the top, outside mount"),
    _default("overlap_bottom", 0, "covered below the opening, outside mount"),
    _default("sill_gap", 0, "left free between rod and sill, inside mount"),
    StarterKey("shades", [3, 4], _FEWEST, stated=False, example=True),
    _usual("gap", "least and most between neighbouring shades, or one length"),
    _default("widths", "equal", "equal, mirrored or free"),
    _usual("narrowest", "finished shade, where the opening is divided"),
    _usual("widest", "finished shade"),
    _default("head", 0, 'height of its top above a common line, for the anchor "wall"'),
    _default("draw", "auto", "left, right, centre or auto, or a list, one for each shade"),
    _example("head_above_floor", "84 in", "height of its top above the floor"),
    _example("depth", "3 in", "of the recess, inside mount"),
)

MORE_OPENINGS: tuple[dict[str, StarterValue], ...] = (
    {"name": "Garden door", "width": 61.5, "height": "6 ft 10 in"},
    {"name": "East window", "width": 40, "height": 58.25},
)
