"""Published values, read from the project's shared data."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

PUBLISHED: dict[str, Any] = tomllib.loads(
    (Path(__file__).parents[2] / "shared" / "published.toml").read_text(encoding="utf-8")
)
