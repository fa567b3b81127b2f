"""Claims what is due, has it put into words and sent, for as long as it runs.

At least once, with a key at the receiver: a post is claimed with a lease, frozen with what it says,
sent under a nonce of its own, and settled after. Whoever dies in between leaves a lease that ends;
the next one sends the same words under the same nonce, and the platform shows them once.
"""

from __future__ import annotations

import asyncio
from collections.abc import Coroutine, Sequence
from contextlib import suppress
from datetime import timedelta
from time import monotonic
from typing import Any

import structlog

from bot.clock import Clock
from bot.records.reminders import Claimed
from bot.reminders.delivering import Delivery, Outbox
from bot.reminders.guarding import Guard
from bot.reminders.planning import plan
from bot.reminders.wording import worded
from bot.storage import Store, Unavailable, forget_left, tidy
from bot.storage.reminding.freezing import Frozen, freeze
from bot.storage.reminding.leases import Lease
from bot.storage.reminding.plans import new_zone_data
from bot.storage.reminding.posts import claim, waits
from bot.storage.reminding.settling import free_all, release, renew
from bot.watch import Pulse

_RATE_PER_S = 49.4  # of the platform's 50 a second, which answers to interactions do not count in
_FIRST, _MANY = 32, 200
_FULL = 400  # claimed and not sent yet: more wait in the store
_FINISH_S = 8.0
_TIDY_AFTER_S, _TIDY_EVERY_S = 60.0, 6 * 3600.0
_TROUBLED_S = (1.0, 30.0)
_LONGEST_REST = timedelta(days=30)  # a sign of life now and then


