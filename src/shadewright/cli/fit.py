"""The command fit: whether the cloth on hand is enough."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

from shadewright.cli.messages import (
    CANNOT_MEET,
    NO_PLAN,
    clear_errors,
    fail,
    fail_where_faulty,
    read,
    say,
    say_written,
    show,
)
from shadewright.cli.options import Force, JobFile, data, longest, see_endings, seeded
from shadewright.outputs import outputs


def fit(
    job: JobFile,
    json_file: Annotated[Path | None, data("The answer as JSON.")] = None,
    seconds: Annotated[float, longest("Longest search.")] = 20.0,
    seed: Annotated[int, seeded("Same seed, same answer.")] = 0,
    force: Force = False,
) -> None:
    """Say whether the cloth on hand is enough, and if not, the least to give up."""
    see_endings(json_file=json_file)
    asked, places = read(job)

    from shadewright.planning.fit import fit as fit_job  # noqa: PLC0415
    from shadewright.report.text.fit import as_data, fitted  # noqa: PLC0415

    with clear_errors(places, asked):
        with outputs([json_file] if json_file else [], force, {"the job": job}) as writing:
            found = fit_job(asked, seconds, seed, lambda said: say(f"  trying {said}"))
            fail_where_faulty(found.faults, ". This is a bug.")
            if json_file:
                writing.data(json_file, as_data(asked, found))
        show(fitted(asked, found))
        if found.stopped:
            say("Stopped early; this is what was known until then.")
        say_written(json_file)
    if not found.enough:
        if found.stopped:
            fail(NO_PLAN, "Nothing that is enough was found.")
        fail(CANNOT_MEET, "This job cannot be met from the cloth on hand.")
