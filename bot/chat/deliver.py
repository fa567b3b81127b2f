"""Reminders sent: over HTTP alone, whether the gateway is connected or not.

The platform's answers become outcomes; which is which says PLATFORM's list of codes.
"""

from __future__ import annotations

import asyncio
from datetime import datetime
from time import monotonic

import aiohttp
import discord
import structlog

from bot.chat.send import HANDLE_PREFIX, view_of
from bot.records.reminders import Body, Failed, Recipient, Sent

_CLOSED = frozenset({50007, 50278, 10013})
_GONE = frozenset({10003, 10004, 50001, 50013})
_REJECTED = frozenset({50006, 50035, 200000, 40005})
_DELETED = 10008  # a create answered so was made before, and its message deleted since
_OPENING_TOO_FAST = 40003
_TRY_S = 60.0
_OPEN_EVERY_S = 1.5  # nothing is published; opening many at once gets a bot limited
_BLOCKED_S = 600.0
_LOOK_BACK = 2000


class Deliverer:
    """A client that only sends."""

    def __init__(self, token: str) -> None:
        self._token = token
        discord.VoiceClient.warn_nacl = discord.VoiceClient.warn_dave = False  # no voice here
        self._client = discord.Client(
            intents=discord.Intents(guilds=True),  # never used: it does not connect
            allowed_mentions=discord.AllowedMentions.none(),
            max_messages=None,
            max_ratelimit_timeout=30,  # longer ones are ours to wait for
        )
        self._login = asyncio.Lock()
        self._ready = False
        self._refused: discord.LoginFailure | None = None
        self._opened_at = 0.0

    async def close(self) -> None:
        """End its connections."""
        await self._client.close()

    async def open(self, to: Recipient) -> int | Failed:
        """The private channel with a person; new ones with a pause between."""
        assert to.user_id is not None
        wait_s = self._opened_at + _OPEN_EVERY_S - monotonic()
        if wait_s > 0:
            await asyncio.sleep(wait_s)
        try:
            async with asyncio.timeout(_TRY_S):
                await self._logged_in()
                return (await self._client.create_dm(discord.Object(to.user_id))).id
        except Exception as error:
            found = _outcome(error, private=True)
            return found if isinstance(found, Failed) else Failed(why="unknown")
        finally:
            self._opened_at = monotonic()

    async def send(self, to: Recipient, body: Body, nonce: str) -> Sent | Failed:
        """One message; a repeat under the same nonce is the same message."""
        if to.channel_id is None:
            return Failed(why="gone", code=10003)
        try:
            async with asyncio.timeout(_TRY_S):
                await self._logged_in()
                return await self._create(to.channel_id, body, nonce)
        except Exception as error:
            return _outcome(error, private=to.user_id is not None)

    async def find(self, to: Recipient, body: Body, since: datetime) -> Sent | Failed | None:
        """A message of ours with these buttons, or these words, since then."""
        if to.channel_id is None:
            return None  # the channel is kept before anything is sent there
        try:
            async with asyncio.timeout(_TRY_S):
                await self._logged_in()
                return await self._look(to.channel_id, body, since)
        except Exception as error:
            return _outcome(error, private=to.user_id is not None)

    async def _logged_in(self) -> None:
        async with self._login:
            if self._refused is not None:
                raise self._refused  # a second try would only count against us
            if not self._ready:
                try:
                    await self._client.login(self._token)
                except discord.LoginFailure as error:
                    self._refused = error
                    raise
                self._ready = True

    async def _create(self, channel_id: int, body: Body, nonce: str) -> Sent:
        mention = [discord.Object(body.mention)] if body.mention else False
        message = await self._client.get_partial_messageable(channel_id).send(
            body.content,
            nonce=nonce,
            view=view_of(body.buttons) or discord.utils.MISSING,
            suppress_embeds=True,
            silent=body.silent,
            allowed_mentions=discord.AllowedMentions(
                everyone=False, roles=False, users=mention, replied_user=False
            ),
        )
        return Sent(message_id=message.id, channel_id=channel_id)

    async def _look(self, channel_id: int, body: Body, since: datetime) -> Sent | Failed | None:
        """Through all that was written since; too much to look through is no answer."""
        keys = {f"{HANDLE_PREFIX}{key}" for key, _ in body.buttons}
        channel = self._client.get_partial_messageable(channel_id)
        own = self._client.user.id if self._client.user else 0
        seen = 0
        async for message in channel.history(limit=_LOOK_BACK, after=since, oldest_first=True):
            seen += 1
            if message.author.id != own:
                continue
            ids = {
                part.custom_id
                for row in message.components
                for part in getattr(row, "children", ())
                if isinstance(part, discord.Button)
            }
            if keys & ids if keys else message.content == body.content:
                return Sent(message_id=message.id, channel_id=channel_id)
        return Failed(why="unknown") if seen >= _LOOK_BACK else None


def _outcome(error: Exception, *, private: bool) -> Sent | Failed:
    """What an error of a send means for the message."""
    match error:
        case discord.LoginFailure() | discord.HTTPException(status=401):
            return Failed(why="revoked", code=401)
        case discord.RateLimited():
            return Failed(why="later", code=429, wait_s=error.retry_after)
        case discord.HTTPException(status=429):
            return Failed(why="limited", code=429, wait_s=_BLOCKED_S)
        case discord.HTTPException(code=code) if code == _DELETED:
            return Sent(message_id=0, channel_id=0)
        case discord.HTTPException(code=code) if code in _CLOSED and private:
            return Failed(why="closed", code=code)
        case discord.HTTPException(code=code) if code in _GONE:
            return Failed(why="gone", code=code)
        case discord.HTTPException(code=code) if code == _OPENING_TOO_FAST:
            return Failed(why="later", code=code, wait_s=_BLOCKED_S)
        case discord.HTTPException(code=code) if code in _REJECTED:
            return Failed(why="rejected", code=code)
        case discord.DiscordServerError() | OSError() | aiohttp.ClientError() | TimeoutError():
            return Failed(why="unknown", code=getattr(error, "status", 0))
        case discord.HTTPException():
            return Failed(why="later", code=error.code or error.status)
        case _:
            structlog.get_logger().exception("a send went wrong", exc_info=error)
            return Failed(why="unknown")
