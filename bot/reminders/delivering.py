"""One post sent and settled, in this order, under the platform's cap."""

from __future__ import annotations

import asyncio
from collections.abc import Awaitable, Callable, Iterator
from contextlib import contextmanager
from dataclasses import replace
from datetime import datetime, timedelta
from time import monotonic
from typing import Protocol

import structlog

from bot.clock import Clock
from bot.records.reminders import Body, Claimed, Failed, Recipient, Sent
from bot.reminders.wording import note_for
from bot.storage import Store, Unavailable
from bot.storage.reminding.failing import settle_failed
from bot.storage.reminding.freezing import Frozen, begin_anew, freeze, give_back, looked_at
from bot.storage.reminding.leases import Lease
from bot.storage.reminding.settling import keep_channel, settle_sent
from bot.watch import Pulse

_AT_ONCE = 64
_JITTER_S = 0.002
_SLACK = timedelta(minutes=2)  # clocks differ
_PASSING_S = 300.0  # a message made so lately: the platform takes them


class Outbox(Protocol):
    """Whatever sends."""

    async def open(self, to: Recipient) -> int | Failed:
        """The private channel with a person, the same each time."""

    async def send(self, to: Recipient, body: Body, nonce: str) -> Sent | Failed:
        """One message; never raises for what the platform says."""

    async def find(self, to: Recipient, body: Body, since: datetime) -> Sent | Failed | None:
        """A message that may stand there already; None: it does not, Failed: cannot be told."""


class Delivery:
    """Sends posts, so many a second."""

    def __init__(
        self,
        store: Store,
        clock: Clock,
        outbox: Outbox,
        lease: Lease,
        rate_per_s: float,
        pulse: Pulse,
    ) -> None:
        self._store = store
        self._clock = clock
        self._outbox = outbox
        self._lease = lease
        self._pulse = pulse
        self._slots = asyncio.Semaphore(_AT_ONCE)
        self._opening = asyncio.Lock()
        self._pacing = asyncio.Lock()
        self._step_s = 1 / rate_per_s
        self._free_at = 0.0
        self._paused_until = 0.0
        self._sent_at = -_PASSING_S  # monotonic
        self.under_way: set[str] = set()  # nonces of messages that may stand there, unsettled
        self.revoked = asyncio.Event()

    async def deliver(self, frozen: Frozen, generation: int) -> bool:
        """Send one post and settle it; whether that is the end of it.

        generation: of the store when the post was put into words.
        """
        one, body = frozen.post, frozen.body
        assert body is not None
        if one.to.user_id is not None and one.to.channel_id is None:
            opened = await self._opened(one)
            if isinstance(opened, Failed):
                await self._failed(one, opened)
                return False
            one = replace(one, to=replace(one.to, channel_id=opened))
        async with self._slots:
            await self._pace()
            if self.revoked.is_set():
                return False  # kept as it is, for a token that is good
            # Something was changed since: it may have been stopped, or be done already.
            if one.debts and self._store.generation != generation:
                outlook = await looked_at(self._store, self._lease, one)
                if outlook != "send":
                    return await self._not_sent(one, outlook)
            with self._under_way(one):
                outcome = await self._outbox.send(one.to, body, one.nonce)
                if isinstance(outcome, Failed):
                    await self._failed(one, outcome)
                    return False
                await self.settled(one, outcome)
                return True

    @contextmanager
    def _under_way(self, one: Claimed) -> Iterator[None]:
        """A stop waits for it; for what has not begun it does not."""
        self.under_way.add(one.nonce)
        try:
            yield
        finally:
            self.under_way.discard(one.nonce)

    async def _not_sent(self, one: Claimed, outlook: str) -> bool:
        if outlook == "void":
            void = Frozen(post=one, body=None)
            await freeze(self._store, self._lease, [void], self._clock.now())
            return True
        await give_back(self._store, self._lease, one)
        return False

    async def look_first(self, one: Claimed) -> bool:
        """Whether a message of an earlier try stands there: then that is the end of it. If not, it
        is put into words anew, under another nonce, or the platform would show the old ones."""
        assert one.body is not None
        assert one.tried_at is not None
        await self._pace()
        found = await self._outbox.find(one.to, one.body, one.tried_at - _SLACK)
        if isinstance(found, Sent):
            await self.settled(one, found)
            return True
        if isinstance(found, Failed):
            await self._failed(one, found)
        else:
            await self._stored(lambda: begin_anew(self._store, self._lease, one))
        return False

    async def _opened(self, one: Claimed) -> int | Failed:
        """First contacts one after another, and outside the slots: nobody else waits for them."""
        async with self._opening:
            await self._pace()
            if self.revoked.is_set():
                return Failed(why="revoked", code=401)
            opened = await self._outbox.open(one.to)
        if not isinstance(opened, Failed):
            await keep_channel(self._store, one.to.member_id, opened)
        return opened

    async def settled(self, one: Claimed, sent: Sent) -> None:
        """It stands there: kept, however long the store takes.

        Should this process end before, the lease ends too, and the nonce hides the repeat.
        """
        now, self._sent_at = self._clock.now(), monotonic()
        self._pulse.sent += 1
        ours = await self._stored(lambda: settle_sent(self._store, self._lease, one, sent, now))
        if not ours:
            structlog.get_logger().warning("settled by another", post=one.id)

    async def _failed(self, one: Claimed, failed: Failed) -> None:
        """It does not stand there, or nobody knows: kept for another try, or held."""
        structlog.get_logger().warning(
            "reminder not sent", post=one.id, why=failed.why, code=failed.code
        )
        self._pulse.failed[failed.why] += 1
        if failed.why == "revoked":
            self.revoked.set()
            return
        if failed.why == "limited":
            self._paused_until = monotonic() + failed.wait_s
        now = self._clock.now()
        note = note_for(one) if failed.why == "closed" else None
        passes = monotonic() - self._sent_at < _PASSING_S
        await self._stored(
            lambda: settle_failed(
                self._store, self._lease, one, failed, now, note=note, others_pass=passes
            )
        )

    async def _stored(self, write: Callable[[], Awaitable[bool | None]]) -> bool:
        wait_s = 0.1
        while True:
            try:
                return bool(await write())
            except Unavailable:
                await asyncio.sleep(wait_s)
                wait_s = min(5.0, 2 * wait_s)

    async def _pace(self) -> None:
        """One after another under the platform's cap; all wait when it says so.

        Slots that a stall has missed are not made up for: the platform would count a burst.
        """
        async with self._pacing:
            while (wait_s := max(self._free_at, self._paused_until) - monotonic()) > 0:
                if self.revoked.is_set():
                    return
                await asyncio.sleep(wait_s)
            # The first one logs in as well: two more requests in the platform's count.
            steps = 1 if self._free_at else 3
            self._free_at = max(self._free_at, monotonic() - _JITTER_S) + steps * self._step_s
