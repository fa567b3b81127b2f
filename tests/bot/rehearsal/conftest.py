"""One server with a small town, the real client connected to it, and plain HTTP beside it."""

import asyncio
import contextlib
from collections.abc import AsyncIterator, Awaitable, Callable
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from typing import Any

import aiohttp
import discord
import pytest
import pytest_asyncio
import yarl
from discord import app_commands

from bot.rehearsal import ChatServer, Guild, Person


@dataclass
class MovingClock:
    """A clock that moves by a millisecond whenever it is asked."""

    moment: datetime = field(default_factory=lambda: datetime(2027, 3, 1, 9, 0, tzinfo=UTC))

    def __call__(self) -> datetime:
        self.moment += timedelta(milliseconds=1)
        return self.moment


@dataclass
class Town:
    """The server, its one community and its people."""

    server: ChatServer
    guild: Guild
    tamsin: Person
    ife: Person
    wenna: Person


class Gardener(discord.Client):
    """A bare client with a command tree that syncs at login; tests add what it does."""

    def __init__(self) -> None:
        intents = discord.Intents.none()
        intents.guilds = intents.guild_messages = intents.dm_messages = True
        super().__init__(
            intents=intents,
            guild_ready_timeout=0.05,
            allowed_mentions=discord.AllowedMentions.none(),
        )
        self.tree = app_commands.CommandTree(self)
        self.heard: list[discord.Message] = []
        self.events: list[str] = []
        self.reply: Callable[[discord.Message], Awaitable[Any]] | None = None
        self.resumed = asyncio.Event()

    async def setup_hook(self) -> None:
        await self.tree.sync()

    async def on_message(self, message: discord.Message) -> None:
        if message.author.bot:
            return
        self.heard.append(message)
        if self.reply is not None:
            await self.reply(message)

    async def on_resumed(self) -> None:
        self.resumed.set()


@pytest_asyncio.fixture
async def town() -> AsyncIterator[Town]:
    server = ChatServer(now=MovingClock(), page=True)
    guild = server.add_guild("Saltmarsh Growers", room="towers")
    tamsin = server.add_person("Tamsin", guilds=[guild])
    ife = server.add_person("Ife", locale="de", guilds=[guild])
    wenna = server.add_person("Wenna", guilds=[guild], coach=True)
    await server.start()
    yield Town(server, guild, tamsin, ife, wenna)
    await server.stop()


@pytest_asyncio.fixture
async def run(
    town: Town, monkeypatch: pytest.MonkeyPatch
) -> AsyncIterator[Callable[[Gardener], Awaitable[None]]]:
    monkeypatch.setattr(discord.http.Route, "BASE", town.server.api_url)
    monkeypatch.setattr(
        discord.gateway.DiscordWebSocket, "DEFAULT_GATEWAY", yarl.URL(town.server.gateway_url)
    )
    async with contextlib.AsyncExitStack() as stack:

        async def start(client: Gardener) -> None:
            task = asyncio.create_task(client.start(town.server.token))

            async def end() -> None:
                await client.close()
                await asyncio.gather(task, return_exceptions=True)

            stack.push_async_callback(end)
            await town.server.wait_ready(5)
            await client.wait_until_ready()

        yield start


@dataclass
class Plain:
    """Plain HTTP with the bot's token."""

    session: aiohttp.ClientSession
    server: ChatServer

    async def __call__(
        self, method: str, path: str, body: object = None, **options: Any
    ) -> tuple[int, Any, Any]:
        headers = {"Authorization": f"Bot {self.server.token}", **options.pop("headers", {})}
        async with self.session.request(
            method, self.server.api_url + path, json=body, headers=headers, **options
        ) as answer:
            text = await answer.text()
            kind = answer.headers.get("Content-Type")
            shown = await answer.json() if kind == "application/json" else text
            return answer.status, shown, answer.headers


@pytest_asyncio.fixture
async def http(town: Town) -> AsyncIterator[Plain]:
    async with aiohttp.ClientSession() as session:
        yield Plain(session, town.server)
