"""Buttons that live as long as their handle, also over a restart.

Their custom id is `tk:` and a random handle; what they do is in the store. discord.py finds them by
the pattern, so nothing is kept in memory for each message sent.
"""

from __future__ import annotations

import re
from typing import Any, Self

import discord

from bot.chat.send import HANDLE_PREFIX
from bot.commands.desk import Desk
from bot.commands.prompt import pressed

_PATTERN = HANDLE_PREFIX + r"(?P<key>[a-z2-7]{26})"


def handle_button(desk: Desk) -> type[discord.ui.DynamicItem[Any]]:
    """The class that answers every `tk:` button."""

    class HandleButton(discord.ui.DynamicItem[discord.ui.Button[Any]], template=_PATTERN):
        def __init__(self, item: discord.ui.Button[Any], key: str) -> None:
            super().__init__(item)
            self._key = key

        @classmethod
        async def from_custom_id(
            cls, interaction: discord.Interaction, item: discord.ui.Item[Any], match: re.Match[str]
        ) -> Self:
            assert isinstance(item, discord.ui.Button)
            return cls(item, match["key"])

        async def callback(self, interaction: discord.Interaction) -> None:
            await pressed(desk, interaction, self._key)

    return HandleButton
