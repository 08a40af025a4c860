"""What may be given up where cloth is short, and what the job is then."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from functools import partial

from shadewright.job.defaults import default_length
from shadewright.job.model import Cloth, Fit, Job, Opening, Strategy
from shadewright.measure import ceil_to

_STRATEGIES: tuple[Strategy, ...] = ("continuous", "centred", "level", "plain")


@dataclass(frozen=True)
class Concession:
    """Something that may be given up.

    Attributes:
        name: as in the job's [fit].
        apply: the job with it given up.
    """

    name: str
    said: str
    cost: int
    apply: Callable[[Job], Job] = field(compare=False)


def concessions(job: Job) -> list[Concession]:
    """Everything this job has to give up, but for openings."""
    return [*of_openings(job), *of_all(job)]


def settings(job: Job) -> Fit:
    """What a job may give up at what cost: as it says, or by default."""
    return job.fit or Fit(
        widest_gap=default_length("widest_gap", job.metric),
        least_fold=default_length("least_fold", job.metric),
    )


def of_openings(job: Job) -> list[Concession]:
    """What one opening may give up without the others."""
    fit, tape = settings(job), job.tape
    found: list[Concession] = []

    def add(name: str, said: str, change: Callable[[Opening], dict[str, object]]) -> None:
        cost = getattr(fit, name)
        if cost is not None and any(_changed(o, change(o)) for o in job.openings):
            found.append(Concession(name, said, cost, lambda j: _with_openings(j, change)))

    add(
        "gaps",
        f"gaps up to {tape.short(fit.widest_gap)}",
        lambda o: {"gap": (o.gap[0], max(o.gap[1], fit.widest_gap))},
    )
    add(
        "mirrored",
        "widths equal from either side only",
        lambda o: {"widths": "mirrored" if o.widths == "equal" else o.widths},
    )
    add("free", "any widths", lambda _: {"widths": "free"})
    add(
        "overlap",
        f"an overlap of {tape.short(fit.least_overlap)}",
        lambda o: {
            "overlap": min(o.overlap, fit.least_overlap) if o.mount == "outside" else o.overlap
        },
    )
    return found


def _changed(opening: Opening, update: dict[str, object]) -> bool:
    return any(getattr(opening, key) != value for key, value in update.items())


def _with_openings(job: Job, change: Callable[[Opening], dict[str, object]]) -> Job:
    openings = tuple(o.model_copy(update=change(o)) for o in job.openings)
    return job.model_copy(update={"openings": openings})


def of_all(job: Job) -> list[Concession]:
    """What changes every panel, or the print."""
    fit, make, tape = settings(job), job.make, job.tape
    found = []
    if fit.hem is not None and not make.lining and fit.least_fold < make.side_fold:
        found.append(
            Concession(
                "hem",
                f"side folds of {tape.short(fit.least_fold)}",
                fit.hem,
                lambda j: _with_make(j, side_fold=ceil_to(fit.least_fold, 1)),
            )
        )
    if fit.single is not None and not make.lining and make.side_folds == 2:
        found.append(
            Concession(
                "single", "single side hems", fit.single, lambda j: _with_make(j, side_folds=1)
            )
        )
    if fit.match is not None:
        found += _weaker(job, fit.match)
    if fit.railroad is not None and any(_may_turn(job, cloth) for cloth in job.cloths):
        found.append(Concession("railroad", "cloth laid railroaded", fit.railroad, _railroaded))
    other = fit.other_lining
    if fit.lining is not None and make.lining and other and other != make.lining:
        found.append(
            Concession("lining", f"lined with {other}", fit.lining,
                       lambda j: _with_make(j, lining=other))
        )  # fmt: skip
    return found


def _weaker(job: Job, cost: int) -> Iterator[Concession]:
    """Every weaker match, each step at the cost."""
    used = {opening.cloth for opening in job.openings}
    strategies = {job.strategy(cloth) for cloth in job.cloths if cloth.name in used}
    strongest = min(_STRATEGIES.index(strategy) for strategy in strategies)
    for step, strategy in enumerate(_STRATEGIES[strongest + 1 :], 1):
        said = f"matched {strategy}"
        change = partial(_matched, strategy=strategy)
        yield Concession(f"match {strategy}", said, step * cost, change)


def _matched(job: Job, strategy: Strategy) -> Job:
    match = job.match.model_copy(update={"strategy": strategy})
    return job.model_copy(update={"match": match})


def _may_turn(job: Job, cloth: Cloth) -> bool:
    return cloth.runs == "up the bolt" and any(o.cloth == cloth.name for o in job.openings)


def _railroaded(job: Job) -> Job:
    cloths = tuple(
        cloth.model_copy(update={"runs": "railroaded"}) if _may_turn(job, cloth) else cloth
        for cloth in job.cloths
    )
    return job.model_copy(update={"cloths": cloths})


def _with_make(job: Job, **facts: object) -> Job:
    return job.model_copy(update={"make": job.make.model_copy(update=facts)})
