"""Reminders: set, claimed, handed over, and sent through the platform's cap."""

from __future__ import annotations

import asyncio
import statistics
import tempfile
import time
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime
from pathlib import Path

from bot.chat.client import point_at
from bot.chat.deliver import Deliverer
from bot.clock import SystemClock
from bot.demo import saltmarsh
from bot.records.changes import AddRule
from bot.records.people import Asker
from bot.records.reminders import Body, Failed, Pattern, Recipient, Rule, Sent
from bot.rehearsal import ChatServer
from bot.reminders import Worker
from bot.stepping import SetClock
from bot.storage import Store, Writing, apply, migrate
from bot.storage.reminding.leases import Lease
from bot.storage.reminding.plans import how_many
from bot.storage.reminding.posts import claim
from tests.bench.rows import Row, row
from tests.bench.scheduler import added_per_s, run_per_s
from tests.bench.waiting import NOW, Waiting, filled, opened, stored

_NOW = NOW.replace(tzinfo=UTC)
_ASKERS = 8  # who set reminders at the same time
_RULES_EACH = 40
_CLAIMS = 40
_NO_CAP = 1e9
_CAP_PER_S = 50.0
_SUNDAYS = Pattern(start_local="2026-05-17T19:30", rrule="FREQ=WEEKLY;BYDAY=SU")


async def reminders(quick: bool) -> list[Row]:
    """All rows; each yardstick in the same run, on the same file system, WAL and FULL."""
    return [
        await _added(1_000 if quick else 10_000),
        *await _handed(500 if quick else 5_000),
        *await _claimed(50_000 if quick else 1_000_000),
        await _capped(100 if quick else 300),
    ]


@dataclass(slots=True)
class NoOutbox:
    """Sends nothing, and says so was done."""

    calls: int = 0
    first: float = 0.0
    wanted: int = 1
    enough: asyncio.Event = field(default_factory=asyncio.Event)

    async def send(self, to: Recipient, body: Body, nonce: str) -> Sent | Failed:
        """Counted; the first one's moment is kept."""
        if not self.calls:
            self.first = time.perf_counter()
        self.calls += 1
        if self.calls >= self.wanted:
            self.enough.set()
        return Sent(message_id=self.calls, channel_id=to.channel_id or 0)

    async def find(self, to: Recipient, body: Body, since: datetime) -> Sent | Failed | None:
        """It never stands there."""
        return None


async def _added(count: int) -> Row:
    """A transaction a rule, by the one way that answers take."""
    with tempfile.TemporaryDirectory() as folder:
        url = f"sqlite+aiosqlite:///{Path(folder) / 'bench.db'}"
        await asyncio.to_thread(migrate, url)
        store = Store(url)
        await saltmarsh.fill(store)
        numbers = iter(range(count))

        async def ask() -> None:
            for number in numbers:
                await _add(store, number)

        started = time.perf_counter()
        await asyncio.gather(*[ask() for _ in range(_ASKERS)])
        ours = count / (time.perf_counter() - started)
        await store.close()
    yardstick = await asyncio.to_thread(added_per_s, count)
    return row(f"{count:,} rules added", ours, yardstick, 1.0, "1/s")


async def _add(store: Store, number: int) -> None:
    who = number // _RULES_EACH + 1
    asker = Asker(user_id=who, name=f"Bram {who}", guild_id=saltmarsh.GUILD_ID, private=True)
    change = AddRule(rule=Rule(text=f"rinse tray {number}", pattern=_SUNDAYS))
    assert await apply(store, asker, Writing(changes=[change]), number + 1, _NOW)


async def _handed(count: int) -> list[Row]:
    """One debt a person, so that none are gathered into one message."""
    what = Waiting(debts=count, people=count, due=count, rrule="")
    async with stored(what) as store:
        outbox = NoOutbox(wanted=count)
        started = time.perf_counter()
        worker = Worker(store, SetClock(_NOW), outbox, rate_per_s=_NO_CAP)
        async with _working(worker):
            await outbox.enough.wait()
            while (await how_many(store)).get("sent") != count:
                await asyncio.sleep(0.002)
            ours = count / (time.perf_counter() - started)
        assert outbox.calls == count
    yardstick, ran = await asyncio.to_thread(_lenient, count)
    _, by_default = await asyncio.to_thread(run_per_s, count)
    assert ran == count
    name = f"{count:,} due handed to a no-op sender (by default the yardstick runs {by_default})"
    return [row(name, ours, yardstick, 1.0, "1/s")]


