"""What cannot be made as asked: the reason, and the nearest thing that can."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Refusal:
    """One reason why a job cannot be met.

    Attributes:
        where: table and key of the job.
        reason: what stands in the way.
        nearest: the smallest change that works.
    """

    where: str
    reason: str
    nearest: str

    def __str__(self) -> str:
        return f"{self.where}: {self.reason}; {self.nearest}"


class CannotMeetError(Exception):
    """The job is well formed but cannot be made."""

    def __init__(self, *refusals: Refusal) -> None:
        super().__init__("\n".join(str(refusal) for refusal in refusals))
        self.refusals = refusals
