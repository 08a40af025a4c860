"""Seeds of random jobs that can be made, or are small enough to try everything, stored in shared/.

To find them takes longer than to use them, and so does trying everything on repeats, so seeds and
what trying everything finds are written once:

    python tests/stored_seeds.py

is to be run again where the jobs themselves (`tiny` and its like) or what counts as their best are
changed. It takes a quarter of an hour.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from functools import cache
from pathlib import Path

_SHARED = Path(__file__).parent.parent / "shared"
STORED = _SHARED / "seeds.toml"
ANSWERS = _SHARED / "answers.toml"


def stored(name: str) -> list[int]:
    """The seeds of one kind of job."""
    seeds: list[int] = tomllib.loads(STORED.read_text(encoding="utf-8"))[name]
    return seeds


@cache
def answers() -> Mapping[str, Mapping[str, list[int]]]:
    """What trying everything finds, by kind of job and seed: bought, shades and used, in ticks;
    nothing where the job cannot be made."""
    return tomllib.loads(ANSWERS.read_text(encoding="utf-8"))


def main() -> None:
    """Find all seeds and answers again and store them."""
    import test_brute_force
    import test_brute_repeats
    import test_random_jobs
    from random_jobs import patterned_job, random_job

    found = {
        "random": test_random_jobs.plannable(random_job, 300),
        "patterned": test_random_jobs.plannable(patterned_job, 500),
        "force": test_brute_force.compared(),
        "repeats": test_brute_repeats.compared(test_brute_repeats.tiny, test_brute_repeats.JOBS),
        "shifted": test_brute_repeats.shifted_and_compared(),
    }
    lines = ["# Seeds of random jobs: see tests/stored_seeds.py."]
    for name, seeds in found.items():
        rows = [", ".join(map(str, seeds[at : at + 20])) for at in range(0, len(seeds), 20)]
        lines.append(f"{name} = [\n    " + ",\n    ".join(rows) + ",\n]")
    STORED.write_text("\n".join(lines) + "\n", encoding="utf-8")
    lines = ["# Bought, shades and used by trying everything: see tests/stored_seeds.py."]
    for name, make in (
        ("repeats", test_brute_repeats.tiny),
        ("shifted", test_brute_repeats.shifted),
    ):
        lines.append(f"[{name}]")
        for seed in found[name]:
            lines.append(f"{seed} = {list(test_brute_repeats.tried(make(seed)))}")
    ANSWERS.write_text("\n".join(lines) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