def _lenient(count: int) -> tuple[float, int]:
    return run_per_s(count, misfire_grace_time=None)


class _working:  # noqa: N801 - used like a function
    """A worker that works inside the block."""

    def __init__(self, worker: Worker) -> None:
        self._worker = worker

    async def __aenter__(self) -> None:
        self._task = asyncio.create_task(self._worker.run())

    async def __aexit__(self, *_: object) -> None:
        self._task.cancel()
        await asyncio.gather(self._task, return_exceptions=True)


async def _claimed(many: int) -> list[Row]:
    """The same batch of 200 messages claimed where few wait and where many do, in turn."""
    few = 1_000
    times: dict[int, list[float]] = {few: [], many: []}
    async with filled(Waiting(debts=few)) as small, filled(Waiting(debts=many)) as large:
        async with opened(small) as one, opened(large) as other:
            for _ in range(_CLAIMS):
                for count, store in ((few, one), (many, other)):
                    times[count].append(await _claim_ms(store, count))
        cost = {count: statistics.median(found) for count, found in times.items()}
        async with opened(large) as anew:
            first = await _first_send_ms(anew)
    return [
        row(f"claim with {many:,} debts waiting", cost[many], cost[few], 1 / 1.3, "ms", less=True),
        row(f"first send after start, {many:,} waiting", first, 50, 1.0, "ms", less=True),
    ]


async def _claim_ms(store: Store, debts: int) -> float:
    started = time.perf_counter()
    claimed = await claim(store, Lease(), _NOW)
    took = time.perf_counter() - started
    assert len(claimed) == 200
    async with store.write() as connection:  # as it was before
        for statement in (
            "update debt set state = 'due', post_id = null where state = 'posted'",
            f"delete from debt where id > {debts}",
            "delete from post",
        ):
            await connection.exec_driver_sql(statement)
    return took * 1000


async def _first_send_ms(store: Store) -> float:
    """From the start of Worker.run to the first message handed over."""
    outbox = NoOutbox()
    worker = Worker(store, SetClock(_NOW), outbox, rate_per_s=_NO_CAP)
    started = time.perf_counter()
    async with _working(worker):
        await outbox.enough.wait()
        return (outbox.first - started) * 1000


async def _capped(count: int) -> Row:
    """The real sender, one message a person, whose channels are known; the cap is the server's."""
    server = ChatServer(now=SystemClock().now)
    guild = server.add_guild("Saltmarsh Growers", room="towers")
    people = [server.add_person(f"Wenna {n}", guilds=[guild]) for n in range(count)]
    users = tuple((one.id, one.account.private.id) for one in people)
    await server.start()
    point_at(server.api_url, server.gateway_url)
    outbox = Deliverer(server.token)
    what = Waiting(debts=count, people=count, due=count, rrule="", users=users)
    try:
        async with stored(what) as store, _working(Worker(store, SetClock(_NOW), outbox)):
            while (await how_many(store)).get("sent") != count:
                await asyncio.sleep(0.05)
        return _capped_row(server, count)
    finally:
        await outbox.close()
        await server.stop()


def _capped_row(server: ChatServer, count: int) -> Row:
    made = [datetime.fromisoformat(one["timestamp"]) for one in server.messages]
    assert len(made) == count
    per_s = (count - 1) / (made[-1] - made[0]).total_seconds()
    refused = server.limits.refused
    found = row(f"delivery through the platform's cap, {count} messages", per_s, _CAP_PER_S, 0.95,
                "1/s")  # fmt: skip
    if not refused:
        return found
    # As fast as that only because it was told off: the goal is both.
    return replace(found, name=f"{found.name} ({refused} refused with 429)", met=False)
