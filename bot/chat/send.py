"""A Card as a message, and an answer within the platform's three seconds."""

from __future__ import annotations

import asyncio
import base64
import hashlib
import io
from collections.abc import Awaitable, Callable, Sequence
from dataclasses import dataclass
from typing import Any

import aiohttp
import discord
import structlog

from bot.records.answer import Card, File

HANDLE_PREFIX = "tk:"
_DEFER_AFTER_S = 1.8  # of the 3 s the platform allows for the first answer
_NONCE = 25
_WAITS_S = (0.2, 0.5)
# Unknown interaction, already acknowledged, invalid webhook token.
_GONE = frozenset({10062, 40060, 50027})


def buttons_of(card: Card, handles: Sequence[str]) -> discord.ui.View | None:
    """The card's buttons, each with its handle."""
    return view_of(tuple(zip(handles, card.buttons, strict=True))) if card.buttons else None


def view_of(buttons: Sequence[tuple[str, str]]) -> discord.ui.View | None:
    """Buttons of handle and label. Nothing is kept in memory for them."""
    if not buttons:
        return None
    view = discord.ui.View(timeout=None)
    for handle, label in buttons:
        view.add_item(discord.ui.Button(label=label, custom_id=f"{HANDLE_PREFIX}{handle}"))
    view.stop()  # dynamic items answer; a waiting view per message would never be freed
    return view


@dataclass(frozen=True, slots=True, kw_only=True)
class Sendable:
    """What to send: text, buttons, files; instead: what the message it was asked under says now."""

    content: str
    view: discord.ui.View | None = None
    files: tuple[File, ...] = ()
    instead: str | None = None

    def attachments(self) -> list[discord.File]:
        """The files, fresh for each try: the library reads them to their end."""
        return [
            discord.File(io.BytesIO(file.data), filename=file.name, description=file.alt or None)
            for file in self.files
        ]


class NotPosted(Exception):
    """The platform does not let us write, or pin, in that room."""


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

    async def show_form(self, form: discord.ui.Modal, instead: str) -> None:
        """Open a form; where the first answer is gone already, say `instead`."""
        self._timer.cancel()
        try:
            if self._deferring is not None:
                await self._deferring
                await self._interaction.edit_original_response(content=instead)
            elif not self._interaction.response.is_done():
                await self._interaction.response.send_modal(form)
        except discord.HTTPException as error:
            if error.code not in _GONE:
                raise
            structlog.get_logger().warning("form not wanted any more", code=error.code)

    async def send(self, reply: Sendable) -> None:
        """Show `reply` to the person who asked, and to nobody else.

        Too late, or answered already: nobody is there to show it to, so it is only logged.
        """
        self._timer.cancel()
        try:
            if self._deferring is not None:
                await self._deferring
            await again(lambda: self._show(reply))
            if reply.instead is not None and self._interaction.message is not None:
                await self._interaction.message.edit(content=reply.instead)
        except discord.HTTPException as error:
            if error.code not in _GONE:
                raise
            structlog.get_logger().warning("answer not wanted any more", code=error.code)

    async def _show(self, reply: Sendable) -> None:
        if self._interaction.response.is_done():
            await self._interaction.edit_original_response(
                content=reply.content, view=reply.view, attachments=reply.attachments()
            )
            return
        await self._interaction.response.send_message(
            reply.content,
            ephemeral=True,
            suppress_embeds=True,
            view=reply.view or discord.utils.MISSING,
            files=reply.attachments() or discord.utils.MISSING,
        )


async def post_pinned(
    client: discord.Client, room_id: int, reply: Sendable, *, old_id: int | None
) -> tuple[int, bool]:
    """A message in a room, pinned: the old one changed, or a new one; its id, and if it is pinned.

    Raises
    ------
    NotPosted
        Nothing stands there.
    """
    room = client.get_partial_messageable(room_id)
    try:
        message = await _changed(room, reply, old_id)
        if message is None:
            sent = await room.send(
                reply.content,
                view=reply.view or discord.utils.MISSING,
                nonce=nonce_for(f"welcome:{room_id}:{old_id}"),
                suppress_embeds=True,
            )
            message = room.get_partial_message(sent.id)
    except (discord.Forbidden, discord.NotFound) as error:
        structlog.get_logger().warning("post refused", code=error.code)
        raise NotPosted from None
    try:
        await message.pin()
    except discord.HTTPException as error:  # not allowed, or fifty pins already
        structlog.get_logger().warning("pin refused", code=error.code)
        return message.id, False
    return message.id, True


async def _changed(
    room: discord.PartialMessageable, reply: Sendable, old_id: int | None
) -> discord.PartialMessage | None:
    """The old post as it is to be now; None where it is gone."""
    if old_id is None:
        return None
    old = room.get_partial_message(old_id)
    try:
        await old.edit(content=reply.content, view=reply.view)
    except discord.NotFound:
        return None
    return old


async def answer_message(message: discord.Message, reply: Sendable) -> None:
    """Answer a message where it was written; a retry finds the first answer by our own nonce."""

    async def send() -> None:
        await message.channel.send(
            reply.content,
            reference=message.to_reference(fail_if_not_exists=False),
            nonce=nonce_for(f"message:{message.id}"),
            suppress_embeds=True,
            view=reply.view or discord.utils.MISSING,
            files=reply.attachments() or discord.utils.MISSING,
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
