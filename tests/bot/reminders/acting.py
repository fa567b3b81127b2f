"""Rules set as a member sets them, and a worker that can be killed."""

from __future__ import annotations

import asyncio
from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime
from itertools import count

from bot.records.changes import Change, StopRules
from bot.records.people import Asker
from bot.records.reminders import Pattern, Rule
from bot.reminders import Worker
from bot.stepping import SteppedClock
from bot.storage import Store, Writing, apply, load_book
from bot.storage.reminding.leases import Lease
from tests.bot.reminders.platform import Platform
from tests.bot.storage.asking import TAMSIN

NOW = datetime(2026, 5, 11, 12, 0, tzinfo=UTC)
NUMBERS = count(1)


async def until(holds: Callable[[], bool], within_s: float = 20.0) -> None:
    """Real time passes for threads, leases and waits until it holds; too long is a failure."""
    async with asyncio.timeout(within_s):
        while not holds():
            await asyncio.sleep(0.005)


def standing() -> SteppedClock:
    clock = SteppedClock(NOW)
    clock.run(0)
    return clock


async def write(store: Store, now: datetime, *changes: Change, asker: Asker = TAMSIN) -> None:
    await apply(store, asker, Writing(changes=changes), next(NUMBERS), now)


def once(text: str, at: datetime) -> Rule:
    start = at.replace(tzinfo=None).isoformat(timespec="minutes")
    return Rule(text=text, pattern=Pattern(start_local=start, zone="UTC"))


def every(text: str, at: datetime, rrule: str, zone: str = "UTC", kind: str = "wall") -> Rule:
    rule = once(text, at)
    assert rule.pattern is not None
    return replace(rule, pattern=replace(rule.pattern, rrule=rrule, zone=zone, kind=kind))


async def rule_id(store: Store, text: str, now: datetime) -> int:
    book = await load_book(store, TAMSIN, now, whole=True)
    return next(rule.id for rule in book.reminding.rules if rule.text == text)


async def stop(store: Store, text: str, now: datetime) -> None:
    await write(store, now, StopRules(rule_ids=(await rule_id(store, text, now),)))


class Running:
    """A worker at work."""

    def __init__(self, store: Store, clock: SteppedClock, platform: Platform, lease_s: float = 30):
        self.worker = Worker(
            store, clock, platform, lease=Lease(seconds=lease_s), rate_per_s=1_000_000
        )
        self._clock = clock
        self._task: asyncio.Task[None] | None = None

    async def start(self, *, alone: bool = True) -> Running:
        await self.worker.begin(alone=alone)
        self._task = asyncio.create_task(self.worker.run())
        return self

    async def stop(self) -> None:
        """In good order, as on SIGTERM."""
        assert self._task is not None
        self._task.cancel()
        await asyncio.gather(self._task, return_exceptions=True)

    async def kill(self) -> None:
        """As kill -9: nothing is finished, nothing is given back."""
        for task in list(self.worker._sending.values()):
            task.cancel()
        await asyncio.gather(*self.worker._sending.values(), return_exceptions=True)
        self.worker._finish = _nothing  # type: ignore[method-assign]
        await self.stop()


async def _nothing() -> None:
    return
