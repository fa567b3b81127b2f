"""The whole bot: the real client on the loopback server, a real SQLite file, the demo town."""

from __future__ import annotations

import sqlite3
from collections.abc import AsyncIterator
from dataclasses import dataclass
from pathlib import Path

import pytest_asyncio

from bot.app.serving import connected
from bot.chat.client import point_at
from bot.clock import SystemClock
from bot.demo import saltmarsh
from bot.rehearsal import ChatServer, Guild, Person
from bot.storage import Store, migrate


@dataclass(frozen=True, slots=True, kw_only=True)
class Town:
    """tamsin keeps the kitchen; bram has nothing yet; both are in the same room."""

    server: ChatServer
    guild: Guild
    tamsin: Person
    bram: Person
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
    database = tmp_path / "tankwren.db"
    url = f"sqlite+aiosqlite:///{database}"
    migrate(url)
    store = Store(url)
    await saltmarsh.fill(store)
    clock = SystemClock()
    server = ChatServer(now=clock.now, page=True)
    guild = server.add_guild(
        saltmarsh.COMMUNITY, room=saltmarsh.ROOM, id=saltmarsh.GUILD_ID, room_id=saltmarsh.ROOM_ID
    )
    tamsin = server.add_person(saltmarsh.MEMBER, guilds=[guild], id=saltmarsh.MEMBER_ID)
    bram = server.add_person("Bram", guilds=[guild], locale="en-GB")
    await server.start()
    point_at(server.api_url, server.gateway_url)
    async with connected(store, clock, server.token):
        await server.wait_ready()
        yield Town(
            server=server, guild=guild, tamsin=tamsin, bram=bram, store=store, database=database
        )
    await store.close()
    await server.stop()
    assert server.board.surprises == []
