"""Which rows a print may start from across a railroaded roll: only those that let most faces lie
side by side."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, NamedTuple

from shadewright.measure import Ticks

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt


class FaceAcross(NamedTuple):
    """One of the ways that a face may lie across a railroaded roll.

    Attributes:
        across: what it takes of the width.
        edge_row: at which the print starts when the face lies at the near usable edge.
        tag: what else tells it from others, whichever row the print starts from: along the roll it
            lies as its tag says.
    """

    across: Ticks
    edge_row: Ticks
    tag: tuple[int, ...] = ()


def rows_that_pack(
    rows: Sequence[Ticks], faces: Sequence[FaceAcross], usable: Ticks, repeat: Ticks, tried: int
) -> list[Ticks]:
    """Of rows that the print of all faces may start from, those that no other one is as good as.

    Whether a layout is possible is told by the chains of faces in it each of which lies to the
    right of the one before: with every face as far left as it can lie, it is if each chain fits the
    width. A row is left out if with another one all chains fit that do with it, and more; or the
    same, and that comes first. All are kept where there are too many chains.

    Args:
        repeat: after which rows come again.
        tried: faces in a chain that are, for all rows together.
    """
    kinds = sorted(set(faces))
    most = usable // min((face.across for face in kinds), default=usable + 1)
    if len(rows) * sum(len(kinds) ** n for n in range(1, most + 1)) > tried:
        return list(rows)
    fitting = {row: _chains(row, kinds, most, usable, repeat) for row in rows}
    kept: list[Ticks] = []
    for row in sorted(rows, key=lambda row: -int(fitting[row].sum())):
        if not any((fitting[row] <= fitting[other]).all() for other in kept):
            kept.append(row)
    return sorted(kept)


def _chains(
    row: Ticks, kinds: Sequence[FaceAcross], most: int, usable: Ticks, repeat: Ticks
) -> npt.NDArray[np.bool_]:
    """Which chains of kinds of face, of one and more and in every order, fit the width."""
    import numpy as np  # noqa: PLC0415 - only who has rows across a roll waits for it

    across = np.array([face.across for face in kinds], dtype=np.int64)
    firsts = np.array([(face.edge_row - row) % repeat for face in kinds], dtype=np.int64)
    # Where the last of each chain ends, with all as far left as the print lets them lie.
    ends = firsts + across
    found = [ends <= usable]
    for _ in range(1, most):
        behind = np.maximum(ends[:, None] - firsts, 0)
        ends = (firsts - (-behind // repeat) * repeat + across).ravel()
        found.append(ends <= usable)
    return np.concatenate(found)
