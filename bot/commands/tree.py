"""The whole bot's commands, and their entrance to the one error handler."""

from __future__ import annotations

import discord
from discord import app_commands

from bot.chat.send import Prompt, Sendable
from bot.commands.care import add_care
from bot.commands.coach import add_coach
from bot.commands.desk import Desk
from bot.commands.dose import add_dose
from bot.commands.help import add_help
from bot.commands.log import add_log
from bot.commands.mydata import add_mydata
from bot.commands.plants import add_plants
from bot.commands.reminders import add_reminders
from bot.commands.running import add_running
from bot.commands.start import add_start
from bot.commands.topup import add_topup
from bot.commands.tower import add_tower
from bot.commands.trouble import caught

_AREAS = (
    add_help, add_start, add_topup, add_dose, add_log, add_reminders, add_running, add_care,
    add_plants, add_tower, add_mydata, add_coach,
)  # fmt: skip


def command_tree(client: discord.Client, desk: Desk) -> app_commands.CommandTree:
    """Every command, for communities and private conversations; nothing is sent to the platform."""
    tree = app_commands.CommandTree(
        client,
        allowed_contexts=app_commands.AppCommandContext(guild=True, dm_channel=True),
        allowed_installs=app_commands.AppInstallationType(guild=True),
    )
    for add in _AREAS:
        add(tree, desk)

    @tree.error
    async def failed(interaction: discord.Interaction, error: app_commands.AppCommandError) -> None:
        await Prompt(interaction).send(Sendable(content=caught(error)))

    return tree
