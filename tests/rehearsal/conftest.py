"""The whole bot: the real client on the loopback server, a real SQLite file, the demo town."""

from __future__ import annotations

import sqlite3
from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest_asyncio

from bot.app.serving import connected
from bot.chat.client import point_at
from bot.clock import SystemClock
from bot.demo import saltmarsh
from bot.rehearsal import ChatServer, Guild, Person
from bot.stepping import SetClock, SteppedClock
from bot.storage import Store, migrate


class TickingClock(SetClock):
    """A clock that never says the same moment twice, as a real one; it can still be put."""

    def now(self) -> datetime:
        self.step_to(super().now() + timedelta(microseconds=137))
        return super().now()


@dataclass(frozen=True, slots=True, kw_only=True)
class Town:
    """tamsin keeps the kitchen; bram has nothing yet; wenna runs the server; all in one room.

    clock: the bot's calendar, standing where a test puts it.
    """

    server: ChatServer
    guild: Guild
    tamsin: Person
    bram: Person
    wenna: Person
    clock: SetClock
    store: Store
    database: Path

    def rows(self, query: str) -> list[tuple[object, ...]]:
        """What really stands in the file."""
        connection = sqlite3.connect(self.database)
        try:
            return connection.execute(query).fetchall()
        finally:
            connection.close()


@pytest_asyncio.fixture()
async def town(tmp_path: Path) -> AsyncIterator[Town]:
    clock = TickingClock(SystemClock().now())
    async with lived_in(tmp_path, clock, SystemClock().now) as made:
        yield made


@pytest_asyncio.fixture()
async def stepped(tmp_path: Path) -> AsyncIterator[Town]:
    """The town on a clock that stands on Wed 21 Oct 2026, 10:00 in New York, and walks."""
    clock = SteppedClock(datetime(2026, 10, 21, 14, 0, tzinfo=UTC))
    clock.run(0)
    async with lived_in(tmp_path, clock, clock.now) as made:
        yield made


@asynccontextmanager
async def lived_in(
    folder: Path, clock: SetClock, now: Callable[[], datetime]
) -> AsyncIterator[Town]:
    """The bot in the town, on `clock`; the server's messages are of `now`."""
    database = folder / "tankwren.db"
    url = f"sqlite+aiosqlite:///{database}"
    migrate(url)
    store = Store(url)
    await saltmarsh.fill(store)
    server = ChatServer(now=now, page=True)
    guild = server.add_guild(
        saltmarsh.COMMUNITY, room=saltmarsh.ROOM, id=saltmarsh.GUILD_ID, room_id=saltmarsh.ROOM_ID
    )
    tamsin = server.add_person(saltmarsh.MEMBER, guilds=[guild], id=saltmarsh.MEMBER_ID)
    bram = server.add_person("Bram", guilds=[guild], locale="en-GB")
    wenna = server.add_person("Wenna", guilds=[guild], coach=True)
    await server.start()
    point_at(server.api_url, server.gateway_url)
    async with connected(store, clock, server.token):
        await server.wait_ready()
        yield Town(
            server=server,
            guild=guild,
            tamsin=tamsin,
            bram=bram,
            wenna=wenna,
            clock=clock,
            store=store,
            database=database,
        )
    await store.close()
    await server.stop()
    assert server.board.surprises == []
