"""The command fit: whether the cloth on hand is enough."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

from shadewright.cli import messages, options
from shadewright.outputs import outputs


def fit(  # noqa: PLR0917 - each is an option of the command line
    job: options.JobFile,
    json_file: Annotated[Path | None, options.data("The answer as JSON.")] = None,
    seconds: Annotated[float, options.longest("Longest search.")] = 20.0,
    seed: Annotated[int, options.seeded("Same seed, same answer.")] = 0,
    force: options.Force = False,
    quiet: options.Quiet = False,
) -> None:
    """Say whether the cloth on hand is enough, and if not, the least to give up."""
    options.see_endings(json_file=json_file)
    asked, places = messages.read(job)

    from shadewright.cli.progress import ProgressLine  # noqa: PLC0415
    from shadewright.planning.fit import fit as fit_job  # noqa: PLC0415
    from shadewright.report.text.fit import as_data, fitted  # noqa: PLC0415

    with messages.clear_errors(places, asked):
        with outputs([json_file] if json_file else [], force, {"the job": job}) as writing:
            with ProgressLine(seconds, quiet=quiet) as line:
                found = fit_job(asked, seconds, seed, lambda said: line.tell(f"trying {said}"))
            messages.fail_where_faulty(found.faults, ". This is a bug.")
            if json_file:
                writing.data(json_file, as_data(asked, found))
        messages.show(fitted(asked, found))
        if found.stopped:
            messages.say("Stopped early; this is what was known until then.")
        messages.say_written(json_file, quiet=quiet)
    if not found.enough:
        if found.stopped:
            messages.fail(messages.NO_PLAN, "Nothing that is enough was found.")
        messages.fail(messages.CANNOT_MEET, "This job cannot be met from the cloth on hand.")
