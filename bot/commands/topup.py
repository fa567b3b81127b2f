"""/topup: back to the line."""

from __future__ import annotations

import discord
from discord import app_commands

from bot.commands.desk import Desk
from bot.commands.options import Name, Typed, asked, described, own_towers
from bot.commands.prompt import reply
from bot.records.questions import TopUp
from bot.words import sentence


def add_topup(tree: app_commands.CommandTree, desk: Desk) -> None:
    """Put /topup on the tree."""

    @tree.command(name="topup", description=sentence("command.topup"))
    @app_commands.describe(
        **described("level", "ec", "tower", "target", "tank", "tap", "strength", "added")
    )
    @app_commands.autocomplete(tower=own_towers(desk))
    async def topup(
        interaction: discord.Interaction,
        level: Typed | None = None,
        ec: Typed | None = None,
        tower: Name | None = None,
        target: Typed | None = None,
        tank: Typed | None = None,
        tap: Typed | None = None,
        strength: Typed | None = None,
        added: Typed | None = None,
    ) -> None:
        await reply(desk, interaction, asked(TopUp, interaction))
