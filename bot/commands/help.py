"""/help."""

from __future__ import annotations

import discord
from discord import app_commands

from bot.commands.desk import Desk
from bot.commands.prompt import reply
from bot.records.questions import Help
from bot.words import sentence


def add_help(tree: app_commands.CommandTree, desk: Desk) -> None:
    """Put /help on the tree."""

    @tree.command(name="help", description=sentence("command.help"))
    async def help_(interaction: discord.Interaction) -> None:
        await reply(desk, interaction, Help())
