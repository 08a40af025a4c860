"""Boards and rods as they are sawn, sticks that are sawn alike together."""

from __future__ import annotations

from dataclasses import dataclass

from shadewright.measure import Ticks
from shadewright.report.work.account import Account


@dataclass(frozen=True)
class SawnSticks:
    """Sticks of one length that are sawn alike.

    Attributes:
        lengths: of the pieces, in order.
        over: what is left of each stick, the saw cuts counted.
        called: the shades that they are for.
    """

    kind: str
    stock: Ticks
    number: int
    lengths: tuple[Ticks, ...]
    over: Ticks
    called: str


def sawn_sticks(account: Account) -> list[SawnSticks]:
    """The sticks of a plan: boards, then rods, the longer pieces first."""
    alike: dict[tuple[str, Ticks, tuple[Ticks, ...]], list[str]] = {}
    numbers: dict[tuple[str, Ticks, tuple[Ticks, ...]], int] = {}
    for stick in account.plan.wood:
        key = stick.stick, stick.stock, tuple(cut.length for cut in stick.cuts)
        alike.setdefault(key, []).extend(cut.shade for cut in stick.cuts)
        numbers[key] = numbers.get(key, 0) + 1
    kerf = account.job.make.kerf
    order = {shade.id: i for i, shade in enumerate(account.plan.shades)}
    found = []
    for (kind, stock, lengths), shades in alike.items():
        over = stock - sum(lengths) - kerf * (len(lengths) - 1)
        mine = [account.plan.shade(id_) for id_ in sorted(set(shades), key=order.__getitem__)]
        number = numbers[kind, stock, lengths]
        called = account.names.together(mine)
        found.append(SawnSticks(kind, stock, number, lengths, max(over - kerf, 0), called))
    return sorted(found, key=lambda each: (each.kind, [-n for n in each.lengths]))
