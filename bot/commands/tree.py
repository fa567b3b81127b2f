"""The whole bot's commands, and their entrance to the one error handler."""

from __future__ import annotations

import discord
from discord import app_commands

from bot.chat.send import Prompt
from bot.commands.desk import Desk
from bot.commands.dose import add_dose
from bot.commands.help import add_help
from bot.commands.topup import add_topup
from bot.commands.tower import add_tower
from bot.commands.trouble import caught


def command_tree(client: discord.Client, desk: Desk) -> app_commands.CommandTree:
    """Every command, for communities and private conversations; nothing is sent to the platform."""
    tree = app_commands.CommandTree(
        client,
        allowed_contexts=app_commands.AppCommandContext(guild=True, dm_channel=True),
        allowed_installs=app_commands.AppInstallationType(guild=True),
    )
    for add in (add_help, add_topup, add_dose, add_tower):
        add(tree, desk)

    @tree.error
    async def failed(interaction: discord.Interaction, error: app_commands.AppCommandError) -> None:
        await Prompt(interaction).send(caught(error))

    return tree