class Worker:
    """Sends what falls due."""

    def __init__(
        self, store: Store, clock: Clock, outbox: Outbox, *, lease: Lease | None = None,
        rate_per_s: float = _RATE_PER_S, pulse: Pulse | None = None,
    ) -> None:  # fmt: skip
        self._store = store
        self._clock = clock
        self._pulse = pulse or Pulse()
        self._guard = Guard(store, clock)
        self._lease = lease or Lease()
        self._sleeper = clock.sleeper()
        self._delivery = Delivery(store, clock, outbox, self._lease, rate_per_s, self._pulse)
        self._sending: dict[str, asyncio.Task[bool]] = {}
        self._was_full = self._alone = self._ready = False
        self._tidy_at = monotonic() + _TIDY_AFTER_S

    @property
    def revoked(self) -> asyncio.Event:
        """Set when the platform takes our token no more: nothing is sent then."""
        return self._delivery.revoked

    async def begin(self, *, alone: bool) -> None:
        """Times to come by this edition of the zones; alone: whoever held a post before is gone.

        Where the store cannot be written yet, it is done as soon as it can.
        """
        self._alone = alone
        with suppress(Unavailable):
            await self._begun_with()

    async def _begun_with(self) -> None:
        if self._ready:
            return
        await self._guard.begin()
        await self._guard.seen()
        if self._alone:
            await free_all(self._store)
        if await new_zone_data(self._store):
            structlog.get_logger().info("zones are of another edition: due times worked out anew")
        self._ready = True

    async def run(self) -> None:
        """Until cancelled; then what is being sent is finished, or given back, within 10 s."""
        self._store.listeners.append(self._sleeper.wake)
        renewing = asyncio.create_task(self._renew())
        trouble_s = _TROUBLED_S[0]
        try:
            while not self.revoked.is_set():
                try:
                    await self._begun_with()
                    if await self._guard.sane():
                        await self._guard.seen()
                        await self._round()
                        self._waits("")
                        trouble_s = _TROUBLED_S[0]
                        await self._rest()
                        continue
                    self._waits("clock")
                except Unavailable as error:
                    self._waits("store", reason=str(error))
                except Exception:
                    structlog.get_logger().exception("reminders stumbled")
                await self._sleeper.until(None, trouble_s)
                trouble_s = min(_TROUBLED_S[1], 2 * trouble_s)
        finally:
            self._store.listeners.remove(self._sleeper.wake)
            await self._finish()
            self._sleeper.close()
            renewing.cancel()
            await asyncio.gather(renewing, return_exceptions=True)

    def _waits(self, what: str, **told: str) -> None:
        """An alarm when it begins to wait for something, once, and a word when that is over."""
        if what and what != self._pulse.waits:
            structlog.get_logger().error("reminders wait", what=what, **told)
        elif self._pulse.waits and not what:
            structlog.get_logger().warning("reminders go on", waited_for=self._pulse.waits)
        self._pulse.waits = what

    async def _round(self) -> None:
        """Tidy, plan, claim, put into words, and begin to send."""
        if monotonic() >= self._tidy_at:
            self._tidy_at = monotonic() + _TIDY_EVERY_S
            await tidy(self._store, self._clock.now())
            if self._pulse.connected:  # the platform has said where we are
                await forget_left(self._store, self._clock.now())
        most, planning = _FIRST, True
        while planning or most == _MANY:
            # A little of each in turn: what is due need not wait for a whole community's plans.
            planning = planning and await plan(self._store, self._clock.now())
            self._was_full = len(self._sending) >= _FULL
            if self._was_full:
                return
            claimed = await self._claimed(most)
            if claimed:
                await self._begun(claimed)
            most = _MANY if claimed else _FIRST

    async def _claimed(self, most: int) -> tuple[Claimed, ...]:
        """What is due; a look costs no lock, and mostly there is nothing."""
        now = self._clock.now()
        if self._guard.far(now):
            return ()
        due, retry_s = await waits(self._store, list(self._sending))
        nothing = (due is None or due > now) and (retry_s is None or retry_s > 0)
        return () if nothing else await claim(self._store, self._lease, now, most)

    async def _begun(self, claimed: Sequence[Claimed]) -> None:
        """Each put into words, kept, and on its way; those begun before keep their words."""
        now, generation = self._clock.now(), self._store.generation
        new = []
        for one in claimed:
            if one.nonce in self._sending:
                continue
            if one.body is None:
                new.append(await worded(self._store, one, now))
            elif one.nonce_fresh and not one.stale:
                self._begin(one.nonce, self._deliver(Frozen(post=one, body=one.body), generation))
            else:
                self._begin(one.nonce, self._look_first(one))
        held = await freeze(self._store, self._lease, new, now) if new else frozenset()
        if any(frozen.void for frozen in new):
            self._sleeper.wake()  # their people are looked at again
        for frozen in new:
            if frozen.body is not None and frozen.post.id in held:
                self._begin(frozen.post.nonce, self._deliver(frozen, generation))

    def _begin(self, nonce: str, doing: Coroutine[Any, Any, bool]) -> None:
        task = asyncio.create_task(doing)
        self._sending[nonce] = task

        def ended(done: asyncio.Task[bool]) -> None:
            del self._sending[nonce]
            room = self._was_full and len(self._sending) <= _FULL // 2
            error = None if done.cancelled() else done.exception()
            if error is not None:
                structlog.get_logger().error("not settled", nonce=nonce, exc_info=error)
            if room or error is not None or done.cancelled() or not done.result():
                self._sleeper.wake()  # there is room for many more, or something to try again

        task.add_done_callback(ended)

    async def _deliver(self, frozen: Frozen, generation: int) -> bool:
        with self._sleeper.working():
            return await self._delivery.deliver(frozen, generation)

    async def _look_first(self, one: Claimed) -> bool:
        """Tried before, and by now the nonce is forgotten or the words are others."""
        with self._sleeper.working():
            return await self._delivery.look_first(one)

    async def _rest(self) -> None:
        if self._was_full:
            await self._sleeper.until(None)  # woken when half of them are sent
            return
        due, retry_s = await waits(self._store, list(self._sending))
        look_up = self._clock.now() + _LONGEST_REST
        await self._sleeper.until(min(due or look_up, look_up), retry_s)

    async def _renew(self) -> None:
        while True:
            await asyncio.sleep(self._lease.seconds / 3)
            with suppress(Unavailable):
                await self._guard.seen()
            if self._sending:
                try:
                    await renew(self._store, self._lease, list(self._sending))
                except Exception:  # a lease not renewed ends; the nonce hides what comes of it
                    structlog.get_logger().exception("leases not renewed")

    async def _finish(self) -> None:
        """No more claims; what is being sent may end, the rest is given back."""
        tasks = list(self._sending.values())
        for nonce, task in list(self._sending.items()):
            if nonce not in self._delivery.under_way:
                task.cancel()  # its turn has not come
        if tasks:
            _, left = await asyncio.wait(tasks, timeout=_FINISH_S)
            for task in left:
                task.cancel()
            await asyncio.gather(*left, return_exceptions=True)
        with suppress(Unavailable):
            await release(self._store, self._lease)
