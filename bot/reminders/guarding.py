"""A clock that jumps ahead by years: nothing is sent by it until it is right, or said to be."""

from __future__ import annotations

from datetime import datetime, timedelta

from bot.clock import Clock
from bot.storage import Store
from bot.storage.seen import last_seen, note_seen

MOST_AHEAD = timedelta(days=400)  # a bot that was off for longer than a year asks first
_KEPT_EVERY = timedelta(days=1)


class Guard:
    """Compares the calendar with the last moment at which the bot was alive."""

    def __init__(self, store: Store, clock: Clock) -> None:
        self._store = store
        self._clock = clock
        self._seen: datetime | None = None
        self._kept: datetime | None = None

    async def begin(self) -> None:
        """Take up what was kept."""
        self._seen = self._kept = await last_seen(self._store)

    async def sane(self) -> bool:
        """Whether the clock may be believed; looked up anew while it may not."""
        if self._far():
            await self.begin()  # the operator may have said by now that it is right
        return not self._far()

    async def seen(self) -> None:
        """A sign of life, kept now and then. Put back, a clock is believed: only state decides."""
        now = self._clock.now()
        if self._far():
            return
        self._seen = max(now, self._seen or now)
        if self._kept is None or now - self._kept >= _KEPT_EVERY:
            await note_seen(self._store, self._seen)
            self._kept = self._seen

    def _far(self) -> bool:
        return self._seen is not None and self._clock.now() - self._seen > MOST_AHEAD
