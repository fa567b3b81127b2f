"""What the page needs of the rehearsal's clock; whoever starts the server brings the real one."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Protocol


@dataclass(frozen=True, slots=True, kw_only=True)
class Coming:
    """One thing that is due.

    due: when, aware
    who: the name of the person whom it is for
    text: what it is, in a few words
    zone: the person's time zone, by its IANA name
    """

    due: datetime
    who: str
    text: str
    zone: str


class Instrument(Protocol):
    """A clock that stands, runs at a speed, or is walked to a time."""

    def now(self) -> datetime:
        """The present moment, aware, in UTC."""

    @property
    def speed(self) -> float:
        """How many times as fast as the world it runs; 0: it stands."""

    def run(self, speed: float) -> None:
        """Let it run at this speed from now on; 0 stops it."""

    async def walk_to(self, at: datetime) -> None:
        """Step through every due time up to `at`; the clock stands there then.

        It may take seconds. When it is cancelled, the clock stands where it had come to.

        Raises
        ------
        TimeoutError
            Somebody was not done with what was due.
        """

    async def coming(self) -> Sequence[Coming]:
        """What is due next, soonest first, at most 8."""
