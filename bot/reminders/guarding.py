"""A clock that jumps ahead by years: nothing is sent by it until it is right, or said to be."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

from bot.clock import Clock, zone_data
from bot.storage import Store
from bot.storage.seen import last_seen, note_seen

MOST_AHEAD = timedelta(days=400)  # a bot that was off for longer than a year asks first
_KEPT_EVERY = timedelta(days=1)
# A machine without a battery begins in 1970: no sign of life is older than the zone data in use.
_FLOOR = datetime(int(zone_data().partition(".")[0]), 1, 1, tzinfo=UTC)


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
        if self.far(self._clock.now()):
            await self.begin()  # the operator may have said by now that it is right
        return not self.far(self._clock.now())

    async def seen(self) -> None:
        """A sign of life, kept now and then. Put back, a clock is believed: only state decides."""
        now = self._clock.now()
        if now < _FLOOR or self.far(now):
            return
        self._seen = max(now, self._seen or now)
        if self._kept is None or now - self._kept >= _KEPT_EVERY:
            await note_seen(self._store, self._seen)
            self._kept = self._seen

    def far(self, now: datetime) -> bool:
        """Whether `now` is too far ahead to be believed."""
        return self._seen is not None and now - self._seen > MOST_AHEAD
