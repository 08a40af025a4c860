"""The judge's rules for what is bought, what it costs, and the plan's totals."""

from __future__ import annotations

from collections import Counter
from fractions import Fraction

from shadewright.cloth.plan import PieceUse
from shadewright.job.bolts import BOLT, is_bolt
from shadewright.job.model import Cloth
from shadewright.judge import saying as say
from shadewright.judge.floats import RELATIVE, same
from shadewright.judge.prints import dictated
from shadewright.judge.trial import Faults, Trial
from shadewright.measure import Tape, Ticks, ceil_to


def bought_is_just_enough(trial: Trial) -> Faults:
    """What is bought of each bolt is what is used, and one repeat where its start is unknown, up to
    the next buying step; with one bolt of each cloth that is bought comes what is spare."""
    for name, bolts in _bolts(trial).items():
        cloth = trial.cloths[name]
        allowance, spare = _start_allowance(trial, cloth), _spare(trial, cloth)
        least = [ceil_to(bolt.used + allowance, cloth.sold_in) for bolt in bolts]
        spared = [ceil_to(bolt.used + allowance + spare, cloth.sold_in) for bolt in bolts]
        # The bolt that the spare comes with, if any is long enough for it.
        with_it = next((i for i, bolt in enumerate(bolts) if bolt.length >= spared[i]), 0)
        for i, bolt in enumerate(bolts):
            wanted = spared[i] if i == with_it else least[i]
            a, b = say.two(trial.tape, bolt.length, wanted, Tape.cloth)
            called = say.piece(name, bolt.piece)
            if bolt.length % cloth.sold_in:
                sold = trial.tape.cloth(cloth.sold_in)
                yield f"{called}: its length {a} is no whole number of buying steps of {sold}"
            elif bolt.length < wanted:
                yield f"{called}: its length {a} is not enough; it takes {b}"
            elif bolt.length > wanted:
                yield f"{called}: its length {a} is more than needed; {b} is enough"


def bolts_are_as_sold(trial: Trial) -> Faults:
    """A cloth's only bolt is called so, several are numbered from 1 on; there are several only
    where bolts have a longest length, and none is longer."""
    for name, bolts in _bolts(trial).items():
        longest = trial.cloths[name].bolt
        found = list(dict.fromkeys(b.piece for b in bolts if is_bolt(b.piece)))
        # One that all is gone of keeps its number.
        gone = {g.piece for g in trial.plan.gone if g.cloth == name and is_bolt(g.piece)}
        number = len({*found, *gone})
        numbers = [f"{BOLT} {i + 1}" for i in range(number)]
        wanted = [BOLT] if number == 1 else [n for n in numbers if n in found or n not in gone]
        if found != wanted:
            said, asked = (", ".join(map(say.name, names)) for names in (found, wanted))
            yield f'"{say.name(name)}": its bolts are called {said}, not {asked}'
        if longest is None and len(found) > 1:
            yield f'"{say.name(name)}": {len(found)} bolts are bought, and one may be of any length'
        for bolt in bolts:
            if longest is not None and bolt.length > longest:
                a, b = say.two(trial.tape, bolt.length, longest, Tape.cloth)
                yield f"{say.piece(name, bolt.piece)}: is {a} long, and none is longer than {b}"


def _bolts(trial: Trial) -> dict[str, list[PieceUse]]:
    """What is bought of each cloth of the job, in the plan's order."""
    found: dict[str, list[PieceUse]] = {}
    for piece in trial.plan.pieces:
        if piece.bought and piece.cloth in trial.cloths:
            found.setdefault(piece.cloth, []).append(piece)
    return found


def _spare(trial: Trial, cloth: Cloth) -> Ticks:
    """Bought for mistakes: a length, or that of the longest panel of the cloth."""
    if cloth.spare != "1 panel":
        return cloth.spare
    return max((p.along for p in trial.plan.panels if p.cloth == cloth.name), default=0)


def _start_allowance(trial: Trial, cloth: Cloth) -> Ticks:
    """Bought in addition where the bolt may begin anywhere in the repeat and faces are matched.

    One repeat along the roll, once, where faces have places along it. Source: "Figuring Pattern
    Repeats", diyideas.com.
    """
    if cloth.start != "any" or "y" not in dictated(trial, cloth):
        return 0
    return (cloth.repeat_across if cloth.runs == "railroaded" else cloth.repeat_down) or 0


