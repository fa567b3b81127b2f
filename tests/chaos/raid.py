"""The run: the bot started, ended at a bad moment, started again, and at last let alone."""

from __future__ import annotations

import asyncio
import random
import sys
from collections import Counter
from collections.abc import AsyncIterator, Mapping
from contextlib import asynccontextmanager
from dataclasses import dataclass, field
from pathlib import Path
from time import monotonic

from bot.clock import SystemClock
from bot.rehearsal import ChatServer, Fault
from bot.rehearsal.ratelimits import Window
from bot.storage import Store, migrate
from tests.chaos.process import Bot, start
from tests.chaos.town import Planned, planned, settled
from tests.chaos.verdict import Verdict, judge, unsettled

# How a process ends: while it starts, at any moment, in the middle of sending, in good order;
# beside a second one that nothing keeps out; asleep meanwhile, and woken up again.
WAYS = {"start": 0.13, "any": 0.32, "sending": 0.32, "term": 0.13, "second": 0.05, "pause": 0.05}
_STARTING_S = 1.2
_MEAN_S = 1.5
_PATIENCE_S = 4.0
_CYCLE_S = 2.3  # what a start and its end take, about: reminders fall due as long as kills go on
_LONGEST_ANSWER_S = 0.4
_WRONG = 0.03  # of all answers: made, and then not told
_CREATE = r"/channels/\d+/messages$"


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """What is asked of a run. drain_s: how long the last process may take to send the rest; ways:
    how often each way to end is taken."""

    kills: int
    reminders: int = 600
    seed: int = 1
    drain_s: float = 180.0
    ways: Mapping[str, float] = field(default_factory=lambda: WAYS)


@dataclass(slots=True, kw_only=True)
class Raid:
    """A run going on."""

    wanted: Wanted
    server: ChatServer
    folder: Path
    rng: random.Random
    ended: Counter[str] = field(default_factory=Counter)
    troubles: list[str] = field(default_factory=list)

    async def rage(self) -> None:
        """End the bot as often as wanted, and start it at once every time."""
        async with self._running() as bots:
            for number in range(1, self.wanted.kills + 1):
                ways = self.wanted.ways
                way = self.rng.choices(list(ways), list(ways.values()))[0]
                if way in ("second", "pause"):
                    bots.append(await start(self.server, self.folder, past_lock=True))
                    await self._beside(bots[-2], bots[-1], way)
                await self._end(bots[-1], way)
                bots.append(await start(self.server, self.folder))
                if number % 10 == 0:
                    print(f"{number} ended", file=sys.stderr, flush=True)
            await self._drained(bots[-1])
            await bots[-1].listening()
            self._note(await bots[-1].stop())

    @asynccontextmanager
    async def _running(self) -> AsyncIterator[list[Bot]]:
        """Processes begun; whatever happens, none is left behind."""
        bots = [await start(self.server, self.folder)]
        try:
            yield bots
        finally:
            for bot in bots:
                if bot.process.returncode is None:
                    await bot.kill()

    async def _end(self, bot: Bot, way: str) -> None:
        await self._bad_moment(bot, way)
        if bot.process.returncode is not None:
            self._note(f"ended by itself with {bot.process.returncode}")
        elif way == "term":
            self._note(await bot.stop())
        else:
            await bot.kill()
        self.ended[way] += 1

    async def _beside(self, first: Bot, second: Bot, way: str) -> None:
        """Two at once on one file; the first is killed, the second is left for its own end."""
        if way == "pause":
            first.pause()
        await self._sent_some(self.rng.randint(1, 8))
        if way == "pause":
            first.go_on()
            await asyncio.sleep(self.rng.uniform(0, 1))
        if first.process.returncode is None:
            await first.kill()

    async def _bad_moment(self, bot: Bot, way: str) -> None:
        match way:
            case "start":
                await asyncio.sleep(self.rng.uniform(0, _STARTING_S))
            case "sending" | "second" | "pause":
                await self._sent_some(self.rng.randint(1, 8))
                await asyncio.sleep(self.rng.uniform(0, _LONGEST_ANSWER_S / 2))
            case "term":
                # Before that the system ends it: nothing to give back, and no exit code of ours.
                if await bot.listening():
                    await asyncio.sleep(self.rng.expovariate(1 / _MEAN_S))
            case _:
                await asyncio.sleep(self.rng.expovariate(1 / _MEAN_S))

    async def _sent_some(self, count: int) -> None:
        """So many messages begun since now, or patience lost: nothing may be due."""
        until = monotonic() + _PATIENCE_S
        wanted = len(creates(self.server)) + count
        while monotonic() < until and len(creates(self.server)) < wanted:
            await asyncio.sleep(0.005)  # another process is waited for

    async def _drained(self, bot: Bot) -> None:
        until = monotonic() + self.wanted.drain_s
        while monotonic() < until and bot.process.returncode is None:
            if not await asyncio.to_thread(unsettled, self.folder):
                return
            await asyncio.sleep(0.25)  # another process is waited for
        self._note("not drained")

    def _note(self, trouble: str) -> None:
        if trouble:
            self.troubles.append(trouble)


def creates(server: ChatServer) -> list[object]:
    """The nonces of all requests for a message, in order."""
    return [
        one["body"].get("nonce")
        for one in server.requests
        if one["method"] == "POST" and one["path"].endswith("/messages")
    ]


async def run(wanted: Wanted, folder: Path) -> Verdict:
    """One whole run in an empty folder."""
    begun = monotonic()
    rng = random.Random(wanted.seed)
    url = f"sqlite+aiosqlite:///{folder / 'tankwren.db'}"
    await asyncio.to_thread(migrate, url)
    server = ChatServer(now=SystemClock().now)
    await server.start()
    try:
        span_s = max(5.0, wanted.kills * _CYCLE_S)
        reminders = planned(wanted.reminders, SystemClock().now(), span_s, rng)
        store = Store(url)
        await settled(server, store, reminders)
        await store.close()
        _make_hard(server, wanted, rng)
        raid = Raid(wanted=wanted, server=server, folder=folder, rng=rng)
        await raid.rage()
        return _judged(raid, reminders, monotonic() - begun)
    finally:
        await server.stop()


def _make_hard(server: ChatServer, wanted: Wanted, rng: random.Random) -> None:
    """Answers that take their time, before or after the message stands there, and some never come.

    A restart knows nothing of a room's count of messages: its limit would only make the run longer.
    Nonces are remembered for three minutes, as ever: nothing stays away that long here.
    """
    server.limits.buckets["message-create"] = Window(1000, 1.0)
    for _ in range(4 * wanted.reminders + 20 * wanted.kills):
        delay_s = rng.uniform(0, _LONGEST_ANSWER_S)
        fault = Fault(
            method="POST", path_regex=_CREATE, created=rng.random() < 0.7, delay_s=delay_s
        )
        if rng.random() < _WRONG:
            fault.created = True
            fault.reset, fault.status = rng.choice(((True, None), (False, 503)))
        server.script(fault)


def _judged(raid: Raid, reminders: list[Planned], took_s: float) -> Verdict:
    nonces = Counter(creates(raid.server))
    return judge(
        raid.server,
        raid.folder,
        reminders,
        ended=raid.ended,
        troubles=raid.troubles,
        repeats=sum(nonces.values()) - len(nonces),
        took_s=took_s,
    )
