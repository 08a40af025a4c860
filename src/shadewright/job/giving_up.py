"""What may be given up where cloth is short, as frozen data."""

from __future__ import annotations

from shadewright.job.frozen import Frozen
from shadewright.measure import Ticks


class Fit(Frozen):
    """What may be given up where cloth is short, each at a cost; None where it may not be.

    The least total cost is looked for. What has no counterpart in a job (no overlap, no repeat)
    costs nothing and is never given up.
    """

    gaps: int | None = 1
    """Gaps up to `widest_gap`."""
    mirrored: int | None = 2
    """Widths equal from either side only, where all were to be equal."""
    free: int | None = 3
    """Any widths."""
    alike: int | None = 1
    """Copies of an opening divided differently."""
    overlap: int | None = 2
    """Outside mounts overlap as little as `least_overlap`."""
    hem: int | None = 3
    """Side folds as narrow as `least_fold`."""
    single: int | None = 4
    """Side hems folded once."""
    alternate: int | None = 2
    """Centred motifs that stand higher on one shade than on the next, where columns are shifted."""
    match: int | None = 4
    """A match weaker by one: continuous, centred, level, plain; each step costs as much."""
    railroad: int | None = 5
    """Cloth up the bolt laid railroaded."""
    lining: int | None = 3
    """Shades lined with `other_lining`."""
    leave_out: int | None = 20
    """Each opening left out."""
    widest_gap: Ticks
    least_fold: Ticks
    least_overlap: Ticks = 0
    other_lining: str | None = None


COSTS: dict[str, int] = {
    key: field.default for key, field in Fit.model_fields.items() if field.annotation == int | None
}
"""What each thing costs to give up where the job does not say."""