def cloth_can_be_bought(trial: Trial) -> Faults:
    """Nothing is bought of a cloth that cannot be."""
    for piece in trial.plan.pieces:
        cloth = trial.cloths.get(piece.cloth)
        if cloth is not None and piece.bought and not cloth.can_buy:
            yield f"{say.piece(piece.cloth, piece.piece)}: no more of this cloth can be bought"


def costs_are_right(trial: Trial) -> Faults:
    """Each piece costs its length at the cloth's price, nothing where the job states none; the
    whole costs the pieces, and what each shade costs apart from cloth."""
    job, plan = trial.job, trial.plan
    total = sum(shade_costs(trial), Fraction(0))
    for piece in plan.pieces:
        total += Fraction(piece.cost)
        cloth = trial.cloths.get(piece.cloth)
        if cloth is None:
            continue
        cost = (cloth.price or Fraction(0)) * piece.length / job.price_unit if piece.bought else 0
        if not same(piece.cost, cost):
            yield (
                f"{say.piece(piece.cloth, piece.piece)}: its cost is {say.number(piece.cost)}, not "
                f"{say.number(cost)}"
            )
    if not same(plan.totals.cost, total):
        yield f"totals: the cost is {say.number(plan.totals.cost)}, not {say.number(total)}"


def shade_costs(trial: Trial) -> list[Fraction]:
    """What each shade costs apart from cloth: as stated, and by the prices of what it takes.

    Three eyes below the board and one above each hook, one cleat; sticks in proportion to their
    length, by the cheapest they are sold in.
    """
    job = trial.job
    costs = [job.make.shade_cost or Fraction(0)] * len(trial.plan.shades)
    if job.prices is None:
        return costs
    prices, by_id = job.prices, {made.shade: made for made in trial.plan.making}
    rates = [
        min((price / length for length, price in sold), default=Fraction(0))
        for sold in (prices.board, prices.rod)
    ]
    nothing = Fraction(0)
    for place, shade in enumerate(trial.plan.shades):
        costs[place] += (prices.hour or nothing) * prices.minutes / 60 + (prices.cleat or nothing)
        made = by_id.get(shade.id)
        if made is None:
            continue
        eyes = len(made.hooks) + 3
        costs[place] += (prices.hook or nothing) * len(made.hooks) + (prices.eye or nothing) * eyes
        costs[place] += (prices.cord or nothing) * sum(made.cords) / job.price_unit
        costs[place] += made.board * rates[0] + made.rod * rates[1]
    return costs


def money_with_shades(trial: Trial) -> Fraction:
    """Money for cloth, and for shades what they cost; where nobody says, each is worth what
    `extra_shade` of its cloth costs."""
    job, plan = trial.job, trial.plan
    money = sum((Fraction(piece.cost) for piece in plan.pieces), Fraction(0))
    if job.make.shade_cost is not None or job.prices is not None:
        return money + sum(shade_costs(trial), Fraction(0))
    for row in trial.rows:
        price = trial.cloths[row.opening.cloth].price or Fraction(0)
        money += price * job.make.extra_shade / job.price_unit * len(row.shades)
    return money


def totals_are_right(trial: Trial) -> Faults:
    """Number of shades, length bought of each cloth, and waste as a fraction of usable cloth."""
    plan, totals = trial.plan, trial.plan.totals
    if totals.shades != len(plan.shades):
        yield f"totals: {totals.shades} shades are counted, not {len(plan.shades)}"
    bought: Counter[str] = Counter()
    for piece in plan.pieces:
        if piece.bought:
            bought[piece.cloth] += piece.length
    for name in sorted(bought.keys() | totals.bought.keys()):
        if name not in totals.bought:
            yield f'totals: what is bought of "{say.name(name)}" is missing'
        elif name not in bought:
            yield f'totals: nothing is bought of "{say.name(name)}", but it is listed'
        elif totals.bought[name] != bought[name]:
            a, b = say.two(trial.tape, totals.bought[name], bought[name], Tape.cloth)
            yield f'totals: {a} of "{say.name(name)}" is said to be bought, not {b}'
    area = sum(panel.across * panel.along for panel in plan.panels)
    usable = {name: cloth.usable for name, cloth in trial.cloths.items()}
    cloth_used = sum(usable.get(piece.cloth, 0) * piece.used for piece in plan.pieces)
    waste = 1 - Fraction(area, cloth_used) if cloth_used else Fraction(0)
    if abs(Fraction(totals.waste) - waste) > RELATIVE:
        yield f"totals: the waste is {say.number(totals.waste)}, not {say.number(waste)}"
