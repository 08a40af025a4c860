"""What all job data has in common."""

from __future__ import annotations

from pydantic import BaseModel, ConfigDict


class Frozen(BaseModel):
    """Base of all job data: never changed once read, no key that is not known."""

    model_config = ConfigDict(frozen=True, extra="forbid", arbitrary_types_allowed=True)
