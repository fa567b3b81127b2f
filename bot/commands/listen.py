"""Plain sentences: in private, or in a room where the bot is mentioned."""

from __future__ import annotations

from collections.abc import Awaitable, Callable

import discord

from bot.chat.client import TowerClient
from bot.chat.place import text_of, writer_of
from bot.chat.send import Sendable, answer_message
from bot.commands.desk import Desk, Visit
from bot.commands.trouble import caught
from bot.records.questions import Help
from bot.understanding import hear


def listener(client: TowerClient, desk: Desk) -> Callable[[discord.Message], Awaitable[None]]:
    """What the client calls for each message meant for the bot."""

    async def heard(message: discord.Message) -> None:
        bot_id = client.user.id if client.user else 0
        text = text_of(message, bot_id)
        visit = Visit(asker=writer_of(message), id=message.id, client=client, typed=text)
        try:
            reply = await desk.answer(visit, lambda book: hear(text, book) if text else Help())
            await answer_message(message, reply)
        except Exception as error:  # an event's exception would only be logged by the library
            await answer_message(message, Sendable(content=caught(error)))

    return heard
