"""The connection: three unprivileged intents, no mentions, no message cache."""

from __future__ import annotations

import asyncio
from collections.abc import Awaitable, Callable, Collection, Iterator
from contextlib import AbstractContextManager, contextmanager, nullcontext, suppress
from time import monotonic
from typing import Any
from urllib.parse import urlsplit

import discord
import structlog
import yarl
from discord.gateway import DiscordWebSocket
from discord.http import Route

from bot.chat.forms import form_of
from bot.watch import Pulse

_API_PATH = "/api/v10"
_YOUNG_S = 60.0


def intents() -> discord.Intents:
    """Commands and buttons need guilds; plain sentences the two kinds of message."""
    wanted = discord.Intents.none()
    wanted.guilds = True
    wanted.guild_messages = True
    wanted.dm_messages = True
    return wanted


class TowerClient(discord.Client):
    """The platform's client; `on_start` runs once, before the gateway."""

    def __init__(self, pulse: Pulse | None = None) -> None:
        self._pulse = pulse or Pulse()
        discord.VoiceClient.warn_nacl = discord.VoiceClient.warn_dave = False  # no voice here
        super().__init__(
            intents=intents(),
            allowed_mentions=discord.AllowedMentions.none(),
            max_messages=None,
            chunk_guilds_at_startup=False,
            member_cache_flags=discord.MemberCacheFlags.none(),
            guild_ready_timeout=0.1,  # nothing of ours waits for guilds to trickle in
        )
        self._identified_at: float | None = None
        self._identify_wait_s = 0.0
        self._busy = 0
        self._idle = asyncio.Event()
        self._idle.set()
        self.on_start: Callable[[], Awaitable[None]] | None = None
        self.on_form: Callable[[discord.Interaction, str, dict[str, str]], Awaitable[None]] | None
        self.on_form = None
        self.on_text: Callable[[discord.Message], Awaitable[None]] | None = None
        self.on_places: Callable[[Callable[[], Collection[int]]], Awaitable[None]] | None = None
        self._telling = asyncio.Lock()

    async def setup_hook(self) -> None:
        if self.on_start is not None:
            await self.on_start()

    async def before_identify_hook(self, shard_id: int | None, *, initial: bool = False) -> None:
        """Sessions that die young are begun anew ever more slowly: 1,000 a day are allowed."""
        now = monotonic()
        young = self._identified_at is not None and now - self._identified_at < _YOUNG_S
        self._identify_wait_s = min(_YOUNG_S, 2 * self._identify_wait_s or 1.0) if young else 0.0
        if self._identify_wait_s:
            structlog.get_logger().warning("session lost", again_in_s=self._identify_wait_s)
            await asyncio.sleep(self._identify_wait_s)
        self._identified_at = monotonic()

    @contextmanager
    def busy(self) -> Iterator[None]:
        """Work that a stop waits for."""
        self._busy += 1
        self._idle.clear()
        try:
            yield
        finally:
            self._busy -= 1
            if not self._busy:
                self._idle.set()

    async def finish(self, limit_s: float) -> None:
        """Wait for answers that are being worked out, `limit_s` at the most."""
        with suppress(TimeoutError):
            async with asyncio.timeout(limit_s):
                await self._idle.wait()

    async def on_interaction(self, interaction: discord.Interaction) -> None:
        """Forms come back here: the library knows only those it kept in memory."""
        filled = form_of(interaction)
        if filled is not None and self.on_form is not None:
            await self.on_form(interaction, *filled)

    async def on_ready(self) -> None:
        await self._tell_places()
        self._pulse.connected = True

    def dispatch(self, event: str, /, *args: Any, **kwargs: Any) -> None:
        """Seen at once, without a task; once closed, nothing is begun: the loop may be ending."""
        if event in ("disconnect", "resumed"):
            self._pulse.connected = event == "resumed"
        if not self.is_closed():
            super().dispatch(event, *args, **kwargs)

    async def on_guild_join(self, guild: discord.Guild) -> None:
        await self._tell_places()

    async def on_guild_remove(self, guild: discord.Guild) -> None:
        await self._tell_places()

    async def _tell_places(self) -> None:
        """All communities that the bot is in, those among them whose server is away as well."""
        async with self._telling:
            if self.on_places is not None:
                await self.on_places(lambda: {guild.id for guild in self.guilds})

    async def on_message(self, message: discord.Message) -> None:
        if self.on_text is None or message.author.bot or self.user is None:
            return
        if message.guild is None or self.user in message.mentions:
            with self.busy():
                await self.on_text(message)


def point_at(api_url: str | None, gateway_url: str | None) -> None:
    """Use another server that speaks the platform's protocol; None leaves the real one.

    discord.py offers no option for this, only these two class attributes.
    """
    if api_url is not None:
        path = urlsplit(api_url).path.strip("/")
        Route.BASE = api_url if path else api_url + _API_PATH
    if gateway_url is not None:
        DiscordWebSocket.DEFAULT_GATEWAY = yarl.URL(gateway_url)


def busy(client: discord.Client) -> AbstractContextManager[None]:
    """The client's `busy`, for callbacks that know it only as the library's."""
    return client.busy() if isinstance(client, TowerClient) else nullcontext()
