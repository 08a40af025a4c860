"""What an earlier release reached against what is reached now, job by job.

    python benchmarks/pinned.py

Every example and random jobs of all kinds (`shared/pinned.json`), two seconds each by counted work.
Ends with exit code 1 if any value or bound is worse.
"""

from __future__ import annotations

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "tests" / "jobs"))

from pinned import against, pinned


def main() -> None:
    """Print what is worse and what is better."""
    lost = gained = 0
    names = list(pinned())
    for name in names:
        worse, better = against(name)
        lost += bool(worse)
        gained += bool(better and not worse)
        for said in worse:
            print(f"{name}: WORSE: {said}")
        for said in better:
            print(f"{name}: {said}")
    print(f"{len(names)} jobs: {gained} better, {lost} worse")
    sys.exit(1 if lost else 0)


if __name__ == "__main__":
    main()
