"""What may be given up where cloth is short, and what the job is then."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field
from functools import partial

from shadewright.job.defaults import default_length
from shadewright.job.giving_up import Fit
from shadewright.job.model import Cloth, Job, Opening, Strategy

_STRATEGIES: tuple[Strategy, ...] = ("continuous", "centred", "level", "plain")


@dataclass(frozen=True)
class Concession:
    """Something that may be given up.

    Attributes:
        name: as in the job's [fit]; of a weaker match, what it is as well.
        apply: the job with it given up.
        weaker_print: whether it is a weaker match, of which a job takes one.
    """

    name: str
    said: str
    cost: int
    apply: Callable[[Job], Job] = field(compare=False)
    weaker_print: bool = False


def concessions(job: Job) -> list[Concession]:
    """Everything this job has to give up, but for openings."""
    return [*of_openings(job), *of_all(job)]


def with_all(job: Job, these: Iterable[Concession]) -> Job:
    """The job with all of these given up."""
    for concession in these:
        job = concession.apply(job)
    return job


def settings(job: Job) -> Fit:
    """What a job may give up at what cost: as it says, or by default."""
    return job.fit or Fit(
        widest_gap=default_length("widest_gap", job.metric),
        least_fold=default_length("least_fold", job.metric),
    )


def of_openings(job: Job) -> list[Concession]:
    """What one opening may give up without the others.

    What one more shade must save (`extra_shade`) is none of it: it chooses between plans and rules
    out none, so that giving it up never makes cloth enough.
    """
    fit, tape = settings(job), job.tape
    found: list[Concession] = []

    def add(name: str, said: str, change: Callable[[Opening], dict[str, object]]) -> None:
        def apply(to: Job) -> Job:
            return to.with_openings(o.model_copy(update=change(o)) for o in to.openings)

        cost = getattr(fit, name)
        if cost is not None and apply(job) != job:
            found.append(Concession(name, said, cost, apply))

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
    add("alike", "copies divided differently", _copies_apart)
    add(
        "overlap",
        f"an overlap of {tape.short(fit.least_overlap)}",
        lambda o: {
            "overlap": min(o.overlap, fit.least_overlap) if o.mount == "outside" else o.overlap
        },
    )
    return found


def _copies_apart(opening: Opening) -> dict[str, object]:
    return {"alike": opening.alike and opening.copies == 1}


def of_all(job: Job) -> list[Concession]:
    """What changes every panel, or the print."""
    fit, make, tape = settings(job), job.make, job.tape
    found = []
    if fit.hem is not None and not make.lining and fit.least_fold < make.side_fold:
        said = f"side folds of {tape.short(fit.least_fold)}"
        found.append(Concession("hem", said, fit.hem, lambda j: j.made(side_fold=fit.least_fold)))
    if fit.single is not None and not make.lining and make.side_folds == 2:
        once = Concession("single", "single side hems", fit.single, lambda j: j.made(side_folds=1))
        found.append(once)
    found += _weaker(job)
    if fit.railroad is not None and any(cloth.runs == "up the bolt" for cloth in job.faces):
        # (Of use with a print only where that is given up to be cut plain, or is so already.)
        found.append(Concession("railroad", _turned(job), fit.railroad, _railroaded))
    other = fit.other_lining
    if fit.lining is not None and make.lining and other and other != make.lining:
        said = f"lined with {other}"
        found.append(Concession("lining", said, fit.lining, lambda j: j.made(lining=other)))
    return found


def _weaker(job: Job) -> Iterator[Concession]:
    """Every weaker match, each step of the strategy at its cost; between centred and level, motifs
    on centre lines that may stand higher on one shade than on the next."""
    fit = settings(job)
    strategies = {job.strategy(cloth) for cloth in job.faces}
    strongest = min(_STRATEGIES.index(strategy) for strategy in strategies)
    for step, strategy in enumerate(_STRATEGIES[strongest:]):
        matched = job.matched(strategy=strategy) if step else job
        cost = 0 if not step else fit.match and step * fit.match
        if step and cost:
            change = partial(Job.matched, strategy=strategy)
            yield Concession(
                f"match {strategy}", _WEAKER[strategy], cost, change, weaker_print=True
            )
        if cost is not None and fit.alternate is not None and may_alternate(matched):
            name = f"match {strategy}, alternate" if step else "alternate"
            said = f"{_WEAKER[strategy]}, and {ALTERNATING}" if step else ALTERNATING
            change = partial(Job.matched, strategy=matched.match.strategy, alternate=True)
            yield Concession(name, said, cost + fit.alternate, change, weaker_print=True)


_WEAKER: dict[Strategy, str] = {
    "centred": "the print centred on each shade rather than running on",
    "level": "the print level and no more",
    "plain": "the print not matched",
}
ALTERNATING = "motifs higher on one shade than on the next"


def may_alternate(job: Job) -> bool:
    """Whether motifs on centre lines, as high on every shade as the job asks, could stand higher on
    one than on the next."""
    return not job.match.alternate and any(
        job.strategy(cloth) == "centred" and cloth.shifted for cloth in job.faces
    )


def _turned(job: Job) -> str:
    """What is laid railroaded, and what that does to a print."""
    prints = [c.print_called for c in job.faces if c.runs == "up the bolt" and c.patterned]
    on_side = [f"{what} lying sideways" for what in dict.fromkeys(prints)]
    return ", ".join(["cloth laid railroaded", *on_side])


def _may_turn(job: Job, cloth: Cloth) -> bool:
    """Whether cloth may be laid railroaded; a print that is matched would be another one then."""
    return cloth in job.faces and cloth.runs == "up the bolt" and job.strategy(cloth) == "plain"


def _railroaded(job: Job) -> Job:
    return job.with_cloths(lambda c: {"runs": "railroaded"} if _may_turn(job, c) else {})
