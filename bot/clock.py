"""The only place that asks what time it is."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Protocol


class Clock(Protocol):
    """Calendar time. Leases, back-off and the platform's windows use monotonic time instead."""

    def now(self) -> datetime:
        """The present moment, aware, in UTC."""


class SystemClock:
    """The machine's own clock."""

    def now(self) -> datetime:
        return datetime.now(UTC)


class SetClock:
    """A clock that stands where it was put: for tests, and later for the rehearsal's stepping."""

    def __init__(self, at: datetime) -> None:
        if at.tzinfo is None:
            raise ValueError("a clock needs an aware time")
        self._at = at.astimezone(UTC)

    def now(self) -> datetime:
        return self._at

    def step_to(self, at: datetime) -> None:
        """Move the clock to `at` (aware)."""
        self._at = at.astimezone(UTC)
