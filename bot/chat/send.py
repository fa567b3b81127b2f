"""A Card as a message, and an answer within the platform's three seconds."""

from __future__ import annotations

import asyncio
import base64
import hashlib
from collections.abc import Awaitable, Callable, Sequence
from typing import Any

import aiohttp
import discord
import structlog

from bot.records.answer import Card

LONGEST = 2000
HANDLE_PREFIX = "tk:"
_DEFER_AFTER_S = 1.8  # of the 3 s the platform allows for the first answer
_NONCE = 25
_WAITS_S = (0.2, 0.5)
# Unknown interaction, already acknowledged, invalid webhook token.
_GONE = frozenset({10062, 40060, 50027})


def content_of(card: Card) -> str:
    """A card's text; the small print gives way where both would not fit."""
    whole = f"{card.text}\n{card.small}" if card.small else card.text
    if len(whole) <= LONGEST:
        return whole
    kept = card.text if len(card.text) <= LONGEST else card.text[: LONGEST - 1] + "…"
    for line in reversed(card.small.splitlines()):  # cautions and guesses before the arithmetic
        if len(kept) + 1 + len(line) <= LONGEST:
            kept += "\n" + line
    return kept


def buttons_of(card: Card, handles: Sequence[str]) -> discord.ui.View | None:
    """The card's buttons, each with its handle. Nothing is kept in memory for them."""
    if not card.buttons:
        return None
    view = discord.ui.View(timeout=None)
    for handle, label in zip(handles, card.buttons, strict=True):
        view.add_item(discord.ui.Button(label=label, custom_id=f"{HANDLE_PREFIX}{handle}"))
    view.stop()  # dynamic items answer; a waiting view per message would never be freed
    return view


class Prompt:
    """One interaction's answer: sent at once, or, when the work takes long, after a deferral."""

    def __init__(self, interaction: discord.Interaction) -> None:
        self._interaction = interaction
        self._deferring: asyncio.Task[Any] | None = None
        loop = asyncio.get_running_loop()
        self._timer = loop.call_later(_DEFER_AFTER_S, self._defer)

    def _defer(self) -> None:
        self._deferring = asyncio.create_task(
            self._interaction.response.defer(ephemeral=True, thinking=True)
        )

    async def send(self, content: str, view: discord.ui.View | None = None) -> None:
        """Show `content` to the person who asked, and to nobody else.

        Too late, or answered already: nobody is there to show it to, so it is only logged.
        """
        self._timer.cancel()
        try:
            if self._deferring is not None:
                await self._deferring
            await again(lambda: self._show(content, view))
        except discord.HTTPException as error:
            if error.code not in _GONE:
                raise
            structlog.get_logger().warning("answer not wanted any more", code=error.code)

    async def _show(self, content: str, view: discord.ui.View | None) -> None:
        if self._interaction.response.is_done():
            await self._interaction.edit_original_response(content=content, view=view)
            return
        await self._interaction.response.send_message(
            content, ephemeral=True, suppress_embeds=True, view=view or discord.utils.MISSING
        )


async def answer_message(
    message: discord.Message, content: str, view: discord.ui.View | None = None
) -> None:
    """Answer a message where it was written; a retry finds the first answer by our own nonce."""

    async def send() -> None:
        await message.channel.send(
            content,
            reference=message.to_reference(fail_if_not_exists=False),
            nonce=nonce_for(f"message:{message.id}"),
            suppress_embeds=True,
            view=view or discord.utils.MISSING,
        )

    try:
        await again(send)
    except (discord.Forbidden, discord.NotFound) as error:
        # Not allowed there, or nobody there any more: another try would be refused as well.
        structlog.get_logger().warning("answer refused", code=error.code)


async def again(send: Callable[[], Awaitable[None]]) -> None:
    """`send`, once more after each fault that is not ours; the nonce keeps it one message."""
    for wait_s in _WAITS_S:
        try:
            return await send()
        except (discord.DiscordServerError, OSError, aiohttp.ClientError):
            await asyncio.sleep(wait_s)
    return await send()


def nonce_for(key: str) -> str:
    """25 characters that are the same for the same post, also after a restart."""
    digest = hashlib.sha256(key.encode()).digest()
    return base64.b32encode(digest).decode().lower()[:_NONCE]
