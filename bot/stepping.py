"""A calendar that somebody moves: for tests, and for rehearsals that stop it, hurry it or step it.

Stepping never jumps: it goes to each next time that somebody waits for, lets them do what they do
there, and only then goes on.
"""

from __future__ import annotations

import asyncio
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from datetime import UTC, datetime, timedelta
from time import monotonic


class SetClock:
    """A clock that stands where it was put."""

    def __init__(self, at: datetime) -> None:
        if at.tzinfo is None:
            raise ValueError("a clock needs an aware time")
        self._at = at.astimezone(UTC)
        self.sleepers: list[SetSleeper] = []

    def now(self) -> datetime:
        return self._at

    def sleeper(self) -> SetSleeper:
        made = SetSleeper(self)
        self.sleepers.append(made)
        return made

    def real_s(self, at: datetime) -> float | None:
        """Real seconds until this clock says `at`; None: it stands."""
        return None

    def step_to(self, at: datetime) -> None:
        """Move the clock to `at` (aware)."""
        self._at = at.astimezone(UTC)
        for one in self.sleepers:
            one.look()


class SetSleeper:
    """Waits for times of a clock that somebody else moves."""

    def __init__(self, clock: SetClock) -> None:
        self._clock = clock
        self._stirred = asyncio.Event()
        self._woken = False
        self.asleep = False
        self.at: datetime | None = None
        self._working = 0
        self._hurried = False  # something is to be tried again in a while of real time

    @property
    def resting(self) -> bool:
        """Waiting for a time to come, with nothing in flight."""
        due = self.at is not None and self._clock.now() >= self.at
        return self.asleep and not due and not self._working and not self._hurried

    def close(self) -> None:
        """They wait for nothing any more."""
        if self in self._clock.sleepers:
            self._clock.sleepers.remove(self)

    @contextmanager
    def working(self) -> Iterator[None]:
        """Something that goes on while its owner waits already for the next time."""
        self._working += 1
        try:
            yield
        finally:
            self._working -= 1

    def wake(self) -> None:
        self._woken = True
        self.asleep = False
        self._stirred.set()

    def look(self) -> None:
        """Look at the clock again: it was moved."""
        self._stirred.set()

    async def until(self, at: datetime | None, real_s: float | None = None) -> None:
        loop = asyncio.get_running_loop()
        ends = None if real_s is None else loop.time() + real_s
        self.at = at
        self._hurried = real_s is not None
        while not self._over(ends, loop.time()):
            self.asleep = True
            self._stirred.clear()
            waits = [] if ends is None else [ends - loop.time()]
            if at is not None and (nap_s := self._clock.real_s(at)) is not None:
                waits.append(nap_s)
            with suppress(TimeoutError):
                async with asyncio.timeout(min(waits) if waits else None):
                    await self._stirred.wait()
        self.asleep = self._woken = False

    def _over(self, ends: float | None, moment: float) -> bool:
        if self._woken or (ends is not None and moment >= ends):
            return True
        return self.at is not None and self._clock.now() >= self.at


class SteppedClock(SetClock):
    """A clock for a rehearsal: it stands, runs at a speed, or walks to a time."""

    def __init__(self, at: datetime) -> None:
        super().__init__(at)
        self.speed = 1.0
        self._since = monotonic()

    def now(self) -> datetime:
        return self._at + timedelta(seconds=(monotonic() - self._since) * self.speed)

    def real_s(self, at: datetime) -> float | None:
        if self.speed == 0:
            return None
        return max(0.0, (at - self.now()).total_seconds() / self.speed)

    def step_to(self, at: datetime) -> None:
        self._since = monotonic()
        super().step_to(at)

    def run(self, speed: float) -> None:
        """Let it run, `speed` times as fast as the world; 0 stops it."""
        now = self.now()
        self.speed = speed
        self.step_to(now)

    async def walk_to(self, at: datetime, most_s: float = 120.0) -> None:
        """Step to each time that is waited for, up to `at`; the clock stands there then.

        Raises
        ------
        TimeoutError
            Somebody was not done within `most_s` seconds.
        """
        self.run(0)
        async with asyncio.timeout(most_s):
            await self._all_asleep()
            while (then := self._next(at)) is not None:
                self.step_to(max(then, self.now()))
                await self._all_asleep()
            self.step_to(max(at, self.now()))
            await self._all_asleep()

    def _next(self, last: datetime) -> datetime | None:
        waited = [one.at for one in self.sleepers if one.at is not None and one.at <= last]
        return min(waited, default=None)

    async def _all_asleep(self) -> None:
        """Until everybody waits again and nothing is in flight."""
        while not all(one.resting for one in self.sleepers):
            await asyncio.sleep(0.002)
