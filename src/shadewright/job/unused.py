"""Keys that a job states and that change nothing in it, so that nobody counts on them."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping

from shadewright.job.model import Cloth, Job
from shadewright.job.table import TableReader

Given = Callable[[str], bool]
"""Whether a table states a key."""


def unused(job: Job, match: Given, make: Given, cloths: Mapping[str, TableReader]) -> Iterator[str]:
    """A note for each key that is stated and changes nothing, with the reason."""
    yield from _of_match(job, match)
    yield from _of_shades(job, make)
    for cloth in job.cloths:
        yield from _of_bolts(cloth, cloths[cloth.name].given)
        yield from _of_print(job, cloth, cloths[cloth.name].given)


def _of_match(job: Job, given: Given) -> Iterator[str]:
    matched = [cloth for cloth in job.faces if job.strategy(cloth) != "plain"]
    if not any(cloth.repeat_down is not None for cloth in matched):
        why = "stripes look alike at every height" if matched else "no print is matched"
        for key in ("anchor", "motif_below"):
            if given(key):
                yield f"match {key}: not used, as {why}"
    centred = [
        cloth
        for cloth in matched
        if cloth.repeat_across is not None and job.strategy(cloth) != "level"
    ]
    if given("centre_on") and not centred:
        yield "match centre_on: not used, as nothing is centred"
    shifted = [c for c in centred if c.shifted and job.strategy(c) == "centred"]
    if job.match.alternate and not shifted:
        yield "match alternate: not used, as no print with a column_shift is centred"


def _of_shades(job: Job, given: Given) -> Iterator[str]:
    """What shades cost, and what they must save: one of them counts."""
    known = job.make.shade_cost is not None or job.prices is not None
    said = "make shade_cost" if job.make.shade_cost is not None else "prices"
    if known and not job.priced:
        needed = {cloth.name for cloth in job.faces} | {job.make.lining}
        free = [c.name for c in job.cloths if c.price is None and c.name in needed]
        yield f"{said}: not weighed against cloth, as no price of {' and '.join(free)} is given"
    if known and job.priced and given("extra_shade"):
        yield f"make extra_shade: not used, as what a shade costs is known by {said}"


def _of_bolts(cloth: Cloth, given: Given) -> Iterator[str]:
    if cloth.can_buy:
        return
    for key in ("bolt", "spare"):
        if given(key):
            yield f"{cloth.name} {key}: not used, as no more of it can be bought"


def _of_print(job: Job, cloth: Cloth, given: Given) -> Iterator[str]:
    """Where a print lies matters only along the ways that it is matched."""
    turned, strategy = cloth.runs == "railroaded", job.strategy(cloth)
    if strategy == "plain":
        why = "its print is not matched"
        for key in ("motif_at", "start"):
            if given(key) and cloth.patterned:
                yield f"{cloth.name} {key}: not used, as {why}"
        return
    across = cloth.repeat_down if turned else cloth.repeat_across
    if given("motif_at") and across is None:
        yield f"{cloth.name} motif_at: not used, as its {cloth.print_called} lie across the bolt"
    columns = cloth.repeat_across if strategy != "level" else None
    if (
        given("start")
        and cloth.start != "any"
        and (columns if turned else cloth.repeat_down) is None
    ):
        yield f"{cloth.name} start: not used, as cuts may fall anywhere along the bolt"
