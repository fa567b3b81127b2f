"""The hands of a rehearsal's clock, and what is due next under them."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from bot.rehearsal.instrument import Coming
from bot.stepping import SteppedClock
from bot.storage import Store
from bot.storage.reminding.plans import coming_next
from bot.words import sentence

_MOST = 8


class Hands:
    """Moves the clock that server and bot share."""

    def __init__(self, clock: SteppedClock, store: Store) -> None:
        self._clock = clock
        self._store = store

    @property
    def speed(self) -> float:
        """How many times as fast as the world it runs; 0: it stands."""
        return self._clock.speed

    def now(self) -> datetime:
        return self._clock.now()

    def run(self, speed: float) -> None:
        """Let it run, or stop it with 0."""
        self._clock.run(speed)

    async def walk_to(self, at: datetime) -> None:
        """Step to each due time up to `at`."""
        await self._clock.walk_to(at)

    async def coming(self) -> Sequence[Coming]:
        """What is due next, soonest first."""
        return tuple(
            Coming(
                due=one.due,
                who=sentence("operator.the_room") if one.room else one.name,
                text=one.text or sentence(f"fact.{one.what}"),
                zone=one.zone,
            )
            for one in await coming_next(self._store, _MOST)
        )
