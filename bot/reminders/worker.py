"""Claims what is due, sends it, settles it.

At least once, with a key at the receiver: a post is claimed with a lease, frozen with what it says,
sent under a nonce of its own, and settled after. Whoever dies in between leaves a lease that ends;
the next one sends the same words under the same nonce, and the platform shows them once.
"""

from __future__ import annotations

import asyncio
from collections.abc import Awaitable, Callable, Sequence
from contextlib import suppress
from datetime import datetime, timedelta
from time import monotonic
from typing import Protocol

import structlog

from bot.clock import Clock
from bot.records.reminders import Body, Claimed, Failed, Recipient, Sent
from bot.reminders.planning import plan
from bot.reminders.wording import note_for, worded
from bot.storage import Store, Unavailable, tidy
from bot.storage.reminding.leases import Lease
from bot.storage.reminding.plans import new_zone_data
from bot.storage.reminding.posts import claim, waits
from bot.storage.reminding.settling import (
    Frozen,
    free_all,
    freeze,
    release,
    renew,
    settle_failed,
    settle_sent,
    still_owed,
)

_JITTER_S = 0.002
_RATE_PER_S = 49.4  # of the platform's 50 a second, which answers to interactions do not count in
_MOST = 64
_FIRST, _MANY = 32, 200
_FULL = 400  # claimed and not sent yet: more wait in the store
_FINISH_S = 8.0
_TIDY_AFTER_S, _TIDY_EVERY_S = 60.0, 6 * 3600.0
_TROUBLED_S = (1.0, 30.0)
_SLACK = timedelta(minutes=2)


class Outbox(Protocol):
    """Whatever sends."""

    async def send(self, to: Recipient, body: Body, nonce: str) -> Sent | Failed:
        """One message; never raises for what the platform says."""

    async def find(self, to: Recipient, body: Body, since: datetime) -> Sent | Failed | None:
        """A message that may stand there already; None: it does not, Failed: cannot be told."""


