"""Who asks and from where, out of what the platform sends."""

from __future__ import annotations

import re

import discord

from bot.records.people import NEEDED, Asker, Place
from bot.text import plain


def asker_of(interaction: discord.Interaction) -> Asker:
    """The person behind a command or button: its answer is only theirs to see."""
    return Asker(
        user_id=interaction.user.id,
        name=plain(interaction.user.display_name)[:100],
        guild_id=interaction.guild_id,
        private=True,
        locale=interaction.locale.value,
        place=_place(interaction) if interaction.guild_id is not None else None,
    )


def _place(interaction: discord.Interaction) -> Place:
    """The room it happened in, and what we may do there."""
    guild, room = interaction.guild, interaction.channel
    allowed = interaction.app_permissions
    return Place(
        room_id=interaction.channel_id or 0,
        room=plain(getattr(room, "name", None) or "")[:100],
        community=plain(guild.name)[:100] if guild is not None else "",
        members=(guild.member_count or 0) if guild is not None else 0,
        missing=tuple(name for name in NEEDED if not getattr(allowed, name)),
        manages=interaction.permissions.manage_guild,
    )


def writer_of(message: discord.Message) -> Asker:
    """The person behind a message: in a room everybody reads the answer."""
    return Asker(
        user_id=message.author.id,
        name=plain(message.author.display_name)[:100],
        guild_id=message.guild.id if message.guild else None,
        private=message.guild is None,
    )


def text_of(message: discord.Message, bot_id: int) -> str:
    """What was written, without the mention that called the bot."""
    return re.sub(rf"<@!?{bot_id}>", " ", message.content).strip()
