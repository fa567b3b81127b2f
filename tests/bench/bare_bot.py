"""The yardstick: a discord.py bot with one command that does nothing, on the same server."""

from __future__ import annotations

import asyncio
import os

import discord
from discord import app_commands

from bot.chat.client import point_at


class BareBot(discord.Client):
    def __init__(self) -> None:
        super().__init__(intents=discord.Intents(guilds=True), guild_ready_timeout=0.1)
        self.tree = app_commands.CommandTree(self)

    async def setup_hook(self) -> None:
        await self.tree.sync()


def main() -> None:
    bot = BareBot()

    @bot.tree.command(name="nothing", description="Does nothing")
    async def nothing(interaction: discord.Interaction) -> None:
        await interaction.response.send_message("ok")

    point_at(os.environ["TANKWREN_API_URL"], os.environ["TANKWREN_GATEWAY_URL"])
    asyncio.run(bot.start(os.environ["TANKWREN_TOKEN"]))


if __name__ == "__main__":
    main()
