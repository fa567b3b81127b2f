"""The connection: three unprivileged intents, no mentions, no message cache."""

from __future__ import annotations

from collections.abc import Awaitable, Callable
from urllib.parse import urlsplit

import discord
import yarl
from discord.gateway import DiscordWebSocket
from discord.http import Route

_API_PATH = "/api/v10"


def intents() -> discord.Intents:
    """Commands and buttons need guilds; plain sentences the two kinds of message."""
    wanted = discord.Intents.none()
    wanted.guilds = True
    wanted.guild_messages = True
    wanted.dm_messages = True
    return wanted


class TowerClient(discord.Client):
    """The platform's client; `on_start` runs once, before the gateway."""

    def __init__(self) -> None:
        discord.VoiceClient.warn_nacl = discord.VoiceClient.warn_dave = False  # no voice here
        super().__init__(
            intents=intents(),
            allowed_mentions=discord.AllowedMentions.none(),
            max_messages=None,
            chunk_guilds_at_startup=False,
            member_cache_flags=discord.MemberCacheFlags.none(),
            guild_ready_timeout=0.1,  # nothing of ours waits for guilds to trickle in
        )
        self.on_start: Callable[[], Awaitable[None]] | None = None
        self.on_text: Callable[[discord.Message], Awaitable[None]] | None = None

    async def setup_hook(self) -> None:
        if self.on_start is not None:
            await self.on_start()

    async def on_message(self, message: discord.Message) -> None:
        if self.on_text is None or message.author.bot or self.user is None:
            return
        if message.guild is None or self.user in message.mentions:
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
