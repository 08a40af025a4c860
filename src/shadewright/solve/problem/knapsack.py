"""The widths of least worth that add up to enough."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import numpy.typing as npt


def least_worth(
    worths: Sequence[float], items: Sequence[int], free: int, sums: tuple[int, int]
) -> tuple[float, list[tuple[int, int]]]:
    """The least worth of widths beyond the narrowest that add up to within `sums`: those of `items`
    at the ends of steps or the narrowest, and one more, of `free` shades, wherever.

    Args:
        worths: of each width, narrowest first, rising.
        items: how many shades have each width.
    """
    worth = np.array(worths)
    # Where the one that is made narrower comes to an end too.
    ends = np.unique([0, *np.flatnonzero(np.diff(worth) > 0), len(worth) - 1])
    least, most = max(sums[0], 0), sums[1]
    if most < least:
        return np.inf, []
    tables: list[npt.NDArray[np.float64]] = [np.full(most + 1, np.inf)]
    tables[0][0] = 0.0
    for shades in items:
        table = np.full(most + 1, np.inf)
        for end in ends:
            size = shades * int(end)
            if size <= most:
                before = tables[-1][: most + 1 - size] + shades * worth[end]
                np.minimum(table[size:], before, out=table[size:])
        tables.append(table)
    best, at, last = np.inf, 0, 0
    # Wider than what the rest at its narrowest asks for takes nothing off.
    for width in range(min(len(worth), least // free + 2)):
        size = free * width
        # With the rest adding up to just enough, or to a little more.
        low, high = max(least - size, 0), most - size
        if high < low:
            continue
        here = tables[-1][low : high + 1]
        place = int(here.argmin())
        if here[place] + free * worth[width] < best:
            best, at, last = float(here[place] + free * worth[width]), low + place, width
    if not np.isfinite(best):
        return np.inf, []
    chosen = [(last, free)]
    for shades, table, before in reversed(list(zip(items, tables[1:], tables, strict=False))):
        for end in ends:
            size = shades * int(end)
            if size <= at and before[at - size] + shades * worth[end] == table[at]:
                chosen.append((int(end), shades))
                at -= size
                break
    return best, chosen