class Worker:
    """Sends what falls due, for as long as it runs."""

    def __init__(
        self, store: Store, clock: Clock, outbox: Outbox, *, lease: Lease | None = None,
        rate_per_s: float = _RATE_PER_S,
    ) -> None:  # fmt: skip
        self._store = store
        self._clock = clock
        self._outbox = outbox
        self._lease = lease or Lease()
        self._sleeper = clock.sleeper()
        self._sending: dict[int, asyncio.Task[bool]] = {}
        self._slots = asyncio.Semaphore(_MOST)
        self._step_s = 1 / rate_per_s
        self._tidy_at = monotonic() + _TIDY_AFTER_S
        self._pacing = asyncio.Lock()
        self._free_at = 0.0
        self._paused_until = 0.0
        self.revoked = asyncio.Event()

    async def run(self) -> None:
        """Until cancelled; then what is being sent is finished, or given back, within 10 s."""
        self._store.listeners.append(self._sleeper.wake)
        renewing = asyncio.create_task(self._renew())
        trouble_s = _TROUBLED_S[0]
        try:
            while not self.revoked.is_set():
                try:
                    await self._round()
                    trouble_s = _TROUBLED_S[0]
                    await self._rest()
                except Unavailable as error:
                    structlog.get_logger().warning("reminders wait", reason=str(error))
                    await self._sleeper.until(None, trouble_s)
                    trouble_s = min(_TROUBLED_S[1], 2 * trouble_s)
                except Exception:
                    structlog.get_logger().exception("reminders stumbled")
                    await self._sleeper.until(None, trouble_s)
                    trouble_s = min(_TROUBLED_S[1], 2 * trouble_s)
        finally:
            self._store.listeners.remove(self._sleeper.wake)
            await self._finish()
            renewing.cancel()
            await asyncio.gather(renewing, return_exceptions=True)

    async def begin(self, *, alone: bool) -> None:
        """Times to come by this edition of the zones; alone: whoever held a post before is gone."""
        if alone:
            await free_all(self._store)
        if await new_zone_data(self._store):
            structlog.get_logger().info("zones are of another edition: due times worked out anew")

    async def _round(self) -> None:
        """Plan, claim, freeze, and begin to send."""
        if monotonic() >= self._tidy_at:
            self._tidy_at = monotonic() + _TIDY_EVERY_S
            await tidy(self._store, self._clock.now())
        while await plan(self._store, self._clock.now()):
            pass
        most = _FIRST
        while len(self._sending) < _FULL:
            now = self._clock.now()
            claimed = await claim(self._store, self._lease, now, most)
            if not claimed:
                return
            most = _MANY
            fresh = [one for one in claimed if one.id not in self._sending]
            for frozen in await self._frozen(fresh, now):
                self._begin(frozen)

    async def _frozen(self, claimed: Sequence[Claimed], now: datetime) -> list[Frozen]:
        """Each post as it is to be sent, kept before it is; those begun before keep their words."""
        made: list[Frozen] = []
        for one in claimed:
            if one.body is not None:
                made.append(Frozen(post=one, body=one.body))
                continue
            try:
                made.append(await worded(self._store, one, now))
            except Unavailable:
                raise
            except Exception:
                structlog.get_logger().exception("no words for a post", post=one.id)
                failed = Failed(why="rejected")
                await settle_failed(self._store, self._lease, one, failed, None, now)
        new = [one for one in made if one.post.body is None]
        held = await freeze(self._store, self._lease, new, now) if new else frozenset()
        return [
            one
            for one in made
            if one.body is not None and (one.post.body is not None or one.post.id in held)
        ]

    def _begin(self, frozen: Frozen) -> None:
        task: asyncio.Task[bool] = asyncio.create_task(
            self._deliver(frozen, self._store.generation)
        )
        self._sending[frozen.post.id] = task

        def ended(done: asyncio.Task[bool]) -> None:
            full = len(self._sending) >= _FULL
            del self._sending[frozen.post.id]
            error = None if done.cancelled() else done.exception()
            if error is not None:
                structlog.get_logger().error("not settled", post=frozen.post.id, exc_info=error)
            if full or error is not None or done.cancelled() or not done.result():
                self._sleeper.wake()  # there is room for more, or something to try again

        task.add_done_callback(ended)

    async def _deliver(self, frozen: Frozen, generation: int) -> bool:
        """Send one post and settle it, in this order; whether that is the end of it."""
        one, body = frozen.post, frozen.body
        assert body is not None
        with self._sleeper.working():
            async with self._slots:
                await self._pace()
                # Something was changed since: it may have been stopped, or be done already.
                changed = bool(one.debts) and self._store.generation != generation
                if changed and not await still_owed(self._store, one):
                    void = Frozen(post=one, body=None)
                    await freeze(self._store, self._lease, [void], self._clock.now())
                    return True
                outcome = await self._sent(one, body)
                await self._settle(one, outcome)
                return isinstance(outcome, Sent)

    async def _sent(self, one: Claimed, body: Body) -> Sent | Failed:
        if one.tried_at is not None and not one.nonce_fresh:
            # The platform has forgotten the nonce by now: look whether it stands there.
            found = await self._outbox.find(one.to, body, one.tried_at - _SLACK)
            if found is not None:
                return found
        return await self._outbox.send(one.to, body, one.nonce)

    async def _settle(self, one: Claimed, outcome: Sent | Failed) -> None:
        now = self._clock.now()
        if isinstance(outcome, Sent):
            settled = await self._stored(
                lambda: settle_sent(self._store, self._lease, one, outcome, now)
            )
            if not settled:
                structlog.get_logger().warning("settled by another", post=one.id)
            return
        structlog.get_logger().warning(
            "reminder not sent", post=one.id, why=outcome.why, code=outcome.code
        )
        if outcome.why == "revoked":
            self.revoked.set()
            self._sleeper.wake()
            return
        if outcome.why == "limited":
            self._paused_until = monotonic() + outcome.wait_s
        note = note_for(one) if outcome.why == "closed" else None
        await self._stored(lambda: settle_failed(self._store, self._lease, one, outcome, note, now))

    async def _stored(self, write: Callable[[], Awaitable[bool | None]]) -> bool:
        """The message stands there: its settling is tried until the store takes it.

        Should this process end before, the lease ends too, and the nonce hides the repeat.
        """
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
                await asyncio.sleep(wait_s)
            # The first send logs in as well: two more requests in the platform's count.
            steps = 1 if self._free_at else 3
            self._free_at = max(self._free_at, monotonic() - _JITTER_S) + steps * self._step_s

    async def _rest(self) -> None:
        due, retry_s = await waits(self._store)
        if len(self._sending) >= _FULL:
            due = None  # woken as soon as one of them is sent
        tidy_s = max(1.0, self._tidy_at - monotonic())
        await self._sleeper.until(due, min(tidy_s, tidy_s if retry_s is None else retry_s))

    async def _renew(self) -> None:
        while True:
            await asyncio.sleep(self._lease.seconds / 3)
            if self._sending:
                with suppress(Unavailable):
                    await renew(self._store, self._lease, list(self._sending))

    async def _finish(self) -> None:
        """No more claims; what is being sent may end, the rest is given back."""
        tasks = list(self._sending.values())
        if tasks:
            _, left = await asyncio.wait(tasks, timeout=_FINISH_S)
            for task in left:
                task.cancel()
            await asyncio.gather(*left, return_exceptions=True)
        with suppress(Unavailable):
            await release(self._store, self._lease)
