"""What the pages of the booklet behind the cutting cards are given: slips, making cards, wood to
saw, and what to buy."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterator, Mapping
from typing import Any

from shadewright.report.pages.cutting_cards import drawing_data
from shadewright.report.pages.drawing import shortened_name
from shadewright.report.pages.shade_views import ViewRoom, draw_views
from shadewright.report.pages.typesetting import breakable
from shadewright.report.work.account import Account
from shadewright.report.work.hanging import COMES_DOWN
from shadewright.report.work.making_steps import making_steps
from shadewright.report.work.makings import Card
from shadewright.report.work.sawing import sawn_sticks
from shadewright.report.work.shopping import (
    ThingToBuy,
    cloth_on_hand,
    cloth_to_buy,
    things_to_buy,
)
from shadewright.report.work.words import brief_name, clean, count, cut_size, numbers_said
from shadewright.trade.divisions import Part

_TWO_LINES, _CLOTH = 3.6, 1.4
"""Inches: what stands on two lines of a slip, less what breaking them may lose, and what room there
is for the name of a cloth."""

_VIEW = ViewRoom(1.18, 2.1, 10)


def slips_data(account: Account) -> Iterator[dict[str, Any]]:
    """A slip for each panel."""
    tape = account.job.tape
    pieces = Counter(lay.use.cloth for lay in account.lays)
    for lay in account.lays:
        name = clean(lay.use.cloth)
        if pieces[lay.use.cloth] > 1:
            # The drops of each piece are numbered from 1.
            name += f", {clean(lay.use.piece)}"
        for numbered in lay.panels:
            panel = numbered.panel
            yield {
                "number": str(numbered.number),
                "shade": breakable(shortened_name(numbered.called, 11, _TWO_LINES, bold=True)),
                "size": f"{cut_size(tape, panel)}, cut",
                "place": f"{shortened_name(name, 10, _CLOTH)}, drop {panel.drop}",
                "mark": account.going_on.mark_of_panel(lay, numbered),
            }


def making_data(account: Account) -> Iterator[dict[str, Any]]:
    """A card for each kind of shade."""
    done = {
        (panel.cloth, panel.piece, panel.drop)
        for lay in account.lays
        for panel in (numbered.panel for numbered in lay.panels)
        if panel.drop in lay.done
    }
    numbers: dict[tuple[str, Part], list[int]] = {}
    for lay in account.lays:
        for numbered in lay.panels:
            panel = numbered.panel
            numbers.setdefault((panel.shade, panel.part), []).append(numbered.number)
    for card in account.cards:
        ids = {shade.id for shade in card.shades}
        mine = [panel for panel in account.plan.panels if panel.shade in ids]
        yield {
            "name": breakable(brief_name(card.called, 60)),
            "said": _made(account, card, _panels_of(ids, numbers)),
            "shades": len(card.shades),
            "picture": drawing_data(draw_views(account.job, card, _VIEW)),
            "steps": [
                {"name": step.name, "words": breakable(step.words)}
                for step in making_steps(account.job, card)
            ],
            "done": all((p.cloth, p.piece, p.drop) in done for p in mine),
            "mark": "changed" if any(map(account.going_on.has_changed, card.shades)) else "",
        }


def _panels_of(shades: Collection[str], numbers: Mapping[tuple[str, Part], list[int]]) -> str:
    """The panels that shades are made of; of lined ones, faces and linings apart."""
    faces, linings = (
        sorted(
            n
            for (shade, part), found in numbers.items()
            if shade in shades and part == which
            for n in found
        )
        for which in ("face", "lining")
    )
    called = f"panel{'' if len(faces) == 1 else 's'} {numbers_said(faces)}"
    if linings:
        called += f", lined with panel{'' if len(linings) == 1 else 's'} {numbers_said(linings)}"
    return called


def _made(account: Account, card: Card, panels: str) -> str:
    """How many shades a card is for, of which panels."""
    tape, shade = account.job.tape, card.shade
    size = f"{tape.short(shade.finished_width)} wide and {tape.short(shade.finished_length)} long"
    number = count(len(card.shades), "shade")
    made = f"made of {panels}"
    hang = "it hangs" if len(card.shades) == 1 else "they hang"
    return breakable(
        f"{number} of {clean(shade.cloth)}, {made}, {size} as {hang}; the cords come down "
        f"{COMES_DOWN[shade.draw]}."
    )


def wood_data(account: Account) -> dict[str, Any]:
    """The sticks to saw."""
    job, tape = account.job, account.job.tape
    make = job.make
    notes = [
        f"Boards are {tape.short(make.board)} square and rods {tape.short(make.rod)} across, of "
        f"{clean(make.wood.name)}. Measure every piece from the last cut; each saw cut takes "
        f"{tape.short(make.kerf)}. Tick a box for each stick that is sawn."
    ]
    return {
        "notes": notes,
        "heads": ["Stick", "Saw into, and for which shades", "Left over"],
        "sticks": [
            {
                "name": f"{count(each.number, each.kind)} of {tape.short(each.stock)}",
                "number": each.number,
                "lengths": " + ".join(map(tape.short, each.lengths)),
                "called": breakable(each.called),
                "over": tape.short(each.over),
            }
            for each in sawn_sticks(account)
        ],
    }


def buying_data(account: Account) -> dict[str, Any]:
    """The list to take to the shop."""
    notes = ["Lengths of cloth are rounded up to the step it is sold in."]
    if account.going_on.begun:
        notes.append("Leave out what you have bought already of all that is not cloth.")
    return {
        "notes": notes,
        "things": [
            *(_thing(thing, done=True) for thing in cloth_on_hand(account)),
            *(_thing(thing) for thing in [*cloth_to_buy(account), *things_to_buy(account)]),
        ],
    }


def _thing(thing: ThingToBuy, done: bool = False) -> dict[str, Any]:
    return {
        "amount": thing.amount,
        "what": breakable(thing.what),
        "note": breakable(thing.note),
        "done": done,
    }
