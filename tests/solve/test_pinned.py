"""What an earlier release reached is still reached; `benchmarks/pinned.py` tries all of it."""

from __future__ import annotations

import pytest

from jobs import mostly_slow
from pinned import against, pinned, proved


@pytest.mark.parametrize("name", mostly_slow((n for n in pinned() if proved(n)), 12))
def test_what_was_proved_is_as_good_as_it_was(name: str) -> None:
    worse, _ = against(name)
    assert worse == []
