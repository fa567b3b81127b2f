"""/dose: fresh solution, or a mistake with the parts put right."""

from __future__ import annotations

import discord
from discord import app_commands

from bot.commands.desk import Desk
from bot.commands.options import Name, Typed, asked, choices, described, known_feeds, own_towers
from bot.commands.prompt import reply
from bot.records.questions import Dose
from bot.words import sentence


def add_dose(tree: app_commands.CommandTree, desk: Desk) -> None:
    """Put /dose on the tree."""

    @tree.command(name="dose", description=sentence("command.dose"))
    @app_commands.describe(
        **described(
            "water", "strength", "tower", "stage", "target", "rate", "feed", "poured", "tap"
        )
    )
    @app_commands.choices(stage=choices("seedling", "grown"))
    @app_commands.autocomplete(tower=own_towers(desk), feed=known_feeds(desk))
    async def dose(
        interaction: discord.Interaction,
        water: Typed | None = None,
        strength: Typed | None = None,
        tower: Name | None = None,
        stage: app_commands.Choice[str] | None = None,
        target: Typed | None = None,
        rate: Typed | None = None,
        feed: Typed | None = None,
        poured: Typed | None = None,
        tap: Typed | None = None,
    ) -> None:
        await reply(desk, interaction, asked(Dose, interaction))
